//! Whether every piece of every copy can really be cut, and the stock each slot's main piece is from.
//!
//! Faces chosen for the slots in; the best choice of stock that the cut oracle says yes to out, or
//! no, or unknown. For each slot the main piece of at least one copy comes from the stock that is
//! named (it is what use-up is judged by); all other pieces may come from any stock of that paper.
//!
//! Papers that share no stock are settled one by one: choices of stock are met in descending order
//! of worth, ties by stock id, and the first that can be cut is the best.

use super::hollow::{FromMiddle, Hollow};
use super::parts::{self, PartChoice};
use super::{Network, Slot, eligible};
use crate::cut::{self, Fits, Limits, On, Piece, PieceIndex, Rules, StockIndex, Turn};
use crate::index::{FaceId, Index, PieceNeed, Source, StockId, StockKind};
use crate::layout::Rect;
use crate::stash::Image;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap, HashMap};

/// Work the cut oracle may do for one question, in its own steps.
const WORK: u64 = 2_000_000;
/// Choices of stock tried for papers that share stock, before the answer is "unknown".
const TRIES: usize = 4_000;

/// Stock for one slot's main piece, and what choosing it adds to the score, in millionths.
pub type Worths = Vec<(StockId, u64)>;

/// The stock chosen for one card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// For each slot the stock of its main piece.
    pub main: Vec<StockId>,
    /// For each slot and each of its needs, the stock of the first copy.
    pub pieces: Vec<Vec<StockId>>,
    /// What the choice adds to the score, in millionths.
    pub worth: u64,
    /// The stock of each part of an image built from parts, slot by slot.
    pub parts: Vec<PartChoice>,
    /// Pieces whose middle is cut out.
    pub hollows: Vec<Hollow>,
    /// Pieces that are cut from the middle of another; their stock is that of the other.
    pub from_middles: Vec<FromMiddle>,
}

impl Choice {
    /// On how many cards a bit beneath a layer lies, where it fills what is cut out beneath that.
    #[must_use]
    pub fn fills(&self, layer: usize, bit: &Rect) -> Option<u32> {
        let mut hollows = self.hollows.iter();
        hollows.find(|hollow| hollow.cover == layer && hollow.rect.holds(bit)).map(|hollow| hollow.copies)
    }

    /// No stock chosen: for a card that is only thought of.
    #[must_use]
    pub const fn nothing() -> Self {
        Self {
            main: Vec::new(),
            pieces: Vec::new(),
            worth: 0,
            parts: Vec::new(),
            hollows: Vec::new(),
            from_middles: Vec::new(),
        }
    }
}

/// The oracle's answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Supplied {
    /// So.
    Yes(Choice),
    /// It cannot be cut, and that is proven.
    No,
    /// Neither came within the work allowed.
    Unknown,
}

/// What must be used: at least one piece from one of these stocks.
pub type MustUse = Vec<BTreeSet<StockId>>;

/// A question already asked of the oracle: pieces with their allowed stock, in order.
type Question = Vec<(PieceNeed, FaceId, u32, Vec<StockId>)>;

/// Asks the cut oracle, and keeps its answers.
pub struct Supply<'a> {
    index: &'a Index,
    images: &'a [Image],
    copies: u32,
    must: &'a MustUse,
    answers: HashMap<Question, Cuttable>,
}

/// Which need of which slot a wanted piece is for, and whether it is the one from the stock named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Purpose {
    pub(super) slot: usize,
    pub(super) need: usize,
}

/// A piece to be cut: what, showing which face, how often, from which stock.
#[derive(Clone, Debug)]
pub(super) struct Wanted {
    pub(super) purpose: Purpose,
    pub(super) need: PieceNeed,
    pub(super) face: FaceId,
    pub(super) count: u32,
    pub(super) on: Vec<StockId>,
}

/// Whether a set of pieces can be cut, and which stock each comes from first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Cuttable {
    Yes(Vec<StockId>),
    No,
    Unknown,
}

impl<'a> Supply<'a> {
    /// Asks for `copies` of each card, with what must be used.
    #[must_use]
    pub fn new(index: &'a Index, images: &'a [Image], copies: u32, must: &'a MustUse) -> Self {
        Self { index, images, copies, must, answers: HashMap::new() }
    }

    /// The best choice of stock for the faces chosen, where `worths` lists for each slot the stock
    /// of its main piece, best first, ties by id.
    pub fn settle(&mut self, network: &Network, faces: &[FaceId], worths: &[&Worths]) -> Supplied {
        let mut groups: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (slot, face) in faces.iter().enumerate() {
            groups.entry(self.index.face(*face).supply).or_default().push(slot);
        }
        let called_for = |set: &BTreeSet<StockId>| {
            set.iter().any(|stock| groups.contains_key(&self.index.face(self.index.stock(*stock).front).supply))
        };
        if !self.must.iter().all(called_for) {
            return Supplied::No;
        }
        let mut main = vec![StockId(0); faces.len()];
        let mut pieces: Vec<Vec<StockId>> = vec![Vec::new(); faces.len()];
        let mut worth = 0;
        for (supply, slots) in &groups {
            match self.settle_group(network, faces, worths, (*supply, slots)) {
                Supplied::Yes(choice) => {
                    worth += choice.worth;
                    for (slot, (stock, from)) in slots.iter().zip(choice.main.into_iter().zip(choice.pieces)) {
                        main[*slot] = stock;
                        pieces[*slot] = from;
                    }
                }
                other => return other,
            }
        }
        let mut choice = Choice { main, pieces, worth, ..Choice::nothing() };
        for (slot, face) in faces.iter().enumerate() {
            let Source::Image(image) = self.index.face(*face).source else { continue };
            let image = &self.images[image];
            if image.parts.is_empty() {
                continue;
            }
            match parts::fill(self, network, faces, &choice, slot, image) {
                Ok(Some(parts)) => choice.parts.push(parts),
                Ok(None) => return Supplied::No,
                Err(parts::WorkRanOut) => return Supplied::Unknown,
            }
        }
        Supplied::Yes(choice)
    }

    /// The index it asks about.
    pub(super) const fn index(&self) -> &'a Index {
        self.index
    }

    /// How many copies of each card are wanted.
    #[must_use]
    pub const fn copies(&self) -> u32 {
        self.copies
    }

    fn settle_group(
        &mut self,
        network: &Network,
        faces: &[FaceId],
        worths: &[&Worths],
        (supply, slots): (u32, &[usize]),
    ) -> Supplied {
        let lists: Vec<&Worths> = slots.iter().map(|slot| worths[*slot]).collect();
        if lists.iter().any(|list| list.is_empty()) {
            return Supplied::No;
        }
        let (mut unknown, mut is_first) = (false, true);
        let mut combinations = Descending::new(&lists);
        for _ in 0..TRIES {
            let Some((places, worth)) = combinations.next() else {
                return if unknown { Supplied::Unknown } else { Supplied::No };
            };
            let main: Vec<StockId> = places.iter().zip(&lists).map(|(place, list)| list[*place].0).collect();
            if !self.must_met(supply, &main) {
                continue;
            }
            let wanted = self.wanted(network, faces, slots, &main);
            match self.can_cut(&wanted) {
                Cuttable::Yes(from) => {
                    return Supplied::Yes(Choice {
                        pieces: first_copies(network, slots, &wanted, &from),
                        main,
                        worth,
                        ..Choice::nothing()
                    });
                }
                Cuttable::No => {}
                Cuttable::Unknown => unknown = true,
            }
            // Before all other choices are tried: whether any could be cut, wherever each piece is from.
            let all = slots.iter().map(|slot| (&network.slots[*slot], faces[*slot]));
            if std::mem::take(&mut is_first) && self.can_cut(&self.wherever_from(all)) == Cuttable::No {
                return Supplied::No;
            }
        }
        Supplied::Unknown
    }

    /// Whether stock that must be used, and can only show among these slots, is the stock of a main piece.
    fn must_met(&self, supply: u32, main: &[StockId]) -> bool {
        let here = |set: &&BTreeSet<StockId>| {
            set.iter().any(|stock| self.index.face(self.index.stock(*stock).front).supply == supply)
        };
        self.must.iter().filter(here).all(|set| main.iter().any(|stock| set.contains(stock)))
    }

    /// Every piece of every copy of the slots, the main pieces of the first copy from the stock named.
    fn wanted(&self, network: &Network, faces: &[FaceId], slots: &[usize], main: &[StockId]) -> Vec<Wanted> {
        let mut wanted = Vec::new();
        for (slot, named) in slots.iter().zip(main) {
            let face = faces[*slot];
            let needs = &network.slots[*slot].needs;
            let first = network.slots[*slot].main_need();
            for (place, need) in needs.iter().enumerate() {
                let purpose = Purpose { slot: *slot, need: place };
                let piece = |count, on| Wanted { purpose, need: *need, face, count, on };
                let mut further = self.copies;
                if place == first {
                    wanted.push(piece(1, vec![*named]));
                    further -= 1;
                }
                if further > 0 {
                    wanted.push(piece(further, eligible(self.index, need, face)));
                }
            }
        }
        wanted
    }

    /// Whether all copies of a slot could be cut for themselves with a face; unknown counts as yes.
    pub fn may_fill(&mut self, slot: &Slot, face: FaceId) -> bool {
        let wanted = self.wherever_from([(slot, face)]);
        self.can_cut(&wanted) != Cuttable::No
    }

    /// Every piece of every copy of some slots, from whatever stock each can be cut from.
    fn wherever_from<'s>(&self, slots: impl IntoIterator<Item = (&'s Slot, FaceId)>) -> Vec<Wanted> {
        let of_slot = |(slot, (of, face)): (usize, (&'s Slot, FaceId))| {
            let needs = of.needs.iter().enumerate();
            needs.map(move |(need, piece)| (Purpose { slot, need }, *piece, face)).collect::<Vec<_>>()
        };
        let pieces = slots.into_iter().enumerate().flat_map(of_slot);
        let wanted = |(purpose, need, face): (Purpose, PieceNeed, FaceId)| Wanted {
            purpose,
            need,
            face,
            count: self.copies,
            on: eligible(self.index, &need, face),
        };
        pieces.map(wanted).collect()
    }

    /// Whether all of these can be cut together; the stock the first copy of each comes from.
    pub(super) fn can_cut(&mut self, wanted: &[Wanted]) -> Cuttable {
        if let [only] = wanted
            && only.count == 1
            && let [stock] = only.on.as_slice()
        {
            return Cuttable::Yes(vec![*stock]);
        }
        let question: Question =
            wanted.iter().map(|piece| (piece.need, piece.face, piece.count, piece.on.clone())).collect();
        if let Some(answer) = self.answers.get(&question) {
            return answer.clone();
        }
        let answer = self.ask(wanted);
        self.answers.insert(question, answer.clone());
        answer
    }

    fn ask(&self, wanted: &[Wanted]) -> Cuttable {
        let lines: Vec<StockId> =
            wanted.iter().flat_map(|piece| piece.on.iter().copied()).collect::<BTreeSet<_>>().into_iter().collect();
        let stock: Vec<cut::Stock> = lines.iter().map(|line| self.line(*line)).collect();
        let pieces: Vec<Piece> = wanted.iter().map(|piece| self.piece(piece, &lines)).collect();
        let limits = Limits { work: WORK, rules: Rules::default() };
        match cut::fits(&pieces, &stock, &limits) {
            Fits::Yes(plan) => {
                let mut from: Vec<Option<StockId>> = vec![None; wanted.len()];
                for sheet in &plan.sheets {
                    for part in sheet.root.leaves() {
                        if let cut::Becomes::Piece { piece: PieceIndex(piece), .. } = part.becomes {
                            from[piece].get_or_insert(lines[sheet.stock.0]);
                        }
                    }
                }
                from.into_iter().collect::<Option<Vec<_>>>().map_or(Cuttable::Unknown, Cuttable::Yes)
            }
            Fits::No(_) => Cuttable::No,
            Fits::Unknown => Cuttable::Unknown,
        }
    }

    /// A line of stock as the planner sees it. A ready-made base is a blank of its own size.
    fn line(&self, id: StockId) -> cut::Stock {
        let stock = self.index.stock(id);
        let size = api::units::Size::new(stock.width, stock.height);
        let size = if stock.kind == StockKind::CardBase { crate::index::blank(size.upright()) } else { size };
        cut::Stock::new(stock.id(), size.width, size.height, stock.count)
    }

    fn piece(&self, wanted: &Wanted, lines: &[StockId]) -> Piece {
        let face = self.index.face(wanted.face);
        let (size, turn) = match wanted.need {
            PieceNeed::Cut(size) => (size, if face.may_turn() { Turn::Either } else { Turn::AsPrinted }),
            // A blank has one size whichever way the card stands.
            PieceNeed::Blank(card) => (crate::index::blank(card.upright()), Turn::Either),
            PieceNeed::Whole(_) => {
                let stock = self.index.stock(wanted.on.first().copied().unwrap_or(StockId(0)));
                (api::units::Size::new(stock.width, stock.height), Turn::AsPrinted)
            }
        };
        let mut piece = Piece::new(&face.id, size.width, size.height, wanted.count, turn);
        let places = wanted.on.iter().filter_map(|stock| lines.binary_search(stock).ok()).map(StockIndex);
        piece.on = On::Only(places.collect());
        piece
    }
}

/// For each slot and each of its needs, the stock of the first copy: for a main piece the one named,
/// which is asked for first.
fn first_copies(network: &Network, slots: &[usize], wanted: &[Wanted], from: &[StockId]) -> Vec<Vec<StockId>> {
    let first = |purpose: Purpose| {
        let at = wanted.iter().position(|piece| piece.purpose == purpose).expect("every need is asked for");
        from[at]
    };
    slots
        .iter()
        .map(|slot| (0..network.slots[*slot].needs.len()).map(|need| first(Purpose { slot: *slot, need })).collect())
        .collect()
}

/// One choice from each of several lists, in descending order of what the choices add up to; ties by
/// the places chosen. Each list must be in descending order.
struct Descending<'a> {
    lists: &'a [&'a Worths],
    waiting: BinaryHeap<(u64, std::cmp::Reverse<Vec<usize>>)>,
    met: BTreeSet<Vec<usize>>,
}

impl<'a> Descending<'a> {
    fn new(lists: &'a [&'a Worths]) -> Self {
        let mut new = Self { lists, waiting: BinaryHeap::new(), met: BTreeSet::new() };
        new.meet(vec![0; lists.len()]);
        new
    }

    fn meet(&mut self, places: Vec<usize>) {
        let chosen = places.iter().zip(self.lists).map(|(place, list)| list.get(*place).map(|(_, worth)| *worth));
        if let Some(worth) = chosen.sum::<Option<u64>>()
            && self.met.insert(places.clone())
        {
            self.waiting.push((worth, std::cmp::Reverse(places)));
        }
    }
}

impl Iterator for Descending<'_> {
    type Item = (Vec<usize>, u64);

    fn next(&mut self) -> Option<Self::Item> {
        let (worth, std::cmp::Reverse(places)) = self.waiting.pop()?;
        for list in 0..places.len() {
            let mut next = places.clone();
            next[list] += 1;
            self.meet(next);
        }
        Some((places, worth))
    }
}

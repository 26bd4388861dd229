//! What is worked out once and kept: from one network to the next, and from one question to the next.
//!
//! Rows of the pair tables, what stock is worth in a place, how faces rank in a slot, what a
//! structure could be at best. All of it depends on the index and the jury alone, so it changes how
//! fast an answer comes and never what it is.

use super::best::Faces;
use super::jury::{Jury, Member, ONE};
use super::rest::Known;
use super::tables::{Rows, Tables};
use crate::index::{Class, FaceId, Index, PieceNeed, StockId, StockKind};
use crate::matching::{Network, Slot, Supply, Worths, could_be, domain, eligible};
use crate::stash::{Facing, LineKind};
use api::units::Size;
use api::{Material, PieceView, Role};
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

/// One thing that must be used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Request {
    /// It shows one of these faces.
    pub faces: BTreeSet<FaceId>,
    /// It is cut from one of these; empty is from any.
    pub stock: BTreeSet<StockId>,
}

/// All that must be used.
pub type MustShow = Vec<Request>;

/// What a slot asks for: materials, pieces, and which way the sheet must face.
type Demand = (Vec<Material>, Vec<PieceNeed>, Option<Facing>);

/// What is kept from one question to the next, as long as the index and the jury are the same.
#[derive(Debug, Default)]
pub(super) struct Store {
    /// Rows of the pair tables.
    pub(super) rows: Rows,
    /// What is known of structures.
    pub(super) known: Known,
    fillable: HashMap<Demand, bool>,
    worths: HashMap<(Role, PieceNeed, u64, FaceId), Arc<Worths>>,
    by_worth: HashMap<Role, Arc<ByWorth>>,
}

impl Store {
    /// Nothing kept but these rows.
    pub(super) fn of_rows(rows: Rows) -> Self {
        Self { rows, ..Self::default() }
    }
}

/// How large pieces are at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Largest {
    /// The blank of a card base.
    pub(super) base: Size,
    /// Any other piece, whichever way it lies.
    pub(super) other: Size,
}

/// What pieces in one role can add to a score at most, whatever their size, if a card had but one:
/// for each face, in millionths.
#[derive(Debug)]
pub(super) struct ByWorth(Vec<u64>);

impl ByWorth {
    /// The most a piece showing `face` can add to the score of a card with `slots` slots.
    pub(super) fn of(&self, face: FaceId, slots: u64) -> u64 {
        self.0[face.place()] / slots + 1
    }
}

/// What is kept from one network to the next.
pub(super) struct Kept<'a> {
    /// What the jury thinks of pairs.
    pub(super) tables: Tables<'a>,
    /// What can be cut.
    pub(super) supply: Supply<'a>,
    /// Faces of which one must show.
    pub(super) must_show: &'a MustShow,
    /// How busy a paper may be beneath an image, in millionths.
    pub(super) quiet: u32,
    /// What is kept for the next question, too.
    pub(super) store: Store,
    largest: Largest,
    /// Work done so far beside the pairs judged: labels made, candidates weighed.
    pub(super) work: u64,
    /// Work allowed.
    pub(super) most_work: u64,
    /// Layouts of which some card was found that can be made.
    pub(super) makeable: BTreeSet<usize>,
    /// The highest bound of anything left undecided, with its layout: what is not proven.
    pub(super) undecided: Option<(i64, usize)>,
    /// Whether a scorer has failed, so that all of this is in vain.
    in_vain: bool,
}

impl<'a> Kept<'a> {
    /// Begins with what was kept from earlier questions.
    #[must_use]
    pub(super) fn new(
        tables: Tables<'a>,
        supply: Supply<'a>,
        must_show: &'a MustShow,
        quiet: u32,
        most_work: u64,
        largest: Largest,
        store: Store,
    ) -> Self {
        Self {
            tables,
            supply,
            must_show,
            quiet,
            largest,
            store,
            makeable: BTreeSet::new(),
            work: 0,
            most_work,
            undecided: None,
            in_vain: false,
        }
    }

    /// What may be kept for the next question.
    pub(super) fn into_store(self) -> Store {
        Store { rows: self.tables.into_rows(), ..self.store }
    }

    /// What is on hand.
    pub(super) const fn index(&self) -> &'a Index {
        self.tables.index
    }

    /// Who judges.
    pub(super) const fn jury(&self) -> &'a Jury {
        self.tables.jury
    }

    /// Whether a face could fill a slot on every copy.
    pub(super) fn could_be(&mut self, slot: &Slot, face: FaceId) -> bool {
        let (index, of) = (self.tables.index, self.tables.index.face(face));
        let is_one = self.supply.copies() == 1 && slot.needs.len() == 1;
        could_be(index, slot, of) && (is_one || self.supply.may_fill(slot, face))
    }

    /// Whether each slot of a network could be filled for itself.
    pub(super) fn could_fill(&mut self, network: &Network) -> bool {
        network.slots.iter().all(|slot| {
            let index = self.tables.index;
            let key = (slot.materials.clone(), slot.needs.clone(), slot.looks_out);
            *self.store.fillable.entry(key).or_insert_with(|| !domain(index, slot).is_empty())
        })
    }

    /// Whether for every slot of a network something of its kind is on hand, of whatever size.
    pub(super) fn has_papers_for(&self, network: &Network) -> bool {
        let index = self.tables.index;
        let is_there = |slot: &Slot, face: &crate::index::Face| {
            slot.materials.contains(&face.view.material) && !face.stock.is_empty()
        };
        network.slots.iter().all(|slot| index.faces.iter().any(|face| is_there(slot, face)))
    }

    /// The stock a slot's main piece could come from, best first, with what each adds to the score
    /// where a card has `slots` slots.
    pub(super) fn worths(&mut self, slot: &Slot, face: FaceId, slots: u64) -> Arc<Worths> {
        let need = slot.needs[slot.main_need()];
        let key = (slot.role, need, slots, face);
        if let Some(kept) = self.store.worths.get(&key) {
            return Arc::clone(kept);
        }
        let (index, jury) = (self.index(), self.jury());
        let mut worths: Worths = eligible(index, &need, face)
            .into_iter()
            .map(|stock| {
                let piece = piece_view(index, slot.role, &need, face, stock);
                let add = |member: &Member| member.share / slots * u64::from(member.piece(&piece).millionths()) / ONE;
                (stock, jury.pieces().map(add).sum())
            })
            .collect();
        worths.sort_by_key(|(stock, worth)| (std::cmp::Reverse(*worth), *stock));
        self.heed_failures();
        let worths = Arc::new(worths);
        self.store.worths.insert(key, Arc::clone(&worths));
        worths
    }

    /// What pieces in a role can add at most, whatever their size.
    pub(super) fn by_worth(&mut self, role: Role) -> Arc<ByWorth> {
        if let Some(kept) = self.store.by_worth.get(&role) {
            return Arc::clone(kept);
        }
        let (index, jury) = (self.index(), self.jury());
        let largest = if role == Role::Base { self.largest.base } else { self.largest.other };
        let most = |face: FaceId, stock: &StockId| {
            let line = index.stock(*stock);
            let (long, short) = (line.width.max(line.height), line.width.min(line.height));
            let size = Size::new(largest.short().min(short), largest.long().min(long));
            let piece = piece_view(index, role, &PieceNeed::Cut(size), face, *stock);
            let add = |member: &Member| member.share * u64::from(member.piece_at_most(&piece).millionths()) / ONE + 1;
            jury.pieces().map(add).sum::<u64>()
        };
        let faces = index.faces.iter().zip(0..);
        let made = faces.map(|(face, id)| face.stock.iter().map(|stock| most(FaceId(id), stock)).max().unwrap_or(0));
        let made = Arc::new(ByWorth(made.collect()));
        self.store.by_worth.insert(role, Arc::clone(&made));
        made
    }

    /// Which of the things that must show a face shows in a slot, as bits: a piece for the slot must fit
    /// on the stock asked for.
    pub(super) fn shown_in(&self, slot: &Slot, face: FaceId) -> u64 {
        let fits = |request: &Request| {
            let from_it =
                |need: &PieceNeed| eligible(self.index(), need, face).iter().any(|stock| request.stock.contains(stock));
            request.stock.is_empty() || slot.needs.iter().any(from_it)
        };
        let shown = self.must_show.iter().enumerate();
        let shown = shown.filter(|(_, request)| request.faces.contains(&face) && fits(request));
        shown.fold(0, |bits, (place, _)| bits | 1 << place)
    }

    /// The patterned ones among papers for panels, in the order of the panels.
    pub(super) fn shown(&self, panels: &[Option<usize>], papers: &[FaceId]) -> Faces {
        let patterned = |face: FaceId| self.index().face(face).class == Class::Patterned;
        let shown = panels.iter().zip(papers).filter(|(_, face)| patterned(**face));
        shown.filter_map(|(panel, face)| panel.map(|panel| (panel, *face))).collect()
    }

    /// Remembers that something scoring at most `bound` was left undecided.
    pub(super) fn leave_undecided(&mut self, bound: i64, layout: usize) {
        if self.undecided.is_none_or(|(highest, _)| bound > highest) {
            self.undecided = Some((bound, layout));
        }
    }

    /// Whether the work allowed is done, or all of it in vain.
    #[must_use]
    pub(super) const fn is_spent(&self) -> bool {
        self.in_vain || self.work + self.tables.judged >= self.most_work
    }

    /// Sees whether a scorer that was just asked has failed: then no list found with it counts.
    pub(super) fn heed_failures(&mut self) {
        self.in_vain = self.in_vain || self.jury().members.iter().any(|member| member.scorer.has_failed());
    }
}

/// Which of the things that must show a face shows, as bits.
pub(super) fn shown_by(must_show: &MustShow, face: FaceId) -> u64 {
    must_show
        .iter()
        .enumerate()
        .filter(|(_, request)| request.faces.contains(&face))
        .fold(0, |bits, (place, _)| bits | 1 << place)
}

/// What a scorer sees of a piece cut from a piece of stock.
#[must_use]
pub(super) fn piece_view<'a>(
    index: &'a Index,
    role: Role,
    need: &PieceNeed,
    face: FaceId,
    stock: StockId,
) -> PieceView<'a> {
    let size = need.cut_size();
    let line = index.stock(stock);
    let mut view = PieceView::whole_sheet(&index.face(face).view, role, size.width, size.height);
    if line.kind != StockKind::CardBase {
        (view.stock_width, view.stock_height) = (line.width, line.height);
    }
    if matches!(need, PieceNeed::Whole(_)) {
        (view.width, view.height) = (line.width, line.height);
    }
    view.stock_count = line.count;
    view.is_scrap = line.kind == StockKind::Cuttable(LineKind::Scrap);
    view.age_days = line.age_days;
    view
}

/// What scorers see of every slot's main piece.
#[must_use]
pub(super) fn pieces_of<'a>(
    index: &'a Index,
    network: &Network,
    faces: &[FaceId],
    main: &[StockId],
) -> Vec<PieceView<'a>> {
    network
        .slots
        .iter()
        .zip(faces.iter().zip(main))
        .map(|(slot, (face, stock))| piece_view(index, slot.role, &slot.needs[slot.main_need()], *face, *stock))
        .collect()
}

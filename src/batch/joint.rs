//! Whether all pieces of some cards can be cut together: candidates with counts in, a plan of cuts
//! for every group of papers that share stock out, or none.
//!
//! Papers that share no stock are asked about apart, and every answer of `cut` is kept: a plan is
//! feasible where each of its groups is. An unknown answer counts as no.

use super::ask::is_same;
use super::needs::{Part, Wanted, line_size, wanted};
use super::pool::Remains;
use super::search::Chosen;
use crate::cut::{self, Becomes, Fits, Limits, On, Piece, PieceIndex, Rules, Stock, StockIndex, Worth};
use crate::index::{Index, PLENTY, PieceNeed, StockId, StockKind};
use crate::matching::hollow::{Middle, middles};
use crate::score::{Suggestion, Table};
use crate::stash::LineKind;
use api::units::{Length, Size};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::rc::Rc;

/// Steps `cut` may take for one question.
const STEPS: u64 = 200_000;
/// What cutting out a middle costs, in square millimetres of stock: no scrap of less than 2 sq in is
/// spared for it. Common practice, no source.
const KNIFE: u64 = 1_290;
/// Days after which stock counts as old, as the use-up scorer halves it.
const OLD: u64 = 365;

/// A card that could be made, and what one copy needs.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) card: Suggestion,
    pub(super) wanted: Vec<Wanted>,
    /// The groups of stock it draws on.
    pub(super) groups: BTreeSet<u32>,
    /// What could be cut out of its pieces, where the maker cuts middles out.
    pub(super) middles: Vec<Middle>,
}

/// What the sheets of a line are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Line {
    /// The stock; of a middle, that of the piece it is cut out of.
    pub(super) of: StockId,
    /// The middles of so many cards: the candidate, and the place among its middles.
    pub(super) middle: Option<(usize, usize)>,
}

/// Whether middles are offered as stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Middles {
    /// They are.
    Offered,
    /// They are not.
    Left,
}

/// So many copies of a candidate.
pub(super) type Use = (usize, u32);

/// How the pieces of one group are cut.
#[derive(Debug)]
pub(super) struct GroupPlan {
    pub(super) plan: cut::Plan,
    /// The stock of the plan, by its index there.
    pub(super) lines: Vec<Line>,
    /// What its pieces are: candidate and the place among what that wants.
    pub(super) pieces: Vec<(usize, usize)>,
    pub(super) sheets: u64,
    /// Middles that are cut out.
    pub(super) middles: u64,
    /// How old and awkward the stock used is: thousandths, summed over sheets.
    pub(super) old: i64,
    pub(super) settings: BTreeSet<Length>,
    /// The worth of the best leftovers, in square millimetres.
    pub(super) leftovers: i64,
}

type Key = (u32, Vec<Use>);

/// The question of a group: pieces and stock as `cut` reads them, and what they are.
pub(super) struct Question {
    pub(super) pieces: Vec<Piece>,
    pub(super) stock: Vec<Stock>,
    pub(super) lines: Vec<Line>,
    /// Candidate and the place among what it wants.
    pub(super) places: Vec<(usize, usize)>,
}

/// Asks, and keeps the answers.
pub(super) struct Joint<'a> {
    table: Table<'a>,
    index: &'a Index,
    pub(super) candidates: Vec<Candidate>,
    kept: HashMap<Key, Option<Rc<GroupPlan>>>,
    pub(super) asked: u64,
}

impl<'a> Joint<'a> {
    pub(super) fn new(table: Table<'a>) -> Self {
        Self { table, index: table.index, candidates: Vec::new(), kept: HashMap::new(), asked: 0 }
    }

    /// Takes a candidate in, unless it is there already or one of its pieces can come from nowhere.
    pub(super) fn take(&mut self, card: Suggestion) -> bool {
        if self.place_of(&card).is_some() {
            return false;
        }
        let Some(wanted) = wanted(self.index, self.table.images, &card) else { return false };
        let groups = wanted.iter().map(|piece| self.index.face(piece.face).supply).collect();
        let settings = self.table.settings;
        let middles =
            if settings.hollow_mats { middles(self.index, settings, &card.network, &card.faces) } else { Vec::new() };
        self.candidates.push(Candidate { card, wanted, groups, middles });
        true
    }

    /// Where a candidate is.
    pub(super) fn place_of(&self, card: &Suggestion) -> Option<usize> {
        self.candidates.iter().position(|other| is_same(&other.card, card))
    }

    /// How the pieces of one group are cut for these cards, which must be in order.
    pub(super) fn group(&mut self, group: u32, uses: &[Use]) -> Option<Rc<GroupPlan>> {
        let key = (group, uses.to_vec());
        if let Some(known) = self.kept.get(&key) {
            return known.clone();
        }
        self.asked += 1;
        let answer = self.cut(group, uses).map(Rc::new);
        self.kept.insert(key, answer.clone());
        answer
    }

    /// The question of a group as `cut` reads it. Middles that no piece could come from are not offered.
    pub(super) fn question(&self, group: u32, uses: &[Use], offered: Middles) -> Question {
        let of_group = |wanted: &&Wanted| self.index.face(wanted.face).supply == group;
        let lines: Vec<StockId> = uses
            .iter()
            .flat_map(|(candidate, _)| self.candidates[*candidate].wanted.iter().filter(of_group))
            .flat_map(|wanted| wanted.on.iter().copied())
            .collect::<BTreeSet<_>>()
            .into_iter()
            .collect();
        let stock = lines.iter().map(|line| self.line(*line)).collect();
        let (mut pieces, mut places) = (Vec::new(), Vec::new());
        for (candidate, count) in uses {
            for (place, wanted) in self.candidates[*candidate].wanted.iter().enumerate() {
                if !of_group(&wanted) {
                    continue;
                }
                let mut piece = Piece::new("", wanted.size.width, wanted.size.height, *count, wanted.turn);
                let on = wanted.on.iter().filter_map(|stock| lines.binary_search(stock).ok()).map(StockIndex);
                piece.on = On::Only(on.collect());
                pieces.push(piece);
                places.push((*candidate, place));
            }
        }
        let lines = lines.into_iter().map(|of| Line { of, middle: None }).collect();
        let mut question = Question { pieces, stock, lines, places };
        if offered == Middles::Offered {
            uses.iter().for_each(|(candidate, count)| self.offer(*candidate, *count, &mut question));
        }
        question
    }

    /// Offers the middles of so many copies of a candidate. All its pieces are cut, so all of them are
    /// there; and since a middle is smaller than its piece, one can always be cut before the other.
    fn offer(&self, candidate: usize, count: u32, question: &mut Question) {
        let Candidate { middles, wanted, .. } = &self.candidates[candidate];
        for (place, middle) in middles.iter().enumerate() {
            let part = Part::Need { slot: middle.slot, need: middle.need };
            let maker = question.places.iter().position(|(of, piece)| *of == candidate && wanted[*piece].part == part);
            let Some(maker) = maker else { continue };
            let (of, face) = (&wanted[question.places[maker].1].on, wanted[question.places[maker].1].face);
            let size = middle.rect.size();
            let fits: Vec<usize> = (0..question.pieces.len())
                .filter(|piece| {
                    let (candidate, place) = question.places[*piece];
                    let Candidate { card, wanted, .. } = &self.candidates[candidate];
                    let is_cut = match wanted[place].part {
                        Part::Need { slot, need } => {
                            matches!(card.network.slots[slot].needs[need], PieceNeed::Cut(_))
                        }
                        Part::Built { .. } => false,
                    };
                    is_cut && wanted[place].face == face && wanted[place].size.fits_in(size, wanted[place].turn)
                })
                .collect();
            if fits.is_empty() {
                continue;
            }
            let line = StockIndex(question.stock.len());
            for piece in fits {
                if let On::Only(on) = &mut question.pieces[piece].on {
                    on.push(line);
                }
            }
            question.stock.push(Stock {
                cost: Worth::Exactly(KNIFE),
                made_by: Some(PieceIndex(maker)),
                ..Stock::new("", size.width, size.height, count)
            });
            question.lines.push(Line { of: of[0], middle: Some((candidate, place)) });
        }
    }

    fn cut(&self, group: u32, uses: &[Use]) -> Option<GroupPlan> {
        let limits = Limits { work: STEPS, rules: Rules::default() };
        let Question { pieces, stock, lines, places } = self.question(group, uses, Middles::Left);
        if let Fits::Yes(plan) = cut::fits(&pieces, &stock, &limits) {
            return Some(self.measured(plan, lines, places));
        }
        if !self.table.settings.hollow_mats {
            return None;
        }
        // Only what cannot be cut otherwise is cut from middles here.
        let Question { pieces, stock, lines: with, places } = self.question(group, uses, Middles::Offered);
        if with.len() == lines.len() {
            return None;
        }
        match cut::fits(&pieces, &stock, &limits) {
            Fits::Yes(plan) => Some(self.measured(plan, with, places)),
            Fits::No(_) | Fits::Unknown => None,
        }
    }

    /// A plan of cuts with what is counted of it.
    pub(super) fn measured(&self, plan: cut::Plan, lines: Vec<Line>, pieces: Vec<(usize, usize)>) -> GroupPlan {
        let (mut sheets, mut old, mut leftovers) = (0, 0_i64, 0_i64);
        let mut middles = 0;
        let mut settings = BTreeSet::new();
        for sheet in &plan.sheets {
            collect_settings(&sheet.root, &mut settings);
            let line = lines[sheet.stock.0];
            if line.middle.is_some() {
                middles += u64::from(sheet.copies);
                continue;
            }
            let stock = self.index.stock(line.of);
            sheets += u64::from(sheet.copies);
            old = old.saturating_add(oldness(stock) * i64::from(sheet.copies));
            let best = sheet.root.leaves().into_iter().filter(|leaf| leaf.becomes == Becomes::Offcut).map(|leaf| {
                let worth = cut::OffcutWorth::Shape.of(leaf.width, leaf.height) / 1_000_000_000_000;
                i64::try_from(worth).unwrap_or(i64::MAX)
            });
            leftovers = leftovers.saturating_add(best.max().unwrap_or(0).saturating_mul(i64::from(sheet.copies)));
        }
        let mut group = GroupPlan { plan, lines, pieces, sheets, middles, old, settings, leftovers };
        if middles > 0 {
            self.trace(&mut group);
        }
        group
    }

    /// Traces each middle back to the stock that its first piece is cut from: larger ones first, since a
    /// piece that is cut from a middle may have one of its own.
    fn trace(&self, group: &mut GroupPlan) {
        // Real stock first, then middles, so that a piece is known by the sheet its first copy is on.
        group.plan.sheets.sort_by_key(|sheet| (group.lines[sheet.stock.0].middle.is_some(), sheet.stock));
        let mut made: Vec<(usize, (usize, usize))> =
            (0..).zip(&group.lines).filter_map(|(line, of)| Some((line, of.middle?))).collect();
        made.sort_by_key(|(line, (candidate, middle))| {
            (std::cmp::Reverse(self.candidates[*candidate].middles[*middle].rect.area()), *line)
        });
        for (line, (candidate, middle)) in made {
            let place = self.maker(candidate, middle);
            let from = group.placed().find(|(of, piece, ..)| *of == candidate && Some(*piece) == place);
            if let Some((_, _, stock, _)) = from {
                group.lines[line].of = stock;
            }
        }
    }

    /// The place among what a candidate wants of the piece that one of its middles is in.
    pub(super) fn maker(&self, candidate: usize, middle: usize) -> Option<usize> {
        let Candidate { wanted, middles, .. } = &self.candidates[candidate];
        let Middle { slot, need, .. } = middles[middle];
        wanted.iter().position(|piece| piece.part == Part::Need { slot, need })
    }

    /// What a choice leaves: sheets opened, by line, and what is left of them and of its middles.
    pub(super) fn left(&self, chosen: &Chosen) -> Remains {
        let mut opened: BTreeMap<StockId, u32> = BTreeMap::new();
        let mut rest: Vec<(StockId, Size, u32)> = Vec::new();
        let mut used: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        for group in chosen.groups.values() {
            for sheet in &group.plan.sheets {
                let line = group.lines[sheet.stock.0];
                match line.middle {
                    Some(middle) => *used.entry(middle).or_default() += sheet.copies,
                    None => *opened.entry(line.of).or_default() += sheet.copies,
                }
                for leaf in sheet.root.leaves() {
                    if leaf.becomes == Becomes::Offcut && leaf.width.is_positive() && leaf.height.is_positive() {
                        rest.push((line.of, Size::new(leaf.width, leaf.height), sheet.copies));
                    }
                }
            }
        }
        for (candidate, count) in &chosen.uses {
            for (place, middle) in self.candidates[*candidate].middles.iter().enumerate() {
                let left = count - used.get(&(*candidate, place)).copied().unwrap_or(0);
                let maker = self.maker(*candidate, place);
                let mut from = chosen.groups.values().flat_map(|group| group.placed());
                let from = from.find(|(of, piece, ..)| of == candidate && Some(*piece) == maker);
                if let Some((_, _, stock, _)) = from.filter(|_| left > 0) {
                    rest.push((stock, middle.rect.size(), left));
                }
            }
        }
        Remains { opened, leftovers: rest }
    }

    fn line(&self, id: StockId) -> Stock {
        let size = line_size(self.index, id);
        let stock = self.index.stock(id);
        let count = if stock.count >= PLENTY { Stock::PLENTY } else { stock.count };
        let cost = Worth::Exactly(cost(stock));
        Stock { cost, ..Stock::new(stock.id(), size.width, size.height, count) }
    }
}

/// What opening a sheet costs: its area in square millimetres, less for old stock and for scraps.
fn cost(stock: &crate::index::Stock) -> u64 {
    let area = u64::try_from((stock.width * stock.height).square_nanometres() / 1_000_000_000_000).unwrap_or(u64::MAX);
    let age = u64::from(stock.age_days.unwrap_or(0));
    let scrap = if is_scrap(stock) { 2 } else { 1 };
    (area.saturating_mul(OLD) / (OLD + age) / scrap).max(1)
}

fn is_scrap(stock: &crate::index::Stock) -> bool {
    stock.kind == StockKind::Cuttable(LineKind::Scrap)
}

/// How old and awkward a piece of stock is, in thousandths: half for its age, half for being a scrap.
fn oldness(stock: &crate::index::Stock) -> i64 {
    let age = u64::from(stock.age_days.unwrap_or(0));
    let age = i64::try_from(500 * age / (age + OLD)).unwrap_or(500);
    age + if is_scrap(stock) { 500 } else { 0 }
}

fn collect_settings(part: &cut::Part, settings: &mut BTreeSet<Length>) {
    if let Becomes::Cut(cut) = &part.becomes {
        settings.insert(cut.guide());
        collect_settings(&cut.near, settings);
        collect_settings(&cut.far, settings);
    }
}

impl GroupPlan {
    /// Every placed piece: its candidate, its place there, and the sheet it is on.
    pub(super) fn placed(&self) -> impl Iterator<Item = (usize, usize, StockId, u32)> + '_ {
        self.plan.sheets.iter().flat_map(|sheet| {
            sheet.root.leaves().into_iter().filter_map(|leaf| match leaf.becomes {
                Becomes::Piece { piece: PieceIndex(piece), .. } => {
                    let (candidate, place) = self.pieces[piece];
                    Some((candidate, place, self.lines[sheet.stock.0].of, sheet.copies))
                }
                _ => None,
            })
        })
    }
}

/// The groups of some cards, each with the cards that draw on it, in order.
pub(super) fn by_group(candidates: &[Candidate], uses: &BTreeMap<usize, u32>) -> BTreeMap<u32, Vec<Use>> {
    let mut groups: BTreeMap<u32, Vec<Use>> = BTreeMap::new();
    for (candidate, count) in uses {
        for group in &candidates[*candidate].groups {
            groups.entry(*group).or_default().push((*candidate, *count));
        }
    }
    groups
}

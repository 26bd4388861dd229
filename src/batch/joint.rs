//! Whether all pieces of some cards can be cut together: candidates with counts in, a plan of cuts
//! for every group of papers that share stock out, or none.
//!
//! Papers that share no stock are asked about apart, and every answer of `cut` is kept: a plan is
//! feasible where each of its groups is. An unknown answer counts as no.

use super::ask::is_same;
use super::needs::{Wanted, line_size, wanted};
use crate::cut::{self, Becomes, Fits, Limits, On, Piece, PieceIndex, Rules, Stock, StockIndex, Worth};
use crate::index::{Index, PLENTY, StockId, StockKind};
use crate::score::Suggestion;
use crate::stash::{Image, LineKind};
use api::units::Length;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::rc::Rc;

/// Steps `cut` may take for one question.
const STEPS: u64 = 200_000;
/// Days after which stock counts as old, as the use-up scorer halves it.
const OLD: u64 = 365;

/// A card that could be made, and what one copy needs.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) card: Suggestion,
    pub(super) wanted: Vec<Wanted>,
    /// The groups of stock it draws on.
    pub(super) groups: BTreeSet<u32>,
}

/// So many copies of a candidate.
pub(super) type Use = (usize, u32);

/// How the pieces of one group are cut.
#[derive(Debug)]
pub(super) struct GroupPlan {
    pub(super) plan: cut::Plan,
    /// The stock of the plan, by its index there.
    pub(super) lines: Vec<StockId>,
    /// What its pieces are: candidate and the place among what that wants.
    pub(super) pieces: Vec<(usize, usize)>,
    pub(super) sheets: u64,
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
    pub(super) lines: Vec<StockId>,
    /// Candidate and the place among what it wants.
    pub(super) places: Vec<(usize, usize)>,
}

/// Asks, and keeps the answers.
pub(super) struct Joint<'a> {
    index: &'a Index,
    images: &'a [Image],
    pub(super) candidates: Vec<Candidate>,
    kept: HashMap<Key, Option<Rc<GroupPlan>>>,
    pub(super) asked: u64,
}

impl<'a> Joint<'a> {
    pub(super) fn new(index: &'a Index, images: &'a [Image]) -> Self {
        Self { index, images, candidates: Vec::new(), kept: HashMap::new(), asked: 0 }
    }

    /// Takes a candidate in, unless it is there already or one of its pieces can come from nowhere.
    pub(super) fn take(&mut self, card: Suggestion) -> bool {
        if self.place_of(&card).is_some() {
            return false;
        }
        let Some(wanted) = wanted(self.index, self.images, &card) else { return false };
        let groups = wanted.iter().map(|piece| self.index.face(piece.face).supply).collect();
        self.candidates.push(Candidate { card, wanted, groups });
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

    /// The question of a group as `cut` reads it.
    pub(super) fn question(&self, group: u32, uses: &[Use]) -> Question {
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
        Question { pieces, stock, lines, places }
    }

    fn cut(&self, group: u32, uses: &[Use]) -> Option<GroupPlan> {
        let Question { pieces, stock, lines, places } = self.question(group, uses);
        let limits = Limits { work: STEPS, rules: Rules::default() };
        match cut::fits(&pieces, &stock, &limits) {
            Fits::Yes(plan) => Some(self.measured(plan, lines, places)),
            Fits::No(_) | Fits::Unknown => None,
        }
    }

    /// A plan of cuts with what is counted of it.
    pub(super) fn measured(&self, plan: cut::Plan, lines: Vec<StockId>, pieces: Vec<(usize, usize)>) -> GroupPlan {
        let (mut sheets, mut old, mut leftovers) = (0, 0_i64, 0_i64);
        let mut settings = BTreeSet::new();
        for sheet in &plan.sheets {
            let stock = self.index.stock(lines[sheet.stock.0]);
            sheets += u64::from(sheet.copies);
            old = old.saturating_add(oldness(stock) * i64::from(sheet.copies));
            collect_settings(&sheet.root, &mut settings);
            let best = sheet.root.leaves().into_iter().filter(|leaf| leaf.becomes == Becomes::Offcut).map(|leaf| {
                let worth = cut::OffcutWorth::Shape.of(leaf.width, leaf.height) / 1_000_000_000_000;
                i64::try_from(worth).unwrap_or(i64::MAX)
            });
            leftovers = leftovers.saturating_add(best.max().unwrap_or(0).saturating_mul(i64::from(sheet.copies)));
        }
        GroupPlan { plan, lines, pieces, sheets, old, settings, leftovers }
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
                    Some((candidate, place, self.lines[sheet.stock.0], sheet.copies))
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

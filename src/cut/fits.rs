//! Step 7, *can these be cut from that?*: few pieces and stock lines in; yes with a plan, no with the
//! reason, or unknown out.
//!
//! First what is cheap: each piece against each line, areas, yields of equal pieces, a greedy plan.
//! Then the exact search (`exact`). Work is counted, never timed.

use crate::cut::exact::{Search, Target};
use crate::cut::greedy::{self, Growing, Item, Line};
use crate::cut::hand::{self, OffcutWorth};
use crate::cut::tree::{CutSheet, Plan};
use crate::cut::work::Work;
use crate::cut::{Goal, Limits, On, Piece, PieceIndex, Problem, Rules, Stock, StockIndex, Turn, Worth, check, yields};
use std::collections::BTreeSet;

/// The answer to *can these pieces come out of that stock?*
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fits {
    /// Yes, so. The plan keeps every rule and opens cheap stock before dear stock.
    Yes(Plan),
    /// No, and it is proven.
    No(WhyNot),
    /// Neither a plan nor a proof came within the work allowed.
    Unknown,
}

/// The proof that pieces do not fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyNot {
    /// A piece is larger than every sheet it may come from, whichever way it may lie.
    TooLarge(PieceIndex),
    /// All sheets a piece may come from together yield fewer copies of it, with nothing else cut.
    TooMany(PieceIndex),
    /// The pieces have more area than the sheets they may come from.
    Area,
    /// Every arrangement was looked at.
    Searched,
}

/// Lines are bits of one number.
const MOST_LINES: usize = 128;

/// Whether the pieces can be cut from the stock, edge to edge.
///
/// Groups (`Piece::group`) and stock that is made by cutting (`Stock::made_by`) are for the planner,
/// not for this question: say here with [`On::Only`] what each piece may come from.
#[must_use]
pub fn fits(pieces: &[Piece], stock: &[Stock], limits: &Limits) -> Fits {
    let problem = Problem {
        goal: Goal::LeastCost,
        stock: stock.iter().map(|line| Stock { made_by: None, ..line.clone() }).collect(),
        pieces: pieces.iter().map(|piece| Piece { group: None, ..piece.clone() }).collect(),
        rules: limits.rules.clone(),
    };
    // A plan at once keeps trims and cuts from edge to edge, but knows no trimmer and no hand.
    let sound = |plan: Plan| if check(&problem, &plan).is_empty() { Some(plan) } else { for_hands(&problem, &plan) };
    match Question::new(pieces, stock, &limits.rules).answer(limits.work, &sound) {
        Fits::Yes(plan) => sound(plan).map_or(Fits::Unknown, Fits::Yes),
        answer => answer,
    }
}

/// The plan with its cuts in an order that keeps the rules of trimmer and hand, if there is one.
fn for_hands(problem: &Problem, plan: &Plan) -> Option<Plan> {
    let mut plan = plan.clone();
    for sheet in &mut plan.sheets {
        let size = (sheet.root.width.nanometres(), sheet.root.height.nanometres());
        let corner = (sheet.root.x, sheet.root.y);
        let placed = hand::placed(&sheet.root);
        let (_, root) =
            hand::order(&placed, size, corner, &problem.rules, &OffcutWorth::Shape, &BTreeSet::new(), &mut 0)?;
        sheet.root = root;
    }
    check(problem, &plan).is_empty().then_some(plan)
}

/// Pieces that are alike, with their counts.
pub(super) struct Kind {
    pub(super) item: Item,
    value: Worth,
    /// The pieces it was made of: their place, how many copies.
    pub(super) members: Vec<(PieceIndex, u32)>,
    pub(super) count: u32,
}

pub(super) struct Question<'a> {
    pub(super) kinds: Vec<Kind>,
    /// Useful lines, cheapest first, with their place in the stock.
    pub(super) lines: Vec<(Line, StockIndex)>,
    /// Lines were left out because there were too many.
    lines_missing: bool,
    pub(super) rules: &'a Rules,
    cut: i64,
    trouble: Option<WhyNot>,
}

impl<'a> Question<'a> {
    pub(super) fn new(pieces: &[Piece], stock: &[Stock], rules: &'a Rules) -> Self {
        let cut = rules.cut_width.nanometres().max(0);
        let mut lines: Vec<(Line, StockIndex)> = Vec::new();
        for (index, line) in stock.iter().enumerate() {
            let usable_width = line.width - rules.trims.left - rules.trims.right;
            let usable_height = line.height - rules.trims.top - rules.trims.bottom;
            if !usable_width.is_positive() || !usable_height.is_positive() || line.count == 0 {
                continue;
            }
            let (width, height) = (usable_width.nanometres() + cut, usable_height.nanometres() + cut);
            let wanted = |piece: &Piece| {
                let (w, h) = (piece.width.nanometres() + cut, piece.height.nanometres() + cut);
                let turned = piece.turn == Turn::Either && h <= width && w <= height;
                piece.count > 0 && piece.on.allows(StockIndex(index)) && ((w <= width && h <= height) || turned)
            };
            if pieces.iter().any(wanted) {
                let cost = line.cost.of(line.width, line.height);
                lines.push((Line { width, height, count: line.count, cost }, StockIndex(index)));
            }
        }
        lines.sort_by_key(|(line, index)| (line.cost, *index));
        let lines_missing = lines.len() > MOST_LINES;
        lines.truncate(MOST_LINES);
        let mut question = Self { kinds: Vec::new(), lines, lines_missing, rules, cut, trouble: None };
        for (index, piece) in pieces.iter().enumerate().filter(|(_, piece)| piece.count > 0) {
            question.add(PieceIndex(index), piece);
        }
        question
    }

    fn add(&mut self, index: PieceIndex, piece: &Piece) {
        if !piece.width.is_positive() || !piece.height.is_positive() {
            self.trouble.get_or_insert(WhyNot::TooLarge(index));
            return;
        }
        let (width, height) = (piece.width.nanometres() + self.cut, piece.height.nanometres() + self.cut);
        let mut item = Item { piece: index, width, height, turn: piece.turn, lines: 0 };
        for (bit, (line, stock)) in self.lines.iter().enumerate() {
            let allowed = matches!(piece.on, On::Any) || piece.on.allows(*stock);
            let lies = greedy::ways(&item).any(|((w, h), _)| w <= line.width && h <= line.height);
            if allowed && lies {
                item.lines |= 1 << bit;
            }
        }
        if item.lines == 0 {
            self.trouble.get_or_insert(WhyNot::TooLarge(index));
        }
        let alike = |kind: &&mut Kind| {
            let other = &kind.item;
            let same = (other.width, other.height, other.turn, other.lines);
            same == (width, height, item.turn, item.lines) && kind.value == piece.value
        };
        match self.kinds.iter_mut().find(alike) {
            Some(kind) => {
                kind.members.push((index, piece.count));
                kind.count = kind.count.saturating_add(piece.count);
            }
            None => self.kinds.push(Kind {
                item,
                value: piece.value,
                members: vec![(index, piece.count)],
                count: piece.count,
            }),
        }
    }

    /// `sound` makes a plan keep the rules, where it can.
    fn answer(&self, allowed: u64, sound: &dyn Fn(Plan) -> Option<Plan>) -> Fits {
        let proven = |why: WhyNot| if self.lines_missing { Fits::Unknown } else { Fits::No(why) };
        if let Some(why) = self.trouble {
            return proven(why);
        }
        if self.kinds.is_empty() {
            return Fits::Yes(Plan::default());
        }
        if !self.area_suffices() {
            return proven(WhyNot::Area);
        }
        let total: u64 = self.kinds.iter().map(|kind| u64::from(kind.count)).sum();
        let mut work = 0;
        if total <= allowed / 16 && total <= 1 << 20 {
            let items = self.items();
            let lines: Vec<Line> = self.lines.iter().map(|(line, _)| *line).collect();
            let at_once = greedy::place_all(&items, &lines, &mut work).map(|sheets| self.plan(&sheets));
            if let Some(plan) = at_once.and_then(sound) {
                return Fits::Yes(plan);
            }
        }
        if let Some(piece) = self.yields_too_little() {
            return proven(WhyNot::TooMany(piece));
        }
        match Search::new(self, work, allowed, None).and_then(|mut search| search.run(Target::All)) {
            Some(Some(sheets)) => Fits::Yes(self.plan(&sheets)),
            Some(None) => proven(WhyNot::Searched),
            None => Fits::Unknown,
        }
    }

    /// The best plan of all, if few pieces make that possible within `allowed` steps: all pieces as
    /// cheap as can be, or the most of `values` (by piece). `Some(None)` where there is none at all.
    pub(super) fn best(&self, values: Option<&[i128]>, allowed: u64, work: &mut Work<'_>) -> Option<Option<Plan>> {
        if self.lines_missing || self.trouble.is_some() {
            return None;
        }
        let by_kind: Vec<i128> =
            self.kinds.iter().map(|kind| values.map_or(0, |values| values[kind.members[0].0.0])).collect();
        let mut search = Search::new(self, 0, allowed, work.stop())?;
        let found = search.run(if values.is_some() { Target::Value(&by_kind) } else { Target::All });
        work.add(search.work);
        found.map(|sheets| sheets.map(|sheets| self.plan(&sheets)))
    }

    fn items(&self) -> Vec<Item> {
        self.kinds
            .iter()
            .flat_map(|kind| kind.members.iter().map(|&member| (kind.item, member)))
            .flat_map(|(item, (piece, count))| (0..count).map(move |_| Item { piece, ..item }))
            .collect()
    }

    fn area_suffices(&self) -> bool {
        let area = |w: i64, h: i64| i128::from(w) * i128::from(h);
        let masks = self.kinds.iter().map(|kind| kind.item.lines).chain([u128::MAX]);
        masks.into_iter().all(|mask| {
            let needs: i128 = self
                .kinds
                .iter()
                .filter(|kind| kind.item.lines & !mask == 0)
                .map(|kind| area(kind.item.width, kind.item.height).saturating_mul(i128::from(kind.count)))
                .fold(0, i128::saturating_add);
            let has: i128 = (0..self.lines.len())
                .filter(|bit| mask >> bit & 1 == 1)
                .map(|bit| self.lines[bit].0)
                .map(|line| area(line.width, line.height).saturating_mul(i128::from(line.count)))
                .fold(0, i128::saturating_add);
            needs <= has
        })
    }

    fn yields_too_little(&self) -> Option<PieceIndex> {
        let short = |kind: &&Kind| {
            let item = &kind.item;
            let from = |line: &Line| {
                u64::from(yields::count(line.width, line.height, item.width, item.height, item.turn))
                    .saturating_mul(u64::from(line.count))
            };
            let most = (0..self.lines.len())
                .filter(|bit| item.lines >> bit & 1 == 1)
                .fold(0u64, |sum, bit| sum.saturating_add(from(&self.lines[bit].0)));
            most < u64::from(kind.count)
        };
        self.kinds.iter().find(short).map(|kind| kind.item.piece)
    }

    fn plan(&self, sheets: &[Growing]) -> Plan {
        let corner = (self.rules.trims.left, self.rules.trims.top);
        let mut plan = Plan::default();
        for sheet in sheets {
            let root = sheet.part(self.cut, corner);
            let stock = self.lines[sheet.line].1;
            plan.sheets.push(CutSheet { stock, copies: 1, root });
        }
        plan.sheets.sort_by_key(|sheet| sheet.stock);
        plan
    }
}

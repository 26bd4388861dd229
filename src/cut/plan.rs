//! Step 7, *plan the cuts*: a whole problem in, the best plan found and what no plan can beat out.
//!
//! Chooses papers for pieces that belong together, hands the question to the method for its goal
//! ([`super::value`], [`super::all`]), makes the plan fit for hands ([`super::finish`]), and gives no
//! plan that [`check`] finds fault with.

use crate::cut::all::Left;
use crate::cut::finish::{self, Look};
use crate::cut::fits::Question;
use crate::cut::scale::Scale;
use crate::cut::tree::Plan;
use crate::cut::work::Work;
use crate::cut::{Goal, OffcutWorth, On, PieceIndex, Problem, Stock, StockIndex, Worth, all, check, groups, value};

/// Steps for the exact search at most.
const FEW: u64 = 300_000_000;
/// Steps for a plan that is easier on the hands than the exact one.
const HANDIER: u64 = 2_000_000;

/// How hard the planner may try, and what it prefers among equals.
#[derive(Clone)]
pub struct Effort<'a> {
    /// Steps of work, counted and never timed, so that the same input gives the same plan.
    pub work: u64,
    /// Asked now and then whether to end at once (a wall clock, a closed window). A plan that it cut
    /// short says so, for another run may come further.
    pub stop: Option<&'a dyn Fn() -> bool>,
    /// What offcuts are worth, between plans that use as little.
    pub offcuts: OffcutWorth,
}

impl Effort<'_> {
    /// So much work, no safety stop, offcuts judged by their shape.
    #[must_use]
    pub fn work(work: u64) -> Self {
        Self { work, stop: None, offcuts: OffcutWorth::Shape }
    }
}

/// The best plan found, and how good it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// The plan.
    pub plan: Plan,
    /// The value of the pieces cut.
    pub value: i128,
    /// The sheets opened; stock that a piece's cutting makes is not counted.
    pub sheets: u64,
    /// The cost of the sheets opened.
    pub cost: i128,
    /// What no plan can beat: most value, fewest sheets or least cost, as the goal says. Pieces that
    /// fit no stock are left aside.
    pub bound: i128,
    /// Whether the plan reaches the bound, so that none is better.
    pub proven: bool,
    /// Whether the safety stop struck before the work was done.
    pub cut_short: bool,
    /// Pieces that fit on no sheet they may come from, whichever way they may lie.
    pub too_large: Vec<PieceIndex>,
    /// Pieces of a group that no one paper has room for together with the rest of their group.
    pub no_common_paper: Vec<PieceIndex>,
}

/// What a method found: a plan whose cuts may still be put in a better order, and the bound.
pub(super) struct Found {
    pub(super) plan: Plan,
    pub(super) bound: i128,
}

/// Plans the cuts. Never fails: what is not cut is named in [`Plan::unplaced`].
#[must_use]
pub fn plan(problem: &Problem, effort: &Effort<'_>) -> Answer {
    let mut work = Work::new(effort.stop);
    let too_large: Vec<PieceIndex> =
        (0..problem.pieces.len()).map(PieceIndex).filter(|piece| !fits_somewhere(problem, *piece)).collect();
    let mut asked = problem.clone();
    for piece in &too_large {
        asked.pieces[piece.0].count = 0;
    }
    let choices = groups::choices(&asked);
    choices.apart.iter().for_each(|piece| asked.pieces[piece.0].count = 0);
    let share = effort.work / (choices.ways.len() + usize::from(!choices.complete)).max(1) as u64;
    let mut best: Option<Answer> = None;
    let mut bound: Option<i128> = None;
    // No plan is better than the best bound of all ways.
    let mut widen = |other: i128| {
        bound = Some(match (bound, problem.goal) {
            (None, _) => other,
            (Some(bound), Goal::MostValue) => bound.max(other),
            (Some(bound), _) => bound.min(other),
        });
    };
    for choice in &choices.ways {
        let limit = work.done().saturating_add(share);
        let (answer, can) = one(choice, &asked, effort, limit, &mut work);
        if can != Can::Never {
            widen(answer.bound);
        }
        if best.as_ref().is_none_or(|other| better(problem.goal, &answer, other)) {
            best = Some(answer);
        }
    }
    if !choices.complete {
        // For the ways not tried: what holds if every piece may come from any paper.
        let mut free = asked.clone();
        free.pieces.iter_mut().for_each(|piece| piece.group = None);
        let limit = work.done().saturating_add(share);
        widen(one(&free, &free, effort, limit, &mut work).0.bound);
    }
    let mut answer = best.unwrap_or_else(|| nothing(&asked));
    answer.bound = bound.unwrap_or(answer.bound);
    answer.proven = reaches(problem.goal, &answer);
    answer.cut_short = work.stopped();
    answer.plan.unplaced = all::missing(problem, &answer.plan.sheets);
    answer.too_large = too_large.into_iter().filter(|piece| problem.pieces[piece.0].count > 0).collect();
    answer.no_common_paper = choices.apart;
    if !check(problem, &answer.plan).is_empty() {
        debug_assert_eq!(check(problem, &answer.plan), vec![], "a plan that breaks a rule");
        return nothing(problem);
    }
    answer
}

/// Whether all pieces can be cut from a choice of papers.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Can {
    /// They can, or nobody knows.
    Perhaps,
    /// It is proven that they cannot, so the choice says nothing about the cost of plans for all of them.
    Never,
}

/// One choice of papers.
fn one(choice: &Problem, asked: &Problem, effort: &Effort<'_>, limit: u64, work: &mut Work<'_>) -> (Answer, Can) {
    let scale = Scale::new(choice);
    // A tenth of the work is kept for the hands.
    let now = work.done();
    let until = now + (limit.saturating_sub(now)) / 10 * 9;
    let few = few(choice, &scale, until, work);
    // Where it is known that not all pieces can be cut, a plan at once for most of them will do.
    let can = if matches!(few, Few::Impossible) { Can::Never } else { Can::Perhaps };
    let until = if can == Can::Never { work.done() } else { until };
    let look = Look { problem: choice, scale: &scale, worth: &effort.offcuts };
    let fit = |found: Found, work: &mut Work<'_>| {
        let mut plan = finish::finish(&look, found.plan, limit, work);
        plan.unplaced = all::missing(asked, &plan.sheets);
        let plan = if check(asked, &plan).is_empty() { plan } else { everything_out(asked) };
        measured(asked, plan, found.bound)
    };
    let search = |until: u64, work: &mut Work<'_>| match choice.goal {
        Goal::MostValue => value::most(choice, &scale, until, work),
        Goal::FewestSheets | Goal::LeastCost => all::pieces(choice, &scale, until, work),
    };
    if let Few::Best(found) = few {
        let bound = found.bound;
        let answer = fit(found, work);
        if reaches(choice.goal, &answer) {
            // The exact search knows no hands; one that does may come to as thrifty a plan.
            let other = Found { bound, ..search(until.min(work.done() + HANDIER), work) };
            let other = fit(other, work);
            let as_thrifty = reaches(choice.goal, &other) && other.cost <= answer.cost && other.sheets <= answer.sheets;
            let hands = |answer: &Answer| finish::burden(&answer.plan, &effort.offcuts);
            return if as_thrifty && hands(&other) < hands(&answer) { (other, can) } else { (answer, can) };
        }
    }
    (fit(search(until, work), work), can)
}

/// What the exact search says.
enum Few {
    /// The best plan of all; its figure is the bound.
    Best(Found),
    /// Not all pieces can be cut from what there is.
    Impossible,
    /// There are too many pieces, or the work ran out.
    Unknown,
}

/// The exact answer where few pieces are asked for.
fn few(choice: &Problem, scale: &Scale, until: u64, work: &mut Work<'_>) -> Few {
    let single = choice.stock.len() == 1 && choice.stock[0].count == 1;
    let made = choice.stock.iter().any(|stock| stock.made_by.is_some());
    // One sheet without rules for hands has a search of its own.
    let single = single && !choice.rules.of_hands();
    if (choice.goal == Goal::MostValue && (single || made)) || !scale.exact {
        return Few::Unknown;
    }
    let left = Left::new(choice);
    let cost = |line: usize| u64::try_from(scale.costs[line]).unwrap_or(0);
    let line = |(index, stock): (usize, &Stock)| Stock {
        count: left.stock[index],
        cost: Worth::Exactly(cost(index)),
        ..stock.clone()
    };
    let stock: Vec<Stock> = choice.stock.iter().enumerate().map(line).collect();
    let mut pieces = choice.pieces.clone();
    for (index, piece) in pieces.iter_mut().enumerate() {
        let lines = (0..stock.len()).filter(|line| !all::comes_of_itself(choice, index, *line)).map(StockIndex);
        piece.on = On::Only(lines.filter(|line| piece.on.allows(*line)).collect());
    }
    let values: Vec<i128> = scale.values.iter().map(|value| i128::from(*value)).collect();
    let values = (choice.goal == Goal::MostValue).then_some(&values[..]);
    let allowed = (until.saturating_sub(work.done()) / 2).min(FEW);
    let mut plan = match Question::new(&pieces, &stock, &choice.rules).best(values, allowed, work) {
        None => return Few::Unknown,
        Some(None) => return Few::Impossible,
        Some(Some(plan)) => plan,
    };
    plan.sheets = all::in_order(choice, plan.sheets);
    let answer = measured(choice, plan, 0);
    let bound = figure(choice.goal, &answer);
    Few::Best(Found { plan: answer.plan, bound })
}

/// The figures of a plan.
fn measured(problem: &Problem, plan: Plan, bound: i128) -> Answer {
    let copies = plan.copies(problem.pieces.len());
    let worth = |piece: &super::Piece| piece.value.of(piece.width, piece.height);
    let value = problem.pieces.iter().zip(copies).map(|(piece, copies)| worth(piece) * i128::from(copies)).sum();
    let opened = plan.sheets.iter().filter(|sheet| problem.stock[sheet.stock.0].made_by.is_none());
    let sheets = opened.map(|sheet| u64::from(sheet.copies)).sum();
    let price = |sheet: &super::CutSheet| {
        let stock = &problem.stock[sheet.stock.0];
        stock.cost.of(stock.width, stock.height) * i128::from(sheet.copies)
    };
    let cost = plan.sheets.iter().map(price).sum();
    Answer {
        plan,
        value,
        sheets,
        cost,
        bound,
        proven: false,
        cut_short: false,
        too_large: Vec::new(),
        no_common_paper: Vec::new(),
    }
}

fn everything_out(problem: &Problem) -> Plan {
    let wanted = problem.pieces.iter().enumerate().filter(|(_, piece)| piece.count > 0);
    Plan { sheets: Vec::new(), unplaced: wanted.map(|(index, piece)| (PieceIndex(index), piece.count)).collect() }
}

/// No plan at all, with a bound that says nothing.
fn nothing(problem: &Problem) -> Answer {
    let all: i128 = problem
        .pieces
        .iter()
        .map(|piece| piece.value.of(piece.width, piece.height).saturating_mul(i128::from(piece.count)))
        .fold(0, i128::saturating_add);
    let bound = if problem.goal == Goal::MostValue { all } else { 0 };
    measured(problem, everything_out(problem), bound)
}

fn figure(goal: Goal, answer: &Answer) -> i128 {
    match goal {
        Goal::MostValue => answer.value,
        Goal::FewestSheets => answer.sheets.into(),
        Goal::LeastCost => answer.cost,
    }
}

fn reaches(goal: Goal, answer: &Answer) -> bool {
    match goal {
        Goal::MostValue => answer.value >= answer.bound,
        Goal::FewestSheets | Goal::LeastCost => answer.plan.unplaced.is_empty() && figure(goal, answer) <= answer.bound,
    }
}

fn better(goal: Goal, one: &Answer, other: &Answer) -> bool {
    let out = |answer: &Answer| answer.plan.unplaced.iter().map(|(_, count)| u64::from(*count)).sum::<u64>();
    match goal {
        Goal::MostValue => (one.value, -one.cost) > (other.value, -other.cost),
        Goal::FewestSheets | Goal::LeastCost => {
            (out(one), figure(goal, one), one.cost) < (out(other), figure(goal, other), other.cost)
        }
    }
}

/// Whether one copy alone could be cut from some sheet.
pub(super) fn fits_somewhere(problem: &Problem, index: PieceIndex) -> bool {
    let piece = &problem.pieces[index.0];
    let trims = problem.rules.trims;
    piece.width.is_positive()
        && piece.height.is_positive()
        && problem.stock.iter().enumerate().any(|(line, stock)| {
            let width = stock.width - trims.left - trims.right;
            let height = stock.height - trims.top - trims.bottom;
            let upright = piece.width <= width && piece.height <= height;
            let lying = piece.turn == super::Turn::Either && piece.height <= width && piece.width <= height;
            stock.count > 0 && piece.on.allows(StockIndex(line)) && (upright || lying)
        })
}

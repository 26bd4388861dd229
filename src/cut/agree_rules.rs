//! Tests: the planner and a slower one that tries every cut, with the rules of trimmer and hand: trims, a
//! width of the cut, stages, the longest cut, the narrowest held strip, pieces of one paper, and stock that
//! is made by cutting. Thousands of small random questions, seed printed.

#![allow(clippy::cast_possible_truncation, reason = "numbers of these cases are below a hundred")]

use super::seeded::Seeded;
use super::*;
use std::collections::BTreeMap;
use units::Length;

fn mm(n: i64) -> Length {
    Length::MILLIMETRE * n
}

/// One copy that is wanted.
struct Copy {
    piece: usize,
    size: (i64, i64),
    turns: bool,
}

/// What is known of a part: the copies to come from it, its size, and the cut before it with the stages so far.
type Key = (u32, i64, i64, Option<Axis>, u32);

/// A sheet: its line, width, height and cost.
type Sheet = (usize, i64, i64, i64);

/// The rules in whole millimetres.
struct Hands {
    cut: i64,
    longest: i64,
    safe: i64,
    stages: u32,
}

/// A planner that makes every cut at every whole place.
struct Everything<'a> {
    copies: &'a [Copy],
    hands: &'a Hands,
    known: BTreeMap<Key, bool>,
}

impl Everything<'_> {
    /// Whether all copies of `set` come from a part of that size.
    fn part(&mut self, set: u32, (w, h): (i64, i64), above: Option<Axis>, stages: u32) -> bool {
        if set == 0 {
            return true;
        }
        let key = (set, w, h, above, stages);
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let mut can = false;
        if set.count_ones() == 1 {
            let copy = &self.copies[set.trailing_zeros() as usize];
            can = copy.size == (w, h) || (copy.turns && copy.size == (h, w));
        }
        for (axis, along, across) in [(Axis::X, w, h), (Axis::Y, h, w)] {
            let now = stages + u32::from(above != Some(axis));
            if can || now > self.hands.stages || across > self.hands.longest {
                continue;
            }
            can = (1..along).any(|at| {
                let rest = (along - at - self.hands.cut).max(0);
                let held = |side: i64| side.min(across) >= self.hands.safe;
                (held(at) || held(rest)) && self.two(set, axis, across, (at, rest), now)
            });
        }
        self.known.insert(key, can);
        can
    }

    /// Whether the copies can be spread over the two parts of a cut.
    fn two(&mut self, set: u32, axis: Axis, across: i64, (near, far): (i64, i64), stages: u32) -> bool {
        let size = |along: i64| if axis == Axis::X { (along, across) } else { (across, along) };
        let mut here = set;
        loop {
            if self.part(here, size(near), Some(axis), stages)
                && (set & !here == 0 || far > 0)
                && self.part(set & !here, size(far), Some(axis), stages)
            {
                return true;
            }
            if here == 0 {
                return false;
            }
            here = (here - 1) & set;
        }
    }

    /// The least cost of all of `set` from the sheets, where `may` says which copy
    /// may come from which line.
    fn sheets(&mut self, set: u32, sheets: &[Sheet], may: &dyn Fn(usize, usize) -> bool) -> Option<i64> {
        if set == 0 {
            return Some(0);
        }
        let ((line, width, height, cost), others) = sheets.split_first()?;
        let mut best = self.sheets(set, others, may);
        let mut here = set;
        while here != 0 {
            let allowed = (0..self.copies.len()).filter(|copy| here >> copy & 1 == 1).all(|copy| may(copy, *line));
            if allowed
                && self.part(here, (*width, *height), None, 0)
                && let Some(rest) = self.sheets(set & !here, others, may)
            {
                best = Some(best.map_or(rest + cost, |best| best.min(rest + cost)));
            }
            here = (here - 1) & set;
        }
        best
    }
}

/// Up to 4 copies on up to 3 sheets, sides up to 12, with rules by chance.
fn case(seed: u64) -> Problem {
    let random = &mut Seeded::new(seed);
    let mut within = |from: i64, to: i64| from + i64::try_from(random.below((to - from + 1) as u64)).unwrap();
    let mut rules = Rules::default();
    if within(0, 3) == 0 {
        rules.trims = Trims { left: mm(within(0, 1)), right: mm(within(0, 1)), top: mm(1), bottom: mm(within(0, 1)) };
    }
    rules.cut_width = mm(i64::from(within(0, 4) == 0));
    if within(0, 2) == 0 {
        rules.longest_cut = Some(mm(within(4, 9)));
    }
    rules.safe_strip = mm(within(0, 5).saturating_sub(2));
    if within(0, 1) == 0 {
        rules.stages = Stages::AtMost(within(1, 4) as u8);
    }
    let mut stock = Vec::new();
    for line in 0..within(1, 3) {
        let (w, h) = (within(3, 12), within(3, 12));
        let cost = Worth::Exactly((w * h) as u64);
        stock.push(Stock { cost, paper: within(0, 1) as u32, ..Stock::new(&line.to_string(), mm(w), mm(h), 1) });
    }
    let (mut pieces, mut copies) = (Vec::<Piece>::new(), 0);
    let most = within(3, 7);
    while copies < 4 && (copies < 2 || within(0, 4) > 0) {
        let turn = if within(0, 1) == 0 { Turn::Either } else { Turn::AsPrinted };
        let on = if within(0, 5) == 0 { On::Only(vec![StockIndex(0)]) } else { On::Any };
        let count = 1 + i64::from(copies < 3 && within(0, 3) == 0);
        let group = (within(0, 3) == 0).then_some(7);
        let (w, h) = (within(1, most), within(1, most));
        pieces.push(Piece { on, group, ..Piece::new("p", mm(w), mm(h), count as u32, turn) });
        copies += count;
    }
    if within(0, 4) == 0 {
        // The hidden middle of the first piece, if it is large enough to have one.
        let piece = &pieces[0];
        let middle = (piece.width - mm(2), piece.height - mm(2));
        if middle.0.is_positive() && middle.1.is_positive() {
            let made_by = Some(PieceIndex(0));
            stock.push(Stock { cost: Worth::Exactly(0), made_by, ..Stock::new("middle", middle.0, middle.1, 9) });
        }
    }
    Problem { goal: Goal::LeastCost, stock, pieces, rules }
}

/// The copies that are wanted, one by one.
fn copies(problem: &Problem) -> Vec<Copy> {
    let each = problem.pieces.iter().enumerate().flat_map(|(place, piece)| {
        let size = (whole(piece.width), whole(piece.height));
        (0..piece.count).map(move |_| Copy { piece: place, size, turns: piece.turn == Turn::Either })
    });
    each.collect()
}

fn whole(length: Length) -> i64 {
    length.nanometres() / Length::MILLIMETRE.nanometres()
}

/// Calls `ask` with a planner that tries everything, the sheets there are, and which copy may come from which
/// line, once for each paper that a group may come from.
fn by_paper<T>(
    problem: &Problem,
    mut ask: impl FnMut(&mut Everything<'_>, &[Sheet], &dyn Fn(usize, usize) -> bool) -> T,
) -> [T; 2] {
    let rules = &problem.rules;
    let hands = Hands {
        cut: whole(rules.cut_width),
        longest: rules.longest_cut.map_or(i64::MAX, whole),
        safe: whole(rules.safe_strip),
        stages: if let Stages::AtMost(stages) = rules.stages { u32::from(stages) } else { u32::MAX },
    };
    let copies = copies(problem);
    let mut sheets = Vec::new();
    for (line, stock) in problem.stock.iter().enumerate() {
        let count = stock.made_by.map_or(stock.count, |maker| stock.count.min(problem.pieces[maker.0].count));
        let cost = stock.cost.of(stock.width, stock.height) as i64;
        let width = whole(stock.width - rules.trims.left - rules.trims.right);
        let height = whole(stock.height - rules.trims.top - rules.trims.bottom);
        (0..count).filter(|_| width > 0 && height > 0).for_each(|_| sheets.push((line, width, height, cost)));
    }
    let mut all = Everything { copies: &copies, hands: &hands, known: BTreeMap::new() };
    [0, 1].map(|paper| {
        let may = |copy: usize, line: usize| {
            let (piece, stock) = (&problem.pieces[copies[copy].piece], &problem.stock[line]);
            let own_middle = stock.made_by == Some(PieceIndex(copies[copy].piece));
            piece.on.allows(StockIndex(line)) && (piece.group.is_none() || stock.paper == paper) && !own_middle
        };
        ask(&mut all, &sheets, &may)
    })
}

/// The least cost of all pieces, by trying everything; `None` where they cannot all be cut.
fn truth(problem: &Problem) -> Option<i64> {
    let set = (1u32 << copies(problem).len()) - 1;
    by_paper(problem, |all, sheets, may| all.sheets(set, sheets, may)).into_iter().flatten().min()
}

/// The most value, by trying everything; `values` by copy.
fn most_value(problem: &Problem, values: &[i128]) -> i128 {
    let [most, _] = by_paper(problem, |all, sheets, may| {
        let mut most = 0;
        for set in 1u32..1 << values.len() {
            let value = (0..values.len()).filter(|copy| set >> copy & 1 == 1).map(|copy| values[copy]).sum();
            if value > most && all.sheets(set, sheets, may).is_some() {
                most = value;
            }
        }
        most
    });
    most
}

#[test]
fn with_all_rules_plans_are_as_cheap_as_trying_everything_finds() {
    let (mut cut, mut cannot, mut dearer) = (0, 0, 0);
    for seed in 0..3000 {
        let problem = case(seed);
        let answer = plan(&problem, &Effort::work(400_000));
        assert_eq!(check(&problem, &answer.plan), vec![], "seed {seed}");
        // What the same pieces cost where the trimmer has no rules.
        let plain = Problem { rules: Rules { trims: problem.rules.trims, ..Rules::default() }, ..problem.clone() };
        let least = truth(&problem);
        dearer += usize::from(truth(&plain).is_some_and(|plain| least.is_none_or(|least| plain < least)));
        let Some(cost) = least else {
            assert!(!answer.plan.unplaced.is_empty(), "seed {seed}: a plan for what cannot be cut");
            // What is larger than all stock is named, and the rest is planned.
            let named = !answer.too_large.is_empty() || !answer.no_common_paper.is_empty();
            assert!(named || !answer.proven, "seed {seed}: a proof for a plan that lacks something");
            cannot += 1;
            continue;
        };
        assert_eq!(answer.plan.unplaced, vec![], "seed {seed}: left out though it can be cut for {cost}");
        assert_eq!(answer.cost, i128::from(cost), "seed {seed}");
        assert!(answer.proven && answer.bound == answer.cost, "seed {seed}: bound {} for {cost}", answer.bound);
        cut += 1;
    }
    assert!(cut > 1000 && cannot > 500 && dearer > 200, "one-sided: {cut} cut, {cannot} not, {dearer} by rules");
}

#[test]
fn with_all_rules_the_most_value_is_what_trying_everything_finds() {
    let (mut all, mut some) = (0, 0);
    for seed in 10_000..11_000 {
        let mut problem = Problem { goal: Goal::MostValue, ..case(seed) };
        problem.stock.retain(|stock| stock.made_by.is_none());
        problem.pieces.iter_mut().for_each(|piece| piece.group = None);
        let random = &mut Seeded::new(seed);
        let mut values = Vec::new();
        for piece in &mut problem.pieces {
            let value = 1 + random.below(30);
            piece.value = Worth::Exactly(value);
            (0..piece.count).for_each(|_| values.push(i128::from(value)));
        }
        let most = most_value(&problem, &values);
        let answer = plan(&problem, &Effort::work(400_000));
        assert_eq!(check(&problem, &answer.plan), vec![], "seed {seed}");
        assert_eq!(answer.value, most, "seed {seed}");
        assert!(answer.proven && answer.bound == most, "seed {seed}: bound {} for {most}", answer.bound);
        if most == values.iter().sum() { all += 1 } else { some += 1 }
    }
    assert!(all > 200 && some > 200, "one-sided cases: {all} {some}");
}

#[test]
fn fits_says_yes_or_no_with_all_rules() {
    let (mut yes, mut no) = (0, 0);
    for seed in 20_000..21_000 {
        let mut problem = case(seed);
        problem.stock.retain(|stock| stock.made_by.is_none());
        problem.pieces.iter_mut().for_each(|piece| piece.group = None);
        let limits = Limits { work: 1_000_000, rules: problem.rules.clone() };
        let can = truth(&problem).is_some();
        match fits(&problem.pieces, &problem.stock, &limits) {
            Fits::Yes(plan) => {
                assert_eq!(check(&problem, &plan), vec![], "seed {seed}");
                assert!(can, "seed {seed}");
                yes += 1;
            }
            Fits::No(why) => {
                assert!(!can, "seed {seed}: {why:?} though it can be cut");
                no += 1;
            }
            Fits::Unknown => panic!("seed {seed}: a small question without an answer"),
        }
    }
    assert!(yes > 200 && no > 200, "one-sided cases: {yes} {no}");
}

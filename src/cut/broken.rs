//! Tests: a sound plan broken once per rule, and the checker names exactly that rule.

use super::*;
use std::mem::discriminant;
use units::Length;

fn mm(n: i64) -> Length {
    Length::MILLIMETRE * n
}

fn part(x: i64, y: i64, width: i64, height: i64, becomes: Becomes) -> Part {
    Part { x: mm(x), y: mm(y), width: mm(width), height: mm(height), becomes }
}

fn piece(index: usize) -> Becomes {
    Becomes::Piece { piece: PieceIndex(index), turned: Turned::No }
}

fn cut(axis: Axis, at: i64, held: Side, near: Part, far: Part) -> Becomes {
    Becomes::Cut(Box::new(Cut { axis, at: mm(at), held, near, far }))
}

/// Two sheets 300 x 200 trimmed by 10 all round, and the middle of piece 0:
///
/// ```text
///   10       110        210      290
///   +---------+----------+--------+ 10
///   | 0       | 1        | left   |
///   | 100x180 | 100x100  | 80x180 |
///   |         +----------+ 110    |
///   |         | left     |        |
///   +---------+----------+--------+ 190
/// ```
fn sound() -> (Problem, Plan) {
    let stock = |id: &str, count| Stock::new(id, mm(300), mm(200), count);
    let mut middle = Stock::new("middle", mm(60), mm(80), 1);
    middle.made_by = Some(PieceIndex(0));
    let mut pieces = vec![
        Piece::new("tall", mm(100), mm(180), 2, Turn::AsPrinted),
        Piece::new("square", mm(100), mm(100), 2, Turn::AsPrinted),
        Piece::new("small", mm(30), mm(40), 1, Turn::Either),
    ];
    pieces[0].group = Some(1);
    pieces[1].on = On::Only(vec![StockIndex(0), StockIndex(2)]);
    let mut lines = vec![stock("one", 3), middle, stock("two", 1)];
    lines[2].paper = 7;
    let rules = Rules {
        trims: Trims { left: mm(10), right: mm(10), top: mm(10), bottom: mm(10) },
        longest_cut: Some(mm(250)),
        safe_strip: mm(20),
        stages: Stages::AtMost(3),
        ..Rules::default()
    };
    let column = part(
        110,
        10,
        100,
        180,
        cut(Axis::Y, 110, Side::Near, part(110, 10, 100, 100, piece(1)), part(110, 110, 100, 80, Becomes::Offcut)),
    );
    let right = part(110, 10, 180, 180, cut(Axis::X, 210, Side::Near, column, part(210, 10, 80, 180, Becomes::Offcut)));
    let root = part(10, 10, 280, 180, cut(Axis::X, 110, Side::Far, part(10, 10, 100, 180, piece(0)), right));
    let small = part(
        10,
        10,
        40,
        60,
        cut(
            Axis::X,
            40,
            Side::Near,
            part(
                10,
                10,
                30,
                60,
                cut(Axis::Y, 50, Side::Near, part(10, 10, 30, 40, piece(2)), part(10, 50, 30, 20, Becomes::Offcut)),
            ),
            part(40, 10, 10, 60, Becomes::Offcut),
        ),
    );
    let sheet = |stock, root: &Part| CutSheet { stock: StockIndex(stock), copies: 1, root: root.clone() };
    let plan = Plan { sheets: vec![sheet(0, &root), sheet(0, &root), sheet(1, &small)], unplaced: Vec::new() };
    (Problem { goal: Goal::FewestSheets, stock: lines, pieces, rules }, plan)
}

/// The first cut of the sheet, and its right part's own cut.
fn first(plan: &mut Plan) -> &mut Cut {
    let Becomes::Cut(cut) = &mut plan.sheets[0].root.becomes else { panic!("the sheet is cut") };
    cut
}

fn second(plan: &mut Plan) -> &mut Cut {
    let Becomes::Cut(cut) = &mut first(plan).far.becomes else { panic!("the rest is cut") };
    cut
}

fn column(plan: &mut Plan) -> &mut Cut {
    let Becomes::Cut(cut) = &mut second(plan).near.becomes else { panic!("the column is cut") };
    cut
}

fn shift(part: &mut Part, x: Length, y: Length) {
    (part.x, part.y) = (part.x + x, part.y + y);
    if let Becomes::Cut(cut) = &mut part.becomes {
        cut.at += if cut.axis == Axis::X { x } else { y };
        shift(&mut cut.near, x, y);
        shift(&mut cut.far, x, y);
    }
}

fn named(problem: &Problem, plan: &Plan, expected: &Broken) {
    let found = check(problem, plan);
    assert!(!found.is_empty(), "nothing found, {expected:?} expected");
    for broken in &found {
        assert_eq!(discriminant(broken), discriminant(expected), "{found:?} found, {expected:?} expected");
        assert!(!broken.to_string().is_empty());
    }
}

#[test]
fn the_sound_plan_is_sound() {
    let (problem, plan) = sound();
    assert_eq!(check(&problem, &plan), vec![]);
}

#[test]
fn each_broken_rule_is_named_and_no_other() {
    let at = Length::ZERO;
    let one = PieceIndex(1);
    type Breaks = fn(&mut Problem, &mut Plan);
    let cases: Vec<(Broken, Breaks)> = vec![
        (Broken::Unknown { sheet: 0 }, |problem, plan| {
            problem.pieces[1].count = 1;
            column(plan).near.becomes = piece(99);
        }),
        (Broken::Outside { sheet: 0 }, |_, plan| shift(&mut plan.sheets[0].root, mm(1), mm(0))),
        (Broken::Overlap { sheet: 0 }, |_, plan| shift(&mut second(plan).far, mm(-1), mm(0))),
        (Broken::NotEdgeToEdge { sheet: 0, at }, |_, plan| column(plan).at += mm(1)),
        (Broken::WrongSize { piece: one }, |_, plan| {
            let cut = column(plan);
            cut.at += mm(1);
            cut.near.height += mm(1);
            (cut.far.y, cut.far.height) = (cut.far.y + mm(1), cut.far.height - mm(1));
        }),
        (Broken::TurnedThoughDirectional { piece: one }, |_, plan| {
            column(plan).near.becomes = Becomes::Piece { piece: PieceIndex(1), turned: Turned::Quarter };
        }),
        (Broken::WrongCount { piece: one, found: 0, wanted: 0 }, |_, plan| column(plan).near.becomes = Becomes::Offcut),
        (Broken::WrongCount { piece: one, found: 0, wanted: 0 }, |problem, _| {
            problem.goal = Goal::MostValue;
            problem.pieces[1].count = 1;
        }),
        (Broken::TooManyStages { sheet: 0, found: 0 }, |_, plan| {
            let halves = |x, axis: Axis| match axis {
                Axis::X => (part(x, 110, 50, 80, Becomes::Offcut), part(x + 50, 110, 50, 80, Becomes::Offcut)),
                Axis::Y => (part(x, 110, 50, 40, Becomes::Offcut), part(x, 150, 50, 40, Becomes::Offcut)),
            };
            let (mut near, far) = halves(110, Axis::X);
            let (upper, lower) = halves(110, Axis::Y);
            near.becomes = cut(Axis::Y, 150, Side::Near, upper, lower);
            column(plan).far.becomes = cut(Axis::X, 160, Side::Near, near, far);
        }),
        (Broken::BelowSafeStrip { sheet: 2, at, held: at }, |_, plan| {
            let Becomes::Cut(cut) = &mut plan.sheets[2].root.becomes else { panic!("the middle is cut") };
            cut.held = Side::Far;
        }),
        (Broken::CutTooLong { sheet: 3, length: at }, |_, plan| {
            let halves = (part(10, 10, 280, 90, Becomes::Offcut), part(10, 100, 280, 90, Becomes::Offcut));
            let root = part(10, 10, 280, 180, cut(Axis::Y, 100, Side::Near, halves.0, halves.1));
            plan.sheets.push(CutSheet { stock: StockIndex(0), copies: 1, root });
        }),
        (Broken::StockUsedTwice { stock: StockIndex(0), found: 0, on_hand: 0 }, |_, plan| {
            let root = part(10, 10, 280, 180, Becomes::Offcut);
            plan.sheets.push(CutSheet { stock: StockIndex(0), copies: 2, root });
        }),
        (Broken::WrongStock { piece: one, stock: StockIndex(0) }, |problem, _| {
            problem.pieces[1].on = On::Only(vec![StockIndex(1)]);
        }),
        (Broken::GroupSplit { group: 1 }, |_, plan| plan.sheets[1].stock = StockIndex(2)),
        (Broken::NotYetThere { stock: StockIndex(1) }, |_, plan| plan.sheets.reverse()),
    ];
    for (expected, breaks) in cases {
        let (mut problem, mut plan) = sound();
        breaks(&mut problem, &mut plan);
        named(&problem, &plan, &expected);
    }
}

//! Measures the cut planner on published instances and prints the table in `docs/cutting.md`.
//!
//! `cargo bench --bench cutting` runs the quick sets (unlimited, limited, limited-turned, mixed, card,
//! scale). `-- many every=10` runs every tenth of the 500 many-sheet problems, `-- many-turned every=1`
//! all of them with turning; `work=N` sets the steps a problem may take, `only=NAME` picks one. Each
//! line: set, problem, published value, found, bound, proven, seconds.

use std::collections::BTreeMap;
use std::time::Instant;
use swatchfold::cut::{Effort, Fits, Goal, Limits, Piece, Problem, Rules, Stock, Turn, Worth, check, fits, plan};
use units::Length;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/published/cutting/");

fn mm(text: &str) -> Length {
    Length::MILLIMETRE * text.parse::<i64>().expect("a whole number")
}

fn rows(file: &str) -> Vec<Vec<String>> {
    let text = std::fs::read_to_string(format!("{FOLDER}{file}.csv")).expect("published data");
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// The instances of a file in the common format.
fn instances(file: &str, goal: Goal) -> Vec<(String, Problem)> {
    let mut found: Vec<(String, Problem)> = Vec::new();
    for row in rows(file) {
        let [name, kind, id, width, height, copies, value] = &row[..] else { panic!("7 columns in {file}") };
        if found.last().is_none_or(|(last, _)| last != name) {
            let (stock, pieces) = (Vec::new(), Vec::new());
            found.push((name.clone(), Problem { goal, stock, pieces, rules: Rules::default() }));
        }
        let problem = &mut found.last_mut().expect("pushed above").1;
        let count: u32 = copies.parse().expect("copies");
        let worth = value.parse().map_or(Worth::Area, Worth::Exactly);
        if kind == "S" {
            let count = if count == 0 { Stock::PLENTY } else { count };
            problem.stock.push(Stock { cost: worth, ..Stock::new(id, mm(width), mm(height), count) });
        } else {
            problem
                .pieces
                .push(Piece { value: worth, ..Piece::new(id, mm(width), mm(height), count, Turn::AsPrinted) });
        }
    }
    found
}

struct Totals {
    seconds: f64,
    worst: f64,
    proven: usize,
    met: usize,
    count: usize,
}

fn one_sheet(title: &str, work: u64, cases: Vec<(String, Problem, Option<i128>)>) {
    let mut totals = Totals { seconds: 0.0, worst: 0.0, proven: 0, met: 0, count: 0 };
    for (name, problem, published) in cases {
        let start = Instant::now();
        let answer = plan(&problem, &Effort::work(work));
        let seconds = start.elapsed().as_secs_f64();
        let broken = check(&problem, &answer.plan);
        assert!(broken.is_empty(), "{name}: {broken:?}");
        let unit = if problem.pieces[0].value == Worth::Area { 1_000_000_000_000 } else { 1 };
        let (value, bound) = (answer.value / unit, answer.bound / unit);
        totals.seconds += seconds;
        totals.worst = totals.worst.max(seconds);
        totals.count += 1;
        totals.proven += usize::from(answer.proven);
        totals.met += usize::from(published.is_none_or(|p| value >= p));
        let wrong = published.is_some_and(|p| bound < p || (answer.proven && value != p));
        let known = published.map_or("-".to_owned(), |p| p.to_string());
        let mark = if wrong { " DISAGREES" } else { "" };
        println!(
            "{title} {name}: published {known}, found {value}, bound {bound}, proven {}, {seconds:.2} s{mark}",
            answer.proven
        );
    }
    println!(
        "== {title}: {} of {} proven, {} at the published value or better, {:.2} s in all, {:.2} s at most",
        totals.proven, totals.count, totals.met, totals.seconds, totals.worst
    );
}

fn turned(problem: &Problem) -> Problem {
    let pieces = problem.pieces.iter().map(|piece| Piece { turn: Turn::Either, ..piece.clone() }).collect();
    Problem { pieces, ..problem.clone() }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let wants = |word: &str| words.is_empty() || words.iter().any(|w| w == word);
    let only = words.iter().find_map(|word| word.strip_prefix("only="));
    let work: u64 =
        words.iter().find_map(|word| word.strip_prefix("work=")).map_or(4_000_000_000, |w| w.parse().expect("work"));
    let known: BTreeMap<(String, String), Vec<String>> =
        rows("optima_single_sheet").into_iter().map(|row| ((row[0].clone(), row[1].clone()), row)).collect();
    let value = |set: &str, name: &str, columns: &[usize]| {
        let row = known.get(&(set.to_owned(), name.to_owned()))?;
        columns.iter().find_map(|&column| row.get(column)?.parse::<i128>().ok())
    };
    let keep = |name: &str| only.is_none_or(|only| only == name);
    if wants("unlimited") {
        let mut cases = Vec::new();
        for (name, mut problem) in instances("gcut", Goal::MostValue) {
            if !keep(&name) {
                continue;
            }
            problem.pieces.iter_mut().for_each(|piece| piece.count = u32::MAX);
            cases.push((name.clone(), problem.clone(), value("gcut", &name, &[6])));
            cases.push((format!("{name} turned"), turned(&problem), value("gcut", &name, &[7])));
        }
        one_sheet("unlimited", work, cases);
    }
    for (title, turn, columns) in [("limited", false, &[2usize, 4][..]), ("limited-turned", true, &[5][..])] {
        if !wants(title) {
            continue;
        }
        for set in ["gcut", "cgcut", "ngcut", "okp", "classic16"] {
            let mut cases = Vec::new();
            for (name, problem) in instances(set, Goal::MostValue) {
                let published = value(set, &name, columns);
                let twice = set == "classic16" && (name == "2" || name == "3");
                if name != "gcut13" && !twice && keep(&name) && (!turn || published.is_some() || set == "gcut") {
                    cases.push((name, if turn { turned(&problem) } else { problem }, published));
                }
            }
            one_sheet(&format!("{title} {set}"), work, cases);
        }
    }
    if wants("mixed") {
        mixed(work, &keep);
    }
    if wants("card") {
        made_up("card", 30, 15, 60, work.min(100_000_000));
    }
    if wants("scale") {
        for (pieces, kinds, scraps) in [(125, 50, 63), (250, 50, 125), (500, 50, 250), (1000, 50, 500)] {
            made_up("scale", pieces, kinds, scraps, work.min(400_000_000));
        }
    }
    if wants("fits") {
        oracle();
    }
    let every = words.iter().find_map(|word| word.strip_prefix("every=")).map_or(10, |n| n.parse().expect("every"));
    for (title, turn, column) in [("many", Turn::AsPrinted, 3), ("many-turned", Turn::Either, 4)] {
        if words.iter().any(|word| word == title) {
            many(title, turn, column, work, every, &keep);
        }
    }
}

/// How often `fits` answers in a second: 1 to 8 pieces on 1 to 5 lines, near what they hold.
fn oracle() {
    let mut seed = 7u64;
    let mut below = |end: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % end
    };
    let sixteenths = |n: u64| Length::inches(0, i64::try_from(n).expect("small"), 16).expect("a mark");
    let mut questions = Vec::new();
    for _ in 0..4000 {
        let stock: Vec<Stock> = (0..1 + below(5))
            .map(|_| Stock::new("s", sixteenths(40 + below(90)), sixteenths(40 + below(90)), 1))
            .collect();
        let pieces: Vec<Piece> = (0..1 + below(8))
            .map(|_| {
                let turn = if below(2) == 0 { Turn::Either } else { Turn::AsPrinted };
                Piece::new("p", sixteenths(10 + below(60)), sixteenths(10 + below(60)), 1, turn)
            })
            .collect();
        questions.push((pieces, stock));
    }
    let start = Instant::now();
    let (mut yes, mut no, mut unknown) = (0, 0, 0);
    let mut slow = 0.0f64;
    for (pieces, stock) in &questions {
        let one = Instant::now();
        match fits(pieces, stock, &Limits::work(5_000_000)) {
            Fits::Yes(_) => yes += 1,
            Fits::No(_) => no += 1,
            Fits::Unknown => unknown += 1,
        }
        slow = slow.max(one.elapsed().as_secs_f64());
    }
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "== fits: {:.0} answers a second ({yes} yes, {no} no, {unknown} unknown), slowest {:.1} ms",
        f64::from(yes + no + unknown) / seconds,
        slow * 1000.0
    );
}

/// Made-up stash: scraps and a few sheets of mixed sizes, pieces as for cards; seeded, so always the same.
fn made_up(title: &str, pieces: u32, kinds: u32, scraps: u32, work: u64) {
    let mut seed = 2026u64;
    let mut below = |end: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % end
    };
    let sixteenths = |n: u64| Length::inches(0, i64::try_from(n).expect("small"), 16).expect("a mark");
    let stock: Vec<Stock> = (0..scraps)
        .map(|i| {
            let sheet = below(4) == 0;
            let (w, h) = if sheet { (192, 192) } else { (32 + below(100), 48 + below(120)) };
            Stock::new(&format!("stock {i}"), sixteenths(w), sixteenths(h), 1)
        })
        .collect();
    let wanted: Vec<Piece> = (0..kinds)
        .map(|i| {
            let (w, h) = (8 + below(60), 16 + below(72));
            let turn = if below(2) == 0 { Turn::Either } else { Turn::AsPrinted };
            let count = pieces / kinds + u32::from(i < pieces % kinds);
            Piece::new(&format!("piece {i}"), sixteenths(w), sixteenths(h), count, turn)
        })
        .collect();
    let problem = Problem { goal: Goal::LeastCost, stock, pieces: wanted, rules: Rules::default() };
    for work in [0, work] {
        let start = Instant::now();
        let answer = plan(&problem, &Effort::work(work));
        let seconds = start.elapsed().as_secs_f64();
        assert_eq!(check(&problem, &answer.plan), vec![], "{title}");
        let over = 100.0 * (answer.cost as f64 / answer.bound as f64 - 1.0);
        let out = answer.plan.unplaced.len();
        println!(
            "{title}: {pieces} pieces of {kinds} kinds on {scraps} sheets and scraps, work {work}: {over:.2} % above the bound, {out} left out, {} sheets, proven {}, {seconds:.3} s",
            answer.sheets, answer.proven
        );
    }
}

/// Limited copies of mixed sizes: the share of the sheets used that is pieces.
fn mixed(work: u64, keep: &dyn Fn(&str) -> bool) {
    let mut shares: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for (name, problem) in instances("hopper_m", Goal::LeastCost) {
        if !keep(&name) {
            continue;
        }
        let start = Instant::now();
        let answer = plan(&problem, &Effort::work(work));
        let seconds = start.elapsed().as_secs_f64();
        assert_eq!(check(&problem, &answer.plan), vec![], "{name}");
        let pieces: i128 = problem.pieces.iter().map(|p| p.area().square_nanometres() * i128::from(p.count)).sum();
        let share = 100.0 * pieces as f64 / answer.cost as f64;
        println!(
            "mixed {name}: {share:.2} % used, left out {}, proven {}, {seconds:.2} s",
            answer.plan.unplaced.len(),
            answer.proven
        );
        shares.entry(name[..2].to_owned()).or_default().push(share);
    }
    for (name, shares) in shares {
        println!("== mixed {name}: {:.2} % used on average", shares.iter().sum::<f64>() / shares.len() as f64);
    }
}

/// The fewest equal sheets.
fn many(title: &str, turn: Turn, column: usize, work: u64, every: usize, keep: &dyn Fn(&str) -> bool) {
    let known: BTreeMap<String, i128> = rows("best_known_bwmv")
        .into_iter()
        .filter_map(|row| Some((row[0].clone(), row.get(column)?.parse().ok()?)))
        .collect();
    let size = |text: &str| text.split_once('x').map(|(w, h)| (mm(w), mm(h))).expect("WxH");
    let (mut sum, mut sum_known, mut sum_bound, mut slow, mut proven, mut seconds_all) = (0, 0, 0, 0.0f64, 0, 0.0);
    let mut groups: BTreeMap<String, (i128, i128)> = BTreeMap::new();
    for (index, row) in rows("bwmv").into_iter().enumerate() {
        if index % every != (index / 10 / every) % every || !keep(&row[0]) {
            continue;
        }
        let sheet = size(&row[1]);
        let pieces = row[2].split(' ').map(|text| Piece::new(text, size(text).0, size(text).1, 1, turn)).collect();
        let stock = vec![Stock::new("sheet", sheet.0, sheet.1, Stock::PLENTY)];
        let problem = Problem { goal: Goal::FewestSheets, stock, pieces, rules: Rules::default() };
        let start = Instant::now();
        let answer = plan(&problem, &Effort::work(work));
        let seconds = start.elapsed().as_secs_f64();
        assert_eq!(check(&problem, &answer.plan), vec![], "{}", row[0]);
        let best = known[&row[0]];
        if i128::from(answer.sheets) != best {
            println!(
                "{title} {}: best known {best}, found {}, bound {}, {seconds:.2} s",
                row[0], answer.sheets, answer.bound
            );
        }
        assert!(answer.bound <= best, "{}: bound {} is beyond a known plan of {best}", row[0], answer.bound);
        sum += i128::from(answer.sheets);
        sum_known += best;
        sum_bound += answer.bound;
        proven += usize::from(answer.proven);
        slow = slow.max(seconds);
        seconds_all += seconds;
        let group = groups.entry(row[0][..3].to_owned()).or_default();
        *group = (group.0 + i128::from(answer.sheets), group.1 + best);
    }
    println!(
        "== {title}: {sum} sheets, best known {sum_known}, bound {sum_bound}, {proven} proven, {seconds_all:.0} s in all, {slow:.2} s at most; by class {groups:?}"
    );
}

//! Tests: published one-sheet problems that take little time, proven at their published values. The
//! rest, and the times, are in `tests/bench/cutting.rs`.

use super::*;
use std::collections::BTreeMap;
use units::Length;

fn rows(file: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/published/cutting/{file}.csv", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn mm(text: &str) -> Length {
    Length::MILLIMETRE * text.parse::<i64>().unwrap()
}

fn problems(file: &str, turn: Turn) -> BTreeMap<String, Problem> {
    let mut found: BTreeMap<String, Problem> = BTreeMap::new();
    for row in rows(file) {
        let problem = found.entry(row[0].clone()).or_insert_with(|| Problem {
            goal: Goal::MostValue,
            stock: Vec::new(),
            pieces: Vec::new(),
            rules: Rules::default(),
        });
        let (width, height, count) = (mm(&row[3]), mm(&row[4]), row[5].parse().unwrap());
        if row[1] == "S" {
            problem.stock.push(Stock::new(&row[2], width, height, count));
        } else {
            let value = Worth::Exactly(row[6].parse().unwrap());
            problem.pieces.push(Piece { value, ..Piece::new(&row[2], width, height, count, turn) });
        }
    }
    found
}

/// Optimum values: `optima_single_sheet.csv`, columns published and measured.
fn proves(sets: &[&str], turn: Turn, columns: &[usize], work: u64) -> usize {
    let known: BTreeMap<String, Vec<String>> =
        rows("optima_single_sheet").into_iter().map(|row| (row[1].clone(), row)).collect();
    let mut proven = 0;
    for set in sets {
        for (name, problem) in problems(set, turn) {
            let published = columns.iter().find_map(|column| known[&name].get(*column)?.parse::<i128>().ok());
            let Some(published) = published else { continue };
            let answer = plan(&problem, &Effort::work(work));
            assert_eq!(check(&problem, &answer.plan), vec![], "{name}");
            assert!(answer.bound >= published, "{name}: bound {} below a known plan {published}", answer.bound);
            assert!(answer.proven && answer.value == published, "{name}: {} of {published}", answer.value);
            proven += 1;
        }
    }
    proven
}

#[test]
fn small_published_problems_are_proven_at_their_values() {
    assert_eq!(proves(&["ngcut"], Turn::AsPrinted, &[2, 4], 100_000_000), 12);
    assert_eq!(proves(&["ngcut"], Turn::Either, &[5], 100_000_000), 12);
}

#[test]
fn bounds_hold_though_the_work_is_short() {
    let known: BTreeMap<String, Vec<String>> =
        rows("optima_single_sheet").into_iter().map(|row| (row[1].clone(), row)).collect();
    for (name, problem) in problems("classic16", Turn::AsPrinted) {
        let published: i128 = known[&name][2].parse().unwrap();
        for work in [0, 100_000] {
            let answer = plan(&problem, &Effort::work(work));
            assert_eq!(check(&problem, &answer.plan), vec![], "{name}");
            assert!(answer.value <= published && published <= answer.bound, "{name}: {answer:?}");
        }
    }
}

#[test]
fn lower_bounds_stay_below_published_plans() {
    let known: BTreeMap<String, Vec<String>> =
        rows("best_known_bwmv").into_iter().map(|row| (row[0].clone(), row)).collect();
    for row in rows("bwmv").into_iter().filter(|row| row[0].contains("n020") || row[0].ends_with("n040_01")) {
        for (turn, column) in [(Turn::AsPrinted, 1), (Turn::Either, 2)] {
            let size = |text: &str| text.split_once('x').map(|(w, h)| (mm(w), mm(h))).unwrap();
            let (width, height) = size(&row[1]);
            let pieces = row[2].split(' ').map(|text| Piece::new(text, size(text).0, size(text).1, 1, turn)).collect();
            let stock = vec![Stock::new("sheet", width, height, Stock::PLENTY)];
            let problem = Problem { goal: Goal::FewestSheets, stock, pieces, rules: Rules::default() };
            let answer = plan(&problem, &Effort::work(0));
            let best: i128 = known[&row[0]][column].parse().unwrap();
            assert!(answer.bound <= best, "{}: bound {} beyond a known plan of {best} sheets", row[0], answer.bound);
            assert!(answer.plan.unplaced.is_empty() && i128::from(answer.sheets) >= answer.bound, "{}", row[0]);
        }
    }
}

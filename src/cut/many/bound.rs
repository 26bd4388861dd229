//! What no plan can beat: lower bounds on the number of sheets or their cost.
//!
//! Sizes are replaced by weights such that pieces which lie side by side never weigh more than the
//! sheet (dual feasible functions, Fekete and Schepers 2001); then area decides. Where a piece may
//! turn, the lighter way counts.

use super::{Item, Line};

/// A weight for a side: at most `SCALE` for a whole sheet.
const SCALE: i64 = 10_000;

/// The functions of one side, each a list of weights by item and way.
#[derive(Clone, Copy)]
enum Weigh {
    Plain,
    /// Sides above half the sheet and more count whole, those under `k` not at all.
    Ends(i64),
    /// `k` thresholds: a side counts by how many of `k + 1` parts it passes.
    Steps(i64),
}

fn weight(how: Weigh, side: i64, sheet: i64) -> i128 {
    let scale = i128::from(SCALE);
    let (side, sheet) = (i128::from(side), i128::from(sheet));
    match how {
        Weigh::Plain => side * scale * 1000 / sheet,
        Weigh::Ends(k) => {
            let k = i128::from(k);
            let whole = if side > sheet - k {
                scale
            } else if side < k {
                return 0;
            } else {
                return side * scale * 1000 / sheet;
            };
            whole * 1000
        }
        Weigh::Steps(k) => {
            let k = i128::from(k);
            if (k + 1) * side % sheet == 0 {
                side * scale * 1000 / sheet
            } else {
                ((k + 1) * side / sheet) * scale * 1000 / k
            }
        }
    }
}

/// The least cost at which all items can be cut, or less. Items come with how many there are.
pub(in crate::cut) fn lower(lines: &[Line], items: &[(Item, u64)]) -> i64 {
    let lines: Vec<Line> = lines.iter().copied().filter(|line| line.count > 0).collect();
    let alike = lines.windows(2).all(|two| (two[0].width, two[0].height) == (two[1].width, two[1].height));
    if alike { by_weights(&lines, items) } else { by_area(&lines, items) }
}

/// Sheets of one size: the best of many pairs of functions.
fn by_weights(lines: &[Line], items: &[(Item, u64)]) -> i64 {
    let Some(line) = lines.first() else { return 0 };
    let ways = |sheet: i64| {
        let mut sides: Vec<i64> = items
            .iter()
            .flat_map(|(item, _)| [item.width, item.height])
            .flat_map(|side| [side, sheet - side + 1])
            .filter(|side| *side > 1 && *side * 2 <= sheet)
            .collect();
        sides.sort_unstable();
        sides.dedup();
        // Long lists are thinned: any subset of the functions gives true bounds.
        let thin = sides.len() / 60 + 1;
        let ends = sides.into_iter().step_by(thin).map(Weigh::Ends);
        [Weigh::Plain].into_iter().chain(ends).chain((1..=12).map(Weigh::Steps)).collect::<Vec<_>>()
    };
    let (across, down) = (ways(line.width), ways(line.height));
    let mut most = 0i128;
    let whole = i128::from(SCALE) * i128::from(SCALE) * 1_000_000;
    for x in &across {
        for y in &down {
            let of = |w: i64, h: i64| weight(*x, w, line.width) * weight(*y, h, line.height);
            let total: i128 = items
                .iter()
                .map(|(item, count)| {
                    let fits = item.ways().filter(|(w, h, _)| *w <= line.width && *h <= line.height);
                    fits.map(|(w, h, _)| of(w, h)).min().unwrap_or(0) * i128::from(*count)
                })
                .sum();
            most = most.max((total + whole - 1).div_euclid(whole));
        }
    }
    // So many sheets, the cheapest first.
    let mut left = most;
    let mut lines: Vec<&Line> = lines.iter().collect();
    lines.sort_by_key(|line| line.cost);
    let mut cost = 0i128;
    for line in lines {
        let sheets = left.min(i128::from(line.count));
        cost += sheets * i128::from(line.cost);
        left -= sheets;
    }
    i64::try_from(cost).unwrap_or(i64::MAX)
}

/// Sheets of several sizes: the least cost of sheets with area enough.
fn by_area(lines: &[Line], items: &[(Item, u64)]) -> i64 {
    let needs: i128 =
        items.iter().map(|(item, count)| i128::from(item.width) * i128::from(item.height) * i128::from(*count)).sum();
    let mut lines: Vec<&Line> = lines.iter().collect();
    let area = |line: &Line| i128::from(line.width) * i128::from(line.height);
    lines.sort_by(|a, b| (i128::from(a.cost) * area(b)).cmp(&(i128::from(b.cost) * area(a))));
    let (mut left, mut cost) = (needs, 0i128);
    for line in lines {
        let all = area(line) * i128::from(line.count);
        if all >= left {
            // Part of a sheet costs its part, rounded up to a whole.
            cost += (left * i128::from(line.cost) + area(line) - 1).div_euclid(area(line));
            left = 0;
            break;
        }
        cost += i128::from(line.cost) * i128::from(line.count);
        left -= all;
    }
    if left > 0 { 0 } else { i64::try_from(cost).unwrap_or(i64::MAX) }
}

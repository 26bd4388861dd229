//! Lengths as small whole numbers: the problem's lengths and worths in, their common units out.
//!
//! Pieces, with the width of a cut added, are whole multiples of the unit wherever that is fine enough;
//! else pieces are rounded up and sheets down, so that a plan is still sound, and `exact` says no.

use crate::cut::tree::Turned;
use crate::cut::{Goal, Piece, Problem, Rules, Stock, Turn};

/// Sides up to so many units keep sums of areas within 64 bits.
const MOST_UNITS: i128 = 1 << 22;
/// Worths up to this many units.
const MOST_WORTH: i128 = 1 << 44;

/// A problem's numbers in common units.
pub(super) struct Scale {
    /// Nanometres in a unit.
    pub(super) unit: i64,
    /// The width of a cut, in nanometres.
    pub(super) cut: i64,
    /// By piece: width and height in nanometres, with the cut, where units are coarser than they.
    true_sizes: Option<Vec<(i64, i64)>>,
    /// By piece: width and height in units, with the cut.
    pub(super) pieces: Vec<(i64, i64)>,
    /// By stock: width and height in units, without trims, with the cut.
    pub(super) stock: Vec<(i64, i64)>,
    /// By piece.
    pub(super) values: Vec<i64>,
    /// What one unit of value is.
    pub(super) value_unit: i128,
    /// By stock.
    pub(super) costs: Vec<i64>,
    /// What one unit of cost is.
    pub(super) cost_unit: i128,
    /// Whether all this is exact; bounds from it are true only then.
    pub(super) exact: bool,
}

impl Scale {
    pub(super) fn new(problem: &Problem) -> Self {
        let rules = &problem.rules;
        let cut = rules.cut_width.nanometres().max(0);
        let mut unit = 0i128;
        let asked = problem.pieces.iter().filter(|piece| piece.count > 0);
        for piece in asked.clone() {
            unit = gcd(unit, i128::from(piece.width.nanometres() + cut));
            unit = gcd(unit, i128::from(piece.height.nanometres() + cut));
        }
        // With nothing asked for, any unit is exact.
        let mut unit = if unit == 0 { i128::from(i64::MAX) } else { unit };
        let longest = problem.stock.iter().flat_map(|stock| [usable(stock, rules).0, usable(stock, rules).1]).max();
        let longest = i128::from(longest.unwrap_or(0));
        let mut exact = true;
        if longest / unit > MOST_UNITS {
            unit = longest / MOST_UNITS + 1;
            exact = false;
        }
        let unit = i64::try_from(unit).unwrap_or(i64::MAX);
        let up = |nanometres: i64| {
            (nanometres + cut).max(1).div_euclid(unit) + i64::from((nanometres + cut).max(1).rem_euclid(unit) > 0)
        };
        let pieces = problem.pieces.iter().map(|piece| (up(piece.width.nanometres()), up(piece.height.nanometres())));
        let stock = problem.stock.iter().map(|stock| {
            let (width, height) = usable(stock, rules);
            (width.max(0) / unit, height.max(0) / unit)
        });
        let values = problem.pieces.iter().map(|piece| piece.value.of(piece.width, piece.height));
        let (values, value_unit, fine) = whole(values.collect());
        let costs = problem.stock.iter().map(|stock| match problem.goal {
            // Stock that a piece's cutting makes is no sheet opened.
            Goal::FewestSheets => i128::from(stock.made_by.is_none()),
            Goal::MostValue | Goal::LeastCost => stock.cost.of(stock.width, stock.height),
        });
        let (costs, cost_unit, fine_too) = whole(costs.collect());
        let fine_size = |piece: &Piece| (piece.width.nanometres() + cut, piece.height.nanometres() + cut);
        let true_sizes = (!exact).then(|| problem.pieces.iter().map(fine_size).collect());
        Self {
            unit,
            cut,
            true_sizes,
            pieces: pieces.collect(),
            stock: stock.collect(),
            values,
            value_unit,
            costs,
            cost_unit,
            exact: exact && fine && fine_too,
        }
    }
}

impl Scale {
    /// The size of a piece as it lies, in nanometres with the cut, if that is not a whole number of units.
    pub(super) fn true_size(&self, piece: usize, turned: Turned) -> Option<(i64, i64)> {
        let (w, h) = self.true_sizes.as_ref()?[piece];
        Some(if turned == Turned::No { (w, h) } else { (h, w) })
    }
}

/// Width and height in nanometres without trims, with the width of a cut.
pub(super) fn usable(stock: &Stock, rules: &Rules) -> (i64, i64) {
    let cut = rules.cut_width.nanometres().max(0);
    let width = (stock.width - rules.trims.left - rules.trims.right).nanometres();
    let height = (stock.height - rules.trims.top - rules.trims.bottom).nanometres();
    (if width > 0 { width + cut } else { 0 }, if height > 0 { height + cut } else { 0 })
}

/// Whether a piece of that size may lie on that sheet.
pub(super) fn lies((w, h): (i64, i64), turn: Turn, (width, height): (i64, i64)) -> bool {
    (w <= width && h <= height) || (turn == Turn::Either && h <= width && w <= height)
}

fn gcd(a: i128, b: i128) -> i128 {
    let (mut a, mut b) = (a.abs(), b.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// The numbers in their common unit, the unit, and whether that is exact.
fn whole(numbers: Vec<i128>) -> (Vec<i64>, i128, bool) {
    let mut unit = numbers.iter().copied().fold(0, gcd).max(1);
    let most = numbers.iter().copied().max().unwrap_or(0);
    let exact = most / unit <= MOST_WORTH;
    if !exact {
        unit = most / MOST_WORTH + 1;
    }
    (numbers.into_iter().map(|n| i64::try_from(n / unit).unwrap_or(0)).collect(), unit, exact)
}

//! Prices that make overused copies dear, so that the relaxed question comes near the true one.
//!
//! The state-space relaxation of Christofides and Hadjiconstantinou (1995) with Lagrange multipliers
//! on the copies: a kind used more often than there are copies gets a price, one used less often
//! loses it (subgradient steps, Held, Wolfe and Crowder 1974). Each set of prices gives a true bound.

use super::reach::Reach;
use super::relax::{Inside, Lying, lying};
use super::{Sheet, Tree};
use crate::cut::work::Work;

/// Prices count in this part of a unit of value.
const FINE: i64 = 1 << 8;
/// At most so many sets of prices are tried.
const ROUNDS: u32 = 300;

/// Values less prices, by kind, and what the bound adds for the copies.
#[derive(Clone, Debug)]
pub(super) struct Prices {
    /// Value less price, in parts.
    pub(super) values: Vec<i64>,
    /// The sum over the kinds of price times copies, in parts.
    pub(super) copies: i64,
    /// How many parts make one unit of value.
    pub(super) fine: i64,
}

/// What the prices led to.
pub(super) struct Priced {
    pub(super) prices: Prices,
    pub(super) tree: Option<Tree>,
    pub(super) value: i64,
    pub(super) bound: i64,
    pub(super) lying: Vec<Lying>,
}

/// Finds prices with a low bound; keeps the best plan met on the way.
pub(super) fn search(sheet: &Sheet, reach: &Reach, limit: u64, work: &mut Work) -> Priced {
    let lying = lying(sheet, reach);
    let kinds = sheet.kinds.len();
    let dearest = sheet.kinds.iter().map(|kind| kind.value.saturating_mul(i64::from(kind.most) + 1)).max().unwrap_or(0);
    let fine = if dearest < i64::MAX / (FINE << 12) { FINE } else { 1 };
    let mut price = vec![0i64; kinds];
    let mut best =
        Priced { prices: Prices { values: Vec::new(), copies: 0, fine }, tree: None, value: 0, bound: i64::MAX, lying };
    let (mut least, mut step, mut since) = (i64::MAX, 1.0f64, 0);
    for _ in 0..ROUNDS {
        let values: Vec<i64> = sheet.kinds.iter().zip(&price).map(|(kind, p)| kind.value * fine - p).collect();
        let copies: i64 = sheet.kinds.iter().zip(&price).map(|(kind, p)| i64::from(kind.most) * p).sum();
        let inside = Inside::new(reach, &best.lying, &values, work);
        let bound = inside.whole() + copies;
        let tree = inside.tree(reach, &best.lying, &values);
        let mut used = vec![0u32; kinds];
        if let Some(tree) = &tree {
            tree.count(&mut used);
        }
        if let Some(kept) = tree.and_then(|tree| within(tree, sheet)) {
            let value = value_of(&kept, sheet);
            if value > best.value {
                (best.value, best.tree) = (value, Some(kept));
            }
        }
        if bound < least {
            if bound < least - least / 2000 {
                since = 0;
            }
            least = bound;
            best.bound = bound.div_euclid(fine);
            best.prices = Prices { values, copies, fine };
        } else {
            since += 1;
        }
        if best.value >= best.bound || work.past(limit) {
            break;
        }
        if since >= 8 {
            (step, since) = (step * 0.6, 0);
            if step < 0.005 {
                break;
            }
        }
        if !follow(sheet, &used, step, bound - best.value * fine, &mut price) {
            break;
        }
    }
    best
}

/// Moves the prices along the subgradient; no if it is flat.
#[allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    reason = "only steers the search: the bound is worked out anew in whole numbers from whatever prices come out"
)]
fn follow(sheet: &Sheet, used: &[u32], step: f64, gap: i64, price: &mut [i64]) -> bool {
    let over = |kind: usize| f64::from(used[kind]) - f64::from(sheet.kinds[kind].most);
    let moves = |kind: usize, price: i64| over(kind) > 0.0 || price > 0;
    let norm: f64 = (0..used.len()).filter(|&k| moves(k, price[k])).map(|k| over(k) * over(k)).sum();
    if norm == 0.0 {
        return false;
    }
    let length = step * gap as f64 / norm;
    for (kind, price) in price.iter_mut().enumerate() {
        if moves(kind, *price) {
            *price = (*price + (length * over(kind)) as i64).max(0);
        }
    }
    true
}

/// The tree without the copies beyond what there are.
pub(super) fn within(tree: Tree, sheet: &Sheet) -> Option<Tree> {
    fn keep(tree: Tree, left: &mut [u32]) -> Option<Tree> {
        match tree {
            Tree::Piece(kind, _) if left[kind] == 0 => None,
            Tree::Piece(kind, _) => {
                left[kind] -= 1;
                Some(tree)
            }
            Tree::Join(axis, two) => match (keep(two.0, left), keep(two.1, left)) {
                (Some(near), Some(far)) => Some(Tree::Join(axis, Box::new((near, far)))),
                (one, other) => one.or(other),
            },
        }
    }
    keep(tree, &mut sheet.kinds.iter().map(|kind| kind.most).collect::<Vec<u32>>())
}

/// What the pieces of a tree are worth.
pub(super) fn value_of(tree: &Tree, sheet: &Sheet) -> i64 {
    let mut counts = vec![0; sheet.kinds.len()];
    tree.count(&mut counts);
    counts.iter().zip(&sheet.kinds).map(|(n, kind)| i64::from(*n) * kind.value).sum()
}

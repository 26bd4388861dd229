//! Step 7, *how many of one size does a sheet give*: two sizes in, a count out.
//!
//! As printed the answer is a grid. Turned as well, the sheet is halved recursively at the places
//! that sums of the piece's sides can reach (the normal positions of Herz 1972), which is exact.

use crate::cut::Turn;
use std::collections::BTreeSet;
use units::Length;

/// More reachable places than this along a side, and the area bound answers instead.
const MOST_PLACES: usize = 160;

/// How many pieces of one size a sheet yields by edge-to-edge cuts.
///
/// Exact whenever the piece may not be turned, and whenever its sides reach at most 160 places along
/// each side of the sheet (any piece a hand would cut); beyond that a proven upper bound, the quotient
/// of the areas.
#[must_use]
pub fn yield_of(stock: (Length, Length), piece: (Length, Length), turn: Turn) -> u32 {
    let (width, height) = (stock.0.nanometres(), stock.1.nanometres());
    let (w, h) = (piece.0.nanometres(), piece.1.nanometres());
    if w <= 0 || h <= 0 || width <= 0 || height <= 0 {
        return 0;
    }
    count(width, height, w, h, turn)
}

fn clamp(count: i128) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn grid(width: i64, height: i64, w: i64, h: i64) -> i128 {
    i128::from(width / w) * i128::from(height / h)
}

pub(super) fn count(width: i64, height: i64, w: i64, h: i64, turn: Turn) -> u32 {
    let upright = grid(width, height, w, h);
    if turn == Turn::AsPrinted || w == h {
        return clamp(upright);
    }
    let lying = grid(width, height, h, w);
    let by_area = i128::from(width) * i128::from(height) / (i128::from(w) * i128::from(h));
    if upright.max(lying) == by_area || by_area == 0 {
        return clamp(upright.max(lying));
    }
    let (Some(xs), Some(ys)) = (places(width, w, h), places(height, w, h)) else {
        return clamp(by_area);
    };
    // best[i][j]: most pieces from a part as wide as place i and as high as place j.
    let mut best = vec![vec![0u32; ys.len()]; xs.len()];
    for i in 0..xs.len() {
        for j in 0..ys.len() {
            let (x, y) = (xs[i], ys[j]);
            let mut most = clamp(grid(x, y, w, h).max(grid(x, y, h, w)));
            for (k, &cut) in xs[..i].iter().enumerate().skip(1) {
                if cut * 2 > x {
                    break;
                }
                most = most.max(best[k][j] + best[floor(&xs, x - cut)][j]);
            }
            for (k, &cut) in ys[..j].iter().enumerate().skip(1) {
                if cut * 2 > y {
                    break;
                }
                most = most.max(best[i][k] + best[i][floor(&ys, y - cut)]);
            }
            best[i][j] = most;
        }
    }
    best[xs.len() - 1][ys.len() - 1]
}

/// The last place that is not beyond `length`; the first place is 0.
fn floor(places: &[i64], length: i64) -> usize {
    places.partition_point(|&place| place <= length) - 1
}

/// The sums of `a`s and `b`s up to `side`, ascending from 0; `None` if there are too many.
fn places(side: i64, a: i64, b: i64) -> Option<Vec<i64>> {
    let mut reached = BTreeSet::new();
    let mut row = 0;
    while row <= side {
        let mut place = row;
        while place <= side {
            reached.insert(place);
            if reached.len() > MOST_PLACES {
                return None;
            }
            place = place.checked_add(b)?;
        }
        row = row.checked_add(a)?;
    }
    Some(reached.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(n: i64) -> Length {
        Length::MILLIMETRE * n
    }

    //  7 x 5 sheet, 3 x 2 pieces: 2 upright beside 2+... five fit only when some are turned.
    #[test]
    fn turning_some_pieces_gives_more_than_a_grid() {
        assert_eq!(yield_of((mm(7), mm(5)), (mm(3), mm(2)), Turn::AsPrinted), 4);
        assert_eq!(yield_of((mm(7), mm(5)), (mm(3), mm(2)), Turn::Either), 5);
    }

    #[test]
    fn a_letter_sheet_gives_two_card_bases() {
        let inch = |n: i64, q: i64| Length::inches(n, q, 4).unwrap();
        assert_eq!(yield_of((inch(8, 2), inch(11, 0)), (inch(5, 2), inch(8, 2)), Turn::Either), 2);
        assert_eq!(yield_of((inch(8, 2), inch(11, 0)), (inch(4, 1), inch(5, 2)), Turn::AsPrinted), 4);
    }

    #[test]
    fn nothing_comes_of_nothing() {
        assert_eq!(yield_of((mm(7), mm(5)), (mm(8), mm(2)), Turn::Either), 0);
        assert_eq!(yield_of((mm(7), mm(0)), (mm(1), mm(1)), Turn::Either), 0);
        assert_eq!(yield_of((mm(7), mm(7)), (mm(0), mm(1)), Turn::Either), 0);
        assert_eq!(
            yield_of((Length::LONGEST, Length::LONGEST), (mm(1), Length::from_nanometres(1)), Turn::Either),
            u32::MAX
        );
    }

    #[test]
    fn equals_the_exhaustive_count_on_small_sheets() {
        for (w, h) in [(2, 3), (1, 4), (3, 5), (2, 7), (4, 5)] {
            for width in 1..=14 {
                for height in 1..=14 {
                    let sheet = (mm(width), mm(height));
                    let found = yield_of(sheet, (mm(w), mm(h)), Turn::Either);
                    let truth = super::super::exhaustive::most_equal(width, height, w, h);
                    assert_eq!(found, truth, "{w}x{h} from {width}x{height}");
                }
            }
        }
    }
}

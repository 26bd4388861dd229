//! Step 7, what comes nearest: a piece larger than all stock in, the sheet that lacks least for it out.

use crate::cut::{PieceIndex, Problem, StockIndex, Turn};
use units::Length;

/// The sheet that comes nearest to a piece, and by how much it is too small for it without its trims.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nearest {
    /// The line of stock.
    pub stock: StockIndex,
    /// How much wider it would have to be; zero where it is wide enough.
    pub too_narrow: Length,
    /// How much higher it would have to be; zero where it is high enough.
    pub too_short: Length,
}

/// Of the stock the piece may come from, the line that is too small by least, both ways together; the first of
/// several. `None` where there is none it may come from.
#[must_use]
pub fn nearest(problem: &Problem, piece: PieceIndex) -> Option<Nearest> {
    let asked = problem.pieces.get(piece.0)?;
    let trims = problem.rules.trims;
    let lines = problem.stock.iter().enumerate().filter(|(line, stock)| {
        let own_middle = stock.made_by == Some(piece);
        stock.count > 0 && !own_middle && asked.on.allows(StockIndex(*line))
    });
    let ways = lines.flat_map(|(line, stock)| {
        let usable = (stock.width - trims.left - trims.right, stock.height - trims.top - trims.bottom);
        let turned = (asked.turn == Turn::Either).then_some((asked.height, asked.width));
        [(asked.width, asked.height)].into_iter().chain(turned).map(move |(width, height)| Nearest {
            stock: StockIndex(line),
            too_narrow: (width - usable.0).max(Length::ZERO),
            too_short: (height - usable.1).max(Length::ZERO),
        })
    });
    ways.min_by_key(|way| (way.too_narrow + way.too_short, way.stock))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cut::{Goal, On, Piece, Rules, Stock, Trims};

    fn mm(n: i64) -> Length {
        Length::MILLIMETRE * n
    }

    #[test]
    fn the_sheet_that_lacks_least_is_named_with_what_it_lacks() {
        let stock = vec![Stock::new("long", mm(90), mm(300), 1), Stock::new("wide", mm(140), mm(100), 1)];
        let trims = Trims { left: mm(2), ..Trims::default() };
        let piece = |turn| Piece::new("front", mm(105), mm(150), 1, turn);
        let mut problem = Problem {
            goal: Goal::LeastCost,
            stock,
            pieces: vec![piece(Turn::AsPrinted), piece(Turn::Either)],
            rules: Rules { trims, ..Rules::default() },
        };
        let long = Nearest { stock: StockIndex(0), too_narrow: mm(17), too_short: Length::ZERO };
        assert_eq!(nearest(&problem, PieceIndex(0)), Some(long));
        // On its side it lacks 12 of the width (with the trim) and 5 of the height: the same in all, so the first.
        assert_eq!(nearest(&problem, PieceIndex(1)), Some(long));
        problem.stock[1].height = mm(101);
        let wide = Nearest { stock: StockIndex(1), too_narrow: mm(12), too_short: mm(4) };
        assert_eq!(nearest(&problem, PieceIndex(1)), Some(wide));
        problem.pieces[0].on = On::Only(vec![]);
        assert_eq!(nearest(&problem, PieceIndex(0)), None);
    }
}

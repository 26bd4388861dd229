//! A small linear programme that shows its prices: rows with capacities, columns that bring one each;
//! the most they bring together and what each capacity is worth, out.
//!
//! The revised simplex method with the inverse of the basis kept whole (Dantzig and Orchard-Hays
//! 1954), columns coming in as they are made. It computes in floating point and is never trusted:
//! whoever uses its prices checks them in whole numbers.

/// What is taken for nothing.
const NOTHING: f64 = 1e-9;

/// A column: what one unit takes of each row.
pub(super) type Column = Vec<(usize, f64)>;

/// What is in the basis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Basic {
    Slack(usize),
    Column(usize),
}

/// The programme: most units of columns within capacities.
pub(super) struct Lp {
    rows: usize,
    columns: Vec<Column>,
    basis: Vec<Basic>,
    inverse: Vec<f64>,
    value: Vec<f64>,
}

impl Lp {
    /// Nothing but capacities, each above nothing.
    pub(super) fn new(capacities: &[f64]) -> Self {
        let rows = capacities.len();
        let mut inverse = vec![0.0; rows * rows];
        for row in 0..rows {
            inverse[row * rows + row] = 1.0;
        }
        // A little more of each, so that no two rows run out at once.
        let value = capacities.iter().zip(1_u32..).map(|(most, row)| most + 1e-7 * f64::from(row)).collect();
        Self { rows, columns: Vec::new(), basis: (0..rows).map(Basic::Slack).collect(), inverse, value }
    }

    /// What one more of each capacity is worth; below nothing where it stands idle.
    pub(super) fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.rows];
        for (place, basic) in self.basis.iter().enumerate() {
            if matches!(basic, Basic::Column(_)) {
                for (row, price) in prices.iter_mut().enumerate() {
                    *price += self.inverse[place * self.rows + row];
                }
            }
        }
        prices
    }

    /// How many units all columns bring.
    pub(super) fn objective(&self) -> f64 {
        let brings = |(basic, value): (&Basic, &f64)| if matches!(basic, Basic::Column(_)) { *value } else { 0.0 };
        self.basis.iter().zip(&self.value).map(brings).sum()
    }

    /// Takes columns in.
    pub(super) fn add(&mut self, column: Column) {
        self.columns.push(column);
    }

    /// Goes on until no column known would bring more, or so many steps are done; how many were.
    pub(super) fn solve(&mut self, most_steps: u32) -> u32 {
        for step in 0..most_steps {
            let prices = self.prices();
            let gain = |column: &Column| 1.0 - column.iter().map(|(row, takes)| prices[*row] * takes).sum::<f64>();
            let mut best: Option<(f64, Basic)> = None;
            for (place, column) in self.columns.iter().enumerate() {
                let gain = gain(column);
                if gain > 1e-7 && best.is_none_or(|(most, _)| gain > most) {
                    best = Some((gain, Basic::Column(place)));
                }
            }
            for (row, price) in prices.iter().enumerate() {
                if -price > 1e-7 && best.is_none_or(|(most, _)| -price > most) {
                    best = Some((-price, Basic::Slack(row)));
                }
            }
            let Some((_, entering)) = best else { return step };
            if !self.enter(entering) {
                return step;
            }
        }
        most_steps
    }

    fn enter(&mut self, entering: Basic) -> bool {
        let rows = self.rows;
        let mut direction = vec![0.0; rows];
        match entering {
            Basic::Slack(row) => {
                for (place, along) in direction.iter_mut().enumerate() {
                    *along = self.inverse[place * rows + row];
                }
            }
            Basic::Column(column) => {
                for (row, takes) in &self.columns[column] {
                    for (place, along) in direction.iter_mut().enumerate() {
                        *along += self.inverse[place * rows + row] * takes;
                    }
                }
            }
        }
        let mut leaving: Option<(f64, usize)> = None;
        for (place, along) in direction.iter().enumerate() {
            if *along > NOTHING {
                let ratio = self.value[place].max(0.0) / along;
                if leaving.is_none_or(|(least, _)| ratio < least) {
                    leaving = Some((ratio, place));
                }
            }
        }
        let Some((ratio, leaving)) = leaving else { return false };
        let pivot = direction[leaving];
        for row in 0..rows {
            self.inverse[leaving * rows + row] /= pivot;
        }
        for place in (0..rows).filter(|place| *place != leaving && direction[*place].abs() > 0.0) {
            let along = direction[place];
            for row in 0..rows {
                let of_leaving = self.inverse[leaving * rows + row];
                if of_leaving != 0.0 {
                    self.inverse[place * rows + row] -= along * of_leaving;
                }
            }
            self.value[place] -= along * ratio;
        }
        self.value[leaving] = ratio;
        self.basis[leaving] = entering;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A triangle of three cards and three papers, two papers a card, one sheet each: one and a half
    /// cards, and each sheet is worth a half. The odd cycle: Edmonds, "Maximum matching and a
    /// polyhedron with 0,1-vertices", 1965, whose fractional matching it is.
    #[test]
    fn an_odd_cycle_brings_halves() {
        let mut lp = Lp::new(&[1.0, 1.0, 1.0]);
        for (one, other) in [(0, 1), (1, 2), (2, 0)] {
            lp.add(vec![(one, 1.0), (other, 1.0)]);
        }
        assert!(lp.solve(100) < 100);
        assert!((lp.objective() - 1.5).abs() < 1e-5, "{}", lp.objective());
        assert!(lp.prices().iter().all(|price| (price - 0.5).abs() < 1e-5), "{:?}", lp.prices());
    }

    #[test]
    fn what_stands_idle_is_worth_nothing() {
        let mut lp = Lp::new(&[4.0, 100.0]);
        lp.add(vec![(0, 2.0), (1, 1.0)]);
        lp.add(vec![(0, 1.0), (1, 1.0)]);
        lp.solve(100);
        assert!((lp.objective() - 4.0).abs() < 1e-5);
        let prices = lp.prices();
        assert!((prices[0] - 1.0).abs() < 1e-5 && prices[1].abs() < 1e-5, "{prices:?}");
    }
}

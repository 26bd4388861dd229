//! Where motifs stand: thrown like darts, largest first, each kept clear of the others.
//!
//! On a cell that repeats, distances run across its edges, so the finished sheet shows no seam.

use crate::outline::{Pt, distance};
use crate::plates::Plates;
use crate::random::Dice;

/// One size of motif to place.
#[derive(Clone, Copy, Debug)]
pub struct Class {
    /// The radius kept clear round each, in millimetres.
    pub clear: f64,
    /// At most this many; fewer where there is no room.
    pub most: u32,
}

/// A place found for a motif.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Where, in millimetres.
    pub at: Pt,
    /// Which class, by its place in the list.
    pub class: usize,
}

/// Finds places for each class in turn. On a sheet that does not repeat, motifs may hang over the
/// edges by `over` millimetres; on a cell they wrap and `over` is unused.
pub fn scatter(plates: &Plates, classes: &[Class], over: f64, dice: &mut Dice) -> Vec<Spot> {
    scatter_about(plates, classes, over, &[], dice)
}

/// The same, keeping clear of circles already taken.
pub fn scatter_about(plates: &Plates, classes: &[Class], over: f64, taken: &[(Pt, f64)], dice: &mut Dice) -> Vec<Spot> {
    let cells = plates.neighbours();
    let repeats = cells.len() > 1;
    let over = if repeats { 0.0 } else { over };
    let mut discs: Vec<(Pt, f64)> = taken.to_vec();
    let mut out: Vec<Spot> = Vec::new();
    for (class, wanted) in classes.iter().enumerate() {
        let mut placed = 0;
        let mut misses = 0;
        while placed < wanted.most && misses < 1500 {
            let at = [dice.between(-over, plates.wide() + over), dice.between(-over, plates.high() + over)];
            let free = discs.iter().all(|&(other, clear)| {
                cells
                    .iter()
                    .all(|shift| distance(at, [other[0] + shift[0], other[1] + shift[1]]) > clear + wanted.clear)
            });
            let own = cells.iter().skip(1).all(|shift| distance([0.0, 0.0], *shift) > 2.0 * wanted.clear);
            if free && own {
                discs.push((at, wanted.clear));
                out.push(Spot { at, class });
                placed += 1;
                misses = 0;
            } else {
                misses += 1;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_keep_clear_across_the_seam() {
        let plates = Plates::cell(200, 160, 80, 4.0, 2, 1);
        let mut dice = Dice::new(5);
        let classes = [Class { clear: 6.0, most: 9 }, Class { clear: 2.0, most: 40 }];
        let spots = scatter(&plates, &classes, 0.0, &mut dice);
        assert!(spots.len() > 12);
        for (i, a) in spots.iter().enumerate() {
            for b in &spots[i + 1..] {
                for shift in plates.neighbours() {
                    let d = distance(a.at, [b.at[0] + shift[0], b.at[1] + shift[1]]);
                    assert!(d > classes[a.class].clear + classes[b.class].clear, "{a:?} {b:?} {shift:?}");
                }
            }
        }
    }
}

//! Where finishing dots may be set: quiet places of a layer, and small groups in them.
//!
//! A stack and a layer of it in; the rectangles of that layer on which nothing lies, kept back from its
//! edges, seams and holes and from all that lies on it, out; and for a group of dots, where its middles
//! come to lie on marks of the ruler. Which dots, and on which layers, is for `assemble`.

use super::stack::Stack;
use crate::layout::{Outline, Rect};
use api::units::Length;

/// How far a dot keeps back from the edge of the layer it is set on: 1/8 in. Common practice, no source.
pub const EDGE: Length = Length::from_nanometres(3_175_000);
/// How far it keeps clear of what lies on that layer: 1/8 in. Common practice, no source.
pub const CLEAR: Length = Length::from_nanometres(3_175_000);
/// The least that shows between two dots of a group: 1/16 in, or half a dot where that is more. Common
/// practice, no source.
const BETWEEN: Length = Length::from_nanometres(1_587_500);

/// Where on one layer dots may be set: wholly within one of the rectangles and clear of the others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quiet {
    /// Parts of the layer, within its edges: a dot that lies within one crosses no edge and no seam.
    pub within: Vec<Rect>,
    /// What else lies there, with its clearance.
    pub clear_of: Vec<Rect>,
}

/// The quiet places of the layer at `place`. Of a curved or die-cut layer only the largest rectangle of
/// each piece counts.
#[must_use]
pub fn quiet(stack: &Stack, place: usize) -> Quiet {
    let sheet = &stack.sheets[place];
    let front = Rect::whole(stack.card).inset(EDGE);
    let pieces = if sheet.outline == Outline::Rectangle { sheet.pieces.clone() } else { sheet.middles() };
    let within = pieces.iter().map(|piece| piece.inset(EDGE).shared(&front)).filter(|rect| !rect.is_empty());
    // What tucks beneath a raised edge lies below it in the stack and above this layer, so it counts, too.
    let above = stack.sheets[place + 1..].iter().filter(|above| !above.pieces.is_empty());
    let clear_of = above.map(|above| above.around().inset(-CLEAR)).chain(sheet.hole.map(|hole| hole.inset(-EDGE)));
    Quiet { within: within.collect(), clear_of: clear_of.collect() }
}

/// How a group is arranged: for each dot how many steps to the right and down.
type Arranged = &'static [(i64, i64)];

/// The arrangements of a group of so many, the first preferred: a small triangle or zigzag, then rows.
/// Groups are odd by common practice, no source.
const fn arrangements(count: u32) -> &'static [Arranged] {
    match count {
        1 => &[&[(0, 0)]],
        3 => &[
            &[(0, 1), (1, 0), (2, 1)],
            &[(0, 0), (1, 1), (0, 2)],
            &[(0, 0), (1, 0), (2, 0)],
            &[(0, 0), (0, 1), (0, 2)],
        ],
        5 => &[
            &[(0, 1), (1, 0), (2, 1), (3, 0), (4, 1)],
            &[(0, 0), (1, 1), (0, 2), (1, 3), (0, 4)],
            &[(0, 0), (1, 0), (2, 0), (3, 0), (4, 0)],
            &[(0, 0), (0, 1), (0, 2), (0, 3), (0, 4)],
        ],
        _ => &[],
    }
}

/// By what the best place is chosen: how far away, the arrangement, then the lowest and the furthest right.
type Key = (Length, usize, Length, Length);

/// A group of dots in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Group {
    /// How far it lies from what it was to lie near.
    pub away: Length,
    /// The square round each dot, one after another from the left.
    pub spots: Vec<Rect>,
}

/// The group of so many dots that lies nearest to `near`, its middles on marks of the ruler from the
/// card's left and top edge; of those as near the first arrangement, then the lowest, then the one
/// furthest to the right. `None` where no group has room.
#[must_use]
pub fn group(quiet: &Quiet, count: u32, diameter: Length, ruler: Length, near: &Rect) -> Option<Group> {
    // Half, set up, so that the square is never too small.
    let half = diameter - diameter.half();
    let step = up_to(diameter + BETWEEN.max(diameter.half()), ruler);
    let mut best: Option<(Key, Rect, Arranged)> = None;
    for (rank, arranged) in arrangements(count).iter().enumerate() {
        let most = |of: fn(&(i64, i64)) -> i64| step * arranged.iter().map(of).max().unwrap_or(0);
        let (wide, high) = (most(|at| at.0), most(|at| at.1));
        for part in &quiet.within {
            if part.width() < wide + half * 2 || part.height() < high + half * 2 {
                continue;
            }
            let others = || quiet.clear_of.iter();
            let lefts = marks(part.left, part.right, others().map(|of| (of.left, of.right)), (wide, half), ruler);
            let tops = marks(part.top, part.bottom, others().map(|of| (of.top, of.bottom)), (high, half), ruler);
            for top in &tops {
                for left in &lefts {
                    let (left, top) = (*left - half, *top - half);
                    let all = Rect { left, top, right: left + wide + half * 2, bottom: top + high + half * 2 };
                    if !part.holds(&all) || others().any(|of| !of.shared(&all).is_empty()) {
                        continue;
                    }
                    let key = (gap(&all, near), rank, -all.top, -all.left);
                    if best.as_ref().is_none_or(|(least, ..)| key < *least) {
                        best = Some((key, all, arranged));
                    }
                }
            }
        }
    }
    let (key, all, arranged) = best?;
    let spot = |(right, down): &(i64, i64)| {
        let (left, top) = (all.left + step * *right, all.top + step * *down);
        Rect { left, top, right: left + half * 2, bottom: top + half * 2 }
    };
    let mut spots: Vec<Rect> = arranged.iter().map(spot).collect();
    spots.sort();
    Some(Group { away: key.0, spots })
}

/// Marks of the ruler on which the first middle of a group may lie so that the group touches an end of
/// its place or something in it.
fn marks(
    from: Length,
    to: Length,
    others: impl Iterator<Item = (Length, Length)>,
    (long, half): (Length, Length),
    ruler: Length,
) -> Vec<Length> {
    let after = |edge: Length| up_to(edge + half, ruler);
    let before = |edge: Length| (edge - half - long).floor_to(ruler);
    let mut marks = vec![after(from), before(to)];
    marks.extend(others.flat_map(|(start, end)| [after(end), before(start)]));
    marks.retain(|mark| *mark - half >= from && *mark + long + half <= to);
    marks.sort_unstable();
    marks.dedup();
    marks
}

/// A length set up to a mark of the ruler.
fn up_to(length: Length, ruler: Length) -> Length {
    let down = length.floor_to(ruler);
    if down == length { down } else { down + ruler }
}

/// How far apart two rectangles lie, across and down together; nothing where they overlap.
fn gap(one: &Rect, other: &Rect) -> Length {
    let apart = |low: Length, high: Length| low.max(high).max(Length::ZERO);
    apart(one.left - other.right, other.left - one.right) + apart(one.top - other.bottom, other.top - one.bottom)
}

#[cfg(test)]
mod tests {
    use super::super::stack::{Held, Sheet, Sight};
    use super::*;
    use api::units::Size;

    const SIXTEENTH: Length = Length::from_nanometres(1_587_500);

    fn mm(count: i64) -> Length {
        Length::MILLIMETRE * count
    }

    fn rect(left: i64, top: i64, right: i64, bottom: i64) -> Rect {
        Rect { left: mm(left), top: mm(top), right: mm(right), bottom: mm(bottom) }
    }

    fn sheet(pieces: Vec<Rect>) -> Sheet {
        Sheet {
            whole: pieces.iter().copied().reduce(|one, other| one.around(&other)).expect("it has a piece"),
            pieces,
            outline: Outline::Rectangle,
            sight: Sight::Opaque,
            held: Held::Flat,
            caliper: Length::micrometres(270),
            grammage: 216,
            on: Vec::new(),
            hole: None,
        }
    }

    /// A base, a panel in two pieces with its seam at 50 mm, and words over its middle:
    ///
    ///     +--------------------+ 0
    ///     | +-------+-------+  | 10
    ///     | |     words     |  | 30..40
    ///     | +-------+-------+  | 90
    ///     +--------------------+ 100
    fn stack() -> Stack {
        let panel = sheet(vec![rect(10, 10, 50, 90), rect(50, 10, 90, 90)]);
        let sheets = vec![sheet(vec![rect(0, 0, 100, 100)]), panel, sheet(vec![rect(20, 30, 80, 40)])];
        Stack { card: Size::square(mm(100)), sheets }
    }

    #[test]
    fn a_group_lies_beside_the_words_clear_of_the_seam_and_on_marks_of_the_ruler() {
        let stack = stack();
        let quiet = quiet(&stack, 1);
        let words = stack.sheets[2].around();
        let found = group(&quiet, 3, mm(4), SIXTEENTH, &words).expect("there is room");
        assert_eq!(found.spots.len(), 3);
        for spot in &found.spots {
            let piece = stack.sheets[1].pieces.iter().any(|piece| piece.inset(EDGE).holds(spot));
            assert!(piece && spot.shared(&words.inset(-CLEAR)).is_empty(), "{spot:?}");
            let middle = spot.left + mm(2);
            assert_eq!((middle.floor_to(SIXTEENTH), spot.width()), (middle, mm(4)));
        }
        let touch =
            |one: &Rect, other: &Rect| !one.inset(-BETWEEN.half()).shared(&other.inset(-BETWEEN.half())).is_empty();
        assert!((1..3).all(|one| (0..one).all(|other| !touch(&found.spots[one], &found.spots[other]))));
        // As near as the clearance allows, to a mark of the ruler.
        assert!(found.away >= CLEAR && found.away < CLEAR + SIXTEENTH, "{:?}", found.away);
    }

    #[test]
    fn nothing_fits_on_an_edge_that_shows_narrowly_and_a_single_dot_where_there_is_little_room() {
        let mut stack = stack();
        let near = rect(0, 0, 1, 1);
        // 10 mm of the base show, of which 2 x 1/8 in are edge: 3.65 mm.
        assert_eq!(group(&quiet(&stack, 0), 1, mm(4), SIXTEENTH, &near), None);
        stack.sheets[1] = sheet(vec![rect(12, 10, 90, 90)]);
        assert!(group(&quiet(&stack, 0), 1, mm(4), SIXTEENTH, &near).is_some());
        assert_eq!(group(&quiet(&stack, 0), 1, mm(60), SIXTEENTH, &near), None);
        assert_eq!(group(&quiet(&stack, 0), 2, mm(1), SIXTEENTH, &near), None, "groups are odd");
    }

    #[test]
    fn an_oval_has_dots_only_well_within() {
        let mut stack = stack();
        stack.sheets[2] = Sheet { outline: Outline::Ellipse, ..sheet(vec![rect(20, 20, 80, 80)]) };
        let found = group(&quiet(&stack, 2), 5, mm(3), SIXTEENTH, &rect(50, 50, 51, 51)).expect("there is room");
        for spot in &found.spots {
            for (x, y) in
                [(spot.left, spot.top), (spot.right, spot.top), (spot.left, spot.bottom), (spot.right, spot.bottom)]
            {
                let off = |at: Length| (at.millimetres_for_drawing() - 50.0) / 30.0;
                assert!(off(x).powi(2) + off(y).powi(2) < 0.8, "{spot:?}");
            }
        }
    }
}

//! What outline a panel has, and rectangles that certainly lie within it or certainly hold it.
//!
//! Curves and points do not fit whole rectangles, so a shape is cut into bands: what an *inner* band
//! covers is certainly covered, and outside the *outer* bands certainly nothing is. Whole numbers
//! throughout, each rounded to the safe side.

use super::{DrawnPanel, Rect};
use crate::stash::{Die, DieOutline, Shape};
use api::units::{Length, Size};

/// Into how many bands a shape is cut, at least.
const BANDS: i64 = 24;

/// What a layer's outline is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outline {
    /// The whole rectangle.
    Rectangle,
    /// A circle or an oval that fills it.
    Ellipse,
    /// Corner points in thousandths of its width and height, clockwise from the top left.
    Polygon(Vec<(i32, i32)>),
}

/// Which side of a shape rectangles must keep to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Side {
    /// Within it.
    Inner,
    /// Round it.
    Outer,
}

impl Outline {
    /// Rectangles that share no area and certainly lie within the outline in `whole`.
    #[must_use]
    pub fn inner(&self, whole: &Rect) -> Vec<Rect> {
        self.bands(whole, Side::Inner, BANDS)
    }

    /// The same in bands no higher than so much: more of them, which leave less out.
    #[must_use]
    pub fn inner_within(&self, whole: &Rect, highest: Length) -> Vec<Rect> {
        self.bands(whole, Side::Inner, bands_of(whole, highest))
    }

    /// Rectangles that share no area and certainly hold the outline in `whole`.
    #[must_use]
    pub fn outer(&self, whole: &Rect) -> Vec<Rect> {
        self.bands(whole, Side::Outer, BANDS)
    }

    /// As [`Outline::outer`], in bands no higher than so much: they hold less that is not covered.
    #[must_use]
    pub fn outer_within(&self, whole: &Rect, highest: Length) -> Vec<Rect> {
        self.bands(whole, Side::Outer, bands_of(whole, highest))
    }

    fn bands(&self, whole: &Rect, side: Side, count: i64) -> Vec<Rect> {
        if whole.is_empty() {
            return Vec::new();
        }
        match self {
            Self::Rectangle => vec![*whole],
            Self::Ellipse => ellipse(whole, side, count),
            Self::Polygon(points) => polygon(whole, points, side, count),
        }
    }

    /// Whether the outline in `whole` covers any of a rectangle: exactly, of an ellipse to a few micrometres.
    #[must_use]
    pub fn meets(&self, whole: &Rect, rect: &Rect) -> bool {
        let shared = whole.shared(rect);
        if shared.is_empty() {
            return false;
        }
        match self {
            Self::Rectangle => true,
            Self::Polygon(points) => {
                let corner = |point: &(i32, i32)| place(whole, *point);
                let corners: Vec<(i64, i64)> =
                    points.iter().map(corner).map(|(x, y)| (x.nanometres(), y.nanometres())).collect();
                polygon_meets(&corners, &shared)
            }
            Self::Ellipse => {
                // The nearest point to the middle, from there in doubled micrometres.
                let off = |low: Length, high: Length, from: Length, to: Length| {
                    let (low, high) = (low.nanometres() * 2, high.nanometres() * 2);
                    let middle = from.nanometres() + to.nanometres();
                    i128::from((low - middle).max(middle - high).max(0) / 1_000)
                };
                let across = off(shared.left, shared.right, whole.left, whole.right);
                let down = off(shared.top, shared.bottom, whole.top, whole.bottom);
                let side = |length: Length| i128::from(length.nanometres() / 1_000);
                let (width, height) = (side(whole.width()), side(whole.height()));
                across * across * height * height + down * down * width * width < width * width * height * height
            }
        }
    }

    /// Its corners in `whole`: of an ellipse, points round it with no side that leaves any of it out.
    #[must_use]
    pub fn corners(&self, whole: &Rect) -> Vec<(Length, Length)> {
        match self {
            Self::Rectangle => vec![
                (whole.left, whole.top),
                (whole.right, whole.top),
                (whole.right, whole.bottom),
                (whole.left, whole.bottom),
            ],
            Self::Polygon(points) => points.iter().map(|point| place(whole, *point)).collect(),
            Self::Ellipse => ROUND
                .iter()
                .map(|(x, y)| (at(whole.left, whole.width(), *x), at(whole.top, whole.height(), *y)))
                .collect(),
        }
    }
}

/// How many bands a shape is cut into so that none is higher than so much; within reason.
fn bands_of(whole: &Rect, highest: Length) -> i64 {
    (whole.height().nanometres() / highest.nanometres().max(1) + 1).clamp(BANDS, BANDS * 8)
}

/// Corners of a regular polygon of sixteen sides round a circle, in millionths of its square: the
/// tangent of an eighth and of three eighths of a right angle, 0.198912 and 0.668179, set outwards.
const ROUND: [(i64, i64); 16] = [
    (1_000_000, 400_543),
    (1_000_000, 599_457),
    (923_880, 783_227),
    (783_227, 923_880),
    (599_457, 1_000_000),
    (400_543, 1_000_000),
    (216_773, 923_880),
    (76_120, 783_227),
    (0, 599_457),
    (0, 400_543),
    (76_120, 216_773),
    (216_773, 76_120),
    (400_543, 0),
    (599_457, 0),
    (783_227, 76_120),
    (923_880, 216_773),
];

fn at(from: Length, side: Length, millionths: i64) -> Length {
    let nanometres = i128::from(side.nanometres()) * i128::from(millionths) / 1_000_000;
    from + i64::try_from(nanometres).map_or(Length::LONGEST, Length::from_nanometres)
}

fn place(whole: &Rect, (across, down): (i32, i32)) -> (Length, Length) {
    let share = |side: Length, thousandths: i32| {
        let nanometres = i128::from(side.nanometres()) * i128::from(thousandths);
        i64::try_from(nanometres.div_euclid(1_000)).map_or(Length::LONGEST, Length::from_nanometres)
    };
    (whole.left + share(whole.width(), across), whole.top + share(whole.height(), down))
}

/// Edges that part `top` to `bottom` into bands as even as whole nanometres allow.
fn band_edges(top: i64, bottom: i64, count: i64) -> Vec<i64> {
    let mut edges: Vec<i64> = (0..=count).map(|band| top + (bottom - top) * band / count).collect();
    edges.dedup();
    edges
}

fn ellipse(whole: &Rect, side: Side, count: i64) -> Vec<Rect> {
    let (width, height) = (whole.width().nanometres(), whole.height().nanometres());
    let edges = band_edges(0, height, count);
    let mut bands = Vec::with_capacity(edges.len());
    for band in edges.windows(2) {
        // Distance from the middle, doubled so that it is whole: the farther edge lies within, the nearer without.
        let off = |edge: i64| (2 * edge - height).abs();
        let off = match side {
            Side::Inner => off(band[0]).max(off(band[1])),
            Side::Outer if band[0] * 2 <= height && band[1] * 2 >= height => 0,
            Side::Outer => off(band[0]).min(off(band[1])),
        };
        let Some(half) = half_width(width, height, off, side) else { continue };
        let left = match side {
            Side::Inner => (width + 1) / 2 - half,
            Side::Outer => width / 2 - half,
        };
        let rect = Rect {
            left: whole.left + Length::from_nanometres(left.max(0)),
            right: whole.right - Length::from_nanometres(left.max(0)),
            top: whole.top + Length::from_nanometres(band[0]),
            bottom: whole.top + Length::from_nanometres(band[1]),
        };
        if !rect.is_empty() {
            bands.push(rect);
        }
    }
    bands
}

/// Half the width of an ellipse at `off` (doubled) from its middle.
fn half_width(width: i64, height: i64, off: i64, side: Side) -> Option<i64> {
    let (width, height, off) = (i128::from(width), i128::from(height), i128::from(off));
    let squared = u128::try_from(height * height - off * off).ok()?;
    let root = i128::try_from(squared.isqrt()).ok()?;
    let half = match side {
        Side::Inner => width * root / (2 * height),
        Side::Outer => width * (root + 1) / (2 * height) + 1,
    };
    i64::try_from(half).ok()
}

fn polygon(whole: &Rect, points: &[(i32, i32)], side: Side, count: i64) -> Vec<Rect> {
    let corners: Vec<(i64, i64)> =
        points.iter().map(|point| place(whole, *point)).map(|(x, y)| (x.nanometres(), y.nanometres())).collect();
    let mut levels: Vec<i64> = corners.iter().map(|corner| corner.1).collect();
    levels.sort_unstable();
    levels.dedup();
    let (Some(first), Some(last)) = (levels.first(), levels.last()) else { return Vec::new() };
    let height = (last - first).max(1);
    let mut bands = Vec::new();
    for level in levels.windows(2) {
        let bands_here = ((level[1] - level[0]) * count / height).max(1);
        for band in band_edges(level[0], level[1], bands_here).windows(2) {
            polygon_band(whole, &corners, (band[0], band[1]), side, &mut bands);
        }
    }
    bands
}

/// Whether a polygon covers any of a rectangle: an edge of it runs through the rectangle, or all of the
/// rectangle lies within.
fn polygon_meets(corners: &[(i64, i64)], rect: &Rect) -> bool {
    let (left, right) = (rect.left.nanometres(), rect.right.nanometres());
    let (top, bottom) = (rect.top.nanometres(), rect.bottom.nanometres());
    let edges = || corners.iter().enumerate().map(|(place, from)| (*from, corners[(place + 1) % corners.len()]));
    // On which side of the line through an edge a point lies.
    let side = |(from, to): ((i64, i64), (i64, i64)), (x, y): (i64, i64)| {
        let (along, across) = (i128::from(to.0 - from.0), i128::from(to.1 - from.1));
        (along * i128::from(y - from.1) - across * i128::from(x - from.0)).signum()
    };
    let runs_through = edges().any(|edge @ (from, to)| {
        let sides = [(left, top), (right, top), (right, bottom), (left, bottom)].map(|corner| side(edge, corner));
        from.0.min(to.0) < right
            && from.0.max(to.0) > left
            && from.1.min(to.1) < bottom
            && from.1.max(to.1) > top
            && sides.contains(&1)
            && sides.contains(&-1)
    });
    // A line from its middle to the left crosses edges an odd number of times.
    let middle = (left + (right - left) / 2, top + (bottom - top) / 2);
    let is_left = |edge @ (from, to): ((i64, i64), (i64, i64))| {
        (from.1 > middle.1) != (to.1 > middle.1) && side(edge, middle) == if to.1 > from.1 { -1 } else { 1 }
    };
    runs_through || edges().filter(|edge| is_left(*edge)).count() % 2 == 1
}

/// Where one edge of a polygon crosses a band: at its top and its bottom, each set down and up.
struct Crossing {
    top: (i64, i64),
    bottom: (i64, i64),
}

/// The rectangles of a polygon in a band between two levels of corners, where its edges are straight
/// and none ends. Edges that cross within the band are told as nothing (or as all, from outside).
fn polygon_band(whole: &Rect, corners: &[(i64, i64)], (top, bottom): (i64, i64), side: Side, bands: &mut Vec<Rect>) {
    let mut crossings: Vec<Crossing> = Vec::new();
    for (place, from) in corners.iter().enumerate() {
        let to = corners[(place + 1) % corners.len()];
        let (upper, lower) = if from.1 <= to.1 { (*from, to) } else { (to, *from) };
        if upper.1 <= top && lower.1 >= bottom && upper.1 < lower.1 {
            crossings.push(Crossing { top: across(upper, lower, top), bottom: across(upper, lower, bottom) });
        }
    }
    crossings.sort_by_key(|crossing| (crossing.top.0 + crossing.bottom.0, crossing.top.0));
    let tangled = crossings.windows(2).any(|pair| pair[0].top.0 > pair[1].top.1 || pair[0].bottom.0 > pair[1].bottom.1);
    let mut push = |left: i64, right: i64| {
        let rect = Rect {
            left: Length::from_nanometres(left).max(whole.left),
            right: Length::from_nanometres(right).min(whole.right),
            top: Length::from_nanometres(top),
            bottom: Length::from_nanometres(bottom),
        };
        if !rect.is_empty() {
            bands.push(rect);
        }
    };
    if tangled {
        if side == Side::Outer {
            let left = crossings.iter().map(|one| one.top.0.min(one.bottom.0)).min();
            let right = crossings.iter().map(|one| one.top.1.max(one.bottom.1)).max();
            if let (Some(left), Some(right)) = (left, right) {
                push(left, right);
            }
        }
        return;
    }
    let mut open: Option<(i64, i64)> = None;
    for pair in crossings.chunks_exact(2) {
        let (left, right) = match side {
            Side::Inner => (pair[0].top.1.max(pair[0].bottom.1), pair[1].top.0.min(pair[1].bottom.0)),
            Side::Outer => (pair[0].top.0.min(pair[0].bottom.0), pair[1].top.1.max(pair[1].bottom.1)),
        };
        // Seen from outside, two parts may meet within the band: then they are one.
        open = match open {
            Some((first, last)) if left <= last => Some((first, last.max(right))),
            Some((first, last)) => {
                push(first, last);
                Some((left, right))
            }
            None => Some((left, right)),
        };
    }
    if let Some((first, last)) = open {
        push(first, last);
    }
}

/// Where the line from `upper` to `lower` crosses a level, set down and set up.
fn across(upper: (i64, i64), lower: (i64, i64), level: i64) -> (i64, i64) {
    let run = i128::from(lower.0 - upper.0) * i128::from(level - upper.1);
    let rise = i128::from(lower.1 - upper.1);
    let down = i64::try_from(run.div_euclid(rise)).unwrap_or(0);
    let up = down + i64::from(run.rem_euclid(rise) != 0);
    (upper.0 + down, upper.0 + up)
}

/// The outline of a panel, or of a mat behind it, of this size, where no die has been chosen.
#[must_use]
pub fn outline_of(panel: &DrawnPanel, size: Size) -> Outline {
    outline_cut(panel, size, None)
}

/// The outline of a panel of this size, cut by a die where one is given.
#[must_use]
pub fn outline_cut(panel: &DrawnPanel, size: Size, die: Option<&Die>) -> Outline {
    // A notch as deep as half the banner is wide, but no more than a third of its length.
    let notch = |long: Length, wide: Length| {
        let depth = wide.half().min(Length::from_nanometres(long.nanometres() / 3));
        i32::try_from(depth.nanometres().saturating_mul(1000) / long.nanometres().max(1)).unwrap_or(333)
    };
    match (panel.shape, die.map(|die| &die.outline)) {
        (_, Some(DieOutline::Polygon(points))) => Outline::Polygon(points.clone()),
        (_, Some(DieOutline::Ellipse)) | (Shape::Ellipse, _) => Outline::Ellipse,
        (Shape::BannerRight, _) => {
            let notch = 1000 - notch(size.width, size.height);
            Outline::Polygon(vec![(0, 0), (1000, 0), (notch, 500), (1000, 1000), (0, 1000)])
        }
        (Shape::BannerLeft, _) => {
            let notch = notch(size.width, size.height);
            Outline::Polygon(vec![(0, 0), (1000, 0), (1000, 1000), (0, 1000), (notch, 500)])
        }
        (Shape::BannerDown, _) => {
            let notch = 1000 - notch(size.height, size.width);
            Outline::Polygon(vec![(0, 0), (1000, 0), (1000, 1000), (500, notch), (0, 1000)])
        }
        (Shape::BannerUp, _) => {
            let notch = notch(size.height, size.width);
            Outline::Polygon(vec![(0, 0), (500, notch), (1000, 0), (1000, 1000), (0, 1000)])
        }
        (Shape::Rectangle | Shape::Die, _) => Outline::Rectangle,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_oval_meets_what_its_tip_reaches_and_not_what_lies_in_its_corners() {
        let mm = |count: i64| Length::from_nanometres(count * 1_000_000);
        let rect =
            |left, top, right, bottom| Rect { left: mm(left), top: mm(top), right: mm(right), bottom: mm(bottom) };
        let whole = rect(0, 10, 100, 90);
        assert!(Outline::Ellipse.meets(&whole, &rect(20, 0, 80, 11)), "its upper tip");
        assert!(!Outline::Ellipse.meets(&whole, &rect(0, 0, 14, 21)), "the corner, (36, 29) from the middle");
        assert!(Outline::Ellipse.meets(&whole, &rect(0, 0, 16, 23)));
        assert!(!Outline::Ellipse.meets(&whole, &rect(0, 0, 100, 10)), "what it only touches");
        assert!(Outline::Rectangle.meets(&whole, &rect(0, 0, 1, 11)));
    }

    #[test]
    fn a_banner_meets_what_its_points_reach_and_not_what_lies_in_its_notch() {
        let mm = |count: i64| Length::from_nanometres(count * 1_000_000);
        let rect =
            |left, top, right, bottom| Rect { left: mm(left), top: mm(top), right: mm(right), bottom: mm(bottom) };
        let banner = Outline::Polygon(vec![(0, 0), (1000, 0), (1000, 1000), (500, 600), (0, 1000)]);
        let whole = rect(0, 0, 100, 100);
        assert!(!banner.meets(&whole, &rect(40, 69, 60, 200)), "in the notch, whose sides are at 68 there");
        assert!(banner.meets(&whole, &rect(40, 67, 60, 200)), "over its sides");
        assert!(banner.meets(&whole, &rect(0, 98, 1, 200)), "its point");
        assert!(banner.meets(&whole, &rect(40, 10, 60, 20)), "within");
        assert!(banner.meets(&whole, &rect(-10, -10, 110, 110)), "around it");
        assert!(!banner.meets(&whole, &rect(-10, 0, 0, 100)), "what it only touches");
    }

    fn inch(count: i64) -> Length {
        Length::INCH * count
    }

    fn area(rects: &[Rect]) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "areas of cards are small")]
        let area = rects.iter().map(|rect| rect.area().square_nanometres() as f64).sum::<f64>();
        area / (25.4e6 * 25.4e6)
    }

    /// The area of an ellipse is π times the halves of its axes: within lies less, without more.
    #[test]
    fn bands_lie_within_and_without_a_circle_and_near_it() {
        let whole = Rect { left: inch(1), top: inch(2), right: inch(3), bottom: inch(5) };
        let (inner, outer) = (area(&Outline::Ellipse.inner(&whole)), area(&Outline::Ellipse.outer(&whole)));
        let exact = std::f64::consts::PI * 1.0 * 1.5;
        assert!(inner < exact && exact < outer, "{inner} {exact} {outer}");
        assert!(inner > exact * 0.92 && outer < exact * 1.08, "{inner} {exact} {outer}");
        for rect in Outline::Ellipse.inner(&whole) {
            for (x, y) in
                [(rect.left, rect.top), (rect.right, rect.bottom), (rect.left, rect.bottom), (rect.right, rect.top)]
            {
                let across = (x.millimetres_for_drawing() - 50.8) / 25.4;
                let down = (y.millimetres_for_drawing() - 88.9) / 38.1;
                assert!(across * across + down * down <= 1.0 + 1e-6, "{rect:?}");
            }
        }
    }

    #[test]
    fn a_notch_is_left_out_of_what_is_certainly_covered() {
        let whole = Rect { left: inch(0), top: inch(0), right: inch(4), bottom: inch(2) };
        let banner = Outline::Polygon(vec![(0, 0), (1000, 0), (750, 500), (1000, 1000), (0, 1000)]);
        let (inner, outer) = (banner.inner(&whole), banner.outer(&whole));
        // 8 sq in less a triangle 2 in wide and 1 in deep.
        assert!(area(&inner) < 7.0 && area(&inner) > 6.7, "{}", area(&inner));
        assert!(area(&outer) >= 7.0);
        let in_notch =
            Rect { left: inch(3) + inch(1).half(), top: inch(1) - Length::MILLIMETRE, right: inch(4), bottom: inch(1) };
        assert!(inner.iter().all(|rect| rect.shared(&in_notch).is_empty()));
        let notchless = Rect { left: inch(0), top: inch(0), right: inch(3), bottom: inch(2) };
        assert!(crate::layout::Region::all(inner).holds(&notchless));
    }

    #[test]
    fn a_tangled_polygon_covers_nothing_for_certain_where_it_is_tangled() {
        let whole = Rect { left: inch(0), top: inch(0), right: inch(2), bottom: inch(2) };
        let bow = Outline::Polygon(vec![(0, 0), (1000, 1000), (1000, 0), (0, 1000)]);
        let (inner, outer) = (area(&bow.inner(&whole)), area(&bow.outer(&whole)));
        assert!(inner <= 2.0 && outer >= 2.0, "{inner} {outer}");
        assert!(Outline::Polygon(Vec::new()).inner(&whole).is_empty());
        assert!(Outline::Polygon(vec![(0, 0), (1000, 0)]).inner(&whole).is_empty());
    }

    #[test]
    fn the_corners_round_an_oval_leave_none_of_it_out() {
        let whole = Rect::whole(Size::square(Length::MILLIMETRE * 1_000));
        let corners = Outline::Ellipse.corners(&whole);
        for (place, from) in corners.iter().enumerate() {
            let to = corners[(place + 1) % corners.len()];
            let point =
                |(x, y): (Length, Length)| (x.millimetres_for_drawing() - 500.0, y.millimetres_for_drawing() - 500.0);
            let ((x0, y0), (x1, y1)) = (point(*from), point(to));
            let distance = (x0 * y1 - x1 * y0).abs() / (x1 - x0).hypot(y1 - y0);
            assert!((500.0 - 0.01..500.1).contains(&distance), "{distance}");
        }
    }
}

//! A part of the card made of rectangles, exactly: whole nanometres, nothing is rounded.
//!
//! A [`Region`] is a list of rectangles that share no area. Taking away, adding and sharing keep it
//! so; [`Region::tidy`] gives the one form that is the same however the region came about.

use super::Rect;
use api::units::{Area, Length};

/// A part of the card made of rectangles that share no area.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Region(Vec<Rect>);

impl Region {
    /// Nothing.
    #[must_use]
    pub const fn nothing() -> Self {
        Self(Vec::new())
    }

    /// One rectangle; nothing where it is empty.
    #[must_use]
    pub fn of(rect: Rect) -> Self {
        if rect.is_empty() { Self::nothing() } else { Self(vec![rect]) }
    }

    /// All that any of these holds; they may overlap.
    #[must_use]
    pub fn all(rects: impl IntoIterator<Item = Rect>) -> Self {
        let mut region = Self::nothing();
        for rect in rects {
            region.add(&rect);
        }
        region
    }

    /// All of these, which are known to share no area.
    #[must_use]
    pub fn apart(rects: impl IntoIterator<Item = Rect>) -> Self {
        Self(rects.into_iter().filter(|rect| !rect.is_empty()).collect())
    }

    /// Its rectangles.
    #[must_use]
    pub fn rects(&self) -> &[Rect] {
        &self.0
    }

    /// Whether there is nothing of it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its area.
    #[must_use]
    pub fn area(&self) -> Area {
        self.0.iter().map(Rect::area).sum()
    }

    /// Takes a rectangle away.
    pub fn take(&mut self, away: &Rect) {
        if away.is_empty() || self.0.iter().all(|rect| rect.shared(away).is_empty()) {
            return;
        }
        let mut left = Vec::with_capacity(self.0.len() + 4);
        for rect in &self.0 {
            around(rect, away, &mut left);
        }
        self.0 = left;
    }

    /// Adds a rectangle.
    pub fn add(&mut self, rect: &Rect) {
        if rect.is_empty() {
            return;
        }
        let mut new = Self::of(*rect);
        for old in &self.0 {
            new.take(old);
            if new.is_empty() {
                return;
            }
        }
        self.0.append(&mut new.0);
    }

    /// What it shares with a rectangle.
    #[must_use]
    pub fn within(&self, rect: &Rect) -> Self {
        Self(self.0.iter().map(|own| own.shared(rect)).filter(|shared| !shared.is_empty()).collect())
    }

    /// What is left of it without another.
    #[must_use]
    pub fn without(mut self, other: &Self) -> Self {
        for rect in &other.0 {
            self.take(rect);
        }
        self
    }

    /// Whether it holds all of a rectangle.
    #[must_use]
    pub fn holds(&self, rect: &Rect) -> bool {
        Self::of(*rect).without(self).is_empty()
    }

    /// Whether it has anything of a rectangle.
    #[must_use]
    pub fn meets(&self, rect: &Rect) -> bool {
        self.0.iter().any(|own| !own.shared(rect).is_empty())
    }

    /// The largest rectangle within it that is at least so wide and so high; the first from the top of
    /// those as large.
    #[must_use]
    pub fn largest(&self, least: Length) -> Option<Rect> {
        let tidy = self.tidy();
        let mut edges: Vec<Length> = tidy.0.iter().flat_map(|rect| [rect.top, rect.bottom]).collect();
        edges.sort_unstable();
        edges.dedup();
        let spans = |top: Length, bottom: Length| -> Vec<(Length, Length)> {
            let across = tidy.0.iter().filter(|rect| rect.top <= top && rect.bottom >= bottom);
            across.map(|rect| (rect.left, rect.right)).collect()
        };
        let bands: Vec<Vec<(Length, Length)>> = edges.windows(2).map(|edge| spans(edge[0], edge[1])).collect();
        let mut best: Option<Rect> = None;
        for first in 0..bands.len() {
            let mut open = bands[first].clone();
            for last in first..bands.len() {
                if last > first {
                    open = shared(&open, &bands[last]);
                }
                open.retain(|span| span.1 - span.0 >= least);
                if open.is_empty() {
                    break;
                }
                for (left, right) in &open {
                    let rect = Rect { left: *left, right: *right, top: edges[first], bottom: edges[last + 1] };
                    if rect.height() >= least && best.is_none_or(|best| rect.area() > best.area()) {
                        best = Some(rect);
                    }
                }
            }
        }
        best
    }

    /// The same region in bands from top to bottom, each from left to right, with what can be joined
    /// joined: the same for the same region, however it came about.
    #[must_use]
    pub fn tidy(&self) -> Self {
        if self.0.len() < 2 {
            return self.clone();
        }
        let mut edges: Vec<Length> = self.0.iter().flat_map(|rect| [rect.top, rect.bottom]).collect();
        edges.sort_unstable();
        edges.dedup();
        let mut done: Vec<Rect> = Vec::new();
        let mut open: Vec<Rect> = Vec::new();
        for band in edges.windows(2) {
            let mut spans: Vec<(Length, Length)> = self
                .0
                .iter()
                .filter(|rect| rect.top <= band[0] && rect.bottom >= band[1])
                .map(|rect| (rect.left, rect.right))
                .collect();
            spans.sort_unstable();
            let mut joined: Vec<(Length, Length)> = Vec::with_capacity(spans.len());
            for span in spans {
                match joined.last_mut() {
                    Some(last) if last.1 >= span.0 => last.1 = last.1.max(span.1),
                    _ => joined.push(span),
                }
            }
            let goes_on = open.len() == joined.len()
                && open
                    .iter()
                    .zip(&joined)
                    .all(|(rect, span)| (rect.left, rect.right) == *span && rect.bottom == band[0]);
            if goes_on {
                open.iter_mut().for_each(|rect| rect.bottom = band[1]);
            } else {
                done.append(&mut open);
                let place = |(left, right)| Rect { left, right, top: band[0], bottom: band[1] };
                open = joined.into_iter().map(place).collect();
            }
        }
        done.append(&mut open);
        Self(done)
    }
}

/// What two lists of spans share, each in order.
fn shared(one: &[(Length, Length)], other: &[(Length, Length)]) -> Vec<(Length, Length)> {
    let pairs = one.iter().flat_map(|a| other.iter().map(|b| (a.0.max(b.0), a.1.min(b.1))));
    pairs.filter(|(left, right)| left < right).collect()
}

/// What is left of `rect` around `away`: at most four rectangles.
fn around(rect: &Rect, away: &Rect, left: &mut Vec<Rect>) {
    let hole = rect.shared(away);
    if hole.is_empty() {
        left.push(*rect);
        return;
    }
    let parts = [
        Rect { bottom: hole.top, ..*rect },
        Rect { top: hole.bottom, ..*rect },
        Rect { top: hole.top, bottom: hole.bottom, right: hole.left, ..*rect },
        Rect { top: hole.top, bottom: hole.bottom, left: hole.right, ..*rect },
    ];
    left.extend(parts.into_iter().filter(|part| !part.is_empty()));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rectangle in whole millimetres.
    fn rect(left: i64, top: i64, right: i64, bottom: i64) -> Rect {
        let mm = |count: i64| Length::MILLIMETRE * count;
        Rect { left: mm(left), top: mm(top), right: mm(right), bottom: mm(bottom) }
    }

    /// A cover in the middle leaves a frame.
    ///
    /// ```text
    ///  0        10
    ///  +---------+ 0
    ///  |  +---+  | 3
    ///  |  |   |  |
    ///  |  +---+  | 7
    ///  +---------+ 10
    /// ```
    #[test]
    fn a_cover_in_the_middle_leaves_a_frame() {
        let mut region = Region::of(rect(0, 0, 10, 10));
        region.take(&rect(3, 3, 7, 7));
        assert_eq!(region.area(), rect(0, 0, 10, 10).area() - rect(3, 3, 7, 7).area());
        assert_eq!(region.tidy().rects(), [rect(0, 0, 10, 3), rect(0, 3, 3, 7), rect(7, 3, 10, 7), rect(0, 7, 10, 10)]);
        assert!(region.holds(&rect(0, 0, 3, 10)) && !region.holds(&rect(2, 2, 4, 4)));
        assert!(!region.meets(&rect(3, 3, 7, 7)), "it only touches");
    }

    #[test]
    fn the_tidy_form_is_the_same_whatever_the_order() {
        let pieces = [rect(0, 0, 4, 2), rect(2, 1, 6, 5), rect(0, 4, 3, 6), rect(5, 0, 6, 9)];
        let forwards = Region::all(pieces);
        let backwards = Region::all(pieces.into_iter().rev());
        assert_eq!(forwards.tidy(), backwards.tidy());
        assert_eq!(forwards.area(), forwards.tidy().area());
    }

    /// Regions against a raster of millimetres, which shares no code with them.
    #[test]
    fn regions_agree_with_a_raster() {
        let mut seed = 7_u64;
        let mut next = |below: u64| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            i64::try_from(seed % below).expect("it is small")
        };
        for round in 0..300 {
            let mut region = Region::nothing();
            let mut raster = [[false; 12]; 12];
            for _ in 0..next(9) {
                let (left, top) = (next(11), next(11));
                let (right, bottom) = (left + next(12 - left.unsigned_abs()), top + next(12 - top.unsigned_abs()));
                let adds = next(3) > 0;
                let part = rect(left, top, right, bottom);
                if adds {
                    region.add(&part)
                } else {
                    region.take(&part)
                }
                for (y, row) in (0_i64..).zip(&mut raster) {
                    for (x, cell) in (0_i64..).zip(row.iter_mut()) {
                        if (left..right).contains(&x) && (top..bottom).contains(&y) {
                            *cell = adds;
                        }
                    }
                }
            }
            let area: i128 = region.area().square_nanometres() / 1_000_000_000_000;
            assert_eq!(area, raster.iter().flatten().map(|cell| i128::from(*cell)).sum(), "round {round}");
            for (y, row) in (0_i64..).zip(&raster) {
                for (x, cell) in (0_i64..).zip(row) {
                    assert_eq!(region.tidy().holds(&rect(x, y, x + 1, y + 1)), *cell, "round {round}: {x}, {y}");
                }
            }
        }
    }
}

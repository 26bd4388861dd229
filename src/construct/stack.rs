//! A card as a stack: its layers bottom first, each where it lies, of which pieces, how thick, how heavy.

use crate::layout::{Outline, Rect, Region};
use api::units::{Area, Length, Size};

/// Whether one can see through a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sight {
    /// Nothing beneath it shows.
    Opaque,
    /// What is beneath it shows, as through vellum.
    Through,
}

/// How a layer is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// Flat on what is beneath.
    Flat,
    /// On foam.
    OnFoam,
}

/// One layer of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The pieces it is built from, trimmed flush.
    pub pieces: Vec<Rect>,
    /// Its outline.
    pub outline: Outline,
    /// What the outline fills, before anything is trimmed.
    pub whole: Rect,
    /// Whether one can see through it.
    pub sight: Sight,
    /// How it is held.
    pub held: Held,
    /// How thick it is.
    pub caliper: Length,
    /// Its weight in grams per square metre (ISO 536).
    pub grammage: u32,
    /// The layers it is drawn as lying on, as places in the stack; empty is the card base.
    pub on: Vec<usize>,
    /// Where its middle is cut out.
    pub hole: Option<Rect>,
}

impl Sheet {
    /// Rectangles that it certainly covers, if it is opaque.
    #[must_use]
    pub fn inner(&self) -> Vec<Rect> {
        self.clipped(|outline, whole| outline.inner(whole))
    }

    /// Rectangles outside of which it certainly has nothing.
    #[must_use]
    pub fn outer(&self) -> Vec<Rect> {
        self.clipped(|outline, whole| outline.outer(whole))
    }

    /// Whether it covers any of a rectangle.
    pub(super) fn meets(&self, rect: &Rect) -> bool {
        let is_there = |shared: &Rect| self.hole.is_none_or(|hole| !hole.holds(shared));
        self.pieces
            .iter()
            .map(|piece| piece.shared(rect))
            .any(|shared| is_there(&shared) && self.outline.meets(&self.whole, &shared))
    }

    /// Whether it lies over any of another sheet, or beneath it: where both are curved, told in narrow bands.
    pub(super) fn overlaps(&self, other: &Self) -> bool {
        if self.around().shared(&other.around()).is_empty() {
            return false;
        }
        let finely = other.clipped(|outline, whole| outline.outer_within(whole, BAND));
        finely.iter().any(|rect| self.meets(rect))
    }

    fn clipped(&self, bands: impl Fn(&Outline, &Rect) -> Vec<Rect>) -> Vec<Rect> {
        let rects: Vec<Rect> = if self.outline == Outline::Rectangle {
            self.pieces.clone()
        } else {
            let bands = bands(&self.outline, &self.whole);
            let clip = |piece: &Rect| bands.iter().map(|band| band.shared(piece)).collect::<Vec<_>>();
            self.pieces.iter().flat_map(clip).filter(|rect| !rect.is_empty()).collect()
        };
        let Some(hole) = self.hole else { return rects };
        let mut ring = Region::apart(rects);
        ring.take(&hole);
        ring.rects().to_vec()
    }

    /// Rectangles that share no area and lie within the pieces and the outline, for each piece the
    /// largest first: a curved piece has one in its middle and one on each side of that.
    #[must_use]
    pub fn cores(&self) -> Vec<Rect> {
        if self.outline == Outline::Rectangle {
            return self.pieces.clone();
        }
        let bands = self.outline.inner(&self.whole);
        self.pieces.iter().flat_map(|piece| cores(&bands, piece)).collect()
    }

    /// For each piece, what lies at least `back` within its edge, and from where its middle is cut out.
    #[must_use]
    pub fn areas_within(&self, back: Length) -> Vec<Region> {
        self.areas_in(self.outline.inner(&self.whole), back)
    }

    /// The same, of curves and points less left out; more rectangles.
    #[must_use]
    pub fn fine_areas_within(&self, back: Length) -> Vec<Region> {
        self.areas_in(self.outline.inner_within(&self.whole, BAND), back)
    }

    fn areas_in(&self, bands: Vec<Rect>, back: Length) -> Vec<Region> {
        let rows = (self.outline != Outline::Rectangle).then(|| rows(bands));
        let within = |piece: &Rect| match &rows {
            None => Region::of(piece.inset(back)),
            Some(rows) => kept_back(rows, piece, back),
        };
        let mut areas: Vec<Region> = self.pieces.iter().map(within).collect();
        if let Some(hole) = self.hole {
            areas.iter_mut().for_each(|area| area.take(&hole.inset(-back)));
        }
        areas
    }

    /// For each piece, the largest rectangle found within it and the outline.
    #[must_use]
    pub fn middles(&self) -> Vec<Rect> {
        if self.outline == Outline::Rectangle {
            return self.pieces.clone();
        }
        let bands = self.outline.inner(&self.whole);
        self.pieces.iter().filter_map(|piece| core(&bands, piece)).collect()
    }

    /// The rectangle round its pieces.
    #[must_use]
    pub fn around(&self) -> Rect {
        self.pieces.iter().copied().reduce(|one, other| one.around(&other)).unwrap_or(self.whole)
    }

    /// Its area: of its pieces, or of as much of its outline as they show.
    #[must_use]
    pub fn area(&self) -> Area {
        match self.outline {
            Outline::Rectangle => self.inner().iter().map(Rect::area).sum(),
            // Between what certainly is there and what certainly is not.
            _ => {
                let inner: Area = self.inner().iter().map(Rect::area).sum();
                let outer: Area = Region::all(self.outer()).area();
                Area::from_square_nanometres((inner.square_nanometres() + outer.square_nanometres()) / 2)
            }
        }
    }
}

/// The narrowest rectangle beside the middle of a curved piece that counts, 1/4 in; common practice, no source.
const NARROWEST: Length = Length::from_nanometres(6_350_000);
/// How high the bands are in which a curved piece is told where something must lie within it: 1/32 in.
const BAND: Length = Length::from_nanometres(793_750);
/// How often the sides of a curved piece are looked into for a further rectangle.
const DEEP: u32 = 3;

/// What an outline covers between two heights: spans from left to right that share no length.
struct Row {
    top: Length,
    bottom: Length,
    spans: Vec<(Length, Length)>,
}

/// Bands as rows from top to bottom, with an empty one where the outline covers nothing between two.
fn rows(mut bands: Vec<Rect>) -> Vec<Row> {
    bands.sort_unstable_by_key(|band| (band.top, band.left));
    let mut rows: Vec<Row> = Vec::with_capacity(bands.len());
    for Rect { left, top, right, bottom } in bands {
        match rows.last_mut() {
            Some(row) if row.top == top => row.spans.push((left, right)),
            last => {
                let above = last.map_or(top, |row| row.bottom);
                if above < top {
                    rows.push(Row { top: above, bottom: top, spans: Vec::new() });
                }
                rows.push(Row { top, bottom, spans: vec![(left, right)] });
            }
        }
    }
    rows
}

/// What of a piece lies at least `back`, across and down, within its own edge and that of the rows.
fn kept_back(rows: &[Row], piece: &Rect, back: Length) -> Region {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return Region::nothing() };
    let from = piece.top.max(first.top) + back;
    let to = piece.bottom.min(last.bottom) - back;
    // Between two of these heights the same rows lie within `back`.
    let mut heights: Vec<Length> = rows.iter().flat_map(|row| [row.top + back, row.bottom - back]).collect();
    heights.retain(|height| from < *height && *height < to);
    heights.extend([from, to]);
    heights.sort_unstable();
    heights.dedup();
    let mut found = Vec::with_capacity(heights.len());
    let mut begin = 0;
    for slab in heights.windows(2).filter(|_| from < to) {
        let (top, bottom) = (slab[0], slab[1]);
        begin += rows[begin..].iter().take_while(|row| row.bottom <= top - back).count();
        let mut spans = vec![(piece.left, piece.right)];
        for row in rows[begin..].iter().take_while(|row| row.top < bottom + back) {
            let within = |(left, right): &(Length, Length)| {
                let shared = row.spans.iter().map(move |own| (own.0.max(*left), own.1.min(*right)));
                shared.filter(|(left, right)| left < right).collect::<Vec<_>>()
            };
            spans = spans.iter().flat_map(within).collect();
        }
        let inset = spans.into_iter().map(|(left, right)| (left + back, right - back));
        found.extend(inset.filter(|(left, right)| left < right).map(|(left, right)| Rect { left, top, right, bottom }));
    }
    Region::apart(found).tidy()
}

/// The largest rectangle of a piece, then the largest beside it on each side, and beside those.
fn cores(bands: &[Rect], piece: &Rect) -> Vec<Rect> {
    let mut found: Vec<Rect> = core(bands, piece).into_iter().collect();
    let Some(middle) = found.first().copied() else { return found };
    beside(bands, piece, &middle, DEEP, &mut found);
    found
}

fn beside(bands: &[Rect], piece: &Rect, middle: &Rect, deep: u32, found: &mut Vec<Rect>) {
    let sides = [
        Rect { right: middle.left, ..*piece },
        Rect { left: middle.right, ..*piece },
        Rect { bottom: middle.top, left: middle.left, right: middle.right, ..*piece },
        Rect { top: middle.bottom, left: middle.left, right: middle.right, ..*piece },
    ];
    for side in sides.iter().filter(|side| side.width() >= NARROWEST && side.height() >= NARROWEST) {
        if let Some(core) = core(bands, side).filter(|core| core.size().short() >= NARROWEST) {
            found.push(core);
            if deep > 1 {
                beside(bands, side, &core, deep - 1, found);
            }
        }
    }
}

/// The largest rectangle that neighbouring bands share, within `piece`.
fn core(bands: &[Rect], piece: &Rect) -> Option<Rect> {
    let bands: Vec<Rect> = bands.iter().map(|band| band.shared(piece)).filter(|band| !band.is_empty()).collect();
    let mut best: Option<Rect> = None;
    for (first, band) in bands.iter().enumerate() {
        let mut shared = *band;
        for (next, below) in bands.iter().enumerate().skip(first) {
            if next > first && below.top != shared.bottom {
                break;
            }
            let (left, right) = (shared.left.max(below.left), shared.right.min(below.right));
            shared = Rect { left, right, bottom: below.bottom, ..shared };
            if shared.is_empty() {
                break;
            }
            if best.is_none_or(|best| shared.area() > best.area()) {
                best = Some(shared);
            }
        }
    }
    best
}

/// A card as a stack of layers, the front of the card base first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stack {
    /// The card's front.
    pub card: Size,
    /// Its layers, bottom first; the first is the front of the base.
    pub sheets: Vec<Sheet>,
}

/// What shows of each layer: all of it that no opaque layer above certainly covers. Exact where all
/// are rectangles; where one is curved, no less than what shows.
#[must_use]
pub fn visible(stack: &Stack) -> Vec<Region> {
    let covers: Vec<Vec<Rect>> = stack
        .sheets
        .iter()
        .map(|sheet| if sheet.sight == Sight::Opaque { sheet.inner() } else { Vec::new() })
        .collect();
    let card = Rect::whole(stack.card);
    stack
        .sheets
        .iter()
        .enumerate()
        .map(|(place, sheet)| {
            // Bands of one shape share no area; pieces of one layer may touch, and never overlap.
            let mut region = Region::apart(sheet.outer().into_iter().map(|rect| rect.shared(&card)));
            for cover in covers[place + 1..].iter().flatten() {
                region.take(cover);
                if region.is_empty() {
                    break;
                }
            }
            region.tidy()
        })
        .collect()
}

/// Where glue may go behind a layer one can see through: beneath what is opaque above it, kept `back`
/// from its edge; and no narrower than twice that.
#[must_use]
pub fn glue_zones(stack: &Stack, place: usize, back: Length) -> Region {
    let sheet = &stack.sheets[place];
    let above = stack.sheets[place + 1..].iter().filter(|above| above.sight == Sight::Opaque);
    let mut zones = Region::nothing();
    for cover in above {
        for core in cover.middles() {
            for own in sheet.middles() {
                let zone = core.inset(back).shared(&own.inset(back));
                if zone.width() >= back * 2 && zone.height() >= back * 2 {
                    zones.add(&zone);
                }
            }
        }
    }
    zones.tidy()
}

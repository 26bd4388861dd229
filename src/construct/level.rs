//! What holds: the stack's height under every layer, and what goes beneath so that nothing sags.
//!
//! Each layer lies flat on the highest thing beneath it. Where something lower than that by more than
//! the threshold lies beneath, a levelling piece goes in: a rectangle, kept back from the layer's own
//! edges, of as many plies as come nearest to the step. A raised layer stands on foam besides.

use super::foam::{Pads, pads};
use super::stack::{Held, Sheet, Sight, Stack, glue_zones};
use crate::layout::{Rect, Region};
use api::units::{Length, Size};

/// How far levelling pieces keep back from an edge that shows: 1/16 in.
pub const BACK: Length = Length::from_nanometres(1_587_500);
/// The narrowest levelling piece worth handling: 1/4 in, less only beneath a narrow band. Common practice, no source.
pub const NARROWEST: Length = Length::from_nanometres(6_350_000);
/// A bit holds what lies nearer to it than this, 1/2 in. Common practice, no source.
const NEAR: Length = Length::from_nanometres(12_700_000);
/// What lies further than this from whatever holds the layer, 9/16 in, both across and down, is worth a bit
/// as small as half the narrowest. Common practice, no source.
const FAR: Length = Length::from_nanometres(14_287_500);
/// Curves are told in whole nanometres: what is so little short of a mark on the ruler lies on it.
const ROUNDED: Length = Length::from_nanometres(1_000);
/// How wide bits are where a middle is cut out, 1/2 in, and how far apart, 1 in at most. Common practice, no source.
const STRIP: (Length, Length) = (NEAR, Length::INCH);
/// The most levelling pieces for one step beneath one layer.
const MOST_BITS: usize = 12;
/// More plies than this of one thing are no longer stacked. Common practice, no source.
const MOST_PLIES: i64 = 4;

/// How the work is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rules {
    /// Steps higher than this are levelled.
    pub level_above: Length,
    /// The widest span that foam leaves without support.
    pub foam_span: Length,
    /// The finest step of the ruler.
    pub ruler: Length,
    /// What fills a step.
    pub bits: Bits,
}

/// What is in the bits box, by its thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bits {
    /// Patterned paper.
    pub paper: Length,
    /// Cardstock.
    pub card: Length,
    /// Thin foam: 1 mm, common practice.
    pub thin_foam: Length,
    /// Regular foam: 2 mm, common practice.
    pub foam: Length,
}

/// What a levelling piece is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filling {
    /// Any bit of patterned paper.
    Paper,
    /// Any bit of cardstock.
    Card,
    /// Thin foam.
    ThinFoam,
    /// Regular foam.
    Foam,
    /// A listed scrap, by its place among those offered.
    Scrap(usize),
}

/// One levelling piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Levelling {
    /// Where it lies.
    pub rect: Rect,
    /// How many, one on another.
    pub plies: u32,
    /// Of what.
    pub of: Filling,
    /// The step it fills.
    pub step: Length,
}

/// A listed scrap that is good for nothing else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scrap {
    /// Its size.
    pub size: Size,
    /// How thick it is.
    pub caliper: Length,
    /// How many there are.
    pub count: u32,
}

/// What goes beneath one layer, and where it comes to lie.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Beneath {
    /// Levelling pieces.
    pub levelling: Vec<Levelling>,
    /// Foam, where it is raised.
    pub foam: Option<Pads>,
    /// How high its underside lies above the front of the base's own underside.
    pub height: Length,
}

/// How high things lie, rectangle by rectangle.
struct Heights(Vec<(Rect, Length)>);

impl Heights {
    /// What lies beneath a rectangle.
    fn under(&self, rect: &Rect) -> impl Iterator<Item = (Rect, Length)> {
        self.0.iter().map(|(own, height)| (own.shared(rect), *height)).filter(|(shared, _)| !shared.is_empty())
    }

    fn set(&mut self, rect: &Rect, height: Length) {
        let mut left = Vec::with_capacity(self.0.len() + 4);
        for (own, old) in &self.0 {
            if own.shared(rect).is_empty() {
                left.push((*own, *old));
                continue;
            }
            let mut rest = Region::of(*own);
            rest.take(rect);
            left.extend(rest.rects().iter().map(|rect| (*rect, *old)));
        }
        left.push((*rect, height));
        self.0 = left;
    }
}

/// What goes beneath each layer, bottom first; and the highest point above the front's underside.
#[must_use]
pub fn build(stack: &Stack, rules: &Rules, scraps: &[Scrap]) -> (Vec<Beneath>, Length) {
    let mut heights = Heights(vec![(Rect::whole(stack.card), Length::ZERO)]);
    let mut left: Vec<u32> = scraps.iter().map(|scrap| scrap.count).collect();
    let mut built = Vec::with_capacity(stack.sheets.len());
    let mut tops: Vec<Length> = Vec::with_capacity(stack.sheets.len());
    for (place, sheet) in stack.sheets.iter().enumerate() {
        let pieces = sheet.outer();
        // Asked of the sheets, not of the heights: those of a curved one reach a little further than it does.
        let beneath = stack.sheets.iter().zip(&tops).filter(|(below, _)| sheet.overlaps(below));
        let top = beneath.map(|(_, top)| *top).max().unwrap_or(Length::ZERO);
        let mut beneath = Beneath { height: top, ..Beneath::default() };
        if place > 0 {
            let mut found: Vec<Rect> = Vec::new();
            for area in areas(stack, place, sheet.areas_within(BACK), rules) {
                found.extend(fillable(&heights, &area, top, rules, narrowest(sheet)));
            }
            found.extend(at_points(stack, place, &heights, &found, top, rules));
            // A bit rests on the highest of what really lies beneath it.
            let rests_on = |bit: &Rect| {
                let below = stack.sheets.iter().zip(&tops).filter(|(below, _)| below.meets(bit));
                below.map(|(_, top)| *top).max().unwrap_or(Length::ZERO)
            };
            for rect in found {
                let step = top - rests_on(&rect);
                if step > rules.level_above {
                    beneath.levelling.extend(filled(rect, step, rules, scraps, &mut left));
                }
            }
            // What is too slight for any foam lies flat.
            let pads = (sheet.held == Held::OnFoam).then(|| pads(stack, place, rules));
            if let Some(pads) = pads.filter(|pads| !pads.pads.is_empty()) {
                beneath.foam = Some(pads);
                beneath.height = top + rules.bits.foam;
            }
        }
        let height = beneath.height + sheet.caliper;
        tops.push(height);
        for piece in &pieces {
            heights.set(piece, height);
        }
        built.push(beneath);
    }
    (built, tops.into_iter().max().unwrap_or(Length::ZERO))
}

/// How narrow a bit beneath a layer may be: beneath a narrow band, as narrow as it must be.
fn narrowest(sheet: &Sheet) -> Length {
    NARROWEST.min(sheet.around().size().short() - BACK * 2).max(BACK)
}

/// Where beneath a layer, of these areas well within its edge, something may lie: where it can be seen through,
/// only what is hidden; over a middle that is cut out, strips across it.
fn areas(stack: &Stack, place: usize, areas: Vec<Region>, rules: &Rules) -> Vec<Region> {
    let sheet = &stack.sheets[place];
    let zones = (sheet.sight == Sight::Through).then(|| glue_zones(stack, place, BACK));
    // Only what lies right over a hole spans it.
    let is_open = |below: usize, hole: &Rect| stack.sheets[below + 1..place].iter().all(|between| !between.meets(hole));
    let holes = stack.sheets[..place].iter().enumerate().filter_map(|(below, of)| Some((below, of.hole?)));
    let holes: Vec<Rect> = holes.filter(|(below, hole)| is_open(*below, hole)).map(|(_, hole)| hole).collect();
    let hidden = |area: Region| zones.as_ref().map_or_else(|| area.clone(), |zones| shared(&area, zones));
    let mut areas: Vec<Region> = areas.into_iter().map(hidden).collect();
    for area in &mut areas {
        holes.iter().for_each(|hole| bridge(area, hole, rules.ruler));
    }
    areas
}

/// Where a middle is cut out beneath an area, strips do that run across it: what is over the hole lies
/// on its edge all round and on the strips.
fn bridge(area: &mut Region, hole: &Rect, ruler: Length) {
    let over = area.within(hole);
    if over.is_empty() {
        return;
    }
    area.take(hole);
    let strips = strips(hole, ruler);
    let bits = over.rects().iter().flat_map(|part| strips.iter().map(|strip| strip.shared(part)));
    *area = Region::apart(area.rects().iter().copied().chain(bits)).tidy();
}

/// Strips across the shorter side of a hole, so that nothing in it is further than half their distance
/// from its edge or from a strip; none where it is narrower than that distance.
fn strips(hole: &Rect, ruler: Length) -> Vec<Rect> {
    // Less than the distance allowed, by what setting down to the ruler takes.
    let (wide, apart) = (STRIP.0.floor_to(ruler), STRIP.1 - ruler);
    let (short, long) = (hole.size().short(), hole.size().long());
    if short <= apart || long <= apart {
        return Vec::new();
    }
    let between = (long - apart).nanometres();
    let each = (wide + apart).nanometres().max(1);
    let count = (between + each - 1) / each;
    let gap = (long.nanometres() - count * wide.nanometres()) / (count + 1);
    let strip = |place: i64| {
        let from = Length::from_nanometres(gap * (place + 1) + wide.nanometres() * place).floor_to(ruler);
        if hole.width() >= hole.height() {
            Rect { left: hole.left + from, right: hole.left + from + wide, ..*hole }
        } else {
            Rect { top: hole.top + from, bottom: hole.top + from + wide, ..*hole }
        }
    };
    (0..count).map(strip).collect()
}

/// What two regions share.
fn shared(one: &Region, other: &Region) -> Region {
    Region::all(other.rects().iter().flat_map(|rect| one.within(rect).rects().to_vec()))
}

/// What lies lower than `top` beneath an area by more than the threshold, step by step, the highest
/// step first.
fn gaps(heights: &Heights, area: &Region, top: Length, above: Length) -> Vec<(Length, Region)> {
    let under = area.rects().iter().flat_map(|rect| heights.under(rect).collect::<Vec<_>>());
    let mut low: Vec<(Length, Rect)> =
        under.map(|(rect, height)| (top - height, rect)).filter(|(step, _)| *step > above).collect();
    low.sort_by(|one, other| other.0.cmp(&one.0).then(one.1.cmp(&other.1)));
    let mut found: Vec<(Length, Vec<Rect>)> = Vec::new();
    for (step, rect) in low {
        match found.last_mut() {
            Some((last, rects)) if *last == step => rects.push(rect),
            _ => found.push((step, vec![rect])),
        }
    }
    found.into_iter().map(|(step, rects)| (step, Region::apart(rects).tidy())).collect()
}

/// The rectangles beneath an area that are worth filling: those over one height first, the largest first. What is left of several steps, each too narrow alone, is filled together:
/// such a piece rests on the highest of them.
fn fillable(heights: &Heights, area: &Region, top: Length, rules: &Rules, narrowest: Length) -> Vec<Rect> {
    let gaps = gaps(heights, area, top, rules.level_above);
    let mut found: Vec<Rect> = Vec::new();
    let mut rest = Region::nothing();
    for (_, gap) in &gaps {
        let mut left = gap.clone();
        take_bits(&mut left, rules.ruler, narrowest, |rect| found.push(rect));
        rest = Region::apart(rest.rects().iter().chain(left.rects()).copied());
    }
    if gaps.len() > 1 {
        let mut left = rest.tidy();
        take_bits(&mut left, rules.ruler, narrowest, |rect| found.push(rect));
    }
    found
}

/// Smaller bits for points and tips: where something of a layer has nothing near that holds it.
fn at_points(stack: &Stack, place: usize, heights: &Heights, bits: &[Rect], top: Length, rules: &Rules) -> Vec<Rect> {
    let sheet = &stack.sheets[place];
    let cover = sheet.inner();
    let grounds = cover.iter().flat_map(|part| heights.under(part));
    let grounds = grounds.filter(|(_, height)| top - *height <= rules.level_above).map(|(rect, _)| rect);
    let mut bare = Region::apart(cover.iter().copied());
    for held in grounds.chain(bits.iter().copied()) {
        bare.take(&held.inset(-FAR));
    }
    let mut found: Vec<Rect> = Vec::new();
    if bare.is_empty() {
        return found;
    }
    for area in areas(stack, place, sheet.fine_areas_within(BACK), rules) {
        let gaps = gaps(heights, &area, top, rules.level_above);
        let mut left = Region::apart(gaps.iter().flat_map(|(_, gap)| gap.rects().iter().copied()));
        bits.iter().for_each(|rect| left.take(rect));
        let mut left = left.tidy();
        take_bits(&mut left, rules.ruler, narrowest(sheet).half(), |rect| {
            if bare.meets(&rect.inset(-NEAR)) {
                bare.take(&rect.inset(-FAR));
                found.push(rect);
            }
        });
    }
    found
}

/// Takes rectangles out of a region, the largest first, as long as they are worth handling.
fn take_bits(left: &mut Region, ruler: Length, narrowest: Length, mut take: impl FnMut(Rect)) {
    for _ in 0..MOST_BITS {
        let Some(part) = left.largest(narrowest - ROUNDED) else { break };
        left.take(&part);
        let on_ruler = |side: Length| (side + ROUNDED).floor_to(ruler).min(side);
        let size = Size::new(on_ruler(part.width()), on_ruler(part.height()));
        if size.short().is_positive() {
            take(Rect { right: part.left + size.width, bottom: part.top + size.height, ..part });
        }
    }
}

/// What fills a step: a scrap that is good for nothing else, or whatever of the bits box comes nearest.
fn filled(rect: Rect, step: Length, rules: &Rules, scraps: &[Scrap], left: &mut [u32]) -> Vec<Levelling> {
    let bits = rules.bits;
    let plies = |of: Length| (step.nanometres() + of.nanometres() / 2) / of.nanometres().max(1);
    let off = |of: Length| (of * plies(of).max(1) - step).abs();
    let enough = |of: Length| (1..=MOST_PLIES).contains(&plies(of).max(1));
    let choices = [
        (Filling::Card, bits.card),
        (Filling::Paper, bits.paper),
        (Filling::ThinFoam, bits.thin_foam),
        (Filling::Foam, bits.foam),
    ];
    let best = choices
        .into_iter()
        .enumerate()
        .filter(|(_, (_, of))| enough(*of))
        .min_by_key(|(place, (_, of))| (off(*of), plies(*of), *place))
        .map_or((Filling::Foam, bits.foam), |(_, choice)| choice);
    let near = off(best.1).max(rules.level_above.half());
    for (place, scrap) in scraps.iter().enumerate() {
        let count = plies(scrap.caliper).max(1);
        let fits = rect.size().fits_in(scrap.size, api::units::Turn::Either);
        if fits && off(scrap.caliper) <= near && count <= i64::from(left[place]) && count <= MOST_PLIES {
            let count = u32::try_from(count).unwrap_or(1);
            left[place] -= count;
            return vec![Levelling { rect, plies: count, of: Filling::Scrap(place), step }];
        }
    }
    let one = |of: Filling, plies: i64| Levelling { rect, plies: u32::try_from(plies).unwrap_or(u32::MAX), of, step };
    if off(best.1) <= bits.card.half().max(rules.level_above) {
        return vec![one(best.0, plies(best.1).max(1))];
    }
    // Nothing alone comes near: foam first, then as many plies as are still lacking.
    let mut lacks = step;
    let mut stack = Vec::new();
    for (of, thick) in [(Filling::Foam, bits.foam), (Filling::ThinFoam, bits.thin_foam)] {
        let count = lacks.nanometres() / thick.nanometres().max(1);
        lacks -= thick * count;
        stack.extend((count > 0).then(|| one(of, count)));
    }
    let card = bits.card.nanometres().max(1);
    let count = (lacks.nanometres() + card / 2) / card;
    stack.extend((count > 0).then(|| one(Filling::Card, count)));
    stack
}

//! Which finishing dots go on a card, how many, and where: an ornament of a card that was found.
//!
//! A card's stack with what shows of each layer in; one group of dots, or none, out. Dots never change
//! which cards are suggested, nor how they score. Their colour takes up one that is on the card already,
//! or else is that of a neutral pearl; they stand out from the paper beneath them.

use super::bench::Bench;
use super::built::Part;
use super::pieces::PartPiece;
use crate::construct::dots::{Quiet, group, quiet};
use crate::construct::stack::{Sight, Stack};
use crate::index::FaceId;
use crate::layout::{Rect, Region};
use crate::score::{Suggestion, Table};
use crate::stash::Dots;
use api::units::Length;
use api::{Colour, Material, Role, delta_e_2000, lch};

/// Dots this near to a colour on the card take it up, in thousandths of CIEDE2000, as inks do. Common
/// practice, no source.
const TAKES_UP: i64 = 12_000;
/// Dots this near to the paper beneath them do not stand out, in thousandths of CIEDE2000. Common
/// practice, no source.
const STANDS_OUT: i64 = 20_000;
/// The least share of a paper that a colour must have to be taken up: 5 %. Common practice, no source.
const LEAST_SHARE: u32 = 50_000;
/// The most chroma and the least lightness (CIELAB) of what passes for a neutral pearl. Common practice,
/// no source.
const NEUTRAL: (f64, f64) = (12.0, 75.0);
/// Dots no wider than this, 3 mm, are set in fives where there are plenty: this many for a card. Common
/// practice, no source.
const SMALL: (Length, u32) = (Length::micrometres(3_000), 25);
/// The most kinds that are tried on a card, best first.
const MOST_KINDS: usize = 6;

/// Finishing dots in their places on a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DotsSet {
    /// Which, as a place in the stash's dots.
    pub of: usize,
    /// What they are set on, as a place in the stack.
    pub place: usize,
    /// The same as a place in the network's layers.
    pub layer: usize,
    /// The square round each, from the left.
    pub spots: Vec<Rect>,
    /// The face whose colour they take up; `None` where they are a neutral pearl.
    pub takes_up: Option<FaceId>,
}

impl DotsSet {
    /// How many there are of them.
    #[must_use]
    pub fn count(&self) -> u32 {
        u32::try_from(self.spots.len()).unwrap_or(u32::MAX)
    }
}

/// A kind of dots that goes with a card.
struct Kind<'a> {
    of: usize,
    dots: &'a Dots,
    /// How many one card may have.
    may_have: u32,
    takes_up: Option<FaceId>,
    /// First what takes up a colour, the nearest first, then neutral pearls.
    rank: (bool, i64, usize),
}

/// A layer on which dots may be set.
struct Ground {
    place: usize,
    layer: usize,
    colour: Colour,
    is_busy: bool,
    quiet: Quiet,
}

/// The dots of a card; `None` where it has none: none are on hand or wanted, none go with it, or
/// nowhere is room.
pub(super) fn set(
    table: Table<'_>,
    bench: &Bench,
    card: &Suggestion,
    (stack, parts, visible): (&Stack, &[Part], &[Region]),
    of_images: &[PartPiece<'_>],
) -> Option<DotsSet> {
    if bench.dots.is_empty() {
        return None;
    }
    let kinds = kinds(table, bench, &shown(card, parts, visible, of_images));
    if kinds.is_empty() {
        return None;
    }
    let grounds = grounds(table, card, (stack, parts, visible));
    let near = near(card, stack, parts, visible);
    for is_busy in [false, true] {
        for counts in [&[5, 3][..], &[1]] {
            let tried = kinds.iter().flat_map(|kind| counts.iter().map(move |count| (kind, *count)));
            for (kind, count) in tried.filter(|(kind, count)| may_be(kind, *count)) {
                let stands_out = |ground: &&Ground| {
                    apart(kind.dots.colour, ground.colour, STANDS_OUT).is_none_or(|near| near > STANDS_OUT)
                };
                let room = grounds.iter().filter(|ground| ground.is_busy == is_busy).filter(stands_out);
                let found = room.filter_map(|ground| {
                    let group = group(&ground.quiet, count, kind.dots.diameter, table.settings.ruler, &near)?;
                    Some((group, ground))
                });
                // The nearest; of those as near the highest layer.
                let found = found.min_by_key(|(group, ground)| (group.away, std::cmp::Reverse(ground.place)));
                if let Some((group, ground)) = found {
                    return Some(DotsSet {
                        of: kind.of,
                        place: ground.place,
                        layer: ground.layer,
                        spots: group.spots,
                        takes_up: kind.takes_up,
                    });
                }
            }
        }
    }
    None
}

/// Whether a kind may be set in groups of so many: threes as a rule, fives where they are small and there
/// are plenty, and one alone where nothing else will do.
fn may_be(kind: &Kind<'_>, count: u32) -> bool {
    let (small, plenty) = SMALL;
    kind.may_have >= count && (count < 5 || (kind.dots.diameter <= small && kind.may_have >= plenty))
}

/// The faces that show, each once: of layers, and of parts that images are built from.
fn shown(card: &Suggestion, parts: &[Part], visible: &[Region], of_images: &[PartPiece<'_>]) -> Vec<FaceId> {
    let of_layers = parts.iter().zip(visible).filter(|(part, region)| part.part.is_none() && !region.is_empty());
    let of_layers = of_layers.map(|(part, _)| card.faces[card.network.layers[part.layer].slot]);
    let mut faces: Vec<FaceId> = of_layers.chain(of_images.iter().map(|part| part.face)).collect();
    faces.sort_unstable();
    faces.dedup();
    faces
}

/// The kinds that go with these faces, best first.
fn kinds<'a>(table: Table<'a>, bench: &Bench, faces: &[FaceId]) -> Vec<Kind<'a>> {
    let mut kinds = Vec::new();
    for (of, may_have) in bench.dots.iter().copied().filter(|(_, may_have)| *may_have > 0) {
        let Some(dots) = table.dots.get(of) else { continue };
        let is_neutral = {
            let (chroma, lightness) = NEUTRAL;
            lch(dots.colour).chroma < chroma && dots.colour.l >= lightness
        };
        if is_neutral {
            kinds.push(Kind { of, dots, may_have, takes_up: None, rank: (true, 0, of) });
            continue;
        }
        let mut nearest: Option<(i64, FaceId)> = None;
        for face in faces {
            let swatches = table.index.face(*face).view.swatches.iter();
            for swatch in swatches.filter(|swatch| swatch.share.millionths() >= LEAST_SHARE) {
                let apart = apart(dots.colour, swatch.colour, TAKES_UP).filter(|apart| *apart <= TAKES_UP);
                if let Some(apart) = apart
                    && nearest.is_none_or(|(least, _)| apart < least)
                {
                    nearest = Some((apart, *face));
                }
            }
        }
        if let Some((apart, face)) = nearest {
            kinds.push(Kind { of, dots, may_have, takes_up: Some(face), rank: (false, apart, of) });
        }
    }
    kinds.sort_by_key(|kind| kind.rank);
    kinds.truncate(MOST_KINDS);
    kinds
}

/// How far two colours are apart, in thousandths of CIEDE2000; `None` where their lightness alone is
/// further apart than `limit`. (Its weight for lightness is at most 1.75, at the ends of the scale, and
/// what chroma and hue add is never less than nothing.)
fn apart(one: Colour, other: Colour, limit: i64) -> Option<i64> {
    #[allow(clippy::cast_precision_loss, reason = "limits are small")]
    let furthest = limit as f64 / 1_000.0 * 1.75;
    #[allow(clippy::cast_possible_truncation, reason = "CIEDE2000 of two colours is a few hundred at most")]
    let thousandths = |apart: f64| (apart * 1_000.0).round() as i64;
    ((one.l - other.l).abs() <= furthest).then(|| thousandths(delta_e_2000(one, other)))
}

/// The layers on which dots may be set: never an image, words, a mat's even edge, or what one sees through.
fn grounds(table: Table<'_>, card: &Suggestion, (stack, parts, visible): (&Stack, &[Part], &[Region])) -> Vec<Ground> {
    let mut grounds = Vec::new();
    for (place, part) in parts.iter().enumerate() {
        let layer = &card.network.layers[part.layer];
        let view = &table.index.face(card.faces[layer.slot]).view;
        let is_ground = part.part.is_none()
            && !visible[place].is_empty()
            && stack.sheets[place].sight == Sight::Opaque
            && view.material != Material::Image
            && !layer.holds_sentiment
            && !matches!(layer.role, Role::Focal | Role::Sentiment | Role::Mat);
        if !is_ground {
            continue;
        }
        let quiet = quiet(stack, place);
        if !quiet.within.is_empty() {
            let is_busy = view.pattern.busyness > table.settings.quiet;
            grounds.push(Ground { place, layer: part.layer, colour: view.main_colour(), is_busy, quiet });
        }
    }
    grounds
}

/// What dots are set near to: the words, or else the image, or else the topmost layer. Common practice,
/// no source.
fn near(card: &Suggestion, stack: &Stack, parts: &[Part], visible: &[Region]) -> Rect {
    let layers = &card.network.layers;
    let shows = |place: &usize| parts[*place].part.is_none() && !visible[*place].is_empty();
    let topmost =
        |is: &dyn Fn(usize) -> bool| (0..parts.len()).rev().filter(shows).find(|place| is(parts[*place].layer));
    let place = topmost(&|layer| layers[layer].role == Role::Sentiment)
        .or_else(|| topmost(&|layer| layers[layer].holds_sentiment))
        .or_else(|| topmost(&|layer| layers[layer].role == Role::Focal))
        .or_else(|| topmost(&|_| true));
    place.map_or_else(|| Rect::whole(stack.card), |place| stack.sheets[place].around())
}

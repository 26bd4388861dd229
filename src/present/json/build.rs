//! The fields of a suggestion that say how it is built.

use super::envelope::{EnvelopeOf, PostOf, envelopes_of, post_of};
use super::number::{Millimetres, Millionths};
use crate::assemble::Built;
use crate::construct::base::Fold;
use crate::construct::level::{Filling, Levelling};
use crate::construct::paper::Known;
use crate::layout::{Outline, Rect};
use crate::present::words::{StepWords, dots_of, is_for_a_young_child, steps_in_words, why_dots};
use crate::room::Room;
use crate::score::Suggestion;
use api::hex;
use serde::Serialize;

/// A rectangle on the card's front.
#[derive(Serialize)]
pub(super) struct RectOf {
    x: Millimetres,
    y: Millimetres,
    width: Millimetres,
    height: Millimetres,
}

/// A rectangle.
pub(super) fn rect_of(rect: &Rect) -> RectOf {
    RectOf {
        x: Millimetres(rect.left),
        y: Millimetres(rect.top),
        width: Millimetres(rect.width()),
        height: Millimetres(rect.height()),
    }
}

/// A part of a layer that shows: a rectangle, or the corners of a curved or die-cut shape.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum Shown {
    Rect(RectOf),
    Polygon { polygon: Vec<[Millimetres; 2]> },
}

#[derive(Serialize)]
pub(super) struct LevelOf<'a> {
    #[serde(flatten)]
    rect: RectOf,
    plies: u32,
    of: &'static str,
    from: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    hollow_copies: Option<u32>,
}

#[derive(Serialize)]
pub(super) struct FoamOf<'a> {
    squares: usize,
    tape: Millimetres,
    pads: Vec<RectOf>,
    clear_of: Vec<&'a str>,
}

/// How one layer is built.
pub(super) struct LayerBuild<'a> {
    pub(super) visible: Vec<Shown>,
    pub(super) levelling: Vec<LevelOf<'a>>,
    pub(super) foam: Option<FoamOf<'a>>,
    pub(super) glue_zones: Option<Vec<RectOf>>,
}

#[derive(Serialize)]
pub(super) struct BaseOf {
    blank_width: Millimetres,
    blank_height: Millimetres,
    score_from: &'static str,
    score_at: Millimetres,
    fold: Millimetres,
    per_letter: u32,
    per_a4: u32,
    fold_with_grain: Option<bool>,
}

#[derive(Serialize)]
pub(super) struct StepOf {
    kind: &'static str,
    layers: Vec<String>,
    text: String,
    cautions: Vec<&'static str>,
}

/// How a card is built.
#[derive(Serialize)]
pub(super) struct CardBuild<'a> {
    thickness: Millimetres,
    thickness_estimated: bool,
    weight: Millionths,
    weight_estimated: bool,
    envelopes: Vec<EnvelopeOf<'a>>,
    post: Vec<PostOf<'a>>,
    base: BaseOf,
    steps: Vec<StepOf>,
    dots: Option<DotsOf<'a>>,
}

/// Finishing dots in their places.
#[derive(Serialize)]
struct DotsOf<'a> {
    stock: &'a str,
    name: &'a str,
    sort: &'static str,
    colour: String,
    diameter: Millimetres,
    height: Millimetres,
    count: u32,
    layer: &'a str,
    middles: Vec<[Millimetres; 2]>,
    takes_up: Option<&'a str>,
    why: String,
    young_child: bool,
}

fn dots<'a>(room: &'a Room, found: &'a Suggestion, built: &'a Built) -> Option<DotsOf<'a>> {
    let (set, dots) = dots_of(room.table(), built.dots.as_ref())?;
    let middle =
        |spot: &Rect| [Millimetres(spot.left + spot.width().half()), Millimetres(spot.top + spot.height().half())];
    Some(DotsOf {
        stock: &dots.id,
        name: &dots.name,
        sort: dots.sort.word(),
        colour: hex(dots.colour),
        diameter: Millimetres(dots.diameter),
        height: Millimetres(dots.height),
        count: set.count(),
        layer: found.network.layers.get(set.layer).map_or("", |layer| layer.id.as_str()),
        middles: set.spots.iter().map(middle).collect(),
        takes_up: set.takes_up.map(|face| room.index.face(face).id.as_str()),
        why: why_dots(room.table(), set),
        young_child: is_for_a_young_child(room.table(), found),
    })
}

/// How a card is built.
pub(super) fn card_build<'a>(room: &'a Room, found: &'a Suggestion, built: &'a Built) -> CardBuild<'a> {
    let step = |words: StepWords| {
        let StepWords { kind, layers, text, cautions } = words;
        StepOf { kind, layers, text, cautions }
    };
    let base = &built.base;
    CardBuild {
        thickness: Millimetres(built.thickness),
        thickness_estimated: built.thickness_known == Known::Estimated,
        weight: Millionths(built.weight.as_micrograms()),
        weight_estimated: built.weight_known == Known::Estimated,
        envelopes: envelopes_of(&built.envelopes),
        post: post_of(&built.post),
        base: BaseOf {
            blank_width: Millimetres(base.blank.width),
            blank_height: Millimetres(base.blank.height),
            score_from: if base.side_fold { "left" } else { "top" },
            score_at: Millimetres(base.score_at),
            fold: Millimetres(base.fold),
            per_letter: base.per_letter,
            per_a4: base.per_a4,
            fold_with_grain: match base.grain {
                Fold::WithGrain => Some(true),
                Fold::AcrossGrain => Some(false),
                Fold::Unknown => None,
            },
        },
        steps: steps_in_words(room.table(), found, built).into_iter().map(step).collect(),
        dots: dots(room, found, built),
    }
}

/// How the layer at a place in the stack is built.
pub(super) fn layer_build<'a>(room: &'a Room, found: &'a Suggestion, built: &'a Built, place: usize) -> LayerBuild<'a> {
    let beneath = &built.beneath[place];
    let sheet = &built.stack.sheets[place];
    let region = &built.visible[place];
    let whole: Vec<Rect> = sheet.outer();
    let is_whole = sheet.outline != Outline::Rectangle
        && sheet.pieces == [sheet.whole]
        && whole.iter().all(|rect| region.holds(&rect.shared(&Rect::whole(built.stack.card))));
    let visible = if is_whole && !region.is_empty() {
        let corners = sheet.outline.corners(&sheet.whole);
        vec![Shown::Polygon { polygon: corners.into_iter().map(|(x, y)| [Millimetres(x), Millimetres(y)]).collect() }]
    } else {
        region.rects().iter().map(|rect| Shown::Rect(rect_of(rect))).collect()
    };
    let levelling = |bit: &'a Levelling| {
        let from = match bit.of {
            Filling::Scrap(scrap) => built.scraps.get(scrap).map_or("", |stock| room.index.stock(*stock).id()),
            _ => BITS_BOX,
        };
        let hollow_copies = built.parts.get(place).and_then(|part| found.choice.fills(part.layer, &bit.rect));
        LevelOf { rect: rect_of(&bit.rect), plies: bit.plies, of: filling(bit.of), from, hollow_copies }
    };
    let name = |place: usize| {
        built
            .parts
            .get(place)
            .and_then(|part| found.network.layers.get(part.layer))
            .map_or("", |layer| layer.id.as_str())
    };
    LayerBuild {
        visible,
        levelling: beneath.levelling.iter().map(levelling).collect(),
        foam: beneath.foam.as_ref().map(|pads| FoamOf {
            squares: pads.pads.len(),
            tape: Millimetres(pads.tape()),
            pads: pads.pads.iter().map(rect_of).collect(),
            clear_of: pads.tucked.iter().map(|(part, _)| name(*part)).collect(),
        }),
        glue_zones: built.glue_zones[place].as_ref().map(|zones| zones.rects().iter().map(rect_of).collect()),
    }
}

/// Where bits come from that nobody counts.
pub(super) const BITS_BOX: &str = "bits box";

/// What fills a step, as a word.
pub(super) const fn filling(of: Filling) -> &'static str {
    match of {
        Filling::Paper => "patterned",
        Filling::Card => "cardstock",
        Filling::ThinFoam => "thin-foam",
        Filling::Foam => "foam",
        Filling::Scrap(_) => "scrap",
    }
}

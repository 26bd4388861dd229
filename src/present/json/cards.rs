//! `suggest --json`: an answer in, every card with its changes, layers and reasons out, and what is
//! almost possible.

use super::build::{CardBuild, FoamOf, LevelOf, RectOf, Shown, card_build, layer_build};
use super::number::{Millimetres, Millionths};
use super::plan::HollowOf;
use super::{CardSize, Colour, FORMAT, card_size, colours, material, role, written};
use crate::assemble::{Bench, Built};
use crate::index::{FaceId, is_opaque};
use crate::layout::{Change, Rect};
use crate::matching::near::{Lack, Nearest};
use crate::matching::{Choice, Outline, sentiments_for};
use crate::present::notes::notes;
use crate::present::pieces::{CardPiece, Fit, Made, PartPiece, Turned, fit, parts, pieces, share};
use crate::present::words::{ChangeWords, changes_in_words, lack_words};
use crate::room::Room;
use crate::score::{Almost, Answer, Reason, Suggestion};
use api::units::Size;
use serde::Serialize;
use std::borrow::Cow;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    exact: bool,
    today: String,
    suggestions: Vec<Card<'a>>,
    near_misses: Vec<Near<'a>>,
}

#[derive(Serialize)]
pub(super) struct Card<'a> {
    id: &'a str,
    layout: &'a str,
    layout_name: &'a str,
    card: CardSize,
    score: Millionths,
    changes: Vec<Changed<'a>>,
    layers: Vec<LayerOf<'a>>,
    #[serde(flatten)]
    build: CardBuild<'a>,
    reasons: Vec<Why<'a>>,
    notes: Vec<String>,
}

/// A length, a size, or nothing of the kind.
#[derive(Serialize)]
#[serde(untagged)]
enum Measure {
    Length(Millimetres),
    Size { width: Millimetres, height: Millimetres },
    Nothing(()),
}

#[derive(Serialize)]
struct Changed<'a> {
    kind: &'static str,
    panel: Option<&'a str>,
    from: Measure,
    to: Measure,
    #[serde(skip_serializing_if = "Option::is_none")]
    side: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mat: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    strips: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<Millimetres>,
    cost: Millionths,
    why: String,
    text: String,
}

#[derive(Serialize)]
struct LayerOf<'a> {
    panel: String,
    role: &'static str,
    material: &'static str,
    paper: &'a str,
    name: &'a str,
    colours: Vec<Colour>,
    shape: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    outline: Vec<[Millimetres; 2]>,
    x: Millimetres,
    y: Millimetres,
    width: Millimetres,
    height: Millimetres,
    opaque: bool,
    raised: bool,
    carries_words: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    sentiments: Vec<&'a str>,
    trimmed_flush: bool,
    visible: Vec<Shown>,
    levelling: Vec<LevelOf<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    foam: Option<FoamOf<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    glue_zones: Option<Vec<RectOf>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    die: Option<&'a str>,
    pieces: Vec<PieceOf<'a>>,
}

#[derive(Serialize)]
struct PieceOf<'a> {
    x: Millimetres,
    y: Millimetres,
    width: Millimetres,
    height: Millimetres,
    turned: bool,
    from: Cow<'a, str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    or_from: Vec<&'a str>,
    made: &'static str,
    cut_width: Millimetres,
    cut_height: Millimetres,
    fit: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    hollow: Option<HollowOf>,
}

/// A term of a score.
#[derive(Serialize)]
pub(super) struct Why<'a> {
    scorer: &'a str,
    about: Vec<&'a str>,
    value: Millionths,
    weight: Millionths,
    why: &'a str,
}

#[derive(Serialize)]
struct Near<'a> {
    layout: &'a str,
    layout_name: &'a str,
    panel: &'a str,
    lack: &'static str,
    needs: Measure,
    nearest: Option<NearestOf<'a>>,
    short_by: Option<Millimetres>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thin_cover: Option<ThinCoverOf>,
    why: String,
    remedy: String,
}

#[derive(Serialize)]
struct ThinCoverOf {
    axis: &'static str,
    hidden: Millimetres,
    needs: Millimetres,
    short_by: Millimetres,
}

#[derive(Serialize)]
struct NearestOf<'a> {
    stock: &'a str,
    name: &'a str,
    width: Millimetres,
    height: Millimetres,
}

/// `suggest --json`.
#[must_use]
pub fn suggestions(room: &Room, answer: &Answer) -> String {
    let bench = Bench::new(room.table()).for_copies(answer.copies);
    let built: Vec<Built> = answer.suggestions.iter().map(|found| Built::new(room.table(), &bench, found)).collect();
    written(&Document {
        format: FORMAT,
        exact: answer.exact,
        today: room.today.to_string(),
        suggestions: answer.suggestions.iter().zip(&built).map(|(found, built)| card(room, found, built)).collect(),
        near_misses: answer.almost.iter().map(|almost| near(room, almost)).collect(),
    })
}

/// A card with its changes, layers and reasons, and how it is built.
pub(super) fn card<'a>(room: &'a Room, found: &'a Suggestion, built: &'a Built) -> Card<'a> {
    let layout = &room.layouts[found.layout];
    let words = changes_in_words(room.table(), found);
    let about = |slot: &usize| found.network.slots.get(*slot).map_or("", |slot| slot.id.as_str());
    Card {
        id: &found.id,
        layout: &layout.id,
        layout_name: &layout.name,
        card: card_size(room, found.drawn.card),
        score: Millionths(found.score),
        changes: found
            .changes
            .iter()
            .zip(words)
            .map(|((change, cost), words)| changed(room, found, change, *cost, words))
            .collect(),
        layers: layers(room, found, built),
        build: card_build(room, found, built),
        reasons: found.reasons.iter().map(|reason| why(reason, reason.about.iter().map(about).collect())).collect(),
        notes: notes(room.table(), found),
    }
}

/// A term of a score, with the ids of what it is about.
pub(super) fn why<'a>(reason: &'a Reason, about: Vec<&'a str>) -> Why<'a> {
    Why {
        scorer: &reason.scorer,
        about,
        value: Millionths::of(reason.value),
        weight: Millionths::of(reason.weight),
        why: &reason.why,
    }
}

fn changed<'a>(room: &'a Room, found: &Suggestion, change: &Change, cost: u64, words: ChangeWords) -> Changed<'a> {
    let panels = &room.layouts[found.layout].panels;
    let length = |length| Measure::Length(Millimetres(length));
    let none = || Measure::Nothing(());
    let (from, to) = match *change {
        Change::CardSize { from, to } | Change::ResizeToImage { from, to, .. } => (size_of(from), size_of(to)),
        Change::Border { from, to } | Change::Reveal { from, to, .. } | Change::ResizeToPaper { from, to, .. } => {
            (length(from), length(to))
        }
        Change::SlipMat { reveal, .. } => (none(), length(reveal)),
        Change::QuietShape { edge, .. } => (none(), length(edge)),
        Change::Join { at, .. } => (none(), at.map_or_else(none, length)),
        Change::Turn
        | Change::Mirror
        | Change::PlainGround { .. }
        | Change::Strips { .. }
        | Change::LeaveOut { .. }
        | Change::EndsOnly { .. } => (none(), none()),
    };
    let side = match *change {
        Change::ResizeToPaper { axis, .. }
        | Change::Strips { axis, .. }
        | Change::EndsOnly { axis, .. }
        | Change::Join { axis, .. } => Some(axis.word()),
        _ => None,
    };
    let (strips, gap) = match *change {
        Change::Strips { count, gap, .. } => (Some(count), Some(Millimetres(gap))),
        _ => (None, None),
    };
    Changed {
        kind: change.kind().key(),
        panel: change.panel().and_then(|panel| panels.get(panel)).map(|panel| panel.id.as_str()),
        from,
        to,
        side,
        mat: if let Change::Reveal { mat, .. } = *change { Some(mat + 1) } else { None },
        strips,
        gap,
        cost: Millionths::of(cost),
        why: words.why,
        text: words.sentence,
    }
}

fn size_of(size: Size) -> Measure {
    Measure::Size { width: Millimetres(size.width), height: Millimetres(size.height) }
}

fn layers<'a>(room: &'a Room, found: &'a Suggestion, card: &'a Built) -> Vec<LayerOf<'a>> {
    let cut = pieces(&room.index, found);
    let parts = parts(&room.stash.images, &room.index, found);
    let mut layers = Vec::new();
    for place in 0..found.network.layers.len() {
        let own: Vec<&CardPiece> = cut.iter().filter(|piece| piece.layer == place).collect();
        let built: Vec<&PartPiece<'_>> = parts.iter().filter(|part| part.layer == place).collect();
        layers.push(layer(room, found, place, &own, &built));
        layers.extend(built.iter().map(|part| part_layer(room, &found.network.layers[place].id, part)));
    }
    // The stack has a place for each layer and each part, in the same order.
    for (place, layer) in layers.iter_mut().enumerate().take(card.stack.sheets.len()) {
        let build = layer_build(room, found, card, place);
        layer.visible = build.visible;
        layer.levelling = build.levelling;
        layer.foam = build.foam;
        layer.glue_zones = build.glue_zones;
    }
    layers
}

fn layer<'a>(
    room: &'a Room,
    found: &'a Suggestion,
    place: usize,
    own: &[&CardPiece],
    built: &[&PartPiece<'_>],
) -> LayerOf<'a> {
    let layer = &found.network.layers[place];
    let face = room.index.face(found.faces[layer.slot]);
    let whole = own.iter().map(|piece| piece.rect).reduce(|one, other| one.around(&other)).unwrap_or(layer.rect);
    // An image lies in the middle of its place and keeps its own size.
    let is_image = face.view.material == api::Material::Image;
    let rect = if is_image { whole } else { layer.rect };
    let is_built = !built.is_empty();
    LayerOf {
        panel: layer.id.clone(),
        outline: if is_image { Vec::new() } else { outline(&layer.outline, whole) },
        shape: if is_image { "rectangle" } else { shape(&layer.outline) },
        opaque: !is_built && is_opaque(face.view.material),
        raised: layer.raised,
        carries_words: layer.holds_sentiment,
        sentiments: sentiments_for(layer, &room.layouts[found.layout].occasions, &room.stash.sentiments)
            .into_iter()
            .map(|place| room.stash.sentiments[place].id.as_str())
            .collect(),
        trimmed_flush: layer.overruns && !is_image,
        die: layer.die.and_then(|die| room.stash.dies.get(die)).map(|die| die.id.as_str()),
        pieces: if is_built {
            Vec::new()
        } else {
            own.iter().map(|piece| piece_of(room, &found.choice, piece)).collect()
        },
        ..plain_layer(room, found.faces[layer.slot], rect, role(layer.role))
    }
}

fn part_layer<'a>(room: &'a Room, on: &str, part: &PartPiece<'_>) -> LayerOf<'a> {
    let stock = room.index.stock(part.stock);
    let is_upright = part.cut.width <= stock.width && part.cut.height <= stock.height;
    let piece = CardPiece {
        layer: part.layer,
        rect: part.rect,
        cut: part.cut,
        made: Made::Cut,
        face: part.face,
        stock: part.stock,
        turned: if is_upright { Turned::AsPrinted } else { Turned::Quarter },
        hole: None,
        from_middle: None,
    };
    LayerOf {
        panel: format!("{on} {}", part.part),
        pieces: vec![PieceOf { made: "die", ..piece_of(room, &Choice::nothing(), &piece) }],
        ..plain_layer(room, part.face, part.rect, "part")
    }
}

/// A rectangle of one paper, to which the rest is then added.
fn plain_layer<'a>(room: &'a Room, face: FaceId, rect: Rect, role: &'static str) -> LayerOf<'a> {
    let face = room.index.face(face);
    LayerOf {
        panel: String::new(),
        role,
        material: material(face.view.material),
        paper: &face.id,
        name: &face.view.name,
        colours: colours(&face.view),
        shape: "rectangle",
        outline: Vec::new(),
        x: Millimetres(rect.left),
        y: Millimetres(rect.top),
        width: Millimetres(rect.width()),
        height: Millimetres(rect.height()),
        opaque: is_opaque(face.view.material),
        raised: false,
        carries_words: false,
        sentiments: Vec::new(),
        trimmed_flush: false,
        visible: Vec::new(),
        levelling: Vec::new(),
        foam: None,
        glue_zones: None,
        die: None,
        pieces: Vec::new(),
    }
}

fn shape(outline: &Outline) -> &'static str {
    match outline {
        Outline::Rectangle => "rectangle",
        Outline::Ellipse => "ellipse",
        Outline::Polygon(_) => "polygon",
    }
}

fn outline(outline: &Outline, whole: Rect) -> Vec<[Millimetres; 2]> {
    let Outline::Polygon(points) = outline else { return Vec::new() };
    let place = |(across, down): &(i32, i32)| {
        [whole.left + share(whole.width(), *across), whole.top + share(whole.height(), *down)].map(Millimetres)
    };
    points.iter().map(place).collect()
}

fn piece_of<'a>(room: &'a Room, choice: &Choice, piece: &CardPiece) -> PieceOf<'a> {
    let middle = piece.from_middle.and_then(|place| choice.from_middles.get(place));
    let mut ids = room.index.stock(piece.stock).ids();
    let hollow = choice.hollows.iter().find(|hollow| piece.hole == Some(hollow.rect));
    PieceOf {
        x: Millimetres(piece.rect.left),
        y: Millimetres(piece.rect.top),
        width: Millimetres(piece.rect.width()),
        height: Millimetres(piece.rect.height()),
        turned: piece.turned == Turned::Quarter,
        from: match middle {
            Some(middle) => Cow::Owned(middle.of.words()),
            None => Cow::Borrowed(ids.next().unwrap_or_default()),
        },
        or_from: if middle.is_some() { Vec::new() } else { ids.collect() },
        made: match piece.made {
            Made::Cut => "cut",
            Made::Folded => "fold",
            Made::Ready => "ready",
            Made::Die(_) => "die",
        },
        cut_width: Millimetres(piece.cut.width),
        cut_height: Millimetres(piece.cut.height),
        fit: match fit(&room.index, piece, room.stash.settings.error_budget) {
            Fit::Roomy => "roomy",
            Fit::Exact { .. } => "exact",
            Fit::Tight { .. } => "tight",
        },
        hollow: hollow.map(|hollow| HollowOf {
            x: Millimetres(hollow.rect.left),
            y: Millimetres(hollow.rect.top),
            width: Millimetres(hollow.rect.width()),
            height: Millimetres(hollow.rect.height()),
            copies: hollow.copies,
        }),
    }
}

fn near<'a>(room: &'a Room, almost: &'a Almost) -> Near<'a> {
    let layout = &room.layouts[almost.layout];
    let (lack, needs, nearest) = match &almost.miss.lack {
        Lack::Size { needs, nearest, .. } => ("size", size_of(*needs), nearest.as_ref()),
        Lack::Image { room, nearest } => ("image", size_of(*room), nearest.as_ref()),
        Lack::Die { room, nearest } => ("die", size_of(*room), nearest.as_ref()),
        Lack::Copies { .. } => ("copies", Measure::Nothing(()), None),
        Lack::Partner => ("partner", Measure::Nothing(()), None),
        Lack::Card { .. } => ("card", Measure::Nothing(()), None),
    };
    let words = lack_words(&almost.miss, &room.stash.settings);
    Near {
        layout: &layout.id,
        layout_name: &layout.name,
        panel: &almost.miss.panel,
        lack,
        needs,
        nearest: nearest.map(|(thing, _)| nearest_of(thing)),
        short_by: nearest.map(|(_, short_by)| Millimetres(*short_by)),
        thin_cover: almost.miss.thin_cover.map(|thin| ThinCoverOf {
            axis: thin.axis.word(),
            hidden: Millimetres(thin.hidden),
            needs: Millimetres(thin.needs),
            short_by: Millimetres(thin.needs - thin.hidden),
        }),
        why: match words.nearest {
            Some(nearest) => format!("{}; {nearest}", words.needs),
            None => words.needs,
        },
        remedy: words.remedy,
    }
}

fn nearest_of(thing: &Nearest) -> NearestOf<'_> {
    NearestOf {
        stock: &thing.stock,
        name: &thing.name,
        width: Millimetres(thing.size.width),
        height: Millimetres(thing.size.height),
    }
}

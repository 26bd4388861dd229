//! One card as it will look, drawn at true size from the real papers.
//!
//! A suggestion in; a standalone SVG, or the same drawing to stand in a page beside others, out.
//! Layers are drawn bottom first, each clipped to its outline and trimmed flush, with a shadow that
//! tells how high it lies. Presentation attributes only: no style, no script, nothing fetched.

use super::Scene;
use super::lettering::{lettered, shown};
use super::pieces::{CardPiece, Laid, PartPiece, Turned, is_on_foam, parts, pieces};
use super::surface::{Paint, chip_paint, main_colour, paint};
use super::words::{dots_of, how_many, role_word};
use super::xml::{Defs, escape, isolated, mm};
use crate::assemble::DotsSet;
use crate::index::{FaceId, Index, Source, StockId, StockKind};
use crate::layout::Rect;
use crate::matching::{Layer, Outline};
use crate::score::Suggestion;
use api::units::{Length, Size};
use api::{Colour, Role, hex};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What a shadow is of: a warm black.
const SHADE: &str = "#1a120b";

/// A card as a file of its own.
#[must_use]
pub fn standalone(scene: &Scene<'_>, card: &Suggestion, dots: Option<&DotsSet>) -> String {
    let prefix = prefix_of(&card.id);
    let mut shared = Defs::new(&format!("{prefix}-"));
    let body = Drawing::new(scene, card, &prefix, &mut shared).body(dots);
    let head = opening(card.network.card, &prefix, " xmlns=\"http://www.w3.org/2000/svg\"");
    format!("{head}{}<defs>{}</defs>{}</svg>\n", told(scene, card, dots, &prefix), shared.text(), body)
}

/// A card to stand in a page whose other drawings share `shared`; `prefix` is its alone.
#[must_use]
pub fn inline(scene: &Scene<'_>, card: &Suggestion, dots: Option<&DotsSet>, prefix: &str, shared: &mut Defs) -> String {
    let body = Drawing::new(scene, card, prefix, shared).body(dots);
    format!("{}{}{body}</svg>", opening(card.network.card, prefix, ""), told(scene, card, dots, prefix))
}

/// A name for the ids of a card's drawing: letters and digits only, whatever the card's id holds.
#[must_use]
pub fn prefix_of(id: &str) -> String {
    let hash = id
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
    format!("card-{hash:016x}")
}

fn opening(card: Size, prefix: &str, namespace: &str) -> String {
    let (width, height) = (mm(card.width), mm(card.height));
    format!(
        "<svg{namespace} width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         aria-labelledby=\"{prefix}-title {prefix}-desc\">"
    )
}

/// Title and description, for those who do not see the picture.
fn told(scene: &Scene<'_>, card: &Suggestion, dots: Option<&DotsSet>, prefix: &str) -> String {
    let layout = &scene.table.layouts[card.layout];
    let mut layers = String::new();
    for layer in &card.network.layers {
        let name = &scene.table.index.face(card.faces[layer.slot]).view.name;
        let what = if layer.role == Role::Base { role_word(Role::Base) } else { layer.id.as_str() };
        let _ = write!(layers, "; {} of {}", escape(what), isolated(name));
    }
    if let Some((set, dots)) = dots_of(scene.table, dots) {
        let _ = write!(layers, "; {} of {}", how_many(set.count()), isolated(&dots.name));
    }
    format!(
        "<title id=\"{prefix}-title\">{}, {}</title><desc id=\"{prefix}-desc\">From the bottom up{}.</desc>",
        isolated(&layout.name),
        card.network.card.exact(scene.table.settings.unit),
        layers.replacen(';', ":", 1)
    )
}

struct Drawing<'s, 'd> {
    scene: &'s Scene<'s>,
    card: &'s Suggestion,
    prefix: &'s str,
    shared: &'d mut Defs,
    /// Definitions of this card alone.
    own: String,
    /// How many of them there are.
    count: u32,
}

impl<'s, 'd> Drawing<'s, 'd> {
    fn new(scene: &'s Scene<'s>, card: &'s Suggestion, prefix: &'s str, shared: &'d mut Defs) -> Self {
        Self { scene, card, prefix, shared, own: String::new(), count: 0 }
    }

    fn next_id(&mut self) -> String {
        self.count += 1;
        format!("{}-{}", self.prefix, self.count)
    }

    fn body(mut self, dots: Option<&DotsSet>) -> String {
        let (index, card) = (self.scene.table.index, self.card);
        let pieces = pieces(index, card);
        let cut_from = cut_from(index, &pieces);
        let parts = parts(self.scene.table.images, index, card);
        let mut drawn = String::new();
        for (place, layer) in card.network.layers.iter().enumerate() {
            let of_layer: Vec<(&CardPiece, Size)> =
                pieces.iter().zip(cut_from.iter().copied()).filter(|(piece, _)| piece.layer == place).collect();
            let built: Vec<&PartPiece<'_>> = parts.iter().filter(|part| part.layer == place).collect();
            let lift = lift_of(&card.network.layers, place);
            let is_image = of_layer.iter().any(|(piece, _)| index.stock(piece.stock).kind == StockKind::Image);
            if is_image {
                drawn.push_str(&self.image(lift, &of_layer, &built));
            } else {
                drawn.push_str(&self.layer(layer, lift, &of_layer));
            }
            if let Some(sentiment) = shown(self.scene, card, layer) {
                drawn.push_str(&lettered(self.scene, card, layer, sentiment));
            }
        }
        if let Some((set, dots)) = dots_of(self.scene.table, dots) {
            drawn.push_str(&super::dots::drawn(dots, set));
        }
        let front = self.clip(&rectangle(&Rect::whole(card.network.card)));
        format!("<defs>{}</defs><g clip-path=\"url(#{front})\">{drawn}</g>", self.own)
    }

    /// A clip of this shape; gives its id.
    fn clip(&mut self, shape: &Shape) -> String {
        let id = self.next_id();
        let _ = write!(self.own, "<clipPath id=\"{id}\">{}</clipPath>", shape.with(""));
        id
    }

    fn layer(&mut self, layer: &Layer, lift: Lift, pieces: &[(&CardPiece, Size)]) -> String {
        let whole = layer.pieces.iter().copied().reduce(|one, other| one.around(&other)).unwrap_or(layer.rect);
        let outline = outlined(&layer.outline, &whole);
        let divided = pieces.len() > 1;
        // A rectangle is trimmed by drawing less of it; any other outline by a clip.
        let clip = match layer.outline {
            Outline::Rectangle => None,
            _ if divided => Some(self.clip(&outline)),
            _ if layer.overruns => Some(self.clip(&rectangle(&trimmed(&layer.rect, &whole)))),
            _ => None,
        };
        let mut drawn = String::new();
        for (piece, cut_from) in pieces {
            let flush = piece.rect.shared(&layer.rect);
            if flush.is_empty() {
                continue;
            }
            let shape =
                if divided || layer.outline == Outline::Rectangle { rectangle(&flush) } else { outline.clone() };
            let id = self.next_id();
            let paint = paint(self.scene, piece, *cut_from, &id, self.shared, &mut self.own);
            drawn.push_str(&shadow(&shape, lift, &paint));
            drawn.push_str(&painted(&shape, &paint));
        }
        match clip {
            Some(id) => format!("<g clip-path=\"url(#{id})\">{drawn}</g>"),
            None => drawn,
        }
    }

    /// An image: the parts it is built from, or its picture, or a plain piece of its colours.
    fn image(&mut self, lift: Lift, pieces: &[(&CardPiece, Size)], parts: &[&PartPiece<'_>]) -> String {
        if !parts.is_empty() {
            return parts.iter().map(|part| self.part(lift, part)).collect();
        }
        pieces.iter().map(|(piece, _)| self.whole_image(lift, piece)).collect()
    }

    fn whole_image(&mut self, lift: Lift, piece: &CardPiece) -> String {
        let (scene, rect) = (self.scene, &piece.rect);
        let source = scene.table.index.face(piece.face).source;
        let Some(picture) = scene.pictures.of_face(scene.stash, source) else {
            return self.colours_only(lift, piece);
        };
        let image = image_def(piece.face, rect.size(), &picture.href, self.shared);
        let shape = rectangle(rect);
        let (before, filter) = if picture.see_through {
            (String::new(), format!(" filter=\"url(#{})\"", cast(lift, self.shared)))
        } else {
            (shadow(&shape, lift, &Paint::plain("#fff".to_owned())), String::new())
        };
        format!("{before}<use href=\"#{image}\" x=\"{}\" y=\"{}\"{filter}/>", mm(rect.left), mm(rect.top))
    }

    fn part(&mut self, lift: Lift, part: &PartPiece<'_>) -> String {
        let view = &self.scene.table.index.face(part.face).view;
        let shape = rounded(&part.rect, part.rect.size().short().nanometres() / 4);
        let over = super::finish::overlay(view.material, view.finish, self.shared);
        let paint = Paint { over, ..Paint::plain(hex(main_colour(view))) };
        let lift = if part.laid == Laid::Inlaid { Lift::None } else { lift };
        format!("{}{}", shadow(&shape, lift, &paint), painted(&shape, &paint))
    }

    /// An image of which only its colours are known: rings of them on a plain piece.
    fn colours_only(&self, lift: Lift, piece: &CardPiece) -> String {
        let view = &self.scene.table.index.face(piece.face).view;
        let side = piece.rect.size().short();
        let shape = rounded(&piece.rect, side.nanometres() / 8);
        let paint = Paint::plain(hex(main_colour(view)));
        let mut drawn = format!("{}{}", shadow(&shape, lift, &paint), painted(&shape, &paint));
        for (swatch, ring) in view.swatches.iter().skip(1).take(3).zip(1_i64..) {
            let across = Length::from_nanometres(side.nanometres() * (5 - ring) / 6);
            let fill = format!(" fill=\"{}\"", hex(swatch.colour));
            drawn.push_str(&outlined(&Outline::Ellipse, &piece.rect.centred(Size::square(across))).with(&fill));
        }
        drawn
    }
}

/// What a layer is trimmed to, with room for its shadow on the sides that are not trimmed.
fn trimmed(shown: &Rect, whole: &Rect) -> Rect {
    let free = Length::MILLIMETRE * 6;
    let room = |trimmed: bool| if trimmed { Length::ZERO } else { free };
    Rect {
        left: shown.left - room(whole.left < shown.left),
        top: shown.top - room(whole.top < shown.top),
        right: shown.right + room(whole.right > shown.right),
        bottom: shown.bottom + room(whole.bottom > shown.bottom),
    }
}

/// The picture of an image, written once however many cards of a page it stands on; gives its id.
fn image_def(face: FaceId, size: Size, href: &str, shared: &mut Defs) -> String {
    let (width, height) = (mm(size.width), mm(size.height));
    shared.id(&format!("image-{}", face.0), |id| {
        format!(
            "<image id=\"{id}\" width=\"{width}\" height=\"{height}\" preserveAspectRatio=\"none\" href=\"{href}\"/>"
        )
    })
}

/// How much of a paper a chip shows.
const CHIP: Size = Size::new(Length::micrometres(30_000), Length::micrometres(20_000));

/// A small piece of a face, to stand beside its name. An image is shown whole; one that is built
/// from parts by their colours.
#[must_use]
pub fn chip(scene: &Scene<'_>, card: &Suggestion, face: FaceId, shared: &mut Defs) -> String {
    chip_of(scene, Some(card), face, shared)
}

/// A small piece of a face that is on no card.
#[must_use]
pub fn swatch(scene: &Scene<'_>, face: FaceId, shared: &mut Defs) -> String {
    chip_of(scene, None, face, shared)
}

fn chip_of(scene: &Scene<'_>, card: Option<&Suggestion>, face: FaceId, shared: &mut Defs) -> String {
    let of = scene.table.index.face(face);
    let image = match of.source {
        Source::Image(place) => scene.stash.images.get(place),
        _ => None,
    };
    let (size, inside) = match (image, scene.pictures.of_face(scene.stash, of.source)) {
        (Some(image), Some(picture)) => {
            let id = image_def(face, image.size, &picture.href, shared);
            (image.size, format!("<use href=\"#{id}\"/>"))
        }
        (Some(_), None) => (CHIP, bars(scene, card, face)),
        (None, _) => {
            let paint = chip_paint(scene, face, shared);
            (CHIP, painted(&rectangle(&Rect::whole(CHIP)), &paint))
        }
    };
    format!(
        "<svg class=\"chip\" viewBox=\"0 0 {} {}\" preserveAspectRatio=\"xMidYMid slice\" aria-hidden=\"true\" focusable=\"false\">{inside}</svg>",
        mm(size.width),
        mm(size.height)
    )
}

/// The colours of an image as bars: those of its parts, or its own.
fn bars(scene: &Scene<'_>, card: Option<&Suggestion>, face: FaceId) -> String {
    let index = scene.table.index;
    let chosen =
        card.and_then(|card| card.choice.parts.iter().find(|choice| card.faces.get(choice.slot) == Some(&face)));
    let colours: Vec<Colour> = match chosen {
        Some(chosen) => chosen.parts.iter().map(|(part, _)| main_colour(&index.face(*part).view)).collect(),
        None => index.face(face).view.swatches.iter().map(|swatch| swatch.colour).collect(),
    };
    let count = i64::try_from(colours.len()).unwrap_or(1).max(1);
    let wide = Length::from_nanometres(CHIP.width.nanometres() / count);
    let bar = |(colour, place): (&Colour, i64)| {
        let (left, right) = (wide * place, wide * (place + 1));
        rectangle(&Rect { left, right, ..Rect::whole(CHIP) }).with(&format!(" fill=\"{}\"", hex(*colour)))
    };
    colours.iter().zip(0..).map(bar).collect()
}

/// How high a layer lies above the one beneath it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lift {
    /// It is the card base, or let in flush.
    None,
    /// Glued flat.
    Glued,
    /// On foam.
    Foam,
}

fn lift_of(layers: &[Layer], place: usize) -> Lift {
    match layers[place].role {
        Role::Base => Lift::None,
        _ if is_on_foam(layers, place) => Lift::Foam,
        _ => Lift::Glued,
    }
}

/// Where on its stock each piece is shown to be cut, as printed: one after another from the top left
/// corner, row by row, so that pieces of one paper show different parts of it. It is only a picture:
/// which cut comes where is the cutting plan's to say.
fn cut_from(index: &Index, pieces: &[CardPiece]) -> Vec<Size> {
    let mut rows: BTreeMap<StockId, Row> = BTreeMap::new();
    pieces
        .iter()
        .map(|piece| {
            let stock = index.stock(piece.stock);
            let size = piece.rect.size();
            let size = if piece.turned == Turned::Quarter { size.turned() } else { size };
            rows.entry(piece.stock).or_default().place(size, Size::new(stock.width, stock.height))
        })
        .collect()
}

/// A row of pieces on a sheet: where the next one begins.
#[derive(Default)]
struct Row {
    left: Length,
    top: Length,
    bottom: Length,
}

impl Row {
    fn place(&mut self, piece: Size, sheet: Size) -> Size {
        if self.left + piece.width > sheet.width {
            (self.left, self.top) = (Length::ZERO, self.bottom);
        }
        if self.top + piece.height > sheet.height {
            // The next sheet.
            *self = Self::default();
        }
        let at = Size::new(self.left, self.top);
        self.left += piece.width;
        self.bottom = self.bottom.max(self.top + piece.height);
        at
    }
}

/// An element with its geometry, still to be painted.
#[derive(Clone, Debug)]
pub(super) struct Shape(String);

impl Shape {
    fn with(&self, attributes: &str) -> String {
        format!("<{}{attributes}/>", self.0)
    }
}

pub(super) fn rectangle(rect: &Rect) -> Shape {
    let (x, y, width, height) = (mm(rect.left), mm(rect.top), mm(rect.width()), mm(rect.height()));
    Shape(format!("rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\""))
}

fn rounded(rect: &Rect, radius: i64) -> Shape {
    let Shape(rectangle) = rectangle(rect);
    Shape(format!("{rectangle} rx=\"{}\"", mm(Length::from_nanometres(radius))))
}

fn outlined(outline: &Outline, rect: &Rect) -> Shape {
    match outline {
        Outline::Rectangle => rectangle(rect),
        Outline::Ellipse => {
            let half = |length: Length| mm(length.half());
            let (cx, cy) = (half(rect.left + rect.right), half(rect.top + rect.bottom));
            Shape(format!(
                "ellipse cx=\"{cx}\" cy=\"{cy}\" rx=\"{}\" ry=\"{}\"",
                half(rect.width()),
                half(rect.height())
            ))
        }
        Outline::Polygon(points) => {
            let mut text = String::new();
            for (x, y) in points {
                let x = rect.left + super::pieces::share(rect.width(), *x);
                let y = rect.top + super::pieces::share(rect.height(), *y);
                let _ = write!(text, "{},{} ", mm(x), mm(y));
            }
            Shape(format!("polygon points=\"{}\"", text.trim_end()))
        }
    }
}

/// A shape in its paint, with a hairline edge as cut paper has.
pub(super) fn painted(shape: &Shape, paint: &Paint) -> String {
    let opacity = paint.opacity.map_or_else(String::new, |opacity| format!(" fill-opacity=\"{opacity}\""));
    let edge = " stroke=\"#000\" stroke-opacity=\".16\" stroke-width=\".1\"";
    let mut drawn = shape.with(&format!(" fill=\"{}\"{opacity}{edge}", paint.fill));
    if let Some(over) = &paint.over {
        drawn.push_str(&shape.with(&format!(" fill=\"{over}\"")));
    }
    drawn
}

/// A soft shadow below and to the right, from a few faint strokes, so that it prints as cleanly as it
/// shows; wider beneath what is raised on foam. A layer one can see through darkens nothing beneath it.
fn shadow(shape: &Shape, lift: Lift, paint: &Paint) -> String {
    let (offset, widths, strength): (&str, &[&str], &str) = match lift {
        Lift::None => return String::new(),
        Lift::Glued => (".18 .32", &["1.3", ".85", ".4"], ".075"),
        Lift::Foam => (".55 1", &["3.6", "2.7", "1.9", "1.2", ".6"], ".055"),
    };
    let fill = if paint.opacity.is_some() { "none" } else { SHADE };
    let mut drawn = format!(
        "<g transform=\"translate({offset})\" fill=\"{fill}\" fill-opacity=\"{strength}\" stroke=\"{SHADE}\" \
         stroke-opacity=\"{strength}\" stroke-linejoin=\"round\">"
    );
    for width in widths {
        drawn.push_str(&shape.with(&format!(" stroke-width=\"{width}\"")));
    }
    drawn.push_str("</g>");
    drawn
}

/// The shadow of a picture that is see-through in parts, cast by what can be seen; gives its id. In
/// the oldest elements there are for it: `feDropShadow` is not known everywhere.
fn cast(lift: Lift, shared: &mut Defs) -> String {
    let (key, dx, dy, blur, opacity) = match lift {
        Lift::Foam => ("cast-foam", ".55", "1", ".9", ".42"),
        Lift::None | Lift::Glued => ("cast", ".18", ".32", ".35", ".4"),
    };
    shared.id(key, |id| {
        format!(
            "<filter id=\"{id}\" x=\"-.1\" y=\"-.1\" width=\"1.25\" height=\"1.25\" color-interpolation-filters=\"sRGB\">\
             <feGaussianBlur in=\"SourceAlpha\" stdDeviation=\"{blur}\"/><feOffset dx=\"{dx}\" dy=\"{dy}\" result=\"cast\"/>\
             <feFlood flood-color=\"{SHADE}\" flood-opacity=\"{opacity}\"/><feComposite in2=\"cast\" operator=\"in\"/>\
             <feMerge><feMergeNode/><feMergeNode in=\"SourceGraphic\"/></feMerge></filter>"
        )
    })
}

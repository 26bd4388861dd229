//! A card as it will look, and from the side with its layers apart: a card of a plan in, marks out.

use super::batch::{Batch, Card, Layer, Piece};
use super::flow::Ground;
use super::mark::{BLACK, Frame, GREY, Ink, Look, Mark, Placed, Shape, WHITE, Words};

/// The most times a picture is repeated over one piece.
const MOST_REPEATS: f64 = 200.0;
/// How much of a millimetre the edge of a layer is drawn.
const EDGE: f64 = 0.12;

/// The main colour of a layer's paper; white where it has none.
pub(crate) fn ink_of(layer: &Layer) -> Ink {
    layer.colours.first().and_then(|colour| read(&colour.hex)).unwrap_or(WHITE)
}

/// A colour written `#rrggbb`.
fn read(hex: &str) -> Option<Ink> {
    let digits = hex.strip_prefix('#').filter(|digits| digits.len() == 6 && digits.is_ascii())?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    Some([part(0)?, part(2)?, part(4)?])
}

/// What a card looks like in words.
pub(crate) fn told(ground: &Ground<'_>, card: &Card) -> String {
    let layers = card.layers.iter().map(|layer| format!("{} of {}", layer.panel, layer.name));
    let dots = card.dots.iter().map(|dots| format!("{} of {}", dots.count, dots.name));
    let layers: Vec<String> = layers.chain(dots).collect();
    format!(
        "{}, {}, from the bottom up: {}.",
        card.layout_name,
        ground.size(card.card.width, card.card.height),
        layers.join("; ")
    )
}

/// The card's front at a place and a scale.
pub(crate) fn front(ground: &Ground<'_>, batch: &Batch, card: &Card, at: (f64, f64), scale: f64, out: &mut Vec<Mark>) {
    let draw = Front { ground, batch, card, at, scale };
    let whole = Frame::new(at.0, at.1, card.card.width.mm() * scale, card.card.height.mm() * scale);
    out.push(Mark::Shape(Shape::Rect(whole.moved(0.6, 0.8)), Look::filled(BLACK).faint(0.25)));
    out.push(Mark::Clip(Shape::Rect(whole)));
    for layer in &card.layers {
        draw.layer(layer, out);
    }
    draw.dots(out);
    out.push(Mark::Unclip);
    out.push(Mark::Shape(Shape::Rect(whole), Look::lined(BLACK, 0.2)));
}

struct Front<'a> {
    ground: &'a Ground<'a>,
    batch: &'a Batch,
    card: &'a Card,
    at: (f64, f64),
    scale: f64,
}

impl Front<'_> {
    fn frame(&self, x: f64, y: f64, w: f64, h: f64) -> Frame {
        Frame::new(self.at.0 + x * self.scale, self.at.1 + y * self.scale, w * self.scale, h * self.scale)
    }

    fn layer(&self, layer: &Layer, out: &mut Vec<Mark>) {
        let own = self.frame(layer.x.mm(), layer.y.mm(), layer.width.mm(), layer.height.mm());
        let outline = self.outline(layer, own);
        if layer.role != "base" {
            let far = if layer.foam.is_some() { 1.2 } else { 0.5 } * self.scale;
            out.push(Mark::Shape(moved(&outline, far * 0.7, far), Look::filled(BLACK).faint(0.28)));
        }
        out.push(Mark::Clip(Shape::Rect(own)));
        out.push(Mark::Clip(outline.clone()));
        out.push(Mark::Shape(Shape::Rect(own), Look::filled(ink_of(layer)).faint(cover(layer))));
        for piece in &layer.pieces {
            self.piece(layer, piece, out);
        }
        out.push(Mark::Unclip);
        out.push(Mark::Unclip);
        out.push(Mark::Shape(outline, Look::lined(GREY, EDGE)));
        self.words(layer, own, out);
    }

    /// Finishing dots at their size, each with its shadow and its gleam.
    fn dots(&self, out: &mut Vec<Mark>) {
        let Some(dots) = &self.card.dots else { return };
        let wide = dots.diameter.mm();
        for [x, y] in &dots.middles {
            let own = self.frame(x.mm() - wide / 2.0, y.mm() - wide / 2.0, wide, wide);
            let gleam = self.frame(x.mm() - wide * 0.28, y.mm() - wide * 0.3, wide * 0.25, wide * 0.25);
            let far = 0.25 * self.scale;
            out.push(Mark::Shape(moved(&Shape::Ellipse(own), far * 0.7, far), Look::filled(BLACK).faint(0.3)));
            out.push(Mark::Shape(Shape::Ellipse(own), Look::filled(read(&dots.colour).unwrap_or(WHITE))));
            out.push(Mark::Shape(Shape::Ellipse(gleam), Look::filled(WHITE).faint(0.8)));
            out.push(Mark::Shape(Shape::Ellipse(own), Look::lined(GREY, EDGE)));
        }
    }

    /// The outline of a layer; of a trimmed one as it is before.
    fn outline(&self, layer: &Layer, own: Frame) -> Shape {
        match layer.shape.as_str() {
            "ellipse" => {
                let ends = layer.pieces.iter().map(|piece| {
                    let (x, y) = (piece.x.mm(), piece.y.mm());
                    (x, y, x + piece.width.mm(), y + piece.height.mm())
                });
                let whole = ends.reduce(|a, b| (a.0.min(b.0), a.1.min(b.1), a.2.max(b.2), a.3.max(b.3)));
                let whole = whole.map(|(x, y, right, bottom)| self.frame(x, y, right - x, bottom - y));
                Shape::Ellipse(whole.unwrap_or(own))
            }
            "polygon" if layer.outline.len() > 2 => Shape::Polygon(
                layer
                    .outline
                    .iter()
                    .map(|[x, y]| (self.at.0 + x.mm() * self.scale, self.at.1 + y.mm() * self.scale))
                    .collect(),
            ),
            _ => Shape::Rect(own),
        }
    }

    fn piece(&self, layer: &Layer, piece: &Piece, out: &mut Vec<Mark>) {
        let Some(print) = self.ground.prints.by_paper.get(&layer.paper) else { return };
        let frame = self.frame(piece.x.mm(), piece.y.mm(), piece.width.mm(), piece.height.mm());
        let opacity = cover(layer);
        let Some((wide, high)) = print.of else {
            let (at, size) = ((frame.x, frame.y), (frame.w, frame.h));
            out.push(Mark::Picture(Placed { picture: print.picture, at, size, turned: false, opacity }));
            return;
        };
        let placed = self.batch.placed(&self.card.id, &layer.panel, &piece.from);
        let turned = placed.map_or(piece.turned, |placed| placed.turned);
        let (left, top) = placed.map_or((0.0, 0.0), |placed| (placed.x.mm(), placed.y.mm()));
        let (across, down) = (piece.width.mm(), piece.height.mm());
        let (across, down) = if turned { (down, across) } else { (across, down) };
        let (columns, rows) = ((left / wide).floor(), (top / high).floor());
        let (more, lower) = (((left + across) / wide).ceil(), ((top + down) / high).ceil());
        if (more - columns) * (lower - rows) > MOST_REPEATS {
            return;
        }
        out.push(Mark::Clip(Shape::Rect(frame)));
        let mut row = rows;
        while row < lower {
            let mut column = columns;
            while column < more {
                // Where this repeat of the picture lies on the sheet, seen from the piece's corner.
                let (x, y) = ((column * wide - left) * self.scale, (row * high - top) * self.scale);
                let at = if turned { (frame.x + frame.w - y, frame.y + x) } else { (frame.x + x, frame.y + y) };
                let size = (wide * self.scale, high * self.scale);
                out.push(Mark::Picture(Placed { picture: print.picture, at, size, turned, opacity }));
                column += 1.0;
            }
            row += 1.0;
        }
        out.push(Mark::Unclip);
    }

    /// The first words that fit there, as large as they go.
    fn words(&self, layer: &Layer, own: Frame, out: &mut Vec<Mark>) {
        let first = layer.sentiments.first().and_then(|id| self.ground.prints.words.get(id));
        let Some(text) = first.filter(|_| layer.carries_words) else { return };
        let text = crate::problem::printable(text);
        let wide = self.ground.faces.wide(&text, 1.0, true).max(0.1);
        let size = (own.w * 0.8 / wide).min(own.h * 0.5).min(9.0 * self.scale);
        let [red, green, blue] = ink_of(layer).map(u32::from);
        let ink = if red * 3 + green * 6 + blue < 1100 { WHITE } else { BLACK };
        let at = (own.x + (own.w - wide * size) / 2.0, own.y + own.h / 2.0 + size * 0.34);
        out.push(Mark::Words(Words { text, at, size, bold: true, ink }));
    }
}

/// How far a layer covers; one can see through vellum. By eye; no source.
fn cover(layer: &Layer) -> f32 {
    if layer.material == "vellum" { 0.62 } else { 1.0 }
}

fn moved(shape: &Shape, x: f64, y: f64) -> Shape {
    match shape {
        Shape::Rect(frame) => Shape::Rect(frame.moved(x, y)),
        Shape::Ellipse(frame) => Shape::Ellipse(frame.moved(x, y)),
        Shape::Polygon(corners) => Shape::Polygon(corners.iter().map(|(a, b)| (a + x, b + y)).collect()),
        Shape::Line(from, to) => Shape::Line((from.0 + x, from.1 + y), (to.0 + x, to.1 + y)),
    }
}

/// How far apart layers are drawn, in millimetres.
pub(crate) const APART: f64 = 6.0;

/// The layers from the side, drawn apart: the top one at the top, foam and levelling beneath each.
pub(crate) fn side(ground: &Ground<'_>, card: &Card, at: (f64, f64), wide: f64, out: &mut Vec<Mark>) {
    let front = card.card.width.mm().max(1.0);
    let bars = wide * 0.45;
    let scale = bars / front;
    let count = card.layers.len();
    for (place, layer) in card.layers.iter().enumerate() {
        let up = u32::try_from(count - 1 - place).map_or(0.0, f64::from);
        let y = at.1 + up * APART + 1.5;
        let left = (at.0 + layer.x.mm() * scale).max(at.0);
        let right = (at.0 + (layer.x.mm() + layer.width.mm()) * scale).min(at.0 + bars);
        let bar = Frame::new(left, y, (right - left).max(0.3), 1.3);
        out.push(Mark::Shape(Shape::Rect(bar), Look { line: Some((BLACK, 0.15)), ..Look::filled(ink_of(layer)) }));
        if layer.foam.is_some() {
            for part in [0.1, 0.5, 0.9] {
                let width = (bar.w * 0.12).max(0.3);
                let pad = Frame::new(bar.x + (bar.w - width) * part, y + 1.3, width, 1.8);
                out.push(Mark::Shape(Shape::Rect(pad), Look { line: Some((BLACK, 0.15)), ..Look::filled(WHITE) }));
            }
        }
        if !layer.levelling.is_empty() {
            let slip = Frame::new(bar.x + bar.w * 0.2, y + 1.9, bar.w * 0.6, 0.5);
            out.push(Mark::Shape(Shape::Rect(slip), Look::lined(BLACK, 0.15).dashed()));
        }
        let lead = ((bar.x + bar.w + 0.8, y + 0.65), (at.0 + bars + 3.0, y + 0.65));
        out.push(Mark::Shape(Shape::Line(lead.0, lead.1), Look::lined(GREY, 0.12)));
        let on = match (layer.foam.is_some(), layer.levelling.is_empty()) {
            (true, true) => ", on foam",
            (true, false) => ", on foam, levelled",
            (false, false) => ", levelled",
            (false, true) => "",
        };
        let text = crate::problem::printable(&format!("{}: {}{on}", layer.panel, layer.name));
        let text = ground.faces.within(&text, 3.0, false, wide - bars - 4.0);
        let at = (at.0 + bars + 4.0, y + 1.7);
        out.push(Mark::Words(Words { text, at, size: 3.0, bold: false, ink: BLACK }));
    }
}

//! A card as cells of 1/32 in: which panel, which paper, which way round lies on top of each, as the
//! layout is drawn and as the pieces are cut.

use swatchfold::index::is_opaque;
use swatchfold::layout::{Change, Drawn, Rect};
use swatchfold::matching::{Network, Outline, network};
use swatchfold::present::pieces::{CardPiece, Turned};
use swatchfold::score::{Suggestion, Table};
use units::Length;

/// The side of a cell: 1/32 in.
pub(super) const CELL: i64 = 793_750;

/// What one sees of a layer in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    /// The layer.
    pub(super) layer: String,
    /// The face that shows.
    pub(super) face: u32,
    /// Whether a pattern that must not be turned is turned.
    pub(super) turned: bool,
}

/// The middle of a cell.
fn middle(column: i64, row: i64) -> (i64, i64) {
    (column * CELL + CELL / 2, row * CELL + CELL / 2)
}

/// Whether a rectangle holds a point.
pub(super) fn in_rect(rect: &Rect, (x, y): (i64, i64)) -> bool {
    rect.left.nanometres() <= x
        && x < rect.right.nanometres()
        && rect.top.nanometres() <= y
        && y < rect.bottom.nanometres()
}

/// Whether an outline that fills a rectangle holds a point: by angles and crossings, in floats.
#[allow(clippy::cast_precision_loss, reason = "a card is a few hundred million nanometres wide")]
pub(super) fn in_outline(outline: &Outline, whole: &Rect, point: (i64, i64)) -> bool {
    if !in_rect(whole, point) {
        return false;
    }
    let x = (point.0 - whole.left.nanometres()) as f64 / whole.width().nanometres() as f64;
    let y = (point.1 - whole.top.nanometres()) as f64 / whole.height().nanometres() as f64;
    match outline {
        Outline::Rectangle => true,
        Outline::Ellipse => (2.0 * x - 1.0).powi(2) + (2.0 * y - 1.0).powi(2) <= 1.0,
        Outline::Polygon(points) => {
            let corner = |place: usize| {
                let (x, y) = points[place % points.len()];
                (f64::from(x) / 1e3, f64::from(y) / 1e3)
            };
            let crosses = |place: &usize| {
                let ((x0, y0), (x1, y1)) = (corner(*place), corner(place + 1));
                (y0 > y) != (y1 > y) && x < (x1 - x0) * (y - y0) / (y1 - y0) + x0
            };
            (0..points.len()).filter(crosses).count() % 2 == 1
        }
    }
}

/// One thing that lies on the card, in a raster's terms.
struct Thing {
    cell: Cell,
    opaque: bool,
    /// What it covers, before it is trimmed.
    pieces: Vec<Rect>,
    flush: Rect,
    outline: Outline,
    whole: Rect,
    /// Where its middle is cut out.
    hole: Option<Rect>,
}

impl Thing {
    fn holds(&self, point: (i64, i64)) -> bool {
        in_rect(&self.flush, point)
            && !self.hole.is_some_and(|hole| in_rect(&hole, point))
            && self.pieces.iter().any(|piece| in_rect(piece, point))
            && in_outline(&self.outline, &self.whole, point)
    }
}

/// A card as cells: for each, row by row, what one sees of it. Every look has a number; what one sees
/// through is kept above what lies beneath it.
struct Looks {
    columns: i64,
    cells: Vec<u64>,
}

/// The number of each thing's look, from 1: things that look alike have one number.
fn numbered<'t>(things: &'t [Thing], looks: &mut Vec<&'t Cell>) -> Vec<u64> {
    let number = |thing: &'t Thing| {
        let known = looks.iter().position(|look| **look == thing.cell);
        known.unwrap_or_else(|| {
            looks.push(&thing.cell);
            looks.len() - 1
        }) as u64
            + 1
    };
    things.iter().map(number).collect()
}

/// Lays the things on the card, the lowest first.
fn lay(things: &[Thing], numbers: &[u64], (columns, rows): (i64, i64)) -> Looks {
    let mut cells = vec![0_u64; usize::try_from(columns * rows).expect("a card is small")];
    for (thing, number) in things.iter().zip(numbers) {
        let box_of = thing.pieces.iter().copied().reduce(|one, other| one.around(&other)).expect("it has a piece");
        let box_of = box_of.shared(&thing.flush);
        let span = |from: Length, to: Length, most: i64| {
            (from.nanometres() / CELL).clamp(0, most)..(to.nanometres() / CELL + 1).clamp(0, most)
        };
        for row in span(box_of.top, box_of.bottom, rows) {
            for column in span(box_of.left, box_of.right, columns) {
                if thing.holds(middle(column, row)) {
                    let cell = &mut cells[usize::try_from(row * columns + column).expect("a card is small")];
                    *cell = if thing.opaque { *number } else { *cell << 8 | number };
                }
            }
        }
    }
    Looks { columns, cells }
}

impl Looks {
    /// Whether a look can be seen in a cell.
    fn has(&self, (column, row): (i64, i64), number: u64) -> bool {
        let inside = (0..self.columns).contains(&column) && row >= 0;
        let place = usize::try_from(row * self.columns + column).ok().filter(|_| inside);
        let cell = place.and_then(|place| self.cells.get(place)).copied().unwrap_or(0);
        (0..8).any(|byte| cell >> (8 * byte) & 0xff == number)
    }
}

/// What a cell shows, in words.
fn told(cell: u64, looks: &[&Cell]) -> String {
    let shown: Vec<String> = (0..8)
        .filter_map(|byte| usize::try_from(cell >> (8 * byte) & 0xff).ok())
        .filter(|number| *number > 0)
        .map(|number| format!("{:?}", looks[number - 1]))
        .collect();
    shown.join(" over ")
}

fn around(pieces: &[Rect]) -> Rect {
    pieces.iter().copied().reduce(|one, other| one.around(&other)).expect("each layer has a piece")
}

/// A piece as a ruler cuts it: its sides set down to the ruler.
fn ruled(piece: &Rect, ruler: Length) -> Rect {
    let (width, height) = (piece.width().floor_to(ruler), piece.height().floor_to(ruler));
    Rect { right: piece.left + width, bottom: piece.top + height, ..*piece }
}

/// The card without any hidden join; `None` where a panel that is left out has no room as drawn, so that
/// there is nothing to compare with.
fn without_joins(table: Table<'_>, card: &Suggestion) -> Option<Network> {
    let others: Vec<Change> =
        card.changes.iter().map(|(change, _)| *change).filter(|change| !super::is_join(change)).collect();
    let drawn = Drawn::changed(&table.layouts[card.layout], &others, table.settings.ruler);
    network(&drawn, table.dies).ok()
}

/// Whether a card can be held against its layout as drawn.
pub(super) fn can_be_compared(table: Table<'_>, card: &Suggestion) -> bool {
    without_joins(table, card).is_some()
}

/// The layout as drawn, without any hidden join, in the papers of the card. A layer that is left out
/// has no paper: where it would show, nothing can match it.
fn as_drawn(table: Table<'_>, card: &Suggestion) -> Vec<Thing> {
    let plain = without_joins(table, card).expect("asked before");
    let face_of = |id: &str| {
        let layer = card.network.layers.iter().find(|layer| layer.id == id);
        layer.map(|layer| card.faces[layer.slot])
    };
    plain
        .layers
        .iter()
        .map(|layer| {
            let face = face_of(&layer.id);
            let own = card.network.layers.iter().find(|own| own.id == layer.id);
            let material = face.map(|face| table.index.face(face).view.material);
            let is_image = material == Some(api::Material::Image);
            // An image keeps its own size; where it lies is not in question here.
            let pieces = match own {
                Some(own) if is_image => own.pieces.clone(),
                _ => layer.pieces.clone(),
            };
            let whole = around(&pieces);
            Thing {
                cell: Cell { layer: layer.id.clone(), face: face.map_or(u32::MAX, |face| face.0), turned: false },
                opaque: material.is_none_or(is_opaque),
                pieces: if is_image {
                    pieces
                } else {
                    pieces.iter().map(|piece| ruled(piece, table.settings.ruler)).collect()
                },
                flush: if is_image { whole } else { layer.rect },
                outline: if is_image { Outline::Rectangle } else { layer.outline.clone() },
                whole,
                hole: None,
            }
        })
        .collect()
}

/// The card as its pieces are cut.
fn as_cut(table: Table<'_>, card: &Suggestion, pieces: &[CardPiece], drawn: &[Thing]) -> Vec<Thing> {
    let mut things = Vec::new();
    for piece in pieces {
        let layer = &card.network.layers[piece.layer];
        let face = table.index.face(piece.face);
        let is_image = face.view.material == api::Material::Image;
        // The outline is that of the layer as drawn, however few of its pieces are cut.
        let plain = drawn.iter().find(|thing| thing.cell.layer == layer.id).expect("it was drawn");
        let whole = if is_image { around(&layer.pieces) } else { plain.whole };
        things.push(Thing {
            cell: Cell {
                layer: layer.id.clone(),
                face: piece.face.0,
                turned: !is_image && !face.may_turn() && piece.turned == Turned::Quarter,
            },
            opaque: is_opaque(face.view.material),
            pieces: vec![if is_image { whole } else { ruled(&piece.rect, table.settings.ruler) }],
            flush: if is_image { whole } else { layer.rect },
            outline: if is_image { Outline::Rectangle } else { layer.outline.clone() },
            whole,
            hole: piece.hole,
        });
    }
    things
}

/// Whether a card from these pieces looks as drawn, and every inner end has its glue margin.
pub(super) fn compare(table: Table<'_>, card: &Suggestion, pieces: &[CardPiece]) -> Result<(), String> {
    let drawn = as_drawn(table, card);
    let cut = as_cut(table, card, pieces, &drawn);
    let size = (card.network.card.width.nanometres() / CELL, card.network.card.height.nanometres() / CELL);
    let mut looks = Vec::new();
    let numbers = (numbered(&drawn, &mut looks), numbered(&cut, &mut looks));
    let (should, is) = (lay(&drawn, &numbers.0, size), lay(&cut, &numbers.1, size));
    if let Some(place) = (0..is.cells.len()).find(|place| is.cells[*place] != should.cells[*place]) {
        let at = i64::try_from(place).expect("a card is small");
        return Err(format!(
            "at {}, {} (1/32 in) it shows {} and should {}",
            at % size.0,
            at / size.0,
            told(is.cells[place], &looks),
            told(should.cells[place], &looks)
        ));
    }
    holes(table, card, (&should, &looks), &cut)?;
    margins(table, card, (&should, &looks), &cut)
}

/// Within a glue margin of a hole nothing of its layer may show, nor may the layer end there.
fn holes(table: Table<'_>, card: &Suggestion, (drawn, looks): (&Looks, &[&Cell]), cut: &[Thing]) -> Result<(), String> {
    let margin = table.settings.glue_margin;
    for thing in cut {
        let Some(hole) = thing.hole else { continue };
        let edge = hole.inset(-(margin - Length::from_nanometres(CELL / 2)));
        let of_layer = |look: &&Cell| look.layer == thing.cell.layer;
        let number = (1_u64..).zip(looks).find(|(_, look)| of_layer(look)).map(|(number, _)| number);
        let side = |length: Length| length.nanometres() / CELL;
        for y in 0..side(card.network.card.height) {
            for x in 0..side(card.network.card.width) {
                let point = middle(x, y);
                if !in_rect(&edge, point) {
                    continue;
                }
                if number.is_some_and(|number| drawn.has((x, y), number)) {
                    return Err(format!("{} shows within a margin of its hole at {x}, {y}", thing.cell.layer));
                }
                if !thing.pieces.iter().any(|piece| in_rect(piece, point)) {
                    return Err(format!("{} ends within a margin of its hole at {x}, {y}", thing.cell.layer));
                }
            }
        }
    }
    Ok(())
}

/// Within a glue margin of an inner end of a piece nothing of its layer may show.
fn margins(
    table: Table<'_>,
    card: &Suggestion,
    (drawn, looks): (&Looks, &[&Cell]),
    cut: &[Thing],
) -> Result<(), String> {
    let joined = |id: &str| {
        card.changes
            .iter()
            .filter(|(change, _)| super::is_join(change))
            .any(|(change, _)| change.panel().is_some_and(|panel| card.drawn.panels[panel].id == *id))
    };
    let margin = table.settings.glue_margin.nanometres() - CELL / 2;
    for thing in cut.iter().filter(|thing| joined(&thing.cell.layer)) {
        let piece = &thing.pieces[0];
        let (left, top) = (piece.left.nanometres(), piece.top.nanometres());
        let (right, bottom) = (piece.right.nanometres(), piece.bottom.nanometres());
        let mut inner: Vec<((i64, i64), (i64, i64))> = Vec::new();
        let end = ruled(&thing.whole, table.settings.ruler);
        if piece.left > thing.whole.left {
            inner.push(((left - margin, left + margin), (top, bottom)));
        }
        if piece.right < end.right {
            inner.push(((right - margin, right + margin), (top, bottom)));
        }
        if piece.top > thing.whole.top {
            inner.push(((left, right), (top - margin, top + margin)));
        }
        if piece.bottom < end.bottom {
            inner.push(((left, right), (bottom - margin, bottom + margin)));
        }
        for (across, down) in inner {
            for y in (down.0.max(0) / CELL)..=(down.1 / CELL) {
                for x in (across.0.max(0) / CELL)..=(across.1 / CELL) {
                    let point = middle(x, y);
                    let near = (across.0..across.1).contains(&point.0) && (down.0..down.1).contains(&point.1);
                    let of_layer = |look: &&Cell| look.layer == thing.cell.layer;
                    let mut numbers = (1_u64..).zip(looks).filter(|(_, look)| of_layer(look)).map(|(number, _)| number);
                    let shows = near && numbers.any(|number| drawn.has((x, y), number));
                    if shows {
                        return Err(format!("{} has an end with less than its margin at {x}, {y}", thing.cell.layer));
                    }
                }
            }
        }
    }
    Ok(())
}

/// Cuts the first piece of a layer short at its inner end; says whether it has one.
pub(super) fn cut_short(card: &Suggestion, pieces: &mut [CardPiece], layer: usize, by: Length) -> bool {
    let whole =
        card.drawn.panels.iter().find(|panel| panel.id == card.network.layers[layer].id).map(|panel| panel.cut());
    let Some(whole) = whole else { return false };
    let Some(piece) = pieces.iter_mut().find(|piece| piece.layer == layer) else { return false };
    if piece.rect.right < whole.right {
        piece.rect.right -= by;
    } else if piece.rect.bottom < whole.bottom {
        piece.rect.bottom -= by;
    } else {
        return false;
    }
    true
}

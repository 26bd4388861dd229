//! A sheet and its cuts: at true size where it fits the page, turned if need be, else at a scale that
//! is stated.

use super::batch::{Batch, Mm, Sheet};
use super::flow::{Flow, SIDE};
use super::mark::{BLACK, Frame, GREY, Look, Mark, Placed, Shape, Tag, WHITE, Words};

/// Scales that are tried in turn, as numerator and denominator.
const SCALES: [(u32, u32); 9] = [(1, 1), (3, 4), (1, 2), (1, 3), (1, 4), (1, 8), (1, 16), (1, 40), (1, 100)];

/// Between a map and the words beside it, in millimetres.
const BESIDE: f64 = 7.0;
/// The narrowest column that words beside a map are set in.
const COLUMN: f64 = 80.0;

/// How a sheet lies on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Fit {
    scale: (u32, u32),
    turned: bool,
}

impl Fit {
    /// The largest scale at which a sheet of this size fits that room; upright before turned.
    pub(crate) fn of(sheet: (f64, f64), room: (f64, f64)) -> Self {
        let fits = |(up, down): (u32, u32), turned: bool| {
            let scale = f64::from(up) / f64::from(down);
            let (wide, high) = if turned { (sheet.1, sheet.0) } else { sheet };
            wide * scale <= room.0 && high * scale <= room.1
        };
        for scale in SCALES {
            for turned in [false, true] {
                if fits(scale, turned) {
                    return Self { scale, turned };
                }
            }
        }
        Self { scale: (1, 1000), turned: false }
    }

    fn factor(self) -> f64 {
        f64::from(self.scale.0) / f64::from(self.scale.1)
    }

    /// How the page says it.
    fn words(self) -> String {
        let turned = if self.turned { ", turned a quarter clockwise to fit the page" } else { "" };
        match self.scale {
            (1, 1) => format!("Drawn at true size{turned}."),
            (up, down) => {
                format!(
                    "Drawn at scale {up}:{down}, not at true size, since the sheet is larger than the page{turned}."
                )
            }
        }
    }
}

struct Map<'a> {
    sheet: &'a Sheet,
    fit: Fit,
    at: (f64, f64),
    /// How much larger than in print its words and numbers are.
    type_size: f64,
}

impl Map<'_> {
    fn frame(&self, x: Mm, y: Mm, w: Mm, h: Mm) -> Frame {
        let k = self.fit.factor();
        let (x, y, w, h) = (x.mm() * k, y.mm() * k, w.mm() * k, h.mm() * k);
        if self.fit.turned {
            Frame::new(self.at.0 + self.sheet.height.mm() * k - y - h, self.at.1 + x, h, w)
        } else {
            Frame::new(self.at.0 + x, self.at.1 + y, w, h)
        }
    }
}

/// A page, or more, for one sheet: its map, and its pieces and cuts in words.
pub(crate) fn sheet(flow: &mut Flow<'_>, batch: &Batch, number: usize) {
    let Some(sheet) = batch.sheets.get(number) else { return };
    let ground = flow.ground;
    let size = (sheet.width.mm(), sheet.height.mm());
    let room = (flow.wide(), flow.high() - 24.0);
    let fit = Fit::of(size, room);
    let high = if fit.turned { size.0 } else { size.1 } * fit.factor();
    // Small sheets share a page, each with its first words.
    flow.need((high + 44.0).min(flow.high()));
    let copies = if sheet.copies == 1 { String::new() } else { format!(", {} times", sheet.copies) };
    let paper = super::lists::paper_name(flow, batch, &sheet.paper);
    let stock = if sheet.stock == sheet.paper { String::new() } else { format!(", {}", sheet.stock) };
    flow.heading(2, &format!("Sheet {}: {paper}{stock}{copies}", number + 1));
    flow.text(&format!("{}. {}", ground.size(sheet.width, sheet.height), fit.words()));
    flow.need(high + 3.0);
    let map = Map { sheet, fit, at: (SIDE, flow.y + 1.0), type_size: 1.0 };
    let told = format!(
        "Cut map of sheet {}, {}: {} pieces, {} cuts, {} left over. All are listed after it.",
        number + 1,
        ground.size(sheet.width, sheet.height),
        sheet.placements.len(),
        sheet.cuts.len(),
        sheet.offcuts.len()
    );
    flow.push(Mark::Begin(Tag::Figure(told)));
    let mut marks = Vec::new();
    draw(flow, &map, &mut marks);
    marks.into_iter().for_each(|mark| flow.push(mark));
    flow.push(Mark::End);
    let wide = if fit.turned { size.1 } else { size.0 } * fit.factor() + BESIDE;
    if wide <= flow.wide() - COLUMN {
        flow.set_beside((wide, high + 4.0), |flow| words(flow, batch, sheet));
    } else {
        flow.y += high + 4.0;
        words(flow, batch, sheet);
    }
}

/// The map alone, at true size and upright, with its upper left corner there. It is for a screen, so the words
/// of a large sheet are larger.
pub(crate) fn alone(flow: &Flow<'_>, sheet: &Sheet, at: (f64, f64)) -> Vec<Mark> {
    let mut marks = Vec::new();
    let type_size = (sheet.width.mm().max(sheet.height.mm()) / 120.0).clamp(0.6, 8.0);
    draw(flow, &Map { sheet, fit: Fit { scale: (1, 1), turned: false }, at, type_size }, &mut marks);
    marks
}

fn draw(flow: &Flow<'_>, map: &Map<'_>, out: &mut Vec<Mark>) {
    let (ground, sheet) = (flow.ground, map.sheet);
    let whole = map.frame(Mm::default(), Mm::default(), sheet.width, sheet.height);
    let pale = 0.45;
    if let Some(print) = ground.prints.by_paper.get(&sheet.paper) {
        let size = (sheet.width.mm() * map.fit.factor(), sheet.height.mm() * map.fit.factor());
        let at = if map.fit.turned { (whole.x + whole.w, whole.y) } else { (whole.x, whole.y) };
        // Only where the picture shows the whole sheet does it lie on the map as on the paper.
        let is_whole = print
            .of
            .is_none_or(|(wide, high)| (wide - sheet.width.mm()).abs() < 0.5 && (high - sheet.height.mm()).abs() < 0.5);
        if is_whole {
            let turned = map.fit.turned;
            out.push(Mark::Picture(Placed { picture: print.picture, at, size, turned, opacity: pale }));
        }
    }
    for rest in &sheet.offcuts {
        let frame = map.frame(rest.x, rest.y, rest.width, rest.height);
        out.push(Mark::Shape(Shape::Rect(frame), Look { line: Some((GREY, 0.15)), ..Look::filled(WHITE) }.dashed()));
        let lines = ["left over".to_owned(), ground.size(rest.width, rest.height)];
        label(flow, map, frame, (&rest.id, &lines), out);
    }
    for (place, piece) in sheet.placements.iter().enumerate() {
        let frame = map.frame(piece.x, piece.y, piece.width, piece.height);
        out.push(Mark::Shape(Shape::Rect(frame), Look::lined(BLACK, 0.2)));
        let lines = [piece.layer.clone(), ground.size(piece.width, piece.height)];
        label(flow, map, frame, (&letter(place), &lines), out);
        if let Some(hole) = &piece.hollow {
            let frame = map.frame(hole.x, hole.y, hole.width, hole.height);
            out.push(Mark::Shape(Shape::Rect(frame), Look::lined(BLACK, 0.3).dashed()));
            beside_edge(flow, map, frame, "knife, after trimming", out);
        }
    }
    out.push(Mark::Shape(Shape::Rect(whole), Look::lined(BLACK, 0.2)));
    cuts(flow, map, out);
}

/// Each cut's number where the cut begins.
fn cuts(flow: &Flow<'_>, map: &Map<'_>, out: &mut Vec<Mark>) {
    let radius = 1.9 * map.type_size;
    for cut in &map.sheet.cuts {
        let none = Mm::default();
        let line = if cut.axis == "x" {
            map.frame(cut.position, cut.of.y, none, cut.of.height)
        } else {
            map.frame(cut.of.x, cut.position, cut.of.width, none)
        };
        let (x, y) = if line.w > line.h { (line.x + radius + 0.4, line.y) } else { (line.x, line.y + radius + 0.4) };
        let frame = Frame::new(x - radius, y - radius, radius * 2.0, radius * 2.0);
        out.push(Mark::Shape(Shape::Ellipse(frame), Look { line: Some((BLACK, 0.2)), ..Look::filled(BLACK) }));
        let text = cut.number.to_string();
        let size = 2.7 * map.type_size;
        let at = (x - flow.ground.faces.wide(&text, size, true) / 2.0, y + size * 0.36);
        out.push(Mark::Words(Words { text, at, size, bold: true, ink: WHITE }));
    }
}

/// Words just within the upper edge of a frame, where there is room for them.
fn beside_edge(flow: &Flow<'_>, map: &Map<'_>, frame: Frame, text: &str, out: &mut Vec<Mark>) {
    let size = 2.7 * map.type_size;
    let wide = flow.ground.faces.wide(text, size, false);
    if wide + 1.0 <= frame.w && frame.h >= 8.0 * map.type_size {
        let at = (frame.x + (frame.w - wide) / 2.0, frame.y + size + 0.6);
        out.push(Mark::Words(Words { text: text.to_owned(), at, size, bold: false, ink: BLACK }));
    }
}

/// A piece's letter, and its name and size where there is room for them.
fn label(flow: &Flow<'_>, map: &Map<'_>, frame: Frame, (key, lines): (&str, &[String; 2]), out: &mut Vec<Mark>) {
    let faces = &flow.ground.faces;
    let of = map.type_size;
    let size = 3.0 * of;
    let lines: Vec<String> = lines.iter().map(|line| crate::problem::printable(line)).collect();
    let wide = lines.iter().map(|line| faces.wide(line, size, false)).fold(0.0, f64::max);
    let fits = wide + 3.0 * of <= frame.w && frame.h >= 14.0 * of;
    let key_size = (4.2 * of).min(frame.w.min(frame.h) * 0.75).max(1.4 * of.min(1.0));
    let key = crate::problem::printable(key);
    let key_wide = faces.wide(&key, key_size, true);
    let (high, wide) = if fits { (12.4 * of, wide.max(key_wide)) } else { (key_size * 1.1, key_wide) };
    let (x, y) = (frame.x + frame.w / 2.0, frame.y + frame.h / 2.0);
    let back = Frame::new(x - wide / 2.0 - 0.8, y - high / 2.0, wide + 1.6, high);
    out.push(Mark::Shape(Shape::Rect(back), Look::filled(WHITE).faint(0.85)));
    let mut put = |text: &str, size: f64, bold: bool, y: f64| {
        let at = (x - faces.wide(text, size, bold) / 2.0, y);
        out.push(Mark::Words(Words { text: text.to_owned(), at, size, bold, ink: BLACK }));
    };
    if fits {
        put(&key, 4.2 * of, true, y - 2.2 * of);
        for (line, down) in lines.iter().zip([1.6 * of, 5.2 * of]) {
            put(line, size, false, y + down);
        }
    } else {
        put(&key, key_size, true, y + key_size * 0.36);
    }
}

/// The letter of a piece: A to Z, then AA and so on.
fn letter(place: usize) -> String {
    let mut rest = place;
    let mut signs = Vec::new();
    loop {
        signs.push(char::from(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ"[rest % 26]));
        if rest < 26 {
            break;
        }
        rest = rest / 26 - 1;
    }
    signs.iter().rev().collect()
}

fn words(flow: &mut Flow<'_>, batch: &Batch, sheet: &Sheet) {
    let ground = flow.ground;
    for (place, piece) in sheet.placements.iter().enumerate() {
        let design = batch.cards.iter().position(|cards| cards.suggestion.id == piece.card);
        let of = design.map_or_else(
            || piece.card.clone(),
            |design| format!("card {}, {}", design + 1, batch.cards[design].suggestion.layout_name),
        );
        let turned = if piece.turned { ", laid sideways on the sheet" } else { "" };
        let size = ground.size(piece.width, piece.height);
        let hole = piece.hollow.as_ref().map_or_else(String::new, |hole| {
            let many = match sheet.copies {
                copies if copies == hole.copies => String::new(),
                copies => format!(" of {} of the {copies}", hole.copies),
            };
            let size = ground.size(hole.width, hole.height);
            let (left, top) = (ground.length(Mm(hole.x.0 - piece.x.0)), ground.length(Mm(hole.y.0 - piece.y.0)));
            format!("; after the trimming cut out its middle{many} with a knife: {size}, {left} from its left edge and {top} from its top edge as it lies here")
        });
        flow.item(&format!("{}: {} of {of}: {size}{turned}{hole}", letter(place), piece.layer));
    }
    if sheet.cuts.is_empty() {
        flow.text("Nothing to cut: it is used as it is.");
        return;
    }
    flow.heading(3, "Cuts, in this order");
    for cut in &sheet.cuts {
        let (way, near, far) =
            if cut.axis == "x" { ("top to bottom", "left", "right") } else { ("left to right", "upper", "lower") };
        let part = if cut.part == 0 { "Whole sheet".to_owned() } else { format!("Part {}", cut.part) };
        let held = if cut.held == "near" { near } else { far };
        flow.tick(&format!(
            "{}. {part} ({}): guide at {}, cut {way}; {near} part is {}, {far} {}. Hold the {held}.",
            cut.number,
            ground.size(cut.of.width, cut.of.height),
            ground.length(cut.guide),
            cut.makes[0],
            cut.makes[1],
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_is_drawn_as_large_as_the_page_takes_it() {
        let room = (182.0, 230.0);
        assert_eq!(Fit::of((152.4, 152.4), room), Fit { scale: (1, 1), turned: false });
        assert_eq!(Fit::of((228.6, 101.6), room), Fit { scale: (1, 1), turned: true });
        assert_eq!(Fit::of((304.8, 304.8), room), Fit { scale: (1, 2), turned: false });
        assert!(Fit::of((304.8, 304.8), room).words().contains("scale 1:2"));
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 701, 702].map(letter), ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }
}

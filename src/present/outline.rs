//! A layout as a line drawing: what lies where, with the names of its panels.
//!
//! A layout in its places in; a small SVG out. It shows no paper, so it can show a card that cannot
//! be made, and what a change did to a layout. Lines take the colour of the text round them.

use super::lettering::ems;
use super::xml::{escape, hundredths, isolated, mm};
use crate::layout::{Drawn, DrawnPanel, Layout, Rect};
use crate::matching::{Outline, outline_of};
use crate::stash::Shape;
use api::units::{Length, Size};
use std::fmt::Write as _;

/// Whether the names of the panels are written beside the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Names {
    /// In a column to the right.
    Beside,
    /// Not at all.
    Left,
}

/// How many steps a panel is looked at across and down for a spot that nothing covers.
const STEPS: i64 = 8;

/// A layout as drawn, as a file of its own, with the names of its panels.
#[must_use]
pub fn layout_drawing(layout: &Layout, ruler: Length) -> String {
    let drawn = Drawn::as_drawn(layout, layout.card, ruler);
    let title = format!("{}, as drawn", isolated(&layout.name));
    svg(&drawn, &[], Names::Beside, &title, " xmlns=\"http://www.w3.org/2000/svg\"") + "\n"
}

/// A drawing to stand in a page. `marked` are the ids of panels to draw heavier: those that were
/// changed, or the one that is lacking. `title` is told to those who do not see it.
#[must_use]
pub fn drawing(drawn: &Drawn, marked: &[&str], names: Names, title: &str) -> String {
    svg(drawn, marked, names, &isolated(title), "")
}

fn svg(drawn: &Drawn, marked: &[&str], names: Names, title: &str, namespace: &str) -> String {
    let card = drawn.card;
    // Letters and lines are as large on every card, whatever its size, in hundredths of a millimetre.
    let unit = in_hundredths(card.long()) / 100;
    let labels = match names {
        Names::Beside => labels(drawn, marked, unit),
        Names::Left => Labels::default(),
    };
    let (left, top) = (-unit, -unit);
    let (width, height) = (in_hundredths(card.width) + 2 * unit + labels.width, in_hundredths(card.height) + 2 * unit);
    let mut text = format!(
        "<svg{namespace} viewBox=\"{} {} {} {}\" role=\"img\" fill=\"none\" stroke=\"currentColor\" \
         stroke-linejoin=\"round\"><title>{title}</title>",
        hundredths(left),
        hundredths(top),
        hundredths(width),
        hundredths(height)
    );
    let thin = hundredths((unit * 2 / 5).max(1));
    let thick = hundredths(unit * 11 / 10);
    let _ = write!(text, "<g stroke-width=\"{thin}\">");
    text.push_str(&rect_element(&Rect::whole(card), ""));
    for place in &drawn.order {
        let panel = &drawn.panels[*place];
        let is_marked = marked.iter().any(|id| is_of(id, panel));
        let pen = if is_marked { format!(" stroke-width=\"{thick}\"") } else { String::new() };
        let _ = write!(text, "<g fill=\"currentColor\" fill-opacity=\".06\"{pen}>");
        for mat in (0..panel.mats.len()).rev() {
            text.push_str(&outlined(panel, &panel.mat(mat)));
        }
        if panel.strips.is_empty() {
            text.push_str(&outlined(panel, &panel.cut()));
        }
        for strip in &panel.strips {
            text.push_str(&rect_element(strip, ""));
        }
        text.push_str("</g>");
    }
    text.push_str("</g>");
    text.push_str(&labels.text);
    text.push_str("</svg>");
    text
}

/// Whether an id names a panel, or a mat behind it.
fn is_of(id: &str, panel: &DrawnPanel) -> bool {
    id == panel.id || id.strip_prefix(&panel.id).is_some_and(|rest| rest.starts_with(" mat"))
}

fn in_hundredths(length: Length) -> i64 {
    length.nanometres() / 10_000
}

fn rect_element(rect: &Rect, more: &str) -> String {
    let (x, y, width, height) = (mm(rect.left), mm(rect.top), mm(rect.width()), mm(rect.height()));
    format!("<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"{more}/>")
}

fn outlined(panel: &DrawnPanel, rect: &Rect) -> String {
    if rect.is_empty() {
        return String::new();
    }
    // Which die will cut it is not known here: its room is dashed.
    if panel.shape == Shape::Die {
        return rect_element(rect, " stroke-dasharray=\"3 1.5\"");
    }
    match outline_of(panel, rect.size()) {
        Outline::Rectangle => rect_element(rect, ""),
        Outline::Ellipse => {
            let half = |length: Length| mm(length.half());
            let (cx, cy) = (half(rect.left + rect.right), half(rect.top + rect.bottom));
            format!("<ellipse cx=\"{cx}\" cy=\"{cy}\" rx=\"{}\" ry=\"{}\"/>", half(rect.width()), half(rect.height()))
        }
        Outline::Polygon(points) => {
            let place = |(x, y): &(i32, i32)| {
                let x = rect.left + super::pieces::share(rect.width(), *x);
                let y = rect.top + super::pieces::share(rect.height(), *y);
                format!("{},{}", mm(x), mm(y))
            };
            let points: Vec<String> = points.iter().map(place).collect();
            format!("<polygon points=\"{}\"/>", points.join(" "))
        }
    }
}

#[derive(Default)]
struct Labels {
    text: String,
    width: i64,
}

/// The names in a column, in the order of the spots they point to.
fn labels(drawn: &Drawn, marked: &[&str], unit: i64) -> Labels {
    let mut spots: Vec<(i64, i64, &DrawnPanel)> = Vec::new();
    for (rank, place) in drawn.order.iter().enumerate() {
        let panel = &drawn.panels[*place];
        // Two spots at one height would have leaders that cannot be told apart.
        let taken: Vec<i64> = spots.iter().map(|(y, _, _)| *y).collect();
        let (x, y) = spot(drawn, rank, panel, &|y| taken.iter().any(|other| (y - other).abs() < unit * 4));
        spots.push((y, x, panel));
    }
    spots.sort_by(|one, other| (one.0, one.1, &one.2.id).cmp(&(other.0, other.1, &other.2.id)));
    let (card_width, card_height) = (in_hundredths(drawn.card.width), in_hundredths(drawn.card.height));
    let size = unit * 6;
    let count = i64::try_from(spots.len()).unwrap_or(i64::MAX).max(1);
    let step = (card_height / count).min(unit * 13);
    let column = card_width + unit * 7;
    let mut text = String::new();
    let mut longest = 0;
    // Each name as near its spot as those above it allow, and none below the card.
    let mut next = 0;
    for (place, (y, x, panel)) in spots.iter().enumerate() {
        let left = count - i64::try_from(place).unwrap_or(0) - 1;
        let row = (*y).clamp(next + step / 2, (card_height - step / 2 - left * step).max(next + step / 2));
        next = row + step / 2;
        let weight = if marked.iter().any(|id| is_of(id, panel)) { " font-weight=\"bold\"" } else { "" };
        let _ = write!(
            text,
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"currentColor\" stroke=\"none\"/>\
             <path d=\"M{x} {y}L{edge} {row}h{stub}\" stroke-width=\"{pen}\" stroke-opacity=\".55\"/>\
             <text x=\"{column}\" y=\"{foot}\" fill=\"currentColor\" stroke=\"none\" font-size=\"{size}\" \
             font-family=\"system-ui, sans-serif\"{weight}>{name}</text>",
            x = hundredths(*x),
            y = hundredths(*y),
            r = hundredths(unit),
            edge = hundredths(card_width + unit * 3),
            row = hundredths(row),
            stub = hundredths(unit * 3),
            pen = hundredths((unit * 3 / 10).max(1)),
            column = hundredths(column),
            foot = hundredths(row + size * 35 / 100),
            size = hundredths(size),
            name = escape(&panel.id),
        );
        // A sans serif face runs a little wider, and bold wider still.
        longest = longest.max(ems(&panel.id) * size * 12 / 10_000);
    }
    Labels { text, width: unit * 7 + longest + unit * 2 }
}

/// A spot of a panel that nothing above it covers, at a height that is not taken, as far to the
/// right as there is one; its middle where there is none.
fn spot(drawn: &Drawn, rank: usize, panel: &DrawnPanel, taken: &dyn Fn(i64) -> bool) -> (i64, i64) {
    let shown = panel.footprint.shared(&Rect::whole(drawn.card));
    let at = |across: i64, down: i64| {
        let x = shown.left + Length::from_nanometres(shown.width().nanometres() / (2 * STEPS) * (2 * across + 1));
        let y = shown.top + Length::from_nanometres(shown.height().nanometres() / (2 * STEPS) * (2 * down + 1));
        (x, y)
    };
    let covered = |(x, y): (Length, Length)| {
        let inset = Size::square(Length::MILLIMETRE * 4);
        let round = Rect { left: x, top: y, right: x, bottom: y }.centred(inset);
        drawn.order[rank + 1..].iter().any(|above| !drawn.panels[*above].footprint.shared(&round).is_empty())
    };
    // Near the middle of the height first, and from the right.
    let mut downs: Vec<i64> = (0..STEPS).collect();
    downs.sort_by_key(|down| ((2 * down + 1 - STEPS).abs(), *down));
    let free = (STEPS / 2..STEPS - 1)
        .rev()
        .chain(0..STEPS / 2)
        .chain([STEPS - 1])
        .flat_map(|across| downs.iter().map(move |down| (across, *down)))
        .map(|(across, down)| at(across, down))
        .filter(|place| !covered(*place));
    let free: Vec<(Length, Length)> = free.collect();
    let free = free.iter().find(|(_, y)| !taken(in_hundredths(*y))).or(free.first()).copied();
    let (x, y) = free.unwrap_or_else(|| at(STEPS / 2, STEPS / 2));
    (in_hundredths(x), in_hundredths(y))
}

//! The words for a change to a layout: what was done, from what to what, and what it is good for.
//!
//! Where leaving a change out would not do, its reason names the sheet, scrap or image that made it
//! necessary.

use super::{from_to, joins, kind_word, with_article};
use crate::index::{Stock, StockKind, fits_on};
use crate::layout::{Axis, Change, Drawn, Layout};
use crate::matching::{Network, network};
use crate::score::{Suggestion, Table};
use crate::stash::Settings;
use api::units::{Length, Size, Unit};

/// One change in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangeWords {
    /// How it is in the layout as drawn.
    pub from: String,
    /// How it is now.
    pub to: String,
    /// What it is good for: begins with "so that", "to" or "since".
    pub why: String,
    /// All of it: "border widened from 1/8 to 1/4 in, so that a narrower sheet reaches".
    pub sentence: String,
}

/// A change in words, without looking at which papers were chosen.
#[must_use]
pub fn change_words(change: &Change, layout: &Layout, settings: &Settings) -> ChangeWords {
    with_why(change, layout, settings, usual_why(change))
}

/// The changes of a card in words; the reason names the sheet, scrap or image that made it
/// necessary, wherever leaving that one change out would not do.
#[must_use]
pub fn changes_in_words(table: Table<'_>, card: &Suggestion) -> Vec<ChangeWords> {
    let layout = &table.layouts[card.layout];
    card.changes
        .iter()
        .map(|(change, _)| {
            let why = match needed_for(table, card, change) {
                Needed::For(why) => why,
                Needed::No => "since the card comes out better with it".to_owned(),
                Needed::NotLookedAt => usual_why(change).to_owned(),
            };
            let words = with_why(change, layout, table.settings, &why);
            match joins::told(&card.drawn, change, table.settings) {
                Some((to, what)) => ChangeWords { to, sentence: format!("{what}; all this {why}"), ..words },
                None => words,
            }
        })
        .collect()
}

fn with_why(change: &Change, layout: &Layout, settings: &Settings, why: &str) -> ChangeWords {
    let (from, to, what) = told(change, layout, settings.unit);
    ChangeWords { from, to, why: why.to_owned(), sentence: format!("{what}, {why}") }
}

/// From, to, and what was done.
fn told(change: &Change, layout: &Layout, unit: Unit) -> (String, String, String) {
    let the = panels_of(change, layout);
    let told = |from: String, to: String, what: String| (from, to, what);
    match *change {
        Change::CardSize { from, to } => told(
            from.exact(unit),
            to.exact(unit),
            format!("made for a {} card instead of {}", to.exact(unit), from.exact(unit)),
        ),
        Change::Turn => told("as drawn".into(), "turned a quarter".into(), "layout turned a quarter clockwise".into()),
        Change::Mirror => told("as drawn".into(), "mirrored".into(), "layout mirrored left to right".into()),
        Change::Border { from, to } => told(
            from.exact(unit),
            to.exact(unit),
            format!("border {} from {}", wider_or_narrower(from, to), from_to(from, to, unit)),
        ),
        Change::PlainGround { .. } => told(
            "patterned paper".into(),
            "plain cardstock".into(),
            format!("{the} cut from plain cardstock instead of patterned paper"),
        ),
        Change::QuietShape { edge, .. } => told(
            "nothing between".into(),
            format!("a plain shape showing {}", edge.exact(unit)),
            format!("a plain shape showing {} slipped beneath {the}", edge.exact(unit)),
        ),
        Change::Reveal { from, to, .. } => told(
            from.exact(unit),
            to.exact(unit),
            format!("edge showing round {the} {} from {}", wider_or_narrower(from, to), from_to(from, to, unit)),
        ),
        Change::SlipMat { reveal, .. } => told(
            "no mat".into(),
            format!("a mat showing {}", reveal.exact(unit)),
            format!("a mat showing {} slipped behind {the}", reveal.exact(unit)),
        ),
        Change::ResizeToPaper { axis, from, to, .. } => {
            let way = if axis == Axis::Width { "wide" } else { "high" };
            told(
                from.exact(unit),
                to.exact(unit),
                format!("{the} cut {} {way} instead of {}", to.exact(unit), from.exact(unit)),
            )
        }
        Change::ResizeToImage { from, to, .. } => told(
            from.exact(unit),
            to.exact(unit),
            format!("room for {the} made {} instead of {}", to.exact(unit), from.exact(unit)),
        ),
        Change::Strips { axis, count, gap, .. } => {
            let lie = if axis == Axis::Width { "side by side" } else { "one below another" };
            told(
                "one piece".into(),
                format!("{count} strips with {} gaps", gap.exact(unit)),
                format!("{the} built from {count} strips {lie} with {} gaps", gap.exact(unit)),
            )
        }
        Change::LeaveOut { .. } => told("there".into(), "left out".into(), format!("{the} left out")),
        Change::EndsOnly { .. } => {
            told("one piece".into(), "only what shows".into(), format!("only what shows of {the} cut"))
        }
        Change::Join { .. } => {
            told("one piece".into(), "pieces".into(), format!("{the} pieced together with the seam hidden"))
        }
    }
}

/// "the left pot and the right pot": the panel a change is made to, and those that it is made to with it.
fn panels_of(change: &Change, layout: &Layout) -> String {
    let Some(panel) = change.panel().and_then(|panel| layout.panels.get(panel)) else { return "the panel".to_owned() };
    let name = |place: &usize| layout.panels.get(*place).map(|panel| with_article(&panel.id));
    let together: Vec<String> = panel.alike.iter().filter_map(name).collect();
    match together.as_slice() {
        [] => with_article(&panel.id),
        [only] => only.clone(),
        [one, other] => format!("{one} and {other}"),
        [one, rest @ ..] => format!("{one} and the {} like it", rest.len()),
    }
}

const fn usual_why(change: &Change) -> &'static str {
    match change {
        Change::CardSize { .. } => "to make a card of a size you use",
        Change::Turn => "so that the sheets reach the other way round",
        Change::Mirror => "so that it faces the other way",
        Change::PlainGround { .. } => "so that it needs no patterned sheet of that size",
        Change::QuietShape { .. } => "so that the image stands out from a busy paper",
        Change::ResizeToImage { .. } => "so that a larger image fits",
        Change::Strips { .. } | Change::EndsOnly { .. } | Change::Join { .. } => "so that narrow pieces will do",
        Change::LeaveOut { .. } => "since nothing of it would show",
        Change::Border { from, to } | Change::Reveal { from, to, .. } if from.nanometres() > to.nanometres() => {
            "so that more of the paper shows"
        }
        Change::Border { .. } | Change::Reveal { .. } | Change::SlipMat { .. } | Change::ResizeToPaper { .. } => {
            "so that a smaller piece reaches"
        }
    }
}

/// Whether a card could be made without one of its changes.
enum Needed {
    /// It could not, for this reason.
    For(String),
    /// It could, from the same stock.
    No,
    /// That is not to be seen from the pieces alone.
    NotLookedAt,
}

/// The card with this one change left out, and what would then not do.
fn needed_for(table: Table<'_>, card: &Suggestion, change: &Change) -> Needed {
    let layout = &table.layouts[card.layout];
    let others: Vec<Change> = card.changes.iter().map(|(other, _)| *other).filter(|other| other != change).collect();
    let without = Drawn::changed(layout, &others, table.settings.ruler);
    let Ok(without) = network(&without, table.dies) else { return Needed::NotLookedAt };
    let why = match change {
        Change::CardSize { .. } | Change::PlainGround { .. } | Change::LeaveOut { .. } => return Needed::NotLookedAt,
        Change::QuietShape { .. } => beneath_image(table, card, &without),
        Change::SlipMat { .. } => {
            not_reaching(table, card, &without).or_else(|| Some("so that an edge sets it off".to_owned()))
        }
        _ => not_reaching(table, card, &without),
    };
    why.map_or(Needed::No, Needed::For)
}

/// The first slot whose piece the chosen stock would not give, in words.
fn not_reaching(table: Table<'_>, card: &Suggestion, without: &Network) -> Option<String> {
    let unit = table.settings.unit;
    for (place, slot) in card.network.slots.iter().enumerate() {
        let Some(before) = without.slots.iter().find(|before| before.id == slot.id) else { continue };
        let (face, stock) = (table.index.face(card.faces[place]), table.index.stock(card.choice.main[place]));
        if slot.looks_out != Some(face.facing) && before.looks_out == Some(face.facing) {
            return Some(format!("so that {} looks into the card", face.view.name));
        }
        let need = before.needs[before.main_need()];
        if fits_on(&need, face, stock) {
            continue;
        }
        let (wants, has) = (need.cut_size(), Size::new(stock.width, stock.height));
        return Some(match stock.kind {
            StockKind::Image => format!("so that {} ({}) fits", face.view.name, has.exact(unit)),
            _ => format!("so that {} reaches", short_of(wants, has, stock, &face.view.name, unit)),
        });
    }
    None
}

/// "the 3 1/2 in wide sheet of Net loft": the side that would fall short, or both.
fn short_of(wants: Size, has: Size, stock: &Stock, name: &str, unit: Unit) -> String {
    let what = kind_word(stock);
    match (wants.width > has.width, wants.height > has.height) {
        (true, false) => format!("the {} wide {what} of {name}", has.width.exact(unit)),
        (false, true) => format!("the {} high {what} of {name}", has.height.exact(unit)),
        _ => format!("the {} {what} of {name}", has.exact(unit)),
    }
}

fn beneath_image(table: Table<'_>, card: &Suggestion, without: &Network) -> Option<String> {
    let name_of = |id: &str| {
        let place = card.network.slots.iter().position(|slot| slot.id == id)?;
        Some(&table.index.face(card.faces[place]).view)
    };
    without.quiet.iter().find_map(|(image, below)| {
        let (image, below) = (name_of(&without.slots[*image].id)?, name_of(&without.slots[*below].id)?);
        (below.pattern.busyness > table.settings.quiet)
            .then(|| format!("so that {} stands out from the busy {}", image.name, below.name))
    })
}

fn wider_or_narrower(from: Length, to: Length) -> &'static str {
    if to > from { "widened" } else { "narrowed" }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Place;
    use crate::stash::{Edge, LayoutSketch, PanelSketch, Shape, Takes};
    use api::units::Region;
    use api::{Material, Role};

    fn layout() -> Layout {
        let edge = |share| Edge { share, offset: Length::ZERO };
        let panel = PanelSketch {
            id: "background".into(),
            role: Role::Background,
            on: Vec::new(),
            left: edge(10_000),
            right: edge(90_000),
            top: edge(10_000),
            bottom: edge(90_000),
            shape: Shape::Rectangle,
            mats: Vec::new(),
            takes: Takes::Stock(vec![Material::Patterned]),
            same_as: None,
            differs_from: Vec::new(),
            raised: false,
            holds_sentiment: false,
            place: Place::whole("layouts.toml"),
        };
        let sketch = LayoutSketch {
            id: "plain".into(),
            name: "Plain".into(),
            card: size("4 1/4 x 5 1/2 in"),
            credit: None,
            link: None,
            occasions: Vec::new(),
            panels: vec![panel],
            place: Place::whole("layouts.toml"),
        };
        crate::layout::check(&sketch, &Settings::of(Region::Us)).unwrap()
    }

    fn size(text: &str) -> Size {
        Size::parse(text, Unit::Inch).unwrap()
    }

    fn length(text: &str) -> Length {
        Length::parse(text, Unit::Inch).unwrap()
    }

    #[test]
    fn every_change_is_told_as_a_maker_would() {
        let (eighth, quarter, panel) = (length("1/8 in"), length("1/4 in"), 0);
        let (layout, settings) = (layout(), Settings::of(Region::Us));
        for (change, from, to, sentence) in [
            (
                Change::CardSize { from: size("4 1/4 x 5 1/2 in"), to: size("5 x 7 in") },
                "4 1/4 x 5 1/2 in",
                "5 x 7 in",
                "made for a 5 x 7 in card instead of 4 1/4 x 5 1/2 in, to make a card of a size you use",
            ),
            (
                Change::Turn,
                "as drawn",
                "turned a quarter",
                "layout turned a quarter clockwise, so that the sheets reach the other way round",
            ),
            (Change::Mirror, "as drawn", "mirrored", "layout mirrored left to right, so that it faces the other way"),
            (
                Change::Border { from: eighth, to: quarter },
                "1/8 in",
                "1/4 in",
                "border widened from 1/8 to 1/4 in, so that a smaller piece reaches",
            ),
            (
                Change::PlainGround { panel },
                "patterned paper",
                "plain cardstock",
                "the background cut from plain cardstock instead of patterned paper, \
                 so that it needs no patterned sheet of that size",
            ),
            (
                Change::QuietShape { panel, edge: quarter },
                "nothing between",
                "a plain shape showing 1/4 in",
                "a plain shape showing 1/4 in slipped beneath the background, \
                 so that the image stands out from a busy paper",
            ),
            (
                Change::Reveal { panel, mat: 0, from: quarter, to: eighth },
                "1/4 in",
                "1/8 in",
                "edge showing round the background narrowed from 1/4 to 1/8 in, so that more of the paper shows",
            ),
            (
                Change::SlipMat { panel, reveal: eighth },
                "no mat",
                "a mat showing 1/8 in",
                "a mat showing 1/8 in slipped behind the background, so that a smaller piece reaches",
            ),
            (
                Change::ResizeToPaper { panel, axis: Axis::Width, from: length("4 in"), to: length("3 1/2 in") },
                "4 in",
                "3 1/2 in",
                "the background cut 3 1/2 in wide instead of 4 in, so that a smaller piece reaches",
            ),
            (
                Change::ResizeToImage { panel, from: size("2 x 2 in"), to: size("2 x 3 in") },
                "2 x 2 in",
                "2 x 3 in",
                "room for the background made 2 x 3 in instead of 2 x 2 in, so that a larger image fits",
            ),
            (
                Change::Strips { panel, axis: Axis::Width, count: 3, gap: length("1/16 in") },
                "one piece",
                "3 strips with 1/16 in gaps",
                "the background built from 3 strips side by side with 1/16 in gaps, so that narrow pieces will do",
            ),
        ] {
            let words = change_words(&change, &layout, &settings);
            assert_eq!((words.from.as_str(), words.to.as_str(), words.sentence.as_str()), (from, to, sentence));
            assert!(sentence.ends_with(&words.why));
        }
    }
}

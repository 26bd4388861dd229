//! Dies, sentiments and inks: files in, the things themselves out.

use super::colour::colours;
use super::draft::Draft;
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys;
use super::register::slug;
use super::value::{Complaint, Read, Value, choice, count, id, length_or_none, list, number, size, text};
use crate::problem::Fault;
use crate::stash::{Copies, Die, DieOutline, Sentiment};
use api::Ink;
use api::units::{Length, Purpose};
use toml::de::DeValue;

/// How much more paper a die needs on each side: 1/8 in, common practice, no source.
const USUAL_MARGIN: Length = Length::from_nanometres(3_175_000);

/// The most corners an outline may have.
const MOST_CORNERS: usize = 200;

impl Draft<'_> {
    /// Reads a file of dies.
    pub(super) fn read_dies(&mut self, top: &Fields<'_, '_>) {
        let shared = top.optional("margin", "1/8 in", length_or_none).unwrap_or(USUAL_MARGIN);
        let entries = top.sections("die", &keys::DIE);
        if entries.is_empty() {
            top.no_entries("die");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            if let Entry::Good(fields) = entry {
                self.read_die(&fields, shared, number);
            }
        }
    }

    /// One die, or a set of them of one outline.
    fn read_die(&mut self, fields: &Fields<'_, '_>, margin: Length, number: usize) {
        let name = fields.optional("name", UNSAID, text);
        let id = self.thing_id(fields, name.as_deref(), number);
        let margin = fields.optional("margin", "the usual margin", length_or_none).unwrap_or(margin);
        let outline = fields.optional("outline", "a rectangle", outline).unwrap_or(DieOutline::Rectangle);
        let sizes = if fields.value("sizes").is_some() {
            fields.pointless("size", "sizes");
            fields.read("sizes", Otherwise::LeaveOut, |value| match list(size(Purpose::Card))(value)? {
                sizes if sizes.is_empty() => Err(value.wrong("a list with at least one size")),
                sizes => Ok(sizes),
            })
        } else {
            fields.required("size", "size = \"2 x 3 in\"", size(Purpose::Card)).map(|size| vec![size])
        };
        let Some(sizes) = sizes else { return };
        if !self.dies.claim(fields, &id) {
            return;
        }
        let name = name.unwrap_or_else(|| id.clone());
        let is_set = fields.value("sizes").is_some();
        for (place, size) in sizes.into_iter().enumerate() {
            let id = if is_set { format!("{id}/{}", place + 1) } else { id.clone() };
            self.stash.dies.push(Die { id, name: name.clone(), size, margin, outline: outline.clone() });
        }
    }

    /// Reads a file of sentiments.
    pub(super) fn read_sentiments(&mut self, top: &Fields<'_, '_>) {
        let entries = top.sections("sentiment", &keys::SENTIMENT);
        if entries.is_empty() {
            top.no_entries("sentiment");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            let Entry::Good(fields) = entry else { continue };
            let id = self.thing_id(&fields, None, number);
            let words = fields.required("words", "words = \"thank you\"", text);
            let size = fields.required("size", "size = \"2 x 1/2 in\"", size(Purpose::Card));
            let copies = fields.optional("copies", "plenty", copies).unwrap_or(Copies::Plenty);
            let occasions = fields.optional("occasions", "for anything", list(text)).unwrap_or_default();
            if let (Some(words), Some(size)) = (words, size)
                && self.sentiments.claim(&fields, &id)
            {
                self.stash.sentiments.push(Sentiment { id, words, size, copies, occasions });
            }
        }
    }

    /// Reads a file of inks, pens and paints.
    pub(super) fn read_inks(&mut self, top: &Fields<'_, '_>) {
        let entries = top.sections("ink", &keys::INK);
        if entries.is_empty() {
            top.no_entries("ink");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            let Entry::Good(fields) = entry else { continue };
            let name = fields.optional("name", UNSAID, text);
            let id = self.thing_id(&fields, name.as_deref(), number);
            let colours = fields.required("colour", "colour = \"#1f2a4d\"", colours);
            // One colour is what dries; of several the first named largest.
            let colour = colours.and_then(|swatches| swatches.first().map(|swatch| swatch.colour));
            if let Some(colour) = colour
                && self.inks.claim(&fields, &id)
            {
                self.stash.inks.push(Ink { name: name.unwrap_or(id), colour });
            }
        }
    }

    /// The id of a thing: as written, else from its name, else from its file and its position.
    pub(super) fn thing_id(&mut self, fields: &Fields<'_, '_>, name: Option<&str>, number: usize) -> String {
        let written = fields.read("id", Otherwise::Take("if it had none"), id);
        written
            .or_else(|| name.map(slug))
            .unwrap_or_else(|| format!("{}/{}", self.prefixes.of(fields.document), number + 1))
    }
}

/// How many: a number, or `"plenty"`.
pub(super) fn copies(value: &Value<'_, '_>) -> Read<Copies> {
    match value.value {
        DeValue::String(word) if word == "plenty" => Ok(Copies::Plenty),
        DeValue::Integer(_) => count(0..=super::stock::MOST)(value).map(Copies::Exactly),
        _ => Err(value.wrong("a whole number, or `\"plenty\"`")),
    }
}

/// A word, or corner points in per cent of width and height.
fn outline(value: &Value<'_, '_>) -> Read<DieOutline> {
    if value.value.is_str() {
        let is_round = choice(&[("rectangle", false), ("circle", true), ("oval", true)])(value)?;
        return Ok(if is_round { DieOutline::Ellipse } else { DieOutline::Rectangle });
    }
    let corners = list(corner)(value)?;
    match corners.len() {
        3..=MOST_CORNERS if sides_cross(&corners) => value.fault(Fault::SidesCross),
        3..=MOST_CORNERS => Ok(DieOutline::Polygon(corners)),
        found => value.fault(Fault::OutOfRange {
            key: value.key.to_owned(),
            found: format!("a list of {found} corners"),
            low: "3".into(),
            high: MOST_CORNERS.to_string(),
        }),
    }
}

/// Whether two sides of an outline cross, each strictly between the ends of the other.
fn sides_cross(corners: &[(i32, i32)]) -> bool {
    let side = |place: usize| (corners[place], corners[(place + 1) % corners.len()]);
    let turn = |(a, b): ((i32, i32), (i32, i32)), c: (i32, i32)| {
        (i64::from(b.0 - a.0) * i64::from(c.1 - a.1) - i64::from(b.1 - a.1) * i64::from(c.0 - a.0)).signum()
    };
    let crosses = |one: usize, other: usize| {
        let (one, other) = (side(one), side(other));
        turn(one, other.0) * turn(one, other.1) < 0 && turn(other, one.0) * turn(other, one.1) < 0
    };
    (0..corners.len()).any(|one| (one + 1..corners.len()).any(|other| crosses(one, other)))
}

/// `[50, 12.5]` as thousandths.
fn corner(value: &Value<'_, '_>) -> Read<(i32, i32)> {
    let wrong = || {
        value.wrong("`rectangle`, `circle`, `oval`, or corners in per cent such as `[[50, 0], [100, 100], [0, 100]]`")
    };
    let DeValue::Array(_) = value.value else { return Err(wrong()) };
    let [across, down]: [Value<'_, '_>; 2] = value.items().try_into().map_err(|_| wrong())?;
    Ok((thousandths(&across)?, thousandths(&down)?))
}

/// Per cent as thousandths.
fn thousandths(value: &Value<'_, '_>) -> Result<i32, Vec<Complaint>> {
    #[allow(clippy::cast_possible_truncation, reason = "from 0 to 1,000 by the range asked for")]
    number(0.0..=100.0)(value).map(|per_cent| (per_cent * 10.0).round() as i32)
}

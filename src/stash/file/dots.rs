//! Finishing dots: files in, gems, pearls and sequins out.

use super::colour::colours;
use super::draft::Draft;
use super::fields::{Entry, Fields, UNSAID};
use super::keys;
use super::stock::MOST;
use super::value::{Read, Value, choice, count, length, number, text};
use crate::problem::Fault;
use crate::stash::{DotSort, Dots};
use api::units::{Length, Unit};

/// The least and the most a dot may measure: what is larger is no finishing dot but a part of its own.
/// Common practice, no source.
const DIAMETERS: (Length, Length) = (Length::micrometres(500), Length::micrometres(25_000));
/// How high a dot may stand.
const HEIGHTS: (Length, Length) = (Length::micrometres(50), Length::micrometres(25_000));
/// The most one may weigh, in grams.
const HEAVIEST: f64 = 50.0;

impl Draft<'_> {
    /// Reads a file of finishing dots.
    pub(super) fn read_dots(&mut self, top: &Fields<'_, '_>) {
        let entries = top.sections("dots", &keys::DOTS);
        if entries.is_empty() {
            top.no_entries("dots");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            if let Entry::Good(fields) = entry {
                self.read_dots_of(&fields, number);
            }
        }
    }

    fn read_dots_of(&mut self, fields: &Fields<'_, '_>, place: usize) {
        // Everything is read before anything is judged, so that all problems come in one run.
        let name = fields.optional("name", UNSAID, text);
        let id = self.thing_id(fields, name.as_deref(), place);
        let mut assumed = Vec::new();
        let sort = fields.optional("sort", "`\"pearls\"`", choice(&DotSort::WORDS));
        let colours = fields.required("colour", "colour = \"#f4efe6\"", colours);
        let diameter = fields.required("diameter", "diameter = \"4 mm\"", |value| between(value, DIAMETERS));
        let height = fields.optional("height", "the usual height", |value| between(value, HEIGHTS));
        let grams = fields.optional("grams", UNSAID, number(0.0..=HEAVIEST));
        let count = fields.required("count", "count = 48", count(0..=MOST));
        // One colour is what shows; of several the first named largest.
        let colour = colours.and_then(|swatches| swatches.first().map(|swatch| swatch.colour));
        let (Some(colour), Some(diameter), Some(count)) = (colour, diameter, count) else { return };
        // The ledger knows stock by its id, whatever it is.
        if !self.stock.claim(fields, &id) || !self.images.claim(fields, &id) {
            return;
        }
        let mut or_usual = |is_said: bool, key| {
            if !is_said {
                assumed.push(key);
            }
        };
        or_usual(sort.is_some(), "sort");
        or_usual(height.is_some(), "height");
        let sort = sort.unwrap_or(DotSort::Pearls);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 50 million by the range")]
        let micrograms = grams.map(|grams| (grams * 1e6).round() as u32);
        self.stash.dots.push(Dots {
            name: name.unwrap_or_else(|| id.clone()),
            id,
            sort,
            colour,
            diameter,
            height: height.unwrap_or_else(|| sort.usual_height(diameter)),
            micrograms,
            count,
            assumed,
        });
    }
}

/// A length within a range, both ends included.
fn between(value: &Value<'_, '_>, (low, high): (Length, Length)) -> Read<Length> {
    let found = length(value)?;
    if (low..=high).contains(&found) {
        return Ok(found);
    }
    let told = |length: Length| length.exact(Unit::Millimetre);
    value.fault(Fault::OutOfRange { key: value.key.to_owned(), found: told(found), low: told(low), high: told(high) })
}

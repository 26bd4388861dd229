//! A plan part by part, for a page: its text and the stash it is of in; what it tells, and a drawing of each
//! card and of each sheet's cuts, out.

use super::batch::Batch;
use super::face::{front, told};
use super::flow::{Flow, Ground};
use super::mark::{Mark, Page};
use super::prints::Prints;
use super::svg::Beneath;
use super::{font, map, svg};
use crate::record::Refused;
use crate::room::Room;

/// Room about a drawing, in millimetres.
const EDGE: f64 = 3.0;

/// A plan, ready to be shown part by part.
pub(crate) struct Parts {
    /// What it tells.
    pub(crate) batch: Batch,
    prints: Prints,
    unit: api::units::Unit,
}

impl Parts {
    /// Reads a plan, which is the text of `plan --json`.
    pub(crate) fn read(room: &Room, plan: &str) -> Result<Self, Refused> {
        let batch = Batch::read(plan)?;
        let prints = Prints::of(room, &batch);
        Ok(Self { batch, prints, unit: room.stash.settings.unit })
    }

    /// What a paper is called.
    pub(crate) fn paper<'p>(&'p self, id: &'p str) -> &'p str {
        self.prints.names.get(id).map_or(id, String::as_str)
    }

    /// How a card looks, in words.
    pub(crate) fn card_in_words(&self, place: usize) -> String {
        let ground = self.ground();
        self.batch.cards.get(place).map_or_else(String::new, |cards| told(&ground, &cards.suggestion))
    }

    /// A card's front, as SVG.
    pub(crate) fn card(&self, place: usize) -> Option<String> {
        let card = &self.batch.cards.get(place)?.suggestion;
        let mut marks = Vec::new();
        front(&self.ground(), &self.batch, card, (EDGE, EDGE), 1.0, &mut marks);
        Some(self.drawn((card.card.width.mm(), card.card.height.mm()), marks, Beneath::Nothing))
    }

    /// The map of a sheet's cuts, as SVG.
    pub(crate) fn sheet(&self, place: usize) -> Option<String> {
        let sheet = self.batch.sheets.get(place)?;
        let size = (sheet.width.mm(), sheet.height.mm());
        let ground = self.ground();
        let flow = Flow::new(&ground, (size.0 + 2.0 * EDGE, size.1 + 2.0 * EDGE));
        Some(self.drawn(size, map::alone(&flow, sheet, (EDGE, EDGE)), Beneath::White))
    }

    fn ground(&self) -> Ground<'_> {
        Ground { prints: &self.prints, faces: font::Faces::new(), unit: self.unit }
    }

    fn drawn(&self, size: (f64, f64), marks: Vec<Mark>, beneath: Beneath) -> String {
        svg::svg((size.0 + 2.0 * EDGE, size.1 + 2.0 * EDGE), &Page { marks }, &self.prints.pictures, beneath)
    }
}

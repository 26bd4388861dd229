//! A plan on paper: the file of a plan and the stash it is of in; a booklet to print out, with every
//! card drawn, every cut, every step and every caution, and a write-up for the maker's own notes.
//!
//! All that is told stands in the plan; the stash gives the pictures of papers, the words of
//! sentiments, and whom to thank for a layout. Nothing is decided here.

mod batch;
mod face;
mod flow;
mod font;
mod lists;
mod map;
mod mark;
mod parts;
mod pdf;
mod png;
mod prints;
mod svg;
mod writeup;

pub use flow::{BARS_FROM_BOTTOM, BARS_FROM_LEFT};
pub(crate) use parts::Parts;

use crate::record::Refused;
use crate::room::Room;
use batch::Batch;
use flow::{Flow, Ground};
use prints::Prints;

/// The size of the pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PageSize {
    /// ISO 216 A4.
    A4,
    /// US letter.
    Letter,
}

impl PageSize {
    /// Width and height in millimetres.
    #[must_use]
    pub const fn mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }
}

/// A booklet, and what could not be shown in it.
pub struct Booklet {
    /// The PDF.
    pub pdf: Vec<u8>,
    size: PageSize,
    pages: Vec<mark::Page>,
    pictures: Vec<pdf::Bytes>,
    /// Names of papers whose picture is missing, so that they are drawn in their colours.
    pub missing: Vec<String>,
    /// Whether the plan is of another stash than this.
    pub other_stash: bool,
}

impl Booklet {
    /// How many pages it has.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.pages.len()
    }

    /// A page as an SVG file at true size; `None` after the last. The type is not in it: where
    /// Liberation Sans is not installed, another stands for it.
    #[must_use]
    pub fn page_svg(&self, place: usize) -> Option<String> {
        Some(svg::svg(self.size.mm(), self.pages.get(place)?, &self.pictures, svg::Beneath::White))
    }

    /// A page as a PNG picture of 150 dots to the inch; `None` after the last, or where it cannot be drawn.
    #[must_use]
    pub fn page_png(&self, place: usize) -> Option<Vec<u8>> {
        png::png(&self.page_svg(place)?)
    }
}

/// Why there is no booklet.
#[derive(Debug)]
pub enum NoBooklet {
    /// The plan is none that can be printed.
    Plan(Refused),
    /// The file could not be made.
    Pdf(String),
}

/// The booklet of a plan, which is the text of `plan --json`.
///
/// # Errors
/// Where the plan cannot be read.
pub fn booklet(room: &Room, plan: &str, paper: PageSize) -> Result<Booklet, NoBooklet> {
    let batch = Batch::read(plan).map_err(NoBooklet::Plan)?;
    let prints = Prints::of(room, &batch);
    let ground = Ground { prints: &prints, faces: font::Faces::new(), unit: room.stash.settings.unit };
    let mut flow = Flow::new(&ground, paper.mm());
    lists::cover(&mut flow, &batch);
    lists::cut_list(&mut flow, &batch);
    flow.turn();
    for number in 0..batch.sheets.len() {
        // What is used as it is needs no map, unless its middle is cut out.
        let sheet = &batch.sheets[number];
        if !sheet.cuts.is_empty() || sheet.placements.iter().any(|placed| placed.hollow.is_some()) {
            map::sheet(&mut flow, &batch, number);
        }
    }
    lists::guide(&mut flow, &batch);
    for number in 0..batch.cards.len() {
        lists::card(&mut flow, &batch, number);
    }
    lists::supplies(&mut flow, &batch);
    lists::leftovers(&mut flow, &batch);
    lists::cautions(&mut flow, &batch);
    let pages = flow.finish();
    let title = lists::title(&batch);
    let pdf = pdf::pdf(&title, paper.mm(), &pages, &prints.pictures).map_err(NoBooklet::Pdf)?;
    let other_stash = batch.stash.id != room.records.stash_id();
    let Prints { pictures, missing, .. } = prints;
    Ok(Booklet { pdf, size: paper, pages, pictures, missing, other_stash })
}

/// The stash a plan is of: its fingerprint, and what its folder is called.
///
/// # Errors
/// Where the plan cannot be read.
pub fn stash_of(plan: &str) -> Result<(String, String), Refused> {
    let stash = Batch::read(plan)?.stash;
    Ok((stash.id, stash.name))
}

/// How a write-up is marked up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Markup {
    /// Markdown.
    Markdown,
    /// None.
    Plain,
}

/// A plan as a record for the maker's own notes.
///
/// # Errors
/// Where the plan cannot be read.
pub fn writeup(room: &Room, plan: &str, markup: Markup) -> Result<String, Refused> {
    Ok(writeup::writeup(room, &Batch::read(plan)?, markup))
}

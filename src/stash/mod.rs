//! Step 1, *read the stash*: a folder of TOML files in, plain values and a list of problems out.
//!
//! `file` and its neighbours hold what the TOML may say; this module holds what is true: papers
//! (faces one can see), lines of stock (things one can cut), dies, sentiments, images, layouts as
//! drawn, settings. It never looks at a picture's content (that is `swatch`) and never judges.

pub mod built_in;
pub mod card;
pub mod date;
mod dots;
pub mod file;
mod goal;
mod on_hand;
pub mod settings;
pub mod start;
pub mod stock;

pub use built_in::{built_in_layout_files, built_in_layouts};
pub use card::{
    Die, DieOutline, Edge, Image, ImagePart, LayoutSketch, PanelSketch, PartColour, Sentiment, Shape, Takes,
};
pub use date::Date;
pub use dots::{DotSort, Dots};
pub(crate) use file::colour_of;
pub use file::{picture_within, read, read_sources};
pub use goal::Goal;
pub use on_hand::{base, bring_up_to, fingerprint, material, paper_backs};
pub use settings::{ChangeKind, ScorerSetting, Settings};
pub use stock::{Colours, Copies, Facing, Grain, Line, LineId, LineKind, Paper, PaperId, PatternEntry};

use crate::problem::Problem;
use std::path::PathBuf;

/// Everything on hand, as read from one folder.
#[derive(Clone, Debug, Default)]
pub struct Stash {
    /// The folder it was read from.
    pub folder: PathBuf,
    /// Settings: hers where she made them, ours elsewhere.
    pub settings: Settings,
    /// Faces one can see; a [`PaperId`] is a place in this list.
    pub papers: Vec<Paper>,
    /// Things one can cut; a [`LineId`] is a place in this list.
    pub lines: Vec<Line>,
    /// Finished sizes of the dies she owns.
    pub dies: Vec<Die>,
    /// Words to stamp or stick on.
    pub sentiments: Vec<Sentiment>,
    /// Inks, pens and paints, in the order of the files.
    pub inks: Vec<api::Ink>,
    /// Pictures to put on a card.
    pub images: Vec<Image>,
    /// Gems, pearls and sequins.
    pub dots: Vec<Dots>,
    /// Card sketches as drawn, not yet checked as graphs.
    pub layouts: Vec<LayoutSketch>,
    /// What could be read of sketches with faults: never made, only looked over for more of them.
    pub flawed_layouts: Vec<LayoutSketch>,
    /// Finished cards that are not given yet, which only the ledger knows.
    pub finished: Vec<crate::ledger::Cards>,
}

/// What reading gives: the good part, and everything that was wrong.
#[derive(Debug, Default)]
pub struct Reading {
    /// The good part.
    pub stash: Stash,
    /// All that is wrong, in order of file and place.
    pub problems: Vec<Problem>,
}

impl Stash {
    /// A paper of this stash. An id of another stash gives whatever stands there, or panics.
    #[must_use]
    pub fn paper(&self, id: PaperId) -> &Paper {
        &self.papers[id.0 as usize]
    }

    /// A line of this stash. An id of another stash gives whatever stands there, or panics.
    #[must_use]
    pub fn line(&self, id: LineId) -> &Line {
        &self.lines[id.0 as usize]
    }

    /// Every line with its id, in the order of the files.
    pub fn lines_by_id(&self) -> impl Iterator<Item = (LineId, &Line)> {
        // A stash of four thousand million lines would be over every size limit.
        (0_u32..).map(LineId).zip(&self.lines)
    }

    /// Every paper with its id, in the order of the files.
    pub fn papers_by_id(&self) -> impl Iterator<Item = (PaperId, &Paper)> {
        (0_u32..).map(PaperId).zip(&self.papers)
    }

    /// The paper with this name in the files, such as `harbour-dusk/03`.
    #[must_use]
    pub fn paper_called(&self, id: &str) -> Option<PaperId> {
        self.papers_by_id().find(|(_, paper)| paper.id == id).map(|(found, _)| found)
    }

    /// The line with this name in the files, such as `box/7`.
    #[must_use]
    pub fn line_called(&self, id: &str) -> Option<LineId> {
        self.lines_by_id().find(|(_, line)| line.id == id).map(|(found, _)| found)
    }

    /// A line in a few words: "scrap of Small leaves, 3 1/2 x 4 in".
    #[must_use]
    pub fn describe(&self, line: LineId) -> String {
        let line = self.line(line);
        let name = &self.paper(line.front).name;
        let size = line.size().exact(self.settings.unit);
        match line.kind {
            LineKind::Sheet => format!("sheet of {name}, {size}"),
            LineKind::Scrap => format!("scrap of {name}, {size}"),
            LineKind::CardBase => format!("card base in {name}, {size}"),
        }
    }
}

//! What the maker may choose where she asks, and what is told where a choice names nothing.

use api::units::Size;

/// What the maker chose for one question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    /// Ids of papers, pads, scraps or images of which each must be used.
    pub must_use: Vec<String>,
    /// Ids of papers, pads, scraps or images to leave out.
    pub leave_out: Vec<String>,
    /// The only card sizes wanted; empty is any she makes.
    pub cards: Vec<Size>,
    /// Ids of the only layouts wanted; empty is all.
    pub layouts: Vec<String>,
    /// How many copies of each card; `None` is one.
    pub copies: Option<u32>,
    /// How many suggestions; `None` is what the settings say.
    pub list: Option<usize>,
    /// At most so many of one layout; `None` is what the settings say.
    pub per_layout: Option<usize>,
    /// Old and small stock before all else.
    pub scraps_first: bool,
    /// Work allowed; `None` is the usual.
    pub work: Option<u64>,
}

/// What the maker chose for a batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BatchChoices {
    /// How many cards; `None` is as many as can be made.
    pub cards: Option<u32>,
    /// How many of each design; `None` is two to four.
    pub each: Option<(u32, u32)>,
    /// At most so many designs.
    pub designs: Option<u32>,
    /// Ids of papers, pads, scraps or images of which every card shows at least one.
    pub must_use: Vec<String>,
    /// Ids of papers, pads, scraps or images to leave out.
    pub spare: Vec<String>,
    /// Only layouts for this occasion, and those for any.
    pub occasion: Option<String>,
    /// Work allowed; `None` is the usual.
    pub work: Option<u64>,
    /// Round by round, the cards of the plan before that are settled, by their ids; all others of it are
    /// planned again in other ways.
    pub rounds: Vec<Vec<String>>,
}

/// Why no batch can be planned as it was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoBatch {
    /// Ids that name nothing here.
    Unknown(Vec<UnknownId>),
    /// No layout is for that occasion, nor for any.
    UnknownOccasion {
        /// The occasion.
        occasion: String,
        /// All there are.
        all: Vec<String>,
    },
}

/// An id that names nothing here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownId {
    /// What was asked for.
    pub id: String,
    /// The nearest ids there are.
    pub nearest: Option<String>,
}

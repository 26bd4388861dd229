//! What makes one plan for a batch better than another: the goals a maker may put in her own order.

/// What makes one plan better than another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Goal {
    /// More cards.
    Cards,
    /// A higher sum of scores; a layout or paper that comes again counts less.
    Score,
    /// More old and awkward stock used.
    OldStock,
    /// Fewer sheets opened.
    FewSheets,
    /// Fewer trimmer settings.
    FewSettings,
    /// Better leftovers.
    Leftovers,
}

impl Goal {
    /// All of them, in the usual order.
    pub const ALL: [Self; 6] =
        [Self::Cards, Self::Score, Self::OldStock, Self::FewSheets, Self::FewSettings, Self::Leftovers];

    /// Its word in the settings and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cards => "cards",
            Self::Score => "score",
            Self::OldStock => "old-stock",
            Self::FewSheets => "few-sheets",
            Self::FewSettings => "few-settings",
            Self::Leftovers => "leftovers",
        }
    }
}

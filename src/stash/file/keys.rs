//! Every key a stash file may have, section by section. The reader asks for no other, and
//! `docs/formats.md` describes each: tests hold all three together.

/// The keys of one kind of section.
#[derive(Debug)]
pub struct Keys {
    /// What a section of them describes, with its article.
    pub of: &'static str,
    /// What to call one that is left out.
    pub this: &'static str,
    /// The heading in `docs/formats.md`.
    pub heading: &'static str,
    /// Its keys.
    pub keys: &'static [&'static str],
}

/// What a file says it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A pad of patterned paper.
    Pad,
    /// Single sheets.
    Sheets,
    /// Plain stock.
    Cardstock,
    /// Pieces left over.
    Scraps,
    /// Folded blanks.
    Bases,
    /// Dies.
    Dies,
    /// Words to stamp or stick on.
    Sentiments,
    /// Inks, pens and paints.
    Inks,
    /// Pictures to put on a card.
    Images,
    /// Gems, pearls and sequins.
    Dots,
    /// One card sketch.
    Layout,
    /// Several card sketches.
    Layouts,
    /// Settings.
    Settings,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::Pad,
        Self::Sheets,
        Self::Cardstock,
        Self::Scraps,
        Self::Bases,
        Self::Dies,
        Self::Sentiments,
        Self::Inks,
        Self::Images,
        Self::Dots,
        Self::Layout,
        Self::Layouts,
        Self::Settings,
    ];

    /// Its word behind `kind =`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pad => "pad",
            Self::Sheets => "sheets",
            Self::Cardstock => "cardstock",
            Self::Scraps => "scraps",
            Self::Bases => "bases",
            Self::Dies => "dies",
            Self::Sentiments => "sentiments",
            Self::Inks => "inks",
            Self::Images => "images",
            Self::Dots => "dots",
            Self::Layout => "layout",
            Self::Layouts => "layouts",
            Self::Settings => "settings",
        }
    }

    /// The section that gives it away where the word is missing.
    #[must_use]
    pub const fn section(self) -> &'static str {
        match self {
            Self::Pad => "design",
            Self::Sheets => "sheet",
            Self::Cardstock => "cardstock",
            Self::Scraps => "scrap",
            Self::Bases => "base",
            Self::Dies => "die",
            Self::Sentiments => "sentiment",
            Self::Inks => "ink",
            Self::Images => "image",
            Self::Dots => "dots",
            Self::Layout => "panel",
            Self::Layouts => "layout",
            Self::Settings => "scorers",
        }
    }

    /// The keys at the top of such a file.
    #[must_use]
    pub const fn keys(self) -> &'static Keys {
        match self {
            Self::Pad => &PAD,
            Self::Sheets => &SHEETS,
            Self::Cardstock => &CARDSTOCKS,
            Self::Scraps => &SCRAPS,
            Self::Bases => &BASES,
            Self::Dies => &DIES,
            Self::Sentiments => &SENTIMENTS,
            Self::Inks => &INKS,
            Self::Images => &IMAGES,
            Self::Dots => &ALL_DOTS,
            Self::Layout => &LAYOUT,
            Self::Layouts => &LAYOUTS,
            Self::Settings => &SETTINGS,
        }
    }
}

/// Declares a [`Keys`].
macro_rules! keys {
    ($name:ident, $of:literal, $this:literal, $heading:literal, [$($key:literal),* $(,)?]) => {
        #[doc = concat!("The keys of ", $of, ".")]
        pub const $name: Keys = Keys { of: $of, this: $this, heading: $heading, keys: &[$($key),*] };
    };
}

keys! { PAD, "a pad", "this pad", "pad", [
    "kind", "format", "id", "name", "sheet", "copies", "added", "material", "finish", "weight", "thickness",
    "grain", "picture-shows", "directional", "design",
] }
keys! { DESIGN, "a design", "this design, with every scrap of it,", "pad: each `[[design]]`", [
    "id", "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat", "directional",
    "material", "finish", "copies", "added", "back",
] }
keys! { BACK, "a back", "this back", "every `back`", [
    "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat", "directional",
    "material", "finish",
] }
keys! { SHEETS, "a file of sheets", "this file", "sheets", [
    "kind", "format", "id", "paper", "size", "count", "added", "material", "finish", "weight", "thickness", "grain",
    "sheet",
] }
keys! { SHEET, "a sheet", "this sheet, with every scrap of it,", "sheets: each `[[sheet]]`", [
    "id", "paper", "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat",
    "directional", "material", "finish", "back", "size", "width", "height", "count", "added", "grain", "weight",
    "thickness",
] }
keys! { CARDSTOCKS, "a file of cardstock", "this file", "cardstock", [
    "kind", "format", "id", "size", "count", "added", "material", "finish", "weight", "thickness", "grain",
    "cardstock",
] }
keys! { CARDSTOCK, "a cardstock", "this cardstock, with every scrap of it,", "cardstock: each `[[cardstock]]`", [
    "id", "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat", "directional",
    "material", "finish", "back", "size", "width", "height", "count", "added", "grain", "weight", "thickness",
] }
keys! { SCRAPS, "a file of scraps", "this file", "scraps", [
    "kind", "format", "id", "paper", "size", "count", "added", "material", "finish", "weight", "thickness", "grain",
    "scrap",
] }
keys! { SCRAP, "a scrap", "this scrap", "scraps: each `[[scrap]]`", [
    "id", "paper", "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat",
    "directional", "material", "finish", "back", "size", "width", "height", "count", "added", "grain", "weight",
    "thickness",
] }
keys! { BASES, "a file of card bases", "this file", "bases", [
    "kind", "format", "id", "paper", "size", "count", "added", "material", "finish", "weight", "thickness", "grain",
    "base",
] }
keys! { BASE, "a card base", "this card base", "bases: each `[[base]]`", [
    "id", "paper", "name", "picture", "picture-shows", "colour", "colours", "pattern", "busyness", "repeat",
    "directional", "material", "finish", "back", "size", "width", "height", "count", "added", "grain", "weight",
    "thickness",
] }
keys! { DIES, "a file of dies", "this file", "dies", [
    "kind", "format", "id", "margin", "die",
] }
keys! { DIE, "a die", "this die", "dies: each `[[die]]`", [
    "id", "name", "size", "sizes", "margin", "outline",
] }
keys! { SENTIMENTS, "a file of sentiments", "this file", "sentiments", [
    "kind", "format", "id", "sentiment",
] }
keys! { SENTIMENT, "a sentiment", "this sentiment", "sentiments: each `[[sentiment]]`", [
    "id", "words", "size", "copies", "occasions",
] }
keys! { INKS, "a file of inks", "this file", "inks", [
    "kind", "format", "id", "ink",
] }
keys! { INK, "an ink", "this ink", "inks: each `[[ink]]`", [
    "id", "name", "colour",
] }
keys! { IMAGES, "a file of images", "this file", "images", [
    "kind", "format", "id", "image",
] }
keys! { IMAGE, "an image", "this image", "images: each `[[image]]`", [
    "id", "name", "size", "picture", "colour", "colours", "copies", "facing", "occasions", "part",
] }
keys! { PART, "a part", "this image", "images: each `[[image.part]]`", [
    "id", "left", "top", "width", "height", "cut-from", "takes", "lighter-than", "darker-than", "same-as",
    "same-as-mat", "inlaid-in",
] }
keys! { ALL_DOTS, "a file of finishing dots", "this file", "dots", [
    "kind", "format", "id", "dots",
] }
keys! { DOTS, "a kind of finishing dots", "this kind of dots", "dots: each `[[dots]]`", [
    "id", "name", "sort", "colour", "diameter", "height", "grams", "count",
] }
keys! { LAYOUT, "a layout", "this layout", "layout", [
    "kind", "format", "id", "name", "card", "credit", "link", "occasions", "panel",
] }
keys! { LAYOUTS, "a file of layouts", "this file", "layouts", [
    "kind", "format", "id", "layout",
] }
keys! { ONE_LAYOUT, "a layout", "this layout", "layouts: each `[[layout]]`", [
    "id", "name", "card", "credit", "link", "occasions", "panel",
] }
keys! { PANEL, "a panel", "this layout", "every `[[panel]]`", [
    "id", "role", "on", "left", "right", "top", "bottom", "width", "height", "centre", "middle", "inset", "shape",
    "mats", "takes", "same-as", "differs-from", "raised", "sentiment",
] }
keys! { SETTINGS, "a file of settings", "this file", "settings", [
    "kind", "format", "unit", "region", "ruler", "error-budget", "cards", "borders", "reveals", "list",
    "per-layout", "goals", "most-changes", "quiet", "glue-margin", "hollow-mats", "level-above", "foam-span",
    "finishing-dots", "costs", "scorers",
] }
keys! { COSTS, "the section of costs", "these costs", "settings: `[costs]`", [
    "card-size", "turn", "mirror", "border", "plain-background", "reveal", "slip-mat", "resize-to-paper",
    "resize-to-image", "quiet-shape", "strips", "leave-out", "ends-only", "hidden-join",
] }

keys! { SCORER, "a scorer", "this scorer", "settings: `[scorers.NAME]`", [
    "weight",
] }

/// All sections.
pub const ALL: [&Keys; 29] = [
    &PAD,
    &DESIGN,
    &BACK,
    &SHEETS,
    &SHEET,
    &CARDSTOCKS,
    &CARDSTOCK,
    &SCRAPS,
    &SCRAP,
    &BASES,
    &BASE,
    &DIES,
    &DIE,
    &SENTIMENTS,
    &SENTIMENT,
    &INKS,
    &INK,
    &IMAGES,
    &IMAGE,
    &PART,
    &ALL_DOTS,
    &DOTS,
    &LAYOUT,
    &LAYOUTS,
    &ONE_LAYOUT,
    &PANEL,
    &SETTINGS,
    &COSTS,
    &SCORER,
];

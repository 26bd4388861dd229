//! Every kind of thing that can be wrong with a stash, as plain data: what was found and what was
//! wanted. Its words are in `message` and `remedy`, which name every kind or do not compile.

use super::Place;
use api::units::{LengthError, SizeError};

/// What a value in a file turned out to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// Text in quotes.
    Text,
    /// A number without a decimal point.
    WholeNumber,
    /// A number with a decimal point.
    Decimal,
    /// `true` or `false`.
    TrueOrFalse,
    /// A date, a time or both.
    Date,
    /// A list in square brackets.
    List,
    /// A table: its own section, or keys in curly brackets.
    Table,
}

/// Where a link leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkTarget {
    /// Out of the stash folder.
    Outside,
    /// To something that is not there, or round in a circle.
    Nowhere,
}

/// What is wrong with the path of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PathFault {
    /// It begins at the root of the disk.
    Absolute,
    /// It leads out of the stash folder.
    Outside,
    /// Its folders are parted by `\`.
    Backslash,
    /// It is an address on the web.
    Web,
    /// It names a folder, or something else that is no file.
    NoFile,
}

/// What a name was meant to name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Named {
    /// A paper of the stash.
    Paper,
    /// A panel of the same layout.
    Panel,
    /// A part of the same image.
    Part,
}

/// One of the two directions a panel's edges are given in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// From left to right.
    Across,
    /// From top to bottom.
    Down,
}

/// What is wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// The stash folder is not there.
    NoFolder,
    /// A panel of vellum is raised on foam.
    FoamShows,
    /// Sides of a die's outline cross.
    SidesCross,
    /// The folder named for pictures is not there.
    NoPictureFolder,
    /// A file is named where a folder of pictures is wanted.
    PictureForFolder,
    /// The stash folder is a file.
    NotAFolder,
    /// A folder cannot be looked into.
    FolderUnreadable {
        /// What the system says.
        why: String,
    },
    /// A folder holds more than any stash.
    FolderTooFull {
        /// The most files and folders looked at.
        limit: usize,
    },
    /// A file cannot be read.
    FileUnreadable {
        /// What the system says.
        why: String,
    },
    /// A link is not followed.
    LinkNotFollowed {
        /// Where it leads.
        leads: LinkTarget,
    },
    /// A file is far larger than anything a person writes.
    FileTooLarge {
        /// Its size in bytes.
        bytes: u64,
        /// The limit in bytes.
        limit: u64,
    },
    /// All files together are too large.
    StashTooLarge {
        /// The limit in bytes.
        limit: u64,
    },
    /// A file is not UTF-8 text.
    NotText,
    /// The TOML cannot be read.
    Syntax {
        /// What is the matter.
        what: String,
        /// What to do about it.
        remedy: String,
    },
    /// There are more such errors in the file.
    MoreSyntax {
        /// How many more.
        more: usize,
    },
    /// A TOML file does not say what it is.
    NoKind {
        /// A key that was perhaps meant.
        nearest: Option<String>,
        /// What its sections suggest.
        looks_like: Option<&'static str>,
        /// All there are.
        kinds: Vec<&'static str>,
    },
    /// A TOML file says it is something there is not.
    UnknownKind {
        /// What it says.
        kind: String,
        /// What was perhaps meant.
        nearest: Option<String>,
        /// All there are.
        kinds: Vec<&'static str>,
    },
    /// A file has more problems than anybody reads at once.
    MoreProblems {
        /// How many more.
        more: usize,
    },
    /// A file was written for a newer Swatchfold.
    NewerFormat {
        /// Its format.
        found: String,
        /// The newest this one reads.
        known: u32,
    },
    /// A file that would be written is there already.
    AlreadyThere,
    /// A file or folder cannot be written.
    CannotWrite {
        /// What the system says.
        why: String,
    },
    /// A picture is to be written about that lies outside the stash.
    PictureElsewhere,
    /// No file of the stash names a picture.
    PictureUnused {
        /// Its colours, as they would be written.
        colours: String,
    },
    /// A folder of pictures has none.
    NoPictures,
    /// The folder holds no stash.
    NothingThere,
    /// The ledger cannot be read.
    LedgerUnreadable {
        /// What is the matter.
        what: String,
        /// What to do about it.
        remedy: String,
    },
    /// What a crash tore off the end of the ledger.
    LedgerTorn,
    /// A line was changed in the files after the ledger drew on it.
    RecountWanted {
        /// The line's id.
        id: String,
        /// How many it is taken to have.
        now: u32,
        /// What the ledger counted before: more, or fewer where negative.
        counted: i64,
    },
    /// A piece the ledger knows of a paper that is in no file any more.
    PaperOfPieceGone {
        /// The piece's id.
        id: String,
        /// The paper's id.
        paper: String,
    },
    /// A key nobody reads.
    UnknownKey {
        /// The key.
        key: String,
        /// What it stands in, with its article.
        of: &'static str,
        /// What was perhaps meant.
        nearest: Option<String>,
    },
    /// A key without which the thing cannot be read.
    MissingKey {
        /// The key.
        key: &'static str,
        /// What lacks it, with its article.
        of: &'static str,
        /// A line that would do.
        example: &'static str,
    },
    /// A kind of value that the key does not take.
    WrongType {
        /// The key.
        key: String,
        /// What it takes, with an example.
        wanted: &'static str,
        /// What stands there.
        found: Found,
    },
    /// A text with nothing in it.
    EmptyText {
        /// The key.
        key: String,
    },
    /// A text that is no length.
    BadLength {
        /// The key.
        key: String,
        /// Why not.
        error: LengthError,
    },
    /// Nothing, where only more than nothing makes sense.
    LengthZero {
        /// The key.
        key: String,
    },
    /// Less than nothing, where only nothing or more makes sense.
    LengthNegative {
        /// The key.
        key: String,
    },
    /// A text that is no size.
    BadSize {
        /// The key.
        key: String,
        /// Why not.
        error: SizeError,
    },
    /// A number outside its range.
    OutOfRange {
        /// The key.
        key: String,
        /// The number as written.
        found: String,
        /// The least it may be.
        low: String,
        /// The most it may be.
        high: String,
    },
    /// A scorer in the settings that nobody knows.
    UnknownScorer {
        /// Its name, as written.
        name: String,
        /// What was perhaps meant.
        nearest: Option<String>,
    },
    /// A knob in the settings that its scorer has not.
    UnknownKnob {
        /// The scorer.
        scorer: String,
        /// The knob, as written.
        knob: String,
        /// What was perhaps meant.
        nearest: Option<String>,
        /// The knobs there are.
        knobs: Vec<String>,
    },
    /// A text that is no date.
    BadDate {
        /// The text.
        text: String,
    },
    /// A day that has not come yet.
    FutureDate {
        /// The day as written.
        date: String,
        /// Today.
        today: String,
    },
    /// A word that is none of the choices.
    UnknownChoice {
        /// The key.
        key: String,
        /// The word.
        word: String,
        /// The choices.
        choices: Vec<&'static str>,
        /// What was perhaps meant.
        nearest: Option<String>,
    },
    /// A text that is no colour.
    BadColour {
        /// The text.
        text: String,
    },
    /// Shares of more than everything, or all of nothing.
    SharesOff {
        /// What they add up to, in per cent.
        total: String,
    },
    /// A text that is no paper weight.
    BadWeight {
        /// The text.
        text: String,
        /// Whether pounds were given without their grade.
        pounds: bool,
    },
    /// A text that is no edge of a panel.
    BadEdge {
        /// The key.
        key: String,
        /// The text.
        text: String,
    },
    /// A text that cannot be an id.
    BadId {
        /// The id.
        id: String,
    },
    /// Two things of one id.
    DuplicateId {
        /// The id.
        id: String,
        /// Where it was first.
        first: Box<Place>,
    },
    /// Two files whose things would get the same ids.
    DuplicateFileName {
        /// What their ids would begin with.
        id: String,
        /// The first file.
        first: Box<Place>,
    },
    /// A name nothing has.
    UnknownName {
        /// What it was meant to name.
        named: Named,
        /// The name.
        name: String,
        /// What was perhaps meant.
        nearest: Option<String>,
    },
    /// A thing that refers to itself.
    RefersToItself {
        /// The key.
        key: String,
        /// The thing's id.
        id: String,
    },
    /// A picture that is not there.
    MissingPicture {
        /// Its path as written.
        path: String,
        /// A file that was perhaps meant.
        nearest: Option<String>,
    },
    /// A script of the maker's that cannot be asked.
    Script {
        /// What is wrong with it.
        what: String,
        /// What to do about it.
        remedy: String,
    },
    /// A picture that is there but cannot be read.
    PictureNotRead {
        /// What is wrong with it.
        message: String,
        /// What to do about it.
        remedy: String,
    },
    /// A path that is not taken for a picture.
    BadPicturePath {
        /// The path as written.
        path: String,
        /// Why not.
        why: PathFault,
    },
    /// A paper with neither picture nor colour.
    NothingToSee {
        /// What lacks them, with its article.
        of: &'static str,
    },
    /// A key that another one makes pointless.
    PointlessKey {
        /// The key.
        key: String,
        /// The one that stands.
        beside: &'static str,
    },
    /// Settings in a second file.
    SecondSettings {
        /// The first.
        first: Box<Place>,
    },
    /// A file without the sections it is for.
    NoEntries {
        /// What the file is, with its article.
        of: &'static str,
        /// The section's name.
        section: &'static str,
    },
    /// More things in one than can be reckoned with.
    TooMany {
        /// What there is too much of, as in "panels".
        what: &'static str,
        /// How many there are.
        found: usize,
        /// How many there may be.
        limit: usize,
    },
    /// Too little said about where a panel lies.
    EdgesMissing {
        /// The direction.
        axis: Axis,
    },
    /// More said about where a panel lies than can be true at once.
    EdgesOver {
        /// The direction.
        axis: Axis,
        /// The keys given.
        keys: Vec<&'static str>,
    },
    /// A panel whose far edge is not beyond its near one.
    EdgesCrossed {
        /// The direction.
        axis: Axis,
        /// What was perhaps meant by the far edge.
        perhaps: Option<String>,
    },
    /// Panels that lie on one another in a circle.
    PanelsInACircle {
        /// Their ids, in the order in which each lies on the next.
        panels: Vec<String>,
    },
    /// A panel wholly beside the card.
    PanelOffCard {
        /// Its id.
        panel: String,
        /// The card's size, as shown.
        card: String,
    },
    /// A panel no part of which is on what it lies on.
    PanelOffSupport {
        /// Its id.
        panel: String,
        /// What it lies on.
        on: String,
    },
    /// A panel of which its edges and mats leave nothing.
    PanelVanishes {
        /// Its id.
        panel: String,
        /// By how much its sides cross, as shown.
        short_by: String,
    },
    /// A mat behind a panel whose outline only the die or the image knows.
    MatBehindOutline {
        /// Its id.
        panel: String,
    },
    /// A part that reaches beyond the image it is of.
    PartOffImage {
        /// By how much, as shown.
        by: String,
    },
    /// A part of an image that can take no colour, since the rule runs in a circle.
    PartsInACircle {
        /// Their ids, in the order in which each refers to the next.
        parts: Vec<String>,
    },
}

//! What each fault says: a fault in, one plain sentence without its full stop out. A card maker
//! must be able to read it; a name from the code in it is a defect.

use super::{Axis, Fault, Found, LinkTarget, Named, PathFault, all_of, quoted, shown};

impl Found {
    /// With its article, for "but this is ...".
    const fn words(self) -> &'static str {
        match self {
            Self::Text => "text in quotes",
            Self::WholeNumber => "a whole number",
            Self::Decimal => "a number with decimals",
            Self::TrueOrFalse => "true or false",
            Self::Date => "a date or time",
            Self::List => "a list in square brackets",
            Self::Table => "a section of its own",
        }
    }
}

impl Named {
    /// With "no" before it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Paper => "paper",
            Self::Panel => "panel",
            Self::Part => "part",
        }
    }
}

impl Axis {
    /// As in "where it lies from left to right".
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Across => "from left to right",
            Self::Down => "from top to bottom",
        }
    }

    /// The keys of its edges, nearer one first, and of its extent and its middle.
    pub(super) const fn keys(self) -> [&'static str; 4] {
        match self {
            Self::Across => ["left", "right", "width", "centre"],
            Self::Down => ["top", "bottom", "height", "middle"],
        }
    }
}

/// Bytes as people say them: `17 MB`.
pub(super) fn megabytes(bytes: u64) -> String {
    format!("{} MB", bytes.div_ceil(1_000_000))
}

impl Fault {
    /// What is wrong, as a sentence without its full stop.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::FoamShows => "this panel is of vellum and raised: the foam beneath it shows through".into(),
            Self::SidesCross => "two sides of this outline cross".into(),
            Self::NoPictureFolder => "there is no such folder of pictures".into(),
            Self::PictureForFolder => "this is a file, and a folder of pictures is wanted".into(),
            Self::NoFolder => "there is no such folder".into(),
            Self::LedgerUnreadable { what, .. } => what.clone(),
            Self::LedgerTorn => "the end was torn off while it was written, before that was said to be done".into(),
            Self::RecountWanted { id, now, counted } => {
                let more = if *counted > 0 { "more" } else { "fewer" };
                format!(
                    "the files now say otherwise of {} than when the ledger counted {} {more}: it is taken to be {now}",
                    quoted(id),
                    counted.unsigned_abs()
                )
            }
            Self::PaperOfPieceGone { id, paper } => {
                format!("the piece {} is of the paper {}, which is in no file now", quoted(id), quoted(paper))
            }
            Self::NotAFolder => "this is a file, and a stash is a folder".into(),
            Self::FolderUnreadable { why } => format!("this folder cannot be opened: {why}"),
            Self::FolderTooFull { limit } => {
                format!("there are over {limit} files and folders in here, so the rest is not looked at")
            }
            Self::FileUnreadable { why } => format!("this file cannot be read: {why}"),
            Self::LinkNotFollowed { leads: LinkTarget::Outside } => {
                "this is a link to somewhere outside the stash folder, so it is not read".into()
            }
            Self::LinkNotFollowed { leads: LinkTarget::Nowhere } => "this is a link that leads nowhere".into(),
            Self::FileTooLarge { bytes, limit } => {
                format!("this file has {} and the limit is {}, so it is not read", megabytes(*bytes), megabytes(*limit))
            }
            Self::StashTooLarge { limit } => {
                format!("the files before this one already have {} together, so it is not read", megabytes(*limit))
            }
            Self::NotText => "this file is not UTF-8 text from here on".into(),
            Self::Syntax { what, .. } => format!("this is not TOML: {what}"),
            Self::MoreSyntax { more: 1 } => "there is one more place in this file that is not TOML".into(),
            Self::MoreSyntax { more } => format!("there are {more} more places in this file that are not TOML"),
            Self::MoreProblems { more } => format!("this file has {more} more problems"),
            Self::NoKind { .. } => "this file does not say what it is".into(),
            Self::UnknownKind { kind, .. } => format!("no file is of kind {}", quoted(kind)),
            Self::NewerFormat { found, known } => {
                format!("this file has format {found}, and the newest known here is {known}, so it is not read")
            }
            Self::AlreadyThere => "this is there already, and nothing of yours is written over".into(),
            Self::CannotWrite { why } => format!("this cannot be written: {why}"),
            Self::PictureElsewhere => "this picture does not lie inside the stash, so no file there can name it".into(),
            Self::PictureUnused { .. } => {
                "no file of this stash names this picture, so there is nowhere to write".into()
            }
            Self::NoPictures => "there is no picture in this folder".into(),
            Self::NothingThere => "there is no paper in this folder: no file of it describes any".into(),
            Self::UnknownKey { key, of, .. } => format!("{of} has no {}", quoted(key)),
            Self::MissingKey { key, of, .. } => format!("{of} needs {}", quoted(key)),
            Self::WrongType { key, wanted, found } => {
                format!("{} takes {wanted}, and this is {}", quoted(key), found.words())
            }
            Self::EmptyText { key } => format!("{} has nothing in it", quoted(key)),
            Self::BadLength { key, error } => format!("{}: {error}", quoted(key)),
            Self::LengthZero { key } => format!("{} is 0, and must be more than that", quoted(key)),
            Self::LengthNegative { key } => format!("{} is less than 0", quoted(key)),
            Self::BadSize { key, error } => format!("{}: {error}", quoted(key)),
            Self::OutOfRange { key, found, low, high } if low == high => {
                format!("{} is {found}, and must be {low}", quoted(key))
            }
            Self::OutOfRange { key, found, low, high } => {
                format!("{} is {found}, and must be from {low} to {high}", quoted(key))
            }
            Self::UnknownScorer { name, .. } => format!("there is no scorer {}", quoted(name)),
            Self::UnknownKnob { scorer, knob, .. } => format!("the scorer {scorer} has no knob {}", quoted(knob)),
            Self::BadDate { text } => format!("{} is not a date", quoted(text)),
            Self::FutureDate { date, today } => format!("{date} has not come yet: today is {today}"),
            Self::UnknownChoice { key, word, .. } => format!("{} cannot be {}", quoted(key), quoted(word)),
            Self::BadColour { text } => format!("{} is not a colour", quoted(text)),
            Self::SharesOff { total } => format!("the shares of these colours add up to {total} %"),
            Self::BadWeight { text, pounds: true } => {
                format!("{} does not say of which grade of paper, and pounds mean little without it", quoted(text))
            }
            Self::BadWeight { text, pounds: false } => format!("{} is not a paper weight", quoted(text)),
            Self::BadEdge { key, text } => format!("{} is no place for {}", quoted(text), quoted(key)),
            Self::BadId { id } => format!("{} cannot be an id", quoted(id)),
            Self::DuplicateId { id, first } => {
                format!("the id {} is taken: it is at {} already", quoted(id), first.short())
            }
            Self::DuplicateFileName { id, first } => {
                format!("the ids made from this file's name, {}, are those of {} too", quoted(id), shown(&first.file))
            }
            Self::UnknownName { named, name, .. } => format!("there is no {} {}", named.word(), quoted(name)),
            Self::RefersToItself { key, id } => format!("{} of {} is itself", quoted(key), quoted(id)),
            Self::MissingPicture { path, .. } => format!("there is no picture {}", quoted(path)),
            Self::BadPicturePath { path, why } => match why {
                PathFault::Absolute => format!("{} is a path on one computer only", quoted(path)),
                PathFault::Outside => format!("{} leads out of the stash folder", quoted(path)),
                PathFault::Backslash => format!("{} has `\\` between its folders", quoted(path)),
                PathFault::Web => format!("{} is on the web, and nothing is fetched from there", quoted(path)),
                PathFault::NoFile => format!("{} is not a file", quoted(path)),
            },
            Self::NothingToSee { of } => format!("{of} needs a picture or a colour"),
            Self::PointlessKey { key, beside } => {
                format!("{} says nothing here, since {} says it already", quoted(key), quoted(beside))
            }
            Self::SecondSettings { first } => {
                format!("a stash has one file of settings, and that is {}", first.short())
            }
            Self::NoEntries { of, section } => format!("{of} without any {} is empty", quoted(section)),
            Self::TooMany { what, found, limit } => format!("there are {found} {what}, and {limit} are the most"),
            Self::EdgesMissing { axis } => {
                format!("this panel does not say where it lies {}", axis.words())
            }
            Self::EdgesOver { axis, keys } => {
                format!("{} together say more than is needed {}", all_of(keys.iter().copied()), axis.words())
            }
            Self::EdgesCrossed { axis, .. } => {
                let [near, far, ..] = axis.keys();
                format!("the {far} edge is not beyond the {near} edge, so nothing is left of this panel")
            }
            Self::PanelsInACircle { panels } => {
                format!("these panels lie on one another in a circle: {}", circle(panels, "lies on"))
            }
            Self::PanelOffCard { panel, card } => {
                format!("the panel {} lies wholly beside the card of {card}", quoted(panel))
            }
            Self::Script { what, .. } => what.clone(),
            Self::PictureNotRead { message, .. } => format!("this picture cannot be used: {message}"),
            Self::PanelOffSupport { panel, on } => {
                format!("the panel {} lies wholly beside {}, which it lies on", quoted(panel), quoted(on))
            }
            Self::PanelVanishes { panel, short_by } => {
                format!("the panel {} has nothing left: its sides overrun by {short_by}", quoted(panel))
            }
            Self::MatBehindOutline { panel } => {
                format!("the panel {} has a mat, but only its die or image knows its outline", quoted(panel))
            }
            Self::PartOffImage { by } => format!("this part reaches {by} beyond its image"),
            Self::PartsInACircle { parts } => {
                format!("these parts wait for one another in a circle: {}", circle(parts, "waits for"))
            }
        }
    }
}

/// "`a` lies on `b`, which lies on `a`".
fn circle(ids: &[String], verb: &str) -> String {
    let mut said = ids.first().map(|id| quoted(id)).unwrap_or_default();
    for (step, id) in ids.iter().skip(1).chain(ids.first()).enumerate() {
        let link = if step == 0 { " " } else { ", which " };
        said.push_str(&format!("{link}{verb} {}", quoted(id)));
    }
    said
}

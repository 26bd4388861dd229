//! What to do about each fault: a fault in, one plain sentence without its full stop out. Every
//! fault has an answer, and the compiler asks for it.

use super::message::megabytes;
use super::{Fault, LinkTarget, PathFault, any_of, quoted};

impl Fault {
    /// What to do about it, as a sentence without its full stop.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::FoamShows => "lay it flat, raise what lies on it instead, or give it a mat that hides the foam".into(),
            Self::SidesCross => "give its corners in the order in which one comes to them going round it".into(),
            Self::NoPictureFolder => "check the name of the folder with the pictures".into(),
            Self::PictureForFolder => "name the folder it lies in".into(),
            Self::NoFolder => "check the name, or let `swatchfold start` make a stash there".into(),
            Self::NotAFolder => "name the folder the file is in".into(),
            Self::FolderUnreadable { .. } | Self::FileUnreadable { .. } => {
                "allow yourself to read it, or move it out of the stash".into()
            }
            Self::LinkNotFollowed { leads: LinkTarget::Outside } => "put the thing itself into the stash folder".into(),
            Self::LinkNotFollowed { leads: LinkTarget::Nowhere } => "take the link away".into(),
            Self::FolderTooFull { .. } => {
                "name the folder of the stash alone, or move what is no stash out of it".into()
            }
            Self::FileTooLarge { limit, .. } => {
                format!("check that it is a stash file; if it is, part it into files under {}", megabytes(*limit))
            }
            Self::StashTooLarge { limit } => {
                format!("check what is in the folder; a stash may have {} of text", megabytes(*limit))
            }
            Self::NotText => "save it again as UTF-8 text".into(),
            Self::Syntax { remedy, .. } => remedy.clone(),
            Self::MoreSyntax { .. } | Self::MoreProblems { .. } => "put the first ones right and look again".into(),
            Self::NoKind { nearest: Some(key), .. } => format!("did you mean `kind` by {}?", quoted(key)),
            Self::NoKind { looks_like: Some(kind), .. } => format!("write `kind = \"{kind}\"` on its first line"),
            Self::NoKind { kinds, .. } => {
                format!("write a line `kind = \"…\"` at its top, with {}", any_of(kinds.iter().copied()))
            }
            Self::UnknownKind { nearest: Some(kind), .. } => did_you_mean(kind),
            Self::UnknownKind { kinds, .. } => format!("write {}", any_of(kinds.iter().copied())),
            Self::NewerFormat { .. } => "use the Swatchfold that wrote it, or a newer one".into(),
            Self::AlreadyThere => "name an empty folder for the stash, or move this out of the way".into(),
            Self::CannotWrite { .. } => "allow yourself to write there, or name another folder".into(),
            Self::PictureElsewhere => {
                "copy it into the folder of your stash, name it in a file there with `picture = \"...\"`, and scan it again"
                    .into()
            }
            Self::PictureUnused { colours } => format!(
                "name it in a design or a sheet, with `picture = \"...\"`, and scan again; or write `colours = [{colours}]`"
            ),
            Self::NoPictures => {
                "put a picture of each design into it, a scan or a photo, as `.jpg`, `.png` or `.webp`".into()
            }
            Self::NothingThere => "let `swatchfold start` make a stash here, or name the folder it is in".into(),
            Self::UnknownKey { nearest: Some(key), .. } => did_you_mean(key),
            Self::UnknownKey { key, nearest: None, .. } => format!("take {} away", quoted(key)),
            Self::MissingKey { example, .. } => format!("write a line such as `{example}`"),
            Self::WrongType { wanted, .. } => format!("write {wanted}"),
            Self::EmptyText { key } => format!("write something between the quotes, or take {} away", quoted(key)),
            Self::BadLength { error, .. } => error.remedy(),
            Self::LengthZero { key } => format!("measure it again, or take {} away", quoted(key)),
            Self::LengthNegative { .. } => "write the length without a minus".into(),
            Self::BadSize { error, .. } => error.remedy(),
            Self::OutOfRange { low, high, .. } if low == high => format!("write {low}"),
            Self::OutOfRange { low, high, .. } => format!("write a number from {low} to {high}"),
            Self::UnknownScorer { nearest: Some(name), .. } => did_you_mean(name),
            Self::UnknownScorer { .. } => "`swatchfold plugins` lists those there are".into(),
            Self::UnknownKnob { nearest: Some(knob), .. } => did_you_mean(knob),
            Self::UnknownKnob { knobs, .. } if knobs.is_empty() => "set its weight only: it has no knobs".into(),
            Self::UnknownKnob { knobs, .. } => format!("turn {}", any_of(knobs.iter().map(String::as_str))),
            Self::BadDate { .. } => "write year, month and day as in 2026-03-01".into(),
            Self::FutureDate { .. } => "check the year, or this computer's clock".into(),
            Self::UnknownChoice { nearest: Some(word), .. } => did_you_mean(word),
            Self::UnknownChoice { choices, .. } => format!("write {}", any_of(choices.iter().copied())),
            Self::LedgerUnreadable { remedy, .. } => remedy.clone(),
            Self::LedgerTorn => "nothing: what is whole holds, and the rest is set aside when you next record".into(),
            Self::RecountWanted { id, .. } => {
                format!("count what there is, and say so: `swatchfold recount {id} NUMBER`")
            }
            Self::PaperOfPieceGone { paper, .. } => format!("put a paper with the id {} back", quoted(paper)),
            Self::BadColour { .. } => {
                "write it as `#aa3322` or `lab(42, 50, 35)`, with a share behind it if you like: `#aa3322 60%`".into()
            }
            Self::SharesOff { .. } => "make the shares add up to 100 %".into(),
            Self::BadWeight { pounds: true, .. } => {
                "write the grade behind the pounds: `80 lb cover`, `80 lb text`, `110 lb index`, `24 lb bond`".into()
            }
            Self::BadWeight { pounds: false, .. } => "write it as `250 gsm` or `80 lb cover`".into(),
            Self::BadEdge { .. } => "measure from the left or top of the card: `1/8 in`, `50%`, `100% - 1/8 in`".into(),
            Self::BadId { .. } => "write 1 to 80 characters on one line, without a space at either end".into(),
            Self::DuplicateId { .. } => "give one of the two another id".into(),
            Self::DuplicateFileName { .. } => "write a line `id = \"…\"` at the top of one of the two".into(),
            Self::UnknownName { nearest: Some(name), .. } => did_you_mean(name),
            Self::UnknownName { named, nearest: None, .. } => {
                format!("name a {} that is there, or take the line away", named.word())
            }
            Self::RefersToItself { .. } => "name another, or take the line away".into(),
            Self::MissingPicture { nearest: Some(file), .. } => did_you_mean(file),
            Self::MissingPicture { nearest: None, .. } => {
                "put the picture there; its path begins at the folder this file is in".into()
            }
            Self::BadPicturePath { why, .. } => match why {
                PathFault::Absolute | PathFault::Outside | PathFault::Web => {
                    "put the picture into the stash folder, and write its path from the folder this file is in".into()
                }
                PathFault::Backslash => "write `/` between folders: it works on every computer".into(),
                PathFault::NoFile => "name a picture".into(),
            },
            Self::NothingToSee { .. } => {
                "write a line such as `picture = \"leaves.jpg\"` or `colour = \"#aa3322\"`".into()
            }
            Self::PointlessKey { key, .. } => format!("take {} away", quoted(key)),
            Self::SecondSettings { .. } => "put all settings into one of the two".into(),
            Self::NoEntries { section, .. } => format!("write a section `[[{section}]]` for each"),
            Self::TooMany { what, limit, .. } => format!("leave {limit} {what} or fewer"),
            Self::EdgesMissing { axis } => {
                let [near, far, extent, middle] = axis.keys();
                format!("write two of `{near}`, `{far}`, `{extent}` and `{middle}`, or `{extent}` alone, or `inset`")
            }
            Self::EdgesOver { .. } => "leave two of them".into(),
            Self::EdgesCrossed { perhaps: Some(edge), .. } => did_you_mean(edge),
            Self::EdgesCrossed { axis, perhaps: None } => {
                let [near, far, extent, _] = axis.keys();
                format!("write a larger `{extent}`, a larger `{far}` or a smaller `{near}`; both count from the card's {near} edge")
            }
            Self::PanelsInACircle { .. } => "take one of the `on` away: something must lie lowest".into(),
            Self::PanelOffCard { .. } => "check its edges: they count from the card's left and top".into(),
            Self::Script { remedy, .. } | Self::PictureNotRead { remedy, .. } => remedy.clone(),
            Self::PanelOffSupport { on, .. } => {
                format!("move it so that some of it lies on {}, or name what it really lies on", quoted(on))
            }
            Self::PanelVanishes { .. } => "move an edge outwards, or let less of its mats show".into(),
            Self::MatBehindOutline { .. } => "give the mat to a plain panel beneath it".into(),
            Self::PartOffImage { .. } => "make the part smaller, move it inwards, or give the image its full size".into(),
            Self::PartsInACircle { .. } => "let one of them take any colour".into(),
        }
    }
}

/// The question for a near name.
fn did_you_mean(word: &str) -> String {
    format!("did you mean {}?", quoted(word))
}

//! What can go wrong with a command, as a person is told it: what and where, what to do, and the
//! exit code: 2 for what was asked or read, 1 for what failed.

use crate::problem::{Fault, Problem, printable, quoted, shown};
use crate::room::UnknownId;
use std::fmt;
use std::io;
use std::path::Path;

/// Why a command ended.
#[derive(Debug)]
pub(super) enum Trouble {
    /// Something in the question or in the stash.
    Input {
        /// What is wrong.
        what: String,
        /// What to do about it.
        remedy: String,
    },
    /// Problems of the stash, told in full already.
    Told,
    /// Something that should have worked.
    Failure {
        /// What went wrong.
        what: String,
        /// What to do about it.
        remedy: String,
    },
    /// Nobody reads what is printed any more.
    NobodyReads,
}

impl Trouble {
    /// Something in the question or in the stash.
    pub(super) fn input(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::Input { what: what.into(), remedy: remedy.into() }
    }

    /// A file or folder that could not be written.
    pub(super) fn writing(path: &Path, error: &io::Error) -> Self {
        Self::Failure {
            what: format!("{} cannot be written: {error}", quoted(&path.display().to_string())),
            remedy: "choose a folder that you may write to, with room on its disk".to_owned(),
        }
    }

    /// A problem with one file or folder.
    pub(super) fn of(problem: &Problem) -> Self {
        let (what, remedy) = (format!("{}: {}", shown(&problem.place.file), problem.message()), problem.remedy());
        match problem.fault {
            Fault::CannotWrite { .. } => Self::Failure { what, remedy },
            _ => Self::Input { what, remedy },
        }
    }

    /// Ids that name nothing.
    pub(super) fn unknown(ids: &[UnknownId]) -> Self {
        let what: Vec<String> =
            ids.iter().map(|unknown| format!("nothing here has the id {}", quoted(&unknown.id))).collect();
        let remedies: Vec<String> = ids
            .iter()
            .map(|unknown| match &unknown.nearest {
                Some(nearest) => format!("did you mean {}?", quoted(nearest)),
                None => "`swatchfold stock` and `swatchfold layouts` list the ids there are".to_owned(),
            })
            .collect();
        Self::input(what.join("; "), remedies.join(" "))
    }

    /// The exit code.
    pub(super) const fn code(&self) -> u8 {
        match self {
            Self::Input { .. } | Self::Told => 2,
            Self::Failure { .. } => 1,
            Self::NobodyReads => 0,
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input { what, remedy } | Self::Failure { what, remedy } => {
                write!(out, "error: {}\nhelp: {}", printable(what), printable(remedy))
            }
            Self::Told | Self::NobodyReads => Ok(()),
        }
    }
}

/// What is printed goes somewhere else, or nowhere.
impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::NobodyReads,
            _ => Self::Failure {
                what: format!("what was found cannot be printed: {error}"),
                remedy: "check where the output goes".to_owned(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trouble_says_what_and_what_to_do() {
        let unknown =
            |id: &str, nearest: Option<&str>| UnknownId { id: id.into(), nearest: nearest.map(str::to_owned) };
        let trouble = Trouble::unknown(&[unknown("mos\u{1b}", Some("moss"))]);
        assert_eq!(trouble.to_string(), "error: nothing here has the id `mos\u{fffd}`\nhelp: did you mean `moss`?");
        assert_eq!(trouble.code(), 2);
        let pipe = Trouble::from(io::Error::from(io::ErrorKind::BrokenPipe));
        assert_eq!((pipe.code(), pipe.to_string().as_str()), (0, ""));
        let full = Trouble::from(io::Error::from(io::ErrorKind::StorageFull));
        assert_eq!(full.code(), 1);
        assert!(full.to_string().contains("\nhelp: "));
    }
}

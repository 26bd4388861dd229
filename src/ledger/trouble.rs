//! What can go wrong with a ledger, as a person is told it: what, and what to do about it.

use super::folder::FILE;
use std::io;

/// Why the ledger cannot be read or written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The file is something else.
    NoLedger,
    /// It was written by a newer program.
    Newer {
        /// Its format.
        found: u32,
        /// The newest that is read.
        known: u32,
    },
    /// A line is not as it was written.
    Edited {
        /// The line, from 1.
        line: u64,
    },
    /// Entries are missing before a line.
    Missing {
        /// The line, from 1.
        line: u64,
        /// The first that is missing.
        from: u64,
        /// The last that is missing.
        to: u64,
    },
    /// It is no plain file, or far too large.
    Unfit {
        /// What it is.
        what: &'static str,
    },
    /// Another program is writing.
    Busy {
        /// Who, as it says itself.
        who: String,
    },
    /// It cannot be read.
    Unreadable {
        /// What the system says.
        why: String,
    },
    /// It may not be written.
    ReadOnly {
        /// What the system says.
        why: String,
    },
    /// There is no room on the disk.
    Full,
    /// It could not be written or made durable.
    NotWritten {
        /// What the system says.
        why: String,
    },
}

impl Trouble {
    /// What a failed write means.
    pub(super) fn writing(error: &io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => Self::Full,
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::ReadOnly { why: error.to_string() }
            }
            _ => Self::NotWritten { why: error.to_string() },
        }
    }

    /// The line it is about, from 1.
    #[must_use]
    pub const fn line(&self) -> Option<u64> {
        match self {
            Self::Edited { line } | Self::Missing { line, .. } => Some(*line),
            _ => None,
        }
    }

    /// What is wrong.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::NoLedger => format!("`{FILE}` is not a ledger of Swatchfold"),
            Self::Newer { found, known } => format!(
                "`{FILE}` was written by a newer Swatchfold: it is of format {found}, and this one reads up to {known}"
            ),
            Self::Edited { line } => format!("`{FILE}`, line {line}: the line is not as Swatchfold wrote it"),
            Self::Missing { line, from, to } if from == to => {
                format!("`{FILE}`, line {line}: entry {from} is missing before it")
            }
            Self::Missing { line, from, to } => {
                format!("`{FILE}`, line {line}: entries {from} to {to} are missing before it")
            }
            Self::Unfit { what } => format!("`{FILE}` is {what}, and is not opened"),
            Self::Busy { who } => format!("the ledger is being written by {who}"),
            Self::Unreadable { why } => format!("`{FILE}` cannot be read: {why}"),
            Self::ReadOnly { why } => format!("`{FILE}` may not be written: {why}; nothing was recorded"),
            Self::Full => format!("there is no room on the disk for `{FILE}`; nothing was recorded"),
            Self::NotWritten { why } => format!("`{FILE}` could not be written for good: {why}; nothing was recorded"),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::NoLedger | Self::Unfit { .. } => {
                "move it out of the stash folder, or put the ledger back from a copy".into()
            }
            Self::Newer { .. } => "use the newer Swatchfold; the file is as it was".into(),
            Self::Edited { .. } | Self::Missing { .. } => {
                "put the file back from a copy, as it was; without one, move it away and write what is on hand into \
                 the stash's files. It is left as it is until then"
                    .into()
            }
            Self::Busy { .. } => "wait until that has ended, and do this again".into(),
            Self::Unreadable { .. } => "check who may read the file".into(),
            Self::ReadOnly { .. } => "allow writing in the stash folder, and do this again".into(),
            Self::Full => "make room, and do this again".into(),
            Self::NotWritten { .. } => "check the disk, and do this again".into(),
        }
    }
}

//! Reads one file into a text with places: a path in, a [`Source`] or the problem out.
//!
//! A file over the limit is refused by its size, before any of it is read.

use super::Limits;
use super::walk::in_words;
use crate::problem::{Fault, Place, Problem, Source};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Reads each file, as far as the limits allow.
pub(super) fn open_all(
    folder: &Path,
    files: Vec<PathBuf>,
    limits: &Limits,
    problems: &mut Vec<Problem>,
) -> Vec<Source> {
    let mut sources = Vec::with_capacity(files.len());
    let mut left = limits.stash_bytes;
    for file in files {
        match open(folder, &file, limits, left) {
            Ok(source) => {
                left -= source.text.len() as u64;
                sources.push(source);
            }
            Err(problem) => problems.push(*problem),
        }
    }
    sources
}

/// Reads one file, of which no more than `left` bytes may be read.
fn open(folder: &Path, file: &Path, limits: &Limits, left: u64) -> Result<Source, Box<Problem>> {
    let whole = |fault| Box::new(Problem::new(Place::whole(file), fault));
    let unreadable = |error: io::Error| whole(Fault::FileUnreadable { why: in_words(&error) });
    let too_large = |bytes| whole(Fault::FileTooLarge { bytes, limit: limits.file_bytes });

    let opened = File::open(folder.join(file)).map_err(unreadable)?;
    let about = opened.metadata().map_err(unreadable)?;
    if about.len() > limits.file_bytes {
        return Err(too_large(about.len()));
    }
    if about.len() > left {
        return Err(whole(Fault::StashTooLarge { limit: limits.stash_bytes }));
    }
    // It may grow while it is read, so the limit holds here too.
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    let read = opened.take(limits.file_bytes.min(left) + 1).read_to_end(&mut bytes).map_err(unreadable)? as u64;
    if read > limits.file_bytes.min(left) {
        return Err(too_large(read));
    }
    String::from_utf8(bytes).map(|text| Source::new(file, text)).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let text = String::from_utf8_lossy(&error.as_bytes()[..good]).into_owned();
        let place = Source::new(file, text).place(good..good);
        Box::new(Problem::new(Place::line_of(file, good, place.line, place.column), Fault::NotText))
    })
}

//! Finds the TOML files of a stash: a folder in, paths relative to it out, in order.
//!
//! Links are not followed: what they lead to inside the stash is read where it stands, what they
//! lead to outside is not read at all, and a circle of links has no way in. Hidden folders (the
//! cache is one) and the top folder `plugins` are passed over. It opens no file.

use crate::problem::{Fault, LinkTarget, Place, Problem};
use std::io;
use std::path::{Path, PathBuf};
use walkdir::{DirEntry, WalkDir};

/// The folder of scripts, with manifests of their own kind.
const PLUGINS: &str = "plugins";

/// What was found.
pub(super) struct Walked {
    /// The TOML files, relative to the folder, in order.
    pub(super) files: Vec<PathBuf>,
    /// What could not be looked at.
    pub(super) problems: Vec<Problem>,
}

/// Walks the folder, and looks at no more than so many files and folders in it.
pub(super) fn walk(folder: &Path, most: usize) -> Walked {
    let mut walked = Walked { files: Vec::new(), problems: Vec::new() };
    let root = match folder.metadata().and_then(|about| about.is_dir().then(|| folder.canonicalize()).transpose()) {
        Ok(Some(root)) => root,
        Ok(None) => {
            walked.problems.push(Problem::new(Place::whole(folder), Fault::NotAFolder));
            return walked;
        }
        Err(error) => {
            let fault = match error.kind() {
                io::ErrorKind::NotFound => Fault::NoFolder,
                _ => Fault::FolderUnreadable { why: in_words(&error) },
            };
            walked.problems.push(Problem::new(Place::whole(folder), fault));
            return walked;
        }
    };
    let entries = WalkDir::new(folder).sort_by_file_name().into_iter().filter_entry(is_wanted);
    for (count, entry) in entries.enumerate() {
        let found = match entry {
            Ok(_) if count > most => {
                let fault = Fault::FolderTooFull { limit: most };
                walked.problems.push(Problem::new(Place::whole(""), fault));
                break;
            }
            Ok(entry) => look_at(folder, &root, &entry),
            Err(error) => {
                let why = error.io_error().map_or_else(|| String::from("links run in a circle"), in_words);
                let path = error.path().unwrap_or(folder);
                Some(Err(Problem::new(Place::whole(relative(folder, path)), Fault::FolderUnreadable { why })))
            }
        };
        match found {
            Some(Ok(file)) => walked.files.push(file),
            Some(Err(problem)) => walked.problems.push(problem),
            None => {}
        }
    }
    walked.files.sort();
    walked
}

/// A TOML file, a link that is not followed, or nothing of interest.
fn look_at(folder: &Path, root: &Path, entry: &DirEntry) -> Option<Result<PathBuf, Problem>> {
    let is_toml = entry.path().extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml"));
    let path = relative(folder, entry.path());
    if entry.file_type().is_file() {
        return is_toml.then_some(Ok(path));
    }
    // The stash folder itself may be reached by a link.
    if !entry.path_is_symlink() || entry.depth() == 0 {
        return None;
    }
    let leads = match entry.path().canonicalize() {
        Ok(target) if target.starts_with(root) => return None,
        Ok(target) if is_toml || target.is_dir() => LinkTarget::Outside,
        Err(_) if is_toml => LinkTarget::Nowhere,
        _ => return None,
    };
    Some(Err(Problem::new(Place::whole(path), Fault::LinkNotFollowed { leads })))
}

/// Whether to look at an entry, and into it where it is a folder.
fn is_wanted(entry: &DirEntry) -> bool {
    let is_hidden = entry.file_name().as_encoded_bytes().first() == Some(&b'.');
    let is_plugins = entry.depth() == 1 && entry.file_type().is_dir() && entry.file_name() == PLUGINS;
    entry.depth() == 0 || !(is_hidden || is_plugins)
}

/// A path below the folder, without the folder.
fn relative(folder: &Path, path: &Path) -> PathBuf {
    path.strip_prefix(folder).unwrap_or(path).to_path_buf()
}

/// What the system says, without its number.
pub(crate) fn in_words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "it may not be opened by you".into(),
        io::ErrorKind::NotFound => "it is not there any more".into(),
        _ => {
            let said = error.to_string();
            said.split(" (os error").next().unwrap_or_default().to_lowercase()
        }
    }
}

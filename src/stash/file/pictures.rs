//! Paths of pictures: a path as written in a file, a path inside the stash out, or why not.
//!
//! A picture must lie inside the stash folder, links and all. Nothing of it is opened here: what
//! is in it is for `swatch` to see.

use crate::problem::PathFault;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

/// So many files of a folder are looked through for one with a near name.
const NAMES: usize = 2_000;

/// Why a picture cannot be had.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum NoPicture {
    /// It is not there; these files are beside where it should be.
    Missing(Vec<String>),
    /// Its path is not taken.
    Path(PathFault),
}

/// The pictures of one stash folder.
pub(super) struct Pictures {
    folder: PathBuf,
    /// The folder with all links resolved; `None` where even that fails, and so does all else.
    root: Option<PathBuf>,
    /// Whether each folder asked about lies inside once its links are followed.
    folders: RefCell<BTreeMap<PathBuf, bool>>,
}

impl Pictures {
    /// The pictures of a stash folder.
    pub(super) fn new(folder: &Path) -> Self {
        Self { folder: folder.to_path_buf(), root: folder.canonicalize().ok(), folders: RefCell::default() }
    }

    /// The path, relative to the stash folder, of a picture written in `file`.
    pub(super) fn find(&self, file: &Path, written: &str) -> Result<PathBuf, NoPicture> {
        let path = inside(file.parent().unwrap_or(Path::new("")), written).map_err(NoPicture::Path)?;
        let full = self.folder.join(&path);
        let Ok(about) = full.symlink_metadata() else { return Err(NoPicture::Missing(self.beside(&path))) };
        let is_inside = if about.is_symlink() { self.is_inside(&full) } else { self.folder_is_inside(&full) };
        if !is_inside {
            return Err(NoPicture::Path(PathFault::Outside));
        }
        match full.metadata() {
            Ok(about) if about.is_file() => Ok(path),
            Ok(_) => Err(NoPicture::Path(PathFault::NoFile)),
            Err(_) => Err(NoPicture::Missing(self.beside(&path))),
        }
    }

    /// Whether a path lies inside the stash once its links are followed; a dead one leads nowhere bad.
    fn is_inside(&self, path: &Path) -> bool {
        match (path.canonicalize(), &self.root) {
            (Ok(real), Some(root)) => real.starts_with(root),
            (Err(_), _) => true,
            (_, None) => false,
        }
    }

    /// The same of the folder a path is in, asked of the system once for each.
    fn folder_is_inside(&self, path: &Path) -> bool {
        let folder = path.parent().unwrap_or(path);
        if let Some(&known) = self.folders.borrow().get(folder) {
            return known;
        }
        let is_inside = self.is_inside(folder);
        self.folders.borrow_mut().insert(folder.to_path_buf(), is_inside);
        is_inside
    }

    /// The names of files beside a path, in order.
    fn beside(&self, path: &Path) -> Vec<String> {
        let folder = self.folder.join(path).parent().map(Path::to_path_buf).unwrap_or_default();
        if !self.is_inside(&folder) {
            return Vec::new();
        }
        let entries = folder.read_dir().into_iter().flatten().flatten().take(NAMES);
        let mut names: Vec<String> = entries
            .filter_map(|entry| entry.file_name().into_string().ok())
            .filter(|name| !name.ends_with(".toml"))
            .collect();
        names.sort();
        names
    }
}

/// The written path as one from the top of the stash, with every `..` worked out.
pub(super) fn inside(folder: &Path, written: &str) -> Result<PathBuf, PathFault> {
    if written.contains("://") {
        return Err(PathFault::Web);
    }
    if written.contains('\\') {
        return Err(PathFault::Backslash);
    }
    let mut letters = written.chars();
    let has_drive = letters.next().is_some_and(|letter| letter.is_ascii_alphabetic()) && letters.next() == Some(':');
    if has_drive || written.starts_with(['/', '~']) {
        return Err(PathFault::Absolute);
    }
    let mut path = folder.to_path_buf();
    for part in Path::new(written).components() {
        match part {
            Component::Normal(name) => path.push(name),
            Component::CurDir => {}
            Component::ParentDir if path.pop() => {}
            Component::ParentDir => return Err(PathFault::Outside),
            Component::RootDir | Component::Prefix(_) => return Err(PathFault::Absolute),
        }
    }
    if path.as_os_str().is_empty() { Err(PathFault::NoFile) } else { Ok(path) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_taken_only_where_it_stays_inside_on_every_computer() {
        let at = |written| inside(Path::new("pads/harbour"), written);
        assert_eq!(at("01.png"), Ok(PathBuf::from("pads/harbour/01.png")));
        assert_eq!(at("./../dusk/a b.png"), Ok(PathBuf::from("pads/dusk/a b.png")));
        assert_eq!(at("../../x.png"), Ok(PathBuf::from("x.png")));
        assert_eq!(at("../../../x.png"), Err(PathFault::Outside));
        assert_eq!(at("../../../h-stash/x.png"), Err(PathFault::Outside));
        assert_eq!(at("/etc/x.png"), Err(PathFault::Absolute));
        assert_eq!(at("~/x.png"), Err(PathFault::Absolute));
        assert_eq!(at("C:/x.png"), Err(PathFault::Absolute));
        assert_eq!(at("a\\b.png"), Err(PathFault::Backslash));
        assert_eq!(at("https://example.org/x.png"), Err(PathFault::Web));
        assert_eq!(at("../.."), Err(PathFault::NoFile));
    }
}

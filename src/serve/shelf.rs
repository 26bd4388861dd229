//! Small copies of pictures, by the name they are kept by. A request names a copy, never a file.

use super::desk::{Desk, lock};
use crate::index::Source;
use crate::present::Pictures;
use crate::present::pictures::{Picture, kept, small_of};
use crate::stash::Stash;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::SystemTime;
use swatchfold_picture::{Format, SmallCopy};

/// A picture file as it was when its copy was made.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Seen {
    path: PathBuf,
    changed: Option<SystemTime>,
    bytes: u64,
}

/// What is known of its copy: its name, and whether parts of it can be seen through.
type Known = Option<(String, bool)>;

/// The shelf.
#[derive(Default)]
pub(super) struct Shelf {
    known: Mutex<BTreeMap<Seen, Known>>,
    /// Which file each copy is of.
    names: Mutex<BTreeMap<String, PathBuf>>,
}

impl Shelf {
    /// The addresses of the pictures of some faces.
    pub(super) fn pictures(&self, desk: &Desk, stash: &Stash, sources: impl Iterator<Item = Source>) -> Pictures {
        Pictures::elsewhere(stash, sources, |path| {
            let (name, see_through) = self.name_of(desk, &stash.folder.join(path))?;
            Some(Picture { href: format!("/picture/{name}"), see_through })
        })
    }

    fn name_of(&self, desk: &Desk, path: &Path) -> Known {
        let facts = std::fs::metadata(path).ok()?;
        let seen = Seen { path: path.to_path_buf(), changed: facts.modified().ok(), bytes: facts.len() };
        if let Some(known) = lock(&self.known).get(&seen) {
            return known.clone();
        }
        let known = small_of(path, &desk.pictures()).map(|(name, copy)| (name, copy.format == Format::Png));
        if let Some((name, _)) = &known {
            lock(&self.names).insert(name.clone(), path.to_path_buf());
        }
        lock(&self.known).insert(seen, known.clone());
        known
    }

    /// The copy with a name.
    pub(super) fn copy(&self, desk: &Desk, name: &str) -> Option<SmallCopy> {
        let path = lock(&self.names).get(name)?.clone();
        kept(name, &desk.pictures()).or_else(|| {
            let (now, copy) = small_of(&path, &desk.pictures())?;
            (now == name).then_some(copy)
        })
    }
}

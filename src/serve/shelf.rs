//! Small copies of pictures, and drawings of papers that have none, by the names they are kept by. A request
//! names a copy, never a file.

use super::desk::{Desk, lock};
use crate::index::FaceId;
use crate::present::pictures::{Picture, kept, small_of};
use crate::present::{Pictures, StandIn};
use crate::room::Room;
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
    /// What is drawn in place of a picture.
    drawn: Mutex<BTreeMap<String, StandIn>>,
}

impl Shelf {
    /// The addresses of the pictures of some faces, and of what is drawn in place of one.
    pub(super) fn pictures(&self, desk: &Desk, room: &Room, faces: &[FaceId]) -> Pictures {
        let (stash, index) = (&room.stash, &room.index);
        let address = |name: &str, see_through| Picture { href: format!("/picture/{name}"), see_through };
        let sources = faces.iter().map(|face| index.face(*face).source);
        let copies = Pictures::elsewhere(stash, sources, |path| {
            let (name, see_through) = self.name_of(desk, &stash.folder.join(path))?;
            Some(address(&name, see_through))
        });
        let mut known = lock(&self.drawn);
        let drawn = faces.iter().filter_map(|face| {
            let drawn = StandIn::of(stash, index, *face)?;
            let name = drawn.name();
            let href = address(&name, false);
            known.entry(name).or_insert(drawn);
            Some((index.face(*face).source, href))
        });
        copies.with_drawn(drawn.collect())
    }

    /// The drawing with a name, as SVG.
    pub(super) fn drawing(&self, name: &str) -> Option<String> {
        lock(&self.drawn).get(name).map(StandIn::svg)
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

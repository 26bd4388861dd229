//! Small copies of the pictures of papers and images, as data that a page can carry in itself.
//!
//! Suggestions in; one copy for each picture they use out, made once and kept in the stash's cache
//! folder by the content of the picture. A picture that cannot be read is as if there were none:
//! what is wrong with it was told when the stash was read.

use crate::index::{FaceId, Source};
use crate::score::{Suggestion, Table};
use crate::stash::Stash;
use crate::swatch::{Cache, bytes_of};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use swatchfold_picture::{Format, Limits, SmallCopy, small_copy};

/// The longer side of a small copy, in pixels: a sheet of 6 in at 100 to the inch.
const SIDE: u32 = 600;
/// JPEG quality of a small copy.
const QUALITY: u8 = 80;
/// Changed whenever the same picture may give another copy.
const VERSION: u32 = 1;
/// The largest small copy that is believed: 2 MB.
const MOST_BYTES: u64 = 2_000_000;

/// A small copy that can stand in a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// A `data:` address.
    pub href: String,
    /// Whether parts of it can be seen through.
    pub see_through: bool,
}

/// The pictures of some cards.
#[derive(Clone, Debug, Default)]
pub struct Pictures {
    copies: BTreeMap<PathBuf, Picture>,
    drawn: BTreeMap<Source, Picture>,
}

impl Pictures {
    /// The pictures these cards use.
    #[must_use]
    pub fn of(stash: &Stash, table: Table<'_>, cards: &[Suggestion], cache: &Cache) -> Self {
        let mut paths = BTreeSet::new();
        for card in cards {
            let parts = card.choice.parts.iter().flat_map(|choice| &choice.parts).map(|(face, _)| face);
            for face in card.faces.iter().chain(parts) {
                paths.extend(path_of(stash, table.index.face(*face).source));
            }
        }
        Self::read(&stash.folder, paths.into_iter().map(Path::to_path_buf).collect(), &cache.beside("pictures"))
    }

    /// The pictures of some faces.
    #[must_use]
    pub fn of_faces(stash: &Stash, table: Table<'_>, faces: impl Iterator<Item = FaceId>, cache: &Cache) -> Self {
        let paths: BTreeSet<&Path> = faces.filter_map(|face| path_of(stash, table.index.face(face).source)).collect();
        Self::read(&stash.folder, paths.into_iter().map(Path::to_path_buf).collect(), &cache.beside("pictures"))
    }

    /// Pictures that stand elsewhere: for the face of each source its address, where it has a picture.
    pub fn elsewhere(
        stash: &Stash,
        sources: impl Iterator<Item = Source>,
        mut address: impl FnMut(&Path) -> Option<Picture>,
    ) -> Self {
        let mut copies = BTreeMap::new();
        for path in sources.filter_map(|source| path_of(stash, source)) {
            if !copies.contains_key(path)
                && let Some(picture) = address(path)
            {
                copies.insert(path.to_path_buf(), picture);
            }
        }
        Self { copies, ..Self::default() }
    }

    /// The same with drawings that stand elsewhere, for papers without a picture.
    #[must_use]
    pub fn with_drawn(mut self, drawn: BTreeMap<Source, Picture>) -> Self {
        self.drawn = drawn;
        self
    }

    /// The small copy of the picture of a face, where it has one that can be read; else its drawing, if one
    /// stands elsewhere.
    #[must_use]
    pub fn of_face(&self, stash: &Stash, source: Source) -> Option<&Picture> {
        path_of(stash, source).and_then(|path| self.copies.get(path)).or_else(|| self.drawn.get(&source))
    }

    /// Reads them on as many threads as there are processors; which reads which makes no difference.
    fn read(folder: &Path, paths: Vec<PathBuf>, cache: &Cache) -> Self {
        let next = AtomicUsize::new(0);
        let copies = Mutex::new(BTreeMap::new());
        let threads = std::thread::available_parallelism().map_or(1, usize::from).min(paths.len());
        std::thread::scope(|scope| {
            for _ in 0..threads {
                scope.spawn(|| {
                    while let Some(path) = paths.get(next.fetch_add(1, Ordering::Relaxed)) {
                        if let Some(picture) = copy_of(&folder.join(path), cache) {
                            let mut copies = copies.lock().expect("nobody panics while holding it");
                            copies.insert(path.clone(), picture);
                        }
                    }
                });
            }
        });
        Self { copies: copies.into_inner().expect("nobody panics while holding it"), ..Self::default() }
    }
}

fn path_of(stash: &Stash, source: Source) -> Option<&Path> {
    match source {
        Source::Paper(paper) => stash.papers.get(paper)?.picture.as_deref(),
        Source::Image(image) => {
            let image = stash.images.get(image)?;
            image.parts.is_empty().then_some(image.picture.as_deref()).flatten()
        }
        Source::AssumedBase => None,
    }
}

/// The small copy of one picture file, and the name it is kept by, where it can be read.
#[must_use]
pub fn small_of(path: &Path, cache: &Cache) -> Option<(String, SmallCopy)> {
    let bytes = bytes_of(path).ok()?;
    let key = format!("{}-{VERSION}-{SIDE}-{QUALITY}", Cache::key(&bytes, None));
    let copy = match kept(&key, cache) {
        Some(copy) => copy,
        None => {
            let copy = small_copy(&bytes, Limits::COMMON, SIDE, QUALITY).ok()?;
            cache.put_bytes(&key, &copy.bytes);
            copy
        }
    };
    Some((key, copy))
}

/// The small copy that is kept by this name.
#[must_use]
pub fn kept(key: &str, cache: &Cache) -> Option<SmallCopy> {
    let bytes = cache.get_bytes(key, MOST_BYTES)?;
    let format = Format::of(&bytes).ok()?;
    Some(SmallCopy { bytes, format })
}

/// The small copy of one picture file as data for a page, where it can be read.
#[must_use]
pub fn copy_of(path: &Path, cache: &Cache) -> Option<Picture> {
    let copy = small_copy_of(path, cache)?;
    Some(Picture { href: href_of(&copy.bytes, copy.format), see_through: copy.format == Format::Png })
}

/// A picture file as a `data:` address.
pub(super) fn href_of(bytes: &[u8], format: Format) -> String {
    let kind = match format {
        Format::Png => "png",
        Format::Jpeg => "jpeg",
        Format::WebP => "webp",
    };
    format!("data:image/{kind};base64,{}", base64(bytes))
}

/// The small copy of one picture file, where it can be read.
#[must_use]
pub(super) fn small_copy_of(path: &Path, cache: &Cache) -> Option<SmallCopy> {
    small_of(path, cache).map(|(_, copy)| copy)
}

/// The bytes in base 64 (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits = three.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
        for place in 0..4 {
            if place <= three.len() {
                let six = bits >> (18 - 6 * place) & 63;
                text.push(char::from(SIGNS[six as usize]));
            } else {
                text.push('=');
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base_64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
        assert_eq!(base64(&[0xfb, 0xff]), "+/8=");
    }
}

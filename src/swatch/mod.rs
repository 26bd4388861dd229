//! Step 1b, *look at the pictures*: a stash with pictures in; the same stash with every paper's
//! colours and pattern known out, and a list of pictures that could not be read.
//!
//! What is measured is kept in the cache folder by the content of the picture, so that an unchanged
//! picture is measured once. The cache may be deleted at any time. What the maker entered by hand
//! is never replaced by a measurement.

mod cache;
mod scan;

pub use cache::{CACHE_FOLDER, Cache};
pub use scan::{SaidBy, Scan, Scanned, Size, scan};
pub use swatchfold_picture::{Reading, White, WhiteFound};

use crate::problem::{Fault, Outcome, Place, Problem};
use crate::stash::{Colours, PaperId, Stash};
use api::units::Length;
use api::{Pattern, Swatch};
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use swatchfold_picture::{Limits, Options, Scale, decode};

/// Pictures wanted, each with the dimension it is printed at where that is known, and what was measured.
type Wanted = BTreeMap<(PathBuf, Option<Length>), Option<Result<Measured, Fault>>>;

/// The largest picture file that is read: 100 MB.
const MOST_BYTES: u64 = 100_000_000;

/// What a picture says of a paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Its colours, largest share first.
    pub swatches: Vec<Swatch>,
    /// Its pattern.
    pub pattern: Pattern,
}

/// Pictures measured so far and in all.
pub type Progress<'p> = &'p (dyn Fn(usize, usize) + Sync);

/// Fills in the colours and patterns that are to be measured from pictures.
///
/// A picture that cannot be read leaves out what is cut from its paper, if nothing else tells its
/// colours, and a problem that says so: nobody is to be told that a white sheet goes with something.
pub fn measure(stash: &mut Stash, cache: &Cache, progress: Progress<'_>) -> Vec<Problem> {
    let mut wanted: Wanted = BTreeMap::new();
    for paper in &stash.papers {
        if let Some(picture) = paper.picture.as_ref().filter(|_| needs_measuring(&paper.colours, &paper.pattern)) {
            wanted.insert((picture.clone(), paper.picture_of.map(|of| of.0)), None);
        }
    }
    for image in stash.images.iter().filter(|image| image.swatches.is_empty()) {
        wanted.extend(image.picture.iter().map(|picture| ((picture.clone(), Some(image.size.width)), None)));
    }
    read_all(&stash.folder, &mut wanted, cache, progress);
    let mut problems = Vec::new();
    for ((picture, _), result) in &wanted {
        if let Some(Err(fault)) = result {
            let outcome = Outcome::LeftOut("what has no other colours than this picture's".to_owned());
            problems.push(Problem::new(Place::whole(picture.clone()), fault.clone()).with(outcome));
        }
    }
    let found = |picture: &Option<PathBuf>, across| {
        let key = (picture.clone()?, across);
        wanted.get(&key)?.as_ref()?.as_ref().ok()
    };
    for paper in &mut stash.papers {
        let Some(measured) = found(&paper.picture, paper.picture_of.map(|of| of.0)) else { continue };
        if paper.colours == Colours::FromPicture {
            paper.colours = Colours::Entered(measured.swatches.clone());
        }
        let pattern = &mut paper.pattern;
        pattern.kind.get_or_insert(measured.pattern.kind);
        pattern.busyness.get_or_insert(measured.pattern.busyness);
        pattern.directional.get_or_insert(measured.pattern.directional);
        pattern.repeat = pattern.repeat.or(measured.pattern.repeat);
    }
    let unseen = |paper: &crate::stash::Paper| paper.picture.is_some() && paper.colours == Colours::FromPicture;
    let unseen: Vec<bool> = stash.papers.iter().map(unseen).collect();
    let is_seen = |paper: PaperId| !unseen.get(paper.0 as usize).copied().unwrap_or(false);
    stash.lines.retain(|line| is_seen(line.front));
    for line in &mut stash.lines {
        line.back = line.back.filter(|back| is_seen(*back));
    }
    let is_shown = |image: &crate::stash::Image| {
        !image.swatches.is_empty() || found(&image.picture, Some(image.size.width)).is_some() || image.picture.is_none()
    };
    stash.images.retain(is_shown);
    for image in &mut stash.images {
        if image.swatches.is_empty()
            && let Some(measured) = found(&image.picture, Some(image.size.width))
        {
            image.swatches.clone_from(&measured.swatches);
        }
    }
    problems
}

fn needs_measuring(colours: &Colours, pattern: &crate::stash::PatternEntry) -> bool {
    *colours == Colours::FromPicture
        || pattern.kind.is_none()
        || pattern.busyness.is_none()
        || pattern.directional.is_none()
}

/// Reads every picture wanted, on as many threads as there are processors. Which thread reads which
/// makes no difference to what is read.
fn read_all(folder: &Path, wanted: &mut Wanted, cache: &Cache, progress: Progress<'_>) {
    let jobs: Vec<_> = wanted.iter_mut().map(|(key, result)| Mutex::new((key, result))).collect();
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(jobs.len().max(1));
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let mut job = job.lock().expect("each job is taken once, so nobody else holds it");
                    let (picture, across) = job.0;
                    *job.1 = Some(read_one(&folder.join(picture), *across, cache));
                    progress(done.fetch_add(1, Ordering::Relaxed) + 1, jobs.len());
                }
            });
        }
    });
}

fn read_one(path: &Path, across: Option<Length>, cache: &Cache) -> Result<Measured, Fault> {
    let bytes = bytes_of(path)?;
    let key = Cache::key(&bytes, across);
    if let Some(kept) = cache.get(&key) {
        return Ok(kept);
    }
    let picture = decode(&bytes, Limits::COMMON)
        .map_err(|error| Fault::PictureNotRead { message: error.to_string(), remedy: error.remedy() })?;
    let scale = across.map_or(Scale::Unknown, Scale::Across);
    let reading = swatchfold_picture::swatches(&picture, &Options { white: White::AsIs, scale, ..Options::AS_IS });
    let measured = Measured { swatches: reading.swatches, pattern: reading.pattern };
    cache.put(&key, &measured);
    Ok(measured)
}

/// The bytes of a picture file, no more than the limit.
///
/// # Errors
/// [`Fault::PictureNotRead`], with what the system says.
pub fn bytes_of(path: &Path) -> Result<Vec<u8>, Fault> {
    let failed = |message: String| Fault::PictureNotRead {
        message,
        remedy: "check that the file is there and that you may read it".to_owned(),
    };
    let file = std::fs::File::open(path).map_err(|error| failed(format!("it cannot be opened: {error}")))?;
    let facts = file.metadata().map_err(|error| failed(format!("it cannot be looked at: {error}")))?;
    if !facts.is_file() {
        return Err(failed("it is not a file".to_owned()));
    }
    if facts.len() > MOST_BYTES {
        return Err(Fault::PictureNotRead {
            message: format!("it has {} bytes, over the limit of {MOST_BYTES}", facts.len()),
            remedy: "save a smaller copy of it".to_owned(),
        });
    }
    let mut bytes = Vec::new();
    file.take(MOST_BYTES).read_to_end(&mut bytes).map_err(|error| failed(format!("it cannot be read: {error}")))?;
    Ok(bytes)
}

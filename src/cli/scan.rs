//! `scan`: pictures in, what they measure out; with `--save`, into the stash's own files as well.

use super::args::{Common, ScanPictures};
use super::colour::{from_lab, from_words};
use super::console::Console;
use super::trouble::Trouble;
use crate::present::scanned::{OfPicture, seen};
use crate::present::{json, text};
use crate::problem::{Place, Problem, quoted};
use crate::stash::{self, Stash, file::keep};
use crate::swatch::{Scan, Size, White, scan as look_at};
use std::path::Path;

/// `scan IMAGE…`.
pub(super) fn scan(console: &Console, common: &Common, asked: &ScanPictures) -> Result<(), Trouble> {
    let white = white(&asked.white)?;
    let paper = asked.paper_white.as_deref();
    let paper = paper.map(|text| if text.contains(',') { from_lab(text) } else { from_words(text) }).transpose()?;
    let folder = common.stash.as_deref().unwrap_or(Path::new("."));
    // The stash is asked only where it is named or written to: pictures may be anybody's.
    let stash = if asked.save || common.stash.is_some() { Some(stash::read(folder, None).stash) } else { None };
    let (mut pictures, mut troubles) = (Vec::new(), Vec::new());
    for path in &asked.images {
        let known = stash.as_ref().map(|stash| Known::of(stash, path)).unwrap_or_default();
        let size = asked.dpi.map(Size::Dpi).or(known.size);
        let of = look_at(path, &Scan { white, paper, size })
            .map_err(|fault| Box::new(Problem::new(Place::whole(path), fault)))
            .and_then(|scanned| {
                let kept = if asked.save { keep(folder, path, &seen(&scanned.reading))? } else { Vec::new() };
                Ok(OfPicture { path: path.display().to_string(), scanned, finish: known.finish, kept })
            });
        match of {
            Ok(of) => pictures.push(of),
            Err(problem) => troubles.push(Trouble::of(&problem)),
        }
    }
    if !pictures.is_empty() {
        if common.json {
            console.print_data(json::scan(&pictures).as_bytes())?;
        } else {
            let unit = common.unit.map(super::args::UnitWord::unit);
            let unit = unit.or(stash.map(|stash| stash.settings.unit)).unwrap_or_default();
            console.print(&text::scan(&pictures, unit, console.look()))?;
        }
    }
    let last = troubles.pop();
    for trouble in troubles {
        console.tell(&trouble.to_string());
    }
    last.map_or(Ok(()), Err)
}

/// What the stash knows of a picture.
#[derive(Default)]
struct Known {
    size: Option<Size>,
    finish: Option<api::Finish>,
}

impl Known {
    fn of(stash: &Stash, path: &Path) -> Self {
        let Ok(real) = path.canonicalize() else { return Self::default() };
        let is_it = |picture: &Path| stash.folder.join(picture).canonicalize().is_ok_and(|other| other == real);
        let paper = stash.papers.iter().find(|paper| paper.picture.as_deref().is_some_and(is_it));
        Self {
            size: paper.and_then(|paper| paper.picture_of).map(|(width, _)| Size::Across(width)),
            finish: paper.map(|paper| paper.finish),
        }
    }
}

/// `auto`, `none` or a rectangle.
fn white(text: &str) -> Result<White, Trouble> {
    match text.trim() {
        "auto" => return Ok(White::Auto),
        "none" => return Ok(White::AsIs),
        _ => {}
    }
    let parts: Option<Vec<u32>> = text.split(',').map(|part| part.trim().parse().ok()).collect();
    match parts.as_deref() {
        Some(&[x, y, width, height]) if width > 0 && height > 0 => Ok(White::Patch { x, y, width, height }),
        _ => Err(Trouble::input(
            format!("{} does not say where the white is", quoted(text)),
            "write `--white auto`, `--white none`, or left edge, top edge, width and height in pixels: `--white 10,10,80,40`",
        )),
    }
}

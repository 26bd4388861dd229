//! A paper without a picture as a drawing of its own, so that a page can show many of them by address
//! and fetch each only once it comes into view.

use super::motif::{has_repeat, repeat};
use super::surface::shown_size;
use super::xml::{hundredths, mm};
use crate::index::{FaceId, Index, Source};
use crate::stash::Stash;
use api::PaperView;
use api::units::Size;
use std::hash::{DefaultHasher, Hash, Hasher};

/// What stands in for the picture of a paper: its colours, in its pattern, on its largest sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct StandIn {
    view: PaperView,
    size: Size,
}

impl StandIn {
    /// The stand-in for a paper that has no picture; `None` for what has one, is of one colour, or is an image.
    #[must_use]
    pub fn of(stash: &Stash, index: &Index, face: FaceId) -> Option<Self> {
        let of = index.face(face);
        let Source::Paper(paper) = of.source else { return None };
        let has_picture = stash.papers.get(paper).is_some_and(|paper| paper.picture.is_some());
        let drawn = !has_picture && has_repeat(&of.view);
        drawn.then(|| Self { view: of.view.clone(), size: shown_size(stash, index, face) })
    }

    /// What it can be called: the same for the same look.
    #[must_use]
    pub fn name(&self) -> String {
        let mut hasher = DefaultHasher::new();
        format!("{:?} {:?} {:?}", self.view.swatches, self.view.pattern, self.size).hash(&mut hasher);
        format!("drawn-{:016x}", hasher.finish())
    }

    /// It as an SVG file, at true size.
    #[must_use]
    pub fn svg(&self) -> String {
        let (width, height) = (mm(self.size.width), mm(self.size.height));
        let Some(repeat) = repeat(&self.view) else { return String::new() };
        let side = hundredths(repeat.side);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\"><defs><pattern id=\"repeat\" patternUnits=\"userSpaceOnUse\" \
             width=\"{side}\" height=\"{side}\">{}</pattern></defs>\
             <rect width=\"{width}\" height=\"{height}\" fill=\"url(#repeat)\"/></svg>",
            repeat.drawn
        )
    }
}

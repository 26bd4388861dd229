//! How a face looks when it is drawn: its picture at true size, or its colours.
//!
//! A face in; the paint of a piece cut from it out, with the definitions it needs. A motif that is
//! 20 mm wide on the sheet is 20 mm wide on the card, and turns with the piece.

use super::Scene;
use super::finish::overlay;
use super::motif::repeat;
use super::pieces::{CardPiece, Turned};
use super::xml::{Defs, hundredths, mm};
use crate::index::{FaceId, Index, Source};
use crate::stash::Stash;
use api::units::{Length, Size};
use api::{Colour, Material, PaperView, hex};

/// How far vellum covers what lies beneath it. By eye; no source.
const VELLUM: &str = ".62";

/// The paint of one piece.
pub(super) struct Paint {
    /// A colour, or a reference to a pattern.
    pub(super) fill: String,
    /// What is laid over it for its finish.
    pub(super) over: Option<String>,
    /// How far it covers, where one can see through it.
    pub(super) opacity: Option<&'static str>,
}

impl Paint {
    /// One colour, matt, that hides all.
    pub(super) const fn plain(fill: String) -> Self {
        Self { fill, over: None, opacity: None }
    }
}

/// A face as a pattern that repeats as its sheet would, the sheet's top left corner at the origin.
struct Sheet {
    id: String,
}

/// The paint of a piece, where `moved` is how far from the sheet's corner it is cut, as printed.
pub(super) fn paint(
    scene: &Scene<'_>,
    piece: &CardPiece,
    moved: Size,
    id: &str,
    shared: &mut Defs,
    own: &mut String,
) -> Paint {
    let face = scene.table.index.face(piece.face);
    let fill = match sheet(scene, piece.face, shared) {
        None => hex(main_colour(&face.view)),
        Some(Sheet { id: sheet }) => {
            let (left, top) = (piece.rect.left - moved.width, piece.rect.top - moved.height);
            let place = match piece.turned {
                Turned::AsPrinted => format!("translate({} {})", mm(left), mm(top)),
                // A quarter clockwise: the sheet's right edge becomes the piece's bottom edge.
                Turned::Quarter => {
                    let (right, top) = (piece.rect.right + moved.height, piece.rect.top - moved.width);
                    format!("translate({} {}) rotate(90)", mm(right), mm(top))
                }
            };
            own.push_str(&format!("<pattern id=\"{id}\" href=\"#{sheet}\" patternTransform=\"{place}\"/>"));
            format!("url(#{id})")
        }
    };
    plain_or(&face.view, fill, shared)
}

/// The paint of a face of one colour, or of a patterned one where only a small chip of it shows.
pub(super) fn chip_paint(scene: &Scene<'_>, face: FaceId, shared: &mut Defs) -> Paint {
    let view = &scene.table.index.face(face).view;
    let fill = sheet(scene, face, shared).map_or_else(|| hex(main_colour(view)), |sheet| format!("url(#{})", sheet.id));
    plain_or(view, fill, shared)
}

fn plain_or(view: &PaperView, fill: String, shared: &mut Defs) -> Paint {
    Paint {
        fill,
        over: overlay(view.material, view.finish, shared),
        opacity: (view.material == Material::Vellum).then_some(VELLUM),
    }
}

/// The colour of a face; white where it is none.
pub(super) fn main_colour(view: &PaperView) -> Colour {
    let colour = view.main_colour();
    if (colour.l + colour.a + colour.b).is_finite() { colour } else { Colour::new(100.0, 0.0, 0.0) }
}

/// The pattern of a face: its picture, else a repeat drawn from its colours; `None` for one colour.
fn sheet(scene: &Scene<'_>, face: FaceId, shared: &mut Defs) -> Option<Sheet> {
    let key = format!("face-{}", face.0);
    let of = scene.table.index.face(face);
    if let Some(picture) = scene.pictures.of_face(scene.stash, of.source) {
        let Size { width, height } = shown_size(scene.stash, scene.table.index, face);
        let (width, height) = (mm(width), mm(height));
        let id = shared.id(&key, |id| {
            format!(
                "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"{width}\" height=\"{height}\">\
                 <image width=\"{width}\" height=\"{height}\" preserveAspectRatio=\"none\" href=\"{}\"/></pattern>",
                picture.href
            )
        });
        return Some(Sheet { id });
    }
    let repeat = repeat(&of.view)?;
    let side = hundredths(repeat.side);
    let id = shared.id(&key, |id| {
        format!(
            "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"{side}\" height=\"{side}\">{}</pattern>",
            repeat.drawn
        )
    });
    Some(Sheet { id })
}

/// How much of the paper its picture shows: as entered, else its largest sheet.
pub(super) fn shown_size(stash: &Stash, index: &Index, face: FaceId) -> Size {
    let entered = match index.face(face).source {
        Source::Paper(paper) => stash.papers.get(paper).and_then(|paper| paper.picture_of),
        _ => None,
    };
    let (width, height) = entered.unwrap_or_else(|| {
        let sizes = index.face(face).stock.iter().map(|stock| index.stock(*stock));
        sizes
            .map(|stock| (stock.width, stock.height))
            .max_by_key(|(width, height)| *width * *height)
            .unwrap_or_default()
    });
    // Nothing is drawn from a pattern without a size.
    Size::new(width.max(Length::MILLIMETRE), height.max(Length::MILLIMETRE))
}

//! Pages as a PDF: marks and pictures in; a file with its own fonts, text that can be selected, and
//! headings and descriptions of drawings for screen readers out.

use super::font::{BOLD, REGULAR};
use super::mark::{Frame, Ink, Look, Mark, Page, Placed, Shape, Tag as Part, Words};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Node, SpanTag, Tag, TagGroup, TagTree};
use krilla::text::{Font, TextDirection};
use krilla::{Document, SerializeSettings};
use std::num::NonZeroU16;
use swatchfold_picture::Format;

/// Points in a millimetre: 72 to the inch.
const POINT: f64 = 72.0 / 25.4;
/// A quarter of a circle as a cubic curve: how far its handles reach, in radii.
const HANDLE: f64 = 0.552_284_75;

/// A picture as a file.
pub(crate) struct Bytes {
    pub(crate) bytes: Vec<u8>,
    pub(crate) format: Format,
}

/// The file; `size` is that of a page in millimetres.
///
/// # Errors
/// What the writer of PDFs says.
pub(crate) fn pdf(title: &str, size: (f64, f64), pages: &[Page], pictures: &[Bytes]) -> Result<Vec<u8>, String> {
    let font = |bytes: &'static [u8]| Font::new(bytes.into(), 0).ok_or("the built-in font cannot be read");
    let fonts = [font(REGULAR)?, font(BOLD)?];
    let images: Vec<Option<Image>> = pictures.iter().map(image).collect();
    let mut document = Document::new_with(SerializeSettings::default());
    let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
    for page in pages {
        let settings = PageSettings::from_wh(points(size.0), points(size.1)).ok_or("a page has no size")?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        let mut open: Option<TagGroup> = None;
        for mark in &page.marks {
            match mark {
                Mark::Begin(part) => open = begin(&mut surface, part),
                Mark::End => {
                    surface.end_tagged();
                    if let Some(group) = open.take() {
                        tree.push(group);
                    }
                }
                mark => draw(&mut surface, mark, &fonts, &images),
            }
        }
        surface.finish();
        sheet.finish();
    }
    document.set_tag_tree(tree);
    document.set_metadata(Metadata::new().title(title.to_owned()).language("en".to_owned()));
    document.finish().map_err(|why| format!("{why:?}"))
}

fn image(picture: &Bytes) -> Option<Image> {
    let data = picture.bytes.clone().into();
    match picture.format {
        Format::Jpeg => Image::from_jpeg(data, true),
        Format::Png => Image::from_png(data, true),
        Format::WebP => Image::from_webp(data, true),
    }
    .ok()
}

/// Begins a part; what it becomes in the tree.
fn begin(surface: &mut Surface<'_>, part: &Part) -> Option<TagGroup> {
    let group = |tag: krilla::tagging::TagKind, id| Some(TagGroup::with_children(tag, vec![Node::Leaf(id)]));
    match part {
        Part::Heading(level) => {
            let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
            group(Tag::Hn(NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN), None).into(), id)
        }
        Part::Paragraph => {
            let id = surface.start_tagged(ContentTag::Span(SpanTag::empty()));
            group(Tag::P.into(), id)
        }
        Part::Figure(told) => {
            let id = surface.start_tagged(ContentTag::Other);
            group(Tag::Figure(Some(told.clone())).into(), id)
        }
        Part::Footer => {
            surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Other)));
            None
        }
    }
}

fn draw(surface: &mut Surface<'_>, mark: &Mark, fonts: &[Font; 2], images: &[Option<Image>]) {
    match mark {
        Mark::Shape(shape, look) => shaped(surface, shape, look),
        Mark::Words(words) => written(surface, words, fonts),
        Mark::Picture(placed) => pictured(surface, placed, images),
        Mark::Clip(shape) => {
            // A shape without extent hides all, and a clip must be there for its end.
            let path = path(shape).or_else(|| path(&Shape::Rect(Frame::new(0.0, 0.0, 0.001, 0.001))));
            if let Some(path) = path {
                surface.push_clip_path(&path, &FillRule::NonZero);
            }
        }
        Mark::Unclip => surface.pop(),
        Mark::Begin(_) | Mark::End => {}
    }
}

fn shaped(surface: &mut Surface<'_>, shape: &Shape, look: &Look) {
    let Some(path) = path(shape) else { return };
    let opacity = NormalizedF32::new(look.opacity.clamp(0.0, 1.0)).unwrap_or(NormalizedF32::ONE);
    surface.set_fill(look.fill.map(|ink| Fill { paint: colour(ink).into(), opacity, rule: FillRule::NonZero }));
    surface.set_stroke(look.line.map(|(ink, width)| Stroke {
        paint: colour(ink).into(),
        width: points(width),
        opacity,
        dash: look.dashed.then(|| StrokeDash { array: vec![points(1.2), points(0.9)], offset: 0.0 }),
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

fn written(surface: &mut Surface<'_>, words: &Words, fonts: &[Font; 2]) {
    surface.set_stroke(None);
    surface.set_fill(Some(Fill { paint: colour(words.ink).into(), ..Fill::default() }));
    let font = fonts[usize::from(words.bold)].clone();
    let at = Point::from_xy(points(words.at.0), points(words.at.1));
    surface.draw_text(at, font, points(words.size), &words.text, false, TextDirection::Auto);
}

fn pictured(surface: &mut Surface<'_>, placed: &Placed, images: &[Option<Image>]) {
    let Some(Some(image)) = images.get(placed.picture) else { return };
    let Some(size) = Size::from_wh(points(placed.size.0), points(placed.size.1)) else { return };
    let (x, y) = (points(placed.at.0), points(placed.at.1));
    let place =
        if placed.turned { Transform::from_row(0.0, 1.0, -1.0, 0.0, x, y) } else { Transform::from_translate(x, y) };
    surface.push_transform(&place);
    let is_faint = placed.opacity < 1.0;
    if is_faint {
        surface.push_opacity(NormalizedF32::new(placed.opacity.clamp(0.0, 1.0)).unwrap_or(NormalizedF32::ONE));
    }
    surface.draw_image(image.clone(), size);
    if is_faint {
        surface.pop();
    }
    surface.pop();
}

fn path(shape: &Shape) -> Option<Path> {
    let mut line = PathBuilder::new();
    match shape {
        Shape::Rect(area) => {
            line.push_rect(Rect::from_xywh(points(area.x), points(area.y), points(area.w), points(area.h))?)
        }
        Shape::Ellipse(area) => {
            let (rx, ry) = (area.w / 2.0, area.h / 2.0);
            let (x, y) = (area.x + rx, area.y + ry);
            let at = |across: f64, down: f64| (points(x + across * rx), points(y + down * ry));
            let k = HANDLE;
            let (start_x, start_y) = at(1.0, 0.0);
            line.move_to(start_x, start_y);
            for [one, two, to] in [
                [(1.0, k), (k, 1.0), (0.0, 1.0)],
                [(-k, 1.0), (-1.0, k), (-1.0, 0.0)],
                [(-1.0, -k), (-k, -1.0), (0.0, -1.0)],
                [(k, -1.0), (1.0, -k), (1.0, 0.0)],
            ] {
                let ((a, b), (c, d), (e, f)) = (at(one.0, one.1), at(two.0, two.1), at(to.0, to.1));
                line.cubic_to(a, b, c, d, e, f);
            }
            line.close();
        }
        Shape::Polygon(corners) => {
            for (place, (x, y)) in corners.iter().enumerate() {
                if place == 0 {
                    line.move_to(points(*x), points(*y));
                } else {
                    line.line_to(points(*x), points(*y));
                }
            }
            line.close();
        }
        Shape::Line((x, y), (to_x, to_y)) => {
            line.move_to(points(*x), points(*y));
            line.line_to(points(*to_x), points(*to_y));
        }
    }
    line.finish()
}

fn colour([red, green, blue]: Ink) -> rgb::Color {
    rgb::Color::new(red, green, blue)
}

#[allow(clippy::cast_possible_truncation, reason = "a page is drawn in single precision: finer than any printer")]
fn points(mm: f64) -> f32 {
    (mm * POINT) as f32
}

//! Papers as pictures: a sheet, a chip with its name, and its colours with theirs.

use crate::index::{Face, FaceId, PLENTY};
use crate::present::svg::swatch;
use crate::present::{Defs, Scene};
use api::units::Size;
use api::{colour_name, hex};
use maud::{Markup, PreEscaped, html};

/// A sheet as a picture, in the proportions of its largest piece.
pub(super) fn sheet(scene: &Scene<'_>, face: FaceId, shared: &mut Defs) -> Markup {
    let of = scene.table.index.face(face);
    let size = largest(scene, of);
    // What is written is a count of tenths of a millimetre: it only sets the proportions.
    let tenths = |length: api::units::Length| (length.nanometres() / 100_000).max(1);
    match scene.pictures.of_face(scene.stash, of.source) {
        Some(picture) => html! {
            img.sheet src=(picture.href) alt="" loading="lazy" decoding="async" width=(tenths(size.width)) height=(tenths(size.height));
        },
        None => html! { span.sheet.drawn { (PreEscaped(swatch(scene, face, shared))) } },
    }
}

/// The largest piece of a face on hand.
pub(super) fn largest(scene: &Scene<'_>, face: &Face) -> Size {
    let sizes = face.stock.iter().map(|stock| scene.table.index.stock(*stock));
    let largest = sizes.map(|stock| Size::new(stock.width, stock.height)).max_by_key(|size| size.area());
    largest.unwrap_or(Size::new(api::units::Length::INCH * 6, api::units::Length::INCH * 6))
}

/// How many pieces of a face there are, in words.
pub(super) fn pieces(scene: &Scene<'_>, face: &Face) -> String {
    let counts = face.stock.iter().map(|stock| scene.table.index.stock(*stock).count);
    match counts.fold(0, u32::saturating_add) {
        1 => "1 piece".to_owned(),
        PLENTY.. => "plenty".to_owned(),
        count => format!("{count} pieces"),
    }
}

/// A chip of a face beside its name.
pub(super) fn chip(scene: &Scene<'_>, face: FaceId, shared: &mut Defs) -> Markup {
    html! { (PreEscaped(swatch(scene, face, shared))) }
}

/// The colours of a face, each with its name: colour is never the only sign.
pub(super) fn colours(face: &Face) -> Markup {
    html! {
        ul.colours aria-label="Its colours" {
            @for swatch in face.view.swatches.iter().take(6) {
                li {
                    (dot(&hex(swatch.colour)))
                    span { (colour_name(swatch.colour)) }
                    small { (percent(swatch.share.millionths())) }
                }
            }
        }
    }
}

fn percent(millionths: u32) -> String {
    match (millionths + 5_000) / 10_000 {
        0 => "under 1 %".to_owned(),
        percent => format!("{percent} %"),
    }
}

/// A spot of a colour. A drawing, since the policy allows no style in a page.
pub(super) fn dot(hex: &str) -> Markup {
    html! {
        svg.dot viewBox="0 0 10 10" aria-hidden="true" focusable="false" {
            circle cx="5" cy="5" r="4.5" fill=(hex) stroke="currentColor" stroke-opacity=".35" stroke-width=".5" {}
        }
    }
}

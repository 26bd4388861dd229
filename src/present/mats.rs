//! Mats drawn: a page that shows the paper on each of them, in true proportion, with the reasons.

use super::surface::chip_paint;
use super::svg::{painted, rectangle};
use super::xml::{Defs, escape, isolated, mm};
use super::{Pictures, Scene, sentence};
use crate::index::FaceId;
use crate::layout::Rect;
use crate::room::Room;
use crate::score::{Mat, Mats, ONE, Wanted};
use api::hex;
use api::units::{Length, Size};
use std::fmt::Write as _;

/// The piece of paper that is drawn, and how much shows of what lies beneath all.
const PIECE: Size = Size::new(Length::micrometres(63_500), Length::micrometres(44_450));
/// How much of the paper beneath is drawn round it.
const BENEATH: Length = Length::micrometres(9_525);

/// The faces of a stack, from the top: the paper, its mats, what lies beneath.
#[must_use]
pub(super) fn stack_of(wanted: Wanted, mat: &Mat) -> Vec<FaceId> {
    [Some(wanted.paper), Some(mat.face), mat.outer, wanted.beneath].into_iter().flatten().collect()
}

/// The page, which opens without a network. Reads the pictures of its papers.
#[must_use]
pub fn mats_page(room: &Room, wanted: Wanted, mats: &Mats) -> String {
    let faces = mats.mats.iter().flat_map(|mat| stack_of(wanted, mat)).chain([wanted.paper]);
    let pictures = Pictures::of_faces(&room.stash, room.table(), faces, &super::cache(room));
    let scene = Scene { stash: &room.stash, table: room.table(), pictures: &pictures };
    let name = |face: FaceId| isolated(&room.index.face(face).view.name);
    let mut shared = Defs::new("m-");
    let mut figures = String::new();
    for (mat, number) in mats.mats.iter().zip(1..) {
        let outer = mat.outer.map_or_else(String::new, |outer| format!(" on {}", name(outer)));
        let mut reasons: Vec<_> = mat.reasons.iter().filter(|reason| !reason.about.is_empty()).collect();
        reasons.sort_by_key(|reason| std::cmp::Reverse(reason.value * reason.weight / ONE));
        let why: String = reasons.iter().map(|reason| format!("<li>{}</li>", escape(&sentence(&reason.why)))).collect();
        let _ = writeln!(
            figures,
            "<figure>{}<figcaption><h2>{number}. {}{outer}</h2><p>{}.{:03}</p><ul>{why}</ul></figcaption></figure>",
            drawing(&scene, wanted, mat, &mut shared),
            name(mat.face),
            mat.score / ONE,
            mat.score % ONE / 1_000,
        );
    }
    if let Some(found) = &mats.look_for {
        let _ = writeln!(
            figures,
            "<figure><svg viewBox=\"0 0 60 20\" role=\"img\"><rect width=\"60\" height=\"20\" fill=\"{0}\"/></svg>\
             <figcaption><h2>To look for: {1}</h2><p>{0}, lab({2:.0}, {3:.0}, {4:.0})</p></figcaption></figure>",
            hex(found.colour),
            escape(found.name),
            found.colour.l,
            found.colour.a,
            found.colour.b,
        );
    }
    let beneath = wanted.beneath.map_or_else(String::new, |beneath| format!(" on {}", name(beneath)));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src \
         'unsafe-inline'; base-uri 'none'; form-action 'none'\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>Mats for {paper}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n<body>\n\
         <svg width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>{defs}</defs></svg>\n\
         <main><h1>Mats for {paper}{beneath}</h1>\n<div>\n{figures}</div></main>\n</body>\n</html>\n",
        paper = name(wanted.paper),
        defs = shared.text(),
    )
}

/// The look of the page.
const STYLE: &str = "body { margin: 2rem; font: 1rem/1.45 system-ui, sans-serif; color: #222; background: #f4f2ee; }\n\
    h1 { font-size: 1.4rem; font-weight: 600; }\nh2 { font-size: 1rem; margin: .6rem 0 0; }\n\
    main > div { display: grid; grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); gap: 1.5rem; }\n\
    figure { margin: 0; padding: 1rem; background: #fff; border-radius: .4rem; }\nfigure svg { width: 100%; }\n\
    p { margin: 0; color: #666; }\nul { margin: .4rem 0 0; padding-left: 1.1rem; }\n\
    @media print { body { margin: 0; background: none; } figure { break-inside: avoid; } }\n";

/// The paper on its mats, from the bottom up.
fn drawing(scene: &Scene<'_>, wanted: Wanted, mat: &Mat, shared: &mut Defs) -> String {
    let show = |reveal: Option<Length>| reveal.unwrap_or(Length::ZERO);
    let rings = [Some(mat.face), mat.outer, wanted.beneath].into_iter().flatten();
    let widths =
        [Some(show(wanted.reveals[0])), mat.outer.map(|_| show(wanted.reveals[1])), wanted.beneath.map(|_| BENEATH)];
    let mut outwards = vec![(wanted.paper, Length::ZERO)];
    for (face, width) in rings.zip(widths.into_iter().flatten()) {
        let so_far = outwards.last().map_or(Length::ZERO, |(_, so_far)| *so_far);
        outwards.push((face, so_far + width));
    }
    let most = outwards.last().map_or(Length::ZERO, |(_, most)| *most);
    let whole = Size::new(PIECE.width + most + most, PIECE.height + most + most);
    let mut inside = String::new();
    for (face, out) in outwards.iter().rev() {
        let left = most - *out;
        let rect = Rect { left, top: left, right: whole.width - left, bottom: whole.height - left };
        let paint = chip_paint(scene, *face, shared);
        inside.push_str(&painted(&rectangle(&rect), &paint));
    }
    format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-hidden=\"true\">{inside}</svg>",
        mm(whole.width),
        mm(whole.height)
    )
}

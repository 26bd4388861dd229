//! One card on the contact sheet: its picture, what was changed, what it is made of, why, how to cut it.

use super::super::lettering::{fitting, shown};
use super::super::notes::notes;
use super::super::outline::{Names, drawing};
use super::super::pieces::{CardPiece, Made, PartPiece, Turned, is_on_foam, parts, pieces};
use super::super::sizes::{card_size, ruler};
use super::super::svg::{chip, inline, prefix_of};
use super::super::words::{changes_in_words, kind_word, material_word};
use super::super::xml::{Defs, escape};
use super::super::{Scene, sentence};
use super::{building, is_reduced, size_class, why};
use crate::assemble::{Bench, Built};
use crate::index::{FaceId, StockId};
use crate::layout::{Drawn, Outline};
use crate::score::Suggestion;
use api::units::{ROUNDED_MARK, Size};
use std::fmt::Write as _;

/// At most so many further sentiments are named.
const MOST_WORDS: usize = 4;

/// The card at a place in the list, counted from 1.
pub(super) fn article(
    scene: &Scene<'_>,
    bench: &Bench,
    found: &Suggestion,
    (number, frame): (usize, Size),
    shared: &mut Defs,
) -> String {
    let layout = &scene.table.layouts[found.layout];
    // The number keeps two cards apart even where their ids have the same hash.
    let prefix = format!("c{number}-{}", prefix_of(&found.id));
    let reduced = if is_reduced(found.network.card, frame) { ", shown smaller than the others" } else { "" };
    let built = Built::new(scene.table, bench, found);
    let mut out = String::new();
    let _ = write!(
        out,
        "<article class=\"card\" aria-labelledby=\"{prefix}-name\">\n<div class=\"desk\"><div class=\"frame {}\">{}</div></div>\n\
         <div class=\"told\">\n<header><h2 class=\"name\" id=\"{prefix}-name\"><span class=\"no\">{number}</span> <bdi>{}</bdi></h2>\
         <p class=\"meta\">{}{reduced} · {} of 100 points · <code><bdi>{}</bdi></code></p></header>\n",
        size_class(found.network.card),
        inline(scene, found, built.dots.as_ref(), &prefix, shared),
        escape(&layout.name),
        escape(&card_size(found.network.card, scene.table.settings)),
        points(found.score),
        escape(&found.id),
    );
    let told = sections(scene, found, shared);
    let building = building::section(scene, found, &built);
    for section in [told.changed, told.materials, told.why, told.cuts, told.care, building, told.credit] {
        out.push_str(&section);
    }
    out.push_str("</div>\n</article>\n");
    out
}

/// What there is to say of a card, section by section, as markup.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sections {
    /// What was changed, with the layout as drawn beside as made.
    pub changed: String,
    /// The papers it is made of.
    pub materials: String,
    /// Why it scores as it does.
    pub why: String,
    /// What to cut.
    pub cuts: String,
    /// What to look out for; empty where there is nothing.
    pub care: String,
    /// Whose layout it is.
    pub credit: String,
}

/// What there is to say of a card, to stand in any page whose drawings share `shared`.
#[must_use]
pub fn sections(scene: &Scene<'_>, found: &Suggestion, shared: &mut Defs) -> Sections {
    let care: String =
        notes(scene.table, found).iter().map(|note| format!("<li>{}</li>", escape(&sentence(note)))).collect();
    Sections {
        changed: changed(scene, found),
        materials: materials(scene, found, shared),
        why: why::section(scene, found),
        cuts: cuts(scene, found),
        care: if care.is_empty() {
            care
        } else {
            format!("<section><h3 class=\"part\">Look out for</h3><ul class=\"care\">{care}</ul></section>\n")
        },
        credit: credit(scene, found),
    }
}

/// A score as points of 100, to one place.
fn points(score: i64) -> String {
    let tenths = (score + 500).div_euclid(1000);
    format!("{}.{}", tenths.div_euclid(10), tenths.rem_euclid(10))
}

fn changed(scene: &Scene<'_>, found: &Suggestion) -> String {
    let words = changes_in_words(scene.table, found);
    if words.is_empty() {
        return "<section><h3 class=\"part\">What was changed</h3><p>Nothing: made as drawn.</p></section>\n"
            .to_owned();
    }
    let list: String = words.iter().map(|words| format!("<li>{}</li>", escape(&sentence(&words.sentence)))).collect();
    let layout = &scene.table.layouts[found.layout];
    let panels: Vec<&str> = found
        .changes
        .iter()
        .filter_map(|(change, _)| change.panel())
        .filter_map(|panel| layout.panels.get(panel))
        .map(|panel| panel.id.as_str())
        .collect();
    let before = Drawn::as_drawn(layout, layout.card, scene.table.settings.ruler);
    let figure = |drawn: &Drawn, marked: &[&str], words: &str| {
        let title = format!("{}, {words}", layout.name);
        format!("<figure>{}<figcaption>{words}</figcaption></figure>", drawing(drawn, marked, Names::Left, &title))
    };
    format!(
        "<section><h3 class=\"part\">What was changed</h3><ul class=\"change\">{list}</ul><div class=\"pair\">{}{}</div></section>\n",
        figure(&before, &[], "as drawn"),
        figure(&found.drawn, &panels, "as made"),
    )
}

/// Every face on the card once, bottom first, with where it shows.
fn materials(scene: &Scene<'_>, found: &Suggestion, shared: &mut Defs) -> String {
    let index = scene.table.index;
    let mut faces: Vec<(FaceId, Vec<String>)> = Vec::new();
    let mut note = |face: FaceId, place: String| match faces.iter_mut().find(|(met, _)| *met == face) {
        Some((_, places)) => places.push(place),
        None => faces.push((face, vec![place])),
    };
    let built = parts(scene.table.images, index, found);
    for (place, layer) in found.network.layers.iter().enumerate() {
        let of_layer: Vec<&PartPiece<'_>> = built.iter().filter(|part| part.layer == place).collect();
        let face = found.faces[layer.slot];
        note(face, if layer.id == "base" { "card base".to_owned() } else { layer.id.clone() });
        for part in of_layer {
            note(part.face, format!("{} of {}", part.part, index.face(face).view.name));
        }
    }
    let mut list = String::new();
    for (face, places) in faces {
        let of = index.face(face);
        let _ = write!(
            list,
            "<li>{}<span><b><bdi>{}</bdi></b> <small>{}: {} · <code><bdi>{}</bdi></code></small></span></li>",
            chip(scene, found, face, shared),
            escape(&of.view.name),
            escape(&places.join(", ")),
            material_word(of.view.material),
            escape(&of.id),
        );
    }
    format!(
        "<section><h3 class=\"part\">Papers and cardstock</h3><ul class=\"papers\">{list}</ul>{}</section>\n",
        words(scene, found)
    )
}

/// The words shown, and others that would fit.
fn words(scene: &Scene<'_>, found: &Suggestion) -> String {
    let mut out = String::new();
    for layer in &found.network.layers {
        let Some(on_card) = shown(scene, found, layer) else { continue };
        let others: Vec<String> = fitting(scene, found, layer)
            .into_iter()
            .filter(|other| other.id != on_card.id)
            .take(MOST_WORDS)
            .map(|other| format!("“<bdi>{}</bdi>”", escape(&other.words)))
            .collect();
        let also = if others.is_empty() { String::new() } else { format!("; {} would fit too", others.join(", ")) };
        let _ = write!(out, "<p class=\"meta\">Words: “<bdi>{}</bdi>”{also}.</p>", escape(&on_card.words));
    }
    out
}

fn cuts(scene: &Scene<'_>, found: &Suggestion) -> String {
    let index = scene.table.index;
    let pieces = pieces(index, found);
    let built = parts(scene.table.images, index, found);
    let mut rows = String::new();
    for (place, layer) in found.network.layers.iter().enumerate() {
        let of_layer: Vec<&PartPiece<'_>> = built.iter().filter(|part| part.layer == place).collect();
        for part in &of_layer {
            let size = part.cut.down(ruler(scene.table.settings));
            let what = format!("{}: {}", index.face(found.faces[layer.slot]).view.name, part.part);
            row(&mut rows, &what, &unbroken(&size), &from(scene, part.stock, Turned::AsPrinted));
        }
        if !of_layer.is_empty() {
            continue;
        }
        let mut own: Vec<(&CardPiece, usize)> = Vec::new();
        for piece in pieces.iter().filter(|piece| piece.layer == place) {
            match own.last_mut() {
                Some((last, number))
                    if (last.cut, last.stock, last.turned) == (piece.cut, piece.stock, piece.turned) =>
                {
                    *number += 1;
                }
                _ => own.push((piece, 1)),
            }
        }
        for (piece, number) in own {
            let what = if layer.id == "base" { "card base" } else { layer.id.as_str() };
            let mut from = from(scene, piece.stock, piece.turned);
            if is_on_foam(&found.network.layers, place) {
                from.push_str("; raised on foam");
            }
            row(&mut rows, what, &size_words(scene, found, piece, number), &from);
        }
    }
    let about = if rows.contains(ROUNDED_MARK) {
        format!("<p class=\"meta\">{ROUNDED_MARK} is about: set down to the next mark of your ruler.</p>")
    } else {
        String::new()
    };
    format!("<section><h3 class=\"part\">Cut, width first</h3><ul class=\"cuts\">{rows}</ul>{about}</section>\n")
}

/// One line of the cutting list; `size` and `from` are markup.
fn row(rows: &mut String, what: &str, size: &str, from: &str) {
    let _ = write!(rows, "<li><b>{}</b> {size} <small>{from}</small></li>", escape(what));
}

/// A size that is not broken over two lines.
fn unbroken(size: &str) -> String {
    format!("<span class=\"size\">{}</span>", escape(size))
}

fn size_words(scene: &Scene<'_>, found: &Suggestion, piece: &CardPiece, number: usize) -> String {
    let ruler = ruler(scene.table.settings);
    let size = unbroken(&piece.cut.down(ruler));
    match piece.made {
        // An image or a ready base is what it is: there is nothing to set on a ruler.
        Made::Ready => format!("<span>{} as it is</span>", unbroken(&piece.cut.exact(scene.table.settings.unit))),
        Made::Cut if number > 1 => format!("<span>{number} of {size}</span>"),
        Made::Folded | Made::Die(_) | Made::Cut => match then(scene, found, piece) {
            Some(then) => format!("<span>{size} {then}</span>"),
            None => size,
        },
    }
}

/// What is done with a piece once it is cut, as markup.
fn then(scene: &Scene<'_>, found: &Suggestion, piece: &CardPiece) -> Option<String> {
    let ruler = ruler(scene.table.settings);
    match piece.made {
        Made::Cut if found.network.layers[piece.layer].outline == Outline::Ellipse => Some("then cut round".to_owned()),
        Made::Cut | Made::Ready => None,
        Made::Folded => Some(format!("folded to {}", unbroken(&found.network.card.down(ruler)))),
        Made::Die(die) => Some(scene.table.dies.get(die).map_or_else(
            || "then die-cut".to_owned(),
            |die| format!("then die-cut with <bdi>{}</bdi>, {}", escape(&die.name), unbroken(&die.size.down(ruler))),
        )),
    }
}

/// The stock a piece comes from, as markup.
fn from(scene: &Scene<'_>, stock: StockId, turned: Turned) -> String {
    let stock = scene.table.index.stock(stock);
    let size = unbroken(&Size::new(stock.width, stock.height).exact(scene.table.settings.unit));
    let turned = if turned == Turned::Quarter { ", turned a quarter" } else { "" };
    format!("from {} {size} <code><bdi>{}</bdi></code>{turned}", kind_word(stock), escape(stock.id()))
}

fn credit(scene: &Scene<'_>, found: &Suggestion) -> String {
    let layout = &scene.table.layouts[found.layout];
    let thanks = layout.credit.as_ref().map(|credit| format!("<bdi>{}</bdi>", escape(credit)));
    let link = layout.link.as_ref().map(|link| {
        let shown = escape(link);
        // Only an address of the web becomes a link: anything else could do something when followed.
        let is_web = ["https://", "http://"].iter().any(|scheme| link.starts_with(scheme));
        if is_web {
            format!("<a href=\"{shown}\" rel=\"noopener noreferrer\">{shown}</a>")
        } else {
            format!("<bdi>{shown}</bdi>")
        }
    });
    let parts: Vec<String> = [thanks, link].into_iter().flatten().collect();
    if parts.is_empty() { String::new() } else { format!("<p class=\"credit\">Layout: {}</p>\n", parts.join(" · ")) }
}

#[cfg(test)]
mod tests {
    use super::points;

    #[test]
    fn a_score_is_shown_to_a_tenth_of_a_point() {
        assert_eq!(points(742_499), "74.2");
        assert_eq!(points(999_950), "100.0");
        assert_eq!(points(-20_000), "-2.0");
    }
}

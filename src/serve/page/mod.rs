//! The pages, each in a file named by what the maker does there; and which address is whose.

mod batch;
mod card;
mod cards;
mod frame;
mod kept;
mod layouts;
mod mats;
mod papers;
mod record;
mod spoilt;
mod stash;
mod tiles;
mod trouble;

pub(super) use cards::{part as card_list, proof};
pub(super) use stash::SMALLEST;
pub(super) use trouble::{pairing, refused, stale, words};

use super::Pages;
use super::view::View;
use swatchfold_door::{Keep, Kind, Told};
use swatchfold_picture::Format;

/// A page to look at.
pub(super) fn look(view: &View<'_>, parts: &[&str]) -> Option<Told> {
    Some(match parts {
        [] => papers::page(view),
        ["pair"] => Told::see("/"),
        ["cards"] => cards::page(view),
        ["card", id] => card::page(view, id),
        ["batch"] => batch::page(view),
        ["batch", "spoilt"] => spoilt::page(view),
        ["batch", "watch", name] => return batch::watch(view, name),
        ["plan", name] => kept::page(view, name),
        ["plan", name, file] => return kept::part(view, name, file),
        ["record"] => record::page(view),
        ["stash"] => stash::page(view),
        ["stash", "add"] => stash::add_page(view),
        ["mats"] => mats::choose(view),
        ["mats", "for", paper @ ..] => mats::page(view, &paper.join("/")),
        ["layouts"] => layouts::page(view),
        ["layouts", "draw"] => layouts::draw(view),
        _ => return None,
    })
}

/// A change that is asked for.
pub(super) fn change(view: &View<'_>, parts: &[&str]) -> Option<Told> {
    Some(match parts {
        ["unit"] => frame::set_unit(view),
        ["tick"] => card::tick(view),
        ["batch", "stop"] => batch::stop(view),
        ["batch", "made"] => batch::made(view),
        ["plan", "keep"] => kept::keep(view),
        ["plan", "away"] => kept::put_away(view),
        ["plan", "made"] => kept::made(view),
        ["record", "undo"] => record::undo(view),
        ["stash", "add"] => stash::add(view),
        ["stash", "recount"] => record::recount(view),
        ["stash", "resize"] => record::resize(view),
        ["layouts", "draw"] => layouts::save(view),
        _ => return None,
    })
}

/// The small copy of a picture, or what is drawn in place of one.
pub(super) fn picture(pages: &Pages, name: &str) -> Option<Told> {
    if let Some(drawing) = pages.shelf.drawing(name) {
        return Some(Told::new(200, Kind::Svg, drawing).kept(Keep::ForGood));
    }
    let copy = pages.shelf.copy(&pages.desk, name)?;
    let kind = match copy.format {
        Format::Png => Kind::Png,
        Format::Jpeg => Kind::Jpeg,
        Format::WebP => Kind::WebP,
    };
    Some(Told::new(200, kind, copy.bytes).kept(Keep::ForGood))
}

//! The opening page, *which pad or paper?*: everything that can be used, spread out as pictures.

use super::super::choices::{Asking, part};
use super::super::view::View;
use super::frame::{self, Area};
use super::tiles::{pieces, sheet};
use crate::index::{Class, FaceId, Source};
use crate::present::Defs;
use maud::{Markup, html};
use std::collections::BTreeMap;
use swatchfold_door::Told;

/// At most so many papers of a pad are laid out; the rest are in the stash.
const MOST_OF_A_PAD: usize = 60;

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    let room = view.room();
    let index = &room.index;
    let usable = |face: &FaceId| !index.face(*face).stock.is_empty();
    let patterned: Vec<FaceId> = index.class(Class::Patterned).iter().copied().filter(usable).collect();
    let plain: Vec<FaceId> = index.class(Class::Plain).iter().copied().filter(usable).collect();
    let images: Vec<FaceId> = index.class(Class::Image).iter().copied().filter(usable).collect();
    let mut pads: BTreeMap<Option<&str>, Vec<FaceId>> = BTreeMap::new();
    for face in &patterned {
        let pad = match index.face(*face).source {
            Source::Paper(paper) => room.stash.papers.get(paper).and_then(|paper| paper.pad.as_deref()),
            _ => None,
        };
        pads.entry(pad).or_default().push(*face);
    }
    let all: Vec<FaceId> = patterned.iter().chain(&plain).chain(&images).copied().collect();
    let pictures = view.pictures_of_faces(room, &all);
    let scene = view.scene(room, &pictures);
    let mut shared = Defs::new("s-");
    let mut groups: Vec<Markup> = Vec::new();
    // Pads first, in the order of their ids; what came singly after them.
    for (pad, faces) in pads.iter().filter(|(pad, _)| pad.is_some()).chain(pads.iter().filter(|(pad, _)| pad.is_none()))
    {
        let heading = pad.map_or_else(|| "Single sheets".to_owned(), pad_name);
        groups.push(group(&scene, &heading, *pad, faces, &mut shared));
    }
    if !images.is_empty() {
        groups.push(group(&scene, "Images", None, &images, &mut shared));
    }
    if !plain.is_empty() {
        groups.push(group(&scene, "Cardstock and plain papers", None, &plain, &mut shared));
    }
    let main = html! {
        (frame::shared(&shared))
        header.lead {
            h1 { "Which pad or paper?" }
            @if all.is_empty() {
                p { "There is no paper here yet." }
            } @else {
                p { "Choose what you would like to use. You see the cards it makes, from what is on hand." }
            }
            p.ways {
                @if !all.is_empty() {
                    a.button.main href="/cards" { "Surprise me" }
                    a.button href="/cards?scraps=1" { "Use up the scraps" }
                }
                a.button href="/stash/add" { "Add a paper" }
            }
        }
        @for group in &groups { (group) }
    };
    frame::page(view, Area::Papers, "Which pad or paper?", &main)
}

/// The name of a pad, from its id: pads have none of their own in the index.
fn pad_name(id: &str) -> String {
    let mut words = id.replace(['-', '_'], " ");
    if let Some(first) = words.get(..1) {
        words = format!("{}{}", first.to_uppercase(), &words[1..]);
    }
    words
}

fn group(
    scene: &crate::present::Scene<'_>,
    heading: &str,
    pad: Option<&str>,
    faces: &[FaceId],
    shared: &mut Defs,
) -> Markup {
    let id = format!("pad-{}", pad.map_or_else(|| heading.to_lowercase().replace(' ', "-"), part));
    let nothing = Asking::default();
    html! {
        section.pad aria-labelledby=(id) {
            header {
                h2 id=(id) { bdi { (heading) } }
                @if let Some(pad) = pad {
                    p.ways {
                        a.button.small href=(nothing.using(pad).at("/cards")) { "Cards" span.out { " from the pad " (heading) } }
                        a.button.small href=(super::batch::using(pad)) { "A batch" span.out { " from the pad " (heading) } }
                    }
                }
            }
            ul.sheets {
                @for face in faces.iter().take(MOST_OF_A_PAD) {
                    @let of = scene.table.index.face(*face);
                    li {
                        a href=(nothing.using(&of.id).at("/cards")) {
                            span.lies { (sheet(scene, *face, shared)) }
                            span.name { bdi { (of.view.name) } }
                            small { (pieces(scene, of)) }
                        }
                    }
                }
            }
            @if faces.len() > MOST_OF_A_PAD {
                p { a href="/stash" { (faces.len() - MOST_OF_A_PAD) " more in the stash" } }
            }
        }
    }
}

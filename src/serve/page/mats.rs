//! *Match a mat*: a paper, its colours, and the plain stock on hand ranked behind it, drawn at the
//! width of edge she chooses.

use super::super::choices::{Asking, part};
use super::super::view::View;
use super::frame::{self, Area};
use super::tiles::{chip, colours, sheet};
use super::trouble;
use crate::index::{Class, FaceId};
use crate::present::{Defs, Scene};
use api::hex;
use api::units::Length;
use maud::{Markup, html};
use swatchfold_door::Told;

/// How many mats are drawn.
const MOST: usize = 24;

/// The page on which a paper is chosen.
pub(super) fn choose(view: &View<'_>) -> Told {
    let room = view.room();
    let index = &room.index;
    let faces: Vec<FaceId> = [Class::Patterned, Class::Image]
        .into_iter()
        .flat_map(|class| index.class(class).iter().copied())
        .filter(|face| !index.face(*face).stock.is_empty())
        .collect();
    let pictures = view.pictures_of_faces(room, &faces);
    let scene = view.scene(room, &pictures);
    let mut shared = Defs::new("s-");
    let tiles: Vec<Markup> = faces.iter().map(|face| sheet(&scene, *face, &mut shared)).collect();
    let main = html! {
        (frame::shared(&shared))
        header.lead {
            h1 { "Match a mat" }
            p { "Pick the paper that is to stand out. You see which of your plain papers set it off." }
        }
        ul.sheets {
            @for (face, tile) in faces.iter().zip(&tiles) {
                @let of = index.face(*face);
                li {
                    a href=(address(&of.id)) {
                        span.lies { (tile) }
                        span.name { bdi { (of.view.name) } }
                    }
                }
            }
        }
    };
    frame::page(view, Area::Mats, "Match a mat", &main)
}

/// The address of the mats for a paper.
fn address(id: &str) -> String {
    let parts: String = id.split('/').map(|one| format!("/{}", part(one))).collect();
    format!("/mats/for{parts}")
}

/// The page of one paper.
pub(super) fn page(view: &View<'_>, paper: &str) -> Told {
    let room = view.room();
    let (face, mut mats) = match room.mats_for(paper, None, false) {
        Ok((wanted, found)) => (wanted.paper, found.mats),
        Err(unknown) => return trouble::unknown(view, &unknown),
    };
    mats.truncate(MOST);
    let settings = &room.stash.settings;
    let edge = edge(view, &settings.reveals);
    let mut faces: Vec<FaceId> = mats.iter().map(|mat| mat.face).collect();
    faces.push(face);
    let pictures = view.pictures_of_faces(room, &faces);
    let scene = view.scene(room, &pictures);
    let of = room.index.face(face);
    let mut shared = Defs::new("s-");
    let whole = sheet(&scene, face, &mut shared);
    let tiles: Vec<Markup> = mats.iter().map(|mat| matted(&scene, face, mat.face, edge, &mut shared)).collect();
    let chips: Vec<Markup> = mats.iter().map(|mat| chip(&scene, mat.face, &mut shared)).collect();
    let nothing = Asking::default();
    let main = html! {
        (frame::shared(&shared))
        p.back { a href="/mats" { "← Another paper" } }
        header.lead.beside {
            span.lies { (whole) }
            div {
                h1 { "A mat for " bdi { (of.view.name) } }
                (colours(of))
                form.choices method="get" action=(address(&of.id)) data-swap="" {
                    fieldset {
                        legend { "Edge showing" }
                        @for reveal in &settings.reveals {
                            label.tick {
                                input type="radio" name="edge" value=(reveal.exact(settings.unit)) checked[*reveal == edge];
                                span { (reveal.exact(settings.unit)) }
                            }
                        }
                    }
                    button.small { "Show" }
                }
                p.ways { a.button href=(nothing.using(&of.id).at("/cards")) { "Find a card with it" } }
            }
        }
        @if mats.is_empty() {
            p { "There is no plain paper or cardstock in the stash to put behind it." }
        }
        ol.mats {
            @for (place, mat) in mats.iter().enumerate() {
                @let own = room.index.face(mat.face);
                li {
                    div.front { (tiles[place]) }
                    div.told {
                        h2 { (chips[place]) bdi { (own.view.name) } }
                        @if let Some(reason) = mat.reasons.iter().max_by_key(|reason| (u128::from(reason.value) * u128::from(reason.weight), reason.scorer.clone())) {
                            p { (capital(&reason.why)) "." }
                        }
                        details {
                            summary { "Why" }
                            ul.inner { @for reason in &mat.reasons { li { (capital(&reason.why)) "." } } }
                        }
                        p.ways { a.button.small href=(nothing.using(&of.id).using(&own.id).at("/cards")) { "Cards with both" span.out { ": " (own.view.name) } } }
                    }
                }
            }
        }
    };
    frame::page(view, Area::Mats, &format!("A mat for {}", of.view.name), &main)
}

fn capital(text: &str) -> String {
    let mut letters = text.trim().trim_end_matches('.').chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The edge asked for, of those she uses; else the second narrowest, since that is the common one.
fn edge(view: &View<'_>, reveals: &[Length]) -> Length {
    let settings = &view.room().stash.settings;
    let asked = view.asked.query("edge").and_then(|text| Length::parse(text, settings.unit).ok());
    let usual = reveals.get(1).or(reveals.first()).copied().unwrap_or(Length::MILLIMETRE * 3);
    asked.filter(|asked| reveals.contains(asked)).unwrap_or(usual)
}

/// A panel of a paper on a mat, 3 by 2 1/4 in, drawn at one scale whatever the edge.
fn matted(scene: &Scene<'_>, face: FaceId, mat: FaceId, edge: Length, shared: &mut Defs) -> Markup {
    let (width, height) = (Length::micrometres(76_200), Length::micrometres(57_150));
    let mm = |length: Length| length.to_mm_decimal();
    let room = Length::micrometres(9_000);
    let under = &scene.table.index.face(mat).view;
    let over = scene.table.index.face(face);
    let picture = scene.pictures.of_face(scene.stash, over.source);
    let whole = (mm(width + room * 2), mm(height + room * 2));
    html! {
        svg viewBox=(format!("0 0 {} {}", whole.0, whole.1)) role="img" aria-label=(format!("{} on {}", over.view.name, under.name)) {
            g fill="#1a120b" fill-opacity=".16" {
                rect x=(mm(room - edge + Length::micrometres(250))) y=(mm(room - edge + Length::micrometres(600))) width=(mm(width + edge * 2)) height=(mm(height + edge * 2)) rx=".4" {}
            }
            rect x=(mm(room - edge)) y=(mm(room - edge)) width=(mm(width + edge * 2)) height=(mm(height + edge * 2)) fill=(hex(under.main_colour())) {}
            @match picture {
                Some(picture) => {
                    svg x=(mm(room)) y=(mm(room)) width=(mm(width)) height=(mm(height)) viewBox="0 0 100 75" preserveAspectRatio="xMidYMid slice" {
                        image width="100" height="100" preserveAspectRatio="xMidYMid slice" href=(picture.href) {}
                    }
                }
                None => {
                    svg x=(mm(room)) y=(mm(room)) width=(mm(width)) height=(mm(height)) viewBox="0 0 30 22.5" preserveAspectRatio="xMidYMid slice" {
                        (chip(scene, face, shared))
                    }
                }
            }
            rect x=(mm(room)) y=(mm(room)) width=(mm(width)) height=(mm(height)) fill="none" stroke="#000" stroke-opacity=".16" stroke-width=".15" {}
        }
    }
}

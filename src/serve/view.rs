//! What every page needs at hand: the request, the stash as it is now, and in which unit this guest
//! wants lengths.

use super::Pages;
use super::choices::{Asking, Unclear};
use super::desk::{Now, Question};
use crate::index::FaceId;
use crate::present::{Pictures, Scene};
use crate::room::{Room, UnknownId};
use crate::score::Suggestion;
use api::units::Unit;
use std::sync::Arc;
use swatchfold_door::{Asked, Told};

/// Work for the first look at the cards: a fraction of a second.
pub(super) const GLANCE: u64 = 400_000;
/// Work for longer looks, one after another, each told as it is done.
pub(super) const LOOKS: [u64; 4] = [2_000_000, 10_000_000, 40_000_000, 150_000_000];

/// What a page is made from.
pub(super) struct View<'a> {
    /// The pages.
    pub(super) pages: &'a Pages,
    /// The request.
    pub(super) asked: &'a Asked,
    /// The stash.
    pub(super) now: Arc<Now>,
    /// The unit lengths are shown in.
    pub(super) unit: Unit,
}

impl<'a> View<'a> {
    pub(super) fn new(pages: &'a Pages, asked: &'a Asked) -> Self {
        let now = pages.desk.now();
        let unit = pages.desk.unit_of(asked.guest.number, &now);
        Self { pages, asked, now, unit }
    }

    /// The room as it is.
    pub(super) fn room(&self) -> &Room {
        self.now.room(self.unit)
    }

    /// What the address asks for.
    pub(super) fn asking(&self) -> Result<Asking, Unclear> {
        Asking::read(&self.asked.query, &self.room().stash.settings)
    }

    /// The room arranged for what is asked.
    pub(super) fn question(&self, asking: &Asking) -> Result<Arc<Question>, Vec<UnknownId>> {
        self.pages.desk.question(asking, self.unit)
    }

    /// Addresses of the pictures that some cards need.
    pub(super) fn pictures_of(&self, room: &Room, cards: &[Suggestion]) -> Pictures {
        let faces = cards.iter().flat_map(|card| {
            let parts = card.choice.parts.iter().flat_map(|choice| &choice.parts).map(|(face, _)| *face);
            card.faces.iter().copied().chain(parts)
        });
        let faces: Vec<FaceId> = faces.collect();
        self.pictures_of_faces(room, &faces)
    }

    /// Addresses of the pictures of some faces.
    pub(super) fn pictures_of_faces(&self, room: &Room, faces: &[FaceId]) -> Pictures {
        self.pages.shelf.pictures(&self.pages.desk, room, faces)
    }

    /// Where everything of a room is looked up to be drawn.
    pub(super) fn scene<'s>(&self, room: &'s Room, pictures: &'s Pictures) -> Scene<'s> {
        Scene { stash: &room.stash, table: room.table(), pictures }
    }

    /// Whether what the page saw is what is; else what it is told: the conflict, with the difference.
    pub(super) fn is_stale(&self) -> Option<Told> {
        let seen = self.asked.revision.as_deref().or_else(|| self.asked.field("revision")).unwrap_or_default();
        let now = self.pages.desk.look();
        (seen != now.revision).then(|| super::page::stale(self, seen))
    }
}

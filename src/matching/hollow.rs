//! Hollow mats: the middle of a piece, of which nothing shows, as stock for another piece.
//!
//! A card's slots with their faces in; which middles could be cut out with a knife, and how large they
//! are, out. A middle lies a glue margin within the edge of its own piece and a glue margin beneath the
//! edge of the one opaque panel that covers it. That panel lies flat right on the piece, so that it is
//! glued to the ring all round. What is raised, curved, cut by a die, pieced together or trimmed flush
//! keeps its middle, and so do the base, images and what one can see through.

use super::{Layer, Network, Outline};
use crate::index::{FaceId, Index, is_opaque};
use crate::layout::{Rect, Region};
use crate::stash::Settings;
use api::units::{Length, Size};
use api::{Material, Role};

/// The smallest opening that is cut with a knife by hand, 1 in each way. Common practice, no source.
pub const SMALLEST: Length = Length::INCH;

/// A middle that could be cut out of one piece of a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Middle {
    /// The layer it lies in, as a place in [`Network::layers`].
    pub layer: usize,
    /// The slot of that layer.
    pub slot: usize,
    /// The place of the piece among what the slot needs.
    pub need: usize,
    /// Where it lies on the card.
    pub rect: Rect,
    /// The layer that covers it.
    pub cover: usize,
}

/// A piece whose middle is cut out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hollow {
    /// The slot.
    pub slot: usize,
    /// The place among its needs.
    pub need: usize,
    /// Where on the card.
    pub rect: Rect,
    /// The layer that covers it, as a place in [`Network::layers`].
    pub cover: usize,
    /// On how many of the cards that are made alike.
    pub copies: u32,
}

/// Whose middle a piece is cut from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MiddleOf {
    /// The card's id.
    pub card: String,
    /// The layer.
    pub layer: String,
}

/// A piece that is cut from the middle of another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FromMiddle {
    /// The slot.
    pub slot: usize,
    /// The place among its needs.
    pub need: usize,
    /// Whose middle.
    pub of: MiddleOf,
}

impl MiddleOf {
    /// "middle of the window mat of three-bands-1a2b3c".
    #[must_use]
    pub fn words(&self) -> String {
        format!("middle of the {} of {}", self.layer, self.card)
    }
}

/// The middles of a card that could all be cut out, no two over one another, the lowest layer first.
#[must_use]
pub fn middles(index: &Index, settings: &Settings, network: &Network, faces: &[FaceId]) -> Vec<Middle> {
    let covers: Vec<Option<Rect>> =
        (0..network.layers.len()).map(|place| cover(index, network, faces, place, settings.glue_margin)).collect();
    let mut found: Vec<Middle> = Vec::new();
    for (place, need) in own_needs(network) {
        let layer = &network.layers[place];
        let material = index.face(faces[layer.slot]).view.material;
        let Some(piece) = may_be_hollow(network, place) else { continue };
        if !is_opaque(material) || material == Material::Image {
            continue;
        }
        let above = (place + 1..network.layers.len()).filter_map(|cover| Some((cover, covers[cover]?)));
        let best = above
            .filter_map(|(cover, rect)| Some((cover, within(&piece, &rect, settings)?)))
            .filter(|(cover, rect)| {
                let between = &network.layers[place + 1..*cover];
                between.iter().all(|layer| around(layer).shared(rect).is_empty())
            })
            .max_by_key(|(cover, rect)| (rect.area(), std::cmp::Reverse(*cover)));
        found.extend(best.map(|(cover, rect)| Middle { layer: place, slot: layer.slot, need, rect, cover }));
    }
    found.sort_by_key(|middle| (std::cmp::Reverse(middle.rect.area()), middle.layer));
    let mut kept: Vec<Middle> = Vec::new();
    for middle in found {
        // What covers a middle is whole there, and what lies over one hole has no other in it.
        let clashes = |other: &Middle| !other.rect.shared(&middle.rect).is_empty();
        if !kept.iter().any(clashes) {
            kept.push(middle);
        }
    }
    kept.sort_by_key(|middle| middle.layer);
    kept
}

/// For each piece of a card that could be hollow, its slot and the size of the largest middle that
/// anything above could cover, whatever papers are chosen.
#[must_use]
pub fn largest(settings: &Settings, network: &Network) -> Vec<(usize, Size)> {
    let mut found = Vec::new();
    for place in 0..network.layers.len() {
        let Some(piece) = may_be_hollow(network, place) else { continue };
        let above = network.layers[place + 1..].iter().map(around);
        let sizes = above.filter_map(|rect| within(&piece, &rect, settings)).map(|rect| rect.size());
        found.extend(sizes.max_by_key(|size| size.area()).map(|size| (network.layers[place].slot, size)));
    }
    found
}

/// The middle of a piece beneath a cover, its edges on the ruler as measured from the piece's own.
fn within(piece: &Rect, cover: &Rect, settings: &Settings) -> Option<Rect> {
    let (margin, ruler) = (settings.glue_margin, settings.ruler);
    let room = piece.inset(margin).shared(&cover.inset(margin));
    let up = |length: Length| -(-length).floor_to(ruler);
    let (left, top) = (piece.left + up(room.left - piece.left), piece.top + up(room.top - piece.top));
    let (width, height) = ((room.right - left).floor_to(ruler), (room.bottom - top).floor_to(ruler));
    (width >= SMALLEST && height >= SMALLEST).then(|| Rect { left, top, right: left + width, bottom: top + height })
}

/// The piece of a layer that could be hollow, as far as that does not hang on its paper.
fn may_be_hollow(network: &Network, place: usize) -> Option<Rect> {
    let layer = &network.layers[place];
    let [piece] = layer.pieces.as_slice() else { return None };
    let is_plain = layer.role != Role::Base
        && layer.outline == Outline::Rectangle
        && layer.die.is_none()
        && !layer.overruns
        && !layer.raised;
    is_plain.then_some(*piece)
}

/// What a layer certainly covers, as one rectangle: nothing where it is on foam or pieced together, one
/// can see through it, or it is an image, which may be a figure cut out.
fn cover(index: &Index, network: &Network, faces: &[FaceId], place: usize, margin: Length) -> Option<Rect> {
    let layer = &network.layers[place];
    let material = index.face(faces[layer.slot]).view.material;
    let [piece] = layer.pieces.as_slice() else { return None };
    // A raised panel with mats lies flat on them.
    let is_on_mat = place.checked_sub(1).is_some_and(|below| {
        let below = &network.layers[below];
        layer.role != Role::Mat && below.role == Role::Mat && below.id.starts_with(&format!("{} mat", layer.id))
    });
    let hides = is_opaque(material) && material != Material::Image && layer.role != Role::Base;
    if !hides || (layer.raised && !is_on_mat) {
        return None;
    }
    let bands = layer.outline.inner(piece).into_iter().map(|band| band.shared(&layer.rect));
    Region::apart(bands).largest(margin * 2)
}

/// All that a layer may take up on the card.
fn around(layer: &Layer) -> Rect {
    layer.pieces.iter().copied().reduce(|one, other| one.around(&other)).unwrap_or(layer.rect)
}

/// Each layer's place, and the place of its first piece among what its slot needs.
fn own_needs(network: &Network) -> Vec<(usize, usize)> {
    let mut next = vec![0_usize; network.slots.len()];
    let mut found = Vec::with_capacity(network.layers.len());
    for (place, layer) in network.layers.iter().enumerate() {
        found.push((place, next[layer.slot]));
        next[layer.slot] += layer.pieces.len();
    }
    found
}

//! The words for laying a layer down: where it goes, with what it is held, and what to mind.

use super::{GLUE, SMALL, Telling, piece_names};
use crate::construct::foam::Pads;
use crate::construct::stack::{Held, Sight};
use crate::index::is_opaque;
use crate::layout::{Change, Outline, Rect};
use api::units::{Length, Size};
use api::{Directional, PatternKind, Role};

/// A raised part shorter than this could come off and be swallowed: the cylinder of 16 CFR 1501.4 is
/// 1 1/4 in wide and at most 2 1/4 in deep.
const SMALL_PART: Length = Length::from_nanometres(57_150_000);

impl Telling<'_> {
    pub(super) fn lay(&self, layer: usize) -> String {
        let place = self.built.place_of(layer);
        let sheet = &self.built.stack.sheets[place];
        let the = self.the(layer);
        if let (Held::OnFoam, Some(pads)) = (sheet.held, &self.built.beneath[place].foam) {
            let shows = self.foam_that_shows(place, &the, pads);
            return format!("{}{shows} Then press it down {}.", self.foam(&the, pads), self.place(layer));
        }
        if sheet.sight == Sight::Through
            && let Some(zones) = &self.built.glue_zones[place]
        {
            return match zones.rects().iter().max_by_key(|zone| zone.area()) {
                Some(zone) => format!(
                    "Lay {the} {}. It hides nothing: glue only where a layer above covers it, such as {} from the left and {} from the top, {}.",
                    self.place(layer),
                    self.length(zone.left),
                    self.length(zone.top),
                    self.size(zone.size())
                ),
                None => format!(
                    "Lay {the} {}. It hides nothing and there is no hidden place for glue: use clear corners, or foam beneath the image.",
                    self.place(layer)
                ),
            };
        }
        let own = self.own(layer);
        if own.len() > 1 {
            let names = piece_names(own.len(), self.axis(&own));
            let told: Vec<String> =
                own.iter().zip(names).map(|(piece, name)| format!("the {name} {}", self.at(&piece.rect))).collect();
            return format!(
                "Glue the pieces of {the} with {}: {}. Keep them in line along a ruler.{}",
                self.adhesive(layer),
                told.join("; "),
                self.motif_of_strips(layer)
            );
        }
        format!("Glue {the} with {}, {}.", self.adhesive(layer), self.place(layer))
    }

    /// How strips with gaps between them show off a motif; nothing where a panel's pieces go on beneath a
    /// cover, or where the paper has none.
    fn motif_of_strips(&self, layer: usize) -> &'static str {
        let slot = self.layer(layer).slot;
        let panel = self.card.network.slots[slot].panel;
        let are_strips = |change: &Change| matches!(change, Change::Strips { panel: of, .. } if Some(*of) == panel);
        let pattern = self.table.index.face(self.card.faces[slot]).view.pattern;
        let has_motif = matches!(pattern.kind, PatternKind::Scattered | PatternKind::BigMotif);
        if !has_motif || !self.card.changes.iter().any(|(change, _)| are_strips(change)) {
            return "";
        }
        match pattern.directional {
            Directional::No => {
                " The motif need not go on across the gaps: let neighbours show different parts of it, and turn every other strip end for end if that looks better."
            }
            Directional::QuarterTurn | Directional::OneWay => {
                " The motif need not go on across the gaps: let neighbours show different parts of it, all the same way up."
            }
        }
    }

    fn foam(&self, the: &str, pads: &Pads) -> String {
        let tape = self.ruler.nearest(pads.tape());
        // The largest first.
        let mut sizes: Vec<(Size, usize)> = Vec::new();
        for pad in &pads.pads {
            match sizes.iter_mut().find(|(size, _)| *size == pad.size()) {
                Some((_, count)) => *count += 1,
                None => sizes.push((pad.size(), 1)),
            }
        }
        sizes.sort_by_key(|(size, _)| std::cmp::Reverse(size.area()));
        let squares: Vec<String> = sizes
            .iter()
            .map(|(size, count)| {
                let squares = if *count == 1 { "foam square" } else { "foam squares" };
                format!("{count} {squares} of {}", self.size(*size))
            })
            .collect();
        let mut text = format!(
            "Put {} on the back of {the} (or {tape} of tape), set back 1/8 in from its edge and nowhere further apart than {}.",
            squares.join(" and "),
            self.table.settings.foam_span.exact(self.table.settings.unit)
        );
        for (part, reach) in &pads.tucked {
            let id = self.built.parts.get(*part).map_or(String::new(), |part| self.the(part.layer));
            text.push_str(&format!(
                " Keep it clear of {id}, which tucks beneath; trim {id} if more than {} of it would lie there.",
                self.length(*reach)
            ));
        }
        text
    }

    pub(super) fn place(&self, layer: usize) -> String {
        let sheet = &self.built.stack.sheets[self.built.place_of(layer)];
        self.at(&sheet.whole)
    }

    /// "1/8 in from the left and 1/4 in from the top of the card".
    fn at(&self, rect: &Rect) -> String {
        let from = |by: Length, side: &str| {
            if by < Length::ZERO {
                format!("{} over the {side} edge", self.length(-by))
            } else if by == Length::ZERO {
                format!("along the {side} edge")
            } else {
                format!("{} from the {side}", self.length(by))
            }
        };
        format!("{} and {} of the card", from(rect.left, "left"), from(rect.top, "top"))
    }

    pub(super) fn adhesive(&self, layer: usize) -> &'static str {
        let of = self.layer(layer);
        let is_flat = of.die.is_none() && of.outline == Outline::Rectangle && of.role != Role::Focal;
        if is_flat {
            "tape along all its edges, and a drop of liquid glue at each corner"
        } else {
            "liquid glue, thin along the edges, and a weight on it while it dries"
        }
    }

    pub(super) fn glue_cautions(&self, layer: usize) -> Vec<&'static str> {
        let face = self.table.index.face(self.card.faces[self.layer(layer).slot]);
        let small = self.built.stack.sheets[self.built.place_of(layer)].held == Held::OnFoam;
        let mut cautions = if is_opaque(face.view.material) { vec![GLUE] } else { Vec::new() };
        if small && self.whole(layer).size().long() < SMALL_PART {
            cautions.push(SMALL);
        }
        cautions
    }
}

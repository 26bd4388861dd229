//! Foam beneath what one sees through, in words.

use super::steps::Telling;
use crate::construct::foam::Pads;
use crate::construct::stack::Sight;
use crate::layout::Region;

impl Telling<'_> {
    /// How much of the foam beneath a layer shows through it, and what to do; nothing where none does.
    pub(super) fn foam_that_shows(&self, place: usize, the: &str, pads: &Pads) -> String {
        let sheets = &self.built.stack.sheets;
        if sheets[place].sight != Sight::Through || !self.is_vellum(place) {
            return String::new();
        }
        let above = sheets[place + 1..].iter().filter(|sheet| sheet.sight == Sight::Opaque);
        let hides = Region::all(above.flat_map(|sheet| sheet.inner()));
        let shows = pads.pads.iter().filter(|pad| !hides.holds(pad)).count();
        match (shows, pads.pads.len()) {
            (0, _) => format!(" {} is see-through, and all of this foam is hidden by what lies on it.", capital(the)),
            (shows, all) => format!(
                " {} is see-through: {shows} of the {all} would show, so leave them out or cut them to what lies on it; or lay it flat, with clear glue beneath what hides it.",
                capital(the)
            ),
        }
    }

    fn is_vellum(&self, place: usize) -> bool {
        let part = self.built.parts[place];
        let face = self.card.faces[self.card.network.layers[part.layer].slot];
        part.part.is_none() && self.table.index.face(face).view.material == api::Material::Vellum
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

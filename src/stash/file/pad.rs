//! A pad of patterned paper: sheet size, designs, copies of each in, a paper for each face and a
//! line for each design out.

use super::draft::{Draft, Stuff};
use super::face::{FINISHES, MATERIALS, Said, directional, face};
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys;
use super::mend::Called;
use super::stock::{FIBRES, Fibres, MOST};
use super::value::{choice, count, date, id, length, size, text};
use super::weight::weight;
use crate::stash::{Date, Grain, Line, LineKind, Paper};
use api::units::{Purpose, Size};
use api::{Directional, Material};

/// What a pad says of all its designs.
struct Pad {
    id: String,
    name: String,
    /// `None` where it cannot be read: then no design can be had.
    sheet: Option<Size>,
    copies: Option<u32>,
    added: Option<Date>,
    said: Said,
    stuff: Stuff,
    grain: Option<Grain>,
    picture_of: Option<Size>,
    directional: Option<Directional>,
}

impl Draft<'_> {
    /// Reads a pad.
    pub(super) fn read_pad(&mut self, top: &Fields<'_, '_>) {
        let prefix = self.prefixes.of(top.document);
        let pad = pad(top, prefix);
        let designs = top.sections("design", &keys::DESIGN);
        if designs.is_empty() {
            top.no_entries("design");
        }
        let is_had = pad.sheet.is_some() && self.stock.claim(top, &pad.id);
        if !is_had {
            self.stock.mark_broken(pad.id.clone());
        }
        for (number, design) in designs.into_iter().enumerate() {
            let position = format!("{:02}", number + 1);
            match design {
                Entry::Good(fields) => self.read_design(&fields, &pad, position, is_had),
                Entry::Broken(Called { id, .. }) => {
                    self.stock.mark_broken(format!("{}/{}", pad.id, id.unwrap_or(position)));
                }
            }
        }
    }

    fn read_design(&mut self, fields: &Fields<'_, '_>, pad: &Pad, position: String, is_had: bool) {
        let own = fields.read("id", Otherwise::Take("if it had none"), id).unwrap_or(position);
        let id = format!("{}/{own}", pad.id);
        let front = face(fields);
        let copies = fields.optional("copies", "if as many as of the others", count(0..=MOST));
        let added = fields.optional("added", UNSAID, date).or(pad.added);
        let back = fields.section("back", &keys::BACK).and_then(|back| face(&back));

        let (Some(front), Some(sheet), true) = (front, pad.sheet, is_had) else {
            self.stock.mark_broken(id);
            return;
        };
        if !self.stock.claim(fields, &id) {
            return;
        }
        let mut assumed = Vec::new();
        let count = copies.or(pad.copies).unwrap_or_else(|| {
            assumed.push("copies");
            1
        });
        let front = front.into_front(id.clone(), format!("{} {own}", pad.name), pad.said, &mut assumed);
        let front = pad.complete(front);
        let back = back.map(|back| pad.complete(back.into_back(&front)));
        let (front, back) = self.add_faces(front, back, pad.stuff);
        self.add_line(Line {
            id,
            kind: LineKind::Sheet,
            front,
            back,
            width: sheet.width,
            height: sheet.height,
            count,
            added,
            grain: pad.grain,
            grams_per_square_metre: pad.stuff.grams_per_square_metre,
            thickness: pad.stuff.thickness,
            assumed,
        });
    }
}

impl Pad {
    /// A paper with what the pad says of all its papers.
    fn complete(&self, mut paper: Paper) -> Paper {
        paper.pad = Some(self.id.clone());
        paper.picture_of = paper.picture_of.or(self.picture_of.map(|shown| (shown.width, shown.height)));
        paper.pattern.directional = paper.pattern.directional.or(self.directional);
        paper
    }
}

/// What stands at the top of a pad's file.
fn pad(top: &Fields<'_, '_>, prefix: String) -> Pad {
    let id = top.read("id", Otherwise::Take("if it had none"), id).unwrap_or(prefix);
    let sheet = top.required("sheet", "sheet = \"6 x 6 in\"", size(Purpose::Sheet));
    let grain = top.optional("grain", UNSAID, choice(FIBRES));
    Pad {
        name: top.optional("name", UNSAID, text).unwrap_or_else(|| id.clone()),
        copies: top.optional("copies", "1 copy of each design", count(0..=MOST)),
        added: top.optional("added", UNSAID, date),
        said: Said {
            material: top.optional("material", UNSAID, choice(MATERIALS)).or(Some(Material::Patterned)),
            finish: top.optional("finish", UNSAID, choice(FINISHES)),
        },
        stuff: Stuff {
            back: None,
            grams_per_square_metre: top.optional("weight", UNSAID, weight),
            thickness: top.optional("thickness", UNSAID, length),
        },
        grain: grain.zip(sheet).map(|(fibres, sheet): (Fibres, Size)| fibres.of(sheet)),
        picture_of: top.optional("picture-shows", UNSAID, size(Purpose::Sheet)),
        directional: top.optional("directional", UNSAID, directional),
        sheet,
        id,
    }
}

//! What one can see of a stock: the keys that a design, a back, a sheet and a scrap share in, a
//! face out. At least a picture or a colour is needed; everything else may be silent.

use super::colour::colours;
use super::fields::{Fields, Otherwise, UNSAID};
use super::pictures::NoPicture;
use super::value::{Read, Value, choice, length, raw_text, share, size, text};
use crate::problem::Fault;
use crate::stash::{Colours, Paper, PatternEntry};
use api::units::{Purpose, Size};
use api::{Directional, Finish, Material, PatternKind, Swatch};
use std::path::PathBuf;

/// What stock may be made of.
pub(super) const MATERIALS: &[(&str, Material)] = &[
    ("patterned", Material::Patterned),
    ("cardstock", Material::Cardstock),
    ("vellum", Material::Vellum),
    ("glitter", Material::Glitter),
    ("kraft", Material::Kraft),
];

/// How a surface may take the light.
pub(super) const FINISHES: &[(&str, Finish)] = &[
    ("smooth", Finish::Smooth),
    ("textured", Finish::Textured),
    ("pearl", Finish::Pearl),
    ("metallic", Finish::Metallic),
    ("glitter", Finish::Glitter),
];

/// What a pattern may be.
const PATTERNS: &[(&str, PatternKind)] = &[
    ("solid", PatternKind::Solid),
    ("tonal", PatternKind::Tonal),
    ("stripe", PatternKind::Stripe),
    ("dot", PatternKind::Dot),
    ("check", PatternKind::Check),
    ("scattered", PatternKind::Scattered),
    ("big-motif", PatternKind::BigMotif),
];

/// Which turns may change it.
const DIRECTIONS: &[(&str, Directional)] =
    &[("no", Directional::No), ("quarter-turn", Directional::QuarterTurn), ("one-way", Directional::OneWay)];

/// The keys that say what one sees, which are pointless beside the id of a paper that says it all.
const OWN: [&str; 12] = [
    "name",
    "picture",
    "picture-shows",
    "colour",
    "colours",
    "pattern",
    "busyness",
    "repeat",
    "directional",
    "material",
    "finish",
    "back",
];

/// What was written of a face.
pub(super) struct Face {
    name: Option<String>,
    picture: Option<PathBuf>,
    picture_of: Option<Size>,
    colours: Option<Vec<Swatch>>,
    pattern: PatternEntry,
    material: Option<Material>,
    finish: Option<Finish>,
}

/// The face a section describes; `None` where there is nothing to see, which is told.
pub(super) fn face(fields: &Fields<'_, '_>) -> Option<Face> {
    let has_picture = fields.value("picture").is_some();
    let key = if fields.value("colours").is_some() { "colours" } else { "colour" };
    if key == "colours" {
        fields.pointless("colour", "colours");
    }
    let otherwise = |other: bool, taken_as| if other { Otherwise::Take(taken_as) } else { Otherwise::LeaveOut };
    let colours = fields.read(key, otherwise(has_picture, "the picture shows it"), colours);
    let picture = fields.read("picture", otherwise(colours.is_some(), "if there were no picture"), picture);
    let has_colours = fields.value(key).is_some();
    if !has_picture && !has_colours {
        fields.report(fields.span.clone(), Fault::NothingToSee { of: fields.keys.of }, fields.left_out());
    }
    let face = Face {
        name: fields.optional("name", UNSAID, text),
        picture_of: fields.optional("picture-shows", "a whole sheet", size(Purpose::Sheet)),
        pattern: PatternEntry {
            kind: fields.optional("pattern", UNSAID, choice(PATTERNS)),
            busyness: fields.optional("busyness", UNSAID, share),
            repeat: fields.optional("repeat", UNSAID, length),
            directional: fields.optional("directional", UNSAID, directional),
        },
        material: fields.optional("material", UNSAID, choice(MATERIALS)),
        finish: fields.optional("finish", UNSAID, choice(FINISHES)),
        picture,
        colours,
    };
    (face.picture.is_some() || face.colours.is_some()).then_some(face)
}

/// Whether a section says anything of what one sees.
pub(super) fn has_face(fields: &Fields<'_, '_>) -> bool {
    ["picture", "colour", "colours"].into_iter().any(|key| fields.value(key).is_some())
}

/// Says which keys are pointless in a section that names its paper.
pub(super) fn pointless_beside_paper(fields: &Fields<'_, '_>) {
    for key in OWN {
        fields.pointless(key, "paper");
    }
}

/// What holds for a face that does not say otherwise.
#[derive(Clone, Copy, Default)]
pub(super) struct Said {
    /// What it is made of.
    pub(super) material: Option<Material>,
    /// How its surface takes the light.
    pub(super) finish: Option<Finish>,
}

impl Face {
    /// The paper whose front it is. What nobody said is added to `assumed`.
    pub(super) fn into_front(self, id: String, name: String, said: Said, assumed: &mut Vec<&'static str>) -> Paper {
        let material = self.material.or(said.material).unwrap_or_else(|| {
            assumed.push("material");
            self.likely_material()
        });
        let finish = self.finish.or(said.finish).unwrap_or_else(|| match material {
            Material::Glitter => Finish::Glitter,
            _ => {
                assumed.push("finish");
                Finish::Smooth
            }
        });
        self.into_paper(id, name, material, finish)
    }

    /// The paper that is on the other side of a front: of the same stuff, unless it says otherwise.
    pub(super) fn into_back(self, front: &Paper) -> Paper {
        let material = self.material.unwrap_or(match front.material {
            Material::Patterned => self.likely_material(),
            plain => plain,
        });
        let finish = self.finish.unwrap_or(front.finish);
        let back = self.into_paper(format!("{}/back", front.id), format!("{}, back", front.name), material, finish);
        Paper { pad: front.pad.clone(), ..back }
    }

    /// The material where none was written: what has a picture or a pattern is patterned paper,
    /// and a plain colour is cardstock.
    fn likely_material(&self) -> Material {
        let is_plain = matches!(self.pattern.kind, None | Some(PatternKind::Solid));
        if self.picture.is_none() && is_plain { Material::Cardstock } else { Material::Patterned }
    }

    fn into_paper(self, id: String, name: String, material: Material, finish: Finish) -> Paper {
        Paper {
            id,
            name: self.name.unwrap_or(name),
            material,
            finish,
            colours: self.colours.map_or(Colours::FromPicture, Colours::Entered),
            pattern: self.pattern,
            picture: self.picture,
            picture_of: self.picture_of.map(|shown| (shown.width, shown.height)),
            pad: None,
        }
    }
}

/// A picture that is there.
pub(super) fn picture(value: &Value<'_, '_>) -> Read<PathBuf> {
    let written = raw_text(value)?;
    let document = value.document;
    document.reader.pictures.find(&document.source.file, written).or_else(|why| {
        value.fault(match why {
            NoPicture::Path(why) => Fault::BadPicturePath { path: written.to_owned(), why },
            NoPicture::Missing(beside) => {
                let (folder, name) = match written.rsplit_once('/') {
                    Some((folder, name)) => (format!("{folder}/"), name),
                    None => (String::new(), written),
                };
                let nearest = document.reader.nearest(name, beside.iter().map(String::as_str));
                let nearest = nearest.map(|name| format!("{folder}{name}"));
                Fault::MissingPicture { path: written.to_owned(), nearest }
            }
        })
    })
}

/// Which turns change a pattern: a word, or `true` for "has a right way up".
pub(super) fn directional(value: &Value<'_, '_>) -> Read<Directional> {
    match value.value.as_bool() {
        Some(true) => Ok(Directional::OneWay),
        Some(false) => Ok(Directional::No),
        None => choice(DIRECTIONS)(value),
    }
}

//! Answers as JSON: a room and what it answered in, one document a command out.
//!
//! Every document says its `format`, and `docs/json.md` describes every field. Lengths are
//! millimetres, scores and shares are decimals, all written digit by digit from whole numbers, so
//! that nothing is rounded on the way. It reads values and decides nothing.

mod build;
mod cards;
mod colour;
mod envelope;
mod lists;
mod mats;
mod number;
mod scan;
mod tried;

pub use cards::suggestions;
pub use colour::colour;
pub use lists::{check, layouts, plugins, stock};
pub use mats::mats;
pub use scan::scan;
pub use tried::tried;
mod plan;
mod records;

pub use envelope::envelope;
pub use plan::plan;
pub use records::{history, recorded};

use crate::present::sizes::card_name;
use crate::room::Room;
use api::units::Size;
use api::{Material, PaperView, Role};
use number::{Millimetres, Millionths};
use serde::Serialize;

/// The format of every document. It grows when a field changes its meaning or goes, not when one comes.
pub const FORMAT: u32 = 1;

#[derive(Serialize)]
struct Files<'a> {
    format: u32,
    files: &'a [String],
}

/// What was written.
#[must_use]
pub fn files(files: &[String]) -> String {
    written(&Files { format: FORMAT, files })
}

/// A decimal with one place, for documents made elsewhere in this module.
pub(super) struct Decimal(number::Millionths);

impl Decimal {
    /// So many tenths.
    pub(super) fn tenths(count: u64) -> Self {
        Self(number::Millionths::of(count.saturating_mul(100_000)))
    }
}

impl Serialize for Decimal {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

/// A document made elsewhere in this module, as text.
pub(super) fn document(document: &impl Serialize) -> String {
    written(document)
}

/// A document as text, ending in a line break.
fn written(document: &impl Serialize) -> String {
    // Nothing here has a map with keys that are no text, the one thing serde_json cannot write.
    let mut text = serde_json::to_string_pretty(document).expect("a document of lists, texts and numbers");
    text.push('\n');
    text
}

/// A card's size.
#[derive(Serialize)]
struct CardSize {
    size: String,
    width: Millimetres,
    height: Millimetres,
}

/// A size with its name where it has one.
fn card_size(room: &Room, size: Size) -> CardSize {
    let settings = &room.stash.settings;
    CardSize {
        size: card_name(size, settings).unwrap_or_else(|| size.exact(settings.unit)),
        width: Millimetres(size.width),
        height: Millimetres(size.height),
    }
}

/// One of a paper's colours.
#[derive(Serialize)]
struct Colour {
    hex: String,
    share: Millionths,
}

fn colours(view: &PaperView) -> Vec<Colour> {
    view.swatches
        .iter()
        .map(|swatch| Colour { hex: api::hex(swatch.colour), share: Millionths::of(swatch.share.millionths()) })
        .collect()
}

const fn material(material: Material) -> &'static str {
    match material {
        Material::Patterned => "patterned",
        Material::Cardstock => "cardstock",
        Material::Vellum => "vellum",
        Material::Glitter => "glitter",
        Material::Kraft => "kraft",
        Material::Image => "image",
        _ => "other",
    }
}

const fn role(role: Role) -> &'static str {
    match role {
        Role::Base => "base",
        Role::Background => "background",
        Role::Band => "band",
        Role::Feature => "feature",
        Role::Focal => "focal",
        Role::Sentiment => "sentiment",
        Role::Mat => "mat",
        Role::Part => "part",
        _ => "other",
    }
}

//! The words for what a maker would want told: what was changed in a layout and why, what a thing is.
//!
//! Changes, layers and lacks in; plain sentences out, without a full stop and with nothing escaped.
//! Text, JSON and pages share them.

mod change;
mod dots;
mod foam;
mod hollow;
mod joins;
mod lack;
mod steps;

pub use change::{ChangeWords, change_words, changes_in_words};
pub use dots::{dots_of, how_many, is_for_a_young_child, why_dots};
pub use hollow::KNIFE_OUT;
pub use joins::names as piece_names;
pub use lack::{LackWords, lack_words};
pub use steps::{StepWords, steps_in_words};

use crate::index::{FaceId, Stock, StockKind};
use crate::score::{Suggestion, Table};
use crate::stash::LineKind;
use api::units::{Length, Unit};
use api::{Finish, Material, Role};

/// "1/8 to 1/4 in": the unit once, where both have the same.
#[must_use]
pub fn from_to(from: Length, to: Length, unit: Unit) -> String {
    let (from, to) = (from.exact(unit), to.exact(unit));
    match (from.rsplit_once(' '), to.rsplit_once(' ')) {
        (Some((number, one)), Some((_, other))) if one == other => format!("{number} to {to}"),
        _ => format!("{from} to {to}"),
    }
}

/// "the background": a panel's id with its article, unless it has one.
#[must_use]
pub fn with_article(panel: &str) -> String {
    if panel.starts_with("the ") { panel.to_owned() } else { format!("the {panel}") }
}

/// "sheet", "scrap", "card base" or "image".
#[must_use]
pub const fn kind_word(stock: &Stock) -> &'static str {
    match stock.kind {
        StockKind::Cuttable(LineKind::Scrap) => "scrap",
        StockKind::Cuttable(LineKind::CardBase) | StockKind::CardBase => "card base",
        StockKind::Cuttable(LineKind::Sheet) => "sheet",
        StockKind::Image => "image",
    }
}

/// What a panel is for, in a maker's word.
#[must_use]
pub const fn role_word(role: Role) -> &'static str {
    match role {
        Role::Base => "card base",
        Role::Background => "background",
        Role::Band => "band",
        Role::Feature => "feature panel",
        Role::Focal => "focal piece",
        Role::Sentiment => "sentiment",
        Role::Mat => "mat",
        Role::Part => "part",
        _ => "panel",
    }
}

/// What a stock is, in a maker's words.
#[must_use]
pub const fn material_word(material: Material) -> &'static str {
    match material {
        Material::Patterned => "patterned paper",
        Material::Cardstock => "cardstock",
        Material::Vellum => "vellum",
        Material::Glitter => "glitter stock",
        Material::Kraft => "kraft",
        Material::Image => "image",
        _ => "paper",
    }
}

/// How a surface takes the light, in a maker's word.
#[must_use]
pub const fn finish_word(finish: Finish) -> &'static str {
    match finish {
        Finish::Smooth => "smooth",
        Finish::Textured => "textured",
        Finish::Pearl => "pearl",
        Finish::Metallic => "metallic",
        Finish::Glitter => "glitter",
        _ => "other",
    }
}

/// Materials as a list: "patterned paper, cardstock or kraft".
#[must_use]
pub fn any_of(materials: &[Material]) -> String {
    let words: Vec<&str> = materials.iter().map(|material| material_word(*material)).collect();
    match words.as_slice() {
        [] => "paper".to_owned(),
        [only] => (*only).to_owned(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

/// The papers of a card that a maker would name it by: patterned ones first, else the card base, each once.
#[must_use]
pub fn named_by(table: Table<'_>, card: &Suggestion) -> Vec<FaceId> {
    let mut named: Vec<FaceId> = Vec::new();
    for face in &card.faces {
        if table.index.face(*face).view.material == Material::Patterned && !named.contains(face) {
            named.push(*face);
        }
    }
    if named.is_empty() {
        named.extend(card.faces.first());
    }
    named
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_between_units_names_both() {
        assert_eq!(from_to(Length::MILLIMETRE * 3, Length::micrometres(6_350), Unit::Inch), "3 mm to 1/4 in");
        assert_eq!(from_to(Length::MILLIMETRE * 3, Length::MILLIMETRE * 5, Unit::Millimetre), "3 to 5 mm");
    }
}

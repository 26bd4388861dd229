//! How thick and how heavy paper is, where nobody measured it: estimates, and marked as such.
//!
//! Thickness is grammage times bulk (ISO 534: apparent specific volume). The usual grammages and bulks
//! are between those of the US Government Paper Specification Standards, 1999 (text A55, index K10),
//! since official cover grades give no thickness; vellum, glitter and images are from memory.

use api::Material;
use api::units::Length;

/// Whether a value was measured or entered, or is ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// She entered it.
    Entered,
    /// We estimated it.
    Estimated,
}

/// How thick and how heavy a paper is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Body {
    /// How thick one ply is.
    pub caliper: Length,
    /// Grams per square metre.
    pub grammage: u32,
    /// Whether the thickness was entered.
    pub caliper_known: Known,
    /// Whether the weight was entered.
    pub grammage_known: Known,
}

/// Usual grams per square metre, and bulk in hundredths of a cubic centimetre per gram.
const fn usual(material: Material) -> (u32, i64) {
    match material {
        // 70 lb text: 105 g/m² and 0.140 mm (JCP A55).
        Material::Patterned => (105, 133),
        // From memory: a dense sheet, about 0.1 mm.
        Material::Vellum => (112, 90),
        // From memory; glitter does not follow the model, so measure it.
        Material::Glitter => (300, 135),
        // 80 lb cover: 216 g/m², at a bulk of 1.25 about 0.27 mm.
        _ => (216, 125),
    }
}

/// A paper's body: what was entered, and estimates for the rest.
#[must_use]
pub fn body(material: Material, caliper: Option<Length>, grammage: Option<u32>) -> Body {
    let (usual_grammage, bulk) = usual(material);
    // Grams per square metre times cm³/g is micrometres.
    let thick = |grammage: u32| Length::from_nanometres(i64::from(grammage) * bulk * 10);
    let heavy = |caliper: Length| u32::try_from(caliper.nanometres() / (bulk * 10).max(1)).unwrap_or(usual_grammage);
    let grammage_known = if grammage.is_some() { Known::Entered } else { Known::Estimated };
    let caliper_known = if caliper.is_some() { Known::Entered } else { Known::Estimated };
    let grammage = grammage.or(caliper.map(heavy)).unwrap_or(usual_grammage);
    Body { caliper: caliper.unwrap_or(thick(grammage)), grammage, caliper_known, grammage_known }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked examples: 216.33 g/m² at 1.25 is 0.270 mm; 105 g/m² text is 0.140 mm (JCP A55, ±0.013).
    #[test]
    fn what_nobody_measured_is_estimated_and_marked() {
        let card = body(Material::Cardstock, None, None);
        assert_eq!((card.caliper, card.caliper_known), (Length::micrometres(270), Known::Estimated));
        let text = body(Material::Patterned, None, Some(105));
        assert!((text.caliper - Length::micrometres(140)).abs() <= Length::micrometres(13));
        assert_eq!((text.caliper_known, text.grammage_known), (Known::Estimated, Known::Entered));
        let measured = body(Material::Cardstock, Some(Length::micrometres(300)), None);
        assert_eq!((measured.caliper, measured.grammage), (Length::micrometres(300), 240));
    }
}

//! Sizes in words: the ruler a maker measures with, and the names that card sizes have.

use crate::stash::Settings;
use api::units::{Named, Purpose, Region, Ruler, Size, Unit};

/// The ruler she measures with, in the unit things are shown in.
#[must_use]
pub fn ruler(settings: &Settings) -> Ruler {
    let usual = match settings.unit {
        Unit::Inch => Ruler::sixteenths(),
        Unit::Millimetre => Ruler::half_millimetres(),
    };
    Ruler::with_step(settings.ruler).filter(|ruler| ruler.unit() == settings.unit).unwrap_or(usual)
}

/// The name of a card's size: "US A2". A sheet's name does only where cards go by it, as under ISO.
#[must_use]
pub fn card_name(size: Size, settings: &Settings) -> Option<String> {
    Named::of(size, settings.region, Purpose::Card)
        .filter(|named| named.purpose() == Purpose::Card || named.region() == Some(Region::Iso))
        .map(Named::full_name)
}

/// A card's size with its name, where it has one: "US A2 (4 1/4 x 5 1/2 in)".
#[must_use]
pub fn card_size(size: Size, settings: &Settings) -> String {
    let exact = size.exact(settings.unit);
    card_name(size, settings).map_or_else(|| exact.clone(), |name| format!("{name} ({exact})"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_shown_on_a_ruler_of_the_unit_asked_for() {
        let card = Size::parse("4 1/4 x 5 1/2", Unit::Inch).unwrap();
        let mut settings = Settings::of(Region::Us);
        assert_eq!(card_size(card, &settings), "US A2 (4 1/4 x 5 1/2 in)");
        assert_eq!(card.down(ruler(&settings)), "4 1/4 x 5 1/2 in");
        settings.unit = Unit::Millimetre;
        assert_eq!(card.down(ruler(&settings)), "~107.5 x ~139.5 mm");
    }

    #[test]
    fn a_card_has_the_name_of_a_card() {
        let named = |text: &str, region| card_name(Size::parse(text, Unit::Inch).unwrap(), &Settings::of(region));
        assert_eq!(named("105 x 148 mm", Region::Iso).as_deref(), Some("ISO A6"));
        assert_eq!(named("8 x 8 in", Region::Us), None);
        assert_eq!(named("5 1/2 x 4 1/4 in", Region::Us).as_deref(), Some("US A2"), "either way round");
    }
}

//! Which envelopes a card fits, by its face and by its thickness.
//!
//! A flat envelope has to wrap the card's edge, so each way it must be larger by the card's thickness:
//! slack = envelope − card − thickness. The bounds between tight, good and loose are common practice
//! (1/16 in, the variation of envelope makers; and what the usual pairs under ISO 269 leave).

use api::units::{Length, Named, Purpose, Region, Size};

/// Below so much slack it is tight: 1.5 mm, about 1/16 in.
const TIGHT: Length = Length::micrometres(1_500);
/// Above so much slack a card slides about: 20 mm.
const LOOSE: Length = Length::micrometres(20_000);

/// How a card sits in an envelope.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// As it should.
    Good,
    /// It goes in, but only just: envelopes vary by 1/16 in.
    Tight,
    /// It slides about.
    Loose,
    /// It does not go in.
    NoFit,
}

impl Fit {
    /// Its word in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Tight => "tight",
            Self::Loose => "loose",
            Self::NoFit => "no-fit",
        }
    }
}

/// An envelope and how a card sits in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Envelope {
    /// Its name, such as `US A2`, or its size where it has none.
    pub name: String,
    /// Flat, measured outside, upright.
    pub size: Size,
    /// What is left along the card's width, once its thickness is wrapped.
    pub slack_width: Length,
    /// What is left along the card's height.
    pub slack_height: Length,
    /// How it sits.
    pub fit: Fit,
}

/// How a card of this size and thickness sits in an envelope; its long side goes along the envelope's.
#[must_use]
pub fn sits(name: String, envelope: Size, card: Size, thickness: Length) -> Envelope {
    let lies = if card.width <= card.height { envelope.upright() } else { envelope.upright().turned() };
    let slack_width = lies.width - card.width - thickness;
    let slack_height = lies.height - card.height - thickness;
    let (least, most) = (slack_width.min(slack_height), slack_width.max(slack_height));
    let fit = if least < Length::ZERO {
        Fit::NoFit
    } else if least < TIGHT {
        Fit::Tight
    } else if most > LOOSE {
        Fit::Loose
    } else {
        Fit::Good
    };
    Envelope { name, size: envelope.upright(), slack_width, slack_height, fit }
}

/// Every envelope with a name that the card goes in: the region's own before the others, those that
/// fit well before the rest, the smallest first.
#[must_use]
pub fn envelopes(card: Size, thickness: Length, region: Region) -> Vec<Envelope> {
    let mut found: Vec<((bool, bool, i128), Envelope)> = Named::all()
        .filter(|named| named.purpose() == Purpose::Envelope)
        .filter_map(|named| {
            let envelope = sits(named.full_name(), named.size(), card, thickness);
            let foreign = named.region().is_some_and(|own| own != region);
            let key = (foreign, envelope.fit != Fit::Good, named.size().area().square_nanometres());
            (envelope.fit != Fit::NoFit).then_some((key, envelope))
        })
        .collect();
    found.sort_by(|one, other| one.0.cmp(&other.0).then_with(|| one.1.name.cmp(&other.1.name)));
    found.into_iter().map(|(_, envelope)| envelope).collect()
}

/// An envelope made to measure, for a card that none with a name will take: 1/4 in larger each way
/// than what must go round (common practice).
#[must_use]
pub fn made_to_measure(card: Size, thickness: Length) -> Size {
    let more = thickness + Length::from_nanometres(6_350_000);
    Size::new(card.width + more, card.height + more).upright()
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Unit;

    #[test]
    fn what_fits_best_comes_first_and_what_does_not_is_left_out() {
        let card = Size::parse("4.25x5.5", Unit::Inch).unwrap();
        let found = envelopes(card, Length::MILLIMETRE, Region::Us);
        assert_eq!((found[0].name.as_str(), found[0].fit), ("US A2", Fit::Good));
        assert!(found.iter().all(|envelope| envelope.fit != Fit::NoFit && envelope.name != "US A1"));
        let iso = envelopes(card, Length::MILLIMETRE, Region::Iso);
        // Long by 22 mm, yet nearer than a DL, which is tight along one side and 80 mm too long.
        assert_eq!((iso[0].name.as_str(), iso[0].fit), ("ISO C6", Fit::Loose));
    }

    #[test]
    fn a_card_lying_on_its_side_takes_the_same_envelopes() {
        let card = Size::parse("5.5x4.25", Unit::Inch).unwrap();
        let (wide, tall) =
            (envelopes(card, Length::MILLIMETRE, Region::Us), envelopes(card.turned(), Length::MILLIMETRE, Region::Us));
        assert_eq!(wide.len(), tall.len());
        assert_eq!((wide[0].slack_width, wide[0].slack_height), (tall[0].slack_height, tall[0].slack_width));
    }
}

//! Finishing dots: gems, pearls and sequins, which decorate a finished card and are counted one by one.

use api::Colour;
use api::units::Length;

/// What sort of finishing dots they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DotSort {
    /// Faceted stones with a flat back.
    Gems,
    /// Half pearls with a flat back.
    Pearls,
    /// Flat spangles.
    Sequins,
}

impl DotSort {
    /// All of them, with the words the files use.
    pub const WORDS: [(&'static str, Self); 3] =
        [("gems", Self::Gems), ("pearls", Self::Pearls), ("sequins", Self::Sequins)];

    /// Its word in the files and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gems => "gems",
            Self::Pearls => "pearls",
            Self::Sequins => "sequins",
        }
    }

    /// How high one stands where nobody said: what has a flat back is half a ball, a sequin a film of
    /// 0.3 mm. Common practice, no source.
    #[must_use]
    pub fn usual_height(self, diameter: Length) -> Length {
        match self {
            Self::Gems | Self::Pearls => diameter.half(),
            Self::Sequins => Length::micrometres(300).min(diameter),
        }
    }
}

/// Finishing dots of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Dots {
    /// Their id.
    pub id: String,
    /// What she calls them.
    pub name: String,
    /// What sort they are.
    pub sort: DotSort,
    /// Their colour.
    pub colour: Colour,
    /// How wide one is.
    pub diameter: Length,
    /// How high one stands.
    pub height: Length,
    /// What one weighs, in micrograms, where she entered it.
    pub micrograms: Option<u32>,
    /// How many there are.
    pub count: u32,
    /// The fields nobody entered, by their key in the file.
    pub assumed: Vec<&'static str>,
}

impl Dots {
    /// What one weighs in micrograms: as entered, or else half a ball flattened to its height (π/6 of
    /// the box round it; a sequin the disc, π/4) of plastic at 1.2 mg/mm³, an acrylic's density from
    /// memory. Set down to the microgram.
    #[must_use]
    pub fn weighs(&self) -> u32 {
        self.micrograms.unwrap_or_else(|| {
            let micrometres = |length: Length| i128::from(length.nanometres() / 1_000);
            // Thousandths of the box that the shape fills.
            let filled = if self.sort == DotSort::Sequins { 785 } else { 524 };
            let cubic_micrometres = micrometres(self.diameter).pow(2) * micrometres(self.height);
            u32::try_from(cubic_micrometres * filled / 1_000 * 1_200 / 1_000_000_000).unwrap_or(u32::MAX)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a ball of 4 mm is 2/3 π 2³ = 16.755 mm³; at 1.2 mg/mm³ that is 20.1 mg.
    #[test]
    fn a_pearl_that_nobody_weighed_is_half_a_ball_of_plastic() {
        let mm = |count: i64| Length::MILLIMETRE * count;
        let pearl = Dots {
            id: "pearls".into(),
            name: "Pearls".into(),
            sort: DotSort::Pearls,
            colour: Colour::new(95.0, 0.0, 4.0),
            diameter: mm(4),
            height: DotSort::Pearls.usual_height(mm(4)),
            micrograms: None,
            count: 10,
            assumed: Vec::new(),
        };
        assert_eq!(pearl.height, mm(2));
        assert!((20_080..=20_130).contains(&pearl.weighs()), "{}", pearl.weighs());
        assert_eq!(Dots { micrograms: Some(7), ..pearl }.weighs(), 7);
    }
}

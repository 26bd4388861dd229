//! What can be said of two colours: both in each space that is used here, and how they sit together.

use super::builtin::HARMONY_MODELS;
use api::{Colour, cam16_ucs, cam16_ucs_distance, colour_name, contrast_ratio, delta_e_2000, hex, lch, oklab};

/// One colour, in each space that is used here.
#[derive(Clone, Debug, PartialEq)]
pub struct ColourFacts {
    /// `#rrggbb` in sRGB; where a screen cannot show it, the nearest it can.
    pub hex: String,
    /// Whether sRGB holds it.
    pub in_srgb: bool,
    /// The nearest everyday name.
    pub name: &'static str,
    /// CIELAB under D65: L*, a*, b*.
    pub lab: [f64; 3],
    /// The same as lightness, chroma and hue in degrees from 0 up to 360; the hue of a grey is 0.
    pub lch: [f64; 3],
    /// Oklab: L, a, b.
    pub oklab: [f64; 3],
    /// CAM16-UCS: J', a', b'; `None` where the model has no value, for colours no eye can see.
    pub cam16_ucs: Option<[f64; 3]>,
}

/// Two colours and how they sit together.
#[derive(Clone, Debug, PartialEq)]
pub struct PairFacts {
    /// The first.
    pub one: ColourFacts,
    /// The second.
    pub other: ColourFacts,
    /// The colour difference CIEDE2000.
    pub delta_e_2000: f64,
    /// The distance in CAM16-UCS; `None` where one of them has no place there.
    pub cam16_ucs_distance: Option<f64>,
    /// What each model of harmony says, by its name.
    pub harmony: Vec<(&'static str, f64)>,
    /// The contrast ratio of WCAG 2, 1 to 21.
    pub contrast_ratio: f64,
}

/// Works out all there is to say of two colours. Both must be numbers: see `stash::file::lab_of`.
#[must_use]
pub fn pair_facts(one: Colour, other: Colour) -> PairFacts {
    PairFacts {
        one: facts(one),
        other: facts(other),
        delta_e_2000: delta_e_2000(one, other),
        cam16_ucs_distance: Some(cam16_ucs_distance(one, other)).filter(|distance| distance.is_finite()),
        harmony: HARMONY_MODELS.iter().map(|(name, model)| (*name, model(one, other))).collect(),
        contrast_ratio: contrast_ratio(one, other),
    }
}

fn facts(colour: Colour) -> ColourFacts {
    let (round, ok, ucs) = (lch(colour), oklab(colour), cam16_ucs(colour));
    let hue = if round.chroma > 0.0 { round.hue.into_positive_degrees() } else { 0.0 };
    let ucs = [ucs.lightness, ucs.a, ucs.b];
    ColourFacts {
        hex: hex(colour),
        in_srgb: api::is_in_srgb(colour),
        name: colour_name(colour),
        lab: [colour.l, colour.a, colour.b],
        lch: [round.l, round.chroma, hue],
        oklab: [ok.l, ok.a, ok.b],
        cam16_ucs: ucs.iter().all(|part| part.is_finite()).then_some(ucs),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_colour_that_can_be_written_has_sound_facts() {
        let steps = [-150.0, -75.5, -1.0, 0.0, 0.5, 60.0, 150.0];
        for l in [0.0, 1e-9, 0.5, 8.0, 50.0, 99.5, 100.0] {
            for a in steps {
                for b in steps {
                    let facts = pair_facts(Colour::new(l, a, b), Colour::new(100.0 - l, b, -a));
                    let numbers = [facts.delta_e_2000, facts.contrast_ratio, facts.harmony[0].1, facts.harmony[1].1];
                    assert!(numbers.iter().all(|number| number.is_finite()), "{facts:?}");
                    assert!(facts.one.oklab.iter().chain(&facts.one.lch).all(|part| part.is_finite()), "{facts:?}");
                    assert!((1.0..=21.0).contains(&facts.contrast_ratio), "{facts:?}");
                    assert!((0.0..360.0).contains(&facts.one.lch[2]), "{facts:?}");
                    // CIELAB that no light makes may have no place in CAM16; what a screen shows has.
                    assert!(facts.one.cam16_ucs.is_some() || !facts.one.in_srgb, "{facts:?}");
                }
            }
        }
    }
}

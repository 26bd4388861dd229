//! Scorer: does the picture stand out from what lies behind it? An image and its ground in, a worth out.
//!
//! At arm's length a pattern blurs to one tone. Both papers are blurred to their mean luminance over
//! the area, and the two tones compared as lightness: a difference of d becomes 1.25 d / (d + 25), which
//! is 0 at none and 5/8 at the 25 that commonly reads as an edge. A busy ground costs up to half, as it
//! wants a quiet shape slipped beneath the image. It judges only pictures (stamped, printed or built
//! from parts), never plain panels. Common practice, no source: no test with observers is known.

use api::{
    API_VERSION, Gather, Knob, Knobs, Manifest, Material, PaperView, Ranges, Relation, Scorer, Subject, Worth,
    colour_name, luminance,
};

const BUSY: Knob = Knob::new("busy", "how much a busy ground behind a picture costs", (0.0, 1.0), 0.5);

/// The lightness, 0 to 100, that a paper blurs to: that of its mean luminance (CIE 15:2018, 8.2.1).
#[must_use]
pub fn blurred_lightness(paper: &PaperView) -> f64 {
    let (mut sum, mut total) = (0.0, 0.0);
    for swatch in &paper.swatches {
        sum += swatch.share.as_f64() * luminance(swatch.colour);
        total += swatch.share.as_f64();
    }
    let mean = if total > 0.0 { sum / total } else { luminance(paper.main_colour()) };
    if mean > 216.0 / 24_389.0 { 116.0 * mean.cbrt() - 16.0 } else { mean * 24_389.0 / 27.0 }
}

/// How far one blurred paper stands out from another, 0 to 1.
#[must_use]
pub fn stands_out(upper: &PaperView, lower: &PaperView) -> f64 {
    let apart = (blurred_lightness(upper) - blurred_lightness(lower)).abs();
    1.25 * apart / (apart + 25.0)
}

struct StandOut {
    manifest: Manifest,
    busy: f64,
}

/// The scorer for pictures that stand out from what lies behind them.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(StandOut {
        busy: knobs.value(&BUSY),
        manifest: Manifest {
            name: "stand-out".into(),
            title: "pictures that stand out".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { mat_behind: Some(Worth::ONE), touching: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.5,
            knobs: vec![BUSY],
        },
    })
}

impl StandOut {
    fn judge(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        if upper.material != Material::Image {
            return None;
        }
        // A rounded 100 may lie a hair above the range.
        let worth = stands_out(upper, lower) * (1.0 - self.busy * lower.pattern.busyness.as_f64());
        worth.is_finite().then(|| Worth::clamped(worth))
    }
}

impl Scorer for StandOut {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn speaks_of(&self, _: Relation, upper: Material, _: Material) -> bool {
        upper == Material::Image
    }

    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        self.judge(panel, mat)
    }

    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        self.judge(upper, lower)
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        let (upper, lower) = match subject {
            Subject::MatBehind { panel, mat } => (*panel, *mat),
            Subject::Touching { upper, lower } => (*upper, *lower),
            _ => return String::from("has nothing to say here"),
        };
        let (tone, ground) = (blurred_lightness(upper), blurred_lightness(lower));
        let name = colour_name(lower.main_colour());
        let way = if tone < ground { "dark" } else { "light" };
        let told = match (tone - ground).abs() {
            clear if clear >= 25.0 => format!("stands out {way} on the {name}"),
            some if some >= 10.0 => format!("a little {way}er than the {name}"),
            _ => format!("melts into the {name} at arm's length"),
        };
        if lower.pattern.busyness.as_f64() >= 0.5 && self.busy > 0.0 {
            format!("{told}; a quiet shape beneath it would help")
        } else {
            told
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::{Colour, Share, Swatch};

    fn paper(tones: &[(f64, u32)]) -> PaperView {
        let mut paper = PaperView::plain("paper", Colour::new(tones[0].0, 0.0, 0.0));
        paper.swatches = tones
            .iter()
            .map(|(lightness, percent)| Swatch {
                colour: Colour::new(*lightness, 0.0, 0.0),
                share: Share::from_millionths(percent * 10_000).unwrap(),
            })
            .collect();
        paper
    }

    fn image(tones: &[(f64, u32)]) -> PaperView {
        let mut image = paper(tones);
        image.material = Material::Image;
        image
    }

    #[test]
    fn blur_goes_by_light_not_by_lightness() {
        assert!((blurred_lightness(&paper(&[(40.0, 100)])) - 40.0).abs() < 1e-9);
        // Half black, half white reflects half the light: L* 76.07, CIE 15:2018 by hand.
        assert!((blurred_lightness(&paper(&[(100.0, 50), (0.0, 50)])) - 76.069_261).abs() < 1e-5);
    }

    #[test]
    fn a_picture_melts_into_its_own_tone_whatever_its_lines() {
        let scorer = scorer(&Knobs::default());
        let lined = image(&[(100.0, 50), (0.0, 50)]);
        let grounds = [76.0, 40.0, 98.0].map(|tone| scorer.touching(&lined, &paper(&[(tone, 100)])).unwrap());
        assert!(grounds[0] < grounds[1] && grounds[0] < grounds[2]);
        let why = scorer.why(&Subject::Touching { upper: &lined, lower: &paper(&[(76.0, 100)]) });
        assert!(why.starts_with("melts into the "), "{why}");
    }

    #[test]
    fn a_busy_ground_costs_and_asks_for_a_quiet_shape() {
        let scorer = scorer(&Knobs::default());
        let (dark, mut ground) = (image(&[(20.0, 100)]), paper(&[(90.0, 100)]));
        let quiet = scorer.touching(&dark, &ground).unwrap();
        ground.pattern.busyness = Share::new(0.8).unwrap();
        assert!(scorer.touching(&dark, &ground).unwrap() < quiet);
        let why = scorer.why(&Subject::Touching { upper: &dark, lower: &ground });
        assert!(why.ends_with("; a quiet shape beneath it would help"), "{why}");
    }

    #[test]
    fn only_pictures_are_judged_and_the_range_holds() {
        let scorer = scorer(&Knobs::default());
        assert_eq!(scorer.touching(&paper(&[(20.0, 100)]), &paper(&[(90.0, 100)])), None);
        let (black, white) = (image(&[(0.0, 100)]), paper(&[(100.0, 100)]));
        assert_eq!(scorer.touching(&black, &white), Some(Worth::ONE));
        assert_eq!(scorer.touching(&image(&[(f64::NAN, 100)]), &white), None);
    }
}

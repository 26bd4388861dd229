//! The judgement: the hues of two papers in, how well they make a scheme out.

use crate::fit::{Hue, MOST_HUES, least_misfit};
use crate::template::Template;
use crate::words;
use api::{API_VERSION, Colour, Gather, Knobs, Manifest, PaperView, Ranges, Scorer, Share, Subject, Worth};

/// How many of a paper's colours are looked at, largest share first.
const MOST_COLOURS: usize = MOST_HUES / 2;
/// Colours that cover less than this share of a paper are passed over.
const LEAST_SHARE: Share = Share::from_millionths(20_000).expect("at most a million");
/// The chroma that counts as fully saturated. Common practice, no source.
const FULL_CHROMA: f64 = 60.0;
/// Below this chroma a colour has no hue worth naming.
const LEAST_CHROMA: f64 = 6.0;
/// Papers whose hues together weigh less than this have no scheme.
pub(crate) const LEAST_WEIGHT: f64 = 0.02;
/// Added to the weight of all hues, so that a faint hue astray on grey counts little.
const EASE: f64 = 0.05;
/// The farthest a hue can lie outside two families, in degrees: half the gap of 86.4.
const FARTHEST: f64 = 43.2;

/// The hues of one or two papers, no more than fit.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hues {
    hues: [Hue; MOST_HUES],
    /// What colour each is, for words.
    colours: [Colour; MOST_HUES],
    count: usize,
}

impl Hues {
    pub(crate) fn of(papers: [&PaperView; 2]) -> Self {
        let mut all = [(Hue::default(), Colour::default()); MOST_HUES];
        let mut count = 0;
        for paper in papers {
            for swatch in paper.swatches.iter().take(MOST_COLOURS).filter(|swatch| swatch.share >= LEAST_SHARE) {
                let (a, b) = (swatch.colour.a, swatch.colour.b);
                let chroma = (a * a + b * b).sqrt();
                // What is no number has no hue either.
                if chroma >= LEAST_CHROMA && chroma.is_finite() {
                    // Each paper has half the say.
                    let weight = 0.5 * swatch.share.as_f64() * (chroma / FULL_CHROMA).min(1.0);
                    let degrees = b.atan2(a).to_degrees().rem_euclid(360.0);
                    all[count] = (Hue { degrees, weight }, swatch.colour);
                    count += 1;
                }
            }
        }
        // Once round the wheel, so that sums come out alike whichever paper was named first.
        all[..count].sort_unstable_by(|(one, _), (other, _)| {
            one.degrees.total_cmp(&other.degrees).then(one.weight.total_cmp(&other.weight))
        });
        Self { hues: all.map(|(hue, _)| hue), colours: all.map(|(_, colour)| colour), count }
    }

    pub(crate) fn as_slice(&self) -> &[Hue] {
        &self.hues[..self.count]
    }

    pub(crate) fn colours(&self) -> &[Colour] {
        &self.colours[..self.count]
    }

    pub(crate) fn weight(&self) -> f64 {
        self.as_slice().iter().map(|hue| hue.weight).sum()
    }
}

struct HueTemplate {
    manifest: Manifest,
}

/// The scorer for hues that make a scheme.
#[must_use]
pub fn scorer(_knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(HueTemplate {
        manifest: Manifest {
            name: "hue-template".into(),
            title: "hues that make a scheme".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges {
                mat_behind: Some(Worth::ONE),
                touching: Some(Worth::ONE),
                same_card: Some(Worth::ONE),
                ..Ranges::default()
            },
            weight: 0.25,
            knobs: Vec::new(),
        },
    })
}

/// 1 where all hues lie in a template, falling in a straight line with their mean distance outside.
fn worth(one: &PaperView, other: &PaperView) -> Option<Worth> {
    let hues = Hues::of([one, other]);
    let weight = hues.weight();
    if weight < LEAST_WEIGHT {
        return None;
    }
    // Every other template lies inside one of these two, turned as need be, so none fits better.
    let half = least_misfit(360.0, Template::HalfWheel.sectors()[0].half_width, hues.as_slice());
    let families = least_misfit(180.0, Template::TwoFamilies.sectors()[0].half_width, hues.as_slice());
    let outside = half.min(families) / (weight + EASE);
    Some(Worth::clamped(1.0 - outside / FARTHEST.to_radians()))
}

impl Scorer for HueTemplate {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        worth(panel, mat)
    }

    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        worth(upper, lower)
    }

    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        worth(one, other)
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        match subject {
            Subject::MatBehind { panel: one, mat: other }
            | Subject::Touching { upper: one, lower: other }
            | Subject::SameCard(one, other) => words::why(one, other),
            _ => String::from("has nothing to say here"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::Swatch;

    fn paper(hues: &[f64]) -> PaperView {
        let colour = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            Colour::new(60.0, 50.0 * cos, 50.0 * sin)
        };
        let mut paper = PaperView::plain("paper", colour(hues[0]));
        let share = Share::new(1.0 / f64::from(u32::try_from(hues.len()).unwrap())).unwrap();
        paper.swatches = hues.iter().map(|degrees| Swatch { colour: colour(*degrees), share }).collect();
        paper
    }

    fn why(one: &PaperView, other: &PaperView) -> String {
        scorer(&Knobs::default()).why(&Subject::MatBehind { panel: one, mat: other })
    }

    #[test]
    fn hues_that_lie_in_a_template_are_worth_all() {
        for (panel, mat) in [(vec![20.0, 60.0], 30.0), (vec![20.0, 60.0], 220.0), (vec![10.0, 100.0, 180.0], 40.0)] {
            assert_eq!(worth(&paper(&panel), &paper(&[mat])), Some(Worth::ONE), "{panel:?} with {mat}");
        }
    }

    #[test]
    fn three_hues_a_third_apart_are_worth_less() {
        let astray = worth(&paper(&[0.0, 120.0]), &paper(&[240.0])).unwrap();
        assert!(astray < Worth::new(0.9).unwrap(), "{astray:?}");
        assert!(why(&paper(&[0.0, 120.0]), &paper(&[240.0])).contains("but for the"));
    }

    #[test]
    fn greys_have_no_scheme() {
        let grey = PaperView::plain("grey", Colour::new(60.0, 1.0, -2.0));
        assert_eq!(worth(&grey, &grey), None);
        assert_eq!(why(&grey, &grey), "no strong hue");
        let none = PaperView::plain("none", Colour::new(60.0, f64::NAN, 0.0));
        assert_eq!(worth(&none, &none), None);
    }

    #[test]
    fn the_order_of_two_papers_means_nothing() {
        let (one, other) = (paper(&[3.0, 77.0, 150.0]), paper(&[201.0, 290.0, 355.0]));
        assert_eq!(worth(&one, &other), worth(&other, &one));
    }

    #[test]
    fn schemes_are_told_in_plain_words() {
        for (panel, mat, words) in [
            (vec![20.0], 24.0, "one hue"),
            (vec![20.0], 200.0, "two opposite hues"),
            (vec![20.0, 90.0], 60.0, "neighbouring hues"),
            (vec![10.0, 100.0, 180.0], 40.0, "hues from one half of the colour wheel"),
            (vec![0.0, 60.0], 210.0, "neighbouring hues and the one opposite"),
            (vec![0.0, 60.0, 200.0], 250.0, "two families of opposite hues"),
        ] {
            let told = why(&paper(&panel), &paper(&[mat]));
            assert!(told.starts_with(words), "{panel:?} with {mat}: {told}");
        }
    }
}

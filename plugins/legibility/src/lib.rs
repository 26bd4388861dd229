//! Scorer: can the words be read? A sentiment's paper in, a worth out.
//!
//! The contrast ratio of WCAG 2 (W3C) between the ink and the paper's colours; the ratio that counts
//! is the one that all but a tenth of the paper's area reaches. A ratio r from 1 to 21 becomes
//! 1.1 (r - 1) / (r + 1): 0 at no contrast, 0.55 at the 3 asked of large text, 0.7 at the 4.5 asked of
//! text, 1 at black on white. A busy print under words costs up to half. The ink is the best of those on
//! hand; among those that read about as well, one that takes up a minor colour of the paper. Where none is
//! listed, black and white ink are assumed. WCAG speaks of light from screens; on paper it is a guide, not
//! a standard.

use api::{
    API_VERSION, Colour, Gather, Ink, Knob, Knobs, Manifest, PaperView, Ranges, Role, Scorer, Subject, Worth,
    colour_name, contrast_ratio, delta_e_2000,
};

/// Black pigment ink on paper. Common practice, no source.
pub const BLACK_INK: Colour = Colour::new(16.0, 0.0, 0.0);
/// White pigment ink or embossing powder. Common practice, no source.
pub const WHITE_INK: Colour = Colour::new(93.0, 0.0, 0.0);

/// How much of the area may have less contrast than the ratio that counts.
const OVERLOOKED: f64 = 0.1;

const WHITE: Knob = Knob::new(
    "white-ink",
    "where no inks are listed, whether white ink or powder is in the house: 1 yes, 0 no",
    (0.0, 1.0),
    1.0,
);
const BUSY: Knob = Knob::new("busy", "how much a busy print under the words costs", (0.0, 1.0), 0.5);

/// The contrast ratio of an ink that all but a tenth of the paper's area reaches, 1 to 21.
#[must_use]
pub fn contrast_on(ink: Colour, paper: &PaperView) -> f64 {
    let mut ratios: Vec<(f64, f64)> =
        paper.swatches.iter().map(|swatch| (contrast_ratio(ink, swatch.colour), swatch.share.as_f64())).collect();
    ratios.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut passed = 0.0;
    for (ratio, share) in &ratios {
        passed += share;
        if passed > OVERLOOKED {
            return *ratio;
        }
    }
    // No shares known: the least of them, or none at all on a paper without colours.
    ratios.first().map_or(1.0, |(ratio, _)| *ratio)
}

/// A contrast ratio as a worth: see the formula above.
#[must_use]
pub fn worth_of_ratio(ratio: f64) -> f64 {
    1.1 * (ratio - 1.0) / (ratio + 1.0)
}

struct Legibility {
    manifest: Manifest,
    inks: Vec<Ink>,
    busy: f64,
}

/// The scorer for words that can be read in one of these inks; with none, in black or white.
#[must_use]
pub fn scorer(knobs: &Knobs, inks: &[Ink]) -> Box<dyn Scorer> {
    let usual = |name: &str, colour| Ink { name: name.to_owned(), colour };
    let mut inks = inks.to_vec();
    if inks.is_empty() {
        inks.push(usual("black", BLACK_INK));
        inks.extend((knobs.value(&WHITE) >= 0.5).then(|| usual("white", WHITE_INK)));
    }
    Box::new(Legibility {
        inks,
        busy: knobs.value(&BUSY),
        manifest: Manifest {
            name: "legibility".into(),
            title: "words that can be read".into(),
            version: 2,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { in_role: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.5,
            knobs: vec![WHITE, BUSY],
        },
    })
}

/// A colour this near to one of the paper's takes it up, in CIEDE2000. Common practice, no source.
const TAKES_UP: f64 = 12.0;
/// The enhanced contrast of WCAG 2 (success criterion 1.4.6): beyond it, more is no easier to read.
const ENHANCED: f64 = 7.0;
/// A ratio this much below the best still reads about as well.
const AS_WELL: f64 = 0.75;

/// An ink by its name: "lamp black ink", unless the name says already what it is.
fn called(name: &str) -> String {
    let last = name.rsplit(' ').next().unwrap_or_default().to_lowercase();
    let says = ["ink", "pen", "marker", "paint", "pencil", "powder", "pigment"].contains(&last.as_str());
    if says { name.to_owned() } else { format!("{name} ink") }
}

/// An ink for a paper.
struct Chosen<'a> {
    ink: &'a Ink,
    ratio: f64,
    /// The minor colour of the paper it takes up, if it does.
    takes_up: Option<Colour>,
}

impl Legibility {
    /// The ink to use on a paper: of those that read about as well as the best, one that takes up a minor
    /// colour, then the one that reads best, then the first.
    fn ink(&self, paper: &PaperView) -> Option<Chosen<'_>> {
        let minor = |ink: &Ink| {
            let others = paper.swatches.iter().skip(1).map(|swatch| swatch.colour);
            others.clone().find(|colour| delta_e_2000(*colour, ink.colour) <= TAKES_UP)
        };
        let chosen =
            self.inks.iter().map(|ink| Chosen { ink, ratio: contrast_on(ink.colour, paper), takes_up: minor(ink) });
        let all: Vec<Chosen<'_>> = chosen.collect();
        let best = all.iter().map(|chosen| chosen.ratio).fold(1.0, f64::max);
        let reads = |chosen: &Chosen<'_>| {
            chosen.ratio >= best.min(ENHANCED) || (chosen.ratio >= 4.5 && chosen.ratio >= AS_WELL * best)
        };
        all.into_iter().filter(reads).reduce(|first, next| {
            let key = |chosen: &Chosen<'_>| (chosen.takes_up.is_some(), chosen.ratio);
            if key(&next) > key(&first) { next } else { first }
        })
    }
}

impl Scorer for Legibility {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn in_role(&self, paper: &PaperView, role: Role) -> Option<Worth> {
        if role != Role::Sentiment {
            return None;
        }
        let worth = worth_of_ratio(self.ink(paper)?.ratio) * (1.0 - self.busy * paper.pattern.busyness.as_f64());
        worth.is_finite().then(|| Worth::clamped(worth))
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        let Subject::InRole { paper, .. } = subject else { return String::from("has nothing to say here") };
        let Some(Chosen { ink, ratio, takes_up }) = self.ink(paper) else { return String::from("no ink to judge by") };
        let (ink, paper_name) = (called(&ink.name), colour_name(paper.main_colour()));
        let mut told = match ratio {
            clear if clear >= 4.5 => format!("{ink} reads well on the {paper_name}"),
            large if large >= 3.0 => format!("{ink} reads on the {paper_name} if the words are large"),
            _ => format!("{ink} is hard to read on the {paper_name}"),
        };
        if let Some(colour) = takes_up {
            told = format!("{told} and takes up its {}", colour_name(colour));
        }
        let busy = paper.pattern.busyness.as_f64() >= 0.5 && self.busy > 0.0;
        if busy { format!("{told}, though the print is busy") } else { told }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::{Share, Swatch};

    fn plain(lightness: f64) -> PaperView {
        PaperView::plain("stock", Colour::new(lightness, 0.0, 0.0))
    }

    fn with(knobs: &[(&str, f64)]) -> Box<dyn Scorer> {
        scorer(&Knobs(knobs.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect()), &[])
    }

    #[test]
    fn black_on_white_and_white_on_black_read_and_mid_grey_less() {
        let scorer = with(&[]);
        let worth = |lightness| scorer.in_role(&plain(lightness), Role::Sentiment).unwrap();
        assert!(worth(100.0) > worth(50.0) && worth(10.0) > worth(50.0));
        let no_white = with(&[("white-ink", 0.0)]);
        let black_on_black = no_white.in_role(&plain(16.0), Role::Sentiment).unwrap();
        assert_eq!(black_on_black, Worth::ZERO);
    }

    #[test]
    fn published_thresholds_have_the_worth_that_is_documented() {
        for (ratio, worth) in [(1.0, 0.0), (3.0, 0.55), (4.5, 0.7), (21.0, 1.0)] {
            assert!((worth_of_ratio(ratio) - worth).abs() < 1e-12, "{ratio}");
        }
    }

    #[test]
    fn a_tenth_of_the_area_is_overlooked_and_no_more() {
        let mixed = |dark: u32| {
            let mut paper = plain(95.0);
            let swatch = |lightness, share: u32| Swatch {
                colour: Colour::new(lightness, 0.0, 0.0),
                share: Share::from_millionths(share * 10_000).unwrap(),
            };
            paper.swatches = vec![swatch(95.0, 100 - dark), swatch(20.0, dark)];
            contrast_on(BLACK_INK, &paper)
        };
        assert!(mixed(9) > 10.0);
        assert!(mixed(12) < 1.5);
    }

    #[test]
    fn only_sentiments_are_judged_and_busy_prints_cost() {
        let scorer = with(&[]);
        let mut paper = plain(95.0);
        assert_eq!(scorer.in_role(&paper, Role::Band), None);
        let quiet = scorer.in_role(&paper, Role::Sentiment).unwrap().as_f64();
        paper.pattern.busyness = Share::ONE;
        assert!((scorer.in_role(&paper, Role::Sentiment).unwrap().as_f64() - quiet / 2.0).abs() < 2e-6);
    }

    #[test]
    fn no_paper_leaves_the_range_and_reasons_name_the_ink() {
        let scorer = with(&[]);
        for lightness in -5..=105 {
            let worth = scorer.in_role(&plain(f64::from(lightness)), Role::Sentiment).unwrap();
            assert!(worth <= scorer.manifest().ranges.in_role.unwrap());
        }
        let why = |lightness: f64| scorer.why(&Subject::InRole { paper: &plain(lightness), role: Role::Sentiment });
        assert_eq!(why(100.0), "black ink reads well on the white");
        assert_eq!(why(5.0), "white ink reads well on the black");
    }

    #[test]
    fn the_ink_is_one_on_hand_and_takes_up_a_minor_colour_where_it_reads() {
        let ink = |name: &str, lightness, a, b| Ink { name: name.to_owned(), colour: Colour::new(lightness, a, b) };
        let inks = [ink("lamp black", 16.0, 0.0, 0.0), ink("deep teal", 28.0, -22.0, -8.0)];
        let scorer = scorer(&Knobs::default(), &inks);
        let mut paper = plain(95.0);
        let why = |paper: &PaperView| scorer.why(&Subject::InRole { paper, role: Role::Sentiment });
        assert_eq!(why(&paper), "lamp black ink reads well on the white");
        let share = Share::HALF;
        paper
            .swatches
            .push(Swatch { colour: Colour::new(29.0, -22.0, -8.0), share: Share::from_millionths(50_000).unwrap() });
        paper.swatches[0].share = share;
        assert!(why(&paper).starts_with("deep teal ink reads well on the white and takes up its "), "{}", why(&paper));
        // A pale ink that takes a colour up is no help where it cannot be read.
        let pale = super::scorer(&Knobs::default(), &[inks[0].clone(), ink("pale", 80.0, 10.0, 0.0)]);
        paper.swatches[1].colour = Colour::new(80.0, 10.0, 0.0);
        assert!(pale.why(&Subject::InRole { paper: &paper, role: Role::Sentiment }).starts_with("lamp black ink"));
    }
}

//! Scorer: can the words be read? A sentiment and its paper in, a worth out.
//!
//! The contrast ratio of WCAG 2 (W3C) between the ink and the paper's colours; the ratio that counts
//! is the one that all but a tenth of the paper's area reaches. A ratio r from 1 to 21 becomes
//! 1.1 (r - 1) / (r + 1): 0 at no contrast, 0.55 at the 3 asked of large text, 0.7 at the 4.5 asked of
//! text, 1 at black on white. A busy print under words costs up to half. Until a sentiment's own ink is
//! known, the better of black and white ink is taken. WCAG speaks of light from screens; on paper it is
//! a guide, not a standard.

use api::{
    API_VERSION, Colour, Gather, Knob, Knobs, Manifest, PaperView, Ranges, Role, Scorer, Subject, Worth, colour_name,
    contrast_ratio,
};

/// Black pigment ink on paper. Common practice, no source.
pub const BLACK_INK: Colour = Colour::new(16.0, 0.0, 0.0);
/// White pigment ink or embossing powder. Common practice, no source.
pub const WHITE_INK: Colour = Colour::new(93.0, 0.0, 0.0);

/// How much of the area may have less contrast than the ratio that counts.
const OVERLOOKED: f64 = 0.1;

const WHITE: Knob = Knob::new("white-ink", "whether white ink or powder is in the house: 1 yes, 0 no", (0.0, 1.0), 1.0);
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
    has_white: bool,
    busy: f64,
}

/// The scorer for words that can be read.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(Legibility {
        has_white: knobs.value(&WHITE) >= 0.5,
        busy: knobs.value(&BUSY),
        manifest: Manifest {
            name: "legibility".into(),
            title: "words that can be read".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { piece: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.5,
            knobs: vec![WHITE, BUSY],
        },
    })
}

impl Legibility {
    /// The better ink, its name and the ratio it reaches.
    fn ink(&self, paper: &PaperView) -> (&'static str, f64) {
        let black = ("black", contrast_on(BLACK_INK, paper));
        let white = ("white", contrast_on(WHITE_INK, paper));
        if self.has_white && white.1 > black.1 { white } else { black }
    }
}

impl Scorer for Legibility {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn piece(&self, piece: &api::PieceView<'_>) -> Option<Worth> {
        if piece.role != Role::Sentiment {
            return None;
        }
        let (_, ratio) = self.ink(piece.paper);
        let worth = worth_of_ratio(ratio) * (1.0 - self.busy * piece.paper.pattern.busyness.as_f64());
        worth.is_finite().then(|| Worth::clamped(worth))
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        let Subject::Piece(piece) = subject else { return String::from("has nothing to say here") };
        let (ink, ratio) = self.ink(piece.paper);
        let paper = colour_name(piece.paper.main_colour());
        let told = match ratio {
            clear if clear >= 4.5 => format!("{ink} words read well on the {paper}"),
            large if large >= 3.0 => format!("{ink} words read on the {paper} if they are large"),
            _ => format!("{ink} words are hard to read on the {paper}"),
        };
        let busy = piece.paper.pattern.busyness.as_f64() >= 0.5 && self.busy > 0.0;
        if busy { format!("{told}, though the print is busy") } else { told }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Length;
    use api::{PieceView, Share, Swatch};

    fn plain(lightness: f64) -> PaperView {
        PaperView::plain("stock", Colour::new(lightness, 0.0, 0.0))
    }

    fn on<'a>(paper: &'a PaperView, role: Role) -> PieceView<'a> {
        PieceView::whole_sheet(paper, role, Length::INCH, Length::INCH)
    }

    fn with(knobs: &[(&str, f64)]) -> Box<dyn Scorer> {
        scorer(&Knobs(knobs.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect()))
    }

    #[test]
    fn black_on_white_and_white_on_black_read_and_mid_grey_less() {
        let scorer = with(&[]);
        let worth = |lightness| scorer.piece(&on(&plain(lightness), Role::Sentiment)).unwrap();
        assert!(worth(100.0) > worth(50.0) && worth(10.0) > worth(50.0));
        let no_white = with(&[("white-ink", 0.0)]);
        let black_on_black = no_white.piece(&on(&plain(16.0), Role::Sentiment)).unwrap();
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
        assert_eq!(scorer.piece(&on(&paper, Role::Band)), None);
        let quiet = scorer.piece(&on(&paper, Role::Sentiment)).unwrap().as_f64();
        paper.pattern.busyness = Share::ONE;
        assert!((scorer.piece(&on(&paper, Role::Sentiment)).unwrap().as_f64() - quiet / 2.0).abs() < 2e-6);
    }

    #[test]
    fn no_paper_leaves_the_range_and_reasons_name_the_ink() {
        let scorer = with(&[]);
        for lightness in -5..=105 {
            let worth = scorer.piece(&on(&plain(f64::from(lightness)), Role::Sentiment)).unwrap();
            assert!(worth <= scorer.manifest().ranges.piece.unwrap());
        }
        let why = |lightness: f64| scorer.why(&Subject::Piece(&on(&plain(lightness), Role::Sentiment)));
        assert_eq!(why(100.0), "black words read well on the white");
        assert_eq!(why(5.0), "white words read well on the black");
    }
}

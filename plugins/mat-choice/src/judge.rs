//! The judgement: a panel and a mat in, what the mat takes up, how well it edges, and a worth out.

use crate::words;
use api::{
    API_VERSION, Colour, Gather, Knob, Knobs, Manifest, Material, PaperView, PatternKind, Ranges, Scorer, Share,
    Subject, Worth, delta_e_2000,
};

const CLOSENESS: Knob = Knob::new(
    "closeness",
    "how far a mat's colour may be from the pattern's and still take it up (CIEDE2000)",
    (5.0, 40.0),
    20.0,
);
const EDGE: Knob = Knob::new("edge", "how much a crisp edge counts beside the colour", (0.0, 1.0), 0.65);
const EDGE_AT: Knob =
    Knob::new("edge-at", "how much lighter or darker a mat must be to edge the paper fully (L*)", (5.0, 60.0), 25.0);
const NEUTRAL: Knob =
    Knob::new("neutral", "how good white, cream, grey, black and kraft are for any paper", (0.0, 1.0), 0.45);

/// What a mat that takes up nothing still counts.
const UNRELATED: f64 = 0.15;
/// Colours this near (CIEDE2000) cannot be told apart across a table.
const SAME: f64 = 4.0;
/// From this nearness on a mat is said to take a colour up; below, to come near it.
const TAKEN_UP: f64 = 0.7;
/// Below this chroma a colour is neutral; cream and off-white lie just below it. Common practice, no source.
const NEUTRAL_CHROMA: f64 = 12.0;
/// A colour with a larger share than this is no minor colour.
const MOST_MINOR: Share = Share::from_millionths(300_000).expect("at most a million");
/// A colour with a smaller share than this is a speck.
const LEAST_MINOR: Share = Share::from_millionths(5_000).expect("at most a million");

/// What the mat does for the panel's colours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Takes {
    /// A minor colour of the pattern, at this place among its swatches.
    Minor(usize),
    /// A minor colour at this place, but not so near that anyone would call it the same.
    Near(usize),
    /// The main colour again.
    Main,
    /// Nothing, but goes with anything.
    Neutral,
    /// Nothing.
    Nothing,
}

/// What was found of a mat behind a panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Judgement {
    pub(crate) takes: Takes,
    /// How good that is, 0 to 1.
    pub(crate) taken: f64,
    /// How far the mat reads as an edge, 0 to 1, over the panel's area.
    pub(crate) edge: f64,
}

pub(crate) struct MatChoice {
    manifest: Manifest,
    closeness: f64,
    edge: f64,
    edge_at: f64,
    neutral: f64,
}

/// The scorer for a mat that sets its paper off.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(MatChoice {
        closeness: knobs.value(&CLOSENESS),
        edge: knobs.value(&EDGE),
        edge_at: knobs.value(&EDGE_AT),
        neutral: knobs.value(&NEUTRAL),
        manifest: Manifest {
            name: "mat-choice".into(),
            title: "mats that set the paper off".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { mat_behind: Some(Worth::ONE), touching: Some(Worth::ONE), ..Ranges::default() },
            weight: 1.0,
            knobs: vec![CLOSENESS, EDGE, EDGE_AT, NEUTRAL],
        },
    })
}

/// How much a minor colour is worth taking up, by its place in order of area: the third and fourth
/// most (framers' guidance, second-hand), the second and the later ones a little less.
fn rank_worth(place: usize) -> f64 {
    match place {
        2 | 3 => 1.0,
        1 | 4 => 0.85,
        _ => 0.7,
    }
}

/// White, cream, grey, black or kraft.
pub(crate) fn is_neutral(paper: &PaperView) -> bool {
    let Colour { l, a, b, .. } = paper.main_colour();
    let chroma = (a * a + b * b).sqrt();
    // Nothing so dark or so light shows much of a colour.
    paper.material == Material::Kraft || chroma < NEUTRAL_CHROMA || l < 8.0
}

impl MatChoice {
    pub(crate) fn judge(&self, panel: &PaperView, mat: &PaperView) -> Judgement {
        let mut found = (Takes::Nothing, 0.0);
        let mut offer = |takes: Takes, worth: f64| {
            if worth > found.1 {
                found = (takes, worth);
            }
        };
        let colour = mat.main_colour();
        let count = panel.swatches.len();
        for (place, swatch) in panel.swatches.iter().enumerate() {
            let near = self.nearness(colour, swatch.colour);
            if place == 0 || swatch.share > MOST_MINOR {
                // The main colour again: quiet, tone on tone. The best a paper of one colour can have.
                offer(Takes::Main, near * if count == 1 { 0.7 } else { 0.5 });
            } else {
                let speck = if swatch.share < LEAST_MINOR { 0.7 } else { 1.0 };
                let takes = if near >= TAKEN_UP { Takes::Minor(place) } else { Takes::Near(place) };
                offer(takes, near * rank_worth(place) * speck);
            }
        }
        if is_neutral(mat) {
            offer(Takes::Neutral, self.neutral);
        }
        Judgement { takes: found.0, taken: found.1, edge: self.edge_between(panel, colour) }
    }

    /// 1 for colours that cannot be told apart, falling in a straight line to 0 at the knob's distance.
    fn nearness(&self, one: Colour, other: Colour) -> f64 {
        // What is no colour is near to none.
        if !(one.l + one.a + one.b + other.l + other.a + other.b).is_finite() {
            return 0.0;
        }
        // CIEDE2000 divides a difference in lightness by at most 1.75, so far ones need no exact distance.
        if (one.l - other.l).abs() > 1.8 * self.closeness {
            return 0.0;
        }
        ((self.closeness - delta_e_2000(one, other)) / (self.closeness - SAME)).clamp(0.0, 1.0)
    }

    /// How far a colour reads as an edge against a paper: over the paper's area, the difference in
    /// lightness as a part of what a full edge needs.
    fn edge_between(&self, paper: &PaperView, colour: Colour) -> f64 {
        let (mut edge, mut total) = (0.0, 0.0);
        for swatch in &paper.swatches {
            let share = swatch.share.as_f64();
            edge += share * ((swatch.colour.l - colour.l).abs() / self.edge_at).min(1.0);
            total += share;
        }
        if total > 0.0 { edge / total } else { 0.0 }
    }

    fn worth(&self, found: &Judgement, mat: &PaperView) -> f64 {
        let colour = UNRELATED + (1.0 - UNRELATED) * found.taken;
        let edge = 1.0 - self.edge * (1.0 - found.edge);
        // A busy mat is no frame: half of what a plain one would be at full busyness.
        colour * edge * (1.0 - 0.5 * mat.pattern.busyness.as_f64())
    }
}

/// Plain enough to be meant as a frame or a rest for the eye.
fn is_plain(paper: &PaperView) -> bool {
    paper.pattern.kind == PatternKind::Solid && !matches!(paper.material, Material::Image | Material::Vellum)
}

/// A worth from a number that rounding may have carried a hair past an end; what is no number is no opinion.
fn opinion(worth: f64) -> Option<Worth> {
    worth.is_finite().then(|| Worth::clamped(worth))
}

impl Scorer for MatChoice {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        opinion(self.worth(&self.judge(panel, mat), mat))
    }

    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        // A plain paper on another is a mat or a rest: it must separate, and that is all that is asked.
        let colour = is_plain(upper).then(|| upper.main_colour())?;
        opinion(1.0 - 0.5 * self.edge * (1.0 - self.edge_between(lower, colour)))
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        match subject {
            Subject::MatBehind { panel, mat } => words::mat_behind(&self.judge(panel, mat), panel, mat, self.edge_at),
            Subject::Touching { upper, lower } => words::edge(upper, lower, None, self.edge_at),
            _ => String::from("has nothing to say here"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::{Pattern, Swatch};

    const CREAM: Colour = Colour::new(95.0, 0.0, 9.0);
    const SAGE: Colour = Colour::new(66.0, -12.0, 14.0);
    const RUST: Colour = Colour::new(40.0, 42.0, 46.0);
    const NAVY: Colour = Colour::new(18.0, 6.0, -24.0);
    const WHITE: Colour = Colour::new(98.0, 0.0, 0.0);

    fn plain(colour: Colour) -> PaperView {
        PaperView::plain("stock", colour)
    }

    fn floral() -> PaperView {
        let mut paper = plain(CREAM);
        let swatch = |colour, percent: u32| Swatch { colour, share: Share::from_millionths(percent * 10_000).unwrap() };
        paper.swatches = vec![swatch(CREAM, 70), swatch(SAGE, 24), swatch(RUST, 6)];
        paper.material = Material::Patterned;
        paper.pattern = Pattern { kind: PatternKind::Scattered, ..Pattern::default() };
        paper
    }

    fn worth(mat: Colour) -> Worth {
        scorer(&Knobs::default()).mat_behind(&floral(), &plain(mat)).unwrap()
    }

    #[test]
    fn a_minor_colour_beats_a_neutral_beats_a_stranger() {
        let teal = Colour::new(46.0, -22.0, -12.0);
        let kraft = Colour::new(62.0, 9.0, 24.0);
        let mut kraft_stock = plain(kraft);
        kraft_stock.material = Material::Kraft;
        let kraft_worth = scorer(&Knobs::default()).mat_behind(&floral(), &kraft_stock).unwrap();
        assert!(worth(RUST) > worth(SAGE), "the third colour before the second");
        assert!(worth(SAGE) > kraft_worth);
        assert!(kraft_worth > worth(teal), "a fall-back before a stranger");
        assert!(worth(RUST) > Worth::new(0.9).unwrap());
    }

    #[test]
    fn an_edge_that_does_not_read_costs_most_of_it() {
        let black = Colour::new(15.0, 0.0, 0.0);
        assert!(worth(black) > worth(WHITE), "black edges cream, white does not");
        assert!(worth(WHITE) < Worth::new(0.35).unwrap());
        let deaf = scorer(&Knobs([("edge".to_owned(), 0.0)].into()));
        assert_eq!(deaf.mat_behind(&floral(), &plain(WHITE)), deaf.mat_behind(&floral(), &plain(black)));
    }

    #[test]
    fn a_plain_paper_must_separate_from_what_it_touches() {
        let scorer = scorer(&Knobs::default());
        assert!(scorer.touching(&plain(NAVY), &floral()) > scorer.touching(&plain(WHITE), &floral()));
        assert_eq!(scorer.touching(&floral(), &plain(NAVY)), None);
    }

    #[test]
    fn a_busy_mat_is_half_a_mat() {
        let scorer = scorer(&Knobs::default());
        let quiet = scorer.mat_behind(&floral(), &plain(RUST)).unwrap().as_f64();
        let mut busy = plain(RUST);
        busy.pattern.busyness = Share::ONE;
        assert!((scorer.mat_behind(&floral(), &busy).unwrap().as_f64() - quiet / 2.0).abs() < 2e-6);
    }

    #[test]
    fn random_papers_never_leave_the_range() {
        let mut seed = 0x0a11_5eed_u64;
        let mut number = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(seed >> 33).unwrap()) / f64::from(1_u32 << 31)
        };
        let scorer = scorer(&Knobs::default());
        let most = scorer.manifest().ranges.mat_behind.unwrap();
        let mut best = Worth::ZERO;
        for round in 0..20_000 {
            let mut colour = || Colour::new(number() * 100.0, number() * 160.0 - 80.0, number() * 160.0 - 80.0);
            let mut panel = floral();
            for swatch in &mut panel.swatches {
                swatch.colour = colour();
            }
            let mat = if round % 2 == 0 { panel.swatches[round % 3].colour } else { colour() };
            let worth = scorer.mat_behind(&panel, &plain(mat)).unwrap();
            assert!(worth <= most, "round {round}");
            best = best.max(worth);
        }
        assert!(best > Worth::new(0.95).unwrap(), "the range is reached: {best:?}");
    }

    #[test]
    fn reasons_say_what_is_taken_up_and_how_it_edges() {
        let scorer = scorer(&Knobs::default());
        let why = |mat: Colour| scorer.why(&Subject::MatBehind { panel: &floral(), mat: &plain(mat) });
        assert_eq!(why(RUST), "takes up the rust that is 6 % of the paper; dark enough to edge the cream");
        assert_eq!(why(WHITE), "white goes with anything; hardly lighter than the cream");
        assert_eq!(why(SAGE), "takes up the grey green that is 24 % of the paper; dark enough to edge the cream");
        assert_eq!(why(NAVY), "navy is not in the paper; dark enough to edge the cream");
        // Beside a plain sheet of the pattern's second colour, that colour is what it melts into.
        let touching = scorer.why(&Subject::Touching { upper: &plain(SAGE), lower: &floral() });
        assert_eq!(touching, "edges the cream, less so the grey green");
    }
}

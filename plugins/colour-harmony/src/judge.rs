//! The judgement: two papers in, the pair of colours that decides and a worth out.

use crate::model::{Half, Ou2018, OuLuo2006};
use crate::words;
use api::{
    API_VERSION, Finish, Gather, Knob, Knobs, Manifest, Material, PaperView, Ranges, Scorer, Share, Subject, Swatch,
    Worth,
};

/// How many of a paper's colours are looked at, largest share first.
pub(crate) const MOST_COLOURS: usize = 6;

/// How many pairs of colours two papers can make.
const PAIRS: usize = MOST_COLOURS * MOST_COLOURS;

/// Colours that cover less than this share of a paper are passed over, unless it is the first.
const LEAST_SHARE: Share = Share::from_millionths(20_000).expect("at most a million");

const MODEL: Knob =
    Knob::new("model", "which published model judges: below 1 that of 2006, at 1 that of 2018", (0.0, 1.0), 0.0);
const CONTRAST: Knob =
    Knob::new("contrast", "more for light against dark, less for colours that are alike", (0.0, 1.0), 0.4);
const FORGIVE: Knob =
    Knob::new("forgive", "how much of where two papers meet may clash without counting", (0.0, 0.5), 0.25);
const APART: Knob = Knob::new("apart", "how much papers count that share a card without meeting", (0.0, 1.0), 0.5);

/// What was found when two papers were set beside each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Judgement {
    /// Harmony from 0 to 1 by the model's own range.
    pub(crate) harmony: f64,
    /// Contrast from 0 to 1.
    pub(crate) contrast: f64,
    /// The pair of colours that decided, as places among the first paper's and the second's.
    pub(crate) deciding: (usize, usize),
    /// How much lighter the first is than the second at arm's length, in units of CIELAB L*.
    pub(crate) lighter_by: f64,
}

/// The scorer, with the knobs as she set them.
pub(crate) struct ColourHarmony {
    manifest: Manifest,
    model: Model,
    contrast: f64,
    forgive: f64,
    apart: f64,
}

/// The scorer for colours that sit well together.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(ColourHarmony {
        model: if knobs.value(&MODEL) < 1.0 { Model::OuLuo2006 } else { Model::Ou2018 },
        contrast: knobs.value(&CONTRAST),
        forgive: knobs.value(&FORGIVE),
        apart: knobs.value(&APART),
        manifest: Manifest {
            name: "colour-harmony".into(),
            title: "colours that sit well together".into(),
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
            weight: 1.0,
            knobs: vec![MODEL, CONTRAST, FORGIVE, APART],
        },
    })
}

/// Which published model judges.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Model {
    OuLuo2006,
    Ou2018,
}

/// A paper's colours made ready for a model, with their shares, as many as are looked at.
struct Colours<H> {
    ready: [H; MOST_COLOURS],
    /// In millionths, so that sums of products of them are exact.
    shares: [u64; MOST_COLOURS],
    count: usize,
    /// At arm's length: the mean over the area.
    lightness: f64,
}

impl<H: Half> Colours<H> {
    fn of(paper: &PaperView) -> Self {
        let mut colours =
            Self { ready: [H::default(); MOST_COLOURS], shares: [0; MOST_COLOURS], count: 0, lightness: 0.0 };
        let mut looked_at = [paper.main_colour(); MOST_COLOURS];
        let (mut total, mut sum) = (0_u32, 0.0);
        for Swatch { colour, share } in paper.swatches.iter().take(MOST_COLOURS) {
            if colours.count > 0 && *share < LEAST_SHARE {
                break;
            }
            looked_at[colours.count] = *colour;
            colours.shares[colours.count] = u64::from(share.millionths());
            colours.count += 1;
            total += share.millionths();
            sum += f64::from(share.millionths()) * colour.l.clamp(0.0, 100.0);
        }
        if colours.count == 1 {
            [colours.ready[0]] = H::each(&[looked_at[0]]);
        } else {
            colours.ready = H::each(&looked_at);
        }
        if total == 0 {
            // No shares known: the first colour stands for the paper.
            let main = paper.main_colour();
            (colours.count, colours.shares[0]) = (1, 1);
            colours.lightness = main.l.clamp(0.0, 100.0);
        } else {
            colours.lightness = sum / f64::from(total);
        }
        colours
    }

    fn total(&self) -> u64 {
        self.shares.iter().sum()
    }
}

/// The pairs of two papers' colours, lined up by value as far as is needed to find the one that decides.
struct Pairs {
    values: [f64; PAIRS],
    weights: [u64; PAIRS],
    places: [(usize, usize); PAIRS],
    count: usize,
}

impl Pairs {
    fn of<H: Half>(one: &Colours<H>, other: &Colours<H>) -> Self {
        let mut pairs = Self { values: [f64::INFINITY; PAIRS], weights: [0; PAIRS], places: [(0, 0); PAIRS], count: 0 };
        // The one with fewer colours gives the rows, since a row is worked out at one go.
        let is_turned = other.count < one.count;
        let (rows, columns) = if is_turned { (other, one) } else { (one, other) };
        for i in 0..rows.count {
            let row = rows.ready[i].with_each(&columns.ready);
            for (j, value) in row.into_iter().enumerate().take(columns.count) {
                pairs.values[pairs.count] = H::share(value);
                pairs.weights[pairs.count] = rows.shares[i] * columns.shares[j];
                pairs.places[pairs.count] = if is_turned { (j, i) } else { (i, j) };
                pairs.count += 1;
            }
        }
        pairs
    }

    /// The worst pair that is left when the worst ones are forgiven up to a weight: its value and place.
    ///
    /// Pairs are first thrown into bins by value, so that only those of one bin need be lined up.
    fn deciding(&self, forgiven: u64) -> (f64, (usize, usize)) {
        const BINS: usize = 32;
        let mut bins = [0; BINS];
        let mut of = [0; PAIRS];
        for (place, of) in of.iter_mut().enumerate().take(self.count) {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 31; no number becomes 0")]
            let bin = ((self.values[place] * 32.0) as usize).min(BINS - 1);
            *of = bin;
            bins[bin] += self.weights[place];
        }
        let mut passed = 0;
        let mut bin = 0;
        while bin < BINS - 1 && passed + bins[bin] <= forgiven {
            passed += bins[bin];
            bin += 1;
        }
        let mut done = [false; PAIRS];
        let mut last = (f64::NAN, (0, 0));
        loop {
            let mut worst = None;
            for place in (0..self.count).filter(|place| of[*place] == bin && !done[*place]) {
                if worst.is_none_or(|worst: usize| self.values[place] < self.values[worst]) {
                    worst = Some(place);
                }
            }
            let Some(worst) = worst else { return last };
            last = (self.values[worst], self.places[worst]);
            passed += self.weights[worst];
            if passed > forgiven {
                return last;
            }
            done[worst] = true;
        }
    }
}

impl ColourHarmony {
    pub(crate) fn judge(&self, one: &PaperView, other: &PaperView) -> Judgement {
        match self.model {
            Model::OuLuo2006 => self.judge_by::<OuLuo2006>(one, other),
            Model::Ou2018 => self.judge_by::<Ou2018>(one, other),
        }
    }

    fn judge_by<H: Half>(&self, one: &PaperView, other: &PaperView) -> Judgement {
        let (one, other) = (Colours::<H>::of(one), Colours::<H>::of(other));
        #[allow(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most half of 36e12"
        )]
        let forgiven = (self.forgive * (one.total() * other.total()) as f64) as u64;
        let (harmony, deciding) = Pairs::of(&one, &other).deciding(forgiven);
        let lighter_by = one.lightness - other.lightness;
        Judgement { harmony, contrast: contrast(lighter_by.abs()), deciding, lighter_by }
    }

    fn worth(&self, one: &PaperView, other: &PaperView) -> f64 {
        let Judgement { harmony, contrast, .. } = self.judge(one, other);
        let worth = harmony + self.contrast * (contrast - harmony);
        // A colour that changes with the light is only roughly known: it has half a say.
        if is_rough(one) || is_rough(other) { 0.5 + 0.5 * (worth - 0.5) } else { worth }
    }
}

/// Whether the colour of a paper depends on how the light falls.
fn is_rough(paper: &PaperView) -> bool {
    paper.material == Material::Glitter || matches!(paper.finish, Finish::Glitter | Finish::Metallic)
}

/// Contrast from a difference in lightness of 0 to 100: 0 at none, 5/8 at the 25 that commonly reads
/// as an edge, 1 at 100.
fn contrast(apart: f64) -> f64 {
    1.25 * apart / (apart + 25.0)
}

/// A worth from a number that rounding may have carried a hair past an end; what is no number is no opinion.
fn opinion(worth: f64) -> Option<Worth> {
    worth.is_finite().then(|| Worth::clamped(worth))
}

impl Scorer for ColourHarmony {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        opinion(self.worth(panel, mat))
    }

    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        opinion(self.worth(upper, lower))
    }

    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        // Lifted towards 1, so that papers that do not meet decide less often which pair is the weakest.
        opinion(1.0 - self.apart * (1.0 - self.worth(one, other)))
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        match subject {
            Subject::MatBehind { panel: one, mat: other }
            | Subject::Touching { upper: one, lower: other }
            | Subject::SameCard(one, other) => words::why(&self.judge(one, other), one, other),
            _ => String::from("has nothing to say here"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::{Colour, Pattern, PatternKind};

    const CREAM: Colour = Colour::new(96.007_942, -0.172_881, 8.058_767);
    const BERRY: Colour = Colour::new(41.832_758, 52.480_876, 7.931_737);
    const AQUA: Colour = Colour::new(78.217_517, -21.056_127, -3.936_917);
    const TEAL: Colour = Colour::new(46.131_246, -21.661_714, -11.618_304);
    const RED: Colour = Colour::new(43.980_466, 59.148_645, 31.201_793);
    const GREEN: Colour = Colour::new(46.101_550, -25.765_389, 15.721_647);

    fn plain(colour: Colour) -> PaperView {
        PaperView::plain("plain", colour)
    }

    fn printed(colours: &[(Colour, u32)]) -> PaperView {
        let mut paper = PaperView::plain("print", colours[0].0);
        paper.swatches = colours
            .iter()
            .map(|(colour, percent)| Swatch {
                colour: *colour,
                share: Share::from_millionths(percent * 10_000).unwrap(),
            })
            .collect();
        paper.material = Material::Patterned;
        paper.pattern = Pattern { kind: PatternKind::Scattered, ..Pattern::default() };
        paper
    }

    fn with(knobs: &[(&str, f64)]) -> Box<dyn Scorer> {
        scorer(&Knobs(knobs.iter().map(|(name, value)| ((*name).to_owned(), *value)).collect()))
    }

    #[test]
    fn harmony_alone_ranks_as_the_model_does() {
        let alone = with(&[("contrast", 0.0)]);
        let worth = |one, other| alone.mat_behind(&plain(one), &plain(other)).unwrap();
        assert!(worth(AQUA, TEAL) > worth(CREAM, BERRY));
        assert!(worth(CREAM, BERRY) > worth(RED, GREEN));
        // 0.692536 in harmony_pairs.csv, on the line from -1.898 to 1.908.
        assert_eq!(worth(TEAL, AQUA), Worth::new((0.692_536 + 1.898) / (1.908 + 1.898)).unwrap());
    }

    #[test]
    fn contrast_turned_up_prefers_light_against_dark() {
        let (aqua_on_teal, aqua_on_aqua) = ((plain(AQUA), plain(TEAL)), (plain(AQUA), plain(AQUA)));
        let order = |balance: f64| {
            let scorer = with(&[("contrast", balance)]);
            let worth = |pair: &(PaperView, PaperView)| scorer.mat_behind(&pair.0, &pair.1).unwrap();
            worth(&aqua_on_teal).cmp(&worth(&aqua_on_aqua))
        };
        assert!(order(0.0).is_lt());
        assert!(order(0.4).is_gt());
    }

    #[test]
    fn a_small_clash_is_forgiven_and_a_large_one_is_not() {
        let scorer = with(&[("contrast", 0.0)]);
        let worth = |red: u32| scorer.mat_behind(&printed(&[(CREAM, 100 - red), (RED, red)]), &plain(GREEN)).unwrap();
        assert_eq!(worth(25), scorer.mat_behind(&plain(CREAM), &plain(GREEN)).unwrap());
        assert_eq!(worth(26), scorer.mat_behind(&plain(RED), &plain(GREEN)).unwrap());
    }

    #[test]
    fn papers_that_do_not_meet_count_less() {
        let (scorer, red, green) = (scorer(&Knobs::default()), plain(RED), plain(GREEN));
        assert!(scorer.same_card(&red, &green) > scorer.touching(&red, &green));
        let deaf = with(&[("apart", 0.0)]);
        assert_eq!(deaf.same_card(&red, &green), Some(Worth::ONE));
    }

    #[test]
    fn the_order_of_two_papers_means_nothing() {
        let scorer = scorer(&Knobs::default());
        let one = printed(&[(CREAM, 40), (RED, 30), (GREEN, 20), (TEAL, 9), (BERRY, 1)]);
        let other = printed(&[(AQUA, 50), (RED, 25), (RED, 25)]);
        assert_eq!(scorer.same_card(&one, &other), scorer.same_card(&other, &one));
        assert_eq!(scorer.touching(&one, &other), scorer.touching(&other, &one));
    }

    #[test]
    fn what_is_no_colour_gets_no_opinion() {
        let scorer = scorer(&Knobs::default());
        let none = plain(Colour::new(f64::NAN, 0.0, 0.0));
        assert_eq!(scorer.mat_behind(&none, &plain(RED)), None);
        let mut bare = plain(RED);
        bare.swatches.clear();
        assert!(scorer.mat_behind(&bare, &plain(RED)).is_some());
    }

    #[test]
    fn glitter_has_half_a_say() {
        let scorer = scorer(&Knobs::default());
        let (plain_red, mut glitter) = (plain(RED), plain(GREEN));
        let full = scorer.mat_behind(&plain_red, &glitter).unwrap().as_f64();
        glitter.material = Material::Glitter;
        let half = scorer.mat_behind(&plain_red, &glitter).unwrap().as_f64();
        assert!((half - (0.5 + (full - 0.5) / 2.0)).abs() < 2e-6);
    }

    #[test]
    fn reasons_name_the_colours() {
        let scorer = scorer(&Knobs::default());
        let why =
            |one: Colour, other: Colour| scorer.why(&Subject::MatBehind { panel: &plain(one), mat: &plain(other) });
        assert_eq!(why(CREAM, TEAL), "cream and teal sit well together; a light paper with a dark one");
        assert_eq!(why(RED, GREEN), "cherry and dark sage pull apart; both much the same lightness");
        assert_eq!(why(TEAL, TEAL), "two shades of teal together; both much the same lightness");
    }
}

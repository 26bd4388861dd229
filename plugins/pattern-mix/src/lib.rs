//! Scorer: do these two patterned papers go on one card? Two papers in, a worth out.
//!
//! The worth is the weighted mean of three parts, each from 0 to 1, less what two directional patterns cost:
//!
//! - *rest*: half of it how quiet the quieter paper is (1 - its busyness, over 0.8, at most 1), half how
//!   far the two are apart in busyness (over 0.5, at most 1): one busy, one quiet;
//! - *scale*: how far the larger repeat goes beyond the smaller ((r - 1) for a ratio of r, at most 1, so
//!   twice the size is enough); where a repeat is unknown, 1/2, or 1 for a big motif beside a small one;
//! - *kinds*: 1 for different kinds or where either is tonal, 1/4 for the same kind twice.
//!
//! All are common practice (one busy beside one quiet, scales apart, kinds mixed; see `docs/scoring.md`).
//! One paper twice is neither good nor bad: no opinion. It never looks at colours.

use api::units::Length;
use api::{
    API_VERSION, Directional, Gather, Knob, Knobs, Manifest, Material, PaperView, PatternKind, Ranges, Scorer, Subject,
    Worth,
};

const REST: Knob = Knob::new("rest", "more for one busy paper beside one quiet one", (0.0, 1.0), 0.4);
const SCALE: Knob = Knob::new("scale", "more for large patterns beside small ones", (0.0, 1.0), 0.35);
const KINDS: Knob = Knob::new("kinds", "more for different kinds of pattern", (0.0, 1.0), 0.25);
const CLASH: Knob = Knob::new("clash", "what two papers cost that both have a direction", (0.0, 1.0), 0.2);

/// The parts of the judgement, each from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Parts {
    rest: f64,
    scale: f64,
    kinds: f64,
    clash: bool,
}

impl Parts {
    fn of(one: &PaperView, other: &PaperView) -> Self {
        let (first, second) = (one.pattern.busyness.as_f64(), other.pattern.busyness.as_f64());
        let (quiet, busy) = (first.min(second), first.max(second));
        let has_direction = |paper: &PaperView| paper.pattern.directional != Directional::No;
        Self {
            rest: 0.5 * ((1.0 - quiet) / 0.8).min(1.0) + 0.5 * ((busy - quiet) / 0.5).min(1.0),
            scale: scale(one, other),
            kinds: if one.pattern.kind == other.pattern.kind && !is_tonal(one) { 0.25 } else { 1.0 },
            clash: has_direction(one) && has_direction(other),
        }
    }
}

fn is_tonal(paper: &PaperView) -> bool {
    paper.pattern.kind == PatternKind::Tonal
}

/// How far apart two patterns are in size, 0 to 1.
fn scale(one: &PaperView, other: &PaperView) -> f64 {
    let known = |paper: &PaperView| paper.pattern.repeat.filter(|repeat| repeat.is_positive());
    match (known(one), known(other)) {
        (Some(first), Some(second)) => (ratio(first.max(second), first.min(second)) - 1.0).min(1.0),
        _ => match (size_by_kind(one.pattern.kind), size_by_kind(other.pattern.kind)) {
            (first, second) if first != second => 1.0,
            _ => 0.5,
        },
    }
}

/// Whether a kind of pattern is large by nature, where nothing was measured.
fn size_by_kind(kind: PatternKind) -> u8 {
    u8::from(kind == PatternKind::BigMotif)
}

#[allow(clippy::cast_precision_loss, reason = "a ratio is wanted, to a millionth")]
fn ratio(longer: Length, shorter: Length) -> f64 {
    longer.nanometres() as f64 / shorter.nanometres() as f64
}

/// Printed with a pattern that is meant to be seen as one.
fn is_patterned(paper: &PaperView) -> bool {
    paper.pattern.kind != PatternKind::Solid && paper.material != Material::Image
}

struct PatternMix {
    manifest: Manifest,
    rest: f64,
    scale: f64,
    kinds: f64,
    clash: f64,
}

/// The scorer for patterns that mix.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(PatternMix {
        rest: knobs.value(&REST),
        scale: knobs.value(&SCALE),
        kinds: knobs.value(&KINDS),
        clash: knobs.value(&CLASH),
        manifest: Manifest {
            name: "pattern-mix".into(),
            title: "patterns that mix".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { same_card: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.75,
            knobs: vec![REST, SCALE, KINDS, CLASH],
        },
    })
}

impl Scorer for PatternMix {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        if !is_patterned(one) || !is_patterned(other) || one == other {
            return None;
        }
        let parts = Parts::of(one, other);
        let total = self.rest + self.scale + self.kinds;
        let sum = self.rest * parts.rest + self.scale * parts.scale + self.kinds * parts.kinds;
        let clash = if parts.clash { 1.0 - self.clash } else { 1.0 };
        (total > 0.0).then(|| Worth::clamped(sum / total * clash))
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        let Subject::SameCard(one, other) = subject else { return String::from("has nothing to say here") };
        if one == other {
            return String::from("the same paper twice");
        }
        let parts = Parts::of(one, other);
        let rest = match (one.pattern.busyness.min(other.pattern.busyness).as_f64(), parts.rest) {
            (quieter, _) if quieter >= 0.5 => "both busy",
            (_, rest) if rest >= 0.75 => "one busy, one quiet",
            _ => "both quiet",
        };
        let scale = match parts.scale {
            apart if apart >= 0.75 => ", one large and one small",
            alike if alike <= 0.25 => ", much the same size",
            _ => "",
        };
        let (first, second) = (kind(one), kind(other));
        let kinds = if first == second { format!(", {first} twice") } else { format!(", {first} with {second}") };
        let clash = if parts.clash { "; mind that both have a direction" } else { "" };
        format!("{rest}{scale}{kinds}{clash}")
    }
}

/// What a maker calls it.
fn kind(paper: &PaperView) -> &'static str {
    match paper.pattern.kind {
        PatternKind::Solid => "plain",
        PatternKind::Tonal => "tonal",
        PatternKind::Stripe => "stripes",
        PatternKind::Dot => "dots",
        PatternKind::Check => "checks",
        PatternKind::Scattered => "small motifs",
        PatternKind::BigMotif => "big motifs",
        _ => "pattern",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::{Colour, Pattern, Share};

    fn print(name: &str, kind: PatternKind, busyness: f64, repeat: Option<i64>) -> PaperView {
        let mut paper = PaperView::plain(name, Colour::new(80.0, 5.0, 10.0));
        paper.material = Material::Patterned;
        paper.pattern = Pattern {
            kind,
            busyness: Share::new(busyness).unwrap(),
            repeat: repeat.map(|mm| Length::micrometres(mm * 1_000)),
            directional: if kind == PatternKind::Stripe { Directional::QuarterTurn } else { Directional::No },
        };
        paper
    }

    fn worth(one: &PaperView, other: &PaperView) -> Worth {
        scorer(&Knobs::default()).same_card(one, other).unwrap()
    }

    #[test]
    fn one_busy_one_quiet_beats_two_of_a_sort() {
        let busy = print("garden", PatternKind::BigMotif, 0.8, Some(90));
        let busy_too = print("orchard", PatternKind::BigMotif, 0.75, Some(80));
        let quiet = print("linen", PatternKind::Tonal, 0.15, Some(4));
        let quiet_too = print("mist", PatternKind::Tonal, 0.1, Some(4));
        assert!(worth(&busy, &quiet) > worth(&quiet, &quiet_too));
        assert!(worth(&quiet, &quiet_too) > worth(&busy, &busy_too));
        assert_eq!(worth(&busy, &quiet), Worth::ONE);
    }

    #[test]
    fn sizes_and_kinds_apart_are_better() {
        let dots = print("dots", PatternKind::Dot, 0.4, Some(10));
        let same_size = print("checks", PatternKind::Check, 0.4, Some(10));
        let larger = print("checks", PatternKind::Check, 0.4, Some(20));
        let larger_dots = print("big dots", PatternKind::Dot, 0.4, Some(20));
        assert!(worth(&dots, &larger) > worth(&dots, &same_size));
        assert!(worth(&dots, &larger) > worth(&dots, &larger_dots));
    }

    #[test]
    fn two_directions_cost_a_fifth() {
        let stripes = print("stripes", PatternKind::Stripe, 0.4, Some(10));
        let mut turned = print("checks", PatternKind::Check, 0.2, Some(30));
        let calm = worth(&stripes, &turned).as_f64();
        turned.pattern.directional = Directional::OneWay;
        assert!((worth(&stripes, &turned).as_f64() - 0.8 * calm).abs() < 2e-6);
    }

    #[test]
    fn one_paper_twice_and_plain_paper_get_no_opinion() {
        let scorer = scorer(&Knobs::default());
        let dots = print("dots", PatternKind::Dot, 0.4, None);
        assert_eq!(scorer.same_card(&dots, &dots.clone()), None);
        assert_eq!(scorer.same_card(&dots, &PaperView::plain("plain", Colour::new(50.0, 0.0, 0.0))), None);
    }

    #[test]
    fn every_mix_keeps_to_the_range_and_the_order_means_nothing() {
        use PatternKind::{BigMotif, Check, Dot, Scattered, Stripe, Tonal};
        let scorer = scorer(&Knobs::default());
        let most = scorer.manifest().ranges.same_card.unwrap();
        let mut papers = Vec::new();
        for kind in [Tonal, Stripe, Dot, Check, Scattered, BigMotif] {
            for busyness in [0.0, 0.3, 0.6, 1.0] {
                for repeat in [None, Some(0), Some(3), Some(100_000)] {
                    papers.push(print("print", kind, busyness, repeat));
                }
            }
        }
        for one in &papers {
            for other in &papers {
                let worth = scorer.same_card(one, other);
                assert!(worth.is_none_or(|worth| worth <= most));
                assert_eq!(worth, scorer.same_card(other, one));
            }
        }
    }

    #[test]
    fn reasons_say_what_mixes() {
        let scorer = scorer(&Knobs::default());
        let garden = print("garden", PatternKind::BigMotif, 0.8, Some(90));
        let stripes = print("stripes", PatternKind::Stripe, 0.2, Some(6));
        let why = scorer.why(&Subject::SameCard(&garden, &stripes));
        assert_eq!(why, "one busy, one quiet, one large and one small, big motifs with stripes");
        let why = scorer.why(&Subject::SameCard(&stripes, &stripes));
        assert_eq!(why, "the same paper twice");
    }
}

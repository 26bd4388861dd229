//! Scorer: does this card use what should be used first? A piece and its stock in, a worth out.
//!
//! The worth is the weighted mean of five parts, each from 0 to 1, weighted by the knobs:
//!
//! - *age*: a / (a + 365) for stock that is a days old, so a year counts 1/2; 1/2 where nobody wrote it down;
//! - *small*: 100 / (100 + s) for stock of s cm², so 100 cm² (a square of 4 in) counts 1/2;
//! - *last*: 1 / n for stock of which n are on hand;
//! - *waste*: the share of the stock's area that the piece takes;
//! - *scrap*: 1 for a scrap, 0 for a sheet.
//!
//! The two halving points are common practice, no source. It sees one piece at a time, so it never
//! knows what else a card takes from the same sheet.

use api::{API_VERSION, Gather, Knob, Knobs, Manifest, PieceView, Ranges, Scorer, Subject, Worth};

const AGE: Knob = Knob::new("age", "more for stock that has lain long", (0.0, 1.0), 0.25);
const SMALL: Knob = Knob::new("small", "more for small pieces", (0.0, 1.0), 0.2);
const LAST: Knob = Knob::new("last", "more for the last of its kind", (0.0, 1.0), 0.15);
const WASTE: Knob = Knob::new("waste", "more where little is left over", (0.0, 1.0), 0.25);
const SCRAP: Knob = Knob::new("scrap", "more for scraps", (0.0, 1.0), 0.15);

/// The age, in days, that counts 1/2.
const HALF_AGE: f64 = 365.0;
/// The stock's area, in square nanometres, that counts 1/2: 100 cm².
const HALF_AREA: f64 = 1e16;

/// The parts of the judgement, each from 0 to 1, in the order in which reasons name them.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Parts {
    waste: f64,
    age: f64,
    last: f64,
    small: f64,
    scrap: f64,
}

impl Parts {
    fn of(piece: &PieceView<'_>) -> Self {
        let (used, stock) = (square_nanometres(piece.width, piece.height), stock_area(piece));
        Self {
            waste: if stock > 0.0 { (used / stock).clamp(0.0, 1.0) } else { 0.0 },
            age: piece.age_days.map_or(0.5, |days| f64::from(days) / (f64::from(days) + HALF_AGE)),
            last: 1.0 / f64::from(piece.stock_count.max(1)),
            small: HALF_AREA / (HALF_AREA + stock),
            scrap: if piece.is_scrap { 1.0 } else { 0.0 },
        }
    }
}

fn stock_area(piece: &PieceView<'_>) -> f64 {
    square_nanometres(piece.stock_width, piece.stock_height)
}

#[allow(clippy::cast_precision_loss, reason = "a share of an area is wanted, to a millionth")]
fn square_nanometres(width: api::units::Length, height: api::units::Length) -> f64 {
    (width * height).square_nanometres().max(0) as f64
}

struct UseUp {
    manifest: Manifest,
    weights: Parts,
}

/// The scorer for old, small and nearly-gone stock first.
#[must_use]
pub fn scorer(knobs: &Knobs) -> Box<dyn Scorer> {
    Box::new(UseUp {
        weights: Parts {
            waste: knobs.value(&WASTE),
            age: knobs.value(&AGE),
            last: knobs.value(&LAST),
            small: knobs.value(&SMALL),
            scrap: knobs.value(&SCRAP),
        },
        manifest: Manifest {
            name: "use-up".into(),
            title: "old, small and nearly-gone stock first".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Mean,
            neutral: Worth::HALF,
            ranges: Ranges { piece: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.5,
            knobs: vec![AGE, SMALL, LAST, WASTE, SCRAP],
        },
    })
}

impl Scorer for UseUp {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn piece(&self, piece: &PieceView<'_>) -> Option<Worth> {
        let (parts, weights) = (Parts::of(piece), self.weights);
        let total = weights.waste + weights.age + weights.last + weights.small + weights.scrap;
        let sum = weights.waste * parts.waste
            + weights.age * parts.age
            + weights.last * parts.last
            + weights.small * parts.small
            + weights.scrap * parts.scrap;
        // With every knob at 0 there is nothing to judge by.
        (total > 0.0).then(|| Worth::clamped(sum / total))
    }

    fn piece_at_most(&self, largest: &PieceView<'_>) -> Option<Worth> {
        // Only waste depends on the size of the piece, and the larger it is the less is wasted.
        self.piece(largest)
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        let Subject::Piece(piece) = subject else { return String::from("has nothing to say here") };
        let (parts, weights) = (Parts::of(piece), self.weights);
        let mut told = Vec::new();
        if piece.is_scrap && weights.scrap > 0.0 {
            told.push(String::from("a scrap"));
        } else if piece.stock_count == 1 && weights.last > 0.0 {
            told.push(String::from("the last of its kind"));
        }
        if let Some(days) = piece.age_days.filter(|days| *days >= 60 && weights.age > 0.0) {
            told.push(kept_for(days));
        }
        if weights.waste > 0.0 {
            // Whole percents, rounded down, so that "all of it" is never said of less.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share is from 0 to 1")]
            let percent = (parts.waste * 100.0) as u32;
            told.push(match percent {
                100 => String::from("all of it used"),
                0 => String::from("hardly any of it used"),
                some => format!("{some} % of it used"),
            });
        }
        if told.is_empty() { String::from("nothing presses") } else { told.join(", ") }
    }
}

/// An age in the unit a person would say it in.
fn kept_for(days: u32) -> String {
    match days {
        730.. => format!("kept for {} years", days / 365),
        365..730 => String::from("kept for a year"),
        _ => format!("kept for {} months", days / 30),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Length;
    use api::{Colour, PaperView, Role};

    fn paper() -> PaperView {
        PaperView::plain("plain", Colour::new(60.0, 10.0, 10.0))
    }

    fn piece<'a>(paper: &'a PaperView, change: impl Fn(&mut PieceView<'a>)) -> PieceView<'a> {
        let inches = |n| Length::inches(n, 0, 1).unwrap();
        let mut piece = PieceView::whole_sheet(paper, Role::Band, inches(2), inches(3));
        (piece.stock_width, piece.stock_height) = (inches(6), inches(6));
        (piece.stock_count, piece.age_days) = (3, Some(100));
        change(&mut piece);
        piece
    }

    #[test]
    fn each_reason_to_use_it_raises_the_worth() {
        let (paper, scorer) = (paper(), scorer(&Knobs::default()));
        let worth = |change: &dyn Fn(&mut PieceView<'_>)| scorer.piece(&piece(&paper, |p| change(p))).unwrap();
        let plain = worth(&|_| ());
        assert!(worth(&|p| p.age_days = Some(900)) > plain, "older");
        assert!(worth(&|p| p.stock_count = 1) > plain, "last of its kind");
        assert!(worth(&|p| p.is_scrap = true) > plain, "a scrap");
        assert!(worth(&|p| p.stock_width = p.width) > plain, "smaller, and less left over");
        assert!(worth(&|p| p.stock_count = 300) < plain, "plenty");
    }

    #[test]
    fn the_worked_example_of_the_formula() {
        // Each part by hand: a 10 cm square scrap, one year old,
        // the only one, all of it used: age 1/2, small 1/2, last 1, waste 1, scrap 1.
        let (paper, scorer) = (paper(), scorer(&Knobs::default()));
        let side = Length::micrometres(100_000);
        let mut whole = PieceView::whole_sheet(&paper, Role::Part, side, side);
        (whole.age_days, whole.is_scrap) = (Some(365), true);
        let by_hand = 0.25 * 0.5 + 0.2 * 0.5 + 0.15 + 0.25 + 0.15;
        assert_eq!(scorer.piece(&whole), Worth::new(by_hand));
        assert_eq!(scorer.why(&Subject::Piece(&whole)), "a scrap, kept for a year, all of it used");
    }

    #[test]
    fn odd_stock_never_leaves_the_range() {
        let (paper, scorer) = (paper(), scorer(&Knobs::default()));
        for length in [0, 1, -5, i64::MAX] {
            for count in [0, 1, u32::MAX] {
                for age in [None, Some(0), Some(u32::MAX)] {
                    let odd = piece(&paper, |p| {
                        p.stock_width = Length::from_nanometres(length);
                        (p.stock_count, p.age_days) = (count, age);
                    });
                    assert!(scorer.piece(&odd).unwrap() <= scorer.manifest().ranges.piece.unwrap());
                }
            }
        }
    }

    #[test]
    fn with_every_knob_at_nought_there_is_no_opinion() {
        let off = ["age", "small", "last", "waste", "scrap"].map(|name| (name.to_owned(), 0.0));
        let (paper, scorer) = (paper(), scorer(&Knobs(off.into())));
        assert_eq!(scorer.piece(&piece(&paper, |_| ())), None);
    }
}

//! The committed list of trials. `PRACTICE` may be looked at and tuned on; `JUDGING` may not: it was
//! set down before any reader of pictures was tuned and is for the final count alone.

use super::{Style, Trial};

/// Size of the printed part of every trial, in millimetres.
pub const SIZE: [f64; 2] = [140.0, 110.0];
/// Width of the white margin where there is one, in millimetres.
pub const MARGIN: f64 = 9.0;
/// Resolution of the trials, in pixels per inch.
pub const PIXELS_PER_INCH: u16 = 120;

/// First seeds of the two lists and how many trials of each style they hold.
const PRACTICE_FROM: u64 = 1_104;
const JUDGING_FROM: u64 = 730_551;

/// Trials of one style for practice: 24.
pub fn practice(style: Style) -> Vec<Trial> {
    (0..24).map(|k| Trial { style, seed: PRACTICE_FROM + 17 * k }).collect()
}

/// Trials of one style for the final count: 60.
pub fn judging(style: Style) -> Vec<Trial> {
    (0..60).map(|k| Trial { style, seed: JUDGING_FROM + 31 * k }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Kind;
    use std::collections::BTreeMap;

    /// What the styles promise of shares and counts holds for every trial of both lists, and each
    /// kind of pattern comes up. Only the drawings are checked here; no picture is taken.
    #[test]
    fn the_lists_keep_their_promises() {
        let mut kinds: BTreeMap<String, u32> = BTreeMap::new();
        for (style, most) in [(Style::Plain, 6), (Style::Ditsy, 10)] {
            for trial in practice(style).into_iter().chain(judging(style)) {
                let truth = trial.paper(PIXELS_PER_INCH).truth;
                let shares: Vec<f64> = truth.colours.iter().map(|c| c.share).collect();
                assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-3, "{trial:?}");
                assert!((4..=most).contains(&shares.len()), "{trial:?}");
                let least = shares[shares.len() - 1];
                match style {
                    Style::Plain => assert!(least > 0.02, "{trial:?}: {shares:?}"),
                    Style::Ditsy => {
                        assert!((least - 0.003).abs() < 0.0003, "{trial:?}: accent on {least}");
                        assert!(shares[shares.len() - 2] > 0.008, "{trial:?}: {shares:?}");
                    }
                }
                assert!(truth.across.or(truth.down).is_some_and(|mm| mm < 0.4 * SIZE[1]), "{trial:?}");
                assert!(truth.steps_per_mm > 1.0, "{trial:?}");
                *kinds.entry(truth.kind.to_string()).or_default() += 1;
            }
        }
        for kind in [Kind::Stripe, Kind::Dot, Kind::Check, Kind::Scattered, Kind::BigMotif, Kind::Tonal] {
            assert!(kinds.get(&kind.to_string()).is_some_and(|&n| n >= 4), "{kind}: {kinds:?}");
        }
    }
}

//! Two papers judged colour by colour: the worth of each pair of colours in, the pair that decides out.

use api::{PaperView, Share, Swatch, Worth};

/// How many of a paper's colours are looked at, largest share first.
const MOST_COLOURS: usize = 8;

/// The pair of colours that decides for two papers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Deciding<'a> {
    pub(crate) worth: Worth,
    pub(crate) one: &'a Swatch,
    pub(crate) other: &'a Swatch,
}

/// Judges each pair of colours and lines them up from worst to best, each with the product of their
/// shares; the worst are forgiven until `forgive` of the whole is used up, and the next one decides.
/// Pairs without an opinion are passed over; `None` where none is left.
pub(crate) fn deciding<'a, E>(
    one: &'a PaperView,
    other: &'a PaperView,
    forgive: Share,
    mut judge: impl FnMut(&Swatch, &Swatch) -> Result<Option<Worth>, E>,
) -> Result<Option<Deciding<'a>>, E> {
    let mut pairs = Vec::new();
    let mut total = 0_u64;
    for first in one.swatches.iter().take(MOST_COLOURS) {
        for second in other.swatches.iter().take(MOST_COLOURS) {
            if let Some(worth) = judge(first, second)? {
                // In square millionths, so that sums are exact.
                let weight = u64::from(first.share.millionths()) * u64::from(second.share.millionths());
                total += weight;
                pairs.push((Deciding { worth, one: first, other: second }, weight));
            }
        }
    }
    // The sort keeps the order of pairs that are worth the same: larger shares first.
    pairs.sort_by_key(|(pair, _)| pair.worth);
    let forgiven = u128::from(total) * u128::from(forgive.millionths()) / 1_000_000;
    let mut passed = 0_u128;
    for (pair, weight) in &pairs {
        passed += u128::from(*weight);
        if passed > forgiven {
            return Ok(Some(*pair));
        }
    }
    // Only without any shares: the worst.
    Ok(pairs.first().map(|(pair, _)| *pair))
}

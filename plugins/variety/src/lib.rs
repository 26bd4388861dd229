//! Variety: how little the cards of one batch look alike. Finished cards in, a worth out.
//!
//! No scorer of single cards: a batch asks it once its cards are chosen, or while it chooses. Two cards
//! are alike as far as they show the same papers, the same colours and the same build:
//!
//! - *papers*: the share of area, of the smaller sum, that both give to the same paper;
//! - *colours*: 1 / (1 + d / 10) for a CIEDE2000 of d between the colours they blur to;
//! - *build*: the share of pieces, of the larger number, with the same role and size on both.
//!
//! Likeness is half papers, a quarter colours, a quarter build. All common practice, no source.

use api::units::{Area, Length};
use api::{CardView, Colour, PieceView, Role, Worth, delta_e_2000};
use std::collections::BTreeMap;

/// How much two cards look alike, 0 to 1; the same either way round, and 1 for a card and itself.
#[must_use]
pub fn likeness(one: &CardView<'_>, other: &CardView<'_>) -> Worth {
    let papers = common(&areas(one), &areas(other));
    let colours = 1.0 / (1.0 + delta_e_2000(blurred(one), blurred(other)) / 10.0);
    let build = common(&builds(one), &builds(other));
    Worth::clamped(0.5 * papers + 0.25 * colours + 0.25 * build)
}

/// How varied a batch is, 0 to 1: the mean, over its cards, of how little the likest other card is alike.
/// A single card is as varied as can be.
#[must_use]
pub fn variety(cards: &[CardView<'_>]) -> Worth {
    if cards.len() < 2 {
        return Worth::ONE;
    }
    let mut likest = vec![Worth::ZERO; cards.len()];
    for (i, one) in cards.iter().enumerate() {
        for (j, other) in cards.iter().enumerate().skip(i + 1) {
            let alike = likeness(one, other);
            likest[i] = likest[i].max(alike);
            likest[j] = likest[j].max(alike);
        }
    }
    let unlike: u64 = likest.iter().map(|alike| 1_000_000 - u64::from(alike.millionths())).sum();
    let mean = unlike / u64::try_from(cards.len()).unwrap_or(u64::MAX);
    u32::try_from(mean).ok().and_then(Worth::from_millionths).unwrap_or(Worth::ONE)
}

/// The area each paper takes on a card, by name. What lies beneath other pieces counts too: which of it
/// shows is not told.
fn areas<'a>(card: &CardView<'a>) -> BTreeMap<&'a str, f64> {
    let mut areas = BTreeMap::new();
    for piece in card.pieces {
        *areas.entry(piece.paper.name.as_str()).or_insert(0.0) += square_millimetres(piece.area());
    }
    areas
}

/// How many pieces of each role and size a card has.
fn builds(card: &CardView<'_>) -> BTreeMap<(Role, Length, Length), f64> {
    let mut builds = BTreeMap::new();
    for PieceView { role, width, height, .. } in card.pieces.iter().copied() {
        *builds.entry((role, width, height)).or_insert(0.0) += 1.0;
    }
    builds
}

/// What two lots have in common, as a share of the larger; 0 where there is nothing at all.
fn common<K: Ord>(one: &BTreeMap<K, f64>, other: &BTreeMap<K, f64>) -> f64 {
    let both: f64 = one.iter().filter_map(|(key, amount)| other.get(key).map(|more| amount.min(*more))).sum();
    let larger = one.values().sum::<f64>().max(other.values().sum());
    if larger > 0.0 { both / larger } else { 0.0 }
}

/// The colour a card blurs to: the mean over area and shares.
fn blurred(card: &CardView<'_>) -> Colour {
    let (mut l, mut a, mut b, mut total) = (0.0, 0.0, 0.0, 0.0);
    for piece in card.pieces {
        let area = square_millimetres(piece.area());
        for swatch in &piece.paper.swatches {
            let weight = area * swatch.share.as_f64();
            l += weight * swatch.colour.l;
            a += weight * swatch.colour.a;
            b += weight * swatch.colour.b;
            total += weight;
        }
    }
    if total > 0.0 { Colour::new(l / total, a / total, b / total) } else { Colour::new(100.0, 0.0, 0.0) }
}

#[allow(clippy::cast_precision_loss, reason = "a share of an area is wanted, to a millionth")]
fn square_millimetres(area: Area) -> f64 {
    area.square_nanometres() as f64 / 1e12
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::PaperView;

    const RUST: Colour = Colour::new(40.0, 42.0, 46.0);
    const NAVY: Colour = Colour::new(18.0, 6.0, -24.0);

    fn piece(paper: &PaperView, role: Role, inches: i64) -> PieceView<'_> {
        let side = Length::inches(inches, 0, 1).unwrap();
        PieceView::whole_sheet(paper, role, side, side)
    }

    #[test]
    fn a_card_is_like_itself_and_less_like_others() {
        let (rust, navy) = (PaperView::plain("rust", RUST), PaperView::plain("navy", NAVY));
        let one = [piece(&rust, Role::Base, 4), piece(&navy, Role::Band, 1)];
        let recoloured = [piece(&navy, Role::Base, 4), piece(&navy, Role::Band, 1)];
        let rebuilt = [piece(&rust, Role::Base, 5), piece(&navy, Role::Feature, 2)];
        let [one, recoloured, rebuilt] = [&one, &recoloured, &rebuilt].map(|pieces| CardView::new(pieces, &[]));
        assert_eq!(likeness(&one, &one), Worth::ONE);
        assert!(likeness(&one, &recoloured) < likeness(&one, &rebuilt));
        assert_eq!(likeness(&one, &rebuilt), likeness(&rebuilt, &one));
        assert!(likeness(&one, &rebuilt) < Worth::ONE);
    }

    #[test]
    fn twins_make_a_batch_less_varied() {
        let (rust, navy) = (PaperView::plain("rust", RUST), PaperView::plain("navy", NAVY));
        let (one, other) = ([piece(&rust, Role::Base, 4)], [piece(&navy, Role::Base, 5)]);
        let [one, other] = [&one, &other].map(|pieces| CardView::new(pieces, &[]));
        assert_eq!(variety(&[one, one]), Worth::ZERO);
        assert!(variety(&[one, other]) > variety(&[one, other, other]));
        assert!(variety(&[one, other, other]) > Worth::ZERO);
        assert_eq!((variety(&[one]), variety(&[])), (Worth::ONE, Worth::ONE));
    }

    #[test]
    fn a_card_without_pieces_is_no_trouble() {
        let empty = CardView::new(&[], &[]);
        assert_eq!(likeness(&empty, &empty), Worth::new(0.25).unwrap());
        assert_eq!(variety(&[empty, empty]), Worth::new(0.75).unwrap());
    }
}

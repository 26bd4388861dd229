//! The card base: its blank, where it is scored, how many blanks a sheet gives, and its grain.

use crate::index::blank;
use crate::stash::Grain;
use api::units::{Length, Size, Turn};

/// A US letter sheet, 8 1/2 x 11 in (PWG 5101.1).
pub const LETTER: Size = Size::new(Length::from_nanometres(215_900_000), Length::from_nanometres(279_400_000));
/// An A4 sheet, 210 x 297 mm (ISO 216).
pub const A4: Size = Size::new(Length::micrometres(210_000), Length::micrometres(297_000));

/// Whether the fold runs with the fibres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// Along them: it folds clean.
    WithGrain,
    /// Across them: score it well first.
    AcrossGrain,
    /// Nobody said which way they run.
    Unknown,
}

/// A card base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Base {
    /// The unfolded blank, as it lies with the card upright before one.
    pub blank: Size,
    /// Where it is scored, from the left where the fold stands upright, from the top where it lies.
    pub score_at: Length,
    /// How long the fold is.
    pub fold: Length,
    /// Whether the fold stands upright, at the card's side.
    pub side_fold: bool,
    /// How many blanks a US letter sheet gives.
    pub per_letter: u32,
    /// How many an A4 sheet gives.
    pub per_a4: u32,
    /// Whether the fold runs with the grain of the stock it is cut from.
    pub grain: Fold,
}

/// The base of a card, cut from stock with this grain, `turn` being how the blank lies on it.
#[must_use]
pub fn base(card: Size, grain: Option<Grain>, turn: Lies) -> Base {
    let blank = blank(card);
    let side_fold = blank.width != card.width;
    let (score_at, fold) = if side_fold { (card.width, blank.height) } else { (card.height, blank.width) };
    let along_height = match turn {
        Lies::AsCut => side_fold,
        Lies::Turned => !side_fold,
    };
    let grain = match grain {
        None => Fold::Unknown,
        Some(grain) if (grain == Grain::AlongHeight) == along_height => Fold::WithGrain,
        Some(_) => Fold::AcrossGrain,
    };
    Base { blank, score_at, fold, side_fold, per_letter: per_sheet(blank, LETTER), per_a4: per_sheet(blank, A4), grain }
}

/// How a piece lies on its stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// The way the card stands.
    AsCut,
    /// Turned a quarter.
    Turned,
}

/// The most equal pieces that cuts from end to end make of a sheet, either way round; two levels of
/// cuts are looked at before the rest is cut in rows, which is enough for so few large pieces.
#[must_use]
pub fn per_sheet(piece: Size, sheet: Size) -> u32 {
    if !piece.width.is_positive() || !piece.height.is_positive() {
        return 0;
    }
    most(piece, sheet, 2)
}

fn most(piece: Size, sheet: Size, levels: u32) -> u32 {
    if !piece.fits_in(sheet, Turn::Either) {
        return 0;
    }
    let fit = |side: Length, part: Length| side.nanometres() / part.nanometres().max(1);
    let rows = |piece: Size| fit(sheet.width, piece.width) * fit(sheet.height, piece.height);
    let mut best = u32::try_from(rows(piece).max(rows(piece.turned()))).unwrap_or(u32::MAX);
    if levels == 0 || best > 200 {
        return best;
    }
    for side in [piece.width, piece.height] {
        for at in (1..=fit(sheet.width, side)).map(|count| side * count) {
            let (one, other) = (Size::new(at, sheet.height), Size::new(sheet.width - at, sheet.height));
            best = best.max(most(piece, one, levels - 1) + most(piece, other, levels - 1));
        }
        for at in (1..=fit(sheet.height, side)).map(|count| side * count) {
            let (one, other) = (Size::new(sheet.width, at), Size::new(sheet.width, sheet.height - at));
            best = best.max(most(piece, one, levels - 1) + most(piece, other, levels - 1));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Unit;

    fn size(text: &str) -> Size {
        Size::parse(text, Unit::Inch).unwrap()
    }

    /// Counts by plain arithmetic on PWG 5101.1 letter and ISO 216 A4 sheets: end-to-end cuts only.
    #[test]
    fn a_sheet_gives_so_many_blanks() {
        for (sheet, piece, count) in [
            (LETTER, "5.5 x 8.5 in", 2),
            (LETTER, "4.25 x 11 in", 2),
            (LETTER, "7 x 10 in", 1),
            (LETTER, "6.25 x 9 in", 1),
            (A4, "148 x 210 mm", 2),
            (A4, "105 x 148 mm", 4),
            (size("12 x 12 in"), "5.5 x 8.5 in", 2),
            (size("12 x 12 in"), "6 x 12 in", 2),
            (LETTER, "3.5 x 4 in", 6),
            (size("12 x 12 in"), "6 x 8 in", 2),
            (LETTER, "9 x 12 in", 0),
        ] {
            assert_eq!(per_sheet(size(piece), sheet), count, "{piece}");
        }
    }

    /// Fold along the grain: trade facts on card bases from a grain-long letter or A4 sheet.
    #[test]
    fn a_blank_is_scored_in_its_middle_and_the_grain_told() {
        let card = base(size("4.25 x 5.5 in"), Some(Grain::AlongHeight), Lies::AsCut);
        assert_eq!(
            (card.blank, card.score_at, card.fold),
            (size("8.5 x 5.5 in"), size("4.25x1").width, size("5.5x1").width)
        );
        assert_eq!((card.grain, card.side_fold, card.per_letter), (Fold::WithGrain, true, 2));
        let lying = base(size("5.5 x 4.25 in"), Some(Grain::AlongHeight), Lies::AsCut);
        assert_eq!((lying.blank, lying.side_fold, lying.grain), (size("5.5 x 8.5 in"), false, Fold::AcrossGrain));
        assert_eq!(base(card.blank, None, Lies::AsCut).grain, Fold::Unknown);
        let a6 = base(size("105 x 148 mm"), Some(Grain::AlongWidth), Lies::Turned);
        assert_eq!((a6.per_a4, a6.grain), (2, Fold::WithGrain));
    }
}

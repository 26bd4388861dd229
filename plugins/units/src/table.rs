//! The sizes that have names: sheets, cards and envelopes, each in the unit it is defined in.
//!
//! A row carries its keys as [`crate::named`] spells them. Inch sizes are exact in inches, metric ones in
//! millimetres; neither is ever converted from the other's rounded twin. Sources, where a row says no other:
//!
//! - ISO sheets: ISO 216:2007, table 1, agreeing with PWG 5101.1. The untrimmed RA and SRA sizes: PWG 5101.1.
//! - ISO envelopes: ISO 269 as tabulated second-hand, agreeing with PWG 5101.1.
//! - US sheets: PWG 5101.1.
//! - US envelopes and the cards for them: a general reference on envelope styles, with enclosure maxima.
//! - Pads and squares: common practice, no source.

use crate::named::{Named, Purpose, Region};
use crate::{Length, Size};
use Purpose::{Card, Envelope, Sheet};
use Region::{Iso, Us};

/// Every named size. Within a purpose and a region no key stands twice.
pub(crate) const TABLE: &[Named] = &[
    // US cards, by the envelope they go in.
    inch(Some(Us), Card, "A1", &["a1"], [3, 1, 2], [4, 7, 8]),
    // A quarter of a letter sheet: common practice; the printed maximum for the envelope is 4 1/8 in wide.
    inch(Some(Us), Card, "A2", &["a2"], [4, 1, 4], [5, 1, 2]),
    inch(Some(Us), Card, "A6", &["a6"], [4, 1, 2], [6, 1, 4]),
    inch(Some(Us), Card, "A7", &["a7"], [5, 0, 1], [7, 0, 1]),
    inch(Some(Us), Card, "A8", &["a8"], [5, 1, 4], [7, 7, 8]),
    // Half a letter sheet: common practice, no source.
    inch(Some(Us), Card, "A9", &["a9"], [5, 1, 2], [8, 1, 2]),
    inch(Some(Us), Card, "A10", &["a10"], [5, 3, 4], [9, 1, 4]),
    // Common practice, no source.
    inch(Some(Us), Card, "no. 10", &["no10"], [4, 0, 1], [9, 1, 4]),
    // Makers' slimline, common practice, no source; the reference's own is a size larger and has its own name.
    inch(Some(Us), Card, "slimline", &["slimline"], [3, 1, 2], [8, 1, 2]),
    inch(Some(Us), Card, "slimline 3 5/8", &["slimline3 5/8"], [3, 5, 8], [8, 5, 8]),
    inch(None, Card, "5 in square", &["5insquare", "5square"], [5, 0, 1], [5, 0, 1]),
    inch(None, Card, "5 1/4 in square", &["5 1/4insquare", "5 1/4square"], [5, 1, 4], [5, 1, 4]),
    inch(None, Card, "6 in square", &["6insquare", "6square"], [6, 0, 1], [6, 0, 1]),
    // US sheets.
    inch(Some(Us), Sheet, "letter", &["letter"], [8, 1, 2], [11, 0, 1]),
    inch(Some(Us), Sheet, "half-letter", &["halfletter"], [5, 1, 2], [8, 1, 2]),
    inch(Some(Us), Sheet, "legal", &["legal"], [8, 1, 2], [14, 0, 1]),
    inch(Some(Us), Sheet, "ledger", &["ledger", "tabloid"], [11, 0, 1], [17, 0, 1]),
    inch(Some(Us), Sheet, "arch A", &["archa"], [9, 0, 1], [12, 0, 1]),
    inch(Some(Us), Sheet, "arch B", &["archb"], [12, 0, 1], [18, 0, 1]),
    inch(
        Some(Us),
        Sheet,
        "index 3 x 5",
        &["index3x5", "3x5index", "indexcard3x5", "3x5indexcard"],
        [3, 0, 1],
        [5, 0, 1],
    ),
    inch(
        Some(Us),
        Sheet,
        "index 4 x 6",
        &["index4x6", "4x6index", "indexcard4x6", "4x6indexcard"],
        [4, 0, 1],
        [6, 0, 1],
    ),
    inch(
        Some(Us),
        Sheet,
        "index 5 x 8",
        &["index5x8", "5x8index", "indexcard5x8", "5x8indexcard"],
        [5, 0, 1],
        [8, 0, 1],
    ),
    inch(None, Sheet, "12 in pad", &["12inpad", "12pad", "pad12", "12x12pad"], [12, 0, 1], [12, 0, 1]),
    inch(None, Sheet, "8 in pad", &["8inpad", "8pad", "pad8", "8x8pad"], [8, 0, 1], [8, 0, 1]),
    inch(None, Sheet, "6 in pad", &["6inpad", "6pad", "pad6", "6x6pad"], [6, 0, 1], [6, 0, 1]),
    inch(None, Sheet, "6 x 8 in pad", &["6x8inpad", "6x8pad", "pad6x8"], [6, 0, 1], [8, 0, 1]),
    // US envelopes, flat and outside.
    inch(Some(Us), Envelope, "A1", &["a1"], [3, 5, 8], [5, 1, 8]),
    inch(Some(Us), Envelope, "A2", &["a2"], [4, 3, 8], [5, 3, 4]),
    // A4 and A9: from an open table of millimetres, rounded there.
    inch(Some(Us), Envelope, "A4", &["a4"], [4, 1, 4], [6, 1, 4]),
    inch(Some(Us), Envelope, "A6", &["a6"], [4, 3, 4], [6, 1, 2]),
    inch(Some(Us), Envelope, "A7", &["a7"], [5, 1, 4], [7, 1, 4]),
    inch(Some(Us), Envelope, "A8", &["a8"], [5, 1, 2], [8, 1, 8]),
    inch(Some(Us), Envelope, "A9", &["a9"], [5, 3, 4], [8, 3, 4]),
    inch(Some(Us), Envelope, "A10", &["a10"], [6, 0, 1], [9, 1, 2]),
    inch(Some(Us), Envelope, "slimline", &["slimline", "along"], [3, 7, 8], [8, 7, 8]),
    // The commercial sizes: PWG 5101.1.
    inch(Some(Us), Envelope, "no. 6 3/4", &["no6 3/4"], [3, 5, 8], [6, 1, 2]),
    inch(Some(Us), Envelope, "monarch", &["monarch"], [3, 7, 8], [7, 1, 2]),
    inch(Some(Us), Envelope, "no. 9", &["no9"], [3, 7, 8], [8, 7, 8]),
    inch(Some(Us), Envelope, "no. 10", &["no10"], [4, 1, 8], [9, 1, 2]),
    inch(Some(Us), Envelope, "no. 11", &["no11"], [4, 1, 2], [10, 3, 8]),
    inch(Some(Us), Envelope, "no. 12", &["no12"], [4, 3, 4], [11, 0, 1]),
    inch(Some(Us), Envelope, "no. 14", &["no14"], [5, 0, 1], [11, 1, 2]),
    inch(Some(Us), Envelope, "booklet 6 x 9", &["booklet6x9", "6x9booklet"], [6, 0, 1], [9, 0, 1]),
    inch(None, Envelope, "5 in square", &["5insquare", "5square"], [5, 0, 1], [5, 0, 1]),
    inch(None, Envelope, "5 1/2 in square", &["5 1/2insquare", "5 1/2square"], [5, 1, 2], [5, 1, 2]),
    inch(None, Envelope, "6 in square", &["6insquare", "6square"], [6, 0, 1], [6, 0, 1]),
    inch(None, Envelope, "6 1/2 in square", &["6 1/2insquare", "6 1/2square"], [6, 1, 2], [6, 1, 2]),
    // ISO sheets; a card of a sheet's name is that sheet.
    metric(Some(Iso), Sheet, "A0", &["a0"], 841, 1189),
    metric(Some(Iso), Sheet, "A1", &["a1"], 594, 841),
    metric(Some(Iso), Sheet, "A2", &["a2"], 420, 594),
    metric(Some(Iso), Sheet, "A3", &["a3"], 297, 420),
    metric(Some(Iso), Sheet, "A4", &["a4"], 210, 297),
    metric(Some(Iso), Sheet, "A5", &["a5"], 148, 210),
    metric(Some(Iso), Sheet, "A6", &["a6"], 105, 148),
    metric(Some(Iso), Sheet, "A7", &["a7"], 74, 105),
    metric(Some(Iso), Sheet, "A8", &["a8"], 52, 74),
    metric(Some(Iso), Sheet, "A9", &["a9"], 37, 52),
    metric(Some(Iso), Sheet, "A10", &["a10"], 26, 37),
    metric(Some(Iso), Sheet, "B0", &["b0"], 1000, 1414),
    metric(Some(Iso), Sheet, "B1", &["b1"], 707, 1000),
    metric(Some(Iso), Sheet, "B2", &["b2"], 500, 707),
    metric(Some(Iso), Sheet, "B3", &["b3"], 353, 500),
    metric(Some(Iso), Sheet, "B4", &["b4"], 250, 353),
    metric(Some(Iso), Sheet, "B5", &["b5"], 176, 250),
    metric(Some(Iso), Sheet, "B6", &["b6"], 125, 176),
    metric(Some(Iso), Sheet, "B7", &["b7"], 88, 125),
    metric(Some(Iso), Sheet, "B8", &["b8"], 62, 88),
    metric(Some(Iso), Sheet, "B9", &["b9"], 44, 62),
    metric(Some(Iso), Sheet, "B10", &["b10"], 31, 44),
    metric(Some(Iso), Sheet, "RA3", &["ra3"], 305, 430),
    metric(Some(Iso), Sheet, "RA4", &["ra4"], 215, 305),
    metric(Some(Iso), Sheet, "SRA3", &["sra3"], 320, 450),
    metric(Some(Iso), Sheet, "SRA4", &["sra4"], 225, 320),
    // A third of A4, which a DL envelope holds.
    metric(Some(Iso), Card, "DL", &["dl", "1/3a4", "thirda4"], 99, 210),
    // ISO envelopes.
    metric(Some(Iso), Envelope, "C3", &["c3"], 324, 458),
    metric(Some(Iso), Envelope, "C4", &["c4"], 229, 324),
    metric(Some(Iso), Envelope, "C5", &["c5"], 162, 229),
    metric(Some(Iso), Envelope, "C6", &["c6"], 114, 162),
    metric(Some(Iso), Envelope, "C7", &["c7"], 81, 114),
    metric(Some(Iso), Envelope, "DL", &["dl"], 110, 220),
    metric(Some(Iso), Envelope, "C6/C5", &["c6c5"], 114, 229),
    metric(Some(Iso), Envelope, "C7/C6", &["c7c6"], 81, 162),
    metric(Some(Iso), Envelope, "B4", &["b4"], 250, 353),
    metric(Some(Iso), Envelope, "B5", &["b5"], 176, 250),
    metric(Some(Iso), Envelope, "B6", &["b6"], 125, 176),
    // Metric, but of no ISO series: PWG 5101.1.
    metric(None, Envelope, "Italian", &["italian"], 110, 230),
    metric(None, Envelope, "invitation 220", &["invitation220", "invite220"], 220, 220),
];

/// A row in inches: `[4, 1, 4]` is 4 1/4 in.
const fn inch(
    region: Option<Region>,
    purpose: Purpose,
    name: &'static str,
    keys: &'static [&'static str],
    short: [i64; 3],
    long: [i64; 3],
) -> Named {
    Named { region, purpose, name, keys, size: Size::new(inches(short), inches(long)) }
}

/// A row in whole millimetres.
const fn metric(
    region: Option<Region>,
    purpose: Purpose,
    name: &'static str,
    keys: &'static [&'static str],
    short: i64,
    long: i64,
) -> Named {
    let size = Size::new(Length::micrometres(short * 1_000), Length::micrometres(long * 1_000));
    Named { region, purpose, name, keys, size }
}

/// Exact, since every denominator in the table is at most 8 and an inch is 8 times 3,175,000 nm.
const fn inches([whole, top, bottom]: [i64; 3]) -> Length {
    Length::from_nanometres((whole * bottom + top) * Length::INCH.nanometres() / bottom)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::named::key;
    use std::collections::BTreeSet;

    #[test]
    fn keys_are_spelled_as_they_are_looked_up_and_stand_once() {
        let mut seen = BTreeSet::new();
        for row in TABLE {
            assert_eq!(row.keys.first().copied(), Some(key(row.name).as_str()), "{row}");
            for spelled in row.keys {
                assert_eq!(key(spelled), *spelled, "{row}");
                assert!(!spelled.starts_with("us") && !spelled.starts_with("iso"), "{row}: read as a region");
                for region in row.region.map_or(vec![Us, Iso], |region| vec![region]) {
                    assert!(seen.insert((region, row.purpose, *spelled)), "{row}: {spelled} stands twice");
                }
            }
        }
    }

    #[test]
    fn every_size_is_upright_and_can_be_printed_on_a_ruler() {
        for row in TABLE {
            assert!(row.size.short().is_positive() && row.size.width <= row.size.height, "{row}");
            assert!(!row.to_string().contains("nm"), "{row}");
        }
    }

    /// ISO 216, 4.3 and 5.1: the next size is the long side halved, fractions of a millimetre dropped.
    #[test]
    fn iso_sheets_halve() {
        let side = |name: &str| {
            let row = TABLE.iter().find(|row| row.region == Some(Iso) && row.purpose == Sheet && row.name == name);
            row.expect(name).size
        };
        for series in ["A", "B"] {
            for n in 0..10 {
                let (large, small) = (side(&format!("{series}{n}")), side(&format!("{series}{}", n + 1)));
                let halved = large.height.half().floor_to(Length::MILLIMETRE);
                assert_eq!(small, Size::new(halved, large.width), "{series}{}", n + 1);
            }
        }
    }
}

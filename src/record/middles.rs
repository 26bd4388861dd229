//! Middles cut out of pieces, as a plan's file has them: whether each lies in a piece that the same plan
//! cuts, once, and is of a line that it opens.

use super::Refused;
use super::made::{SheetFile, Spot};
use api::units::Length;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};

/// What a sheet is the middle of, as a plan's file has it.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub(super) struct MiddleFile {
    /// The line of stock that its piece was cut from.
    pub(super) stock: String,
    /// The card's id.
    pub(super) card: String,
    /// The layer.
    pub(super) layer: String,
}

impl MiddleFile {
    /// What the piece is called that it is cut out of.
    fn piece(&self) -> String {
        format!("{} {}", self.card, self.layer)
    }
}

/// Whether all middles of a plan can be cut out of its pieces.
///
/// # Errors
/// The first that cannot be.
pub(super) fn add_up(sheets: &[SheetFile]) -> Result<(), Refused> {
    let bad = |why: String| Err(Refused::BadPlan { why });
    let opened: BTreeSet<&str> =
        sheets.iter().filter(|sheet| sheet.middle.is_none()).map(|sheet| sheet.stock.as_str()).collect();
    let mut has: BTreeMap<(&str, Spot), u64> = BTreeMap::new();
    for (number, sheet) in sheets.iter().enumerate() {
        for (place, hole, copies) in &sheet.holes {
            let (piece, [left, top, right, bottom]) = &sheet.pieces[*place];
            let within = hole[0] > *left && hole[1] > *top && hole[2] < *right && hole[3] < *bottom;
            if !within || hole[0] >= hole[2] || hole[1] >= hole[3] || *copies > sheet.copies {
                return bad(format!("on sheet {}, the middle of `{piece}` does not lie in it", number + 1));
            }
            let side = (hole[2] - hole[0], hole[3] - hole[1]);
            *has.entry((piece, sizes(side))).or_default() += u64::from(*copies);
        }
    }
    let mut takes: BTreeMap<(String, Spot), u64> = BTreeMap::new();
    for (number, sheet) in sheets.iter().enumerate() {
        let Some(middle) = &sheet.middle else { continue };
        if opened.contains(sheet.stock.as_str()) || !opened.contains(middle.stock.as_str()) {
            return bad(format!("sheet {} is a middle of `{}`, which it does not cut", number + 1, middle.stock));
        }
        *takes.entry((middle.piece(), sizes(sheet.size))).or_default() += u64::from(sheet.copies);
    }
    for ((piece, size), takes) in takes {
        let has = has.get(&(piece.as_str(), size)).copied().unwrap_or(0);
        if takes > has {
            return bad(format!("{takes} middles of `{piece}` are cut up, and {has} are cut out"));
        }
    }
    Ok(())
}

/// A size whichever way it lies, shorter side first.
fn sizes((one, other): (Length, Length)) -> Spot {
    let zero = Length::ZERO;
    [zero, zero, one.min(other), one.max(other)]
}

//! What was cut, as the ledger keeps it: a sheet of a plan's file in, the line it is of and what it gave out.

use super::Now;
use super::made::SheetFile;
use crate::ledger::{Cut, CutPiece};

/// The line that a leftover is of: of a middle, the one that its piece was cut from.
pub(super) fn line_id<'p>(sheets: &'p [SheetFile], stock: &'p str) -> &'p str {
    sheets.iter().find(|sheet| sheet.stock == stock).map_or(stock, SheetFile::line)
}

impl SheetFile {
    /// The line of stock it is of.
    pub(super) fn line(&self) -> &str {
        self.middle.as_ref().map_or(&self.stock, |middle| &middle.stock)
    }
}

/// What was cut from a sheet.
pub(super) fn cut(sheet: &SheetFile, now: &Now<'_>) -> Cut {
    let mut pieces: Vec<CutPiece> = Vec::new();
    for (name, [left, top, right, bottom]) in &sheet.pieces {
        let (width_nm, height_nm) = ((*right - *left).nanometres(), (*bottom - *top).nanometres());
        let same = |piece: &&mut CutPiece| {
            (piece.piece == *name) && piece.width_nm == width_nm && piece.height_nm == height_nm
        };
        match pieces.iter_mut().find(same) {
            Some(piece) => piece.count += 1,
            None => pieces.push(CutPiece { piece: name.clone(), width_nm, height_nm, count: 1 }),
        }
    }
    let area = (sheet.size.0 * sheet.size.1).square_nanometres() / 1_000_000_000_000;
    let line = now.on_hand.lines.get(sheet.line());
    Cut {
        stock: sheet.line().to_owned(),
        copies: sheet.copies,
        area_mm2: u64::try_from(area).unwrap_or(0),
        paper: line.map_or_else(|| sheet.paper.clone(), |line| line.paper.clone()),
        pieces,
        middle: sheet.middle.is_some(),
    }
}

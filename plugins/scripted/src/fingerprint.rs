//! Fingerprints of what a script is shown, by which its answers are kept: views in, 64 bits out.
//!
//! Numbers are multiplied and folded one after the other, which is quick and mixes well; a thousand
//! papers have a chance of one in 10^13 that any two of them share a fingerprint. Never written to disk.

use api::{PaperView, PieceView, Role};
use std::hash::{Hash, Hasher};

/// A hasher that takes whole numbers at a time.
pub(crate) struct Fingerprint(u64);

impl Fingerprint {
    fn number(&mut self, number: u64) {
        let mixed = (self.0 ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }
}

impl Hasher for Fingerprint {
    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let mut number = [0; 8];
            number[..chunk.len()].copy_from_slice(chunk);
            self.number(u64::from_le_bytes(number));
        }
    }

    fn write_u32(&mut self, number: u32) {
        self.number(u64::from(number));
    }

    fn write_u64(&mut self, number: u64) {
        self.number(number);
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

/// The fingerprint of everything of a paper that a script can see.
pub(crate) fn of_paper(paper: &PaperView) -> u64 {
    let mut print = Fingerprint(0x243f_6a88_85a3_08d3);
    hash_paper(paper, &mut print);
    print.finish()
}

/// The fingerprint of a role.
pub(crate) fn of_role(role: Role) -> u64 {
    let mut print = Fingerprint(0x0a40_93b8_22b2_99f3);
    role.hash(&mut print);
    print.finish()
}

/// The fingerprint of everything of a piece that a script can see.
pub(crate) fn of_piece(piece: &PieceView<'_>) -> u64 {
    let mut print = Fingerprint(0x1319_8a2e_0370_7344);
    hash_paper(piece.paper, &mut print);
    (piece.role, piece.width, piece.height, piece.stock_width, piece.stock_height).hash(&mut print);
    (piece.stock_count, piece.is_scrap, piece.age_days).hash(&mut print);
    print.finish()
}

fn hash_paper(paper: &PaperView, print: &mut Fingerprint) {
    paper.name.hash(print);
    print.number(paper.swatches.len() as u64);
    for swatch in &paper.swatches {
        for part in [swatch.colour.l, swatch.colour.a, swatch.colour.b] {
            print.number(part.to_bits());
        }
        swatch.share.hash(print);
    }
    let pattern = &paper.pattern;
    (pattern.kind, pattern.busyness, pattern.repeat, pattern.directional).hash(print);
    (paper.material, paper.finish, paper.pad).hash(print);
}

//! A second, slower way to the same answers, for tests only: every cut at every whole millimetre.

use std::collections::BTreeMap;

/// Most pieces `w` by `h`, turned or not, from a sheet of whole millimetres.
pub(super) fn most_equal(width: i64, height: i64, w: i64, h: i64) -> u32 {
    fn best(width: i64, height: i64, w: i64, h: i64, known: &mut BTreeMap<(i64, i64), u32>) -> u32 {
        if let Some(&count) = known.get(&(width, height)) {
            return count;
        }
        let mut most = u32::from((width >= w && height >= h) || (width >= h && height >= w));
        for x in 1..width {
            most = most.max(best(x, height, w, h, known) + best(width - x, height, w, h, known));
        }
        for y in 1..height {
            most = most.max(best(width, y, w, h, known) + best(width, height - y, w, h, known));
        }
        known.insert((width, height), most);
        most
    }
    best(width, height, w, h, &mut BTreeMap::new())
}

/// A piece of whole millimetres: width, height, whether it may turn, the lines it may come from.
#[derive(Clone, Debug)]
pub(super) struct Small {
    pub(super) size: (i64, i64),
    pub(super) turns: bool,
    pub(super) lines: Vec<usize>,
}

/// A planner that tries everything: pieces are bits of a set, cuts are at every whole place.
pub(super) struct Exhaustive {
    /// Answers by set, width and height: 0 not yet asked, 1 no, 2 yes.
    known: Vec<u8>,
}

/// Sheets are smaller than this each way.
const SIDE: usize = 16;

impl Default for Exhaustive {
    fn default() -> Self {
        Self { known: vec![0; (SIDE * SIDE) << 8] }
    }
}

impl Exhaustive {
    /// Whether all pieces of `set` can be cut from one part of that size; `lost` goes with each cut.
    pub(super) fn one(&mut self, pieces: &[Small], set: u32, width: i64, height: i64, lost: i64) -> bool {
        if set == 0 {
            return true;
        }
        if width <= 0 || height <= 0 {
            return false;
        }
        let place = (set as usize * SIDE + usize::try_from(width).unwrap()) * SIDE + usize::try_from(height).unwrap();
        if self.known[place] > 0 {
            return self.known[place] == 2;
        }
        let mut answer = false;
        if set.count_ones() == 1 {
            let piece = &pieces[set.trailing_zeros() as usize];
            let (w, h) = piece.size;
            answer = (w <= width && h <= height) || (piece.turns && h <= width && w <= height);
        }
        let mut part = set;
        while !answer {
            answer = (1..width).any(|x| {
                self.one(pieces, part, x, height, lost) && self.one(pieces, set & !part, width - x - lost, height, lost)
            }) || (1..height).any(|y| {
                self.one(pieces, part, width, y, lost) && self.one(pieces, set & !part, width, height - y - lost, lost)
            });
            // A part equal to the whole would not end: only trimming to the piece is left, done above.
            part = (part - 1) & set;
            if part == 0 {
                break;
            }
        }
        self.known[place] = 1 + u8::from(answer);
        answer
    }

    /// The least cost of cutting all of `set` from the sheets; each sheet is (line, width, height, cost).
    pub(super) fn all(
        &mut self,
        pieces: &[Small],
        set: u32,
        sheets: &[(usize, i64, i64, i64)],
        lost: i64,
    ) -> Option<i64> {
        if set == 0 {
            return Some(0);
        }
        let ((line, width, height, cost), rest) = sheets.split_first()?;
        let mut best = self.all(pieces, set, rest, lost);
        let mut part = set;
        while part != 0 {
            let may = (0..pieces.len()).filter(|i| part >> i & 1 == 1).all(|i| pieces[i].lines.contains(line));
            if may
                && self.one(pieces, part, *width, *height, lost)
                && let Some(others) = self.all(pieces, set & !part, rest, lost)
            {
                best = Some(best.map_or(others + cost, |b| b.min(others + cost)));
            }
            part = (part - 1) & set;
        }
        best
    }
}

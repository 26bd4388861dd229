//! Step 7, the second opinion: a problem and a plan in, every rule the plan breaks out.
//!
//! It shares no code with the planner and trusts nothing but the numbers in the plan: places and
//! sizes are compared one by one, never worked out again the planner's way.

use crate::cut::{
    Axis, Becomes, CutSheet, Part, PieceIndex, Plan, Problem, Rules, Side, Stages, Stock, StockIndex, Turn, Turned,
};
use std::collections::BTreeMap;
use std::fmt;
use units::Length;

/// A rule that a plan breaks, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Broken {
    /// A sheet or piece that the problem does not have.
    Unknown {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
    },
    /// The tree does not cover the sheet without its trims, or a piece reaches out of it.
    Outside {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
    },
    /// Two parts that are not cut further lie upon each other.
    Overlap {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
    },
    /// A cut does not run from edge to edge: its two parts do not make up the part it divides.
    NotEdgeToEdge {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
        /// The place of the cut.
        at: Length,
    },
    /// A piece has not the size that was asked for.
    WrongSize {
        /// The piece.
        piece: PieceIndex,
    },
    /// A piece is turned though its pattern has a right way up.
    TurnedThoughDirectional {
        /// The piece.
        piece: PieceIndex,
    },
    /// More copies, or fewer, than were asked for.
    WrongCount {
        /// The piece.
        piece: PieceIndex,
        /// How many there are, cut and named as unplaced.
        found: u64,
        /// How many there should be.
        wanted: u32,
    },
    /// More stages of cuts than allowed.
    TooManyStages {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
        /// The stages its cuts need.
        found: u32,
    },
    /// The part held during a cut is too narrow to be held safely.
    BelowSafeStrip {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
        /// The place of the cut.
        at: Length,
        /// The held part's narrower side.
        held: Length,
    },
    /// A cut is longer than the trimmer takes.
    CutTooLong {
        /// The sheet in [`Plan::sheets`].
        sheet: usize,
        /// How long it is.
        length: Length,
    },
    /// More sheets of a line than there are.
    StockUsedTwice {
        /// The line.
        stock: StockIndex,
        /// How many sheets the plan cuts.
        found: u64,
        /// How many there are.
        on_hand: u64,
    },
    /// A piece is cut from a line it may not come from.
    WrongStock {
        /// The piece.
        piece: PieceIndex,
        /// The line.
        stock: StockIndex,
    },
    /// Pieces that belong together come from different papers.
    GroupSplit {
        /// The group.
        group: u32,
    },
    /// A sheet is cut before the piece that makes it.
    NotYetThere {
        /// The line.
        stock: StockIndex,
    },
}

impl fmt::Display for Broken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mm = |length: &Length| format!("{} mm", length.to_mm_decimal());
        match self {
            Self::Unknown { sheet } => {
                write!(out, "sheet {} names stock or a piece that is not in the list", sheet + 1)
            }
            Self::Outside { sheet } => write!(out, "sheet {}: the cuts do not stay inside the sheet", sheet + 1),
            Self::Overlap { sheet } => write!(out, "sheet {}: two parts lie upon each other", sheet + 1),
            Self::NotEdgeToEdge { sheet, at } => {
                write!(out, "sheet {}: the cut at {} does not run edge to edge", sheet + 1, mm(at))
            }
            Self::WrongSize { piece } => write!(out, "piece {} has not the size asked for", piece.0 + 1),
            Self::TurnedThoughDirectional { piece } => {
                write!(out, "piece {} is turned though its pattern has a right way up", piece.0 + 1)
            }
            Self::WrongCount { piece, found, wanted } => {
                write!(out, "piece {}: {found} accounted for, {wanted} wanted", piece.0 + 1)
            }
            Self::TooManyStages { sheet, found } => write!(out, "sheet {}: {found} stages of cuts", sheet + 1),
            Self::BelowSafeStrip { sheet, at, held } => {
                write!(out, "sheet {}: at {} a part of only {} would be held", sheet + 1, mm(at), mm(held))
            }
            Self::CutTooLong { sheet, length } => {
                write!(out, "sheet {}: a cut of {} is longer than the trimmer takes", sheet + 1, mm(length))
            }
            Self::StockUsedTwice { stock, found, on_hand } => {
                write!(out, "stock {}: {found} sheets cut, {on_hand} on hand", stock.0 + 1)
            }
            Self::WrongStock { piece, stock } => {
                write!(out, "piece {} may not come from stock {}", piece.0 + 1, stock.0 + 1)
            }
            Self::GroupSplit { group } => write!(out, "the pieces of group {group} come from different papers"),
            Self::NotYetThere { stock } => {
                write!(out, "stock {} is cut before the piece that makes it", stock.0 + 1)
            }
        }
    }
}

/// Every rule that `plan` breaks as an answer to `problem`; empty for a sound plan.
#[must_use]
pub fn check(problem: &Problem, plan: &Plan) -> Vec<Broken> {
    let mut seen = Seen::default();
    for (index, sheet) in plan.sheets.iter().enumerate() {
        match problem.stock.get(sheet.stock.0) {
            Some(stock) => seen.sheet(problem, index, sheet, stock),
            None => seen.broken.push(Broken::Unknown { sheet: index }),
        }
    }
    seen.counts(problem, plan);
    seen.stock(problem);
    seen.groups();
    seen.broken
}

#[derive(Default)]
struct Seen {
    broken: Vec<Broken>,
    pieces: BTreeMap<PieceIndex, u64>,
    sheets: BTreeMap<StockIndex, u64>,
    papers: BTreeMap<u32, Vec<u32>>,
}

impl Seen {
    fn sheet(&mut self, problem: &Problem, index: usize, sheet: &CutSheet, stock: &Stock) {
        let before = self.sheets.get(&sheet.stock).copied().unwrap_or(0) + u64::from(sheet.copies);
        self.sheets.insert(sheet.stock, before);
        if let Some(maker) = stock.made_by
            && self.pieces.get(&maker).copied().unwrap_or(0) < before
        {
            self.broken.push(Broken::NotYetThere { stock: sheet.stock });
        }
        let trims = problem.rules.trims;
        let root = &sheet.root;
        let covers = root.x == trims.left
            && root.y == trims.top
            && root.x + root.width + trims.right == stock.width
            && root.y + root.height + trims.bottom == stock.height;
        let leaves = root.leaves();
        let inside = leaves.iter().all(|leaf| {
            leaf.x >= root.x
                && leaf.y >= root.y
                && leaf.x + leaf.width <= root.x + root.width
                && leaf.y + leaf.height <= root.y + root.height
        });
        if !covers || !inside {
            self.broken.push(Broken::Outside { sheet: index });
        }
        let overlap = leaves.iter().enumerate().any(|(i, a)| leaves[..i].iter().any(|b| lie_on(a, b)));
        let crossing = self.cuts(&problem.rules, index, root);
        if overlap || crossing {
            self.broken.push(Broken::Overlap { sheet: index });
        }
        for leaf in leaves {
            if let Becomes::Piece { piece, turned } = leaf.becomes {
                self.piece(problem, index, sheet, stock, (leaf, piece, turned));
            }
        }
    }

    fn piece(
        &mut self,
        problem: &Problem,
        index: usize,
        sheet: &CutSheet,
        stock: &Stock,
        (leaf, piece, turned): (&Part, PieceIndex, Turned),
    ) {
        let Some(asked) = problem.pieces.get(piece.0) else {
            return self.broken.push(Broken::Unknown { sheet: index });
        };
        *self.pieces.entry(piece).or_default() += u64::from(sheet.copies);
        let (width, height) = match turned {
            Turned::No => (asked.width, asked.height),
            Turned::Quarter => (asked.height, asked.width),
        };
        if (leaf.width, leaf.height) != (width, height) {
            self.broken.push(Broken::WrongSize { piece });
        }
        if turned == Turned::Quarter && asked.turn == Turn::AsPrinted {
            self.broken.push(Broken::TurnedThoughDirectional { piece });
        }
        if !asked.on.allows(sheet.stock) {
            self.broken.push(Broken::WrongStock { piece, stock: sheet.stock });
        }
        if let Some(group) = asked.group {
            self.papers.entry(group).or_default().push(stock.paper);
        }
    }

    /// Looks at every cut; gives whether the two parts of one lie upon each other.
    fn cuts(&mut self, rules: &Rules, sheet: usize, root: &Part) -> bool {
        let (mut most, mut crossing) = (0, false);
        let mut waiting = vec![(root, None, 0u32)];
        while let Some((part, above, stages)) = waiting.pop() {
            most = most.max(stages);
            let Becomes::Cut(cut) = &part.becomes else { continue };
            let stages = if above == Some(cut.axis) { stages } else { stages + 1 };
            waiting.push((&cut.near, Some(cut.axis), stages));
            waiting.push((&cut.far, Some(cut.axis), stages));
            if lie_on(&cut.near, &cut.far) {
                crossing = true;
            } else if !edge_to_edge(rules.cut_width, part, cut.axis, cut.at, (&cut.near, &cut.far)) {
                self.broken.push(Broken::NotEdgeToEdge { sheet, at: cut.at });
            }
            let length = if cut.axis == Axis::X { part.height } else { part.width };
            if rules.longest_cut.is_some_and(|longest| length > longest) {
                self.broken.push(Broken::CutTooLong { sheet, length });
            }
            let held = if cut.held == Side::Near { &cut.near } else { &cut.far };
            let narrow = held.width.min(held.height);
            if narrow < rules.safe_strip {
                self.broken.push(Broken::BelowSafeStrip { sheet, at: cut.at, held: narrow });
            }
        }
        if let Stages::AtMost(allowed) = rules.stages
            && most > u32::from(allowed)
        {
            self.broken.push(Broken::TooManyStages { sheet, found: most });
        }
        crossing
    }

    fn counts(&mut self, problem: &Problem, plan: &Plan) {
        for (index, asked) in problem.pieces.iter().enumerate() {
            let piece = PieceIndex(index);
            let cut = self.pieces.get(&piece).copied().unwrap_or(0);
            let left: u64 = plan.unplaced.iter().filter(|(p, _)| *p == piece).map(|(_, n)| u64::from(*n)).sum();
            let wanted = u64::from(asked.count);
            if cut + left != wanted {
                self.broken.push(Broken::WrongCount { piece, found: cut + left, wanted: asked.count });
            }
        }
    }

    fn stock(&mut self, problem: &Problem) {
        for (&stock, &found) in &self.sheets {
            let line = &problem.stock[stock.0];
            if line.count != Stock::PLENTY && found > u64::from(line.count) {
                let on_hand = u64::from(line.count);
                self.broken.push(Broken::StockUsedTwice { stock, found, on_hand });
            }
        }
    }

    fn groups(&mut self) {
        for (&group, papers) in &self.papers {
            if papers.windows(2).any(|two| two[0] != two[1]) {
                self.broken.push(Broken::GroupSplit { group });
            }
        }
    }
}

fn lie_on(a: &Part, b: &Part) -> bool {
    a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height
}

/// Whether the two parts, with the width of the cut between them, are all of `part`. A cut that
/// falls partly over the edge leaves a far part of no size.
fn edge_to_edge(width: Length, part: &Part, axis: Axis, at: Length, (near, far): (&Part, &Part)) -> bool {
    // Seen along the cut's own direction: (start, length) across it, (start, length) along it.
    let seen = |part: &Part| match axis {
        Axis::X => ((part.x, part.width), (part.y, part.height)),
        Axis::Y => ((part.y, part.height), (part.x, part.width)),
    };
    let ((start, length), along) = seen(part);
    let (near, far) = (seen(near), seen(far));
    let end = start + length;
    let rest = (at + width).min(end);
    near.1 == along
        && far.1 == along
        && near.0 == (start, at - start)
        && far.0 == (rest, end - rest)
        && at > start
        && at < end
}

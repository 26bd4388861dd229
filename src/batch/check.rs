//! Looks at a finished plan with code of its own: no sheet is promised twice, every piece lies within
//! its sheet and on no other, is of the paper that shows, the right way up, and every card has all of
//! its pieces.

use super::sheets::PlacedFor;
use super::{On, Plan, PlanAsk};
use crate::index::{PLENTY, PieceNeed, StockKind};
use crate::stash::LineKind;
use api::units::{Length, Size};
use std::collections::BTreeMap;
use std::fmt;

/// A rule a plan breaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// More sheets of a line than there are.
    PromisedTwice {
        /// The line.
        stock: String,
        /// Sheets the plan takes.
        takes: u64,
        /// Sheets on hand.
        has: u64,
    },
    /// A piece that is not within its sheet.
    Outside {
        /// The sheet.
        sheet: usize,
        /// The piece.
        piece: String,
    },
    /// Two pieces, or a piece and a leftover, on one place.
    Overlap {
        /// The sheet.
        sheet: usize,
    },
    /// A sheet that does not show what the piece must show, or lies the wrong way.
    WrongPaper {
        /// The sheet.
        sheet: usize,
        /// The piece.
        piece: String,
    },
    /// A piece of another size than its card needs.
    WrongSize {
        /// The sheet.
        sheet: usize,
        /// The piece.
        piece: String,
    },
    /// Too few or too many of a piece.
    WrongCount {
        /// The design.
        design: usize,
        /// The piece.
        piece: String,
        /// How many are cut.
        found: u64,
        /// How many are needed.
        wanted: u64,
    },
    /// A middle is cut out, and the settings do not allow it.
    MiddleNotAllowed {
        /// The sheet.
        sheet: usize,
    },
    /// A middle of a piece that this plan does not cut, or not before it.
    MiddleOfNothing {
        /// The sheet.
        sheet: usize,
    },
    /// More middles than pieces they could be cut out of.
    MiddleTwice {
        /// The sheet.
        sheet: usize,
        /// Middles the plan takes.
        takes: u64,
        /// Pieces it cuts.
        has: u64,
    },
    /// A middle that does not lie wholly beneath a panel that hides it.
    MiddleShows {
        /// The sheet.
        sheet: usize,
    },
    /// A middle that leaves less than the glue margin of its own piece, or beneath what covers it.
    MiddleMargin {
        /// The sheet.
        sheet: usize,
    },
    /// A middle of another size than its hole, smaller than is cut by hand, or cut up for another paper.
    WrongMiddle {
        /// The sheet.
        sheet: usize,
    },
    /// A card that does not say what of it is hollow.
    HollowUntold {
        /// The design.
        design: usize,
    },
    /// More finishing dots of a kind than there are.
    DotsPromisedTwice {
        /// The dots.
        dots: String,
        /// How many the plan takes.
        takes: u64,
        /// How many are on hand.
        has: u64,
    },
    /// Dots beside their card or on one another, or where the settings want none.
    DotsMisplaced {
        /// The design.
        design: usize,
    },
    /// A count that was not asked for.
    NotAsked {
        /// What.
        what: String,
    },
}

impl fmt::Display for Wrong {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PromisedTwice { stock, takes, has } => {
                write!(out, "{takes} sheets of `{stock}`, of which there are {has}")
            }
            Self::Outside { sheet, piece } => write!(out, "sheet {sheet}: {piece} is not within it"),
            Self::Overlap { sheet } => write!(out, "sheet {sheet}: two things on one place"),
            Self::WrongPaper { sheet, piece } => {
                write!(out, "sheet {sheet}: {piece} is of another paper, or the wrong way")
            }
            Self::WrongSize { sheet, piece } => write!(out, "sheet {sheet}: {piece} is of another size"),
            Self::WrongCount { design, piece, found, wanted } => {
                write!(out, "design {design}: {found} of {piece}, of which {wanted} are needed")
            }
            Self::MiddleNotAllowed { sheet } => write!(out, "sheet {sheet}: the settings let no middle be cut out"),
            Self::MiddleOfNothing { sheet } => {
                write!(out, "sheet {sheet}: the middle of a piece that is not cut before it")
            }
            Self::MiddleTwice { sheet, takes, has } => {
                write!(out, "sheet {sheet}: {takes} middles of a piece that is cut {has} times")
            }
            Self::MiddleShows { sheet } => write!(out, "sheet {sheet}: the hole this middle leaves would show"),
            Self::MiddleMargin { sheet } => write!(out, "sheet {sheet}: this middle leaves less than the glue margin"),
            Self::WrongMiddle { sheet } => {
                write!(out, "sheet {sheet}: a middle of another size or paper than its hole, or too small")
            }
            Self::HollowUntold { design } => write!(out, "design {design}: it does not say what of it is hollow"),
            Self::DotsPromisedTwice { dots, takes, has } => {
                write!(out, "{takes} of the dots `{dots}`, of which there are {has}")
            }
            Self::DotsMisplaced { design } => {
                write!(out, "design {design}: dots beside the card or on one another, or none are wanted")
            }
            Self::NotAsked { what } => write!(out, "not asked for: {what}"),
        }
    }
}

type Spot = (Length, Length, Length, Length);

/// Everything that is wrong with a plan.
#[must_use]
pub fn check(on: On<'_>, ask: &PlanAsk, plan: &Plan) -> Vec<Wrong> {
    let mut wrong = Vec::new();
    promised(on, plan, &mut wrong);
    for (place, sheet) in plan.sheets.iter().enumerate() {
        let mut spots: Vec<Spot> = Vec::new();
        for placed in &sheet.placed {
            let (x, y) = placed.at;
            if x.nanometres() < 0
                || y.nanometres() < 0
                || x + placed.size.width > sheet.size.width
                || y + placed.size.height > sheet.size.height
            {
                wrong.push(Wrong::Outside { sheet: place, piece: placed.piece.clone() });
            }
            spots.push((x, y, x + placed.size.width, y + placed.size.height));
            a_piece(on, plan, place, placed, &mut wrong);
        }
        for leftover in plan.leftovers.iter().filter(|leftover| leftover.sheet == place) {
            let (x, y) = leftover.at;
            spots.push((x, y, x + leftover.size.width, y + leftover.size.height));
        }
        let clash = |one: &Spot, other: &Spot| one.0 < other.2 && other.0 < one.2 && one.1 < other.3 && other.1 < one.3;
        if (0..spots.len()).any(|one| (0..one).any(|other| clash(&spots[one], &spots[other]))) {
            wrong.push(Wrong::Overlap { sheet: place });
        }
    }
    counts(plan, &mut wrong);
    super::hollowed::middles(on, plan, &mut wrong);
    super::dotted::dots(on, plan, &mut wrong);
    asked(on, ask, plan, &mut wrong);
    wrong
}

fn promised(on: On<'_>, plan: &Plan, wrong: &mut Vec<Wrong>) {
    let mut takes: BTreeMap<&str, u64> = BTreeMap::new();
    for sheet in plan.sheets.iter().filter(|sheet| sheet.middle.is_none()) {
        *takes.entry(&sheet.stock).or_default() += u64::from(sheet.copies);
    }
    for (id, takes) in takes {
        let mut lines = on.table.index.stock.iter().flat_map(|stock| &stock.lines);
        let has = lines.find(|line| line.id == id).map_or(0, |line| line.count);
        if has < PLENTY && takes > u64::from(has) {
            wrong.push(Wrong::PromisedTwice { stock: id.to_owned(), takes, has: has.into() });
        }
    }
}

fn a_piece(on: On<'_>, plan: &Plan, sheet: usize, placed: &super::Placed, wrong: &mut Vec<Wrong>) {
    let index = on.table.index;
    let of = &plan.sheets[sheet];
    let stock = index.stock(of.of);
    let piece = || placed.piece.clone();
    let Some(design) = plan.designs.get(placed.design) else {
        return wrong.push(Wrong::WrongPaper { sheet, piece: piece() });
    };
    let upright = if placed.turned { placed.size.turned() } else { placed.size };
    let (slot, need) = match placed.what {
        PlacedFor::Need { slot, need } => (slot, need),
        PlacedFor::Part => return,
        PlacedFor::Levelling => {
            if stock.kind != StockKind::Cuttable(LineKind::Scrap) || of.placed.len() != 1 {
                wrong.push(Wrong::WrongPaper { sheet, piece: piece() });
            }
            return;
        }
    };
    let face = design.card.faces[slot];
    let shows = stock.front == face || stock.back == Some(face);
    let needed = design.card.network.slots[slot].needs[need];
    let may_turn = index.face(face).may_turn() || matches!(needed, PieceNeed::Blank(_));
    if !shows || (placed.turned && !may_turn) {
        wrong.push(Wrong::WrongPaper { sheet, piece: piece() });
    }
    let right = match (needed, stock.kind) {
        (PieceNeed::Whole(room), StockKind::Image) => {
            placed.size == of.size && stock.width <= room.width && stock.height <= room.height
        }
        (PieceNeed::Blank(card), StockKind::CardBase) => {
            Size::new(stock.width, stock.height).upright() == card.upright() && of.placed.len() == 1
        }
        (PieceNeed::Blank(card), _) => {
            let long = card.upright();
            let blank = Size::new(long.width * 2, long.height);
            placed.size == blank || placed.size == blank.turned()
        }
        (PieceNeed::Cut(size), StockKind::Cuttable(_)) => upright == size,
        _ => false,
    };
    if !right {
        wrong.push(Wrong::WrongSize { sheet, piece: piece() });
    }
}

fn counts(plan: &Plan, wrong: &mut Vec<Wrong>) {
    let mut found: BTreeMap<(usize, usize, usize), u64> = BTreeMap::new();
    let mut parts: BTreeMap<usize, u64> = BTreeMap::new();
    let mut slips: BTreeMap<usize, u64> = BTreeMap::new();
    for sheet in &plan.sheets {
        for placed in &sheet.placed {
            let count = match placed.what {
                PlacedFor::Need { slot, need } => found.entry((placed.design, slot, need)).or_default(),
                PlacedFor::Part => parts.entry(placed.design).or_default(),
                PlacedFor::Levelling => slips.entry(placed.design).or_default(),
            };
            *count += u64::from(sheet.copies);
        }
    }
    for (place, design) in plan.designs.iter().enumerate() {
        let wanted = u64::from(design.count);
        for (slot, of) in design.card.network.slots.iter().enumerate() {
            for need in 0..of.needs.len() {
                let found = found.get(&(place, slot, need)).copied().unwrap_or(0);
                if found != wanted {
                    wrong.push(Wrong::WrongCount { design: place, piece: of.id.clone(), found, wanted });
                }
            }
        }
        let built: usize = design.card.choice.parts.iter().map(|choice| choice.parts.len()).sum();
        let (found, wanted) = (parts.get(&place).copied().unwrap_or(0), wanted * built as u64);
        if found != wanted {
            wrong.push(Wrong::WrongCount { design: place, piece: "parts".into(), found, wanted });
        }
        let of_scraps = plan.levelling.iter().filter(|slip| slip.design == place && slip.stock.is_some());
        let wanted: u64 = of_scraps.map(|slip| u64::from(slip.plies) * u64::from(slip.count)).sum();
        let found = slips.get(&place).copied().unwrap_or(0);
        if found != wanted {
            wrong.push(Wrong::WrongCount { design: place, piece: "levelling".into(), found, wanted });
        }
    }
}

fn asked(on: On<'_>, ask: &PlanAsk, plan: &Plan, wrong: &mut Vec<Wrong>) {
    let made: u32 = plan.designs.iter().map(|design| design.count).sum();
    let mut not = |what: String| wrong.push(Wrong::NotAsked { what });
    if made != plan.made {
        not(format!("{} made, {made} planned", plan.made));
    }
    if ask.cards.is_some_and(|cards| made > cards) {
        not(format!("{made} cards"));
    }
    if ask.designs.is_some_and(|most| plan.designs.len() > most as usize) {
        not(format!("{} designs", plan.designs.len()));
    }
    for design in &plan.designs {
        let least = (*ask.each.start()).min(ask.cards.unwrap_or(u32::MAX));
        if ask.earlier.has_turned_down(&design.card) {
            not(format!("`{}`, which was turned down,", design.card.id));
        }
        if design.count < least || design.count > *ask.each.end() {
            not(format!("{} of `{}`", design.count, design.card.id));
        }
        let shows = design.card.faces.iter().any(|face| ask.use_faces.contains(face));
        let of_stock = |stock: &crate::index::StockId| {
            let stock = on.table.index.stock(*stock);
            design.card.faces.iter().any(|face| stock.front == *face || stock.back == Some(*face))
        };
        if ask.names_papers() && !shows && !ask.use_stock.iter().any(of_stock) {
            not(format!("`{}` shows none of the papers named", design.card.id));
        }
    }
}

//! The plan as it is carried out: chosen cards in; every sheet with its cuts, each under the id of one
//! line of stock, every leftover, and the trimmer's settings out.

use super::cut_out::{self, CutOut, HoleOnSheet};
use super::joint::{GroupPlan, Middles, Question};
use super::needs::Part;
use super::search::{Chosen, Search};
use super::{Design, On, PlanAsk};
use crate::cut::{
    self, Becomes, CutSheet, Effort, Goal as CutGoal, OffcutWorth, PieceIndex, Rules, Step, Stock, StockIndex, Turned,
};
use crate::index::{Index, PLENTY, StockId};
use crate::matching::Choice;
use crate::score::{added_up, reasons};
use crate::stash::Image;
use api::units::{Length, Size};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Steps for the cuts of one group that are carried out, for each of its pieces, and at most.
const STEPS: (u64, u64) = (40_000, 1_000_000);
/// A leftover with a side shorter than this goes to the bits box: 1 in, common practice, no source.
const BIT: Length = Length::INCH;

/// What a piece becomes on its card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlacedFor {
    /// What a slot needs.
    Need {
        /// The slot.
        slot: usize,
        /// The place among its needs.
        need: usize,
    },
    /// A part of an image.
    Part,
    /// A slip beneath a layer, so that it does not sag.
    Levelling,
}

/// One piece where it lies on its sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The design it is for, as a place in [`super::Plan::designs`].
    pub design: usize,
    /// What it becomes there.
    pub what: PlacedFor,
    /// What it is for: the layer, as in the card's list of layers.
    pub piece: String,
    /// Left and top edge, from the sheet's top left corner.
    pub at: (Length, Length),
    /// Its size as it lies.
    pub size: Size,
    /// Whether it lies turned a quarter.
    pub turned: bool,
    /// Where its middle is cut out later, with a knife.
    pub hole: Option<HoleOnSheet>,
}

/// One sheet, or several that are cut alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanSheet {
    /// The id of its line of stock; of a middle, what it is called.
    pub stock: String,
    /// The paper that is up.
    pub paper: String,
    /// The stock, in the index; of a middle, that of the piece it is cut out of.
    pub of: StockId,
    /// What it is cut out of, where it is a middle and not of the stash.
    pub middle: Option<CutOut>,
    /// How many are cut alike.
    pub copies: u32,
    /// Its size; of a ready-made base, that of the blank.
    pub size: Size,
    /// The pieces.
    pub placed: Vec<Placed>,
}

/// What is left of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// Its number in the plan, from 1: what `--kept` names.
    pub number: u32,
    /// The sheet, as a place in [`super::Plan::sheets`].
    pub sheet: usize,
    /// Left and top edge on the sheet.
    pub at: (Length, Length),
    /// Its size, the sheet's pattern upright.
    pub size: Size,
    /// One for each of the sheets cut alike.
    pub count: u32,
    /// Whether it is large enough to be listed, and does not go to the bits box.
    pub worth_keeping: bool,
}

/// The cuts of a whole plan.
pub(super) struct Cuts {
    pub(super) sheets: Vec<PlanSheet>,
    pub(super) steps: Vec<Step>,
    pub(super) guide_settings: Vec<Length>,
    pub(super) leftovers: Vec<Leftover>,
}

/// What is cut, and where each first copy comes from: by design and by place among what it wants.
pub(super) fn realise(on: On<'_>, search: &Search<'_>, chosen: &Chosen, ask: &PlanAsk) -> (Vec<Design>, Cuts) {
    let index = on.table.index;
    let mut order: Vec<usize> = chosen.uses.keys().copied().collect();
    order.sort_by_key(|place| (std::cmp::Reverse(search.joint.candidates[*place].card.score), *place));
    let design_of: BTreeMap<usize, usize> = order.iter().enumerate().map(|(design, place)| (*place, design)).collect();
    let mut problem =
        cut::Problem { goal: CutGoal::LeastCost, stock: Vec::new(), pieces: Vec::new(), rules: Rules::default() };
    let mut plan = cut::Plan::default();
    let mut sheets: Vec<PlanSheet> = Vec::new();
    let mut from: BTreeMap<(usize, usize), StockId> = BTreeMap::new();
    let groups: Vec<Rc<GroupPlan>> =
        chosen.groups.iter().map(|(group, plan)| polished(search, chosen, *group, plan, ask)).collect();
    let mut first_pieces = Vec::with_capacity(groups.len());
    let mut to_lay: Vec<(usize, CutSheet, String)> = Vec::new();
    for (number, group) in groups.iter().enumerate() {
        for (candidate, place, stock, _) in group.placed() {
            from.entry((candidate, place)).or_insert(stock);
        }
        first_pieces.push(problem.pieces.len());
        for (candidate, place) in &group.pieces {
            let wanted = &search.joint.candidates[*candidate].wanted[*place];
            let id = format!("{candidate}.{place}");
            problem.pieces.push(cut::Piece::new(&id, wanted.size.width, wanted.size.height, 1, wanted.turn));
        }
        to_lay.extend(by_line(index, group).into_iter().map(|(sheet, id)| (number, sheet, id)));
    }
    // What is cut out of pieces comes after all that is there at first.
    for (number, group) in groups.iter().enumerate() {
        let middles = alike(&cut_out::of_group(search, group)).into_iter();
        to_lay.extend(middles.filter_map(|sheet| {
            let middle = group.lines[sheet.stock.0].middle?;
            Some((number, sheet, cut_out::name(search, middle).words()))
        }));
    }
    for (number, sheet, stock_id) in to_lay {
        let (group, line) = (&groups[number], groups[number].lines[sheet.stock.0]);
        let size = Size::new(sheet.root.width, sheet.root.height);
        let stock = StockIndex(problem.stock.len());
        problem.stock.push(Stock::new(&stock_id, size.width, size.height, sheet.copies));
        let leaves = sheet.root.leaves();
        let placed = leaves.iter().filter_map(|leaf| match leaf.becomes {
            Becomes::Piece { piece: PieceIndex(piece), turned } => {
                let (candidate, place) = group.pieces[piece];
                let wanted = &search.joint.candidates[candidate].wanted[place];
                Some(Placed {
                    design: design_of[&candidate],
                    what: match wanted.part {
                        Part::Need { slot, need } => PlacedFor::Need { slot, need },
                        Part::Built { .. } => PlacedFor::Part,
                    },
                    piece: piece_name(on.table.images, search, candidate, wanted.part, index),
                    at: (leaf.x, leaf.y),
                    size: Size::new(leaf.width, leaf.height),
                    turned: turned == Turned::Quarter,
                    hole: None,
                })
            }
            _ => None,
        });
        sheets.push(PlanSheet {
            paper: paper_of(on, if line.middle.is_some() { index.stock(line.of).id() } else { &stock_id }, line.of),
            stock: stock_id,
            of: line.of,
            middle: cut_out::cut_out(search, line, &design_of),
            copies: sheet.copies,
            size,
            placed: placed.collect(),
        });
        let root = shifted(&sheet.root, first_pieces[number]);
        plan.sheets.push(CutSheet { stock, copies: sheet.copies, root });
    }
    let steps = cut_out::steps(&problem, &plan, &sheets);
    let mut guide_settings: Vec<Length> = Vec::new();
    for step in &steps {
        if !guide_settings.contains(&step.guide) {
            guide_settings.push(step.guide);
        }
    }
    let leftovers = leftovers(index, &sheets, &plan);
    let settled =
        order.iter().map(|place| Design { card: settled(on, search, *place, &from), count: chosen.uses[place] });
    let mut designs: Vec<(usize, Design)> = settled.enumerate().collect();
    designs.sort_by_key(|(was, design)| (std::cmp::Reverse(design.card.score), *was));
    let now: BTreeMap<usize, usize> = designs.iter().enumerate().map(|(now, (was, _))| (*was, now)).collect();
    for sheet in &mut sheets {
        sheet.placed.iter_mut().for_each(|placed| placed.design = now[&placed.design]);
        sheet.middle.iter_mut().for_each(|middle| middle.design = now[&middle.design]);
    }
    let mut designs: Vec<Design> = designs.into_iter().map(|(_, design)| design).collect();
    hollowed(&mut designs, &mut sheets);
    (designs, Cuts { sheets, steps, guide_settings, leftovers })
}

/// Says of designs and sheets what is hollow and what is cut from middles.
fn hollowed(designs: &mut [Design], sheets: &mut [PlanSheet]) {
    if sheets.iter().all(|sheet| sheet.middle.is_none()) {
        return;
    }
    let piece = |designs: &[Design], of: &CutOut| designs[of.design].card.network.piece(of.slot, of.need);
    let called = |designs: &[Design], of: &CutOut| {
        let card = &designs[of.design].card;
        let layer = piece(designs, of).map_or_else(String::new, |(layer, _)| card.network.layers[layer].id.clone());
        crate::matching::MiddleOf { card: card.id.clone(), layer }
    };
    let rect = |of: &CutOut| piece(designs, of).map_or(of.rect, |(_, rect)| rect);
    cut_out::mark(sheets, &rect);
    for place in 0..designs.len() {
        let mut choice = designs[place].card.choice.clone();
        cut_out::tell(&mut choice, place, sheets, &|of| called(designs, of));
        designs[place].card.choice = choice;
    }
}

/// The paper of a line as its file calls it: the index has one face for all papers with one picture.
fn paper_of(on: On<'_>, id: &str, of: StockId) -> String {
    let line = on.stash.lines.iter().find(|line| line.id == id);
    let index = on.table.index;
    line.map_or_else(|| index.face(index.stock(of).front).id.clone(), |line| on.stash.paper(line.front).id.clone())
}

/// The cuts of a group, planned with more patience, where that is better by the goals.
fn polished(search: &Search<'_>, chosen: &Chosen, group: u32, found: &Rc<GroupPlan>, ask: &PlanAsk) -> Rc<GroupPlan> {
    let uses = super::joint::by_group(&search.joint.candidates, &chosen.uses).remove(&group).unwrap_or_default();
    let count: u64 = found.pieces.iter().map(|(candidate, _)| u64::from(chosen.uses[candidate])).sum();
    if count <= 1 {
        return Rc::clone(found);
    }
    let again = |offered: Middles| {
        let Question { pieces, stock, lines, places } = search.joint.question(group, &uses, offered);
        let problem = cut::Problem { goal: CutGoal::LeastCost, stock, pieces, rules: Rules::default() };
        let effort = Effort { work: (count * STEPS.0).min(STEPS.1), stop: None, offcuts: OffcutWorth::Shape };
        let answer = cut::plan(&problem, &effort);
        answer.plan.unplaced.is_empty().then(|| Rc::new(search.joint.measured(answer.plan, lines, places)))
    };
    let value = |plan: &GroupPlan| -> Vec<i64> {
        let less = |count: u64| -i64::try_from(count).unwrap_or(i64::MAX);
        let of = |goal: &super::Goal| match goal {
            super::Goal::OldStock => plan.old,
            super::Goal::FewSheets => less(plan.sheets),
            super::Goal::FewSettings => less(plan.settings.len() as u64),
            super::Goal::Leftovers => plan.leftovers,
            super::Goal::Cards | super::Goal::Score => 0,
        };
        ask.goals.iter().map(of).chain([less(plan.middles)]).collect()
    };
    let mut best = Rc::clone(found);
    best = again(Middles::Left).filter(|other| value(other) > value(&best)).unwrap_or(best);
    if search.joint.candidates.iter().any(|candidate| !candidate.middles.is_empty()) {
        // A knife comes out only where a sheet or a scrap stays whole for it.
        let is_worth_it = |other: &Rc<GroupPlan>| {
            let spares = other.middles <= best.middles || other.sheets < best.sheets;
            spares && value(other) > value(&best)
        };
        best = again(Middles::Offered).filter(is_worth_it).unwrap_or(best);
    }
    best
}

/// The sheets of a group, each under the id of one line: equal lines are given out in their order.
fn by_line(index: &Index, group: &GroupPlan) -> Vec<(CutSheet, String)> {
    let mut left: BTreeMap<StockId, Vec<(String, u32)>> = BTreeMap::new();
    let mut sheets: Vec<(CutSheet, String)> = Vec::new();
    let real: Vec<CutSheet> =
        group.plan.sheets.iter().filter(|sheet| !cut_out::is_middle(group, sheet)).cloned().collect();
    for sheet in alike(&real) {
        let of = group.lines[sheet.stock.0].of;
        let lines = left.entry(of).or_insert_with(|| {
            let stock = index.stock(of);
            stock.lines.iter().map(|line| (line.id.clone(), line.count)).rev().collect()
        });
        let mut copies = sheet.copies;
        while copies > 0 {
            let Some((id, has)) = lines.last_mut() else { break };
            let takes = copies.min(if *has >= PLENTY { u32::MAX } else { *has });
            if takes > 0 {
                sheets.push((CutSheet { copies: takes, ..sheet.clone() }, id.clone()));
                copies -= takes;
                *has = has.saturating_sub(takes);
            }
            if *has == 0 {
                lines.pop();
            }
        }
    }
    sheets
}

/// Sheets that are cut alike, as one.
fn alike(sheets: &[CutSheet]) -> Vec<CutSheet> {
    let mut merged: Vec<CutSheet> = Vec::new();
    for sheet in sheets {
        match merged.iter_mut().find(|other| other.stock == sheet.stock && other.root == sheet.root) {
            Some(other) => other.copies += sheet.copies,
            None => merged.push(sheet.clone()),
        }
    }
    merged
}

/// A part with the pieces of its group under their numbers in the whole plan.
fn shifted(part: &cut::Part, first: usize) -> cut::Part {
    let becomes = match &part.becomes {
        Becomes::Piece { piece, turned } => Becomes::Piece { piece: PieceIndex(piece.0 + first), turned: *turned },
        Becomes::Offcut => Becomes::Offcut,
        Becomes::Cut(cut) => Becomes::Cut(Box::new(cut::Cut {
            near: shifted(&cut.near, first),
            far: shifted(&cut.far, first),
            ..(**cut).clone()
        })),
    };
    cut::Part { becomes, ..part.clone() }
}

fn leftovers(index: &Index, sheets: &[PlanSheet], plan: &cut::Plan) -> Vec<Leftover> {
    let mut found = Vec::new();
    for (place, (sheet, cut)) in sheets.iter().zip(&plan.sheets).enumerate() {
        // What never runs out leaves nothing anyone counts.
        let is_counted = index.stock(sheet.of).count < PLENTY;
        for leaf in cut.root.leaves() {
            if leaf.becomes == Becomes::Offcut && leaf.width.is_positive() && leaf.height.is_positive() {
                found.push(Leftover {
                    number: u32::try_from(found.len()).map_or(u32::MAX, |count| count.saturating_add(1)),
                    sheet: place,
                    at: (leaf.x, leaf.y),
                    size: Size::new(leaf.width, leaf.height),
                    count: sheet.copies,
                    worth_keeping: is_counted && leaf.width >= BIT && leaf.height >= BIT,
                });
            }
        }
    }
    found
}

/// The layer a piece is for, as the card's list of layers calls it.
fn piece_name(images: &[Image], search: &Search<'_>, candidate: usize, part: Part, index: &Index) -> String {
    let card = &search.joint.candidates[candidate].card;
    match part {
        Part::Need { slot, need } => {
            let mut at = 0;
            for layer in card.network.layers.iter().filter(|layer| layer.slot == slot) {
                if need < at + layer.pieces.len() {
                    return layer.id.clone();
                }
                at += layer.pieces.len();
            }
            card.network.slots[slot].id.clone()
        }
        Part::Built { image, part } => {
            let chosen = &card.choice.parts[image];
            let on = card.network.layers.iter().find(|layer| layer.slot == chosen.slot).map_or("", |layer| &layer.id);
            let source = index.face(card.faces[chosen.slot]).source;
            let crate::index::Source::Image(of) = source else { return on.to_owned() };
            format!("{on} {}", images[of].parts[part].id)
        }
    }
}

/// A card with the stock it is really cut from, and the score that comes of it.
fn settled(
    on: On<'_>,
    search: &Search<'_>,
    place: usize,
    from: &BTreeMap<(usize, usize), StockId>,
) -> crate::score::Suggestion {
    let candidate = &search.joint.candidates[place];
    let mut card = candidate.card.clone();
    let mut pieces: Vec<Vec<StockId>> =
        card.network.slots.iter().map(|slot| vec![StockId(0); slot.needs.len()]).collect();
    let mut parts = card.choice.parts.clone();
    for (wanted_place, wanted) in candidate.wanted.iter().enumerate() {
        let stock = from.get(&(place, wanted_place)).copied().unwrap_or(wanted.on[0]);
        match wanted.part {
            Part::Need { slot, need } => pieces[slot][need] = stock,
            Part::Built { image, part } => parts[image].parts[part].1 = stock,
        }
    }
    let main = card.network.slots.iter().zip(&pieces).map(|(slot, pieces)| pieces[slot.main_need()]).collect();
    card.choice = Choice { main, pieces, worth: card.choice.worth, parts, ..Choice::nothing() };
    card.reasons = reasons(on.table, &card.network, &card.faces, &card.choice);
    card.score = added_up(&card.reasons, &card.changes);
    card
}

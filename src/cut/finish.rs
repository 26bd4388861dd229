//! Step 7, *fit for hands*: a plan whose sheets are chosen in, the same sheets with better cuts out.
//!
//! Puts the cuts of each sheet in an order that trimmer and hand can follow, takes pieces out of a
//! sheet that has none, and lays the pieces of each sheet anew while that saves guide settings, then
//! cuts, then a better offcut. Sheets cut alike become copies of one.

use crate::cut::hand::{self, Burden, OffcutWorth, Placed};
use crate::cut::many::Strips;
use crate::cut::scale::{Scale, lies};
use crate::cut::seeded::Seeded;
use crate::cut::tree::{Becomes, CutSheet, Part, Plan};
use crate::cut::work::Work;
use crate::cut::{PieceIndex, Problem, StockIndex, all};
use std::collections::{BTreeMap, BTreeSet};

/// Ways of laying the pieces of one sheet that are tried.
const TRIES: u32 = 60;
/// Steps for pieces that had to wait, beside the work allowed.
const SQUEEZED: u64 = 20_000_000;
/// With more sheets than this they are not looked at a second time.
const MOST_SETTLED: usize = 60;
/// Sheets with more pieces than this keep their layout.
const MOST_PIECES: usize = 40;

/// What the finish needs to know.
pub(super) struct Look<'a> {
    pub(super) problem: &'a Problem,
    pub(super) scale: &'a Scale,
    pub(super) worth: &'a OffcutWorth,
}

/// The plan, fit for hands.
pub(super) fn finish(look: &Look<'_>, plan: Plan, limit: u64, work: &mut Work<'_>) -> Plan {
    let mut out: BTreeMap<PieceIndex, u32> = plan.unplaced.iter().copied().collect();
    let mut sheets: Vec<CutSheet> = Vec::new();
    let mut known: BTreeSet<i64> = BTreeSet::new();
    // The fullest sheets first: their settings are the hardest to choose.
    let mut order: Vec<CutSheet> = plan.sheets;
    order.sort_by_key(|sheet| (std::cmp::Reverse(hand::placed(&sheet.root).len()), sheet.stock));
    let tidy = look.tidy();
    for sheet in order {
        let mut placed = hand::placed(&sheet.root);
        work.add(1000);
        let mut waits = 1;
        let mut best = if tidy { look.order(&sheet, &placed, &known, work) } else { None };
        while best.is_none() && look.breaks(&sheet) && !placed.is_empty() {
            // No safe order: the narrowest pieces wait, twice as many each time.
            placed.sort_by_key(|p| (std::cmp::Reverse(p.width.min(p.height)), p.y, p.x));
            for gone in placed.split_off(placed.len().saturating_sub(waits)) {
                *out.entry(gone.piece).or_default() += sheet.copies;
            }
            waits *= 2;
            best = look.order(&sheet, &placed, &known, work);
        }
        if placed.is_empty() {
            continue;
        }
        if let Some((burden, _)) = best
            && placed.len() <= MOST_PIECES
        {
            best = look.lay_anew(&sheet, &placed, &known, burden, limit, work).or(best);
        }
        let root = best.map_or(sheet.root.clone(), |(_, part)| part);
        known.extend(hand::settings(&root));
        sheets.push(CutSheet { root, ..sheet });
    }
    look.settle(&mut sheets, limit, work);
    if look.problem.rules.of_hands() {
        let until = limit.max(work.done()).saturating_add(SQUEEZED);
        look.squeeze_in(&mut sheets, &mut out, &known, until, work);
        look.lay_out(&mut sheets, &mut out, &known, until + SQUEEZED, work);
    }
    let sheets = all::in_order(look.problem, together(sheets));
    Plan { sheets, unplaced: out.into_iter().filter(|(_, count)| *count > 0).collect() }
}

impl Look<'_> {
    /// Whether every sheet can be looked at: huge plans keep their cuts.
    fn tidy(&self) -> bool {
        self.problem.pieces.len() <= 5000
    }

    /// Looks at every sheet once more, now that the settings of all others are known: fewer in all, then
    /// fewer cuts, then the better offcut.
    fn settle(&self, sheets: &mut [CutSheet], limit: u64, work: &mut Work<'_>) {
        if !self.tidy() || sheets.len() > MOST_SETTLED {
            return;
        }
        let mut in_use: Vec<BTreeSet<i64>> = sheets.iter().map(|sheet| hand::settings(&sheet.root)).collect();
        for index in 0..sheets.len() {
            if work.past(limit) {
                break;
            }
            let others: BTreeSet<i64> = in_use
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != index)
                .flat_map(|(_, set)| set)
                .copied()
                .collect();
            let sheet = &sheets[index];
            let placed = hand::placed(&sheet.root);
            work.add(1000);
            let Some((burden, part)) = self.order(sheet, &placed, &others, work) else { continue };
            let anew = if placed.len() <= MOST_PIECES {
                self.lay_anew(sheet, &placed, &others, burden, limit, work)
            } else {
                None
            };
            let (burden, part) = anew.unwrap_or((burden, part));
            let now = self.burden(&sheet.root, &others);
            if burden < now {
                sheets[index].root = part;
                in_use[index] = hand::settings(&sheets[index].root);
            }
        }
    }

    /// The burden of cuts as they are.
    fn burden(&self, root: &Part, others: &BTreeSet<i64>) -> Burden {
        burden_of(&[root], others, self.worth)
    }

    /// Whether the cuts as they are break a rule of trimmer or hand.
    fn breaks(&self, sheet: &CutSheet) -> bool {
        let plan = Plan { sheets: vec![CutSheet { copies: 1, ..sheet.clone() }], unplaced: Vec::new() };
        let rule = |broken: &super::Broken| {
            use super::Broken::{BelowSafeStrip, CutTooLong, TooManyStages};
            matches!(broken, BelowSafeStrip { .. } | CutTooLong { .. } | TooManyStages { .. })
        };
        super::check(self.problem, &plan).iter().any(rule)
    }

    fn order(
        &self,
        sheet: &CutSheet,
        placed: &[Placed],
        known: &BTreeSet<i64>,
        work: &mut Work<'_>,
    ) -> Option<(Burden, Part)> {
        let root = &sheet.root;
        let size = (root.width.nanometres(), root.height.nanometres());
        let mut looks = 0;
        let found = hand::order(placed, size, (root.x, root.y), &self.problem.rules, self.worth, known, &mut looks);
        work.add(looks.saturating_mul(placed.len() as u64 + 4));
        found
    }

    /// Other layouts of the same pieces on the same sheet; the best that is better than `burden`.
    fn lay_anew(
        &self,
        sheet: &CutSheet,
        placed: &[Placed],
        known: &BTreeSet<i64>,
        burden: Burden,
        limit: u64,
        work: &mut Work<'_>,
    ) -> Option<(Burden, Part)> {
        let mut random = Seeded::new(7);
        let (width, height) = self.scale.stock[sheet.stock.0];
        let mut best: Option<(Burden, Part)> = None;
        let owner: Vec<usize> = placed.iter().map(|p| p.piece.0).collect();
        let fewest = placed.len() as u64;
        for attempt in 0..TRIES {
            if work.past(limit) {
                break;
            }
            work.add(fewest * fewest * 2000);
            let mut order: Vec<usize> = (0..owner.len()).collect();
            let size = |i: usize| self.scale.pieces[owner[i]];
            match attempt % 4 {
                0 => order.sort_by_key(|i| (std::cmp::Reverse(size(*i).0 * size(*i).1), *i)),
                1 => order.sort_by_key(|i| (std::cmp::Reverse(size(*i)), *i)),
                2 => order.sort_by_key(|i| (std::cmp::Reverse((size(*i).1, size(*i).0)), *i)),
                _ => order.sort_by_key(|i| (std::cmp::Reverse(size(*i).0.max(size(*i).1)), *i)),
            }
            if attempt >= 4 {
                for i in 1..order.len() {
                    if random.below(3) == 0 {
                        order.swap(i, usize::try_from(random.below(i as u64 + 1)).unwrap_or(0));
                    }
                }
            }
            let Some(strips) = self.strips(sheet.stock, (width, height), &owner, &order, attempt, &mut random) else {
                continue;
            };
            let laid = all::sheet(self.problem, self.scale, &strips, &owner);
            if let Some((burden_now, part)) = self.order(sheet, &hand::placed(&laid.root), known, work)
                && burden_now < best.as_ref().map_or(burden, |(b, _)| *b)
            {
                best = Some((burden_now, part));
            }
        }
        best
    }

    /// All the pieces in strips, one after another where they fit best, with some noise; if they go in.
    fn strips(
        &self,
        stock: StockIndex,
        (width, height): (i64, i64),
        owner: &[usize],
        order: &[usize],
        attempt: u32,
        random: &mut Seeded,
    ) -> Option<Strips> {
        let mut strips = Strips::empty(stock.0, width, height);
        for &item in order {
            let piece = &self.problem.pieces[owner[item]];
            let (w, h) = self.scale.pieces[owner[item]];
            let turned = (piece.turn == super::Turn::Either && w != h).then_some((h, w, true));
            let ways: Vec<(i64, i64, bool)> = [(w, h, false)].into_iter().chain(turned).collect();
            strips.lay_best(item, &ways, |score| {
                if attempt < 4 {
                    score
                } else {
                    score.saturating_mul(70 + i64::try_from(random.below(60)).unwrap_or(0))
                }
            })?;
        }
        Some(strips)
    }

    /// Pieces that had to wait: into the leftovers of sheets already cut, where an order of cuts allows.
    fn squeeze_in(
        &self,
        sheets: &mut [CutSheet],
        out: &mut BTreeMap<PieceIndex, u32>,
        known: &BTreeSet<i64>,
        until: u64,
        work: &mut Work<'_>,
    ) {
        let mut random = Seeded::new(11);
        for (piece, count) in out.iter_mut() {
            let asked = &self.problem.pieces[piece.0];
            for sheet in sheets.iter_mut().filter(|sheet| sheet.copies == 1 && asked.on.allows(sheet.stock)) {
                let made = self.problem.stock[sheet.stock.0].made_by.is_some();
                while *count > 0
                    && work.done() < until
                    && !(made && all::comes_of_itself(self.problem, piece.0, sheet.stock.0))
                {
                    let mut owner: Vec<usize> = hand::placed(&sheet.root).iter().map(|p| p.piece.0).collect();
                    owner.push(piece.0);
                    if owner.len() > MOST_PIECES {
                        break;
                    }
                    let size = self.scale.stock[sheet.stock.0];
                    let more = (0..8).find_map(|attempt| {
                        let mut order: Vec<usize> = (0..owner.len()).collect();
                        let of = |i: usize| self.scale.pieces[owner[i]];
                        match attempt % 3 {
                            0 => order.sort_by_key(|i| (std::cmp::Reverse(of(*i).0 * of(*i).1), *i)),
                            1 => order.sort_by_key(|i| (std::cmp::Reverse(of(*i)), *i)),
                            _ => order.sort_by_key(|i| (std::cmp::Reverse((of(*i).1, of(*i).0)), *i)),
                        }
                        let strips = self.strips(sheet.stock, size, &owner, &order, attempt, &mut random)?;
                        let laid = all::sheet(self.problem, self.scale, &strips, &owner);
                        self.order(sheet, &hand::placed(&laid.root), known, work)
                    });
                    let Some((_, root)) = more else { break };
                    sheet.root = root;
                    *count -= 1;
                }
            }
        }
    }

    /// Pieces that still have to wait: on sheets of their own, where there are any left.
    fn lay_out(
        &self,
        sheets: &mut Vec<CutSheet>,
        out: &mut BTreeMap<PieceIndex, u32>,
        known: &BTreeSet<i64>,
        until: u64,
        work: &mut Work<'_>,
    ) {
        let problem = self.problem;
        let mut left: Vec<u32> =
            problem.stock.iter().map(|stock| if stock.made_by.is_some() { 0 } else { stock.count }).collect();
        for sheet in sheets.iter() {
            if problem.stock[sheet.stock.0].made_by.is_none() {
                all::take(&mut left[sheet.stock.0], sheet.copies);
            }
        }
        let mut cheapest: Vec<usize> = (0..problem.stock.len()).collect();
        cheapest.sort_by_key(|line| (self.scale.costs[*line], *line));
        let waiting: Vec<PieceIndex> = out.iter().filter(|(_, count)| **count > 0).map(|(piece, _)| *piece).collect();
        for &line in &cheapest {
            // Fill one sheet after another with as many waiting pieces as can be cut safely.
            while left[line] > 0 && sheets.len() < 2000 && work.done() < until {
                let mut strips = Strips::empty(line, self.scale.stock[line].0, self.scale.stock[line].1);
                let mut owner: Vec<usize> = Vec::new();
                let mut best: Option<Part> = None;
                for piece in &waiting {
                    let asked = &problem.pieces[piece.0];
                    let size = self.scale.pieces[piece.0];
                    if !asked.on.allows(StockIndex(line)) || !lies(size, asked.turn, self.scale.stock[line]) {
                        continue;
                    }
                    let here = |owner: &[usize]| owner.iter().filter(|o| **o == piece.0).count();
                    while work.done() < until && out.get(piece).is_some_and(|count| *count as usize > here(&owner)) {
                        let before = strips.clone();
                        let turned = (asked.turn == super::Turn::Either).then_some((size.1, size.0, true));
                        let ways: Vec<(i64, i64, bool)> = [(size.0, size.1, false)].into_iter().chain(turned).collect();
                        owner.push(piece.0);
                        let laid = strips.lay_best(owner.len() - 1, &ways, |score| score);
                        let sheet = all::sheet(problem, self.scale, &strips, &owner);
                        let order = laid.and_then(|()| self.order(&sheet, &hand::placed(&sheet.root), known, work));
                        match order {
                            Some((_, part)) => best = Some(part),
                            None => {
                                strips = before;
                                owner.pop();
                                break;
                            }
                        }
                    }
                }
                let Some(root) = best else { break };
                for piece in owner {
                    if let Some(count) = out.get_mut(&PieceIndex(piece)) {
                        *count -= 1;
                    }
                }
                all::take(&mut left[line], 1);
                sheets.push(CutSheet { stock: StockIndex(line), copies: 1, root });
            }
        }
    }
}

/// The burden of a whole plan: its settings, its cuts where sheets alike are cut as one, its best offcut.
pub(super) fn burden(plan: &Plan, worth: &OffcutWorth) -> Burden {
    let roots: Vec<&Part> = plan.sheets.iter().map(|sheet| &sheet.root).collect();
    burden_of(&roots, &BTreeSet::new(), worth)
}

/// The burden of cuts as they are, where some settings are in use already.
fn burden_of(roots: &[&Part], in_use: &BTreeSet<i64>, worth: &OffcutWorth) -> Burden {
    let mut settings: BTreeSet<i64> = roots.iter().flat_map(|root| hand::settings(root)).collect();
    settings.retain(|setting| !in_use.contains(setting));
    let (mut cuts, mut offcut) = (0, 0);
    let mut waiting = roots.to_vec();
    while let Some(part) = waiting.pop() {
        match &part.becomes {
            Becomes::Cut(cut) => {
                cuts += 1;
                waiting.extend([&cut.near, &cut.far]);
            }
            Becomes::Offcut => offcut = offcut.max(worth.of(part.width, part.height)),
            Becomes::Piece { .. } => {}
        }
    }
    Burden { settings: u32::try_from(settings.len()).unwrap_or(u32::MAX), cuts, offcut: -offcut }
}

/// Sheets of one line that are cut alike, as copies.
fn together(sheets: Vec<CutSheet>) -> Vec<CutSheet> {
    let mut found: Vec<CutSheet> = Vec::new();
    for sheet in sheets {
        match found.iter_mut().find(|other| other.stock == sheet.stock && other.root == sheet.root) {
            Some(other) => other.copies += sheet.copies,
            None => found.push(sheet),
        }
    }
    found
}

//! The walk through the library graph: which variants of which layouts are searched, and in what order.
//!
//! Variants are met cheapest first. Each is searched only if what it could score at most would still
//! enter the list: a ceiling that depends on the structure alone (which papers lie on which), less
//! what the changes cost. Where the work allowed runs out, what was left is remembered, so that the
//! answer can say whether it is proven.

use super::best::Best;
use super::form::{MOST_SLOTS, filling_order};
use super::groups::{Groups, Papers};
use super::jury::ONE;
use super::kept::Kept;
use super::rest::signed;
use super::search::{self, Question, Search};
use crate::layout::adapt::{cost_of, next_changes};
use crate::layout::{Change, Drawn, Layout, Library, OnHand};
use crate::matching::network;
use crate::stash::settings::ChangeKind;
use crate::stash::{Die, Settings};
use api::units::Size;
use petgraph::graph::NodeIndex;
use std::collections::{BTreeMap, BinaryHeap};
use std::sync::Arc;

/// What laying out one variant counts as, beside the candidates weighed for it.
const WORK_OF_A_VARIANT: u64 = 30;

/// What meeting a variant counts as, whatever becomes of it: some microseconds.
const WORK_OF_MEETING: u64 = 20;

/// What a structure promises that nothing on hand can be made in, whatever the sizes.
const IMPOSSIBLE: i64 = i64::MIN;

/// The work one layout may take before the others have their turn.
const FIRST_ALLOWANCE: u64 = 200_000;

/// Papers that promise so much less than the next variant's best, in millionths, are tried at once, too.
const SLACK: i64 = 20_000;

/// What is walked, and under which settings.
pub(super) struct Walk<'w, 'a> {
    /// The library.
    pub library: &'w mut Library<'a>,
    /// Settings.
    pub settings: &'a Settings,
    /// Dies she owns.
    pub dies: &'a [Die],
    /// The lengths a layout may be bent to.
    pub on_hand: &'a OnHand,
    /// The only card sizes wanted; `None` is any.
    pub cards: Option<Vec<Size>>,
    /// Who is told how much work is done.
    pub told: &'w dyn Fn(u64),
}

/// What tells the structures of one layout's variants apart.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Structure {
    /// The structural changes made: those that add or take away a paper, not those that move an edge.
    changes: Vec<(ChangeKind, usize)>,
    /// For panels that lie on more than one, whether they meet each: there, moved edges matter.
    meets: Vec<bool>,
}

/// A structure a layout can come to.
struct Outlook {
    /// What the changes that lead to it cost.
    cost: i64,
    /// What a card of it could score at most, before changes are paid for.
    most: i64,
    /// The papers by which a card could score in the range looked at last.
    groups: Option<Arc<Groups>>,
    /// The panels the papers are for.
    panels: Vec<Option<usize>>,
}

/// A variant that cannot be made whatever the papers.
struct CannotBeMade;

/// The structures each layout can come to.
type Outlooks = BTreeMap<usize, BTreeMap<Structure, Outlook>>;

/// What is to be done with a variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Todo {
    /// Look for the variants one change further.
    Grow,
    /// Search for papers.
    Solve,
}

/// Something waiting: the cheapest first, searches before what lies further, then the highest bound,
/// then the lowest layout, then the first met.
type Waiting = (std::cmp::Reverse<u64>, Todo, i64, std::cmp::Reverse<(usize, NodeIndex)>);

/// Whose turn it is: a layout that took its allowance waits until all others had theirs or are done, so that
/// a layout that is hard to settle does not keep the others from being looked at.
struct Turns {
    /// The work each layout may take in this round and those before it.
    allowance: u64,
    took: BTreeMap<usize, u64>,
    later: Vec<Waiting>,
}

impl Default for Turns {
    fn default() -> Self {
        Self { allowance: FIRST_ALLOWANCE, took: BTreeMap::new(), later: Vec::new() }
    }
}

impl Turns {
    /// What comes next; a new round begins where nothing waits in this one.
    fn next(&mut self, waiting: &mut BinaryHeap<Waiting>) -> Option<Waiting> {
        if waiting.is_empty() {
            self.allowance = self.allowance.saturating_mul(4);
            waiting.extend(self.later.drain(..));
        }
        waiting.pop()
    }

    fn must_wait(&self, layout: usize) -> bool {
        self.took.get(&layout).is_some_and(|took| *took > self.allowance)
    }

    fn took(&mut self, layout: usize, work: u64) {
        *self.took.entry(layout).or_default() += work;
    }
}

fn is_structural(kind: ChangeKind) -> bool {
    matches!(kind, ChangeKind::PlainGround | ChangeKind::QuietShape | ChangeKind::SlipMat | ChangeKind::LeaveOut)
}

fn structural(changes: &[Change]) -> Vec<(ChangeKind, usize)> {
    changes.iter().filter(|change| is_structural(change.kind())).map(|c| (c.kind(), c.panel().unwrap_or(0))).collect()
}

/// Whether some panel lies on more than one, so that moved edges may change whom it meets.
fn has_bridges(layout: &Layout) -> bool {
    layout.panels.iter().any(|panel| panel.on.len() > 1)
}

impl Walk<'_, '_> {
    /// Walks all layouts in `layouts` and offers every card found to `best`.
    pub(super) fn run(&mut self, kept: &mut Kept<'_>, best: &mut Best, layouts: impl Iterator<Item = usize>) {
        let mut waiting: BinaryHeap<Waiting> = BinaryHeap::new();
        let mut outlooks = Outlooks::new();
        for layout in layouts {
            outlooks.insert(layout, self.outlooks(kept, layout));
            let root = self.library.root(layout);
            let outlooks = outlooks.entry(layout).or_default();
            self.queue(kept, root, outlooks, &mut waiting);
        }
        let mut turns = Turns::default();
        while let Some((cost, todo, bound, std::cmp::Reverse((layout, node)))) = turns.next(&mut waiting) {
            if !best.could_enter(bound, layout, &[]) {
                continue;
            }
            if turns.must_wait(layout) {
                turns.later.push((cost, todo, bound, std::cmp::Reverse((layout, node))));
                continue;
            }
            let work = kept.work + kept.tables.judged;
            if kept.is_spent() {
                kept.leave_undecided(bound, layout);
                continue;
            }
            let Some(outlooks) = outlooks.get_mut(&layout) else { continue };
            match todo {
                Todo::Solve => {
                    let next = waiting.peek().filter(|next| (next.0, next.1) == (cost, todo)).map(|next| next.2);
                    if let Some(bound) = self.solve_down_to(kept, best, outlooks, node, (bound, next)) {
                        waiting.push((cost, todo, bound, std::cmp::Reverse((layout, node))));
                    }
                }
                Todo::Grow => {
                    let reach = self.reach(node, outlooks);
                    if reach != IMPOSSIBLE && best.could_enter(reach, layout, &[]) {
                        for next in self.library.grow(node) {
                            kept.work += WORK_OF_MEETING;
                            self.queue(kept, next, outlooks, &mut waiting);
                        }
                    }
                }
            }
            let now = kept.work + kept.tables.judged;
            turns.took(layout, now - work);
            (self.told)(now);
        }
    }

    /// Searches a variant for papers that promise no more than the first bound and about as much as
    /// the second, which is what the next variant promises; says what those left promise.
    fn solve_down_to(
        &self,
        kept: &mut Kept<'_>,
        best: &mut Best,
        outlooks: &mut BTreeMap<Structure, Outlook>,
        node: NodeIndex,
        (from, next): (i64, Option<i64>),
    ) -> Option<i64> {
        let variant = self.library.variant(node);
        let cost = signed(variant.cost);
        let outlook = outlooks.get_mut(&self.structure(variant.layout, &variant.changes));
        let bar = best.bar(variant.layout);
        let (Some(outlook), Some(bar)) = (outlook, bar) else {
            self.solve(kept, best, node, None);
            return None;
        };
        let (above, up_to) = (bar + cost - 1, from.saturating_add(cost));
        let Ok(groups) = self.groups(kept, outlook, node, above, up_to) else { return None };
        let Some(groups) = groups else {
            self.solve(kept, best, node, None);
            return None;
        };
        let could_better = |papers: &&Papers| {
            let bound = papers.most() - cost;
            let shown = kept.shown(&outlook.panels, &papers.faces);
            best.could_enter(bound, variant.layout, &shown)
                && best
                    .member(variant.layout, &shown)
                    .is_none_or(|member| (bound, member.changes.len()) >= (member.score, variant.changes.len()))
        };
        let promising = groups.list.iter().skip_while(|papers| papers.most() > up_to).filter(could_better);
        let promising: Vec<Papers> = promising.cloned().collect();
        let promise = |papers: &Papers| papers.most() - cost;
        let now = next.map_or(promising.len(), |next| {
            promising.partition_point(|papers| promise(papers) >= next.saturating_sub(SLACK))
        });
        if now > 0 {
            self.solve(kept, best, node, Some(&promising[..now]));
        }
        let left = promising.get(now).map(promise);
        if left.is_none() && groups.above > above {
            // Many papers promise much whatever the sizes: the sizes as drawn tell them apart sooner.
            self.solve(kept, best, node, None);
        }
        left
    }

    /// The papers by which a card with a variant's structure could score more than `above` and no
    /// more than `up_to`; `None` where there are too many slots to tell.
    ///
    /// # Errors
    ///
    /// Where the variant cannot be made.
    fn groups(
        &self,
        kept: &mut Kept<'_>,
        outlook: &mut Outlook,
        node: NodeIndex,
        above: i64,
        up_to: i64,
    ) -> Result<Option<Arc<Groups>>, CannotBeMade> {
        if let Some(known) = &outlook.groups
            && known.hold(above, up_to)
        {
            return Ok(Some(Arc::clone(known)));
        }
        let variant = self.library.variant(node);
        let drawn = Drawn::changed(&self.library.layouts[variant.layout], &variant.changes, self.settings.ruler);
        let network = network(&drawn, self.dies).map_err(|_| CannotBeMade)?;
        if network.slots.len() > MOST_SLOTS {
            return Ok(None);
        }
        let groups = search::groups(kept, &network, above, up_to, variant.cost == 0);
        outlook.panels = filling_order(&network).into_iter().map(|slot| network.slots[slot].panel).collect();
        outlook.most = groups.most_from(outlook.most);
        outlook.groups = Some(Arc::clone(&groups));
        Ok(Some(groups))
    }

    /// The structure of a variant.
    fn structure(&self, layout: usize, changes: &[Change]) -> Structure {
        let of = &self.library.layouts[layout];
        let mut meets = Vec::new();
        if has_bridges(of) {
            let drawn = Drawn::changed(of, changes, self.settings.ruler);
            for panel in drawn.panels.iter().filter(|panel| panel.on.len() > 1) {
                let meets_one = |below: &usize| !drawn.panels[*below].footprint.shared(&panel.footprint).is_empty();
                meets.extend(panel.on.iter().map(meets_one));
            }
        }
        Structure { changes: structural(changes), meets }
    }

    fn queue(
        &self,
        kept: &mut Kept<'_>,
        node: NodeIndex,
        outlooks: &mut BTreeMap<Structure, Outlook>,
        waiting: &mut BinaryHeap<Waiting>,
    ) {
        let variant = self.library.variant(node);
        let structure = self.structure(variant.layout, &variant.changes);
        if !outlooks.contains_key(&structure) {
            outlooks.insert(structure.clone(), self.outlook(kept, variant.layout, &variant.changes));
        }
        let own = outlooks[&structure].most;
        let waits =
            |todo, bound| (std::cmp::Reverse(variant.cost), todo, bound, std::cmp::Reverse((variant.layout, node)));
        let (own, reach) = (own.saturating_sub(signed(variant.cost)), self.reach(node, outlooks));
        waiting.extend((own > IMPOSSIBLE).then(|| waits(Todo::Solve, own)));
        waiting.extend((reach > IMPOSSIBLE).then(|| waits(Todo::Grow, reach)));
    }

    /// What any card could score at most that has the changes of a variant and more.
    fn reach(&self, node: NodeIndex, outlooks: &BTreeMap<Structure, Outlook>) -> i64 {
        let variant = self.library.variant(node);
        let structure = structural(&variant.changes);
        let further = |of: &Structure| structure.iter().all(|change| of.changes.contains(change));
        if outlooks.iter().all(|(of, outlook)| outlook.most == IMPOSSIBLE || !further(of)) {
            return IMPOSSIBLE;
        }
        if has_bridges(&self.library.layouts[variant.layout]) {
            return signed(ONE) - signed(variant.cost);
        }
        let already: u64 = structure.iter().map(|(kind, _)| cost_of(*kind, self.settings)).sum();
        let room = usize::try_from(self.settings.most_changes).unwrap_or(usize::MAX);
        let further = |(of, outlook): (&Structure, &Outlook)| {
            let more = of.changes.len() - structure.len().min(of.changes.len());
            let leads_there =
                structure.iter().all(|change| of.changes.contains(change)) && variant.changes.len() + more <= room;
            leads_there.then(|| outlook.most.saturating_sub(signed(variant.cost) + outlook.cost - signed(already)))
        };
        outlooks.iter().filter_map(further).max().unwrap_or(IMPOSSIBLE)
    }

    /// The structures that a layout can come to, each with what a card of it could score at a glance.
    fn outlooks(&self, kept: &mut Kept<'_>, layout: usize) -> BTreeMap<Structure, Outlook> {
        let of = &self.library.layouts[layout];
        let mut options: BTreeMap<(ChangeKind, usize), Change> = BTreeMap::new();
        for change in next_changes(of, &[], self.settings, self.on_hand) {
            if is_structural(change.kind()) {
                options.entry((change.kind(), change.panel().unwrap_or(0))).or_insert(change);
            }
        }
        let options: Vec<Change> = options.into_values().collect();
        let most_changes = usize::try_from(self.settings.most_changes).unwrap_or(usize::MAX);
        let mut outlooks = BTreeMap::new();
        let mut sets: Vec<Vec<usize>> = vec![Vec::new()];
        while let Some(set) = sets.pop() {
            let changes: Vec<Change> = set.iter().map(|place| options[*place]).collect();
            if set.len() < most_changes {
                let from = set.last().map_or(0, |last| last + 1);
                sets.extend((from..options.len()).map(|next| set.iter().copied().chain([next]).collect()));
            }
            outlooks.insert(self.structure(layout, &changes), self.outlook(kept, layout, &changes));
        }
        outlooks
    }

    fn outlook(&self, kept: &mut Kept<'_>, layout: usize, changes: &[Change]) -> Outlook {
        let structural = changes.iter().filter(|change| is_structural(change.kind()));
        Outlook {
            cost: structural.map(|change| signed(cost_of(change.kind(), self.settings))).sum(),
            most: self.ceiling(kept, layout, changes),
            groups: None,
            panels: Vec::new(),
        }
    }

    fn ceiling(&self, kept: &mut Kept<'_>, layout: usize, changes: &[Change]) -> i64 {
        let drawn = Drawn::changed(&self.library.layouts[layout], changes, self.settings.ruler);
        let Ok(network) = network(&drawn, self.dies) else { return signed(ONE) };
        if !kept.has_papers_for(&network) {
            return IMPOSSIBLE;
        }
        if network.slots.len() > MOST_SLOTS { signed(ONE) } else { search::ceiling(kept, &network) }
    }

    fn solve(&self, kept: &mut Kept<'_>, best: &mut Best, node: NodeIndex, groups: Option<&[Papers]>) {
        let variant = self.library.variant(node);
        let drawn = Drawn::changed(&self.library.layouts[variant.layout], &variant.changes, self.settings.ruler);
        let wanted = |card: &Size| *card == drawn.card || card.turned() == drawn.card;
        if self.cards.as_ref().is_some_and(|cards| !cards.iter().any(wanted)) {
            return;
        }
        kept.work += WORK_OF_A_VARIANT;
        let Ok(network) = network(&drawn, self.dies) else { return };
        if !kept.could_fill(&network) {
            return;
        }
        if network.slots.len() > MOST_SLOTS {
            kept.leave_undecided(signed(ONE), variant.layout);
            return;
        }
        let question = Question {
            network: &network,
            layout: variant.layout,
            changes: &variant.changes,
            cost: signed(variant.cost),
        };
        Search::new(kept, best, &question).run(groups);
    }

    /// Whether any variant of a layout can be made at all, looking at no more than `most` of them;
    /// `None` where that was not enough to tell.
    pub(super) fn can_be_made(&mut self, kept: &mut Kept<'_>, layout: usize, most: usize) -> Option<bool> {
        if kept.makeable.contains(&layout) {
            return Some(true);
        }
        let mut best = Best::new(1, None);
        let mut level = vec![self.library.root(layout)];
        let mut met = 0;
        while !level.is_empty() {
            let mut next = Vec::new();
            for node in level {
                met += 1;
                if met > most || kept.is_spent() {
                    return None;
                }
                self.solve_any(kept, &mut best, node);
                if !best.is_empty() {
                    return Some(true);
                }
                next.extend(self.library.grow(node));
            }
            level = next;
        }
        Some(false)
    }

    fn solve_any(&self, kept: &mut Kept<'_>, best: &mut Best, node: NodeIndex) {
        let mut any = Best::any();
        self.solve(kept, &mut any, node, None);
        for found in any.into_list() {
            best.offer(found);
        }
    }
}

//! The exact search over one network: which faces fill its slots best.
//!
//! A depth-first branch and bound. Papers are chosen first, in the order of the panels, then the
//! base, then mats and all else. A choice is followed while the most it could still score would
//! enter the list; what it could score is bounded by the terms already known, by the rows of the
//! pair tables for slots joined to it, and by the scorers' own ranges for the rest. Members that take
//! the weakest pair are bounded by every pair, which is what makes one row a bound on the whole card.

use super::best::{Best, Faces, Found};
use super::jury::{Jury, ONE};
use super::tables::{End, NONE, RELATIONS, Row, Rows, Tables, place_of};
use crate::index::{Class, FaceId, Index, PieceNeed, StockId, class_of};
use crate::layout::Change;
use crate::matching::{Network, Slot, Supplied, Supply, Worths, could_be, domain, eligible};
use crate::stash::Facing;
use api::{CardView, Gather, Material, PieceView, Relation, Role};
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

/// Rows are made ahead of a choice only for classes with at most so many faces.
const SHORT_CLASS: usize = 1_024;
/// No face has been chosen for a slot.
const OPEN: FaceId = FaceId(u32::MAX);

/// Faces of which at least one must be used; one set for each thing asked for.
pub type MustShow = Vec<BTreeSet<FaceId>>;

/// What is kept from one question to the next, as long as the index and the jury are the same.
#[derive(Debug, Default)]
pub(super) struct Store {
    /// Rows of the pair tables.
    pub(super) rows: Rows,
    ranked: HashMap<Signature, Arc<Ranked>>,
    fillable: HashMap<(Vec<Material>, Vec<PieceNeed>, Option<Facing>), bool>,
    worths: HashMap<(Role, PieceNeed, u64, FaceId), Arc<Worths>>,
}

/// What is kept from one network to the next.
pub(super) struct Kept<'a> {
    /// What the jury thinks of pairs.
    pub tables: Tables<'a>,
    /// What can be cut.
    pub supply: Supply<'a>,
    /// Faces of which one must show.
    pub must_show: &'a MustShow,
    /// How busy a paper may be beneath an image, in millionths.
    pub quiet: u32,
    warm: Store,
    /// Work done so far: candidates weighed and pairs judged.
    pub work: u64,
    /// Work allowed.
    pub most_work: u64,
    /// The highest bound of anything left undecided, with its layout: what is not proven.
    pub undecided: Option<(i64, usize)>,
}

impl<'a> Kept<'a> {
    /// Nothing kept yet.
    #[must_use]
    pub(super) fn new(
        tables: Tables<'a>,
        supply: Supply<'a>,
        must_show: &'a MustShow,
        quiet: u32,
        most_work: u64,
        warm: Store,
    ) -> Self {
        Self { tables, supply, must_show, quiet, warm, work: 0, most_work, undecided: None }
    }

    /// What may be kept for the next question.
    pub(super) fn into_store(self) -> Store {
        Store { rows: self.tables.into_rows(), ..self.warm }
    }

    fn index(&self) -> &'a Index {
        self.tables.index
    }

    fn jury(&self) -> &'a Jury {
        self.tables.jury
    }

    /// Whether each slot of a network could be filled for itself.
    pub(super) fn could_fill(&mut self, network: &Network) -> bool {
        network.slots.iter().all(|slot| {
            let index = self.tables.index;
            let key = (slot.materials.clone(), slot.needs.clone(), slot.looks_out);
            *self.warm.fillable.entry(key).or_insert_with(|| !domain(index, slot).is_empty())
        })
    }

    /// The stock a slot's main piece could come from, best first, with what each adds to the score
    /// where a card has `slots` slots.
    fn worths(&mut self, slot: &Slot, face: FaceId, slots: u64) -> Arc<Worths> {
        let need = slot.needs[slot.main_need()];
        let key = (slot.role, need, slots, face);
        if let Some(kept) = self.warm.worths.get(&key) {
            return Arc::clone(kept);
        }
        let mut worths: Worths = eligible(self.index(), &need, face)
            .into_iter()
            .map(|stock| {
                let piece = piece_view(self.index(), slot.role, &need, face, stock);
                let worth = self
                    .jury()
                    .pieces()
                    .map(|member| member.share / slots * u64::from(member.piece(&piece).millionths()) / ONE)
                    .sum();
                (stock, worth)
            })
            .collect();
        worths.sort_by_key(|(stock, worth)| (std::cmp::Reverse(*worth), *stock));
        let worths = Arc::new(worths);
        self.warm.worths.insert(key, Arc::clone(&worths));
        worths
    }

    /// Remembers that something scoring at most `bound` was left undecided.
    pub(super) fn leave_undecided(&mut self, bound: i64, layout: usize) {
        if self.undecided.is_none_or(|(highest, _)| bound > highest) {
            self.undecided = Some((bound, layout));
        }
    }

    /// Whether the work allowed is done.
    #[must_use]
    pub(super) fn is_spent(&self) -> bool {
        self.work + self.tables.judged >= self.most_work
    }
}

/// What a scorer sees of a piece cut from a piece of stock.
#[must_use]
pub(super) fn piece_view<'a>(
    index: &'a Index,
    role: Role,
    need: &PieceNeed,
    face: FaceId,
    stock: StockId,
) -> PieceView<'a> {
    let size = need.cut_size();
    let line = index.stock(stock);
    let mut view = PieceView::whole_sheet(&index.face(face).view, role, size.width, size.height);
    if line.kind != crate::index::StockKind::CardBase {
        (view.stock_width, view.stock_height) = (line.width, line.height);
    }
    if matches!(need, PieceNeed::Whole(_)) {
        (view.width, view.height) = (line.width, line.height);
    }
    view.stock_count = line.count;
    view.is_scrap = line.kind == crate::index::StockKind::Cuttable(crate::stash::LineKind::Scrap);
    view.age_days = line.age_days;
    view
}

/// A network ready to be searched.
pub(super) struct Question<'n> {
    /// The network.
    pub network: &'n Network,
    /// Its layout.
    pub layout: usize,
    /// What was changed.
    pub changes: &'n [Change],
    /// What the changes cost, in millionths.
    pub cost: i64,
}

/// Faces, each with the most a card could score that has it in a slot.
type Ranked = Vec<(i64, FaceId)>;

/// All that a slot's ranking depends on besides the stash: slots alike in this are ranked once.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Signature {
    materials: Vec<Material>,
    links: Vec<(Relation, bool, Option<Class>)>,
    slots: usize,
    speaks: Vec<u64>,
    relations: [usize; 3],
}

/// How far a choice has come.
#[derive(Clone)]
struct State {
    faces: Vec<FaceId>,
    /// For each pair member that takes the weakest pair, the most it can still be worth; for the
    /// others unused.
    caps: Vec<u32>,
    /// Known terms that add up, in millionths of the score.
    sum: u64,
    /// For each link with one end chosen, the row of that end.
    pending: Vec<(usize, Arc<Row>)>,
    /// Patterned papers chosen for panels so far, in the order of the panels.
    shown: Faces,
    /// Which of the things that must show are shown.
    shows: u64,
}

/// Searches one network and offers what it finds.
pub(super) struct Search<'s, 'a, 'n> {
    kept: &'s mut Kept<'a>,
    best: &'s mut Best,
    question: &'s Question<'n>,
    order: Vec<usize>,
    depth_of: Vec<usize>,
    /// For each pair member, the links it speaks about.
    speaks: Vec<u64>,
    /// For each depth, the most that the pieces from there on can add.
    pieces_ahead: Vec<u64>,
    /// What the members that judge the card can add at most.
    cards_ahead: u64,
    /// For each depth, which of the things that must show could be shown from there on.
    shows_ahead: Vec<u64>,
    /// For each slot, the class of its faces where they are of one class.
    class: Vec<Option<Class>>,
}

impl<'s, 'a, 'n> Search<'s, 'a, 'n> {
    /// Prepares a search.
    #[must_use]
    pub(super) fn new(kept: &'s mut Kept<'a>, best: &'s mut Best, question: &'s Question<'n>) -> Self {
        let network = question.network;
        let slots = network.slots.len();
        let order = filling_order(network);
        let mut depth_of = vec![0; slots];
        for (depth, slot) in order.iter().enumerate() {
            depth_of[*slot] = depth;
        }
        let speaks = kept
            .tables
            .members
            .iter()
            .map(|member| {
                network.links.iter().filter(|link| member.range[place_of(link.relation)].is_some()).count() as u64
            })
            .collect();
        let per_piece: u64 = kept
            .jury()
            .pieces()
            .map(|member| {
                let range = member.scorer.manifest().ranges.piece.map_or(ONE, |range| u64::from(range.millionths()));
                member.share / slots as u64 * range.max(member.neutral()) / ONE
            })
            .sum();
        let pieces_ahead = (0..=slots).map(|depth| per_piece * (slots - depth) as u64).collect();
        let cards_ahead = kept
            .jury()
            .cards()
            .map(|member| {
                let range = member.scorer.manifest().ranges.card.map_or(ONE, |range| u64::from(range.millionths()));
                member.share * range.max(member.neutral()) / ONE
            })
            .sum();
        let mut shows_ahead = vec![0; slots + 1];
        for depth in (0..slots).rev() {
            shows_ahead[depth] = shows_ahead[depth + 1] | could_show(kept, &network.slots[order[depth]]);
        }
        let class = network.slots.iter().map(only_class).collect();
        Self { kept, best, question, order, depth_of, speaks, pieces_ahead, cards_ahead, shows_ahead, class }
    }

    /// Searches the network.
    pub(super) fn run(mut self) {
        let state = self.opening();
        self.dive(0, &state);
    }

    /// What a pair member may be worth before anything is chosen.
    fn opening_cap(&self, member: usize) -> u32 {
        let neutral = u32::try_from(self.kept.tables.members[member].neutral).unwrap_or(NONE);
        if self.speaks[member] == 0 { neutral } else { 1_000_000 }
    }

    fn opening(&self) -> State {
        let members = self.kept.tables.members.len();
        State {
            faces: vec![OPEN; self.question.network.slots.len()],
            caps: (0..members).map(|member| self.opening_cap(member)).collect(),
            sum: 0,
            pending: Vec::new(),
            shown: Vec::new(),
            shows: 0,
        }
    }

    /// The most that any card of this structure could score before its changes are paid for,
    /// whatever the sizes.
    #[must_use]
    pub(super) fn ceiling(mut self) -> i64 {
        let slot = self.order[0];
        self.ranked(slot).first().map_or(i64::MIN, |(bound, _)| *bound)
    }

    /// Every face a slot could take whatever its size, with the most that a card could score that
    /// has it there; the highest first, then in the order of ids.
    fn ranked(&mut self, slot: usize) -> Arc<Ranked> {
        let key = self.signature(slot);
        if let Some(kept) = self.kept.warm.ranked.get(&key) {
            return Arc::clone(kept);
        }
        let opening = self.opening();
        let fixed = self.pieces_ahead[0] + self.cards_ahead + self.means_ahead(0);
        let mut ranked = Ranked::new();
        let mut classes: Vec<Class> = key.materials.iter().map(|material| class_of(*material)).collect();
        classes.sort_unstable();
        classes.dedup();
        for class in classes {
            for face in self.kept.index().class(class) {
                if !key.materials.contains(&self.kept.index().face(*face).view.material) {
                    continue;
                }
                let rows = self.rows_ahead(&opening, slot, *face);
                ranked.push((signed(self.with_rows(&opening.caps, &rows) + fixed), *face));
            }
        }
        ranked.sort_unstable_by_key(|(bound, face)| (std::cmp::Reverse(*bound), *face));
        let ranked = Arc::new(ranked);
        self.kept.warm.ranked.insert(key, Arc::clone(&ranked));
        ranked
    }

    fn signature(&self, slot: usize) -> Signature {
        let network = self.question.network;
        let mut links: Vec<(Relation, bool, Option<Class>)> = network
            .links
            .iter()
            .filter_map(|link| {
                let other = if link.upper == slot {
                    link.lower
                } else if link.lower == slot {
                    link.upper
                } else {
                    return None;
                };
                Some((link.relation, link.upper == slot, self.class[other]))
            })
            .collect();
        links.sort_unstable();
        Signature {
            materials: network.slots[slot].materials.clone(),
            links,
            slots: network.slots.len(),
            speaks: self.speaks.clone(),
            relations: RELATIONS.map(|relation| network.links.iter().filter(|link| link.relation == relation).count()),
        }
    }

    fn dive(&mut self, depth: usize, state: &State) {
        if depth == self.order.len() {
            self.arrive(state);
            return;
        }
        let slot = self.order[depth];
        let ranked = self.ranked(slot);
        let mut next: Vec<(i64, FaceId)> = Vec::new();
        for (most, face) in ranked.iter().copied() {
            if !self.best.could_enter(most - self.question.cost, self.question.layout, &state.shown) {
                break;
            }
            self.kept.work += 1;
            let face_of = self.kept.index().face(face);
            if self.forbidden(state, slot, face)
                || !could_be(self.kept.index(), &self.question.network.slots[slot], face_of)
            {
                continue;
            }
            if let Some(bound) = self.bound(depth, state, slot, face) {
                next.push((bound, face));
            }
        }
        next.sort_unstable_by_key(|(bound, face)| (std::cmp::Reverse(*bound), *face));
        for (bound, face) in next {
            let faces = self.shown_with(state, slot, face);
            if !self.best.could_enter(bound, self.question.layout, &faces) {
                continue;
            }
            if self.kept.is_spent() {
                self.kept.leave_undecided(bound, self.question.layout);
                return;
            }
            let state = self.choose(state, slot, face, faces);
            if self.worse_than_its_group(depth + 1, &state, bound) {
                continue;
            }
            self.dive(depth + 1, &state);
        }
    }

    /// Whether a face must not fill a slot beside what is chosen.
    fn forbidden(&self, state: &State, slot: usize, face: FaceId) -> bool {
        let chosen = |other: usize| state.faces[other];
        let network = self.question.network;
        network
            .differ
            .iter()
            .any(|(one, other)| (*one == slot && chosen(*other) == face) || (*other == slot && chosen(*one) == face))
            || network.quiet.iter().any(|(image, below)| {
                let below = if *below == slot {
                    face
                } else if *image == slot && chosen(*below) != OPEN {
                    chosen(*below)
                } else {
                    return false;
                };
                let view = &self.kept.index().face(below).view;
                view.material == Material::Patterned && view.pattern.busyness.millionths() > self.kept.quiet
            })
    }

    fn shown_with(&self, state: &State, slot: usize, face: FaceId) -> Faces {
        let mut shown = state.shown.clone();
        if let Some(panel) = self.question.network.slots[slot].panel
            && self.kept.index().face(face).class == Class::Patterned
        {
            shown.push((panel, face));
        }
        shown
    }

    /// The most a card with `face` in `slot` could score; `None` where that would not enter the list.
    fn bound(&mut self, depth: usize, state: &State, slot: usize, face: FaceId) -> Option<i64> {
        let ahead = self.pieces_ahead[depth + 1] + self.cards_ahead;
        let layout = self.question.layout;
        let shown = self.shown_with(state, slot, face);
        let shows = state.shows | shown_by(self.kept.must_show, &[face]);
        let all = (1_u64 << self.kept.must_show.len()) - 1;
        if (shows | self.shows_ahead[depth + 1]) & all != all {
            return None;
        }
        let (caps, mut sum) = self.with_pairs(state, slot, face);
        sum += self.means_ahead(depth + 1);
        let loose = self.gathered(&caps) + sum + ahead + (self.pieces_ahead[depth] - self.pieces_ahead[depth + 1]);
        if !self.best.could_enter(signed(loose) - self.question.cost, layout, &shown) {
            return None;
        }
        let slots = self.question.network.slots.len() as u64;
        let worths = self.kept.worths(&self.question.network.slots[slot], face, slots);
        sum += worths.first().map(|(_, worth)| *worth)?;
        let mut rows: Vec<(usize, Arc<Row>)> =
            state.pending.iter().filter(|(link, _)| !self.is_settled_by(*link, slot)).cloned().collect();
        rows.extend(self.rows_ahead(state, slot, face));
        let bound = signed(self.with_rows(&caps, &rows) + sum + ahead) - self.question.cost;
        self.best.could_enter(bound, layout, &shown).then_some(bound)
    }

    /// Whether choosing `slot` settles the other end of a link.
    fn is_settled_by(&self, link: usize, slot: usize) -> bool {
        let link = self.question.network.links[link];
        link.upper == slot || link.lower == slot
    }

    /// The caps and the known sum once `face` is in `slot`: every pair with a slot already filled.
    fn with_pairs(&mut self, state: &State, slot: usize, face: FaceId) -> (Vec<u32>, u64) {
        let mut caps = state.caps.clone();
        let mut sum = state.sum;
        let place = self.kept.index().face(face).place_in_class;
        for at in 0..self.question.network.links.len() {
            let link = self.question.network.links[at];
            let other = if link.upper == slot {
                link.lower
            } else if link.lower == slot {
                link.upper
            } else {
                continue;
            };
            if state.faces[other] == OPEN || self.is_silent(link.relation, state.faces[other], face) {
                sum += if state.faces[other] == OPEN { 0 } else { self.silent_means(link.relation) };
                continue;
            }
            let end = if link.upper == other { End::Upper } else { End::Lower };
            let class = self.kept.index().face(face).class;
            let row = self.kept.tables.row(link.relation, end, state.faces[other], class);
            let members = self.kept.tables.members.len();
            for member in 0..members {
                let worth = row.worths[place * members + member];
                sum += self.add_term(member, link.relation, worth, &mut caps[member]);
            }
        }
        (caps, sum)
    }

    /// Two papers that share a card are judged only where both are patterned.
    fn is_silent(&self, relation: Relation, one: FaceId, other: FaceId) -> bool {
        relation == Relation::SameCard
            && [one, other].iter().any(|face| self.kept.index().face(*face).class != Class::Patterned)
    }

    /// What the members that take the mean add for a pair nobody has an opinion of.
    fn silent_means(&self, relation: Relation) -> u64 {
        let members = self.kept.tables.members.iter().zip(&self.speaks);
        members
            .filter(|(member, _)| member.gather == Gather::Mean && member.range[place_of(relation)].is_some())
            .map(|(member, speaks)| member.share / (*speaks).max(1) * member.neutral / ONE)
            .sum()
    }

    /// Takes one member's opinion of one pair into account; gives what it adds to the sum.
    fn add_term(&self, member: usize, relation: Relation, worth: u32, cap: &mut u32) -> u64 {
        let of = &self.kept.tables.members[member];
        if of.range[place_of(relation)].is_none() {
            return 0;
        }
        match of.gather {
            Gather::Weakest => {
                if worth != NONE {
                    *cap = (*cap).min(worth);
                }
                0
            }
            Gather::Mean => {
                let worth = if worth == NONE { of.neutral } else { u64::from(worth) };
                of.share / self.speaks[member].max(1) * worth / ONE
            }
        }
    }

    /// The most that members taking the mean can add for links not yet known once slots up to
    /// `depth` are filled, and what those that never speak add.
    fn means_ahead(&self, depth: usize) -> u64 {
        let mut sum = 0;
        for (member, speaks) in self.kept.tables.members.iter().zip(&self.speaks) {
            if member.gather != Gather::Mean {
                continue;
            }
            if *speaks == 0 {
                sum += member.share * member.neutral / ONE;
                continue;
            }
            for link in &self.question.network.links {
                let open = self.depth_of[link.upper].max(self.depth_of[link.lower]) >= depth;
                if let Some(range) = member.range[place_of(link.relation)].filter(|_| open) {
                    sum += member.share / speaks * u64::from(range).max(member.neutral) / ONE;
                }
            }
        }
        sum
    }

    /// What the members that take the weakest pair add at these caps.
    fn gathered(&self, caps: &[u32]) -> u64 {
        let members = self.kept.tables.members.iter().zip(caps);
        members
            .filter(|(member, _)| member.gather == Gather::Weakest)
            .map(|(member, cap)| member.share * u64::from(*cap) / ONE)
            .sum()
    }

    /// The same, where rows say what the other ends of links can give at most.
    fn with_rows(&self, caps: &[u32], rows: &[(usize, Arc<Row>)]) -> u64 {
        let mut caps = caps.to_vec();
        for (link, row) in rows {
            let relation = place_of(self.question.network.links[*link].relation);
            for (member, cap) in caps.iter_mut().enumerate() {
                if self.kept.tables.members[member].range[relation].is_some() {
                    *cap = (*cap).min(row.best[member]);
                }
            }
        }
        let mut least = self.gathered(&caps);
        for (link, row) in rows {
            let relation = place_of(self.question.network.links[*link].relation);
            let others: u64 = self
                .kept
                .tables
                .members
                .iter()
                .zip(&caps)
                .filter(|(member, _)| member.gather == Gather::Weakest && member.range[relation].is_none())
                .map(|(member, cap)| member.share * u64::from(*cap) / ONE)
                .sum();
            least = least.min(row.best_together + others);
        }
        least
    }

    /// Rows of `face` for links whose other end is open and of one short class.
    fn rows_ahead(&mut self, state: &State, slot: usize, face: FaceId) -> Vec<(usize, Arc<Row>)> {
        let mut rows = Vec::new();
        for at in 0..self.question.network.links.len() {
            let link = self.question.network.links[at];
            let (other, end) = if link.upper == slot {
                (link.lower, End::Upper)
            } else if link.lower == slot {
                (link.upper, End::Lower)
            } else {
                continue;
            };
            let Some(class) = self.class[other] else { continue };
            if state.faces[other] != OPEN || self.kept.index().class(class).len() > SHORT_CLASS {
                continue;
            }
            if link.relation == Relation::SameCard && self.kept.index().face(face).class != Class::Patterned {
                continue;
            }
            rows.push((at, self.kept.tables.row(link.relation, end, face, class)));
        }
        rows
    }

    fn choose(&mut self, state: &State, slot: usize, face: FaceId, shown: Faces) -> State {
        let (caps, sum) = self.with_pairs(state, slot, face);
        let slots = self.question.network.slots.len() as u64;
        let worths = self.kept.worths(&self.question.network.slots[slot], face, slots);
        let mut pending: Vec<(usize, Arc<Row>)> =
            state.pending.iter().filter(|(link, _)| !self.is_settled_by(*link, slot)).cloned().collect();
        pending.extend(self.rows_ahead(state, slot, face));
        let mut faces = state.faces.clone();
        faces[slot] = face;
        State {
            faces,
            caps,
            sum: sum + worths.first().map_or(0, |(_, worth)| *worth),
            pending,
            shown,
            shows: state.shows | shown_by(self.kept.must_show, &[face]),
        }
    }

    /// Once all papers are chosen the group is known: whether even the bound is no better than the
    /// member that stands for it.
    fn worse_than_its_group(&self, depth: usize, state: &State, bound: i64) -> bool {
        let papers_open = self.order[depth..].iter().any(|slot| self.may_show(*slot));
        if papers_open {
            return false;
        }
        let Some(member) = self.best.member(self.question.layout, &state.shown) else { return false };
        if bound != member.score {
            return bound < member.score;
        }
        let ours = (self.question.changes.len(), self.question.changes);
        let theirs = (member.changes.len(), member.changes.as_slice());
        if ours != theirs {
            return ours > theirs;
        }
        let filled: Vec<FaceId> = self.order[..depth].iter().map(|slot| state.faces[*slot]).collect();
        filled.as_slice() > &member.filled[..depth]
    }

    fn may_show(&self, slot: usize) -> bool {
        let slot = &self.question.network.slots[slot];
        slot.panel.is_some() && slot.materials.contains(&Material::Patterned)
    }

    /// Every slot is filled: asks whether it can be cut, adds up the exact score, and offers it.
    fn arrive(&mut self, state: &State) {
        let network = self.question.network;
        let slots = network.slots.len() as u64;
        let worths: Vec<Arc<Worths>> =
            network.slots.iter().zip(&state.faces).map(|(slot, face)| self.kept.worths(slot, *face, slots)).collect();
        let lists: Vec<&Worths> = worths.iter().map(Arc::as_ref).collect();
        let best_pieces: u64 = lists.iter().filter_map(|list| list.first()).map(|(_, worth)| *worth).sum();
        let ceiling = self.exact_pairs(state) + state.sum + self.means_ahead(self.order.len()) + self.cards_ahead;
        let choice = match self.kept.supply.settle(network, &state.faces, &lists) {
            Supplied::Yes(choice) => choice,
            Supplied::No => return,
            Supplied::Unknown => {
                self.kept.leave_undecided(signed(ceiling) - self.question.cost, self.question.layout);
                return;
            }
        };
        let cards = self.card_terms(state, &choice.main);
        let total = ceiling - self.cards_ahead - best_pieces + choice.worth + cards;
        let filled = self.order.iter().map(|slot| state.faces[*slot]).collect();
        self.best.offer(Found {
            score: signed(total) - self.question.cost,
            layout: self.question.layout,
            faces: state.shown.clone(),
            changes: self.question.changes.to_vec(),
            filled,
            choice,
        });
    }

    /// What the members that take the weakest pair add, exactly: the neutral worth where none spoke.
    fn exact_pairs(&mut self, state: &State) -> u64 {
        let members = self.kept.tables.members.len();
        let mut weakest = vec![NONE; members];
        for at in 0..self.question.network.links.len() {
            let link = self.question.network.links[at];
            let (upper, lower) = (state.faces[link.upper], state.faces[link.lower]);
            if self.is_silent(link.relation, upper, lower) {
                continue;
            }
            let worths = self.kept.tables.pair(link.relation, upper, lower);
            for (weakest, worth) in weakest.iter_mut().zip(worths) {
                *weakest = (*weakest).min(worth);
            }
        }
        let members = self.kept.tables.members.iter().zip(weakest);
        members
            .filter(|(member, _)| member.gather == Gather::Weakest)
            .map(|(member, worth)| {
                let worth = if worth == NONE { member.neutral } else { u64::from(worth) };
                member.share * worth / ONE
            })
            .sum()
    }

    fn card_terms(&self, state: &State, main: &[StockId]) -> u64 {
        if self.kept.jury().cards().next().is_none() {
            return 0;
        }
        let network = self.question.network;
        let pieces = pieces_of(self.kept.index(), network, &state.faces, main);
        let relations: Vec<(Relation, usize, usize)> =
            network.links.iter().map(|link| (link.relation, link.upper, link.lower)).collect();
        let card = CardView::new(&pieces, &relations);
        self.kept.jury().cards().map(|member| member.share * u64::from(member.card(&card).millionths()) / ONE).sum()
    }
}

/// What scorers see of every slot's main piece.
#[must_use]
pub(super) fn pieces_of<'a>(
    index: &'a Index,
    network: &Network,
    faces: &[FaceId],
    main: &[StockId],
) -> Vec<PieceView<'a>> {
    network
        .slots
        .iter()
        .zip(faces.iter().zip(main))
        .map(|(slot, (face, stock))| piece_view(index, slot.role, &slot.needs[slot.main_need()], *face, *stock))
        .collect()
}

/// The order in which slots are filled: papers first, in the order of the panels, then the rest.
#[must_use]
pub(super) fn filling_order(network: &Network) -> Vec<usize> {
    let may_show = |slot: &usize| {
        let slot = &network.slots[*slot];
        slot.panel.is_some() && slot.materials.contains(&Material::Patterned)
    };
    let mut papers: Vec<usize> = (0..network.slots.len()).filter(may_show).collect();
    papers.sort_by_key(|slot| (network.slots[*slot].panel, *slot));
    let rest = (0..network.slots.len()).filter(|slot| !may_show(slot));
    papers.iter().copied().chain(rest).collect()
}

fn only_class(slot: &Slot) -> Option<Class> {
    let mut classes = slot.materials.iter().map(|material| class_of(*material));
    let first = classes.next()?;
    classes.all(|class| class == first).then_some(first)
}

/// Which of the things that must show are among `faces`, as bits.
fn shown_by(must_show: &MustShow, faces: &[FaceId]) -> u64 {
    must_show
        .iter()
        .enumerate()
        .filter(|(_, set)| faces.iter().any(|face| set.contains(face)))
        .fold(0, |bits, (place, _)| bits | 1 << place)
}

/// Which of the things that must show a slot could show, as bits.
fn could_show(kept: &Kept<'_>, slot: &Slot) -> u64 {
    let could = |face: &FaceId| could_be(kept.index(), slot, kept.index().face(*face));
    kept.must_show
        .iter()
        .enumerate()
        .filter(|(_, set)| set.iter().any(could))
        .fold(0, |bits, (place, _)| bits | 1 << place)
}

#[allow(clippy::cast_possible_wrap, reason = "a score is a few millionths, far below 2^63")]
fn signed(score: u64) -> i64 {
    score as i64
}

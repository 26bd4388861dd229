//! The exact search over one network: which faces fill its slots best.
//!
//! A depth-first branch and bound. Papers are chosen first, in the order of the panels, then the
//! base, then mats and all else. A choice is followed while the most it could still score would
//! enter the list; what it could score is bounded by the terms already known, by the rows of the
//! pair tables for slots joined to it, and by the scorers' own ranges for the rest. Members that take
//! the weakest pair are bounded by every pair, which is what makes one row a bound on the whole card.

use super::best::{Best, Faces, Found};
use super::front::Front;
use super::jury::{Jury, Member, ONE};
use super::tables::{End, NONE, RELATIONS, Row, Rows, Tables, place_of};
use crate::index::{Class, FaceId, Index, PieceNeed, StockId, class_of};
use crate::layout::Change;
use crate::matching::{Choice, Network, Slot, Supplied, Supply, Worths, could_be, domain, eligible};
use crate::stash::Facing;
use api::units::Size;
use api::{CardView, Gather, Material, PieceView, Relation, Role};
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

/// Rows are made ahead of a choice only for classes with at most so many faces.
const SHORT_CLASS: usize = 1_024;
/// One network may take this part of all work allowed.
const NETWORK_SHARE: u64 = 50;
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
    by_worth: HashMap<Role, Arc<ByWorth>>,
    best_pieces: HashMap<(Role, PieceNeed, Vec<Material>, Option<Facing>, u64), Option<u64>>,
    tight: HashMap<Structure, Vec<Option<i64>>>,
}

/// How large pieces are at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Largest {
    /// The blank of a card base.
    pub(super) base: Size,
    /// Any other piece, whichever way it lies.
    pub(super) other: Size,
}

/// All that a card's best score depends on if sizes and supply are of no account.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Structure {
    slots: Vec<(Role, Vec<Material>)>,
    order: Vec<usize>,
    links: Vec<(Relation, usize, usize)>,
    differ: Vec<(usize, usize)>,
    quiet: Vec<(usize, usize)>,
}

/// What pieces in one role can add to a score at most, whatever their size, if a card had but one.
#[derive(Debug)]
struct ByWorth {
    /// Every stock showing every face, the most first.
    stock: Vec<(u64, FaceId, StockId)>,
    /// The most for each face.
    of_face: Vec<u64>,
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
    /// The largest blank of a card base, and the longest and shortest side of any other piece.
    pub(super) largest: Largest,
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
        largest: Largest,
        warm: Store,
    ) -> Self {
        Self { tables, supply, must_show, quiet, largest, warm, work: 0, most_work, undecided: None }
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

    fn by_worth(&mut self, role: Role) -> Arc<ByWorth> {
        if let Some(kept) = self.warm.by_worth.get(&role) {
            return Arc::clone(kept);
        }
        let index = self.tables.index;
        let mut made = ByWorth { stock: Vec::new(), of_face: vec![0; index.faces.len()] };
        for (face, place) in index.faces.iter().zip(0..) {
            let face_id = FaceId(place);
            for stock in &face.stock {
                let line = index.stock(*stock);
                let size = if role == Role::Base { self.largest.base } else { self.largest.other };
                let (long, short) = (line.width.max(line.height), line.width.min(line.height));
                let size = Size::new(size.short().min(short), size.long().min(long));
                let piece = piece_view(index, role, &PieceNeed::Cut(size), face_id, *stock);
                let most =
                    |member: &Member| member.share * u64::from(member.piece_at_most(&piece).millionths()) / ONE + 1;
                let most = self.jury().pieces().map(most).sum();
                made.stock.push((most, face_id, *stock));
                let of_face = &mut made.of_face[face_id.place()];
                *of_face = (*of_face).max(most);
            }
        }
        made.stock.sort_unstable_by_key(|(most, face, stock)| (std::cmp::Reverse(*most), *face, *stock));
        let made = Arc::new(made);
        self.warm.by_worth.insert(role, Arc::clone(&made));
        made
    }

    /// The most a piece in a slot can add to the score of a card with `slots` slots, whatever its size.
    fn best_of_any_size(&mut self, slot: &Slot, slots: u64) -> u64 {
        let index = self.tables.index;
        let found = self
            .by_worth(slot.role)
            .stock
            .iter()
            .find(|(_, face, _)| slot.materials.contains(&index.face(*face).view.material))
            .map(|(most, _, _)| *most);
        found.unwrap_or(0) / slots + 1
    }

    /// The most a piece in a slot can add to the score of a card with `slots` slots; `None` where
    /// nothing could be in it.
    fn best_piece(&mut self, slot: &Slot, slots: u64) -> Option<u64> {
        let need = slot.needs[slot.main_need()];
        let key = (slot.role, need, slot.materials.clone(), slot.looks_out, slots);
        if let Some(kept) = self.warm.best_pieces.get(&key) {
            return *kept;
        }
        let index = self.tables.index;
        let by_worth = self.by_worth(slot.role);
        let mut best: Option<u64> = None;
        for (most, face, _) in &by_worth.stock {
            if best.is_some_and(|best| most / slots < best) {
                break;
            }
            if slot.materials.contains(&index.face(*face).view.material)
                && !eligible(index, &need, *face).is_empty()
                && let Some((_, worth)) = self.worths(slot, *face, slots).first()
            {
                best = best.max(Some(*worth));
            }
        }
        self.warm.best_pieces.insert(key, best);
        best
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
    role: Role,
    others: u64,
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
    /// What the pairs of this card can still be in the eyes of the members that take the weakest.
    front: Front,
    /// Patterned papers chosen for panels so far, in the order of the panels.
    shown: Faces,
    /// Which of the things that must show are shown.
    shows: u64,
}

/// Which sizes a search allows for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sizes {
    /// Any: for what a structure could be at best.
    Any,
    /// Those of the network.
    AsDrawn,
}

/// Searches one network and offers what it finds.
pub(super) struct Search<'s, 'a, 'n> {
    kept: &'s mut Kept<'a>,
    best: &'s mut Best,
    question: &'s Question<'n>,
    size: Sizes,
    /// The faces each slot could take in the sizes asked for, where that has been asked.
    on_hand: Vec<Option<Arc<Vec<FaceId>>>>,
    /// The work at which this network is left, so that one network cannot take it all.
    stop_at: u64,
    order: Vec<usize>,
    depth_of: Vec<usize>,
    /// For each pair member, the links it speaks about.
    speaks: Vec<u64>,
    /// For each depth, the most that the pieces from there on can add.
    pieces_ahead: Vec<u64>,
    /// For each slot, the most that its piece can add, whatever its size.
    any_size: Vec<u64>,
    /// For each slot, the most that the pieces in all others can add, whatever their size.
    others: Vec<u64>,
    /// For each slot, how much of that they cannot have at the sizes drawn.
    slack: Vec<u64>,
    /// What the members that judge the card can add at most.
    cards_ahead: u64,
    /// For each depth, which of the things that must show could be shown from there on.
    shows_ahead: Vec<u64>,
    /// For each slot, the class of its faces where they are of one class.
    class: Vec<Option<Class>>,
    /// The shares of the members that take the weakest pair, in the order of the front.
    shares: Vec<u64>,
}

impl<'s, 'a, 'n> Search<'s, 'a, 'n> {
    /// Prepares a search.
    #[must_use]
    pub(super) fn new(kept: &'s mut Kept<'a>, best: &'s mut Best, question: &'s Question<'n>, size: Sizes) -> Self {
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
        let any_size: Vec<u64> = network.slots.iter().map(|slot| kept.best_of_any_size(slot, slots as u64)).collect();
        let sized: Vec<u64> = match size {
            Sizes::Any => any_size.clone(),
            Sizes::AsDrawn => {
                network.slots.iter().map(|slot| kept.best_piece(slot, slots as u64).unwrap_or(0)).collect()
            }
        };
        let all = |list: &[u64]| list.iter().sum::<u64>();
        let pieces_ahead = (0..=slots).map(|depth| order[depth..].iter().map(|slot| sized[*slot]).sum()).collect();
        let others = any_size.iter().map(|own| all(&any_size) - own).collect();
        // What the ranking allows the other slots beyond what they can have at these sizes.
        let slack = sized
            .iter()
            .zip(&any_size)
            .map(|(sized_own, any_own)| (all(&any_size) - any_own).saturating_sub(all(&sized) - sized_own))
            .collect();
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
        let tables = &kept.tables;
        let shares = tables.weakest.iter().map(|member| tables.members[*member].share).collect();
        let stop_at = kept.work.saturating_add(kept.most_work / NETWORK_SHARE);
        Self {
            kept,
            best,
            question,
            size,
            on_hand: vec![None; slots],
            stop_at,
            order,
            depth_of,
            speaks,
            pieces_ahead,
            any_size,
            others,
            slack,
            cards_ahead,
            shows_ahead,
            class,
            shares,
        }
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

    fn opening(&mut self) -> State {
        let members = self.kept.tables.members.len();
        let mut front = Front::open(self.kept.tables.weakest.len());
        for link in &self.question.network.links {
            // Two papers that share a card are judged only where both are patterned, which slots that
            // take other things too may not come to.
            if let (Some(upper), Some(lower)) = (self.class[link.upper], self.class[link.lower]) {
                front.and(&self.kept.tables.front(link.relation, upper, lower));
            }
        }
        State {
            faces: vec![OPEN; self.question.network.slots.len()],
            caps: (0..members).map(|member| self.opening_cap(member)).collect(),
            sum: 0,
            front,
            shown: Vec::new(),
            shows: 0,
        }
    }

    /// The most that any card of this structure could score before its changes are paid for,
    /// whatever the sizes and whatever is on hand of each paper.
    #[must_use]
    pub(super) fn ceiling(mut self) -> i64 {
        self.ranked(self.order[0]).first().map_or(i64::MIN, |(most, _)| *most)
    }

    /// The most that a card of this structure could score with `face` in the slot filled first.
    fn tight(&mut self, face: FaceId) -> i64 {
        let network = self.question.network;
        let key = Structure {
            slots: network.slots.iter().map(|slot| (slot.role, slot.materials.clone())).collect(),
            order: self.order.clone(),
            links: network.links.iter().map(|link| (link.relation, link.upper, link.lower)).collect(),
            differ: network.differ.clone(),
            quiet: network.quiet.clone(),
        };
        let faces = self.kept.index().faces.len();
        let known = self.kept.warm.tight.entry(key.clone()).or_insert_with(|| vec![None; faces]);
        if let Some(known) = known[face.place()] {
            return known;
        }
        let opening = self.opening();
        let slot = self.order[0];
        let shown = self.shown_with(&opening, slot, face);
        let size = std::mem::replace(&mut self.size, Sizes::Any);
        let mut state = self.choose(&opening, slot, face, shown);
        state.front = self.forward(1, &state);
        let mut most = self.still_possible(1, &state);
        if self.order.get(1).is_some_and(|next| self.may_show(*next)) {
            most = most.min(self.with_a_second(&state));
        }
        self.size = size;
        self.kept.warm.tight.get_mut(&key).expect("entered above")[face.place()] = Some(most);
        most
    }

    /// The most a card could still score once `depth` slots are filled, whatever the sizes.
    fn still_possible(&self, depth: usize, state: &State) -> i64 {
        let ahead: u64 = self.order[depth..].iter().map(|slot| self.any_size[*slot]).sum();
        signed(
            self.gathered(&state.caps, &state.front) + state.sum + ahead + self.cards_ahead + self.means_ahead(depth),
        )
    }

    /// The same with each paper that could be in the second slot, the best of them.
    fn with_a_second(&mut self, state: &State) -> i64 {
        let slot = self.order[1];
        let mut most = i64::MIN;
        for (bound, face) in self.ranked(slot).iter().copied() {
            if bound <= most {
                break;
            }
            if self.forbidden(state, slot, face) {
                continue;
            }
            let shown = self.shown_with(state, slot, face);
            let mut next = self.choose(state, slot, face, shown);
            if self.still_possible(2, &next).min(bound) <= most {
                continue;
            }
            next.front = self.forward(2, &next);
            most = most.max(self.still_possible(2, &next).min(bound));
        }
        most
    }

    /// The front once every open slot is asked what it could give beside those already filled: each
    /// of its faces must suit all of them at once.
    fn forward(&mut self, depth: usize, state: &State) -> Front {
        let mut front = state.front.clone();
        let members = self.kept.tables.members.len();
        let weakest = self.kept.tables.weakest.clone();
        for at in depth..self.order.len() {
            let slot = self.order[at];
            let mut filled: Vec<Arc<Row>> = Vec::new();
            let mut open: Vec<(Relation, End, Class)> = Vec::new();
            let Some(class) = self.class[slot] else { continue };
            for link in &self.question.network.links {
                let (other, end) = if link.upper == slot {
                    (link.lower, End::Lower)
                } else if link.lower == slot {
                    (link.upper, End::Upper)
                } else {
                    continue;
                };
                let face = state.faces[other];
                let patterned = |face: FaceId| self.kept.index().face(face).class == Class::Patterned;
                if face != OPEN {
                    let silent = link.relation == Relation::SameCard && !(patterned(face) && class == Class::Patterned);
                    if !silent {
                        filled.push(self.kept.tables.row(link.relation, end, face, class));
                    }
                } else if let Some(other) = self.class[other]
                    && self.kept.index().class(other).len() <= SHORT_CLASS
                {
                    let own = if end == End::Lower { End::Upper } else { End::Lower };
                    open.push((link.relation, own, other));
                }
            }
            if filled.is_empty() {
                continue;
            }
            let mut could = Front::empty(weakest.len());
            let mut worths = vec![0; weakest.len()];
            for face in self.on_hand(slot).iter() {
                if self.forbidden(state, slot, *face) {
                    continue;
                }
                self.kept.work += 1;
                let place = self.kept.index().face(*face).place_in_class;
                worths.fill(1_000_000);
                for row in &filled {
                    for (worth, member) in worths.iter_mut().zip(&weakest) {
                        *worth = (*worth).min(row.worths[place * members + member]);
                    }
                }
                for (relation, end, class) in &open {
                    let row = self.kept.tables.row(*relation, *end, *face, *class);
                    for (worth, best) in worths.iter_mut().zip(&row.best) {
                        *worth = (*worth).min(*best);
                    }
                }
                could.add(&worths);
            }
            could.settle();
            front.and(&could);
        }
        front
    }

    /// Every face a slot could take whatever its size, with the most that a card could score that
    /// has it there; the highest first, then in the order of ids.
    fn ranked(&mut self, slot: usize) -> Arc<Ranked> {
        let key = self.signature(slot);
        if let Some(kept) = self.kept.warm.ranked.get(&key) {
            return Arc::clone(kept);
        }
        let opening = self.opening();
        let fixed = self.others[slot] + self.cards_ahead + self.means_ahead(0);
        let by_worth = self.kept.by_worth(key.role);
        let slots = self.question.network.slots.len() as u64;
        let mut ranked = Ranked::new();
        let mut classes: Vec<Class> = key.materials.iter().map(|material| class_of(*material)).collect();
        classes.sort_unstable();
        classes.dedup();
        for class in classes {
            for face in self.kept.index().class(class) {
                if !key.materials.contains(&self.kept.index().face(*face).view.material) {
                    continue;
                }
                let front = self.front_with(&opening, slot, *face);
                let own = by_worth.of_face[face.place()] / slots + 1;
                ranked.push((signed(self.gathered(&opening.caps, &front) + fixed + own), *face));
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
            role: network.slots[slot].role,
            others: self.others[slot],
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
            let most = most - signed(self.slack[slot]);
            if !self.best.could_enter(most - self.question.cost, self.question.layout, &state.shown) {
                break;
            }
            self.kept.work += 1;
            if self.forbidden(state, slot, face) || !self.has_size(slot, face) {
                continue;
            }
            if depth == 0 && self.size == Sizes::AsDrawn {
                let tight = self.tight(face).saturating_sub(self.question.cost);
                if !self.best.could_enter(tight, self.question.layout, &state.shown) {
                    continue;
                }
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
            if self.kept.is_spent() || self.kept.work >= self.stop_at {
                self.kept.leave_undecided(bound, self.question.layout);
                return;
            }
            let mut state = self.choose(state, slot, face, faces);
            state.front = self.forward(depth + 1, &state);
            let ahead = self.pieces_ahead[depth + 1] + self.cards_ahead + self.means_ahead(depth + 1);
            let most = self.gathered(&state.caps, &state.front) + state.sum + ahead;
            let bound = bound.min(signed(most) - self.question.cost);
            if !self.best.could_enter(bound, self.question.layout, &state.shown)
                || self.worse_than_its_group(depth + 1, &state, bound)
            {
                continue;
            }
            self.dive(depth + 1, &state);
        }
    }

    /// The faces a slot could take, in the sizes asked for.
    fn on_hand(&mut self, slot: usize) -> Arc<Vec<FaceId>> {
        if let Some(known) = &self.on_hand[slot] {
            return Arc::clone(known);
        }
        let ranked = self.ranked(slot);
        let faces = ranked.iter().map(|(_, face)| *face).filter(|face| self.has_size(slot, *face)).collect();
        let faces = Arc::new(faces);
        if self.size == Sizes::AsDrawn {
            self.on_hand[slot] = Some(Arc::clone(&faces));
        }
        faces
    }

    /// Whether a face is on hand in the sizes asked for.
    fn has_size(&self, slot: usize, face: FaceId) -> bool {
        let index = self.kept.index();
        self.size == Sizes::Any || could_be(index, &self.question.network.slots[slot], index.face(face))
    }

    /// What the piece in a slot adds at most if it shows `face`; `None` where it cannot be had.
    fn own_piece(&mut self, slot: usize, face: FaceId) -> Option<u64> {
        let of = &self.question.network.slots[slot];
        let slots = self.question.network.slots.len() as u64;
        match self.size {
            Sizes::Any => Some(self.kept.by_worth(of.role).of_face[face.place()] / slots + 1),
            Sizes::AsDrawn => self.kept.worths(of, face, slots).first().map(|(_, worth)| *worth),
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
        if self.size == Sizes::AsDrawn && (shows | self.shows_ahead[depth + 1]) & all != all {
            return None;
        }
        let slots = self.question.network.slots.len() as u64;
        let own = self.kept.by_worth(self.question.network.slots[slot].role).of_face[face.place()] / slots + 1;
        let (caps, mut sum) = self.with_pairs(state, slot, face);
        sum += self.means_ahead(depth + 1);
        let loose = self.gathered(&caps, &state.front) + sum + ahead + own;
        if !self.best.could_enter(signed(loose) - self.question.cost, layout, &shown) {
            return None;
        }
        sum += self.own_piece(slot, face)?;
        let front = self.front_with(state, slot, face);
        let bound = signed(self.gathered(&caps, &front) + sum + ahead) - self.question.cost;
        self.best.could_enter(bound, layout, &shown).then_some(bound)
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

    /// The most that the members taking the weakest pair can add, at these caps and with this front.
    fn gathered(&self, caps: &[u32], front: &Front) -> u64 {
        let tables = &self.kept.tables;
        let caps: Vec<u32> = tables.weakest.iter().map(|member| caps[*member]).collect();
        front.most(&self.shares, &caps)
    }

    /// The front once `face` is in `slot`: its rows for links whose other end is open and of one
    /// short class.
    fn front_with(&mut self, state: &State, slot: usize, face: FaceId) -> Front {
        let mut front = state.front.clone();
        for link in &self.question.network.links {
            let (other, end) = if link.upper == slot {
                (link.lower, End::Upper)
            } else if link.lower == slot {
                (link.upper, End::Lower)
            } else {
                continue;
            };
            let Some(class) = self.class[other] else { continue };
            let long = self.kept.index().class(class).len() > SHORT_CLASS;
            let silent = link.relation == Relation::SameCard && self.kept.index().face(face).class != Class::Patterned;
            if state.faces[other] == OPEN && !long && !silent {
                front.and(&self.kept.tables.row(link.relation, end, face, class).front);
            }
        }
        front
    }

    fn choose(&mut self, state: &State, slot: usize, face: FaceId, shown: Faces) -> State {
        let (caps, sum) = self.with_pairs(state, slot, face);
        let own = self.own_piece(slot, face).unwrap_or(0);
        let front = self.front_with(state, slot, face);
        let mut faces = state.faces.clone();
        faces[slot] = face;
        State { faces, caps, sum: sum + own, front, shown, shows: state.shows | shown_by(self.kept.must_show, &[face]) }
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
        self.best.offer(self.found(state, signed(total) - self.question.cost, choice));
    }

    fn found(&self, state: &State, score: i64, choice: Choice) -> Found {
        Found {
            score,
            layout: self.question.layout,
            faces: state.shown.clone(),
            changes: self.question.changes.to_vec(),
            filled: self.order.iter().map(|slot| state.faces[*slot]).collect(),
            choice,
        }
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

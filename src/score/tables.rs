//! What the jury thinks of pairs of faces, kept row by row.
//!
//! A row holds one face against every face of a class in one relation. Rows are made when first
//! needed; what they hold depends on nothing but the faces, so they serve every layout.

use super::front::Front;
use super::jury::Jury;
use crate::index::{CLASSES, Class, FaceId, Index};
use api::{Gather, Relation};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Marks "no opinion" among worths in millionths.
pub(super) const NONE: u32 = u32::MAX;
/// The most numbers kept in rows before the long ones are dropped: 100 MB of them.
const MOST_KEPT: usize = 25_000_000;
/// The most pairs looked at to know what two classes can give one another.
const MOST_PAIRS: usize = 5_000_000;
/// The relations pairs are judged in.
pub(super) const RELATIONS: [Relation; 3] = [Relation::MatBehind, Relation::Touching, Relation::SameCard];

/// Where in a pair the row's own face is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// On top.
    Upper,
    /// Beneath.
    Lower,
}

/// One face against all of a class.
#[derive(Debug)]
pub(super) struct Row {
    /// For each face of the class, one worth in millionths (or [`NONE`]) for each pair member.
    pub worths: Vec<u32>,
    /// The best that each of the members that take the weakest pair finds in the row.
    pub(super) best: Vec<u32>,
    /// What the members that take the weakest pair find in the row.
    pub(super) front: Front,
}

/// A member that judges pairs, with what the tables need of it.
pub(super) struct PairMember {
    /// Its place in the jury.
    pub member: usize,
    /// Its share, in millionths.
    pub share: u64,
    /// How it gathers.
    pub gather: Gather,
    /// The highest worth in each of [`RELATIONS`]; `None` where it is never asked.
    pub range: [Option<u32>; 3],
    /// What it is worth without an opinion.
    pub neutral: u64,
}

/// All rows made so far.
pub(super) struct Tables<'a> {
    /// The index whose faces are judged.
    pub index: &'a Index,
    /// The jury that judges them.
    pub jury: &'a Jury,
    /// The members that judge pairs.
    pub members: Vec<PairMember>,
    /// Which of them take the weakest pair, the one with the largest share first.
    pub(super) weakest: Vec<usize>,
    rows: Rows,
    /// How many pairs were judged: the measure of work.
    pub judged: u64,
}

/// Rows by relation, end and class, then by the face they are of.
#[derive(Debug, Default)]
pub(super) struct Rows {
    lists: Vec<Vec<Option<Arc<Row>>>>,
    fronts: BTreeMap<(usize, usize, usize), Arc<Front>>,
    numbers: usize,
}

impl Rows {
    /// These rows, if they were made for as many faces as there are; else none.
    fn fitting(rows: Self, index: &Index) -> Self {
        if rows.lists.first().is_some_and(|list| list.len() == index.faces.len()) {
            return rows;
        }
        let lists = (0..RELATIONS.len() * 2 * CLASSES).map(|_| vec![None; index.faces.len()]).collect();
        Self { lists, fronts: BTreeMap::new(), numbers: 0 }
    }

    fn keep(&mut self, list: usize, face: FaceId, row: Arc<Row>) {
        if self.numbers + row.worths.len() > MOST_KEPT {
            self.lists.iter_mut().flatten().for_each(|row| *row = None);
            self.numbers = 0;
        }
        self.numbers += row.worths.len();
        self.lists[list][face.place()] = Some(row);
    }
}

/// The place of a relation in [`RELATIONS`].
#[must_use]
pub(super) fn place_of(relation: Relation) -> usize {
    match relation {
        Relation::MatBehind => 0,
        Relation::Touching => 1,
        _ => 2,
    }
}

impl<'a> Tables<'a> {
    /// Tables that begin with rows made earlier, for the same index and jury.
    #[must_use]
    pub(super) fn new(index: &'a Index, jury: &'a Jury, rows: Rows) -> Self {
        let members: Vec<PairMember> = jury
            .members
            .iter()
            .enumerate()
            .filter_map(|(place, member)| {
                let super::jury::Family::Pair(gather) = member.family else { return None };
                let range = RELATIONS.map(|relation| member.pair_range(relation).map(api::Worth::millionths));
                Some(PairMember { member: place, share: member.share, gather, range, neutral: member.neutral() })
            })
            .collect();
        let mut weakest: Vec<usize> = (0..members.len()).filter(|m| members[*m].gather == Gather::Weakest).collect();
        weakest.sort_by_key(|member| (std::cmp::Reverse(members[*member].share), *member));
        Self { index, jury, members, weakest, rows: Rows::fitting(rows, index), judged: 0 }
    }

    /// The row of `face`, at `end` of a pair in `relation`, against every face of `class`.
    pub(super) fn row(&mut self, relation: Relation, end: End, face: FaceId, class: Class) -> Arc<Row> {
        let list = (place_of(relation) * 2 + end as usize) * CLASSES + class as usize;
        if let Some(row) = &self.rows.lists[list][face.place()] {
            return Arc::clone(row);
        }
        let row = Arc::new(self.make(relation, end, face, class));
        self.rows.keep(list, face, Arc::clone(&row));
        row
    }

    /// The rows made, to begin the next tables with.
    pub(super) fn into_rows(self) -> Rows {
        self.rows
    }

    fn make(&mut self, relation: Relation, end: End, face: FaceId, class: Class) -> Row {
        let own = &self.index.face(face).view;
        let others = self.index.class(class);
        let place = place_of(relation);
        let mut worths = Vec::with_capacity(others.len() * self.members.len());
        let mut front = Front::empty(self.weakest.len());
        let mut counted = vec![1_000_000; self.weakest.len()];
        let mut best = vec![0; self.weakest.len()];
        for other in others {
            let view = &self.index.face(*other).view;
            let (upper, lower) = if end == End::Upper { (own, view) } else { (view, own) };
            let from = worths.len();
            for member in &self.members {
                let asked = member.range[place].is_some();
                let worth = asked.then(|| self.jury.members[member.member].pair(relation, upper, lower)).flatten();
                worths.push(worth.map_or(NONE, api::Worth::millionths));
            }
            for (counted, member) in counted.iter_mut().zip(&self.weakest) {
                // No opinion holds nobody back.
                *counted = worths[from + *member].min(1_000_000);
            }
            front.add(&counted);
            for (best, counted) in best.iter_mut().zip(&counted) {
                *best = (*best).max(*counted);
            }
        }
        front.settle();
        self.judged += others.len() as u64;
        Row { worths, best, front }
    }

    /// What the members that take the weakest pair find among all pairs of two classes; everything
    /// is possible where there are too many pairs to look at.
    pub(super) fn front(&mut self, relation: Relation, upper: Class, lower: Class) -> Arc<Front> {
        let key = (place_of(relation), upper as usize, lower as usize);
        if let Some(kept) = self.rows.fronts.get(&key) {
            return Arc::clone(kept);
        }
        let (uppers, lowers) = (self.index.class(upper), self.index.class(lower));
        let mut front = Front::open(self.weakest.len());
        if uppers.len() * lowers.len() <= MOST_PAIRS {
            front = Front::empty(self.weakest.len());
            for face in uppers {
                front.or(&self.row(relation, End::Upper, *face, lower).front);
            }
        }
        let front = Arc::new(front);
        self.rows.fronts.insert(key, Arc::clone(&front));
        front
    }

    /// The worths of one pair, one for each pair member.
    pub(super) fn pair(&mut self, relation: Relation, upper: FaceId, lower: FaceId) -> Vec<u32> {
        let other = self.index.face(lower);
        let (class, place) = (other.class, other.place_in_class);
        let members = self.members.len();
        let row = self.row(relation, End::Upper, upper, class);
        row.worths[place * members..(place + 1) * members].to_vec()
    }
}

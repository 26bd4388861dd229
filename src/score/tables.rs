//! What the jury thinks of pairs of faces, kept row by row.
//!
//! A row holds one face against every face of a class in one relation. Rows are made when first
//! needed; what they hold depends on nothing but the faces, so they serve every layout.

use super::jury::{Jury, ONE};
use crate::index::{CLASSES, Class, FaceId, Index};
use api::{Gather, Relation};
use std::sync::Arc;

/// Marks "no opinion" among worths in millionths.
pub(super) const NONE: u32 = u32::MAX;
/// The most numbers kept in rows before the long ones are dropped: 100 MB of them.
const MOST_KEPT: usize = 25_000_000;
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
    /// For each pair member the highest worth in the row; no opinion counts as one.
    pub best: Vec<u32>,
    /// The most that one face of the class adds to the score through the members that take the
    /// weakest pair and speak in this relation, in millionths.
    pub best_together: u64,
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
    rows: Rows,
    /// How many pairs were judged: the measure of work.
    pub judged: u64,
}

/// Rows by relation, end and class, then by the face they are of.
#[derive(Debug, Default)]
pub(super) struct Rows {
    lists: Vec<Vec<Option<Arc<Row>>>>,
    numbers: usize,
}

impl Rows {
    /// These rows, if they were made for as many faces as there are; else none.
    fn fitting(rows: Self, index: &Index) -> Self {
        if rows.lists.first().is_some_and(|list| list.len() == index.faces.len()) {
            return rows;
        }
        let lists = (0..RELATIONS.len() * 2 * CLASSES).map(|_| vec![None; index.faces.len()]).collect();
        Self { lists, numbers: 0 }
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
        let members = jury
            .members
            .iter()
            .enumerate()
            .filter_map(|(place, member)| {
                let super::jury::Family::Pair(gather) = member.family else { return None };
                let range = RELATIONS.map(|relation| member.pair_range(relation).map(api::Worth::millionths));
                Some(PairMember { member: place, share: member.share, gather, range, neutral: member.neutral() })
            })
            .collect();
        Self { index, jury, members, rows: Rows::fitting(rows, index), judged: 0 }
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
        let mut row = Row {
            worths: Vec::with_capacity(others.len() * self.members.len()),
            best: vec![0; self.members.len()],
            best_together: 0,
        };
        for other in others {
            let view = &self.index.face(*other).view;
            let (upper, lower) = if end == End::Upper { (own, view) } else { (view, own) };
            let mut together = 0;
            for (member, best) in self.members.iter().zip(&mut row.best) {
                let worth = if member.range[place].is_some() {
                    self.jury.members[member.member].pair(relation, upper, lower).map_or(NONE, api::Worth::millionths)
                } else {
                    NONE
                };
                row.worths.push(worth);
                let counted = if worth == NONE { 1_000_000 } else { worth };
                *best = (*best).max(counted);
                if member.gather == Gather::Weakest && member.range[place].is_some() {
                    together += member.share * u64::from(counted) / ONE;
                }
            }
            row.best_together = row.best_together.max(together);
        }
        self.judged += others.len() as u64;
        row
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

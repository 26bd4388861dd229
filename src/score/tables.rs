//! What the jury thinks of pairs of faces, kept row by row.
//!
//! A row holds one face against every face of a class in one relation. Rows are made when first
//! needed; what they hold depends on nothing but the faces, so they serve every layout.

use super::jury::{Jury, RELATIONS};
use super::labels::SILENT;
use crate::index::{CLASSES, Class, FaceId, Index};
use crate::matching::Slot;
use api::{Gather, Material, Relation, Role, Worth};
use std::sync::Arc;

/// Marks "no opinion" among worths in millionths.
pub(super) const NONE: u32 = u32::MAX;
/// The most bytes kept in rows before all are dropped.
const MOST_KEPT: usize = 100_000_000;
/// Where in a pair a face is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// On top.
    Upper,
    /// Beneath.
    Lower,
}

impl End {
    /// The other one.
    pub(super) const fn other(self) -> Self {
        match self {
            Self::Upper => Self::Lower,
            Self::Lower => Self::Upper,
        }
    }
}

/// One face against all of a class.
#[derive(Debug)]
pub(super) struct Row {
    /// For each face of the class, what the members that take the weakest pair add together by this one,
    /// in millionths of the score, or [`SILENT`].
    levels: Vec<u32>,
    /// For each face of the class, a worth in millionths (or [`NONE`]) for each member that takes
    /// the mean.
    means: Vec<u32>,
    averaging: usize,
    /// The highest of the levels.
    pub(super) best: u32,
}

impl Row {
    /// What the pair with the face at `place` of the class adds, or [`SILENT`].
    pub(super) fn level(&self, place: usize) -> u32 {
        self.levels[place]
    }

    /// The worths of that pair for the members that take the mean.
    pub(super) fn means(&self, place: usize) -> &[u32] {
        &self.means[place * self.averaging..(place + 1) * self.averaging]
    }

    fn bytes(&self) -> usize {
        (self.levels.len() + self.means.len()) * 4
    }
}

/// A member that judges pairs and takes their mean, with what the tables need of it.
pub(super) struct PairMember {
    /// Its place in the jury.
    member: usize,
    /// Its share, in millionths.
    pub(super) share: u64,
    /// The highest worth in each of [`RELATIONS`]; `None` where it is never asked.
    pub(super) range: [Option<u32>; 3],
    /// What it is worth without an opinion.
    pub(super) neutral: u64,
}

/// The roles a paper can have.
pub(super) const ROLES: [Role; 8] =
    [Role::Base, Role::Background, Role::Band, Role::Feature, Role::Focal, Role::Sentiment, Role::Mat, Role::Part];

/// What the members that judge papers in their roles add together by every face in one role.
#[derive(Debug)]
pub(super) struct RoleRow {
    /// For each face, what they add, or [`SILENT`].
    levels: Vec<u32>,
    /// For each class, the highest of the levels of its faces.
    best: [u32; CLASSES],
    /// Whether they have an opinion on any face.
    speaks: bool,
}

impl RoleRow {
    /// What a face adds, or [`SILENT`].
    pub(super) fn level(&self, face: FaceId) -> u32 {
        self.levels.get(face.place()).copied().unwrap_or(SILENT)
    }
}

/// All rows made so far.
pub(super) struct Tables<'a> {
    /// The index whose faces are judged.
    pub(super) index: &'a Index,
    /// The jury that judges them.
    pub(super) jury: &'a Jury,
    /// The members that take the mean.
    pub(super) averaging: Vec<PairMember>,
    rows: Rows,
    /// How many pairs were judged: part of the measure of work.
    pub(super) judged: u64,
}

/// Rows by relation, end and class, then by the face they are of.
#[derive(Clone, Debug, Default)]
pub(super) struct Rows {
    lists: Vec<Vec<Option<Arc<Row>>>>,
    roles: Vec<Arc<RoleRow>>,
    bytes: usize,
}

impl Rows {
    /// These rows, if they were made for as many faces as there are; else none.
    fn fitting(rows: Self, index: &Index) -> Self {
        if rows.lists.first().is_some_and(|list| list.len() == index.faces.len()) {
            return rows;
        }
        let lists = (0..RELATIONS.len() * 2 * CLASSES).map(|_| vec![None; index.faces.len()]).collect();
        Self { lists, roles: Vec::new(), bytes: 0 }
    }

    fn keep(&mut self, list: usize, face: FaceId, row: Arc<Row>) {
        if self.bytes + row.bytes() > MOST_KEPT {
            self.lists.iter_mut().flatten().for_each(|row| *row = None);
            self.bytes = 0;
        }
        self.bytes += row.bytes();
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
        let averaging = |(place, member): (usize, &super::Member)| {
            let range = RELATIONS.map(|relation| member.pair_range(relation).map(Worth::millionths));
            let made = PairMember { member: place, share: member.share, range, neutral: member.neutral() };
            (member.family == super::jury::Family::Pair(Gather::Mean)).then_some(made)
        };
        let averaging = jury.members.iter().enumerate().filter_map(averaging).collect();
        let mut tables = Self { index, jury, averaging, rows: Rows::fitting(rows, index), judged: 0 };
        if tables.rows.roles.is_empty() && jury.in_roles().next().is_some() {
            tables.rows.roles = ROLES.map(|role| Arc::new(tables.make_role(role))).into_iter().collect();
        }
        tables
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

    /// What is thought of every face in a role; `None` where nobody judges papers in their roles.
    pub(super) fn in_role(&self, role: Role) -> Option<&Arc<RoleRow>> {
        self.rows.roles.get(ROLES.iter().position(|one| *one == role)?)
    }

    /// The most that a paper of these classes can add in a role, or [`SILENT`].
    pub(super) fn best_in_role(&self, role: Role, classes: &[Class]) -> u32 {
        let row = self.in_role(role);
        let best = row.and_then(|row| classes.iter().map(|class| row.best[*class as usize]).max());
        best.unwrap_or(SILENT)
    }

    /// Whether anyone may have an opinion on a paper in a role.
    pub(super) fn speaks_in(&self, role: Role) -> bool {
        self.in_role(role).is_some_and(|row| row.speaks)
    }

    /// Whether any member that takes the weakest may have an opinion on what two slots meet with.
    pub(super) fn may_speak(&self, relation: Relation, upper: &Slot, lower: &Slot) -> bool {
        let on = |member: &super::Member, upper: &Material| {
            lower.materials.iter().any(|lower| member.scorer.speaks_of(relation, *upper, *lower))
        };
        self.jury.weakest_in(relation).any(|member| upper.materials.iter().any(|upper| on(member, upper)))
    }

    fn make_role(&mut self, role: Role) -> RoleRow {
        let of = |face: FaceId| {
            let together = self.jury.together_in_role(&self.index.face(face).view, role);
            together.and_then(|adds| u32::try_from(adds).ok()).unwrap_or(SILENT)
        };
        let levels: Vec<u32> = (0..).map(FaceId).take(self.index.faces.len()).map(of).collect();
        let mut best = [0; CLASSES];
        for (face, level) in self.index.faces.iter().zip(&levels) {
            let best = &mut best[face.class as usize];
            *best = (*best).max(*level);
        }
        self.judged += levels.len() as u64;
        RoleRow { speaks: levels.iter().any(|level| *level != SILENT), levels, best }
    }

    /// The rows made, to begin the next tables with.
    pub(super) fn into_rows(self) -> Rows {
        self.rows
    }

    fn make(&mut self, relation: Relation, end: End, face: FaceId, class: Class) -> Row {
        let others = self.index.class(class);
        let mut row = Row {
            levels: Vec::with_capacity(others.len()),
            means: Vec::with_capacity(others.len() * self.averaging.len()),
            averaging: self.averaging.len(),
            best: 0,
        };
        for other in others {
            let (upper, lower) = if end == End::Upper { (face, *other) } else { (*other, face) };
            let level = self.level(relation, upper, lower);
            row.levels.push(level);
            row.best = row.best.max(level);
            for member in &self.averaging {
                row.means.push(self.opinion(member, relation, upper, lower).map_or(NONE, Worth::millionths));
            }
        }
        self.judged += others.len() as u64;
        row
    }

    fn level(&self, relation: Relation, upper: FaceId, lower: FaceId) -> u32 {
        let view = |face| &self.index.face(face).view;
        let together = self.jury.together(relation, view(upper), view(lower));
        together.and_then(|adds| u32::try_from(adds).ok()).unwrap_or(SILENT)
    }

    /// What a member thinks of a pair; `None` where it is not asked or has no opinion.
    fn opinion(&self, member: &PairMember, relation: Relation, upper: FaceId, lower: FaceId) -> Option<Worth> {
        member.range[place_of(relation)]?;
        let view = |face| &self.index.face(face).view;
        self.jury.members[member.member].pair(relation, view(upper), view(lower))
    }
}

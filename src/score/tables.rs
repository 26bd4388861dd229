//! What the jury thinks of pairs of faces, kept row by row.
//!
//! A row holds one face against every face of a class in one relation. Rows are made when first
//! needed; what they hold depends on nothing but the faces, so they serve every layout.

use super::jury::{Family, Jury};
use super::labels::{FOLLOWED, Levels, OPENING, SILENT, STEP};
use crate::index::{CLASSES, Class, FaceId, Index};
use crate::matching::Slot;
use api::{Gather, Material, Relation, Role, Worth};
use std::sync::Arc;

/// Marks "no opinion" among worths in millionths.
pub(super) const NONE: u32 = u32::MAX;
/// The most bytes kept in rows before all are dropped.
const MOST_KEPT: usize = 100_000_000;
/// The relations pairs are judged in.
pub(super) const RELATIONS: [Relation; 3] = [Relation::MatBehind, Relation::Touching, Relation::SameCard];

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
    /// For each face of the class, a level for each followed member that takes the weakest pair.
    levels: Vec<u8>,
    /// For each face of the class, a worth in millionths (or [`NONE`]) for each member that takes
    /// the mean.
    means: Vec<u32>,
    followed: usize,
    averaging: usize,
    /// The best that each followed member finds in the row.
    pub(super) best: Levels,
}

impl Row {
    /// The levels of the pair with the face at `place` of the class.
    pub(super) fn levels(&self, place: usize) -> &[u8] {
        &self.levels[place * self.followed..(place + 1) * self.followed]
    }

    /// The worths of that pair for the members that take the mean.
    pub(super) fn means(&self, place: usize) -> &[u32] {
        &self.means[place * self.averaging..(place + 1) * self.averaging]
    }

    fn bytes(&self) -> usize {
        self.levels.len() + self.means.len() * 4
    }
}

/// A member that judges pairs, with what the tables need of it.
pub(super) struct PairMember {
    /// Its place in the jury.
    member: usize,
    /// Its share, in millionths.
    pub(super) share: u64,
    /// The highest worth in each of [`RELATIONS`]; `None` where it is never asked.
    pub(super) range: [Option<u32>; 3],
    /// Whether it is asked about papers in their roles.
    pub(super) in_role: bool,
    /// What it is worth without an opinion.
    pub(super) neutral: u64,
}

/// The roles a paper can have.
pub(super) const ROLES: [Role; 8] =
    [Role::Base, Role::Background, Role::Band, Role::Feature, Role::Focal, Role::Sentiment, Role::Mat, Role::Part];

/// What the followed members think of every face in one role.
#[derive(Debug, Default)]
pub(super) struct RoleRow {
    /// For each face, the level of each followed member; silent where it is not asked or says nothing.
    levels: Vec<Levels>,
    /// Whether each of the members that take the weakest has an opinion on any face in this role.
    speaks: Vec<bool>,
    /// For each class, the best level of each followed member; silent where it says nothing of some face.
    best: [Levels; CLASSES],
}

impl RoleRow {
    /// The levels of a face.
    pub(super) fn of(&self, face: FaceId) -> &Levels {
        self.levels.get(face.place()).unwrap_or(&OPENING)
    }
}

/// All rows made so far.
pub(super) struct Tables<'a> {
    /// The index whose faces are judged.
    pub(super) index: &'a Index,
    /// The jury that judges them.
    pub(super) jury: &'a Jury,
    /// The members that take the weakest pair, the one with the largest share first.
    pub(super) weakest: Vec<PairMember>,
    /// The members that take the mean.
    pub(super) averaging: Vec<PairMember>,
    rows: Rows,
    /// How many pairs were judged: part of the measure of work.
    pub(super) judged: u64,
}

/// Rows by relation, end and class, then by the face they are of.
#[derive(Debug, Default)]
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
        let members = |wanted: Gather| {
            let of = move |(place, member): (usize, &super::Member)| {
                let (gather, in_role) = match member.family {
                    Family::Pair(gather) => (gather, false),
                    Family::InRole => (Gather::Weakest, true),
                    Family::Piece | Family::Card => return None,
                };
                let range = RELATIONS.map(|relation| member.pair_range(relation).map(Worth::millionths));
                let (share, neutral) = (member.share, member.neutral());
                let made = PairMember { member: place, share, range, in_role, neutral };
                (gather == wanted).then_some(made)
            };
            jury.members.iter().enumerate().filter_map(of).collect::<Vec<PairMember>>()
        };
        let mut weakest = members(Gather::Weakest);
        weakest.sort_by_key(|member| (std::cmp::Reverse(member.share), member.member));
        let rows = Rows::fitting(rows, index);
        let mut tables = Self { index, jury, weakest, averaging: members(Gather::Mean), rows, judged: 0 };
        if tables.rows.roles.is_empty() {
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

    /// What the followed members think of every face in a role.
    pub(super) fn in_role(&self, role: Role) -> Option<&Arc<RoleRow>> {
        self.rows.roles.get(ROLES.iter().position(|one| *one == role)?).filter(|row| !row.levels.is_empty())
    }

    /// The best level that each followed member can have for a slot, whatever is chosen for it.
    pub(super) fn best_in_role(&self, role: Role, classes: &[Class]) -> Levels {
        let Some(row) = self.in_role(role) else { return OPENING };
        let mut best = [0; FOLLOWED];
        for class in classes {
            best.iter_mut().zip(&row.best[*class as usize]).for_each(|(best, level)| *best = (*best).max(*level));
        }
        if classes.is_empty() { OPENING } else { best }
    }

    /// Whether a member that takes the weakest may have an opinion on what two slots meet with.
    pub(super) fn may_speak(&self, member: &PairMember, relation: Relation, upper: &Slot, lower: &Slot) -> bool {
        let scorer = &self.jury.members[member.member].scorer;
        let lowers = |upper: &Material| lower.materials.iter().any(|lower| scorer.speaks_of(relation, *upper, *lower));
        member.range[place_of(relation)].is_some() && upper.materials.iter().any(lowers)
    }

    /// Whether the member at a place among those that take the weakest may have an opinion on a paper in a role.
    pub(super) fn speaks_of(&self, place: usize, role: Role) -> bool {
        self.in_role(role).is_some_and(|row| row.speaks.get(place) == Some(&true))
    }

    /// What a member thinks of a face in a role.
    pub(super) fn role_opinion(&self, member: &PairMember, role: Role, face: FaceId) -> Option<Worth> {
        member.in_role.then(|| self.jury.members[member.member].in_role(&self.index.face(face).view, role)).flatten()
    }

    fn make_role(&mut self, role: Role) -> RoleRow {
        if !self.weakest.iter().any(|member| member.in_role) {
            return RoleRow::default();
        }
        let faces = (0..).map(FaceId).take(self.index.faces.len());
        let mut row = RoleRow {
            levels: Vec::with_capacity(self.index.faces.len()),
            speaks: vec![false; self.weakest.len()],
            best: [[0; FOLLOWED]; CLASSES],
        };
        for face in faces {
            let mut levels = OPENING;
            for (place, member) in self.weakest.iter().enumerate() {
                let Some(worth) = self.role_opinion(member, role, face) else { continue };
                row.speaks[place] = true;
                if let Some(level) = levels.get_mut(place) {
                    *level = level_of(worth);
                }
            }
            let best = &mut row.best[self.index.face(face).class as usize];
            best.iter_mut().zip(&levels).for_each(|(best, level)| *best = (*best).max(*level));
            row.levels.push(levels);
        }
        self.judged += row.levels.len() as u64;
        row
    }

    /// The rows made, to begin the next tables with.
    pub(super) fn into_rows(self) -> Rows {
        self.rows
    }

    fn make(&mut self, relation: Relation, end: End, face: FaceId, class: Class) -> Row {
        let others = self.index.class(class);
        let followed = self.weakest.len().min(FOLLOWED);
        let mut row = Row {
            levels: Vec::with_capacity(others.len() * followed),
            means: Vec::with_capacity(others.len() * self.averaging.len()),
            followed,
            averaging: self.averaging.len(),
            best: [0; FOLLOWED],
        };
        for other in others {
            let (upper, lower) = if end == End::Upper { (face, *other) } else { (*other, face) };
            for (member, best) in self.weakest.iter().zip(&mut row.best) {
                let level = self.opinion(member, relation, upper, lower).map_or(SILENT, level_of);
                row.levels.push(level);
                *best = (*best).max(level);
            }
            for member in &self.averaging {
                row.means.push(self.opinion(member, relation, upper, lower).map_or(NONE, Worth::millionths));
            }
        }
        self.judged += others.len() as u64;
        row
    }

    /// What a member thinks of a pair; `None` where it is not asked or has no opinion.
    pub(super) fn opinion(
        &self,
        member: &PairMember,
        relation: Relation,
        upper: FaceId,
        lower: FaceId,
    ) -> Option<Worth> {
        member.range[place_of(relation)]?;
        let view = |face| &self.index.face(face).view;
        self.jury.members[member.member].pair(relation, view(upper), view(lower))
    }
}

/// The level of a worth that has been set down to one.
fn level_of(worth: Worth) -> u8 {
    u8::try_from(worth.millionths() / STEP).unwrap_or(SILENT)
}

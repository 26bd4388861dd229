//! The scorers that are asked, each with its share of the score.
//!
//! Scorers and the settings in; a [`Jury`] out, whose shares are whole millionths that add up to at
//! most one. A scorer gives terms of one family: pieces, roles, pairs or cards.

use crate::stash::Settings;
use api::{API_VERSION, CardView, Gather, PaperView, PieceView, Relation, Role, Scorer, Worth};
use std::collections::BTreeMap;

/// One whole, in millionths.
pub const ONE: u64 = 1_000_000;

/// The relations pairs are judged in.
pub(super) const RELATIONS: [Relation; 3] = [Relation::MatBehind, Relation::Touching, Relation::SameCard];

/// What the weakest is looked for among: the pairs of each of [`RELATIONS`], then papers in their roles.
pub(super) const LANES: usize = RELATIONS.len() + 1;
/// The place of papers in their roles among them.
pub(super) const IN_ROLE: usize = RELATIONS.len();

/// Which terms a scorer gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// One for each slot, gathered by their mean.
    Piece,
    /// One for each slot, by its role and its paper alone, gathered by the weakest.
    InRole,
    /// One for each pair of slots in a relation.
    Pair(Gather),
    /// One for the card.
    Card,
}

/// One scorer and its share.
pub struct Member {
    /// The scorer.
    pub scorer: Box<dyn Scorer>,
    /// Its share of the score, in millionths.
    pub share: u64,
    /// Which terms it gives.
    pub family: Family,
}

impl Member {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.scorer.manifest().name
    }

    /// What it is worth where it has nothing to say, in millionths.
    #[must_use]
    pub fn neutral(&self) -> u64 {
        u64::from(self.scorer.manifest().neutral.millionths())
    }

    /// The highest worth of a pair in a relation; `None` where it is never asked about one.
    #[must_use]
    pub fn pair_range(&self, relation: Relation) -> Option<Worth> {
        let ranges = &self.scorer.manifest().ranges;
        match relation {
            Relation::MatBehind => ranges.mat_behind,
            Relation::Touching => ranges.touching,
            Relation::SameCard => ranges.same_card,
            _ => None,
        }
    }

    /// Its share of the score in one relation, in millionths: an equal part of its share for each
    /// relation it is asked about.
    #[must_use]
    pub fn share_in(&self, relation: Relation) -> u64 {
        let asked = RELATIONS.iter().filter(|relation| self.pair_range(**relation).is_some()).count();
        if self.pair_range(relation).is_some() { self.share / asked.max(1) as u64 } else { 0 }
    }

    /// What it adds to the score by one worth of a pair in a relation, in millionths; its neutral worth
    /// where it has none.
    #[must_use]
    pub fn adds(&self, relation: Relation, worth: Option<Worth>) -> u64 {
        let value = worth.map_or(self.neutral(), |worth| u64::from(worth.millionths()));
        self.share_in(relation) * value / ONE
    }

    /// What it adds to the score by one worth of a paper in its role, in millionths; its neutral worth where
    /// it has none.
    #[must_use]
    pub fn adds_in_role(&self, worth: Option<Worth>) -> u64 {
        self.share * worth.map_or(self.neutral(), |worth| u64::from(worth.millionths())) / ONE
    }

    /// Its answer about two papers in a relation, kept within its range.
    #[must_use]
    pub fn pair(&self, relation: Relation, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        let range = self.pair_range(relation)?;
        let worth = match relation {
            Relation::MatBehind => self.scorer.mat_behind(upper, lower),
            Relation::Touching => self.scorer.touching(upper, lower),
            Relation::SameCard => self.scorer.same_card(upper, lower),
            _ => None,
        };
        worth.map(|worth| worth.min(range))
    }

    /// The highest worth of a paper in a role; `None` where it is never asked about one.
    #[must_use]
    pub fn role_range(&self) -> Option<Worth> {
        self.scorer.manifest().ranges.in_role
    }

    /// Its answer about a paper in a role, kept within its range.
    #[must_use]
    pub fn in_role(&self, paper: &PaperView, role: Role) -> Option<Worth> {
        let range = self.role_range()?;
        Some(self.scorer.in_role(paper, role)?.min(range))
    }

    /// Its answer about a piece, kept within its range; its neutral worth where it has no opinion.
    #[must_use]
    pub fn piece(&self, piece: &PieceView<'_>) -> Worth {
        let manifest = self.scorer.manifest();
        let range = manifest.ranges.piece.unwrap_or(Worth::ONE);
        self.scorer.piece(piece).map_or(manifest.neutral, |worth| worth.min(range))
    }

    /// The most any piece in a role could be worth if it were cut from a piece of stock.
    #[must_use]
    pub fn piece_at_most(&self, stock: &PieceView<'_>) -> Worth {
        let manifest = self.scorer.manifest();
        let range = manifest.ranges.piece.unwrap_or(Worth::ONE);
        self.scorer.piece_at_most(stock).map_or(range, |worth| worth.min(range)).max(manifest.neutral)
    }

    /// Its answer about a card, kept within its range; its neutral worth where it has no opinion.
    #[must_use]
    pub fn card(&self, card: &CardView<'_>) -> Worth {
        let manifest = self.scorer.manifest();
        let range = manifest.ranges.card.unwrap_or(Worth::ONE);
        self.scorer.card(card).map_or(manifest.neutral, |worth| worth.min(range))
    }
}

/// Why a scorer is not asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotSeated {
    /// It was written for another version of the contract.
    OtherContract {
        /// Its name.
        scorer: String,
        /// The version it was written for.
        version: u32,
    },
    /// It gives no terms, or terms of more than one family.
    MixedTerms {
        /// Its name.
        scorer: String,
    },
}

/// All scorers that are asked.
#[derive(Default)]
pub struct Jury {
    /// The members, in the order of their names.
    pub members: Vec<Member>,
}

impl Jury {
    /// Gives each scorer its share: its weight (hers if she set one) over the sum of all weights,
    /// in millionths, rounded down. A weight of nothing leaves it out.
    #[must_use]
    pub fn seat(scorers: Vec<Box<dyn Scorer>>, settings: &Settings) -> (Self, Vec<NotSeated>) {
        let mut refused = Vec::new();
        let mut seated: BTreeMap<String, (Box<dyn Scorer>, Family, u64)> = BTreeMap::new();
        for scorer in scorers {
            let manifest = scorer.manifest();
            let name = manifest.name.clone();
            if manifest.api_version != API_VERSION {
                refused.push(NotSeated::OtherContract { scorer: name, version: manifest.api_version });
                continue;
            }
            let Some(family) = family_of(scorer.as_ref()) else {
                refused.push(NotSeated::MixedTerms { scorer: name });
                continue;
            };
            let weight = settings.scorers.get(&name).and_then(|set| set.weight).unwrap_or(manifest.weight);
            let weight = millionths(weight);
            if weight > 0 {
                seated.insert(name, (scorer, family, weight));
            }
        }
        let sum: u64 = seated.values().map(|(_, _, weight)| weight).sum();
        let members = seated
            .into_values()
            .map(|(scorer, family, weight)| Member { scorer, share: weight * ONE / sum.max(1), family })
            .collect();
        (Self { members }, refused)
    }

    /// The members that judge pairs, with how they gather.
    pub fn pairs(&self) -> impl Iterator<Item = (&Member, Gather)> {
        self.members.iter().filter_map(|member| match member.family {
            Family::Pair(gather) => Some((member, gather)),
            _ => None,
        })
    }

    /// The members that are asked about pairs in a relation and of which the weakest pair counts.
    pub fn weakest_in(&self, relation: Relation) -> impl Iterator<Item = &Member> {
        let asked = move |member: &&Member| {
            member.family == Family::Pair(Gather::Weakest) && member.pair_range(relation).is_some()
        };
        self.members.iter().filter(asked)
    }

    /// What the members of [`Self::weakest_in`] together add to the score by one pair, in millionths;
    /// `None` where none of them has an opinion of it.
    #[must_use]
    pub fn together(&self, relation: Relation, upper: &PaperView, lower: &PaperView) -> Option<u64> {
        let mut sum = 0;
        let mut spoken = false;
        for member in self.weakest_in(relation) {
            let worth = member.pair(relation, upper, lower);
            spoken |= worth.is_some();
            sum += member.adds(relation, worth);
        }
        spoken.then_some(sum)
    }

    /// What they add where there is no pair of which any has an opinion.
    #[must_use]
    pub fn neutral_in(&self, relation: Relation) -> u64 {
        self.weakest_in(relation).map(|member| member.adds(relation, None)).sum()
    }

    /// The most they can add.
    #[must_use]
    pub fn most_in(&self, relation: Relation) -> u64 {
        let most =
            |member: &Member| member.adds(relation, member.pair_range(relation)).max(member.adds(relation, None));
        self.weakest_in(relation).map(most).sum()
    }

    /// The members that judge papers in their roles.
    pub fn in_roles(&self) -> impl Iterator<Item = &Member> {
        self.members.iter().filter(|member| member.family == Family::InRole)
    }

    /// What they together add to the score by one paper in a role, in millionths; `None` where none of them
    /// has an opinion of it.
    #[must_use]
    pub fn together_in_role(&self, paper: &PaperView, role: Role) -> Option<u64> {
        let mut sum = 0;
        let mut spoken = false;
        for member in self.in_roles() {
            let worth = member.in_role(paper, role);
            spoken |= worth.is_some();
            sum += member.adds_in_role(worth);
        }
        spoken.then_some(sum)
    }

    /// What each of the lanes adds where there is nothing to judge, in millionths.
    pub(super) fn neutral_lanes(&self) -> [u64; LANES] {
        let [mats, touching, same_card] = RELATIONS.map(|relation| self.neutral_in(relation));
        [mats, touching, same_card, self.in_roles().map(|member| member.adds_in_role(None)).sum()]
    }

    /// The most that each of the lanes can add, in millionths.
    pub(super) fn most_lanes(&self) -> [u64; LANES] {
        let [mats, touching, same_card] = RELATIONS.map(|relation| self.most_in(relation));
        let most = |member: &Member| member.adds_in_role(member.role_range()).max(member.adds_in_role(None));
        [mats, touching, same_card, self.in_roles().map(most).sum()]
    }

    /// The members that judge pieces.
    pub fn pieces(&self) -> impl Iterator<Item = &Member> {
        self.members.iter().filter(|member| member.family == Family::Piece)
    }

    /// The members that judge cards.
    pub fn cards(&self) -> impl Iterator<Item = &Member> {
        self.members.iter().filter(|member| member.family == Family::Card)
    }
}

fn family_of(scorer: &dyn Scorer) -> Option<Family> {
    let manifest = scorer.manifest();
    let ranges = &manifest.ranges;
    let pairs = ranges.mat_behind.is_some() || ranges.touching.is_some() || ranges.same_card.is_some();
    match (ranges.piece.is_some(), ranges.in_role.is_some(), pairs, ranges.card.is_some()) {
        (true, false, false, false) => Some(Family::Piece),
        (false, true, false, false) => Some(Family::InRole),
        (false, false, true, false) => Some(Family::Pair(manifest.gather)),
        (false, false, false, true) => Some(Family::Card),
        _ => None,
    }
}

/// A weight in whole millionths, at most a thousand; what is negative or no number is nothing.
fn millionths(weight: f64) -> u64 {
    if !weight.is_finite() || weight <= 0.0 {
        return 0;
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to a thousand million by the line above and `min`"
    )]
    let count = (weight.min(1000.0) * 1e6).round() as u64;
    count
}

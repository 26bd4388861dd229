//! The scorers that are asked, each with its share of the score.
//!
//! Scorers and the settings in; a [`Jury`] out, whose shares are whole millionths that add up to at
//! most one. A scorer gives terms of one family: pieces, roles, pairs or cards.

use super::labels::STEP;
use crate::stash::Settings;
use api::{API_VERSION, CardView, Gather, PaperView, PieceView, Relation, Role, Scorer, Worth};
use std::collections::BTreeMap;

/// One whole, in millionths.
pub const ONE: u64 = 1_000_000;

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

    /// Its answer about two papers in a relation, kept within its range; set down to a whole
    /// sixty-fourth where the weakest pair counts.
    #[must_use]
    pub fn pair(&self, relation: Relation, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        let range = self.pair_range(relation)?;
        let worth = match relation {
            Relation::MatBehind => self.scorer.mat_behind(upper, lower),
            Relation::Touching => self.scorer.touching(upper, lower),
            Relation::SameCard => self.scorer.same_card(upper, lower),
            _ => None,
        };
        let worth = worth.map(|worth| worth.min(range))?;
        if self.family == Family::Pair(Gather::Weakest) {
            // Set down to whole levels, so that the bounds of the search are exact.
            return Worth::from_millionths(worth.millionths() / STEP * STEP);
        }
        Some(worth)
    }

    /// The highest worth of a paper in a role; `None` where it is never asked about one.
    #[must_use]
    pub fn role_range(&self) -> Option<Worth> {
        self.scorer.manifest().ranges.in_role
    }

    /// Its answer about a paper in a role, kept within its range and set down to a whole sixty-fourth.
    #[must_use]
    pub fn in_role(&self, paper: &PaperView, role: Role) -> Option<Worth> {
        let range = self.role_range()?;
        let worth = self.scorer.in_role(paper, role)?.min(range);
        Worth::from_millionths(worth.millionths() / STEP * STEP)
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

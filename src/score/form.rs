//! A network in the form the search reads: who meets whom, in which order slots are filled, what is
//! certain from the start. It knows no faces.

use super::jury::{IN_ROLE, Jury, ONE, RELATIONS};
use super::labels::{Levels, SILENT, Silence};
use super::tables::{End, PairMember, Tables, place_of};
use crate::index::{Class, class_of};
use crate::matching::{Link, Network};
use api::{Material, Relation, Role};

/// So many slots at most: each is one bit.
pub(super) const MOST_SLOTS: usize = 63;

/// One link as a slot sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Joint {
    /// The slot at the other end.
    pub(super) other: usize,
    /// How they stand to each other.
    pub(super) relation: Relation,
    /// Whether the other slot is the upper one.
    pub(super) other_is_upper: bool,
}

impl Joint {
    /// The end the other slot is at.
    pub(super) const fn other_end(&self) -> End {
        if self.other_is_upper { End::Upper } else { End::Lower }
    }
}

/// All that a card's best score depends on if sizes and supply are of no account.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Structure {
    slots: Vec<(Role, Vec<Material>)>,
    order: Vec<usize>,
    joints: Vec<Vec<Joint>>,
    differ: Vec<(usize, usize)>,
    quiet: Vec<(usize, usize)>,
}

/// The form of one network.
pub(super) struct Form<'n> {
    /// The network.
    pub(super) network: &'n Network,
    /// The slots in the order they are filled.
    pub(super) order: Vec<usize>,
    /// How many of them, from the first, may show a patterned paper.
    pub(super) papers: usize,
    /// The links of each slot.
    pub(super) joints: Vec<Vec<Joint>>,
    /// The slots each slot must differ from.
    pub(super) differ: Vec<Vec<usize>>,
    /// The slots each slot meets in any way, as bits.
    pub(super) meets: Vec<u64>,
    /// Whether each slot lies beneath an image, and so must be quiet.
    pub(super) beneath_image: Vec<bool>,
    /// The classes each slot's faces may be of.
    pub(super) classes: Vec<Vec<Class>>,
    /// What a relation in which nothing has been judged yet could still add.
    pub(super) silence: Silence,
    /// What each relation adds where there is nothing to judge in it.
    neutral: Levels,
    /// The pairs in each relation of which anyone may have an opinion.
    asked: [Vec<(usize, usize)>; RELATIONS.len()],
    /// The slots whose papers anyone may have an opinion of in their roles, as bits.
    asked_roles: u64,
    /// What no card can do better than: each slot will hold something.
    opening: Levels,
    /// What is certain whatever is chosen: members that have nothing to judge, in millionths.
    pub(super) certain: u64,
    /// For each member that takes the mean, what one link weighs, in millionths.
    pub(super) mean_weights: Vec<u64>,
    /// For each relation, what those members add for a pair nobody has an opinion of.
    pub(super) silent: [u64; 3],
    /// For each relation, the most they can add for one link.
    pub(super) most_mean: [u64; 3],
}

impl<'n> Form<'n> {
    /// The form of a network under the jury of these tables.
    pub(super) fn of(network: &'n Network, tables: &Tables<'_>) -> Self {
        let slots = network.slots.len();
        let mut joints = vec![Vec::new(); slots];
        let mut differ = vec![Vec::new(); slots];
        let mut meets = vec![0_u64; slots];
        for link in &network.links {
            let joint = |other, other_is_upper| Joint { other, relation: link.relation, other_is_upper };
            joints[link.upper].push(joint(link.lower, false));
            joints[link.lower].push(joint(link.upper, true));
        }
        for (one, other) in &network.differ {
            differ[*one].push(*other);
            differ[*other].push(*one);
        }
        for slot in 0..slots {
            for other in joints[slot].iter().map(|joint| joint.other).chain(differ[slot].iter().copied()) {
                meets[slot] |= 1 << other;
            }
        }
        let order = filling_order(network);
        let papers = order.iter().take_while(|slot| may_show(network, **slot)).count();
        let count = |member: &PairMember| {
            network.links.iter().filter(|link| member.range[place_of(link.relation)].is_some()).count() as u64
        };
        let neutral = |member: &PairMember| member.share * member.neutral / ONE;
        let nothing_to_judge = |member: &&PairMember| count(member) == 0;
        let certain = tables.averaging.iter().filter(nothing_to_judge).map(neutral).sum();
        let asked = RELATIONS.map(|relation| {
            let speak =
                |link: &&Link| tables.may_speak(relation, &network.slots[link.upper], &network.slots[link.lower]);
            let asked = network.links.iter().filter(|link| link.relation == relation).filter(speak);
            asked.map(|link| (link.upper, link.lower)).collect::<Vec<_>>()
        });
        let spoken = network.slots.iter().enumerate().filter(|(_, slot)| tables.speaks_in(slot.role));
        let asked_roles = spoken.fold(0_u64, |bits, (slot, _)| bits | 1 << slot);
        let classes: Vec<Vec<Class>> = network.slots.iter().map(|slot| classes_of(&slot.materials)).collect();
        let neutral_lanes = tables.jury.neutral_lanes().map(level);
        let mut opening = neutral_lanes;
        for (level, _) in opening.iter_mut().zip(&asked).filter(|(_, pairs)| !pairs.is_empty()) {
            *level = SILENT;
        }
        if asked_roles != 0 {
            let best = network.slots.iter().zip(&classes).map(|(slot, of)| tables.best_in_role(slot.role, of));
            opening[IN_ROLE] = best.min().unwrap_or(SILENT);
        }
        let mean_weights: Vec<u64> =
            tables.averaging.iter().map(|member| member.share / count(member).max(1)).collect();
        let of_relation = |worth: &dyn Fn(&PairMember, u32) -> u64| {
            RELATIONS.map(|relation| {
                let members = tables.averaging.iter().zip(&mean_weights);
                let asked = members.filter_map(|(member, weight)| {
                    let range = member.range[place_of(relation)]?;
                    Some(weight * worth(member, range) / ONE)
                });
                asked.sum()
            })
        };
        Self {
            network,
            order,
            papers,
            joints,
            differ,
            meets,
            beneath_image: (0..slots).map(|slot| network.quiet.iter().any(|(_, below)| *below == slot)).collect(),
            classes,
            silence: silence(tables.jury),
            neutral: neutral_lanes,
            asked,
            asked_roles,
            opening,
            certain,
            silent: of_relation(&|member, _| member.neutral),
            most_mean: of_relation(&|member, range| u64::from(range).max(member.neutral)),
            mean_weights,
        }
    }

    /// The structure of the network.
    pub(super) fn structure(&self) -> Structure {
        Structure {
            slots: self.network.slots.iter().map(|slot| (slot.role, slot.materials.clone())).collect(),
            order: self.order.clone(),
            joints: self.joints.clone(),
            differ: self.network.differ.clone(),
            quiet: self.network.quiet.clone(),
        }
    }

    /// How many slots there are.
    pub(super) fn slots(&self) -> usize {
        self.order.len()
    }

    /// The caps before anything is chosen.
    pub(super) const fn opening(&self) -> Levels {
        self.opening
    }

    /// Settles the relations in which nothing was judged so far and nothing can be in the slots still open.
    pub(super) fn close(&self, levels: &mut Levels, open: u64, patterned: impl Fn(usize) -> bool) {
        let is_open = |slot: usize| open & (1 << slot) != 0;
        let may_be_patterned = |slot: usize| {
            if is_open(slot) { self.classes[slot].contains(&Class::Patterned) } else { patterned(slot) }
        };
        for (place, relation) in RELATIONS.into_iter().enumerate() {
            let may_speak = |(upper, lower): &(usize, usize)| {
                (is_open(*upper) || is_open(*lower))
                    && (relation != Relation::SameCard || (may_be_patterned(*upper) && may_be_patterned(*lower)))
            };
            if levels[place] == SILENT && !self.asked[place].iter().any(may_speak) {
                levels[place] = self.neutral[place];
            }
        }
        if levels[IN_ROLE] == SILENT && self.asked_roles & open == 0 {
            levels[IN_ROLE] = self.neutral[IN_ROLE];
        }
    }

    /// The parts of the open slots that do not meet one another, as bits.
    pub(super) fn parts(&self, open: u64) -> Vec<u64> {
        let mut parts = Vec::new();
        let mut left = open;
        while left != 0 {
            let mut part = 1_u64 << left.trailing_zeros();
            loop {
                let met = slots_in(part).fold(part, |met, slot| met | (self.meets[slot] & left));
                if met == part {
                    break;
                }
                part = met;
            }
            left &= !part;
            parts.push(part);
        }
        parts
    }

    /// The slot of a part that meets most others of it: without it the part falls into smaller ones.
    pub(super) fn hub(&self, part: u64) -> usize {
        let meets = |slot: &usize| (self.meets[*slot] & part).count_ones();
        slots_in(part).min_by_key(|slot| (std::cmp::Reverse(meets(slot)), *slot)).unwrap_or(0)
    }

    /// The most that members taking the mean can add for links between two slots of a part.
    pub(super) fn means_inside(&self, part: u64) -> u64 {
        let inside = |slot: usize| part & (1 << slot) != 0;
        let links = self.network.links.iter().filter(|link| inside(link.upper) && inside(link.lower));
        links.map(|link| self.most_mean[place_of(link.relation)]).sum()
    }

    /// The most that members taking the mean can add for a slot's links to others.
    pub(super) fn means_towards(&self, slot: usize, to: impl Fn(usize) -> bool) -> u64 {
        let links = self.joints[slot].iter().filter(|joint| to(joint.other));
        links.map(|joint| self.most_mean[place_of(joint.relation)]).sum()
    }

    /// The most that members taking the mean can add for links with an end among `open`.
    pub(super) fn means_within(&self, open: u64) -> u64 {
        let is_open = |slot: usize| open & (1 << slot) != 0;
        let links = self.network.links.iter().filter(|link| is_open(link.upper) || is_open(link.lower));
        links.map(|link| self.most_mean[place_of(link.relation)]).sum()
    }
}

/// What relations in which nothing has been judged yet could still add under this jury.
fn silence(jury: &Jury) -> Silence {
    Silence(jury.most_lanes().map(level))
}

/// A share of the score as a level.
fn level(adds: u64) -> u32 {
    u32::try_from(adds).unwrap_or(SILENT - 1)
}

/// The slots among bits, lowest first.
pub(super) fn slots_in(bits: u64) -> impl Iterator<Item = usize> {
    (0..64).filter(move |slot| bits & (1 << slot) != 0)
}

/// The order in which slots are filled: papers first, in the order of the panels, then the rest.
#[must_use]
pub(super) fn filling_order(network: &Network) -> Vec<usize> {
    let (mut papers, rest): (Vec<usize>, Vec<usize>) =
        (0..network.slots.len()).partition(|slot| may_show(network, *slot));
    papers.sort_by_key(|slot| (network.slots[*slot].panel, *slot));
    papers.into_iter().chain(rest).collect()
}

/// Whether a slot may show a patterned paper.
fn may_show(network: &Network, slot: usize) -> bool {
    let slot = &network.slots[slot];
    slot.panel.is_some() && slot.materials.contains(&Material::Patterned)
}

fn classes_of(materials: &[Material]) -> Vec<Class> {
    let mut classes: Vec<Class> = materials.iter().map(|material| class_of(*material)).collect();
    classes.sort_unstable();
    classes.dedup();
    classes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slots_are_counted_from_the_lowest_bit() {
        assert_eq!(slots_in(0b1_0110).collect::<Vec<_>>(), [1, 2, 4]);
    }
}

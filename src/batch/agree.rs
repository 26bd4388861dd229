//! Plans against trying everything, on small random stashes: as many cards as any choice of the cards
//! that can be made, never more than the bound, and no rule broken.

use super::joint::{Joint, by_group};
use super::{On, PlanAsk, check, plan, pool};
use crate::index::{self, Index};
use crate::layout::Layout;
use crate::problem::Source;
use crate::score::{self, Jury, Table};
use crate::stash::{self, Date, Stash};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const TODAY: Date = Date(20_000);

pub(super) struct Dice(pub(super) u64);

impl Dice {
    /// One of `from` to `to`.
    pub(super) fn roll(&mut self, from: u64, to: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        from + (self.0 >> 33) % (to - from + 1)
    }
}

/// A stash with little of everything, and two or three plain layouts.
fn small(dice: &mut Dice) -> Stash {
    let mut pad = String::from("kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\n");
    for design in 0..dice.roll(1, 3) {
        let (red, copies) = (dice.roll(16, 255), dice.roll(1, 2));
        let _ = writeln!(
            pad,
            "[[design]]\nid = \"d{design}\"\ncolour = \"#{red:02x}8844\"\ncopies = {copies}\nbusyness = 0.3"
        );
    }
    let mut plain = String::from("kind = \"cardstock\"\nsize = \"8 1/2 x 11 in\"\n");
    for sheet in 0..dice.roll(1, 3) {
        let (blue, count) = (dice.roll(16, 255), dice.roll(1, 2));
        let _ = writeln!(plain, "[[cardstock]]\nid = \"c{sheet}\"\ncolour = \"#2244{blue:02x}\"\ncount = {count}");
    }
    let mut scraps = String::from("kind = \"scraps\"\n");
    for _ in 0..dice.roll(1, 3) {
        let (width, height) = (dice.roll(2, 9), dice.roll(2, 12));
        let _ = writeln!(scraps, "[[scrap]]\npaper = \"pad/d0\"\nsize = \"{width}/2 x {height}/2 in\"");
    }
    let scraps = scraps.replace("/2 x", "/2 in x");
    let mut layouts = String::from("kind = \"layouts\"\n");
    for layout in 0..dice.roll(1, 2) {
        let (inset, height) = (dice.roll(1, 3), dice.roll(2, 6));
        let _ = writeln!(
            layouts,
            "[[layout]]\nid = \"l{layout}\"\ncard = \"A2\"\n[[layout.panel]]\nrole = \"background\"\ninset = \"{inset}/8 in\"\n\
             [[layout.panel]]\nrole = \"band\"\non = \"background\"\nleft = 0\nright = \"100%\"\ntop = \"40%\"\n\
             height = \"{height}/4 in\"\ndiffers-from = \"background\""
        );
    }
    let settings = format!("kind = \"settings\"\ncards = [\"A2\"]\nmost-changes = {}\n", dice.roll(0, 1));
    read(&[("pad", pad), ("plain", plain), ("scraps", scraps), ("layouts", layouts), ("settings", settings)])
}

/// The stash that these files say.
pub(super) fn read(files: &[(&str, String)]) -> Stash {
    let sources = files.iter().map(|(name, text)| Source::new(format!("{name}.toml"), text.clone())).collect();
    let reading = stash::read_sources(sources);
    assert!(reading.problems.is_empty(), "{:?}", reading.problems.iter().map(ToString::to_string).collect::<Vec<_>>());
    reading.stash
}

pub(super) struct Small {
    pub(super) stash: Stash,
    index: Index,
    layouts: Vec<Layout>,
    jury: Jury,
}

impl Small {
    fn new(seed: u64) -> Self {
        Self::of(small(&mut Dice(seed)))
    }

    /// A stash, ready to plan with.
    pub(super) fn of(stash: Stash) -> Self {
        let index = index::build(&stash, TODAY);
        let (layouts, wrong) = score::checked(&stash);
        assert!(wrong.is_empty(), "{wrong:?}");
        let (jury, _) = Jury::seat(score::scorers(&stash.settings, &stash.inks), &stash.settings);
        Self { stash, index, layouts, jury }
    }

    pub(super) fn on(&self) -> On<'_> {
        let table = Table {
            index: &self.index,
            layouts: &self.layouts,
            settings: &self.stash.settings,
            dies: &self.stash.dies,
            images: &self.stash.images,
            dots: &self.stash.dots,
            jury: &self.jury,
        };
        On { table, stash: &self.stash, today: TODAY }
    }
}

/// The most cards of any choice of candidates, every count tried.
pub(super) fn most(
    joint: &mut Joint<'_>,
    ask: &PlanAsk,
    from: usize,
    uses: &mut BTreeMap<usize, u32>,
    asked: &mut u32,
) -> u32 {
    let mut best: u32 = uses.values().sum();
    for candidate in from..joint.candidates.len() {
        for count in ask.each.clone().rev() {
            *asked += 1;
            uses.insert(candidate, count);
            let total: u32 = uses.values().sum();
            let fits = ask.cards.is_none_or(|cards| total <= cards)
                && by_group(&joint.candidates, uses)
                    .into_iter()
                    .all(|(group, uses)| joint.group(group, &uses).is_some());
            if fits {
                best = best.max(most(joint, ask, candidate + 1, uses, asked));
            }
            uses.remove(&candidate);
        }
    }
    best
}

#[test]
fn as_many_cards_as_trying_everything_and_never_above_the_bound() {
    let (mut compared, mut proven, mut with_cards) = (0, 0, 0);
    for seed in 0..60 {
        let small = Small::new(seed);
        let on = small.on();
        for ask in [
            PlanAsk { each: 1..=2, ..PlanAsk::of(None) },
            PlanAsk { each: 2..=2, ..PlanAsk::of(Some(4)) },
            PlanAsk { each: 1..=3, designs: Some(2), ..PlanAsk::of(None) },
        ] {
            let plan = plan(on, &ask, &|| false, &|_| ());
            assert_eq!(check(on, &ask, &plan), vec![], "seed {seed}");
            assert!(plan.at_most >= u64::from(plan.made));
            if ask.designs.is_some() {
                continue;
            }
            let mut joint = Joint::new(on.table);
            for card in pool::from_all(on, &ask, *ask.each.start(), 20_000_000).0 {
                joint.take(card);
            }
            let mut asked = 0;
            if joint.candidates.len() <= 9 {
                let best = most(&mut joint, &ask, 0, &mut BTreeMap::new(), &mut asked);
                assert!(plan.made >= best, "seed {seed}, {:?}: {} made, {best} possible", ask.cards, plan.made);
                assert!(plan.at_most >= u64::from(best), "seed {seed}: {best} possible, bound {}", plan.at_most);
                compared += 1;
                with_cards += u32::from(best > 0);
            }
            proven += u32::from(plan.is_proven());
        }
    }
    assert!(
        compared > 40 && with_cards > 20 && proven > 10,
        "{compared} compared, {with_cards} with cards, {proven} proven"
    );
}

#[test]
fn what_is_settled_stays_and_what_was_turned_down_does_not_come_again() {
    let (mut settled, mut others) = (0, 0);
    for seed in 0..40 {
        let small = Small::new(seed);
        let on = small.on();
        let mut ask = PlanAsk { each: 1..=2, ..PlanAsk::of(Some(6)) };
        let first = plan(on, &ask, &|| false, &|_| ());
        if first.designs.len() < 2 {
            continue;
        }
        // The worst stays, so that it does not stay by itself.
        let (kept, down) = first.designs.split_at(first.designs.len() - 1);
        ask.earlier.settled = down.to_vec();
        ask.earlier.turned_down = kept.iter().map(|design| design.card.clone()).collect();
        let second = plan(on, &ask, &|| false, &|_| ());
        assert_eq!(check(on, &ask, &second), vec![], "seed {seed}");
        let is_there = |design: &super::Design| {
            second.designs.iter().any(|other| other.card.id == design.card.id && other.count == design.count)
        };
        assert!(down.iter().all(is_there), "seed {seed}: what is settled is there");
        let comes_again = |design: &super::Design| second.designs.iter().any(|other| other.card.id == design.card.id);
        assert!(!kept.iter().any(comes_again), "seed {seed}: what was turned down came again");
        settled += 1;
        others += second.designs.len() - 1;
    }
    assert!(settled > 10 && others > 5, "{settled} settled, {others} others");
}

#[test]
fn the_bound_falls_when_less_is_asked_of_and_never_looks_at_the_count() {
    for seed in 0..20 {
        let small = Small::new(seed);
        let on = small.on();
        let all = plan(on, &PlanAsk::of(None), &|| false, &|_| ());
        let some = plan(on, &PlanAsk::of(Some(2)), &|| false, &|_| ());
        assert_eq!(all.at_most, some.at_most, "seed {seed}");
        let named = PlanAsk { use_faces: on.table.index.find("pad/d0").into_iter().collect(), ..PlanAsk::of(None) };
        let named = plan(on, &named, &|| false, &|_| ());
        assert!(named.at_most <= all.at_most + 1, "seed {seed}: {} with, {} without", named.at_most, all.at_most);
    }
}

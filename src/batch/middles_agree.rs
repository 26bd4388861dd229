//! Plans that cut middles out of mats: against plans that may not, against trying everything on small
//! random stashes, and broken in every way the checker must name.

use super::agree::{Dice, Small, most, read};
use super::check::Wrong;
use super::joint::Joint;
use super::{Plan, PlanAsk, check, plan, pool};
use api::units::{Length, Size};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Whether middles may be cut out, as the settings say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Knife {
    Out,
    Away,
}

/// Two layouts, the mat of one just as large as a scrap of the only red cardstock, the mat of the other
/// just as large as its middle.
fn framed(scraps: u64, knife: Knife) -> Small {
    let pad = "kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\n\
        [[design]]\nid = \"dots\"\ncolour = \"#88aa44\"\ncopies = 9\nbusyness = 0.3\n\
        [[design]]\nid = \"leaves\"\ncolour = \"#4488aa\"\ncopies = 9\nbusyness = 0.3\n";
    let plain = "kind = \"cardstock\"\nsize = \"8 1/2 x 11 in\"\n\
        [[cardstock]]\nid = \"red\"\ncolour = \"#aa2233\"\ncount = 0\n";
    let bases = "kind = \"bases\"\n[[base]]\nid = \"white\"\nsize = \"A2\"\ncolour = \"#fdfdfd\"\ncount = 9\n";
    let mut red = String::from("kind = \"scraps\"\n");
    for _ in 0..scraps {
        red.push_str("[[scrap]]\npaper = \"red\"\nsize = \"3 x 4 in\"\n");
    }
    let layouts = "kind = \"layouts\"\n\
        [[layout]]\nid = \"window\"\ncard = \"A2\"\n\
        [[layout.panel]]\nid = \"window\"\nrole = \"feature\"\ncentre = \"50%\"\nmiddle = \"50%\"\n\
        width = 3\nheight = 4\nmats = [\"1/8 in\"]\n\
        [[layout]]\nid = \"label\"\ncard = \"A2\"\n\
        [[layout.panel]]\nid = \"label\"\nrole = \"feature\"\ncentre = \"50%\"\nmiddle = \"50%\"\n\
        width = \"2 1/4\"\nheight = \"3 1/4\"\nmats = [\"1/8 in\"]\n";
    let may = if knife == Knife::Out { "hollow-mats = true\n" } else { "" };
    let settings = format!("kind = \"settings\"\ncards = [\"A2\"]\nmost-changes = 0\n{may}");
    Small::of(read(&[
        ("pad", pad.to_owned()),
        ("plain", plain.to_owned()),
        ("bases", bases.to_owned()),
        ("scraps", red),
        ("layouts", layouts.to_owned()),
        ("settings", settings),
    ]))
}

fn planned(small: &Small, ask: &PlanAsk) -> Plan {
    let plan = plan(small.on(), ask, &|| false, &|_| ());
    assert_eq!(check(small.on(), ask, &plan), vec![]);
    plan
}

/// Two red scraps give two mats; with their middles cut out they give two more.
#[test]
fn a_middle_gives_a_card_that_could_not_be_made() {
    let ask = PlanAsk { each: 1..=2, ..PlanAsk::of(None) };
    let without = planned(&framed(2, Knife::Away), &ask);
    assert_eq!((without.made, without.at_most), (2, 2));
    assert!(without.sheets.iter().all(|sheet| sheet.middle.is_none()));
    let small = framed(2, Knife::Out);
    let with = planned(&small, &ask);
    assert_eq!(with.made, 4);
    // The bound without middles is two: it would be wrong here.
    assert!(with.at_most >= 4, "{}", with.at_most);
    let middles: Vec<_> = with.sheets.iter().filter(|sheet| sheet.middle.is_some()).collect();
    assert_eq!(middles.iter().map(|sheet| sheet.copies).sum::<u32>(), 2);
    // The panel is 2 3/4 x 3 3/4 in, less a quarter of an inch on each side: just the mat of the label.
    let quarter = Length::INCH.half().half();
    assert!(middles.iter().all(|sheet| sheet.size == Size::new(quarter * 9, quarter * 13)));
    let stocks: u32 = with.sheets.iter().filter(|sheet| sheet.stock.starts_with("scraps")).map(|s| s.copies).sum();
    assert_eq!(stocks, 2, "no scrap is promised twice");
    // What is asked for decides whether a knife comes out.
    let two = planned(&small, &PlanAsk { each: 1..=2, ..PlanAsk::of(Some(2)) });
    assert_eq!(two.made, 2);
}

/// A middle is cut up only after the piece it is in was cut, and no cut of it comes before.
#[test]
fn a_middle_is_cut_up_last() {
    let small = framed(3, Knife::Out);
    let plan = planned(&small, &PlanAsk { each: 1..=3, ..PlanAsk::of(None) });
    assert!(plan.made > 3, "{}", plan.made);
    let is_middle = |sheet: usize| plan.sheets[sheet].middle.is_some();
    let first_of_middles = plan.steps.iter().position(|step| is_middle(step.sheet)).unwrap_or(plan.steps.len());
    assert!(plan.steps[first_of_middles..].iter().all(|step| is_middle(step.sheet)));
    let hollow = plan.designs.iter().find(|design| !design.card.choice.hollows.is_empty()).expect("one is hollow");
    let of_design = plan.designs.iter().position(|design| std::ptr::eq(design, hollow)).expect("it is there");
    let built = &plan.built[of_design];
    let ring = built.stack.sheets.iter().find(|sheet| sheet.hole.is_some()).expect("its mat has a hole");
    assert!(ring.area() < ring.whole.area());
    // What fills the hole lies on the cards that have one.
    let hole = hollow.card.choice.hollows[0];
    for slip in plan.levelling.iter().filter(|slip| slip.design == of_design) {
        assert_eq!(slip.count, hole.copies, "{slip:?}");
    }
}

/// A small stash with mats of three sizes, little of everything, and a knife.
fn small(dice: &mut Dice) -> Small {
    let mut pad = String::from("kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\n");
    for design in 0..dice.roll(1, 2) {
        let copies = dice.roll(1, 3);
        let _ = writeln!(
            pad,
            "[[design]]\nid = \"d{design}\"\ncolour = \"#{:02x}8844\"\ncopies = {copies}\nbusyness = 0.3",
            40 + design * 90
        );
    }
    let mut plain = String::from("kind = \"cardstock\"\nsize = \"8 1/2 x 11 in\"\n");
    let _ = writeln!(plain, "[[cardstock]]\nid = \"white\"\ncolour = \"#fdfdfd\"\ncount = {}", dice.roll(1, 3));
    plain.push_str("[[cardstock]]\nid = \"red\"\ncolour = \"#aa2233\"\ncount = 0\n");
    let mut scraps = String::from("kind = \"scraps\"\n");
    for _ in 0..dice.roll(1, 3) {
        let (width, height) = (dice.roll(6, 10), dice.roll(7, 12));
        let _ = writeln!(scraps, "[[scrap]]\npaper = \"red\"\nsize = \"{width}/2 in x {height}/2 in\"");
    }
    let mut layouts = String::from("kind = \"layouts\"\n");
    for layout in 0..2 {
        let (width, height, mat) = if layout == 0 { (6, 8, 2) } else { (dice.roll(2, 4), dice.roll(3, 6), 1) };
        let _ = writeln!(
            layouts,
            "[[layout]]\nid = \"l{layout}\"\ncard = \"A2\"\n[[layout.panel]]\nid = \"panel\"\nrole = \"feature\"\n\
             centre = \"50%\"\nmiddle = \"50%\"\nwidth = \"{width}/2\"\nheight = \"{height}/2\"\nmats = [\"{mat}/16 in\"]"
        );
    }
    let settings = "kind = \"settings\"\ncards = [\"A2\"]\nmost-changes = 0\nhollow-mats = true\n".to_owned();
    Small::of(read(&[("pad", pad), ("plain", plain), ("scraps", scraps), ("layouts", layouts), ("settings", settings)]))
}

#[test]
fn as_many_as_trying_everything_with_a_knife_and_never_above_the_bound() {
    let (mut compared, mut hollow, mut proven) = (0, 0, 0);
    for seed in 0..60 {
        let small = small(&mut Dice(seed));
        let ask = PlanAsk { each: 1..=2, ..PlanAsk::of(None) };
        let plan = planned(&small, &ask);
        let on = small.on();
        let mut joint = Joint::new(on.table);
        for card in pool::from_all(on, &ask, 1, 20_000_000).0 {
            joint.take(card);
        }
        proven += u32::from(plan.is_proven());
        hollow += u32::from(plan.sheets.iter().any(|sheet| sheet.middle.is_some()));
        if joint.candidates.len() <= 8 {
            let best = most(&mut joint, &ask, 0, &mut BTreeMap::new(), &mut 0);
            assert!(plan.made >= best, "seed {seed}: {} made, {best} possible", plan.made);
            assert!(plan.at_most >= u64::from(best), "seed {seed}: {best} possible, bound {}", plan.at_most);
            compared += 1;
        }
    }
    assert!(compared > 30 && hollow > 8 && proven > 5, "{compared} compared, {hollow} hollow, {proven} proven");
}

/// What the checker says of a plan that was changed.
fn broken(small: &Small, ask: &PlanAsk, plan: &Plan, change: impl FnOnce(&mut Plan, usize)) -> Vec<Wrong> {
    let mut plan = plan.clone();
    let sheet = plan.sheets.iter().position(|sheet| sheet.middle.is_some()).expect("a middle is cut out");
    change(&mut plan, sheet);
    check(small.on(), ask, &plan)
}

#[test]
fn every_rule_of_middles_is_named_where_it_is_broken() {
    let small = framed(2, Knife::Out);
    let ask = PlanAsk { each: 1..=2, ..PlanAsk::of(None) };
    let plan = planned(&small, &ask);
    let named = |wrong: Vec<Wrong>, is: fn(&Wrong) -> bool| assert!(wrong.iter().any(is), "{wrong:?}");
    let grow = |plan: &mut Plan, sheet: usize, by: Length| {
        let middle = plan.sheets[sheet].middle.as_mut().expect("it is a middle");
        middle.rect = middle.rect.inset(-by);
        plan.sheets[sheet].size = middle.rect.size();
    };
    let margin = small.on().table.settings.glue_margin;
    // Larger than what is hidden: beyond the panel's edge by a ruler's mark.
    let wrong =
        broken(&small, &ask, &plan, |plan, sheet| grow(plan, sheet, margin + Length::INCH.half().half().half()));
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleShows { .. }));
    // Hidden, and its margin thin.
    let wrong = broken(&small, &ask, &plan, |plan, sheet| grow(plan, sheet, small.on().table.settings.ruler));
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleMargin { .. }));
    // Of a card that is not there; of a piece no sheet has; cut up before it is there.
    let wrong = broken(&small, &ask, &plan, |plan, sheet| {
        plan.sheets[sheet].middle.as_mut().expect("it is a middle").design = 99;
    });
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleOfNothing { .. }));
    let wrong = broken(&small, &ask, &plan, |plan, sheet| {
        let of = plan.sheets[sheet].middle.expect("it is a middle");
        for other in &mut plan.sheets {
            other.placed.retain(|placed| {
                placed.design != of.design || placed.what != super::PlacedFor::Need { slot: of.slot, need: of.need }
            });
        }
    });
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleOfNothing { .. }));
    let wrong = broken(&small, &ask, &plan, |plan, sheet| {
        plan.sheets.swap(0, sheet);
        plan.leftovers.clear();
    });
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleOfNothing { .. }));
    // Used twice.
    let wrong = broken(&small, &ask, &plan, |plan, sheet| plan.sheets[sheet].copies += 2);
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleTwice { .. }));
    let wrong = broken(&small, &ask, &plan, |plan, sheet| plan.sheets.push(plan.sheets[sheet].clone()));
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleTwice { .. } | Wrong::HollowUntold { .. }));
    // The sheet is larger than the hole.
    let wrong = broken(&small, &ask, &plan, |plan, sheet| plan.sheets[sheet].size.width += Length::INCH);
    named(wrong, |wrong| matches!(wrong, Wrong::WrongMiddle { .. }));
    // Another paper's piece lies on it.
    let wrong = broken(&small, &ask, &plan, |plan, sheet| {
        let of = plan.sheets[sheet].placed[0].design;
        plan.designs[of].card.faces.reverse();
    });
    named(wrong, |wrong| matches!(wrong, Wrong::WrongMiddle { .. }));
    // The card does not say so.
    let wrong = broken(&small, &ask, &plan, |plan, _| {
        plan.designs.iter_mut().for_each(|design| design.card.choice.hollows.clear());
    });
    named(wrong, |wrong| matches!(wrong, Wrong::HollowUntold { .. }));
    let wrong = broken(&small, &ask, &plan, |plan, _| {
        plan.sheets.iter_mut().flat_map(|sheet| &mut sheet.placed).for_each(|placed| placed.hole = None);
    });
    named(wrong, |wrong| matches!(wrong, Wrong::HollowUntold { .. }));
    // The settings forbid it.
    let mut strict = framed(2, Knife::Out);
    strict.stash.settings.hollow_mats = false;
    let wrong = check(strict.on(), &ask, &plan);
    named(wrong, |wrong| matches!(wrong, Wrong::MiddleNotAllowed { .. }));
}

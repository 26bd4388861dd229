//! A plan for a batch as text: how many cards and how good that is, the cards, the sheets, the
//! trimmer's settings, what is left, and what would help.

use super::{Look, count, score};
use crate::batch::{Design, Plan, PlanAsk};
use crate::index::PLENTY;
use crate::present::words::{KNIFE_OUT, dots_of, how_many};
use crate::problem::printable;
use crate::room::Room;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The plan.
#[must_use]
pub fn plan(room: &Room, ask: &PlanAsk, plan: &Plan, look: Look) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}", look.strong(&verdict(ask, plan)));
    if plan.designs.is_empty() {
        out.push_str("No card can be made as you asked: `swatchfold suggest` says what is almost possible.\n");
    }
    for (place, design) in plan.designs.iter().enumerate() {
        let layout = &room.layouts[design.card.layout];
        let papers: Vec<String> =
            design.card.papers.iter().map(|(_, face)| printable(&room.index.face(*face).view.name)).collect();
        let _ = writeln!(
            out,
            "  {:>2} of {}{}  {}  {}  {}",
            design.count,
            printable(&layout.name),
            if ask.earlier.has_settled(&design.card) { " (settled)" } else { "" },
            score(design.card.score),
            papers.join(", "),
            look.faint(&printable(&design.card.id)),
        );
        let set = plan.built.get(place).and_then(|built| built.dots.as_ref());
        if let Some((set, dots)) = dots_of(room.table(), set) {
            let many = how_many(set.count());
            let _ = writeln!(out, "        with {many} of {} ({}) on each", printable(&dots.name), printable(&dots.id));
        }
    }
    sheets(room, plan, look, &mut out);
    leftovers(room, plan, look, &mut out);
    hints(room, ask, plan, look, &mut out);
    out
}

/// "18 made; no plan from this stash makes more than 19."
#[must_use]
pub fn verdict(ask: &PlanAsk, plan: &Plan) -> String {
    let made = match ask.cards {
        Some(cards) if cards == plan.made => format!("{}, as you asked", made(plan.made)),
        Some(cards) => format!("{} of the {cards} you asked for", made(plan.made)),
        None => made(plan.made),
    };
    let best = if plan.is_proven() {
        "no plan from this stash makes more".to_owned()
    } else if plan.at_most >= u64::from(u32::MAX) {
        "nothing on hand sets a limit".to_owned()
    } else {
        format!("no plan from this stash makes more than {}", plan.at_most)
    };
    let short = if plan.cut_short { " (the time you gave was up: more time may find better)" } else { "" };
    let settled = &ask.earlier.settled;
    let kept = |design: &&Design| plan.designs.iter().any(|other| other.card.id == design.card.id);
    let lost = settled.len() - settled.iter().filter(kept).count();
    let lost = if lost == 0 { String::new() } else { format!(" ({lost} of the settled cards could not be cut again)") };
    format!("{made}; {best}{short}{lost}.")
}

fn made(cards: u32) -> String {
    format!("{cards} made")
}

fn sheets(room: &Room, plan: &Plan, look: Look, out: &mut String) {
    if plan.sheets.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{}", look.strong("To cut"));
    for sheet in plan.sheets.iter().filter(|sheet| room.index.stock(sheet.of).count < PLENTY) {
        let mut pieces: BTreeMap<String, usize> = BTreeMap::new();
        for placed in &sheet.placed {
            let size = placed.size.exact(room.stash.settings.unit);
            *pieces.entry(format!("{} {size}", printable(&placed.piece))).or_default() += 1;
        }
        let pieces: Vec<String> = pieces
            .into_iter()
            .map(|(piece, times)| if times == 1 { piece } else { format!("{times} x {piece}") })
            .collect();
        let _ = writeln!(
            out,
            "  {:>2} of {} ({}): {}",
            sheet.copies,
            printable(&sheet.stock),
            sheet.size.exact(room.stash.settings.unit),
            pieces.join(", "),
        );
    }
    let unit = room.stash.settings.unit;
    let settings: Vec<String> = plan.guide_settings.iter().map(|setting| setting.exact(unit)).collect();
    if !settings.is_empty() {
        let _ = writeln!(out, "Trimmer settings, in order: {}", settings.join(", "));
        out.push_str("Mind the blade: keep fingers behind the guard, and do as the trimmer's maker says.\n");
    }
    middles(room, plan, out);
}

/// What is cut out with a knife.
fn middles(room: &Room, plan: &Plan, out: &mut String) {
    let unit = room.stash.settings.unit;
    let told: Vec<String> = plan
        .sheets
        .iter()
        .filter(|sheet| sheet.middle.is_some())
        .map(|sheet| format!("{} x {}, {}", sheet.copies, printable(&sheet.stock), sheet.size.exact(unit)))
        .collect();
    if !told.is_empty() {
        let _ = writeln!(out, "With a knife, when all trimming of sheets is done, cut out: {}", told.join("; "));
        let _ = writeln!(out, "Mind the knife: {KNIFE_OUT}.");
    }
}

fn leftovers(room: &Room, plan: &Plan, look: Look, out: &mut String) {
    let unit = room.stash.settings.unit;
    let kept: Vec<_> = plan.leftovers.iter().filter(|leftover| leftover.worth_keeping).collect();
    let bits: u32 =
        plan.leftovers.iter().filter(|leftover| !leftover.worth_keeping).map(|leftover| leftover.count).sum();
    if kept.is_empty() && bits == 0 {
        return;
    }
    let _ = writeln!(out, "\n{}", look.strong("Left over"));
    for leftover in kept {
        let sheet = &plan.sheets[leftover.sheet];
        let size = leftover.size.exact(unit);
        let _ = writeln!(out, "  {:>3}: {} of {}, {size}", leftover.number, leftover.count, printable(&sheet.stock));
    }
    if bits > 0 {
        let _ = writeln!(out, "  and {} for the bits box", count(bits as usize, "piece"));
    }
}

fn hints(room: &Room, ask: &PlanAsk, plan: &Plan, look: Look, out: &mut String) {
    let is_short = ask.cards.is_none_or(|cards| plan.made < cards);
    if !plan.hints.helps.is_empty() && is_short {
        let _ = writeln!(out, "\n{}", look.strong("What would help most"));
        for help in &plan.hints.helps {
            let stock = room.index.stock(help.stock);
            let name = printable(&room.index.face(stock.front).view.name);
            let size = api::units::Size::new(stock.width, stock.height).exact(room.stash.settings.unit);
            let _ = writeln!(
                out,
                "  one more like {} ({name}, {size}): up to {}.{} cards more",
                printable(stock.id()),
                help.thousandths / 1000,
                help.thousandths % 1000 / 100,
            );
        }
    }
    if !plan.hints.let_go.is_empty() {
        let ids: Vec<String> = plan.hints.let_go.iter().map(|id| printable(id)).collect();
        let these = if ids.len() == 1 { "this 1".to_owned() } else { format!("these {}", ids.len()) };
        let _ = writeln!(
            out,
            "\nNo layout on file has a use for {these}; let go or keep for levelling: {}",
            ids.join(", ")
        );
    }
}

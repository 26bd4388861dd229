//! `plan --json`: a plan for a batch in; its cards, cut maps, leftovers and settings out, in the form
//! that `made` reads.

use super::build::{BITS_BOX, filling};
use super::cards::{Card, card};
use super::number::{Millimetres, Millionths};
use super::{FORMAT, written};
use crate::batch::{CutOut, Plan, PlanAsk, PlanSheet, Slip};
use crate::cut::{Axis, Side, Step};
use crate::room::{BatchChoices, Room};
use serde::Serialize;

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    stash: StashOf,
    revision: String,
    engine: &'static str,
    today: String,
    asked: Option<u32>,
    made: u32,
    at_most: u64,
    proven: bool,
    cut_short: bool,
    cards: Vec<CardsOf<'a>>,
    sheets: Vec<SheetOf<'a>>,
    guide_settings: Vec<Millimetres>,
    offcuts: Vec<Offcut<'a>>,
    levelling: Vec<LevelOf<'a>>,
    helps: Vec<HelpOf<'a>>,
    let_go: &'a [String],
    settings: SettingsOf<'a>,
}

#[derive(Serialize)]
struct StashOf {
    id: String,
    name: String,
}

#[derive(Serialize)]
struct CardsOf<'a> {
    suggestion: Card<'a>,
    count: u32,
    settled: bool,
    occasions: Vec<&'a str>,
}

#[derive(Serialize)]
struct SheetOf<'a> {
    stock: &'a str,
    paper: &'a str,
    copies: u32,
    width: Millimetres,
    height: Millimetres,
    #[serde(skip_serializing_if = "Option::is_none")]
    middle_of: Option<MiddleOf<'a>>,
    placements: Vec<Placement<'a>>,
    cuts: Vec<CutOf>,
    offcuts: Vec<Rest>,
}

#[derive(Serialize)]
struct Placement<'a> {
    piece: String,
    card: &'a str,
    layer: &'a str,
    #[serde(flatten)]
    place: Place,
    turned: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    hollow: Option<HollowOf>,
}

/// What a sheet is the middle of.
#[derive(Serialize)]
struct MiddleOf<'a> {
    stock: &'a str,
    card: &'a str,
    layer: &'a str,
    x: Millimetres,
    y: Millimetres,
}

/// Where the middle of a piece is cut out.
#[derive(Serialize)]
pub(super) struct HollowOf {
    pub(super) x: Millimetres,
    pub(super) y: Millimetres,
    pub(super) width: Millimetres,
    pub(super) height: Millimetres,
    pub(super) copies: u32,
}

#[derive(Serialize)]
struct Place {
    x: Millimetres,
    y: Millimetres,
    width: Millimetres,
    height: Millimetres,
}

#[derive(Serialize)]
struct CutOf {
    number: u32,
    part: u32,
    makes: [u32; 2],
    of: Place,
    axis: &'static str,
    position: Millimetres,
    guide: Millimetres,
    held: &'static str,
}

#[derive(Serialize)]
struct Rest {
    id: String,
    #[serde(flatten)]
    place: Place,
}

#[derive(Serialize)]
struct Offcut<'a> {
    id: String,
    stock: &'a str,
    paper: &'a str,
    width: Millimetres,
    height: Millimetres,
    count: u32,
    keep: bool,
}

#[derive(Serialize)]
struct LevelOf<'a> {
    card: &'a str,
    layer: &'a str,
    of: &'static str,
    from: &'a str,
    width: Millimetres,
    height: Millimetres,
    plies: u32,
    count: u32,
}

#[derive(Serialize)]
struct HelpOf<'a> {
    stock: &'a str,
    paper: &'a str,
    width: Millimetres,
    height: Millimetres,
    more_cards: Millionths,
}

#[derive(Serialize)]
struct SettingsOf<'a> {
    cards: Option<u32>,
    each: [u32; 2],
    designs: Option<u32>,
    r#use: &'a [String],
    spare: &'a [String],
    occasion: Option<&'a str>,
    goals: Vec<&'static str>,
    work: u64,
}

/// `plan --json`.
#[must_use]
pub fn plan(room: &Room, choices: &BatchChoices, ask: &PlanAsk, plan: &Plan) -> String {
    let folder = room.stash.folder.canonicalize().unwrap_or_else(|_| room.stash.folder.clone());
    let name = folder.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let (low, high) = (*ask.each.start(), *ask.each.end());
    written(&Document {
        format: FORMAT,
        stash: StashOf { id: room.records.stash_id(), name },
        revision: room.records.book.revision(),
        engine: env!("CARGO_PKG_VERSION"),
        today: room.today.to_string(),
        asked: ask.cards,
        made: plan.made,
        at_most: plan.at_most,
        proven: plan.is_proven(),
        cut_short: plan.cut_short,
        cards: plan
            .designs
            .iter()
            .zip(&plan.built)
            .map(|(design, built)| CardsOf {
                suggestion: card(room, &design.card, built),
                count: design.count,
                settled: ask.earlier.has_settled(&design.card),
                occasions: occasions(room, choices, design.card.layout),
            })
            .collect(),
        sheets: plan.sheets.iter().enumerate().map(|(place, sheet)| sheet_of(plan, place, sheet)).collect(),
        guide_settings: plan.guide_settings.iter().copied().map(Millimetres).collect(),
        offcuts: plan
            .leftovers
            .iter()
            .map(|leftover| {
                let sheet = &plan.sheets[leftover.sheet];
                Offcut {
                    id: leftover.number.to_string(),
                    stock: &sheet.stock,
                    paper: &sheet.paper,
                    width: Millimetres(leftover.size.width),
                    height: Millimetres(leftover.size.height),
                    count: leftover.count,
                    keep: leftover.worth_keeping,
                }
            })
            .collect(),
        levelling: plan.levelling.iter().map(|slip| slip_of(room, plan, slip)).collect(),
        helps: plan
            .hints
            .helps
            .iter()
            .map(|help| {
                let stock = room.index.stock(help.stock);
                HelpOf {
                    stock: stock.id(),
                    paper: &room.index.face(stock.front).id,
                    width: Millimetres(stock.width),
                    height: Millimetres(stock.height),
                    more_cards: Millionths(i64::from(help.thousandths) * 1000),
                }
            })
            .collect(),
        let_go: &plan.hints.let_go,
        settings: SettingsOf {
            cards: ask.cards,
            each: [low, high],
            designs: ask.designs,
            r#use: &choices.must_use,
            spare: &choices.spare,
            occasion: choices.occasion.as_deref(),
            goals: ask.goals.iter().map(|goal| goal.word()).collect(),
            work: ask.work,
        },
    })
}

/// What the cards are for: what was asked for, else what their layout is for.
fn occasions<'a>(room: &'a Room, choices: &'a BatchChoices, layout: usize) -> Vec<&'a str> {
    match &choices.occasion {
        Some(occasion) => vec![occasion],
        None => room.layouts[layout].occasions.iter().map(String::as_str).collect(),
    }
}

fn slip_of<'a>(room: &'a Room, plan: &'a Plan, slip: &'a Slip) -> LevelOf<'a> {
    LevelOf {
        card: &plan.designs[slip.design].card.id,
        layer: &slip.layer,
        of: filling(slip.of),
        from: slip.stock.map_or(BITS_BOX, |stock| room.index.stock(stock).id()),
        width: Millimetres(slip.size.width),
        height: Millimetres(slip.size.height),
        plies: slip.plies,
        count: slip.count,
    }
}

fn sheet_of<'a>(plan: &'a Plan, place: usize, sheet: &'a PlanSheet) -> SheetOf<'a> {
    let placements = sheet.placed.iter().map(|placed| {
        let card = plan.designs[placed.design].card.id.as_str();
        Placement {
            piece: format!("{card} {}", placed.piece),
            card,
            layer: &placed.piece,
            place: Place {
                x: Millimetres(placed.at.0),
                y: Millimetres(placed.at.1),
                width: Millimetres(placed.size.width),
                height: Millimetres(placed.size.height),
            },
            turned: placed.turned,
            hollow: placed.hole.map(|hole| HollowOf {
                x: Millimetres(hole.at.0),
                y: Millimetres(hole.at.1),
                width: Millimetres(hole.size.width),
                height: Millimetres(hole.size.height),
                copies: hole.copies,
            }),
        }
    });
    let offcuts = plan.leftovers.iter().filter(|leftover| leftover.sheet == place).map(|leftover| Rest {
        id: leftover.number.to_string(),
        place: Place {
            x: Millimetres(leftover.at.0),
            y: Millimetres(leftover.at.1),
            width: Millimetres(leftover.size.width),
            height: Millimetres(leftover.size.height),
        },
    });
    SheetOf {
        stock: &sheet.stock,
        paper: &sheet.paper,
        copies: sheet.copies,
        width: Millimetres(sheet.size.width),
        height: Millimetres(sheet.size.height),
        middle_of: sheet.middle.map(|of| middle_of(plan, place, &of)),
        placements: placements.collect(),
        cuts: plan.steps.iter().filter(|step| step.sheet == place).map(cut_of).collect(),
        offcuts: offcuts.collect(),
    }
}

fn middle_of<'a>(plan: &'a Plan, sheet: usize, of: &CutOut) -> MiddleOf<'a> {
    let card = &plan.designs[of.design].card;
    let layer = card.network.piece(of.slot, of.need).map(|(layer, _)| &card.network.layers[layer]);
    MiddleOf {
        stock: plan.line_of(sheet),
        card: &card.id,
        layer: layer.map_or("", |layer| &layer.id),
        x: Millimetres(of.rect.left),
        y: Millimetres(of.rect.top),
    }
}

fn cut_of(step: &Step) -> CutOf {
    let (x, y, width, height) = step.place;
    CutOf {
        number: step.number,
        part: step.part,
        makes: [2 * step.number - 1, 2 * step.number],
        of: Place { x: Millimetres(x), y: Millimetres(y), width: Millimetres(width), height: Millimetres(height) },
        axis: if step.axis == Axis::X { "x" } else { "y" },
        position: Millimetres(step.at),
        guide: Millimetres(step.guide),
        held: if step.held == Side::Near { "near" } else { "far" },
    }
}

//! The lists as JSON: stock, layouts, scorers, problems.

use super::number::{Millimetres, Millionths};
use super::{CardSize, Colour, FORMAT, card_size, colours, material, role, written};
use crate::index::{PLENTY, StockKind};
use crate::layout::{Drawn, Layout};
use crate::present::lines::{StockLine, stock_lines};
use crate::problem::{Outcome, Problem, Severity, shown};
use crate::room::Room;
use crate::score::NotSeated;
use crate::stash::{Copies, LineKind, Shape, Takes};
use api::{Gather, Knob, Knobs, Manifest};
use serde::Serialize;

#[derive(Serialize)]
struct Stock<'a> {
    format: u32,
    today: String,
    stock: Vec<StockOf<'a>>,
    dots: Vec<DotsOf<'a>>,
    cards: Vec<CardsOf<'a>>,
}

#[derive(Serialize)]
struct DotsOf<'a> {
    id: &'a str,
    name: &'a str,
    sort: &'static str,
    colour: String,
    diameter: Millimetres,
    height: Millimetres,
    grams: Option<Millionths>,
    count: u32,
    assumed: &'a [&'static str],
}

#[derive(Serialize)]
struct CardsOf<'a> {
    id: &'a str,
    suggestion: &'a str,
    name: &'a str,
    occasions: &'a [String],
    count: u32,
    made: u32,
    day: &'a str,
}

#[derive(Serialize)]
struct StockOf<'a> {
    id: &'a str,
    kind: &'static str,
    paper: &'a str,
    name: &'a str,
    material: &'static str,
    colours: Vec<Colour>,
    back: Option<&'a str>,
    width: Millimetres,
    height: Millimetres,
    count: u32,
    plenty: bool,
    added: Option<String>,
    assumed: &'a [&'static str],
}

/// `stock --json`: every line of stock, in the order of ids.
#[must_use]
pub fn stock(room: &Room) -> String {
    let stock = stock_lines(room).into_iter().map(|line| stock_of(room, line)).collect();
    let cards = room.stash.finished.iter().map(|cards| CardsOf {
        id: &cards.id,
        suggestion: &cards.suggestion,
        name: &cards.name,
        occasions: &cards.occasions,
        count: cards.count,
        made: cards.made,
        day: &cards.day,
    });
    let mut dots: Vec<DotsOf<'_>> = room
        .stash
        .dots
        .iter()
        .map(|dots| DotsOf {
            id: &dots.id,
            name: &dots.name,
            sort: dots.sort.word(),
            colour: api::hex(dots.colour),
            diameter: Millimetres(dots.diameter),
            height: Millimetres(dots.height),
            grams: dots.micrograms.map(|micrograms| Millionths(micrograms.into())),
            count: dots.count,
            assumed: &dots.assumed,
        })
        .collect();
    dots.sort_by_key(|dots| dots.id);
    written(&Stock { format: FORMAT, today: room.today.to_string(), stock, dots, cards: cards.collect() })
}

fn stock_of<'a>(room: &'a Room, line: StockLine<'a>) -> StockOf<'a> {
    let face = room.index.face(line.front);
    StockOf {
        id: line.id,
        kind: match line.kind {
            StockKind::Cuttable(LineKind::Sheet) => "sheet",
            StockKind::Cuttable(LineKind::Scrap) => "scrap",
            StockKind::Cuttable(LineKind::CardBase) | StockKind::CardBase => "card-base",
            StockKind::Image => "image",
        },
        paper: &face.id,
        name: &face.view.name,
        material: material(face.view.material),
        colours: colours(&face.view),
        back: line.back.map(|back| room.index.face(back).id.as_str()),
        width: Millimetres(line.size.width),
        height: Millimetres(line.size.height),
        count: match line.copies {
            Copies::Exactly(count) => count,
            Copies::Plenty => PLENTY,
        },
        plenty: line.copies == Copies::Plenty,
        added: line.added.map(|day| day.to_string()),
        assumed: line.assumed,
    }
}

#[derive(Serialize)]
struct Layouts<'a> {
    format: u32,
    built_in: bool,
    layouts: Vec<LayoutOf<'a>>,
}

#[derive(Serialize)]
struct LayoutOf<'a> {
    id: &'a str,
    name: &'a str,
    card: CardSize,
    credit: Option<&'a str>,
    link: Option<&'a str>,
    occasions: &'a [String],
    panels: Vec<PanelOf<'a>>,
}

#[derive(Serialize)]
struct PanelOf<'a> {
    id: &'a str,
    role: &'static str,
    on: Vec<&'a str>,
    shape: &'static str,
    takes: Vec<&'static str>,
    x: Millimetres,
    y: Millimetres,
    width: Millimetres,
    height: Millimetres,
    mats: Vec<Millimetres>,
    raised: bool,
    carries_words: bool,
}

/// `layouts --json`: every layout as drawn, in the order of ids.
#[must_use]
pub fn layouts(room: &Room) -> String {
    let layouts = room.layouts.iter().map(|layout| layout_of(room, layout)).collect();
    written(&Layouts { format: FORMAT, built_in: room.built_in_layouts, layouts })
}

fn layout_of<'a>(room: &Room, layout: &'a Layout) -> LayoutOf<'a> {
    let drawn = Drawn::as_drawn(layout, layout.card, room.stash.settings.ruler);
    let panels = layout.panels.iter().zip(&drawn.panels).map(|(panel, drawn)| {
        let place = drawn.footprint;
        PanelOf {
            id: &panel.id,
            role: role(panel.role),
            on: panel.on.iter().map(|below| layout.panels[*below].id.as_str()).collect(),
            shape: match panel.shape {
                Shape::Rectangle => "rectangle",
                Shape::Ellipse => "ellipse",
                Shape::BannerRight | Shape::BannerLeft | Shape::BannerUp | Shape::BannerDown => "banner",
                Shape::Die => "die",
            },
            takes: match &panel.takes {
                Takes::Stock(materials) => materials.iter().map(|one| material(*one)).collect(),
                Takes::Image => vec!["image"],
            },
            x: Millimetres(place.left),
            y: Millimetres(place.top),
            width: Millimetres(place.width()),
            height: Millimetres(place.height()),
            mats: panel.mats.iter().copied().map(Millimetres).collect(),
            raised: panel.raised,
            carries_words: panel.holds_sentiment,
        }
    });
    LayoutOf {
        id: &layout.id,
        name: &layout.name,
        card: card_size(room, layout.card),
        credit: layout.credit.as_deref(),
        link: layout.link.as_deref(),
        occasions: &layout.occasions,
        panels: panels.collect(),
    }
}

#[derive(Serialize)]
struct Plugins {
    format: u32,
    plugins: Vec<Plugin>,
    not_asked: Vec<Refused>,
}

#[derive(Serialize)]
struct Plugin {
    name: String,
    file: Option<String>,
    title: String,
    version: u32,
    weight: f64,
    share: Millionths,
    judges: Vec<&'static str>,
    gather: &'static str,
    neutral: Millionths,
    knobs: Vec<KnobOf>,
}

#[derive(Serialize)]
struct KnobOf {
    name: String,
    meaning: String,
    low: f64,
    high: f64,
    usual: f64,
    value: f64,
}

#[derive(Serialize)]
struct Refused {
    name: String,
    why: String,
}

/// `plugins --json`: every scorer, in the order of names.
#[must_use]
pub fn plugins(room: &Room) -> String {
    let all = room.scorers();
    let plugins = all.iter().map(|scorer| plugin(room, scorer.manifest())).collect();
    let broken = room.problems.iter().filter(|problem| problem.place.file.starts_with("plugins"));
    let broken = broken.map(|problem| Refused { name: shown(&problem.place.file), why: problem.message() });
    let not_asked = room
        .not_seated
        .iter()
        .map(|refused| match refused {
            NotSeated::OtherContract { scorer, version } => {
                Refused { name: scorer.clone(), why: format!("it was written for version {version} of the contract") }
            }
            NotSeated::MixedTerms { scorer } => {
                Refused { name: scorer.clone(), why: "it judges nothing, or more than one kind of thing".to_owned() }
            }
        })
        .chain(broken)
        .collect();
    written(&Plugins { format: FORMAT, plugins, not_asked })
}

fn plugin(room: &Room, manifest: &Manifest) -> Plugin {
    let set = room.stash.settings.scorers.get(&manifest.name);
    let none = Knobs::default();
    let knobs = set.map_or(&none, |set| &set.knobs);
    let knob = |knob: &Knob| KnobOf {
        name: knob.name.to_string(),
        meaning: knob.meaning.to_string(),
        low: knob.low,
        high: knob.high,
        usual: knob.default,
        value: knobs.value(knob),
    };
    let share = room.jury.members.iter().find(|member| member.name() == manifest.name).map_or(0, |member| member.share);
    let ranges = &manifest.ranges;
    let terms = [
        ("piece", ranges.piece),
        ("in role", ranges.in_role),
        ("mat behind", ranges.mat_behind),
        ("touching", ranges.touching),
        ("same card", ranges.same_card),
        ("card", ranges.card),
    ];
    Plugin {
        name: manifest.name.clone(),
        file: room.scripts.get(&manifest.name).map(|script| shown(script.file())),
        title: manifest.title.clone(),
        version: manifest.version,
        weight: set.and_then(|set| set.weight).unwrap_or(manifest.weight),
        share: Millionths::of(share),
        judges: terms.into_iter().filter_map(|(term, range)| range.map(|_| term)).collect(),
        gather: match manifest.gather {
            Gather::Mean => "mean",
            Gather::Weakest => "weakest",
        },
        neutral: Millionths::of(manifest.neutral.millionths()),
        knobs: manifest.knobs.iter().map(knob).collect(),
    }
}

#[derive(Serialize)]
struct Check {
    format: u32,
    problems: Vec<ProblemOf>,
    papers: usize,
    lines: usize,
    images: usize,
    layouts: usize,
}

#[derive(Serialize)]
struct ProblemOf {
    file: String,
    line: u32,
    column: u32,
    severity: &'static str,
    message: String,
    remedy: String,
    outcome: Option<String>,
    text: String,
}

/// `check --json`: everything that is wrong, in the order of files and places.
#[must_use]
pub fn check(room: &Room) -> String {
    written(&Check {
        format: FORMAT,
        problems: room.problems.iter().map(problem).collect(),
        papers: room.stash.papers.len(),
        lines: room.stash.lines.len(),
        images: room.stash.images.len(),
        layouts: room.layouts.len(),
    })
}

fn problem(problem: &Problem) -> ProblemOf {
    ProblemOf {
        file: shown(&problem.place.file),
        line: problem.place.line,
        column: problem.place.column,
        severity: match problem.severity() {
            Severity::Note => "note",
            Severity::Wrong => "wrong",
        },
        message: problem.message(),
        remedy: problem.remedy(),
        outcome: match &problem.outcome {
            Outcome::Said => None,
            Outcome::LeftOut(what) => Some(format!("{what} is left out")),
            Outcome::TakenAs(what) => Some(format!("read as {what}")),
        },
        text: problem.to_string(),
    }
}

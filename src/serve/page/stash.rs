//! *Look at the stash*: every line as a swatch with its name, size, number and age; by colour, size,
//! kind and age; and a paper added with a photograph.

use super::super::choices::Asking;
use super::super::view::View;
use super::frame::{self, Area};
use super::tiles::{dot, sheet};
use super::trouble;
use crate::index::{FaceId, StockKind};
use crate::present::Defs;
use crate::present::dots::swatch;
use crate::present::lines::{StockLine, stock_lines};
use crate::present::words::material_word;
use crate::room::Room;
use crate::stash::{Copies, Dots, LineKind};
use api::units::{Length, Purpose, Size, Turn};
use api::{Colour, colour_name, delta_e_2000, from_hex, hex};
use maud::{Markup, PreEscaped, html};
use std::collections::BTreeMap;
use swatchfold_door::Told;

/// The lines on one page.
const A_PAGE: usize = 120;
/// Colours to look for: hand-picked round the wheel, light and dark, each told by its name.
const COLOURS: [&str; 14] = [
    "#b3261e", "#e8603c", "#e9a23b", "#f2d06b", "#7a9a3a", "#2f6b4f", "#3f8f8c", "#2f5d9b", "#1f2c47", "#7a4b8c",
    "#d98aa3", "#8a5a3c", "#f5efe2", "#3a3633",
];

/// What is looked for.
struct Sought {
    colour: Option<Colour>,
    size: Option<Size>,
    kind: Option<&'static str>,
    /// Older than so many days.
    age: Option<u32>,
    from: usize,
}

/// The kinds there are, by their word in the address.
const KINDS: [(&str, &str); 4] =
    [("sheet", "sheets"), ("scrap", "scraps"), ("base", "card bases"), ("image", "images")];
/// Ages to choose from, in days.
const AGES: [(&str, u32); 3] = [("180", 180), ("365", 365), ("730", 730)];

fn kind_of(kind: StockKind) -> &'static str {
    match kind {
        StockKind::Cuttable(LineKind::Sheet) => "sheet",
        StockKind::Cuttable(LineKind::Scrap) => "scrap",
        StockKind::Cuttable(LineKind::CardBase) | StockKind::CardBase => "base",
        StockKind::Image => "image",
    }
}

impl Sought {
    fn read(view: &View<'_>) -> Result<Self, String> {
        let settings = &view.room().stash.settings;
        let query = |name: &str| view.asked.query(name).map(str::trim).filter(|text| !text.is_empty());
        let size = match query("size") {
            None => None,
            Some(text) => Some(
                Size::read(text, settings.unit, settings.region, Purpose::Sheet)
                    .map_err(|why| format!("“{text}” is no size: {why}"))?,
            ),
        };
        Ok(Self {
            colour: query("colour").and_then(from_hex),
            size,
            kind: query("kind").and_then(|kind| KINDS.iter().find(|(word, _)| *word == kind)).map(|(word, _)| *word),
            age: query("age").and_then(|age| AGES.iter().find(|(word, _)| *word == age)).map(|(_, days)| *days),
            from: query("from").and_then(|from| from.parse().ok()).unwrap_or(0),
        })
    }

    fn wants(&self, room: &Room, line: &StockLine<'_>) -> bool {
        let age = || line.added.map(|added| room.today.days_since(added));
        self.kind.is_none_or(|kind| kind_of(line.kind) == kind)
            && self.size.is_none_or(|size| size.fits_in(line.size, Turn::Either))
            && self.age.is_none_or(|days| age().is_some_and(|age| age >= days))
    }
}

/// How far a face is from a colour: its nearest swatch that covers a tenth or more, in whole
/// thousandths of ΔE00, so that the order is the same everywhere.
fn distance(room: &Room, face: FaceId, colour: Colour) -> i64 {
    let swatches = &room.index.face(face).view.swatches;
    let near = swatches
        .iter()
        .filter(|swatch| swatch.share.millionths() >= 100_000)
        .map(|swatch| delta_e_2000(swatch.colour, colour));
    let nearest = near.fold(f64::INFINITY, f64::min).min(1_000.0);
    #[allow(clippy::cast_possible_truncation, reason = "at most a million")]
    let thousandths = (nearest * 1000.0).round() as i64;
    thousandths
}

/// The page.
pub(super) fn page(view: &View<'_>) -> Told {
    let room = view.room();
    let sought = match Sought::read(view) {
        Ok(sought) => sought,
        Err(why) => return trouble::said(view, 400, &format!("{why}."), "Write width and height, such as 4 x 5 1/4."),
    };
    let mut lines: Vec<StockLine<'_>> = stock_lines(room).into_iter().filter(|line| sought.wants(room, line)).collect();
    if let Some(colour) = sought.colour {
        let mut known: BTreeMap<FaceId, i64> = BTreeMap::new();
        lines.sort_by_key(|line| {
            (*known.entry(line.front).or_insert_with(|| distance(room, line.front, colour)), line.id)
        });
    }
    let total = lines.len();
    let shown: Vec<StockLine<'_>> = lines.into_iter().skip(sought.from).take(A_PAGE).collect();
    let faces: Vec<FaceId> = shown.iter().map(|line| line.front).collect();
    let pictures = view.pictures_of_faces(room, &faces);
    let scene = view.scene(room, &pictures);
    let mut shared = Defs::new("s-");
    let tiles: Vec<Markup> = faces.iter().map(|face| sheet(&scene, *face, &mut shared)).collect();
    let main = html! {
        (frame::shared(&shared))
        header.lead {
            h1 { "Look at the stash" }
            p.ways { a.button href="/stash/add" { "Add a paper" } a.button href="/record" { "What was recorded" } }
        }
        (filters(view, &sought))
        p.proof { @if total == 1 { "1 line" } @else { (total) " lines" } @if sought.colour.is_some() { ", the nearest colour first" } "." }
        ul.lines {
            @for (line, tile) in shown.iter().zip(&tiles) { (row(view, line, tile)) }
        }
        @if sought.from + A_PAGE < total {
            p.ways { a.button href=(further(view, sought.from + A_PAGE)) { "Further" } }
        }
        (dots(view))
        (wrong(room))
    };
    frame::page(view, Area::Stash, "Look at the stash", &main)
}

fn further(view: &View<'_>, from: usize) -> String {
    let mut pairs: Vec<(String, String)> = view.asked.query.iter().filter(|(key, _)| key != "from").cloned().collect();
    pairs.push(("from".to_owned(), from.to_string()));
    format!("/stash?{}", super::super::choices::query_of(&pairs))
}

fn filters(view: &View<'_>, sought: &Sought) -> Markup {
    let query = |name: &str| view.asked.query(name).unwrap_or_default().trim().to_owned();
    html! {
        form.choices method="get" action="/stash" data-swap="" aria-label="What to look for" {
            fieldset.spots {
                legend { "Nearest to a colour" }
                @for colour in COLOURS {
                    @let name = from_hex(colour).map_or("", colour_name);
                    label.spot title=(name) {
                        input type="radio" name="colour" value=(colour) checked[sought.colour.map(hex).as_deref() == Some(colour)];
                        (dot(colour))
                        span { (name) }
                    }
                }
            }
            div.row {
                label.field {
                    span { "Kind" }
                    select name="kind" {
                        option value="" { "all" }
                        @for (word, plural) in KINDS { option value=(word) selected[sought.kind == Some(word)] { (plural) } }
                    }
                }
                label.field {
                    span { "At least" }
                    input name="size" value=(query("size")) placeholder="4 x 5 1/4" size="10" autocomplete="off";
                }
                label.field {
                    span { "Older than" }
                    select name="age" {
                        option value="" { "any age" }
                        @for (word, days) in AGES { option value=(word) selected[sought.age == Some(days)] { @match days { 180 => "half a year", 365 => "a year", _ => "two years" } } }
                    }
                }
                button.small { "Show" }
                a.button.small href="/stash" data-swap="" { "All" }
            }
        }
    }
}

fn row(view: &View<'_>, line: &StockLine<'_>, tile: &Markup) -> Markup {
    let room = view.room();
    let of = room.index.face(line.front);
    let settings = &room.stash.settings;
    let unsure = line.assumed.iter().any(|key| ["size", "width", "height"].contains(key));
    html! {
        li {
            span.lies { (tile) }
            div {
                p.name { b { bdi { (of.view.name) } } " " code { (line.id) } }
                p {
                    span.size { (line.size.exact(settings.unit)) }
                    @if unsure { " (assumed)" }
                    " · "
                    @match line.copies {
                        Copies::Plenty => "plenty",
                        Copies::Exactly(1) => "1 piece",
                        Copies::Exactly(count) => { (count) " pieces" }
                    }
                }
                p.meta {
                    (kind_word(line.kind)) ", " (material_word(of.view.material))
                    @if let Some(added) = line.added { " · " (age(room.today.days_since(added))) }
                }
                p.meta.spots { @for swatch in of.view.swatches.iter().take(4) { (dot(&hex(swatch.colour))) } span { (of.view.swatches.first().map_or("", |swatch| colour_name(swatch.colour))) } }
            }
            a.button.small href=(Asking::default().using(line.id).at("/cards")) aria-label=(format!("cards with {} {}", of.view.name, line.id)) { "Cards" }
            @if let (Copies::Exactly(count), StockKind::Cuttable(_)) = (line.copies, line.kind) { (put_right(view, line, count)) }
        }
    }
}

/// The forms that put a line right.
fn put_right(view: &View<'_>, line: &StockLine<'_>, count: u32) -> Markup {
    let settings = &view.room().stash.settings;
    html! {
        details.right {
            summary { "Put it right" span.out { ": " (line.id) } }
            form.row method="post" action="/stash/recount" {
                (frame::hidden(view))
                input type="hidden" name="id" value=(line.id);
                label.field { span { "There are" } input type="number" name="count" min="0" max="1000000" value=(count) required inputmode="numeric"; }
                button.small { "Count" }
            }
            form.row method="post" action="/stash/resize" {
                (frame::hidden(view))
                input type="hidden" name="id" value=(line.id);
                label.field { span { "One of them is" } input name="size" value=(line.size.exact(settings.unit)) required size="12" autocomplete="off"; }
                button.small { "Measured" }
            }
        }
    }
}

fn kind_word(kind: StockKind) -> &'static str {
    match kind_of(kind) {
        "base" => "card base",
        word => word,
    }
}

/// An age in a maker's words.
fn age(days: u32) -> String {
    match days {
        0 => "since today".to_owned(),
        1 => "since yesterday".to_owned(),
        2..=60 => format!("{days} days"),
        61..=700 => format!("{} months", days / 30),
        _ => format!("{} years", days / 365),
    }
}

/// Finishing dots, each kind as a swatch that carries its name.
fn dots(view: &View<'_>) -> Markup {
    let room = view.room();
    let mut all: Vec<&Dots> = room.stash.dots.iter().collect();
    all.sort_by(|one, other| one.id.cmp(&other.id));
    let mm = |length: Length| length.exact(api::units::Unit::Millimetre);
    html! {
        @if !all.is_empty() {
            section.work aria-labelledby="dots" {
                h2 #dots { "Finishing dots" }
                ul.lines {
                    @for dots in all {
                        li {
                            span.lies { (PreEscaped(swatch(dots))) }
                            div {
                                p.name { b { bdi { (dots.name) } } " " code { (dots.id) } }
                                p { span.size { (mm(dots.diameter)) " across, " (mm(dots.height)) " high" } @if dots.assumed.contains(&"height") { " (assumed)" } " · " (dots.count) @if dots.count == 1 { " dot" } @else { " dots" } }
                                p.meta.spots { (dot(&hex(dots.colour))) span { (dots.sort.word()) ", " (colour_name(dots.colour)) } }
                            }
                            details.right {
                                summary { "Put it right" span.out { ": " (dots.id) } }
                                form.row method="post" action="/stash/recount" {
                                    (frame::hidden(view))
                                    input type="hidden" name="id" value=(dots.id);
                                    label.field { span { "There are" } input type="number" name="count" min="0" max="1000000" value=(dots.count) required inputmode="numeric"; }
                                    button.small { "Count" }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What is wrong in the files.
fn wrong(room: &Room) -> Markup {
    html! {
        @if !room.problems.is_empty() {
            section.wrong #wrong {
                h2 { "In the files" }
                p { "What is well is used; this needs a look." }
                ul { @for problem in room.problems.iter().take(100) { li { pre { (problem.to_string()) } } } }
            }
        }
    }
}

/// The page on which a paper is added.
pub(super) fn add_page(view: &View<'_>) -> Told {
    frame::page(view, Area::Stash, "Add a paper", &add_form(view, None))
}

fn add_form(view: &View<'_>, wrong: Option<&str>) -> Markup {
    let field = |name: &str| view.asked.field(name).unwrap_or_default().to_owned();
    let settings = &view.room().stash.settings;
    let examples = match settings.unit {
        api::units::Unit::Inch => "6 x 6 in",
        api::units::Unit::Millimetre => "150 x 150 mm",
    };
    html! {
        p.back { a href="/stash" { "← The stash" } }
        header.lead { h1 { "Add a paper" } p { "A photograph straight from above, filled by the paper, gives the truest colours. Without one, choose its colour." } }
        form.add method="post" action="/stash/add" enctype="multipart/form-data" {
            (frame::hidden(view))
            input type="hidden" name="from" value="/stash/add";
            @if let Some(wrong) = wrong { p.wrong role="alert" { (wrong) } }
            label.field.wide { span { "What you call it" } input name="name" value=(field("name")) required maxlength="80" autocomplete="off"; }
            label.field.wide { span { "Photograph" } input type="file" name="picture" accept="image/jpeg,image/png,image/webp" capture="environment"; }
            img.preview alt="" hidden;
            label.field { span { "Or its colour" } input type="color" name="colour" value=(if field("colour").is_empty() { "#8a5a3c".to_owned() } else { field("colour") }); }
            label.field { span { "What it is" }
                select name="material" {
                    option value="patterned" { "patterned paper" }
                    option value="cardstock" { "cardstock" }
                    option value="kraft" { "kraft" }
                    option value="vellum" { "vellum" }
                    option value="glitter" { "glitter stock" }
                }
            }
            label.field { span { "Width × height, the pattern upright" } input name="size" value=(field("size")) required placeholder=(examples) autocomplete="off"; }
            label.field { span { "How many" } input type="number" name="count" min="1" max="10000" value=(if field("count").is_empty() { "1".to_owned() } else { field("count") }) inputmode="numeric" required; }
            button.main { "Add it" }
        }
    }
}

/// Adds a paper: a file of its own in the stash, and its photograph.
pub(super) fn add(view: &View<'_>) -> Told {
    let _pen = view.pages.desk.pen();
    if let Some(stale) = view.is_stale() {
        return stale;
    }
    match super::super::adding::add(view) {
        Ok(id) => {
            view.pages.desk.look();
            Told::see(Asking::default().using(&id).at("/cards"))
        }
        Err(why) => {
            let main = add_form(view, Some(&why));
            frame::page(view, Area::Stash, "Add a paper", &main).with_status(400)
        }
    }
}

/// The length under which nothing is added: smaller than that is for the bits box.
pub(in super::super) const SMALLEST: Length = Length::micrometres(6_350);

//! The stock as a table, and a table as files of a stash.

use super::{BadTable, Row, Rows, table};
use crate::ledger::Kind;
use crate::stash::{Colours, Copies, Date, DotSort, LineKind, Paper, PaperId, Stash};
use api::Material;
use api::units::Length;
use std::collections::BTreeSet;
use std::fmt::Write as _;

const HEADINGS: [&str; 13] = [
    "id",
    "kind",
    "paper",
    "name",
    "material",
    "colour",
    "back_name",
    "back_colour",
    "width_mm",
    "height_mm",
    "count",
    "added",
    "thick_mm",
];

/// A line of stock as a table has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StockRow {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: Kind,
    /// The id of its paper; its own id where it shows a paper of its own.
    pub paper: String,
    /// What the paper is called.
    pub name: String,
    /// What it is made of.
    pub material: String,
    /// Its colour, `#rrggbb`.
    pub colour: String,
    /// What is on its other side, and its colour.
    pub back: Option<(String, String)>,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// How many there are; `None` where they never run out.
    pub count: Option<u32>,
    /// The day it came.
    pub added: Option<String>,
    /// How high finishing dots stand, where the table says it.
    pub thick: Option<Length>,
}

/// The stock as it stands in a stash, line by line.
#[must_use]
pub fn stock_table(stash: &Stash) -> String {
    let mut rows: Vec<Vec<String>> = stash
        .lines
        .iter()
        .map(|line| {
            let front = stash.paper(line.front);
            let kind = match line.kind {
                LineKind::Sheet => Kind::Sheet,
                LineKind::Scrap => Kind::Scrap,
                LineKind::CardBase => Kind::CardBase,
            };
            let back = |of: &dyn Fn(&Paper) -> String| {
                line.back.map_or_else(String::new, |back: PaperId| of(stash.paper(back)))
            };
            vec![
                line.id.clone(),
                kind.word().to_owned(),
                front.id.clone(),
                front.name.clone(),
                word(front.material).to_owned(),
                colour(front),
                back(&|paper| paper.name.clone()),
                back(&colour),
                line.width.to_mm_decimal(),
                line.height.to_mm_decimal(),
                line.count.to_string(),
                line.added.map_or_else(String::new, |day| day.to_string()),
                String::new(),
            ]
        })
        .collect();
    rows.extend(stash.images.iter().map(|image| {
        let count = match image.copies {
            Copies::Exactly(count) => count.to_string(),
            Copies::Plenty => "plenty".to_owned(),
        };
        let swatch = image.swatches.first().map_or_else(String::new, |swatch| api::hex(swatch.colour));
        let (width, height) = (image.size.width.to_mm_decimal(), image.size.height.to_mm_decimal());
        let (id, kind, name) = (image.id.clone(), Kind::Image.word().to_owned(), image.name.clone());
        let (none, material) = (String::new(), "image".to_owned());
        vec![
            id.clone(),
            kind,
            id,
            name,
            material,
            swatch,
            none.clone(),
            none.clone(),
            width,
            height,
            count,
            none.clone(),
            none,
        ]
    }));
    rows.extend(stash.dots.iter().map(|dots| {
        let across = dots.diameter.to_mm_decimal();
        let (kind, sort, colour) = (Kind::Dots.word().to_owned(), dots.sort.word().to_owned(), api::hex(dots.colour));
        let none = String::new;
        vec![
            dots.id.clone(),
            kind,
            dots.id.clone(),
            dots.name.clone(),
            sort,
            colour,
            none(),
            none(),
            across.clone(),
            across,
            dots.count.to_string(),
            none(),
            dots.height.to_mm_decimal(),
        ]
    }));
    rows.sort();
    table(&HEADINGS, rows.into_iter())
}

const fn word(material: Material) -> &'static str {
    match material {
        Material::Patterned => "patterned",
        Material::Vellum => "vellum",
        Material::Glitter => "glitter",
        Material::Kraft => "kraft",
        _ => "cardstock",
    }
}

fn colour(paper: &Paper) -> String {
    match &paper.colours {
        Colours::Entered(swatches) => swatches.first().map_or_else(String::new, |swatch| api::hex(swatch.colour)),
        Colours::FromPicture => String::new(),
    }
}

/// Reads a table of stock.
///
/// # Errors
/// All that is wrong with it, row by row.
pub fn read_stock(text: &str) -> Result<Vec<StockRow>, Vec<BadTable>> {
    let rows = Rows::read(text, &["id", "kind", "width_mm", "height_mm", "count"])?;
    let (mut good, mut bad) = (Vec::new(), Vec::new());
    let mut ids = BTreeSet::new();
    for row in rows.each() {
        match stock_row(&row) {
            Ok(line) if !ids.insert(line.id.clone()) => {
                bad.push(BadTable::new(row.number, format!("a second line has the id `{}`", line.id)));
            }
            Ok(line) => good.push(line),
            Err(why) => bad.push(why),
        }
    }
    if bad.is_empty() { Ok(good) } else { Err(bad) }
}

fn stock_row(row: &Row<'_>) -> Result<StockRow, BadTable> {
    let bad = |why: String| BadTable::new(row.number, why);
    let id = row.some("id").filter(|id| id.chars().count() <= 80 && !id.chars().any(char::is_control));
    let id = id.ok_or_else(|| bad("it has no id of 1 to 80 characters".to_owned()))?;
    let kind = match row.get("kind") {
        "sheet" => Kind::Sheet,
        "scrap" => Kind::Scrap,
        "card-base" => Kind::CardBase,
        "image" => Kind::Image,
        "dots" => Kind::Dots,
        other => return Err(bad(format!("`{other}` is no kind: write sheet, scrap, card-base, image or dots"))),
    };
    let usual = if kind == Kind::Dots { DotSort::Pearls.word() } else { "cardstock" };
    let material = row.some("material").unwrap_or_else(|| usual.to_owned());
    let is_sort = DotSort::WORDS.iter().any(|(word, _)| *word == material);
    if (kind == Kind::Dots) != is_sort && (is_sort || kind == Kind::Dots) {
        return Err(bad(format!("`{material}` is no material of a {}", kind.word())));
    }
    if !is_sort && !["patterned", "cardstock", "vellum", "glitter", "kraft", "image"].contains(&material.as_str()) {
        return Err(bad(format!("`{material}` is no material")));
    }
    let colour = |heading: &str| -> Result<String, BadTable> {
        let text = row.get(heading);
        if text.is_empty() || crate::stash::colour_of(text).is_some() {
            return Ok(text.to_owned());
        }
        Err(bad(format!("`{text}` under `{heading}` is no colour: write it as `#aa3322`")))
    };
    let count = if row.get("count") == "plenty" { None } else { Some(row.number::<u32>("count")?) };
    if count.is_some_and(|count| count > 1_000_000) {
        return Err(bad("more than a million of one line".to_owned()));
    }
    let added = row.some("added");
    if let Some(day) = added.as_ref().filter(|day| Date::parse(day).is_none()) {
        return Err(bad(format!("`{day}` under `added` is no day: write it as `2026-03-01`")));
    }
    let size = (row.millimetres("width_mm")?, row.millimetres("height_mm")?);
    if !size.0.is_positive() || !size.1.is_positive() {
        return Err(bad("it has no width or no height".to_owned()));
    }
    let thick = if row.get("thick_mm").is_empty() { None } else { Some(row.millimetres("thick_mm")?) };
    if thick.is_some_and(|thick| !thick.is_positive()) {
        return Err(bad("it is not thick at all".to_owned()));
    }
    let back_colour = colour("back_colour")?;
    let back = row.some("back_name").map(|name| (name, back_colour));
    Ok(StockRow {
        paper: row.some("paper").unwrap_or_else(|| id.clone()),
        name: row.some("name").unwrap_or_else(|| id.clone()),
        colour: colour("colour")?,
        id,
        kind,
        material,
        back,
        width: size.0,
        height: size.1,
        count,
        added,
        thick,
    })
}

/// Files of a stash that hold these lines: a name and a text each. Papers whose colour the table does
/// not say are grey, and images are left out: both need a picture that a table does not have.
#[must_use]
pub fn stock_files(rows: &[StockRow]) -> Vec<(&'static str, String)> {
    [
        (Kind::Sheet, "imported-sheets.toml", "sheets", "sheet"),
        (Kind::Scrap, "imported-scraps.toml", "scraps", "scrap"),
        (Kind::CardBase, "imported-bases.toml", "bases", "base"),
        (Kind::Dots, "imported-dots.toml", "dots", "dots"),
    ]
    .into_iter()
    .filter_map(|(kind, file, word, section)| {
        let of_kind: Vec<&StockRow> = rows.iter().filter(|row| row.kind == kind).collect();
        if of_kind.is_empty() {
            return None;
        }
        let mut text = format!("# Brought in from a table.\nkind = \"{word}\"\n");
        for row in of_kind {
            section_of(&mut text, section, row, rows);
        }
        Some((file, text))
    })
    .collect()
}

fn section_of(text: &mut String, section: &str, row: &StockRow, rows: &[StockRow]) {
    // Writing to a text does not fail.
    let _ = writeln!(text, "\n[[{section}]]");
    let mut put = |key: &str, value: String| {
        let _ = writeln!(text, "{key} = {value}");
    };
    put("id", quoted(&row.id));
    if row.kind == Kind::Dots {
        put("name", quoted(&row.name));
        put("sort", quoted(&row.material));
        put("colour", quoted(if row.colour.is_empty() { "#808080" } else { &row.colour }));
        put("diameter", quoted(&format!("{} mm", row.width.to_mm_decimal())));
        if let Some(thick) = row.thick {
            put("height", quoted(&format!("{} mm", thick.to_mm_decimal())));
        }
        put("count", row.count.unwrap_or(0).to_string());
        return;
    }
    let of_another = row.paper != row.id && rows.iter().any(|other| other.id == row.paper);
    if of_another {
        put("paper", quoted(&row.paper));
    } else {
        put("name", quoted(&row.name));
        put("colour", quoted(if row.colour.is_empty() { "#808080" } else { &row.colour }));
        put("material", quoted(&row.material));
    }
    put("width", quoted(&format!("{} mm", row.width.to_mm_decimal())));
    put("height", quoted(&format!("{} mm", row.height.to_mm_decimal())));
    put("count", row.count.unwrap_or(0).to_string());
    if let Some(day) = &row.added {
        put("added", day.clone());
    }
    if let (Some((name, colour)), false) = (&row.back, of_another) {
        let colour = if colour.is_empty() { "#808080" } else { colour };
        put("back", format!("{{ name = {}, colour = {} }}", quoted(name), quoted(colour)));
    }
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

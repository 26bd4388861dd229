//! The use-up report as text, as JSON and as a chart: values in, nothing decided.

use super::xml::escape;
use crate::problem::printable;
use crate::record::report::{AGES, PadYield, Report, SIZES};
use serde::Serialize;
use std::fmt::Write as _;

/// At most so many untouched lines are told in text; the JSON has all.
const MOST: usize = 15;

/// The report for people.
#[must_use]
pub fn text(report: &Report) -> String {
    let mut out = String::from("Scraps by age and size\n");
    let heads: Vec<String> = SIZES.iter().map(|(size, _)| format!("{size:>15}")).collect();
    let _ = writeln!(out, "  {:<16}{}", "", heads.join(""));
    for ((age, _), row) in AGES.iter().zip(&report.scraps) {
        let cells: Vec<String> = row.iter().map(|cell| format!("{:>15}", cell.count)).collect();
        let _ = writeln!(out, "  {age:<16}{}", cells.join(""));
    }
    out.push_str("\nPads: what they gave\n");
    if report.pads.is_empty() {
        out.push_str("  there is no pad here\n");
    }
    for pad in &report.pads {
        let each = per_sheet(pad).map_or_else(String::new, |(whole, tenth)| format!(", {whole}.{tenth} cards a sheet"));
        let _ = writeln!(
            out,
            "  {}: {} cut, {} left; {} cards{each}; {} cm2 on cards, {} cm2 left",
            printable(&pad.pad),
            pad.sheets_cut,
            pad.sheets_left,
            pad.cards,
            pad.used_cm2,
            pad.left_cm2,
        );
    }
    let _ = writeln!(out, "\nNot touched for a season: {}", report.untouched.len());
    for (id, days) in report.untouched.iter().take(MOST) {
        let _ = writeln!(out, "  {}: {} months", printable(id), days / 30);
    }
    if report.untouched.len() > MOST {
        let _ = writeln!(out, "  and {} more", report.untouched.len() - MOST);
    }
    out.push_str("\nThe scrap box, month by month\n");
    for (day, scraps) in &report.trend {
        let _ = writeln!(out, "  {day}  {:>5} pieces  {:>7} cm2", scraps.count, scraps.area_cm2);
    }
    out
}

/// Cards a sheet, in whole and tenths, rounded down.
fn per_sheet(pad: &PadYield) -> Option<(u64, u64)> {
    let tenths = (pad.cards * 10).checked_div(pad.sheets_cut)?;
    Some((tenths / 10, tenths % 10))
}

#[derive(Serialize)]
struct Document {
    format: u32,
    today: String,
    scraps: Vec<ScrapsOf>,
    pads: Vec<PadOf>,
    untouched: Vec<UntouchedOf>,
    trend: Vec<TrendOf>,
}

#[derive(Serialize)]
struct ScrapsOf {
    age: &'static str,
    size: &'static str,
    count: u64,
    area_cm2: u64,
}

#[derive(Serialize)]
struct PadOf {
    pad: String,
    sheets_left: u64,
    sheets_cut: u64,
    cards: u64,
    cards_per_sheet: Option<super::json::Decimal>,
    used_cm2: u64,
    left_cm2: u64,
}

#[derive(Serialize)]
struct UntouchedOf {
    id: String,
    days: u32,
}

#[derive(Serialize)]
struct TrendOf {
    day: String,
    count: u64,
    area_cm2: u64,
}

/// `report --json`.
#[must_use]
pub fn json(report: &Report) -> String {
    let mut scraps = Vec::new();
    for ((age, _), row) in AGES.iter().zip(&report.scraps) {
        for ((size, _), cell) in SIZES.iter().zip(row) {
            scraps.push(ScrapsOf { age, size, count: cell.count, area_cm2: cell.area_cm2 });
        }
    }
    let pad = |pad: &PadYield| PadOf {
        pad: pad.pad.clone(),
        sheets_left: pad.sheets_left,
        sheets_cut: pad.sheets_cut,
        cards: pad.cards,
        cards_per_sheet: per_sheet(pad).map(|(whole, tenth)| super::json::Decimal::tenths(whole * 10 + tenth)),
        used_cm2: pad.used_cm2,
        left_cm2: pad.left_cm2,
    };
    super::json::document(&Document {
        format: super::json::FORMAT,
        today: report.today.to_string(),
        scraps,
        pads: report.pads.iter().map(pad).collect(),
        untouched: report.untouched.iter().map(|(id, days)| UntouchedOf { id: id.clone(), days: *days }).collect(),
        trend: report
            .trend
            .iter()
            .map(|(day, scraps)| TrendOf { day: day.to_string(), count: scraps.count, area_cm2: scraps.area_cm2 })
            .collect(),
    })
}

/// The scrap box month by month, as an SVG picture of bars.
#[must_use]
pub fn chart(report: &Report) -> String {
    const WIDTH: u64 = 640;
    const HEIGHT: u64 = 300;
    const LEFT: u64 = 20;
    const BASE: u64 = 240;
    const TALL: u64 = 170;
    let most = report.trend.iter().map(|(_, scraps)| scraps.count).max().unwrap_or(0).max(1);
    let step = (WIDTH - 2 * LEFT) / (report.trend.len().max(1) as u64);
    let now = report.trend.last().map_or(0, |(_, scraps)| scraps.count);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" \
         font-family=\"sans-serif\" role=\"img\">\n<title>The scrap box, month by month: {now} pieces now</title>\n\
         <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#ffffff\"/>\n\
         <text x=\"{LEFT}\" y=\"32\" font-size=\"18\" fill=\"#222222\">The scrap box, month by month</text>\n\
         <line x1=\"{LEFT}\" y1=\"{BASE}\" x2=\"{}\" y2=\"{BASE}\" stroke=\"#444444\" stroke-width=\"1\"/>\n",
        WIDTH - LEFT
    );
    for ((day, scraps), place) in report.trend.iter().zip(0_u64..) {
        let tall = scraps.count * TALL / most;
        let (x, y) = (LEFT + place * step + step / 8, BASE - tall);
        let (wide, middle) = (step * 3 / 4, LEFT + place * step + step / 2);
        let month = day.to_string();
        let (year, month) = (month.get(..4).unwrap_or_default(), month.get(5..7).unwrap_or_default());
        let _ = writeln!(
            out,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{tall}\" fill=\"#4f7a6b\"/>\n\
             <text x=\"{middle}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\" fill=\"#222222\">{}</text>\n\
             <text x=\"{middle}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\" fill=\"#222222\">{}</text>\n\
             <text x=\"{middle}\" y=\"{}\" font-size=\"11\" text-anchor=\"middle\" fill=\"#555555\">{}</text>",
            y - 6,
            scraps.count,
            BASE + 18,
            escape(month),
            BASE + 34,
            escape(year),
        );
    }
    out.push_str("</svg>\n");
    out
}

//! The lists as text: stock, layouts, scorers, problems.

use super::look::{padded, widest};
use super::{Look, age, count};
use crate::index::StockKind;
use crate::present::lines::stock_lines;
use crate::present::sizes::card_size;
use crate::present::words::{finish_word, material_word, role_word};
use crate::problem::{Problem, Severity, printable, shown};
use crate::room::Room;
use crate::score::NotSeated;
use crate::stash::{Copies, LineKind};
use api::units::{Length, Unit};
use api::{Knobs, colour_name};
use std::fmt::Write as _;

/// The widest a column of names or ids gets.
const COLUMN: usize = 40;

/// Every line of stock, kind by kind.
#[must_use]
pub fn stock(room: &Room, look: Look) -> String {
    let lines = stock_lines(room);
    let ids: Vec<String> = lines.iter().map(|line| printable(line.id)).collect();
    let wide = widest(ids.iter().map(String::as_str), COLUMN);
    let mut out = String::new();
    for (heading, kind) in [
        ("Sheets", StockKind::Cuttable(LineKind::Sheet)),
        ("Scraps", StockKind::Cuttable(LineKind::Scrap)),
        ("Card bases", StockKind::CardBase),
        ("Images", StockKind::Image),
    ] {
        let of_kind: Vec<_> = lines.iter().zip(&ids).filter(|(line, _)| line.kind == kind).collect();
        if of_kind.is_empty() {
            continue;
        }
        let _ = writeln!(out, "{}{}", if out.is_empty() { "" } else { "\n" }, look.strong(heading));
        for (line, id) in of_kind {
            let view = &room.index.face(line.front).view;
            let many = match line.copies {
                Copies::Exactly(number) => format!("{number:>4}"),
                Copies::Plenty => "plenty".to_owned(),
            };
            let size = line.size.exact(room.stash.settings.unit);
            let old = line.added.map_or_else(String::new, |day| format!(", {}", age(room.today.days_since(day))));
            let what = format!("{}, {}", material_word(view.material), finish_word(view.finish));
            let back = line.back.map_or_else(String::new, |back| {
                format!(
                    "; back: {}{}",
                    look.chips(&room.index.face(back).view),
                    printable(&room.index.face(back).view.name)
                )
            });
            let _ = writeln!(
                out,
                "  {}{} {many} of {}  {} ({what}{old}){back}",
                look.chips_in_column(view),
                padded(id, wide),
                padded(&size, 18),
                printable(&view.name),
            );
        }
    }
    let mut dots: Vec<_> = room.stash.dots.iter().collect();
    dots.sort_by(|one, other| one.id.cmp(&other.id));
    if !dots.is_empty() {
        let _ = writeln!(out, "{}{}", if out.is_empty() { "" } else { "\n" }, look.strong("Finishing dots"));
        let ids: Vec<String> = dots.iter().map(|dots| printable(&dots.id)).collect();
        let wide = widest(ids.iter().map(String::as_str), COLUMN);
        for (dots, id) in dots.into_iter().zip(&ids) {
            let mm = |length: Length| length.exact(Unit::Millimetre);
            let height = if dots.assumed.contains(&"height") { "about " } else { "" };
            let _ = writeln!(
                out,
                "  {}{} {:>4} of {}  {} ({}, {}, {height}{} high)",
                look.chip_of(&api::hex(dots.colour)),
                padded(id, wide),
                dots.count,
                padded(&mm(dots.diameter), 18),
                printable(&dots.name),
                dots.sort.word(),
                colour_name(dots.colour),
                mm(dots.height),
            );
        }
    }
    if !room.stash.finished.is_empty() {
        let _ = writeln!(out, "{}{}", if out.is_empty() { "" } else { "\n" }, look.strong("Finished cards"));
        let ids: Vec<String> = room.stash.finished.iter().map(|cards| printable(&cards.id)).collect();
        let wide = widest(ids.iter().map(String::as_str), COLUMN);
        for (cards, id) in room.stash.finished.iter().zip(&ids) {
            let occasions: Vec<String> = cards.occasions.iter().map(|occasion| printable(occasion)).collect();
            let occasion = if occasions.is_empty() { "any occasion".to_owned() } else { occasions.join(", ") };
            let name = printable(&cards.name);
            let _ = writeln!(
                out,
                "  {} {:>4} of {name}, for {occasion}, made {}",
                padded(id, wide),
                cards.count,
                cards.day
            );
        }
    }
    out
}

/// Every layout, with its panels.
#[must_use]
pub fn layouts(room: &Room, look: Look) -> String {
    let mut out = String::new();
    if room.built_in_layouts {
        out.push_str("This stash has no layouts of its own; these are the built-in ones.\n\n");
    }
    for layout in &room.layouts {
        let size = card_size(layout.card, &room.stash.settings);
        let name = look.strong(&printable(&layout.name));
        let _ = writeln!(out, "{name}  {size}  {}", look.faint(&printable(&layout.id)));
        let panels: Vec<String> = layout
            .panels
            .iter()
            .map(|panel| {
                let mats = if panel.mats.is_empty() {
                    String::new()
                } else {
                    format!(" on {}", count(panel.mats.len(), "mat"))
                };
                let role = role_word(panel.role);
                let id = printable(&panel.id);
                if id == role { format!("{role}{mats}") } else { format!("{id} ({role}){mats}") }
            })
            .collect();
        let _ = writeln!(out, "  {}", panels.join(", "));
        if let Some(credit) = &layout.credit {
            let _ = writeln!(out, "  with thanks to {}", printable(credit));
        }
    }
    out
}

/// Every scorer, its share and its knobs.
#[must_use]
pub fn plugins(room: &Room, look: Look) -> String {
    let all = room.scorers();
    let mut out = String::new();
    for scorer in &all {
        let manifest = scorer.manifest();
        let set = room.stash.settings.scorers.get(&manifest.name);
        let weight = set.and_then(|set| set.weight).unwrap_or(manifest.weight);
        let member = room.jury.members.iter().find(|member| member.name() == manifest.name);
        let share =
            member.map_or_else(|| "off".to_owned(), |member| format!("{} % of the score", member.share / 10_000));
        let _ = writeln!(out, "{}  {}", look.strong(&printable(&manifest.name)), printable(&manifest.title));
        let _ = writeln!(out, "  weight {weight}: {share}");
        if let Some(script) = room.scripts.get(&manifest.name) {
            let _ = writeln!(out, "  {}", look.faint(&format!("your script {}", printable(&shown(script.file())))));
        }
        let none = Knobs::default();
        let knobs = set.map_or(&none, |set| &set.knobs);
        for knob in &manifest.knobs {
            let (name, value) = (printable(&knob.name), knobs.value(knob));
            let _ = writeln!(out, "  {name} = {value}  {} ({} to {})", printable(&knob.meaning), knob.low, knob.high);
        }
    }
    for problem in room.problems.iter().filter(|problem| problem.place.file.starts_with("plugins")) {
        let _ =
            writeln!(out, "{} is not asked: {}", printable(&shown(&problem.place.file)), printable(&problem.message()));
    }
    for refused in &room.not_seated {
        let _ = match refused {
            NotSeated::OtherContract { scorer, version } => {
                writeln!(
                    out,
                    "{} is not asked: it was written for version {version} of the contract",
                    printable(scorer)
                )
            }
            NotSeated::MixedTerms { scorer } => {
                writeln!(out, "{} is not asked: it judges nothing, or more than one kind of thing", printable(scorer))
            }
        };
    }
    out
}

/// Every problem in full, and a last line that counts.
#[must_use]
pub fn check(room: &Room) -> String {
    let mut out = String::new();
    for problem in &room.problems {
        let _ = writeln!(out, "{problem}\n");
    }
    let layouts =
        if room.built_in_layouts { "the built-in layouts".to_owned() } else { count(room.layouts.len(), "layout") };
    let read = format!(
        "{}, {} of stock, {} and {layouts} can be used",
        count(room.stash.papers.len(), "paper"),
        count(room.stash.lines.len(), "line"),
        count(room.stash.images.len(), "image"),
    );
    let _ = match problem_count(&room.problems) {
        Some(problems) => writeln!(out, "{problems}; {read}."),
        None => writeln!(out, "All is well: {read}."),
    };
    out
}

/// "3 problems and 1 note"; `None` where there is nothing to tell.
#[must_use]
pub fn problem_count(problems: &[Problem]) -> Option<String> {
    let wrong = problems.iter().filter(|problem| problem.severity() == Severity::Wrong).count();
    match (wrong, problems.len() - wrong) {
        (0, 0) => None,
        (0, notes) => Some(count(notes, "note")),
        (wrong, 0) => Some(count(wrong, "problem")),
        (wrong, notes) => Some(format!("{} and {}", count(wrong, "problem"), count(notes, "note"))),
    }
}

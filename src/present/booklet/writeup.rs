//! A batch as a record in words: a plan and its stash in; Markdown or plain text out.

use super::Markup;
use super::batch::{Batch, Card, Layer, Mm, size};
use crate::layout::Layout;
use crate::problem::printable;
use crate::room::Room;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The write-up.
pub(super) fn writeup(room: &Room, batch: &Batch, markup: Markup) -> String {
    let mut out = Record { text: String::new(), markup };
    out.heading(1, &super::lists::title(batch));
    out.paragraph(&format!("Planned {} from the stash {}.", batch.today, batch.stash.name));
    for cards in &batch.cards {
        card(room, &cards.suggestion, cards.count, &mut out);
    }
    papers(room, batch, &mut out);
    pads(room, batch, &mut out);
    out.text
}

struct Record {
    text: String,
    markup: Markup,
}

impl Record {
    fn words(&self, text: &str) -> String {
        let text = printable(text);
        match self.markup {
            Markup::Plain => text,
            Markup::Markdown => escaped(&text),
        }
    }

    fn heading(&mut self, level: usize, text: &str) {
        let text = self.words(text);
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
        let _ = match self.markup {
            Markup::Markdown => writeln!(self.text, "{} {text}\n", "#".repeat(level)),
            Markup::Plain => {
                let rule = if level == 1 { "=" } else { "-" };
                let under = if level < 3 { format!("{}\n", rule.repeat(text.chars().count())) } else { String::new() };
                writeln!(self.text, "{text}\n{under}")
            }
        };
    }

    fn paragraph(&mut self, text: &str) {
        let text = self.words(text);
        let _ = writeln!(self.text, "{text}\n");
    }

    fn item(&mut self, text: &str) {
        let text = self.words(text);
        let _ = writeln!(self.text, "- {text}");
    }

    fn gap(&mut self) {
        if !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }
}

/// A text in which nothing is markup (CommonMark 0.31.2, section 2.4: a backslash before punctuation).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        if matches!(sign, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '!') {
            out.push('\\');
        }
        out.push(sign);
    }
    out
}

fn card(room: &Room, card: &Card, count: u32, out: &mut Record) {
    let unit = room.stash.settings.unit;
    out.heading(2, &format!("{count} of {}", card.layout_name));
    let name = if card.card.size.is_empty() { String::new() } else { format!(" ({})", card.card.size) };
    out.paragraph(&format!("{}{name}", size(card.card.width, card.card.height).exact(unit)));
    photo(out);
    thanks(room.layouts.iter().find(|layout| layout.id == card.layout), out);
    if card.changes.is_empty() {
        out.paragraph("Made as drawn.");
    } else {
        out.paragraph("Changed from the layout as drawn:");
        for change in &card.changes {
            let why = if change.why.is_empty() { String::new() } else { format!(" ({})", change.why) };
            out.item(&format!("{}{why}", change.text));
        }
        out.gap();
    }
    out.paragraph("Layers, from the bottom up:");
    for layer in &card.layers {
        let cut: BTreeSet<(Mm, Mm)> = layer.pieces.iter().map(|piece| (piece.cut_width, piece.cut_height)).collect();
        let cut: Vec<String> = cut
            .into_iter()
            .filter(|(wide, high)| (*wide, *high) != (layer.width, layer.height))
            .map(|(wide, high)| size(wide, high).exact(unit))
            .collect();
        let cut = if cut.is_empty() { String::new() } else { format!(", cut {}", cut.join(" and ")) };
        let whole = size(layer.width, layer.height).exact(unit);
        let foam = if layer.foam.is_some() { ", on foam" } else { "" };
        out.item(&format!("{}: {whole}, {}{cut}{foam}", layer.panel, layer.name));
    }
    if let Some(dots) = &card.dots {
        out.item(&format!("finishing dots: {} of {}", dots.count, dots.name));
    }
    out.gap();
    out.paragraph(&super::lists::envelopes(card));
}

fn photo(out: &mut Record) {
    let room = match out.markup {
        Markup::Markdown => "> Photo:\n>\n> (put yours here)\n",
        Markup::Plain => "Photo:\n\n\n",
    };
    out.text.push_str(room);
    out.text.push('\n');
}

/// Whom to thank, and where it is from.
fn thanks(layout: Option<&Layout>, out: &mut Record) {
    let Some(layout) = layout else {
        out.paragraph("The layout is not in this stash any more, so nobody can be thanked for it here.");
        return;
    };
    if let Some(credit) = &layout.credit {
        out.paragraph(&format!("Layout by {credit}."));
    }
    if let Some(link) = &layout.link {
        let link = printable(link);
        let is_address = (link.starts_with("https://") || link.starts_with("http://"))
            && !link.contains(|sign: char| {
                sign.is_whitespace() || matches!(sign, '<' | '>' | '\\' | char::REPLACEMENT_CHARACTER)
            });
        match out.markup {
            Markup::Markdown if is_address => out.text.push_str(&format!("<{link}>\n\n")),
            _ => out.paragraph(&link),
        }
    }
}

/// Papers and mats used, each with the panels it is in.
fn papers(room: &Room, batch: &Batch, out: &mut Record) {
    let layers = || batch.cards.iter().flat_map(|cards| &cards.suggestion.layers);
    let list = |heading: &str, is_wanted: &dyn Fn(&Layer) -> bool, out: &mut Record| {
        let names: BTreeSet<(&str, &str)> = layers()
            .filter(|layer| is_wanted(layer))
            .map(|layer| (layer.name.as_str(), layer.paper.as_str()))
            .collect();
        if names.is_empty() {
            return;
        }
        out.heading(2, heading);
        for (name, id) in names {
            out.item(&format!("{name} ({id})"));
        }
        out.gap();
    };
    list("Papers", &|layer| !matches!(layer.role.as_str(), "mat" | "base"), out);
    list("Mats", &|layer| layer.role == "mat", out);
    list("Card bases", &|layer| layer.role == "base", out);
    let unit = room.stash.settings.unit;
    out.heading(2, "Cut from");
    for sheet in &batch.sheets {
        let whole = size(sheet.width, sheet.height).exact(unit);
        out.item(&format!("{} of {}, {whole}", sheet.copies, sheet.stock));
    }
    out.gap();
}

/// What each pad gave: sheets cut, cards with it, how much of the cut sheets is on the cards.
fn pads(room: &Room, batch: &Batch, out: &mut Record) {
    let pad_of = |paper: &str| {
        let papers = room.stash.papers.iter();
        papers.into_iter().find(|one| one.id == paper).and_then(|one| one.pad.as_deref())
    };
    #[derive(Default)]
    struct Yield {
        sheets: u64,
        cards: u64,
        cut: i128,
        whole: i128,
    }
    let mut pads: BTreeMap<&str, Yield> = BTreeMap::new();
    let area = |wide: Mm, high: Mm| i128::from(wide.0.nanometres()) * i128::from(high.0.nanometres());
    for sheet in &batch.sheets {
        let Some(pad) = pad_of(&sheet.paper) else { continue };
        let given = pads.entry(pad).or_default();
        let copies = i128::from(sheet.copies);
        let whole = area(sheet.width, sheet.height).saturating_mul(copies);
        if sheet.middle_of.is_some() {
            // It was counted with the piece that it is the middle of.
            given.cut = given.cut.saturating_sub(whole);
        } else {
            given.sheets = given.sheets.saturating_add(u64::from(sheet.copies));
            given.whole = given.whole.saturating_add(whole);
        }
        let pieces: i128 = sheet.placements.iter().map(|piece| area(piece.width, piece.height)).sum();
        given.cut = given.cut.saturating_add(pieces.saturating_mul(copies));
    }
    for cards in &batch.cards {
        let shown: BTreeSet<&str> = cards.suggestion.layers.iter().filter_map(|layer| pad_of(&layer.paper)).collect();
        for pad in shown {
            if let Some(given) = pads.get_mut(pad) {
                given.cards = given.cards.saturating_add(u64::from(cards.count));
            }
        }
    }
    if pads.is_empty() {
        return;
    }
    out.heading(2, "What the pads gave");
    for (pad, given) in pads {
        let percent = if given.whole > 0 { given.cut.saturating_mul(100) / given.whole } else { 0 };
        let sheets = if given.sheets == 1 { "1 piece".to_owned() } else { format!("{} pieces", given.sheets) };
        let cards = if given.cards == 1 { "1 card".to_owned() } else { format!("{} cards", given.cards) };
        out.item(&format!("{pad}: {cards} from {sheets} of paper; {percent} % of what was cut up is on the cards"));
    }
    out.gap();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_a_maker_wrote_is_markup() {
        // CommonMark 0.31.2, section 2.4, example 12.
        assert_eq!(escaped("*not emphasized*"), "\\*not emphasized\\*");
        assert_eq!(escaped("[not a link](/foo)"), "\\[not a link\\](/foo)");
    }
}

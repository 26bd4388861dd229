//! Suggestions as text: each card in a few lines (its papers, what was changed, why they go
//! together, what to cut), then what is almost possible.

use super::look::{padded, widest};
use super::{Look, count, score};
use crate::assemble::{Bench, Built};
use crate::layout::Outline;
use crate::matching::{Layer, sentiments_for};
use crate::present::pieces::{CardPiece, Fit, Made, PartPiece, Whole, fit, parts, pieces};
use crate::present::sizes::{card_size, ruler};
use crate::present::words::{LackWords, changes_in_words, dots_of, how_many, lack_words, why_dots};
use crate::problem::printable;
use crate::room::Room;
use crate::score::{Almost, Answer, ONE, Reason, Suggestion};
use api::PaperView;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// At most so many reasons are told of a card; `--json` has them all.
const MOST_REASONS: usize = 4;

/// At most so many sentiments are named.
const MOST_WORDS: usize = 3;

/// The list, best first, and what is almost possible.
#[must_use]
pub fn suggestions(room: &Room, answer: &Answer, look: Look) -> String {
    let mut out = String::new();
    out.push_str(&heading(room, answer));
    let bench = Bench::new(room.table()).for_copies(answer.copies);
    for (place, found) in answer.suggestions.iter().enumerate() {
        let built = Built::new(room.table(), &bench, found);
        out.push('\n');
        out.push_str(&card(room, found, &built, place + 1, look));
    }
    if !answer.almost.is_empty() {
        let _ = write!(out, "\n{}\n", look.strong("Almost"));
        out.push_str(&near(room, &answer.almost));
    }
    out
}

fn heading(room: &Room, answer: &Answer) -> String {
    let stash = &room.stash;
    let from = format!("{} and {}", count(stash.papers.len(), "paper"), count(stash.lines.len(), "line") + " of stock");
    let built_in = if room.built_in_layouts { ", with the built-in layouts" } else { "" };
    match (answer.suggestions.len(), answer.exact) {
        (0, true) => format!("No card can be made from {from}{built_in}.\n"),
        (0, false) => format!(
            "No card was found from {from}{built_in}, but not everything was looked at: give --work a larger number.\n"
        ),
        (1, true) => format!("The best card from {from}{built_in}.\n"),
        (cards, true) => format!("The {cards} best cards from {from}{built_in}.\n"),
        (cards, false) => format!(
            "{} from {from}{built_in}: the best found; there may be better ones, so give --work a larger number.\n",
            count(cards, "card")
        ),
    }
}

/// One card.
pub(super) fn card(room: &Room, found: &Suggestion, built: &Built, number: usize, look: Look) -> String {
    let mut out = String::new();
    let layout = &room.layouts[found.layout];
    let name = look.strong(&printable(&layout.name));
    let size = card_size(found.drawn.card, &room.stash.settings);
    let _ = writeln!(out, "{number:>2}. {name}  {size}  {}", score(found.score));
    let _ = writeln!(out, "    {}", papers(room, found, look));
    let changes = changes_in_words(room.table(), found).into_iter().map(|words| printable(&words.sentence));
    told(&mut out, "changed", changes.collect(), look);
    told(&mut out, "why", reasons(room, found), look);
    told(&mut out, "cut", cuts(room, found), look);
    told(&mut out, "words", words(room, found), look);
    told(&mut out, "dots", dots(room, built), look);
    let _ = writeln!(out, "    {}", look.faint(&format!("id {}", printable(&found.id))));
    out
}

/// Lines under one word.
fn told(out: &mut String, word: &str, lines: Vec<String>, look: Look) {
    for (place, line) in lines.iter().enumerate() {
        let word = padded(if place == 0 { word } else { "" }, 8);
        let _ = writeln!(out, "    {} {line}", look.faint(&word));
    }
}

/// Every paper of the card once, the top one first; papers that look alike and are called alike are
/// one here.
fn papers(room: &Room, found: &Suggestion, look: Look) -> String {
    let mut met: Vec<&PaperView> = Vec::new();
    let mut told: Vec<String> = Vec::new();
    for layer in found.network.layers.iter().rev() {
        let view = &room.index.face(found.faces[layer.slot]).view;
        if met.iter().any(|other| other.name == view.name && other.swatches == view.swatches) {
            continue;
        }
        met.push(view);
        told.push(format!("{}{}", look.chips(view), printable(&view.name)));
    }
    told.join(" · ")
}

/// The weightiest reason of each scorer, the weightiest scorer first.
fn reasons(room: &Room, found: &Suggestion) -> Vec<String> {
    let mut best: BTreeMap<&str, &Reason> = BTreeMap::new();
    for reason in found.reasons.iter().filter(|reason| !reason.says_nothing()) {
        let best = best.entry(&reason.scorer).or_insert(reason);
        if adds(reason) > adds(best) {
            *best = reason;
        }
    }
    let mut best: Vec<&Reason> = best.into_values().collect();
    best.sort_by_key(|reason| std::cmp::Reverse(adds(reason)));
    best.into_iter().take(MOST_REASONS).map(|reason| printable(&reason_in_words(room, found, reason))).collect()
}

/// What a reason adds to the score.
fn adds(reason: &Reason) -> u64 {
    reason.value * reason.weight / ONE
}

/// "moss with Small leaves: takes up the green".
fn reason_in_words(room: &Room, found: &Suggestion, reason: &Reason) -> String {
    match reason.about.as_slice() {
        // Of the whole card.
        about if about.len() > 2 => reason.why.clone(),
        about => {
            let names: Vec<&str> =
                about.iter().map(|slot| room.index.face(found.faces[*slot]).view.name.as_str()).collect();
            format!("{}: {}", names.join(" with "), reason.why)
        }
    }
}

/// One line of the cutting list.
struct Cut {
    what: String,
    size: String,
    from: String,
}

/// What to cut, in the order in which it is laid.
fn cuts(room: &Room, found: &Suggestion) -> Vec<String> {
    let cut = pieces(&room.index, found);
    let parts = parts(&room.stash.images, &room.index, found);
    let mut lines: Vec<Cut> = Vec::new();
    for (place, layer) in found.network.layers.iter().enumerate() {
        let own: Vec<&CardPiece> = cut.iter().filter(|piece| piece.layer == place).collect();
        let built: Vec<&PartPiece<'_>> = parts.iter().filter(|part| part.layer == place).collect();
        if built.is_empty() {
            lines.extend(alike(&own).into_iter().map(|(piece, number)| line(room, layer, piece, number)));
        } else {
            lines.extend(built.iter().map(|part| part_line(room, layer, part)));
        }
    }
    let what = widest(lines.iter().map(|line| line.what.as_str()), 30);
    let size = widest(lines.iter().map(|line| line.size.as_str()), 40);
    lines
        .iter()
        .map(|line| format!("{} {} {}", padded(&line.what, what), padded(&line.size, size), line.from))
        .collect()
}

/// Neighbouring pieces of one size from one stock, with how many there are.
fn alike<'a>(own: &[&'a CardPiece]) -> Vec<(&'a CardPiece, usize)> {
    let mut groups: Vec<(&CardPiece, usize)> = Vec::new();
    for piece in own {
        match groups.last_mut() {
            Some((like, number)) if like.cut == piece.cut && like.stock == piece.stock => *number += 1,
            _ => groups.push((piece, 1)),
        }
    }
    groups
}

fn line(room: &Room, layer: &Layer, piece: &CardPiece, number: usize) -> Cut {
    let settings = &room.stash.settings;
    let stock = room.index.stock(piece.stock);
    let size = piece.cut.down(ruler(settings));
    let size = if number == 1 { size } else { format!("{number} of {size}") };
    let how = match piece.made {
        Made::Cut if layer.outline == Outline::Ellipse => ", then round".to_owned(),
        Made::Cut => String::new(),
        Made::Folded => ", folded".to_owned(),
        Made::Ready => ", ready made".to_owned(),
        Made::Die(die) => {
            let name = room.stash.dies.get(die).map_or("a die", |die| die.name.as_str());
            format!(", for {}", printable(name))
        }
    };
    let mut from = format!("from {}", printable(stock.id()));
    if layer.overruns && piece.made != Made::Ready {
        from.push_str("; trim flush after gluing");
    }
    match fit(&room.index, piece, settings.error_budget) {
        Fit::Roomy => {}
        Fit::Exact { width, height } => {
            let side = match (width, height) {
                (Whole::Yes, Whole::Yes) => "full size",
                (Whole::Yes, Whole::No) => "full width",
                (Whole::No, _) => "full height",
            };
            let _ = write!(from, "; {side}: check that the edge is clean and square");
        }
        Fit::Tight { spare } => {
            let _ = write!(from, "; only {} to spare: measure before you cut", spare.exact(settings.unit));
        }
    }
    Cut { what: printable(&layer.id), size: format!("{size}{how}"), from }
}

fn part_line(room: &Room, layer: &Layer, part: &PartPiece<'_>) -> Cut {
    Cut {
        what: printable(&format!("{} {}", layer.id, part.part)),
        size: part.cut.down(ruler(&room.stash.settings)),
        from: format!("from {}", printable(room.index.stock(part.stock).id())),
    }
}

/// For each layer that carries words, what would fit on it.
fn words(room: &Room, found: &Suggestion) -> Vec<String> {
    let (occasions, sentiments) = (&room.layouts[found.layout].occasions, &room.stash.sentiments);
    let layers = found.network.layers.iter().filter(|layer| layer.holds_sentiment);
    layers
        .map(|layer| {
            let fitting = sentiments_for(layer, occasions, sentiments);
            let first: Vec<String> = fitting
                .iter()
                .take(MOST_WORDS)
                .map(|place| format!("\"{}\"", printable(&sentiments[*place].words)))
                .collect();
            let size = layer.rect.size().down(ruler(&room.stash.settings));
            match (first.is_empty(), fitting.len().saturating_sub(first.len())) {
                (true, _) => format!("room for {size}; none of your sentiments fits"),
                (false, 0) => format!("{} fits", first.join(" or ")),
                (false, more) => format!("{} fits, and {more} more", first.join(" or ")),
            }
        })
        .collect()
}

/// "three of pearls, ivory (pearls-ivory): a neutral pearl goes with any card".
fn dots(room: &Room, built: &Built) -> Vec<String> {
    let of = dots_of(room.table(), built.dots.as_ref()).into_iter();
    of.map(|(set, dots)| {
        let why = why_dots(room.table(), set);
        printable(&format!("{} of {} ({}): {why}", how_many(set.count()), dots.name, dots.id))
    })
    .collect()
}

/// What each layout lacks; layouts that lack the same are told together.
fn near(room: &Room, almost: &[Almost]) -> String {
    let mut told: Vec<(LackWords, Vec<&str>)> = Vec::new();
    for almost in almost {
        let words = lack_words(&almost.miss, &room.stash.settings);
        let name = room.layouts[almost.layout].name.as_str();
        match told.iter_mut().find(|(already, _)| *already == words) {
            Some((_, names)) => names.push(name),
            None => told.push((words, vec![name])),
        }
    }
    let mut out = String::new();
    for (words, names) in told {
        let nearest = words.nearest.map_or_else(String::new, |nearest| format!("; {nearest}"));
        let why = printable(&format!("{}{nearest}", words.needs));
        let _ = writeln!(out, "  {}: {why}\n    help: {}", printable(&names.join(", ")), printable(&words.remedy));
    }
    out
}

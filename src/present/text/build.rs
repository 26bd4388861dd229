//! `build` as text: one card, how thick and heavy it is, its envelope and post, and the steps.

use super::Look;
use crate::assemble::Built;
use crate::construct::paper::Known;
use crate::construct::{Fit, post};
use crate::present::words::steps_in_words;
use crate::problem::printable;
use crate::room::Room;
use crate::score::Suggestion;
use std::fmt::Write as _;

/// How wide the steps are set.
const WIDE: usize = 96;

/// One card as it is built.
#[must_use]
pub fn build(room: &Room, found: &Suggestion, built: &Built, number: usize, look: Look) -> String {
    let mut out = super::cards::card(room, found, built, number, look);
    let _ = writeln!(out, "\n{}", look.strong("Steps"));
    let mut cautions: Vec<&'static str> = Vec::new();
    for (place, step) in steps_in_words(room.table(), found, built).into_iter().enumerate() {
        wrapped(&mut out, &format!("{:>2}. ", place + 1), &printable(&step.text));
        cautions.extend(step.cautions);
    }
    let _ = writeln!(out, "\n{}", look.strong("The finished card"));
    for line in facts(built) {
        wrapped(&mut out, "  ", &printable(&line));
    }
    let mut told: Vec<&str> = Vec::new();
    cautions.retain(|caution| {
        let is_new = !told.contains(caution);
        told.push(caution);
        is_new
    });
    let _ = writeln!(out, "\n{}", look.strong("Mind"));
    for caution in &cautions {
        wrapped(&mut out, "  ", &format!("{caution}."));
    }
    wrapped(&mut out, "  ", "Tools and materials: follow their makers' instructions and local rules.");
    out
}

/// What the finished card is like, and how it travels.
#[must_use]
pub fn facts(built: &Built) -> Vec<String> {
    let about = |known: Known| if known == Known::Estimated { "about " } else { "" };
    let mm = |length: api::units::Length| {
        let tenths = (length.nanometres() + 50_000) / 100_000;
        format!("{}.{} mm", tenths / 10, tenths % 10)
    };
    let mut lines = vec![format!(
        "{}{} thick, {}{}{}",
        about(built.thickness_known),
        mm(built.thickness),
        about(built.weight_known),
        built.weight,
        if built.thickness_known == Known::Estimated || built.weight_known == Known::Estimated {
            " (estimated where no thickness or weight of a paper is entered)"
        } else {
            ""
        }
    )];
    let own: Vec<String> = built
        .envelopes
        .iter()
        .filter(|envelope| envelope.fit == Fit::Good)
        .take(3)
        .map(|envelope| envelope.name.clone())
        .collect();
    lines.push(match (own.is_empty(), built.envelopes.first()) {
        (false, _) => format!("envelopes: {}", own.join(", ")),
        (true, Some(first)) => format!("envelopes: {} ({})", first.name, first.fit.word()),
        (true, None) => "no envelope with a name fits: make one to measure".to_owned(),
    });
    let classes: Vec<String> = built
        .post
        .iter()
        .map(|class| {
            let machine = if class.machinable == Some(false) { ", not machinable" } else { "" };
            format!("{} {}{machine} ({})", class.profile, class.class, class.as_of)
        })
        .collect();
    lines.push(format!("by post: {}; {}", classes.join(", "), post::CHECK));
    let base = &built.base;
    lines.push(format!("card bases: {} from a letter sheet, {} from an A4 sheet", base.per_letter, base.per_a4));
    lines
}

/// The words of a text; "1 1/2 in" is one.
fn words(text: &str) -> Vec<String> {
    let is_number = |word: &str| word.ends_with(|last: char| last.is_ascii_digit());
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let fraction = word.starts_with(|first: char| first.is_ascii_digit()) && word.contains('/');
        let unit = word.starts_with("in") && word.len() <= 4 || word.starts_with("mm");
        match words.last_mut() {
            Some(last) if is_number(last) && (fraction || unit) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// A paragraph, its first line behind `head`, the others as far in.
fn wrapped(out: &mut String, head: &str, text: &str) {
    let indent = head.chars().count();
    let mut line = head.to_owned();
    let mut is_bare = true;
    for word in words(text) {
        if !is_bare && line.chars().count() + 1 + word.chars().count() > WIDE {
            let _ = writeln!(out, "{line}");
            line = " ".repeat(indent);
            is_bare = true;
        }
        if !is_bare {
            line.push(' ');
        }
        line.push_str(&word);
        is_bare = false;
    }
    let _ = writeln!(out, "{line}");
}

//! The reason in words: a judgement and its two papers in, a short clause out.

use crate::judge::Judgement;
use api::{Colour, PaperView, colour_name};

/// Names the pair of colours that decided, how it stands, and the contrast where there is much or little.
pub(crate) fn why(judgement: &Judgement, one: &PaperView, other: &PaperView) -> String {
    let (first, second) = (named(one, judgement.deciding.0), named(other, judgement.deciding.1));
    let pair = match (first == second, judgement.harmony) {
        (true, _) => format!("two shades of {first} together"),
        (false, good) if good >= 0.6 => format!("{first} and {second} sit well together"),
        (false, fair) if fair >= 0.4 => format!("{first} and {second} get along"),
        (false, _) => format!("{first} and {second} pull apart"),
    };
    let contrast = match judgement.lighter_by.abs() {
        much if much >= 25.0 => "; a light paper with a dark one",
        little if little < 8.0 => "; both much the same lightness",
        _ => "",
    };
    format!("{pair}{contrast}")
}

fn named(paper: &PaperView, place: usize) -> &'static str {
    let colour: Colour = paper.swatches.get(place).map_or_else(|| paper.main_colour(), |swatch| swatch.colour);
    colour_name(colour)
}

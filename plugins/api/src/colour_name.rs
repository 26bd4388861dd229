//! Everyday names for colours, for reasons and pictures: a colour in, a word a maker would use out.
//!
//! The words come from two open lists, named with their licences in `colour_names.csv`. The name
//! is the nearest by CIEDE2000. It is only a help: nothing is ever decided by a name.

use crate::{Colour, delta_e_2000, from_hex};
use std::sync::LazyLock;

/// The list, read once.
static NAMES: LazyLock<Vec<(&'static str, Colour)>> =
    LazyLock::new(|| include_str!("colour_names.csv").lines().filter_map(named).collect());

/// One line of the list; `None` for a note.
fn named(line: &'static str) -> Option<(&'static str, Colour)> {
    let mut fields = line.split(',');
    let (word, hex) = (fields.next()?, fields.next()?);
    Some((word, from_hex(hex)?))
}

/// The nearest everyday name of a colour: "rust", "dusty blue". Of two as near, the first listed.
///
/// ```
/// # use swatchfold_api::{Colour, colour_name};
/// assert_eq!(colour_name(Colour::new(100.0, 0.0, 0.0)), "white");
/// assert_eq!(colour_name(Colour::new(0.0, 0.0, 0.0)), "black");
/// ```
#[must_use]
pub fn colour_name(colour: Colour) -> &'static str {
    let mut nearest = ("colour", f64::INFINITY);
    if !(colour.l + colour.a + colour.b).is_finite() {
        return nearest.0;
    }
    for (word, known) in NAMES.iter() {
        let apart = delta_e_2000(colour, *known);
        if apart < nearest.1 {
            nearest = (word, apart);
        }
    }
    nearest.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(hex: &str) -> &'static str {
        colour_name(from_hex(hex).unwrap())
    }

    #[test]
    fn every_line_is_a_note_or_a_colour() {
        let lines = include_str!("colour_names.csv").lines().filter(|line| !line.starts_with("# ")).count();
        assert_eq!(NAMES.len(), lines);
        assert!(lines > 150, "{lines}");
    }

    #[test]
    fn papers_get_the_words_a_maker_would_use() {
        for (hex, word) in [
            ("#ffffff", "white"),
            ("#faf3e4", "cream"),
            ("#a83c09", "rust"),
            ("#1f2a4d", "navy"),
            ("#b5926a", "kraft"),
            ("#7a966e", "grey green"),
            ("#2a2a2c", "charcoal"),
            ("#247880", "teal"),
        ] {
            assert_eq!(name(hex), word, "{hex}");
        }
    }

    #[test]
    fn what_is_no_colour_still_gets_a_word() {
        assert_eq!(colour_name(Colour::new(f64::NAN, 0.0, 0.0)), "colour");
    }
}

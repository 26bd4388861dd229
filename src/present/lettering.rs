//! Words on a card: which of the maker's sentiments a panel has room for, and how they are lettered
//! at their own size.
//!
//! Which words go on a card is hers to choose; one that fits is shown, the same one on every run.

use super::Scene;
use super::surface::main_colour;
use super::xml::{escape, hundredths};
use crate::matching::{Layer, Outline, sentiments_for};
use crate::score::Suggestion;
use crate::stash::Sentiment;
use api::units::{Length, Size};
use api::{Colour, contrast_ratio, hex};
use std::fmt::Write as _;

/// The least contrast of ink and paper (WCAG 2, success criterion 1.4.3).
const READS: f64 = 4.5;
/// Ink for papers on which none of the card's own colours reads.
const DARK: &str = "#2b2622";
const LIGHT: &str = "#ffffff";

/// The sentiments a layer has room for, largest first, then by id.
#[must_use]
pub fn fitting<'a>(scene: &Scene<'a>, card: &Suggestion, layer: &Layer) -> Vec<&'a Sentiment> {
    let sentiments = &scene.stash.sentiments;
    let mut fitting: Vec<&Sentiment> = sentiments_for(layer, &scene.table.layouts[card.layout].occasions, sentiments)
        .into_iter()
        .map(|place| &sentiments[place])
        .filter(|sentiment| lies_within(layer, sentiment.size))
        .collect();
    fitting.sort_by_key(|sentiment| (std::cmp::Reverse(sentiment.size.area()), &sentiment.id));
    fitting
}

/// The one that is shown: one of the larger of those that fit, by the card's id.
#[must_use]
pub fn shown<'a>(scene: &Scene<'a>, card: &Suggestion, layer: &Layer) -> Option<&'a Sentiment> {
    let fitting = fitting(scene, card, layer);
    let largest = fitting.first()?.size.area().square_nanometres();
    let large = fitting.iter().filter(|one| one.size.area().square_nanometres() * 2 >= largest).count();
    let hash = card.id.bytes().fold(7_usize, |hash, byte| hash.wrapping_mul(31).wrapping_add(usize::from(byte)));
    fitting.get(hash % large.max(1)).copied()
}

/// Whether words of this size lie within the outline of a layer whose rectangle they fit into.
fn lies_within(layer: &Layer, words: Size) -> bool {
    let room = layer.rect.size();
    match layer.outline {
        Outline::Rectangle => true,
        // The corners of the words lie within the ellipse: (w/W)² + (h/H)² is at most 1.
        Outline::Ellipse => {
            // In square micrometres, so that the products stay in range.
            let square = |length: Length| i128::from(length.nanometres()).pow(2) / 1_000_000;
            let (w, h) = (square(words.width), square(words.height));
            let (most_w, most_h) = (square(room.width), square(room.height));
            w.saturating_mul(most_h).saturating_add(h.saturating_mul(most_w)) <= most_w.saturating_mul(most_h)
        }
        // A banner's notch, a tag's corners: four fifths are free of them, by eye.
        Outline::Polygon(_) => words.width * 5 <= room.width * 4 && words.height * 5 <= room.height * 4,
    }
}

/// Letters a sentiment in the middle of a layer, in an ink that reads on its paper.
pub(super) fn lettered(scene: &Scene<'_>, card: &Suggestion, layer: &Layer, sentiment: &Sentiment) -> String {
    let lines = broken(&sentiment.words, sentiment.size);
    let count = i64::try_from(lines.len()).unwrap_or(i64::MAX).max(1);
    // Hundredths of a millimetre.
    let (wide, high) = (in_hundredths(sentiment.size.width), in_hundredths(sentiment.size.height));
    let longest = lines.iter().map(|line| ems(line)).max().unwrap_or(1).max(1);
    // A line is as high as the letters and a fifth; the longest is as wide as the words are said to be.
    let size = (high * 100 / (count * 120 - 20)).min(wide * 1000 / longest).max(1);
    let step = size * 120 / 100;
    let (middle, centre) =
        (in_hundredths(layer.rect.left + layer.rect.right) / 2, in_hundredths(layer.rect.top + layer.rect.bottom) / 2);
    // From the middle to the first line's foot: the letters' middle lies about a third above it.
    let first = centre - step * (count - 1) / 2 + size * 34 / 100;
    let mut text = format!(
        "<g font-family=\"Georgia, 'Times New Roman', serif\" font-style=\"italic\" font-size=\"{}\" \
         text-anchor=\"middle\" fill=\"{}\">",
        hundredths(size),
        ink(scene, card, layer)
    );
    for (line, down) in lines.iter().zip(0_i64..) {
        let long = (ems(line) * size / 1000).min(wide).max(1);
        let _ = write!(
            text,
            "<text x=\"{}\" y=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" unicode-bidi=\"plaintext\">{}</text>",
            hundredths(middle),
            hundredths(first + step * down),
            hundredths(long),
            escape(line)
        );
    }
    text.push_str("</g>");
    text
}

fn in_hundredths(length: Length) -> i64 {
    length.nanometres() / 10_000
}

/// The darkest or lightest of the card's plain colours that reads on the layer's paper, else near-black or white.
fn ink(scene: &Scene<'_>, card: &Suggestion, layer: &Layer) -> String {
    let index = scene.table.index;
    let paper = main_colour(&index.face(card.faces[layer.slot]).view);
    let best = card
        .faces
        .iter()
        .map(|face| main_colour(&index.face(*face).view))
        .filter(|colour| contrast_ratio(*colour, paper) >= READS && colour.l < paper.l)
        .min_by(|one, other| one.l.total_cmp(&other.l));
    if let Some(colour) = best {
        return hex(colour);
    }
    let white = Colour::new(100.0, 0.0, 0.0);
    if contrast_ratio(white, paper) >= READS { LIGHT.to_owned() } else { DARK.to_owned() }
}

/// About how long a text is, in thousandths of the size of its letters: a serif face, by eye.
pub(super) fn ems(text: &str) -> i64 {
    text.chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | 't' | 'f' | 'r' | '.' | ',' | ';' | ':' | '\'' | '!' | '’' | 'I' | ' ' => 290,
            'm' | 'w' | 'M' | 'W' => 850,
            'A'..='Z' => 680,
            'a'..='z' | '0'..='9' => 510,
            c => match unicode_width::UnicodeWidthChar::width(c) {
                Some(0) | None => 0,
                Some(1) => 560,
                Some(_) => 1000,
            },
        })
        .sum()
}

/// The words in as many lines as make the letters largest at this size.
fn broken(words: &str, size: Size) -> Vec<String> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let (wide, high) = (in_hundredths(size.width), in_hundredths(size.height));
    let mut best: (i64, Vec<String>) = (-1, Vec::new());
    for count in 1..=words.len().clamp(1, 5) {
        let lines = in_lines(&words, count);
        let longest = lines.iter().map(|line| ems(line)).max().unwrap_or(1).max(1);
        let lines_high = i64::try_from(lines.len()).unwrap_or(1) * 120 - 20;
        let letters = (high * 100 / lines_high.max(1)).min(wide * 1000 / longest);
        if letters > best.0 {
            best = (letters, lines);
        }
    }
    best.1
}

/// The words in at most `count` lines of about the same length.
fn in_lines(words: &[&str], count: usize) -> Vec<String> {
    let all: i64 = words.iter().map(|word| ems(word) + 290).sum();
    let each = all / i64::try_from(count).unwrap_or(1).max(1);
    let mut lines: Vec<String> = vec![String::new()];
    let mut so_far = 0;
    for word in words {
        let full = lines.len();
        let limit = each * i64::try_from(full).unwrap_or(1);
        let long = ems(word) + 290;
        let last = lines.last_mut().expect("there is a first line");
        if !last.is_empty() && so_far + long / 2 > limit && full < count {
            lines.push((*word).to_owned());
        } else {
            if !last.is_empty() {
                last.push(' ');
            }
            last.push_str(word);
        }
        so_far += long;
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(wide: i64, high: i64) -> Size {
        Size::new(Length::MILLIMETRE * wide, Length::MILLIMETRE * high)
    }

    #[test]
    fn words_are_broken_so_that_the_letters_are_largest() {
        assert_eq!(broken("happy birthday to you", size(60, 8)), ["happy birthday to you"]);
        assert_eq!(broken("happy birthday to you", size(30, 20)), ["happy birthday", "to you"]);
        assert_eq!(broken("thank you", size(20, 20)), ["thank", "you"]);
        assert_eq!(broken("   ", size(20, 20)), [""]);
    }

    #[test]
    fn no_words_are_lost_in_breaking() {
        let words = "a wish 🎂 for שלום you and all yours, always";
        for high in [5, 10, 20, 40, 80] {
            assert_eq!(broken(words, size(40, high)).join(" "), words);
        }
    }
}

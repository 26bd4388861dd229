//! Words on a card: which of the maker's sentiments a panel has room for, and how they are lettered
//! at their own size.
//!
//! Which words go on a card is hers to choose; one that fits is shown, the same one on every run.

use super::Scene;
use super::pieces::share;
use super::surface::main_colour;
use super::xml::{escape, hundredths};
use crate::layout::Rect;
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

/// The one that is shown: one of the larger of those that fit with some room round them, by the
/// card's id; of all that fit, where none leaves room.
#[must_use]
pub fn shown<'a>(scene: &Scene<'a>, card: &Suggestion, layer: &Layer) -> Option<&'a Sentiment> {
    let mut fitting = fitting(scene, card, layer);
    let room = room_for_words(layer).size();
    let roomy = |words: Size| words.width * 8 <= room.width * 7 && words.height * 8 <= room.height * 7;
    if fitting.iter().any(|one| roomy(one.size)) {
        fitting.retain(|one| roomy(one.size));
    }
    let largest = fitting.first()?.size.area().square_nanometres();
    let large = fitting.iter().filter(|one| one.size.area().square_nanometres() * 2 >= largest).count();
    let hash = card.id.bytes().fold(7_usize, |hash, byte| hash.wrapping_mul(31).wrapping_add(usize::from(byte)));
    fitting.get(hash % large.max(1)).copied()
}

/// Whether words of this size lie within the outline of a layer whose rectangle they fit into.
fn lies_within(layer: &Layer, words: Size) -> bool {
    let room = room_for_words(layer).size();
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
        // Corners may be cut off, as those of a tag: four fifths are free of that, by eye.
        Outline::Polygon(_) => words.width * 5 <= room.width * 4 && words.height * 5 <= room.height * 4,
    }
}

/// The part of a layer's rectangle that words are set in the middle of: beside a notch, not across it.
fn room_for_words(layer: &Layer) -> Rect {
    let Outline::Polygon(points) = &layer.outline else { return layer.rect };
    let whole = layer.pieces.iter().copied().reduce(|one, other| one.around(&other)).unwrap_or(layer.rect);
    let place = |(x, y): &(i32, i32)| (whole.left + share(whole.width(), *x), whole.top + share(whole.height(), *y));
    let across: Vec<(Length, Length)> = points.iter().map(place).collect();
    let (left, right) = inside(&across, (whole.top + whole.bottom).half()).unwrap_or((whole.left, whole.right));
    let down: Vec<(Length, Length)> = across.iter().map(|(x, y)| (*y, *x)).collect();
    let (top, bottom) = inside(&down, (left + right).half()).unwrap_or((whole.top, whole.bottom));
    Rect { left, top, right, bottom }.shared(&layer.rect)
}

/// The longest stretch of the line at `level` that is inside a polygon, as its two ends.
fn inside(polygon: &[(Length, Length)], level: Length) -> Option<(Length, Length)> {
    let ends = polygon.iter().zip(polygon.iter().cycle().skip(1));
    let mut crossings: Vec<Length> = ends
        .filter(|((_, from), (_, to))| (*from <= level) != (*to <= level))
        .map(|((x, from), (to_x, to))| {
            let along = i128::from((level - *from).nanometres());
            let moved = i128::from((*to_x - *x).nanometres()) * along / i128::from((*to - *from).nanometres());
            *x + Length::from_nanometres(i64::try_from(moved).unwrap_or(0))
        })
        .collect();
    crossings.sort_unstable();
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).max_by_key(|(from, to)| *to - *from)
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
    let (white, dark) = (Colour::new(100.0, 0.0, 0.0), Colour::new(15.0, 2.0, 3.0));
    // Of the two the one that reads better, where neither reads well.
    if contrast_ratio(white, paper) > contrast_ratio(dark, paper) { LIGHT.to_owned() } else { DARK.to_owned() }
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
        assert_eq!(broken("happy birthday to you", size(30, 14)), ["happy birthday", "to you"]);
        assert_eq!(broken("thank you", size(20, 20)), ["thank", "you"]);
        assert_eq!(broken("   ", size(20, 20)), [""]);
    }

    #[test]
    fn words_stand_beside_a_notch_and_not_across_it() {
        // A banner 60 mm long whose notch reaches 20 mm in from the right.
        let rect = Rect::whole(size(60, 40));
        let layer = Layer {
            id: "banner".into(),
            role: api::Role::Sentiment,
            slot: 1,
            rect,
            pieces: vec![rect],
            outline: Outline::Polygon(vec![(0, 0), (1000, 0), (666, 500), (1000, 1000), (0, 1000)]),
            raised: false,
            holds_sentiment: true,
            die: None,
            overruns: false,
        };
        let room = room_for_words(&layer);
        assert_eq!((room.left, room.right), (Length::ZERO, share(rect.right, 666)));
        assert_eq!((room.top, room.bottom), (Length::ZERO, rect.bottom));
        assert!(lies_within(&layer, size(31, 30)) && !lies_within(&layer, size(33, 30)));
    }

    #[test]
    fn no_words_are_lost_in_breaking() {
        let words = "a wish 🎂 for שלום you and all yours, always";
        for high in [5, 10, 20, 40, 80] {
            assert_eq!(broken(words, size(40, high)).join(" "), words);
        }
    }
}

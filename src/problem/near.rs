//! Near names: a word somebody mistyped and the words it could have been in, the nearest one out.
//!
//! Distance is the optimal string alignment distance (Damerau 1964 with each letter moved once at
//! most): letters left out, put in, changed, or swapped with their neighbour. It never guesses
//! when more than a third of the word would have to change.

/// Words longer than this are not compared: the cost grows with the square of the length.
const LONGEST: usize = 64;

/// How many single-letter slips lead from one word to the other, or `None` above `most`.
#[must_use]
pub fn slips(one: &str, other: &str, most: usize) -> Option<usize> {
    let one: Vec<char> = one.chars().take(LONGEST + 1).collect();
    let other: Vec<char> = other.chars().take(LONGEST + 1).collect();
    if one.len() > LONGEST || other.len() > LONGEST || one.len().abs_diff(other.len()) > most {
        return None;
    }
    // Three rows of the usual table: two letters back, one back, and the one being filled.
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=other.len()).collect();
    for (i, &letter) in one.iter().enumerate() {
        let mut row = Vec::with_capacity(other.len() + 1);
        row.push(i + 1);
        for (j, &across) in other.iter().enumerate() {
            let changed = last[j] + usize::from(letter != across);
            let mut best = changed.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && letter == other[j - 1] && one[i - 1] == across {
                best = best.min(before_last[j - 1] + 1);
            }
            row.push(best);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last.last().copied().filter(|&count| count <= most)
}

/// The word nearest to `written`, if one is near enough to ask "did you mean"; of equally near
/// ones the first in the alphabet. Small and capital letters, spaces, `-` and `_` count as alike.
#[must_use]
pub fn nearest<'a>(written: &str, words: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = plain(written);
    let letters = plain.chars().count();
    // Of two letters, one is too much to change.
    let most = if letters < 3 { 0 } else { letters / 3 };
    words
        .into_iter()
        .filter_map(|word| slips(&plain, &self::plain(word), most).map(|count| (count, word)))
        .min()
        .map(|(_, word)| word)
}

/// Small letters, with spaces and underscores as hyphens.
fn plain(word: &str) -> String {
    word.trim()
        .chars()
        .flat_map(char::to_lowercase)
        .map(|letter| if letter == '_' || letter.is_whitespace() { '-' } else { letter })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_of_slip_counts_once() {
        for (one, other) in [("reveal", "reval"), ("reval", "reveal"), ("reveal", "reveel"), ("reveal", "raveel")] {
            let expected = if other == "raveel" { 2 } else { 1 };
            assert_eq!(slips(one, other, 3), Some(expected), "{one} {other}");
        }
        assert_eq!(slips("widht", "width", 1), Some(1), "two neighbours swapped are one slip");
        assert_eq!(slips("", "abc", 3), Some(3));
        assert_eq!(slips("abc", "xyz", 2), None);
    }

    #[test]
    fn the_nearest_word_is_found_and_a_far_one_is_not() {
        let words = ["width", "height", "paper", "picture"];
        assert_eq!(nearest("widht", words), Some("width"));
        assert_eq!(nearest("Heigth", words), Some("height"));
        assert_eq!(nearest("banana", words), None);
        assert_eq!(nearest("same_as", ["same-as", "takes"]), Some("same-as"));
        assert_eq!(nearest("uk", ["US"]), None, "another word, no slip");
        assert_eq!(nearest("us", ["US"]), Some("US"));
    }

    #[test]
    fn equally_near_words_are_taken_in_order_of_the_alphabet() {
        assert_eq!(nearest("bat", ["cat", "bad", "hat"]), Some("bad"));
        assert_eq!(nearest("bat", ["hat", "bad", "cat"]), Some("bad"));
    }
}

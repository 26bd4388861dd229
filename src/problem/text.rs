//! Text from files made safe to show: any string in, one short printable line out. Never decides.

/// The most characters of a person's own text shown inside a message.
const LONGEST: usize = 60;

/// Whether a terminal would obey this character instead of showing it: control characters, and the
/// marks that turn the direction of everything after them.
fn is_unsafe(letter: char) -> bool {
    letter.is_control() || matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The same text with every unsafe character replaced, and tabs as spaces, so that nothing in a
/// file can move the cursor, clear the screen or turn a line round.
#[must_use]
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|letter| match letter {
            '\t' => ' ',
            letter if is_unsafe(letter) => char::REPLACEMENT_CHARACTER,
            letter => letter,
        })
        .collect()
}

/// The text in back quotes, printable and shortened, for use inside a sentence.
#[must_use]
pub fn quoted(text: &str) -> String {
    let short: String = text.chars().take(LONGEST).collect();
    let more = if short.len() < text.len() { "…" } else { "" };
    format!("`{}{more}`", printable(&short))
}

/// "`a`, `b` or `c`".
#[must_use]
pub fn any_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    joined(words, "or")
}

/// "`a`, `b` and `c`".
#[must_use]
pub fn all_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    joined(words, "and")
}

/// Quoted words with commas, and one word before the last.
fn joined<'a>(words: impl IntoIterator<Item = &'a str>, before_last: &str) -> String {
    let mut words: Vec<String> = words.into_iter().map(quoted).collect();
    match words.pop() {
        None => String::new(),
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} {before_last} {last}", words.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_file_can_command_the_terminal() {
        assert_eq!(quoted("a\u{1b}[2Jb\u{202e}c\r\n"), "`a\u{fffd}[2Jb\u{fffd}c\u{fffd}\u{fffd}`");
    }

    #[test]
    fn long_text_is_cut_and_says_so() {
        assert_eq!(quoted(&"ä".repeat(61)), format!("`{}…`", "ä".repeat(60)));
        assert_eq!(quoted(&"ä".repeat(60)), format!("`{}`", "ä".repeat(60)));
    }

    #[test]
    fn lists_read_as_sentences() {
        assert_eq!(any_of([]), "");
        assert_eq!(any_of(["a"]), "`a`");
        assert_eq!(all_of(["a", "b", "c"]), "`a`, `b` and `c`");
    }
}

//! Writing marks of SVG and HTML: text that may hold anything in, text that is only text out; and
//! definitions that several drawings of a page share.

use api::units::Length;
use std::collections::BTreeMap;

/// A text with nothing left in it that could end a quoted value or open an element, and without the
/// characters XML 1.0 has no room for.
#[must_use]
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{0}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}

/// A text between marks that keep its direction of writing to itself, escaped.
#[must_use]
pub(super) fn isolated(text: &str) -> String {
    // FIRST STRONG ISOLATE, and as many ends as it may have left open, then its own.
    let open = text.chars().filter(|c| matches!(c, '\u{2066}'..='\u{2068}')).count();
    let closed = text.chars().filter(|c| *c == '\u{2069}').count();
    let ends = "\u{2069}".repeat(open.saturating_sub(closed) + 1);
    format!("\u{2068}{}{ends}", escape(text))
}

/// Millimetres, exactly, as a number in an attribute.
#[must_use]
pub(super) fn mm(length: Length) -> String {
    length.to_mm_decimal()
}

/// Hundredths of a unit as a number in an attribute: for what is drawn freely, and is no length of
/// a card.
#[must_use]
pub(super) fn hundredths(count: i64) -> String {
    Length::micrometres(count.saturating_mul(10)).to_mm_decimal()
}

/// Definitions that drawings refer to: patterns and gradients, each written once.
#[derive(Clone, Debug)]
pub struct Defs {
    prefix: String,
    made: BTreeMap<String, String>,
}

impl Defs {
    /// None yet; every id begins with `prefix`, which must be a name of letters, digits and `-`.
    #[must_use]
    pub fn new(prefix: &str) -> Self {
        Self { prefix: prefix.to_owned(), made: BTreeMap::new() }
    }

    /// The id of the definition with this key; where there is none yet, `make` writes it for its id.
    pub fn id(&mut self, key: &str, make: impl FnOnce(&str) -> String) -> String {
        let id = format!("{}{key}", self.prefix);
        if !self.made.contains_key(&id) {
            let text = make(&id);
            self.made.insert(id.clone(), text);
        }
        id
    }

    /// All of them, in the order of their ids.
    #[must_use]
    pub fn text(&self) -> String {
        self.made.values().map(String::as_str).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_opens_an_element_or_ends_a_value() {
        let text = escape("\"><svg onload='x'>\u{0}\u{b}\u{7f}&\u{fffe}🎉\nשלום");
        assert_eq!(text, "&quot;&gt;&lt;svg onload=&#39;x&#39;&gt;&amp;🎉 שלום");
    }

    #[test]
    fn a_text_closes_what_it_leaves_open() {
        assert_eq!(isolated("a"), "\u{2068}a\u{2069}");
        assert_eq!(isolated("\u{2067}a"), "\u{2068}\u{2067}a\u{2069}\u{2069}");
    }

    #[test]
    fn a_definition_is_written_once() {
        let mut defs = Defs::new("p-");
        let first = defs.id("a", |id| format!("<g id=\"{id}\"/>"));
        assert_eq!(defs.id("a", |_| String::new()), first);
        assert_eq!(defs.text(), "<g id=\"p-a\"/>");
    }
}

//! An answer as plain values, or as a run of events while something takes its time.

use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// What an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A page or a part of one.
    Html,
    /// Data.
    Json,
    /// Words.
    Text,
    /// TOML.
    Toml,
    /// A style sheet.
    Css,
    /// A script.
    Script,
    /// A drawing.
    Svg,
    /// A picture.
    Png,
    /// A picture.
    Jpeg,
    /// A picture.
    WebP,
    /// Pages to print.
    Pdf,
    /// What a device needs to keep the pages on its first screen.
    Manifest,
}

impl Kind {
    pub(crate) const fn header(self) -> &'static str {
        match self {
            Self::Html => "text/html; charset=utf-8",
            Self::Json => "application/json; charset=utf-8",
            Self::Text => "text/plain; charset=utf-8",
            Self::Toml => "application/toml; charset=utf-8",
            Self::Css => "text/css; charset=utf-8",
            Self::Script => "text/javascript; charset=utf-8",
            Self::Svg => "image/svg+xml",
            Self::Pdf => "application/pdf",
            Self::Png => "image/png",
            Self::Jpeg => "image/jpeg",
            Self::WebP => "image/webp",
            Self::Manifest => "application/manifest+json",
        }
    }
}

/// How long the browser may keep an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Keep {
    /// Not at all.
    No,
    /// For good: its address changes with its content.
    ForGood,
    /// As long as it asks whether this version is still the latest.
    Ask(String),
}

/// An answer.
#[derive(Debug)]
pub struct Told {
    /// The status, as HTTP counts them.
    pub status: u16,
    /// What it is.
    pub kind: Kind,
    /// What it says.
    pub bytes: Vec<u8>,
    /// How long it may be kept.
    pub keep: Keep,
    /// Where to go instead: a path of ours.
    pub to: Option<String>,
    /// Seconds after which to try again.
    pub again: Option<u64>,
    pub(crate) events: Option<UnboundedReceiver<String>>,
}

impl Told {
    /// An answer that nobody keeps.
    #[must_use]
    pub fn new(status: u16, kind: Kind, bytes: impl Into<Vec<u8>>) -> Self {
        Self { status, kind, bytes: bytes.into(), keep: Keep::No, to: None, again: None, events: None }
    }

    /// A page.
    #[must_use]
    pub fn page(html: impl Into<Vec<u8>>) -> Self {
        Self::new(200, Kind::Html, html)
    }

    /// Look there: a path of ours.
    #[must_use]
    pub fn see(path: impl Into<String>) -> Self {
        Self { to: Some(path.into()), ..Self::new(303, Kind::Text, "") }
    }

    /// The same, with another status.
    #[must_use]
    pub fn with_status(self, status: u16) -> Self {
        Self { status, ..self }
    }

    /// The same, to be kept so long.
    #[must_use]
    pub fn kept(self, keep: Keep) -> Self {
        Self { keep, ..self }
    }

    /// A run of events, told as they come; it ends where the teller is dropped.
    #[must_use]
    pub fn events() -> (Teller, Self) {
        let (to, from) = unbounded_channel();
        (Teller(to), Self { events: Some(from), ..Self::new(200, Kind::Text, "") })
    }
}

/// Tells events to one browser.
#[derive(Clone, Debug)]
pub struct Teller(UnboundedSender<String>);

impl Teller {
    /// Tells one event; `false` where nobody listens any more.
    pub fn tell(&self, name: &str, data: &str) -> bool {
        // One field a line, as the format wants it (HTML Living Standard, 9.2.5).
        let name: String = name.chars().filter(|sign| !sign.is_control()).collect();
        let mut event = format!("event: {name}\n");
        for line in data.split(['\n', '\r']) {
            event.push_str("data: ");
            event.push_str(line);
            event.push('\n');
        }
        event.push('\n');
        self.0.send(event).is_ok()
    }

    /// Whether anyone still listens.
    #[must_use]
    pub fn is_heard(&self) -> bool {
        !self.0.is_closed()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_has_one_field_a_line() {
        let (teller, mut told) = Told::events();
        assert!(teller.tell("far\n", "one\ntwo"));
        let heard = told.events.as_mut().expect("it is a run of events").try_recv().expect("one was told");
        assert_eq!(heard, "event: far\ndata: one\ndata: two\n\n");
        drop(told);
        assert!(!teller.is_heard() && !teller.tell("far", "three"));
    }
}

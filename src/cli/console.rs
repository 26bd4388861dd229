//! Where answers and messages go. A reader that has gone away ends the program quietly.

use super::trouble::Trouble;
use crate::present::text::Look;
use anstream::{AutoStream, ColorChoice};
use std::io::{IsTerminal, Write};

/// Stdout for answers, stderr for messages.
#[derive(Debug)]
pub(super) struct Console {
    look: Look,
}

impl Console {
    /// The console as it is: colour only where a terminal shows it and nobody asked for none.
    pub(super) fn new() -> Self {
        let look = match AutoStream::choice(&std::io::stdout()) {
            ColorChoice::Never => Look::Plain,
            _ => Look::Coloured,
        };
        Self { look }
    }

    /// How text is dressed here.
    pub(super) const fn look(&self) -> Look {
        self.look
    }

    /// Whether a person is looking, and not a file or another program.
    pub(super) fn is_watched(&self) -> bool {
        std::io::stdout().is_terminal()
    }

    /// Prints an answer.
    pub(super) fn print(&self, text: &str) -> Result<(), Trouble> {
        let mut out = anstream::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()?;
        Ok(())
    }

    /// Prints an answer that is data, byte for byte.
    pub(super) fn print_data(&self, bytes: &[u8]) -> Result<(), Trouble> {
        let mut out = std::io::stdout().lock();
        out.write_all(bytes)?;
        out.flush()?;
        Ok(())
    }

    /// Says something beside the answer; nothing where there is nothing to say.
    pub(super) fn tell(&self, text: &str) {
        if !text.is_empty() {
            // Whether anyone reads it makes no difference to what is done.
            let _ = writeln!(std::io::stderr(), "{text}");
        }
    }
}

//! What is wrong, where, and what to do about it: the words every step uses to say so.
//!
//! A [`Problem`] is a [`Fault`] (with its message and its remedy) at a [`Place`], and what became
//! of the thing it was found in. All steps may use this module; it uses none of them, reads no
//! file and prints nothing.

mod fault;
mod message;
mod near;
mod place;
mod remedy;
mod text;

pub use fault::{Axis, Fault, Found, LinkTarget, Named, PathFault};
pub use near::{nearest, slips};
pub use place::{Place, Source, shown};
pub use text::{all_of, any_of, printable, quoted};

use std::fmt;

/// How much a problem matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth a look; everything was read.
    Note,
    /// Something is wrong and ought to be put right.
    Wrong,
}

/// What became of the thing a problem was found in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing more to say.
    #[default]
    Said,
    /// The thing is left out, and nothing else: "this scrap".
    LeftOut(String),
    /// The thing is read with a default instead: "2 copies of each".
    TakenAs(String),
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Where.
    pub place: Place,
    /// What.
    pub fault: Fault,
    /// What became of it.
    pub outcome: Outcome,
}

impl Fault {
    /// How much it matters.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        match self {
            Self::LinkNotFollowed { .. }
            | Self::FutureDate { .. }
            | Self::FoamShows
            | Self::LedgerTorn
            | Self::RecountWanted { .. }
            | Self::PaperOfPieceGone { .. } => Severity::Note,
            _ => Severity::Wrong,
        }
    }
}

impl Problem {
    /// A fault at a place, with nothing more to say.
    #[must_use]
    pub const fn new(place: Place, fault: Fault) -> Self {
        Self { place, fault, outcome: Outcome::Said }
    }

    /// The same problem, saying what became of the thing.
    #[must_use]
    pub fn with(self, outcome: Outcome) -> Self {
        Self { outcome, ..self }
    }

    /// What is wrong, as a sentence without its full stop.
    #[must_use]
    pub fn message(&self) -> String {
        self.fault.message()
    }

    /// What to do about it, as a sentence without its full stop. Every fault has one.
    #[must_use]
    pub fn remedy(&self) -> String {
        self.fault.remedy()
    }

    /// How much it matters.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        self.fault.severity()
    }
}

/// Puts problems in order of file and place; those at one place stay as they were found.
pub fn sort(problems: &mut [Problem]) {
    problems.sort_by(|one, other| one.place.order().cmp(&other.place.order()));
}

impl fmt::Display for Problem {
    /// As on screen: place and message, the line with a caret, the remedy, what became of it.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}: {}", self.place.short(), self.message())?;
        if let Some(caret) = self.place.caret() {
            write!(out, "\n{caret}")?;
        }
        write!(out, "\nhelp: {}", self.remedy())?;
        match &self.outcome {
            Outcome::Said => Ok(()),
            Outcome::LeftOut(what) => write!(out, "\nnote: {what} is left out until then"),
            Outcome::TakenAs(what) => write!(out, "\nnote: until then it is read as {what}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_problem_reads_as_place_message_caret_remedy() {
        let source = Source::new("box/scraps.toml", "[[scrap]]\nwidht = 3\n");
        let fault = Fault::UnknownKey { key: "widht".into(), of: "a scrap", nearest: Some("width".into()) };
        let problem = Problem::new(source.place(10..15), fault).with(Outcome::LeftOut("this scrap".into()));
        assert_eq!(
            problem.to_string(),
            "box/scraps.toml:2:1: a scrap has no `widht`\n 2 | widht = 3\n   | ^^^^^\n\
             help: did you mean `width`?\nnote: this scrap is left out until then"
        );
    }

    #[test]
    fn problems_are_told_in_order_of_file_and_place() {
        let fault = || Fault::NothingThere;
        let at = |file: &str, byte| Problem::new(Source::new(file, "a\nb\nc\n").place(byte..byte), fault());
        let mut problems = vec![at("b", 0), at("a", 4), at("a", 2)];
        sort(&mut problems);
        let order: Vec<String> = problems.iter().map(|problem| problem.place.short()).collect();
        assert_eq!(order, ["a:2:1", "a:3:1", "b:1:1"]);
    }
}

//! A script as a scorer: views in, worths out, each question asked of the script once and kept.

use crate::ask::{Answer, COLOURS, Script, Tried};
use crate::engine;
use crate::fingerprint::{of_paper, of_piece, of_role};
use crate::limits::ScriptLimits;
use crate::manifest::{ScriptManifest, Term};
use crate::pairs::deciding;
use crate::problem::ScriptProblem;
use crate::values::{self, ScriptColour, ScriptPaper, ScriptPiece};
use api::{CardView, Colour, Knobs, Manifest, PaperView, PieceView, Role, Scorer, Subject, Swatch, Worth, colour_name};
use std::collections::HashMap;
use std::hash::Hash;
use std::sync::{OnceLock, PoisonError, RwLock};

/// A month, which scripts may ask for: it comes from the day the run is for, not from a clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Month(u8);

impl Month {
    /// January is 1; `None` beyond 1 to 12.
    #[must_use]
    pub const fn new(number: u8) -> Option<Self> {
        if number >= 1 && number <= 12 { Some(Self(number)) } else { None }
    }
}

/// What a question is kept by: the term and the fingerprints of what is shown.
type Key = (Term, u64, u64);
/// What a question about two colours is kept by: their bits.
type ColourKey = ([u64; 3], [u64; 3]);

/// Answers that were given before.
struct Kept<K>(RwLock<HashMap<K, Option<Worth>>>);

impl<K: Eq + Hash> Kept<K> {
    fn new() -> Self {
        Self(RwLock::new(HashMap::new()))
    }

    /// The answer kept under `key`, or that of `ask`, which is then kept.
    fn or_ask<E>(&self, key: K, ask: impl FnOnce() -> Result<Option<Worth>, E>) -> Result<Option<Worth>, E> {
        // A lock that was held during a panic still guards whole answers.
        if let Some(known) = self.0.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return Ok(*known);
        }
        let answer = ask()?;
        self.0.write().unwrap_or_else(PoisonError::into_inner).insert(key, answer);
        Ok(answer)
    }
}

/// Whether the words of an answer are wanted or only its worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reason {
    Wanted,
    Spare,
}

/// A script as a scorer.
pub struct Scripted {
    manifest: ScriptManifest,
    script: Script,
    papers: Kept<Key>,
    colours: Kept<ColourKey>,
    failure: OnceLock<ScriptProblem>,
}

impl Scripted {
    /// Reads a script for its manifest, with the knobs and the month it will be run with.
    ///
    /// # Errors
    ///
    /// Where it cannot be read, is too long, or lacks a function for a term of the manifest.
    pub fn new(
        manifest: ScriptManifest,
        text: &str,
        limits: &ScriptLimits,
        knobs: &Knobs,
        month: Month,
    ) -> Result<Self, Vec<ScriptProblem>> {
        let script = Script::read(&manifest, text, limits, knobs, month.0)?;
        Ok(Self { manifest, script, papers: Kept::new(), colours: Kept::new(), failure: OnceLock::new() })
    }

    /// The questions it answers.
    #[must_use]
    pub fn terms(&self) -> &[Term] {
        &self.manifest.terms
    }

    /// What stopped it, if anything did. From then on it has no opinion on anything: leave it out, and
    /// judge again whatever was judged with it.
    #[must_use]
    pub fn failure(&self) -> Option<&ScriptProblem> {
        self.failure.get()
    }

    /// Asks beforehand everything that a search may need, so that a script that fails is known in time.
    ///
    /// # Errors
    ///
    /// What stopped it.
    pub fn prepare<'a>(&self, subjects: impl IntoIterator<Item = Subject<'a>>) -> Result<(), ScriptProblem> {
        for subject in subjects {
            if let Err(problem) = self.worth(&subject) {
                // Whichever failed first stays.
                return Err(self.failure.get_or_init(|| problem).clone());
            }
        }
        Ok(())
    }

    /// Asks one question anew and tells how it went, for whoever writes the script.
    ///
    /// # Errors
    ///
    /// What stopped it.
    pub fn try_out(&self, subject: &Subject<'_>) -> Result<Tried, ScriptProblem> {
        let mut steps = 0;
        let (answer, printed) = engine::listening(|| self.answer(subject, Reason::Wanted, &mut steps));
        let Answer { worth, why } = answer?;
        let why = why.unwrap_or_else(|| self.manifest.manifest.title.clone());
        Ok(Tried { worth, why, printed, steps })
    }

    fn term(subject: &Subject<'_>) -> Option<Term> {
        match subject {
            Subject::Piece(_) => Some(Term::Piece),
            Subject::InRole { .. } => Some(Term::InRole),
            Subject::MatBehind { .. } => Some(Term::MatBehind),
            Subject::Touching { .. } => Some(Term::Touching),
            Subject::SameCard(..) => Some(Term::SameCard),
            Subject::Card(_) => Some(Term::Card),
            _ => None,
        }
    }

    /// Two papers of a question about two papers, in the order in which the script is shown them.
    fn papers<'a>(subject: &Subject<'a>) -> Option<(&'a PaperView, &'a PaperView)> {
        match subject {
            Subject::MatBehind { panel: one, mat: other } | Subject::Touching { upper: one, lower: other } => {
                Some((one, other))
            }
            // The order means nothing, so it is made one.
            Subject::SameCard(one, other) if of_paper(other) < of_paper(one) => Some((other, one)),
            Subject::SameCard(one, other) => Some((one, other)),
            _ => None,
        }
    }

    /// The kept answer, or that of the script.
    fn worth(&self, subject: &Subject<'_>) -> Result<Option<Worth>, ScriptProblem> {
        let Some(term) = Self::term(subject).filter(|term| self.manifest.terms.contains(term)) else {
            return Ok(None);
        };
        let ask = || self.answer(subject, Reason::Spare, &mut 0).map(|answer| answer.worth);
        match subject {
            Subject::Piece(piece) => self.papers.or_ask((term, of_piece(piece), 0), ask),
            Subject::InRole { paper, role } => self.papers.or_ask((term, of_paper(paper), of_role(*role)), ask),
            // A finished card is seldom seen twice.
            Subject::Card(_) => ask(),
            _ => match Self::papers(subject) {
                Some((one, other)) => self.papers.or_ask((term, of_paper(one), of_paper(other)), ask),
                None => Ok(None),
            },
        }
    }

    /// The script's answer with its reason; `steps` becomes the most that any call took.
    fn answer(&self, subject: &Subject<'_>, reason: Reason, steps: &mut u64) -> Result<Answer, ScriptProblem> {
        let nothing = Answer { worth: None, why: None };
        let Some(term) = Self::term(subject).filter(|term| self.manifest.terms.contains(term)) else {
            return Ok(nothing);
        };
        let answer = match (subject, Self::papers(subject)) {
            (Subject::Piece(piece), _) => self.script.ask(term.function(), (ScriptPiece::new(piece),)),
            (Subject::InRole { paper, role }, _) => {
                self.script.ask(term.function(), (ScriptPaper::new(paper), values::role(*role)))
            }
            (Subject::Card(card), _) => self.script.ask(term.function(), (values::card(card),)),
            (_, Some((one, other))) if self.script.has(term) => {
                self.script.ask(term.function(), (ScriptPaper::new(one), ScriptPaper::new(other)))
            }
            (_, Some((one, other))) => return self.by_colours(one, other, reason, steps),
            _ => return Ok(nothing),
        };
        *steps = engine::steps();
        answer
    }

    /// Two papers by the pair of their colours that decides.
    fn by_colours(
        &self,
        one: &PaperView,
        other: &PaperView,
        reason: Reason,
        steps: &mut u64,
    ) -> Result<Answer, ScriptProblem> {
        let judge = |first: &Swatch, second: &Swatch| {
            let key = (bits(first.colour), bits(second.colour));
            self.colours.or_ask(key, || {
                let answer = self.script.ask(COLOURS, (ScriptColour(first.colour), ScriptColour(second.colour)))?;
                *steps = engine::steps().max(*steps);
                Ok(answer.worth)
            })
        };
        let Some(pair) = deciding(one, other, self.manifest.forgive, judge)? else {
            return Ok(Answer { worth: None, why: None });
        };
        let (first, second) = (pair.one.colour, pair.other.colour);
        if reason == Reason::Spare {
            return Ok(Answer { worth: Some(pair.worth), why: None });
        }
        let told = self.script.ask(COLOURS, (ScriptColour(first), ScriptColour(second)))?;
        *steps = engine::steps().max(*steps);
        let names = || format!("{} with {}", colour_name(first), colour_name(second));
        Ok(Answer { worth: Some(pair.worth), why: Some(told.why.unwrap_or_else(names)) })
    }

    /// The worth, with a failure noted and an end to all opinions.
    fn opinion(&self, subject: &Subject<'_>) -> Option<Worth> {
        if self.failure.get().is_some() {
            return None;
        }
        match self.worth(subject) {
            Ok(worth) => worth,
            Err(problem) => {
                // Whichever failed first stays.
                self.failure.get_or_init(|| problem);
                None
            }
        }
    }
}

/// A colour as its bits, so that it can be looked up.
fn bits(colour: Colour) -> [u64; 3] {
    [colour.l, colour.a, colour.b].map(f64::to_bits)
}

impl Scorer for Scripted {
    fn manifest(&self) -> &Manifest {
        &self.manifest.manifest
    }

    fn piece(&self, piece: &PieceView<'_>) -> Option<Worth> {
        self.opinion(&Subject::Piece(piece))
    }

    fn in_role(&self, paper: &PaperView, role: Role) -> Option<Worth> {
        self.opinion(&Subject::InRole { paper, role })
    }

    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        self.opinion(&Subject::MatBehind { panel, mat })
    }

    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        self.opinion(&Subject::Touching { upper, lower })
    }

    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        self.opinion(&Subject::SameCard(one, other))
    }

    fn card(&self, card: &CardView<'_>) -> Option<Worth> {
        self.opinion(&Subject::Card(card))
    }

    fn card_took(&self) -> u64 {
        // A step takes about as long as weighing a candidate: at most 0.06 µs, measured over loops.
        engine::steps()
    }

    fn has_failed(&self) -> bool {
        self.failure.get().is_some()
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        match self.answer(subject, Reason::Wanted, &mut 0) {
            Ok(answer) => answer.why.unwrap_or_else(|| self.manifest.manifest.title.clone()),
            Err(problem) => problem.what,
        }
    }
}

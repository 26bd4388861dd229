//! What is wrong with a script or its manifest: where, what, and what to do about it.

use rhai::{EvalAltResult, ParseError, Position};
use std::fmt;

/// Which of the two texts a problem stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Text {
    /// The manifest, TOML.
    Manifest,
    /// The script.
    Script,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct ScriptProblem {
    /// Which text it stands in.
    pub text: Text,
    /// The line, from 1; 0 where the text as a whole is meant.
    pub line: usize,
    /// The column in characters, from 1; 0 where the line as a whole is meant.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

impl ScriptProblem {
    /// A problem with a text as a whole.
    pub(crate) fn whole(text: Text, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { text, line: 0, column: 0, what: what.into(), remedy: remedy.into() }
    }

    /// A problem at a byte of a text.
    pub(crate) fn at_byte(
        text: Text,
        source: &str,
        byte: usize,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        let before = source.get(..byte).unwrap_or(source);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |on_line| on_line.chars().count()) + 1;
        Self { text, line, column, what: what.into(), remedy: remedy.into() }
    }

    fn at(position: Position, what: String, remedy: String) -> Self {
        let (line, column) = (position.line().unwrap_or(0), position.position().unwrap_or(0));
        Self { text: Text::Script, line, column, what, remedy }
    }

    /// A script that cannot be read.
    pub(crate) fn unreadable(error: &ParseError) -> Self {
        let what = format!("the script cannot be read: {}", error.err_type());
        Self::at(error.position(), what, String::from("see `docs/plugins.md` for what a script may contain"))
    }

    /// A script that was stopped.
    pub(crate) fn stopped(error: &EvalAltResult, function: &str) -> Self {
        // The innermost error says what happened; the outer ones only through which calls.
        let mut inner = error;
        while let EvalAltResult::ErrorInFunctionCall(_, _, deeper, _) = inner {
            inner = deeper;
        }
        let (what, remedy) = words(inner);
        Self::at(inner.position(), format!("`{function}` {what}"), remedy)
    }
}

/// What happened, after the name of the function, and what to do.
fn words(error: &EvalAltResult) -> (String, String) {
    use EvalAltResult as E;
    let (what, remedy) = match error {
        E::ErrorTooManyOperations(_) => ("took too many steps", "look for a loop that never ends"),
        E::ErrorStackOverflow(_) => ("called itself too deep", "use a loop instead of calling back"),
        E::ErrorTooManyVariables(_) => ("has too many variables", "use fewer `let`s at one time"),
        E::ErrorDataTooLarge(..) => ("made a text, list or map that is too large", "keep less at one time"),
        E::ErrorTerminated(..) => ("took too long", "do less in one call"),
        E::ErrorVariableNotFound(name, _) => {
            return (
                format!("knows no `{name}`"),
                String::from("define it with `let`; a function sees only what it is handed"),
            );
        }
        E::ErrorFunctionNotFound(signature, _) => {
            return (
                format!("calls `{signature}`, which there is not"),
                String::from("see `docs/plugins.md` for the functions there are and what they take"),
            );
        }
        E::ErrorPropertyNotFound(name, _) | E::ErrorDotExpr(name, _) => {
            return (
                format!("asks for `{name}`, which there is not"),
                String::from("see `docs/plugins.md` for what papers and colours have"),
            );
        }
        E::ErrorRuntime(thrown, _) => {
            return (format!("gave up: {thrown}"), String::from("look at the `throw` in the script"));
        }
        other => {
            return (format!("failed: {other}"), String::from("mend the script at this place"));
        }
    };
    (String::from(what), String::from(remedy))
}

impl fmt::Display for ScriptProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self.text {
            Text::Manifest => "manifest",
            Text::Script => "script",
        };
        match (self.line, self.column) {
            (0, _) => write!(f, "{text}: {}; {}", self.what, self.remedy),
            (line, 0) => write!(f, "{text}:{line}: {}; {}", self.what, self.remedy),
            (line, column) => write!(f, "{text}:{line}:{column}: {}; {}", self.what, self.remedy),
        }
    }
}

impl std::error::Error for ScriptProblem {}

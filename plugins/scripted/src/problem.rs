//! What is wrong with a script or its manifest: where, what, and what to do about it.

use rhai::{Dynamic, EvalAltResult, ParseError, ParseErrorType, Position};
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

    /// A script that cannot be read.
    pub(crate) fn unreadable(error: &ParseError) -> Self {
        let what = format!("the script cannot be read: {}", error.err_type());
        let (line, column) = place(error.position()).unwrap_or((0, 0));
        let remedy = String::from(match error.err_type() {
            ParseErrorType::Reserved(word) if word == "import" => {
                "a script sees no other file: put what it needs into this one"
            }
            ParseErrorType::VariableUndefined(_) => {
                "check how it is spelt; a function sees only what it is handed and what it sets with `let`: set it inside the function, \
                 or make it a knob"
            }
            _ => "see `docs/plugins.md` for what a script may contain",
        });
        Self { text: Text::Script, line, column, what, remedy }
    }

    /// A script that was stopped; where the engine names no place, the function's head is it.
    pub(crate) fn stopped(error: &EvalAltResult, function: &str, head: (usize, usize)) -> Self {
        // The innermost error says what happened; the outer ones only through which calls.
        let (mut inner, mut at) = (error, place(error.position()));
        while let EvalAltResult::ErrorInFunctionCall(_, _, deeper, _) = inner {
            inner = deeper;
            at = place(inner.position()).or(at);
        }
        let (line, column) = at.unwrap_or(head);
        let (what, remedy) = words(inner);
        Self { text: Text::Script, line, column, what: format!("`{function}` {what}"), remedy }
    }
}

/// A refusal by one of the host's own functions.
#[derive(Debug)]
pub(crate) struct Refusal {
    pub(crate) what: String,
    pub(crate) remedy: &'static str,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)
    }
}

impl std::error::Error for Refusal {}

/// Line and column, where the engine knows them.
fn place(position: Position) -> Option<(usize, usize)> {
    Some((position.line()?, position.position().unwrap_or(0)))
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
        E::ErrorFunctionNotFound(signature, _) => {
            let call = signature.replace(" (", "(").replace("&str | ImmutableString | String", "text");
            return (
                format!("calls `{call}`, which there is not"),
                String::from("see `docs/plugins.md` for the functions there are and what they take"),
            );
        }
        E::ErrorDotExpr(told, _) | E::ErrorPropertyNotFound(told, _) => {
            let name = told.split('\'').nth(1).unwrap_or(told);
            let is_change = told.contains("writable") || told.contains("setter");
            let what = if is_change {
                format!("tries to change `{name}`")
            } else {
                format!("asks for `{name}`, which there is not")
            };
            let remedy = if is_change {
                "what a script is shown cannot be changed; keep a value of your own with `let`"
            } else {
                "see `docs/plugins.md` for what papers, colours and pieces have"
            };
            return (what, String::from(remedy));
        }
        E::ErrorRuntime(thrown, _) => {
            return (format!("gave up{}", in_words(thrown)), String::from("look at the `throw` in the script"));
        }
        E::ErrorSystem(_, cause) => {
            let (what, remedy) = cause
                .downcast_ref::<Refusal>()
                .map_or((cause.to_string(), "mend the script at this place"), |refusal| {
                    (refusal.what.clone(), refusal.remedy)
                });
            return (format!("was refused: {what}"), String::from(remedy));
        }
        other => {
            // The place is told apart from the words.
            let told = other.to_string();
            let told = told.split(" (line ").next().unwrap_or_default();
            let remedy = if told.starts_with("Division by zero") || told.starts_with("Modulo division by zero") {
                "ask first whether what it divides by is 0, and answer `()` where it is"
            } else if told.contains("overflow") {
                "reckon with smaller numbers, or with a point in them: `2.0`"
            } else {
                "mend the script at this place"
            };
            return (format!("failed: {told}"), String::from(remedy));
        }
    };
    (String::from(what), String::from(remedy))
}

/// What was thrown, where it is a text or a number; of anything else only our own names would be told.
fn in_words(thrown: &Dynamic) -> String {
    if thrown.is_string() || thrown.is_int() || thrown.is_float() { format!(": {thrown}") } else { String::new() }
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

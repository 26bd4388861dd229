//! Asking: a function of a script and what to show it in, its answer or what went wrong out.

use crate::engine;
use crate::limits::ScriptLimits;
use crate::manifest::{ScriptManifest, Term};
use crate::problem::{ScriptProblem, Text};
use api::{Knobs, Worth};
use rhai::{AST, CallFnOptions, Dynamic, Engine, FuncArgs, Scope};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The function that judges two colours, for terms of two papers that have no function of their own.
pub(crate) const COLOURS: &str = "colours";

/// What a script answered.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Answer {
    /// `None` for no opinion.
    pub(crate) worth: Option<Worth>,
    /// Its reason, where it gave one.
    pub(crate) why: Option<String>,
}

/// How a trial of a script went.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Tried {
    /// What it answered; `None` for no opinion.
    pub worth: Option<Worth>,
    /// The reason a suggestion would show.
    pub why: String,
    /// What it printed, line by line.
    pub printed: Vec<String>,
    /// The most steps any of its calls took.
    pub steps: u64,
}

/// A script that was read and found whole.
pub(crate) struct Script {
    engine: Engine,
    ast: AST,
    reason_characters: usize,
    /// For each term in the order of [`Term::ALL`], the function that answers it.
    has: Vec<Term>,
    /// Where each function begins: line and column, from 1.
    heads: BTreeMap<String, (usize, usize)>,
}

impl Script {
    /// Reads a script for a manifest.
    pub(crate) fn read(
        manifest: &ScriptManifest,
        text: &str,
        limits: &ScriptLimits,
        knobs: &Knobs,
        month: u8,
    ) -> Result<Self, Vec<ScriptProblem>> {
        let whole = |what: String, remedy: &str| ScriptProblem::whole(Text::Script, what, remedy);
        if text.len() > limits.script_bytes {
            let what = format!("{} bytes are more than the {} a script may have", text.len(), limits.script_bytes);
            return Err(vec![whole(what, "shorten it, or make two scripts of it")]);
        }
        let engine = engine::engine(limits, &manifest.manifest.knobs, &knobs.0, month);
        let compiled = catch_unwind(AssertUnwindSafe(|| engine.compile(text)))
            .map_err(|_| vec![whole(String::from("the script cannot be read"), "write it more simply")])?;
        let ast = compiled.map_err(|error| vec![ScriptProblem::unreadable(&error)])?;
        let takes = |name: &str, count: usize| {
            ast.iter_functions().any(|function| function.name == name && function.params.len() == count)
        };
        let (mut has, mut problems) = (Vec::new(), Vec::new());
        for term in &manifest.terms {
            let count = if term.is_pair() || *term == Term::InRole { 2 } else { 1 };
            if takes(term.function(), count) {
                has.push(*term);
            } else if !(term.is_pair() && takes(COLOURS, 2)) {
                let wanted = match term {
                    Term::Piece => "`fn piece(piece)`",
                    Term::Card => "`fn card(card)`",
                    Term::InRole => "`fn in_role(paper, role)`",
                    Term::MatBehind => "`fn mat_behind(panel, mat)` or `fn colours(one, other)`",
                    Term::Touching => "`fn touching(upper, lower)` or `fn colours(one, other)`",
                    Term::SameCard => "`fn same_card(one, other)` or `fn colours(one, other)`",
                };
                let what = format!("its manifest names `{}`, but no function answers it", term.key());
                problems.push(whole(what, &format!("write {wanted}, or take `{}` out of `terms`", term.key())));
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        let heads =
            ast.iter_functions().map(|function| (function.name.to_owned(), head(text, function.name))).collect();
        Ok(Self { engine, ast, reason_characters: limits.reason_characters, has, heads })
    }

    /// Whether a function of its own answers a term.
    pub(crate) fn has(&self, term: Term) -> bool {
        self.has.contains(&term)
    }

    /// Calls a function.
    pub(crate) fn ask(&self, function: &str, shown: impl FuncArgs) -> Result<Answer, ScriptProblem> {
        engine::begin();
        let options = CallFnOptions::new().eval_ast(false).rewind_scope(true);
        let mut scope = Scope::new();
        let called = catch_unwind(AssertUnwindSafe(|| {
            self.engine.call_fn_with_options::<Dynamic>(options, &mut scope, &self.ast, function, shown)
        }));
        match called {
            Ok(Ok(answer)) => self.understood(answer, function),
            Ok(Err(error)) => Err(ScriptProblem::stopped(&error, function, self.head(function))),
            Err(_) => Err(self.at_head(
                function,
                "broke down",
                "write it more simply; this is a fault of the program, not only of the script",
            )),
        }
    }

    fn head(&self, function: &str) -> (usize, usize) {
        self.heads.get(function).copied().unwrap_or_default()
    }

    fn at_head(&self, function: &str, what: &str, remedy: &str) -> ScriptProblem {
        let (line, column) = self.head(function);
        let what = format!("`{function}` {what}");
        ScriptProblem { text: Text::Script, line, column, what, remedy: remedy.to_owned() }
    }

    /// A number from 0 to 1, `()` for no opinion, or a list of either and a reason.
    fn understood(&self, answer: Dynamic, function: &str) -> Result<Answer, ScriptProblem> {
        let wrong = |what: String| {
            let remedy = "answer a number from 0 to 1, `()` for no opinion, or `[number, \"reason\"]`";
            self.at_head(function, &format!("answered {what}"), remedy)
        };
        let number_wrong = |number: f64| {
            if number.is_finite() {
                return wrong(number.to_string());
            }
            let remedy = "look for a division by 0, a root of less than 0, or numbers without bounds, \
                          and answer `()` where there is nothing to say";
            self.at_head(function, &format!("answered {number}, which is no number"), remedy)
        };
        if let Some(number) = number(&answer) {
            let worth = Worth::new(number).ok_or_else(|| number_wrong(number))?;
            return Ok(Answer { worth: Some(worth), why: None });
        }
        if answer.is_unit() {
            return Ok(Answer { worth: None, why: None });
        }
        let kind = answer.type_name();
        let list = answer.into_array().map_err(|_| wrong(format!("a value of type `{kind}`")))?;
        let [worth, why] = list.as_slice() else { return Err(wrong(format!("a list of {}", list.len()))) };
        let worth = match number(worth) {
            Some(number) => Some(Worth::new(number).ok_or_else(|| number_wrong(number))?),
            None if worth.is_unit() => None,
            None => return Err(wrong(format!("a value of type `{}`", worth.type_name()))),
        };
        let why = why.read_lock::<rhai::ImmutableString>().map(|text| self.tidy(&text));
        Ok(Answer { worth, why: why.filter(|text| !text.is_empty()) })
    }

    /// A reason in one line, no longer than allowed.
    fn tidy(&self, text: &str) -> String {
        let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
        one_line.chars().filter(|c| !c.is_control()).take(self.reason_characters).collect()
    }
}

/// Line and column of the first `fn NAME` of a script; 0 and 0 where it is written in some other way.
fn head(text: &str, name: &str) -> (usize, usize) {
    for (line, on_line) in text.lines().enumerate() {
        for (at, _) in on_line.match_indices("fn ") {
            let after = on_line[at + 3..].trim_start().strip_prefix(name);
            if after.is_some_and(|rest| rest.trim_start().starts_with('(')) {
                return (line + 1, on_line[..at].chars().count() + 1);
            }
        }
    }
    (0, 0)
}

/// Scripts may answer 1 as well as 1.0.
fn number(value: &Dynamic) -> Option<f64> {
    #[allow(clippy::cast_precision_loss, reason = "a number a person wrote; only 0 and 1 are in range")]
    value.as_float().ok().or_else(|| value.as_int().ok().map(|whole| whole as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_in_a_function_of_ours_is_a_problem_like_any_other() {
        let limits = ScriptLimits::USUAL;
        let manifest = "api = 1\nname = \"x\"\ntitle = \"x\"\nversion = 1\nscript = \"x.rhai\"\nterms = [\"card\"]";
        let manifest = ScriptManifest::read(manifest, &limits).unwrap();
        let mut script = Script::read(&manifest, "\nfn card(card) { boom() }", &limits, &Knobs::default(), 1).unwrap();
        script.engine.register_fn("boom", || -> f64 { panic!("on purpose, for a test") });
        let problem = script.ask("card", (1_i64,)).unwrap_err();
        assert_eq!((problem.line, problem.column), (2, 1));
        assert!(problem.what.starts_with("`card` broke down"), "{problem}");
        // And the next call is as good as ever.
        assert!(script.ask("card", (1_i64,)).is_err());
    }
}

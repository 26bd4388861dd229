//! The manifest: TOML text in, what a script says of itself out, or everything that is wrong with it.

use crate::limits::ScriptLimits;
use crate::problem::{ScriptProblem, Text};
use api::{API_VERSION, Gather, Knob, Manifest, Ranges, Share, Worth};
use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeSet;
use toml::Spanned;

/// What the TOML may say.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct File {
    #[allow(dead_code, reason = "whoever walks the folder tells files apart by it; any text will do here")]
    kind: Option<String>,
    api: Spanned<u32>,
    name: Spanned<String>,
    title: Spanned<String>,
    version: Spanned<u32>,
    script: Spanned<String>,
    terms: Spanned<Vec<Spanned<String>>>,
    gather: Option<Spanned<String>>,
    weight: Option<Spanned<f64>>,
    neutral: Option<Spanned<f64>>,
    forgive: Option<Spanned<f64>>,
    #[serde(default, rename = "knob")]
    knobs: Vec<KnobTable>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct KnobTable {
    name: Spanned<String>,
    meaning: String,
    low: f64,
    high: f64,
    default: Spanned<f64>,
}

/// A kind of question a script may answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Term {
    /// One piece in its place.
    Piece,
    /// A paper in a role.
    InRole,
    /// A panel and the mat round it.
    MatBehind,
    /// Two papers that meet with no mat between.
    Touching,
    /// Two patterned papers anywhere on one card.
    SameCard,
    /// The whole card.
    Card,
}

impl Term {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Piece, Self::InRole, Self::MatBehind, Self::Touching, Self::SameCard, Self::Card];

    /// As it is written in a manifest.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Piece => "piece",
            Self::InRole => "in-role",
            Self::MatBehind => "mat-behind",
            Self::Touching => "touching",
            Self::SameCard => "same-card",
            Self::Card => "card",
        }
    }

    /// The function that answers it.
    #[must_use]
    pub const fn function(self) -> &'static str {
        match self {
            Self::Piece => "piece",
            Self::InRole => "in_role",
            Self::MatBehind => "mat_behind",
            Self::Touching => "touching",
            Self::SameCard => "same_card",
            Self::Card => "card",
        }
    }

    /// Whether it is about two papers, so that a script may answer colour by colour instead.
    #[must_use]
    pub const fn is_pair(self) -> bool {
        matches!(self, Self::MatBehind | Self::Touching | Self::SameCard)
    }
}

/// What a script says of itself.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct ScriptManifest {
    /// What it says to the host, like any scorer.
    pub manifest: Manifest,
    /// The name of the script's file, in the folder of the manifest.
    pub script: String,
    /// The questions it answers.
    pub terms: Vec<Term>,
    /// How much of where two papers meet may be bad without counting, where it answers colour by colour.
    pub forgive: Share,
}

impl ScriptManifest {
    /// Reads a manifest.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with it: the first fault of its TOML, or else every value that cannot be.
    pub fn read(text: &str, limits: &ScriptLimits) -> Result<Self, Vec<ScriptProblem>> {
        if text.len() > limits.script_bytes {
            let what = format!("{} bytes are more than the {} a manifest may have", text.len(), limits.script_bytes);
            return Err(vec![ScriptProblem::whole(Text::Manifest, what, "a manifest is a page at most: shorten it")]);
        }
        let file: File = toml::from_str(text).map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            let what = error.message().trim().to_owned();
            vec![ScriptProblem::at_byte(
                Text::Manifest,
                text,
                at,
                what,
                "see `docs/plugins.md` for the keys of a manifest",
            )]
        })?;
        Checker { text, problems: Vec::new() }.check(file)
    }
}

/// Gathers what is wrong while the file becomes a manifest.
struct Checker<'a> {
    text: &'a str,
    problems: Vec<ScriptProblem>,
}

impl Checker<'_> {
    fn fault<T>(&mut self, at: &Spanned<T>, what: impl Into<String>, remedy: impl Into<String>) {
        self.problems.push(ScriptProblem::at_byte(Text::Manifest, self.text, at.span().start, what, remedy));
    }

    fn check(mut self, file: File) -> Result<ScriptManifest, Vec<ScriptProblem>> {
        if *file.api.get_ref() != API_VERSION {
            let what = format!("it is written for version {} of the contract", file.api.get_ref());
            self.fault(
                &file.api,
                what,
                format!("this program speaks version {API_VERSION}: set `api = {API_VERSION}` and try it"),
            );
        }
        self.key(&file.name, "name");
        if file.title.get_ref().trim().is_empty() {
            self.fault(&file.title, "the title says nothing", "say in a few words what it judges");
        }
        let script = file.script.get_ref();
        let is_plain = script.ends_with(".rhai") && !script.contains(['/', '\\', ':']) && !script.starts_with('.');
        if !is_plain {
            self.fault(
                &file.script,
                format!("`{script}` is no script beside the manifest"),
                "name a file that ends in `.rhai`, in the same folder",
            );
        }
        let only = |term: &str| file.terms.get_ref().iter().all(|named| named.get_ref() == term);
        let gather = match file.gather.as_ref().map(|gather| gather.get_ref().as_str()) {
            None if only("piece") => Gather::Mean,
            Some("weakest") if only("piece") => {
                if let Some(at) = &file.gather {
                    let what = "answers about pieces are gathered by their mean";
                    self.fault(at, what, "take `gather` away, or judge `in-role`, of which the weakest counts");
                }
                Gather::Mean
            }
            None | Some("weakest") => Gather::Weakest,
            Some("mean") if only("in-role") => {
                if let Some(at) = &file.gather {
                    let what = "of papers in their roles the weakest counts";
                    self.fault(at, what, "take `gather` away, or judge `piece`, which is gathered by the mean");
                }
                Gather::Weakest
            }
            Some("mean") => Gather::Mean,
            Some(other) => {
                let what = format!("`{other}` is no way to gather");
                if let Some(at) = &file.gather {
                    self.fault(at, what, "use `weakest` or `mean`");
                }
                Gather::Weakest
            }
        };
        let terms = self.terms(&file.terms);
        let weight = self.number(file.weight.as_ref(), "weight", 0.0, 100.0, 1.0);
        let neutral = self.number(file.neutral.as_ref(), "neutral", 0.0, 1.0, 0.5);
        let forgive = self.number(file.forgive.as_ref(), "forgive", 0.0, 0.5, 0.1);
        let knobs = file.knobs.iter().map(|knob| self.knob(knob)).collect();
        let most = |term| terms.contains(&term).then_some(Worth::ONE);
        let manifest = Manifest {
            name: file.name.into_inner(),
            title: file.title.into_inner(),
            version: file.version.into_inner(),
            api_version: file.api.into_inner(),
            gather,
            neutral: Worth::clamped(neutral),
            ranges: Ranges {
                piece: most(Term::Piece),
                in_role: most(Term::InRole),
                mat_behind: most(Term::MatBehind),
                touching: most(Term::Touching),
                same_card: most(Term::SameCard),
                card: most(Term::Card),
            },
            weight,
            knobs,
        };
        if self.problems.is_empty() {
            Ok(ScriptManifest { manifest, script: file.script.into_inner(), terms, forgive: Share::clamped(forgive) })
        } else {
            self.problems.sort_by_key(|problem| (problem.line, problem.column));
            Err(self.problems)
        }
    }

    /// Names are keys in settings and JSON.
    fn key(&mut self, name: &Spanned<String>, what: &str) {
        let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let text = name.get_ref();
        if text.is_empty() || text.len() > 40 || !text.chars().all(good) {
            self.fault(
                name,
                format!("`{text}` cannot be a {what}"),
                "use small letters, digits and hyphens, 40 at most",
            );
        }
    }

    fn terms(&mut self, keys: &Spanned<Vec<Spanned<String>>>) -> Vec<Term> {
        let mut terms = Vec::new();
        for key in keys.get_ref() {
            match Term::ALL.into_iter().find(|term| term.key() == key.get_ref()) {
                Some(term) if terms.contains(&term) => {
                    self.fault(key, format!("`{}` is named twice", term.key()), "name it once");
                }
                Some(term) => terms.push(term),
                None => {
                    let all = Term::ALL.map(|term| format!("`{}`", term.key())).join(", ");
                    self.fault(key, format!("`{}` is nothing a script can judge", key.get_ref()), format!("use {all}"));
                }
            }
        }
        if keys.get_ref().is_empty() {
            self.fault(keys, "it judges nothing", "name at least one term, as `terms = [\"mat-behind\"]`");
        }
        terms.sort_unstable();
        let families = terms.iter().map(|term| (*term == Term::Piece, *term == Term::InRole, *term == Term::Card));
        if families.collect::<BTreeSet<_>>().len() > 1 {
            let remedy = "make a script each of those for `piece`, for `in-role`, for two papers, and for `card`";
            self.fault(keys, "it judges things of more than one kind at once", remedy);
        }
        terms
    }

    fn number(&mut self, set: Option<&Spanned<f64>>, key: &str, low: f64, high: f64, default: f64) -> f64 {
        let Some(set) = set else { return default };
        let number = *set.get_ref();
        if !(low..=high).contains(&number) {
            self.fault(set, format!("`{key}` is {number}"), format!("choose a number from {low} to {high}"));
            return default;
        }
        number
    }

    fn knob(&mut self, table: &KnobTable) -> Knob {
        self.key(&table.name, "knob's name");
        let (low, high, default) = (table.low, table.high, *table.default.get_ref());
        let is_range = low.is_finite() && high.is_finite() && low < high;
        if !is_range {
            self.fault(
                &table.name,
                format!("its range from {low} to {high} is empty"),
                "let `low` be less than `high`",
            );
        } else if !(low..=high).contains(&default) {
            self.fault(
                &table.default,
                format!("{default} is outside {low} to {high}"),
                "choose a default within its range",
            );
        }
        Knob {
            name: Cow::Owned(table.name.get_ref().clone()),
            meaning: Cow::Owned(table.meaning.clone()),
            low,
            high,
            default,
        }
    }
}

//! The manifest: TOML text in, what a script says of itself out, or everything that is wrong with it.

use crate::limits::ScriptLimits;
use crate::problem::{ScriptProblem, Text};
use crate::table::{Placed, Reading, SEE, Table};
use api::{API_VERSION, Gather, Knob, Manifest, Ranges, Share, Worth};
use std::borrow::Cow;
use std::collections::BTreeSet;
use toml::de::DeTable;

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
    /// Everything that is wrong with it, in the order of its lines.
    pub fn read(text: &str, limits: &ScriptLimits) -> Result<Self, Vec<ScriptProblem>> {
        if text.len() > limits.script_bytes {
            let what = format!("{} bytes are more than the {} a manifest may have", text.len(), limits.script_bytes);
            return Err(vec![ScriptProblem::whole(Text::Manifest, what, "a manifest is a page at most: shorten it")]);
        }
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut checker = Checker { reading: Reading::of(text) };
        for error in &errors {
            let at = error.span().map_or(0, |span| span.start);
            checker.reading.fault(at, error.message().trim(), SEE);
        }
        let manifest = checker.check(Table::new(table.get_ref(), 0), errors.is_empty());
        let mut problems = checker.reading.problems;
        problems.sort_by_key(|problem| (problem.line, problem.column));
        manifest.filter(|_| problems.is_empty()).ok_or(problems)
    }
}

/// What every manifest says, and what every knob says.
const NEEDED: [&str; 6] = ["api", "name", "title", "version", "script", "terms"];
const KNOB_NEEDED: [&str; 5] = ["name", "meaning", "low", "high", "default"];

/// Gathers what is wrong while the table becomes a manifest.
struct Checker<'a> {
    reading: Reading<'a>,
}

impl Checker<'_> {
    fn fault<T>(&mut self, placed: &Placed<T>, what: impl Into<String>, remedy: impl Into<String>) {
        self.reading.fault(placed.at, what, remedy);
    }

    /// The manifest, where all it needs is there. In a text that is `whole`, a key that is not there is
    /// missing; in one with mistakes, it may stand where the mistake is.
    fn check(&mut self, mut table: Table<'_>, whole: bool) -> Option<ScriptManifest> {
        let reading = &mut self.reading;
        // Whoever walks the folder tells files apart by it; any text will do here.
        table.text("kind", reading);
        let api = table.whole("api", reading);
        let name = table.text("name", reading);
        let title = table.text("title", reading);
        let version = table.whole("version", reading);
        let script = table.text("script", reading);
        let terms = table.texts("terms", reading);
        let gather = table.text("gather", reading);
        let weight = table.number("weight", reading);
        let neutral = table.number("neutral", reading);
        let forgive = table.number("forgive", reading);
        let knobs = table.tables("knob", reading);
        if whole {
            table.must_have(&NEEDED, reading);
        }
        table.finish(reading);
        if let Some(api) = api.as_ref().filter(|api| api.value != API_VERSION) {
            let what = format!("it is written for version {} of the contract", api.value);
            let remedy = format!("this program speaks version {API_VERSION}: set `api = {API_VERSION}` and try it");
            self.fault(api, what, remedy);
        }
        self.key(name.as_ref(), "name");
        if let Some(title) = title.as_ref().filter(|title| title.value.trim().is_empty()) {
            self.fault(title, "the title says nothing", "say in a few words what it judges");
        }
        self.script(script.as_ref());
        let named = terms.as_ref().map(|terms| terms.value.as_slice()).unwrap_or_default();
        let gather = self.gather(gather.as_ref(), named);
        let terms = self.terms(terms.as_ref());
        let weight = self.number(weight.as_ref(), "weight", 0.0, 100.0, 1.0);
        let neutral = self.number(neutral.as_ref(), "neutral", 0.0, 1.0, 0.5);
        let forgive = self.number(forgive.as_ref(), "forgive", 0.0, 0.5, 0.1);
        let mut known = BTreeSet::new();
        let knobs = knobs.into_iter().filter_map(|knob| self.knob(knob, whole, &mut known)).collect();
        let most = |term| terms.contains(&term).then_some(Worth::ONE);
        let manifest = Manifest {
            name: name?.value,
            title: title?.value,
            version: version?.value,
            api_version: api?.value,
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
        Some(ScriptManifest { manifest, script: script?.value, terms, forgive: Share::clamped(forgive) })
    }

    /// A script lies beside its manifest.
    fn script(&mut self, script: Option<&Placed<String>>) {
        let is_plain =
            |name: &str| name.ends_with(".rhai") && !name.contains(['/', '\\', ':']) && !name.starts_with('.');
        if let Some(script) = script.filter(|script| !is_plain(&script.value)) {
            let what = format!("`{}` is no script beside the manifest", script.value);
            self.fault(script, what, "name a file that ends in `.rhai`, in the same folder");
        }
    }

    fn gather(&mut self, gather: Option<&Placed<String>>, terms: &[Placed<String>]) -> Gather {
        let only = |term: &str| terms.iter().all(|named| named.value == term);
        let usual = if only("piece") { Gather::Mean } else { Gather::Weakest };
        let Some(at) = gather else { return usual };
        let (what, remedy) = match at.value.as_str() {
            // Terms that are missing or wrong are told already.
            "weakest" | "mean" if terms.is_empty() => return usual,
            "weakest" if only("piece") => (
                "answers about pieces are gathered by their mean".to_owned(),
                "take `gather` away, or judge `in-role`, of which the weakest counts",
            ),
            "mean" if only("in-role") => (
                "of papers in their roles the weakest counts".to_owned(),
                "take `gather` away, or judge `piece`, which is gathered by the mean",
            ),
            "weakest" => return Gather::Weakest,
            "mean" => return Gather::Mean,
            other => (format!("`{other}` is no way to gather"), "use `weakest` or `mean`"),
        };
        self.fault(at, what, remedy);
        usual
    }

    /// Names are keys in settings and JSON.
    fn key(&mut self, name: Option<&Placed<String>>, what: &str) {
        let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let Some(name) = name else { return };
        let text = &name.value;
        if text.is_empty() || text.len() > 40 || !text.chars().all(good) {
            self.fault(
                name,
                format!("`{text}` cannot be a {what}"),
                "use small letters, digits and hyphens, 40 at most",
            );
        }
    }

    fn terms(&mut self, keys: Option<&Placed<Vec<Placed<String>>>>) -> Vec<Term> {
        let mut terms = Vec::new();
        let Some(keys) = keys else { return terms };
        for key in &keys.value {
            match Term::ALL.into_iter().find(|term| term.key() == key.value) {
                Some(term) if terms.contains(&term) => {
                    self.fault(key, format!("`{}` is named twice", term.key()), "name it once");
                }
                Some(term) => terms.push(term),
                None => {
                    let all = Term::ALL.map(|term| format!("`{}`", term.key())).join(", ");
                    self.fault(key, format!("`{}` is nothing a script can judge", key.value), format!("use {all}"));
                }
            }
        }
        if keys.value.is_empty() {
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

    fn number(&mut self, set: Option<&Placed<f64>>, key: &str, low: f64, high: f64, default: f64) -> f64 {
        let Some(set) = set else { return default };
        if !(low..=high).contains(&set.value) {
            self.fault(set, format!("`{key}` is {}", set.value), format!("choose a number from {low} to {high}"));
            return default;
        }
        set.value
    }

    fn knob(&mut self, mut table: Table<'_>, whole: bool, known: &mut BTreeSet<String>) -> Option<Knob> {
        let reading = &mut self.reading;
        let name = table.text("name", reading);
        let meaning = table.text("meaning", reading);
        let low = table.number("low", reading);
        let high = table.number("high", reading);
        let default = table.number("default", reading);
        if whole {
            table.must_have(&KNOB_NEEDED, reading);
        }
        table.finish(reading);
        self.key(name.as_ref(), "knob's name");
        if let Some(name) = name.as_ref().filter(|name| !known.insert(name.value.clone())) {
            self.fault(name, format!("`{}` names two knobs", name.value), "give each knob a name of its own");
        }
        let (name, low, high, default) = (name?, low?.value, high?, default?);
        if !(low.is_finite() && high.value.is_finite() && low < high.value) {
            let what = format!("its range from {low} to {} is empty", high.value);
            self.fault(&high, what, "let `low` be less than `high`");
        } else if !(low..=high.value).contains(&default.value) {
            let what = format!("{} is outside {low} to {}", default.value, high.value);
            self.fault(&default, what, "choose a default within its range");
        }
        let (name, meaning) = (Cow::Owned(name.value), Cow::Owned(meaning?.value));
        Some(Knob { name, meaning, low, high: high.value, default: default.value })
    }
}

//! Settings: one file of them in, hers where she made them and ours elsewhere out. They are read
//! before anything else, since they say what a bare number and a bare `A2` mean.

use super::fields::{Fields, Otherwise};
use super::keys;
use super::value::{Read, Value, choice, count, length, length_or_none, list, number, share, size, yes_or_no};
use crate::problem::{Fault, Outcome};
use crate::stash::{ChangeKind, Goal, ScorerSetting, Settings};
use api::units::{Length, Purpose, Region, Ruler, Unit};
use api::{Knobs, Worth};
use std::collections::{BTreeMap, BTreeSet};
use toml::de::DeValue;

/// The units a bare number may be in.
const UNITS: &[(&str, Unit)] = &[("in", Unit::Inch), ("mm", Unit::Millimetre)];

/// Whose names a bare name may be.
const REGIONS: &[(&str, Region)] = &[("US", Region::Us), ("ISO", Region::Iso)];

/// The largest weight a scorer may have.
const HEAVIEST: f64 = 1_000.0;

/// As what a setting is read that cannot be.
const USUAL: &str = "the usual one";

/// What a bare number and a bare name mean: read first, since the other settings use it too.
pub(super) fn units(top: &Fields<'_, '_>) -> (Unit, Region) {
    let unit = top.value("unit").and_then(|value| choice(UNITS)(&value).ok());
    let region = top.value("region").and_then(|value| choice(REGIONS)(&value).ok());
    let region = region.unwrap_or(match unit {
        Some(Unit::Millimetre) => Region::Iso,
        Some(Unit::Inch) | None => Region::Us,
    });
    (unit.unwrap_or(Settings::of(region).unit), region)
}

/// All settings of a file.
pub(super) fn settings(top: &Fields<'_, '_>) -> Settings {
    let (unit, region) = units(top);
    top.optional("unit", USUAL, choice(UNITS));
    top.optional("region", USUAL, choice(REGIONS));
    let usual = Settings::of(region);
    let lengths = |key, usual: Vec<Length>| {
        let mut lengths = top.optional(key, "the usual ones", list(length_or_none)).unwrap_or(usual);
        lengths.sort_unstable();
        lengths.dedup();
        lengths
    };
    let (costs, never) = costs(top, usual.costs);
    Settings {
        unit,
        region,
        ruler: top.optional("ruler", USUAL, ruler).unwrap_or(match unit {
            Unit::Inch => Ruler::sixteenths().step(),
            Unit::Millimetre => Ruler::millimetres().step(),
        }),
        error_budget: top.optional("error-budget", USUAL, length_or_none).unwrap_or(usual.error_budget),
        cards: top.optional("cards", "the usual ones", list(size(Purpose::Card))).unwrap_or(usual.cards),
        borders: lengths("borders", usual.borders),
        reveals: lengths("reveals", usual.reveals),
        costs,
        never,
        scorers: scorers(top),
        list: top.optional("list", USUAL, count(1..=1_000)).unwrap_or(usual.list),
        per_layout: top.optional("per-layout", "no limit", count(1..=1_000)),
        goals: goals(top),
        quiet: top.optional("quiet", USUAL, share).unwrap_or(usual.quiet),
        glue_margin: top.optional("glue-margin", USUAL, length).unwrap_or(usual.glue_margin),
        hollow_mats: top.optional("hollow-mats", "`false`", yes_or_no).unwrap_or(usual.hollow_mats),
        level_above: top.optional("level-above", USUAL, length_or_none).unwrap_or(usual.level_above),
        foam_span: top.optional("foam-span", USUAL, length).unwrap_or(usual.foam_span),
        finishing_dots: top.optional("finishing-dots", "`true`", yes_or_no).unwrap_or(usual.finishing_dots),
        most_changes: top.optional("most-changes", USUAL, count(0..=3)).unwrap_or(usual.most_changes),
    }
}

/// The words of the goals.
const GOALS: &[(&str, Goal)] = &[
    ("cards", Goal::Cards),
    ("score", Goal::Score),
    ("old-stock", Goal::OldStock),
    ("few-sheets", Goal::FewSheets),
    ("few-settings", Goal::FewSettings),
    ("leftovers", Goal::Leftovers),
];

/// The goals in her order; those she does not name come after, in the usual one.
fn goals(top: &Fields<'_, '_>) -> Vec<Goal> {
    let mut goals: Vec<Goal> = Vec::new();
    let named = top.optional("goals", "the usual order", list(choice(GOALS))).unwrap_or_default();
    for goal in named.into_iter().chain(Goal::ALL) {
        if !goals.contains(&goal) {
            goals.push(goal);
        }
    }
    goals
}

/// The division of a ruler there is.
fn ruler(value: &Value<'_, '_>) -> Read<Length> {
    let step = length(value)?;
    match Ruler::with_step(step) {
        Some(ruler) => Ok(ruler.step()),
        None => value.fault(Fault::UnknownChoice {
            key: value.key.to_owned(),
            word: step.exact(value.document.reader.unit),
            choices: vec!["1/8 in", "1/16 in", "1/32 in", "1/64 in", "1 mm", "0.5 mm"],
            nearest: None,
        }),
    }
}

/// What each kind of change costs, and the kinds she never makes.
fn costs(
    top: &Fields<'_, '_>,
    mut costs: BTreeMap<ChangeKind, Worth>,
) -> (BTreeMap<ChangeKind, Worth>, BTreeSet<ChangeKind>) {
    let mut never = BTreeSet::new();
    if let Some(section) = top.section("costs", &keys::COSTS) {
        for kind in ChangeKind::ALL {
            match section.optional(kind.key(), "the usual cost", cost) {
                Some(Some(cost)) => {
                    costs.insert(kind, cost);
                }
                Some(None) => {
                    never.insert(kind);
                }
                None => {}
            }
        }
    }
    (costs, never)
}

/// A cost, or `false` for a change that is never made.
fn cost(value: &Value<'_, '_>) -> Read<Option<Worth>> {
    if value.value.as_bool() == Some(false) {
        return Ok(None);
    }
    number(0.0..=1.0)(value).map(|cost| Some(Worth::clamped(cost)))
}

/// The scorers she has weighed or turned. Whether there is such a scorer, and such a knob of it,
/// is for those who know them: the places are kept.
fn scorers(top: &Fields<'_, '_>) -> BTreeMap<String, ScorerSetting> {
    let Some(value) = top.value("scorers") else { return BTreeMap::new() };
    let DeValue::Table(table) = value.value else {
        top.complain(
            value.wrong("a section for each, such as `[scorers.use-up]`"),
            Otherwise::Take("if it were not there"),
        );
        return BTreeMap::new();
    };
    let mut scorers = BTreeMap::new();
    for (name, setting) in table {
        let value = Value::new(top.document, name.get_ref(), name.span(), setting);
        let setting = match value.value {
            DeValue::Table(table) => {
                let (section, knobs) = Fields::open_ended(top.document, table, value.section_span(), &keys::SCORER);
                scorer(&section, &knobs)
            }
            // `use-up = 2` is its weight, `use-up = false` switches it off.
            DeValue::Boolean(_) => match yes_or_no(&value) {
                Ok(false) => ScorerSetting { weight: Some(0.0), ..ScorerSetting::default() },
                _ => ScorerSetting::default(),
            },
            _ => match number(0.0..=HEAVIEST)(&value) {
                Ok(weight) => ScorerSetting { weight: Some(weight), ..ScorerSetting::default() },
                Err(complaints) => {
                    top.complain(complaints, Otherwise::Take("its own weight"));
                    continue;
                }
            },
        };
        let place = Some(top.document.source.place(name.span()));
        scorers.insert(name.get_ref().to_string(), ScorerSetting { place, ..setting });
    }
    scorers
}

/// One scorer: its weight, and whatever else stands there as its knobs.
fn scorer(section: &Fields<'_, '_>, knobs: &[Value<'_, '_>]) -> ScorerSetting {
    let weight = section.optional("weight", "its own weight", number(0.0..=HEAVIEST));
    let mut setting = ScorerSetting { weight, ..ScorerSetting::default() };
    let mut values = BTreeMap::new();
    for knob in knobs {
        match number(-1e9..=1e9)(knob) {
            Ok(value) => {
                values.insert(knob.key.to_owned(), value);
                setting.knob_places.insert(knob.key.to_owned(), section.document.source.place(knob.key_span.clone()));
            }
            Err(complaints) => section.complain_as(complaints, &Outcome::TakenAs("where it was".into())),
        }
    }
    setting.knobs = Knobs(values);
    setting
}

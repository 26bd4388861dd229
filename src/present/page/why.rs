//! Why a card scores as it does: for each scorer a bar and its words, and the numbers behind them.

use super::super::xml::{escape, hundredths};
use super::super::{Scene, capital, sentence};
use crate::score::{ONE, Reason, Suggestion};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What is worth less than this, in millionths, is told beside what is best: two fifths, by eye.
const POOR: u64 = 400_000;

/// The reasons, the weightiest scorer first.
pub(super) fn section(scene: &Scene<'_>, found: &Suggestion) -> String {
    let mut by_scorer: BTreeMap<&str, Vec<&Reason>> = BTreeMap::new();
    for reason in &found.reasons {
        by_scorer.entry(&reason.scorer).or_default().push(reason);
    }
    let mut scorers: Vec<(&str, Vec<&Reason>)> = by_scorer.into_iter().collect();
    scorers.sort_by_key(|(name, reasons)| (std::cmp::Reverse(weight(reasons)), *name));
    let spoken = |(name, reasons): &(&str, Vec<&Reason>)| {
        let spoken: Vec<&Reason> = reasons.iter().copied().filter(|reason| !reason.says_nothing()).collect();
        (!spoken.is_empty()).then(|| judgement(scene, found, name, &spoken))
    };
    let list: String = scorers.iter().filter_map(spoken).collect();
    format!(
        "<section><h3 class=\"part\">Why</h3><dl class=\"why\">{list}</dl>{}</section>\n",
        numbers(scene, found, &scorers)
    )
}

fn weight(reasons: &[&Reason]) -> u64 {
    reasons.iter().map(|reason| reason.weight).sum()
}

fn adds(reason: &Reason) -> u64 {
    reason.value * reason.weight / ONE
}

/// What a scorer judges, in its own words; its name where it is not asked any more.
fn title(scene: &Scene<'_>, name: &str) -> String {
    let member = scene.table.jury.members.iter().find(|member| member.name() == name);
    member.map_or_else(|| name.to_owned(), |member| member.scorer.manifest().title.clone())
}

fn judgement(scene: &Scene<'_>, found: &Suggestion, name: &str, reasons: &[&Reason]) -> String {
    let weight = weight(reasons);
    let worth = reasons.iter().map(|reason| u128::from(reason.value) * u128::from(reason.weight)).sum::<u128>();
    // The mean of its terms, in hundredths of a per cent, rounded down.
    let share = worth.checked_div(u128::from(weight)).and_then(|mean| i64::try_from(mean / 100).ok()).unwrap_or(0);
    let best = reasons.iter().rev().max_by_key(|reason| (adds(reason), reason.value));
    let worst = reasons.iter().min_by_key(|reason| reason.value).filter(|worst| worst.value < POOR);
    let mut words = best.map(|best| told(scene, found, best)).unwrap_or_default();
    if let (Some(best), Some(worst)) = (best, worst)
        && worst.why != best.why
    {
        let _ = write!(words, "; but {}", told(scene, found, worst));
    }
    format!(
        "<div><dt><span>{title}</span><span class=\"worth\">{percent} %</span>\
         <svg class=\"bar\" viewBox=\"0 0 100 1\" preserveAspectRatio=\"none\" aria-hidden=\"true\" focusable=\"false\">\
         <rect class=\"all\" width=\"100\" height=\"1\"/><rect class=\"has\" width=\"{wide}\" height=\"1\"/></svg></dt>\
         <dd>{words}</dd></div>",
        title = escape(&capital(&title(scene, name))),
        percent = (share + 50) / 100,
        wide = hundredths(share),
        words = escape(&sentence(&words)),
    )
}

/// "feature on feature mat: takes up the rust", or the words alone for the whole card.
fn told(scene: &Scene<'_>, found: &Suggestion, reason: &Reason) -> String {
    match reason.about.as_slice() {
        [one] => format!("{}: {}", name_of(scene, found, *one), reason.why),
        [upper, lower] => {
            format!("{} with {}: {}", name_of(scene, found, *upper), name_of(scene, found, *lower), reason.why)
        }
        _ => reason.why.clone(),
    }
}

/// The name of the paper in a slot.
fn name_of<'a>(scene: &Scene<'a>, found: &Suggestion, slot: usize) -> &'a str {
    found.faces.get(slot).map_or("the card", |face| &scene.table.index.face(*face).view.name)
}

/// The places of the slots a reason is about.
fn places(found: &Suggestion, reason: &Reason) -> String {
    if reason.about.len() > 2 || reason.about.is_empty() {
        return "the card".to_owned();
    }
    let ids: Vec<&str> =
        reason.about.iter().filter_map(|slot| found.network.slots.get(*slot)).map(|slot| slot.id.as_str()).collect();
    ids.join(" with ")
}

/// Every term, so that the score can be added up again.
fn numbers(scene: &Scene<'_>, found: &Suggestion, scorers: &[(&str, Vec<&Reason>)]) -> String {
    let mut rows = String::new();
    for (name, reasons) in scorers {
        for reason in reasons {
            let what = format!("{}, {}", name, places(found, reason));
            let numbers = [decimal(reason.value), decimal(reason.weight), decimal(adds(reason))];
            row(&mut rows, &what, &reason.why, &numbers);
        }
    }
    let layout = &scene.table.layouts[found.layout];
    for (change, cost) in &found.changes {
        let panel = change.panel().and_then(|panel| layout.panels.get(panel)).map_or("the card", |panel| &panel.id);
        let what = format!("change: {}, {panel}", change.kind().key());
        row(&mut rows, &what, "what it costs", &[String::new(), String::new(), format!("−{}", decimal(*cost))]);
    }
    let total = format!("{}{}", if found.score < 0 { "−" } else { "" }, decimal(found.score.unsigned_abs()));
    format!(
        "<details><summary>The numbers</summary><div class=\"scroll\"><table>\
         <caption>Worth times weight is what a reason adds, rounded down to a millionth.</caption>\
         <thead><tr><th scope=\"col\">reason</th>\
         <th scope=\"col\" class=\"num\">worth</th><th scope=\"col\" class=\"num\">weight</th>\
         <th scope=\"col\" class=\"num\">adds</th></tr></thead><tbody>{rows}</tbody>\
         <tfoot><tr><th scope=\"row\" colspan=\"3\">score</th><td class=\"num\">{total}</td></tr></tfoot></table></div></details>"
    )
}

fn row(rows: &mut String, what: &str, why: &str, numbers: &[String; 3]) {
    let _ = write!(rows, "<tr><th scope=\"row\">{} <small>{}</small></th>", escape(what), escape(why));
    for number in numbers {
        let _ = write!(rows, "<td class=\"num\">{number}</td>");
    }
    rows.push_str("</tr>");
}

/// Millionths as a decimal.
fn decimal(millionths: u64) -> String {
    format!("{}.{:06}", millionths / ONE, millionths % ONE)
}

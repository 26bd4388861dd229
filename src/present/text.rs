//! Answers as text for a terminal: a room and what it answered in, a few lines a thing out.
//!
//! Colours come first, then names, then measures. Nothing a file holds can command the terminal:
//! every text of hers is made printable. It reads values and decides nothing.

mod build;
mod cards;
mod colour;
mod envelope;
mod lists;
mod look;
mod mats;
mod plan;
mod records;
mod scan;
mod tried;

pub use build::{build, facts};
pub use cards::suggestions;
pub use colour::colour;
pub use envelope::envelope;
pub use lists::{check, layouts, plugins, problem_count, stock};
pub use look::Look;
pub use mats::mats;
pub use plan::{plan, verdict};
pub use records::{entry_in_words, history, recorded};
pub use scan::scan;
pub use tried::tried;

/// Millionths to three decimals, rounded down so that what is shown never flatters.
fn score(millionths: i64) -> String {
    let thousandths = millionths.div_euclid(1000);
    let minus = if thousandths < 0 { "-" } else { "" };
    format!("{minus}{}.{:03}", thousandths.unsigned_abs() / 1000, thousandths.unsigned_abs() % 1000)
}

/// So many of a thing: "1 sheet", "3 sheets".
fn count(number: usize, thing: &str) -> String {
    if number == 1 { format!("1 {thing}") } else { format!("{number} {thing}s") }
}

/// An age in a maker's words.
fn age(days: u32) -> String {
    match days {
        0 => "today".to_owned(),
        1..60 => count(days as usize, "day"),
        60..730 => count(days as usize / 30, "month"),
        _ => count(days as usize / 365, "year"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_score_is_never_rounded_up() {
        for (millionths, text) in [(0, "0.000"), (783_999, "0.783"), (1_000_000, "1.000"), (-1, "-0.001")] {
            assert_eq!(score(millionths), text);
        }
    }

    #[test]
    fn ages_are_told_as_people_tell_them() {
        let told: Vec<String> = [0, 1, 59, 60, 400, 730, 2000].into_iter().map(age).collect();
        assert_eq!(told, ["today", "1 day", "59 days", "2 months", "13 months", "2 years", "5 years"]);
    }
}

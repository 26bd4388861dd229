//! Paper weights: `250 gsm` or `80 lb cover` in, whole grams per square metre out.
//!
//! Pounds are those of 500 sheets of the grade's basic size, so they mean nothing without the
//! grade. 1 lb is 453.59237 g and 1 in is 25.4 mm, both exactly; the basic sizes are in
//! `tests/published/paper-weights.toml` with their sources.

use super::value::{Read, Value};
use crate::problem::Fault;

/// Grams per square metre of a sheet of one square inch whose 500 weigh a pound, in millionths:
/// 453.59237 / (500 x 0.0254 x 0.0254), rounded to the nearest millionth.
const GRAMS_PER_POUND_INCH: u64 = 1_406_139_159;

/// The heaviest stock there is, in grams per square metre; beyond it is board.
const HEAVIEST: u64 = 5_000;

/// The grades, with their basic sizes in hundredths of a square inch.
pub const GRADES: [(&str, u64); 6] =
    [("bond", 37_400), ("text", 95_000), ("cover", 52_000), ("index", 77_775), ("bristol", 64_125), ("tag", 86_400)];

/// Whole grams per square metre of so many pounds of a grade, to the nearest.
///
/// ```
/// use swatchfold::stash::file::grams_per_square_metre;
/// assert_eq!(grams_per_square_metre(80, "cover"), Some(216));
/// assert_eq!(grams_per_square_metre(80, "velvet"), None);
/// ```
#[must_use]
pub fn grams_per_square_metre(pounds: u32, grade: &str) -> Option<u32> {
    let (_, hundredths) = GRADES.iter().find(|(name, _)| *name == grade)?;
    let scaled = u64::from(pounds).checked_mul(GRAMS_PER_POUND_INCH)?.checked_mul(100)?;
    let whole = hundredths.checked_mul(1_000_000)?;
    u32::try_from((scaled + whole / 2) / whole).ok()
}

/// A weight as written.
pub(super) fn weight(value: &Value<'_, '_>) -> Read<u32> {
    let Some(text) = value.value.as_str() else {
        return Err(value.wrong("a weight such as `\"250 gsm\"` or `\"80 lb cover\"`"));
    };
    match parse(text) {
        Ok(grams) => Ok(grams),
        Err(pounds) => value.fault(Fault::BadWeight { text: text.to_owned(), pounds }),
    }
}

/// Whole grams per square metre; otherwise whether pounds stood there without a grade.
fn parse(text: &str) -> Result<u32, bool> {
    let text = text.trim().to_lowercase();
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let number: u32 = text[..digits].parse().map_err(|_| false)?;
    let words: Vec<&str> = text[digits..].split_whitespace().collect();
    let grams = match words[..] {
        ["gsm" | "g" | "g/m2" | "g/m²"] => Some(number),
        ["lb" | "lbs" | "lb." | "#" | "pound" | "pounds", ref grade @ ..] => {
            let is_grade = |grade: &&&str| GRADES.iter().any(|(known, _)| known == *grade);
            let grade = grade.first().filter(is_grade).filter(|_| grade.len() == 1).ok_or(true)?;
            grams_per_square_metre(number, grade)
        }
        _ => None,
    };
    grams.filter(|&grams| grams > 0 && u64::from(grams) <= HEAVIEST).ok_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_read_in_grams_and_in_pounds_of_a_grade() {
        for (text, grams) in [
            ("250 gsm", Ok(250)),
            (" 250g/m² ", Ok(250)),
            ("80 lb cover", Ok(216)),
            ("110lb Index", Ok(199)),
            ("80 lb", Err(true)),
            ("80 lb velvet", Err(true)),
            ("heavy", Err(false)),
            ("0 gsm", Err(false)),
            ("5001 gsm", Err(false)),
            ("4294967295 lb bond", Err(false)),
            ("99999999999 gsm", Err(false)),
            ("", Err(false)),
        ] {
            assert_eq!(parse(text), grams, "{text:?}");
        }
    }
}

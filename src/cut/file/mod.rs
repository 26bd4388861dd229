//! A cutting problem as a file, and its answer as text, JSON and pictures: `swatchfold cut` needs no
//! more than [`run`].
//!
//! [`read`] turns TOML into a [`Problem`], all faults in one run; [`run`] plans it and gives what is to
//! be printed and written. Nothing here touches the disk or looks at a clock.

mod draw;
mod fields;
mod json;
mod read;
mod words;

pub use read::{Asked, Trouble, read};

use crate::cut::{Answer, Effort, OffcutWorth, plan};

/// What a run gives: to print, or to write.
#[derive(Clone, Debug)]
pub struct Output {
    /// For people.
    pub text: String,
    /// For programs: documented in `docs/cutting.md`, `"format":1`.
    pub json: String,
    /// A cut map for each sheet: file name and SVG.
    pub maps: Vec<(String, String)>,
    /// The plan itself.
    pub answer: Answer,
}

/// Reads a problem and plans it.
///
/// `work` is counted, so the same file gives the same plan everywhere; `stop` may end it sooner (a wall
/// clock), and then the answer says that it was cut short.
///
/// # Errors
/// What is wrong with the file, each with its place and a remedy.
pub fn run(text: &str, work: u64, stop: Option<&dyn Fn() -> bool>) -> Result<Output, Vec<Trouble>> {
    let asked = read(text)?;
    let offcuts = if asked.keep.is_empty() { OffcutWorth::Shape } else { OffcutWorth::Becomes(asked.keep.clone()) };
    let answer = plan(&asked.problem, &Effort { work, stop, offcuts });
    Ok(Output {
        text: words::text(&asked, &answer),
        json: json::json(&asked, &answer),
        maps: draw::maps(&asked, &answer),
        answer,
    })
}

#[cfg(test)]
mod tests;

//! A cutting problem as a file, and its answer as text, JSON and cut maps: what `swatchfold cut` shows.
//!
//! [`read`] turns TOML into what is [`Asked`], all faults in one run; [`answer`] plans it; [`text`],
//! [`json`] and [`maps`] show the answer. Whoever plans without a file makes an [`Asked`] of its own and
//! shows the answer the same way. Nothing here touches the disk or looks at a clock.

mod draw;
mod fields;
mod json;
mod read;
mod words;

pub use draw::{map_name, maps};
pub use json::json;
pub use read::{Asked, Trouble, read};
pub use words::text;

use crate::cut::{Answer, Effort, OffcutWorth, plan};

/// Plans what is asked.
///
/// `work` is counted, so the same file gives the same plan everywhere; `stop` may end it sooner (a wall
/// clock), and then the answer says that it was cut short.
#[must_use]
pub fn answer(asked: &Asked, work: u64, stop: Option<&dyn Fn() -> bool>) -> Answer {
    let offcuts = if asked.keep.is_empty() { OffcutWorth::Shape } else { OffcutWorth::Becomes(asked.keep.clone()) };
    plan(&asked.problem, &Effort { work, stop, offcuts })
}

#[cfg(test)]
mod tests;

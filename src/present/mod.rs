//! Step 8, *present*: answers in; pictures, pages, text and JSON out.
//!
//! It reads values and decides nothing: every number and choice it shows was made by an earlier step.

pub mod json;
pub mod lines;
pub mod pieces;
pub mod sizes;
pub mod text;
pub mod words;

//! Scorer: does this cardstock make a good mat for that paper? A panel and its mat in, a worth out.
//!
//! Two things are judged and multiplied: whether the mat *takes up* a minor colour of the pattern
//! (framers take the third or fourth by area), and whether it is light or dark enough against the
//! paper to read as an *edge* (25 in L* is common practice). White, cream, black and kraft always do,
//! but are never the best. It also asks of any plain paper that meets another whether the two separate.
//! It never judges whether colours please: that is colour harmony's.

mod judge;
mod words;

pub use judge::scorer;

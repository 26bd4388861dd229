//! Every end-to-end and data-driven test, in one binary.

mod cli;
mod stash;
mod tidy;

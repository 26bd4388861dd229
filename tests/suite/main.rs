//! Every end-to-end and data-driven test, in one binary.

mod cli;
mod drawing;
mod stash;
mod tidy;

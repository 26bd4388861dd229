//! Every end-to-end and data-driven test, in one binary.

mod adaptations;
mod cli;
mod drawing;
mod stash;
mod tidy;
mod trade;

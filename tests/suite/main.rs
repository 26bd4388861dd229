//! Every end-to-end and data-driven test, in one binary.

mod adaptations;
mod cli;
mod demo;
mod demo_stash;
mod drawing;
mod envelope;
mod finished;
mod kept_in_place;
mod readme;
mod stash;
mod tidy;
mod trade;

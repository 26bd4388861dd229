//! Every end-to-end and data-driven test, in one binary.

mod stash;

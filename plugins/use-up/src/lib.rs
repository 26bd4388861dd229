//! A scorer.

//! Draws the demo's papers.

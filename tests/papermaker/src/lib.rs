//! Draws the demo's papers: seeds and palettes in, printed sheets and their true colours out.
//!
//! A tool for tests and demo data, never a part of the program, and it shares no code with it but
//! `units`. In the order of the work: `maths`, `random` and `colour` stand below; `outline` draws a
//! shape, `coverage` turns it into pixels, `plates` inks it, `press` prints the sheet; `motif` and
//! `pattern` hold what may be drawn; `pads` holds the designs, `design` says what one is, `shelf` makes
//! them files. Apart from these, `trial` draws papers of known colours and photographs them, to test
//! what is read from pictures.

pub mod colour;
pub mod coverage;
pub mod design;
pub mod maths;
pub mod motif;
pub mod outline;
pub mod pads;
pub mod pattern;
pub mod plates;
pub mod press;
pub mod random;
pub mod shelf;
pub mod trial;

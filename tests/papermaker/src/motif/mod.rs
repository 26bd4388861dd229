//! Things that grow and things that float, each drawn at a place with the inks it is given.
//!
//! A motif gets plates, a place, dice and inks, and prints itself; sizes are millimetres before the
//! place scales them, and up is towards smaller y. Motifs never choose where they stand.

pub mod flowers;
pub mod garden;
pub mod harbour;
pub mod leaves;

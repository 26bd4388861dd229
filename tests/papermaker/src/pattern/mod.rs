//! What covers a whole sheet: where motifs stand, and stripes, checks, dots, textures and tiles.
//!
//! A pattern gets plates, measures in millimetres and inks, and fills the sheet or its cell.

pub mod checks;
pub mod dots;
pub mod geometric;
pub mod scatter;
pub mod stripes;
pub mod textures;

//! The swatches as a palette in plain text, one colour a line, as paint programs read it (the GIMP
//! palette format, `.gpl`: a line `GIMP Palette`, a name, then red, green, blue and a name each).

use crate::index::Index;
use crate::problem::printable;
use api::palette::{FromColor, Srgb};
use std::fmt::Write as _;

/// Every colour of every face, in the order of ids.
#[must_use]
pub fn palette(index: &Index, name: &str) -> String {
    let mut out = format!("GIMP Palette\nName: {}\nColumns: 4\n#\n", printable(name));
    for face in &index.faces {
        for (swatch, number) in face.view.swatches.iter().zip(1_u32..) {
            let rgb: Srgb<u8> = Srgb::<f64>::from_color(swatch.colour).into_format();
            let which = if face.view.swatches.len() == 1 { String::new() } else { format!(" {number}") };
            let name = printable(&face.view.name);
            // Writing to a text does not fail.
            let _ = writeln!(out, "{:>3} {:>3} {:>3}\t{name}{which}", rgb.red, rgb.green, rgb.blue);
        }
    }
    out
}

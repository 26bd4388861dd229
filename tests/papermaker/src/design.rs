//! One paper design: its name, size, palette and how it is drawn; a printed sheet comes out.
//!
//! What a design says of itself (kind, repeat, which way up) is what the drawing does, so the list
//! of designs can be used to check what others measure from the pictures.

use crate::colour::{hex, light};
use crate::maths::count;
use crate::plates::Plates;
use crate::press::{Sheet, Stock, print};
use crate::random::Dice;
use std::fmt;
use units::Length;

/// What sort of pattern it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One even colour.
    Solid,
    /// Shades of one hue.
    Tonal,
    /// Lines one way.
    Stripe,
    /// Dots or flecks.
    Dot,
    /// Lines both ways, nets and tiles.
    Check,
    /// Small or middling motifs strewn about.
    Scattered,
    /// Few and large motifs.
    BigMotif,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Solid => "solid",
            Self::Tonal => "tonal",
            Self::Stripe => "stripe",
            Self::Dot => "dot",
            Self::Check => "check",
            Self::Scattered => "scattered",
            Self::BigMotif => "big-motif",
        })
    }
}

/// Which turns a maker would notice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Directional {
    /// None.
    No,
    /// A quarter turn changes it, a half turn does not.
    QuarterTurn,
    /// It has a top.
    OneWay,
}

impl fmt::Display for Directional {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::No => "no",
            Self::QuarterTurn => "quarter-turn",
            Self::OneWay => "one-way",
        })
    }
}

/// How the drawing repeats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Repeat {
    /// Nothing comes twice at a fixed distance.
    None,
    /// Lines come again after this many millimetres, across them.
    Lines(f64),
    /// The drawing is placed freely, its framework repeats: across and down, in millimetres.
    Frame(f64, f64),
    /// A cell comes again exactly: across and down in millimetres, and how far the next column drops.
    Cell(f64, f64, Drop),
}

/// How the columns of a repeating cell stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drop {
    /// Level.
    Straight,
    /// Every second column half a cell lower.
    Half,
}

/// Which face of a sheet a design is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The front.
    Front,
    /// The back of the sheets whose fronts have these files.
    BackOf(&'static [&'static str]),
}

/// A paper design.
#[derive(Clone, Copy, Debug)]
pub struct Design {
    /// The folder of its pad.
    pub pad: &'static str,
    /// Its file, without ending.
    pub file: &'static str,
    /// Its name.
    pub name: &'static str,
    /// The sort of pattern.
    pub kind: Kind,
    /// Which turns show.
    pub directional: Directional,
    /// How busy it looks, 0 (plain) to 1, by eye.
    pub busyness: f64,
    /// Width and height of the sheet.
    pub size: (Length, Length),
    /// How it repeats.
    pub repeat: Repeat,
    /// Which side it is on.
    pub side: Side,
    /// Its inks as `0xrrggbb`, the ground first.
    pub inks: &'static [u32],
    /// Draws it on plates of the right size.
    pub draw: fn(&mut Plates, &mut Dice),
}

/// The resolution of the committed pictures, in pixels per inch.
pub const PIXELS_PER_INCH: u16 = 100;

/// One colour of a design and how much of the sheet it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// The colour as `0xrrggbb`.
    pub hex: u32,
    /// Its share of the area, 0 to 1.
    pub share: f64,
}

impl Design {
    /// A seed of its own, from pad and file.
    pub fn seed(&self) -> u64 {
        self.pad
            .bytes()
            .chain([b'/'])
            .chain(self.file.bytes())
            .fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
    }

    /// Width and height in pixels at a resolution.
    pub fn pixels(&self, per_inch: u16) -> (u32, u32) {
        let side = |length: Length| count(length.millimetres_for_drawing() / 25.4 * f64::from(per_inch));
        (side(self.size.0), side(self.size.1))
    }

    /// Prints one sheet at a resolution.
    pub fn printed(&self, per_inch: u16) -> Sheet {
        let per_mm = f64::from(per_inch) / 25.4;
        let (width, height) = self.pixels(per_inch);
        let inks: Vec<_> = self.inks.iter().map(|&code| light(code)).collect();
        let seed = self.seed();
        let mut plates = match self.repeat {
            Repeat::Cell(wide, high, drop) => {
                let (w, h) = (count(wide * per_mm) as usize, count(high * per_mm) as usize);
                let drop = if drop == Drop::Half { h / 2 } else { 0 };
                Plates::cell(w, h, drop, per_mm, inks.len(), seed)
            }
            _ => Plates::sheet(width as usize, height as usize, per_mm, inks.len(), seed),
        };
        (self.draw)(&mut plates, &mut Dice::new(seed ^ 0x5eed));
        print(&plates, width, height, per_mm, &inks, Stock::SMOOTH, seed)
    }

    /// The colours of a printed sheet, largest share first.
    pub fn palette(&self, sheet: &Sheet) -> Vec<Share> {
        let mut out: Vec<Share> = self
            .inks
            .iter()
            .zip(&sheet.shares)
            .map(|(&code, &share)| Share { hex: hex(light(code)), share })
            .filter(|colour| colour.share >= 0.0005)
            .collect();
        out.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.hex.cmp(&b.hex)));
        out
    }
}

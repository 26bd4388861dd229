//! Cut-Outs: small printed pictures with a narrow white edge, to be glued down as the focal image.

use crate::colour::light;
use crate::maths::count;
use crate::motif::flowers::{self, Bloom};
use crate::motif::garden::{self, Pear, Plumage};
use crate::motif::harbour::{self, Boat, Lamp};
use crate::motif::leaves::{self, Green};
use crate::outline::{Outline, Place, curve};
use crate::plates::{Fill, Ink, Plates};
use crate::press;
use crate::random::Dice;
use image::RgbaImage;
use std::fmt;
use units::Length;

/// Which way a picture looks, for placing it on a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// Straight out, or it does not matter.
    Ahead,
    /// To the right.
    Right,
    /// To the left.
    Left,
}

impl fmt::Display for Looks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Ahead => "ahead",
            Self::Right => "right",
            Self::Left => "left",
        })
    }
}

/// One printed picture.
#[derive(Clone, Copy, Debug)]
pub struct CutOut {
    /// Its file in `images/`, without ending.
    pub file: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Width and height of the paper it stands on.
    pub size: (Length, Length),
    /// Which way it looks.
    pub looks: Looks,
    /// Its inks as `0xrrggbb`; the first is the bare paper.
    pub inks: &'static [u32],
    /// Draws it on a sheet of its size.
    pub draw: fn(&mut Plates, &mut Dice),
}

const PAPER: u32 = 0xfc_fa_f4;
/// How much white shows round the picture, in millimetres.
const EDGE: f64 = 1.6;

const fn mm(wide: i64, high: i64) -> (Length, Length) {
    (Length::micrometres(wide * 1000), Length::micrometres(high * 1000))
}

/// The eight pictures.
pub const CUT_OUTS: [CutOut; 8] = [
    CutOut {
        file: "lantern",
        name: "Harbour Lantern",
        size: mm(36, 60),
        looks: Looks::Ahead,
        inks: &[PAPER, 0x5d_6d_7b, 0xe0_a4_40, 0xf8_dc_92, 0x2a_37_50],
        draw: |plates, dice| {
            let lamp = Lamp { metal: Ink(1), glass: Ink(2), flame: Ink(3), wire: Ink(4) };
            harbour::lantern(plates, &Place::new([18.0, 3.0], 0.0, 1.0), 54.0, lamp, dice);
        },
    },
    CutOut {
        file: "little-boat",
        name: "Little Boat",
        size: mm(54, 60),
        looks: Looks::Right,
        inks: &[PAPER, 0xb0_4f_2c, 0xf1_e4_cb, 0xd8_9f_3f, 0x1f_2c_47, 0x6d_93_a6],
        draw: little_boat,
    },
    CutOut {
        file: "wren",
        name: "Jenny Wren",
        size: mm(56, 50),
        looks: Looks::Right,
        inks: &[PAPER, 0xa8_6b_42, 0x6f_43_2c, 0xf3_e4_cc, 0x3a_2c_28, 0x7c_8b_5c, 0x4c_61_44, 0xb9_3f_35],
        draw: wren,
    },
    CutOut {
        file: "pear",
        name: "One Ripe Pear",
        size: mm(44, 60),
        looks: Looks::Ahead,
        inks: &[PAPER, 0xe6_b8_4c, 0xcb_5c_72, 0x48_6f_4b, 0x7d_a1_62],
        draw: |plates, dice| {
            let leaf = Green { blade: Ink(4), shade: Ink(3), rib: Ink(3) };
            let inks = Pear { skin: Ink(1), blush: Ink(2), stalk: Ink(3), leaf };
            garden::pear(plates, &Place::new([22.0, 13.0], 0.06, 1.0), 44.0, inks, dice);
        },
    },
    CutOut {
        file: "watering-can",
        name: "The Green Can",
        size: mm(62, 50),
        looks: Looks::Right,
        inks: &[PAPER, 0x8f_b0_96, 0x5a_82_70, 0x2f_4a_48],
        draw: |plates, dice| {
            garden::watering_can(plates, &Place::new([30.5, 26.5], 0.0, 1.0), 54.0, [Ink(1), Ink(2), Ink(3)], dice);
        },
    },
    CutOut {
        file: "radishes",
        name: "Three Radishes",
        size: mm(46, 54),
        looks: Looks::Ahead,
        inks: &[PAPER, 0xcb_5c_72, 0x8e_2f_49, 0xfb_f3_ea, 0x7d_a1_62, 0x48_6f_4b],
        draw: |plates, dice| {
            let green = Green { blade: Ink(4), shade: Ink(5), rib: Ink(5) };
            for (x, turn) in [(15.0, 0.42), (31.0, -0.42), (23.0, 0.0)] {
                let place = Place::new([x, 28.0], turn, 1.0);
                garden::radish(plates, &place, 22.0, [Ink(1), Ink(2)], Ink(3), green, dice);
            }
        },
    },
    CutOut {
        file: "sea-pinks",
        name: "A Clump of Thrift",
        size: mm(40, 50),
        looks: Looks::Ahead,
        inks: &[PAPER, 0xe3_a8_aa, 0xc4_72_7f, 0x90_80_6e, 0x4d_8b_8b],
        draw: |plates, dice| {
            let bloom = Bloom { petal: Ink(1), deep: Ink(2), eye: Ink(3) };
            flowers::thrift(plates, &Place::new([20.0, 46.0], 0.0, 1.0), 44.0, 3, bloom, Ink(4), dice);
        },
    },
    CutOut {
        file: "dahlia",
        name: "Show Dahlia",
        size: mm(46, 46),
        looks: Looks::Ahead,
        inks: &[PAPER, 0xd0_8b_6c, 0xb0_4f_2c, 0xe5_b4_4e, 0x6d_78_54, 0x41_5a_6c],
        draw: dahlia,
    },
];

fn little_boat(plates: &mut Plates, dice: &mut Dice) {
    let boat = Boat { hull: Ink(1), main: Ink(2), jib: Ink(3), trim: Ink(4) };
    for (y, long) in [(51.0, 44.0), (54.0, 34.0), (57.0, 22.0)] {
        harbour::ripple(plates, &Place::new([27.0, y], 0.0, 1.0), long, 5, 1.3, Ink(5), dice);
    }
    harbour::boat(plates, &Place::new([26.0, 49.0], 0.0, 1.0), 46.0, boat, dice);
}

fn wren(plates: &mut Plates, dice: &mut Dice) {
    let green = Green { blade: Ink(5), shade: Ink(6), rib: Ink(6) };
    let line = curve(&[[4.0, 40.0], [20.0, 41.0], [36.0, 40.6], [51.0, 37.0]]);
    plates.lay(&Outline::stroke(&line, |t| 2.2 - 1.0 * t), &Fill::flat(Ink(2)).mottled(0.2, 2.0));
    for (x, y, turn) in [(11.0, 40.5, -0.9), (14.0, 40.6, 2.3), (45.0, 38.8, 0.7), (41.0, 39.6, 2.1)] {
        leaves::leaf(plates, &Place::new([x, y], turn, 1.0), 7.5, 4.0, green, dice);
    }
    for (x, y) in [(48.0, 41.0), (8.5, 43.0)] {
        plates.lay(&Outline::blob([x, y], 1.7, 1.7, 0.05, dice), &Fill::wash(Ink(7)).opacity(1.0));
    }
    let plume = Plumage { back: Ink(1), bars: Ink(2), breast: Ink(3), dark: Ink(4) };
    garden::wren(plates, &Place::new([27.0, 24.4], 0.0, 1.0), 40.0, plume, dice);
}

fn dahlia(plates: &mut Plates, dice: &mut Dice) {
    let green = Green { blade: Ink(4), shade: Ink(5), rib: Ink(5) };
    for turn in [0.5, 2.2, 3.9, 5.3] {
        let place = Place::new([23.0, 23.0], turn, 1.0);
        leaves::leaf(plates, &place.then([0.0, -10.0], 0.0, 1.0), 11.0, 6.5, green, dice);
    }
    let bloom = Bloom { petal: Ink(1), deep: Ink(2), eye: Ink(3) };
    flowers::dahlia(plates, &Place::new([23.0, 23.0], 0.0, 1.0), 17.0, bloom, dice);
}

impl CutOut {
    /// The picture at a resolution, clear outside its white edge.
    pub fn printed(&self, per_inch: u16) -> RgbaImage {
        let per_mm = f64::from(per_inch) / 25.4;
        let side = |length: Length| count(length.millimetres_for_drawing() * per_mm);
        let (width, height) = (side(self.size.0), side(self.size.1));
        let seed =
            self.file.bytes().fold(0x0c07_0075, |sum: u64, byte| sum.wrapping_mul(31).wrapping_add(u64::from(byte)));
        let mut plates = Plates::sheet(width as usize, height as usize, per_mm, self.inks.len(), seed);
        (self.draw)(&mut plates, &mut Dice::new(seed));
        let inks: Vec<_> = self.inks.iter().map(|&code| light(code)).collect();
        press::die_cut(&plates, width, height, per_mm, &inks, EDGE)
    }
}

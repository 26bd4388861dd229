//! Lamplit Quay: a small pad, 3 1/2 by 6 1/2 in, of an October evening on the harbour wall.
//!
//! Navy and plum, rust and lamp ochre, cream and smoke.

use crate::design::{Design, Directional, Drop, Kind, Repeat, Side};
use crate::maths::{exp, sin};
use crate::motif::flowers::{self, Bloom};
use crate::motif::harbour::{self, Boat, Lamp};
use crate::motif::leaves::{self, Green};
use crate::outline::{Facing, Outline, Place, curve, distance};
use crate::pattern::scatter::{Class, scatter};
use crate::pattern::stripes::{self, Run};
use crate::pattern::{checks, dots, geometric, textures};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::TAU;
use units::Length;

const NAVY: u32 = 0x1f_2c_47;
const DEEP: u32 = 0x16_20_36;
const SLATE: u32 = 0x41_5a_6c;
const SMOKE: u32 = 0x8f_9c_a6;
const CREAM: u32 = 0xf3_e8_d3;
const OCHRE: u32 = 0xd8_9f_3f;
const GLOW: u32 = 0xf2_cf_80;
const RUST: u32 = 0xb0_4f_2c;
const BRICK: u32 = 0x83_35_24;
const CLAY: u32 = 0xd0_8b_6c;
const PLUM: u32 = 0x5a_2c_42;
const MOSS: u32 = 0x6d_78_54;
const MULBERRY: u32 = 0x8b_45_5c;

const BASE: Design = Design {
    pad: "lamplit-quay",
    file: "",
    name: "",
    kind: Kind::Tonal,
    directional: Directional::No,
    busyness: 0.0,
    size: (Length::micrometres(88_900), Length::micrometres(165_100)),
    repeat: Repeat::None,
    side: Side::Front,
    inks: &[],
    draw: |_, _| {},
};

/// The twelve designs.
pub const DESIGNS: [Design; 12] = [
    Design {
        file: "lantern-walk",
        name: "Lantern Walk",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.6,
        inks: &[NAVY, DEEP, OCHRE, GLOW, SMOKE, RUST],
        draw: lantern_walk,
        ..BASE
    },
    Design {
        file: "dahlia-night",
        name: "Dahlias by Night",
        kind: Kind::Scattered,
        busyness: 0.9,
        repeat: Repeat::Cell(76.0, 82.0, Drop::Half),
        inks: &[NAVY, RUST, BRICK, CLAY, PLUM, OCHRE, MOSS, SLATE, CREAM, MULBERRY],
        draw: dahlia_night,
        ..BASE
    },
    Design {
        file: "rope-locker",
        name: "Rope Locker",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.45,
        repeat: Repeat::Lines(29.4),
        inks: &[CREAM, RUST, NAVY, OCHRE, CLAY],
        draw: rope_locker,
        ..BASE
    },
    Design {
        file: "net-loft",
        name: "Net Loft",
        kind: Kind::Check,
        directional: Directional::QuarterTurn,
        busyness: 0.4,
        repeat: Repeat::Frame(11.0, 15.0),
        inks: &[NAVY, SMOKE],
        draw: net_loft,
        ..BASE
    },
    Design {
        file: "embers",
        name: "Embers",
        kind: Kind::Dot,
        busyness: 0.55,
        inks: &[PLUM, OCHRE, RUST, CLAY, GLOW],
        draw: embers,
        ..BASE
    },
    Design {
        file: "quayside-plaid",
        name: "Quayside Plaid",
        kind: Kind::Check,
        busyness: 0.5,
        repeat: Repeat::Frame(31.0, 31.0),
        inks: &[RUST, NAVY, CREAM, OCHRE],
        draw: quayside_plaid,
        ..BASE
    },
    Design {
        file: "slate-tide",
        name: "Slate Tide",
        kind: Kind::Tonal,
        directional: Directional::OneWay,
        busyness: 0.45,
        repeat: Repeat::Frame(14.0, 7.28),
        inks: &[SLATE, NAVY, SMOKE],
        draw: slate_tide,
        ..BASE
    },
    Design {
        file: "oilskin",
        name: "Oilskin",
        kind: Kind::Tonal,
        directional: Directional::QuarterTurn,
        busyness: 0.1,
        inks: &[OCHRE, 0xc7_8b_2c, 0xe2_b3_5c],
        draw: oilskin,
        ..BASE
    },
    Design {
        file: "bramble-lane",
        name: "Bramble Lane",
        kind: Kind::Scattered,
        busyness: 0.7,
        repeat: Repeat::Cell(58.0, 64.0, Drop::Half),
        inks: &[CREAM, PLUM, MOSS, RUST, CLAY, OCHRE, NAVY],
        draw: bramble_lane,
        ..BASE
    },
    Design {
        file: "plum-linen",
        name: "Plum Linen",
        kind: Kind::Tonal,
        busyness: 0.1,
        inks: &[PLUM, 0x6f_3f_56, 0x49_21_35],
        draw: plum_linen,
        ..BASE
    },
    Design {
        file: "homeward",
        name: "Homeward Sails",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.55,
        repeat: Repeat::Cell(44.0, 46.0, Drop::Half),
        inks: &[SMOKE, CREAM, RUST, NAVY, OCHRE, SLATE],
        draw: homeward,
        ..BASE
    },
    Design {
        file: "bunk-ticking",
        name: "Bunk Ticking",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.3,
        repeat: Repeat::Lines(10.34),
        inks: &[CREAM, NAVY],
        draw: bunk_ticking,
        ..BASE
    },
];

fn lantern_walk(plates: &mut Plates, dice: &mut Dice) {
    textures::wash(plates, 26.0, [Ink(1), Ink(0)]);
    let lamp = Lamp { metal: Ink(4), glass: Ink(2), flame: Ink(3), wire: Ink(5) };
    let (wide, high) = (plates.wide(), plates.high());
    let mut y = -6.0;
    let mut row = 0_u32;
    while y < high {
        let slack = 7.0;
        let rope: Vec<_> = (0..=12)
            .map(|k| {
                let x = f64::from(k) / 12.0 * (wide + 8.0) - 4.0;
                [x, y + slack * sin(x / wide * 6.3 + f64::from(row) * 2.4) * 0.5]
            })
            .collect();
        plates.lay(&Outline::stroke(&curve(&rope), |_| 0.5), &Fill::flat(Ink(4)).mottled(0.3, 1.0));
        let lamps = 3;
        for k in 0..lamps {
            let x = (f64::from(k) + if row.is_multiple_of(2) { 0.5 } else { 0.0 }) * wide / f64::from(lamps)
                + dice.about(0.0, 1.5);
            for x in if x < 3.0 { vec![x, x + wide] } else { vec![x] } {
                let hang = y + slack * sin(x / wide * 6.3 + f64::from(row) * 2.4) * 0.5;
                let tall = dice.about(27.0, 2.0);
                let glow = [x, hang + tall * 0.62];
                plates.wash(Ink(2), |p| {
                    let d = distance(p, glow) / 9.5;
                    0.42 * exp(-d * d)
                });
                harbour::lantern(plates, &Place::new([x, hang], dice.about(0.0, 0.1), 1.0), tall, lamp, dice);
            }
        }
        y += 36.0;
        row += 1;
    }
    for spot in scatter(plates, &[Class { clear: 3.0, most: 70 }], 0.0, dice) {
        let r = dice.about(0.35, 0.15);
        plates.lay(&Outline::blob(spot.at, r, r, 0.2, dice), &Fill::flat(Ink(3)).opacity(0.6));
    }
}

fn dahlia_night(plates: &mut Plates, dice: &mut Dice) {
    let classes = [
        Class { clear: 15.0, most: 3 },
        Class { clear: 9.0, most: 5 },
        Class { clear: 5.0, most: 12 },
        Class { clear: 2.3, most: 40 },
        Class { clear: 1.1, most: 60 },
    ];
    let spots = scatter(plates, &classes, 0.0, dice);
    let moss = Green { blade: Ink(6), shade: Ink(7), rib: Ink(0) };
    let slate = Green { blade: Ink(7), shade: Ink(6), rib: Ink(0) };
    for spot in spots.iter().filter(|s| s.class < 3) {
        let r = classes[spot.class].clear;
        let start = dice.angle();
        let n = if spot.class == 2 { 2 } else { 5 };
        for k in 0..n {
            let turn = start + f64::from(k) * TAU / f64::from(n) + dice.about(0.0, 0.3);
            let own = Place::new(spot.at, turn, 1.0).then([0.0, -r * 0.55], 0.0, 1.0);
            let green = if dice.falls(0.6) { moss } else { slate };
            leaves::leaf(plates, &own, r * dice.about(0.95, 0.15), r * 0.42, green, dice);
        }
    }
    let rust = Bloom { petal: Ink(3), deep: Ink(1), eye: Ink(5) };
    let brick = Bloom { petal: Ink(1), deep: Ink(2), eye: Ink(5) };
    let plum = Bloom { petal: Ink(3), deep: Ink(4), eye: Ink(5) };
    let mulberry = Bloom { petal: Ink(9), deep: Ink(4), eye: Ink(5) };
    let cream = Bloom { petal: Ink(8), deep: Ink(3), eye: Ink(5) };
    for (i, spot) in spots.iter().enumerate() {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 => flowers::dahlia(plates, &place, 14.5, [rust, brick, mulberry][i % 3], dice),
            1 => flowers::dahlia(plates, &place, 8.8, [cream, mulberry, plum, rust][i % 4], dice),
            2 => flowers::blossom(plates, &place, 4.6, [cream, rust, mulberry, plum][i % 4], dice),
            3 => {
                let green = if dice.falls(0.5) { moss } else { slate };
                leaves::leaf(plates, &place.then([0.0, 2.2], 0.0, 1.0), 4.6, 2.0, green, dice);
            }
            _ => plates.lay(&Outline::blob(spot.at, 0.6, 0.6, 0.1, dice), &Fill::flat(Ink(5))),
        }
    }
}

fn rope_locker(plates: &mut Plates, dice: &mut Dice) {
    let list = [
        (7.0, Some(Ink(1))),
        (1.6, None),
        (1.0, Some(Ink(3))),
        (1.4, None),
        (2.4, Some(Ink(4))),
        (1.0, None),
        (0.7, Some(Ink(2))),
        (1.0, None),
        (4.2, Some(Ink(2))),
        (1.0, None),
        (0.7, Some(Ink(2))),
        (1.0, None),
        (2.4, Some(Ink(4))),
        (1.4, None),
        (1.0, Some(Ink(3))),
        (1.6, None),
    ];
    stripes::bands(plates, Run::Down, &list, -dice.between(0.0, 4.0), |ink| {
        Fill::flat(ink).mottled(0.1, 6.0).streaked(0.3, [0.0, 1.0]).trembling(0.2, 5.0)
    });
}

fn net_loft(plates: &mut Plates, dice: &mut Dice) {
    geometric::net(plates, 11.0, 15.0, 0.55, Ink(1), dice);
}

fn embers(plates: &mut Plates, dice: &mut Dice) {
    dots::confetti(plates, &[3.0, 1.9, 1.1, 0.55], 300, &[Ink(1), Ink(2), Ink(2), Ink(3), Ink(4)], dice);
}

fn quayside_plaid(plates: &mut Plates, _: &mut Dice) {
    let list = [
        (2.0, Some(Ink(1)), 0.35),
        (9.0, Some(Ink(1)), 0.55),
        (2.0, Some(Ink(1)), 0.35),
        (3.0, None, 0.0),
        (0.8, Some(Ink(2)), 0.75),
        (3.6, None, 0.0),
        (3.2, Some(Ink(3)), 0.5),
        (3.6, None, 0.0),
        (0.8, Some(Ink(2)), 0.75),
        (3.0, None, 0.0),
    ];
    checks::plaid(plates, &list, -4.0);
}

fn slate_tide(plates: &mut Plates, dice: &mut Dice) {
    geometric::scallops(plates, 7.0, &[Ink(0), Ink(0), Ink(1)], Ink(2), 3, dice);
}

fn oilskin(plates: &mut Plates, _: &mut Dice) {
    textures::brushed(plates, [Ink(1), Ink(2)]);
}

fn bramble_lane(plates: &mut Plates, dice: &mut Dice) {
    let green = Green { blade: Ink(2), shade: Ink(6), rib: Ink(2) };
    let classes = [
        Class { clear: 6.6, most: 12 },
        Class { clear: 3.6, most: 20 },
        Class { clear: 2.2, most: 26 },
        Class { clear: 1.0, most: 60 },
    ];
    for spot in scatter(plates, &classes, 0.0, dice) {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 if dice.falls(0.5) => {
                leaves::berries(plates, &place.then([0.0, 6.5], 0.0, 1.0), 13.0, [Ink(2), Ink(1), Ink(4)], dice);
            }
            0 => leaves::sprig(plates, &place.then([0.0, 6.0], 0.0, 1.0), 12.5, 4, green, dice),
            1 => {
                let petal = dice.pick(&[Ink(3), Ink(4), Ink(3), Ink(5)]);
                flowers::ditsy(plates, &place, 3.3, Bloom { petal, deep: Ink(1), eye: Ink(0) }, dice);
            }
            2 => leaves::leaf(plates, &place.then([0.0, 2.2], 0.0, 1.0), 4.6, 2.1, green, dice),
            _ => plates
                .lay(&Outline::blob(spot.at, 0.6, 0.6, 0.1, dice), &Fill::flat(dice.pick(&[Ink(3), Ink(5), Ink(1)]))),
        }
    }
}

fn plum_linen(plates: &mut Plates, _: &mut Dice) {
    textures::linen(plates, 0.45, Ink(1), 0.8);
    textures::linen(plates, 0.7, Ink(2), 0.5);
}

fn homeward(plates: &mut Plates, dice: &mut Dice) {
    let one = Boat { hull: Ink(2), main: Ink(1), jib: Ink(4), trim: Ink(3) };
    let two = Boat { hull: Ink(3), main: Ink(2), jib: Ink(1), trim: Ink(3) };
    for (k, (x, y)) in [(11.0, 30.0), (33.0, 15.0)].into_iter().enumerate() {
        let boat = if k == 0 { one } else { two };
        let facing = if k == 0 { Facing::AsDrawn } else { Facing::Mirrored };
        harbour::boat(plates, &Place::new([x, y], dice.about(0.0, 0.06), 1.0).facing(facing), 20.0, boat, dice);
        for (dy, long, ink) in [(2.5, 20.0, Ink(5)), (5.0, 14.0, Ink(1)), (7.6, 18.0, Ink(5))] {
            let at = Place::new([x + dice.about(0.0, 2.0), y + dy], 0.0, 1.0);
            harbour::ripple(plates, &at, long, 4, 0.55, ink, dice);
        }
    }
    harbour::gull(plates, &Place::new([22.0, 5.0], 0.1, 1.0), 6.0, Ink(1));
    harbour::gull(plates, &Place::new([2.0, 7.0], -0.1, 1.0), 4.0, Ink(1));
}

fn bunk_ticking(plates: &mut Plates, _: &mut Dice) {
    let list = [
        (1.9, Some(Ink(1))),
        (0.8, None),
        (0.36, Some(Ink(1))),
        (0.7, None),
        (0.36, Some(Ink(1))),
        (4.0, None),
        (0.36, Some(Ink(1))),
        (0.7, None),
        (0.36, Some(Ink(1))),
        (0.8, None),
    ];
    stripes::bands(plates, Run::Down, &list, -1.5, |ink| {
        Fill::flat(ink).mottled(0.2, 3.0).streaked(0.2, [0.0, 1.0]).trembling(0.1, 4.0)
    });
}

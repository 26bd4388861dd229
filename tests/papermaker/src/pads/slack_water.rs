//! Slack Water: a metric pad, A5 (148 by 210 mm), of a still estuary before the tide turns.
//!
//! Blue-greys and teal, sand and shell, with one touch of thrift pink.

use crate::design::{Design, Directional, Drop, Kind, Repeat, Side};
use crate::motif::flowers::{self, Bloom};
use crate::motif::leaves;
use crate::outline::{Facing, Outline, Place};
use crate::pattern::scatter::{Class, scatter};
use crate::pattern::stripes::{self, Run};
use crate::pattern::{dots, geometric, textures};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;
use units::Length;

const SHELL: u32 = 0xf4_ed_e1;
const FOG: u32 = 0xdc_e3_e3;
const SAND: u32 = 0xe3_d3_b8;
const DUNE: u32 = 0xc8_b0_8c;
const DRIFT: u32 = 0x90_80_6e;
const HAZE: u32 = 0xa9_bb_c4;
const SLATE: u32 = 0x6d_86_98;
const DEEP: u32 = 0x35_54_6a;
const TEAL: u32 = 0x4d_8b_8b;
const PALE_TEAL: u32 = 0x9c_c3_be;
const THRIFT: u32 = 0xe3_a8_aa;

const BASE: Design = Design {
    pad: "slack-water",
    file: "",
    name: "",
    kind: Kind::Tonal,
    directional: Directional::No,
    busyness: 0.0,
    size: (Length::micrometres(148_000), Length::micrometres(210_000)),
    repeat: Repeat::None,
    side: Side::Front,
    inks: &[],
    draw: |_, _| {},
};

/// The eight designs.
pub const DESIGNS: [Design; 8] = [
    Design {
        file: "kelp-bed",
        name: "Kelp Bed",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.55,
        inks: &[FOG, TEAL, DEEP, PALE_TEAL, SLATE, HAZE],
        draw: kelp_bed,
        ..BASE
    },
    Design {
        file: "rippled-sand",
        name: "Rippled Sand",
        kind: Kind::Tonal,
        directional: Directional::QuarterTurn,
        busyness: 0.35,
        inks: &[SAND, DUNE, SHELL],
        draw: |plates, dice| stripes::ripples(plates, 4.2, 1.5, &[Ink(1), Ink(1), Ink(2)], dice),
        ..BASE
    },
    Design {
        file: "mooring-stripe",
        name: "Mooring Stripe",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.35,
        repeat: Repeat::Lines(14.0),
        inks: &[SHELL, SLATE],
        draw: mooring_stripe,
        ..BASE
    },
    Design {
        file: "shingle",
        name: "Shingle",
        kind: Kind::Scattered,
        busyness: 0.75,
        inks: &[0x4a_65_79, HAZE, SLATE, SAND, FOG, DRIFT, DUNE, SHELL],
        draw: shingle,
        ..BASE
    },
    Design {
        file: "sea-pinks",
        name: "Sea Pinks",
        kind: Kind::Scattered,
        directional: Directional::OneWay,
        busyness: 0.55,
        repeat: Repeat::Cell(62.0, 76.0, Drop::Half),
        inks: &[SHELL, THRIFT, 0xc4_72_7f, DRIFT, TEAL, PALE_TEAL, DUNE],
        draw: sea_pinks,
        ..BASE
    },
    Design {
        file: "sea-fret",
        name: "Sea Fret",
        kind: Kind::Tonal,
        busyness: 0.1,
        inks: &[HAZE, 0x94_aa_b6, 0xc0_ce_d4],
        draw: |plates, _| textures::wash(plates, 30.0, [Ink(1), Ink(2)]),
        ..BASE
    },
    Design {
        file: "scallop-bank",
        name: "Scallop Bank",
        kind: Kind::Check,
        directional: Directional::OneWay,
        busyness: 0.5,
        repeat: Repeat::Frame(24.0, 12.48),
        inks: &[TEAL, PALE_TEAL, SHELL, DEEP],
        draw: |plates, dice| geometric::scallops(plates, 12.0, &[Ink(0), Ink(0), Ink(1), Ink(3)], Ink(2), 4, dice),
        ..BASE
    },
    Design {
        file: "drizzle",
        name: "Drizzle",
        kind: Kind::Dot,
        directional: Directional::QuarterTurn,
        busyness: 0.4,
        inks: &[SHELL, SLATE, HAZE, DEEP],
        draw: |plates, dice| dots::drizzle(plates, 5.0, 0.42, &[Ink(1), Ink(1), Ink(2), Ink(2), Ink(3)], dice),
        ..BASE
    },
];

fn kelp_bed(plates: &mut Plates, dice: &mut Dice) {
    let (wide, high) = (plates.wide(), plates.high());
    let layers = [
        (10, [150.0, 215.0], 8.0, [Ink(5), Ink(5)]),
        (9, [110.0, 190.0], 8.5, [Ink(3), Ink(5)]),
        (9, [80.0, 160.0], 9.0, [Ink(3), Ink(4)]),
        (8, [60.0, 135.0], 9.5, [Ink(1), Ink(4)]),
        (7, [40.0, 95.0], 10.0, [Ink(1), Ink(2)]),
    ];
    for (count, tall, across, inks) in layers {
        for k in 0..count {
            let x = (f64::from(k) + 0.5) / f64::from(count) * (wide + 12.0) - 6.0 + dice.about(0.0, 4.0);
            let facing = if dice.falls(0.5) { Facing::AsDrawn } else { Facing::Mirrored };
            let place = Place::new([x, high + 6.0], dice.about(0.0, 0.09), 1.0).facing(facing);
            leaves::kelp(plates, &place, dice.between(tall[0], tall[1]), dice.about(across, 2.5), inks, dice);
        }
    }
    for spot in scatter(plates, &[Class { clear: 6.0, most: 60 }], 0.0, dice) {
        let r = dice.about(1.0, 0.5);
        let ring =
            Outline::blob(spot.at, r, r, 0.05, dice).without(Outline::blob(spot.at, r * 0.68, r * 0.68, 0.05, dice));
        plates.lay(&ring, &Fill::flat(Ink(4)).opacity(0.5).trembling(0.05, 1.0));
    }
}

fn mooring_stripe(plates: &mut Plates, _: &mut Dice) {
    stripes::bands(plates, Run::Down, &[(7.0, Some(Ink(1))), (7.0, None)], -3.5, |ink| {
        Fill::flat(ink).mottled(0.14, 8.0).streaked(0.3, [0.0, 1.0]).trembling(0.2, 6.0)
    });
}

fn shingle(plates: &mut Plates, dice: &mut Dice) {
    let inks = [Ink(1), Ink(2), Ink(3), Ink(4), Ink(5), Ink(6), Ink(7), Ink(1)];
    geometric::pebbles(plates, &[8.5, 5.6, 3.6, 2.2, 1.3, 0.8], &inks, Ink(7), dice);
}

fn sea_pinks(plates: &mut Plates, dice: &mut Dice) {
    let bloom = Bloom { petal: Ink(1), deep: Ink(2), eye: Ink(3) };
    let clumps = [
        (43.0, 19.0, 25.0, 2, Ink(5)),
        (13.0, 33.0, 31.0, 3, Ink(4)),
        (35.0, 47.0, 27.0, 1, Ink(5)),
        (55.0, 60.0, 34.0, 3, Ink(4)),
        (24.0, 70.0, 26.0, 2, Ink(5)),
        (2.0, 62.0, 18.0, 1, Ink(5)),
    ];
    for (k, (x, y, tall, heads, green)) in clumps.into_iter().enumerate() {
        let facing = if k % 2 == 0 { Facing::AsDrawn } else { Facing::Mirrored };
        let place = Place::new([x, y], dice.about(0.0, 0.06), 1.0).facing(facing);
        let ground = Outline::blob([x, y + 0.6], dice.about(7.0, 1.5), 1.3, 0.12, dice);
        plates.lay(&ground, &Fill::wash(Ink(6)).opacity(0.5));
        flowers::thrift(plates, &place, tall, heads, bloom, green, dice);
    }
}

//! Seedling Bench: a square pad, 6 by 6 in, printed on both sides, of April under glass.
//!
//! Fresh greens, blush to rhubarb pink, butter and a little sky; the backs are quiet.

use crate::design::{Design, Directional, Drop, Kind, Repeat, Side};

use crate::motif::flowers::{self, Bloom};
use crate::motif::garden::{self, Pear};
use crate::motif::leaves::{self, Green};
use crate::outline::{Facing, Outline, Place};
use crate::pattern::scatter::{Class, scatter};
use crate::pattern::stripes::{self, Run};
use crate::pattern::{checks, dots, geometric, textures};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::TAU;
use units::Length;

const WHITE: u32 = 0xfb_f7_ec;
const BLUSH: u32 = 0xf4_d3_cd;
const PINK: u32 = 0xe8_9f_a8;
const ROSE: u32 = 0xcb_5c_72;
const RHUBARB: u32 = 0x8e_2f_49;
const BUTTER: u32 = 0xf6_e2_a9;
const YOLK: u32 = 0xe6_b8_4c;
const SAGE: u32 = 0xb9_ca_a9;
const LEAF: u32 = 0x7d_a1_62;
const FERN: u32 = 0x48_6f_4b;
const SKY: u32 = 0xcd_e1_e2;

const BASE: Design = Design {
    pad: "seedling-bench",
    file: "",
    name: "",
    kind: Kind::Tonal,
    directional: Directional::No,
    busyness: 0.0,
    size: (Length::micrometres(152_400), Length::micrometres(152_400)),
    repeat: Repeat::None,
    side: Side::Front,
    inks: &[],
    draw: |_, _| {},
};

/// Twelve fronts, then six backs, each on two of the sheets.
pub const DESIGNS: [Design; 18] = [
    Design {
        file: "hedge-rose",
        name: "Hedge Rose Morning",
        kind: Kind::Scattered,
        busyness: 0.9,
        repeat: Repeat::Cell(76.2, 76.2, Drop::Half),
        inks: &[WHITE, BLUSH, PINK, ROSE, RHUBARB, LEAF, FERN, SAGE, YOLK],
        draw: hedge_rose,
        ..BASE
    },
    Design {
        file: "thinnings",
        name: "Thinnings",
        kind: Kind::Scattered,
        busyness: 0.65,
        repeat: Repeat::Cell(38.1, 38.1, Drop::Half),
        inks: &[SAGE, WHITE, PINK, ROSE, BUTTER, FERN, YOLK],
        draw: thinnings,
        ..BASE
    },
    Design {
        file: "bean-poles",
        name: "Bean Poles",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.45,
        repeat: Repeat::Lines(45.0),
        inks: &[WHITE, LEAF, SAGE, PINK, FERN, BUTTER, ROSE],
        draw: bean_poles,
        ..BASE
    },
    Design {
        file: "potting-gingham",
        name: "Potting Shed Gingham",
        kind: Kind::Check,
        busyness: 0.35,
        repeat: Repeat::Frame(12.7, 12.7),
        inks: &[WHITE, LEAF],
        draw: potting_gingham,
        ..BASE
    },
    Design {
        file: "pear-espalier",
        name: "Pear Espalier",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.65,
        repeat: Repeat::Cell(76.2, 76.2, Drop::Half),
        inks: &[SKY, YOLK, LEAF, ROSE, FERN, BUTTER, SAGE],
        draw: pear_espalier,
        ..BASE
    },
    Design {
        file: "radish-day",
        name: "Radish Day",
        kind: Kind::Scattered,
        busyness: 0.7,
        repeat: Repeat::Cell(76.2, 76.2, Drop::Straight),
        inks: &[0xe6_ed_da, ROSE, RHUBARB, WHITE, LEAF, FERN, PINK],
        draw: radish_day,
        ..BASE
    },
    Design {
        file: "dewdrops",
        name: "Dewdrops",
        kind: Kind::Dot,
        busyness: 0.35,
        repeat: Repeat::Cell(12.7, 12.7, Drop::Straight),
        inks: &[PINK, WHITE],
        draw: dewdrops,
        ..BASE
    },
    Design {
        file: "cow-parsley",
        name: "Cow Parsley",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.6,
        repeat: Repeat::Cell(76.2, 91.4, Drop::Half),
        inks: &[LEAF, FERN, WHITE, SAGE, BUTTER],
        draw: cow_parsley,
        ..BASE
    },
    Design {
        file: "butter-muslin",
        name: "Butter Muslin",
        kind: Kind::Tonal,
        busyness: 0.08,
        inks: &[BUTTER, 0xec_d1_8c, 0xfb_ee_c8],
        draw: butter_muslin,
        ..BASE
    },
    Design {
        file: "glasshouse",
        name: "Glasshouse Roof",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.5,
        repeat: Repeat::Frame(25.4, 23.2),
        inks: &[WHITE, SAGE, LEAF, SKY, FERN],
        draw: glasshouse,
        ..BASE
    },
    Design {
        file: "fennel-bed",
        name: "Fennel Bed",
        kind: Kind::Tonal,
        busyness: 0.4,
        repeat: Repeat::Cell(76.2, 76.2, Drop::Half),
        inks: &[FERN, 0x5d_84_5c, 0x3b_5f_40],
        draw: fennel_bed,
        ..BASE
    },
    Design {
        file: "seed-scatter",
        name: "Seed Scatter",
        kind: Kind::Dot,
        busyness: 0.6,
        inks: &[WHITE, ROSE, LEAF, YOLK, PINK, FERN, 0xa8_cb_cf],
        draw: seed_scatter,
        ..BASE
    },
    Design {
        file: "back-sage-wash",
        name: "Watered Sage",
        busyness: 0.12,
        side: Side::BackOf(&["hedge-rose", "radish-day"]),
        inks: &[SAGE, 0xa9_bd_97, 0xcb_d8_be],
        draw: |plates, _| textures::wash(plates, 24.0, [Ink(1), Ink(2)]),
        ..BASE
    },
    Design {
        file: "back-blush-pin",
        name: "Blush Pin Dot",
        kind: Kind::Dot,
        busyness: 0.2,
        repeat: Repeat::Frame(6.35, 6.35),
        side: Side::BackOf(&["thinnings", "fennel-bed"]),
        inks: &[BLUSH, WHITE],
        draw: |plates, dice| dots::spots(plates, 6.35, 0.75, Ink(1), dice),
        ..BASE
    },
    Design {
        file: "back-leaf-ticking",
        name: "Leaf Ticking",
        kind: Kind::Stripe,
        directional: Directional::QuarterTurn,
        busyness: 0.3,
        repeat: Repeat::Lines(9.6),
        side: Side::BackOf(&["dewdrops", "pear-espalier"]),
        inks: &[WHITE, LEAF],
        draw: leaf_ticking,
        ..BASE
    },
    Design {
        file: "back-butter-fleck",
        name: "Butter Fleck",
        kind: Kind::Tonal,
        busyness: 0.15,
        side: Side::BackOf(&["bean-poles", "glasshouse"]),
        inks: &[BUTTER, 0xd9_bb_72, 0xfc_f3_d8],
        draw: |plates, dice| textures::speckle(plates, &[Ink(1), Ink(1), Ink(2)], 900, dice),
        ..BASE
    },
    Design {
        file: "back-rose-pane",
        name: "Rose Windowpane",
        kind: Kind::Check,
        busyness: 0.25,
        repeat: Repeat::Frame(9.525, 9.525),
        side: Side::BackOf(&["potting-gingham", "cow-parsley"]),
        inks: &[WHITE, PINK],
        draw: |plates, _| checks::windowpane(plates, 9.525, 0.7, Ink(1)),
        ..BASE
    },
    Design {
        file: "back-sky-linen",
        name: "Sky Linen",
        busyness: 0.08,
        side: Side::BackOf(&["butter-muslin", "seed-scatter"]),
        inks: &[SKY, 0xb7_d2_d5, 0xe3_ef_ee],
        draw: |plates, _| {
            textures::linen(plates, 0.42, Ink(1), 0.75);
            textures::linen(plates, 0.6, Ink(2), 0.45);
        },
        ..BASE
    },
];

const PETALS: Bloom = Bloom { petal: Ink(1), deep: Ink(2), eye: Ink(8) };

fn hedge_rose(plates: &mut Plates, dice: &mut Dice) {
    let classes = [
        Class { clear: 14.5, most: 3 },
        Class { clear: 8.5, most: 5 },
        Class { clear: 5.0, most: 14 },
        Class { clear: 2.2, most: 36 },
        Class { clear: 1.0, most: 50 },
    ];
    let spots = scatter(plates, &classes, 0.0, dice);
    let fresh = Green { blade: Ink(5), shade: Ink(6), rib: Ink(6) };
    let pale = Green { blade: Ink(7), shade: Ink(5), rib: Ink(5) };
    for spot in spots.iter().filter(|s| s.class < 3) {
        let r = classes[spot.class].clear;
        let start = dice.angle();
        let n = if spot.class == 2 { 2 } else { 4 };
        for k in 0..n {
            let turn = start + f64::from(k) * TAU / f64::from(n) + dice.about(0.0, 0.35);
            let own = Place::new(spot.at, turn, 1.0).then([0.0, -r * 0.5], 0.0, 1.0);
            let green = if dice.falls(0.6) { fresh } else { pale };
            if dice.falls(0.3) {
                leaves::sprig(plates, &own, r * 1.0, 4, green, dice);
            } else {
                leaves::leaf(plates, &own, r * dice.about(0.95, 0.15), r * 0.44, green, dice);
            }
        }
    }
    for (i, spot) in spots.iter().enumerate() {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 => flowers::blossom(
                plates,
                &place,
                14.0,
                if i % 2 == 0 { Bloom { deep: Ink(3), petal: Ink(2), ..PETALS } } else { PETALS },
                dice,
            ),
            1 => flowers::rose(
                plates,
                &place,
                8.2,
                if i % 2 == 0 { Bloom { deep: Ink(3), petal: Ink(2), ..PETALS } } else { PETALS },
                dice,
            ),
            2 if i % 3 == 0 => {
                flowers::daisy(plates, &place, 4.6, Bloom { petal: Ink(0), deep: Ink(4), eye: Ink(8) }, dice)
            }
            2 => garden::sweet_pea(plates, &place.then([0.0, 2.5], 0.0, 1.0), 4.2, [Ink(1), Ink(2), Ink(3)], dice),
            3 => leaves::leaf(
                plates,
                &Place::new(spot.at, dice.angle(), 1.0).then([0.0, 2.2], 0.0, 1.0),
                4.6,
                2.0,
                if i % 2 == 0 { fresh } else { pale },
                dice,
            ),
            _ => plates.lay(
                &Outline::blob(spot.at, 0.6, 0.6, 0.1, dice),
                &Fill::flat(if i % 2 == 0 { Ink(8) } else { Ink(3) }),
            ),
        }
    }
}

fn thinnings(plates: &mut Plates, dice: &mut Dice) {
    let classes = [
        Class { clear: 3.7, most: 9 },
        Class { clear: 2.4, most: 12 },
        Class { clear: 1.5, most: 22 },
        Class { clear: 0.8, most: 30 },
    ];
    let green = Green { blade: Ink(5), shade: Ink(5), rib: Ink(5) };
    for (i, spot) in scatter(plates, &classes, 0.0, dice).iter().enumerate() {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        let petal = [Ink(1), Ink(2), Ink(1), Ink(3), Ink(4)][i % 5];
        match spot.class {
            0 => flowers::daisy(
                plates,
                &place,
                3.4,
                Bloom { petal: if i % 2 == 0 { Ink(1) } else { Ink(2) }, deep: Ink(5), eye: Ink(6) },
                dice,
            ),
            1 => flowers::ditsy(plates, &place, 2.2, Bloom { petal, deep: Ink(6), eye: Ink(6) }, dice),
            2 => leaves::leaf(plates, &place.then([0.0, 1.5], 0.0, 1.0), 3.2, 1.4, green, dice),
            _ => plates.lay(
                &Outline::blob(spot.at, 0.42, 0.42, 0.1, dice),
                &Fill::flat(if i % 3 == 0 { Ink(3) } else { Ink(1) }),
            ),
        }
    }
}

fn bean_poles(plates: &mut Plates, _: &mut Dice) {
    let list = [
        (7.5, Some(Ink(1))),
        (1.4, None),
        (0.8, Some(Ink(4))),
        (1.4, None),
        (2.4, Some(Ink(5))),
        (1.2, None),
        (0.7, Some(Ink(3))),
        (2.2, None),
        (5.0, Some(Ink(2))),
        (1.6, None),
        (1.5, Some(Ink(3))),
        (1.1, Some(Ink(6))),
        (1.5, Some(Ink(3))),
        (1.6, None),
        (5.0, Some(Ink(2))),
        (2.2, None),
        (0.7, Some(Ink(3))),
        (1.2, None),
        (2.4, Some(Ink(5))),
        (1.4, None),
        (0.8, Some(Ink(4))),
        (1.4, None),
    ];
    stripes::bands(plates, Run::Down, &list, -3.0, |ink| {
        Fill::flat(ink).opacity(0.94).mottled(0.16, 7.0).streaked(0.26, [0.0, 1.0]).trembling(0.24, 6.0)
    });
}

fn potting_gingham(plates: &mut Plates, _: &mut Dice) {
    checks::gingham(plates, 6.35, Ink(1));
}

fn pear_espalier(plates: &mut Plates, dice: &mut Dice) {
    let leaf = Green { blade: Ink(2), shade: Ink(4), rib: Ink(4) };
    let one = Pear { skin: Ink(1), blush: Ink(3), stalk: Ink(4), leaf };
    let two = Pear { skin: Ink(5), blush: Ink(2), stalk: Ink(4), leaf };
    for (k, (x, y)) in [(17.0, 6.0), (55.0, 17.0), (34.0, 46.0), (73.0, 55.0)].into_iter().enumerate() {
        let facing = if k % 2 == 0 { Facing::AsDrawn } else { Facing::Mirrored };
        let place = Place::new([x + dice.about(0.0, 1.0), y], dice.about(0.0, 0.14), 1.0).facing(facing);
        garden::pear(plates, &place, 30.0, if k % 2 == 0 { one } else { two }, dice);
    }
    let taken: Vec<_> =
        [(17.0, 22.0), (55.0, 34.0), (34.0, 63.0), (73.0, 72.0)].iter().map(|&(x, y)| ([x, y], 14.0)).collect();
    let classes = [Class { clear: 4.6, most: 12 }, Class { clear: 1.4, most: 60 }];
    let blossom = Bloom { petal: Ink(5), deep: Ink(3), eye: Ink(1) };
    for (k, spot) in crate::pattern::scatter::scatter_about(plates, &classes, 0.0, &taken, dice).iter().enumerate() {
        let place = Place::new(spot.at, dice.about(0.0, 0.5), 1.0);
        match spot.class {
            0 if k % 2 == 0 => flowers::ditsy(plates, &place, 3.4, blossom, dice),
            0 => leaves::leaf(plates, &place.then([0.0, 4.0], dice.about(0.0, 0.5), 1.0), 8.0, 3.6, leaf, dice),
            _ => plates.lay(&Outline::blob(spot.at, 0.55, 0.55, 0.15, dice), &Fill::flat(Ink(6))),
        }
    }
}

fn radish_day(plates: &mut Plates, dice: &mut Dice) {
    let green = Green { blade: Ink(4), shade: Ink(5), rib: Ink(5) };
    let classes = [Class { clear: 10.4, most: 9 }, Class { clear: 5.2, most: 10 }, Class { clear: 1.3, most: 60 }];
    for spot in scatter(plates, &classes, 0.0, dice) {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 => {
                garden::radish(plates, &place.then([0.0, -2.0], 0.0, 1.0), 17.0, [Ink(1), Ink(2)], Ink(3), green, dice)
            }
            1 => leaves::leaf(plates, &place.then([0.0, 4.0], 0.0, 1.0), 8.4, 3.8, green, dice),
            _ => plates
                .lay(&Outline::blob(spot.at, 0.6, 0.5, 0.15, dice), &Fill::flat(dice.pick(&[Ink(3), Ink(6), Ink(6)]))),
        }
    }
}

fn dewdrops(plates: &mut Plates, dice: &mut Dice) {
    dots::spots(plates, 12.7, 2.1, Ink(1), dice);
}

fn cow_parsley(plates: &mut Plates, dice: &mut Dice) {
    let mut spots = scatter(plates, &[Class { clear: 8.4, most: 30 }], 0.0, dice);
    spots.sort_by(|a, b| a.at[1].total_cmp(&b.at[1]));
    for (back, list) in [(0, [Ink(1), Ink(1)]), (1, [Ink(3), Ink(2)])] {
        for (k, spot) in spots.iter().enumerate().filter(|(k, _)| k % 2 == back) {
            let place = Place::new(spot.at, dice.about(0.0, 0.14), 1.0);
            let tall = dice.about(40.0, 8.0);
            if k % 5 == 2 {
                leaves::frond(plates, &place, tall * 0.6, list[0], dice);
            } else {
                flowers::umbel(plates, &place, tall, list[0], list[1], dice);
            }
        }
    }
    for spot in scatter(plates, &[Class { clear: 2.2, most: 50 }], 0.0, dice) {
        let r = dice.about(0.5, 0.15);
        plates.lay(&Outline::blob(spot.at, r, r, 0.1, dice), &Fill::flat(Ink(4)).opacity(0.9));
    }
}

fn butter_muslin(plates: &mut Plates, _: &mut Dice) {
    textures::linen(plates, 0.5, Ink(1), 0.8);
    textures::linen(plates, 0.8, Ink(2), 0.55);
}

fn glasshouse(plates: &mut Plates, _: &mut Dice) {
    let list = [
        (5.0, Some(Ink(1))),
        (1.2, None),
        (1.4, Some(Ink(2))),
        (1.2, None),
        (4.0, Some(Ink(3))),
        (0.9, None),
        (0.8, Some(Ink(4))),
        (0.9, None),
        (4.0, Some(Ink(3))),
        (1.2, None),
        (1.4, Some(Ink(2))),
        (1.2, None),
    ];
    geometric::chevrons(plates, 12.7, 9.0, &list);
}

fn fennel_bed(plates: &mut Plates, dice: &mut Dice) {
    textures::wash(plates, 30.0, [Ink(0), Ink(2)]);
    let classes = [Class { clear: 11.0, most: 9 }, Class { clear: 6.0, most: 14 }];
    for spot in scatter(plates, &classes, 0.0, dice) {
        let long = if spot.class == 0 { 27.0 } else { 15.0 };
        let place = Place::new(spot.at, dice.angle(), 1.0).then([0.0, long * 0.5], 0.0, 1.0);
        leaves::frond(plates, &place, long, Ink(1), dice);
    }
}

fn seed_scatter(plates: &mut Plates, dice: &mut Dice) {
    let classes = [Class { clear: 2.9, most: 400 }, Class { clear: 1.4, most: 700 }, Class { clear: 0.7, most: 500 }];
    let inks = [Ink(1), Ink(2), Ink(3), Ink(4), Ink(5), Ink(6)];
    for spot in scatter(plates, &classes, 3.0, dice) {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 => garden::seed(plates, &place, 4.4, dice.pick(&inks), dice),
            1 => garden::seed(plates, &place, 2.3, dice.pick(&inks), dice),
            _ => plates.lay(&Outline::blob(spot.at, 0.45, 0.4, 0.1, dice), &Fill::flat(dice.pick(&inks))),
        }
    }
}

fn leaf_ticking(plates: &mut Plates, _: &mut Dice) {
    let list = [
        (1.6, Some(Ink(1))),
        (0.8, None),
        (0.4, Some(Ink(1))),
        (2.6, None),
        (0.4, Some(Ink(1))),
        (2.6, None),
        (0.4, Some(Ink(1))),
        (0.8, None),
    ];
    stripes::bands(plates, Run::Down, &list, -1.0, |ink| {
        Fill::flat(ink).mottled(0.2, 3.0).streaked(0.2, [0.0, 1.0]).trembling(0.12, 4.0)
    });
}

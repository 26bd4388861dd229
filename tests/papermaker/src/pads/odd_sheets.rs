//! Odd Sheets: single sheets, 8 by 8 in, bought one at a time from the market stall.

use crate::design::{Design, Directional, Drop, Kind, Repeat, Side};
use crate::maths::{cos, sin};
use crate::motif::flowers::{self, Bloom};
use crate::motif::garden;
use crate::motif::leaves::{self, Green};
use crate::outline::{Facing, Outline, Place, curve};
use crate::pattern::scatter::{Class, scatter, scatter_about};
use crate::pattern::{dots, geometric};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{PI, TAU};
use units::Length;

const BASE: Design = Design {
    pad: "odd-sheets",
    file: "",
    name: "",
    kind: Kind::Tonal,
    directional: Directional::No,
    busyness: 0.0,
    size: (Length::micrometres(203_200), Length::micrometres(203_200)),
    repeat: Repeat::None,
    side: Side::Front,
    inks: &[],
    draw: |_, _| {},
};

/// The six sheets.
pub const DESIGNS: [Design; 6] = [
    Design {
        file: "parlour-damask",
        name: "Parlour Damask",
        kind: Kind::Tonal,
        directional: Directional::OneWay,
        busyness: 0.4,
        repeat: Repeat::Cell(40.6, 91.4, Drop::Half),
        inks: &[0x2f_5a_5b, 0x47_74_72, 0x24_4a_4c],
        draw: parlour_damask,
        ..BASE
    },
    Design {
        file: "rhubarb-patch",
        name: "Rhubarb Patch",
        kind: Kind::BigMotif,
        busyness: 0.7,
        repeat: Repeat::Cell(101.6, 101.6, Drop::Half),
        inks: &[0xf6_e9_dd, 0x5f_8a_5a, 0x36_5e_48, 0xd4_60_6e, 0x9c_b8_8a, 0xf0_b9_b4],
        draw: rhubarb_patch,
        ..BASE
    },
    Design {
        file: "paper-offcuts",
        name: "Paper Offcuts",
        kind: Kind::BigMotif,
        busyness: 0.75,
        inks: &[0xf5_ef_e2, 0xd9_6c_4a, 0x2c_4d_6b, 0xe9_b9_4f, 0x8a_a7_9a, 0xef_c4_b5, 0x6b_3c_52],
        draw: |plates, dice| {
            geometric::cut_paper(plates, 17.0, &[Ink(1), Ink(2), Ink(3), Ink(4), Ink(5), Ink(6), Ink(5), Ink(4)], dice)
        },
        ..BASE
    },
    Design {
        file: "scullery-tile",
        name: "Scullery Tile",
        kind: Kind::Check,
        busyness: 0.6,
        repeat: Repeat::Cell(25.4, 25.4, Drop::Straight),
        inks: &[0xf4_f1_e8, 0x2b_4f_86, 0x7f_a3_cc],
        draw: |plates, dice| {
            let side = plates.wide();
            geometric::tile(plates, side, [Ink(1), Ink(2), Ink(0)], dice);
        },
        ..BASE
    },
    Design {
        file: "regatta-supper",
        name: "Regatta Supper",
        kind: Kind::Dot,
        busyness: 0.65,
        inks: &[0xfc_f8_ef, 0xe2_5a_4f, 0xf2_b6_3d, 0x2f_7f_93, 0xf0_a8_a6, 0x27_3f_63, 0x9c_cb_bb],
        draw: |plates, dice| {
            dots::confetti(plates, &[3.6, 2.4, 1.5, 0.8], 600, &[Ink(1), Ink(2), Ink(3), Ink(4), Ink(5), Ink(6)], dice)
        },
        ..BASE
    },
    Design {
        file: "hedge-wrens",
        name: "Hedge Wrens",
        kind: Kind::BigMotif,
        directional: Directional::OneWay,
        busyness: 0.7,
        repeat: Repeat::Cell(101.6, 88.9, Drop::Half),
        inks: &[0xe9_dd_c6, 0xa8_6b_42, 0x6f_43_2c, 0xf3_e4_cc, 0x3a_2c_28, 0x7c_8b_5c, 0x4c_61_44, 0xb9_3f_35],
        draw: hedge_wrens,
        ..BASE
    },
];

fn parlour_damask(plates: &mut Plates, dice: &mut Dice) {
    let (wide, high) = (plates.wide(), plates.high());
    let paint = Fill::flat(Ink(1)).mottled(0.2, 3.0).trembling(0.14, 1.8);
    let shade = Fill::flat(Ink(2)).opacity(0.9).trembling(0.1, 1.6);
    let base = Place::new([wide * 0.5, high * 0.5], 0.0, 1.0);
    // The ogee frame: half of a cosine each side, so that neighbours share their edges.
    let frame: Vec<_> = (0..=48)
        .map(|k| {
            let t = f64::from(k) / 48.0 - 0.5;
            [0.5 * wide * (1.0 + cos(TAU * t)), t * high]
        })
        .collect();
    let line: Vec<_> = frame.iter().map(|p| base.map(*p)).collect();
    plates.lay(&Outline::stroke(&line, |t| 0.8 + 0.7 * sin(PI * t)), &paint);
    for (k, pair) in frame.windows(2).enumerate().skip(2).step_by(5) {
        let up = if pair[1][1] < 0.0 { 1.0 } else { -1.0 };
        let turn = if up > 0.0 { 2.35 } else { 0.8 };
        for side in [-0.9, 0.9] {
            let own = base.then(pair[0], turn + side, 1.0);
            let long = 5.0 + 1.2 * sin(f64::from(u32::try_from(k).unwrap_or(0)) * 0.13);
            plates.lay(&flowers::petal(long, 2.4, 0.0, dice).at(&own), &paint);
        }
    }
    for facing in [Facing::AsDrawn, Facing::Mirrored] {
        let side = base.facing(facing);
        let leaves = [(15.0, 0.5, 22.0, 6.2), (12.0, 1.02, 23.0, 6.6), (9.0, 1.6, 17.0, 5.2), (14.5, 2.35, 12.0, 4.0)];
        for (y, turn, long, across) in leaves {
            let own = side.then([0.0, y], turn, 1.0);
            let spine = curve(&[
                [0.0, 0.0],
                [-0.1 * long, -0.42 * long],
                [0.06 * long, -0.82 * long],
                [0.36 * long, -0.95 * long],
                [0.46 * long, -0.76 * long],
            ]);
            let line: Vec<_> = spine.iter().map(|p| own.map(*p)).collect();
            plates.lay(&Outline::stroke(&line, |t| across * sin(PI * (0.04 + 0.9 * t)).max(0.0)), &paint);
            let rib: Vec<_> = line.iter().copied().skip(3).take(30).collect();
            plates.lay(&Outline::stroke(&rib, |t| 0.22 * across * sin(PI * (0.1 + 0.9 * t)).max(0.0)), &shade);
        }
    }
    let fruit = |reach: f64| {
        Outline::smooth(&[
            [0.0, 12.0 * reach],
            [-6.0 * reach, 7.5 * reach],
            [-8.6 * reach, -reach],
            [-5.0 * reach, -10.0 * reach],
            [0.0, -17.0 * reach],
            [5.0 * reach, -10.0 * reach],
            [8.6 * reach, -reach],
            [6.0 * reach, 7.5 * reach],
        ])
    };
    for k in 0..5 {
        let own = base.then([0.0, -15.0], (f64::from(k) - 2.0) * 0.42, 1.0);
        plates.lay(&flowers::petal(12.5 - 1.6 * (f64::from(k) - 2.0).abs(), 4.0, 0.0, dice).at(&own), &paint);
    }
    for (reach, fill) in [(1.12, &shade), (0.98, &paint), (0.7, &shade), (0.52, &paint)] {
        plates.lay(&fruit(reach).at(&base), fill);
    }
    for j in 0..5 {
        for i in 0..3 {
            let at = [(f64::from(i) - 1.0) * 1.9 + if j % 2 == 0 { 0.0 } else { 0.95 }, (f64::from(j) - 2.4) * 1.9];
            if i < 2 || j % 2 == 0 {
                plates.lay(&Outline::blob(at, 0.55, 0.7, 0.08, dice).at(&base), &shade);
            }
        }
    }
    plates.lay(&Outline::stroke(&[base.map([0.0, 12.0]), base.map([0.0, 27.0])], |t| 1.5 - 0.7 * t), &paint);
    for (y, r) in [(18.5, 1.6), (23.0, 1.2), (28.0, 0.9)] {
        plates.lay(&Outline::blob([0.0, y], r, r, 0.05, dice).at(&base), &paint);
    }
}

fn rhubarb_patch(plates: &mut Plates, dice: &mut Dice) {
    let one = Green { blade: Ink(1), shade: Ink(2), rib: Ink(3) };
    let two = Green { blade: Ink(4), shade: Ink(1), rib: Ink(3) };
    let classes = [Class { clear: 17.5, most: 5 }, Class { clear: 9.5, most: 9 }, Class { clear: 2.0, most: 60 }];
    let spots = scatter(plates, &classes, 0.0, dice);
    for (k, spot) in spots.iter().enumerate() {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 => leaves::ruffled(
                plates,
                &place.then([0.0, 9.0], 0.0, 1.0),
                46.0,
                if k % 2 == 0 { one } else { two },
                dice,
            ),
            1 => leaves::ruffled(
                plates,
                &place.then([0.0, 5.0], 0.0, 1.0),
                24.0,
                if k % 2 == 0 { two } else { one },
                dice,
            ),
            _ => plates.lay(&Outline::blob(spot.at, 0.9, 0.9, 0.12, dice), &Fill::flat(Ink(5))),
        }
    }
}

fn hedge_wrens(plates: &mut Plates, dice: &mut Dice) {
    let plume = garden::Plumage { back: Ink(1), bars: Ink(2), breast: Ink(3), dark: Ink(4) };
    let green = Green { blade: Ink(5), shade: Ink(6), rib: Ink(6) };
    let birds = [(26.0, 24.0, Facing::AsDrawn), (76.0, 62.0, Facing::Mirrored)];
    let mut taken = Vec::new();
    for (x, y, facing) in birds {
        let way = if facing == Facing::AsDrawn { 1.0 } else { -1.0 };
        let branch = [[x - 30.0, y + 13.0], [x - 10.0, y + 12.0], [x + 12.0, y + 12.4], [x + 31.0, y + 8.0]];
        let line = curve(&branch);
        plates.lay(&Outline::stroke(&line, |t| 1.9 - 1.2 * t), &Fill::flat(Ink(2)).mottled(0.3, 2.0));
        for (k, p) in line.iter().enumerate().step_by(4) {
            let turn = if k % 8 == 0 { 0.8 } else { 2.3 } + dice.about(0.0, 0.3);
            if (p[0] - x).abs() > 9.0 {
                leaves::leaf(plates, &Place::new(*p, turn, 1.0), dice.about(8.5, 1.5), 4.2, green, dice);
                if k % 3 == 0 {
                    let r = dice.about(1.3, 0.2);
                    plates.lay(
                        &Outline::blob([p[0] + 1.5 * way, p[1] + 2.4], r, r, 0.06, dice),
                        &Fill::wash(Ink(7)).opacity(1.0),
                    );
                }
            }
        }
        garden::wren(plates, &Place::new([x, y], 0.0, 1.0).facing(facing), 30.0, plume, dice);
        taken.push(([x, y], 21.0));
        taken.push(([x - 25.0, y + 12.0], 8.0));
        taken.push(([x + 27.0, y + 9.0], 8.0));
    }
    let classes = [Class { clear: 5.5, most: 14 }, Class { clear: 1.6, most: 70 }];
    for (k, spot) in scatter_about(plates, &classes, 0.0, &taken, dice).iter().enumerate() {
        let place = Place::new(spot.at, dice.angle(), 1.0);
        match spot.class {
            0 if k % 3 == 0 => {
                flowers::blossom(plates, &place, 4.4, Bloom { petal: Ink(3), deep: Ink(7), eye: Ink(2) }, dice)
            }
            0 => leaves::sprig(plates, &place.then([0.0, 5.0], 0.0, 1.0), 10.0, 3, green, dice),
            _ => plates.lay(
                &Outline::blob(spot.at, 0.6, 0.6, 0.1, dice),
                &Fill::flat(if k % 2 == 0 { Ink(7) } else { Ink(5) }),
            ),
        }
    }
}

//! What an allotment grows and keeps: pears, radishes, sweet peas, a watering can, a wren.

use super::leaves::{Green, leaf, stem};
use crate::maths::sin;
use crate::outline::{Outline, Place, Pt, between, curve, polar};
use crate::plates::{Fill, Flow, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{FRAC_PI_2, PI};

fn stroke(place: &Place, points: &[Pt], thick: f64) -> Outline {
    Outline::stroke(&curve(points).iter().map(|p| place.map(*p)).collect::<Vec<_>>(), |t| {
        thick * (0.55 + 0.45 * sin(PI * t))
    })
}

/// The inks of a pear.
#[derive(Clone, Copy, Debug)]
pub struct Pear {
    /// The lit side.
    pub skin: Ink,
    /// The side away from the light.
    pub blush: Ink,
    /// Freckles and stalk.
    pub stalk: Ink,
    /// Its leaf.
    pub leaf: Green,
}

/// A pear hanging from its stalk; the stalk's top at the origin, `long` from there down.
pub fn pear(plates: &mut Plates, place: &Place, long: f64, inks: Pear, dice: &mut Dice) {
    let w = long * dice.about(0.31, 0.02);
    let lean = dice.about(0.0, 0.05) * long;
    leaf(
        plates,
        &place.then([0.0, 0.03 * long], dice.about(1.25, 0.3), 1.0),
        0.42 * long,
        0.19 * long,
        inks.leaf,
        dice,
    );
    if dice.falls(0.6) {
        leaf(
            plates,
            &place.then([0.0, 0.02 * long], dice.about(-1.15, 0.3), 1.0),
            0.36 * long,
            0.16 * long,
            inks.leaf,
            dice,
        );
    }
    let body = Outline::smooth(&[
        [lean * 0.2, 0.2 * long],
        [-0.36 * w + lean * 0.2, 0.27 * long],
        [-0.52 * w, 0.45 * long],
        [-0.95 * w, 0.66 * long],
        [-0.9 * w + lean, 0.87 * long],
        [-0.4 * w + lean, 0.99 * long],
        [lean, 0.965 * long],
        [0.4 * w + lean, 0.99 * long],
        [0.92 * w + lean, 0.86 * long],
        [0.95 * w, 0.66 * long],
        [0.52 * w, 0.44 * long],
        [0.36 * w + lean * 0.2, 0.27 * long],
    ]);
    let (lit, far) = (place.map([-0.25 * w, 0.62 * long]), place.map([1.0 * w, 0.86 * long]));
    let fill = Fill::wash(inks.skin).into(inks.blush, Flow::Along { from: lit, to: far });
    plates.lay(&body.at(place), &fill.opacity(0.98).mottled(0.2, 4.0).pooled(0.24));
    for _ in 0..26 {
        let at = polar([0.0, 0.72 * long], dice.angle(), 0.85 * w * dice.unit().sqrt());
        let r = long * dice.about(0.006, 0.003);
        plates.lay(&Outline::blob(at, r, r, 0.1, dice).at(place), &Fill::flat(inks.stalk).opacity(0.4));
    }
    stem(
        plates,
        place,
        &[[lean, 0.23 * long], [0.02 * long, 0.12 * long], [0.0, 0.0]],
        0.05 * long * place.size(),
        inks.stalk,
    );
    let foot = [lean, 0.97 * long];
    for turn in [-0.5, 0.0, 0.5] {
        let to = polar(foot, FRAC_PI_2 + turn, 0.03 * long);
        plates.lay(
            &stroke(place, &[foot, between(foot, to, 0.5), to], 0.022 * long * place.size()),
            &Fill::flat(inks.stalk),
        );
    }
}

/// A radish with its leaves up; crown at the origin, root down, `long` of root and body.
pub fn radish(
    plates: &mut Plates,
    place: &Place,
    long: f64,
    skin: [Ink; 2],
    white: Ink,
    green: Green,
    dice: &mut Dice,
) {
    for turn in [-0.52, 0.46, -0.1] {
        let own = place.then([0.0, 0.03 * long], turn + dice.about(0.0, 0.12), 1.0);
        let stalk = [[0.0, 0.0], [0.01 * long, -0.2 * long], [0.0, -0.36 * long]];
        stem(plates, &own, &stalk, 0.05 * long * place.size(), skin[0]);
        leaf(plates, &own.then([0.0, -0.26 * long], 0.0, 1.0), long * dice.about(0.72, 0.1), 0.34 * long, green, dice);
    }
    let w = 0.23 * long;
    let tail = dice.about(0.0, 0.22) * long;
    let root = Outline::smooth(&[
        [0.0, 0.0],
        [-0.62 * w, 0.03 * long],
        [-w, 0.17 * long],
        [-0.92 * w, 0.38 * long],
        [-0.5 * w, 0.56 * long],
        [-0.13 * w, 0.68 * long],
        [tail * 0.5 - 0.05 * w, 0.86 * long],
        [tail, 1.06 * long],
        [tail * 0.5 + 0.08 * w, 0.85 * long],
        [0.17 * w, 0.67 * long],
        [0.54 * w, 0.55 * long],
        [0.94 * w, 0.37 * long],
        [1.0 * w, 0.16 * long],
        [0.62 * w, 0.02 * long],
    ]);
    let (top, foot) = (place.map([0.0, 0.36 * long]), place.map([0.0, 0.6 * long]));
    plates.lay(&root.clone().at(place), &Fill::flat(white));
    let fill = Fill::wash(skin[0]).into(white, Flow::Along { from: top, to: foot });
    plates.lay(&root.at(place), &fill.opacity(0.98).mottled(0.14, 2.0).pooled(0.22));
    let line = [[0.66 * w, 0.08 * long], [0.84 * w, 0.22 * long], [0.62 * w, 0.44 * long]];
    plates.lay(&stroke(place, &line, 0.05 * long * place.size()), &Fill::flat(skin[1]).opacity(0.5));
    for y in [0.5, 0.57, 0.63] {
        let half = w * (0.62 - y) * 2.2 + 0.1 * w;
        let mark = [[-half, y * long], [0.0, (y + 0.008) * long], [half * 0.4, y * long]];
        plates.lay(&stroke(place, &mark, 0.011 * long * place.size()), &Fill::flat(skin[1]).opacity(0.4));
    }
    let glint = Outline::blob([-0.42 * w, 0.19 * long], 0.13 * w, 0.3 * w, 0.1, dice).at(place);
    plates.lay(&glint, &Fill::flat(white).opacity(0.75));
}

/// A watering can, spout to the right; middle at the origin, `long` from handle to rose.
pub fn watering_can(plates: &mut Plates, place: &Place, long: f64, inks: [Ink; 3], dice: &mut Dice) {
    let [body, shade, dark] = inks;
    let u = long * 0.01;
    let thick = |mm: f64| mm * u * place.size();
    let handle = [[-14.0 * u, 18.0 * u], [-44.0 * u, 16.0 * u], [-46.0 * u, -16.0 * u], [-16.0 * u, -14.0 * u]];
    plates.lay(&stroke(place, &handle, thick(5.0)), &Fill::flat(dark));
    let hoop = [[-18.0 * u, -17.0 * u], [-10.0 * u, -36.0 * u], [10.0 * u, -36.0 * u], [18.0 * u, -18.0 * u]];
    plates.lay(&stroke(place, &hoop, thick(4.5)), &Fill::flat(dark));
    let spout = Outline::smooth(&[
        [16.0 * u, 20.0 * u],
        [16.0 * u, 6.0 * u],
        [30.0 * u, -4.0 * u],
        [41.0 * u, -22.0 * u],
        [46.0 * u, -19.0 * u],
        [37.0 * u, 3.0 * u],
        [26.0 * u, 16.0 * u],
    ]);
    plates.lay(&spout.at(place), &Fill::wash(body).into(shade, Flow::Clouds(long * 0.2)).opacity(0.98));
    let tank = Outline::smooth(&[
        [-20.0 * u, -20.0 * u],
        [-23.0 * u, 2.0 * u],
        [-24.0 * u, 25.0 * u],
        [-20.0 * u, 28.0 * u],
        [0.0, 29.5 * u],
        [20.0 * u, 28.0 * u],
        [24.0 * u, 25.0 * u],
        [23.0 * u, 2.0 * u],
        [20.0 * u, -20.0 * u],
        [0.0, -21.5 * u],
    ]);
    let (lit, far) = (place.map([-16.0 * u, 0.0]), place.map([24.0 * u, 12.0 * u]));
    plates.lay(
        &tank.at(place),
        &Fill::wash(body).into(shade, Flow::Along { from: lit, to: far }).opacity(0.99).pooled(0.25),
    );
    for y in [-14.0, 22.0] {
        let ring = [[-22.5 * u, y * u], [0.0, (y + 2.4) * u], [22.5 * u, y * u]];
        plates.lay(&stroke(place, &ring, thick(1.6)), &Fill::flat(dark).opacity(0.75));
    }
    let mouth = Outline::blob([0.0, -20.0 * u], 19.0 * u, 3.4 * u, 0.02, dice);
    plates.lay(&mouth.at(place), &Fill::flat(dark).opacity(0.85));
    let rose = place.then([44.5 * u, -22.0 * u], 0.62, 1.0);
    plates.lay(&Outline::blob([0.0, 0.0], 9.0 * u, 3.6 * u, 0.03, dice).at(&rose), &Fill::flat(shade).pooled(0.3));
    for k in 0..7 {
        let at = [(f64::from(k) - 3.0) * 2.3 * u, -0.8 * u];
        plates.lay(&Outline::blob(at, 0.6 * u, 0.6 * u, 0.1, dice).at(&rose), &Fill::flat(dark));
    }
}

/// The inks of a bird.
#[derive(Clone, Copy, Debug)]
pub struct Plumage {
    /// Back, wing and tail.
    pub back: Ink,
    /// Barring and flight feathers.
    pub bars: Ink,
    /// Breast and brow.
    pub breast: Ink,
    /// Beak, eye and legs.
    pub dark: Ink,
}

/// A small round bird with a cocked tail, looking right; middle at the origin, about `long` across.
pub fn wren(plates: &mut Plates, place: &Place, long: f64, inks: Plumage, dice: &mut Dice) {
    let u = long * 0.01;
    let size = place.size();
    for x in [-2.0, 8.0] {
        plates.lay(
            &stroke(place, &[[x * u, 22.0 * u], [(x + 1.0) * u, 32.0 * u], [(x + 3.0) * u, 40.0 * u]], 1.7 * u * size),
            &Fill::flat(inks.dark),
        );
        for toe in [-5.0, 3.0, 7.0] {
            let foot = [(x + 3.0) * u, 40.0 * u];
            plates.lay(
                &stroke(
                    place,
                    &[foot, [(x + 3.0 + 0.5 * toe) * u, 40.2 * u], [(x + 3.0 + toe) * u, 41.4 * u]],
                    1.2 * u * size,
                ),
                &Fill::flat(inks.dark),
            );
        }
    }
    for (k, lean) in [-0.22, -0.02, 0.18].into_iter().enumerate() {
        let own = place.then([-28.0 * u, -2.0 * u], -0.42 + lean, 1.0);
        let feather = Outline::smooth(&[
            [-5.0 * u, 6.0 * u],
            [-6.0 * u, -16.0 * u],
            [-4.0 * u, -31.0 * u],
            [3.0 * u, -31.0 * u],
            [5.0 * u, -14.0 * u],
            [5.0 * u, 6.0 * u],
        ]);
        let fill = Fill::wash(if k == 1 { inks.back } else { inks.bars });
        plates.lay(&feather.at(&own), &fill.opacity(0.97));
        for y in [-8.0, -14.0, -20.0, -26.0] {
            plates.lay(
                &stroke(&own, &[[-4.5 * u, y * u], [0.0, (y - 1.5) * u], [4.0 * u, y * u]], 1.1 * u * size),
                &Fill::flat(inks.dark).opacity(0.5),
            );
        }
    }
    let body = Outline::smooth(&[
        [-34.0 * u, -4.0 * u],
        [-24.0 * u, -15.0 * u],
        [-4.0 * u, -20.0 * u],
        [8.0 * u, -31.0 * u],
        [20.0 * u, -35.0 * u],
        [30.0 * u, -30.0 * u],
        [34.0 * u, -20.0 * u],
        [32.0 * u, -4.0 * u],
        [24.0 * u, 14.0 * u],
        [6.0 * u, 25.0 * u],
        [-16.0 * u, 21.0 * u],
        [-29.0 * u, 9.0 * u],
    ]);
    let (back, front) = (place.map([-12.0 * u, -16.0 * u]), place.map([16.0 * u, 16.0 * u]));
    plates.lay(
        &body.at(place),
        &Fill::wash(inks.back).into(inks.breast, Flow::Along { from: back, to: front }).opacity(0.99).pooled(0.16),
    );
    for _ in 0..26 {
        let at = polar([10.0 * u, 6.0 * u], dice.angle(), 16.0 * u * dice.unit().sqrt());
        let mark = [[at[0] - 1.6 * u, at[1]], [at[0], at[1] + 0.9 * u], [at[0] + 1.6 * u, at[1]]];
        plates.lay(&stroke(place, &mark, 0.8 * u * size), &Fill::flat(inks.bars).opacity(0.45));
    }
    let wing = Outline::smooth(&[
        [6.0 * u, -14.0 * u],
        [12.0 * u, -2.0 * u],
        [4.0 * u, 11.0 * u],
        [-16.0 * u, 13.0 * u],
        [-38.0 * u, 7.0 * u],
        [-22.0 * u, -8.0 * u],
        [-8.0 * u, -15.0 * u],
    ]);
    let (shoulder, tip) = (place.map([6.0 * u, -8.0 * u]), place.map([-34.0 * u, 8.0 * u]));
    plates.lay(
        &wing.at(place),
        &Fill::wash(inks.back).into(inks.bars, Flow::Along { from: shoulder, to: tip }).opacity(0.98).pooled(0.3),
    );
    for row in 0..5 {
        let s = f64::from(row);
        let bar = [
            [(4.0 - 8.0 * s) * u, (-10.0 + 3.0 * s) * u],
            [(2.0 - 8.0 * s) * u, (-1.0 + 2.0 * s) * u],
            [(-6.0 - 6.4 * s) * u, (8.0 + 0.6 * s) * u],
        ];
        plates.lay(&stroke(place, &bar, 1.2 * u * size), &Fill::flat(inks.dark).opacity(0.5));
    }
    let brow = [[12.0 * u, -25.0 * u], [21.0 * u, -30.5 * u], [31.0 * u, -26.5 * u]];
    plates.lay(&stroke(place, &brow, 3.0 * u * size), &Fill::flat(inks.breast).opacity(0.95));
    let beak = Outline::smooth(&[
        [32.0 * u, -25.5 * u],
        [40.0 * u, -23.0 * u],
        [46.0 * u, -19.5 * u],
        [39.0 * u, -20.0 * u],
        [32.5 * u, -20.5 * u],
    ]);
    plates.lay(&beak.at(place), &Fill::flat(inks.dark).trembling(0.05, 1.0));
    plates.lay(
        &Outline::blob([24.0 * u, -25.0 * u], 2.3 * u, 2.3 * u, 0.04, dice).at(place),
        &Fill::flat(inks.dark).trembling(0.0, 1.0),
    );
    plates.lay(
        &Outline::blob([24.7 * u, -25.8 * u], 0.7 * u, 0.7 * u, 0.04, dice).at(place),
        &Fill::flat(inks.breast).trembling(0.0, 1.0),
    );
}

/// A seed with a light side: a drop shape about `long`.
pub fn seed(plates: &mut Plates, place: &Place, long: f64, ink: Ink, dice: &mut Dice) {
    let w = long * dice.about(0.32, 0.06);
    let shape = Outline::smooth(&[
        [0.0, -0.5 * long],
        [w * 0.7, -0.05 * long],
        [w, 0.25 * long],
        [0.0, 0.5 * long],
        [-w, 0.25 * long],
        [-w * 0.7, -0.05 * long],
    ]);
    plates.lay(&shape.at(place), &Fill::flat(ink).mottled(0.25, 1.2).pooled(0.12));
}

/// A round-petalled sweet pea: two wings under a standard; foot at the origin.
pub fn sweet_pea(plates: &mut Plates, place: &Place, r: f64, petal_inks: [Ink; 3], dice: &mut Dice) {
    let [pale, mid, deep] = petal_inks;
    let size = place.size();
    let standard = Outline::smooth(&[
        [0.0, 0.0],
        [-0.75 * r, -0.2 * r],
        [-1.05 * r, -0.75 * r],
        [-0.62 * r, -1.25 * r],
        [0.0, -1.1 * r],
        [0.62 * r, -1.28 * r],
        [1.05 * r, -0.72 * r],
        [0.75 * r, -0.2 * r],
    ]);
    let hub = place.map([0.0, -0.3 * r]);
    plates.lay(
        &standard.at(place),
        &Fill::wash(mid).into(pale, Flow::Out { from: hub, reach: 0.95 * r * size }).opacity(0.93).pooled(0.26),
    );
    for k in 0..5 {
        let turn = (f64::from(k) - 2.0) * 0.36;
        let to = polar([0.0, -0.2 * r], -FRAC_PI_2 + turn, 0.72 * r);
        plates.lay(
            &stroke(place, &[[0.0, -0.2 * r], between([0.0, -0.2 * r], to, 0.5), to], 0.14 * size),
            &Fill::flat(deep).opacity(0.45),
        );
    }
    for side in [-1.0, 1.0] {
        let own = place.then([0.0, 0.0], side * 0.62, 1.0);
        let wing = super::flowers::petal(0.86 * r, 0.66 * r, 0.0, dice);
        let (foot, tip) = (own.map([0.0, 0.0]), own.map([0.0, -0.8 * r]));
        plates.lay(
            &wing.at(&own),
            &Fill::wash(deep).into(mid, Flow::Along { from: foot, to: tip }).opacity(0.92).pooled(0.28),
        );
    }
    plates.lay(
        &super::flowers::petal(0.5 * r, 0.34 * r, 0.0, dice).at(place),
        &Fill::wash(pale).opacity(0.95).pooled(0.3),
    );
}

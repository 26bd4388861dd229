//! The layout of a trial: what kind, how large, which way up, drawn in flat inks on one cell.

use super::Style;
use crate::design::{Directional, Kind};
use crate::outline::{Outline, Place, Pt, curve, polar};
use crate::pattern::scatter::{Class, scatter};
use crate::plates::{Fill, Ink, Plates};
use crate::random::Dice;
use std::f64::consts::{PI, TAU};

/// What is to be drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plan {
    pub(super) kind: Kind,
    pub(super) directional: Directional,
    /// The cell in millimetres.
    pub(super) cell: [f64; 2],
    /// Whether anything changes from left to right.
    pub(super) across: bool,
    /// Whether anything changes from top to bottom.
    pub(super) down: bool,
    scene: Scene,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scene {
    StripesDown,
    StripesAcross,
    Dots,
    Plaid,
    /// Small motifs, turned anyhow.
    Tossed,
    /// Small motifs, all upright.
    Upright,
    /// Few and large motifs, upright.
    Large,
    /// Shades of one hue in soft-edged blobs, turned anyhow.
    Pool,
}

/// The share of a ditsy paper its accent covers.
const ACCENT: f64 = 0.003;

impl Plan {
    pub(super) fn new(style: Style, dice: &mut Dice) -> Self {
        let scene = match style {
            Style::Plain => dice.pick(&[
                Scene::StripesDown,
                Scene::StripesAcross,
                Scene::Dots,
                Scene::Plaid,
                Scene::Tossed,
                Scene::Upright,
                Scene::Large,
                Scene::Pool,
            ]),
            Style::Ditsy => dice.pick(&[Scene::Tossed, Scene::Tossed, Scene::Upright]),
        };
        let (kind, directional) = match scene {
            Scene::StripesDown | Scene::StripesAcross => (Kind::Stripe, Directional::QuarterTurn),
            Scene::Dots => (Kind::Dot, Directional::No),
            Scene::Plaid => (Kind::Check, Directional::No),
            Scene::Tossed => (Kind::Scattered, Directional::No),
            Scene::Upright => (Kind::Scattered, Directional::OneWay),
            Scene::Large => (Kind::BigMotif, Directional::OneWay),
            Scene::Pool => (Kind::Tonal, Directional::No),
        };
        let cell = match scene {
            Scene::StripesDown => [dice.between(9.0, 30.0), 20.0],
            Scene::StripesAcross => [20.0, dice.between(9.0, 30.0)],
            Scene::Dots | Scene::Plaid => [dice.between(9.0, 28.0); 2],
            Scene::Tossed | Scene::Pool => [dice.between(26.0, 36.0), dice.between(26.0, 36.0)],
            Scene::Upright => [dice.between(24.0, 34.0), dice.between(24.0, 34.0)],
            Scene::Large => [dice.between(34.0, 40.0), dice.between(34.0, 40.0)],
        };
        Self {
            kind,
            directional,
            cell,
            across: scene != Scene::StripesAcross,
            down: scene != Scene::StripesDown,
            scene,
        }
    }

    /// Draws the plan with the given number of inks, ground first.
    pub(super) fn draw(&self, style: Style, inks: usize, plates: &mut Plates, dice: &mut Dice) {
        let main = if style == Style::Ditsy { inks - 1 } else { inks };
        match self.scene {
            Scene::StripesDown | Scene::StripesAcross => self.stripes(main, plates, dice),
            Scene::Dots => dots(main, plates, dice),
            Scene::Plaid => plaid(main, plates, dice),
            Scene::Large => large(main, plates, dice),
            Scene::Pool => pool(main, plates, dice),
            Scene::Tossed => motifs(style, main, plates, dice, Stance::Anyhow),
            Scene::Upright => motifs(style, main, plates, dice, Stance::Upright),
        }
        if style == Style::Ditsy {
            accent(Ink(main), plates, dice);
        }
    }

    /// Bands that read the same from either side, so that a half turn changes nothing.
    fn stripes(&self, inks: usize, plates: &mut Plates, dice: &mut Dice) {
        let wide = if self.scene == Scene::StripesDown { plates.wide() } else { plates.high() };
        let long = if self.scene == Scene::StripesDown { plates.high() } else { plates.wide() };
        let mut widths: Vec<f64> = (0..inks).map(|_| dice.between(0.6, 1.6)).collect();
        let whole: f64 = widths.iter().sum();
        for width in &mut widths {
            *width *= 0.5 * wide / whole;
        }
        // Outermost first: each band lies on the one before, all about the middle of the cell.
        let mut half = 0.5 * wide;
        for (k, width) in widths.iter().enumerate() {
            if k > 0 {
                let (low, high) = (0.5 * wide - half, 0.5 * wide + half);
                let shape = if self.scene == Scene::StripesDown {
                    Outline::rectangle([low, -1.0], [high, long + 1.0])
                } else {
                    Outline::rectangle([-1.0, low], [long + 1.0, high])
                };
                plates.lay(&shape, &Fill::flat(Ink(k)).trembling(0.0, 1.0));
            }
            half -= width;
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stance {
    Anyhow,
    Upright,
}

impl Stance {
    fn turn(self, dice: &mut Dice) -> f64 {
        match self {
            Self::Anyhow => dice.angle(),
            Self::Upright => dice.about(0.0, 0.06),
        }
    }
}

/// Rings of every ink about the middle and the corners of the cell.
fn dots(inks: usize, plates: &mut Plates, dice: &mut Dice) {
    let side = plates.wide().min(plates.high());
    let last = f64::from(u32::try_from(inks).unwrap_or(1));
    for centre in [[0.0, 0.0], [0.5 * plates.wide(), 0.5 * plates.high()]] {
        for k in 1..inks {
            let share = 1.0 - (f64::from(u32::try_from(k).unwrap_or(0)) - 1.0) / last;
            let r = 0.33 * side * share.sqrt() * dice.about(1.0, 0.02);
            plates.lay(&Outline::blob(centre, r, r, 0.0, dice), &Fill::flat(Ink(k)).trembling(0.0, 1.0));
        }
    }
}

/// Bands down and across that lie on each other like paper strips, the same both ways.
fn plaid(inks: usize, plates: &mut Plates, dice: &mut Dice) {
    let (wide, high) = (plates.wide(), plates.high());
    for k in 1..inks {
        let share =
            0.62 * (1.0 - f64::from(u32::try_from(k).unwrap_or(0) - 1) / f64::from(u32::try_from(inks).unwrap_or(1)));
        let half = 0.5 * share * dice.about(1.0, 0.04);
        let down = Outline::rectangle([(0.5 - half) * wide, -1.0], [(0.5 + half) * wide, high + 1.0]);
        let across = Outline::rectangle([-1.0, (0.5 - half) * high], [wide + 1.0, (0.5 + half) * high]);
        plates.lay(&down, &Fill::flat(Ink(k)).trembling(0.0, 1.0));
        plates.lay(&across, &Fill::flat(Ink(k)).trembling(0.0, 1.0));
    }
}

/// Blobs in blobs, each a further shade.
fn pool(inks: usize, plates: &mut Plates, dice: &mut Dice) {
    let classes = [Class { clear: 4.6, most: 9 }, Class { clear: 2.4, most: 16 }];
    for spot in scatter(plates, &classes, 0.0, dice) {
        let r = classes[spot.class].clear * 0.98;
        for k in 1..inks {
            let t = f64::from(u32::try_from(k).unwrap_or(0) - 1) / f64::from(u32::try_from(inks).unwrap_or(1));
            let place = Place::new(spot.at, dice.angle(), 1.0);
            let size = r * (1.0 - t).sqrt();
            plates.lay(&Outline::blob([0.0, 0.0], size, size * 0.86, 0.05, dice).at(&place), &Fill::flat(Ink(k)));
        }
    }
}

/// One large vase of flowers to the cell: it has a top, and it takes every ink.
fn large(inks: usize, plates: &mut Plates, dice: &mut Dice) {
    let (wide, high) = (plates.wide(), plates.high());
    let centre = [0.5 * wide, 0.56 * high];
    let u = 0.01 * wide.min(high);
    let ink = |k: usize| Ink(1 + k % (inks - 1));
    let stems = 5_u32;
    for k in 0..stems {
        let lean = (f64::from(k) - 2.0) * 0.42;
        let top = polar(centre, lean - 0.5 * PI, 38.0 * u);
        let line = curve(&[centre, [0.5 * (centre[0] + top[0]), centre[1] - 22.0 * u], top]);
        plates.lay(&Outline::stroke(&line, |_| 3.0 * u), &Fill::flat(ink(0)));
        let place = Place::new(top, lean, 1.0);
        flower(plates, &place, 11.0 * u, [ink(1 + k as usize), ink(2 + k as usize)], dice);
    }
    let vase = Outline::smooth(&[
        [centre[0] - 10.0 * u, centre[1] - 6.0 * u],
        [centre[0] - 16.0 * u, centre[1] + 12.0 * u],
        [centre[0] - 10.0 * u, centre[1] + 34.0 * u],
        [centre[0] + 10.0 * u, centre[1] + 34.0 * u],
        [centre[0] + 16.0 * u, centre[1] + 12.0 * u],
        [centre[0] + 10.0 * u, centre[1] - 6.0 * u],
    ]);
    plates.lay(&vase, &Fill::flat(ink(inks - 2)));
    let band =
        Outline::rectangle([centre[0] - 14.0 * u, centre[1] + 10.0 * u], [centre[0] + 14.0 * u, centre[1] + 18.0 * u]);
    plates.lay(&band, &Fill::flat(ink(1)));
}

/// Small motifs strewn about: flowers, leaves, buds on thin stems.
fn motifs(style: Style, inks: usize, plates: &mut Plates, dice: &mut Dice, stance: Stance) {
    let size = match style {
        Style::Plain => dice.between(1.25, 1.5),
        Style::Ditsy => dice.between(0.95, 1.15),
    };
    let classes = [
        Class { clear: 3.4 * size, most: 12 },
        Class { clear: 2.1 * size, most: 30 },
        Class { clear: 1.2 * size, most: 40 },
    ];
    // Every ink takes its turn in each class, so that none is left out.
    let mut next = [dice.whole(0, 8) as usize, dice.whole(0, 8) as usize, dice.whole(0, 8) as usize];
    for spot in scatter(plates, &classes, 0.0, dice) {
        let turn = stance.turn(dice);
        let place = Place::new(spot.at, turn, size);
        let ink = |k: usize| Ink(1 + k % (inks - 1));
        let k = next[spot.class];
        next[spot.class] += 1;
        match spot.class {
            0 => tulip(plates, &place, [ink(k), ink(k + 1), ink(k + 2), ink(k + 3)], dice),
            1 if stance == Stance::Anyhow => flower(plates, &place, 1.95, [ink(k), ink(k + 3)], dice),
            1 => drop(plates, &place, 1.9, ink(k)),
            _ => drop(plates, &place, 1.1, ink(k)),
        }
    }
}

fn flower(plates: &mut Plates, place: &Place, r: f64, inks: [Ink; 2], dice: &mut Dice) {
    for k in 0..5 {
        let at = polar([0.0, 0.0], TAU * f64::from(k) / 5.0, 0.6 * r);
        plates.lay(
            &Outline::blob(at, 0.42 * r, 0.42 * r, 0.03, dice).at(place),
            &Fill::flat(inks[0]).trembling(0.05, 1.5),
        );
    }
    plates.lay(
        &Outline::blob([0.0, 0.0], 0.36 * r, 0.36 * r, 0.03, dice).at(place),
        &Fill::flat(inks[1]).trembling(0.05, 1.5),
    );
}

/// A tulip on a thin stem with two leaves, foot down.
fn tulip(plates: &mut Plates, place: &Place, inks: [Ink; 4], dice: &mut Dice) {
    let line: Vec<Pt> =
        curve(&[[0.0, 3.1], [dice.about(0.0, 0.2), 1.2], [0.0, -0.6]]).iter().map(|p| place.map(*p)).collect();
    plates.lay(&Outline::stroke(&line, |_| 0.42), &Fill::flat(inks[2]).trembling(0.04, 1.5));
    for side in [-1.0, 1.0] {
        let leaf = Outline::smooth(&[[0.0, 2.8], [side * 0.9, 1.7], [side * 1.7, 0.4], [side * 0.7, 1.1]]);
        plates.lay(&leaf.at(place), &Fill::flat(inks[3]).trembling(0.05, 1.5));
    }
    let cup = Outline::smooth(&[
        [0.0, 0.2],
        [-1.1, -0.5],
        [-1.25, -1.7],
        [-1.0, -3.0],
        [-0.4, -2.0],
        [0.0, -3.1],
        [0.4, -2.0],
        [1.0, -3.0],
        [1.25, -1.7],
        [1.1, -0.5],
    ]);
    plates.lay(&cup.at(place), &Fill::flat(inks[0]).trembling(0.05, 1.5));
    let heart = Outline::smooth(&[[0.0, 0.0], [-0.55, -0.7], [0.0, -2.1], [0.55, -0.7]]);
    plates.lay(&heart.at(place), &Fill::flat(inks[1]).trembling(0.04, 1.5));
}

/// A drop, point up.
fn drop(plates: &mut Plates, place: &Place, r: f64, ink: Ink) {
    let shape = Outline::smooth(&[
        [0.0, -r],
        [0.34 * r, -0.2 * r],
        [0.55 * r, 0.4 * r],
        [0.0, 0.85 * r],
        [-0.55 * r, 0.4 * r],
        [-0.34 * r, -0.2 * r],
    ]);
    plates.lay(&shape.at(place), &Fill::flat(ink).trembling(0.05, 1.5));
}

/// Round dots of the accent on bare or printed paper alike, until they cover their share.
fn accent(ink: Ink, plates: &mut Plates, dice: &mut Dice) {
    let area = ACCENT * plates.wide() * plates.high();
    let dots = crate::maths::count(area / (PI * 0.42 * 0.42)).max(1);
    let r = (area / (PI * f64::from(dots))).sqrt();
    for spot in scatter(plates, &[Class { clear: 1.5, most: dots }], 0.0, dice) {
        plates.lay(&Outline::blob(spot.at, r, r, 0.0, dice), &Fill::flat(ink).trembling(0.0, 1.0));
    }
}

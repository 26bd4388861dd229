//! The inks of a trial: chance in, colours a set distance apart out.
//!
//! Distance is CIE94 (graphic arts weights), symmetric in the two colours: close enough to how far
//! apart printed colours look, and not the measure the program is judged by.

use super::Style;
use crate::colour::from_lab;
use crate::design::Kind;
use crate::maths::{cos, sin};
use crate::random::Dice;

type Lab = [f64; 3];

/// CIE94 with the geometric mean of the chromas.
fn apart(a: Lab, b: Lab) -> f64 {
    let (ca, cb) = ((a[1] * a[1] + a[2] * a[2]).sqrt(), (b[1] * b[1] + b[2] * b[2]).sqrt());
    let c = (ca * cb).sqrt();
    let (dl, dc) = (a[0] - b[0], ca - cb);
    let dh = ((a[1] - b[1]) * (a[1] - b[1]) + (a[2] - b[2]) * (a[2] - b[2]) - dc * dc).max(0.0);
    let (sc, sh) = (1.0 + 0.045 * c, 1.0 + 0.015 * c);
    (dl * dl + dc * dc / (sc * sc) + dh / (sh * sh)).sqrt()
}

fn printable(lab: Lab) -> bool {
    from_lab(lab).iter().all(|v| (0.006..=0.9).contains(v))
}

fn polar(l: f64, chroma: f64, hue: f64) -> Lab {
    [l, chroma * cos(hue), chroma * sin(hue)]
}

/// A colour at least `gap` from all that are there; none where chance finds no room for it.
fn another(list: &[Lab], gap: f64, dice: &mut Dice, mut draw: impl FnMut(&mut Dice) -> Lab) -> Option<Lab> {
    (0..400).map(|_| draw(dice)).find(|&lab| printable(lab) && list.iter().all(|&other| apart(lab, other) >= gap))
}

/// The inks of a trial, the ground first and, for ditsy ones, the accent last.
pub(super) fn inks(style: Style, kind: Kind, dice: &mut Dice) -> Vec<Lab> {
    loop {
        // Nearly every throw succeeds; one that paints itself into a corner is thrown again.
        let list = match style {
            Style::Plain => plain(kind, dice),
            Style::Ditsy => ditsy(dice),
        };
        if let Some(list) = list {
            return list;
        }
    }
}

fn plain(kind: Kind, dice: &mut Dice) -> Option<Vec<Lab>> {
    let colours = if kind == Kind::Tonal { dice.whole(4, 5) } else { dice.whole(4, 6) };
    let hue = dice.angle();
    let mut list: Vec<Lab> = Vec::new();
    for _ in 0..colours {
        let next = another(&list, 11.0, dice, |dice| {
            if kind == Kind::Tonal {
                polar(dice.between(22.0, 93.0), dice.between(6.0, 30.0), hue + dice.about(0.0, 0.08))
            } else {
                polar(dice.between(22.0, 93.0), dice.between(3.0, 68.0), dice.angle())
            }
        })?;
        list.push(next);
    }
    Some(list)
}

fn ditsy(dice: &mut Dice) -> Option<Vec<Lab>> {
    let start = dice.angle();
    let mut list: Vec<Lab> = Vec::new();
    for family in 0..3 {
        let hue = start + 2.1 * f64::from(family) + dice.about(0.0, 0.3);
        let (l, chroma) = (dice.between(48.0, 78.0), dice.between(14.0, 42.0));
        for tint in 0..3 {
            let far = f64::from(tint) - 1.0;
            let next = another(&list, 5.5, dice, |dice| {
                let l = l + 7.5 * far + dice.about(0.0, 4.0);
                polar(l, chroma * dice.about(1.0, 0.25), hue + dice.about(0.0, 0.15))
            })?;
            list.push(next);
        }
    }
    // The lightest of the nine is the ground.
    let ground = (0..list.len()).max_by(|&a, &b| list[a][0].total_cmp(&list[b][0])).unwrap_or(0);
    list.swap(0, ground);
    let accent =
        another(&list, 16.0, dice, |dice| polar(dice.between(25.0, 85.0), dice.between(30.0, 75.0), dice.angle()))?;
    list.push(accent);
    Some(list)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inks_keep_their_distance_and_can_be_printed() {
        for seed in 0..200 {
            let mut dice = Dice::new(seed);
            for (style, gap) in [(Style::Plain, 11.0), (Style::Ditsy, 5.5)] {
                let list = inks(style, if seed % 4 == 0 { Kind::Tonal } else { Kind::Dot }, &mut dice);
                assert!(list.len() == 10 || (style == Style::Plain && (4..=6).contains(&list.len())));
                for (i, &a) in list.iter().enumerate() {
                    assert!(printable(a), "seed {seed}: {a:?}");
                    for &b in &list[i + 1..] {
                        assert!(apart(a, b) >= gap, "seed {seed}: {a:?} and {b:?} are {:.1} apart", apart(a, b));
                    }
                }
            }
        }
    }
}

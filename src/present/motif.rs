//! A patterned paper without a picture, drawn from its colours: plainly a stand-in, plainly paper.
//!
//! Swatches with their shares, and what kind of pattern it is, in; one repeat of it out, as SVG in
//! hundredths of a millimetre. Drawn freely: no length of a card depends on it.

use super::finish::Thrown;
use super::xml::hundredths;
use api::{PaperView, PatternKind, hex};
use std::fmt::Write as _;

/// Where blossoms lie, in hundredths of the side: two, each beside the gap between the rows of the other.
const DROPPED: [(i64, i64); 2] = [(25, 25), (75, 75)];
/// Seven, set by hand so that they lie evenly.
const SCATTERED: [(i64, i64); 7] = [(50, 50), (14, 16), (84, 12), (20, 82), (82, 80), (50, 6), (8, 50)];

/// One repeat.
pub(super) struct Repeat {
    /// How wide and high it is, in hundredths of a millimetre.
    pub(super) side: i64,
    /// What is drawn in it.
    pub(super) drawn: String,
}

/// Whether there is a repeat to draw: it has colours, and is no plain paper.
pub(super) fn has_repeat(view: &PaperView) -> bool {
    view.swatches.len() >= 2 && view.pattern.kind != PatternKind::Solid
}

/// One repeat of a pattern of these colours; `None` where it is one plain colour.
pub(super) fn repeat(view: &PaperView) -> Option<Repeat> {
    let colours: Vec<(String, f64)> =
        view.swatches.iter().take(6).map(|swatch| (hex(swatch.colour), swatch.share.as_f64())).collect();
    if !has_repeat(view) {
        return None;
    }
    let usual = match view.pattern.kind {
        PatternKind::BigMotif => 4200,
        PatternKind::Scattered | PatternKind::Tonal => 2400,
        _ => 1000,
    };
    // From 3 to 80 mm: finer is not to be seen, and coarser shows no repeat on a card.
    let side = view.pattern.repeat.map_or(usual, |repeat| repeat.nanometres() / 10_000).clamp(300, 8000);
    let mut drawn = String::new();
    let ground = &colours[0].0;
    let _ = write!(drawn, "<rect width=\"{s}\" height=\"{s}\" fill=\"{ground}\"/>", s = hundredths(side));
    match view.pattern.kind {
        PatternKind::Stripe => stripes(&mut drawn, side, &colours),
        PatternKind::Dot => dots(&mut drawn, side, &colours[1..]),
        PatternKind::Check => checks(&mut drawn, side, &colours[1..]),
        PatternKind::BigMotif => blossoms(&mut drawn, side, &colours[1..], &DROPPED),
        PatternKind::Tonal => clouds(&mut drawn, side, &colours[1..]),
        _ => blossoms(&mut drawn, side, &colours[1..], &SCATTERED),
    }
    Some(Repeat { side, drawn })
}

/// A share of a length.
fn part(side: i64, share: f64) -> i64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "a few thousand at most")]
    let part = (side as f64 * share.clamp(0.0, 1.0)).round() as i64;
    part
}

/// The radius of a disc that covers a share of a square, with `count` of them in it.
fn radius(side: i64, share: f64, count: f64) -> i64 {
    part(side, (share / (std::f64::consts::PI * count)).sqrt()).clamp(side / 40, side / 3)
}

/// Stripes as wide as their shares; the ground is parted in two round the others.
fn stripes(drawn: &mut String, side: i64, colours: &[(String, f64)]) {
    let mut at = part(side, colours[0].1) / 2;
    for (colour, share) in &colours[1..] {
        let wide = part(side, *share).max(side / 50);
        let (x, wide_text, high) = (hundredths(at), hundredths(wide), hundredths(side));
        let _ = write!(drawn, "<rect x=\"{x}\" width=\"{wide_text}\" height=\"{high}\" fill=\"{colour}\"/>");
        at += wide;
    }
}

/// Two dots a repeat, so that rows are set off by half; the colours take turns.
fn dots(drawn: &mut String, side: i64, colours: &[(String, f64)]) {
    let share: f64 = colours.iter().map(|(_, share)| share).sum();
    let r = hundredths(radius(side, share, 2.0).min(side * 23 / 100));
    for (place, at) in [side / 4, side * 3 / 4].into_iter().enumerate() {
        let colour = &colours[place % colours.len()].0;
        let _ = write!(drawn, "<circle cx=\"{c}\" cy=\"{c}\" r=\"{r}\" fill=\"{colour}\"/>", c = hundredths(at));
    }
}

/// Bands both ways, darker where they cross, and a fine line of each further colour.
fn checks(drawn: &mut String, side: i64, colours: &[(String, f64)]) {
    let (high, wide) = (hundredths(side), hundredths(side / 2));
    let colour = &colours[0].0;
    let _ = write!(
        drawn,
        "<g fill=\"{colour}\" fill-opacity=\".55\"><rect width=\"{wide}\" height=\"{high}\"/>\
         <rect width=\"{high}\" height=\"{wide}\"/></g>"
    );
    for (place, (colour, _)) in colours.iter().enumerate().skip(1) {
        let at = hundredths(side * 3 / 4 + side * i64::try_from(place - 1).unwrap_or(0) / 10);
        let fine = hundredths((side / 30).max(8));
        let _ = write!(
            drawn,
            "<g fill=\"{colour}\" fill-opacity=\".8\"><rect x=\"{at}\" width=\"{fine}\" height=\"{high}\"/>\
             <rect y=\"{at}\" width=\"{high}\" height=\"{fine}\"/></g>"
        );
    }
}

/// Soft patches that run into one another.
fn clouds(drawn: &mut String, side: i64, colours: &[(String, f64)]) {
    let mut thrown = Thrown::new(23);
    for round in 0..14 {
        let colour = &colours[round % colours.len()].0;
        let (x, y) = (thrown.below(side), thrown.below(side));
        let (rx, ry) = (side / 10 + thrown.below(side / 8), side / 14 + thrown.below(side / 12));
        let _ = write!(drawn, "<g fill=\"{colour}\" fill-opacity=\".22\">");
        on_torus(side, (x, y), rx.max(ry), |x, y| {
            let _ = write!(
                drawn,
                "<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\"/>",
                hundredths(x),
                hundredths(y),
                hundredths(rx),
                hundredths(ry)
            );
        });
        drawn.push_str("</g>");
    }
}

/// Five-petalled blossoms with a leaf or two, scattered so that none is cut off at the seam.
fn blossoms(drawn: &mut String, side: i64, colours: &[(String, f64)], places: &[(i64, i64)]) {
    let share: f64 = colours.iter().map(|(_, share)| share).sum();
    let size = radius(side, share, if places.len() == DROPPED.len() { 3.2 } else { 7.0 });
    let centre = &colours[colours.len() - 1].0;
    let leaf = &colours[1 % colours.len()].0;
    for (place, (x, y)) in places.iter().enumerate() {
        let petal = &colours[place % colours.len().min(3)].0;
        let turn = place * 47 % 72;
        on_torus(side, (side * x / 100, side * y / 100), size * 2, |x, y| {
            let _ = write!(drawn, "<g transform=\"translate({} {}) rotate({turn})\">", hundredths(x), hundredths(y));
            blossom(drawn, size, [petal, centre, leaf]);
            drawn.push_str("</g>");
        });
    }
}

fn blossom(drawn: &mut String, size: i64, [petal, centre, leaf]: [&String; 3]) {
    let h = |hundredth: i64| hundredths(size * hundredth / 100);
    for turn in [20, 200] {
        let _ = write!(
            drawn,
            "<path transform=\"rotate({turn})\" d=\"M0 0Q{a} -{b} {c} 0Q{a} {b} 0 0z\" fill=\"{leaf}\" fill-opacity=\".75\"/>",
            a = h(100),
            b = h(45),
            c = h(165)
        );
    }
    for petals in 0..5 {
        let _ = write!(
            drawn,
            "<ellipse transform=\"rotate({})\" cx=\"0\" cy=\"-{}\" rx=\"{}\" ry=\"{}\" fill=\"{petal}\"/>",
            petals * 72,
            h(52),
            h(38),
            h(52)
        );
    }
    let _ = write!(drawn, "<circle r=\"{}\" fill=\"{centre}\"/>", h(24));
}

/// Draws a thing at its place, and again beyond each seam it reaches over.
fn on_torus(side: i64, (x, y): (i64, i64), reach: i64, mut draw: impl FnMut(i64, i64)) {
    let ways = |at: i64| {
        let mut ways = vec![at];
        if at < reach {
            ways.push(at + side);
        }
        if at + reach > side {
            ways.push(at - side);
        }
        ways
    };
    for y in ways(y) {
        for x in ways(x) {
            draw(x, y);
        }
    }
}

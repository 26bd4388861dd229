//! What a pattern measures: the evened shades and the colours of a paper in, a [`Pattern`] out.
//!
//! `repeat` says after what distance it comes again; `motifs` what its single shapes are like and
//! whether they agree about which way is up; here these become one answer. Every measure and its
//! limits: `docs/swatches.md`. It never looks at what a pattern is *of*.

mod motifs;
mod repeat;

use crate::space::{Shade, apart_squared, lab_of, light_of};
use crate::vote::{Field, nearest};
use api::units::Length;
use api::{Colour, Directional, Pattern, PatternKind, Share};
use motifs::Motifs;
use repeat::Along;

/// The longer side of the grid the shapes are looked at on, in cells.
const GRID: usize = 440;

/// A paper's colour on a coarse grid: which of its colours each cell has, and its shade.
struct Grid {
    width: usize,
    height: usize,
    /// How many pixels of the measured picture one cell is wide.
    cell: f64,
    labels: Vec<u8>,
    shades: Vec<Shade>,
}

impl Grid {
    /// Every few pixels of a field, each counted for the nearest of `colours`.
    fn of(field: Field<'_>, colours: &[Shade]) -> Self {
        let [left, top, right, bottom] = field.frame;
        let (across, down) = (right - left, bottom - top);
        let longer = across.max(down);
        let cells = longer.min(GRID);
        let (width, height) = ((across * cells / longer).max(1), (down * cells / longer).max(1));
        let mut grid = Self {
            width,
            height,
            #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
            cell: longer as f64 / cells as f64,
            labels: Vec::with_capacity(width * height),
            shades: Vec::with_capacity(width * height),
        };
        for row in 0..height {
            let y = top + (row * 2 + 1) * down / (height * 2);
            for column in 0..width {
                let shade = field.at(left + (column * 2 + 1) * across / (width * 2), y);
                let label = nearest(colours, shade).map_or(0, |(place, _)| place);
                grid.labels.push(u8::try_from(label).unwrap_or(u8::MAX));
                grid.shades.push(shade);
            }
        }
        grid
    }
}

/// One colour of a paper: its shade and its share of the area.
#[derive(Clone, Copy)]
pub(crate) struct Part {
    pub(crate) shade: Shade,
    pub(crate) share: f64,
}

/// Measures the pattern of `field`, whose colours are `parts`, largest share first. `pixel` is how
/// wide one pixel of the field is in the world, in millimetres, if that is known.
pub(crate) fn measure(field: Field<'_>, parts: &[Part], near: f32, pixel: Option<f64>) -> Pattern {
    let solid = Pattern { kind: PatternKind::Solid, ..Pattern::default() };
    let others: f64 = parts.iter().skip(1).map(|part| part.share).sum();
    if others < 0.004 || parts.len() < 2 {
        return solid;
    }
    let colours: Vec<Shade> = parts.iter().map(|part| part.shade).collect();
    let grid = Grid::of(field, &colours);
    let [across, down] = [repeat::across(&grid), repeat::down(&grid)];
    let motifs = Motifs::of(&grid);
    // Without a scale, as if the picture showed a sheet of 6 inches.
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let assumed = 152.4 / (grid.width.max(grid.height) as f64 * grid.cell);
    let millimetre = pixel.unwrap_or(assumed);
    let kind = kind(&grid, parts, &across, &down, &motifs, millimetre);
    Pattern {
        kind,
        busyness: Share::clamped(1.0 - (-steps(field, near) / millimetre / 20.0).exp()),
        repeat: pixel.and_then(|pixel| shortest(&across, &down, pixel * grid.cell)),
        directional: directional(kind, &across, &down, &motifs),
    }
}

/// The shorter of the two repeats as a length.
fn shortest(across: &Along, down: &Along, cell: f64) -> Option<Length> {
    let least = [across.repeat, down.repeat].into_iter().flatten().reduce(f64::min)?;
    let nanometres = (least * cell * 1e6).round();
    #[allow(clippy::cast_possible_truncation, reason = "checked to lie within a kilometre")]
    (nanometres.is_finite() && nanometres.abs() < 1e12).then(|| Length::from_nanometres(nanometres as i64))
}

/// Which turns change the pattern.
fn directional(kind: PatternKind, across: &Along, down: &Along, motifs: &Motifs) -> Directional {
    match kind {
        PatternKind::Solid => Directional::No,
        PatternKind::Stripe => Directional::QuarterTurn,
        _ if motifs.upright > UPRIGHT => Directional::OneWay,
        PatternKind::Dot => Directional::No,
        _ if motifs.lengthwise > LENGTHWISE || across.differs(down) => Directional::QuarterTurn,
        _ => Directional::No,
    }
}

/// How far motifs of one sort must point the same way, 0 to 1, for a pattern to have a top.
const UPRIGHT: f64 = 0.72;
/// How far they must agree about which way they are long.
const LENGTHWISE: f64 = 0.6;

fn kind(grid: &Grid, parts: &[Part], across: &Along, down: &Along, motifs: &Motifs, millimetre: f64) -> PatternKind {
    if across.constant != down.constant {
        return PatternKind::Stripe;
    }
    let (rows, columns) = repeat::ruled(grid);
    if rows > 0.12 && columns > 0.12 && rows + columns > 0.55 && motifs.upright <= UPRIGHT {
        return PatternKind::Check;
    }
    let one_hue = one_hue(parts);
    if motifs.round > if one_hue { 0.9 } else { 0.7 } {
        return PatternKind::Dot;
    }
    if one_hue {
        return PatternKind::Tonal;
    }
    if motifs.thick * grid.cell * millimetre > 8.5 { PatternKind::BigMotif } else { PatternKind::Scattered }
}

/// Whether all colours that count, those over 1 % of the area, are shades of one hue.
pub(crate) fn one_hue(parts: &[Part]) -> bool {
    let labs: Vec<(Colour, f64)> =
        parts.iter().filter(|part| part.share > 0.01).map(|part| (lab_of(light_of(part.shade)), part.share)).collect();
    let (a, b) = labs.iter().fold((0.0, 0.0), |sum, (lab, share)| (sum.0 + lab.a * share, sum.1 + lab.b * share));
    let length = f64::hypot(a, b).max(1e-9);
    labs.iter().all(|(lab, _)| {
        // Off the common hue by no more than a fifth of its chroma, or by what the eye lets pass.
        let beside = (lab.b * a - lab.a * b) / length;
        let along = (lab.a * a + lab.b * b) / length;
        beside.abs() <= (0.24 * along).max(4.0) && along > -5.0
    })
}

/// How much the colour changes for each pixel travelled across and down, about in CIELAB units: along
/// a line, each change of more than `near` (squared, what noise alone does) is added up.
fn steps(field: Field<'_>, near: f32) -> f64 {
    // Among greys CIELAB's L is 1.16 times Oklab's, less 16; its chroma is 1.6 times that stretched.
    let stretched = |shade: Shade| [1.16 * shade[0], 1.6 * shade[1], 1.6 * shade[2]];
    let [left, top, right, bottom] = field.frame;
    let (mut sum, mut travelled) = (0.0, 0.0);
    let mut along = |at: &dyn Fn(usize) -> Shade, length: usize| {
        let mut from = stretched(at(0));
        for place in 1..length {
            let to = stretched(at(place));
            let far = apart_squared(from, to);
            if far > 0.5 * near {
                sum += f64::from(far).sqrt();
                from = to;
            }
        }
        #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
        let length = length as f64;
        travelled += length;
    };
    for y in (top..bottom).step_by((bottom - top).div_ceil(160)) {
        along(&|place| field.at(left + place, y), right - left);
    }
    for x in (left..right).step_by((right - left).div_ceil(160)) {
        along(&|place| field.at(x, top + place), bottom - top);
    }
    sum / f64::max(travelled, 1.0)
}

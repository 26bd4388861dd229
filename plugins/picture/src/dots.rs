//! The colour of dots too small to show it: places of like dots and the evened shades in, one shade out.
//!
//! A dot four pixels wide has no pixel of its own colour: the lens and the pixels mix it with its
//! ground, and JPEG spreads its hue further than its lightness. But every such dot is a disc of one
//! colour on a ground that is known, blurred; so a disc is drawn, blurred and laid beside the mean of
//! all dots, and its radius, its blur and its colour are those that come out the same. It only makes a
//! colour truer that was found before, and never finds one.

use crate::space::{Light, Shade, apart, apart_squared, light_of, shade_of};
use crate::vote::{Field, nearest};
use libm::erf;
use std::collections::BTreeSet;

/// Where the ground is looked for about a dot, in pixels.
pub(crate) const RING: [(isize, isize); 12] =
    [(5, 0), (-5, 0), (0, 5), (0, -5), (4, 4), (-4, -4), (4, -4), (-4, 4), (6, 2), (-6, -2), (2, -6), (-2, 6)];

/// The fewest dots from which a colour is worked out.
const LEAST_DOTS: usize = 8;
/// About sRGB's curve, as a power: JPEG spreads codes, not light.
const GAMMA: f64 = 2.2;
/// How far from a dot's middle its light is gathered, in pixels.
const REACH: f64 = 5.25;
/// How wide a bin of distance from the middle is, in pixels.
const BIN: f64 = 0.25;
const BINS: usize = 21;
/// Radii tried: the least in pixels, and how many, a fifth of a pixel apart.
const RADII: (f64, u32) = (1.0, 14);
/// Blurs tried where the picture's own is not known, as standard deviations in pixels: lens, focus
/// and pixels together.
const BLURS: [f64; 6] = [0.5, 0.6, 0.7, 0.8, 0.95, 1.1];
/// How much further JPEG may have spread the hue than the lightness, in pixels.
const SPREADS: [f64; 3] = [0.0, 0.3, 0.6];
/// Discs of a larger radius than this show their own colour in the middle, and are seldom discs.
const WIDE: f64 = 2.7;
/// How often the colour is made better for each disc.
const ROUNDS: usize = 10;
/// How much hue counts beside lightness in judging a fit.
const HUE: f64 = 0.03;

/// Luma and the two chromas of a code (ITU-T T.871).
fn ycc(code: Light) -> Light {
    let luma = 0.299 * code[0] + 0.587 * code[1] + 0.114 * code[2];
    [luma, (code[2] - luma) / 1.772, (code[0] - luma) / 1.402]
}

fn encoded(light: f64) -> f64 {
    light.max(0.0).powf(1.0 / GAMMA)
}

fn code_of(shade: Shade) -> Light {
    light_of(shade).map(encoded)
}

/// One dot that stands alone on its ground.
struct Dot {
    /// The known colour it lies on.
    on: usize,
    /// The ground's code, read about the dot.
    ground: Light,
    /// The codes added to the ground, summed.
    sum: Light,
    middle: (usize, usize),
}

/// The mean of many dots: what is added to the ground at each distance from the middle.
struct Profile {
    ground: Light,
    /// Mean code added to the ground, and how many pixels it is the mean of.
    bins: [(Light, f64); BINS],
}

/// The true colour of small dots that show as `seen`, whose middles are about `places`; `known` holds
/// the other colours, `far` is how far, squared, a pixel may lie from the colour it shows, and `blur`
/// is the picture's own, in pixels. `None` where too few stand alone on one ground, or no small disc
/// looks like them.
pub(crate) fn true_colour(
    field: Field<'_>,
    places: &[(u32, u32)],
    seen: Shade,
    known: &[Shade],
    far: f32,
    blur: Option<f64>,
) -> Option<Shade> {
    let middles = middles(field, places, known);
    let mut dots: Vec<Dot> = middles.iter().filter_map(|&middle| lone(field, middle, known, far)).collect();
    // Dots they are only if a good part of them stand alone.
    if dots.len() < LEAST_DOTS || dots.len() * 5 < middles.len() {
        return None;
    }
    let most = (0..known.len()).max_by_key(|&on| (dots.iter().filter(|dot| dot.on == on).count(), known.len() - on))?;
    dots.retain(|dot| dot.on == most);
    if dots.len() < LEAST_DOTS {
        return None;
    }
    // The middle half by what they add: not those half covered, nor two in one.
    let all: Light = std::array::from_fn(|c| dots.iter().map(|dot| dot.sum[c]).sum::<f64>());
    let along = |sum: Light| (0..3).map(|c| sum[c] * all[c]).sum::<f64>();
    dots.sort_by(|one, two| along(one.sum).total_cmp(&along(two.sum)));
    let cut = dots.len() / 4;
    let profile = profile(field, &dots[cut..dots.len() - cut], all);
    let found = fit(&profile, blur)?;
    (apart(found, seen) < 30.0).then_some(found)
}

/// The pixel of each dot that is furthest from its ground, however many votes the dot has.
fn middles(field: Field<'_>, places: &[(u32, u32)], known: &[Shade]) -> BTreeSet<(usize, usize)> {
    let [left, top, right, bottom] = field.frame;
    let mut middles = BTreeSet::new();
    for &(x, y) in places {
        let (mut x, mut y) = (x as usize, y as usize);
        // Uphill to the place that is furthest of all about it.
        for _ in 0..4 {
            if x < left + 9 || y < top + 9 || x + 9 >= right || y + 9 >= bottom {
                break;
            }
            let Some((ground, _)) = nearest(known, field.at(x + 5, y)) else { break };
            let mut best = (f32::NEG_INFINITY, x, y);
            for row in y - 2..=y + 2 {
                for column in x - 2..=x + 2 {
                    let far = apart_squared(field.at(column, row), known[ground]);
                    if far > best.0 {
                        best = (far, column, row);
                    }
                }
            }
            if (best.1, best.2) == (x, y) {
                middles.insert((x, y));
                break;
            }
            (x, y) = (best.1, best.2);
        }
    }
    middles
}

/// The dot here, if all about it is one known ground.
fn lone(field: Field<'_>, (x, y): (usize, usize), known: &[Shade], far: f32) -> Option<Dot> {
    let at = |dx: isize, dy: isize| field.at(x.wrapping_add_signed(dx), y.wrapping_add_signed(dy));
    let mut about_it = vec![0; known.len()];
    for (dx, dy) in RING {
        about_it[nearest(known, at(dx, dy))?.0] += 1;
    }
    let on = (0..known.len()).max_by_key(|&on| (about_it[on], known.len() - on))?;
    let alike: Vec<_> =
        RING.into_iter().filter(|(dx, dy)| apart_squared(at(*dx, *dy), known[on]) <= 4.0 * far).collect();
    if alike.len() + 2 < RING.len() || apart_squared(at(0, 0), known[on]) <= far {
        return None;
    }
    let mut ground = [0.0; 3];
    for shade in alike.iter().map(|(dx, dy)| at(*dx, *dy)) {
        #[allow(clippy::cast_precision_loss, reason = "at most twelve")]
        ground.iter_mut().zip(code_of(shade)).for_each(|(sum, code)| *sum += code / alike.len() as f64);
    }
    let mut sum = [0.0; 3];
    for (dx, dy) in about() {
        let code = code_of(at(dx, dy));
        (0..3).for_each(|c| sum[c] += code[c] - ground[c]);
    }
    Some(Dot { on, ground, sum, middle: (x, y) })
}

/// The steps to all pixels that may hold light of a dot.
fn about() -> impl Iterator<Item = (isize, isize)> {
    (-5..=5_isize).flat_map(|dy| (-5..=5_isize).map(move |dx| (dx, dy))).filter(|(dx, dy)| dx * dx + dy * dy <= 27)
}

/// The mean of dots, each about its own middle to a fraction of a pixel; `along` is the direction of
/// code in which dots differ from their ground.
fn profile(field: Field<'_>, dots: &[Dot], along: Light) -> Profile {
    let mut bins = [([0.0; 3], 0.0); BINS];
    let mut ground = [0.0; 3];
    for dot in dots {
        let (x, y) = dot.middle;
        let added = |dx: isize, dy: isize| -> Light {
            let code = code_of(field.at(x.wrapping_add_signed(dx), y.wrapping_add_signed(dy)));
            std::array::from_fn(|c| code[c] - dot.ground[c])
        };
        let (mut middle, mut whole) = ([0.0; 2], 0.0);
        for (dx, dy) in about().filter(|(dx, dy)| dx * dx + dy * dy <= 13) {
            let code = added(dx, dy);
            let weight = (0..3).map(|c| code[c] * along[c]).sum::<f64>().max(0.0);
            middle[0] += weight * steps(dx);
            middle[1] += weight * steps(dy);
            whole += weight;
        }
        if whole <= 0.0 {
            continue;
        }
        let middle = middle.map(|sum| sum / whole);
        for (dx, dy) in about() {
            let distance = (steps(dx) - middle[0]).hypot(steps(dy) - middle[1]);
            if distance < REACH {
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 21")]
                let (sum, count) = &mut bins[((distance / BIN) as usize).min(BINS - 1)];
                sum.iter_mut().zip(added(dx, dy)).for_each(|(sum, added)| *sum += added);
                *count += 1.0;
            }
        }
        #[allow(clippy::cast_precision_loss, reason = "a count of dots")]
        ground.iter_mut().zip(dot.ground).for_each(|(sum, code)| *sum += code / dots.len() as f64);
    }
    for (sum, count) in &mut bins {
        sum.iter_mut().for_each(|sum| *sum /= f64::max(*count, 1.0));
    }
    Profile { ground, bins }
}

#[allow(clippy::cast_precision_loss, reason = "a few pixels")]
fn steps(pixels: isize) -> f64 {
    pixels as f64
}

/// How much of a disc of radius `r`, blurred by `blur`, is seen in each bin of distance.
fn disc(r: f64, blur: f64) -> [f64; BINS] {
    const SLICES: u32 = 16;
    let mut seen = [0.0; BINS];
    let step = 2.0 * r / f64::from(SLICES);
    for slice in 0..SLICES {
        let x = -r + (f64::from(slice) + 0.5) * step;
        let chord = erf((r * r - x * x).max(0.0).sqrt() / (blur * std::f64::consts::SQRT_2));
        for (bin, seen) in (0..).zip(&mut seen) {
            let away = (BIN * (f64::from(bin) + 0.5) - x) / blur;
            *seen += step * chord * (-0.5 * away * away).exp() / (blur * (2.0 * std::f64::consts::PI).sqrt());
        }
    }
    seen
}

/// A mean of dots as it is fitted.
struct Shown<'a> {
    profile: &'a Profile,
    /// Luma and chroma added in each bin.
    bins: Vec<Light>,
    /// The ground's light.
    light: Light,
}

impl Shown<'_> {
    /// What a colour of the code `own` adds, seen to the part `part`: luma and chroma.
    fn drawn(&self, own: Light, part: f64) -> Light {
        ycc(std::array::from_fn(|c| {
            let light = self.light[c] + (own[c].max(0.0).powf(GAMMA) - self.light[c]) * part;
            encoded(light) - self.profile.ground[c]
        }))
    }

    /// The code that is most like what is shown by a disc seen to `parts`, its chroma then spread; and
    /// how far off it is.
    fn best(&self, parts: &[f64; BINS], spread: &Spread) -> (f64, Light) {
        let mut own = self.profile.ground;
        let chroma = spread.of(parts);
        let weights = |parts: &[f64; BINS]| -> f64 {
            parts.iter().zip(&self.profile.bins).map(|(part, bin)| bin.1 * part * part).sum::<f64>().max(1e-9)
        };
        let (of_luma, of_chroma) = (weights(parts), weights(&chroma));
        let mut off = 0.0;
        for _ in 0..ROUNDS {
            let mut step = [0.0; 3];
            off = 0.0;
            let sharp: [Light; BINS] = std::array::from_fn(|at| self.drawn(own, parts[at]));
            let blue = spread.of(&std::array::from_fn(|at| sharp[at][1]));
            let red = spread.of(&std::array::from_fn(|at| sharp[at][2]));
            for (at, shown) in self.bins.iter().enumerate() {
                let count = self.profile.bins[at].1;
                let (y, cb, cr) = (shown[0] - sharp[at][0], shown[1] - blue[at], shown[2] - red[at]);
                step[0] += count * parts[at] * y / of_luma;
                step[1] += count * chroma[at] * cb / of_chroma;
                step[2] += count * chroma[at] * cr / of_chroma;
                off += count * (y * y + HUE * (cb * cb + cr * cr));
            }
            own[0] += step[0] + 1.402 * step[2];
            own[1] += step[0] - 0.344_136 * step[1] - 0.714_136 * step[2];
            own[2] += step[0] + 1.772 * step[1];
        }
        // Light no print can have is no fit.
        let beyond: f64 = own.iter().map(|code| (code - 0.99).max(0.03 - code).max(0.0)).sum();
        (off + beyond, own)
    }
}

/// How what is drawn at one distance from the middle shows at others, once it is blurred again.
struct Spread([[f64; BINS]; BINS]);

impl Spread {
    /// A blur of standard deviation `by`, in pixels; none for 0.
    fn new(by: f64) -> Self {
        const TURNS: u32 = 24;
        let away = |bin: u32| BIN * (f64::from(bin) + 0.5);
        let mut rows = [[0.0; BINS]; BINS];
        for (out, row) in (0..).zip(&mut rows) {
            if by <= 0.0 {
                row[out as usize] = 1.0;
                continue;
            }
            for (from, weight) in (0..).zip(row.iter_mut()) {
                // The ring at one distance, seen from a place at the other.
                for turn in 0..TURNS {
                    let angle = std::f64::consts::PI * (f64::from(turn) + 0.5) / f64::from(TURNS);
                    let (d, r) = (away(out), away(from));
                    let far = d * d + r * r - 2.0 * d * r * angle.cos();
                    *weight += r * (-far / (2.0 * by * by)).exp();
                }
            }
            // The ground beyond the last ring adds nothing, but counts.
            let whole = f64::from(TURNS) * by * by / BIN;
            let seen: f64 = row.iter().sum();
            row.iter_mut().for_each(|weight| *weight /= seen.max(whole));
        }
        Self(rows)
    }

    fn of(&self, values: &[f64; BINS]) -> [f64; BINS] {
        std::array::from_fn(|out| self.0[out].iter().zip(values).map(|(weight, value)| weight * value).sum())
    }
}

/// The colour of the blurred disc that is most like the mean of the dots.
fn fit(profile: &Profile, blur: Option<f64>) -> Option<Shade> {
    let shown = Shown {
        profile,
        bins: profile.bins.iter().map(|bin| ycc(bin.0)).collect(),
        light: profile.ground.map(|code| code.powf(GAMMA)),
    };
    let blurs = blur.map_or(BLURS.to_vec(), |blur| vec![0.92 * blur, 0.97 * blur, 1.02 * blur]);
    let spreads = SPREADS.map(Spread::new);
    let mut best: Option<(f64, Light, f64)> = None;
    let tried = |r: f64, best: &mut Option<(f64, Light, f64)>| {
        for &blur in &blurs {
            let parts = disc(r, blur);
            for spread in &spreads {
                let (off, own) = shown.best(&parts, spread);
                if best.is_none_or(|best| off < best.0) {
                    *best = Some((off, own, r));
                }
            }
        }
    };
    (0..RADII.1).for_each(|step| tried(RADII.0 + 0.2 * f64::from(step), &mut best));
    let about = best?.2;
    [-0.1, -0.05, 0.05, 0.1].into_iter().for_each(|step| tried(about + step, &mut best));
    let (_, own, r) = best?;
    if r > WIDE {
        return None;
    }
    Some(shade_of(own.map(|code| code.clamp(0.0, 1.0).powf(GAMMA))))
}

#[cfg(test)]
mod tests {
    use super::*;

    const GROUND: Light = [0.80, 0.78, 0.70];
    const WIDE: usize = 240;

    /// Discs of radius `r` in a row of rows, each a little off the pixels' middles, blurred by `blur`;
    /// the shades and about where the middles are.
    fn dotted(own: Light, r: f64, blur: f64) -> (Vec<Shade>, Vec<(u32, u32)>) {
        let mut shades = vec![shade_of(GROUND); WIDE * WIDE];
        let mut places = Vec::new();
        for at in 0..81_u32 {
            let (column, row) = (20 + at % 9 * 24, 20 + at / 9 * 24);
            places.push((column, row));
            let middle = [0.37 * f64::from(at), 0.61 * f64::from(at)].map(|off| off.fract() - 0.5);
            for (dx, dy) in about() {
                // Slices of the disc in both directions, each blurred: no table, so slower than `disc`.
                let (mut seen, steps_each) = (0.0, 24_u32);
                let step = 2.0 * r / f64::from(steps_each);
                for cell in 0..steps_each * steps_each {
                    let along = |k: u32| -r + (f64::from(k) + 0.5) * step;
                    let (x, y) = (along(cell % steps_each), along(cell / steps_each));
                    if x * x + y * y <= r * r {
                        let away = (x + middle[0] - steps(dx)).powi(2) + (y + middle[1] - steps(dy)).powi(2);
                        seen += step * step * (-away / (2.0 * blur * blur)).exp()
                            / (2.0 * std::f64::consts::PI * blur * blur);
                    }
                }
                let place = (row as usize).wrapping_add_signed(dy) * WIDE + (column as usize).wrapping_add_signed(dx);
                shades[place] = shade_of(std::array::from_fn(|c| GROUND[c] + (own[c] - GROUND[c]) * seen));
            }
        }
        (shades, places)
    }

    #[test]
    fn a_dot_too_small_to_show_its_colour_tells_it_by_its_shape() {
        let ground = shade_of(GROUND);
        for own in [[0.08, 0.11, 0.35], [0.55, 0.10, 0.12], [0.85, 0.60, 0.10]] {
            for (r, blur) in [(1.6, 0.7), (2.0, 0.6), (2.2, 0.9)] {
                let (shades, places) = dotted(own, r, blur);
                let field = Field { shades: &shades, width: WIDE, frame: [0, 0, WIDE, WIDE] };
                let seen = field.at(20, 20);
                let found = true_colour(field, &places, seen, &[ground], 2.0, Some(blur)).expect("dots");
                let (off, was) = (apart(found, shade_of(own)), apart(seen, shade_of(own)));
                // Two thirds of what was mixed in are taken out at the least.
                assert!(
                    off < f32::max(1.5, 0.33 * was),
                    "{own:?} of {r} under {blur}: {found:?}, off by {off}; seen off by {was}"
                );
            }
        }
    }

    #[test]
    fn wide_dots_and_few_dots_are_left_as_they_show() {
        let ground = shade_of(GROUND);
        let (shades, places) = dotted([0.1, 0.2, 0.4], 3.4, 0.7);
        let field = Field { shades: &shades, width: WIDE, frame: [0, 0, WIDE, WIDE] };
        assert_eq!(true_colour(field, &places, field.at(20, 20), &[ground], 2.0, Some(0.7)), None);
        let (shades, places) = dotted([0.1, 0.2, 0.4], 2.0, 0.7);
        let field = Field { shades: &shades, width: WIDE, frame: [0, 0, WIDE, WIDE] };
        assert_eq!(true_colour(field, &places[..7], field.at(20, 20), &[ground], 2.0, Some(0.7)), None);
    }

    #[test]
    fn a_blurred_disc_is_the_share_of_its_middle_that_theory_says() {
        // In the very middle of a disc of radius r blurred by σ, 1 - exp(-r² / 2σ²) is left.
        for (r, blur) in [(1.5, 0.6), (2.0, 0.8), (3.0, 0.7)] {
            let near = disc(r, blur)[0];
            let theory = 1.0 - (-r * r / (2.0_f64 * blur * blur)).exp();
            assert!((near - theory).abs() < 0.01, "{near} instead of {theory}");
        }
        // Spread further, nothing is lost: what rings hold, by their area, stays the same.
        let parts = disc(1.8, 0.6);
        let spread = Spread::new(0.6).of(&parts);
        let held = |parts: &[f64; BINS]| (0..).zip(parts).map(|(bin, part)| (f64::from(bin) + 0.5) * part).sum::<f64>();
        assert!((held(&spread) / held(&parts) - 1.0).abs() < 0.02, "{} of {}", held(&spread), held(&parts));
    }
}

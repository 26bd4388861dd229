//! Colour arithmetic that scorers and faces share: colours in, differences, other spaces and hex out.
//!
//! Every colour is CIELAB under D65 ([`Colour`]). The formulas are published ones, checked against
//! their authors' figures in `tests/published/colour`. Nothing here judges whether colours go together.

use crate::Colour;
use palette::cam16::{BakedParameters, Cam16Jmh, Cam16UcsJab, Parameters, StaticWp};
use palette::convert::FromColorUnclamped;
use palette::white_point::D65;
use palette::{FromColor, IntoColor, Lch, Oklab, Srgb, Xyz};
use std::sync::LazyLock;

/// The colour difference CIEDE2000 (CIE 142-2001; Sharma, Wu and Dalal 2005) with kL = kC = kH = 1.
///
/// About 1 is just noticeable side by side; the colours of one print run differ by 2 to 3.
///
/// The same number as [`palette::color_difference::Ciede2000`] to 1e-6, and faster: the mean hue and
/// its multiples come from vectors, not from angles. Like the library, and many others, it leaves a
/// mean hue over 360° where it is, which the paper brings back; that moves differences of 40 and
/// more by up to 0.0002, and none of the published pairs.
/// A colour that is no number has no difference: the answer is no number either.
///
/// ```
/// # use swatchfold_api::{Colour, delta_e_2000};
/// let (one, two) = (Colour::new(50.0, 2.6772, -79.7751), Colour::new(50.0, 0.0, -82.7485));
/// assert!((delta_e_2000(one, two) - 2.0425).abs() < 1e-4);
/// ```
#[must_use]
pub fn delta_e_2000(one: Colour, two: Colour) -> f64 {
    difference(one, chroma(one), two, chroma(two))
}

/// [`delta_e_2000`] of one colour and each of `others`, in their order, added to the end of `out`.
pub fn delta_e_2000_each(one: Colour, others: &[Colour], out: &mut Vec<f64>) {
    let own = chroma(one);
    out.extend(others.iter().map(|&other| difference(one, own, other, chroma(other))));
}

/// Chroma in CIELAB.
fn chroma(colour: Colour) -> f64 {
    (colour.a * colour.a + colour.b * colour.b).sqrt()
}

/// x⁷ / (x⁷ + 25⁷), under the root that CIEDE2000 takes of it twice.
fn seventh(x: f64) -> f64 {
    let cubed = x * x * x;
    let power = cubed * cubed * x;
    (power / (power + 6_103_515_625.0)).sqrt()
}

/// CIEDE2000 of two colours whose chromas are known.
fn difference(one: Colour, chroma_one: f64, two: Colour, chroma_two: f64) -> f64 {
    let stretch = 1.0 + 0.5 * (1.0 - seventh(0.5 * (chroma_one + chroma_two)));
    let (a1, a2, b1, b2) = (one.a * stretch, two.a * stretch, one.b, two.b);
    let (c1, c2) = ((a1 * a1 + b1 * b1).sqrt(), (a2 * a2 + b2 * b2).sqrt());
    let product = c1 * c2;
    let (dot, cross) = (a1 * a2 + b1 * b2, a1 * b2 - a2 * b1);
    // ΔH' = 2 √(C1' C2') sin(Δh'/2); its square is 2 (C1' C2' - dot), its sign that of the turn.
    let hue_step = if product == 0.0 {
        0.0
    } else {
        // For nearly equal hues the difference of two large numbers loses digits; the sine does not.
        let squared = if dot > 0.0 { 2.0 * cross * cross / (product + dot) } else { 2.0 * (product - dot) };
        let step = squared.max(0.0).sqrt();
        // At a turn of just half a circle the formula takes the sign from the order of the angles.
        if cross < 0.0 || (cross == 0.0 && dot < 0.0 && angle(b1, a1) > angle(b2, a2)) { -step } else { step }
    };
    // The mean hue h̄', the short way round, as a vector; where a colour has no hue, the other's.
    let (x, y) = if c1 == 0.0 {
        (a2, b2)
    } else if c2 == 0.0 {
        (a1, b1)
    } else {
        let (x, y) = (a1 * c2 + a2 * c1, b1 * c2 + b2 * c1);
        if x * x + y * y > 1e-16 * product * product {
            (x, y)
        } else {
            // Opposite hues: the mean of the angles as they stand, from 0 to 360 degrees.
            let mean = 0.5 * (angle(b1, a1) + angle(b2, a2));
            (mean.cos(), mean.sin())
        }
    };
    let length = (x * x + y * y).sqrt();
    let (cos1, sin1) = if length > 0.0 { (x / length, y / length) } else { (1.0, 0.0) };
    let (cos2, sin2) = (cos1 * cos1 - sin1 * sin1, 2.0 * sin1 * cos1);
    let (cos3, sin3) = (cos2 * cos1 - sin2 * sin1, sin2 * cos1 + cos2 * sin1);
    let (cos4, sin4) = (cos2 * cos2 - sin2 * sin2, 2.0 * sin2 * cos2);
    // cos(h - 30°), cos(3h + 6°), cos(4h - 63°) by the addition theorem.
    let t = 1.0 - 0.17 * (COS_30 * cos1 + 0.5 * sin1) + 0.24 * cos2 + 0.32 * (COS_6 * cos3 - SIN_6 * sin3)
        - 0.20 * (COS_63 * cos4 + SIN_63 * sin4);
    let mean_chroma = 0.5 * (c1 + c2);
    let light = 0.5 * (one.l + two.l) - 50.0;
    let light = light * light;
    let weigh_l = 1.0 + 0.015 * light / (20.0 + light).sqrt();
    let weigh_c = 1.0 + 0.045 * mean_chroma;
    let weigh_h = 1.0 + 0.015 * mean_chroma * t;
    // Only hues near 275° (blue) are turned: the vector at 275° shows whether it matters at all.
    let turn = if cos1 * COS_275 + sin1 * SIN_275 < -0.6 {
        0.0
    } else {
        // A mean taken across 0° counts on from 360°.
        let across = (b1 < 0.0) != (b2 < 0.0) && cos1 > 0.0 && sin1 >= 0.0;
        let off = (angle(y, x).to_degrees() + if across { 360.0 } else { 0.0 } - 275.0) / 25.0;
        let theta = (std::f64::consts::FRAC_PI_3) * (-off * off).exp();
        -theta.sin() * 2.0 * seventh(mean_chroma)
    };
    let (dl, dc, dh) = ((two.l - one.l) / weigh_l, (c2 - c1) / weigh_c, hue_step / weigh_h);
    let squared = dl * dl + dc * dc + dh * dh + turn * dc * dh;
    // A rounding error may leave it a hair below nothing. What is no number stays none.
    if squared < 0.0 { 0.0 } else { squared.sqrt() }
}

const COS_30: f64 = 0.866_025_403_784_438_6;
const COS_6: f64 = 0.994_521_895_368_273_3;
const SIN_6: f64 = 0.104_528_463_267_653_47;
const COS_63: f64 = 0.453_990_499_739_546_8;
const SIN_63: f64 = 0.891_006_524_188_367_9;
const COS_275: f64 = 0.087_155_742_747_658_17;
const SIN_275: f64 = -0.996_194_698_091_745_5;

/// The angle of a vector in radians, from 0 up to a full turn.
fn angle(y: f64, x: f64) -> f64 {
    let angle = y.atan2(x);
    if angle < 0.0 { angle + std::f64::consts::TAU } else { angle }
}

/// Viewing conditions for [`cam16_ucs`]: white D65, adapting luminance 64 / π × 0.2 = 4.07 cd/m²,
/// background 20 %, average surround. They are those commonly given for sRGB on a desk.
static DESK: LazyLock<BakedParameters<StaticWp<D65>, f64>> =
    LazyLock::new(|| Parameters::default_static_wp(64.0 / std::f64::consts::PI * 0.2).bake());

/// The colour in CAM16-UCS (Li et al. 2017), where plain distance follows what is seen: J', a', b'.
#[must_use]
pub fn cam16_ucs(colour: Colour) -> Cam16UcsJab<f64> {
    if colour.l <= 0.0 {
        // The model divides by the lightness; black is the origin.
        return Cam16UcsJab::from_components((0.0, 0.0, 0.0));
    }
    let xyz: Xyz<D65, f64> = colour.into_color();
    Cam16UcsJab::from_color(Cam16Jmh::from_xyz(xyz, *DESK))
}

/// Distance in CAM16-UCS: the length of the line between two colours there.
#[must_use]
pub fn cam16_ucs_distance(one: Colour, two: Colour) -> f64 {
    let (one, two) = (cam16_ucs(one), cam16_ucs(two));
    let (dj, da, db) = (one.lightness - two.lightness, one.a - two.a, one.b - two.b);
    (dj * dj + da * da + db * db).sqrt()
}

/// The colour in Oklab (Ottosson 2020).
#[must_use]
pub fn oklab(colour: Colour) -> Oklab<f64> {
    let xyz: Xyz<D65, f64> = colour.into_color();
    Oklab::from_color(xyz)
}

/// The colour as lightness, chroma and hue in CIELAB.
#[must_use]
pub fn lch(colour: Colour) -> Lch<D65, f64> {
    colour.into_color()
}

/// Luminance from 0 (black) to 1 (white), from the lightness (CIE 15:2018, 8.2.1), kept within those.
#[must_use]
pub fn luminance(colour: Colour) -> f64 {
    let lightness = colour.l.clamp(0.0, 100.0);
    if lightness > 8.0 { ((lightness + 16.0) / 116.0).powi(3) } else { lightness * 27.0 / 24_389.0 }
}

/// The contrast ratio of WCAG 2 (W3C), 1 (none) to 21 (black on white): 4.5 is asked of text, 3 of
/// large text and of shapes.
#[must_use]
pub fn contrast_ratio(one: Colour, two: Colour) -> f64 {
    let (one, two) = (luminance(one), luminance(two));
    (one.max(two) + 0.05) / (one.min(two) + 0.05)
}

/// Whether a screen of sRGB can show the colour, to the nearest of its 256 steps.
#[must_use]
pub fn is_in_srgb(colour: Colour) -> bool {
    let rgb: Srgb<f64> = Srgb::from_color_unclamped(colour);
    let half = 0.5 / 255.0;
    [rgb.red, rgb.green, rgb.blue].iter().all(|part| (-half..=1.0 + half).contains(part))
}

/// The colour as `#rrggbb` in sRGB; what a screen cannot show is brought to the nearest step it can.
#[must_use]
pub fn hex(colour: Colour) -> String {
    let rgb: Srgb<f64> = Srgb::from_color(colour);
    format!("#{:x}", rgb.into_format::<u8>())
}

/// The colour written as `#rrggbb` or `#rgb` (the `#` may be left out); `None` where it is not one.
#[must_use]
pub fn from_hex(text: &str) -> Option<Colour> {
    let rgb: Srgb<u8> = text.parse().ok()?;
    Some(Colour::from_color(rgb.into_format::<f64>()))
}

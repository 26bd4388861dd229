//! The spaces colours are measured in: linear light, a quick Oklab for telling colours apart, CIELAB
//! for what is handed out.
//!
//! Oklab is Ottosson's (2020), here as 100 L, 200 a, 200 b, so that one unit is about one CIEDE2000
//! for lightness and for the hues of pale and middling colours alike.

use api::Colour;
use api::palette::{FromColor, LinSrgb};

/// Linear light: red, green, blue of sRGB, 1 for full strength.
pub(crate) type Light = [f64; 3];

/// Stretched Oklab: 100 L, 200 a, 200 b.
pub(crate) type Shade = [f32; 3];

/// The cube root of a number that is not negative, to a few parts in ten million. Plain arithmetic,
/// so that it is quick in bulk and the same everywhere.
#[inline]
pub(crate) fn cube_root(x: f32) -> f32 {
    let x = x.max(1e-7);
    let mut root = f32::from_bits(x.to_bits() / 3 + 0x2a51_19f2);
    // Two of Halley's steps.
    for _ in 0..2 {
        let cubed = root * root * root;
        root = root * (cubed + x + x) / (cubed + cubed + x);
    }
    root
}

/// Linear light to stretched Oklab; light below none counts as none.
#[inline]
pub(crate) fn shade(light: [f32; 3]) -> Shade {
    let [r, g, b] = light;
    let l = cube_root(0.412_221_46 * r + 0.536_332_55 * g + 0.051_445_995 * b);
    let m = cube_root(0.211_903_5 * r + 0.680_699_5 * g + 0.107_396_96 * b);
    let s = cube_root(0.088_302_46 * r + 0.281_718_85 * g + 0.629_978_7 * b);
    [
        100.0 * (0.210_454_26 * l + 0.793_617_8 * m - 0.004_072_047 * s),
        200.0 * (1.977_998_5 * l - 2.428_592_2 * m + 0.450_593_7 * s),
        200.0 * (0.025_904_037 * l + 0.782_771_77 * m - 0.808_675_77 * s),
    ]
}

/// Stretched Oklab to linear light.
pub(crate) fn light_of(shade: Shade) -> Light {
    let [l, a, b] = [f64::from(shade[0]) / 100.0, f64::from(shade[1]) / 200.0, f64::from(shade[2]) / 200.0];
    let cubed = |x: f64| x * x * x;
    let long = cubed(l + 0.396_337_777_4 * a + 0.215_803_757_3 * b);
    let medium = cubed(l - 0.105_561_345_8 * a - 0.063_854_172_8 * b);
    let short = cubed(l - 0.089_484_177_5 * a - 1.291_485_548_0 * b);
    [
        4.076_741_662_1 * long - 3.307_711_591_3 * medium + 0.230_969_929_2 * short,
        -1.268_438_004_6 * long + 2.609_757_401_1 * medium - 0.341_319_396_5 * short,
        -0.004_196_086_3 * long - 0.703_418_614_7 * medium + 1.707_614_701_0 * short,
    ]
}

/// Linear light to stretched Oklab, from doubles.
pub(crate) fn shade_of(light: Light) -> Shade {
    #[allow(clippy::cast_possible_truncation, reason = "light is near 0 to 1; single precision is enough")]
    shade(light.map(|value| value as f32))
}

/// Linear light to CIELAB (D65), rounded to thousandths so that no platform's last bit shows.
pub(crate) fn lab_of(light: Light) -> Colour {
    let [red, green, blue] = light.map(|value| value.clamp(0.0, 1.0));
    let lab = Colour::from_color(LinSrgb::new(red, green, blue));
    let rounded = |value: f64| (value * 1000.0).round() / 1000.0 + 0.0;
    Colour::new(rounded(lab.l), rounded(lab.a), rounded(lab.b))
}

/// Squared distance in stretched Oklab.
#[inline]
pub(crate) fn apart_squared(one: Shade, two: Shade) -> f32 {
    let (l, a, b) = (one[0] - two[0], one[1] - two[1], one[2] - two[2]);
    l * l + a * a + b * b
}

/// Distance in stretched Oklab.
pub(crate) fn apart(one: Shade, two: Shade) -> f32 {
    apart_squared(one, two).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::palette::Oklab;

    #[test]
    fn the_quick_oklab_is_the_librarys() {
        for at in 0..343 {
            let step = |part: u32| f64::from(part % 7) / 6.0;
            let light = [step(at / 49), step(at / 7), step(at)];
            let quick = shade_of(light);
            let library = Oklab::<f64>::from_color(LinSrgb::new(light[0], light[1], light[2]));
            let library = [100.0 * library.l, 200.0 * library.a, 200.0 * library.b];
            for (quick, library) in quick.iter().zip(library) {
                let allowed = if light == [0.0; 3] { 0.6 } else { 0.01 };
                assert!((f64::from(*quick) - library).abs() < allowed, "{light:?}: {quick} instead of {library}");
            }
            for (back, light) in light_of(quick).iter().zip(light) {
                assert!((back - light).abs() < 1e-4, "{light} came back as {back}");
            }
        }
    }
}

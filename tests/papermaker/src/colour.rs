//! Colours: hex or Lab in, linear light or sRGB bytes out.
//!
//! sRGB as in IEC 61966-2-1, CIELAB with the D65 white of that standard (0.9505, 1, 1.089). Written
//! apart from the program's own colour code, which these pictures are there to test.

use crate::maths;

/// Linear-light red, green and blue, 0 to 1 with sRGB primaries.
pub type Light = [f64; 3];

const WHITE: [f64; 3] = [0.950_47, 1.0, 1.088_83];

/// The light of a colour written as `0xrrggbb`.
pub fn light(hex: u32) -> Light {
    [16, 8, 0].map(|shift| decode(f64::from((hex >> shift) & 0xff) / 255.0))
}

/// Encoded sRGB (0 to 1) to linear light.
pub fn decode(v: f64) -> f64 {
    if v <= 0.040_45 { v / 12.92 } else { maths::pow((v + 0.055) / 1.055, 2.4) }
}

/// Linear light to encoded sRGB (0 to 1).
pub fn encode(v: f64) -> f64 {
    if v <= 0.003_130_8 { 12.92 * v.max(0.0) } else { 1.055 * maths::pow(v, 1.0 / 2.4) - 0.055 }
}

/// The nearest `0xrrggbb`; light outside sRGB is clipped.
pub fn hex(light: Light) -> u32 {
    light.iter().fold(0, |sum, &v| (sum << 8) | u32::from(maths::byte(encode(v.clamp(0.0, 1.0)))))
}

/// CIELAB (L, a, b; D65) of linear light.
pub fn lab([r, g, b]: Light) -> [f64; 3] {
    let f = |t: f64| if t > 216.0 / 24389.0 { maths::pow(t, 1.0 / 3.0) } else { t * 841.0 / 108.0 + 4.0 / 29.0 };
    let x = f((0.412_456_4 * r + 0.357_576_1 * g + 0.180_437_5 * b) / WHITE[0]);
    let y = f(0.212_672_9 * r + 0.715_152_2 * g + 0.072_175 * b);
    let z = f((0.019_333_9 * r + 0.119_192 * g + 0.950_304_1 * b) / WHITE[2]);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// Linear light of a CIELAB colour (D65); may leave 0 to 1 where sRGB cannot show it.
pub fn from_lab([l, a, b]: [f64; 3]) -> Light {
    let f = |t: f64| if t > 6.0 / 29.0 { t * t * t } else { (t - 4.0 / 29.0) * 108.0 / 841.0 };
    let y = (l + 16.0) / 116.0;
    let (x, z) = (WHITE[0] * f(y + a / 500.0), WHITE[2] * f(y - b / 200.0));
    let y = f(y);
    [
        3.240_454_2 * x - 1.537_138_5 * y - 0.498_531_4 * z,
        -0.969_266 * x + 1.876_010_8 * y + 0.041_556 * z,
        0.055_643_4 * x - 0.204_025_9 * y + 1.057_225_2 * z,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for code in [0x00_00_00, 0xff_ff_ff, 0x1f_2d_4a, 0xb4_53_2f, 0x7f_a6_5a, 0x01_fe_80] {
            assert_eq!(hex(light(code)), code);
            assert_eq!(hex(from_lab(lab(light(code)))), code, "{code:06x} by way of Lab");
        }
    }

    /// Red, and a mid grey, in CIELAB with D65: values as computed from the standard's own matrix.
    #[test]
    fn known_lab() {
        let [l, a, b] = lab(light(0xff_00_00));
        assert!((l - 53.24).abs() < 0.02 && (a - 80.09).abs() < 0.02 && (b - 67.20).abs() < 0.02, "{l} {a} {b}");
        let [l, a, b] = lab(light(0x77_77_77));
        assert!((l - 50.03).abs() < 0.02 && a.abs() < 0.01 && b.abs() < 0.01);
    }
}

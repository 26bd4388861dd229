//! The press: plates and a palette in, a printed sheet of paper out.
//!
//! Mixed dots of ink are averaged as Yule and Nielsen (1951) found for real prints, with n = 2: in
//! the square root of light. Then come uneven inking, a few pinholes and the fibres of the paper.
//! The shares returned are those of the plates, before all that.

use crate::colour::{Light, encode};
use crate::maths::{byte, single};
use crate::plates::Plates;
use crate::random::Noise;
use image::{RgbImage, RgbaImage};

/// How the paper and the press behave.
#[derive(Clone, Copy, Debug)]
pub struct Stock {
    /// Depth of the fibre texture, as a share of the light.
    pub fibre: f64,
    /// Unevenness of the inking, as a share of the light, in clouds.
    pub uneven: f64,
}

impl Stock {
    /// Smooth text-weight paper with a little tooth.
    pub const SMOOTH: Self = Self { fibre: 0.022, uneven: 0.018 };
}

/// A printed sheet and what was printed on it.
#[derive(Debug)]
pub struct Sheet {
    /// The picture.
    pub picture: RgbImage,
    /// The share of the sheet each ink of the palette takes, in palette order; they sum to 1.
    pub shares: Vec<f64>,
}

/// Prints the plates on a sheet of `width` by `height` pixels.
pub fn print(plates: &Plates, width: u32, height: u32, per_mm: f64, inks: &[Light], stock: Stock, seed: u64) -> Sheet {
    let roots: Vec<[f32; 3]> = inks.iter().map(|light| light.map(|v| single(v.max(0.0).sqrt()))).collect();
    let encoded: Vec<f64> = (0..=4096_u32).map(|i| encode(f64::from(i) / 4096.0)).collect();
    let (fine, coarse, drift) = (Noise::new(seed ^ 1), Noise::new(seed ^ 2), Noise::new(seed ^ 3));
    let mut sums = vec![0.0_f64; inks.len()];
    let picture = RgbImage::from_fn(width, height, |x, y| {
        let (shares, tone) = plates.look(x as usize, y as usize);
        let mut root = [0.0_f32; 3];
        for ((share, ink), sum) in shares.iter().zip(&roots).zip(&mut sums) {
            *sum += f64::from(*share);
            for k in 0..3 {
                root[k] += share * ink[k];
            }
        }
        let (mx, my) = (f64::from(x) / per_mm, f64::from(y) / per_mm);
        let fibre = 0.6 * fine.at(mx * 1.3, my * 2.6) + 0.7 * coarse.at(mx * 0.55 + my * 0.2, my * 0.5);
        let factor = 1.0 + f64::from(tone) + stock.fibre * fibre + stock.uneven * drift.cloud(mx / 14.0, my / 14.0);
        image::Rgb(root.map(|r| {
            let light = (f64::from(r) * f64::from(r) * factor).clamp(0.0, 1.0) * 4096.0;
            let low = light.floor().min(4095.0);
            let i = usize::try_from(crate::maths::floor(low)).unwrap_or(0);
            byte(encoded[i] + (encoded[i + 1] - encoded[i]) * (light - low))
        }))
    });
    let all = f64::from(width) * f64::from(height);
    Sheet { picture, shares: sums.into_iter().map(|sum| sum / all).collect() }
}

/// Prints a picture and cuts it out, leaving `edge` millimetres of bare paper (ink 0) round it.
pub fn die_cut(plates: &Plates, width: u32, height: u32, per_mm: f64, inks: &[Light], edge: f64) -> RgbaImage {
    let still = Stock { fibre: 0.0, uneven: 0.0 };
    let sheet = print(plates, width, height, per_mm, inks, still, 0);
    let printed: Vec<f32> = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| 1.0 - plates.look(x as usize, y as usize).0[0])
        .collect();
    let at = |x: i64, y: i64| -> f32 {
        match (u32::try_from(x), u32::try_from(y)) {
            (Ok(x), Ok(y)) if x < width && y < height => printed[(y * width + x) as usize],
            _ => 0.0,
        }
    };
    let radius = edge * per_mm;
    let reach = i64::from(crate::maths::floor(radius.ceil()));
    let mut out = RgbaImage::new(width, height);
    for (x, y, pixel) in out.enumerate_pixels_mut() {
        let mut cut = 0.0_f64;
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let (fx, fy) = (whole(dx), whole(dy));
                // The paper fades out over the last pixel of the edge.
                let near = (radius + 0.5 - (fx * fx + fy * fy).sqrt()).clamp(0.0, 1.0);
                if near > cut {
                    let ink = f64::from(at(i64::from(x) + dx, i64::from(y) + dy));
                    cut = cut.max(near * (ink * 2.0).min(1.0));
                }
            }
        }
        let rgb = sheet.picture.get_pixel(x, y).0;
        let flat = rgb.map(|v| v & 0xfc | v >> 6);
        *pixel = image::Rgba([flat[0], flat[1], flat[2], byte(cut)]);
        if pixel.0[3] == 0 {
            *pixel = image::Rgba([0; 4]);
        }
    }
    out
}

/// A small whole number as a drawing value.
fn whole(n: i64) -> f64 {
    f64::from(i32::try_from(n).unwrap_or(0))
}

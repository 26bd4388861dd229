//! The photographer: a trial paper and a seed in, a JPEG as a phone or a poor scanner gives it out.
//!
//! Light falls unevenly in three ways at once, none of them a polynomial: the fourth power of the
//! cosine off the lens's axis, a lamp near by (inverse square with its own cosine), and the soft
//! edge of a shadow. Then a colour cast, paper fibres, blur, sensor noise and JPEG. What is true of
//! the paper is in its `Truth`; how the picture was lit is in `Camera` and in `Photo::light_at`.

use super::Paper;
use crate::colour::{Light, encode};
use crate::maths::{byte, cos, count, exp, floor, sin, single};
use crate::random::{Dice, Noise};
use crate::shelf::jpeg;
use image::{ImageError, RgbImage};

/// Reflectance of the unprinted margin: plain office paper (sRGB 243 when lit as 1).
pub const MARGIN_REFLECTS: f64 = 0.9;

/// Entries of the table from light to sRGB, joined by straight lines: within 0.01 of a level.
const STEPS: u32 = 16_384;

/// What is round the printed part in the frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surround {
    /// Unprinted paper this many millimetres wide, all round.
    Margin(f64),
    /// Nothing: the print fills the frame.
    Nothing,
}

/// How a picture is lit and taken.
#[derive(Clone, Copy, Debug)]
pub struct Camera {
    /// Light of each channel, the strongest 1.
    pub cast: [f64; 3],
    /// What the brightest point of a perfect white would give, 0 to 1 of full scale.
    pub exposure: f64,
    /// Where the lens's axis meets the frame, in half diagonals from its middle.
    pub axis: [f64; 2],
    /// Tangent of the angle off the axis at one half diagonal.
    pub tangent: f64,
    /// The lamp: across, down and above, in half diagonals from the middle.
    pub lamp: [f64; 3],
    /// The shadow: the angle its edge faces, how far off the middle, how dark (0 to 1), how soft.
    pub shadow: [f64; 4],
    /// Blur, as the standard deviation in pixels.
    pub blur: f64,
    /// Fibre texture, as a share of the light.
    pub fibre: f64,
    /// Sensor noise at full light, as a share of it.
    pub noise: f64,
    /// JPEG quality.
    pub quality: u8,
    seed: u64,
}

impl Camera {
    /// A camera and a room by seed, within the ranges a careful home photographer meets.
    pub fn new(seed: u64) -> Self {
        let mut dice = Dice::new(seed ^ 0x00ca_3e7a);
        let warm = dice.between(-1.0, 1.0);
        let cast = [1.0 - 0.16 * (-warm).max(0.0), 0.97 - 0.05 * dice.unit(), 1.0 - 0.26 * warm.max(0.0)];
        let strongest = cast.iter().copied().fold(0.0, f64::max);
        Self {
            cast: cast.map(|v| v / strongest),
            exposure: dice.between(0.84, 1.0),
            axis: [dice.about(0.0, 0.2), dice.about(0.0, 0.2)],
            tangent: dice.between(0.28, 0.5),
            lamp: [dice.about(0.0, 1.0), dice.about(0.0, 1.0), dice.between(1.9, 3.2)],
            shadow: [dice.angle(), dice.about(0.2, 0.4), dice.between(0.04, 0.16), dice.between(0.1, 0.28)],
            blur: dice.between(0.5, 0.9),
            fibre: dice.between(0.008, 0.016),
            noise: dice.between(0.003, 0.008),
            quality: [88, 90, 92, 94][dice.whole(0, 3) as usize],
            seed,
        }
    }

    /// The light at points given in half diagonals from the middle of the frame; not yet scaled.
    fn falls(&self) -> impl Fn(f64, f64) -> f64 {
        let camera = *self;
        let [faces, off, dark, soft] = camera.shadow;
        let facing = [cos(faces), sin(faces)];
        move |x, y| {
            let (ax, ay) = (x - camera.axis[0], y - camera.axis[1]);
            let spread = 1.0 + camera.tangent * camera.tangent * (ax * ax + ay * ay);
            let lens = 1.0 / (spread * spread);
            let [lx, ly, height] = camera.lamp;
            let far = (x - lx) * (x - lx) + (y - ly) * (y - ly) + height * height;
            let lamp = height * height * height / (far * far.sqrt());
            let along = x * facing[0] + y * facing[1];
            let beside = y * facing[0] - x * facing[1];
            let into = (along - off + 0.06 * sin(3.1 * beside)) / soft;
            let shadow = 1.0 - dark / (1.0 + exp((-4.0 * into).clamp(-60.0, 60.0)));
            lens * lamp * shadow
        }
    }
}

/// A picture taken.
#[derive(Debug)]
pub struct Photo {
    /// The picture's file.
    pub jpeg: Vec<u8>,
    /// Width and height in pixels.
    pub size: (u32, u32),
    /// The printed part: left, top, width, height in pixels.
    pub print: [u32; 4],
    /// Pixels per inch of paper.
    pub per_inch: u16,
    light: Vec<f32>,
    cast: [f64; 3],
}

impl Photo {
    /// The light that fell on a pixel, by channel: a perfect white would give this, 0 to 1.
    pub fn light_at(&self, x: u32, y: u32) -> Light {
        let light = f64::from(self.light[(y * self.size.0 + x) as usize]);
        self.cast.map(|v| v * light)
    }
}

/// Photographs `wide` by `high` millimetres of a paper drawn at `per_inch`.
pub fn photograph(
    paper: &Paper,
    per_inch: u16,
    size: [f64; 2],
    surround: Surround,
    camera: &Camera,
) -> Result<Photo, ImageError> {
    let per_mm = f64::from(per_inch) / 25.4;
    let edge = match surround {
        Surround::Margin(mm) => count(mm * per_mm),
        Surround::Nothing => 0,
    };
    let (print_w, print_h) = (count(size[0] * per_mm), count(size[1] * per_mm));
    let (w, h) = (print_w + 2 * edge, print_h + 2 * edge);
    let half = 0.5 * (f64::from(w) * f64::from(w) + f64::from(h) * f64::from(h)).sqrt();
    let falls = camera.falls();
    let mut light: Vec<f32> = Vec::with_capacity(w as usize * h as usize);
    for y in 0..h {
        for x in 0..w {
            let u = (f64::from(x) + 0.5 - 0.5 * f64::from(w)) / half;
            let v = (f64::from(y) + 0.5 - 0.5 * f64::from(h)) / half;
            light.push(single(falls(u, v)));
        }
    }
    let brightest = light.iter().copied().fold(1e-9_f32, f32::max);
    let scale = single(camera.exposure) / brightest;
    for value in &mut light {
        *value *= scale;
    }
    let (fine, coarse) = (Noise::new(camera.seed ^ 0x11), Noise::new(camera.seed ^ 0x22));
    let mut dice = Dice::new(camera.seed ^ 0x33);
    let mut planes: [Vec<f32>; 3] = [0, 1, 2].map(|_| Vec::with_capacity(light.len()));
    for y in 0..h {
        for x in 0..w {
            let inside = x >= edge && y >= edge && x < edge + print_w && y < edge + print_h;
            let reflects =
                if inside { paper.reflects((x - edge) as usize, (y - edge) as usize) } else { [MARGIN_REFLECTS; 3] };
            let (mx, my) = (f64::from(x) / per_mm, f64::from(y) / per_mm);
            let fibre = 0.5 * fine.at(mx * 1.9 + 0.7 * my, my * 3.1)
                + 0.4 * coarse.at(mx * 0.8, my * 0.7)
                + dice.about(0.0, 0.5);
            let falls = f64::from(light[(y * w + x) as usize]) * (1.0 + camera.fibre * fibre);
            for k in 0..3 {
                planes[k].push(single(reflects[k] * falls * camera.cast[k]));
            }
        }
    }
    for plane in &mut planes {
        blur(plane, w as usize, h as usize, camera.blur);
    }
    let encoded: Vec<f64> = (0..=STEPS).map(|k| encode(f64::from(k) / f64::from(STEPS))).collect();
    let mut at = 0;
    let picture = RgbImage::from_fn(w, h, |_, _| {
        let pixel = [0, 1, 2].map(|k: usize| {
            let value = f64::from(planes[k][at]);
            let noisy = value + camera.noise * value.max(0.0).sqrt() * dice.about(0.0, 1.2);
            let place = noisy.clamp(0.0, 1.0) * f64::from(STEPS);
            let low = usize::try_from(floor(place.min(f64::from(STEPS - 1)))).unwrap_or(0);
            byte(encoded[low] + (encoded[low + 1] - encoded[low]) * (place - place.floor().min(f64::from(STEPS - 1))))
        });
        at += 1;
        image::Rgb(pixel)
    });
    Ok(Photo {
        jpeg: jpeg(&picture, camera.quality, per_inch)?,
        size: (w, h),
        print: [edge, edge, print_w, print_h],
        per_inch,
        light,
        cast: camera.cast,
    })
}

/// A Gaussian blur, both ways, edges held.
fn blur(plane: &mut [f32], w: usize, h: usize, deviation: f64) {
    let reach = 3_usize;
    let mut kernel = [0.0_f32; 7];
    for (k, weight) in kernel.iter_mut().enumerate() {
        let d = (f64::from(u32::try_from(k).unwrap_or(0)) - 3.0) / deviation;
        *weight = single(exp(-0.5 * d * d));
    }
    let whole: f32 = kernel.iter().sum();
    for weight in &mut kernel {
        *weight /= whole;
    }
    let mut pass = |length: usize, lines: usize, step: usize, stride: usize| {
        let mut line = vec![0.0_f32; length];
        for n in 0..lines {
            for (i, value) in line.iter_mut().enumerate() {
                *value = plane[n * stride + i * step];
            }
            for i in 0..length {
                let mut sum = 0.0;
                for (k, weight) in kernel.iter().enumerate() {
                    sum += weight * line[(i + k).saturating_sub(reach).min(length - 1)];
                }
                plane[n * stride + i * step] = sum;
            }
        }
    };
    pass(w, h, 1, w);
    pass(h, w, w, 1);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{decode, lab};
    use crate::trial::{Style, Trial, seeds};

    fn take(trial: Trial, surround: Surround) -> (Paper, Photo, RgbImage) {
        let paper = trial.paper(seeds::PIXELS_PER_INCH);
        let camera = Camera::new(trial.seed);
        let photo = photograph(&paper, seeds::PIXELS_PER_INCH, seeds::SIZE, surround, &camera).expect("in memory");
        let picture = image::load_from_memory(&photo.jpeg).expect("our own JPEG").to_rgb8();
        assert_eq!(picture.dimensions(), photo.size);
        (paper, photo, picture)
    }

    /// With the light known, the flat middle of each colour reads as the truth says. So a reader that
    /// finds the light can find the colours: nothing else has been done to them.
    #[test]
    fn the_truth_is_in_the_picture() {
        let mut checked = 0;
        for seed in [1104, 1189, 1240, 1257] {
            for surround in [Surround::Margin(seeds::MARGIN), Surround::Nothing] {
                let (paper, photo, picture) = take(Trial { style: Style::Plain, seed }, surround);
                let [left, top, wide, high] = photo.print;
                for colour in &paper.truth.colours {
                    let (mut sum, mut seen) = ([0.0; 3], 0.0);
                    for y in (3..high - 3).step_by(3) {
                        for x in (3..wide - 3).step_by(2) {
                            let flat = [(3, 3), (0, 0), (6, 0), (0, 6), (6, 6), (3, 0), (0, 3), (6, 3), (3, 6)]
                                .iter()
                                .all(|(dx, dy)| {
                                    let here = lab(paper.reflects((x + dx - 3) as usize, (y + dy - 3) as usize));
                                    (0..3).all(|k| (here[k] - colour.lab[k]).abs() < 0.05)
                                });
                            if flat {
                                let light = photo.light_at(left + x, top + y);
                                let rgb = picture.get_pixel(left + x, top + y).0;
                                for k in 0..3 {
                                    sum[k] += decode(f64::from(rgb[k]) / 255.0) / light[k];
                                }
                                seen += 1.0;
                            }
                        }
                    }
                    if seen < 12.0 {
                        // Too thin anywhere to be clear of the blur.
                        continue;
                    }
                    checked += 1;
                    let read = lab(sum.map(|v| v / seen));
                    let off: f64 = (0..3).map(|k| (read[k] - colour.lab[k]) * (read[k] - colour.lab[k])).sum();
                    assert!(off.sqrt() < 1.0, "seed {seed}, {surround:?}: {:?} reads {read:?}", colour.lab);
                }
            }
        }
        assert!(checked >= 24, "{checked} colours are wide enough to check");
    }

    /// The margin is 0.9 of the light, and the light differs by a fifth or more over the frame.
    #[test]
    fn light_is_uneven_and_the_margin_is_paper() {
        for trial in seeds::practice(Style::Plain).into_iter().take(4) {
            let (_, photo, picture) = take(trial, Surround::Margin(seeds::MARGIN));
            let (mut low, mut high) = (f64::MAX, 0.0_f64);
            let (mut sum, mut seen) = (0.0, 0.0);
            for y in (6..photo.print[1] - 6).step_by(3) {
                for x in (6..photo.size.0 - 6).step_by(3) {
                    let light = photo.light_at(x, y)[1];
                    (low, high) = (low.min(light), high.max(light));
                    sum += decode(f64::from(picture.get_pixel(x, y).0[1]) / 255.0) / light;
                    seen += 1.0;
                }
            }
            let (_, h) = photo.size;
            for (x, y) in [(5, h / 2), (5, h - 5)] {
                let light = photo.light_at(x, y)[1];
                (low, high) = (low.min(light), high.max(light));
            }
            assert!((sum / seen - MARGIN_REFLECTS).abs() < 0.01, "{trial:?}: margin reflects {}", sum / seen);
            assert!(low < 0.87 * high && high <= 1.0, "{trial:?}: {low} to {high}");
        }
    }

    #[test]
    fn the_same_seed_is_the_same_file() {
        let trial = Trial { style: Style::Ditsy, seed: 5 };
        let (_, one, _) = take(trial, Surround::Nothing);
        let (_, two, _) = take(trial, Surround::Nothing);
        assert!(one.jpeg == two.jpeg && one.size == two.size);
    }
}

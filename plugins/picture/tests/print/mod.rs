//! Papers of known colours and the photographs a phone would take of them: a seed in, the bytes of
//! a JPEG and the truth out. Shares no code with the measuring side: its own curve, its own Lab.
//!
//! The light is a lamp's (inverse square from a point above the table) with a lens's cos⁴ falloff
//! about an axis off the middle, and its colour drifts across the sheet; none of it is a polynomial.

#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(clippy::cast_possible_truncation, reason = "a drawing of a few thousand cells; numbers stay small")]

use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};

/// SplitMix64 (Steele, Lea and Flood 2014): one number after the other from a seed.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn unit(&mut self) -> f64 {
        (self.roll() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.roll() % count as u64) as usize
    }

    pub(crate) fn bell(&mut self) -> f64 {
        (0..6).map(|_| self.unit()).sum::<f64>() * 2.0_f64.sqrt() - 3.0 * 2.0_f64.sqrt()
    }
}

/// CIELAB (D65) to linear sRGB, written out.
pub(crate) fn light_of([l, a, b]: [f64; 3]) -> [f64; 3] {
    let fy = (l + 16.0) / 116.0;
    let f = |t: f64| if t > 6.0 / 29.0 { t * t * t } else { 3.0 * (6.0_f64 / 29.0).powi(2) * (t - 4.0 / 29.0) };
    let (x, y, z) = (0.95047 * f(fy + a / 500.0), f(fy), 1.08883 * f(fy - b / 200.0));
    [
        3.240_454_2 * x - 1.537_138_5 * y - 0.498_531_4 * z,
        -0.969_266_0 * x + 1.876_010_8 * y + 0.041_556_0 * z,
        0.055_643_4 * x - 0.204_025_9 * y + 1.057_225_2 * z,
    ]
}

fn encode(linear: f64) -> u8 {
    let linear = linear.clamp(0.0, 1.0);
    let code = if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
    (code * 255.0).round() as u8
}

/// A printed paper: which of its colours each fine cell has. Cells are a third of a pixel.
pub(crate) struct Paper {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) cells: Vec<u8>,
    pub(crate) colours: Vec<[f64; 3]>,
}

const FINE: usize = 3;

impl Paper {
    pub(crate) fn plain(width: usize, height: usize, colour: [f64; 3]) -> Self {
        Self { width, height, cells: vec![0; width * height * FINE * FINE], colours: vec![colour] }
    }

    pub(crate) fn paint(&mut self, ink: usize, inside: impl Fn(f64, f64) -> bool, [x0, y0, x1, y1]: [f64; 4]) {
        let (across, down) = (self.width * FINE, self.height * FINE);
        let clamp = |value: f64, top: usize| (value * FINE as f64).clamp(0.0, top as f64) as usize;
        for row in clamp(y0, down)..clamp(y1 + 1.0, down) {
            for column in clamp(x0, across)..clamp(x1 + 1.0, across) {
                let (x, y) = ((column as f64 + 0.5) / FINE as f64, (row as f64 + 0.5) / FINE as f64);
                if inside(x, y) {
                    self.cells[row * across + column] = ink as u8;
                }
            }
        }
    }

    pub(crate) fn disc(&mut self, ink: usize, cx: f64, cy: f64, r: f64) {
        self.paint(ink, |x, y| (x - cx).hypot(y - cy) <= r, [cx - r, cy - r, cx + r, cy + r]);
    }

    pub(crate) fn leaf(&mut self, ink: usize, cx: f64, cy: f64, long: f64, short: f64, turn: f64) {
        let (sin, cos) = turn.sin_cos();
        let inside = |x: f64, y: f64| {
            let (x, y) = (x - cx, y - cy);
            ((x * cos + y * sin) / long).powi(2) + ((y * cos - x * sin) / short).powi(2) <= 1.0
        };
        self.paint(ink, inside, [cx - long, cy - long, cx + long, cy + long]);
    }

    pub(crate) fn stroke(&mut self, ink: usize, [x0, y0]: [f64; 2], [x1, y1]: [f64; 2], wide: f64) {
        let length = (x1 - x0).hypot(y1 - y0).max(1e-9);
        let inside = |x: f64, y: f64| {
            let along = (((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length).clamp(0.0, length);
            let (px, py) = (x0 + (x1 - x0) * along / length, y0 + (y1 - y0) * along / length);
            (x - px).hypot(y - py) <= wide / 2.0
        };
        let (w, h) = (wide, wide);
        self.paint(ink, inside, [x0.min(x1) - w, y0.min(y1) - h, x0.max(x1) + w, y0.max(y1) + h]);
    }

    /// Its colours and each one's share of the area.
    pub(crate) fn truth(&self) -> super::compare::Truth {
        super::compare::Truth { colours: self.colours.clone(), shares: self.shares() }
    }

    fn shares(&self) -> Vec<f64> {
        let mut counts = vec![0_usize; self.colours.len()];
        for &cell in &self.cells {
            counts[usize::from(cell)] += 1;
        }
        counts.iter().map(|&count| count as f64 / self.cells.len() as f64).collect()
    }
}

/// Inks a given least distance apart, none near white, all that sRGB can show.
fn inks(dice: &mut Dice, count: usize, apart: f64) -> Vec<[f64; 3]> {
    let mut inks: Vec<[f64; 3]> = Vec::new();
    while inks.len() < count {
        let (l, c, h) = (dice.within(22.0, 90.0), dice.within(2.0, 62.0), dice.within(0.0, std::f64::consts::TAU));
        let ink = [l, c * h.cos(), c * h.sin()];
        let shows = light_of(ink).iter().all(|light| (0.004..0.86).contains(light));
        let far =
            |other: &[f64; 3]| ink.iter().zip(other).map(|(one, two)| (one - two).powi(2)).sum::<f64>().sqrt() > apart;
        if shows && inks.iter().all(far) {
            inks.push(ink);
        }
    }
    inks
}

/// Four to six colours in stripes, dots, checks or large shapes.
pub(crate) fn plain_pattern(seed: u64, width: usize, height: usize) -> Paper {
    let mut dice = Dice::new(seed ^ 0x0070_6c61_696e);
    let count = 4 + dice.below(3);
    let mut paper = Paper::plain(width, height, [0.0; 3]);
    paper.colours = inks(&mut dice, count, 16.0);
    let (w, h) = (width as f64, height as f64);
    let unit = w / dice.within(6.0, 14.0);
    match dice.below(4) {
        0 => {
            let mut x = 0.0;
            let mut ink = 1;
            while x < w {
                let wide = unit * dice.within(0.2, 0.7);
                paper.paint(ink, |px, _| px >= x && px < x + wide, [x, 0.0, x + wide, h]);
                x += wide + unit * 0.4;
                ink = ink % (count - 1) + 1;
            }
        }
        1 => {
            for row in 0..(h / unit) as usize + 1 {
                for column in 0..(w / unit) as usize + 1 {
                    let ink = (row * 2 + column) % (count - 1) + 1;
                    paper.disc(ink, (column as f64 + 0.5) * unit, (row as f64 + 0.5) * unit, unit * 0.3);
                }
            }
        }
        2 => {
            for row in 0..(h / unit) as usize + 1 {
                for column in 0..(w / unit) as usize + 1 {
                    let ink = (row + column * 3) % count;
                    let (x, y) = (column as f64 * unit, row as f64 * unit);
                    paper.paint(
                        ink,
                        |px, py| px >= x && px < x + unit && py >= y && py < y + unit,
                        [x, y, x + unit, y + unit],
                    );
                }
            }
        }
        _ => {
            for at in 0..60 {
                let (x, y, turn) = (dice.within(0.0, w), dice.within(0.0, h), dice.within(0.0, 6.3));
                let long = unit * dice.within(0.4, 1.0);
                paper.leaf(1 + at % (count - 1), x, y, long, long * dice.within(0.3, 0.9), turn);
            }
        }
    }
    paper
}

/// Ten colours: a ground, flowers in close tints, leaves, thin stems, and small dots that take 0.3 %.
pub(crate) fn ditsy_pattern(seed: u64, width: usize, height: usize) -> Paper {
    let mut dice = Dice::new(seed ^ 0x0064_6974_7379);
    let mut paper = Paper::plain(width, height, [0.0; 3]);
    let mut colours = inks(&mut dice, 7, 14.0);
    // Three more, each a close tint of one before: 5 to 8 CIELAB units away.
    while colours.len() < 10 {
        let from = colours[1 + dice.below(4)];
        let (dl, da, db) = (dice.bell(), dice.bell(), dice.bell());
        let length = (dl * dl + da * da + db * db).sqrt();
        let step = dice.within(5.0, 8.0) / length;
        let tint = [from[0] + dl * step, from[1] + da * step, from[2] + db * step];
        let far =
            |other: &[f64; 3]| tint.iter().zip(other).map(|(one, two)| (one - two).powi(2)).sum::<f64>().sqrt() > 4.9;
        if light_of(tint).iter().all(|light| (0.004..0.86).contains(light)) && colours.iter().all(far) {
            colours.push(tint);
        }
    }
    paper.colours = colours;
    let (w, h) = (width as f64, height as f64);
    let petals = [1, 2, 3, 7, 8, 9];
    let flowers = (w * h / 3600.0) as usize;
    for at in 0..flowers {
        let (x, y, turn) = (dice.within(0.0, w), dice.within(0.0, h), dice.within(0.0, 6.3));
        let size = dice.within(6.0, 12.0);
        let long = size * dice.within(1.6, 2.6);
        paper.stroke(4, [x, y], [x + long * turn.cos(), y + long * turn.sin()], dice.within(2.0, 3.5));
        paper.leaf(4, x + long * turn.cos(), y + long * turn.sin(), size * 0.7, size * 0.35, turn);
        for petal in 0..5 {
            let angle = turn + f64::from(petal) * std::f64::consts::TAU / 5.0;
            paper.disc(petals[at % 6], x + size * 0.6 * angle.cos(), y + size * 0.6 * angle.sin(), size * 0.45);
        }
        paper.disc(5, x, y, size * 0.3);
    }
    let dots = (w * h * 0.003 / (std::f64::consts::PI * 9.0)) as usize;
    for _ in 0..dots {
        paper.disc(6, dice.within(0.0, w), dice.within(0.0, h), 3.0);
    }
    paper
}

/// How a photograph is taken.
#[derive(Clone, Copy)]
pub(crate) struct Shot {
    /// Width of the unprinted margin, in pixels; none for 0.
    pub(crate) margin: usize,
    pub(crate) quality: u8,
    /// 0 for even light, 1 for what a lamp to one side gives.
    pub(crate) uneven: f64,
}

/// Lattice noise, smooth over `scale` pixels.
fn lattice(seed: u64, x: f64, y: f64, scale: f64) -> f64 {
    let (x, y) = (x / scale, y / scale);
    let (ix, iy) = (x.floor(), y.floor());
    let corner = |dx: f64, dy: f64| {
        Dice::new(
            seed ^ ((ix + dx) as i64 as u64).wrapping_mul(0x0051_7cc1)
                ^ ((iy + dy) as i64 as u64).wrapping_mul(0x2545_f491),
        )
        .unit()
            - 0.5
    };
    let (fx, fy) = (x - ix, y - iy);
    let top = corner(0.0, 0.0) * (1.0 - fx) + corner(1.0, 0.0) * fx;
    let low = corner(0.0, 1.0) * (1.0 - fx) + corner(1.0, 1.0) * fx;
    top * (1.0 - fy) + low * fy
}

/// The pixels of a photograph of `paper` with its margin, before the JPEG.
pub(crate) fn photograph(paper: &Paper, seed: u64, shot: Shot) -> (usize, usize, Vec<u8>) {
    let mut dice = Dice::new(seed ^ 0x0070_686f_746f);
    let (width, height) = (paper.width + 2 * shot.margin, paper.height + 2 * shot.margin);
    let inks: Vec<[f64; 3]> = paper.colours.iter().map(|&ink| light_of(ink)).collect();
    let (w, h) = (width as f64, height as f64);
    let lamp = (dice.within(-0.4, 1.4) * w, dice.within(-0.4, 1.4) * h, dice.within(1.1, 1.8) * w.max(h));
    let axis = (dice.within(0.42, 0.58) * w, dice.within(0.42, 0.58) * h, dice.within(1.0, 1.5) * w.max(h));
    let cast = [dice.within(0.86, 1.0), dice.within(0.9, 1.0), dice.within(0.72, 1.0)];
    let drift = (dice.within(-0.05, 0.05), dice.within(-0.05, 0.05));
    let exposure = dice.within(0.78, 0.95);
    let mut light = vec![[0.0_f64; 3]; width * height];
    let mut brightest = 0.0_f64;
    let lit = |x: f64, y: f64| {
        let reach = ((x - lamp.0).powi(2) + (y - lamp.1).powi(2) + lamp.2 * lamp.2).sqrt();
        let lens = (1.0 + ((x - axis.0).powi(2) + (y - axis.1).powi(2)) / (axis.2 * axis.2)).powi(-2);
        ((lamp.2 / reach).powi(3) * lens).powf(shot.uneven)
    };
    for y in 0..height {
        for x in 0..width {
            let mut sum = [0.0; 3];
            let inside =
                x >= shot.margin && y >= shot.margin && x < shot.margin + paper.width && y < shot.margin + paper.height;
            if inside {
                for cell in 0..FINE * FINE {
                    let (cx, cy) = ((x - shot.margin) * FINE + cell % FINE, (y - shot.margin) * FINE + cell / FINE);
                    let ink = inks[usize::from(paper.cells[cy * paper.width * FINE + cx])];
                    for (sum, ink) in sum.iter_mut().zip(ink) {
                        *sum += ink / (FINE * FINE) as f64;
                    }
                }
            } else {
                sum = [0.9; 3];
            }
            let (fx, fy) = (x as f64, y as f64);
            let fibre = 1.0 + 0.05 * lattice(seed, fx, fy, 2.3) + 0.03 * lattice(seed ^ 9, fx, fy, 7.0);
            let here = lit(fx, fy);
            brightest = brightest.max(here);
            let tint = (drift.0 * fx / w + drift.1 * fy / h) * shot.uneven;
            let tints = [1.0 + tint, 1.0, 1.0 - tint];
            for channel in 0..3 {
                light[y * width + x][channel] = sum[channel] * here * cast[channel] * tints[channel] * fibre;
            }
        }
    }
    // The lens blurs a little: a 3 × 3 binomial, mixed half and half with the sharp picture.
    let at = |x: usize, y: usize, channel: usize| light[y.min(height - 1) * width + x.min(width - 1)][channel];
    let mut codes = vec![[0_u8; 3]; width * height];
    for y in 0..height {
        for x in 0..width {
            for (channel, code) in codes[y * width + x].iter_mut().enumerate() {
                let mut soft = 0.0;
                for (dy, wy) in [(0, 1.0), (1, 2.0), (2, 1.0)] {
                    for (dx, wx) in [(0, 1.0), (1, 2.0), (2, 1.0)] {
                        soft += wx * wy / 16.0 * at((x + dx).saturating_sub(1), (y + dy).saturating_sub(1), channel);
                    }
                }
                let mixed = 0.5 * soft + 0.5 * at(x, y, channel);
                let noisy = mixed / brightest / 0.9 * exposure * (1.0 + 0.008 * dice.bell()) + 0.001 * dice.bell();
                *code = encode(noisy);
            }
        }
    }
    (width, height, halved_chroma(&codes, width, height))
}

/// Colour at half the resolution, as nearly every camera stores it (ITU-T T.871 luma and chroma).
fn halved_chroma(codes: &[[u8; 3]], width: usize, height: usize) -> Vec<u8> {
    let ycc: Vec<[f64; 3]> = codes
        .iter()
        .map(|&[r, g, b]| {
            let (r, g, b) = (f64::from(r), f64::from(g), f64::from(b));
            let y = 0.299 * r + 0.587 * g + 0.114 * b;
            [y, (b - y) / 1.772, (r - y) / 1.402]
        })
        .collect();
    let (half_w, half_h) = (width.div_ceil(2), height.div_ceil(2));
    let mut chroma = vec![[0.0; 2]; half_w * half_h];
    for (at, cell) in chroma.iter_mut().enumerate() {
        for near in 0..4 {
            let (x, y) = ((at % half_w * 2 + near % 2).min(width - 1), (at / half_w * 2 + near / 2).min(height - 1));
            cell[0] += ycc[y * width + x][1] / 4.0;
            cell[1] += ycc[y * width + x][2] / 4.0;
        }
    }
    let mut rgb = Vec::with_capacity(codes.len() * 3);
    for y in 0..height {
        for x in 0..width {
            // Between the four nearest samples, three to one: what a good decoder does.
            let side = |v: usize, top: usize| {
                let near = v / 2;
                let other = if v.is_multiple_of(2) { near.saturating_sub(1) } else { (near + 1).min(top - 1) };
                [(near, 0.75), (other, 0.25)]
            };
            let (mut cb, mut cr) = (0.0, 0.0);
            for (cy, wy) in side(y, half_h) {
                for (cx, wx) in side(x, half_w) {
                    cb += wx * wy * chroma[cy * half_w + cx][0];
                    cr += wx * wy * chroma[cy * half_w + cx][1];
                }
            }
            let luma = ycc[y * width + x][0];
            for value in [luma + 1.402 * cr, luma - 0.344_136 * cb - 0.714_136 * cr, luma + 1.772 * cb] {
                rgb.push(value.round().clamp(0.0, 255.0) as u8);
            }
        }
    }
    rgb
}

/// The bytes of a JPEG of the photograph.
pub(crate) fn jpeg(paper: &Paper, seed: u64, shot: Shot) -> Vec<u8> {
    let (width, height, rgb) = photograph(paper, seed, shot);
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, shot.quality)
        .write_image(&rgb, width as u32, height as u32, ExtendedColorType::Rgb8)
        .expect("a JPEG of this size can be written");
    bytes
}

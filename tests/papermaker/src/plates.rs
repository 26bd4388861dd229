//! The printing plates of one design: shapes and inks in, the share of each ink in each pixel out.
//!
//! A pixel always holds whole shares that sum to 1, so how much of a paper each colour takes is
//! known and not estimated. A design that repeats is drawn once, on a cell whose edges meet.
//! Nothing here knows what the inks look like; that is `press`.

use crate::coverage::{Cover, blurred, cover};
use crate::maths::{floor, single, smooth};
use crate::outline::{Outline, Pt, distance};
use crate::random::{Dice, Noise};

/// One ink of a design, by its place in the design's palette; ink 0 is the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ink(pub usize);

/// How one ink runs into the next within a shape.
#[derive(Clone, Copy, Debug)]
pub enum Flow {
    /// From a point outwards, all the way over within `reach` millimetres.
    Out {
        /// Where the first ink is pure.
        from: Pt,
        /// How far off the second ink is pure.
        reach: f64,
    },
    /// From one point to another.
    Along {
        /// Where the first ink is pure.
        from: Pt,
        /// Where the second ink is pure.
        to: Pt,
    },
    /// In clouds this many millimetres across.
    Clouds(f64),
}

/// How a shape is inked.
#[derive(Clone, Copy, Debug)]
pub struct Fill {
    ink: Ink,
    into: Option<(Ink, Flow)>,
    opacity: f64,
    mottle: f64,
    mottle_wave: f64,
    pool: f64,
    tremble: f64,
    wave: f64,
    streaks: Option<(f64, Pt)>,
}

impl Fill {
    /// Even, opaque ink with a slightly trembling edge.
    pub const fn flat(ink: Ink) -> Self {
        Self {
            ink,
            into: None,
            opacity: 1.0,
            mottle: 0.0,
            mottle_wave: 2.0,
            pool: 0.0,
            tremble: 0.12,
            wave: 1.6,
            streaks: None,
        }
    }

    /// A watercolour wash: translucent, mottled, darker where it pooled at the rim.
    pub const fn wash(ink: Ink) -> Self {
        Self { opacity: 0.86, mottle: 0.35, mottle_wave: 2.2, pool: 0.22, tremble: 0.22, ..Self::flat(ink) }
    }

    /// The same, running into a second ink.
    pub const fn into(self, second: Ink, flow: Flow) -> Self {
        Self { into: Some((second, flow)), ..self }
    }

    /// The same at another opacity (0 to 1).
    pub const fn opacity(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }

    /// The same, thinner in clouds `wave` millimetres across, by up to `amount`.
    pub const fn mottled(self, amount: f64, wave: f64) -> Self {
        Self { mottle: amount, mottle_wave: wave, ..self }
    }

    /// The same, darker at the rim by up to `amount`.
    pub const fn pooled(self, amount: f64) -> Self {
        Self { pool: amount, ..self }
    }

    /// The same with an edge that wanders by up to `by` over `wave` millimetres.
    pub const fn trembling(self, by: f64, wave: f64) -> Self {
        Self { tremble: by, wave, ..self }
    }

    /// The same with dry bristle marks along a direction, baring up to `amount` of what is below.
    pub const fn streaked(self, amount: f64, along: Pt) -> Self {
        Self { streaks: Some((amount, along)), ..self }
    }
}

/// What one shape does to one pixel.
#[derive(Clone, Copy)]
struct Dab {
    cover: f32,
    second: f32,
    tone: f32,
}

/// The plates of a design.
#[derive(Clone, Debug)]
pub struct Plates {
    width: usize,
    height: usize,
    per_mm: f64,
    inks: usize,
    /// How far down the next cell to the right starts, in pixels; `None` where nothing repeats.
    drop: Option<usize>,
    shares: Vec<f32>,
    tone: Vec<f32>,
    dice: Dice,
}

impl Plates {
    /// Blank plates for a sheet that does not repeat, all ground.
    pub fn sheet(width: usize, height: usize, per_mm: f64, inks: usize, seed: u64) -> Self {
        let mut shares = vec![0.0; width * height * inks];
        for pixel in shares.chunks_exact_mut(inks) {
            pixel[0] = 1.0;
        }
        Self { width, height, per_mm, inks, drop: None, shares, tone: vec![0.0; width * height], dice: Dice::new(seed) }
    }

    /// Blank plates for a cell that repeats; each column of cells starts `drop` pixels lower.
    pub fn cell(width: usize, height: usize, drop: usize, per_mm: f64, inks: usize, seed: u64) -> Self {
        Self { drop: Some(drop % height.max(1)), ..Self::sheet(width, height, per_mm, inks, seed) }
    }

    /// Width of the sheet or cell in millimetres.
    pub fn wide(&self) -> f64 {
        f64::from(u32::try_from(self.width).unwrap_or(u32::MAX)) / self.per_mm
    }

    /// Height of the sheet or cell in millimetres.
    pub fn high(&self) -> f64 {
        f64::from(u32::try_from(self.height).unwrap_or(u32::MAX)) / self.per_mm
    }

    /// Where the cell's neighbours stand, in millimetres: itself first.
    pub fn neighbours(&self) -> Vec<Pt> {
        let mut out = vec![[0.0, 0.0]];
        if let Some(drop) = self.drop {
            let drop = f64::from(u32::try_from(drop).unwrap_or(0)) / self.per_mm;
            for i in -1..=1 {
                for j in -2..=2 {
                    if (i, j) != (0, 0) {
                        let (i, j) = (f64::from(i), f64::from(j));
                        out.push([i * self.wide(), i * drop + j * self.high()]);
                    }
                }
            }
        }
        out
    }

    /// A seed for the next thing drawn.
    pub fn seed(&mut self) -> u64 {
        self.dice.bits()
    }

    /// Prints a shape.
    pub fn lay(&mut self, shape: &Outline, fill: &Fill) {
        let seed = self.seed();
        let shaken;
        let shape = if fill.tremble > 0.0 {
            shaken = shape.trembled(fill.tremble, fill.wave, seed);
            &shaken
        } else {
            shape
        };
        let loops: Vec<Vec<Pt>> = shape
            .loops
            .iter()
            .map(|ring| ring.iter().map(|p| [p[0] * self.per_mm, p[1] * self.per_mm]).collect())
            .collect();
        let Some(cover) = cover(&loops) else { return };
        let dabs = self.dabs(&cover, fill, seed);
        for (dx, dy) in self.shifts(&cover) {
            self.print(&cover, &dabs, fill, dx, dy);
        }
    }

    fn dabs(&self, cover: &Cover, fill: &Fill, seed: u64) -> Vec<Dab> {
        let noise = Noise::new(seed);
        let flow_noise = Noise::new(seed ^ 0x77);
        let rim = (fill.pool > 0.0).then(|| {
            let radius = usize::try_from(floor(0.55 * self.per_mm)).unwrap_or(1).max(1);
            blurred(cover, radius)
        });
        let mut out = Vec::with_capacity(cover.share.len());
        let (mut px, mut py) = (0_i32, 0_i32);
        for (i, &share) in cover.share.iter().enumerate() {
            let p = [(f64::from(cover.x + px) + 0.5) / self.per_mm, (f64::from(cover.y + py) + 0.5) / self.per_mm];
            px += 1;
            if usize::try_from(px) == Ok(cover.width) {
                (px, py) = (0, py + 1);
            }
            if share <= 0.0 {
                out.push(Dab { cover: 0.0, second: 0.0, tone: 0.0 });
                continue;
            }
            let mut opacity = fill.opacity;
            if fill.mottle > 0.0 {
                let n = noise.cloud(p[0] / fill.mottle_wave, p[1] / fill.mottle_wave);
                opacity *= 1.0 - fill.mottle * smooth(-0.7, 0.9, n);
            }
            if let Some((amount, along)) = fill.streaks {
                let u = p[0] * along[0] + p[1] * along[1];
                let v = p[0] * along[1] - p[1] * along[0];
                opacity *= 1.0 - amount * smooth(0.05, 0.55, noise.cloud(u * 0.13, v * 1.7));
            }
            let second = fill.into.map_or(0.0, |(_, flow)| match flow {
                Flow::Out { from, reach } => {
                    distance(p, from) / reach.max(1e-6) + 0.35 * flow_noise.cloud(p[0] / 1.8, p[1] / 1.8)
                }
                Flow::Along { from, to } => {
                    let d = [to[0] - from[0], to[1] - from[1]];
                    let long = (d[0] * d[0] + d[1] * d[1]).max(1e-9);
                    ((p[0] - from[0]) * d[0] + (p[1] - from[1]) * d[1]) / long
                        + 0.3 * flow_noise.cloud(p[0] / 2.2, p[1] / 2.2)
                }
                Flow::Clouds(wave) => 0.5 + 0.9 * flow_noise.cloud(p[0] / wave, p[1] / wave),
            });
            let tone = rim.as_ref().map_or(0.0, |rim| -fill.pool * smooth(0.0, 1.0, 1.6 * (1.0 - f64::from(rim[i]))));
            out.push(Dab {
                cover: share * single(opacity),
                second: single(smooth(0.0, 1.0, second)),
                tone: single(tone),
            });
        }
        out
    }

    /// The pixel shifts at which the block shows on this sheet or cell.
    fn shifts(&self, cover: &Cover) -> Vec<(i32, i32)> {
        let (Ok(w), Ok(h)) = (i32::try_from(self.width), i32::try_from(self.height)) else { return Vec::new() };
        let (Ok(cw), Ok(ch)) = (i32::try_from(cover.width), i32::try_from(cover.height)) else { return Vec::new() };
        let Some(drop) = self.drop.and_then(|d| i32::try_from(d).ok()) else { return vec![(0, 0)] };
        let mut out = Vec::new();
        for i in -cover.x.div_euclid(w) - cw / w - 2..=-cover.x.div_euclid(w) + 2 {
            let x = cover.x + i * w;
            if x >= w || x + cw <= 0 {
                continue;
            }
            let base = cover.y + i * drop;
            for j in -base.div_euclid(h) - ch / h - 2..=-base.div_euclid(h) + 2 {
                let y = base + j * h;
                if y < h && y + ch > 0 {
                    out.push((i * w, i * drop + j * h));
                }
            }
        }
        out
    }

    fn print(&mut self, cover: &Cover, dabs: &[Dab], fill: &Fill, dx: i32, dy: i32) {
        for row in 0..cover.height {
            let Ok(y) = usize::try_from(cover.y + dy + i32::try_from(row).unwrap_or(0)) else { continue };
            if y >= self.height {
                break;
            }
            for column in 0..cover.width {
                let Ok(x) = usize::try_from(cover.x + dx + i32::try_from(column).unwrap_or(0)) else { continue };
                if x >= self.width {
                    break;
                }
                let dab = dabs[row * cover.width + column];
                self.dab(y * self.width + x, dab, fill.ink, fill.into.map(|(second, _)| second));
            }
        }
    }

    fn dab(&mut self, at: usize, dab: Dab, first: Ink, second: Option<Ink>) {
        if dab.cover <= 0.0 {
            return;
        }
        let pixel = &mut self.shares[at * self.inks..(at + 1) * self.inks];
        for share in pixel.iter_mut() {
            *share *= 1.0 - dab.cover;
        }
        pixel[first.0] += dab.cover * (1.0 - dab.second);
        pixel[second.unwrap_or(first).0] += dab.cover * dab.second;
        self.tone[at] = self.tone[at] * (1.0 - dab.cover) + dab.tone * dab.cover;
    }

    /// Washes an ink over the whole sheet, as thick as `cover` says (0 to 1) at each point.
    pub fn wash(&mut self, ink: Ink, cover: impl Fn(Pt) -> f64) {
        self.each(|plates, at, p| {
            let dab = Dab { cover: single(cover(p).clamp(0.0, 1.0)), second: 0.0, tone: 0.0 };
            plates.dab(at, dab, ink, None);
        });
    }

    /// Darkens (below 0) or lightens (above 0) whatever is printed, by a share of its light.
    pub fn shade(&mut self, tone: impl Fn(Pt) -> f64) {
        self.each(|plates, at, p| plates.tone[at] += single(tone(p)));
    }

    fn each(&mut self, mut act: impl FnMut(&mut Self, usize, Pt)) {
        let mut at = 0;
        for y in 0..self.height {
            for x in 0..self.width {
                let mm = |n: usize| (f64::from(u32::try_from(n).unwrap_or(0)) + 0.5) / self.per_mm;
                let p = [mm(x), mm(y)];
                act(self, at, p);
                at += 1;
            }
        }
    }

    /// The share of the sheet or cell each ink takes.
    pub fn mean_shares(&self) -> Vec<f64> {
        let mut sums = vec![0.0_f64; self.inks];
        for pixel in self.shares.chunks_exact(self.inks) {
            for (sum, share) in sums.iter_mut().zip(pixel) {
                *sum += f64::from(*share);
            }
        }
        let all: f64 = sums.iter().sum();
        sums.into_iter().map(|sum| sum / all).collect()
    }

    /// The ink shares and the tone at a pixel of the printed sheet.
    pub fn look(&self, x: usize, y: usize) -> (&[f32], f32) {
        let (column, x) = (x / self.width, x % self.width);
        let drop = self.drop.unwrap_or(0) * column % self.height;
        let y = (y + self.height - drop) % self.height;
        let at = y * self.width + x;
        (&self.shares[at * self.inks..(at + 1) * self.inks], self.tone[at])
    }
}

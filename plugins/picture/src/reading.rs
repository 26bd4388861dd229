//! A picture and what is known about how it was taken in, swatches and pattern measures out.

use crate::extract::{Found, Ink, inks, samples};
use crate::pattern::{Part, measure, one_hue};
use crate::shine::shines;
use crate::space::{Light, lab_of, shade_of};
use crate::surface::{Sample, Surface};
use crate::vote::Field;
use crate::white::{Printed, margin, patch};
use crate::work::Work;
use crate::{Note, Picture};
use api::palette::{FromColor, LinSrgb};
use api::units::Length;
use api::{Colour, Pattern, Share, Swatch};

/// What the picture's colours are measured against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum White {
    /// The colours are taken as they stand: flat artwork, or a scan already corrected.
    AsIs,
    /// The unprinted margin, where the picture has one; else as they stand, marked as an estimate.
    Auto,
    /// A rectangle of white paper, in pixels of the upright picture.
    Patch {
        /// Its left edge.
        x: u32,
        /// Its top edge.
        y: u32,
        /// How wide it is.
        width: u32,
        /// How high it is.
        height: u32,
    },
}

/// What office paper looks like under even daylight: it reflects 0.9 of the light, without colour,
/// which is sRGB 243 and CIELAB 95.997, 0, 0.
pub const OFFICE_PAPER: Colour = Colour::new(95.996_8, 0.0, 0.0);

/// How large the picture is in the world, for measures in lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Not known: no lengths are given.
    Unknown,
    /// Pixels to the inch.
    Dpi(u32),
    /// The picture shows this width of paper from edge to edge.
    Across(Length),
}

/// How a picture is to be read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Where the white is.
    pub white: White,
    /// What colour that white truly is: [`OFFICE_PAPER`] unless she has measured hers.
    pub paper: Colour,
    /// How large the picture is in the world.
    pub scale: Scale,
}

impl Options {
    /// For pictures whose colours are already true: nothing is corrected, lengths are unknown.
    pub const AS_IS: Self = Self { white: White::AsIs, paper: OFFICE_PAPER, scale: Scale::Unknown };
    /// For photographs: the white is looked for in the margin.
    pub const PHOTOGRAPH: Self = Self { white: White::Auto, paper: OFFICE_PAPER, scale: Scale::Unknown };
}

/// How the white was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum WhiteFound {
    /// It was not looked for: the colours were taken as they stand.
    AsIs,
    /// In the unprinted margin.
    Margin,
    /// In the rectangle that was named.
    Patch,
    /// It was looked for and not found, or could not be used: the colours are an estimate.
    Nowhere,
}

/// What a picture says of a paper.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Reading {
    /// The paper's colours, largest share first (ties: lighter first); shares add up to exactly one.
    pub swatches: Vec<Swatch>,
    /// What its pattern measures.
    pub pattern: Pattern,
    /// What the maker should know, in a fixed order: how it was decoded and how it was measured.
    pub notes: Vec<Note>,
    /// Whether all its colours are shades of one hue, whatever the pattern is made of.
    pub tonal: bool,
    /// How the white was found.
    pub white: WhiteFound,
}

impl Reading {
    /// Whether the colours are only an estimate, since no white was found to hold them against, or the
    /// picture was in print colours.
    #[must_use]
    pub fn is_estimate(&self) -> bool {
        self.white == WhiteFound::Nowhere || self.notes.contains(&Note::PrintColours)
    }

    /// Whether the surface sends the light in one direction, so that no picture tells its colours.
    #[must_use]
    pub fn is_unreliable(&self) -> bool {
        self.notes.contains(&Note::Shine)
    }
}

/// Measures a paper from its picture. Pure and repeatable: the same picture gives the same values,
/// whatever the build and the number of processors.
#[must_use]
pub fn swatches(picture: &Picture, options: &Options) -> Reading {
    let mut notes = picture.notes().to_vec();
    let work = Work::of(picture);
    let light = lighting(&work, options, &mut notes);
    let frame = light.printed.inner(work.width, work.height).unwrap_or([0, 0, work.width, work.height]);
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let found = inks(&work, &light.surface, frame, |x, y| light.printed.holds(x as f64, y as f64, 0.0));
    let swatches = shared(&found.inks);
    let parts = parts(&found);
    let field = Field { shades: &found.shades, width: work.width, frame };
    let pattern = measure(field, &parts, found.near, pixel_width(picture, &work, options.scale));
    // Without a white to hold against, bright is only bright.
    let is_held = matches!(light.found, WhiteFound::Margin | WhiteFound::Patch);
    if is_held && shines(field, light_of_paper(options.paper)) {
        notes.push(Note::Shine);
    }
    notes.sort();
    notes.dedup();
    Reading { swatches, pattern, notes, tonal: one_hue(&parts), white: light.found }
}

/// The colours found, with their shares, largest first.
fn parts(found: &Found) -> Vec<Part> {
    let all: f64 = found.inks.iter().map(|ink| ink.area).sum();
    let mut parts: Vec<Part> =
        found.inks.iter().map(|ink| Part { shade: shade_of(ink.light), share: ink.area / all.max(1.0) }).collect();
    parts.sort_by(|one, two| two.share.total_cmp(&one.share));
    parts
}

/// How wide one measured pixel is in the world, in millimetres.
fn pixel_width(picture: &Picture, work: &Work, scale: Scale) -> Option<f64> {
    #[allow(clippy::cast_precision_loss, reason = "a small number")]
    let factor = work.factor as f64;
    match scale {
        Scale::Unknown | Scale::Dpi(0) => None,
        Scale::Dpi(dpi) => Some(25.4 / f64::from(dpi) * factor),
        #[allow(clippy::cast_precision_loss, reason = "a length of paper is far below 2^52 nanometres")]
        Scale::Across(width) => {
            let width = width.nanometres() as f64 / 1e6;
            (width > 0.0).then(|| width / f64::from(picture.width()) * factor)
        }
    }
}

/// How the light falls, where the print is, and how that was found out.
struct Lighting {
    surface: Surface,
    printed: Printed,
    found: WhiteFound,
}

/// Finds the white and how the light falls over the picture.
fn lighting(work: &Work, options: &Options, notes: &mut Vec<Note>) -> Lighting {
    let as_it_stands =
        |found| Lighting { surface: Surface::even([1.0; 3]), printed: Printed::whole(work.width, work.height), found };
    let white = light_of_paper(options.paper);
    match options.white {
        White::AsIs => as_it_stands(WhiteFound::AsIs),
        White::Auto => {
            let Some(found) = margin(work, white) else {
                notes.push(Note::NoWhite);
                // How the light changes still shows in the colours; how strong it is does not.
                let mut light = as_it_stands(WhiteFound::Nowhere);
                let frame = [0, 0, work.width, work.height];
                light.surface = evened(work, light.surface, &[], white, frame, &[2, 3, 3, 4]);
                return light;
            };
            if found.burnt > 0.2 {
                notes.push(Note::WhiteBurnt);
            }
            let mut surface = found.surface;
            if let Some(frame) = found.printed.inner(work.width, work.height) {
                surface = evened(work, surface, &found.samples, white, frame, &[4, 4]);
            }
            Lighting { surface, printed: found.printed, found: WhiteFound::Margin }
        }
        White::Patch { x, y, width, height } => {
            let factor = work.factor;
            let low = |edge: u32, most: usize| (edge as usize).div_ceil(factor).min(most);
            let high = |edge: u32, size: u32, most: usize| {
                (edge as usize).saturating_add(size as usize).div_euclid(factor).min(most)
            };
            let rect =
                [low(x, work.width), low(y, work.height), high(x, width, work.width), high(y, height, work.height)];
            if rect[0] >= rect[2] || rect[1] >= rect[3] {
                notes.push(Note::NoWhite);
                return as_it_stands(WhiteFound::Nowhere);
            }
            let samples = patch(work, rect);
            let Some(surface) = Surface::fit(&samples, white, 0) else {
                notes.push(Note::NoWhite);
                return as_it_stands(WhiteFound::Nowhere);
            };
            notes.push(Note::OnePatch);
            let frame = [0, 0, work.width, work.height];
            let surface = evened(work, surface, &samples, white, frame, &[2, 3, 3]);
            Lighting { surface, printed: Printed::whole(work.width, work.height), found: WhiteFound::Patch }
        }
    }
}

/// The surface made better by the printed colours: each is one colour wherever it lies, so where it
/// looks lighter more light falls. White keeps half the say. One fit for each of `degrees`.
fn evened(
    work: &Work,
    first: Surface,
    white_samples: &[Sample],
    white: Light,
    frame: [usize; 4],
    degrees: &[usize],
) -> Surface {
    // Half the pixels each way are plenty to see how the light falls.
    let half = (work.width * work.height > 700_000).then(|| work.halved());
    let (work, frame) = match &half {
        Some(half) => {
            let [left, top, right, bottom] = frame;
            (half, [left.div_ceil(2), top.div_ceil(2), right / 2, bottom / 2])
        }
        None => (work, frame),
    };
    let mut surface = first;
    for &degree in degrees {
        let mut all = samples(work, &surface, frame);
        let printed: f64 = all.iter().map(|sample| sample.weight).sum();
        #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
        let weight = (printed / white_samples.len().max(1) as f64).max(1e-3);
        all.extend(white_samples.iter().map(|sample| Sample { weight, ..*sample }));
        match Surface::fit(&all, white, degree) {
            Some(better) => surface = better,
            None => break,
        }
    }
    surface
}

/// Linear light of a paper white.
fn light_of_paper(paper: Colour) -> Light {
    let rgb: LinSrgb<f64> = LinSrgb::from_color(paper);
    [rgb.red, rgb.green, rgb.blue].map(|light| if light.is_finite() { light.clamp(0.05, 1.0) } else { 0.9 })
}

/// Swatches from inks: shares in whole millionths that add up to exactly one, by largest remainder;
/// largest share first, ties by lightness, then a, then b, high ones first.
fn shared(inks: &[Ink]) -> Vec<Swatch> {
    let total: f64 = inks.iter().map(|ink| ink.area).sum();
    // A picture without a pixel to count still has its first colour.
    let part = |ink: &Ink| if total > 0.0 { ink.area / total * 1e6 } else { 0.0 };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to a million")]
    let mut rows: Vec<(Colour, u32, f64)> =
        inks.iter().map(|ink| (lab_of(ink.light), part(ink).floor() as u32, part(ink).fract())).collect();
    let lighter = |one: &Colour, two: &Colour| {
        two.l.total_cmp(&one.l).then(two.a.total_cmp(&one.a)).then(two.b.total_cmp(&one.b))
    };
    rows.sort_by(|one, two| two.2.total_cmp(&one.2).then_with(|| lighter(&one.0, &two.0)));
    let mut missing = 1_000_000_u32.saturating_sub(rows.iter().map(|row| row.1).sum());
    while missing > 0 && !rows.is_empty() {
        for row in &mut rows {
            if missing > 0 {
                row.1 += 1;
                missing -= 1;
            }
        }
    }
    rows.retain(|row| row.1 > 0);
    rows.sort_by(|one, two| two.1.cmp(&one.1).then_with(|| lighter(&one.0, &two.0)));
    rows.into_iter()
        .map(|(colour, millionths, _)| Swatch {
            colour,
            share: Share::from_millionths(millionths).unwrap_or(Share::ONE),
        })
        .collect()
}

//! The colours of a picture and their shares: a picture in linear light and its lighting in, inks out.
//!
//! Flat places vote (`vote`), votes gather into hills (`peaks`), hills that are only mixtures of
//! their neighbours are dropped, and every pixel is then counted for one colour, or for two in the
//! proportion it is mixed of. It never decides how many colours there should be.

use crate::dots::true_colour;
use crate::focus::blur;
use crate::hidden::{is_smear, settle};
use crate::peaks::hills;
use crate::space::{Light, Shade, apart, apart_squared, light_of, shade_of};
use crate::specks::specks;
use crate::surface::{Sample, Surface, place};
use crate::vote::{Field, Noise, Vote, WINDOW, nearest, noise, rare_votes, votes};
use crate::work::Work;

/// The least share of the votes of evenly spread places that makes a colour.
const LEAST_COMMON: f64 = 0.02;
/// The least share of all pixels, standing flat, that makes a colour where every place is asked.
const LEAST_RARE: f64 = 0.000_02;
/// A colour whose votes find less than this part of their window alike stands in thin lines only.
const THIN: f32 = 0.24;
/// A colour whose votes find less than this part of their window alike may stand in dots only.
const SMALL: f32 = 0.3;
/// The fewest dots of a colour that is seen in dots only.
const LEAST_DOTS: usize = 12;
/// How far the votes of such dots scatter, in stretched Oklab.
const DOT_SPREAD: f32 = 2.0;
/// Colours nearer than this, in stretched Oklab, are one colour.
const SAME: f32 = 1.7;

/// One printed colour.
#[derive(Clone, Debug)]
pub(crate) struct Ink {
    /// Its strength in linear light, under even light.
    pub(crate) light: Light,
    /// How much of the counted area it takes, in pixels counted.
    pub(crate) area: f64,
}

/// What was found: the inks, and the votes with the ink of each, for evening out the light.
pub(crate) struct Found {
    pub(crate) inks: Vec<Ink>,
    /// The evened shades of the whole picture.
    pub(crate) shades: Vec<Shade>,
    /// How far, squared, a single pixel may lie from the colour it shows.
    pub(crate) near: f32,
}

/// Dots of one colour: how far it lies from all others, what it looks like, and where they are.
struct Dots {
    far: f32,
    shade: Shade,
    places: Vec<(u32, u32)>,
}

/// Votes and the colours they are for.
struct Groups {
    /// The colours.
    shades: Vec<Shade>,
    /// How large the flats are in which each colour stands: the mean part of a vote's window alike.
    solid: Vec<f32>,
    votes: Vec<Vote>,
    /// For each vote its colour; `None` where it was dropped.
    of_vote: Vec<Option<usize>>,
}

/// The colours of a field: first those of evenly spread places, then those that only show where every
/// place is asked.
fn grouped(field: Field<'_>, noise: Noise) -> Groups {
    let mut groups = common(field, noise);
    let [left, top, right, bottom] = field.frame;
    #[allow(clippy::cast_precision_loss, reason = "pictures are far smaller than 2^52")]
    let pixels = ((right - left) * (bottom - top)) as f64;
    let reach = 3.0 * noise.iter().map(|noise| noise * noise).sum::<f32>().sqrt() + 2.0;
    let rare = rare_votes(field, noise, &groups.shades, reach * reach);
    groups.add(field, noise, rare, (pixels * LEAST_RARE).max(12.0));
    groups.drop_smears();
    let blur = blur(field);
    groups.cleanse(field, sure(noise), blur);
    let dots = specks(field, &groups.shades, sure(noise));
    groups.add_dots(field, sure(noise), &dots, blur);
    groups
}

/// The colours that evenly spread places show.
fn common(field: Field<'_>, noise: Noise) -> Groups {
    let mut groups = Groups { shades: Vec::new(), solid: Vec::new(), votes: Vec::new(), of_vote: Vec::new() };
    let common = votes(field, noise);
    #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
    let least = common.len() as f64 * LEAST_COMMON;
    groups.add(field, noise, common, least);
    groups
}

impl Groups {
    /// Sorts more votes into colours: those found before, or new ones with at least `least` votes.
    fn add(&mut self, field: Field<'_>, noise: Noise, votes: Vec<Vote>, least: f64) {
        let spread = (0.1 * noise.iter().fold(0.0_f32, |most, value| most.max(*value)) + 0.3).clamp(0.35, 2.0);
        let (hill, count) = hills(&votes, spread);
        let mut members: Vec<Vec<&Vote>> = vec![Vec::new(); count];
        votes.iter().zip(&hill).for_each(|(vote, &hill)| members[hill].push(vote));
        let mut number: Vec<Option<usize>> = vec![None; count];
        for (group, members) in members.iter().enumerate() {
            // A first colour there is always.
            #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
            if (members.len() as f64) < least && !self.shades.is_empty() {
                continue;
            }
            let shade = solid_mean(members);
            // Groups come largest first, so a near double joins the larger.
            if let Some((other, far)) = nearest(&self.shades, shade)
                && far.sqrt() < SAME
            {
                number[group] = Some(other);
                continue;
            }
            if is_mixture(field, noise, shade, members, &self.shades) {
                continue;
            }
            number[group] = Some(self.shades.len());
            self.shades.push(shade);
            #[allow(clippy::cast_precision_loss, reason = "a count of votes")]
            let alike = members.iter().map(|vote| vote.alike as f32).sum::<f32>() / members.len().max(1) as f32;
            #[allow(clippy::cast_precision_loss, reason = "a small number")]
            self.solid.push(alike / WINDOW as f32);
        }
        self.of_vote.extend(hill.iter().map(|&hill| number[hill]));
        self.votes.extend(votes);
    }

    /// Drops colours that stand only in lines too thin to be themselves: their lightness lies between
    /// that of two more solid colours and so does their hue and chroma, each by its own measure, since
    /// JPEG keeps colour more coarsely than lightness and smears the one further than the other.
    fn drop_smears(&mut self) {
        let smear = |at: usize| {
            (0..self.shades.len()).any(|one| {
                (one + 1..self.shades.len()).any(|two| {
                    let (from, to) = (self.shades[one], self.shades[two]);
                    if one == at || two == at || self.solid[one].min(self.solid[two]) < 1.3 * self.solid[at] {
                        return false;
                    }
                    is_smear(self.shades[at], from, to)
                })
            })
        };
        let kept: Vec<bool> = (0..self.shades.len()).map(|at| self.solid[at] > THIN || !smear(at)).collect();
        let mut number = vec![None; kept.len()];
        kept.iter()
            .enumerate()
            .filter(|(_, kept)| **kept)
            .enumerate()
            .for_each(|(new, (old, _))| number[old] = Some(new));
        let mut keep = kept.iter();
        self.shades.retain(|_| keep.next().copied().unwrap_or(true));
        let mut keep = kept.iter();
        self.solid.retain(|_| keep.next().copied().unwrap_or(true));
        self.of_vote.iter_mut().for_each(|of| *of = of.and_then(|old| number[old]));
    }

    /// Works out the colours of those that stand in small dots only from all the light the dots add.
    fn cleanse(&mut self, field: Field<'_>, far: f32, blur: Option<f64>) {
        for at in 0..self.shades.len() {
            if self.solid[at] > SMALL {
                continue;
            }
            let of_this = self.votes.iter().zip(&self.of_vote).filter(|(_, of)| **of == Some(at));
            let places: Vec<(u32, u32)> = of_this.map(|(vote, _)| (vote.x, vote.y)).collect();
            let others: Vec<Shade> =
                (0..self.shades.len()).filter(|&other| other != at).map(|other| self.shades[other]).collect();
            if let Some(found) = true_colour(field, &places, self.shades[at], &others, far, blur) {
                self.shades[at] = found;
            }
        }
    }

    /// Adds the colours of dots. Each dot is mixed with its ground more or less, so those least mixed
    /// give the colour: the half that lies furthest from all colours known before.
    fn add_dots(&mut self, field: Field<'_>, far: f32, dots: &[Vote], blur: Option<f64>) {
        let (hill, count) = hills(dots, DOT_SPREAD);
        let before = self.shades.clone();
        let mut members: Vec<Vec<(f32, &Vote)>> = vec![Vec::new(); count];
        for (dot, &hill) in dots.iter().zip(&hill) {
            let far = nearest(&before, dot.shade).map_or(0.0, |(_, far)| far);
            members[hill].push((far, dot));
        }
        let mut found: Vec<Dots> = Vec::new();
        for mut members in members {
            if members.len() < LEAST_DOTS {
                continue;
            }
            members.sort_by(|one, two| two.0.total_cmp(&one.0));
            let best = &members[..members.len().div_ceil(2)];
            #[allow(clippy::cast_precision_loss, reason = "a count of dots")]
            let mean = |of: &dyn Fn(&(f32, &Vote)) -> f32| best.iter().map(of).sum::<f32>() / best.len() as f32;
            let places = members.iter().map(|(_, dot)| (dot.x, dot.y)).collect();
            found.push(Dots {
                far: mean(&|dot| dot.0),
                shade: std::array::from_fn(|c| mean(&|dot| dot.1.shade[c])),
                places,
            });
        }
        // The purest first: the others may be the same dots on another ground.
        found.sort_by(|one, two| two.far.total_cmp(&one.far));
        for Dots { shade, places, .. } in found {
            let light = light_of(shade);
            let paler = self.shades.iter().any(|&pure| {
                before.iter().any(|&ground| {
                    let (from, to) = (light_of(ground), light_of(pure));
                    let (part, _) = mixed(light, from, to);
                    let between = std::array::from_fn(|c| from[c] + (to[c] - from[c]) * part);
                    part > 0.25 && apart(shade_of(between), shade) < 5.0
                })
            });
            if !paler && nearest(&self.shades, shade).is_none_or(|(_, far)| far.sqrt() > 2.0 * SAME) {
                self.shades.push(true_colour(field, &places, shade, &before, far, blur).unwrap_or(shade));
                self.solid.push(0.0);
            }
        }
    }
}

/// The mean shade of the votes that stand in the largest flats: the half with the most alike about
/// them, so that colour which bled over an edge counts least.
fn solid_mean(members: &[&Vote]) -> Shade {
    let mut alike: Vec<u32> = members.iter().map(|vote| vote.alike).collect();
    alike.sort_unstable();
    let bar = alike.get(alike.len() / 2).copied().unwrap_or(0);
    let (mut sum, mut count) = ([0.0_f64; 3], 0.0);
    for vote in members.iter().filter(|vote| vote.alike >= bar) {
        sum.iter_mut().zip(vote.shade).for_each(|(sum, value)| *sum += f64::from(value));
        count += 1.0;
    }
    #[allow(clippy::cast_possible_truncation, reason = "single precision is enough for a shade")]
    let mean = sum.map(|sum| (sum / f64::max(count, 1.0)) as f32);
    mean
}

/// Whether a colour is what two others make where they meet: it lies between them in linear light,
/// and nearly everywhere it occurs both of them are close by.
fn is_mixture(field: Field<'_>, noise: Noise, shade: Shade, members: &[&Vote], others: &[Shade]) -> bool {
    const ABOUT: usize = 5;
    let light = light_of(shade);
    let step = members.len() / 60 + 1;
    let near = (2.0 * noise.iter().map(|noise| noise * noise).sum::<f32>().sqrt() + 2.5).powi(2);
    let [left, top, right, bottom] = field.frame;
    for (at, &one) in others.iter().enumerate() {
        for &two in &others[at + 1..] {
            let (from, to) = (light_of(one), light_of(two));
            let (part, _) = mixed(light, from, to);
            let between = std::array::from_fn(|c| from[c] + (to[c] - from[c]) * part);
            if !(0.04..=0.96).contains(&part) || apart(shade_of(between), shade) > 3.0 {
                continue;
            }
            let (mut both, mut asked) = (0, 0);
            for vote in members.iter().step_by(step) {
                let (x, y) = (vote.x as usize, vote.y as usize);
                let (mut has_one, mut has_two) = (false, false);
                for row in y.saturating_sub(ABOUT).max(top)..(y + ABOUT + 1).min(bottom) {
                    for column in x.saturating_sub(ABOUT).max(left)..(x + ABOUT + 1).min(right) {
                        let here = field.at(column, row);
                        let own = apart_squared(here, shade);
                        let (to_one, to_two) = (apart_squared(here, one), apart_squared(here, two));
                        has_one |= to_one < near && to_one < own;
                        has_two |= to_two < near && to_two < own;
                    }
                }
                asked += 1;
                both += usize::from(has_one && has_two);
            }
            if both * 100 >= asked * 75 {
                return true;
            }
        }
    }
    false
}

/// How much of `to` is in a light mixed of `from` and `to`, 0 to 1, and how far, squared, the light
/// is from that mixture; measured where the eye would, with dark light counting more.
pub(crate) fn mixed(light: Light, from: Light, to: Light) -> (f64, f64) {
    let weigh = |c: usize| 1.0 / (0.02 + 0.5 * (from[c] + to[c]) + light[c]);
    let (mut dot, mut long) = (0.0, 0.0);
    for c in 0..3 {
        dot += (light[c] - from[c]) * (to[c] - from[c]) * weigh(c);
        long += (to[c] - from[c]).powi(2) * weigh(c);
    }
    let part = if long > 0.0 { (dot / long).clamp(0.0, 1.0) } else { 0.0 };
    let off = (0..3).map(|c| (light[c] - from[c] - (to[c] - from[c]) * part).powi(2) * weigh(c)).sum();
    (part, off)
}

/// Samples of printed colours for evening out the light.
pub(crate) fn samples(work: &Work, surface: &Surface, frame: [usize; 4]) -> Vec<Sample> {
    let shades = work.shades(surface);
    let field = Field { shades: &shades, width: work.width, frame };
    let noise = noise(field);
    let groups = common(field, noise);
    let mut samples = Vec::new();
    let step = (groups.votes.len() / 8_000).max(1);
    for (vote, group) in groups.votes.iter().zip(&groups.of_vote).step_by(step) {
        let Some(group) = *group else { continue };
        if vote.alike * 2 < WINDOW || apart(vote.shade, groups.shades[group]) > 5.0 {
            continue;
        }
        let (x, y) = place(f64::from(vote.x), f64::from(vote.y), work.width, work.height);
        let shade_light = light_of(vote.shade);
        let lit = surface.log_at(x, y);
        let light = std::array::from_fn(|c| shade_light[c].max(1e-5) * lit[c].exp());
        // Dark colours tell little: what is added to all light weighs most with them.
        let least = shade_light.iter().fold(f64::INFINITY, |least, value| least.min(*value)).max(0.0);
        samples.push(Sample { x, y, light, weight: (least / (least + 0.03)).powi(2), group: Some(group) });
    }
    samples
}

/// The colours of what lies in `frame`, where `counts` says of a pixel whether it is printed.
pub(crate) fn inks(
    work: &Work,
    surface: &Surface,
    frame: [usize; 4],
    counts: impl Fn(usize, usize) -> bool + Sync,
) -> Found {
    let shades = work.shades(surface);
    let field = Field { shades: &shades, width: work.width, frame };
    let noise = noise(field);
    let groups = grouped(field, noise);
    let near = sure(noise);
    let settled = settle(field, noise, (&groups.shades, &groups.solid), near, blur(field), counts);
    let inks = settled.into_iter().map(|(shade, area)| Ink { light: light_of(shade), area }).collect();
    Found { inks, shades, near }
}

/// How far, squared, a single pixel may lie from the colour it shows.
fn sure(noise: Noise) -> f32 {
    (2.5 * noise.iter().map(|noise| noise * noise).sum::<f32>().sqrt() + 1.0).powi(2)
}

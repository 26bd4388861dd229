//! How many colours there are: votes in, groups of votes out.
//!
//! The votes make a hill country in the space of shades: each printed colour is a hill. Hills are
//! found by persistence (Chazal, Guibas, Oudot and Skraba 2013): cells are taken from the highest
//! down; a hill that meets a higher one is a hill of its own only if it rises far enough above the
//! saddle between them. So the number of colours comes from the picture, and a small hill far from
//! the others counts however small it is.

use crate::space::Shade;
use crate::vote::Vote;

/// Side of a cell, in stretched Oklab.
const CELL: f32 = 0.5;
/// How far above the saddle a hill must rise to be a colour of its own.
const RISE: f64 = 1.4;
/// The fewest votes, after smoothing, by which it must rise: what chance could heap up.
const CHANCE: f64 = 3.5;

/// The most cells the box round all votes may have; beyond that cells are made larger.
const MOST_CELLS: usize = 12_000_000;
/// No cell here.
const NONE: u32 = u32::MAX;

/// The cells votes fall into: a box round all of them, and a list of those not empty.
struct Cells {
    size: [usize; 3],
    /// For each cell of the box its place in `full`, or [`NONE`].
    place: Vec<u32>,
    /// The cells with votes, in the box's order.
    full: Vec<[usize; 3]>,
    counts: Vec<f64>,
    /// For each vote the place of its cell.
    of_vote: Vec<usize>,
    side: f32,
}

impl Cells {
    fn of(votes: &[Vote]) -> Self {
        let low: Shade = std::array::from_fn(|c| votes.iter().map(|vote| vote.shade[c]).fold(f32::INFINITY, f32::min));
        let high: Shade =
            std::array::from_fn(|c| votes.iter().map(|vote| vote.shade[c]).fold(f32::NEG_INFINITY, f32::max));
        let mut side = CELL;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and bounded by the loop below"
        )]
        let step = |from: f32, to: f32, side: f32| (((to - from) / side).clamp(0.0, 1e6) as usize) + 1;
        let size_at = |side: f32| -> [usize; 3] { std::array::from_fn(|c| step(low[c], high[c], side)) };
        while size_at(side).iter().product::<usize>() > MOST_CELLS {
            side *= 1.25;
        }
        let size = size_at(side);
        let mut place = vec![NONE; size.iter().product()];
        let keys: Vec<usize> = votes
            .iter()
            .map(|vote| {
                let cell: [usize; 3] = std::array::from_fn(|c| step(low[c], vote.shade[c], side).min(size[c]) - 1);
                (cell[0] * size[1] + cell[1]) * size[2] + cell[2]
            })
            .collect();
        keys.iter().for_each(|&key| place[key] = 0);
        let mut full = Vec::new();
        for (key, place) in place.iter_mut().enumerate().filter(|(_, place)| **place != NONE) {
            *place = u32::try_from(full.len()).unwrap_or(NONE);
            full.push([key / size[2] / size[1], key / size[2] % size[1], key % size[2]]);
        }
        let mut counts = vec![0.0; full.len()];
        let of_vote: Vec<usize> = keys.iter().map(|&key| place[key] as usize).collect();
        // Votes from the midst of large flats are cleaner and weigh more; on the whole a vote counts one.
        let weigh = |vote: &Vote| f64::from(vote.alike).powi(2);
        #[allow(clippy::cast_precision_loss, reason = "far fewer than 2^52")]
        let mean = votes.iter().map(weigh).sum::<f64>() / votes.len().max(1) as f64;
        of_vote.iter().zip(votes).for_each(|(&at, vote)| counts[at] += weigh(vote) / mean.max(1.0));
        Self { size, place, full, counts, of_vote, side }
    }

    /// The place of the cell some steps away, if it has votes.
    #[inline]
    fn by(&self, cell: [usize; 3], step: [isize; 3]) -> Option<usize> {
        let mut key = 0;
        for axis in 0..3 {
            let at = cell[axis].checked_add_signed(step[axis]).filter(|at| *at < self.size[axis])?;
            key = key * self.size[axis] + at;
        }
        let place = self.place[key];
        (place != NONE).then_some(place as usize)
    }
}

/// Sorts votes into hills. For each vote the number of its hill, hills counted from 0 by falling
/// number of votes; and how many there are. `breadth` is how far votes for one colour scatter.
pub(crate) fn hills(votes: &[Vote], breadth: f32) -> (Vec<usize>, usize) {
    if votes.is_empty() {
        return (Vec::new(), 0);
    }
    let cells = Cells::of(votes);
    let groups = climb(&cells, &smoothed(&cells, breadth));
    let mut sizes = vec![0_usize; cells.full.len()];
    cells.of_vote.iter().for_each(|&place| sizes[groups[place]] += 1);
    let mut order: Vec<usize> = (0..sizes.len()).filter(|&group| sizes[group] > 0).collect();
    order.sort_by(|&one, &two| sizes[two].cmp(&sizes[one]).then(one.cmp(&two)));
    let mut number = vec![0; sizes.len()];
    order.iter().enumerate().for_each(|(at, &group)| number[group] = at);
    (cells.of_vote.iter().map(|&place| number[groups[place]]).collect(), order.len())
}

/// Heights of the cells after a blur of `breadth` (standard deviation, in stretched Oklab), one axis
/// after the other, over the cells that have votes.
fn smoothed(cells: &Cells, breadth: f32) -> Vec<f64> {
    let sigma = f64::from(breadth / cells.side).max(0.5);
    #[allow(clippy::cast_possible_truncation, reason = "a small number")]
    let reach = (sigma * 2.5).ceil().min(12.0) as isize;
    #[allow(clippy::cast_precision_loss, reason = "a small number")]
    let weights: Vec<f64> = (0..=reach).map(|step| (-((step * step) as f64) / (2.0 * sigma * sigma)).exp()).collect();
    let total: f64 = weights[0] + 2.0 * weights[1..].iter().sum::<f64>();
    let mut heights = cells.counts.clone();
    for axis in 0..3 {
        let before = heights.clone();
        for (place, &cell) in cells.full.iter().enumerate() {
            let mut sum = before[place] * weights[0];
            for (away, weight) in (1..=reach).zip(&weights[1..]) {
                for signed in [-away, away] {
                    let mut step = [0; 3];
                    step[axis] = signed;
                    if let Some(other) = cells.by(cell, step) {
                        sum += before[other] * weight;
                    }
                }
            }
            heights[place] = sum / total;
        }
    }
    heights
}

/// Joins cells into hills, from the highest cell down. For each cell, the top cell of its hill.
fn climb(cells: &Cells, heights: &[f64]) -> Vec<usize> {
    let count = cells.full.len();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&one, &two| heights[two].total_cmp(&heights[one]).then(one.cmp(&two)));
    // The hill each cell belongs to, by its top; hills that were joined point on.
    let mut top: Vec<usize> = vec![usize::MAX; count];
    fn find(top: &mut [usize], mut at: usize) -> usize {
        while top[at] != at {
            top[at] = top[top[at]];
            at = top[at];
        }
        at
    }
    for &place in &order {
        let cell = cells.full[place];
        let mut around: Vec<usize> = Vec::new();
        // Cells up to two away count as touching: between sparse cells of one colour there are gaps.
        for dl in -2..=2 {
            for da in -2..=2 {
                for db in -2..=2 {
                    if let Some(other) = cells.by(cell, [dl, da, db])
                        && top[other] != usize::MAX
                    {
                        let found = find(&mut top, other);
                        if !around.contains(&found) {
                            around.push(found);
                        }
                    }
                }
            }
        }
        around.sort_by(|&one, &two| heights[two].total_cmp(&heights[one]).then(one.cmp(&two)));
        let Some(&highest) = around.first() else {
            top[place] = place;
            continue;
        };
        top[place] = highest;
        let saddle = heights[place];
        for &lower in &around[1..] {
            let peak = heights[lower];
            let stands = peak >= RISE * saddle && peak - saddle >= CHANCE * saddle.max(0.02).sqrt();
            if !stands {
                top[lower] = highest;
            }
        }
    }
    (0..count).map(|place| find(&mut top, place)).collect()
}

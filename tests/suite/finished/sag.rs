//! The second raster: how high the card lies in each cell, from the bottom up, and whether anything
//! hangs over a step further than allowed. It asks points what holds them and counts heights; it knows
//! nothing of how levelling pieces and foam were found.

use super::raster::{CELL, in_outline, in_rect};
use std::collections::HashSet;
use swatchfold::assemble::Built;
use swatchfold::construct::level::{Filling, Rules};
use swatchfold::construct::stack::{Sheet, Sight};

/// How far a layer may reach over a step: 3/4 in, since levelling pieces are rectangles no narrower than
/// 1/4 in that keep back from edges, and outlines may be curved or end in points; and a cell's diagonal.
const OVERHANG: f64 = 24.0 + 1.5;

/// In cells: what is no wider needs nothing beneath it.
const SLIVER: i64 = 6;

fn holds(sheet: &Sheet, point: (i64, i64)) -> bool {
    sheet.pieces.iter().any(|piece| in_rect(piece, point))
        && in_outline(&sheet.outline, &sheet.whole, point)
        && !sheet.hole.is_some_and(|hole| in_rect(&hole, point))
}

/// Whether a card as built does not sag, and its levelling does not show.
pub(super) fn check(built: &Built, rules: &Rules) -> Result<(), String> {
    let card = built.stack.card;
    let (columns, rows) = (card.width.nanometres() / CELL, card.height.nanometres() / CELL);
    let cells: Vec<(i64, i64)> = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row))).collect();
    // A little beside the middle of each cell, where no edge runs: what lies on an edge is neither in nor out.
    let point = |(column, row): (i64, i64)| (column * CELL + CELL / 2 + 12_347, row * CELL + CELL / 2 + 23_459);
    let mut height = vec![0_i64; cells.len()];
    for (place, sheet) in built.stack.sheets.iter().enumerate() {
        let beneath = &built.beneath[place];
        let around = sheet.around();
        let own: Vec<usize> = (0..cells.len())
            .filter(|cell| in_rect(&around, point(cells[*cell])) && holds(sheet, point(cells[*cell])))
            .collect();
        let Some(top) = own.iter().map(|cell| height[*cell]).max() else { continue };
        let mut filled: Vec<(usize, i64)> = Vec::with_capacity(own.len());
        let mut worst_ply = 0;
        // A levelling piece rests on the highest thing beneath it.
        let rests: Vec<i64> = beneath
            .levelling
            .iter()
            .map(|bit| {
                own.iter().filter(|cell| in_rect(&bit.rect, point(cells[**cell]))).map(|cell| height[*cell]).max()
            })
            .map(|most| most.unwrap_or(0))
            .collect();
        for cell in &own {
            let at = point(cells[*cell]);
            let mut fill = 0;
            let mut on = None;
            // Several kinds may lie on one another.
            for (bit, rests) in beneath.levelling.iter().zip(&rests).filter(|(bit, _)| in_rect(&bit.rect, at)) {
                let ply = match bit.of {
                    Filling::Paper => rules.bits.paper,
                    Filling::Card => rules.bits.card,
                    Filling::ThinFoam => rules.bits.thin_foam,
                    Filling::Foam => rules.bits.foam,
                    // Near enough to its step, or it would not have been chosen.
                    Filling::Scrap(_) => bit.step,
                };
                let is_paper = matches!(bit.of, Filling::Paper | Filling::Card);
                worst_ply = worst_ply.max(if is_paper { ply.nanometres() / 2 } else { 0 });
                fill += ply.nanometres() * if matches!(bit.of, Filling::Scrap(_)) { 1 } else { i64::from(bit.plies) };
                on = Some(*rests);
            }
            // Whatever it is of, it comes within half a ply of cardstock of its step.
            worst_ply = worst_ply.max(if on.is_some() { rules.bits.card.nanometres() / 2 } else { 0 });
            let Some(rests) = on else {
                filled.push((*cell, height[*cell]));
                continue;
            };
            if rests + fill - top > worst_ply.max(rules.level_above.nanometres()) {
                return Err(format!("a levelling piece beneath layer {place} stands higher than its step"));
            }
            filled.push((*cell, rests + fill));
        }
        for bit in &beneath.levelling {
            let edge = bit.rect.inset(-swatchfold::construct::level::BACK);
            let kept_back =
                cells.iter().filter(|cell| in_rect(&edge, point(**cell))).all(|cell| holds(sheet, point(*cell)));
            if !kept_back {
                return Err(format!("a levelling piece beneath layer {place} lies nearer to its edge than 1/16 in"));
            }
        }
        if place > 0 && sheet.sight == Sight::Opaque && own.len() > 1 {
            let is_wide = is_wide(own.iter().map(|cell| cells[*cell]).collect());
            let slack = rules.level_above.nanometres().max(worst_ply);
            let is_held = |(_, filled): &&(usize, i64)| top - filled <= slack;
            match &beneath.foam {
                None => {
                    let held: Vec<(i64, i64)> = filled.iter().filter(is_held).map(|(cell, _)| cells[*cell]).collect();
                    let hanging = filled.iter().filter(|cell| !is_held(cell)).map(|(cell, _)| cells[*cell]);
                    let hanging = hanging.filter(|cell| is_wide(*cell));
                    near_enough(hanging, &held, OVERHANG, (columns, rows), place)?;
                }
                Some(pads) if pads.tucked.is_empty() => {
                    let on_pad = |cell: &&(usize, i64)| pads.pads.iter().any(|pad| in_rect(pad, point(cells[cell.0])));
                    let held: Vec<(i64, i64)> = filled.iter().filter(on_pad).map(|(cell, _)| cells[*cell]).collect();
                    // Between four pads a span apart, or a corner of an outline beyond its foam.
                    #[allow(clippy::cast_precision_loss, reason = "a card is small")]
                    let span = rules.foam_span.nanometres() as f64 / CELL as f64;
                    let all = filled.iter().map(|(cell, _)| cells[*cell]).filter(|cell| is_wide(*cell));
                    near_enough(all, &held, span * std::f64::consts::FRAC_1_SQRT_2 + 4.0, (columns, rows), place)?;
                }
                Some(_) => {}
            }
        }
        let on_foam = if beneath.foam.is_some() { rules.bits.foam.nanometres() } else { 0 };
        for cell in own {
            height[cell] = top + on_foam + sheet.caliper.nanometres();
        }
    }
    Ok(())
}

/// Where a layer is wide enough for anything beneath it: 1/16 in back from both its edges, what is no wider
/// than 3/16 in leaves no room for a bit that a hand could cut.
fn is_wide(own: HashSet<(i64, i64)>) -> impl Fn((i64, i64)) -> bool {
    let run = move |(x, y): (i64, i64), (dx, dy): (i64, i64)| {
        let reaches = |way: i64| {
            (1..=SLIVER).take_while(|step| own.contains(&(x + dx * step * way, y + dy * step * way))).count()
        };
        1 + reaches(1) + reaches(-1)
    };
    move |cell| [(1, 0), (0, 1)].iter().all(|way| run(cell, *way) > usize::try_from(SLIVER).expect("it is small"))
}

/// Whether each of these cells has one that is held within so many cells: distances grow from what is
/// held in two sweeps, straight steps counting 1 and slanting ones √2, which is at most 8 % too long.
fn near_enough(
    cells: impl Iterator<Item = (i64, i64)>,
    held: &[(i64, i64)],
    most: f64,
    (columns, rows): (i64, i64),
    place: usize,
) -> Result<(), String> {
    let cells: Vec<(i64, i64)> = cells.collect();
    if cells.is_empty() {
        return Ok(());
    }
    let at = |x: i64, y: i64| usize::try_from(y * columns + x).expect("a card is small");
    let mut far = vec![f64::INFINITY; at(columns - 1, rows - 1) + 1];
    for (x, y) in held {
        far[at(*x, *y)] = 0.0;
    }
    let slant = std::f64::consts::SQRT_2;
    let mut sweep = |order: &mut dyn Iterator<Item = (i64, i64)>, back: i64| {
        for (x, y) in order {
            let mut least = far[at(x, y)];
            for (dx, dy, step) in [(-1, 0, 1.0), (0, -1, 1.0), (-1, -1, slant), (1, -1, slant)] {
                let (nx, ny) = (x + dx * back, y + dy * back);
                if (0..columns).contains(&nx) && (0..rows).contains(&ny) {
                    least = least.min(far[at(nx, ny)] + step);
                }
            }
            far[at(x, y)] = least;
        }
    };
    let all = || (0..rows).flat_map(move |y| (0..columns).map(move |x| (x, y)));
    sweep(&mut all(), 1);
    sweep(&mut (0..rows).rev().flat_map(|y| (0..columns).rev().map(move |x| (x, y))), -1);
    for (x, y) in cells {
        if far[at(x, y)] > most * 1.08 {
            return Err(format!(
                "layer {place} hangs at {x}, {y} (1/32 in), {:.1} cells from what holds it, of {most:.1} allowed",
                far[at(x, y)]
            ));
        }
    }
    Ok(())
}

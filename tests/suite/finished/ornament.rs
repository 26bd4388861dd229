//! Finishing dots looked at point by point: round its rim and within it each dot lies on one and the same
//! piece of its layer, on top of all else, well within the piece, off every image and all words, and on
//! no other dot. It shares no code with the placing of dots: it asks of each point what lies there.

use super::raster::in_outline;
use swatchfold::assemble::Built;
use swatchfold::layout::Rect;
use swatchfold::score::{Suggestion, Table};
use units::Length;

/// How far within its layer's edge a dot lies at least: 1/8 in, less 1/64 in for what is set to the ruler.
const WITHIN: i64 = 3_175_000 - 396_875;
/// Rings about a dot's middle at which is looked, as hundredths of its radius, and points on each.
const RINGS: [f64; 5] = [0.0, 35.0, 70.0, 90.0, 100.0];
const POINTS: u32 = 24;

/// What is wrong with the dots of a card; nothing where it has none.
pub(super) fn check(table: Table<'_>, card: &Suggestion, built: &Built) -> Result<(), String> {
    let Some(set) = &built.dots else { return Ok(()) };
    let dots = &table.dots[set.of];
    let layer = &card.network.layers[set.layer];
    let view = &table.index.face(card.faces[layer.slot]).view;
    if view.material == api::Material::Image || layer.holds_sentiment || built.parts[set.place].layer != set.layer {
        return Err(format!("dots on {}, which is an image or has words", layer.id));
    }
    if matches!(layer.role, api::Role::Focal | api::Role::Sentiment | api::Role::Mat) {
        return Err(format!("dots on {}", layer.id));
    }
    if u32::try_from(set.spots.len()).is_ok_and(|count| count > dots.count || count % 2 == 0) || set.spots.is_empty() {
        return Err(format!("{} dots of {}", set.spots.len(), dots.count));
    }
    for (number, spot) in set.spots.iter().enumerate() {
        let middle = middle(spot);
        if spot.width() < dots.diameter || spot.height() < dots.diameter {
            return Err(format!("dot {number} has less room than it is wide"));
        }
        let mut piece: Option<usize> = None;
        for point in points(middle, dots.diameter.nanometres() as f64 / 2.0) {
            let on = on_top(built, point).ok_or_else(|| format!("dot {number} lies beside the card"))?;
            if on.0 != set.place {
                return Err(format!("dot {number} reaches from {} to another layer", layer.id));
            }
            if *piece.get_or_insert(on.1) != on.1 {
                return Err(format!("dot {number} lies over a seam of {}", layer.id));
            }
        }
        for point in points(middle, dots.diameter.nanometres() as f64 / 2.0 + WITHIN as f64) {
            if lies_on(built, set.place, point) != piece {
                return Err(format!("dot {number} lies too near to an edge of {}", layer.id));
            }
        }
        for other in &set.spots[..number] {
            let (x, y) = self::middle(other);
            let apart = ((middle.0 - x) as f64).hypot((middle.1 - y) as f64);
            if apart <= dots.diameter.nanometres() as f64 {
                return Err(format!("dot {number} lies on another"));
            }
        }
        // What tucks beneath a raised edge is still to be put there: it is in the stack, and none is on it.
        let of_image = card.network.layers.iter().enumerate().filter(|(_, other)| {
            let face = table.index.face(card.faces[other.slot]);
            face.view.material == api::Material::Image || other.role == api::Role::Focal
        });
        for (image, _) in of_image {
            let sheets = built.parts.iter().zip(&built.stack.sheets).filter(|(part, _)| part.layer == image);
            if sheets.flat_map(|(_, sheet)| &sheet.pieces).any(|piece| !piece.shared(spot).is_empty()) {
                return Err(format!("dot {number} lies over an image"));
            }
        }
    }
    let top = built.beneath[set.place].height + built.stack.sheets[set.place].caliper + dots.height;
    if built.thickness < top {
        return Err("the card is thinner than its dots are high".into());
    }
    Ok(())
}

fn middle(spot: &Rect) -> (i64, i64) {
    ((spot.left.nanometres() + spot.right.nanometres()) / 2, (spot.top.nanometres() + spot.bottom.nanometres()) / 2)
}

/// Points of a disc: rings about its middle.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, reason = "a card is small")]
fn points((x, y): (i64, i64), radius: f64) -> Vec<(i64, i64)> {
    let mut points = Vec::new();
    for ring in RINGS {
        for step in 0..POINTS {
            let angle = f64::from(step) / f64::from(POINTS) * std::f64::consts::TAU;
            // A nanometre within, so that what touches does not count as over.
            let far = (radius * ring / 100.0 - 2.0).max(0.0);
            points.push((x + (angle.cos() * far) as i64, y + (angle.sin() * far) as i64));
        }
    }
    points
}

/// The piece of a layer that lies at a point, if any does.
fn lies_on(built: &Built, place: usize, point: (i64, i64)) -> Option<usize> {
    let sheet = &built.stack.sheets[place];
    let holds = |rect: &Rect| {
        let within = |from: Length, at: i64, to: Length| from.nanometres() <= at && at <= to.nanometres();
        within(rect.left, point.0, rect.right) && within(rect.top, point.1, rect.bottom)
    };
    let is_hole = sheet.hole.is_some_and(|hole| holds(&hole));
    let in_shape =
        sheet.outline == swatchfold::layout::Outline::Rectangle || in_outline(&sheet.outline, &sheet.whole, point);
    if is_hole || !in_shape { None } else { sheet.pieces.iter().position(holds) }
}

/// The topmost layer at a point, see-through ones too, and which piece of it.
fn on_top(built: &Built, point: (i64, i64)) -> Option<(usize, usize)> {
    let places = (0..built.stack.sheets.len()).rev();
    places.filter_map(|place| Some((place, lies_on(built, place, point)?))).next()
}

/// Every dot of a card moved, or made to lie on its neighbour: wrong in some way that must be noticed.
pub(super) fn mistakes(built: &Built) -> Vec<Built> {
    let Some(set) = &built.dots else { return Vec::new() };
    let moved = |of: &dyn Fn(&Rect) -> Rect| {
        let mut wrong = built.clone();
        if let Some(dots) = &mut wrong.dots {
            dots.spots = set.spots.iter().map(of).collect();
        }
        wrong
    };
    let by = |right: Length, down: Length| {
        move |spot: &Rect| Rect {
            left: spot.left + right,
            top: spot.top + down,
            right: spot.right + right,
            bottom: spot.bottom + down,
        }
    };
    let card = built.stack.card;
    let mut wrong = vec![
        // Beside the card, and over its edge.
        moved(&by(card.width, Length::ZERO)),
        moved(&|spot: &Rect| by(-spot.left, Length::ZERO)(spot)),
        moved(&|spot: &Rect| by(Length::ZERO, card.height - spot.bottom)(spot)),
        // On what lies on their layer: the middle of each layer above.
        moved(&|spot: &Rect| spot.inset(Length::MILLIMETRE)),
    ];
    for above in built.stack.sheets[set.place + 1..].iter().filter(|above| !above.pieces.is_empty()) {
        let on = above.around();
        wrong.push(moved(&|spot: &Rect| on.centred(spot.size())));
    }
    if set.spots.len() > 1 {
        let first = set.spots[0];
        wrong.push(moved(&move |_| first));
    }
    wrong
}

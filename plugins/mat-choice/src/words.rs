//! The reason in words: a judgement and its two papers in, a short clause out.

use crate::judge::{Judgement, Takes};
use api::{PaperView, Share, Swatch, colour_name};

/// Colours with a smaller share are not worth naming where they spoil an edge.
const LEAST_NAMED: Share = Share::from_millionths(150_000).expect("at most a million");

/// What the mat takes up, then how it edges the paper.
pub(crate) fn mat_behind(found: &Judgement, panel: &PaperView, mat: &PaperView, edge_at: f64) -> String {
    let mat_colour = colour_name(mat.main_colour());
    let of_paper = |place: usize| {
        panel.swatches.get(place).map_or_else(
            || mat_colour.to_owned(),
            |swatch| format!("{} that is {} of the paper", colour_name(swatch.colour), percent(swatch.share)),
        )
    };
    let taken = match found.takes {
        Takes::Minor(place) => format!("takes up the {}", of_paper(place)),
        Takes::Near(place) => format!("comes near the {}", of_paper(place)),
        Takes::Main => format!("{mat_colour} again, tone on tone"),
        Takes::Neutral => format!("{mat_colour} goes with anything"),
        Takes::Nothing => format!("{mat_colour} is not in the paper"),
    };
    let itself = match found.takes {
        Takes::Minor(place) | Takes::Near(place) => Some(place),
        _ => None,
    };
    format!("{taken}; {}", edge(mat, panel, itself, edge_at))
}

/// "dark enough to edge the cream": how a plain paper edges the one beside it. That it melts into the
/// colour it takes up itself goes without saying.
pub(crate) fn edge(plain: &PaperView, beside: &PaperView, itself: Option<usize>, edge_at: f64) -> String {
    let (own, main) = (plain.main_colour(), beside.main_colour());
    let name = colour_name(main);
    let way = if own.l < main.l { "dark" } else { "light" };
    match (own.l - main.l).abs() / edge_at {
        full if full >= 1.0 => {
            let lost = |(place, swatch): &(usize, &Swatch)| {
                let is_near = (own.l - swatch.colour.l).abs() < 0.5 * edge_at;
                is_near && swatch.share >= LEAST_NAMED && itself != Some(*place)
            };
            match beside.swatches.iter().enumerate().skip(1).find(lost) {
                // One colour of two that have the same name cannot be told from the other.
                Some((_, swatch)) if colour_name(swatch.colour) != name => {
                    format!("edges the {name}, less so the {}", colour_name(swatch.colour))
                }
                _ => format!("{way} enough to edge the {name}"),
            }
        }
        some if some >= 0.4 => format!("a soft edge against the {name}"),
        _ => format!("hardly {way}er than the {name}"),
    }
}

/// A share as a person says it: whole percents, "under 1 %" below that.
fn percent(share: Share) -> String {
    match share.millionths() {
        0..10_000 => String::from("under 1 %"),
        millionths => format!("{} %", (millionths + 5_000) / 10_000),
    }
}

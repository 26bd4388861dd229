//! The reason in words: a judgement and its two papers in, a short clause out.

use crate::judge::{Judgement, Takes};
use api::{PaperView, Share, colour_name};

/// What the mat takes up, then how it edges the paper.
pub(crate) fn mat_behind(found: &Judgement, panel: &PaperView, mat: &PaperView) -> String {
    let mat_colour = colour_name(mat.main_colour());
    let taken = match found.takes {
        Takes::Minor(place) => match panel.swatches.get(place) {
            Some(swatch) => {
                let (colour, share) = (colour_name(swatch.colour), percent(swatch.share));
                if found.taken >= 0.5 {
                    format!("takes up the {colour} that is {share} of the paper")
                } else {
                    format!("comes near the {colour} that is {share} of the paper")
                }
            }
            None => format!("takes up {mat_colour}"),
        },
        Takes::Main => format!("{mat_colour} again, tone on tone"),
        Takes::Neutral => format!("{mat_colour} goes with anything"),
        Takes::Nothing => format!("{mat_colour} is not in the paper"),
    };
    format!("{taken}; {}", edge(found.edge, mat, panel))
}

/// Whether a plain paper stands out on what it lies on.
pub(crate) fn touching(found: f64, upper: &PaperView, lower: &PaperView) -> String {
    edge(found, upper, lower)
}

/// "dark enough to edge the cream".
fn edge(found: f64, plain: &PaperView, beside: &PaperView) -> String {
    let (one, other) = (plain.main_colour(), beside.main_colour());
    let name = colour_name(other);
    let way = if one.l < other.l { "dark" } else { "light" };
    match found {
        full if full >= 0.8 => format!("{way} enough to edge the {name}"),
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

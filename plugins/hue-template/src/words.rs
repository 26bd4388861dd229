//! The reason in words: two papers in, the scheme their hues make and which colour falls out of it.

use crate::fit::{Hue, best_fit};
use crate::judge::{Hues, LEAST_WEIGHT};
use crate::template::Template;
use api::{PaperView, colour_name};

/// Hues that lie outside by no more than this on the mean, in degrees, are within a scheme.
const WITHIN: f64 = 3.0;

/// The narrowest scheme that holds all hues, or the nearest one and the colour that falls out of it.
pub(crate) fn why(one: &PaperView, other: &PaperView) -> String {
    let hues = Hues::of([one, other]);
    let weight = hues.weight();
    if weight < LEAST_WEIGHT {
        return String::from("no strong hue");
    }
    let within = weight * WITHIN.to_radians();
    for template in Template::ALL {
        let (misfit, _) = best_fit(template, hues.as_slice());
        if misfit <= within {
            return String::from(words(template));
        }
    }
    let fit = |template: Template| (best_fit(template, hues.as_slice()), template);
    let (half, families) = (fit(Template::HalfWheel), fit(Template::TwoFamilies));
    let ((_, angle), template) = if half.0.0 < families.0.0 { half } else { families };
    let cost = |hue: &Hue| hue.weight * template.outside(angle, hue.degrees);
    let astray =
        hues.as_slice().iter().zip(hues.colours()).max_by(|(one, _), (other, _)| cost(one).total_cmp(&cost(other)));
    match astray {
        Some((_, colour)) => format!("{}, but for the {}", words(template), colour_name(*colour)),
        None => String::from(words(template)),
    }
}

/// A template as a maker would say it.
fn words(template: Template) -> &'static str {
    match template {
        Template::OneHue => "one hue",
        Template::TwoOpposite => "two opposite hues",
        Template::Neighbours => "neighbouring hues",
        Template::QuarterOn | Template::QuarterBack => "a hue and its neighbours a quarter turn away",
        Template::NeighboursAndOpposite => "neighbouring hues and the one opposite",
        Template::HalfWheel => "hues from one half of the colour wheel",
        Template::TwoFamilies => "two families of opposite hues",
    }
}

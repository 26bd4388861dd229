//! `envelope` as text: the envelopes a card fits, then how it would be posted.

use super::Look;
use super::look::{padded, widest};
use crate::construct::{Class, Envelope, Fit, post};
use api::units::{Length, Size, Unit};
use std::fmt::Write as _;

/// What a card fits and how it is posted; `classed` is the envelope the classes are for.
#[must_use]
pub fn envelope(
    card: &str,
    envelopes: &[Envelope],
    classed: (&str, Size),
    classes: &[Class],
    unit: Unit,
    look: Look,
) -> String {
    let mut out = String::new();
    if envelopes.is_empty() {
        let _ = writeln!(
            out,
            "No envelope with a name fits {card}: one made to measure would be {}.",
            rounded(classed.1, unit)
        );
    } else {
        let _ = writeln!(out, "{}", look.strong(&format!("Envelopes for {card}")));
    }
    let name = widest(envelopes.iter().map(|envelope| envelope.name.as_str()), 30);
    for envelope in envelopes {
        let word = match envelope.fit {
            Fit::Good => "fits well",
            Fit::Tight => "tight",
            Fit::Loose => "loose",
            Fit::NoFit => "does not fit",
        };
        let _ = writeln!(
            out,
            "  {}  {}  {} and {} mm to spare",
            padded(&envelope.name, name),
            padded(word, 12),
            tenths(envelope.slack_width),
            tenths(envelope.slack_height),
        );
    }
    let _ = writeln!(out, "\n{}", look.strong(&format!("By post, in {}", classed.0)));
    for class in classes {
        let machine = match class.machinable {
            Some(false) => ", not machinable",
            _ => "",
        };
        let why: Vec<&str> = class.why.iter().map(String::as_str).filter(|why| *why != post::CHECK).collect();
        let _ = writeln!(
            out,
            "  {}  {}{machine} {}",
            padded(class.profile, 13),
            class.class,
            look.faint(&match class.as_of {
                "undated" => "(limits without a date)".to_owned(),
                as_of => format!("(limits of {as_of})"),
            }),
        );
        for why in why {
            let _ = writeln!(out, "  {}  {why}", padded("", 13));
        }
    }
    let _ = writeln!(out, "\nLimits change: {}.", post::CHECK);
    out
}

fn rounded(size: Size, unit: Unit) -> String {
    let ruler = match unit {
        Unit::Inch => api::units::Ruler::sixteenths(),
        Unit::Millimetre => api::units::Ruler::millimetres(),
    };
    size.nearest(ruler)
}

/// Millimetres to a tenth, rounded to the nearest.
fn tenths(length: Length) -> String {
    let tenths = (length.nanometres() + 50_000).div_euclid(100_000);
    let sign = if tenths < 0 { "-" } else { "" };
    format!("{sign}{}.{}", tenths.abs() / 10, tenths.abs() % 10)
}

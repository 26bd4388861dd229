//! What a scan found, as the faces print it: a picture's name, what was measured, what was kept.

use crate::stash::file::{Kept, Seen};
use crate::swatch::{Reading, Scanned, WhiteFound};
use api::units::Unit;
use api::{Directional, Finish, PatternKind};

/// One picture that was read.
#[derive(Debug)]
pub struct OfPicture {
    /// Its path, as it was given.
    pub path: String,
    /// What was measured.
    pub scanned: Scanned,
    /// How the stash says its surface takes the light, where it knows the picture.
    pub finish: Option<Finish>,
    /// The sections written to; empty unless that was asked.
    pub kept: Vec<Kept>,
}

impl OfPicture {
    /// Whether no picture can tell these colours: they change with the light.
    #[must_use]
    pub fn is_unreliable(&self) -> bool {
        let shines = matches!(self.finish, Some(Finish::Pearl | Finish::Metallic | Finish::Glitter));
        shines || self.scanned.reading.is_unreliable()
    }

    /// What she should know, a sentence each, without a full stop.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let mut notes: Vec<String> = self.scanned.reading.notes.iter().map(ToString::to_string).collect();
        if self.is_unreliable() && !self.scanned.reading.is_unreliable() {
            notes.push(
                "your stash says that this surface shines: its colours change with the light, so do not rely on these \
                 swatches and enter the colour by hand"
                    .to_owned(),
            );
        }
        notes
    }
}

/// A kind of pattern, as files and documents write it.
#[must_use]
pub const fn kind_key(kind: PatternKind) -> &'static str {
    match kind {
        PatternKind::Tonal => "tonal",
        PatternKind::Stripe => "stripe",
        PatternKind::Dot => "dot",
        PatternKind::Check => "check",
        PatternKind::Scattered => "scattered",
        PatternKind::BigMotif => "big-motif",
        _ => "solid",
    }
}

/// Which turns change it, as files and documents write it.
#[must_use]
pub const fn directional_key(directional: Directional) -> &'static str {
    match directional {
        Directional::No => "no",
        Directional::QuarterTurn => "quarter-turn",
        Directional::OneWay => "one-way",
    }
}

/// How the white was found, as documents write it.
#[must_use]
pub const fn white_key(white: WhiteFound) -> &'static str {
    match white {
        WhiteFound::Margin => "margin",
        WhiteFound::Patch => "patch",
        WhiteFound::Nowhere => "nowhere",
        _ => "not-looked-for",
    }
}

/// What was measured, as a file of the stash writes it.
#[must_use]
pub fn seen(reading: &Reading) -> Seen {
    let colours = reading.swatches.iter().map(|swatch| {
        let lab = [swatch.colour.l.clamp(0.0, 100.0), swatch.colour.a, swatch.colour.b];
        let [l, a, b] = lab.map(|part| {
            let text = format!("{part:.2}");
            if text == "-0.00" { "0.00".to_owned() } else { text }
        });
        let share = swatch.share.millionths();
        let (whole, rest) = (share / 10_000, format!("{:04}", share % 10_000));
        let rest = rest.trim_end_matches('0');
        let point = if rest.is_empty() { "" } else { "." };
        format!("lab({l}, {a}, {b}) {whole}{point}{rest}%")
    });
    let pattern = &reading.pattern;
    let mut keys = vec![
        ("pattern", format!("\"{}\"", kind_key(pattern.kind))),
        ("busyness", format!("{:.3}", pattern.busyness.as_f64())),
        ("directional", format!("\"{}\"", directional_key(pattern.directional))),
    ];
    if let Some(repeat) = pattern.repeat {
        keys.push(("repeat", format!("\"{} mm\"", tenths(repeat))));
    }
    Seen { colours: colours.collect(), is_estimate: reading.is_estimate(), pattern: keys }
}

/// A measured length in millimetres, to the tenth: it is no better known.
#[must_use]
pub fn tenths(length: api::units::Length) -> String {
    let tenths = (length.nanometres() + 50_000).div_euclid(100_000);
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// A measured length in the maker's unit.
#[must_use]
pub fn about(length: api::units::Length, unit: Unit) -> String {
    match unit {
        Unit::Inch => {
            let hundredths = (length.nanometres() + 127_000).div_euclid(254_000);
            format!("{}.{:02} in", hundredths / 100, hundredths % 100)
        }
        Unit::Millimetre => format!("{} mm", tenths(length)),
    }
}

//! Two colours as text.

use super::Look;
use crate::score::{ColourFacts, PairFacts};
use std::fmt::Write as _;

/// Both colours, a line for each space, then how they sit together.
#[must_use]
pub fn colour(pair: &PairFacts, look: Look) -> String {
    let mut out = String::new();
    for facts in [&pair.one, &pair.other] {
        tell(&mut out, facts, look);
    }
    let (delta, contrast) = (pair.delta_e_2000, pair.contrast_ratio);
    let apart = match delta {
        same if same < 1.0 => "hardly to be told apart",
        near if near < 5.0 => "near, told apart side by side",
        _ => "different colours",
    };
    let reads = match contrast {
        text if text >= 4.5 => "words in one read on the other",
        large if large >= 3.0 => "large words in one read on the other",
        _ => "words in one do not read on the other",
    };
    let _ = writeln!(out, "{}", look.strong("Together"));
    let _ = writeln!(out, "  difference   {delta:.2} CIEDE2000: {apart}");
    let distance = pair.cam16_ucs_distance.map_or_else(|| "none there".to_owned(), |distance| format!("{distance:.2}"));
    let _ = writeln!(out, "  distance     {distance} in CAM16-UCS");
    for (model, value) in &pair.harmony {
        let (authors, least, most) = match *model {
            "ou_luo_2006" => ("Ou & Luo 2006", "-1.2", "1.5"),
            _ => ("Ou and others 2018", "-1.4", "1.4"),
        };
        let _ = writeln!(
            out,
            "  harmony      {value:.2} by {authors} (about {least} to {most}; likeness and lightness score high)"
        );
    }
    let _ = writeln!(out, "  contrast     {contrast:.2} to 1: {reads}");
    out
}

fn tell(out: &mut String, facts: &ColourFacts, look: Look) {
    let three = |parts: [f64; 3], places: usize| {
        parts.map(|part| format!("{:.places$}", if part.abs() < 5e-6 { 0.0 } else { part })).join(", ")
    };
    let _ = writeln!(out, "{}{}  {}", look.chip_of(&facts.hex), look.strong(&facts.hex), facts.name);
    if !facts.in_srgb {
        out.push_str("  a screen cannot show this colour; the nearest it can is shown\n");
    }
    let _ = writeln!(out, "  CIELAB       {}  (D65)", three(facts.lab, 2));
    let _ = writeln!(out, "  LCh          {}", three(facts.lch, 2));
    let _ = writeln!(out, "  Oklab        {}", three(facts.oklab, 4));
    let ucs = facts.cam16_ucs.map_or_else(|| "none: no eye sees this colour".to_owned(), |parts| three(parts, 2));
    let _ = writeln!(out, "  CAM16-UCS    {ucs}");
}

//! What stands below a cut map: the settings in order, the cautions, the key, and bars to check the
//! print with.

use super::{plain, point};
use crate::cut::file::Asked;
use crate::cut::file::words;
use crate::cut::{CutSheet, Step};
use std::fmt::Write as _;

/// The height of letters: about 9 points. In thousandths of a millimetre.
const LETTER: i64 = 3_200;
/// From one line to the next.
const LINE: i64 = 4_800;

/// The lines below a map.
pub(super) struct List {
    lines: Vec<String>,
}

/// About how wide a line is; letters of a common face are 0.56 as wide as high on average.
pub(super) fn width_of(line: &str) -> i64 {
    i64::try_from(line.chars().count()).unwrap_or(0) * LETTER * 56 / 100
}

impl List {
    pub(super) fn new(asked: &Asked, sheet: &CutSheet, steps: &[Step], keys: Vec<String>) -> Self {
        let mut lines = keys;
        let stack = words::stacked(sheet.copies.into(), asked.stack.into());
        for step in steps {
            lines.push(format!(
                "{}. Set {}: {}, {}; hold the {} side{stack}",
                step.number,
                words::on_ruler(asked.unit, step.guide),
                words::part(asked.unit, step),
                words::from(step.axis),
                words::held(step.axis, step.held),
            ));
        }
        if steps.is_empty() {
            lines.push("No cut: the whole sheet is the piece.".to_owned());
        } else {
            lines.extend(words::cautions(asked));
        }
        Self { lines }
    }

    pub(super) fn width(&self) -> i64 {
        self.lines.iter().map(|line| width_of(line)).max().unwrap_or(0).max(60_000)
    }

    /// Draws heading and lines from `top` on, and the bars; gives where they end.
    pub(super) fn draw(&self, out: &mut String, heading: &str, top: i64) -> i64 {
        let mut y = top + LETTER;
        let _ = writeln!(
            out,
            "<text x=\"0\" y=\"{}\" font-size=\"{}\" font-weight=\"bold\">{}</text>",
            point(y),
            point(LETTER),
            plain(heading)
        );
        let _ = writeln!(out, "<g font-size=\"{}\">", point(LETTER));
        for line in &self.lines {
            y += LINE;
            let _ = writeln!(out, "<text x=\"0\" y=\"{}\">{}</text>", point(y), plain(line));
        }
        out.push_str("</g>\n");
        y += LINE;
        for (x, long, name) in [(0, 25_400, "1 in"), (32_000, 20_000, "2 cm")] {
            let (bar, end) = (point(y), point(x + long));
            let _ = writeln!(
                out,
                "<path d=\"M{x} {t}V{b}M{x} {bar}H{end}M{end} {t}V{b}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.25\"/><text x=\"{}\" y=\"{}\" font-size=\"2.4\" text-anchor=\"middle\">{name}</text>",
                point(x + long / 2),
                point(y + 3_000),
                x = point(x),
                t = point(y - 1_200),
                b = point(y + 1_200),
            );
        }
        y += LINE;
        let _ = writeln!(
            out,
            "<text x=\"0\" y=\"{}\" font-size=\"2.4\">Measure a bar: if it is not that long, print again at 100 %.</text>",
            point(y + 1_000)
        );
        y + 2_000
    }
}

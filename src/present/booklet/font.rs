//! The type of the booklet: Liberation Sans 2.1.5 (SIL Open Font License 1.1, `font/LICENSE-OFL.txt`),
//! and how wide words are in it.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// Upright letters.
pub(crate) const REGULAR: &[u8] = include_bytes!("font/LiberationSans-Regular.ttf");
/// Bold letters.
pub(crate) const BOLD: &[u8] = include_bytes!("font/LiberationSans-Bold.ttf");

/// Both, ready to measure.
pub(crate) struct Faces {
    regular: FontRef<'static>,
    bold: FontRef<'static>,
}

impl Faces {
    /// The fonts that are built in.
    pub(crate) fn new() -> Self {
        let read = |bytes| FontRef::new(bytes).expect("the built-in font is one");
        Self { regular: read(REGULAR), bold: read(BOLD) }
    }

    /// How wide a text is at a size of type, both in millimetres.
    pub(crate) fn wide(&self, text: &str, size: f64, bold: bool) -> f64 {
        let font = if bold { &self.bold } else { &self.regular };
        let charmap = font.charmap();
        let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let em = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em).max(1.0);
        let advance =
            |sign: char| f64::from(metrics.advance_width(charmap.map(sign).unwrap_or_default()).unwrap_or(0.0));
        text.chars().map(advance).sum::<f64>() * size / em
    }

    /// A text cut short so that it is no wider than that.
    pub(crate) fn within(&self, text: &str, size: f64, bold: bool, wide: f64) -> String {
        if self.wide(text, size, bold) <= wide {
            return text.to_owned();
        }
        let mut kept = String::new();
        for sign in text.chars() {
            kept.push(sign);
            if self.wide(&format!("{kept}…"), size, bold) > wide {
                kept.pop();
                break;
            }
        }
        format!("{}…", kept.trim_end())
    }
}

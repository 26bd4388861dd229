//! How text is dressed: colours as blocks and a little weight in a terminal that can show them,
//! nothing of the kind elsewhere.

use anstyle::{RgbColor, Style};
use api::palette::{FromColor, Srgb};
use api::{Colour, PaperView};
use unicode_width::UnicodeWidthStr;

/// How text is dressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// With blocks of colour.
    Coloured,
    /// Letters only: for pipes, files, and whoever asked for no colour.
    Plain,
}

/// At most so many colours of a paper are shown.
const MOST_COLOURS: usize = 3;

impl Look {
    /// A paper's colours as blocks, each two letters wide, and a space; nothing where there is no colour.
    pub(super) fn chips(self, paper: &PaperView) -> String {
        if self == Self::Plain {
            return String::new();
        }
        let blocks: String = paper.swatches.iter().take(MOST_COLOURS).map(|swatch| block(swatch.colour)).collect();
        format!("{blocks} ")
    }

    /// One colour, written `#rrggbb`, as a block.
    pub(super) fn block_of(self, hex: &str) -> String {
        let colour = api::from_hex(hex).filter(|_| self == Self::Coloured);
        colour.map_or_else(String::new, block)
    }

    /// One colour, written `#rrggbb`, as a block and a space.
    pub(super) fn chip_of(self, hex: &str) -> String {
        let colour = api::from_hex(hex).filter(|_| self == Self::Coloured);
        colour.map_or_else(String::new, |colour| format!("{} ", block(colour)))
    }

    /// Room for as many blocks as the widest row has, so that names stand below one another.
    pub(super) fn chips_in_column(self, paper: &PaperView) -> String {
        let missing = MOST_COLOURS.saturating_sub(paper.swatches.len());
        if self == Self::Plain { String::new() } else { format!("{}{}", self.chips(paper), "  ".repeat(missing)) }
    }

    /// Text that stands out.
    pub(super) fn strong(self, text: &str) -> String {
        self.styled(text, Style::new().bold())
    }

    /// Text that stands back.
    pub(super) fn faint(self, text: &str) -> String {
        self.styled(text, Style::new().dimmed())
    }

    fn styled(self, text: &str, style: Style) -> String {
        if self == Self::Plain { text.to_owned() } else { format!("{style}{text}{style:#}") }
    }
}

fn block(colour: Colour) -> String {
    let rgb: Srgb<u8> = Srgb::<f64>::from_color(colour).into_format();
    let style = Style::new().bg_color(Some(RgbColor(rgb.red, rgb.green, rgb.blue).into()));
    format!("{style}  {style:#}")
}

/// Text filled up with spaces to a width in columns.
pub(super) fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

/// How many columns the widest of some texts takes, but no more than `most`.
pub(super) fn widest<'a>(texts: impl IntoIterator<Item = &'a str>, most: usize) -> usize {
    texts.into_iter().map(UnicodeWidthStr::width).max().unwrap_or(0).min(most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_show_only_where_colour_may() {
        let paper = PaperView::plain("moss", api::from_hex("#507030").unwrap());
        assert_eq!(Look::Plain.chips(&paper), "");
        assert_eq!(Look::Plain.strong("x"), "x");
        assert_eq!(Look::Coloured.chips(&paper), "\u{1b}[48;2;80;112;48m  \u{1b}[0m ");
    }

    #[test]
    fn columns_count_what_letters_take() {
        assert_eq!(padded("花", 4), "花  ");
        assert_eq!(widest(["a", "花花", "abc"], 60), 4);
    }
}

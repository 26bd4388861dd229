//! Pages as PNG: a page as SVG in; its pixels out. The type is built in, and nothing but what stands in the
//! SVG is opened.

use super::font::{BOLD, REGULAR};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{ImageHrefResolver, Options, Tree, fontdb::Database};

/// Dots to the inch: sharp on a tablet, and legible where it is printed.
pub(crate) const DPI: f32 = 150.0;

/// A page of an SVG file whose sizes are in millimetres, as PNG; `None` where it cannot be drawn.
pub(crate) fn png(svg: &str) -> Option<Vec<u8>> {
    let mut fonts = Database::new();
    fonts.load_font_data(REGULAR.to_vec());
    fonts.load_font_data(BOLD.to_vec());
    fonts.set_sans_serif_family("Liberation Sans");
    let resolver = ImageHrefResolver { resolve_string: Box::new(|_, _| None), ..ImageHrefResolver::default() };
    let options = Options {
        dpi: DPI,
        font_family: "Liberation Sans".to_owned(),
        image_href_resolver: resolver,
        fontdb: std::sync::Arc::new(fonts),
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options).ok()?;
    let size = tree.size().to_int_size();
    let mut pixels = Pixmap::new(size.width(), size.height())?;
    resvg::render(&tree, Transform::default(), &mut pixels.as_mut());
    pixels.encode_png().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_is_as_many_dots_as_it_should_be_and_words_are_drawn() {
        let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"50.8mm\" height=\"25.4mm\" viewBox=\"0 0 50.8 25.4\" \
                   font-family=\"Liberation Sans, Arial\"><rect width=\"50.8\" height=\"25.4\" fill=\"#fff\"/>\
                   <rect x=\"5\" y=\"3\" width=\"25.4\" height=\"2\"/><text x=\"5\" y=\"20\" font-size=\"6\">front</text></svg>";
        let pixels = Pixmap::decode_png(&png(svg).unwrap()).unwrap();
        assert_eq!((pixels.width(), pixels.height()), (300, 150));
        let dark = |x: u32, y: u32| pixels.pixel(x, y).is_some_and(|pixel| pixel.red() < 100);
        let bar = (0..300).filter(|x| dark(*x, 24)).count();
        assert!((149..=151).contains(&bar), "{bar} dots to the inch");
        let letters = (90..125).flat_map(|y| (0..300).map(move |x| (x, y))).filter(|(x, y)| dark(*x, *y)).count();
        assert!(letters > 100, "no words: {letters}");
    }

    #[test]
    fn files_that_a_page_names_are_not_opened() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("red.png");
        let mut red = Pixmap::new(4, 4).unwrap();
        red.fill(resvg::tiny_skia::Color::from_rgba8(255, 0, 0, 255));
        red.save_png(&path).unwrap();
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\" height=\"10mm\" viewBox=\"0 0 10 10\">\
             <image width=\"10\" height=\"10\" href=\"{}\"/></svg>",
            path.display()
        );
        let pixels = Pixmap::decode_png(&png(&svg).unwrap()).unwrap();
        assert!(pixels.pixels().iter().all(|pixel| pixel.alpha() == 0));
    }
}

//! The layouts that come with the program, for a stash that has none of its own.

use super::LayoutSketch;
use crate::problem::Source;
use include_dir::{Dir, include_dir};

static LAYOUTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/demo-data/layouts");

/// The built-in layouts, as files: a name and its text. `swatchfold layouts --copy` writes them out.
#[must_use]
pub fn built_in_layout_files() -> Vec<(&'static str, &'static str)> {
    let mut files: Vec<_> =
        LAYOUTS.files().filter_map(|file| Some((file.path().to_str()?, file.contents_utf8()?))).collect();
    files.sort_unstable();
    files
}

/// The built-in layouts, as read.
#[must_use]
pub fn built_in_layouts() -> Vec<LayoutSketch> {
    let sources =
        built_in_layout_files().into_iter().map(|(name, text)| Source::new(format!("built-in/{name}"), text)).collect();
    super::file::read_sources(sources).stash.layouts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_layout_can_be_read_and_used() {
        let sources = built_in_layout_files().into_iter().map(|(name, text)| Source::new(name, text)).collect();
        let reading = super::super::file::read_sources(sources);
        assert!(reading.problems.is_empty(), "{:#?}", reading.problems);
        assert!(!reading.stash.layouts.is_empty());
        for sketch in &reading.stash.layouts {
            assert!(crate::layout::check(sketch, &reading.stash.settings).is_ok(), "{}", sketch.id);
        }
    }
}

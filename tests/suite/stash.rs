//! Reading a stash: folders of cases (each a tiny stash and exactly what is said of it), what no
//! folder of files can hold (links, locked and huge files), random mistakes, and honest documents.

mod cases;
mod documents;
mod folders;
mod mistakes;
mod starting;
mod weights;

use std::path::{Path, PathBuf};
use swatchfold::problem::Problem;
use swatchfold::stash::{Colours, Copies, Date, Reading, Stash};

/// The folder with all cases.
fn all_cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/stash")
}

/// The folders of the cases, in order.
fn case_folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::fs::read_dir(all_cases())
        .expect("the folder of cases is there")
        .map(|entry| entry.expect("its entries can be read").path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    assert!(!folders.is_empty(), "no cases in {}", all_cases().display());
    folders
}

/// The day on which all cases are read.
fn today() -> Date {
    Date::from_ymd(2026, 6, 1).expect("it is a day")
}

fn read(folder: &Path) -> Reading {
    swatchfold::stash::read(folder, Some(today()))
}

/// All that is said of a stash, as on screen, and then what was read of it.
fn told(reading: &Reading) -> String {
    let said: Vec<String> = reading.problems.iter().map(Problem::to_string).collect();
    format!("{}\n\n== read\n{}", said.join("\n\n"), inventory(&reading.stash)).trim_start().to_owned()
}

/// What was read, a line for each thing.
fn inventory(stash: &Stash) -> String {
    let mut lines = Vec::new();
    let unit = stash.settings.unit;
    for paper in &stash.papers {
        let colours = match &paper.colours {
            Colours::FromPicture => "from the picture".to_owned(),
            Colours::Entered(swatches) => {
                let swatch = |swatch: &api::Swatch| {
                    // Without the sign of a nought, which is the last bit of some sum.
                    let tenths = |number: f64| format!("{:.1}", (number * 10.0).round() / 10.0 + 0.0);
                    let colour = [swatch.colour.l, swatch.colour.a, swatch.colour.b].map(tenths).join(" ");
                    format!("{colour} at {}", swatch.share.millionths())
                };
                swatches.iter().map(swatch).collect::<Vec<_>>().join(", ")
            }
        };
        let pattern = paper.pattern;
        lines.push(format!(
            "paper {} \"{}\" {:?} {:?}, colours {colours}, pattern {:?} {:?} {:?} {:?}, picture {:?} of {:?}, pad {:?}",
            paper.id,
            paper.name,
            paper.material,
            paper.finish,
            pattern.kind,
            pattern.busyness.map(|share| share.millionths()),
            pattern.repeat.map(|length| length.exact(unit)),
            pattern.directional,
            paper.picture.as_deref().map(swatchfold::problem::shown),
            paper.picture_of.map(|(width, height)| api::units::Size::new(width, height).exact(unit)),
            paper.pad,
        ));
    }
    for line in &stash.lines {
        lines.push(format!(
            "{:?} {} of {} and {:?}, {} x {}, added {:?}, {:?}, {:?} g/m2, {:?} thick, assumed {:?}",
            line.kind,
            line.id,
            stash.paper(line.front).id,
            line.back.map(|back| &stash.paper(back).id),
            line.count,
            line.size().exact(unit),
            line.added.map(|date| date.to_string()),
            line.grain,
            line.grams_per_square_metre,
            line.thickness.map(|length| length.exact(unit)),
            line.assumed,
        ));
    }
    for die in &stash.dies {
        lines.push(format!(
            "die {} \"{}\" {} and {}, {:?}",
            die.id,
            die.name,
            die.size.exact(unit),
            die.margin.exact(unit),
            die.outline
        ));
    }
    let copies = |copies: Copies| match copies {
        Copies::Exactly(count) => count.to_string(),
        Copies::Plenty => "plenty".to_owned(),
    };
    for sentiment in &stash.sentiments {
        lines.push(format!(
            "sentiment {} \"{}\" {}, {}, for {:?}",
            sentiment.id,
            sentiment.words,
            sentiment.size.exact(unit),
            copies(sentiment.copies),
            sentiment.occasions
        ));
    }
    for image in &stash.images {
        lines.push(format!(
            "image {} \"{}\" {}, {}, looks {:?}, {} colours, picture {:?}, for {:?}",
            image.id,
            image.name,
            image.size.exact(unit),
            copies(image.copies),
            image.facing,
            image.swatches.len(),
            image.picture.as_deref().map(swatchfold::problem::shown),
            image.occasions
        ));
        for part in &image.parts {
            lines.push(format!(
                "  part {} at {:?}, cut from {}, takes {:?}, {:?}, inlaid in {:?}",
                part.id,
                part.at,
                part.size.exact(unit),
                part.takes,
                part.colour,
                part.inlaid_in
            ));
        }
    }
    for dots in &stash.dots {
        lines.push(format!(
            "{} {} \"{}\" {:.1} {:.1} {:.1}, {} across, {} high, {} micrograms, {} of them, assumed {:?}",
            dots.sort.word(),
            dots.id,
            dots.name,
            dots.colour.l,
            dots.colour.a + 0.0,
            dots.colour.b + 0.0,
            dots.diameter.exact(unit),
            dots.height.exact(unit),
            dots.weighs(),
            dots.count,
            dots.assumed
        ));
    }
    for layout in &stash.layouts {
        lines.push(format!(
            "layout {} \"{}\" {}, by {:?} {:?}, for {:?}, at line {}",
            layout.id,
            layout.name,
            layout.card.exact(unit),
            layout.credit,
            layout.link,
            layout.occasions,
            layout.place.line
        ));
        for panel in &layout.panels {
            let edge = |edge: swatchfold::stash::Edge| format!("{} {}", edge.share, edge.offset.exact(unit));
            lines.push(format!(
                "  {:?} {} on {:?}: {} to {}, {} to {}, {:?}, mats {:?}, {:?}, same as {:?}, not {:?}{}{}, at line {}",
                panel.role,
                panel.id,
                panel.on,
                edge(panel.left),
                edge(panel.right),
                edge(panel.top),
                edge(panel.bottom),
                panel.shape,
                panel.mats.iter().map(|mat| mat.exact(unit)).collect::<Vec<_>>(),
                panel.takes,
                panel.same_as,
                panel.differs_from,
                if panel.raised { ", raised" } else { "" },
                if panel.holds_sentiment { ", with words" } else { "" },
                panel.place.line
            ));
        }
    }
    if lines.is_empty() {
        lines.push("nothing".into());
    }
    lines.join("\n") + "\n"
}

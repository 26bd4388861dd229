//! Reads the demo's papers as they stand and sets what was read beside what their designs say.
//!
//! `cargo run --release -p swatchfold-picture --example papers`

use papermaker::shelf::designs;
use swatchfold_picture::{Limits, Options, Scale, decode, swatches};

fn main() {
    let (mut kinds, mut turns, mut count) = (0, 0, 0);
    let mut busy: Vec<(f64, f64)> = Vec::new();
    for design in designs() {
        let path = format!("{}/../../demo-data/papers/{}/{}.jpg", env!("CARGO_MANIFEST_DIR"), design.pad, design.file);
        let Ok(bytes) = std::fs::read(&path) else {
            println!("{path} is not there");
            continue;
        };
        let picture = decode(&bytes, Limits::COMMON).expect("decoded");
        let start = std::time::Instant::now();
        let options = Options { scale: Scale::Across(design.size.0), ..Options::AS_IS };
        let reading = swatches(&picture, &options);
        let kind = format!("{:?}", reading.pattern.kind).to_lowercase().replace("bigmotif", "big-motif");
        let turn = format!("{:?}", reading.pattern.directional);
        let right = |same: bool| if same { " " } else { "!" };
        let (kind_right, turn_right) = (kind == design.kind.to_string(), turn == format!("{:?}", design.directional));
        count += 1;
        kinds += usize::from(kind_right);
        turns += usize::from(turn_right);
        busy.push((design.busyness, reading.pattern.busyness.as_f64()));
        println!(
            "{:24} {kind:10}{}({}) {turn:12}{}({}) busy {:.2} ({:.2}) repeat {:?} ({:?}) {} of {} colours {:.0?}",
            design.file,
            right(kind_right),
            design.kind,
            right(turn_right),
            design.directional,
            reading.pattern.busyness.as_f64(),
            design.busyness,
            reading.pattern.repeat.map(|length| length.nanometres() as f64 / 1e6),
            design.repeat,
            reading.swatches.len(),
            design.inks.len(),
            start.elapsed(),
        );
        if std::env::var("LOUD").is_ok() {
            for swatch in &reading.swatches {
                println!("    {} {:.2} %", api::hex(swatch.colour), 100.0 * swatch.share.as_f64());
            }
            let inks: Vec<String> = design.inks.iter().map(|ink| format!("#{ink:06x}")).collect();
            println!("    drawn with {}", inks.join(" "));
        }
    }
    let (mut pairs, mut ordered) = (0, 0);
    for (at, one) in busy.iter().enumerate() {
        for two in &busy[at + 1..] {
            if (one.0 - two.0).abs() >= 0.2 {
                pairs += 1;
                ordered += usize::from((one.0 > two.0) == (one.1 > two.1));
            }
        }
    }
    println!("kind {kinds} turn {turns} of {count}; busyness order {ordered} of {pairs}");
}

//! Times the reading of one picture: `cargo run --release -p swatchfold-picture --example clock -- PICTURE [times]`.

use std::time::Instant;
use swatchfold_picture::{Limits, Options, decode, swatches};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let path = args.first().expect("name a picture");
    let times = args.get(1).and_then(|text| text.parse().ok()).unwrap_or(5);
    let bytes = std::fs::read(path).expect("the picture can be read");
    for _ in 0..times {
        let start = Instant::now();
        let picture = decode(&bytes, Limits::COMMON).expect("decoded");
        let decoded = start.elapsed();
        let reading = swatches(&picture, &Options::PHOTOGRAPH);
        let megapixels = f64::from(picture.width()) * f64::from(picture.height()) / 1e6;
        println!(
            "{megapixels:.1} MP: decode {decoded:.0?}, all {:.0?}, {} colours",
            start.elapsed(),
            reading.swatches.len()
        );
    }
}

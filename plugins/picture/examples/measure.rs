//! Measures the measuring: papers of known colours, photographed, read, compared with the truth.
//!
//! `cargo run --release -p swatchfold-picture --example measure -- [plain|ditsy] [first seed] [count] [side]`

#[path = "../tests/print/compare.rs"]
mod compare;
#[path = "../tests/print/mod.rs"]
mod print;

use print::{Paper, Shot, ditsy_pattern, jpeg, plain_pattern};
use std::time::Instant;
use swatchfold_picture::{Limits, Options, decode, swatches};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let kind = args.first().map_or("plain", String::as_str);
    let number = |at: usize, otherwise: usize| args.get(at).and_then(|text| text.parse().ok()).unwrap_or(otherwise);
    let (first, count, side) = (number(1, 1), number(2, 10), number(3, 1000));
    let loud = std::env::var("LOUD").is_ok();
    let make: fn(u64, usize, usize) -> Paper = if kind == "ditsy" { ditsy_pattern } else { plain_pattern };
    let mut totals = compare::Totals::default();
    for seed in first..first + count {
        let seed = seed as u64;
        let paper = make(seed, side, side);
        let shot = Shot { margin: side / 16, quality: 88, uneven: 1.0 };
        let bytes = jpeg(&paper, seed, shot);
        if let Ok(folder) = std::env::var("KEEP") {
            std::fs::write(format!("{folder}/{kind}-{seed}.jpg"), &bytes).expect("written");
        }
        let start = Instant::now();
        let picture = decode(&bytes, Limits::COMMON).expect("decoded");
        let decoded = start.elapsed();
        let reading = swatches(&picture, &Options::PHOTOGRAPH);
        let score = compare::compare(&paper.truth(), &reading);
        println!("{kind} {seed}: {score} white {:?} decode {decoded:.0?} all {:.0?}", reading.white, start.elapsed());
        if loud {
            println!("{}", compare::table(&paper.truth(), &reading));
        }
        totals.add(&score);
    }
    println!("{totals}");
}

//! Reads the trial papers and compares with their truth.
//!
//! `cargo run --release -p swatchfold-picture --example trials -- [practice|more|judging] [plain|ditsy] [margin|bare] [from] [count]`
//!
//! `judging` is for the final count alone; `more` is further practice, so that nothing is fitted to the
//! few papers of `practice`. `KEEP` names a folder for the pictures.

#[path = "../tests/print/compare.rs"]
mod compare;

use compare::Truth;
use papermaker::trial::photo::{Camera, Surround, photograph};
use papermaker::trial::{Style, Trial, seeds};
use std::time::{Duration, Instant};
use swatchfold_picture::{Limits, Options, Scale, decode, swatches};

/// First seed of the further practice.
const MORE_FROM: u64 = 52_009;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let has = |word: &str| args.iter().any(|arg| arg == word);
    let numbers: Vec<usize> = args.iter().filter_map(|arg| arg.parse().ok()).collect();
    let style = if has("ditsy") { Style::Ditsy } else { Style::Plain };
    let surround = if has("bare") { Surround::Nothing } else { Surround::Margin(seeds::MARGIN) };
    let trials = if has("judging") {
        seeds::judging(style)
    } else if has("more") {
        (0..60).map(|k| Trial { style, seed: MORE_FROM + 13 * k }).collect()
    } else {
        seeds::practice(style)
    };
    let (from, count) = (numbers.first().copied().unwrap_or(0), numbers.get(1).copied().unwrap_or(usize::MAX));
    let loud = std::env::var("LOUD").is_ok();
    let mut totals = compare::Totals::default();
    let (mut kinds, mut turns, mut repeats) = (0, 0, 0);
    let mut busy: Vec<(f64, f64)> = Vec::new();
    let mut spent = Duration::ZERO;
    for trial in trials.into_iter().skip(from).take(count) {
        let paper = trial.paper(seeds::PIXELS_PER_INCH);
        let camera = Camera::new(trial.seed);
        let photo = photograph(&paper, seeds::PIXELS_PER_INCH, seeds::SIZE, surround, &camera).expect("photographed");
        let within = paper.colours_within(photo.print[2], photo.print[3]);
        let truth = Truth {
            colours: within.iter().map(|colour| colour.lab).collect(),
            shares: within.iter().map(|colour| colour.share).collect(),
        };
        if let Ok(folder) = std::env::var("KEEP") {
            std::fs::write(format!("{folder}/{style:?}-{}.jpg", trial.seed), &photo.jpeg).expect("written");
        }
        let start = Instant::now();
        let picture = decode(&photo.jpeg, Limits::COMMON).expect("decoded");
        let options = Options { scale: Scale::Dpi(u32::from(photo.per_inch)), ..Options::PHOTOGRAPH };
        let reading = swatches(&picture, &options);
        spent += start.elapsed();
        let score = compare::compare(&truth, &reading);
        totals.add(&score);
        let pattern = reading.pattern;
        let true_kind = paper.truth.kind.to_string();
        let kind = format!("{:?}", pattern.kind).to_lowercase().replace("bigmotif", "big-motif");
        let turn = format!("{:?}", pattern.directional);
        let kind_right = kind == true_kind;
        let turn_right = turn == format!("{:?}", paper.truth.directional);
        let found = pattern.repeat.map(|length| length.nanometres() as f64 / 1e6);
        let repeat_right = [paper.truth.across, paper.truth.down]
            .iter()
            .flatten()
            .any(|wanted| found.is_some_and(|found| (found / wanted - 1.0).abs() <= 0.05));
        kinds += usize::from(kind_right);
        turns += usize::from(turn_right);
        repeats += usize::from(repeat_right);
        busy.push((paper.truth.steps_per_mm, pattern.busyness.as_f64()));
        let mark = |right: bool| if right { "" } else { "!" };
        println!(
            "{style:?} {}: {score} {:?} | kind {kind} ({true_kind}){} turn {turn} ({}){} repeat {found:?} ({:?} {:?}){} busy {:.3} ({:.2})",
            trial.seed,
            reading.white,
            mark(kind_right),
            paper.truth.directional,
            mark(turn_right),
            paper.truth.across,
            paper.truth.down,
            mark(repeat_right),
            pattern.busyness.as_f64(),
            paper.truth.steps_per_mm,
        );
        if loud {
            println!("{}", compare::table(&truth, &reading));
        }
    }
    let (mut pairs, mut ordered) = (0, 0);
    for (at, one) in busy.iter().enumerate() {
        for two in &busy[at + 1..] {
            // Papers of which one is truly busier by a half or more.
            if one.0 > 1.5 * two.0 || two.0 > 1.5 * one.0 {
                pairs += 1;
                ordered += usize::from((one.0 > two.0) == (one.1 > two.1));
            }
        }
    }
    println!("{totals}");
    println!(
        "kind {kinds} turn {turns} repeat {repeats} of {}; busyness order {ordered} of {pairs}; {spent:.1?} in all",
        busy.len()
    );
}

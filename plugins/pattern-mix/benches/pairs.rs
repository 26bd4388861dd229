//! How long a pair of papers takes.

use api::{Colour, Knobs, Material, PaperView, PatternKind, Share, Swatch};
use divan::{Bencher, black_box};
use swatchfold_pattern_mix::scorer;

fn main() {
    divan::main();
}

/// A print of six colours.
fn print(seed: u32) -> PaperView {
    let colour = |i: u32| {
        let turn = f64::from(seed + i) * 2.4;
        Colour::new(f64::from((seed + i) * 37 % 100), 40.0 * turn.cos(), 40.0 * turn.sin())
    };
    let mut paper = PaperView::plain(format!("print {seed}"), colour(0));
    let share = Share::new(1.0 / 6.0).expect("a sixth");
    paper.swatches = (0..6).map(|i| Swatch { colour: colour(i), share }).collect();
    paper.material = Material::Patterned;
    paper.pattern.kind = PatternKind::Scattered;
    paper
}

#[divan::bench]
fn a_print_on_plain_stock(bencher: Bencher) {
    let (scorer, panel) = (scorer(&Knobs::default()), print(0));
    let mat = PaperView::plain("stock", Colour::new(40.0, 30.0, 30.0));
    bencher.bench(|| scorer.mat_behind(black_box(&panel), black_box(&mat)));
}

#[divan::bench]
fn two_prints_on_one_card(bencher: Bencher) {
    let (scorer, one, other) = (scorer(&Knobs::default()), print(0), print(7));
    bencher.bench(|| scorer.same_card(black_box(&one), black_box(&other)));
}

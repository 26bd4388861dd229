//! How long colour harmony takes: papers of six colours each, and single pairs of prepared colours.

use api::{Colour, Knobs, PaperView, Share, Swatch};
use divan::{Bencher, black_box, counter::ItemsCount};
use swatchfold_colour_harmony::{Ou2018, OuLuo2006, scorer};

fn main() {
    divan::main();
}

fn colours(count: u32) -> Vec<Colour> {
    (0..count)
        .map(|i| {
            let turn = f64::from(i) * 2.4;
            Colour::new(f64::from(i * 37 % 100), 60.0 * turn.cos(), 60.0 * turn.sin())
        })
        .collect()
}

fn paper(first: usize) -> PaperView {
    let mut paper = PaperView::plain("print", Colour::new(50.0, 0.0, 0.0));
    let share = Share::new(1.0 / 6.0).expect("a sixth");
    paper.swatches = colours(24)[first..first + 6].iter().map(|colour| Swatch { colour: *colour, share }).collect();
    paper
}

#[divan::bench]
fn two_papers_of_six_colours(bencher: Bencher) {
    let (scorer, one, other) = (scorer(&Knobs::default()), paper(0), paper(12));
    bencher.bench(|| scorer.touching(black_box(&one), black_box(&other)));
}

#[divan::bench]
fn six_colours_on_plain_stock(bencher: Bencher) {
    let (scorer, one) = (scorer(&Knobs::default()), paper(0));
    let plain = PaperView::plain("plain", colours(9)[8]);
    bencher.bench(|| scorer.mat_behind(black_box(&one), black_box(&plain)));
}

fn all_pairs<H: Sync>(bencher: Bencher, ready: impl Fn(Colour) -> H, model: impl Fn(&H, &H) -> f64 + Sync) {
    let prepared: Vec<H> = colours(1_000).into_iter().map(ready).collect();
    bencher.counter(ItemsCount::new(1_000_000_u32)).bench(|| {
        let mut best = f64::NEG_INFINITY;
        for one in &prepared {
            for other in &prepared {
                best = best.max(model(one, other));
            }
        }
        best
    });
}

#[divan::bench]
fn a_million_prepared_pairs_2006(bencher: Bencher) {
    all_pairs(bencher, OuLuo2006::new, OuLuo2006::with);
}

#[divan::bench]
fn a_million_prepared_pairs_2018(bencher: Bencher) {
    all_pairs(bencher, Ou2018::new, Ou2018::with);
}

#[divan::bench]
fn prepare_a_thousand_colours(bencher: Bencher) {
    let colours = colours(1_000);
    bencher
        .counter(ItemsCount::new(1_000_u32))
        .bench(|| black_box(&colours).iter().map(|colour| OuLuo2006::new(*colour)).collect::<Vec<_>>());
}

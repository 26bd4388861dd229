//! How long colour harmony takes: papers of six colours each, and single pairs of prepared colours.

use api::{Colour, Knobs, PaperView, Share, Swatch};
use divan::{Bencher, black_box, counter::ItemsCount};
use swatchfold_colour_harmony::{Prepared, ou_2018_prepared, ou_luo_2006_prepared, scorer};

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

fn all_pairs(bencher: Bencher, model: impl Fn(&Prepared, &Prepared) -> f64 + Sync) {
    let prepared: Vec<Prepared> = colours(1_000).into_iter().map(Prepared::new).collect();
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
    all_pairs(bencher, ou_luo_2006_prepared);
}

#[divan::bench]
fn a_million_prepared_pairs_2018(bencher: Bencher) {
    all_pairs(bencher, ou_2018_prepared);
}

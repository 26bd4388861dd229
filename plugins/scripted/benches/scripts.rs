//! How many pairs a second a script of about thirty operations scores, asked anew and kept.

use api::{Colour, Knobs, PaperView, Scorer, Share, Swatch};
use divan::{Bencher, black_box, counter::ItemsCount};
use swatchfold_scripted::{Month, ScriptLimits, ScriptManifest, Scripted};

fn main() {
    divan::main();
}

const MANIFEST: &str = r#"
    api = 1
    name = "bench"
    title = "thirty operations"
    version = 1
    script = "bench.rhai"
    terms = ["mat-behind"]
"#;

/// Thirty operators, properties and calls on two colours.
const SCRIPT: &str = r#"
    fn colours(one, other) {
        let dl = one.l - other.l;
        let da = one.a - other.a;
        let db = one.b - other.b;
        let apart = (dl * dl + da * da + db * db).sqrt();
        let light = (one.l + other.l) / 200.0;
        let near = 1.0 / (1.0 + apart / 50.0);
        let clear = contrast(one, other) / 21.0;
        0.5 * near + 0.2 * light + 0.1 * clear + 0.1 * ramp(apart, 10, 60)
    }
"#;

fn scripted() -> Scripted {
    let manifest = ScriptManifest::read(MANIFEST, &ScriptLimits::USUAL).expect("a sound manifest");
    let month = Month::new(12).expect("December");
    Scripted::new(manifest, SCRIPT, &ScriptLimits::USUAL, &Knobs::default(), month).expect("a sound script")
}

fn paper(seed: u32) -> PaperView {
    let turn = f64::from(seed) * 2.4;
    let colour = |i: u32| Colour::new(f64::from(i * 37 % 100), 60.0 * turn.cos(), f64::from(seed));
    let mut paper = PaperView::plain("paper", colour(seed));
    let share = Share::new(0.25).expect("a quarter");
    paper.swatches = (0..4).map(|i| Swatch { colour: colour(seed + i), share }).collect();
    paper
}

#[divan::bench]
fn ten_thousand_pairs_asked_anew(bencher: Bencher) {
    let panels: Vec<PaperView> = (0..25).map(paper).collect();
    let mats: Vec<PaperView> = (100..125).map(paper).collect();
    bencher.counter(ItemsCount::new(10_000_u32)).with_inputs(scripted).bench_values(|scorer| {
        for panel in &panels {
            for mat in &mats {
                black_box(scorer.mat_behind(panel, mat));
            }
        }
        scorer
    });
}

#[divan::bench]
fn a_pair_of_papers_kept(bencher: Bencher) {
    let (scorer, panel, mat) = (scripted(), paper(0), paper(100));
    bencher.bench(|| scorer.mat_behind(black_box(&panel), black_box(&mat)));
}

//! How long each step takes as the stash grows: `cargo bench`.
//!
//! Stashes are made up from a seed: a tenth of the lines are designs in pads, the rest scraps of
//! them, with plain stock and layouts as numbered. Every figure is the least of several runs, since
//! the least is what the machine can do; growth is the slope of a straight line through the
//! logarithms, from the second size to the last.

mod made_up;

use std::time::{Duration, Instant};
use swatchfold::index;
use swatchfold::score::{self, Ask, Jury, Table};
use swatchfold::stash::{self, Date, Stash};

fn least<T>(runs: u32, mut run: impl FnMut() -> T) -> (Duration, T) {
    let mut best: Option<(Duration, T)> = None;
    for _ in 0..runs {
        let start = Instant::now();
        let value = run();
        let took = start.elapsed();
        if best.as_ref().is_none_or(|(least, _)| took < *least) {
            best = Some((took, value));
        }
    }
    best.expect("at least one run")
}

fn milliseconds(time: Duration) -> String {
    format!("{:.1} ms", time.as_secs_f64() * 1e3)
}

struct Step {
    name: &'static str,
    times: Vec<(f64, f64)>,
}

impl Step {
    fn slope(&self) -> f64 {
        let points: Vec<(f64, f64)> = self.times.iter().skip(1).map(|(x, y)| (x.ln(), y.ln())).collect();
        #[allow(clippy::cast_precision_loss, reason = "a handful of points")]
        let n = points.len() as f64;
        let (sx, sy) = points.iter().fold((0.0, 0.0), |(sx, sy), (x, y)| (sx + x, sy + y));
        let (mx, my) = (sx / n, sy / n);
        let up: f64 = points.iter().map(|(x, y)| (x - mx) * (y - my)).sum();
        let across: f64 = points.iter().map(|(x, _)| (x - mx) * (x - mx)).sum();
        up / across
    }
}

fn suggest_once(stash: &Stash, today: Date) -> (score::Answer, Duration, Duration) {
    let index = index::build(stash, today);
    let (layouts, wrong) = score::checked(stash);
    assert!(wrong.is_empty(), "{wrong:?}");
    let (jury, _) = Jury::seat(score::scorers(&stash.settings, &stash.inks), &stash.settings);
    let table = Table {
        index: &index,
        layouts: &layouts,
        settings: &stash.settings,
        dies: &stash.dies,
        images: &stash.images,
        dots: &stash.dots,
        jury: &jury,
    };
    let ask = Ask { work: score::usual_work(&index), ..Ask::new(&stash.settings) };
    let warm = score::Warm::default();
    let (cold, _) = least(1, || score::suggest_with(table, &ask, &warm, &|_| ()));
    let (warm, answer) = least(3, || score::suggest_with(table, &ask, &warm, &|_| ()));
    (answer, cold, warm)
}

fn main() {
    let quick = std::env::args().any(|arg| arg == "--quick");
    let large = std::env::args().any(|arg| arg == "--large");
    let today = Date::from_ymd(2026, 11, 25).expect("a day");
    println!(
        "| stock lines x layouts x cardstocks | read | index | suggest 24, cold | warm | variants | work | proven |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let sizes: &[(usize, usize, usize)] = if large {
        &[(20_000, 500, 200)]
    } else if quick {
        &[(1_000, 100, 60)]
    } else {
        &[(1_000, 100, 60), (20_000, 500, 200)]
    };
    for (lines, layouts, cardstocks) in sizes {
        let texts = made_up::texts(*lines, *layouts, *cardstocks);
        let (read, reading) = least(3, || stash::read_sources(texts.clone()));
        assert!(reading.problems.is_empty(), "{}", reading.problems[0]);
        let (indexed, _) = least(3, || index::build(&reading.stash, today));
        let (answer, cold, warm) = suggest_once(&reading.stash, today);
        println!(
            "| {lines} x {layouts} x {cardstocks} | {} | {} | {} | {} | {} | {} | {} |",
            milliseconds(read),
            milliseconds(indexed),
            milliseconds(cold),
            milliseconds(warm),
            answer.variants,
            answer.work,
            if answer.exact { "yes" } else { "no" }
        );
    }
    if quick || large {
        return;
    }
    let mut steps = ["read", "index", "suggest, cold", "suggest, warm"].map(|name| Step { name, times: Vec::new() });
    for lines in [500_u32, 1_000, 3_000, 10_000, 30_000, 100_000] {
        let texts = made_up::texts(lines as usize, 100, 60);
        let (read, reading) = least(2, || stash::read_sources(texts.clone()));
        let (indexed, _) = least(2, || index::build(&reading.stash, today));
        let (_, cold, warm) = suggest_once(&reading.stash, today);
        for (step, time) in steps.iter_mut().zip([read, indexed, cold, warm]) {
            step.times.push((f64::from(lines), time.as_secs_f64()));
        }
    }
    println!(
        "\n| step | {} | slope |",
        [500, 1_000, 3_000, 10_000, 30_000, 100_000].map(|n| n.to_string()).join(" | ")
    );
    println!("|---|---|---|---|---|---|---|---|");
    for step in &steps {
        let times: Vec<String> =
            step.times.iter().map(|(_, time)| milliseconds(Duration::from_secs_f64(*time))).collect();
        println!("| {} | {} | {:.2} |", step.name, times.join(" | "), step.slope());
    }
}

//! Swatches against the truth: papers of known colours, photographed under uneven light, read again.
//!
//! The seeds here are those the measuring was tuned on; the table in `docs/swatches.md` is of others.

#[path = "print/compare.rs"]
mod compare;
mod print;

use print::{Shot, ditsy_pattern, jpeg, plain_pattern};
use swatchfold_picture::{Limits, Note, Options, Picture, Reading, Scale, White, WhiteFound, decode, swatches};

const SIDE: usize = 700;

fn read(bytes: &[u8], options: &Options) -> Reading {
    swatches(&decode(bytes, Limits::COMMON).expect("decoded"), options)
}

fn shot(margin: usize) -> Shot {
    Shot { margin, quality: 88, uneven: 1.0 }
}

#[test]
fn plain_patterns_under_a_lamp_come_out_true() {
    for seed in 1..=6 {
        let paper = plain_pattern(seed, SIDE, SIDE);
        let reading = read(&jpeg(&paper, seed, shot(50)), &Options::PHOTOGRAPH);
        let score = compare::compare(&paper.truth(), &reading);
        assert_eq!(reading.white, WhiteFound::Margin, "seed {seed}");
        let table = compare::table(&paper.truth(), &reading);
        assert!(score.missed == 0 && score.invented == 0, "seed {seed}: {score}\n{table}");
        assert!(score.mean < 0.7 && score.worst < 2.0 && score.share < 0.3, "seed {seed}: {score}\n{table}");
    }
}

#[test]
fn ditsy_patterns_keep_their_close_tints_and_their_accent() {
    let mut totals = compare::Totals::default();
    for seed in 1..=4 {
        let paper = ditsy_pattern(seed, SIDE, SIDE);
        let reading = read(&jpeg(&paper, seed, shot(50)), &Options::PHOTOGRAPH);
        totals.add(&compare::compare(&paper.truth(), &reading));
    }
    // Motifs of six pixels and dots of six across, 40 colours in all; what is not reached yet stands in
    // docs/swatches.md.
    assert!(totals.missed <= 4 && totals.invented <= 2, "{totals}");
    assert!(totals.mean / 4.0 < 1.2 && totals.share / 4.0 < 0.8, "{totals}");
}

#[test]
fn the_trial_papers_of_practice_come_out_true() {
    use papermaker::trial::photo::{Camera, Surround, photograph};
    use papermaker::trial::{Style, seeds};
    let mut totals = compare::Totals::default();
    for (style, at) in [(Style::Plain, 7), (Style::Plain, 9), (Style::Plain, 11), (Style::Ditsy, 0), (Style::Ditsy, 1)]
    {
        let trial = seeds::practice(style)[at];
        let paper = trial.paper(seeds::PIXELS_PER_INCH);
        let surround = Surround::Margin(seeds::MARGIN);
        let camera = Camera::new(trial.seed);
        let photo = photograph(&paper, seeds::PIXELS_PER_INCH, seeds::SIZE, surround, &camera).expect("photographed");
        let options = Options { scale: Scale::Dpi(u32::from(photo.per_inch)), ..Options::PHOTOGRAPH };
        let reading = read(&photo.jpeg, &options);
        let within = paper.colours_within(photo.print[2], photo.print[3]);
        let truth = compare::Truth {
            colours: within.iter().map(|colour| colour.lab).collect(),
            shares: within.iter().map(|colour| colour.share).collect(),
        };
        totals.add(&compare::compare(&truth, &reading));
        let seed = trial.seed;
        assert_eq!(
            format!("{:?}", reading.pattern.directional),
            format!("{:?}", paper.truth.directional),
            "{style:?} {seed}"
        );
        let found = reading.pattern.repeat.expect("it repeats").nanometres() as f64 / 1e6;
        let repeats = [paper.truth.across, paper.truth.down];
        assert!(repeats.iter().flatten().any(|mm| (found / mm - 1.0).abs() < 0.05), "{seed}: {found} of {repeats:?}");
    }
    assert!(totals.mean / 5.0 < 0.9 && totals.worst < 3.0 && totals.missed <= 1, "{totals}");
}

#[test]
fn without_white_the_colours_are_an_estimate_and_said_to_be() {
    let paper = plain_pattern(3, SIDE, SIDE);
    let reading = read(&jpeg(&paper, 3, shot(0)), &Options::PHOTOGRAPH);
    assert_eq!(reading.white, WhiteFound::Nowhere);
    assert!(reading.notes.contains(&Note::NoWhite));
    assert!(Note::NoWhite.to_string().contains("estimates"));
}

#[test]
fn one_patch_of_white_is_used_and_said() {
    let paper = plain_pattern(2, SIDE, SIDE);
    let white = White::Patch { x: 8, y: 8, width: 30, height: 30 };
    let reading = read(&jpeg(&paper, 2, shot(50)), &Options { white, ..Options::PHOTOGRAPH });
    assert_eq!(reading.white, WhiteFound::Patch);
    assert!(reading.notes.contains(&Note::OnePatch));
    let score = compare::compare(&paper.truth(), &reading);
    assert!(score.missed == 0 && score.mean < 2.0, "{score}\n{}", compare::table(&paper.truth(), &reading));
    // A patch that lies outside the picture is no white.
    let white = White::Patch { x: 9_000, y: 9_000, width: 30, height: 30 };
    let reading = read(&jpeg(&paper, 2, shot(50)), &Options { white, ..Options::PHOTOGRAPH });
    assert_eq!(reading.white, WhiteFound::Nowhere);
}

#[test]
fn shares_add_up_to_one_and_the_largest_comes_first() {
    for seed in 1..=3 {
        let paper = plain_pattern(seed, 300, 200);
        let reading = read(&jpeg(&paper, seed, shot(0)), &Options::AS_IS);
        assert_eq!(reading.swatches.iter().map(|swatch| swatch.share.millionths()).sum::<u32>(), 1_000_000);
        assert!(reading.swatches.windows(2).all(|two| two[0].share >= two[1].share));
        assert_eq!(reading.white, WhiteFound::AsIs);
    }
}

#[test]
fn flat_artwork_is_read_exactly() {
    // Two thirds one colour, one third another, without margin, noise or JPEG.
    let rgb: Vec<u8> =
        (0..300 * 120).flat_map(|at| if at % 300 < 200 { [250, 243, 228] } else { [176, 52, 88] }).collect();
    let reading = swatches(&Picture::from_rgb(300, 120, rgb).expect("300 × 120"), &Options::AS_IS);
    assert_eq!(reading.swatches.len(), 2);
    let [first, second] = [reading.swatches[0], reading.swatches[1]];
    // CIELAB of #faf3e4 and #b03458, from the published pairs in tests/published/colour.
    for (found, wanted) in [(first.colour, [96.008, -0.173, 8.059]), (second.colour, [41.833, 52.481, 7.932])] {
        for (found, wanted) in [found.l, found.a, found.b].iter().zip(wanted) {
            assert!((found - wanted).abs() < 0.05, "{found} instead of {wanted}");
        }
    }
    assert!((first.share.as_f64() - 2.0 / 3.0).abs() < 0.003, "{:?}", first.share);
}

#[test]
fn pictures_of_any_size_and_one_colour_give_a_swatch() {
    for (width, height) in [(1, 1), (2, 1), (1, 9), (5, 5), (7, 300), (64, 64), (1000, 3)] {
        for colour in [[255, 255, 255], [0, 0, 0], [12, 200, 77]] {
            let rgb = colour.repeat(width as usize * height as usize);
            let picture = Picture::from_rgb(width, height, rgb).expect("a picture");
            for options in [Options::AS_IS, Options::PHOTOGRAPH] {
                let reading = swatches(&picture, &options);
                assert_eq!(reading.swatches.len(), 1, "{width} × {height} {colour:?}");
                assert_eq!(reading.swatches[0].share.millionths(), 1_000_000);
            }
        }
    }
}

#[test]
fn shares_of_a_picture_of_few_pixels_are_counted() {
    for (width, height, left) in [(5, 3, 2), (9, 9, 4), (9, 400, 4), (13, 40, 6), (400, 9, 150)] {
        let (red, blue) = ([200, 20, 20], [20, 20, 200]);
        let row: Vec<u8> = (0..width).flat_map(|x| if x < left { blue } else { red }).collect();
        let picture = Picture::from_rgb(width, height, row.repeat(height as usize)).expect("a picture");
        let reading = swatches(&picture, &Options::AS_IS);
        let shares: Vec<f64> =
            reading.swatches.iter().map(|swatch| f64::from(swatch.share.millionths()) / 1e6).collect();
        let large = f64::from(width - left) / f64::from(width);
        assert_eq!(shares.len(), 2, "{width} × {height}: {shares:?}");
        assert!((shares[0] - large).abs() < 0.02, "{width} × {height}: {shares:?}, not {large}");
    }
}

#[test]
fn noise_without_any_colour_in_it_is_still_read() {
    let mut dice = print::Dice::new(7);
    let rgb: Vec<u8> = (0..90 * 70 * 3).map(|_| u8::try_from(dice.below(256)).expect("below 256")).collect();
    let reading = swatches(&Picture::from_rgb(90, 70, rgb).expect("90 × 70"), &Options::PHOTOGRAPH);
    assert!(!reading.swatches.is_empty());
    assert_eq!(reading.swatches.iter().map(|swatch| swatch.share.millionths()).sum::<u32>(), 1_000_000);
}

//! The committed pictures are the ones this crate draws: same names, same bytes, within the limit.

use papermaker::design::{Design, Repeat, Side};
use papermaker::shelf::{self, Picture};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn papers() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/papers")
}

fn list(name: &str) -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    std::fs::read_to_string(&file).unwrap_or_else(|why| panic!("{}: {why}", file.display()))
}

/// One of each way of drawing: a cell of flowers, bands, a net, a texture, a scatter, and a cut-out.
#[test]
fn a_few_come_out_byte_for_byte() {
    let wanted = [
        "lamplit-quay/dahlia-night.jpg",
        "lamplit-quay/rope-locker.jpg",
        "lamplit-quay/net-loft.jpg",
        "seedling-bench/back-sky-linen.jpg",
        "seedling-bench/thinnings.jpg",
        "odd-sheets/parlour-damask.jpg",
        "images/wren.png",
    ];
    let palettes = list("palettes.csv");
    let mut drawn = 0;
    for picture in shelf::pictures() {
        let path = picture.path();
        if !wanted.contains(&path.as_str()) {
            continue;
        }
        let (bytes, line) = picture.drawn().expect("an encoder that writes to memory");
        let committed = std::fs::read(papers().join(&path)).unwrap_or_else(|why| panic!("{path}: {why}"));
        assert!(bytes == committed, "{path} differs: run `cargo run -p papermaker` and look at what changed");
        if let Some(line) = line {
            assert!(palettes.lines().any(|other| other == line), "palettes.csv lacks: {line}");
        }
        drawn += 1;
    }
    assert_eq!(drawn, wanted.len(), "a design of the list is gone or renamed");
}

#[test]
fn every_picture_is_there_and_no_other() {
    let expected: BTreeSet<String> = shelf::pictures().into_iter().map(Picture::path).collect();
    let mut found = BTreeSet::new();
    let mut total = 0;
    for folder in std::fs::read_dir(papers()).expect("demo-data/papers") {
        let folder = folder.expect("readable").path();
        for file in std::fs::read_dir(&folder).expect("a folder of pictures") {
            let file = file.expect("readable");
            let of = folder.file_name().expect("a name").to_string_lossy().into_owned();
            let name = format!("{of}/{}", file.file_name().to_string_lossy());
            if name.ends_with(".jpg") || name.ends_with(".png") {
                total += file.metadata().expect("readable").len();
                found.insert(name);
            }
        }
    }
    assert_eq!(found, expected);
    assert!(total < 6_000_000, "{total} bytes of pictures");
}

#[test]
fn the_lists_name_every_picture_and_shares_add_up() {
    let (palettes, images) = (list("palettes.csv"), list("images.csv"));
    for picture in shelf::pictures() {
        let (text, key) = match picture {
            Picture::Paper(design) => (&palettes, format!("{},{}.jpg,", design.pad, design.file)),
            Picture::CutOut(one) => (&images, format!("{}.png,", one.file)),
        };
        let line = text.lines().find(|line| line.starts_with(&key)).unwrap_or_else(|| panic!("no line for {key}"));
        if let Picture::Paper(design) = picture {
            let colours = line.rsplit(',').next().expect("a last column");
            let shares: Vec<f64> =
                colours.split(' ').map(|c| c[8..].parse().unwrap_or_else(|why| panic!("{c}: {why}"))).collect();
            let sum: f64 = shares.iter().sum();
            assert!((sum - 1.0).abs() < 0.006, "{key} sums to {sum}");
            assert!(shares.windows(2).all(|pair| pair[0] >= pair[1]), "{key} is not in order");
            assert!(shares.len() <= design.inks.len());
        }
    }
}

/// Twelve designs on the small pad, twelve fronts on the square one, and every front has one back.
#[test]
fn the_pads_hold_what_they_promise() {
    let designs = shelf::designs();
    let fronts = |pad: &str| -> Vec<&Design> {
        designs.iter().copied().filter(|d| d.pad == pad && d.side == Side::Front).collect()
    };
    assert_eq!(fronts("lamplit-quay").len(), 12);
    assert_eq!(fronts("slack-water").len(), 8);
    let square: BTreeSet<&str> = fronts("seedling-bench").iter().map(|d| d.file).collect();
    assert_eq!(square.len(), 12);
    let mut backed = BTreeSet::new();
    for design in &designs {
        if let Side::BackOf(files) = design.side {
            for file in files {
                assert!(backed.insert(*file), "{file} has two backs");
            }
        }
    }
    assert_eq!(backed, square);
}

/// A pattern laid over itself one repeat on differs less than laid over at an odd distance.
#[test]
fn declared_repeats_are_drawn() {
    let per_inch = 50;
    let mut checked = 0;
    for design in shelf::designs() {
        let (across, down) = match design.repeat {
            Repeat::None => continue,
            Repeat::Lines(mm) => (mm, None),
            Repeat::Frame(wide, high) => (wide, Some(high)),
            // Half-drop cells come level again after two columns; sheets narrower than that are left
            // to the test across the seam.
            Repeat::Cell(_, high, _) => (0.0, Some(high)),
        };
        let picture = design.printed(per_inch).picture;
        let pixels = |mm: f64| papermaker::maths::count(mm / 25.4 * f64::from(per_inch));
        let differs = |dx: u32, dy: u32| -> f64 {
            let (w, h) = (picture.width() - dx, picture.height() - dy);
            let mut sum = 0_u64;
            for y in 0..h {
                for x in 0..w {
                    let (a, b) = (picture.get_pixel(x, y).0, picture.get_pixel(x + dx, y + dy).0);
                    sum += (0..3).map(|k| u64::from(a[k].abs_diff(b[k]))).sum::<u64>();
                }
            }
            sum as f64 / f64::from(w) / f64::from(h)
        };
        for (dx, dy) in [(across, 0.0), (0.0, down.unwrap_or(0.0))] {
            if dx + dy == 0.0 {
                continue;
            }
            let here = differs(pixels(dx), pixels(dy));
            let off = differs(pixels(dx * 0.63), pixels(dy * 0.63));
            assert!(here < 0.8 * off, "{}: {here:.1} at its repeat, {off:.1} away from it", design.file);
            checked += 1;
        }
    }
    assert!(checked > 20);
}

//! A plan on paper, measured from outside: the pages are rendered by poppler (`pdftoppm` at 300 dpi)
//! and their bars and cut pieces measured in pixels; `pdftotext` must find every measurement.
//!
//! Where poppler is not installed these tests say so and measure nothing; where `CI` is set that is a
//! failure.

use super::{Ran, copy_of, items, run, word};
use api::units::{Length, Size, Unit};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

const DAY: [&str; 2] = ["--today", "2026-03-01"];
/// Dots of the rendering to the inch.
const DPI: f64 = 300.0;
/// How far a measure may be off, in millimetres.
const NEAR: f64 = 0.2;
/// Where bars and maps begin, in millimetres from the left edge of the page (`booklet::BARS_FROM_LEFT`).
const LEFT: f64 = swatchfold::present::booklet::BARS_FROM_LEFT[0];

fn on(folder: &Path, arguments: &[&str]) -> Ran {
    run(folder, &[arguments, &DAY].concat())
}

/// A stash with a plan in `plan.json`, and the plan.
fn planned() -> (tempfile::TempDir, Value) {
    let stash = copy_of("small");
    let plan = on(stash.path(), &["plan", "--cards", "4", "--each", "1..2", "--work", "300000", "--json"]).good();
    std::fs::write(stash.path().join("plan.json"), &plan).expect("a file can be written");
    (stash, serde_json::from_str(&plan).expect("a plan"))
}

/// Whether poppler is here. Where it must be and is not, the test fails.
fn poppler() -> bool {
    let runs = |name: &str| Command::new(name).arg("-v").output().is_ok();
    let is_here = runs("pdftoppm") && runs("pdftotext");
    if !is_here {
        assert!(std::env::var_os("CI").is_none(), "poppler-utils is not installed: the booklet is not measured");
        eprintln!("NOT MEASURED: poppler-utils is not installed, so no page of the booklet was looked at");
    }
    is_here
}

/// A page in shades of grey.
struct Seen {
    wide: usize,
    high: usize,
    grey: Vec<u8>,
}

impl Seen {
    fn dark(&self, x: usize, y: usize) -> bool {
        x < self.wide && y < self.high && self.grey[y * self.wide + x] < 110
    }

    /// Runs of dark dots down a column, as first dot and length.
    fn runs(&self, x: usize) -> Vec<(usize, usize)> {
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for y in 0..self.high {
            match (self.dark(x, y), runs.last_mut()) {
                (true, Some((first, long))) if *first + *long == y => *long += 1,
                (true, _) => runs.push((y, 1)),
                _ => {}
            }
        }
        runs
    }
}

fn dots(mm: f64) -> f64 {
    mm * DPI / 25.4
}

/// The dot nearest to there.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "no page is that large, and 0 is the first dot"
)]
fn dot(at: f64) -> usize {
    at.round().max(0.0) as usize
}

/// Every page, rendered.
fn rendered(folder: &Path, pdf: &str) -> Vec<Seen> {
    let into = tempfile::tempdir().expect("a folder of its own");
    let mut program = Command::new("pdftoppm");
    let out = ended_well(program.args(["-r", "300", "-gray", pdf]).arg(into.path().join("p")).current_dir(folder));
    assert!(out.is_empty(), "{out}");
    let mut files: Vec<_> =
        std::fs::read_dir(into.path()).expect("it is there").map(|file| file.expect("a file").path()).collect();
    files.sort();
    files.iter().map(|file| pgm(&std::fs::read(file).expect("a page"))).collect()
}

fn ended_well(command: &mut Command) -> String {
    let out = command.output().expect("it starts");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8_lossy(&out.stdout).into_owned()
}

/// A picture in the format PGM, `P5`: three numbers, then a byte a dot.
fn pgm(bytes: &[u8]) -> Seen {
    let (mut at, mut words) = (0, Vec::new());
    while words.len() < 4 {
        let end = bytes[at..].iter().position(u8::is_ascii_whitespace).expect("a head") + at;
        words.push(std::str::from_utf8(&bytes[at..end]).expect("a head of text"));
        at = end + 1;
    }
    assert_eq!((words[0], words[3]), ("P5", "255"));
    let number = |word: &str| word.parse::<usize>().expect("a number");
    Seen { wide: number(words[1]), high: number(words[2]), grey: bytes[at..].to_vec() }
}

/// The text of each page, its white space made single.
fn texts(folder: &Path, pdf: &str) -> Vec<String> {
    let text = ended_well(Command::new("pdftotext").args([pdf, "-"]).current_dir(folder));
    let mut pages: Vec<String> =
        text.split('\u{c}').map(|page| page.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    pages.pop();
    pages
}

fn mm(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("no length `{key}` in {value}"))
}

fn length(value: &Value) -> Length {
    Length::parse(&value.to_string(), Unit::Millimetre).expect("a length")
}

fn size(value: &Value) -> String {
    Size::new(length(&value["width"]), length(&value["height"])).exact(Unit::Inch)
}

#[test]
fn the_check_bars_are_true_on_every_page_of_both_papers() {
    if !poppler() {
        return;
    }
    let (stash, _) = planned();
    for (paper, (wide, high)) in [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))] {
        on(stash.path(), &["print", "plan.json", "--paper", paper, "--out", "b.pdf"]).good();
        let pages = rendered(stash.path(), "b.pdf");
        assert!(pages.len() > 5, "{}", pages.len());
        for (number, page) in pages.iter().enumerate() {
            assert!((page.wide as f64 - dots(wide)).abs() < 2.0 && (page.high as f64 - dots(high)).abs() < 2.0);
            let y = dot(dots(high - swatchfold::present::booklet::BARS_FROM_BOTTOM));
            let row: Vec<bool> = (0..page.wide).map(|x| page.dark(x, y)).collect();
            let mut bars: Vec<usize> = row.chunk_by(|a, b| a == b).filter(|run| run[0]).map(<[bool]>::len).collect();
            bars.retain(|bar| *bar > 100);
            let bars: Vec<f64> = bars.into_iter().map(|bar| bar as f64 * 25.4 / DPI).collect();
            let is_true = bars.len() == 2 && (bars[0] - 25.4).abs() <= NEAR && (bars[1] - 20.0).abs() <= NEAR;
            assert!(is_true, "{paper}, page {}: bars of {bars:?} mm", number + 1);
        }
    }
}

/// How far a map's piece is from where it should be: the dark line nearest to each place, on average.
fn off(page: &Seen, across: bool, line: f64, from: f64, to: f64) -> Option<f64> {
    let mut found = Vec::new();
    for sample in 1..20 {
        let along = dot(from + (to - from) * f64::from(sample) / 20.0);
        let first = dot(line - 6.0);
        let dark: Vec<f64> = (first..first + 13)
            .filter(|at| if across { page.dark(*at, along) } else { page.dark(along, *at) })
            .map(|at| at as f64 + 0.5)
            .collect();
        if !dark.is_empty() {
            found.push((dark.iter().sum::<f64>() / dark.len() as f64 - line).abs() * 25.4 / DPI);
        }
    }
    found.sort_by(f64::total_cmp);
    // Labels and numbers lie over some of a line; over half of it, it could not be seen at all.
    (found.len() >= 10).then(|| found[found.len() / 2])
}

#[test]
fn every_piece_on_every_map_is_where_and_as_large_as_the_plan_says() {
    if !poppler() {
        return;
    }
    let (stash, plan) = planned();
    on(stash.path(), &["print", "plan.json", "--paper", "letter", "--out", "b.pdf"]).good();
    let (pages, texts) = (rendered(stash.path(), "b.pdf"), texts(stash.path(), "b.pdf"));
    assert_eq!(pages.len(), texts.len());
    let (mut true_size, mut measured) = (0, 0);
    let mut maps_seen: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
    for (number, sheet) in items(&plan, "sheets").iter().enumerate() {
        if items(sheet, "cuts").is_empty() {
            continue;
        }
        let head = format!("Sheet {}: ", number + 1);
        let place = texts.iter().position(|text| text.contains(&head)).unwrap_or_else(|| panic!("no {head}"));
        let words = texts[place].split(&head).nth(1).expect("it is there");
        let words = words.split("Sheet ").next().expect("its first part");
        let scale = match words.split("Drawn at scale ").nth(1) {
            None => {
                assert!(words.contains("Drawn at true size"), "{words}");
                true_size += 1;
                1.0
            }
            Some(rest) => {
                let (up, down) = rest.split(',').next().and_then(|scale| scale.split_once(':')).expect("a scale");
                up.parse::<f64>().expect("a number") / down.parse::<f64>().expect("a number")
            }
        };
        let turned = words.contains("turned a quarter clockwise");
        let (wide, high) = (mm(sheet, "width") * scale, mm(sheet, "height") * scale);
        let (shown_wide, shown_high) = if turned { (high, wide) } else { (wide, high) };
        let page = &pages[place];
        let on_page = maps_seen.entry(place).or_default();
        let runs = page.runs(dot(dots(LEFT).floor()));
        let (top, long) = *runs.iter().filter(|(_, long)| *long > 60).nth(*on_page).expect("the edge of a map");
        *on_page += 1;
        // The line is 0.2 mm wide, half of it outside.
        let seen = long as f64 * 25.4 / DPI - 0.2;
        assert!((seen - shown_high).abs() <= NEAR, "{head} is {seen} mm high on paper, not {shown_high}");
        let top = top as f64 + dots(0.1);
        for piece in items(sheet, "placements") {
            let [x, y, w, h] = ["x", "y", "width", "height"].map(|key| mm(piece, key) * scale);
            let (x, y, w, h) = if turned { (shown_wide - y - h, x, h, w) } else { (x, y, w, h) };
            let (left, right) = (dots(LEFT + x), dots(LEFT + x + w));
            let (up, down) = (top + dots(y), top + dots(y + h));
            let edges =
                [(true, left, up, down), (true, right, up, down), (false, up, left, right), (false, down, left, right)];
            for (across, line, from, to) in edges {
                let off =
                    off(page, across, line, from, to).unwrap_or_else(|| panic!("{head}no edge is seen of {piece}"));
                assert!(off <= NEAR, "{head}an edge is {off} mm off: {piece}");
                // An edge drawn 0.4 mm away would be noticed.
                let shifted = self::off(page, across, line + dots(0.4), from, to);
                assert!(shifted.is_none_or(|off| off > NEAR), "{head}an edge 0.4 mm away passes: {piece}");
                measured += 1;
            }
        }
    }
    assert!(true_size >= 2 && measured >= 20, "{true_size} maps at true size, {measured} edges");
}

#[test]
fn every_measurement_can_be_read_and_selected() {
    if !poppler() {
        return;
    }
    let (stash, plan) = planned();
    on(stash.path(), &["print", "plan.json", "--paper", "a4", "--out", "b.pdf"]).good();
    let all = texts(stash.path(), "b.pdf").join(" ");
    let mut wanted: Vec<String> =
        items(&plan, "guide_settings").iter().map(|one| length(one).exact(Unit::Inch)).collect();
    for cards in items(&plan, "cards") {
        let card = &cards["suggestion"];
        wanted.push(size(&card["card"]));
        wanted.push(word(card, "layout_name").to_owned());
        for layer in items(card, "layers") {
            wanted.push(size(layer));
            wanted.extend(["x", "y"].map(|key| length(&layer[key]).exact(Unit::Inch)));
        }
        for step in items(card, "steps") {
            wanted.push(word(step, "text").split_whitespace().take(6).collect::<Vec<_>>().join(" "));
        }
    }
    for sheet in items(&plan, "sheets") {
        wanted.push(size(sheet));
        wanted.extend(items(sheet, "placements").iter().map(size));
        for cut in items(sheet, "cuts") {
            wanted.push(size(&cut["of"]));
            wanted.push(format!("guide at {}", length(&cut["guide"]).exact(Unit::Inch)));
        }
    }
    wanted.extend(items(&plan, "offcuts").iter().map(size));
    assert!(wanted.len() > 40);
    for one in wanted {
        assert!(all.contains(&one), "the booklet does not say {one}");
    }
    for said in ["check with your post office", "Mind", "Left over", "What you need", "Levelling and foam", "Envelope"]
    {
        assert!(all.contains(said), "{said}");
    }
}

#[test]
fn a_booklet_is_the_same_bytes_every_time_and_has_its_fonts_and_words_for_drawings() {
    let (stash, _) = planned();
    let made = |name: &str| {
        on(stash.path(), &["print", "plan.json", "--out", name]).good();
        std::fs::read(stash.path().join(name)).expect("a booklet")
    };
    let (one, two) = (made("one.pdf"), made("two.pdf"));
    assert!(one == two, "two runs differ");
    let has = |bytes: &[u8]| one.windows(bytes.len()).any(|part| part == bytes);
    assert!(one.starts_with(b"%PDF-") && has(b"LiberationSans") && has(b"/StructTreeRoot"));
    let json = on(stash.path(), &["print", "plan.json", "--out", "one.pdf", "--json"]).json();
    assert_eq!(json["files"][0], "one.pdf");
}

#[test]
fn what_is_no_plan_is_refused_in_words() {
    let (stash, plan) = planned();
    let folder = stash.path();
    let with = |change: &dyn Fn(&mut Value)| {
        let mut other = plan.clone();
        change(&mut other);
        other.to_string()
    };
    for (text, said) in [
        ("hello".to_owned(), "no plan"),
        ("{}".to_owned(), "format"),
        ("[1, 2]".to_owned(), "no plan"),
        (with(&|plan| plan["format"] = 2.into()), "format 2"),
        (with(&|plan| plan["format"] = 0.into()), "format 0"),
        (with(&|plan| plan["cards"][0]["suggestion"]["steps"] = Value::Null), "no plan"),
        (with(&|plan| plan["cards"][0]["suggestion"]["card"]["width"] = 0.into()), "no size"),
        (with(&|plan| plan["cards"][0]["suggestion"]["layers"][0]["width"] = 50_000.into()), "longer than any paper"),
        (with(&|plan| plan["sheets"][0]["placements"][0]["x"] = 5000.into()), "outside the sheet"),
    ] {
        std::fs::write(folder.join("bad.json"), &text).expect("a file can be written");
        for command in ["print", "writeup"] {
            let told = on(folder, &[command, "bad.json"]).refused();
            assert!(told.contains(said) && told.contains("swatchfold plan --json"), "{command}: {told}");
        }
    }
    assert!(!folder.join("booklet.pdf").exists());
    on(folder, &["print", "not-there.json"]).refused();
    on(folder, &["print", "plan.json", "--paper", "b5"]).refused();
}

#[test]
fn papers_that_the_stash_does_not_have_are_drawn_in_their_colours_and_named() {
    let (stash, mut plan) = planned();
    plan["cards"][0]["suggestion"]["layers"][0]["paper"] = "gone-away".into();
    plan["cards"][0]["suggestion"]["layers"][0]["name"] = "Gone\u{1b}[31m away".into();
    std::fs::write(stash.path().join("plan.json"), plan.to_string()).expect("a file can be written");
    let ran = on(stash.path(), &["print", "plan.json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.err.contains("in their colours") && ran.err.contains("Gone") && !ran.err.contains('\u{1b}'),
        "{}",
        ran.err
    );
    assert!(stash.path().join("booklet.pdf").is_file());
}

#[test]
fn a_write_up_tells_the_cards_their_measures_and_whom_to_thank() {
    let (stash, plan) = planned();
    for arguments in [&["writeup", "plan.json"][..], &["writeup", "plan.json", "--plain"]] {
        let text = on(stash.path(), arguments).good();
        for cards in items(&plan, "cards") {
            let card = &cards["suggestion"];
            assert!(text.contains(&format!("{} of {}", cards["count"], word(card, "layout_name"))), "{text}");
            for layer in items(card, "layers") {
                assert!(text.contains(&size(layer)), "{text}");
            }
        }
        assert!(text.contains("Photo:") && text.contains("Layers, from the bottom up"), "{text}");
        assert_eq!(text.contains("# Batch"), !arguments.contains(&"--plain"));
    }
}

#[test]
fn a_write_up_is_no_markup_of_others() {
    let (stash, mut plan) = planned();
    plan["cards"][0]["suggestion"]["layout_name"] = "<script>*x*</script> [a](http://b)".into();
    std::fs::write(stash.path().join("plan.json"), plan.to_string()).expect("a file can be written");
    let text = on(stash.path(), &["writeup", "plan.json"]).good();
    assert!(!text.contains("<script>") && text.contains("\\<script\\>\\*x\\*"), "{text}");
    assert!(!text.contains("[a]("), "{text}");
}

#[test]
fn pages_as_pictures_are_as_large_and_say_the_same() {
    let (stash, _) = planned();
    let told = on(stash.path(), &["print", "plan.json", "--paper", "a4", "--svg", "pages", "--json"]).json();
    let files = items(&told, "files");
    assert!(files.len() > 5, "{told}");
    let mut words = String::new();
    for file in &files[1..] {
        let text = std::fs::read_to_string(stash.path().join(file.as_str().expect("a name"))).expect("a page");
        let page = roxmltree::Document::parse(&text).expect("it is well formed");
        let root = page.root_element();
        assert_eq!((root.attribute("width"), root.attribute("height")), (Some("210mm"), Some("297mm")));
        let bar = |long: &str| {
            page.descendants().any(|node| node.has_tag_name("rect") && node.attribute("width") == Some(long))
        };
        assert!(bar("25.400") && bar("20.000"), "{}", file);
        words.extend(page.descendants().filter_map(|node| node.text()).map(|text| format!("{text} ")));
    }
    assert!(words.contains("Batch of 4 cards") && words.contains("check with your post office"), "{words}");
}

#[test]
fn pages_are_written_as_png_of_the_size_of_the_paper() {
    let (stash, _) = planned();
    let told = on(stash.path(), &["print", "plan.json", "--paper", "a4", "--png", "pages", "--json"]).json();
    let files = items(&told, "files");
    assert!(files.len() > 5, "{told}");
    for file in &files[1..] {
        let bytes = std::fs::read(stash.path().join(file.as_str().expect("a name"))).expect("a page");
        // PNG (ISO/IEC 15948:2004), 5.2 and 11.2.2: the signature, then width and height of the first chunk.
        assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
        let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes"));
        let near = |dots: u32, mm: f64| (f64::from(dots) - mm / 25.4 * 150.0).abs() <= 1.0;
        assert!(near(number(16), 210.0) && near(number(20), 297.0), "{} x {}", number(16), number(20));
    }
}

#[test]
fn a_plan_brings_its_own_stash_wherever_the_booklet_is_made() {
    let (stash, _) = planned();
    let elsewhere = tempfile::tempdir().expect("a folder");
    let plan = stash.path().join("plan.json");
    let ran = on(elsewhere.path(), &["print", &plan.display().to_string()]);
    assert!(ran.err.contains("The stash of this plan: "), "{}", ran.err);
    assert!(!ran.err.contains("another stash"), "{}", ran.err);
    ran.good();
    assert!(elsewhere.path().join("booklet.pdf").is_file());
    // A folder that was said is taken, whatever is in it.
    let said = on(elsewhere.path(), &["print", &plan.display().to_string(), "--stash", "."]);
    assert!(said.err.contains("another stash") && said.err.contains("--stash DIR"), "{}", said.err);
    said.good();
}

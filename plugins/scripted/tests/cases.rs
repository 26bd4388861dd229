//! Scripts in `tests/cases/scripts`, each with the text of what comes of it; adding one needs no Rust.
//!
//! A script is shown a berry print on cream with a sage mat behind it. Beside `name.rhai` stands
//! `name.txt` with the answer or the problem; manifests are `name.toml` and `name.txt`. With
//! `WRITE_CASES=1` the texts are written instead of compared.

#![allow(clippy::unwrap_used, reason = "in helpers of tests a failure is a failed test")]

use api::units::Length;
use api::{CardView, Colour, Knobs, PaperView, PieceView, Relation, Role, Scorer, Share, Subject, Swatch, Worth};
use std::fs;
use std::path::{Path, PathBuf};
use swatchfold_scripted::{Month, ScriptLimits, ScriptManifest, ScriptProblem, Scripted};

const MANIFEST: &str = r#"
    kind = "plugin"
    api = 1
    name = "case"
    title = "whatever the case is about"
    version = 1
    script = "case.rhai"
    terms = ["mat-behind"]

    [[knob]]
    name = "strength"
    meaning = "how much it counts"
    low = 0
    high = 1
    default = 0.75
"#;

fn panel() -> PaperView {
    let mut paper = PaperView::plain("berries", Colour::new(95.0, 0.0, 9.0));
    let swatch = |colour, percent: u32| Swatch { colour, share: Share::from_millionths(percent * 10_000).unwrap() };
    paper.swatches = vec![swatch(Colour::new(95.0, 0.0, 9.0), 60), swatch(Colour::new(44.0, 59.0, 31.0), 40)];
    paper
}

fn mat() -> PaperView {
    PaperView::plain("sage", Colour::new(50.0, -35.0, 24.0))
}

/// The usual limits with all the time in the world, so that a busy machine changes nothing.
const LIMITS: ScriptLimits = ScriptLimits { time: std::time::Duration::from_secs(60), ..ScriptLimits::USUAL };

fn told(problems: &[ScriptProblem]) -> String {
    problems.iter().map(|problem| format!("{problem}\n")).collect()
}

/// What comes of a script: its answer, or the problem.
fn outcome(script: &str, limits: &ScriptLimits) -> String {
    let manifest = ScriptManifest::read(MANIFEST, limits).unwrap();
    let scripted = match Scripted::new(manifest, script, limits, &Knobs::default(), Month::new(12).unwrap()) {
        Ok(scripted) => scripted,
        Err(problems) => return told(&problems),
    };
    let (panel, mat) = (panel(), mat());
    let subject = Subject::MatBehind { panel: &panel, mat: &mat };
    match scripted.try_out(&subject) {
        Ok(tried) => {
            let printed: String = tried.printed.iter().map(|line| format!("printed: {line}\n")).collect();
            let worth = tried.worth.map_or(String::from("no opinion"), |worth| worth.as_f64().to_string());
            format!("{printed}{worth}: {}\n", tried.why)
        }
        Err(problem) => told(&[problem]),
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/scripts")
}

/// Every case with this ending, in the order of names, against the text beside it.
fn each_case(ending: &str, outcome: impl Fn(&str) -> String) {
    let mut cases: Vec<PathBuf> = fs::read_dir(folder())
        .expect("the folder of cases")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect();
    cases.sort();
    assert!(!cases.is_empty(), "no `.{ending}` in {}", folder().display());
    let mut failed = Vec::new();
    for case in cases {
        let got = outcome(&fs::read_to_string(&case).expect("readable"));
        let beside = case.with_extension("txt");
        if std::env::var_os("WRITE_CASES").is_some() {
            fs::write(&beside, &got).expect("writable");
        }
        let wanted = fs::read_to_string(&beside).unwrap_or_default();
        if got != wanted {
            failed.push(format!("{}:\n{got}instead of\n{wanted}", case.display()));
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

#[test]
fn scripts_come_to_what_stands_beside_them() {
    each_case("rhai", |script| outcome(script, &LIMITS));
}

#[test]
fn manifests_come_to_what_stands_beside_them() {
    each_case("toml", |manifest| match ScriptManifest::read(manifest, &ScriptLimits::USUAL) {
        Ok(manifest) => format!("sound: {}\n", manifest.manifest.title),
        Err(problems) => told(&problems),
    });
}

#[test]
fn texts_that_are_too_long_are_refused_unread() {
    let limits = ScriptLimits { script_bytes: 1_000, ..ScriptLimits::USUAL };
    let long = format!("fn mat_behind(panel, mat) {{ 0.5 }}\n{}", "// more\n".repeat(200));
    assert!(outcome(&long, &limits).contains("more than the 1000 a script may have"));
    let problems = ScriptManifest::read(&"# more\n".repeat(200), &limits).unwrap_err();
    assert!(told(&problems).contains("more than the 1000 a manifest may have"));
}

#[test]
fn time_is_the_last_resort() {
    let limits = ScriptLimits { steps: u64::MAX, time: std::time::Duration::ZERO, ..ScriptLimits::USUAL };
    assert!(outcome("fn mat_behind(panel, mat) { loop { } }", &limits).contains("took too long"));
}

#[test]
fn steps_are_the_same_every_time() {
    let limits = ScriptLimits::USUAL;
    let manifest = ScriptManifest::read(MANIFEST, &limits).unwrap();
    let script = "fn mat_behind(panel, mat) { let n = 0; for i in 0..100 { n += i; } 0.5 }";
    let scripted = Scripted::new(manifest, script, &limits, &Knobs::default(), Month::new(1).unwrap()).unwrap();
    let (panel, mat) = (panel(), mat());
    let steps = || scripted.try_out(&Subject::MatBehind { panel: &panel, mat: &mat }).unwrap().steps;
    let first = steps();
    assert!(first > 200, "{first}");
    assert_eq!(steps(), first);
}

fn scripted(manifest: &str, script: &str) -> Scripted {
    let manifest = ScriptManifest::read(manifest, &LIMITS).unwrap();
    Scripted::new(manifest, script, &LIMITS, &Knobs::default(), Month::new(12).unwrap()).unwrap()
}

#[test]
fn a_script_that_fails_once_has_no_opinion_from_then_on() {
    let script = "fn mat_behind(panel, mat) { if mat.name == \"sage\" { throw \"no sage\" } 0.5 }";
    let scripted = scripted(MANIFEST, script);
    let (panel, sage, other) = (panel(), mat(), PaperView::plain("plum", Colour::new(30.0, 20.0, -10.0)));
    assert_eq!(scripted.mat_behind(&panel, &other), Worth::new(0.5));
    assert_eq!(scripted.failure(), None);
    assert_eq!(scripted.mat_behind(&panel, &sage), None);
    assert!(scripted.failure().unwrap().what.contains("no sage"));
    assert_eq!(scripted.mat_behind(&panel, &other), None);
}

#[test]
fn asking_beforehand_finds_the_failure() {
    let scripted =
        scripted(MANIFEST, "fn mat_behind(panel, mat) { if mat.name == \"sage\" { throw \"no sage\" } 0.5 }");
    let (panel, sage, plum) = (panel(), mat(), PaperView::plain("plum", Colour::new(30.0, 20.0, -10.0)));
    let ask = |mat| Subject::MatBehind { panel: &panel, mat };
    assert_eq!(scripted.prepare([ask(&plum)]), Ok(()));
    let problem = scripted.prepare([ask(&plum), ask(&sage)]).unwrap_err();
    assert_eq!(scripted.failure(), Some(&problem));
}

#[test]
fn kept_answers_are_those_of_the_script() {
    let by_colours = "fn colours(one, other) { 1.0 / (1.0 + delta_e(one, other) / 30.0) }";
    let kept = scripted(MANIFEST, by_colours);
    let (panel, mat) = (panel(), mat());
    let first = kept.mat_behind(&panel, &mat);
    assert_eq!(kept.mat_behind(&panel, &mat), first);
    assert_eq!(scripted(MANIFEST, by_colours).mat_behind(&panel, &mat), first);
    // A change a script can see is a new question.
    let mut other = mat.clone();
    other.swatches[0].colour.l += 20.0;
    assert_ne!(kept.mat_behind(&panel, &other), first);
}

#[test]
fn papers_that_share_a_card_are_shown_in_one_order() {
    let manifest = MANIFEST.replace("mat-behind", "same-card");
    let scripted = scripted(&manifest, "fn same_card(one, other) { if one.name < other.name { 0.2 } else { 0.8 } }");
    let (one, other) = (panel(), mat());
    let worth = scripted.same_card(&one, &other);
    assert!(worth.is_some());
    assert_eq!(scripted.same_card(&other, &one), worth);
    assert_eq!(scripted.touching(&one, &other), None, "a term the manifest does not name");
}

#[test]
fn pieces_and_cards_are_shown_whole() {
    let manifest = |term| MANIFEST.replace("mat-behind", term);
    let script = "
        fn piece(piece) {
            if piece.role == \"band\" && piece.age_days == () && piece.stock_count == 1 && !piece.is_scrap {
                ramp(piece.width_mm, 0.0, 254.0)
            }
        }
        fn card(card) {
            let papers = card.pieces.len();
            let meeting = card.meetings[0];
            if meeting.how == \"touching\" && meeting.upper.role == \"band\" { 1.0 / papers }
        }";
    let (by_piece, by_card) = (scripted(&manifest("piece"), script), scripted(&manifest("card"), script));
    let paper = panel();
    let piece = |role| PieceView::whole_sheet(&paper, role, Length::INCH, Length::INCH);
    let pieces = [piece(Role::Base), piece(Role::Band)];
    assert_eq!(by_piece.piece(&pieces[1]), Worth::new(0.1));
    assert_eq!(by_piece.piece(&pieces[0]), None);
    let meetings = [(Relation::Touching, 1, 0), (Relation::Touching, 1, 99)];
    assert_eq!(by_card.card(&CardView::new(&pieces, &meetings)), Worth::new(0.5));
    assert_eq!((by_piece.failure(), by_card.failure()), (None, None));
}

#[test]
fn knobs_reach_the_script() {
    let manifest = ScriptManifest::read(MANIFEST, &LIMITS).unwrap();
    let knobs = Knobs([(String::from("strength"), 9.0)].into());
    let script = "fn mat_behind(panel, mat) { knob(\"strength\") }";
    let set = Scripted::new(manifest, script, &LIMITS, &knobs, Month::new(12).unwrap()).unwrap();
    assert_eq!(set.mat_behind(&panel(), &mat()), Some(Worth::ONE), "kept within its range");
    assert_eq!(scripted(MANIFEST, script).mat_behind(&panel(), &mat()), Worth::new(0.75), "its default");
}

#[test]
fn the_demo_script_does_what_it_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/plugins");
    let read = |file: &str| fs::read_to_string(folder.join(file)).unwrap();
    let manifest = ScriptManifest::read(&read("no-red-beside-green.toml"), &LIMITS).unwrap();
    let script = read(&manifest.script);
    let in_month = |number| {
        let month = Month::new(number).unwrap();
        Scripted::new(manifest.clone(), &script, &LIMITS, &Knobs::default(), month).unwrap()
    };
    let (december, june) = (in_month(12), in_month(6));
    let (berries, sage) = (panel(), mat());
    let subject = Subject::MatBehind { panel: &berries, mat: &sage };
    assert_eq!(december.mat_behind(&berries, &sage), Some(Worth::ZERO));
    assert_eq!(december.why(&subject), "cherry beside dark sage, and it is December");
    assert_eq!(june.mat_behind(&berries, &sage), Some(Worth::ONE));
    assert_eq!(december.mat_behind(&berries, &PaperView::plain("snow", Colour::new(97.0, 0.0, 0.0))), Some(Worth::ONE));
}

#[test]
fn the_example_of_the_guide_works() {
    let guide = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/plugins.md");
    let guide = fs::read_to_string(guide).unwrap();
    let block = |language: &str| {
        let opening = format!("```{language}\n");
        let start = guide.find(&opening).unwrap() + opening.len();
        &guide[start..start + guide[start..].find("```").unwrap()]
    };
    let scripted = scripted(block("toml"), block("rust"));
    let quiet = PaperView::plain("linen", Colour::new(88.0, 1.0, 8.0));
    let loud = PaperView::plain("scarlet", Colour::new(48.0, 70.0, 50.0));
    assert_eq!(scripted.mat_behind(&panel(), &quiet), Some(Worth::ONE));
    assert_eq!(scripted.mat_behind(&panel(), &loud), Some(Worth::ZERO));
    let why = scripted.why(&Subject::MatBehind { panel: &panel(), mat: &quiet });
    assert!(why.starts_with("a quiet "), "{why}");
}

#[test]
fn scribbled_scripts_end_in_an_answer_or_a_problem() {
    let limits = ScriptLimits { steps: 2_000, ..LIMITS };
    let scripts: Vec<String> = {
        let mut files: Vec<PathBuf> = fs::read_dir(folder())
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|found| found == "rhai"))
            .collect();
        files.sort();
        files.iter().map(|file| fs::read_to_string(file).unwrap()).filter(|text| text.len() < 1_000).collect()
    };
    let seed = 0x5c21_bb1e_u64;
    let mut state = seed;
    let mut below = |most: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from(state % u64::try_from(most).unwrap()).unwrap()
    };
    for round in 0..300 {
        // Pieces of two scripts put together, with a few characters changed.
        let (one, other) = (&scripts[below(scripts.len())], &scripts[below(scripts.len())]);
        let mut text: Vec<char> = one.chars().take(below(one.len() + 1)).collect();
        text.extend(other.chars().skip(below(other.len() + 1)));
        for _ in 0..below(4) {
            let odd = ['(', ')', '{', '}', '"', '`', '|', '#', '0', '-', '.', 'é', '\0', '\n'];
            let at = below(text.len() + 1);
            text.insert(at, odd[below(odd.len())]);
        }
        let text: String = text.into_iter().collect();
        let told = outcome(&text, &limits);
        assert!(!told.contains("broke down"), "seed {seed:#x}, round {round}: {told}\n{text}");
    }
}

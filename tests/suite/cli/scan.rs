//! `scan`: what is printed of a picture, what is written into a stash, and what is refused.

use super::{repository, run};
use serde_json::Value;
use std::path::Path;

const PICTURE: &str = "papers/slack-water/drizzle.jpg";
const PAD: &str = "# my pad\nkind = \"pad\"\nsheet = \"6 x 8 in\"\n\n[[design]]   # wet\nname = \"Drizzle\"\npicture = \
    \"drizzle.jpg\"   # a scan\nbusyness = 0.9   # I say\n";

fn stash() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(repository("demo-data").join(PICTURE), folder.path().join("drizzle.jpg")).expect("a picture");
    std::fs::write(folder.path().join("pad.toml"), PAD).expect("a file");
    folder
}

fn pad(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("pad.toml")).expect("the file")
}

#[test]
fn a_picture_has_colours_that_add_up_and_a_pattern() {
    let folder = stash();
    let picture = folder.path().join("drizzle.jpg").display().to_string();
    let ran = run(folder.path(), &["scan", &picture, "--white", "none", "--json"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let told: Value = serde_json::from_str(&ran.out).expect("JSON");
    let told = &told["pictures"][0];
    assert_eq!((&told["white"], &told["estimate"]), (&Value::from("not-looked-for"), &Value::from(false)));
    assert_eq!((&told["dpi"], &told["dpi_from"]), (&Value::from(100), &Value::from("file")));
    let shares: f64 = told["swatches"].as_array().expect("a list").iter().filter_map(|one| one["share"].as_f64()).sum();
    assert!((shares - 1.0).abs() < 1e-9, "{shares}");
    // The same picture without a white to be found in it says so.
    let ran = run(folder.path(), &["scan", &picture]);
    assert!(ran.out.contains("not found: the colours are an estimate"), "{}", ran.out);
    // What she says of the scale goes before what the file says.
    let ran = run(folder.path(), &["scan", &picture, "--dpi", "300"]);
    assert!(ran.out.contains("300 to the inch\n"), "{}", ran.out);
}

#[test]
fn what_is_saved_is_read_back_and_remarks_stay() {
    let folder = stash();
    let picture = folder.path().join("drizzle.jpg").display().to_string();
    let arguments = ["scan", &picture, "--white", "none", "--save"];
    let ran = run(folder.path(), &arguments);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("busyness stayed as you wrote it"), "{}", ran.out);
    let text = pad(folder.path());
    for line in PAD.lines() {
        assert!(text.lines().any(|kept| kept == line), "{line:?} is gone from {text}");
    }
    assert!(text.contains("colours = ["), "{text}");
    assert_eq!(run(folder.path(), &["check"]).code, Some(0));
    // Twice is as once.
    run(folder.path(), &arguments);
    assert_eq!(pad(folder.path()), text);
}

#[test]
fn nothing_is_written_where_the_picture_has_no_place() {
    let folder = stash();
    let elsewhere = repository("demo-data").join(PICTURE).display().to_string();
    let ran = run(folder.path(), &["scan", &elsewhere, "--save"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.contains("does not lie inside the stash"), "{}", ran.err);
    let unused = folder.path().join("unused.jpg");
    std::fs::copy(repository("demo-data").join(PICTURE), &unused).expect("a picture");
    let ran = run(folder.path(), &["scan", &unused.display().to_string(), "--save"]);
    assert!(ran.code == Some(2) && ran.err.contains("no file of this stash names this picture"), "{}", ran.err);
    assert_eq!(pad(folder.path()), PAD);
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_read() {
    let folder = stash();
    let at = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(at("words.png"), "not a picture").expect("a file");
    let whole = std::fs::read(at("drizzle.jpg")).expect("a picture");
    std::fs::write(at("cut.jpg"), &whole[..whole.len() / 2]).expect("a file");
    std::fs::write(at("lie.png"), &whole).expect("a file");
    let bad = ["words.png", "cut.jpg", "lie.png", "nowhere.png"].map(at);
    let good = at("drizzle.jpg");
    let ran = run(folder.path(), &["scan", &bad[0], &bad[1], &good, &bad[2], &bad[3], "--json"]);
    assert_eq!(ran.code, Some(2));
    assert_eq!(ran.err.matches("error: ").count(), 4, "{}", ran.err);
    assert_eq!(ran.err.matches("\nhelp: ").count(), 4, "{}", ran.err);
    let told: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(told["pictures"].as_array().map(Vec::len), Some(1));
    for white in ["0,0,0,5", "5", "a,b,c,d", "-1,0,5,5", "0,0,9999,9999", "4294967295,0,4294967295,1"] {
        let ran = run(folder.path(), &["scan", &good, "--white", white]);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{white}");
        assert!(ran.err.contains("\nhelp: "), "{}", ran.err);
    }
}

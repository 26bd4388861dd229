//! `colour`: the published pairs through the command line, and what is not a colour.

use super::{repository, run};
use serde_json::Value;
use std::collections::BTreeMap;

fn told(arguments: &[&str]) -> Value {
    let folder = tempfile::tempdir().expect("a folder");
    let words = [&["colour"], arguments, &["--json"]].concat();
    let ran = run(folder.path(), &words);
    assert_eq!(ran.code, Some(0), "{arguments:?}: {}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

/// The rows of a file, which must have `count` of them; some begin with a colour, so `#` alone is no remark.
fn rows(name: &str, count: usize) -> Vec<BTreeMap<String, String>> {
    let text = std::fs::read_to_string(repository(&format!("tests/published/colour/{name}"))).expect("the figures");
    let mut lines = text.lines().filter(|line| !line.starts_with("# "));
    let heads: Vec<String> = lines.next().expect("a head").split(',').map(str::to_owned).collect();
    let rows: Vec<_> =
        lines.map(|line| heads.iter().cloned().zip(line.split(',').map(str::to_owned)).collect()).collect();
    assert_eq!(rows.len(), count, "{name}");
    rows
}

fn near(found: &Value, wanted: &str, within: f64) {
    let (found, wanted) = (found.as_f64().expect("a number"), wanted.parse::<f64>().expect("a number"));
    assert!((found - wanted).abs() <= within, "{found} instead of {wanted}");
}

/// Sharma, Wu and Dalal 2005, Color Res. Appl. 30:21-30, Table 1.
#[test]
fn published_differences_come_out_of_the_command_line() {
    for pair in rows("ciede2000_sharma.csv", 34) {
        let lab = |place: usize| ["L", "a", "b"].map(|part| pair[&format!("{part}{place}")].clone()).join(",");
        let facts = told(&["--lab", &lab(1), "--lab", &lab(2)]);
        near(&facts["delta_e_2000"], &pair["dE00"], 1e-4);
    }
}

/// Ou & Luo 2006, Color Res. Appl. 31:191-204, and Ou et al. 2018, 43:736-748, by our own writing of
/// the formulas and another's; WCAG 2 contrast (W3C).
#[test]
fn published_harmony_comes_out_of_the_command_line() {
    for pair in rows("harmony_pairs.csv", 16) {
        let hex = ["hex1", "hex2"].map(|key| pair[key].as_str());
        let lab = |place: usize| ["L", "a", "b"].map(|part| pair[&format!("{part}{place}")].clone()).join(",");
        for facts in [told(&hex), told(&["--lab", &lab(1), "--lab", &lab(2)])] {
            near(&facts["harmony"]["ou_luo_2006"], &pair["CH_OuLuo2006"], 0.02);
            near(&facts["harmony"]["ou_2018"], &pair["CH_Ou2018"], 0.02);
            near(&facts["contrast_ratio"], &pair["wcag_contrast"], 0.0025);
            assert_eq!(facts["a"]["hex"].as_str(), Some(hex[0]));
            assert_eq!(facts["b"]["hex"].as_str(), Some(hex[1]));
        }
    }
}

#[test]
fn a_colour_no_screen_shows_is_told_as_it_is() {
    // They stay in the order in which they stand.
    let facts = told(&["--lab", "60,-90,10", "0f0"]);
    assert_eq!((facts["b"]["hex"].as_str(), facts["a"]["in_srgb"].as_bool()), (Some("#00ff00"), Some(false)));
    near(&facts["a"]["lab"][1], "-90", 0.0);
}

#[test]
fn what_is_not_two_colours_is_refused_with_a_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    for (arguments, said) in [
        (&["#12345", "#123456"][..], "`#12345` is not a colour"),
        (&["#ééé", "#123456"], "is not a colour"),
        (&["nan", "#123456"], "`nan` is not a colour"),
        (&["#123456"], "one colour is given"),
        (&[], "no colour is given"),
        (&["fff", "000", "888"], "3 colours are given"),
        (&["--lab", "50,1", "fff"], "`50,1` is not a colour in CIELAB"),
        (&["--lab", "-5,1,1", "fff"], "`-5,1,1` is not a colour in CIELAB"),
        (&["--lab", "NaN,1,1", "fff"], "`NaN,1,1` is not a colour in CIELAB"),
        (&["--lab", "50,inf,1", "fff"], "`50,inf,1` is not a colour in CIELAB"),
        (&["--lab", "50,1e300,1", "fff"], "`50,1e300,1` is not a colour in CIELAB"),
    ] {
        let ran = run(folder.path(), &[&["colour"], arguments].concat());
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(ran.err.contains(said) && ran.err.contains("\nhelp: "), "{arguments:?}: {}", ran.err);
    }
}

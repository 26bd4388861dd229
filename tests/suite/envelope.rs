//! `envelope` against worked examples of published envelope sizes and postal limits, and what it says
//! to those who ask amiss. The examples and their sources stand in `tests/published/trade`.

use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

fn rows(name: &str) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/trade").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows: Vec<Vec<String>> = rows.map(|row| row.split(',').map(str::to_owned).collect()).collect();
    assert!(rows.len() > 5, "{}", path.display());
    rows
}

/// Runs `envelope` in a folder where there is no stash.
fn run(arguments: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder of its own");
    let mut program = Command::new(env!("CARGO_BIN_EXE_swatchfold"));
    program.current_dir(folder.path()).arg("envelope").args(arguments).output().expect("the program starts")
}

#[track_caller]
fn json(arguments: &[&str]) -> Value {
    let ran = run(&[arguments, &["--json"]].concat());
    assert!(ran.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&ran.stderr));
    serde_json::from_slice(&ran.stdout).expect("it prints JSON")
}

fn list<'v>(value: &'v Value, key: &str) -> &'v Vec<Value> {
    value[key].as_array().unwrap_or_else(|| panic!("no list `{key}` in {value}"))
}

#[test]
fn a_card_fits_the_envelopes_it_is_said_to_fit() {
    for row in rows("envelope-fit.csv") {
        let [long, short, name, thickness, fit, slack_long, slack_short] = row.as_slice() else { panic!("{row:?}") };
        let (card, thick) = (format!("{short} x {long} mm"), format!("{thickness}mm"));
        let given = json(&[&card, "--thickness", &thick, "--outer", name]);
        let [envelope] = list(&given, "envelopes").as_slice() else { panic!("{given}") };
        assert_eq!(envelope["fit"], **fit, "{row:?}");
        assert_eq!(envelope["name"], **name, "{row:?}");
        // The examples are rounded to hundredths of a millimetre.
        for (key, slack) in [("slack_height", slack_long), ("slack_width", slack_short)] {
            let (is, slack): (f64, f64) = (envelope[key].as_f64().unwrap(), slack.parse().unwrap());
            assert!((is - slack).abs() < 0.0051, "{row:?}: {key} is {is}");
        }
        // Among all envelopes it is found only if it fits.
        let all = json(&[&card, "--thickness", &thick]);
        let among = list(&all, "envelopes").iter().find(|envelope| envelope["name"] == **name);
        assert_eq!(among.map_or("no-fit", |envelope| envelope["fit"].as_str().unwrap()), fit, "{row:?}");
    }
}

#[test]
fn a_sealed_envelope_travels_in_the_class_its_operator_publishes() {
    let profiles = ["usps", "royal-mail", "canada-post", "deutsche-post", "upu"];
    for row in rows("post.csv") {
        let [long, short, thickness, grams, flag, usps, machinable, rest @ ..] = row.as_slice() else {
            panic!("{row:?}")
        };
        let outer = format!("{long} x {short} mm");
        let (thick, weight, flag) = (format!("{thickness}mm"), format!("{grams}g"), format!("--{flag}"));
        let mut arguments = vec!["2 x 3 in", "--outer", &outer, "--thickness", &thick, "--weight", &weight];
        if flag != "--" {
            arguments.push(&flag);
        }
        let given = json(&arguments);
        let classes: Vec<&str> = list(&given, "post").iter().map(|class| class["class"].as_str().unwrap()).collect();
        let named: Vec<&str> = list(&given, "post").iter().map(|class| class["profile"].as_str().unwrap()).collect();
        assert_eq!(named, profiles);
        let expected: Vec<&str> = std::iter::once(usps).chain(rest).map(String::as_str).collect();
        assert_eq!(classes, expected, "{row:?}");
        assert_eq!(given["post"][0]["machinable"].to_string(), **machinable, "{row:?}");
        for class in list(&given, "post") {
            assert!(!class["as_of"].as_str().unwrap().is_empty());
            let why = list(class, "why");
            assert_eq!(why.last().unwrap(), "check with your post office");
            assert!(!class.to_string().contains('$'), "no prices");
        }
    }
}

#[test]
fn an_inclusive_limit_is_met_exactly() {
    // 1/4 in is 6.35 mm; one micrometre more is a flat.
    let class = |thickness: &str| {
        let given = json(&["5x7", "--outer", "A7", "--thickness", thickness, "--weight", "20g"]);
        given["post"][0]["class"].as_str().unwrap().to_owned()
    };
    assert_eq!(class("1/4 in"), "letter");
    assert_eq!(class("6.351 mm"), "flat");
    let weight = |weight: &str| {
        let given = json(&["5x7", "--outer", "A7", "--thickness", "2mm", "--weight", weight]);
        given["post"][1]["class"].as_str().unwrap().to_owned()
    };
    assert_eq!(weight("100g"), "letter");
    assert_eq!(weight("100.001g"), "large letter");
}

#[test]
fn the_thick_card_of_the_guide_is_told_what_fits() {
    let given = json(&["4.25x5.5", "--thickness", "3mm", "--weight", "18g"]);
    let names: Vec<&str> = list(&given, "envelopes").iter().map(|one| one["name"].as_str().unwrap()).collect();
    assert!(names.starts_with(&["US A2"]), "{names:?}");
    assert!(!names.contains(&"US A4"), "4 1/4 in wide all the same: {names:?}");
    assert_eq!(given["post"][0]["class"], "letter");
    assert_eq!(given["post"][0]["machinable"], true);
}

#[test]
fn a_card_larger_than_any_envelope_is_told_so() {
    let given = json(&["20x30", "--thickness", "3mm", "--weight", "200g"]);
    assert!(list(&given, "envelopes").is_empty());
    assert_eq!(given["post"][0]["class"], "parcel");
}

#[test]
fn what_is_no_size_thickness_or_weight_is_refused() {
    for arguments in [
        &["4.25"][..],
        &["0x0"],
        &["-4x5"],
        &["A99"],
        &["4x5", "--thickness", "0"],
        &["4x5", "--thickness", "-1mm"],
        &["4x5", "--thickness", "400 in"],
        &["4x5", "--thickness", "thick"],
        &["4x5", "--weight", "0g"],
        &["4x5", "--weight", "-1g"],
        &["4x5", "--weight", "heavy"],
        &["4x5", "--weight", "999999999999g"],
        &["4x5", "--outer", "0x4"],
        &["4x5", "--outer", "Q9"],
        &[],
        &["99999999999999x4"],
    ] {
        let ran = run(arguments);
        let said = String::from_utf8_lossy(&ran.stderr);
        assert_eq!(ran.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(ran.stdout.is_empty() && said.starts_with("error: "), "{arguments:?}: {said}");
    }
}

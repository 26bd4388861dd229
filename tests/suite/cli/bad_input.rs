//! What bad input gets: a clear error that names the thing and the remedy, exit code 2, never a
//! panic; or, where the input is only odd, a sound answer.

use super::{copy_of, items, run, word};
use std::ffi::OsString;

#[test]
fn an_empty_stash_and_no_stash_are_told_from_each_other() {
    let folder = tempfile::tempdir().unwrap();
    for command in [&["suggest"][..], &["stock"], &["mats", "moss"], &["check"]] {
        let ran = run(folder.path(), command);
        let told = format!("{}{}", ran.out, ran.err);
        assert_eq!(ran.code, Some(2), "{command:?}: {told}");
        assert!(told.contains("there is no paper in this folder") && told.contains("swatchfold start"), "{told}");
        let ran = run(folder.path(), &[command, &["--stash", "nowhere"]].concat());
        let told = format!("{}{}", ran.out, ran.err);
        assert_eq!(ran.code, Some(2), "{command:?}: {told}");
        assert!(told.contains("there is no such folder"), "{told}");
    }
    std::fs::write(folder.path().join("file"), "").unwrap();
    let told = run(folder.path(), &["suggest", "--stash", "file"]).refused();
    assert!(told.contains("a stash is a folder"), "{told}");
}

/// Most built-in layouts ask for patterned paper, of which there is none: those are passed over, and the search
/// ends.
#[test]
fn a_stash_of_plain_cardstock_alone_gets_its_cards() {
    let folder = tempfile::tempdir().unwrap();
    let cardstock = |(name, colour): (&str, &str)| {
        format!("[[cardstock]]\nid = \"{name}\"\nname = \"{name}\"\ncolour = \"{colour}\"\nsize = \"8 1/2 x 11 in\"\n")
    };
    let colours = [("white", "#ffffff"), ("kraft", "#b08d57"), ("navy", "#1f2a44"), ("black", "#1a1a1a")];
    let text: String = colours.into_iter().map(cardstock).collect();
    std::fs::write(folder.path().join("cardstock.toml"), format!("kind = \"cardstock\"\n{text}")).unwrap();
    for list in ["1", "30"] {
        let ran = run(folder.path(), &["suggest", "--list", list]);
        assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
        assert!(ran.out.contains("white") && !ran.out.contains("not everything was looked at"), "{}", ran.out);
    }
}

#[test]
fn slips_on_the_command_line_are_named() {
    for (command, says) in [
        (&["suggest", "--use", "mos"][..], "did you mean `moss`?"),
        (&["suggest", "--without", "gardn"], "did you mean `garden`?"),
        (&["suggest", "--layout", "windo"], "did you mean `window`?"),
        (&["suggest", "--use", "🐦"], "nothing here has the id `🐦`"),
        (&["mats", "garden/leafs"], "did you mean `garden/leaves`?"),
        (&["suggest", "--card", "four by five"], "--card `four by five`"),
        (&["suggest", "--card", "0 x 5 in"], "longer than 0"),
        (&["suggest", "--card", "-1 x 5 in"], "unexpected argument"),
        (&["suggest", "--card=-1 x 5 in"], "longer than 0"),
        (&["suggest", "--card", "9999999999999999999 x 5 in"], "--card"),
        (&["suggest", "--each", "0"], "0 is not in 1..=1000"),
        (&["suggest", "--each", "-3"], "unexpected argument"),
        (&["suggest", "--each", "99999999999999999999"], "--each <N>"),
        (&["suggest", "--list", "many"], "invalid value 'many'"),
        (&["suggest", "--today", "yesterday"], "`yesterday` is not a day"),
        (&["suggest", "--today", "2026-02-30"], "`2026-02-30` is not a day"),
        (&["suggest", "--unit", "cubit"], "invalid value 'cubit'"),
        (&["sugest"], "similar subcommand exists: 'suggest'"),
        (&["suggest", "--frob"], "unexpected argument '--frob'"),
        (&["mats"], "<PAPER>"),
        (&["man", "sugest"], "did you mean `suggest`?"),
        (&["completions", "abacus"], "invalid value 'abacus'"),
        (&[], "Usage: swatchfold"),
    ] {
        let folder = copy_of("small");
        let told = run(folder.path(), command).refused();
        assert!(told.contains(says), "{command:?}: {told}");
    }
}

#[test]
fn a_picture_that_cannot_be_read_is_no_white_paper() {
    let folder = copy_of("small");
    std::fs::write(folder.path().join("torn.png"), "").unwrap();
    let torn = "kind = \"sheets\"\n[[sheet]]\nid = \"torn\"\nsize = \"6 x 6 in\"\npicture = \"torn.png\"\n\
                [[sheet]]\nid = \"told\"\nsize = \"6 x 6 in\"\npicture = \"torn.png\"\ncolour = \"#336699\"\n";
    std::fs::write(folder.path().join("torn.toml"), torn).unwrap();
    let told = run(folder.path(), &["check"]);
    assert!(format!("{}{}", told.out, told.err).contains("torn.png"), "{}", told.out);
    let stock = run(folder.path(), &["stock", "--json"]).good();
    let stock: serde_json::Value = serde_json::from_str(&stock).unwrap();
    let ids: Vec<&str> = items(&stock, "stock").iter().map(|line| word(line, "id")).collect();
    assert!(!ids.contains(&"torn") && ids.contains(&"told"), "{ids:?}");
}

#[test]
fn nothing_is_asked_for_and_left_out_at_once() {
    let folder = copy_of("small");
    for command in
        [&["suggest", "--use", "moss", "--without", "moss"][..], &["plan", "--use", "moss", "--spare", "moss"]]
    {
        let told = run(folder.path(), command).refused();
        assert!(told.contains("`moss` is both asked for and left out"), "{told}");
    }
}

#[test]
fn ids_that_are_not_text_are_refused() {
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStringExt;
        let broken = OsString::from_vec(vec![b'm', 0xff]);
        let folder = copy_of("small");
        run(folder.path(), &[OsString::from("mats"), broken.clone()]).refused();
        // A folder's name need not be text.
        let told = run(folder.path(), &[OsString::from("check"), "--stash".into(), broken]);
        assert_eq!(told.code, Some(2), "{}{}", told.out, told.err);
    }
}

#[test]
fn names_may_have_anything_in_them() {
    let folder = tempfile::tempdir().unwrap();
    let stash = folder.path().join("Öse's \"box\" 🎀 תיבה");
    super::copy(&super::repository("tests/cases/cli/stashes/odd-names"), &stash);
    let stash = stash.to_str().unwrap();
    let answer = run(folder.path(), &["suggest", "--json", "--stash", stash, "--today", "2026-03-01"]).json();
    let cards = items(&answer, "suggestions");
    assert!(!cards.is_empty());
    let names: Vec<&str> =
        cards.iter().flat_map(|card| items(card, "layers")).map(|layer| word(layer, "name")).collect();
    for name in ["Grandma's \"best\" roses 🌹", "פרחים <b>&amp;</b>", "two words and a tab"] {
        assert!(names.contains(&name), "{name}: {names:?}");
    }
    let text = run(folder.path(), &["suggest", "--stash", stash, "--today", "2026-03-01"]).good();
    assert!(text.contains("Grandma's \"best\" roses 🌹") && text.contains("פרחים"), "{text}");
    assert!(!text.contains('\t') && !text.contains('\u{1b}') && !text.contains('\u{202e}'), "{text}");
    let used = run(folder.path(), &["suggest", "--json", "--stash", stash, "--use", "ורד 🌹"]).json();
    assert!(!items(&used, "suggestions").is_empty());
    run(folder.path(), &["mats", "ורד 🌹", "--stash", stash]).good();
    assert_eq!(run(folder.path(), &["check", "--stash", stash]).code, Some(0));
}

/// Problems do not stop what is good; they are counted, and `check` tells them.
#[test]
fn a_stash_with_problems_still_answers() {
    let folder = copy_of("small");
    std::fs::write(
        folder.path().join("papers/bad.toml"),
        "kind = \"scraps\"\n[[scrap]]\npaper = \"mos\"\nsize = \"1 x 1 in\"\n",
    )
    .unwrap();
    let ran = run(folder.path(), &["suggest", "--today", "2026-03-01"]);
    assert_eq!(ran.code, Some(0));
    assert!(ran.out.contains("best cards"), "{}", ran.out);
    assert!(ran.err.contains("1 problem in this stash: `swatchfold check`"), "{}", ran.err);
    let check = run(folder.path(), &["check"]);
    assert_eq!(check.code, Some(2));
    assert!(check.out.contains("papers/bad.toml:3:9: there is no paper `mos`"), "{}", check.out);
    assert!(check.out.contains("did you mean `moss`?"), "{}", check.out);
    let json = run(folder.path(), &["check", "--json"]);
    assert_eq!(json.code, Some(2));
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let problem = items(&json, "problems").iter().find(|problem| problem["line"] == 3).unwrap();
    assert_eq!((word(problem, "file"), problem["column"].as_u64()), ("papers/bad.toml", Some(9)));
    assert!(word(problem, "text").starts_with("papers/bad.toml:3:9: "));
}

#[test]
fn help_and_version_are_no_errors() {
    for command in [&["--help"][..], &["help", "suggest"], &["suggest", "-h"], &["--version"], &["mats", "--help"]] {
        let ran = run(copy_of("small").path(), command);
        assert!(!ran.out.is_empty() && ran.err.is_empty(), "{command:?}");
        ran.good();
    }
}

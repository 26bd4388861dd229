//! A cover that is thinner than two glue margins hides no join: *almost* says so, and by how much.

use super::{items, millionths, run, word};

/// A band 5 1/2 in wide, of which there is paper 3 1/2 in wide, beneath a slip so wide.
pub(super) fn stash(slip: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let layout = format!(
        "kind = \"layout\"\nid = \"rail\"\nname = \"Rail\"\ncard = \"5 1/2 x 4 1/4 in\"\n\
         [[panel]]\nid = \"band\"\nrole = \"band\"\nwidth = \"5 1/2 in\"\nheight = \"1 1/2 in\"\ntakes = \"patterned\"\n\
         [[panel]]\nid = \"slip\"\nrole = \"feature\"\non = \"band\"\nwidth = \"{slip}\"\nheight = \"3 in\"\n\
         takes = \"cardstock\"\n"
    );
    let files = [
        ("layout.toml", layout.as_str()),
        (
            "cardstock.toml",
            "kind = \"cardstock\"\nsize = \"12 x 12 in\"\n[[cardstock]]\nid = \"cream\"\ncolour = \"#f2e6cf\"\n\
             [[cardstock]]\nid = \"navy\"\ncolour = \"#1f2c47\"\n",
        ),
        (
            "sheets.toml",
            "kind = \"sheets\"\n[[sheet]]\nid = \"spots\"\nsize = \"3 1/2 x 1 1/2 in\"\ncount = 4\n\
             material = \"patterned\"\ncolour = \"#b04f2c\"\n",
        ),
        (
            "settings.toml",
            "kind = \"settings\"\nborders = [\"1/8 in\"]\nreveals = [\"1/16 in\"]\ncards = [\"4 1/4 x 5 1/2 in\"]\n\
             [costs]\nresize-to-paper = false\nstrips = false\nplain-background = false\n",
        ),
    ];
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    folder
}

#[test]
fn a_cover_too_thin_for_a_hidden_join_is_told_with_what_it_lacks() {
    let thin = stash("3/8 in");
    let told = run(thin.path(), &["suggest", "--json"]).json();
    let near = &items(&told, "near_misses")[0];
    assert_eq!(word(near, "panel"), "band");
    let cover = &near["thin_cover"];
    assert_eq!(word(cover, "axis"), "width", "{near}");
    assert_eq!(
        [millionths(cover, "hidden"), millionths(cover, "needs"), millionths(cover, "short_by")],
        [9_525_000, 12_700_000, 3_175_000]
    );
    assert!(
        word(near, "why").contains("too thin by 1/8 in") && word(near, "remedy").contains("1/8 in wider"),
        "{near}"
    );
    let text = run(thin.path(), &["suggest"]);
    assert!(text.out.contains("too thin by 1/8 in"), "{}", text.out);
    // Wide enough, the band is made with its join beneath it; with nothing over it there is nothing to say.
    let wide = stash("1 in");
    let told = run(wide.path(), &["suggest", "--json"]).json();
    assert!(!items(&told, "suggestions").is_empty(), "{told}");
}

#[test]
fn foam_beneath_vellum_is_told_in_the_layout_on_the_card_and_in_the_step() {
    let folder = stash("1 in");
    let path = folder.path();
    let layout = std::fs::read_to_string(path.join("layout.toml")).expect("it is there");
    let raised = "[[panel]]\nid = \"veil\"\nrole = \"feature\"\non = \"slip\"\ncentre = \"50%\"\ntop = 0\nwidth = 3\n\
                  height = 1\ntakes = \"vellum\"\nraised = true\n";
    std::fs::write(path.join("layout.toml"), format!("{layout}{raised}")).expect("a file");
    let vellum = "kind = \"cardstock\"\n[[cardstock]]\nid = \"mist\"\nmaterial = \"vellum\"\ncolour = \"#eef1f2\"\n";
    std::fs::write(path.join("vellum.toml"), vellum).expect("a file");
    let checked = run(path, &["check"]);
    let all = format!("{}{}", checked.out, checked.err);
    assert!(all.contains("the foam beneath it shows through"), "{all}");
    let told = run(path, &["suggest", "--json"]).json();
    let card = &items(&told, "suggestions")[0];
    let notes: Vec<&str> = items(card, "notes").iter().filter_map(|note| note.as_str()).collect();
    assert!(notes.iter().any(|note| note.starts_with("foam shows through vellum: the veil")), "{notes:?}");
    let steps: Vec<&str> = items(card, "steps").iter().map(|step| word(step, "text")).collect();
    assert!(
        steps.iter().any(|step| step.contains("The veil is see-through") && step.contains("would show")),
        "{steps:?}"
    );
}

//! Plans that are kept: work on one goes on though something else was recorded, a file was edited, and the
//! program was begun anew.

use super::*;

/// The page of a plan for two cards, once it is planned, and the name of the plan.
fn planned(pages: &Arc<Pages>) -> (String, String) {
    let address = "/batch?plan=1&cards=2&least=1&most=2";
    let mut page = look(pages, address).1;
    for _ in 0..2_000 {
        if page.contains("Record it") {
            break;
        }
        assert!(page.contains("Planning."), "{page}");
        std::thread::sleep(std::time::Duration::from_millis(20));
        page = look(pages, address).1;
    }
    let name = page.split("name=\"batch\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap().to_owned();
    (page, name)
}

#[test]
fn a_plan_with_a_tick_is_the_same_whatever_happens_and_can_be_recorded() {
    let (folder, pages) = pages();
    let (_, name) = planned(&pages);
    assert_eq!(look(&pages, &format!("/plan/{name}")).0, 404, "nobody asked to keep it");
    let tick = [("list", name.as_str()), ("tick", "sheet-0-cut-1"), ("done", "1"), ("back", "/batch?plan=1")];
    assert_eq!(change(&pages, "/tick", &tick).status, 303);
    let (status, before) = look(&pages, &format!("/plan/{name}"));
    assert!(status == 200 && before.contains("Cut map of sheet leaves") && before.contains("card-0.svg"), "{before}");
    // Something else is recorded, a file is edited, and the program is begun anew.
    let revision = pages.desk.now().revision.clone();
    let told = change(&pages, "/stash/recount", &[("revision", &revision), ("id", "cream"), ("count", "3")]);
    assert_eq!(told.status, 303, "{}", String::from_utf8_lossy(&told.bytes));
    write(
        folder.path(),
        "more.toml",
        "kind = \"sheets\"\n[[sheet]]\nid = \"sand\"\nsize = \"6 x 6 in\"\ncolour = \"#d8c8a8\"\n",
    );
    drop(pages);
    let pages = super::open(folder.path());
    let (status, after) = look(&pages, &format!("/plan/{name}"));
    assert_eq!(status, 200);
    let without_revision = |page: &str| {
        let parts =
            page.split("name=\"revision\" value=\"").map(|rest| rest.split_once('"').map_or(rest, |(_, rest)| rest));
        parts.collect::<Vec<_>>().concat()
    };
    let main = |page: &str| without_revision(page.split_once("<main").unwrap().1);
    assert_eq!(main(&before), main(&after));
    assert!(after.contains("checked"), "the tick is there: {after}");
    assert!(look(&pages, "/batch").1.contains(&format!("/plan/{name}")), "the page of batches leads there");
    let revision = pages.desk.now().revision.clone();
    let told = change(&pages, "/plan/made", &[("revision", &revision), ("batch", &name)]);
    assert_eq!(told.to.as_deref(), Some("/record"), "{}", String::from_utf8_lossy(&told.bytes));
    // Twice is once too often, and says so.
    let revision = pages.desk.look().revision.clone();
    assert_eq!(change(&pages, "/plan/made", &[("revision", &revision), ("batch", &name)]).status, 400);
    assert_eq!(change(&pages, "/plan/away", &[("batch", &name)]).status, 303);
    let (_, after) = look(&pages, &format!("/batch?away={name}"));
    assert!(after.contains("Keep it after all"), "{after}");
    assert_eq!(change(&pages, "/plan/keep", &[("batch", &name)]).status, 303);
    assert_eq!(look(&pages, &format!("/plan/{name}")).0, 200);
    assert_eq!(change(&pages, "/plan/away", &[("batch", &name)]).status, 303);
    assert_eq!(look(&pages, &format!("/plan/{name}")).0, 404);
}

#[test]
fn a_plan_that_is_kept_is_drawn_and_printed() {
    let (_folder, pages) = pages();
    let (_, name) = planned(&pages);
    let told = change(&pages, "/plan/keep", &[("batch", &name)]);
    assert_eq!(told.to, Some(format!("/plan/{name}")));
    for file in ["card-0.svg", "sheet-0.svg"] {
        let (status, svg) = look(&pages, &format!("/plan/{name}/{file}"));
        assert_eq!(status, 200, "{file}");
        roxmltree::Document::parse(&svg).unwrap();
    }
    let (status, pdf) = look(&pages, &format!("/plan/{name}/booklet.pdf"));
    assert!(status == 200 && pdf.starts_with("%PDF-"));
    for file in ["card-99.svg", "sheet--1.svg", "card-x.svg", "card", "..", "booklet.exe"] {
        assert_eq!(look(&pages, &format!("/plan/{name}/{file}")).0, 404, "{file}");
    }
    for name in ["batch-0000000000000000", "..", "batch-x"] {
        assert_eq!(look(&pages, &format!("/plan/{name}")).0, 404, "{name}");
        assert_eq!(change(&pages, "/plan/keep", &[("batch", name)]).status, 404, "{name}");
    }
}

//! The pages asked as the door asks them, on the demo stash with a little work: every page is there
//! and says what it should; what is changed is changed on disk; nonsense is answered and never a panic.

mod kept;

use super::*;
use crate::swatch::Cache;
use std::path::Path;
use swatchfold_door::{Body, File, Guest};
use tempfile::TempDir;

/// Pages on a small stash of a few plain papers and one pattern.
fn pages() -> (TempDir, Arc<Pages>) {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "papers.toml", PAPERS);
    write(
        folder.path(),
        "settings.toml",
        "kind = \"settings\"\nunit = \"in\"\nregion = \"US\"\ncards = [\"A2\"]\nlist = 4\nmost-changes = 1\n",
    );
    write(folder.path(), "layout.toml", LAYOUT);
    let pages = open(folder.path());
    (folder, pages)
}

fn open(folder: &Path) -> Arc<Pages> {
    let today = Date::parse("2026-03-01").unwrap();
    Arc::new(Pages::new(Room::open(folder, today, &Cache::of(folder), &|_, _| {}), Some(today)))
}

fn write(folder: &Path, name: &str, text: &str) {
    std::fs::write(folder.join(name), text).unwrap();
}

const PAPERS: &str = r##"
kind = "sheets"
[[sheet]]
id = "navy"
name = "Night <b>navy</b>"
material = "cardstock"
size = "8 1/2 x 11 in"
count = 3
colour = "#1f2c47"
added = 2024-01-10
[[sheet]]
id = "cream"
name = "Cream"
material = "cardstock"
size = "8 1/2 x 11 in"
count = 4
colour = "#f5efe2"
[[sheet]]
id = "leaves"
name = "Leaves"
material = "patterned"
size = "6 x 6 in"
count = 4
colours = ["#7a9a3a 60%", "#f5efe2 40%"]
pattern = "scattered"
busyness = 0.5
"##;

const LAYOUT: &str = r#"
kind = "layout"
name = "Pier"
card = "4 1/4 x 5 1/2 in"
[[panel]]
id = "background"
role = "background"
inset = "1/8 in"
takes = "patterned"
"#;

fn asked(method: Method, address: &str, fields: &[(&str, &str)]) -> Asked {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    let pairs = |text: &str| form_urlencoded::parse(text.as_bytes()).into_owned().collect::<Vec<_>>();
    let decoded = |part: &str| {
        form_urlencoded::parse(part.replace('+', "%2B").as_bytes())
            .next()
            .map_or_else(String::new, |(key, _)| key.into_owned())
    };
    Asked {
        method,
        path: path.split('/').filter(|part| !part.is_empty()).map(decoded).collect(),
        query: pairs(query),
        body: if method == Method::Look {
            Body::Nothing
        } else {
            Body::Form(fields.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect(), Vec::new())
        },
        guest: Guest { number: 7, token: "t0ken".to_owned() },
        revision: None,
        has: None,
    }
}

fn look(pages: &Arc<Pages>, address: &str) -> (u16, String) {
    let told = Arc::clone(pages).answer(asked(Method::Look, address, &[]));
    (told.status, String::from_utf8_lossy(&told.bytes).into_owned())
}

fn change(pages: &Arc<Pages>, address: &str, fields: &[(&str, &str)]) -> Told {
    Arc::clone(pages).answer(asked(Method::Change, address, fields))
}

#[test]
fn every_page_is_there_names_its_things_and_lets_no_mark_through() {
    let (_folder, pages) = pages();
    for (address, says) in [
        ("/", "Which pad or paper?"),
        ("/cards", "Find a card"),
        ("/cards?use=leaves&card=A2", "must use"),
        ("/mats", "Match a mat"),
        ("/mats/for/leaves", "A mat for"),
        ("/batch", "Plan a batch"),
        ("/stash", "Look at the stash"),
        ("/stash?colour=%231f2c47&kind=sheet&age=365", "1 line"),
        ("/stash/add", "Add a paper"),
        ("/record", "Nothing yet"),
        ("/layouts", "Pier"),
        ("/layouts/draw?like=layout", "Pier, mine"),
    ] {
        let (status, page) = look(&pages, address);
        assert_eq!(status, 200, "{address}: {page}");
        assert!(page.contains(says), "{address} does not say {says}");
        assert!(!page.contains("<b>navy</b>"), "{address}: a name became markup");
        assert!(!page.contains(" style=") && !page.contains(" onclick="), "{address}: the policy forbids it");
        assert_eq!(page.matches("<h1").count(), 1, "{address}");
        assert!(page.contains("<html lang=\"en\">") && page.contains("id=\"main\""), "{address}");
    }
    assert!(look(&pages, "/cards").1.contains("<svg"), "cards are drawn");
}

#[test]
fn papers_without_pictures_are_drawn_by_address_and_a_page_of_thousands_stays_small() {
    let (folder, pages) = pages();
    let (_, page) = look(&pages, "/");
    let name = page.split("/picture/").nth(1).and_then(|rest| rest.split('"').next()).unwrap();
    let (status, drawing) = look(&pages, &format!("/picture/{name}"));
    assert!(status == 200 && drawing.starts_with("<svg") && drawing.contains("#7a9a3a"), "{drawing}");
    assert!(roxmltree::Document::parse(&drawing).is_ok(), "{drawing}");
    assert_eq!(look(&pages, "/picture/drawn-0000000000000000").0, 404);
    let design = |number: usize| {
        format!(
            "[[design]]\nid = \"d{number}\"\nname = \"Design {number}\"\n\
             colours = [\"#7a{:02x}3a 60%\", \"#f5efe2 40%\"]\npattern = \"scattered\"\n",
            number % 250
        )
    };
    for pad in 0..20 {
        let designs: String = (0..25).map(design).collect();
        let text = format!("kind = \"pad\"\nid = \"pad{pad}\"\nsheet = \"6 x 6 in\"\ncopies = 2\n{designs}");
        write(folder.path(), &format!("pad{pad}.toml"), &text);
    }
    let page = look(&open(folder.path()), "/").1;
    assert!(page.contains("Design 24") && page.len() < 300_000, "{} bytes for 500 papers", page.len());
}

#[test]
fn what_was_worked_out_before_changes_no_answer() {
    let (folder, pages) = pages();
    let same = |pages: &Arc<Pages>, address: &str| {
        let fresh = look(&open(folder.path()), address).1;
        let kept = look(pages, address).1;
        assert!(kept.contains("\"suggestions\""), "{kept}");
        assert_eq!(kept, fresh, "{address}");
    };
    for address in [
        "/api/suggestions",
        "/api/suggestions?without=cream",
        "/api/suggestions?scraps=1",
        "/api/suggestions?scraps=1&without=navy",
        "/api/suggestions?use=leaves&each=2",
    ] {
        same(&pages, address);
    }
    // Other stock, and other papers.
    write(folder.path(), "papers.toml", &PAPERS.replace("count = 3", "count = 1"));
    std::thread::sleep(std::time::Duration::from_millis(800));
    same(&pages, "/api/suggestions");
    write(folder.path(), "papers.toml", &PAPERS.replace("#1f2c47", "#a03020"));
    std::thread::sleep(std::time::Duration::from_millis(800));
    same(&pages, "/api/suggestions");
}

#[test]
fn what_is_not_there_is_told_with_its_remedy() {
    let (_folder, pages) = pages();
    for (address, status) in [
        ("/nothing", 404),
        ("/cards?use=navvy", 404),
        ("/cards?card=huge", 400),
        ("/card/none", 404),
        ("/mats/for/none", 404),
        ("/picture/none", 404),
        ("/look/none", 404),
        ("/layouts/draw?like=none", 404),
        ("/stash?size=wide", 400),
        ("/batch?plan=1&cards=0", 400),
        ("/batch?plan=1&use=none", 404),
        ("/api/none", 404),
        ("/api/mats?paper=none", 404),
        ("/api/suggestions?work=x", 400),
    ] {
        assert_eq!(look(&pages, address).0, status, "{address}");
    }
    assert!(look(&pages, "/cards?use=navvy").1.contains("use=navy"), "the nearest is offered");
}

#[test]
fn the_pages_say_the_same_as_the_command_line() {
    let (_folder, pages) = pages();
    let now = pages.desk.now();
    let room = now.room(now.unit());
    for (address, document) in [
        ("/api/stock", crate::present::json::stock(room)),
        ("/api/layouts", crate::present::json::layouts(room)),
        ("/api/plugins", crate::present::json::plugins(room)),
        ("/api/check", crate::present::json::check(room)),
    ] {
        assert_eq!(look(&pages, address), (200, document), "{address}");
    }
    let (status, text) = look(&pages, "/api/suggestions?list=2&work=1000000");
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!((status, value["format"].as_u64()), (200, Some(1)));
    assert!(value["suggestions"].as_array().unwrap().len() <= 2);
}

#[test]
fn the_description_names_every_address_and_no_other() {
    let (_folder, pages) = pages();
    let description: serde_json::Value = serde_json::from_str(assets::OPENAPI).unwrap();
    assert_eq!(look(&pages, "/api/openapi.json").1, assets::OPENAPI);
    for (address, item) in description["paths"].as_object().unwrap() {
        let operation = &item["get"];
        let required: String = operation["parameters"]
            .as_array()
            .into_iter()
            .flatten()
            .filter(|parameter| parameter["required"] == true)
            .map(|parameter| format!("{}=leaves&", parameter["name"].as_str().unwrap()))
            .collect();
        let (status, text) = look(&pages, &format!("{address}?{required}"));
        assert_eq!(status, 200, "{address}");
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        let name = operation["responses"]["200"]["content"]["application/json"]["schema"]["$ref"].as_str().unwrap();
        let schema = &description["components"]["schemas"][name.rsplit('/').next().unwrap()];
        for field in schema["required"].as_array().into_iter().flatten() {
            assert!(!value[field.as_str().unwrap()].is_null(), "{address} lacks {field}");
        }
        if item.get("post").is_none() {
            assert_eq!(change(&pages, address, &[]).status, 405, "{address}");
        }
    }
}

#[test]
fn ticks_stay_through_a_restart_and_only_their_own_names_are_kept() {
    let (folder, pages) = pages();
    let fields = [("list", "card-1"), ("tick", "cut-1"), ("done", "1")];
    assert_eq!(change(&pages, "/tick", &fields).status, 204);
    assert_eq!(change(&pages, "/tick", &[("list", "../x y"), ("tick", "cut-1"), ("done", "1")]).status, 400);
    let again = open(folder.path());
    assert!(look(&again, "/api/ticks?list=card-1").1.contains("cut-1"));
    let mut json = asked(Method::Change, "/api/ticks", &[]);
    json.body = Body::Json(br#"{"list":"card-1","tick":"cut-1","done":false}"#.to_vec());
    assert_eq!(Arc::clone(&again).answer(json).status, 200);
    assert!(!look(&again, "/api/ticks?list=card-1").1.contains("cut-1"));
}

#[test]
fn two_at_once_are_told_what_the_other_did() {
    let (folder, pages) = pages();
    let seen = pages.desk.now().revision.clone();
    let fields = [("revision", seen.as_str()), ("id", "navy"), ("count", "2")];
    assert_eq!(change(&pages, "/stash/recount", &fields).status, 303);
    // The other page has seen what was before.
    let told = change(&pages, "/stash/recount", &[("revision", &seen), ("id", "cream"), ("count", "1")]);
    let page = String::from_utf8_lossy(&told.bytes).into_owned();
    assert_eq!(told.status, 409);
    assert!(
        page.contains("navy") && page.contains("3 of") && page.contains("2 of") && !page.contains(">cream<"),
        "{page}"
    );
    // Nothing of it was recorded, and what was can be taken back.
    let room = open(folder.path());
    assert!(look(&room, "/api/stock").1.contains("\"count\": 2"));
    let now = pages.desk.look().revision.clone();
    assert_eq!(change(&pages, "/record/undo", &[("revision", &now), ("entry", "1")]).status, 303);
    assert!(look(&pages, "/record").1.contains("taken back"));
}

#[test]
fn a_paper_is_added_and_can_be_used_at_once() {
    let (folder, pages) = pages();
    let revision = pages.desk.now().revision.clone();
    let fields = [
        ("revision", revision.as_str()),
        ("name", "Rain \"on\" <slate>"),
        ("size", "6 x 8"),
        ("count", "2"),
        ("material", "patterned"),
        ("colour", "#667788"),
    ];
    let told = change(&pages, "/stash/add", &fields);
    assert_eq!(told.status, 303, "{}", String::from_utf8_lossy(&told.bytes));
    assert_eq!(told.to.as_deref(), Some("/cards?use=rain-on-slate"));
    assert!(folder.path().join("added/rain-on-slate.toml").is_file());
    assert_eq!(look(&pages, "/cards?use=rain-on-slate").0, 200);
    assert!(look(&pages, "/stash").1.contains("Rain &quot;on&quot; &lt;slate&gt;"));
    // A picture that is none is refused by name, and nothing is written.
    let revision = pages.desk.look().revision.clone();
    let mut bad = asked(
        Method::Change,
        "/stash/add",
        &[("revision", &revision), ("name", "x"), ("size", "6 x 6"), ("count", "1")],
    );
    if let Body::Form(_, files) = &mut bad.body {
        files.push(File { field: "picture".to_owned(), bytes: b"GIF89a".to_vec() });
    }
    assert_eq!(Arc::clone(&pages).answer(bad).status, 400);
    assert!(!folder.path().join("added/x.toml").exists());
}

#[test]
fn a_layout_is_drawn_saved_and_read_back_and_a_bad_one_is_told_why() {
    let (folder, pages) = pages();
    let revision = pages.desk.now().revision.clone();
    let panel = [
        ("id", "field"),
        ("role", "background"),
        ("left", "1/4"),
        ("top", "1/4 in"),
        ("width", "3 3/4"),
        ("height", "127 mm"),
        ("on", ""),
        ("mat", "1/8"),
    ];
    let fields: Vec<(&str, &str)> =
        [("revision", revision.as_str()), ("name", "Tall Window"), ("card", "4 1/4 x 5 1/2")]
            .into_iter()
            .chain(panel)
            .collect();
    let told = change(&pages, "/layouts/draw", &fields);
    assert_eq!(told.status, 303, "{}", String::from_utf8_lossy(&told.bytes));
    let text = std::fs::read_to_string(folder.path().join("layouts/tall-window.toml")).unwrap();
    assert!(
        text.contains("width = \"3 3/4 in\"")
            && text.contains("height = \"5 in\"")
            && text.contains("mats = [\"1/8 in\"]"),
        "{text}"
    );
    assert!(look(&pages, "/layouts").1.contains("Tall Window"));
    let revision = pages.desk.look().revision.clone();
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(key, value)| match *key {
            "revision" => (*key, revision.as_str()),
            "width" => (*key, "wide"),
            _ => (*key, *value),
        })
        .collect();
    let told = change(&pages, "/layouts/draw", &fields);
    assert_eq!(told.status, 400);
    assert!(String::from_utf8_lossy(&told.bytes).contains("cannot be saved as it is"));
}

#[test]
fn a_batch_is_planned_cut_recorded_and_taken_back() {
    let (_folder, pages) = pages();
    let address = "/batch?plan=1&cards=2&least=1&most=2";
    let mut page = look(&pages, address).1;
    for _ in 0..2_000 {
        if page.contains("Record it") {
            break;
        }
        assert!(page.contains("Planning."), "{page}");
        std::thread::sleep(std::time::Duration::from_millis(20));
        page = look(&pages, address).1;
    }
    assert!(page.contains("Cut map of sheet leaves"), "{page}");
    let name = page.split("name=\"batch\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).unwrap().to_owned();
    // A piece of it is spoilt: the page says what can be done.
    let mut spoilt = page.split("href=\"").map(|rest| rest.split('"').next().unwrap_or_default());
    let spoilt = spoilt.find(|at| at.starts_with("/batch/spoilt?")).unwrap().replace("&amp;", "&");
    let (status, told) = look(&pages, &spoilt);
    assert!(status == 200 && told.contains("Cut it again") && told.contains("which this plan leaves alone"), "{told}");
    assert_eq!(look(&pages, &spoilt.replace("sheet=0", "sheet=99")).0, 404);
    let revision = pages.desk.now().revision.clone();
    let told = change(&pages, "/batch/made", &[("revision", &revision), ("batch", &name)]);
    assert_eq!(told.to.as_deref(), Some("/record"), "{}", String::from_utf8_lossy(&told.bytes));
    assert!(look(&pages, "/record").1.contains("made 2 cards"));
    let now = pages.desk.look().revision.clone();
    assert_eq!(change(&pages, "/record/undo", &[("revision", &now)]).status, 303);
}

#[test]
fn a_thousand_random_requests_are_answered_without_a_defect() {
    let (folder, pages) = pages();
    let before = std::fs::read_to_string(folder.path().join("papers.toml")).unwrap();
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = move |most: usize| {
        // xorshift64 (Marsaglia, 2003).
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        usize::try_from(seed % u64::try_from(most).unwrap()).unwrap()
    };
    let paths = [
        "/",
        "/cards",
        "/card/x",
        "/mats",
        "/mats/for/leaves",
        "/stash",
        "/stash/add",
        "/record",
        "/layouts",
        "/layouts/draw",
        "/batch",
        "/tick",
        "/unit",
        "/api/stock",
        "/api/suggestions",
        "/api/ticks",
        "/api/mats",
        "/batch/made",
        "/batch/stop",
        "/plan/keep",
        "/plan/away",
        "/plan/made",
        "/plan/x/card-0.svg",
        "/record/undo",
        "/stash/recount",
        "/stash/resize",
        "/picture/..",
        "/look/..",
        "/nothing/%F0%9F%8E%89",
    ];
    let names = [
        "use", "without", "card", "each", "list", "layout", "size", "colour", "kind", "from", "edge", "paper", "id",
        "count", "name", "back", "entry", "on", "left", "revision", "scraps",
    ];
    let values = [
        "",
        "navy",
        "leaves",
        "-1",
        "0",
        "999999999999999999999",
        "A2",
        "1/0",
        "\u{0}",
        "../../x",
        "<script>",
        "#fff",
        "½ x ⅞",
        "\u{202e}",
        "4 x 5",
        "1e308",
        "a&b=c",
        "'\"\\",
        "NaN",
        "x x x",
    ];
    for _ in 0..1_000 {
        let mut query = form_urlencoded::Serializer::new(String::new());
        for _ in 0..next(4) {
            query.append_pair(names[next(names.len())], values[next(values.len())]);
        }
        let query = query.finish();
        let address = format!("{}?{query}", paths[next(paths.len())]);
        let told = if next(3) == 0 {
            let fields: Vec<(&str, &str)> =
                (0..next(6)).map(|_| (names[next(names.len())], values[next(values.len())])).collect();
            change(&pages, &address, &fields)
        } else {
            Arc::clone(&pages).answer(asked(Method::Look, &address, &[]))
        };
        assert!(told.status < 500, "{address}: {}", told.status);
        assert!(told.to.is_none_or(|to| to.starts_with('/') && !to.starts_with("//")), "{address}");
    }
    assert_eq!(std::fs::read_to_string(folder.path().join("papers.toml")).unwrap(), before);
}

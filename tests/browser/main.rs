//! The pages in a real browser: the whole job from an empty stash to a recorded batch that is taken
//! back, as a hand does it, at the widths of a telephone, a tablet and a desk; two tabs at once, no
//! network, a page loaded again in the middle; and an automated audit of every page, light and dark.
//!
//! Where no Chromium is installed and none can be, these tests say so and try nothing; where `CI` is
//! set that is a failure. `SWATCHFOLD_SCREENS=folder` keeps a picture of every page.

mod chromium;

use chromium::{Chromium, Tab};
use serde_json::json;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// Pages being served from a folder.
struct Served {
    child: Child,
    address: String,
}

impl Served {
    /// Opens the pages of a folder at a port, any where it is 0.
    fn open(folder: &Path, port: u16) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_swatchfold"))
            .args(["serve", "--today", "2026-03-01", "--port", &port.to_string()])
            .current_dir(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        let mut told = BufReader::new(child.stdout.take().expect("it was piped"));
        let address = loop {
            let mut line = String::new();
            assert!(told.read_line(&mut line).expect("it says something") > 0, "it ended before it was open");
            if let Some((_, address)) = line.split_once("open at ") {
                break address.trim().trim_end_matches('/').to_owned();
            }
        };
        Self { child, address }
    }

    fn at(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    fn port(&self) -> u16 {
        self.address.rsplit(':').next().and_then(|port| port.parse().ok()).expect("an address ends with its port")
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A paper of the demo, to be photographed.
fn paper() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(PHOTOGRAPH)
}

const PHOTOGRAPH: &str = "demo-data/papers/slack-water/drizzle.jpg";

/// Nothing is wrong with a page, light or dark, nor does it reach over the side of the screen.
#[track_caller]
fn is_sound(tab: &Tab<'_>, name: &str) {
    for scheme in ["light", "dark"] {
        tab.scheme(scheme);
        let wrong = tab.audit();
        assert!(wrong.is_empty(), "{name}, {scheme}: {wrong:#?}");
        tab.picture(&format!("{name}-{scheme}.png"));
    }
    tab.scheme("light");
    let over = tab.js("document.documentElement.scrollWidth - innerWidth");
    assert!(over.as_i64().is_some_and(|over| over <= 0), "{name} is {over} pixels wider than the screen");
}

/// Adds a paper by its colour or its photograph.
fn add(tab: &Tab<'_>, name: &str, material: &str, size: &str, count: &str, look: Result<&str, &Path>) {
    tab.fill("input[name=name]", name);
    match look {
        Ok(colour) => tab.choose("input[name=colour]", colour),
        Err(picture) => {
            tab.hand("input[name=picture]", picture);
            tab.until("the photograph is shown", "document.querySelector('.preview').naturalWidth > 0");
        }
    }
    tab.choose("select[name=material]", material);
    tab.fill("input[name=size]", size);
    tab.fill("input[name=count]", count);
    tab.follow("form.add button.main");
}

/// How many pieces of a paper the stash says there are.
fn count_of(tab: &Tab<'_>, served: &Served, id: &str) -> String {
    tab.go(&served.at("/stash"));
    let own = format!("form[action=\"/stash/recount\"]:has(input[value=\"{id}\"]) input[name=count]");
    tab.js(&format!("document.querySelector({}).value", json!(own))).as_str().unwrap_or_default().to_owned()
}

/// The whole job, at a width.
fn whole_job(width: u32, height: u32) {
    let Some(browser) = Chromium::open() else { return };
    let folder = TempDir::new().expect("a folder for the stash");
    let mut served = Served::open(folder.path(), 0);
    let tab = browser.tab(width, height);
    let shot = |name: &str| format!("{width}-{name}");

    // An empty stash, and the first papers.
    tab.go(&served.at("/"));
    is_sound(&tab, &shot("empty"));
    tab.follow("main a[href=\"/stash/add\"]");
    is_sound(&tab, &shot("add"));
    add(&tab, "Oat cardstock", "cardstock", "8 1/2 x 11 in", "8", Ok("#efe6d2"));
    for (name, colour) in [("Harbour cardstock", "#2f5d7a"), ("Brick cardstock", "#a4492f")] {
        tab.go(&served.at("/stash/add"));
        add(&tab, name, "cardstock", "8 1/2 x 11 in", "4", Ok(colour));
    }
    tab.go(&served.at("/stash/add"));
    add(&tab, "Quay paper", "patterned", "6 x 6 in", "6", Err(&paper()));

    // Cards from it, the best of which is looked at closely.
    tab.says("must use Quay paper");
    tab.until("a card is drawn", "document.querySelectorAll('ul.cards li.card').length > 0");
    tab.until("it was looked long enough", "!document.querySelector('#looking button:not([hidden])')");
    is_sound(&tab, &shot("cards"));
    tab.follow("li.card a.button.main");
    is_sound(&tab, &shot("card"));
    tab.press("ol.ticks [data-tick=cut-1]");
    tab.until("the tick was kept", "!document.querySelector('.waits')");
    tab.reload();
    tab.until("it is still ticked", "document.querySelector('[data-tick=cut-1]').checked");

    // A mat for it, what is in the stash, and the layouts.
    for (path, name) in
        [("/mats", "mats"), ("/stash", "stash"), ("/layouts", "layouts"), ("/record", "nothing-recorded")]
    {
        tab.go(&served.at(path));
        is_sound(&tab, &shot(name));
    }

    // A batch: planned, ticked without a network, and through a restart of the program.
    tab.go(&served.at("/batch"));
    is_sound(&tab, &shot("batch-form"));
    tab.fill("input[name=cards]", "3");
    tab.fill("input[name=least]", "1");
    tab.press("form.choices button.main");
    tab.until("it is planned", "document.querySelector('.verdict') !== null");
    is_sound(&tab, &shot("batch"));
    // None of it pleases: other cards come. Of those the first is settled, and a piece of it is spoilt.
    let first = "document.querySelector('.small-cards h2 bdi').innerText";
    let before = tab.js(first);
    tab.press("form[aria-label=\"What is settled\"] button");
    let is_other = format!("document.querySelector('.verdict') !== null && {first} !== {before}");
    tab.until("other cards are planned", &is_other);
    let kept = tab.js(first);
    tab.press("input[name=keep]");
    tab.press("form[aria-label=\"What is settled\"] button");
    let rounds = "document.querySelectorAll('input[name=settled]').length";
    let is_kept =
        format!("{rounds} === 2 && document.querySelector('[name=keep]:checked') !== null && {first} === {kept}");
    tab.until("what is settled is there again", &is_kept);
    tab.press("ol.maps details summary");
    tab.follow("ol.maps details li a");
    tab.says("Cut it again");
    is_sound(&tab, &shot("spoilt"));
    tab.follow("p.back a");
    tab.until("the plan is there again", "document.querySelector('.verdict') !== null");
    tab.press("[data-tick=\"card-1\"]");
    tab.until("the tick was kept", "!document.querySelector('.waits')");
    tab.offline(true);
    tab.press("[data-tick=\"sheet-0-cut-1\"]");
    tab.says("No network: your ticks are kept here and follow when it is back.");
    tab.offline(false);
    tab.until("the tick followed", "!document.querySelector('.waits')");
    let port = served.port();
    drop(served);
    served = Served::open(folder.path(), port);
    tab.reload();
    for tick in ["card-1", "sheet-0-cut-1"] {
        let one = format!("document.querySelector('[data-tick=\"{tick}\"]')?.checked === true");
        tab.until(&format!("{tick} is still ticked"), &one);
    }

    // The plan was kept with its first tick: it is gone on with, recorded, and taken back.
    tab.go(&served.at("/batch"));
    tab.follow("#kept + ul a");
    tab.until("every drawing is there", "[...document.images].every(one => one.complete && one.naturalWidth > 0)");
    assert!(tab.js("document.images.length").as_i64().is_some_and(|count| count >= 4), "cards and sheets are drawn");
    is_sound(&tab, &shot("kept"));
    tab.until("its ticks are there", "document.querySelector('[data-tick=\"card-1\"]')?.checked === true");
    tab.follow("form[action=\"/plan/made\"] button.main");
    tab.says("What was recorded");
    is_sound(&tab, &shot("recorded"));
    let fewer = count_of(&tab, &served, "quay-paper");
    assert_ne!(fewer, "6", "what the cards took is gone from the stash");
    tab.go(&served.at("/record"));
    tab.follow("form[action=\"/record/undo\"] button");
    tab.says("(taken back)");
    assert_eq!(count_of(&tab, &served, "quay-paper"), "6", "it is all there again");
}

#[test]
fn what_a_second_tab_has_changed_is_shown_and_not_overwritten() {
    let Some(browser) = Chromium::open() else { return };
    let folder = TempDir::new().expect("a folder for the stash");
    let served = Served::open(folder.path(), 0);
    let (one, other) = (browser.tab(1280, 800), browser.tab(390, 844));
    one.go(&served.at("/stash/add"));
    add(&one, "Oat cardstock", "cardstock", "8 1/2 x 11 in", "8", Ok("#efe6d2"));
    for tab in [&one, &other] {
        tab.go(&served.at("/stash"));
        tab.press("ul.lines li details summary");
    }
    let field = "form[action=\"/stash/recount\"] input[name=count]";
    let button = "form[action=\"/stash/recount\"] button";
    one.fill(field, "5");
    one.follow(button);
    other.fill(field, "3");
    other.follow(button);
    other.says("Something has changed meanwhile");
    other.says("Nothing was changed by you just now");
    let was_and_is = other.js("document.querySelector('.difference').innerText");
    let was_and_is = was_and_is.as_str().unwrap_or_default();
    assert!(was_and_is.contains('8') && was_and_is.contains('5'), "{was_and_is}");
    is_sound(&other, "409");
    assert_eq!(count_of(&other, &served, "oat-cardstock"), "5");
}

#[test]
fn the_whole_job_on_a_telephone() {
    whole_job(390, 844);
}

#[test]
fn the_whole_job_on_a_tablet() {
    whole_job(820, 1180);
}

#[test]
fn the_whole_job_at_a_desk() {
    whole_job(1280, 800);
}

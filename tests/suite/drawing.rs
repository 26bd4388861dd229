//! Pictures of cards and the contact sheet, from small stashes on disk: exact sizes, true scale,
//! names that would break a page, nothing fetched, the same bytes on every run.

use roxmltree::{Document, Node, ParsingOptions};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use swatchfold::present::{card_svg, contact_sheet, outline};
use swatchfold::room::Room;
use swatchfold::score::{Answer, Ask};
use swatchfold::stash::Date;
use swatchfold::swatch::Cache;
use tempfile::TempDir;

/// The one address a drawing may hold: the name of the format itself.
const SVG: &str = "http://www.w3.org/2000/svg";

/// Every element a drawing is made of.
const ELEMENTS: [&str; 24] = [
    "svg",
    "title",
    "desc",
    "defs",
    "pattern",
    "image",
    "use",
    "g",
    "rect",
    "ellipse",
    "polygon",
    "circle",
    "path",
    "text",
    "clipPath",
    "linearGradient",
    "stop",
    "filter",
    "feGaussianBlur",
    "feOffset",
    "feFlood",
    "feComposite",
    "feMerge",
    "feMergeNode",
];

const CARDSTOCK: &str = r##"
kind = "cardstock"
size = "8 1/2 x 11 in"
count = 4
[[cardstock]]
id = "cream"
name = "Cream"
colour = "#f6eedb"
[[cardstock]]
id = "navy"
name = "Navy"
colour = "#1f2a4d"
finish = "pearl"
[[cardstock]]
id = "kraft"
name = "Kraft"
colour = "#b5926a"
material = "kraft"
"##;

const WORDS: &str = r#"
kind = "sentiments"
[[sentiment]]
id = "hello"
words = "hello"
size = "1 x 1/4 in"
"#;

const LAYOUT: &str = r#"
kind = "layout"
id = "window"
name = "Window"
card = "4 1/4 x 5 1/2 in"
[[panel]]
id = "background"
role = "background"
inset = "1/8 in"
takes = ["patterned"]
[[panel]]
id = "banner"
role = "sentiment"
on = "background"
shape = "banner-right"
left = "0 %"
right = "70 %"
top = "70 %"
bottom = "85 %"
takes = ["cardstock", "kraft"]
mats = ["1/16 in"]
sentiment = true
raised = true
"#;

/// A stash of these files, with one picture of a paper, 150 pixels wide and 100 high.
fn stash(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("written");
    }
    let stripes = (0..150 * 100).flat_map(|at| if at % 30 < 12 { [200, 70, 50] } else { [250, 240, 220] }).collect();
    let picture = swatchfold_picture::Picture::from_rgb(150, 100, stripes).expect("150 x 100");
    let bytes = picture.thumbnail(150, swatchfold_picture::Encoding::Png).expect("written");
    std::fs::write(folder.path().join("stripes.png"), bytes).expect("written");
    folder
}

fn pad(sheet: &str, more: &str) -> String {
    format!(
        "kind = \"pad\"\nid = \"pad\"\nname = \"Pad\"\nsheet = \"{sheet}\"\ncopies = 2\n\
         [[design]]\nid = \"stripes\"\nname = \"Deck stripes\"\npicture = \"stripes.png\"\npattern = \"stripe\"\n{more}"
    )
}

fn answer(folder: &Path, cache: &Cache) -> (Room, Answer) {
    let today = Date::from_ymd(2026, 11, 25).expect("a day");
    let room = Room::open(folder, today, cache, &|_, _| {});
    assert!(room.problems.is_empty(), "{:?}", room.problems);
    let mut ask = Ask::new(&room.stash.settings);
    ask.list = 4;
    ask.work = 2_000_000;
    let answer = room.suggest(&ask);
    assert!(!answer.suggestions.is_empty(), "no card: {:?}", answer.almost);
    (room, answer)
}

/// The place of the first card as drawn that shows the paper with the picture.
fn with_stripes(room: &Room, answer: &Answer) -> usize {
    let stripes = room.index.find("pad/stripes").expect("the paper");
    let shows = |card: &&swatchfold::score::Suggestion| card.changes.is_empty() && card.faces.contains(&stripes);
    let found = answer.suggestions.iter().find(shows).expect("a card of it as drawn");
    answer.suggestions.iter().position(|card| card.id == found.id).expect("it is one of them")
}

fn usual() -> TempDir {
    let pad = pad("6 x 6 in", "");
    stash(&[("pad.toml", &pad), ("cardstock.toml", CARDSTOCK), ("words.toml", WORDS), ("layout.toml", LAYOUT)])
}

fn parse(text: &str) -> Document<'_> {
    Document::parse_with_options(text, ParsingOptions { allow_dtd: true, ..ParsingOptions::default() })
        .unwrap_or_else(|why| panic!("{why}\n{}", &text[..text.len().min(2000)]))
}

/// Every name an element is known by.
fn ids<'a>(document: &'a Document<'_>) -> Vec<&'a str> {
    document.descendants().filter_map(|node| node.attribute("id")).collect()
}

/// Every name an attribute refers to.
fn references<'a>(document: &'a Document<'_>) -> Vec<&'a str> {
    let mut found = Vec::new();
    for node in document.descendants() {
        for attribute in node.attributes() {
            let value = attribute.value();
            match attribute.name() {
                "href" if !value.starts_with("data:") && !value.starts_with("http") => {
                    found.push(value.strip_prefix('#').unwrap_or_else(|| panic!("href to {value}")));
                }
                "aria-labelledby" => found.extend(value.split(' ')),
                _ => found.extend(value.strip_prefix("url(#").and_then(|rest| rest.strip_suffix(')'))),
            }
        }
    }
    found
}

/// Whether a drawing holds only what it may, and refers only to what it holds.
fn is_sound(text: &str) {
    let document = parse(text);
    let names = ids(&document);
    let once: BTreeSet<&str> = names.iter().copied().collect();
    assert_eq!(once.len(), names.len(), "an id is given twice: {names:?}");
    for name in references(&document) {
        assert!(once.contains(name), "nothing is called {name}");
    }
    for node in document.descendants().filter(Node::is_element) {
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            assert!(!name.starts_with("on") && name != "style", "{name}={value}");
            if name == "href" && node.tag_name().name() == "image" {
                assert!(value.starts_with("data:image/"), "{value}");
            }
        }
    }
    assert!(!text.contains("<script"));
}

fn svg_elements<'a, 'i>(document: &'a Document<'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    document
        .descendants()
        .filter(|node| node.is_element() && node.ancestors().any(|above| above.tag_name().name() == "svg"))
}

#[test]
fn a_card_is_drawn_at_its_true_size_from_its_papers_at_true_scale() {
    let folder = usual();
    let (room, answer) = answer(folder.path(), &Cache::none());
    let svg = card_svg(&room, &answer, with_stripes(&room, &answer)).expect("a card");
    assert!(svg.starts_with(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"107.95mm\" height=\"139.7mm\" viewBox=\"0 0 107.95 139.7\""
    ));
    is_sound(&svg);
    let document = parse(&svg);
    for node in document.descendants().filter(Node::is_element) {
        assert!(ELEMENTS.contains(&node.tag_name().name()), "{}", node.tag_name().name());
    }
    // The picture shows a whole sheet of 6 x 6 in, so one repeat of it is as large.
    let sheet = document
        .descendants()
        .find(|node| {
            node.tag_name().name() == "pattern" && node.children().any(|image| image.has_tag_name((SVG, "image")))
        })
        .expect("the paper's picture");
    assert_eq!((sheet.attribute("width"), sheet.attribute("height")), (Some("152.4"), Some("152.4")));
    // The background keeps 1/8 in from each edge.
    let background = document.descendants().any(|node| {
        node.has_tag_name((SVG, "rect"))
            && node.attribute("x") == Some("3.175")
            && node.attribute("y") == Some("3.175")
            && node.attribute("width") == Some("101.6")
            && node.attribute("height") == Some("133.35")
            && node.attribute("fill").is_some_and(|fill| fill.starts_with("url(#"))
    });
    assert!(background);
    assert!(document.descendants().any(|node| node.text() == Some("hello")), "the words are lettered");
    assert!(card_svg(&room, &answer, answer.suggestions.len()).is_none());
}

#[test]
fn what_the_picture_shows_is_what_was_entered() {
    let pad = pad("6 x 6 in", "picture-shows = \"75 x 50 mm\"\n");
    let folder =
        stash(&[("pad.toml", &pad), ("cardstock.toml", CARDSTOCK), ("words.toml", WORDS), ("layout.toml", LAYOUT)]);
    let (room, answer) = answer(folder.path(), &Cache::none());
    let svg = card_svg(&room, &answer, with_stripes(&room, &answer)).expect("a card");
    assert!(svg.contains("width=\"75\" height=\"50\"><image width=\"75\" height=\"50\""));
}

#[test]
fn a_piece_that_fits_only_when_turned_shows_its_paper_turned() {
    // 4 x 5 1/4 in from a sheet that is 5 1/2 in wide and 4 in high.
    let pad = pad("5 1/2 x 4 in", "directional = \"no\"\n");
    let folder =
        stash(&[("pad.toml", &pad), ("cardstock.toml", CARDSTOCK), ("words.toml", WORDS), ("layout.toml", LAYOUT)]);
    let (room, answer) = answer(folder.path(), &Cache::none());
    let svg = card_svg(&room, &answer, with_stripes(&room, &answer)).expect("a card");
    // A quarter clockwise about the piece's top right corner: 4 1/8 in from the left, 1/8 in from the top.
    assert!(svg.contains("patternTransform=\"translate(104.775 3.175) rotate(90)\""));
    let page = contact_sheet(&room, &answer, "Turned");
    assert!(page.contains("turned a quarter"));
    assert!(page.contains(
        "The background: the full height of pad/stripes is used; check that its top and bottom edges are clean and square."
    ));
}

#[test]
fn the_same_bytes_on_every_run_with_and_without_a_cache() {
    let folder = usual();
    let draw = |cache: &Cache| {
        let (room, answer) = answer(folder.path(), cache);
        let cards: Vec<String> =
            (0..answer.suggestions.len()).filter_map(|place| card_svg(&room, &answer, place)).collect();
        (cards, contact_sheet(&room, &answer, "Small stash"))
    };
    let first = draw(&Cache::none());
    assert_eq!(first, draw(&Cache::of(folder.path())));
    assert!(folder.path().join(".swatchfold/pictures").is_dir(), "small copies are kept");
    assert_eq!(first, draw(&Cache::of(folder.path())));
}

#[test]
fn many_cards_can_stand_in_one_page() {
    let folder = usual();
    let (room, answer) = answer(folder.path(), &Cache::none());
    assert!(answer.suggestions.len() > 1);
    let cards: String = (0..answer.suggestions.len()).filter_map(|place| card_svg(&room, &answer, place)).collect();
    is_sound(&format!("<body>{cards}</body>"));
}

#[test]
fn the_contact_sheet_fetches_nothing_and_says_so() {
    let folder = usual();
    let (room, answer) = answer(folder.path(), &Cache::none());
    let page = contact_sheet(&room, &answer, "Small stash");
    is_sound(&page);
    assert!(page.contains("default-src 'none'"));
    let without_pictures: Vec<&str> =
        page.split("data:image/").map(|part| part.split_once('"').map_or(part, |(_, rest)| rest)).collect();
    let addresses = without_pictures.concat().replace("http-equiv", "");
    assert!(!addresses.contains("http") && !addresses.contains("file:") && !addresses.contains("//"), "an address");
    let path = folder.path().to_string_lossy().into_owned();
    assert!(!page.contains(&path), "the page tells where the stash lies");
    // Each paper's picture is written once, however many cards it is on.
    assert_eq!(page.matches("data:image/").count(), 1);
    for (place, card) in answer.suggestions.iter().enumerate() {
        assert!(page.contains(&format!("<span class=\"no\">{}</span>", place + 1)));
        assert!(page.contains(&card.id));
    }
    for words in ["US A2 (4 1/4 x 5 1/2 in)", "Deck stripes", "4 x 5 1/4 in", "pad/stripes", "Colours that sit well"] {
        assert!(page.contains(words), "{words}");
    }
    assert!(page.len() < 200_000, "{} bytes", page.len());
}

/// Names a person or a file may bring along, each of which would break a page that does not take care.
const HOSTILE: [&str; 6] = [
    "\"><svg onload='x()'>",
    "</svg></style><script>x()</script>",
    "]]> <!-- & &amp; ${x}",
    "'\"\\u0000 javascript:x()",
    "🎉🧵 שלום \\u202E abc \\u2066 def",
    "url(#x) }body{display:none",
];

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace("\\\\u", "\\u").replace('"', "\\\""))
}

#[test]
fn no_name_breaks_a_drawing_or_a_page() {
    for name in HOSTILE.map(|name| name.replace("\\u0000", "")) {
        let name = quoted(&name);
        let pad = pad("6 x 6 in", "").replace("\"Deck stripes\"", &name);
        let cardstock = CARDSTOCK.replace("\"Cream\"", &name);
        let words = WORDS.replace("words = \"hello\"", &format!("words = {name}"));
        let layout = LAYOUT.replace("\"Window\"", &format!("{name}\ncredit = {name}\nlink = {name}"));
        let folder = stash(&[
            ("pad.toml", pad.as_str()),
            ("cardstock.toml", &cardstock),
            ("words.toml", &words),
            ("layout.toml", &layout),
        ]);
        let (room, answer) = answer(folder.path(), &Cache::none());
        let shown = &room.layouts[0].name;
        for place in 0..answer.suggestions.len() {
            let svg = card_svg(&room, &answer, place).expect("a card");
            is_sound(&svg);
            let document = parse(&svg);
            assert!(
                document.descendants().all(|node| !node.is_element() || ELEMENTS.contains(&node.tag_name().name()))
            );
            let title = document.descendants().find(|node| node.has_tag_name((SVG, "title"))).expect("a title");
            assert!(title.text().is_some_and(|title| title.contains(shown.as_str())), "{title:?} for {shown}");
        }
        let page = contact_sheet(&room, &answer, shown);
        is_sound(&page);
        let document = parse(&page);
        let heading = document.descendants().find(|node| node.has_tag_name("h1")).expect("a heading");
        let heading: String =
            heading.descendants().filter_map(|node| if node.is_text() { node.text() } else { None }).collect();
        assert_eq!(&heading, shown);
        assert!(svg_elements(&document).all(|node| ELEMENTS.contains(&node.tag_name().name())));
        assert!(
            document
                .descendants()
                .all(|node| node.tag_name().name() != "a" || node.attribute("href") == Some("#cards"))
        );
        is_sound(&outline::layout_drawing(&room.layouts[0], room.stash.settings.ruler));
    }
}

#[test]
fn a_link_of_the_web_can_be_followed() {
    let layout = LAYOUT.replace("\"Window\"", "\"Window\"\nlink = \"https://cards.example/a?b=1&c=2\"");
    let pad = pad("6 x 6 in", "");
    let folder = stash(&[("pad.toml", pad.as_str()), ("cardstock.toml", CARDSTOCK), ("layout.toml", layout.as_str())]);
    let (room, answer) = answer(folder.path(), &Cache::none());
    let page = contact_sheet(&room, &answer, "Small stash");
    assert!(page.contains("<a href=\"https://cards.example/a?b=1&amp;c=2\" rel=\"noopener noreferrer\">"));
}

#[test]
fn a_paper_without_a_picture_is_drawn_from_its_colours() {
    let colours = ["\"#f7f1e3 50%\"", "\"#2f4a6b 30%\"", "\"#c4573a 20%\""].join(", ");
    for kind in ["solid", "tonal", "stripe", "dot", "check", "scattered", "big-motif"] {
        let pad = format!(
            "kind = \"pad\"\nid = \"pad\"\nsheet = \"6 x 6 in\"\ncopies = 2\n[[design]]\nname = \"Drawn\"\npattern = \"{kind}\"\n\
             colours = [{colours}]\n"
        );
        let folder = stash(&[("pad.toml", pad.as_str()), ("cardstock.toml", CARDSTOCK), ("layout.toml", LAYOUT)]);
        let (room, answer) = answer(folder.path(), &Cache::none());
        let svg = card_svg(&room, &answer, 0).expect("a card");
        is_sound(&svg);
        assert!(!svg.contains("<image"), "{kind}");
        let drawn = ["#2f4a6b", "#c4573a"].map(|colour| svg.contains(colour));
        assert_eq!(drawn, [kind != "solid"; 2], "{kind}");
    }
}

#[test]
fn a_border_is_widened_in_words_that_name_the_sheet() {
    // 3 1/2 in is 1/2 in too narrow for the front at a border of 1/8 in (common practice, no source).
    let pad = pad("3 1/2 x 6 1/2 in", "");
    let folder = stash(&[("pad.toml", pad.as_str()), ("cardstock.toml", CARDSTOCK), ("layout.toml", LAYOUT)]);
    let (room, answer) = answer(folder.path(), &Cache::none());
    let page = contact_sheet(&room, &answer, "Narrow");
    is_sound(&page);
    assert!(page.contains(", so that the 3 1/2 in wide sheet of Deck stripes reaches."), "no such change");
    assert!(page.contains(
        "The background: the full width of pad/stripes is used; check that its side edges are clean and square."
    ));
    assert!(page.contains("<figcaption>as drawn</figcaption>") && page.contains("<figcaption>as made</figcaption>"));
}

#[test]
fn what_is_lacking_is_drawn_and_told() {
    let layout = LAYOUT.replace("shape = \"banner-right\"", "shape = \"die\"").replace("mats = [\"1/16 in\"]\n", "");
    let pad = pad("6 x 6 in", "");
    let folder = stash(&[("pad.toml", pad.as_str()), ("cardstock.toml", CARDSTOCK), ("layout.toml", layout.as_str())]);
    let room = Room::open(folder.path(), Date::from_ymd(2026, 11, 25).expect("a day"), &Cache::none(), &|_, _| {});
    let answer = room.suggest(&Ask::new(&room.stash.settings));
    assert!(answer.suggestions.is_empty() && answer.almost.len() == 1);
    let page = contact_sheet(&room, &answer, "Almost");
    is_sound(&page);
    assert!(page.contains("<h2 id=\"almost\">Almost</h2>"));
    assert!(page.contains("The banner is die-cut and has room for 3 x 13/16 in"));
    assert!(page.contains("font-weight=\"bold\">banner</text>"));
}

#[test]
fn a_picture_that_is_none_leaves_the_colours() {
    let pad = pad(
        "6 x 6 in",
        "colours = [\"#f7f1e3 60%\", \"#2f4a6b 40%\"]\nbusyness = \"40 %\"\ndirectional = \"quarter-turn\"\n",
    );
    let folder = stash(&[("pad.toml", pad.as_str()), ("cardstock.toml", CARDSTOCK), ("layout.toml", LAYOUT)]);
    std::fs::write(folder.path().join("stripes.png"), b"no picture").expect("written");
    let (room, answer) = answer(folder.path(), &Cache::none());
    let svg = card_svg(&room, &answer, with_stripes(&room, &answer)).expect("a card");
    is_sound(&svg);
    assert!(!svg.contains("<image") && svg.contains("#2f4a6b"));
}

#[test]
fn an_image_stays_see_through_and_keeps_its_size() {
    let layout = format!(
        "{LAYOUT}[[panel]]\nid = \"picture\"\nrole = \"focal\"\non = \"background\"\nleft = \"10 %\"\nright = \"90 %\"\n\
         top = \"5 %\"\nbottom = \"60 %\"\ntakes = \"image\"\n"
    );
    let pad = pad("6 x 6 in", "busyness = 0.2\n");
    let images =
        "kind = \"images\"\n[[image]]\nid = \"leaf\"\nname = \"Leaf\"\nsize = \"40 x 30 mm\"\npicture = \"leaf.png\"\n";
    let folder = stash(&[
        ("pad.toml", pad.as_str()),
        ("cardstock.toml", CARDSTOCK),
        ("images.toml", images),
        ("layout.toml", layout.as_str()),
    ]);
    let leaf: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/drawing/leaf.png");
    std::fs::copy(leaf, folder.path().join("leaf.png")).expect("copied");
    let (room, answer) = answer(folder.path(), &Cache::none());
    let svg = card_svg(&room, &answer, 0).expect("a card");
    is_sound(&svg);
    assert!(svg.contains("width=\"40\" height=\"30\" preserveAspectRatio=\"none\" href=\"data:image/png;base64,"));
    let document = parse(&svg);
    let placed = document.descendants().find(|node| node.has_tag_name((SVG, "use"))).expect("the image is placed");
    // In the middle of its place, which the ruler set to 7/16 in to 3 13/16 in and 1/4 in to 3 5/16 in.
    assert_eq!((placed.attribute("x"), placed.attribute("y")), (Some("33.975"), Some("30.24375")));
}

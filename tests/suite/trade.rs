//! Facts of the trade, end to end: a small stash in, what is suggested of it out. The facts stand in
//! `tests/published/trade`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use swatchfold::layout::Change;
use swatchfold::matching::near::Lack;
use swatchfold::present::pieces::{CardPiece, Fit, Whole, fit, pieces};
use swatchfold::room::{Choices, Room};
use swatchfold::score::Suggestion;
use swatchfold::stash::{ChangeKind, Date};
use swatchfold::swatch::Cache;
use tempfile::TempDir;
use units::Length;

const CARDSTOCK: &str = "kind = \"cardstock\"\nsize = \"12 x 12 in\"\ncount = 9\n\
    [[cardstock]]\nid = \"cream\"\ncolour = \"#f2e6cf\"\n[[cardstock]]\nid = \"navy\"\ncolour = \"#1f2c47\"\n\
    [[cardstock]]\nid = \"sage\"\ncolour = \"#b3c5a2\"\n";

/// The rows of a file of facts, without its header.
fn facts(name: &str) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/trade").join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows: Vec<Vec<String>> = rows.map(|row| row.split(',').map(str::to_owned).collect()).collect();
    assert!(!rows.is_empty(), "{}", path.display());
    rows
}

/// A stash of these files; kept as long as the folder is.
fn stash(files: &[(&str, &str)]) -> (TempDir, PathBuf) {
    let folder = TempDir::new().expect("a folder can be made");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("it can be written");
    }
    let path = folder.path().to_path_buf();
    (folder, path)
}

fn open(folder: &Path) -> Room {
    let today = Date::from_ymd(2026, 6, 1).expect("it is a day");
    let room = Room::open(folder, today, &Cache::none(), &|_, _| ());
    assert!(room.problems.is_empty(), "{:#?}", room.problems);
    room
}

/// What is suggested for so many cards, and the first thing that is lacking.
fn suggest(room: Room, each: u32) -> (Room, Vec<Suggestion>, Option<Lack>) {
    let choices = Choices { copies: Some(each), ..Choices::default() };
    let (room, ask) = room.arranged(&choices).expect("no ids are asked for");
    let answer = room.suggest(&ask);
    assert!(answer.exact);
    let lack = answer.almost.into_iter().next().map(|almost| almost.miss.lack);
    (room, answer.suggestions, lack)
}

fn front(border: &str, edges: &str) -> String {
    let mats: Vec<String> = edges.split_whitespace().map(|edge| format!("\"{edge} in\"")).collect();
    format!(
        "kind = \"layout\"\nname = \"Front\"\ncard = \"4 1/4 x 5 1/2 in\"\n[[panel]]\nid = \"background\"\n\
         role = \"background\"\ninset = \"{border} in\"\nmats = [{}]\ntakes = \"patterned\"\n",
        mats.join(", ")
    )
}

fn sheets(size: &str) -> String {
    format!(
        "kind = \"sheets\"\n[[sheet]]\nid = \"stripe\"\nsize = \"{size} in\"\nmaterial = \"patterned\"\n\
         pattern = \"stripe\"\ndirectional = \"quarter-turn\"\ncolours = [\"#e9dec9 60%\", \"#b04f2c 40%\"]\n"
    )
}

/// The piece of a card that is its background.
fn background(room: &Room, card: &Suggestion) -> CardPiece {
    let is_background = |piece: &CardPiece| card.network.layers[piece.layer].id == "background";
    pieces(&room.index, card).into_iter().find(is_background).expect("every one of these cards has a background")
}

/// Whether a piece takes the whole width of its sheet, and is said to.
fn is_full_width(room: &Room, piece: &CardPiece) -> bool {
    matches!(fit(&room.index, piece, Length::ZERO), Fit::Exact { width: Whole::Yes, .. })
}

#[test]
fn a_front_is_had_from_a_sheet_exactly_where_border_and_edges_let_it_reach() {
    for row in facts("fronts.csv") {
        let [border, edges, sheet, reaches] = row.as_slice() else { panic!("{row:?}") };
        let as_drawn = ("settings.toml", "kind = \"settings\"\nmost-changes = 0\n");
        let (layout, sheets) = (front(border, edges), sheets(sheet));
        let files = [as_drawn, ("cardstock.toml", CARDSTOCK), ("layout.toml", &layout), ("sheets.toml", &sheets)];
        let (_folder, path) = stash(&files);
        let (room, cards, lack) = suggest(open(&path), 1);
        match (reaches.as_str(), cards.first()) {
            ("no", None) => assert!(matches!(lack, Some(Lack::Size { .. })), "{row:?}: {lack:?}"),
            ("exactly", Some(card)) => assert!(is_full_width(&room, &background(&room, card)), "{row:?}"),
            ("with room", Some(card)) => assert!(!is_full_width(&room, &background(&room, card)), "{row:?}"),
            (_, found) => panic!("{row:?}: {} found", if found.is_some() { "a card" } else { "no card" }),
        }
    }
}

#[test]
fn a_narrow_sheet_is_half_an_inch_short_of_a_standard_front() {
    let (layout, sheets) = (front("1/8", ""), sheets("3 1/2 x 6 1/2"));
    let as_drawn = ("settings.toml", "kind = \"settings\"\nmost-changes = 0\n");
    let (_folder, path) =
        stash(&[as_drawn, ("cardstock.toml", CARDSTOCK), ("layout.toml", &layout), ("sheets.toml", &sheets)]);
    let (_, cards, lack) = suggest(open(&path), 1);
    assert!(cards.is_empty());
    let Some(Lack::Size { nearest: Some((nearest, short_by)), .. }) = lack else { panic!("{lack:?}") };
    assert_eq!((nearest.stock.as_str(), short_by), ("stripe", Length::INCH.half()));
}

/// The changes that let the narrow sheet reach, where only these borders and edges are used.
fn changes_for_narrow(layout: &str, edge: &str) -> Vec<Change> {
    let settings = format!(
        "kind = \"settings\"\ncards = [\"4 1/4 x 5 1/2 in\"]\nborders = [\"1/8 in\", \"1/4 in\"]\nreveals = [\"{edge} in\"]\n"
    );
    let (sheets, cardstock) = (sheets("3 1/2 x 6 1/2"), ("cardstock.toml", CARDSTOCK));
    let (_folder, path) =
        stash(&[("settings.toml", &settings), cardstock, ("layout.toml", layout), ("sheets.toml", &sheets)]);
    let mut room = open(&path);
    // Strips would reach, too; here the front is to be of one piece.
    room.stash.settings.never.extend([ChangeKind::Strips, ChangeKind::PlainGround]);
    let (room, cards, _) = suggest(room, 1);
    let card = cards.first().expect("the narrow sheet reaches");
    assert!(is_full_width(&room, &background(&room, card)));
    card.changes.iter().map(|(change, _)| *change).collect()
}

#[test]
fn a_narrow_sheet_reaches_with_a_wider_border_and_one_mat_or_two() {
    let eighths = |count| Length::inches(0, count, 8).expect("eighths are exact");
    let border = Change::Border { from: eighths(1), to: eighths(2) };
    let one_mat = [border, Change::SlipMat { panel: 0, reveal: eighths(1) }];
    assert_eq!(changes_for_narrow(&front("1/8", ""), "1/8"), one_mat);
    // One thin mat is there already; the second brings it to two of 1/16 in.
    let second_mat = [border, Change::SlipMat { panel: 0, reveal: eighths(1).half() }];
    assert_eq!(changes_for_narrow(&front("1/8", "1/16"), "1/16"), second_mat);
}

#[test]
fn a_pad_gives_no_more_cards_of_a_kind_than_copies_of_a_design() {
    for row in facts("pads.csv") {
        let numbers: Vec<u32> = row.iter().map(|cell| cell.parse().expect("a whole number")).collect();
        let [sheets, designs, copies, most] = numbers[..] else { panic!("{row:?}") };
        assert_eq!(designs * copies, sheets, "{row:?}");
        let mut pad = format!("kind = \"pad\"\nid = \"pad\"\nsheet = \"4 x 5 1/4 in\"\ncopies = {copies}\n");
        for design in 0..designs {
            let _ = write!(pad, "[[design]]\ncolours = [\"#e9dec9 60%\", \"#{:02x}4f2c 40%\"]\n", 40 + design * 8);
        }
        let layout = front("1/8", "");
        let as_drawn = ("settings.toml", "kind = \"settings\"\nmost-changes = 0\nlist = 100\n");
        let files = [as_drawn, ("cardstock.toml", CARDSTOCK), ("layout.toml", &layout), ("pad.toml", &pad)];
        let (_folder, path) = stash(&files);
        for (each, cards) in [(most, designs), (most + 1, 0)] {
            let (_, found, lack) = suggest(open(&path), each);
            assert_eq!(found.len(), usize::try_from(cards).expect("a few"), "{row:?}: {each} of each");
            assert!(cards > 0 || lack == Some(Lack::Copies { cards: each }), "{row:?}: {lack:?}");
        }
    }
}

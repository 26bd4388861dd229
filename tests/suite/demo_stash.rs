//! The stash that comes with the program: it can be read without a word, has the breadth it is meant
//! to show, and its own suggestions hold every kind of change.

use api::units::{Length, Size, Unit};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use swatchfold::room::Room;
use swatchfold::score::{Answer, Ask, Suggestion};
use swatchfold::stash::{ChangeKind, Date, LineKind, Shape, Takes};
use swatchfold::swatch::Cache;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data")
}

/// The demo, with what was measured kept where the next run finds it.
fn demo() -> Room {
    let today = Date::from_ymd(2026, 6, 1).expect("it is a day");
    let cache = Cache::of(Path::new(env!("CARGO_TARGET_TMPDIR")));
    let room = Room::open(&folder(), today, &cache, &|_, _| ());
    assert!(room.problems.is_empty(), "{:#?}", room.problems);
    assert!(room.not_seated.is_empty() && !room.built_in_layouts);
    room
}

fn sheet_of(room: &Room, pad: &str) -> Vec<(Size, u32)> {
    let of_pad = |line: &&swatchfold::stash::Line| {
        let paper = &room.stash.papers[line.front.0 as usize];
        line.kind == LineKind::Sheet && paper.pad.as_deref() == Some(pad)
    };
    room.stash.lines.iter().filter(of_pad).map(|line| (line.size(), line.count)).collect()
}

fn inches(text: &str) -> Size {
    Size::parse(text, Unit::Inch).expect(text)
}

#[test]
fn it_has_a_narrow_pad_a_square_pad_and_a_metric_pad() {
    let room = demo();
    let narrow = sheet_of(&room, "lamplit-quay");
    assert_eq!(narrow, vec![(inches("3 1/2 x 6 1/2 in"), 2); 12], "narrower than the standard card's 4 1/4 in");
    let square = sheet_of(&room, "seedling-bench");
    assert!(square.len() == 12 && square.iter().all(|(size, _)| *size == inches("6 x 6 in")));
    let metric = sheet_of(&room, "slack-water");
    assert!(metric.len() == 8 && metric.iter().all(|(size, _)| *size == inches("148 x 210 mm")));
    let two_sided = room.stash.lines.iter().filter(|line| line.back.is_some()).count();
    assert!(two_sided >= 12, "{two_sided}");
}

#[test]
fn it_has_enough_of_everything() {
    let stash = demo().stash;
    let cardstocks = stash.lines.iter().filter(|line| {
        let paper = &stash.papers[line.front.0 as usize];
        line.kind == LineKind::Sheet && paper.material != api::Material::Patterned
    });
    assert!(cardstocks.count() >= 24);
    let scraps: Vec<_> = stash.lines.iter().filter(|line| line.kind == LineKind::Scrap).collect();
    let days: BTreeSet<_> = scraps.iter().filter_map(|scrap| scrap.added).collect();
    assert!(scraps.len() >= 40 && days.len() >= 12, "{} scraps of {} days", scraps.len(), days.len());
    assert!(stash.dies.len() >= 12 && stash.sentiments.len() >= 12);
    assert!(stash.images.iter().filter(|image| !image.parts.is_empty()).count() >= 2);
    let materials: BTreeSet<String> = stash.papers.iter().map(|paper| format!("{:?}", paper.material)).collect();
    assert_eq!(materials.len(), 5, "{materials:?}");
    // Every scrap can lie on the sheet it was left from.
    let whole = |scrap: &swatchfold::stash::Line| {
        let sheets = stash.lines.iter().filter(|line| line.kind == LineKind::Sheet && line.front == scrap.front);
        sheets.map(|line| line.size()).any(|sheet| scrap.size().fits_in(sheet, api::units::Turn::AsPrinted))
    };
    let too_large: Vec<&str> =
        scraps.iter().filter(|scrap| !whole(scrap) && !whole(&turned(scrap))).map(|scrap| scrap.id.as_str()).collect();
    assert!(too_large.is_empty(), "{too_large:?}");
}

/// A scrap of plain stock may have been cut either way round.
fn turned(scrap: &swatchfold::stash::Line) -> swatchfold::stash::Line {
    swatchfold::stash::Line { width: scrap.height, height: scrap.width, ..scrap.clone() }
}

#[test]
fn its_layouts_show_what_layouts_can_be() {
    let room = demo();
    let layouts = &room.stash.layouts;
    assert!(layouts.len() >= 24 && layouts.iter().all(|layout| layout.credit.is_some()));
    let panels = || layouts.iter().flat_map(|layout| &layout.panels);
    let wide = layouts.iter().filter(|layout| layout.card.width > layout.card.height).count();
    let square = layouts.iter().filter(|layout| layout.card.width == layout.card.height).count();
    assert!(wide >= 4 && square >= 2, "{wide} lie, {square} are square");
    for shape in [Shape::Ellipse, Shape::BannerRight, Shape::BannerDown, Shape::Die] {
        assert!(panels().any(|panel| panel.shape == shape), "{shape:?}");
    }
    for mats in 0..=2 {
        assert!(panels().any(|panel| panel.mats.len() == mats), "{mats} mats");
    }
    assert!(panels().any(|panel| panel.raised) && panels().any(|panel| panel.takes == Takes::Image));
    assert!(panels().any(|panel| panel.same_as.is_some()) && panels().any(|panel| !panel.differs_from.is_empty()));
    let overruns = room.layouts.iter().filter(|layout| layout.within.len() < layout.panels.len()).count();
    assert!(overruns >= 1, "one panel at least is trimmed flush");
}

fn kinds(card: &Suggestion) -> impl Iterator<Item = ChangeKind> + '_ {
    card.changes.iter().map(|(change, _)| change.kind())
}

/// The demo and its list as its own settings have it, with work enough to prove it; found once.
fn proven() -> &'static (Room, Answer) {
    static PROVEN: OnceLock<(Room, Answer)> = OnceLock::new();
    PROVEN.get_or_init(|| {
        let room = demo();
        let answer = room.suggest(&Ask { work: 2_000_000_000, ..Ask::new(&room.stash.settings) });
        assert!(answer.exact && answer.suggestions.len() == room.stash.settings.list as usize);
        (room, answer)
    })
}

#[test]
fn every_kind_of_change_occurs_in_its_list() {
    let (_, list) = proven();
    let made: BTreeSet<ChangeKind> = list.suggestions.iter().flat_map(kinds).collect();
    // Hidden joins are made only where the paper does not reach; the demo's best cards need none.
    let hidden = [ChangeKind::LeaveOut, ChangeKind::EndsOnly, ChangeKind::Join];
    let shows = ChangeKind::ALL.iter().filter(|kind| !hidden.contains(kind));
    let lacking: Vec<&str> = shows.filter(|kind| !made.contains(kind)).map(|kind| kind.key()).collect();
    assert!(lacking.is_empty(), "{lacking:?}");
}

#[test]
fn no_piece_of_its_list_is_a_sliver_and_every_word_has_room() {
    let (room, list) = proven();
    let sixteenth = Length::INCH.half().half().half().half();
    for card in &list.suggestions {
        for layer in &card.network.layers {
            let narrow = layer.rect.width().min(layer.rect.height());
            assert!(narrow >= sixteenth * 4, "{}: {} is {}", card.id, layer.id, narrow.exact(Unit::Inch));
            if layer.holds_sentiment {
                let fit = swatchfold::matching::sentiments_for(layer, &[], &room.stash.sentiments);
                assert!(!fit.is_empty(), "{}: no words fit on {}", card.id, layer.id);
            }
        }
    }
}

//! What a changed layout keeps: panels that match still match, words are still read across, and
//! nothing comes to lie over what it was clear of. Layouts as text in; what may be made of them out.

use api::units::{Length, Size, Unit};
use swatchfold::layout::{Change, Drawn, Layout, check};
use swatchfold::matching::{Unmakeable, network};
use swatchfold::problem::Source;
use swatchfold::stash::Settings;

fn layout(card: &str, panels: &str) -> Layout {
    let text = format!("kind = \"layout\"\nid = \"it\"\ncard = \"{card}\"\n{panels}");
    let reading = swatchfold::stash::file::read_sources(vec![Source::new("it.toml", text)]);
    assert!(reading.problems.is_empty(), "{:#?}", reading.problems);
    check(&reading.stash.layouts[0], &Settings::default()).expect("it holds together")
}

fn size(text: &str) -> Size {
    Size::parse(text, Unit::Inch).expect(text)
}

fn changed(layout: &Layout, changes: &[Change]) -> Drawn {
    Drawn::changed(layout, changes, Settings::default().ruler)
}

fn to_card(layout: &Layout, card: &str) -> Change {
    Change::CardSize { from: layout.card, to: size(card) }
}

/// ```text
///  8 1/2 x 3 1/2 in                 3 1/2 x 8 1/2 in, turned a quarter clockwise
///  +---------------------------+    +--------+
///  |               +---------+ |    |        |
///  |               | 3 x 3/4 | |    |+------+|
///  |               +---------+ |    ||      || 3 x 3/4, read across
///  +---------------------------+    +--------+
/// ```
#[test]
fn words_are_read_across_on_a_turned_card() {
    let words = |width: &str| {
        let words =
            format!("role = \"sentiment\"\nright = \"100% - 1/2 in\"\nwidth = \"{width}\"\nheight = \"3/4 in\"\n");
        layout("8 1/2 x 3 1/2 in", &format!("[[panel]]\n{words}"))
    };
    let turned = changed(&words("3 in"), &[Change::Turn]);
    let place = turned.panels[0].footprint;
    assert_eq!(place.size(), size("3 x 3/4 in"));
    assert!(swatchfold::layout::Rect::whole(turned.card).holds(&place), "{place:?}");
    assert!(network(&turned, &[]).is_ok());
    // Words longer than the turned card is wide have no place on it.
    let too_long = changed(&words("4 in"), &[Change::Turn]);
    assert!(matches!(network(&too_long, &[]), Err(Unmakeable::NothingLeft { .. })));
}

/// ```text
///  7 in high: 1 + 2 1/2 + 1/4 + 2 1/2     5 1/2 in high: the lower square would
///  would fit                              lie 1/2 in over the upper one
/// ```
#[test]
fn a_smaller_card_is_refused_where_panels_would_lie_over_one_another() {
    let square =
        |edge: &str| format!("[[panel]]\nrole = \"feature\"\nwidth = \"2 in\"\n{edge}\nheight = \"2 1/2 in\"\n");
    let two = layout("5 x 7 in", &[square("top = \"1/2 in\""), square("bottom = \"100% - 1/2 in\"")].concat());
    assert!(network(&changed(&two, &[]), &[]).is_ok());
    let over = changed(&two, &[to_card(&two, "4 1/4 x 5 1/2 in")]);
    assert_eq!(network(&over, &[]), Err(Unmakeable::NothingLeft { panel: "feature-2".to_owned() }));
}

#[test]
fn a_smaller_card_is_refused_where_a_panel_would_run_off_it() {
    let low = layout(
        "5 x 7 in",
        "[[panel]]\nrole = \"feature\"\nwidth = \"2 in\"\ntop = \"3 1/2 in\"\nheight = \"2 1/2 in\"\n",
    );
    let off = changed(&low, &[to_card(&low, "4 1/4 x 5 1/2 in")]);
    assert_eq!(network(&off, &[]), Err(Unmakeable::NothingLeft { panel: "feature".to_owned() }));
    // One that is meant to run off the edge may go on doing so.
    let moon = layout(
        "5 x 7 in",
        "[[panel]]\nrole = \"feature\"\nshape = \"circle\"\nleft = \"3 in\"\nwidth = \"3 in\"\ntop = \"1 in\"\nheight = \"3 in\"\n",
    );
    assert!(network(&changed(&moon, &[to_card(&moon, "4 1/4 x 5 1/2 in")]), &[]).is_ok());
}

#[test]
fn panels_that_match_have_mats_that_match() {
    let pot = |id: &str, edge: &str, more: &str| {
        format!(
            "[[panel]]\nid = \"{id}\"\nrole = \"feature\"\n{edge}\nwidth = \"1 in\"\nheight = \"2 in\"\n\
             mats = [\"1/16 in\"]\ntakes = \"patterned\"\n{more}\n"
        )
    };
    let pots = |more: &str| {
        let (left, right) = (pot("left", "left = \"1/2 in\"", ""), pot("right", "right = \"100% - 1/2 in\"", more));
        layout("5 1/2 x 4 1/4 in", &[left, right].concat())
    };
    let matching = network(&changed(&pots("same-as = \"left\""), &[]), &[]).expect("both can be made");
    let ids: Vec<&str> = matching.slots.iter().map(|slot| slot.id.as_str()).collect();
    assert_eq!(ids, ["base", "left", "left mat"], "one paper and one mat for both");
    assert!(matching.slots[1..].iter().all(|slot| slot.needs.len() == 2));
    let others = network(&changed(&pots("differs-from = \"left\""), &[]), &[]).expect("both can be made");
    assert_eq!(others.slots.len(), 5);
    // A wider edge on one is a wider edge on both.
    let (from, to) = (Length::INCH.half().half().half().half(), Length::INCH.half().half());
    let wider = Change::Reveal { panel: 0, mat: 0, from, to };
    let wider = changed(&pots("same-as = \"left\""), &[wider]);
    assert!(wider.panels.iter().all(|panel| panel.mats == [to]));
}

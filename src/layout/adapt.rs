//! Which single changes a maker could make to a layout next.
//!
//! A layout, the changes made so far and the lengths on hand in; each possible next change out, in
//! the order of their keys. Every length comes from a finite list: the borders and reveals in the
//! settings, the sides of the papers on hand as a ruler shows them, the images' own sizes.

use super::drawn::QUIET_EDGE;
use super::{Axis, Change, Drawn, DrawnPanel, Layout, joins};
use crate::stash::settings::ChangeKind;
use crate::stash::{Settings, Shape, Takes};
use api::units::{Length, Size};
use api::{Material, Role};

/// The fewest and most strips a panel is divided into: common practice, no source.
const STRIPS: std::ops::RangeInclusive<u32> = 2..=3;
/// The narrowest strip worth cutting, 1/2 in; common practice, no source.
const NARROWEST_STRIP: Length = Length::from_nanometres(12_700_000);
/// How many of the nearest sides on hand a panel may be cut to.
const SIDES: usize = 2;
/// How many of the next wider reveals a mat may show.
const WIDER: usize = 2;
/// How many of the narrowest reveals a mat that is slipped in may show.
const SLIPPED: usize = 2;
/// How many of the nearest images a panel may grow to.
const IMAGES: usize = 3;

/// The lengths on hand that a layout may be bent to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OnHand {
    /// The sides of patterned papers, set down to the ruler, longest first, each once.
    pub sides: Vec<Length>,
    /// The sizes of images, largest area first, each once.
    pub images: Vec<Size>,
}

/// The changes that may follow `made`: each with a key greater than the last one made, so that a
/// set of changes is reached in one way only, and of no kind that she never makes.
#[must_use]
pub fn next_changes(layout: &Layout, made: &[Change], settings: &Settings, on_hand: &OnHand) -> Vec<Change> {
    let drawn = Drawn::changed(layout, made, settings.ruler);
    let mut found = Vec::new();
    for card in &settings.cards {
        if *card != layout.card && *card != layout.card.turned() {
            let upright = card.upright();
            let to = if layout.card == layout.card.upright() { upright } else { upright.turned() };
            found.push(Change::CardSize { from: layout.card, to });
        }
    }
    found.push(Change::Turn);
    // Only where an image looks is there a left and a right: nothing else can tell a mirrored card.
    if drawn.panels.iter().any(|panel| panel.takes == Takes::Image) {
        found.push(Change::Mirror);
    }
    borders(&drawn, settings, &mut found);
    for (place, panel) in drawn.panels.iter().enumerate().take(layout.panels.len()) {
        // What is done to one is done to all like it, and so is said of the first.
        if layout.panels[place].alike.first().is_some_and(|first| *first != place) {
            continue;
        }
        of_panel(&drawn, place, panel, settings, on_hand, &mut found);
    }
    for place in 0..layout.panels.len() {
        hidden_joins(&drawn, place, settings, on_hand, &mut found);
    }
    let last = made.last().map(Change::key);
    found.retain(|change| last.is_none_or(|last| change.key() > last) && !settings.never.contains(&change.kind()));
    found.sort_by_key(|change| (change.key(), *change));
    found.dedup();
    found
}

fn borders(drawn: &Drawn, settings: &Settings, found: &mut Vec<Change>) {
    let Some(from) = drawn.border() else { return };
    let narrow = drawn.card.width.min(drawn.card.height);
    for to in &settings.borders {
        if *to > from && *to * 4 < narrow {
            found.push(Change::Border { from, to: *to });
        }
    }
}

fn of_panel(
    drawn: &Drawn,
    place: usize,
    panel: &DrawnPanel,
    settings: &Settings,
    on_hand: &OnHand,
    found: &mut Vec<Change>,
) {
    let Takes::Stock(materials) = &panel.takes else {
        to_images(place, panel, drawn, on_hand, found);
        let on_pattern = panel.on.iter().any(|below| may_be_patterned(&drawn.panels[*below].takes));
        if on_pattern {
            found.push(Change::QuietShape { panel: place, edge: QUIET_EDGE });
        }
        return;
    };
    if panel.shape == Shape::Die {
        return;
    }
    if panel.role == Role::Background && materials.contains(&Material::Patterned) {
        found.push(Change::PlainGround { panel: place });
    }
    for (mat, from) in panel.mats.iter().enumerate() {
        // A wider edge takes from the panel, which is what a small paper needs.
        for to in settings.reveals.iter().filter(|to| *to > from).take(WIDER) {
            found.push(Change::Reveal { panel: place, mat, from: *from, to: *to });
        }
    }
    if panel.role != Role::Sentiment && panel.mats.len() < 2 {
        for reveal in settings.reveals.iter().take(SLIPPED) {
            found.push(Change::SlipMat { panel: place, reveal: *reveal });
        }
    }
    let is_round = panel.shape == Shape::Ellipse;
    if may_be_patterned(&panel.takes) && matches!(panel.role, Role::Band | Role::Feature) && !is_round {
        to_sides(place, panel, settings, on_hand, found);
    }
    let is_pieced = matches!(panel.role, Role::Background | Role::Band | Role::Feature);
    if may_be_patterned(&panel.takes) && is_pieced && panel.shape == Shape::Rectangle {
        strips(place, panel, settings, found);
    }
}

/// Whether a panel may be of patterned paper.
fn may_be_patterned(takes: &Takes) -> bool {
    matches!(takes, Takes::Stock(materials) if materials.contains(&Material::Patterned))
}

/// Cuts a panel's side to the longest sides on hand that are shorter, down to two thirds of it.
fn to_sides(place: usize, panel: &DrawnPanel, settings: &Settings, on_hand: &OnHand, found: &mut Vec<Change>) {
    for axis in [Axis::Width, Axis::Height] {
        let from = axis.of(panel.cut().size());
        let shorter = on_hand.sides.partition_point(|side| *side >= from);
        for to in on_hand.sides[shorter..].iter().take(SIDES) {
            let mats = panel.mats.iter().copied().sum::<Length>();
            if *to * 3 >= from * 2 && *to > mats.max(settings.ruler) {
                found.push(Change::ResizeToPaper { panel: place, axis, from, to: *to });
            }
        }
    }
}

fn to_images(place: usize, panel: &DrawnPanel, drawn: &Drawn, on_hand: &OnHand, found: &mut Vec<Change>) {
    let from = panel.footprint.size();
    let border = drawn.border().unwrap_or(Length::ZERO).max(Length::ZERO);
    let most = Size { width: drawn.card.width - border * 2, height: drawn.card.height - border * 2 };
    let larger = |image: &&Size| {
        (image.width > from.width || image.height > from.height)
            && image.width <= most.width
            && image.height <= most.height
    };
    for to in on_hand.images.iter().rev().filter(larger).take(IMAGES) {
        found.push(Change::ResizeToImage { panel: place, from, to: *to });
    }
}

fn strips(place: usize, panel: &DrawnPanel, settings: &Settings, found: &mut Vec<Change>) {
    for gap in settings.reveals.iter().copied().filter(|gap| gap.is_positive()).take(1) {
        for axis in [Axis::Width, Axis::Height] {
            let side = axis.of(panel.cut().size());
            for count in STRIPS {
                let left = side - gap * (i64::from(count) - 1);
                if left >= NARROWEST_STRIP * i64::from(count) {
                    found.push(Change::Strips { panel: place, axis, count, gap });
                }
            }
        }
    }
}

/// What hides in one panel may show in another like it, so each is looked at for itself.
fn hidden_joins(drawn: &Drawn, place: usize, settings: &Settings, on_hand: &OnHand, found: &mut Vec<Change>) {
    let panel = &drawn.panels[place];
    if !joins::may_join(panel) || joins::covers(drawn, place).is_empty() {
        return;
    }
    if joins::is_hidden(drawn, place) {
        if joins::may_leave_out(drawn, place) {
            found.push(Change::LeaveOut { panel: place });
        }
        return;
    }
    let (margin, ruler) = (settings.glue_margin, settings.ruler);
    for axis in [Axis::Width, Axis::Height] {
        if joins::ends(drawn, place, axis, margin, ruler).is_some() {
            found.push(Change::EndsOnly { panel: place, axis, margin });
        } else if panel.shape == Shape::Rectangle {
            let seams = joins::seams(drawn, place, axis, margin, ruler, &on_hand.sides);
            found.extend(seams.into_iter().map(|at| Change::Join { panel: place, axis, at, margin }));
        }
    }
}

/// What a set of changes costs, in millionths of a score.
#[must_use]
pub fn cost(changes: &[Change], settings: &Settings) -> u64 {
    changes.iter().map(|change| cost_of(change.kind(), settings)).sum()
}

/// What one kind of change costs, in millionths of a score.
#[must_use]
pub fn cost_of(kind: ChangeKind, settings: &Settings) -> u64 {
    settings.costs.get(&kind).map_or(0, |cost| u64::from(cost.millionths()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::check;
    use crate::problem::Source;

    /// Two pots of one paper on either side of one that is wider, all 2 in high.
    ///
    /// ```text
    ///  1 in   1 1/2 in  1 in
    ///  left    middle   right
    /// ```
    const POTS: &str = r#"
        kind = "layout"
        card = "5 1/2 x 4 1/4 in"
        [[panel]]
        id = "left"
        role = "feature"
        left = "1/2 in"
        width = "1 in"
        height = "2 in"
        takes = "patterned"
        [[panel]]
        id = "middle"
        role = "feature"
        width = "1 1/2 in"
        height = "2 in"
        takes = "patterned"
        same-as = "left"
        [[panel]]
        id = "right"
        role = "feature"
        right = "5 in"
        width = "1 in"
        height = "2 in"
        takes = "patterned"
        same-as = "middle"
    "#;

    fn pots() -> (Layout, Settings) {
        let stash = crate::stash::file::read_sources(vec![Source::new("pots.toml", POTS)]).stash;
        let settings = Settings::default();
        let layout = check(&stash.layouts[0], &settings).expect("the pots stand");
        (layout, settings)
    }

    #[test]
    fn what_is_done_to_a_panel_is_done_to_those_like_it() {
        let (layout, settings) = pots();
        let reveal = Length::INCH.half();
        let drawn = Drawn::changed(&layout, &[Change::SlipMat { panel: 0, reveal }], settings.ruler);
        let mats: Vec<usize> = drawn.panels.iter().map(|panel| panel.mats.len()).collect();
        assert_eq!(mats, [1, 0, 1]);
        let strips = Change::Strips { panel: 0, axis: Axis::Height, count: 2, gap: settings.ruler };
        let drawn = Drawn::changed(&layout, &[strips], settings.ruler);
        let strips: Vec<usize> = drawn.panels.iter().map(|panel| panel.strips.len()).collect();
        assert_eq!(strips, [2, 0, 2]);
    }

    #[test]
    fn a_change_is_found_once_for_panels_that_are_alike() {
        let (layout, settings) = pots();
        let on_hand = OnHand { sides: vec![Length::INCH], images: Vec::new() };
        let panels: std::collections::BTreeSet<usize> =
            next_changes(&layout, &[], &settings, &on_hand).iter().filter_map(Change::panel).collect();
        assert_eq!(panels, std::collections::BTreeSet::from([0, 1]));
    }

    #[test]
    fn what_is_never_done_is_not_found() {
        let (layout, mut settings) = pots();
        let kinds = |settings: &Settings| {
            let found = next_changes(&layout, &[], settings, &OnHand::default());
            found.iter().map(Change::kind).collect::<std::collections::BTreeSet<ChangeKind>>()
        };
        assert!(kinds(&settings).contains(&ChangeKind::Strips));
        settings.never.insert(ChangeKind::Strips);
        assert!(!kinds(&settings).contains(&ChangeKind::Strips));
    }
}

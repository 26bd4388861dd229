//! A layout on a card of a given size, with changes made to it: every panel at its exact place.
//!
//! A checked layout, a card size and changes in; rectangles out, bottom first. Shares of the card
//! are set on the ruler; fixed lengths are kept exactly, so a 1/8 in edge is 1/8 in on every card.

use super::{Axis, Change, Layout, Rect, joins};
use crate::stash::{Edge, Shape, Takes};
use api::units::{Length, Size};
use api::{Material, Role};

/// Hundred-thousandths: what a share of the card is counted in.
const WHOLE: i64 = 100_000;

/// How far the quiet shape may be seen round an image: 1/8 in, common
/// practice, no source.
pub(super) const QUIET_EDGE: Length = Length::from_nanometres(3_175_000);

/// A panel in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnPanel {
    /// Its id within the layout; a panel that a change added has an id of its own.
    pub id: String,
    /// The panel of the layout it comes from.
    pub source: usize,
    /// What it is for.
    pub role: Role,
    /// The panel and its mats, before anything is trimmed flush.
    pub footprint: Rect,
    /// The reveals of the mats behind it, nearest first.
    pub mats: Vec<Length>,
    /// Its outline.
    pub shape: Shape,
    /// What it may be made of.
    pub takes: Takes,
    /// What it lies on, as places in [`Drawn::panels`]; empty is the card base.
    pub on: Vec<usize>,
    /// The panel whose paper it must be, too.
    pub same_as: Option<usize>,
    /// Panels whose paper it must not be.
    pub differs_from: Vec<usize>,
    /// The first of the panels it matches, mats and all; `None` where that is itself.
    pub matches: Option<usize>,
    /// Whether it is raised on foam.
    pub raised: bool,
    /// Whether it carries words.
    pub holds_sentiment: bool,
    /// The pieces it is built from, where that is not one of its whole size: strips with gaps, or pieces
    /// whose seams are hidden.
    pub strips: Vec<Rect>,
    /// Whether it is left out, since nothing of it shows.
    pub left_out: bool,
}

impl DrawnPanel {
    /// The panel itself, without its mats, before anything is trimmed flush.
    #[must_use]
    pub fn cut(&self) -> Rect {
        self.footprint.inset(self.mats.iter().copied().sum())
    }

    /// Cuts one side of the panel to `to`, round the same middle.
    fn resize(&mut self, axis: Axis, to: Length) {
        let size = self.footprint.size();
        let mats = self.mats.iter().copied().sum::<Length>() * 2;
        let size = match axis {
            Axis::Width => Size { width: to + mats, ..size },
            Axis::Height => Size { height: to + mats, ..size },
        };
        self.footprint = self.footprint.centred(size);
    }

    /// The rectangle of mat number `mat`, nearest the panel first.
    #[must_use]
    pub fn mat(&self, mat: usize) -> Rect {
        self.footprint.inset(self.mats.iter().skip(mat + 1).copied().sum())
    }
}

/// A layout on a card, every panel in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawn {
    /// The card's front.
    pub card: Size,
    /// Its panels: those of the layout in their places, then those a change added.
    pub panels: Vec<DrawnPanel>,
    /// The places of the panels, bottom first.
    pub order: Vec<usize>,
    /// Pairs of panels that lie clear of one another in the layout as drawn, and must on any card.
    pub clear: Vec<(usize, usize)>,
    /// Panels that overrun nothing in the layout as drawn, and must not on any card.
    pub within: Vec<usize>,
}

impl Drawn {
    /// The layout on a card of size `card`, otherwise as drawn.
    #[must_use]
    pub fn as_drawn(layout: &Layout, card: Size, ruler: Length) -> Self {
        let panels: Vec<DrawnPanel> = layout
            .panels
            .iter()
            .enumerate()
            .map(|(source, panel)| {
                let [left, top, right, bottom] = panel.edges;
                let footprint = Rect {
                    left: settle(left, card.width, ruler),
                    top: settle(top, card.height, ruler),
                    right: settle(right, card.width, ruler),
                    bottom: settle(bottom, card.height, ruler),
                };
                DrawnPanel {
                    id: panel.id.clone(),
                    source,
                    role: panel.role,
                    footprint,
                    mats: panel.mats.clone(),
                    shape: panel.shape,
                    takes: panel.takes.clone(),
                    on: panel.on.clone(),
                    same_as: panel.same_as,
                    differs_from: panel.differs_from.clone(),
                    matches: panel.alike.first().copied().filter(|first| *first != source),
                    raised: panel.raised,
                    holds_sentiment: panel.holds_sentiment,
                    strips: Vec::new(),
                    left_out: false,
                }
            })
            .collect();
        let order = (0..panels.len()).collect();
        Self { card, panels, order, clear: layout.clear.clone(), within: layout.within.clone() }
    }

    /// The layout with `changes` made to it, in the order of their keys.
    #[must_use]
    pub fn changed(layout: &Layout, changes: &[Change], ruler: Length) -> Self {
        let card = changes
            .iter()
            .find_map(|change| match change {
                Change::CardSize { to, .. } => Some(*to),
                _ => None,
            })
            .unwrap_or(layout.card);
        let mut drawn = Self::as_drawn(layout, card, ruler);
        for change in changes {
            let alike = change.panel().map_or(&[][..], |panel| &layout.panels[panel].alike);
            drawn.make(change, alike, ruler);
        }
        drawn
    }

    /// The border: the least that any panel keeps from an edge of the card.
    #[must_use]
    pub fn border(&self) -> Option<Length> {
        self.panels.iter().flat_map(|panel| self.insets(&panel.footprint)).filter(|inset| *inset >= Length::ZERO).min()
    }

    fn insets(&self, rect: &Rect) -> [Length; 4] {
        [rect.left, rect.top, self.card.width - rect.right, self.card.height - rect.bottom]
    }

    /// What a panel may cover once it is trimmed flush: the smallest rectangle round what it lies
    /// on, or the card.
    #[must_use]
    pub fn flush(&self, panel: &DrawnPanel) -> Rect {
        let mut support = Rect::whole(self.card);
        if let Some((first, rest)) = panel.on.split_first() {
            let around = rest
                .iter()
                .fold(self.panels[*first].footprint, |around, below| around.around(&self.panels[*below].footprint));
            support = support.shared(&around);
        }
        support
    }

    fn make(&mut self, change: &Change, alike: &[usize], ruler: Length) {
        match *change {
            Change::CardSize { .. } => {}
            Change::Turn => self.turn(),
            Change::Mirror => self.mirror(),
            Change::Border { from, to } => self.widen_border(from, to),
            Change::PlainGround { .. } => {
                for panel in alike {
                    self.at(*panel).takes = Takes::Stock(vec![Material::Cardstock, Material::Kraft]);
                }
            }
            Change::Reveal { mat, to, .. } => {
                for panel in alike {
                    if let Some(reveal) = self.at(*panel).mats.get_mut(mat) {
                        *reveal = to;
                    }
                }
            }
            Change::SlipMat { reveal, .. } => alike.iter().for_each(|panel| self.at(*panel).mats.push(reveal)),
            Change::ResizeToPaper { axis, to, .. } => alike.iter().for_each(|panel| self.at(*panel).resize(axis, to)),
            Change::ResizeToImage { panel, to, .. } => self.grow_to_image(panel, to),
            Change::QuietShape { panel, edge } => self.slip_quiet_shape(panel, edge),
            Change::Strips { axis, count, gap, .. } => {
                alike.iter().for_each(|panel| self.divide(*panel, axis, count, gap, ruler));
            }
            // What hides in one may show in another, so these are made to one alone.
            Change::LeaveOut { panel } => self.leave_out(panel),
            Change::EndsOnly { panel, axis, margin } => {
                let pieces = joins::ends(self, panel, axis, margin, ruler);
                self.at(panel).strips = pieces.unwrap_or_default();
            }
            Change::Join { panel, axis, at, margin } => {
                let pieces = joins::joined(self, panel, axis, at, margin, ruler);
                self.at(panel).strips = pieces.unwrap_or_default();
            }
        }
    }

    fn at(&mut self, panel: usize) -> &mut DrawnPanel {
        &mut self.panels[panel]
    }

    /// Whether two panels share nothing of the card.
    #[must_use]
    pub fn is_clear(&self, one: usize, other: usize) -> bool {
        self.panels[one].footprint.shared(&self.panels[other].footprint).is_empty()
    }

    /// Whether a panel overruns neither the card nor what it lies on.
    #[must_use]
    pub fn is_within(&self, place: usize) -> bool {
        let panel = &self.panels[place];
        self.flush(panel).holds(&panel.footprint)
    }

    /// The first panel that changes have moved over one it was clear of, or beyond what it lies on.
    #[must_use]
    pub fn out_of_place(&self) -> Option<&DrawnPanel> {
        let over = self.clear.iter().find(|(lower, upper)| !self.is_clear(*lower, *upper)).map(|(_, upper)| *upper);
        let place = over.or_else(|| self.within.iter().copied().find(|place| !self.is_within(*place)))?;
        Some(&self.panels[place])
    }

    fn turn(&mut self) {
        let height = self.card.height;
        let old: Vec<Size> = self.panels.iter().map(|panel| panel.footprint.size()).collect();
        for panel in &mut self.panels {
            panel.footprint = panel.footprint.turned_on(height);
        }
        self.card = self.card.turned();
        for (place, size) in old.into_iter().enumerate() {
            let panel = &self.panels[place];
            if panel.holds_sentiment && size.width > size.height {
                // Words are read across. Where there is no room for them, nothing is left of the panel.
                let upright = panel.footprint.centred(size).moved_into(&self.flush(panel));
                self.panels[place].footprint =
                    upright.unwrap_or(Rect { right: panel.footprint.left, ..panel.footprint });
                continue;
            }
            let panel = &mut self.panels[place];
            panel.shape = match panel.shape {
                Shape::BannerRight => Shape::BannerDown,
                Shape::BannerDown => Shape::BannerLeft,
                Shape::BannerLeft => Shape::BannerUp,
                Shape::BannerUp => Shape::BannerRight,
                other => other,
            };
        }
    }

    fn mirror(&mut self) {
        let width = self.card.width;
        for panel in &mut self.panels {
            panel.footprint = panel.footprint.mirrored_on(width);
            panel.shape = match panel.shape {
                Shape::BannerRight => Shape::BannerLeft,
                Shape::BannerLeft => Shape::BannerRight,
                other => other,
            };
        }
    }

    /// Edges at the old border, or between it and the new one, move to the new one.
    fn widen_border(&mut self, from: Length, to: Length) {
        let card = self.card;
        let moves = |inset: Length| inset == from || (inset > from && inset < to);
        for panel in &mut self.panels {
            let rect = &mut panel.footprint;
            if moves(rect.left) {
                rect.left = to;
            }
            if moves(rect.top) {
                rect.top = to;
            }
            if moves(card.width - rect.right) {
                rect.right = card.width - to;
            }
            if moves(card.height - rect.bottom) {
                rect.bottom = card.height - to;
            }
        }
    }

    /// The image's place grows round its middle, and each feature panel it lies on keeps its edge round it.
    fn grow_to_image(&mut self, panel: usize, to: Size) {
        let old = self.panels[panel].footprint;
        let size = Size { width: to.width.max(old.width()), height: to.height.max(old.height()) };
        let new = old.centred(size);
        self.panels[panel].footprint = new;
        for below in self.panels[panel].on.clone() {
            let support = &mut self.panels[below];
            if support.role == Role::Feature && support.shape != Shape::Die {
                let rect = &mut support.footprint;
                *rect = Rect {
                    left: rect.left.min(new.left - (old.left - rect.left).abs()),
                    top: rect.top.min(new.top - (old.top - rect.top).abs()),
                    right: rect.right.max(new.right + (rect.right - old.right).abs()),
                    bottom: rect.bottom.max(new.bottom + (rect.bottom - old.bottom).abs()),
                };
            }
        }
    }

    fn slip_quiet_shape(&mut self, panel: usize, edge: Length) {
        let image = self.panels[panel].clone();
        let shape = DrawnPanel {
            id: format!("quiet shape beneath {}", image.id),
            source: image.source,
            role: Role::Feature,
            footprint: image.footprint.inset(-edge).shared(&Rect::whole(self.card)),
            mats: Vec::new(),
            shape: Shape::Rectangle,
            takes: Takes::Stock(vec![Material::Cardstock, Material::Vellum, Material::Kraft]),
            on: image.on.clone(),
            same_as: None,
            differs_from: Vec::new(),
            matches: None,
            raised: false,
            holds_sentiment: false,
            strips: Vec::new(),
            left_out: false,
        };
        self.panels.push(shape);
        let added = self.panels.len() - 1;
        let above = self.order.iter().position(|place| *place == panel).unwrap_or(self.order.len());
        self.order.insert(above, added);
        self.panels[panel].on = vec![added];
    }

    /// Nothing of the panel shows: what lies on it lies on what it lay on.
    fn leave_out(&mut self, panel: usize) {
        if !joins::may_leave_out(self, panel) {
            return;
        }
        let gone = self.at(panel);
        gone.left_out = true;
        gone.mats.clear();
        let beneath = gone.on.clone();
        for other in &mut self.panels {
            if let Some(at) = other.on.iter().position(|below| *below == panel) {
                other.on.splice(at..=at, beneath.iter().copied());
                let mut met = Vec::new();
                other.on.retain(|below| {
                    let is_new = !met.contains(below);
                    met.push(*below);
                    is_new
                });
            }
        }
    }

    fn divide(&mut self, panel: usize, axis: Axis, count: u32, gap: Length, ruler: Length) {
        let panel = self.at(panel);
        let whole = panel.cut();
        let side = axis.of(whole.size());
        let gaps = gap * (i64::from(count) - 1);
        let strip = Length::from_nanometres((side - gaps).nanometres() / i64::from(count.max(1))).floor_to(ruler);
        let used = strip * i64::from(count) + gaps;
        let start = (side - used).half();
        panel.strips = (0..i64::from(count))
            .map(|place| {
                let from = start + (strip + gap) * place;
                match axis {
                    Axis::Width => Rect { left: whole.left + from, right: whole.left + from + strip, ..whole },
                    Axis::Height => Rect { top: whole.top + from, bottom: whole.top + from + strip, ..whole },
                }
            })
            .collect();
    }
}

/// Where an edge sits on a side `whole` long. The card's own edges are where they are; any other
/// share is set to the nearest step of the ruler.
fn settle(edge: Edge, whole: Length, ruler: Length) -> Length {
    let share = match edge.share {
        0 => Length::ZERO,
        WHOLE => whole,
        share => {
            let exact = i128::from(whole.nanometres()) * i128::from(share) / i128::from(WHOLE);
            let exact = i64::try_from(exact).map_or(Length::LONGEST, Length::from_nanometres);
            exact.round_to(ruler)
        }
    };
    share + edge.offset
}

//! A layout as drawn, checked: its panels as a graph of what lies on what.
//!
//! A sketch from a file in; a [`Layout`] out, or every fault found. Nothing here knows the stash.

use super::{Drawn, Rect};
use crate::stash::{Edge, LayoutSketch, PanelSketch, Shape, Takes};
use api::Role;
use api::units::{Length, Size, Unit};
use petgraph::algo::toposort;
use petgraph::graph::{DiGraph, NodeIndex};
use std::collections::BTreeMap;

/// The edge between two panels: the first lies on the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LiesOn;

/// One panel of a checked layout; other panels are named by their place in [`Layout::panels`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Panel {
    /// Its id within the layout.
    pub id: String,
    /// What it is for.
    pub role: Role,
    /// What it lies on; empty is the card base.
    pub on: Vec<usize>,
    /// Left, top, right and bottom edge of the panel with its mats.
    pub edges: [Edge; 4],
    /// Its outline.
    pub shape: Shape,
    /// The reveals of the mats behind it, nearest first.
    pub mats: Vec<Length>,
    /// What it may be made of.
    pub takes: Takes,
    /// The panel whose paper it must be, too.
    pub same_as: Option<usize>,
    /// Panels whose paper it must not be.
    pub differs_from: Vec<usize>,
    /// Whether it is raised on foam.
    pub raised: bool,
    /// Whether it carries words.
    pub holds_sentiment: bool,
}

/// A checked layout: an acyclic graph of panels.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Its id.
    pub id: String,
    /// What she calls it.
    pub name: String,
    /// The size of the card's front, as drawn.
    pub card: Size,
    /// Whom to thank for it.
    pub credit: Option<String>,
    /// Where it is from.
    pub link: Option<String>,
    /// What it is for; empty is for anything.
    pub occasions: Vec<String>,
    /// Its panels, bottom first.
    pub panels: Vec<Panel>,
    /// What lies on what; a node's weight is a place in `panels`.
    pub graph: DiGraph<usize, LiesOn>,
}

/// What is wrong with a layout, and the panel where it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Panels that lie on one another in a circle.
    Circle {
        /// Their ids, each lying on the next.
        panels: Vec<String>,
    },
    /// A panel no part of which is on the card.
    OffTheCard {
        /// The panel.
        panel: String,
        /// The card.
        card: Size,
    },
    /// A panel no part of which is on what it lies on.
    OffItsSupport {
        /// The panel.
        panel: String,
        /// What it lies on.
        on: String,
    },
    /// Edges that leave nothing of the panel.
    Nothing {
        /// The panel.
        panel: String,
        /// By how much its sides cross, or what its mats leave too little by.
        short_by: Length,
    },
    /// A mat behind something whose outline only the die or the image knows.
    MatBehindOutline {
        /// The panel.
        panel: String,
    },
    /// A panel named that is not there.
    Unknown {
        /// The panel that names it.
        panel: String,
        /// The name.
        named: String,
    },
}

impl Fault {
    /// What is wrong, where and by how much.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Circle { panels } => {
                format!("these panels lie on one another in a circle: {}", panels.join(" on "))
            }
            Self::OffTheCard { panel, card } => format!("panel `{panel}` lies wholly off the card ({})", card.exact(Unit::Inch)),
            Self::OffItsSupport { panel, on } => format!("panel `{panel}` lies wholly outside `{on}`, which it lies on"),
            Self::Nothing { panel, short_by } => {
                format!("panel `{panel}` has nothing left: its edges and mats overrun by {}", short_by.exact(Unit::Inch))
            }
            Self::MatBehindOutline { panel } => {
                format!("panel `{panel}` has a mat, but only the die or the image knows its outline")
            }
            Self::Unknown { panel, named } => format!("panel `{panel}` names `{named}`, which is no panel of this layout"),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Circle { panels } => {
                format!("take one of them out of an `on` list: the lowest of them lies on the card, so leave out `on` in `{}`", panels.first().map_or("", String::as_str))
            }
            Self::OffTheCard { .. } => "check the signs of its edges: `right` and `bottom` count from the card's left and top, as in `100% - 1/8 in`".to_owned(),
            Self::OffItsSupport { on, .. } => format!("move it so that a part of it lies on `{on}`, or name what it really lies on"),
            Self::Nothing { .. } => "move an edge outwards, or show less of its mats".to_owned(),
            Self::MatBehindOutline { panel } => {
                format!("take `mats` away from `{panel}` and lay it on a panel that has them")
            }
            Self::Unknown { .. } => "name a panel of this layout, by its `id`".to_owned(),
        }
    }

    /// The panel where it is.
    #[must_use]
    pub fn panel(&self) -> &str {
        match self {
            Self::Circle { panels } => panels.first().map_or("", String::as_str),
            Self::OffTheCard { panel, .. }
            | Self::OffItsSupport { panel, .. }
            | Self::Nothing { panel, .. }
            | Self::MatBehindOutline { panel }
            | Self::Unknown { panel, .. } => panel,
        }
    }
}

/// Checks a sketch and puts its panels in order, bottom first; panels on the same level keep the
/// order of the file.
///
/// # Errors
/// Every fault found, in the order of the file.
pub fn check(sketch: &LayoutSketch, ruler: Length) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let places: BTreeMap<&str, usize> =
        sketch.panels.iter().enumerate().rev().map(|(place, panel)| (panel.id.as_str(), place)).collect();
    let mut graph = DiGraph::new();
    let nodes: Vec<NodeIndex> = (0..sketch.panels.len()).map(|place| graph.add_node(place)).collect();
    for (place, panel) in sketch.panels.iter().enumerate() {
        for named in panel.on.iter().chain(&panel.same_as).chain(&panel.differs_from) {
            if !places.contains_key(named.as_str()) {
                faults.push(Fault::Unknown { panel: panel.id.clone(), named: named.clone() });
            }
        }
        for below in panel.on.iter().filter_map(|name| places.get(name.as_str())) {
            graph.update_edge(nodes[place], nodes[*below], LiesOn);
        }
        let outline_unknown = panel.shape == Shape::Die || panel.takes == Takes::Image;
        if outline_unknown && !panel.mats.is_empty() {
            faults.push(Fault::MatBehindOutline { panel: panel.id.clone() });
        }
    }
    if let Err(cycle) = toposort(&graph, None) {
        faults.push(Fault::Circle { panels: circle_through(&graph, cycle.node_id(), &sketch.panels) });
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let order = bottom_first(&sketch.panels, &places);
    let rank: BTreeMap<usize, usize> = order.iter().enumerate().map(|(rank, place)| (*place, rank)).collect();
    let place_of = |name: &String| places.get(name.as_str()).map(|place| rank[place]);
    let panels: Vec<Panel> = order
        .iter()
        .map(|place| {
            let panel = &sketch.panels[*place];
            Panel {
                id: panel.id.clone(),
                role: panel.role,
                on: panel.on.iter().filter_map(place_of).collect(),
                edges: [panel.left, panel.top, panel.right, panel.bottom],
                shape: panel.shape,
                mats: panel.mats.clone(),
                takes: panel.takes.clone(),
                same_as: panel.same_as.as_ref().and_then(place_of),
                differs_from: panel.differs_from.iter().filter_map(place_of).collect(),
                raised: panel.raised,
                holds_sentiment: panel.holds_sentiment,
            }
        })
        .collect();
    for node in graph.node_weights_mut() {
        *node = rank[node];
    }
    let layout = Layout {
        id: sketch.id.clone(),
        name: sketch.name.clone(),
        card: sketch.card,
        credit: sketch.credit.clone(),
        link: sketch.link.clone(),
        occasions: sketch.occasions.clone(),
        panels,
        graph,
    };
    let faults = misplaced(&layout, ruler);
    if faults.is_empty() { Ok(layout) } else { Err(faults) }
}

/// The panels in an order in which each comes after all it lies on; the earliest in the file first.
/// The caller has made sure that there is no circle.
fn bottom_first(panels: &[PanelSketch], places: &BTreeMap<&str, usize>) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::with_capacity(panels.len());
    let mut laid = vec![false; panels.len()];
    while order.len() < panels.len() {
        let next = (0..panels.len()).find(|place| {
            !laid[*place]
                && panels[*place].on.iter().filter_map(|name| places.get(name.as_str())).all(|below| laid[*below])
        });
        let Some(next) = next else { break };
        laid[next] = true;
        order.push(next);
    }
    order
}

/// The ids along one circle through `start`, each lying on the next.
fn circle_through(graph: &DiGraph<usize, LiesOn>, start: NodeIndex, panels: &[PanelSketch]) -> Vec<String> {
    let component = petgraph::algo::tarjan_scc(graph)
        .into_iter()
        .find(|component| component.contains(&start))
        .unwrap_or_else(|| vec![start]);
    let mut path = vec![start];
    let mut at = start;
    loop {
        let next = graph.neighbors(at).filter(|below| component.contains(below)).min();
        let Some(next) = next else { break };
        if let Some(first) = path.iter().position(|seen| *seen == next) {
            path.drain(..first);
            path.push(next);
            break;
        }
        path.push(next);
        at = next;
    }
    path.iter().map(|node| panels[graph[*node]].id.clone()).collect()
}

/// Panels that are nowhere, or not on what they lie on, on the card as drawn.
fn misplaced(layout: &Layout, ruler: Length) -> Vec<Fault> {
    let drawn = Drawn::as_drawn(layout, layout.card, ruler);
    let card = Rect::whole(layout.card);
    let mut faults = Vec::new();
    for panel in &drawn.panels {
        let id = panel.id.clone();
        let footprint = panel.footprint;
        let inner = panel.cut();
        if inner.is_empty() {
            let short_by = -inner.width().min(inner.height());
            faults.push(Fault::Nothing { panel: id, short_by });
        } else if footprint.shared(&card).is_empty() {
            faults.push(Fault::OffTheCard { panel: id, card: layout.card });
        } else {
            let supports: Vec<_> = panel.on.iter().map(|below| &drawn.panels[*below]).collect();
            if !supports.is_empty() && supports.iter().all(|below| footprint.shared(&below.footprint).is_empty()) {
                faults.push(Fault::OffItsSupport { panel: id, on: supports[0].id.clone() });
            }
        }
    }
    faults
}

//! A layout as drawn, checked: its panels as a graph of what lies on what.
//!
//! A sketch from a file in; a [`Layout`] out, or every fault found. Nothing here knows the stash.

use super::{Drawn, DrawnPanel, Rect};
use crate::problem::{Fault, Problem};
use crate::stash::{Edge, LayoutSketch, PanelSketch, Settings, Shape, Takes};
use api::Role;
use api::units::{Length, Size};
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
    /// Panels of the same paper, size, outline and mats, itself among them: what is done to one is
    /// done to all, so that they still match.
    pub alike: Vec<usize>,
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
    /// Pairs of panels that are clear of one another as drawn, the lower first.
    pub clear: Vec<(usize, usize)>,
    /// Panels that overrun nothing as drawn.
    pub within: Vec<usize>,
}

/// Checks a sketch and puts its panels in order, bottom first; panels on the same level keep the
/// order of the file.
///
/// # Errors
/// Every fault found, at the panel where it is.
pub fn check(sketch: &LayoutSketch, settings: &Settings) -> Result<Layout, Vec<Problem>> {
    let mut problems = Vec::new();
    let places: BTreeMap<&str, usize> =
        sketch.panels.iter().enumerate().rev().map(|(place, panel)| (panel.id.as_str(), place)).collect();
    let mut graph = DiGraph::new();
    let nodes: Vec<NodeIndex> = (0..sketch.panels.len()).map(|place| graph.add_node(place)).collect();
    for (place, panel) in sketch.panels.iter().enumerate() {
        for below in panel.on.iter().filter_map(|name| places.get(name.as_str())) {
            graph.update_edge(nodes[place], nodes[*below], LiesOn);
        }
        let outline_unknown = panel.shape == Shape::Die || panel.takes == Takes::Image;
        if outline_unknown && !panel.mats.is_empty() {
            let fault = Fault::MatBehindOutline { panel: panel.id.clone() };
            problems.push(Problem::new(panel.place.clone(), fault));
        }
    }
    let cycle = toposort(&graph, None).err();
    if let Some(cycle) = &cycle {
        let circle = circle_through(&graph, cycle.node_id());
        let panels = circle.iter().map(|place| sketch.panels[*place].id.clone()).collect();
        problems.push(Problem::new(sketch.panels[circle[0]].place.clone(), Fault::PanelsInACircle { panels }));
    }
    // Panels in a circle have no order, but places that can be looked over all the same.
    let order = match cycle {
        Some(_) => (0..sketch.panels.len()).collect(),
        None => bottom_first(&sketch.panels, &places),
    };
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
                alike: Vec::new(),
            }
        })
        .collect();
    for node in graph.node_weights_mut() {
        *node = rank[node];
    }
    let mut layout = Layout {
        id: sketch.id.clone(),
        name: sketch.name.clone(),
        card: sketch.card,
        credit: sketch.credit.clone(),
        link: sketch.link.clone(),
        occasions: sketch.occasions.clone(),
        panels,
        graph,
        clear: Vec::new(),
        within: Vec::new(),
    };
    let at = |(panel, fault): (usize, Fault)| Problem::new(sketch.panels[order[panel]].place.clone(), fault);
    problems.extend(misplaced(&layout, settings).into_iter().map(at));
    find_alike(&mut layout, settings);
    find_room(&mut layout, settings);
    if problems.is_empty() { Ok(layout) } else { Err(problems) }
}

/// Finds which panels are clear of which, and which overrun nothing, on the card as drawn. One that
/// lies on another shares some of the card with it, and so is never clear of it.
fn find_room(layout: &mut Layout, settings: &Settings) {
    let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
    let pairs = (0..drawn.panels.len()).flat_map(|upper| (0..upper).map(move |lower| (lower, upper)));
    layout.clear = pairs.filter(|(lower, upper)| drawn.is_clear(*lower, *upper)).collect();
    layout.within = (0..drawn.panels.len()).filter(|place| drawn.is_within(*place)).collect();
}

/// Finds, for each panel, those that match it on the card as drawn.
fn find_alike(layout: &mut Layout, settings: &Settings) {
    let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
    let mut families = petgraph::unionfind::UnionFind::<usize>::new(layout.panels.len());
    for (place, panel) in layout.panels.iter().enumerate() {
        if let Some(twin) = panel.same_as {
            families.union(place, twin);
        }
    }
    let looks = |place: usize| {
        let panel = &drawn.panels[place];
        (families.find(place), panel.role, panel.footprint.size(), panel.shape, &panel.mats)
    };
    let places = 0..layout.panels.len();
    let alike: Vec<Vec<usize>> = places
        .clone()
        .map(|place| match layout.panels[place].takes {
            // An image is made room for one place at a time.
            Takes::Image => vec![place],
            Takes::Stock(_) => {
                places.clone().filter(|other| *other == place || looks(*other) == looks(place)).collect()
            }
        })
        .collect();
    for (panel, alike) in layout.panels.iter_mut().zip(alike) {
        panel.alike = alike;
    }
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

/// The places along one circle through `start`, each lying on the next.
fn circle_through(graph: &DiGraph<usize, LiesOn>, start: NodeIndex) -> Vec<usize> {
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
            break;
        }
        path.push(next);
        at = next;
    }
    path.iter().map(|node| graph[*node]).collect()
}

/// Panels that are nowhere, or not on what they lie on, on the card as drawn; each by its place.
fn misplaced(layout: &Layout, settings: &Settings) -> Vec<(usize, Fault)> {
    let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
    let card = Rect::whole(layout.card);
    let mut faults = Vec::new();
    for (place, panel) in drawn.panels.iter().enumerate() {
        let id = panel.id.clone();
        let footprint = panel.footprint;
        let inner = panel.cut();
        let supports: Vec<&DrawnPanel> = panel.on.iter().map(|below| &drawn.panels[*below]).collect();
        let off_all = supports.iter().all(|below| footprint.shared(&below.footprint).is_empty());
        if inner.is_empty() {
            let short_by = -inner.width().min(inner.height());
            faults.push((place, Fault::PanelVanishes { panel: id, short_by: short_by.exact(settings.unit) }));
        } else if footprint.shared(&card).is_empty() {
            faults.push((place, Fault::PanelOffCard { panel: id, card: layout.card.exact(settings.unit) }));
        } else if let Some(on) = supports.first().filter(|_| off_all) {
            faults.push((place, Fault::PanelOffSupport { panel: id, on: on.id.clone() }));
        }
    }
    faults
}

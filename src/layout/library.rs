//! The library graph: a layout joined to its adaptations, each edge one change a maker would make.
//!
//! It grows as it is walked: [`Library::grow`] adds the variants one change away from a node. The
//! graph below a layout is a tree, since changes are made in the order of their keys.

use super::adapt::{OnHand, cost_of, next_changes};
use super::{Change, Layout};
use crate::stash::Settings;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;

/// A layout with changes made to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variant {
    /// The layout, as a place in [`Library::layouts`].
    pub layout: usize,
    /// What was changed, in the order of the keys.
    pub changes: Vec<Change>,
    /// What the changes cost together, in millionths of a score.
    pub cost: u64,
}

/// Every layout on file, and the adaptations met so far.
#[derive(Clone, Debug)]
pub struct Library<'a> {
    /// The layouts, in the order of their ids.
    pub layouts: &'a [Layout],
    graph: DiGraph<Variant, Change>,
    settings: &'a Settings,
    on_hand: OnHand,
}

impl<'a> Library<'a> {
    /// A library of `layouts`, each as drawn.
    #[must_use]
    pub fn new(layouts: &'a [Layout], settings: &'a Settings, on_hand: OnHand) -> Self {
        Self { layouts, graph: DiGraph::new(), settings, on_hand }
    }

    /// The node of a layout as drawn.
    pub fn root(&mut self, layout: usize) -> NodeIndex {
        self.graph.add_node(Variant { layout, changes: Vec::new(), cost: 0 })
    }

    /// The variant at a node.
    #[must_use]
    pub fn variant(&self, node: NodeIndex) -> &Variant {
        &self.graph[node]
    }

    /// Adds the variants one change away from `node`, cheapest first, and returns their nodes. None
    /// where the card has as many changes as the settings allow.
    pub fn grow(&mut self, node: NodeIndex) -> Vec<NodeIndex> {
        let variant = self.graph[node].clone();
        if variant.changes.len() >= usize::try_from(self.settings.most_changes).unwrap_or(usize::MAX) {
            return Vec::new();
        }
        let mut next = next_changes(&self.layouts[variant.layout], &variant.changes, self.settings, &self.on_hand);
        next.sort_by_key(|change| cost_of(change.kind(), self.settings));
        next.into_iter()
            .map(|change| {
                let mut changes = variant.changes.clone();
                changes.push(change);
                let cost = variant.cost + cost_of(change.kind(), self.settings);
                let to = self.graph.add_node(Variant { layout: variant.layout, changes, cost });
                self.graph.add_edge(node, to, change);
                to
            })
            .collect()
    }

    /// How many variants have been met.
    #[must_use]
    pub fn len(&self) -> usize {
        self.graph.node_count()
    }

    /// Whether none has been met.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.graph.node_count() == 0
    }

    /// The changes that lead away from `node`, as far as it has been grown.
    pub fn changes_from(&self, node: NodeIndex) -> impl Iterator<Item = &Change> {
        self.graph.edges(node).map(|edge| edge.weight())
    }

    /// The node one change before this one; `None` for a layout as drawn.
    #[must_use]
    pub fn before(&self, node: NodeIndex) -> Option<NodeIndex> {
        self.graph.edges_directed(node, petgraph::Direction::Incoming).next().map(|edge| edge.source())
    }
}

//! The order of work: what must come after what in, one order out.
//!
//! The graph is petgraph's; of things that could all come next, the one with the least key does.

use petgraph::Direction;
use petgraph::graph::{DiGraph, NodeIndex};
use std::collections::BTreeSet;

/// What has to be done, with what must come before what.
#[derive(Clone, Debug, Default)]
pub struct Work<K> {
    graph: DiGraph<K, ()>,
}

impl<K: Ord + Clone> Work<K> {
    /// Nothing to do.
    #[must_use]
    pub fn new() -> Self {
        Self { graph: DiGraph::new() }
    }

    /// Adds something to do; what is added is numbered from 0.
    pub fn add(&mut self, key: K) -> usize {
        self.graph.add_node(key).index()
    }

    /// Says that `first` must be done before `then`; nothing where they are the same.
    pub fn before(&mut self, first: usize, then: usize) {
        if first != then {
            self.graph.update_edge(NodeIndex::new(first), NodeIndex::new(then), ());
        }
    }

    /// The order of work. What lies in a circle comes last, in the order of keys, so that nothing is lost.
    #[must_use]
    pub fn in_order(&self) -> Vec<usize> {
        let mut waits: Vec<usize> = self
            .graph
            .node_indices()
            .map(|node| self.graph.neighbors_directed(node, Direction::Incoming).count())
            .collect();
        let key = |node: NodeIndex| (self.graph[node].clone(), node.index());
        let free = self.graph.node_indices().filter(|node| waits[node.index()] == 0);
        let mut ready: BTreeSet<(K, usize)> = free.map(key).collect();
        let mut order = Vec::with_capacity(waits.len());
        while let Some((_, next)) = ready.pop_first() {
            order.push(next);
            for after in self.graph.neighbors_directed(NodeIndex::new(next), Direction::Outgoing) {
                waits[after.index()] -= 1;
                if waits[after.index()] == 0 {
                    ready.insert(key(after));
                }
            }
        }
        let mut left: Vec<(K, usize)> =
            self.graph.node_indices().filter(|node| !order.contains(&node.index())).map(key).collect();
        left.sort();
        order.extend(left.into_iter().map(|(_, place)| place));
        order
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_must_come_first_does_and_ties_go_by_key() {
        let mut work = Work::new();
        let [lay, cut, stamp, fold] = [3, 1, 1, 0].map(|key| work.add(key));
        work.before(cut, lay);
        work.before(stamp, lay);
        work.before(cut, stamp);
        work.before(lay, lay);
        work.before(lay, fold);
        assert_eq!(work.in_order(), [cut, stamp, lay, fold]);
    }

    #[test]
    fn a_circle_loses_nothing() {
        let mut work = Work::new();
        let [one, two, three] = [2, 1, 0].map(|key| work.add(key));
        work.before(one, two);
        work.before(two, one);
        assert_eq!(work.in_order(), [three, two, one]);
    }
}

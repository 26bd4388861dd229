//! A sheet as strips in strips, in which every strip is as narrow as its pieces allow.
//!
//! A strip lays its parts side by side or one above the other; its parts are pieces, or strips the
//! other way. Sizes are tight, so all leftover of a strip lies at its end, ready for the next piece;
//! what a strip may still grow to is known for each. (Trees of alternating strips with merged
//! leftovers are those of Gardeyn and Wauters 2022; tight strips that may grow are our own.)

use super::{Item, Job};
use crate::cut::single::Tree;
use crate::cut::tree::{Axis, Turned};

/// A piece or a strip; the parts of a strip follow it.
#[derive(Clone, Copy, Debug)]
pub(in crate::cut) struct Node {
    pub(in crate::cut) what: What,
    /// How many nodes it and its parts are.
    pub(in crate::cut) len: u32,
    pub(in crate::cut) width: i64,
    pub(in crate::cut) height: i64,
    /// What it may grow to.
    room_width: i64,
    room_height: i64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cut) enum What {
    Piece {
        item: u32,
        turned: bool,
    },
    /// Side by side ([`Axis::X`]) or one above the other ([`Axis::Y`]).
    Strip(Axis),
}

/// A filled sheet. An empty one has no nodes; else the first is a strip.
#[derive(Clone, Debug)]
pub(in crate::cut) struct Strips {
    pub(in crate::cut) line: usize,
    pub(in crate::cut) width: i64,
    pub(in crate::cut) height: i64,
    /// The area of its pieces.
    pub(in crate::cut) used: i64,
    pub(in crate::cut) nodes: Vec<Node>,
}

/// A place for a new piece, and how well it fits there: less is better.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) score: i64,
    pub(super) how: How,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum How {
    /// The first piece of an empty sheet.
    First,
    /// At the end of the strip.
    Append(usize),
    /// With the piece, in a strip of two the other way than the strip it lies in.
    Beside(usize, Axis),
    /// With the whole sheet, in a strip the other way.
    Around,
    /// With those parts of a strip that leave the room, which become a strip of their own.
    Over(usize),
}

fn other(axis: Axis) -> Axis {
    match axis {
        Axis::X => Axis::Y,
        Axis::Y => Axis::X,
    }
}

impl Strips {
    pub(in crate::cut) fn empty(line: usize, width: i64, height: i64) -> Self {
        Self { line, width, height, used: 0, nodes: Vec::new() }
    }

    pub(super) fn free(&self) -> i64 {
        self.width * self.height - self.used
    }

    pub(super) fn items(&self) -> impl Iterator<Item = usize> + '_ {
        self.nodes.iter().filter_map(|node| match node.what {
            What::Piece { item, .. } => Some(item as usize),
            What::Strip(_) => None,
        })
    }

    /// Tries every place for a piece of that size as it lies. `sliver` is the least side of any
    /// piece: a leftover narrower than that is waste.
    pub(super) fn places(&self, w: i64, h: i64, sliver: i64, mut offer: impl FnMut(Place)) {
        if self.nodes.is_empty() {
            if w <= self.width && h <= self.height {
                // After every other place, the tightest sheet first.
                let score = i64::MAX / 4 + self.width * self.height;
                offer(Place { score, how: How::First });
            }
            return;
        }
        // How badly a block and the new piece match where they meet, and what is lost at the end.
        let fit = |axis: Axis, block: (i64, i64), room: (i64, i64)| {
            let ((along, across), (new, new_across), (room, room_across)) = match axis {
                Axis::X => (block, (w, h), room),
                Axis::Y => ((block.1, block.0), (h, w), (room.1, room.0)),
            };
            let left = room - along - new;
            if left < 0 || new_across > room_across {
                return None;
            }
            let step = if new_across <= across { (across - new_across) * new } else { (new_across - across) * along };
            let lost = if left < sliver { left * across.max(new_across) } else { 0 };
            Some(step + lost)
        };
        let root = &self.nodes[0];
        if let What::Strip(axis) = root.what
            && let Some(score) = fit(other(axis), (root.width, root.height), (self.width, self.height))
        {
            offer(Place { score, how: How::Around });
        }
        let mut above = [(Axis::X, 0usize); 64];
        let mut depth = 0usize;
        for (i, node) in self.nodes.iter().enumerate() {
            while depth > 0 && i >= above[depth - 1].1 {
                depth -= 1;
            }
            let room = (node.room_width, node.room_height);
            match node.what {
                What::Strip(axis) => {
                    if let Some(score) = fit(axis, (node.width, node.height), room) {
                        offer(Place { score, how: How::Append(i) });
                    }
                    if let Some((block, room)) = self.short_parts(i, axis, w, h)
                        && let Some(score) = fit(other(axis), block, room)
                    {
                        offer(Place { score, how: How::Over(i) });
                    }
                    if depth < above.len() {
                        above[depth] = (axis, i + node.len as usize);
                        depth += 1;
                    }
                }
                // Beside the only piece is around the whole.
                What::Piece { .. } if self.nodes.len() == 2 => {}
                What::Piece { .. } => {
                    let axis = other(above[depth.saturating_sub(1)].0);
                    if let Some(score) = fit(axis, (node.width, node.height), room) {
                        offer(Place { score, how: How::Beside(i, axis) });
                    }
                }
            }
        }
    }

    /// The parts of the strip that leave room for the piece above them: their size together, and
    /// the room they have with the strip's leftover. `None` unless they are two or more, not all.
    fn short_parts(&self, strip: usize, axis: Axis, w: i64, h: i64) -> Option<((i64, i64), (i64, i64))> {
        let node = &self.nodes[strip];
        let (mut parts, mut all, mut along, mut across) = (0, 0, 0, 0);
        for part in self.parts(strip) {
            all += 1;
            let part = &self.nodes[part];
            let short = match axis {
                Axis::X => part.height + h <= node.room_height,
                Axis::Y => part.width + w <= node.room_width,
            };
            if short {
                parts += 1;
                let (a, c) = if axis == Axis::X { (part.width, part.height) } else { (part.height, part.width) };
                along += a;
                across = across.max(c);
            }
        }
        if parts < 2 || parts == all {
            return None;
        }
        match axis {
            Axis::X => Some(((along, across), (along + node.room_width - node.width, node.room_height))),
            Axis::Y => Some(((across, along), (node.room_width, along + node.room_height - node.height))),
        }
    }

    /// The nodes of the parts of a strip.
    fn parts(&self, strip: usize) -> impl Iterator<Item = usize> + '_ {
        let end = strip + self.nodes[strip].len as usize;
        let mut next = strip + 1;
        std::iter::from_fn(move || {
            let part = (next < end).then_some(next)?;
            next += self.nodes[part].len as usize;
            Some(part)
        })
    }

    /// Lays the piece in the place.
    pub(super) fn lay(&mut self, item: usize, (width, height, turned): (i64, i64, bool), how: How) {
        let item = u32::try_from(item).unwrap_or(u32::MAX);
        let node = |what, len| Node { what, len, width: 0, height: 0, room_width: 0, room_height: 0 };
        let piece = Node { width, height, ..node(What::Piece { item, turned }, 1) };
        self.used += width * height;
        match how {
            How::First => self.nodes.extend([node(What::Strip(Axis::X), 2), piece]),
            How::Append(strip) => self.insert(strip + self.nodes[strip].len as usize, piece, strip),
            How::Beside(at, axis) => {
                self.insert(at, node(What::Strip(axis), 2), at);
                self.insert(at + 2, piece, at);
                self.nodes[at].len = 3;
                // The first insertion counted the header for every strip around it; so did the second
                // the piece: nothing is left to do but the header's own length.
            }
            How::Around => {
                let What::Strip(axis) = self.nodes[0].what else { return };
                let len = self.nodes[0].len;
                if len == 2 {
                    // A strip of one piece may as well run the other way.
                    self.nodes[0] = node(What::Strip(other(axis)), len + 1);
                } else {
                    self.nodes.insert(0, node(What::Strip(other(axis)), len + 2));
                }
                self.nodes.push(piece);
            }
            How::Over(strip) => self.lay_over(strip, piece),
        }
        self.settle();
    }

    /// Lays the piece where it fits best by `judged` scores, one of the `ways`; `None` if nowhere.
    pub(in crate::cut) fn lay_best(
        &mut self,
        item: usize,
        ways: &[(i64, i64, bool)],
        mut judged: impl FnMut(i64) -> i64,
    ) -> Option<()> {
        let mut best: Option<(i64, How, (i64, i64, bool))> = None;
        for way in ways {
            self.places(way.0, way.1, 0, |place| {
                let score = judged(place.score);
                if best.is_none_or(|(other, ..)| score < other) {
                    best = Some((score, place.how, *way));
                }
            });
        }
        let (_, how, way) = best?;
        self.lay(item, way, how);
        Some(())
    }

    /// Puts a node at `at`, and lengthens the strips that hold place `within`.
    fn insert(&mut self, at: usize, node: Node, within: usize) {
        for (i, n) in self.nodes.iter_mut().enumerate().take(within + 1) {
            if matches!(n.what, What::Strip(_)) && i + n.len as usize > within {
                n.len += 1;
            }
        }
        self.nodes.insert(at, node);
    }

    fn lay_over(&mut self, strip: usize, piece: Node) {
        let What::Strip(axis) = self.nodes[strip].what else { return };
        let room = (self.nodes[strip].room_width, self.nodes[strip].room_height);
        let end = strip + self.nodes[strip].len as usize;
        let (mut long, mut short) = (Vec::new(), Vec::new());
        for part in self.parts(strip) {
            let n = &self.nodes[part];
            let fits = match axis {
                Axis::X => n.height + piece.height <= room.1,
                Axis::Y => n.width + piece.width <= room.0,
            };
            let nodes = &self.nodes[part..part + n.len as usize];
            if fits { short.extend_from_slice(nodes) } else { long.extend_from_slice(nodes) }
        }
        let header =
            |axis, len: usize| Node { what: What::Strip(axis), len: u32::try_from(len).unwrap_or(u32::MAX), ..piece };
        let mut parts = long;
        parts.push(header(other(axis), short.len() + 3));
        parts.push(header(axis, short.len() + 1));
        parts.extend(short);
        parts.push(piece);
        self.nodes.splice(strip + 1..end, parts);
        for (i, n) in self.nodes.iter_mut().enumerate().take(strip + 1) {
            if matches!(n.what, What::Strip(_)) && i + n.len as usize > strip {
                n.len += 3;
            }
        }
    }

    /// Takes out the pieces for which `goes` says so; strips close up and merge.
    pub(super) fn take_out(&mut self, mut goes: impl FnMut(usize) -> bool) {
        let old = std::mem::take(&mut self.nodes);
        self.used = 0;
        if old.is_empty() {
            return;
        }
        let mut kept = Vec::with_capacity(old.len());
        keep(&old, 0, None, &mut kept, &mut goes);
        self.used = kept
            .iter()
            .filter(|node: &&Node| matches!(node.what, What::Piece { .. }))
            .map(|node| node.width * node.height)
            .sum();
        if let Some(Node { what: What::Piece { .. }, .. }) = kept.first() {
            let piece = kept[0];
            kept.insert(0, Node { what: What::Strip(Axis::X), len: 2, ..piece });
        }
        self.nodes = kept;
        self.settle();
    }

    /// Adds the nodes of a tree within a strip that runs along `around`.
    fn add(&mut self, tree: &Tree, around: Option<Axis>, job: &Job, next: &mut [usize]) {
        match tree {
            Tree::Piece(kind, turned) => {
                let index = next[*kind];
                next[*kind] += 1;
                let Item { width, height, .. } = job.items[index];
                let turned = *turned == Turned::Quarter;
                let (width, height) = if turned { (height, width) } else { (width, height) };
                let what = What::Piece { item: u32::try_from(index).unwrap_or(u32::MAX), turned };
                self.used += width * height;
                self.nodes.push(Node { what, len: 1, width, height, room_width: 0, room_height: 0 });
            }
            Tree::Join(axis, two) => {
                let header = self.nodes.len();
                let own = around != Some(*axis);
                if own {
                    let what = What::Strip(*axis);
                    self.nodes.push(Node { what, len: 0, width: 0, height: 0, room_width: 0, room_height: 0 });
                }
                self.add(&two.0, Some(*axis), job, next);
                self.add(&two.1, Some(*axis), job, next);
                if own {
                    self.nodes[header].len = u32::try_from(self.nodes.len() - header).unwrap_or(u32::MAX);
                }
            }
        }
    }

    /// Works out tight sizes from the pieces up, and room from the sheet down.
    fn settle(&mut self) {
        for i in (0..self.nodes.len()).rev() {
            let What::Strip(axis) = self.nodes[i].what else { continue };
            let (mut width, mut height) = (0i64, 0i64);
            for part in self.parts(i) {
                let part = &self.nodes[part];
                match axis {
                    Axis::X => (width, height) = (width + part.width, height.max(part.height)),
                    Axis::Y => (width, height) = (width.max(part.width), height + part.height),
                }
            }
            (self.nodes[i].width, self.nodes[i].height) = (width, height);
        }
        if let Some(root) = self.nodes.first_mut() {
            (root.room_width, root.room_height) = (self.width, self.height);
        }
        for i in 0..self.nodes.len() {
            let Node { what: What::Strip(axis), width, height, room_width, room_height, len } = self.nodes[i] else {
                continue;
            };
            let end = i + len as usize;
            let mut part = i + 1;
            while part < end {
                let n = &mut self.nodes[part];
                match axis {
                    Axis::X => (n.room_width, n.room_height) = (n.width + room_width - width, room_height),
                    Axis::Y => (n.room_width, n.room_height) = (room_width, n.height + room_height - height),
                }
                part += n.len as usize;
            }
        }
    }

    /// Nested runs of cuts, counting the trim of a piece that is smaller than its strip.
    pub(in crate::cut) fn stages(&self) -> u32 {
        fn deepest(strips: &Strips, i: usize, across: i64) -> u32 {
            let node = &strips.nodes[i];
            let What::Strip(axis) = node.what else { return 0 };
            let own = if axis == Axis::X { across.max(node.height) } else { across.max(node.width) };
            let below = |part: usize| {
                let p = &strips.nodes[part];
                let (along, size) = if axis == Axis::X { (p.width, p.height) } else { (p.height, p.width) };
                match p.what {
                    What::Piece { .. } => u32::from(size < own),
                    What::Strip(_) => deepest(strips, part, along),
                }
            };
            1 + strips.parts(i).map(below).max().unwrap_or(0)
        }
        let Some(root) = self.nodes.first() else { return 0 };
        let What::Strip(axis) = root.what else { return 0 };
        let across = if axis == Axis::X { self.height } else { self.width };
        deepest(self, 0, across)
    }
}

/// A tree of the one-sheet search as strips; `next` is the item to use for each kind, and moves on.
pub(in crate::cut) fn of_tree(tree: &Tree, line: usize, job: &Job, next: &mut [usize]) -> Strips {
    let (width, height) = (job.lines[line].width, job.lines[line].height);
    let mut strips = Strips::empty(line, width, height);
    strips.add(tree, None, job, next);
    if let [Node { what: What::Piece { .. }, .. }] = strips.nodes[..] {
        let piece = strips.nodes[0];
        strips.nodes.insert(0, Node { what: What::Strip(Axis::X), len: 2, ..piece });
    }
    strips.settle();
    strips
}

/// Copies what stays of node `i` to `kept`; strips of one part become the part. Gives how many parts
/// were added for the strip around it, whose direction is `around`.
fn keep(
    old: &[Node],
    i: usize,
    around: Option<Axis>,
    kept: &mut Vec<Node>,
    goes: &mut impl FnMut(usize) -> bool,
) -> usize {
    let node = old[i];
    let axis = match node.what {
        What::Piece { item, .. } => {
            if goes(item as usize) {
                return 0;
            }
            kept.push(node);
            return 1;
        }
        What::Strip(axis) => axis,
    };
    let header = kept.len();
    kept.push(node);
    let end = i + node.len as usize;
    let (mut part, mut parts) = (i + 1, 0);
    while part < end {
        parts += keep(old, part, Some(axis), kept, goes);
        part += old[part].len as usize;
    }
    match parts {
        0 => kept.truncate(header),
        1 => {
            kept.remove(header);
            // A strip the same way as the one around gives its parts to it.
            if let What::Strip(inner) = kept[header].what
                && Some(inner) == around
            {
                let len = kept[header].len as usize;
                kept.remove(header);
                let (mut at, mut count, end) = (header, 0, header + len - 1);
                while at < end {
                    at += kept[at].len as usize;
                    count += 1;
                }
                return count;
            }
        }
        _ => kept[header].len = u32::try_from(kept.len() - header).unwrap_or(u32::MAX),
    }
    parts.min(1)
}

#[cfg(test)]
mod tests;

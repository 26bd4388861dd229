//! Step 7, the exact search where trimmer and hand have rules: whether one sheet gives a part of the list by
//! cuts that keep the longest cut, the narrowest held strip and the stages, and by which.
//!
//! From the sheet downwards every cut is tried that could matter. Where a cut may be: whatever slack there is
//! can be pushed to one side of a cut and further down into its leftovers, so the near part need never be
//! wider than pieces beside each other make it, and strips that are only there to be held. So places are sums
//! of pieces' sides and of the narrowest strip. Parts too small for what is to come from them are known
//! beforehand, from the smallest rectangles of every part of the list ([`super::exact`]).

use crate::cut::exact::Search;
use crate::cut::greedy::{self, Growing};
use crate::cut::tree::{Axis, Turned};
use crate::cut::{Rules, Stages};
use std::collections::{BTreeSet, HashMap};

/// More places for cuts than this are not tried.
const MOST_PLACES: usize = 4000;

/// The rules, in nanometres; parts are as wide and high as they are and the width of a cut.
#[derive(Clone, Copy)]
struct Hands {
    cut: i64,
    longest: i64,
    safe: i64,
    stages: u32,
}

/// A part to be cut: what is to come from it, its size, the direction of the cut before it, and the stages
/// used so far.
type Key = (u32, (i64, i64), Option<Axis>, u32);

/// How a part is cut.
#[derive(Clone, Copy)]
enum Way {
    Leftover,
    Piece(Turned),
    /// At a place, with what comes from the near part and from the far one.
    Cut(Axis, i64, (u32, u32)),
}

/// What is known so far of parts and rules.
pub(super) struct Ruled {
    hands: Hands,
    places: Vec<i64>,
    known: HashMap<Key, Option<Way>>,
}

impl Ruled {
    /// For these rules and pieces (sides, with the width of a cut); `None` where plain cutting is all there
    /// is to it, an error where there are too many places for cuts.
    pub(super) fn new(rules: &Rules, sides: &[(i64, i64)], largest: i64) -> Result<Option<Self>, TooMany> {
        let hands = Hands {
            cut: rules.cut_width.nanometres().max(0),
            longest: rules.longest_cut.map_or(i64::MAX, |longest| longest.nanometres()),
            safe: rules.safe_strip.nanometres().max(0),
            stages: if let Stages::AtMost(stages) = rules.stages { u32::from(stages) } else { u32::MAX },
        };
        if hands.longest == i64::MAX && hands.safe == 0 && hands.stages == u32::MAX {
            return Ok(None);
        }
        let mut places = BTreeSet::from([0]);
        let add = |places: &mut BTreeSet<i64>, ways: &[i64]| {
            let more: Vec<i64> = places.iter().flat_map(|place| ways.iter().map(move |way| place + way)).collect();
            places.extend(more.into_iter().filter(|place| *place < largest));
            if places.len() > MOST_PLACES { Err(TooMany) } else { Ok(()) }
        };
        for (width, height) in sides {
            add(&mut places, &[*width, *height])?;
        }
        if hands.safe > 0 {
            for _ in 0..=sides.len() {
                add(&mut places, &[hands.safe + hands.cut])?;
            }
        }
        Ok(Some(Self { hands, places: places.into_iter().collect(), known: HashMap::new() }))
    }
}

/// There are too many places for cuts.
pub(super) struct TooMany;

impl Search<'_> {
    /// Whether all of `state` comes from one sheet of that size within the rules; `None` where the work ran out.
    pub(super) fn keeps_rules(&mut self, ruled: &mut Ruled, state: u32, size: (i64, i64)) -> Option<bool> {
        self.way(ruled, (state, size, None, 0)).map(|way| way.is_some())
    }

    /// How to cut the part, if it can be; `None` where the work ran out.
    fn way(&mut self, ruled: &mut Ruled, key: Key) -> Option<Option<Way>> {
        let (state, size, above, stages) = key;
        if state == 0 {
            return Some(Some(Way::Leftover));
        }
        if !self.has_room(state, size) {
            return Some(None);
        }
        if let Some(known) = ruled.known.get(&key) {
            return Some(*known);
        }
        self.spend(1)?;
        let mut way = self.exactly(state, size).map(Way::Piece);
        for axis in [Axis::X, Axis::Y] {
            let now = if above == Some(axis) { stages } else { stages.saturating_add(1) };
            let across = if axis == Axis::X { size.1 } else { size.0 };
            if way.is_none() && now <= ruled.hands.stages && across - ruled.hands.cut <= ruled.hands.longest {
                way = self.cut(ruled, (state, size, Some(axis), now), axis)?;
            }
        }
        ruled.known.insert(key, way);
        Some(way)
    }

    /// A first cut of the part in that direction after which the rest can be cut, too. `key` is what the two
    /// parts will have before them.
    fn cut(&mut self, ruled: &mut Ruled, key: Key, axis: Axis) -> Option<Option<Way>> {
        let (state, size, above, stages) = key;
        let (along, across) = if axis == Axis::X { size } else { (size.1, size.0) };
        let Hands { cut, safe, .. } = ruled.hands;
        let held = |side: i64| (side - cut).min(across - cut) >= safe;
        for near in self.parts_of(state) {
            let far = state - near;
            if near == 0 {
                continue;
            }
            let Some(least) = self.least(near, axis, across) else { continue };
            let rest = if far == 0 { Some(0) } else { self.least(far, axis, across) };
            let Some(rest) = rest else { continue };
            let from = ruled.places.partition_point(|place| *place < least);
            for at in from..ruled.places.len() {
                let at = ruled.places[at];
                if at > along - rest || at >= along {
                    break;
                }
                self.spend(1)?;
                if at <= cut || !(held(at) || held(along - at)) {
                    continue;
                }
                let sized = |along: i64| if axis == Axis::X { (along, across) } else { (across, along) };
                if self.way(ruled, (near, sized(at), above, stages))?.is_some()
                    && self.way(ruled, (far, sized(along - at), above, stages))?.is_some()
                {
                    return Some(Some(Way::Cut(axis, at, (near, far))));
                }
            }
        }
        Some(None)
    }

    /// The cuts of a part that can be cut, as `way` found them.
    pub(super) fn grow(
        &mut self,
        ruled: &mut Ruled,
        sheet: &mut Growing,
        state: u32,
    ) -> Option<Vec<(usize, u32, Turned)>> {
        let mut pieces = Vec::new();
        let size = (sheet.size(0, Axis::X), sheet.size(0, Axis::Y));
        let mut waiting = vec![(0, (state, size, None, 0))];
        while let Some((node, key)) = waiting.pop() {
            let (_, (width, height), before, stages) = key;
            match self.way(ruled, key)?? {
                Way::Leftover => {}
                Way::Piece(turned) => pieces.push((node, key.0, turned)),
                Way::Cut(axis, at, (near, far)) => {
                    let first = sheet.split(node, axis, at);
                    let stages = if before == Some(axis) { stages } else { stages.saturating_add(1) };
                    let (one, two) = match axis {
                        Axis::X => ((at, height), (width - at, height)),
                        Axis::Y => ((width, at), (width, height - at)),
                    };
                    waiting.push((first, (near, one, Some(axis), stages)));
                    waiting.push((first + 1, (far, two, Some(axis), stages)));
                }
            }
        }
        Some(pieces)
    }

    /// Whether the part is just the one piece that is to come from it.
    fn exactly(&self, state: u32, size: (i64, i64)) -> Option<Turned> {
        let item = self.single(state)?;
        greedy::ways(item).find(|(own, _)| *own == size).map(|(_, turned)| turned)
    }
}

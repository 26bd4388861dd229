//! Sheets as strips: pieces come and go at random, and each is there once, within the sheet.

use super::*;
use crate::cut::seeded::Seeded;
use std::collections::BTreeSet;

/// Lays pieces in at random places and takes some out again; what is there must stay there once,
/// and no strip may be larger than its room.
#[test]
fn pieces_come_and_go_and_are_there_once() {
    for seed in 0..300 {
        let mut random = Seeded::new(seed);
        let mut sheet = Strips::empty(0, 100, 80);
        let mut inside = BTreeSet::new();
        for item in 0..60usize {
            let (w, h) = (5 + random.below(40) as i64, 5 + random.below(30) as i64);
            let mut places = Vec::new();
            sheet.places(w, h, 5, |place| places.push(place.how));
            if !places.is_empty() {
                let how = places[usize::try_from(random.below(places.len() as u64)).unwrap()];
                sheet.lay(item, (w, h, false), how);
                inside.insert(item);
                same(&sheet, &inside, seed, &format!("{how:?}"));
            }
            if random.below(4) == 0 {
                let gone: BTreeSet<usize> = inside.iter().copied().filter(|_| random.below(3) == 0).collect();
                sheet.take_out(|item| gone.contains(&item));
                inside.retain(|item| !gone.contains(item));
                same(&sheet, &inside, seed, "taking out");
            }
        }
    }
}

fn same(sheet: &Strips, inside: &BTreeSet<usize>, seed: u64, what: &str) {
    let mut found: Vec<usize> = sheet.items().collect();
    found.sort_unstable();
    assert_eq!(found, inside.iter().copied().collect::<Vec<_>>(), "seed {seed}, after {what}: {:?}", sheet.nodes);
    for (i, node) in sheet.nodes.iter().enumerate() {
        assert!(node.width <= node.room_width && node.height <= node.room_height, "seed {seed}, after {what}");
        if let What::Strip(axis) = node.what {
            let parts: Vec<usize> = sheet.parts(i).collect();
            assert!(parts.len() > 1 || node.len == 2 && i == 0, "seed {seed}, after {what}: a strip of one part");
            assert_eq!(
                parts.iter().map(|p| sheet.nodes[*p].len).sum::<u32>() + 1,
                node.len,
                "seed {seed}, after {what}"
            );
            assert!(parts.iter().all(|p| sheet.nodes[*p].what != What::Strip(axis)), "seed {seed}, after {what}");
        }
    }
}

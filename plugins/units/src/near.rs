//! Which known names a mistyped one may have been: a key in, the nearest rows of the table out.

use crate::named::{LONGEST_NAME, Named, Purpose, Region};
use crate::table::TABLE;

/// The names nearest to a key, by edit distance; ties go to the region's own, then to the table's order.
pub(crate) fn nearest(name: &str, region: Region, purpose: Purpose) -> Vec<&'static Named> {
    let length = name.chars().count();
    if length == 0 || length > LONGEST_NAME {
        return Vec::new();
    }
    let most = (length / 3).max(1);
    let mut near: Vec<(usize, bool, usize)> = Vec::new();
    for (place, row) in TABLE.iter().enumerate() {
        if row.purpose != purpose && row.purpose != purpose.also() {
            continue;
        }
        // Two words are at least as far apart as their lengths, which is cheaper to see.
        let in_reach = row.keys.iter().filter(|key| key.len().abs_diff(length) <= most);
        if let Some(distance) = in_reach.map(|key| edit_distance(name, key)).min().filter(|distance| *distance <= most)
        {
            near.push((distance, !row.is_of(region), place));
        }
    }
    near.sort_unstable();
    near.into_iter().take(3).map(|(_, _, place)| &TABLE[place]).collect()
}

/// How many letters must be put in, taken out or changed to make one word the other (Levenshtein 1966).
fn edit_distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (line, letter) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = line + 1;
        for (column, other_letter) in other.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *other_letter);
            diagonal = row[column + 1];
            row[column + 1] = changed.min(diagonal + 1).min(row[column] + 1);
        }
    }
    row[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_distance_counts_letters_put_in_taken_out_and_changed() {
        for (one, other, distance) in
            [("", "abc", 3), ("letter", "leter", 1), ("kitten", "sitting", 3), ("a2", "2a", 2)]
        {
            assert_eq!(edit_distance(one, other), distance);
            assert_eq!(edit_distance(other, one), distance);
        }
    }

    #[test]
    fn at_most_three_of_the_right_kind_the_regions_own_first() {
        let say = |name, region, purpose| -> Vec<String> {
            nearest(name, region, purpose).into_iter().map(|named| named.full_name()).collect()
        };
        assert_eq!(say("a1", Region::Us, Purpose::Sheet), ["US A1", "ISO A1", "US A2"]);
        assert_eq!(say("a1", Region::Iso, Purpose::Sheet), ["ISO A1", "US A1", "ISO A0"]);
        assert_eq!(say("monach", Region::Us, Purpose::Envelope), ["US monarch"]);
        assert!(say("monach", Region::Us, Purpose::Card).is_empty());
        assert!(say("", Region::Us, Purpose::Card).is_empty());
        assert!(say(&"a".repeat(LONGEST_NAME + 1), Region::Us, Purpose::Card).is_empty());
    }
}

//! The fractions a ruler has, halves down to sixty-fourths, and how they are written.

/// The finest fraction of an inch that is read and printed: rulers go no further.
pub(crate) const FINEST: i128 = 64;

/// Whether a ruler is divided so: 2, 4, 8, 16, 32 or 64.
pub(crate) fn is_on_a_ruler(denominator: i128) -> bool {
    (2..=FINEST).contains(&denominator) && denominator.count_ones() == 1
}

/// Fractions that are one character. Thirds and the like are here so that they are refused as fractions.
pub(crate) fn one_character_fraction(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}

/// So many sixty-fourths as a person writes them: `0`, `1/8`, `4 1/4`; at least 0.
pub(crate) fn in_sixty_fourths(count: i128) -> String {
    let (whole, part) = (count / FINEST, count % FINEST);
    if part == 0 {
        return whole.to_string();
    }
    let shared = 1_i128 << part.trailing_zeros();
    let fraction = format!("{}/{}", part / shared, FINEST / shared);
    if whole == 0 { fraction } else { format!("{whole} {fraction}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rulers_halve_six_times() {
        let found: Vec<i128> = (-70..=200).filter(|denominator| is_on_a_ruler(*denominator)).collect();
        assert_eq!(found, [2, 4, 8, 16, 32, 64]);
    }

    #[test]
    fn fractions_are_written_reduced() {
        for (count, words) in
            [(0, "0"), (1, "1/64"), (8, "1/8"), (48, "3/4"), (64, "1"), (272, "4 1/4"), (330, "5 5/32")]
        {
            assert_eq!(in_sixty_fourths(count), words);
        }
    }
}

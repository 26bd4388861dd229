//! Codes: the one with which a device is paired, its picture, and the secrets of sessions.

use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write as _;

/// Signs of a pairing code: none that is easily taken for another.
const SIGNS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
/// Signs in a pairing code: 40 bits.
const LENGTH: usize = 8;

/// Bytes nobody can foresee. Where the system gives none, nothing may be opened at all.
fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).expect("a system without random numbers cannot keep anyone out");
    bytes
}

/// A secret of 128 bits, in hexadecimal.
pub(crate) fn secret() -> String {
    random::<16>().iter().fold(String::with_capacity(32), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// A new pairing code.
pub(crate) fn pairing_code() -> String {
    random::<LENGTH>().iter().map(|byte| char::from(SIGNS[usize::from(byte & 31)])).collect()
}

/// A code as typed, without what people put between its signs.
pub(crate) fn as_typed(text: &str) -> String {
    text.chars().filter(char::is_ascii_alphanumeric).take(64).map(|sign| sign.to_ascii_uppercase()).collect()
}

/// Whether two texts are the same, in a time that does not tell where they differ.
pub(crate) fn same(one: &str, other: &str) -> bool {
    let differ = one.bytes().zip(other.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b));
    one.len() == other.len() && std::hint::black_box(differ) == 0
}

/// A text as a picture for a telephone to read (QR code), for a terminal: two rows of squares a line,
/// light squares drawn, with the quiet zone it needs. `None` where the text is too long.
#[must_use]
pub fn squares(text: &str) -> Option<String> {
    const QUIET: usize = 2;
    let code = QrCode::with_error_correction_level(text, EcLevel::L).ok()?;
    let width = code.width();
    let colours = code.to_colors();
    let is_light = |x: usize, y: usize| {
        let inside =
            (x >= QUIET && y >= QUIET).then(|| (x - QUIET, y - QUIET)).filter(|(x, y)| *x < width && *y < width);
        inside.is_none_or(|(x, y)| colours[y * width + x] == Color::Light)
    };
    let whole = width + 2 * QUIET;
    let mut drawn = String::new();
    for y in (0..whole).step_by(2) {
        for x in 0..whole {
            drawn.push(match (is_light(x, y), y + 1 >= whole || is_light(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        drawn.push('\n');
    }
    Some(drawn)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_the_same_however_it_is_typed() {
        assert_eq!(as_typed(" ab3k-9qrs\n"), "AB3K9QRS");
        assert!(same("AB", "AB") && !same("AB", "AC") && !same("AB", "ABC") && !same("", "A"));
    }

    #[test]
    fn codes_are_long_enough_and_differ() {
        let codes: std::collections::BTreeSet<String> = (0..200).map(|_| pairing_code()).collect();
        assert_eq!(codes.len(), 200);
        assert!(codes.iter().all(|code| code.len() == LENGTH && as_typed(code) == *code));
        assert_eq!(secret().len(), 32);
        assert_ne!(secret(), secret());
    }

    #[test]
    fn a_picture_of_a_code_has_its_quiet_zone() {
        let drawn = squares("http://192.0.2.7:7272/pair?code=AB3K9QRS").expect("it is short");
        let lines: Vec<&str> = drawn.lines().collect();
        let width = lines[0].chars().count();
        assert!(
            lines.iter().all(|line| line.chars().count() == width && line.starts_with("██") && line.ends_with("██"))
        );
        assert!(lines[0].chars().all(|sign| sign == '█'));
        assert_eq!(squares(&"x".repeat(10_000)), None);
    }
}

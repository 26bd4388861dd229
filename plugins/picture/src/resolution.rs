//! How many pixels make an inch, as a file says of itself: the bytes of a picture in, a number out.
//!
//! Read from PNG's `pHYs` (ISO/IEC 15948, 11.3.4.3), JPEG's JFIF header (ISO/IEC 10918-5) and Exif's
//! XResolution in any of the three kinds (CIPA DC-008, 4.6.5). Nothing is decoded.

use crate::Format;

/// What cameras and drawing programs write without having measured anything: 72 pixels to the inch.
const UNMEANT: u32 = 72;

/// Pixels to the inch, where the file says so and means it.
///
/// A file that says 72, or different numbers across and down, says nothing.
///
/// ```
/// assert_eq!(swatchfold_picture::stated_dpi(b"no picture at all"), None);
/// ```
#[must_use]
pub fn stated_dpi(bytes: &[u8]) -> Option<u32> {
    let stated = match Format::of(bytes).ok()? {
        Format::Png => png(bytes),
        Format::Jpeg => jpeg(bytes),
        Format::WebP => chunk(bytes, 12, b"EXIF").and_then(exif),
    };
    stated.filter(|dpi| (10..=20_000).contains(dpi) && *dpi != UNMEANT)
}

fn number(bytes: &[u8], at: usize, width: usize, big: bool) -> Option<u32> {
    let part = bytes.get(at..at.checked_add(width)?)?;
    let add = |sum: u32, byte: &u8| sum << 8 | u32::from(*byte);
    Some(if big { part.iter().fold(0, add) } else { part.iter().rev().fold(0, add) })
}

/// Dots to the inch from a count over a length in inches, if it is the same both ways.
fn alike(across: f64, down: f64) -> Option<u32> {
    let is_even = across.is_finite() && across > 0.0 && (across - down).abs() <= 0.01 * across && across < 1e6;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to a million by the line above")]
    is_even.then(|| across.round() as u32)
}

fn png(bytes: &[u8]) -> Option<u32> {
    let mut at = 8;
    loop {
        let length = usize::try_from(number(bytes, at, 4, true)?).ok()?;
        let kind = bytes.get(at + 4..at + 8)?;
        let data = bytes.get(at + 8..at.checked_add(8)?.checked_add(length)?)?;
        match kind {
            // Dots to the metre, where the unit is 1.
            b"pHYs" if data.get(8) == Some(&1) => {
                let [across, down] = [0, 4].map(|place| number(data, place, 4, true).map(f64::from));
                return alike(across? * 0.0254, down? * 0.0254);
            }
            b"eXIf" => return exif(data),
            b"IDAT" | b"IEND" => return None,
            _ => {}
        }
        at = at + 12 + length;
    }
}

fn jpeg(bytes: &[u8]) -> Option<u32> {
    let (mut at, mut header) = (2, None);
    // Segments up to the first scan: a code, a length that counts itself, and the data.
    while bytes.get(at) == Some(&0xff) {
        let code = *bytes.get(at + 1)?;
        if code == 0xff {
            at += 1;
            continue;
        }
        if code == 0xda {
            break;
        }
        let length = usize::try_from(number(bytes, at + 2, 2, true)?).ok()?;
        let Some(data) = bytes.get(at + 4..(at + 2).checked_add(length)?) else { break };
        if code == 0xe0 && data.starts_with(b"JFIF\0") {
            let [across, down] = [8, 10].map(|place| number(data, place, 2, true).map(f64::from));
            header = match data.get(7)? {
                1 => alike(across?, down?),
                2 => alike(across? * 2.54, down? * 2.54),
                _ => None,
            };
        }
        if code == 0xe1 && data.starts_with(b"Exif\0\0") && header.is_none_or(|dpi| dpi == UNMEANT) {
            header = exif(&data[6..]).or(header);
        }
        at += 2 + length;
    }
    header
}

/// The data of a chunk of a RIFF file, where there is one of the name.
fn chunk<'a>(bytes: &'a [u8], from: usize, name: &[u8; 4]) -> Option<&'a [u8]> {
    let mut at = from;
    loop {
        let length = usize::try_from(number(bytes, at + 4, 4, false)?).ok()?;
        if bytes.get(at..at + 4)? == name {
            return bytes.get(at + 8..at.checked_add(8)?.checked_add(length)?);
        }
        at = at.checked_add(8)?.checked_add(length)?.checked_add(length % 2)?;
    }
}

/// The resolution in a block of Exif: the first directory's XResolution, YResolution and their unit.
fn exif(block: &[u8]) -> Option<u32> {
    let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
    let big = match block.get(..4)? {
        b"MM\0*" => true,
        b"II*\0" => false,
        _ => return None,
    };
    let place = |at: usize| number(block, at, 4, big).and_then(|place| usize::try_from(place).ok());
    let directory = place(4)?;
    let (mut across, mut down, mut per_inch) = (None, None, 1.0);
    for entry in 0..usize::try_from(number(block, directory, 2, big)?).ok()? {
        let at = directory.checked_add(2)?.checked_add(entry * 12)?;
        let Some(tag) = number(block, at, 2, big) else { break };
        let ratio = || {
            let at = place(at + 8)?;
            let (over, under) = (number(block, at, 4, big)?, number(block, at.checked_add(4)?, 4, big)?);
            (under > 0).then(|| f64::from(over) / f64::from(under))
        };
        match tag {
            0x011a => across = ratio(),
            0x011b => down = ratio(),
            0x0128 if number(block, at + 8, 2, big) == Some(3) => per_inch = 2.54,
            _ => {}
        }
    }
    alike(across? * per_inch, down.or(across)? * per_inch)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png_with(chunk: &[u8; 4], data: &[u8]) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x01\0\0\0\x01\x08\x02\0\0\0\x90wS\xde".to_vec();
        bytes.extend(u32::try_from(data.len()).unwrap().to_be_bytes());
        bytes.extend(chunk);
        bytes.extend(data);
        bytes.extend([0; 4]);
        bytes
    }

    /// Exif with one directory: XResolution 300/1, unit inch; written by hand from CIPA DC-008.
    fn exif_300(big: bool) -> Vec<u8> {
        let word = |value: u16| if big { value.to_be_bytes() } else { value.to_le_bytes() };
        let long = |value: u32| if big { value.to_be_bytes() } else { value.to_le_bytes() };
        let mut block = if big { b"MM\0*".to_vec() } else { b"II*\0".to_vec() };
        block.extend(long(8));
        block.extend(word(2));
        block.extend([word(0x011a), word(5)].concat());
        block.extend([long(1), long(38)].concat());
        block.extend([word(0x0128), word(3)].concat());
        block.extend(long(1));
        block.extend([word(2), word(0)].concat());
        block.extend(long(0));
        block.extend([long(300), long(1)].concat());
        block
    }

    #[test]
    fn a_png_says_how_many_dots_make_a_metre() {
        let metres = |dots: u32, unit| [&dots.to_be_bytes()[..], &dots.to_be_bytes(), &[unit]].concat();
        assert_eq!(stated_dpi(&png_with(b"pHYs", &metres(11_811, 1))), Some(300));
        assert_eq!(stated_dpi(&png_with(b"pHYs", &metres(11_811, 0))), None);
        assert_eq!(stated_dpi(&png_with(b"pHYs", &metres(2_835, 1))), None, "72 is never meant");
        assert_eq!(stated_dpi(&png_with(b"eXIf", &exif_300(true))), Some(300));
    }

    #[test]
    fn a_jpeg_says_it_in_its_header_or_in_its_exif() {
        let jfif = |unit: u8, dots: u16| {
            let mut bytes = b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x02".to_vec();
            bytes.push(unit);
            bytes.extend([dots.to_be_bytes(), dots.to_be_bytes()].concat());
            bytes.extend([0, 0]);
            bytes
        };
        assert_eq!(stated_dpi(&jfif(1, 200)), Some(200));
        assert_eq!(stated_dpi(&jfif(2, 118)), Some(300));
        assert_eq!(stated_dpi(&jfif(0, 1)), None);
        for big in [true, false] {
            let mut bytes = jfif(1, 72);
            let block = [&b"Exif\0\0"[..], &exif_300(big)].concat();
            bytes.extend([0xff, 0xe1]);
            bytes.extend(u16::try_from(block.len() + 2).unwrap().to_be_bytes());
            bytes.extend(block);
            assert_eq!(stated_dpi(&bytes), Some(300));
            // However it is cut, it is read without a slip.
            for cut in 0..bytes.len() {
                let _ = stated_dpi(&bytes[..cut]);
            }
        }
    }
}

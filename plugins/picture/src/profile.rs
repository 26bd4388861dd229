//! Follows a picture's colour profile (ICC.1) into sRGB. Pixels in, pixels changed in place.

use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

/// What came of a colour profile.
pub(crate) enum Followed {
    /// It is sRGB, or as good as: nothing to do.
    Srgb,
    /// Pixels were converted; the profile's name for itself, if it has a readable one.
    Converted(String),
    /// It could not be read or does not fit the pixels; they were left alone.
    Unreadable,
}

/// The most one of the probes may move, in 8-bit steps, for a profile to count as sRGB.
const SAME: u8 = 1;

/// Converts 8-bit `rgb` from the profile's space to sRGB. A grey picture's profile is applied to
/// one channel, which the three of `rgb` then share.
pub(crate) fn to_srgb(icc: &[u8], grey: bool, rgb: &mut [u8]) -> Followed {
    let Ok(profile) = ColorProfile::new_from_slice(icc) else { return Followed::Unreadable };
    let layout = match profile.color_space {
        DataColorSpace::Rgb => Layout::Rgb,
        DataColorSpace::Gray if grey => Layout::Gray,
        _ => return Followed::Unreadable,
    };
    let srgb = ColorProfile::new_srgb();
    let Ok(transform) = profile.create_transform_8bit(layout, &srgb, Layout::Rgb, TransformOptions::default()) else {
        return Followed::Unreadable;
    };
    // Most profiles in the wild are sRGB under one name or another: see whether 125 probes move.
    let steps = [0_u8, 64, 128, 192, 255];
    let probes: Vec<u8> = if layout == Layout::Gray {
        steps.to_vec()
    } else {
        (0..125).flat_map(|at| [steps[at / 25], steps[at / 5 % 5], steps[at % 5]]).collect()
    };
    let mut moved = vec![0; if layout == Layout::Gray { probes.len() * 3 } else { probes.len() }];
    if transform.transform(&probes, &mut moved).is_err() {
        return Followed::Unreadable;
    }
    let wanted: Vec<u8> =
        if layout == Layout::Gray { probes.iter().flat_map(|&grey| [grey; 3]).collect() } else { probes };
    if wanted.iter().zip(&moved).all(|(before, after)| before.abs_diff(*after) <= SAME) {
        return Followed::Srgb;
    }
    let before: Vec<u8> = if layout == Layout::Gray { rgb.iter().copied().step_by(3).collect() } else { rgb.to_vec() };
    if transform.transform(&before, rgb).is_err() {
        return Followed::Unreadable;
    }
    Followed::Converted(name_of(icc))
}

/// The profile's description, as far as it is plain text: from the `desc` tag, either the old ASCII
/// form (ICC.1:2001, 6.5.17) or the newer two-byte form (ICC.1:2010, 10.13).
fn name_of(icc: &[u8]) -> String {
    let number = |at: usize| -> Option<usize> {
        let four: [u8; 4] = icc.get(at..at + 4)?.try_into().ok()?;
        usize::try_from(u32::from_be_bytes(four)).ok()
    };
    let find = || -> Option<String> {
        for tag in 0..number(128)?.min(100) {
            let entry = 132 + 12 * tag;
            if icc.get(entry..entry + 4)? != b"desc" {
                continue;
            }
            let at = number(entry + 4)?;
            return match icc.get(at..at + 4)? {
                b"desc" => {
                    let length = number(at + 8)?.min(80);
                    Some(icc.get(at + 12..at + 12 + length)?.iter().map(|&byte| char::from(byte)).collect())
                }
                b"mluc" => {
                    let (length, from) = (number(at + 20)?.min(160), at + number(at + 24)?);
                    let units = icc.get(from..from + length)?.chunks_exact(2);
                    let units: Vec<u16> = units.map(|two| u16::from_be_bytes([two[0], two[1]])).collect();
                    Some(String::from_utf16_lossy(&units))
                }
                _ => None,
            };
        }
        None
    };
    let name = find().unwrap_or_default();
    name.chars().filter(|letter| !letter.is_control()).take(60).collect::<String>().trim().to_owned()
}

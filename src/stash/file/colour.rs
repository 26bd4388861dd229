//! Colours as a person enters them: `#aa3322`, `lab(42, 50, 35)`, each with a share of the paper if
//! she likes, in; swatches whose shares add up to exactly one, largest first, out.

use super::value::{Complaint, Read, Value, list};
use crate::problem::Fault;
use api::palette::{IntoColor, Srgb};
use api::{Colour, Share, Swatch};

/// A colour and the share written behind it, in millionths.
type Written = (Colour, Option<u32>);

/// Everything, in millionths.
const WHOLE: u32 = 1_000_000;

/// One colour or a list of them.
pub(super) fn colours(value: &Value<'_, '_>) -> Read<Vec<Swatch>> {
    let written = list(colour)(value)?;
    let told: u32 = written.iter().filter_map(|&(_, share)| share).fold(0, u32::saturating_add);
    if written.is_empty() {
        return Err(value.wrong("a colour, or a list of some"));
    }
    if told > WHOLE || (told == 0 && written.iter().all(|(_, share)| share.is_some())) {
        return value.fault(Fault::SharesOff { total: per_cent(told) });
    }
    Ok(whole(written, told))
}

/// A colour as a person enters it, without a share.
pub(crate) fn colour_of(text: &str) -> Option<Colour> {
    let text = text.trim();
    hex(text).or_else(|| lab(text))
}

/// A single colour with its share.
fn colour(value: &Value<'_, '_>) -> Read<Written> {
    let Some(text) = value.value.as_str() else {
        return Err(value.wrong("a colour in quotes, such as `\"#aa3322\"`"));
    };
    let bad = || vec![Complaint { span: value.span.clone(), fault: Fault::BadColour { text: text.to_owned() } }];
    let text = text.trim();
    let (name, share) = match text.strip_suffix('%') {
        None => (text, None),
        Some(text) => {
            let (name, number) = text.trim_end().rsplit_once([' ', ')']).ok_or_else(bad)?;
            let millionths = decimal(number, 4).filter(|&number| number <= WHOLE).ok_or_else(bad)?;
            // The bracket was taken as the mark before the share.
            let name = if name.contains('(') && !name.contains(')') { &text[..=name.len()] } else { name };
            (name.trim(), Some(millionths))
        }
    };
    Ok((read(name).ok_or_else(bad)?, share))
}

/// A colour as a person writes one: `#aa3322`, `#a32` or `lab(42, 50, 35)`; `None` where it is none.
#[must_use]
pub fn read(text: &str) -> Option<Colour> {
    hex(text).or_else(|| lab(text))
}

/// A number of at least 0, times ten to the power of `decimals`; no more decimals than that.
fn decimal(text: &str, decimals: u32) -> Option<u32> {
    let (whole, rest) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let missing = decimals.checked_sub(u32::try_from(rest.len()).ok()?)?;
    if whole.is_empty() || !digits(whole) || !digits(rest) {
        return None;
    }
    let rest: u32 = if rest.is_empty() { 0 } else { rest.parse().ok()? };
    let rest = rest.checked_mul(10_u32.pow(missing))?;
    whole.parse::<u32>().ok()?.checked_mul(10_u32.pow(decimals))?.checked_add(rest)
}

/// `#rrggbb` or `#rgb`: sRGB (IEC 61966-2-1), to CIELAB with the same D65 white.
fn hex(text: &str) -> Option<Colour> {
    let digits: Vec<u8> = text
        .strip_prefix('#')?
        .chars()
        .map(|digit| digit.to_digit(16).and_then(|digit| u8::try_from(digit).ok()))
        .collect::<Option<_>>()?;
    let (red, green, blue) = match digits[..] {
        [r, g, b] => (r * 17, g * 17, b * 17),
        [r, r2, g, g2, b, b2] => (r * 16 + r2, g * 16 + g2, b * 16 + b2),
        _ => return None,
    };
    let encoded = Srgb::new(red, green, blue).into_format::<f64>();
    Some(encoded.into_linear().into_color())
}

/// `lab(42, 50, 35)`: CIELAB with the D65 white.
fn lab(text: &str) -> Option<Colour> {
    let numbers = text.strip_prefix("lab")?.trim_start().strip_prefix('(')?.strip_suffix(')')?;
    let parts: Vec<f64> = numbers
        .split([',', ' '])
        .filter(|part| !part.is_empty())
        .map(|part| part.parse::<f64>().ok().filter(|number| number.is_finite()))
        .collect::<Option<_>>()?;
    lab_of(&parts)
}

/// Three numbers as CIELAB: L* from 0 to 100, a* and b* from -150 to 150; `None` beyond.
#[must_use]
pub fn lab_of(parts: &[f64]) -> Option<Colour> {
    match *parts {
        [l, a, b] if (0.0..=100.0).contains(&l) && a.abs() <= 150.0 && b.abs() <= 150.0 => Some(Colour::new(l, a, b)),
        _ => None,
    }
}

/// Shares that add up to exactly one: those not written part evenly what is left, and where all
/// are written and something is left, all grow alike.
fn whole(written: Vec<Written>, told: u32) -> Vec<Swatch> {
    let silent = u32::try_from(written.iter().filter(|(_, share)| share.is_none()).count()).unwrap_or(u32::MAX);
    let mut shares: Vec<(u32, Colour)> = written
        .into_iter()
        .map(|(colour, share)| match share {
            None => ((WHOLE - told) / silent.max(1), colour),
            Some(share) if silent > 0 => (share, colour),
            Some(share) => {
                let grown = u64::from(share) * u64::from(WHOLE) / u64::from(told.max(1));
                (u32::try_from(grown).unwrap_or(WHOLE), colour)
            }
        })
        .filter(|&(share, _)| share > 0)
        .collect();
    shares.sort_by_key(|&(share, _)| std::cmp::Reverse(share));
    let sum: u32 = shares.iter().map(|&(share, _)| share).sum();
    if let Some((largest, _)) = shares.first_mut() {
        *largest += WHOLE.saturating_sub(sum);
    }
    let swatch = |(share, colour)| Swatch { colour, share: Share::from_millionths(share).unwrap_or(Share::ONE) };
    shares.into_iter().map(swatch).collect()
}

/// Millionths as per cent.
fn per_cent(millionths: u32) -> String {
    let hundredths = millionths / 100;
    match hundredths % 100 {
        0 => (hundredths / 100).to_string(),
        rest => format!("{}.{rest:02}", hundredths / 100),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(colour: Colour, l: f64, a: f64, b: f64) -> bool {
        (colour.l - l).abs() < 0.05 && (colour.a - a).abs() < 0.05 && (colour.b - b).abs() < 0.05
    }

    #[test]
    fn corners_of_srgb_in_cielab() {
        // CIELAB of the sRGB corners with the D65 white: arithmetic from IEC 61966-2-1 and CIE 15.
        for (text, l, a, b) in [
            ("#ffffff", 100.0, 0.0, 0.0),
            ("#000", 0.0, 0.0, 0.0),
            ("#f00", 53.24, 80.09, 67.20),
            ("#00FF00", 87.73, -86.18, 83.18),
            ("#0000ff", 32.30, 79.19, -107.86),
        ] {
            let colour = hex(text).unwrap();
            assert!(near(colour, l, a, b), "{text} {colour:?}");
        }
        assert!(near(lab("lab(42, 50.5,-35)").unwrap(), 42.0, 50.5, -35.0));
        for bad in ["aa3322", "#aa332", "#gggggg", "lab(1,2)", "lab(101,0,0)", "lab(nan,0,0)", "lab(50,inf,0)", "#é1"]
        {
            assert!(hex(bad).or_else(|| lab(bad)).is_none(), "{bad}");
        }
    }

    #[test]
    fn shares_add_up_to_one_whatever_was_written() {
        let black = Colour::new(0.0, 0.0, 0.0);
        let of = |shares: &[Option<u32>]| {
            let told = shares.iter().flatten().sum();
            let swatches = whole(shares.iter().map(|&share| (black, share)).collect(), told);
            let millionths: Vec<u32> = swatches.iter().map(|swatch| swatch.share.millionths()).collect();
            assert_eq!(millionths.iter().sum::<u32>(), 1_000_000);
            assert!(millionths.is_sorted_by(|one, next| one >= next));
            millionths
        };
        assert_eq!(of(&[None]), [1_000_000]);
        assert_eq!(of(&[None, None, None]), [333_334, 333_333, 333_333]);
        assert_eq!(of(&[Some(400_000), Some(600_000)]), [600_000, 400_000]);
        assert_eq!(of(&[Some(200_000), None]), [800_000, 200_000]);
        assert_eq!(of(&[Some(300_000), Some(300_000)]), [500_000, 500_000]);
        assert_eq!(of(&[Some(1_000_000), None]), [1_000_000]);
    }

    #[test]
    fn shares_are_read_exactly() {
        assert_eq!(decimal("33.3333", 4), Some(333_333));
        assert_eq!(decimal("33,5", 4), Some(335_000));
        for bad in ["", ".5", "1.23456", "-1", "99999999999", "1e2"] {
            assert_eq!(decimal(bad, 4), None, "{bad}");
        }
        assert_eq!((per_cent(1_050_000), per_cent(1_000_100)), ("105".into(), "100.01".into()));
    }
}

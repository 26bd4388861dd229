//! What was measured, kept by the content of the picture, so that it need not be measured again.
//!
//! One small text file a picture, in the stash's cache folder. A file that is missing, damaged or
//! of another version is as if it were not there; a folder that cannot be written to is no error.

use super::Measured;
use api::units::Length;
use api::{Colour, Directional, Pattern, PatternKind, Share, Swatch};
use std::fmt::Write as _;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// The folder, within the stash, that may be deleted at any time.
pub const CACHE_FOLDER: &str = ".swatchfold";
/// Changed whenever the same picture may give other values.
const VERSION: u32 = 1;

/// Where measurements are kept; nowhere, where there is no folder for it.
#[derive(Clone, Debug, Default)]
pub struct Cache {
    folder: Option<PathBuf>,
}

impl Cache {
    /// A cache that keeps nothing.
    #[must_use]
    pub const fn none() -> Self {
        Self { folder: None }
    }

    /// The cache of a stash.
    #[must_use]
    pub fn of(stash: &Path) -> Self {
        Self { folder: Some(stash.join(CACHE_FOLDER).join("swatches")) }
    }

    /// The cache of another thing, beside this one: nowhere, where this one is nowhere.
    #[must_use]
    pub fn beside(&self, name: &str) -> Self {
        Self { folder: self.folder.as_ref().and_then(|folder| folder.parent()).map(|parent| parent.join(name)) }
    }

    /// The name of what is measured from these bytes, shown so wide.
    #[must_use]
    pub fn key(bytes: &[u8], across: Option<Length>) -> String {
        // FNV-1a, 64 bits, over words and then the rest; with the length, enough to tell a maker's
        // own pictures apart.
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        let mut take = |word: u64| hash = (hash ^ word).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(23);
        let mut words = bytes.chunks_exact(8);
        for word in &mut words {
            take(u64::from_le_bytes(word.try_into().expect("eight bytes")));
        }
        words.remainder().iter().for_each(|byte| take(u64::from(*byte)));
        let across = across.map_or(0, Length::nanometres);
        format!("{VERSION}.{}-{hash:016x}-{:x}-{across:x}", swatchfold_picture::VERSION, bytes.len())
    }

    /// What was kept under a key.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<Measured> {
        let path = self.folder.as_ref()?.join(key);
        let text = std::fs::read_to_string(path).ok().filter(|text| text.len() < 100_000)?;
        read(&text)
    }

    /// Keeps a measurement. Written beside its place and then moved there, so that another process
    /// never reads half of it.
    pub fn put(&self, key: &str, measured: &Measured) {
        self.put_bytes(key, write(measured).as_bytes());
    }

    /// The bytes kept under a key, no more than the limit.
    #[must_use]
    pub fn get_bytes(&self, key: &str, most: u64) -> Option<Vec<u8>> {
        let mut bytes = Vec::new();
        let file = std::fs::File::open(self.folder.as_ref()?.join(key)).ok()?;
        file.take(most + 1).read_to_end(&mut bytes).ok()?;
        u64::try_from(bytes.len()).is_ok_and(|len| len <= most).then_some(bytes)
    }

    /// Keeps bytes, as [`Cache::put`] keeps a measurement.
    pub fn put_bytes(&self, key: &str, bytes: &[u8]) {
        let Some(folder) = &self.folder else { return };
        let beside = folder.join(format!("{key}.{}", std::process::id()));
        let kept = std::fs::create_dir_all(folder)
            .and_then(|()| std::fs::write(&beside, bytes))
            .and_then(|()| std::fs::rename(&beside, folder.join(key)));
        if kept.is_err() {
            // Nothing is lost but time: the picture is measured again.
            let _ = std::fs::remove_file(&beside);
        }
    }
}

const KINDS: [(PatternKind, &str); 7] = [
    (PatternKind::Solid, "solid"),
    (PatternKind::Tonal, "tonal"),
    (PatternKind::Stripe, "stripe"),
    (PatternKind::Dot, "dot"),
    (PatternKind::Check, "check"),
    (PatternKind::Scattered, "scattered"),
    (PatternKind::BigMotif, "big-motif"),
];
const TURNS: [(Directional, &str); 3] =
    [(Directional::No, "no"), (Directional::QuarterTurn, "quarter-turn"), (Directional::OneWay, "one-way")];

fn write(measured: &Measured) -> String {
    let pattern = &measured.pattern;
    let name = |found: Option<&'static str>| found.unwrap_or("unknown");
    let mut text = format!(
        "pattern {} {} {} {}\n",
        name(KINDS.iter().find(|(kind, _)| *kind == pattern.kind).map(|(_, name)| *name)),
        pattern.busyness.millionths(),
        pattern.repeat.map_or(0, Length::nanometres),
        name(TURNS.iter().find(|(turn, _)| *turn == pattern.directional).map(|(_, name)| *name)),
    );
    for swatch in &measured.swatches {
        // The shortest text that reads back as the same number.
        let Colour { l, a, b, .. } = swatch.colour;
        let _ = writeln!(text, "swatch {l} {a} {b} {}", swatch.share.millionths());
    }
    text.push_str("end\n");
    text
}

fn read(text: &str) -> Option<Measured> {
    let mut lines = text.lines();
    let mut words = lines.next()?.strip_prefix("pattern ")?.split(' ');
    let kind = words.next()?;
    let pattern = Pattern {
        kind: KINDS.iter().find(|(_, name)| *name == kind)?.0,
        busyness: Share::from_millionths(words.next()?.parse().ok()?)?,
        repeat: Some(Length::from_nanometres(words.next()?.parse().ok()?)).filter(|repeat| repeat.is_positive()),
        directional: {
            let turn = words.next()?;
            TURNS.iter().find(|(_, name)| *name == turn)?.0
        },
    };
    let mut swatches = Vec::new();
    for line in lines {
        if line == "end" {
            return (!swatches.is_empty()).then_some(Measured { swatches, pattern });
        }
        let mut words = line.strip_prefix("swatch ")?.split(' ');
        let mut number = || words.next()?.parse::<f64>().ok().filter(|number| number.is_finite());
        let colour = Colour::new(number()?, number()?, number()?);
        let share = Share::from_millionths(words.next()?.parse().ok()?)?;
        swatches.push(Swatch { colour, share });
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured() -> Measured {
        let swatch = |l, share| Swatch { colour: Colour::new(l, -0.1, 1.0 / 3.0), share };
        Measured {
            swatches: vec![swatch(70.25, Share::HALF), swatch(1e-7, Share::HALF)],
            pattern: Pattern {
                kind: PatternKind::Check,
                busyness: Share::HALF,
                repeat: Some(Length::INCH),
                directional: Directional::OneWay,
            },
        }
    }

    #[test]
    fn what_is_written_reads_back_the_same() {
        assert_eq!(read(&write(&measured())), Some(measured()));
    }

    #[test]
    fn a_damaged_entry_is_as_if_it_were_not_there() {
        let whole = write(&measured());
        for cut in 0..whole.len() - 1 {
            assert_eq!(read(&whole[..cut]), None, "cut at {cut}");
        }
        assert_eq!(read(&whole.replace("check", "chequered")), None);
        assert_eq!(read(&whole.replace("70.25", "NaN")), None);
    }
}

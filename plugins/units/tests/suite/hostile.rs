//! Texts made to break the readers: each is read or refused at a place inside it, and none panics.

use crate::seeded::Seeded;
use std::ops::Range;
use units::{Length, LengthErrorKind, Named, Purpose, Region, Size, SizeErrorKind, Unit};

const SEED: u64 = 86_420_135;

/// What lengths, sizes and names are made of, and what they are not.
const CRUMBS: [&str; 56] = [
    "0",
    "1",
    "4",
    "64",
    "3",
    "99999999999999999999",
    "00",
    "/",
    "⁄",
    "-",
    "–",
    "−",
    "+",
    ".",
    ",",
    " ",
    "\u{a0}",
    "\t",
    "½",
    "¼",
    "⅓",
    "⅞",
    "in",
    "inch",
    "\"",
    "″",
    "′",
    "'",
    "mm",
    "cm",
    "MM",
    "ft",
    "pt",
    "x",
    "×",
    "by",
    "*",
    "sq",
    "square",
    "A2",
    "US ",
    "iso",
    "no",
    "#",
    "№",
    "letter",
    "card",
    "DL",
    "é",
    "İ",
    "ß",
    "\u{202e}",
    "\u{0}",
    "\u{1b}[",
    "🂡",
    "ﬀ",
];

fn place_is_in(text: &str, at: &Range<usize>, sentences: [String; 2]) {
    assert!(text.get(at.clone()).is_some(), "seed {SEED}: {text:?}: {at:?} is off the text");
    for sentence in sentences {
        assert!(!sentence.is_empty() && sentence.len() < 600, "seed {SEED}: {text:?}: {sentence:?}");
        assert!(!sentence.contains(char::is_control), "seed {SEED}: {text:?}: {sentence:?}");
    }
}

fn try_all(text: &str) {
    for unit in [Unit::Inch, Unit::Millimetre] {
        match Length::parse_signed(text, unit) {
            Ok(length) => {
                assert!(length.abs() <= Length::LONGEST, "seed {SEED}: {text:?}");
                assert_eq!(Length::parse_signed(&length.exact(unit), Unit::Inch), Ok(length), "seed {SEED}: {text:?}");
                let unsigned = Length::parse(text, unit);
                if length < Length::ZERO {
                    let kind = unsigned.expect_err("less than 0").kind;
                    assert_eq!(kind, LengthErrorKind::Negative, "seed {SEED}: {text:?}");
                } else {
                    assert_eq!(unsigned, Ok(length), "seed {SEED}: {text:?}");
                }
            }
            Err(why) => place_is_in(text, &why.at, [why.to_string(), why.remedy()]),
        }
        for (region, purpose) in
            [(Region::Us, Purpose::Card), (Region::Iso, Purpose::Sheet), (Region::Us, Purpose::Envelope)]
        {
            match Size::read(text, unit, region, purpose) {
                Ok(size) => assert!(size.short().is_positive(), "seed {SEED}: {text:?}"),
                Err(why) => {
                    place_is_in(text, &why.at, [why.to_string(), why.remedy()]);
                    if let SizeErrorKind::Name(name) = why.kind {
                        assert_eq!(Named::lookup(text, region, purpose), Err(name), "seed {SEED}: {text:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn crumbs_of_lengths_and_names_in_any_order() {
    let mut random = Seeded::new(SEED);
    for _ in 0..4_000 {
        let count = random.between(0, 9);
        let text: String = (0..count).map(|_| random.one_of(&CRUMBS)).collect();
        try_all(&text);
    }
}

#[test]
fn random_bytes() {
    let mut random = Seeded::new(SEED);
    for _ in 0..4_000 {
        let count = random.between(0, 24);
        let bytes: Vec<u8> = (0..count).map(|_| random.next().to_le_bytes()[0]).collect();
        try_all(&String::from_utf8_lossy(&bytes));
    }
}

#[test]
fn absurd_lengths_of_text() {
    for crumb in CRUMBS {
        try_all(&crumb.repeat(10_000));
    }
    try_all(&format!("1/{}", "9".repeat(100_000)));
    try_all(&format!("{}/64", "9".repeat(100_000)));
    try_all(&format!("0.{}1", "0".repeat(100_000)));
}

//! What class a sealed envelope travels in, by the limits that operators publish.
//!
//! Sizes, thickness, weight and shape only, each profile with its date; no prices, since they change.
//! Postal rules change too: every answer says to check with the post office. All limits are inclusive.

use super::Weight;
use api::units::{Length, Size};

/// What every answer ends with.
pub const CHECK: &str = "check with your post office";

/// What is posted: the sealed envelope with the card in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Posted {
    /// Flat, measured outside.
    pub size: Size,
    /// At its thickest.
    pub thickness: Length,
    /// In all.
    pub weight: Weight,
    /// Whether its thickness is uneven, as with gems or buttons.
    pub evenness: Evenness,
    /// How the address stands.
    pub address: Address,
    /// Whether it bends.
    pub bend: Bend,
}

/// Whether the thickness is even.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Evenness {
    /// As flat layers are.
    #[default]
    Even,
    /// With bumps: gems, buttons, shaker parts.
    Uneven,
}

/// Which side the address runs along.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Address {
    /// The long side, as usual.
    #[default]
    AlongLong,
    /// The short side: an upright envelope.
    AlongShort,
}

/// Whether it bends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bend {
    /// As paper does.
    #[default]
    Bends,
    /// Stiff, as with board in it.
    Stiff,
}

/// A class by one operator's limits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Class {
    /// Whose limits.
    pub profile: &'static str,
    /// The class, in the operator's words.
    pub class: &'static str,
    /// Whether their machines take it; `None` where the operator makes no such difference in its classes.
    pub machinable: Option<bool>,
    /// Why, the deciding limit first; the last is always [`CHECK`].
    pub why: Vec<String>,
    /// The date of the limits, as far as they are dated.
    pub as_of: &'static str,
}

/// The class by every profile.
#[must_use]
pub fn classes(posted: &Posted) -> Vec<Class> {
    vec![united_states(posted), united_kingdom(posted), canada(posted), germany(posted), postal_union(posted)]
}

const fn mm(count: i64) -> Length {
    Length::micrometres(count * 1_000)
}

/// Thousandths of an inch, exactly.
const fn mils(count: i64) -> Length {
    Length::from_nanometres(count * 25_400)
}

/// A box of limits: what is longest, shortest and thickest.
struct Limits {
    length: Length,
    width: Length,
    thickness: Length,
    weight: Weight,
}

impl Limits {
    const fn metric(length: i64, width: i64, thickness: i64, grams: i64) -> Self {
        Self { length: mm(length), width: mm(width), thickness: mm(thickness), weight: Weight::grams(grams) }
    }

    /// What goes beyond them.
    fn beyond(&self, posted: &Posted, of: &str) -> Vec<String> {
        let mut why = Vec::new();
        let mut check = |is: Length, most: Length, what: &str| {
            if is > most {
                why.push(format!("{} mm {what}, over the {} mm of {of}", is.to_mm_decimal(), most.to_mm_decimal()));
            }
        };
        check(posted.size.long(), self.length, "long");
        check(posted.size.short(), self.width, "wide");
        check(posted.thickness, self.thickness, "thick");
        if posted.weight > self.weight {
            why.push(format!("{}, over the {} of {of}", posted.weight, self.weight));
        }
        why
    }
}

/// What falls short of a least length and width.
fn short_of(posted: &Posted, length: Length, width: Length, of: &str) -> Vec<String> {
    let mut why = Vec::new();
    let mut check = |is: Length, least: Length, what: &str| {
        if is < least {
            why.push(format!("{} mm {what}, under the {} mm of {of}", is.to_mm_decimal(), least.to_mm_decimal()));
        }
    };
    check(posted.size.long(), length, "long");
    check(posted.size.short(), width, "wide");
    why
}

fn class(profile: &'static str, class: &'static str, mut why: Vec<String>, as_of: &'static str) -> Class {
    why.push(CHECK.to_owned());
    Class { profile, class, machinable: None, why, as_of }
}

/// Whether the long side is at least 1.4 times the short one.
fn is_long_enough(posted: &Posted) -> bool {
    posted.size.long() * 10 >= posted.size.short() * 14
}

const NOT_LONG: &str = "less than 1.4 times as long as wide";

/// United States: Domestic Mail Manual 101, retail letters and flats, edition updated 9 July 2023
/// (shape and aspect: 101.1.1 and 1.2); uneven contents: 2010 edition; stiffness and upright address:
/// press report of USPS News Link, January 2010; flats: USPS employee news, August 2018.
fn united_states(posted: &Posted) -> Class {
    const AS_OF: &str = "2023-07-09";
    let (long, short, thick) = (posted.size.long(), posted.size.short(), posted.thickness);
    let inches = |length: Length| length.exact(api::units::Unit::Inch);
    let mut why = Vec::new();
    if thick <= mils(250) && (long < mils(5_000) || short < mils(3_500) || thick < mils(7)) {
        why.push(format!(
            "{} x {} and {} thick, and the least is 5 x 3 1/2 in and 0.007 in thick",
            inches(long),
            inches(short),
            inches(thick)
        ));
        return class("usps", "nonmailable", why, AS_OF);
    }
    let mut over = |is: bool, words: String| {
        if is {
            why.push(words);
        }
        is
    };
    let ounces = |tenths: i64| Weight::micrograms(28_349_523 * tenths / 10);
    let letter = [
        over(long > mils(11_500), format!("{} long, and a letter is at most 11 1/2 in", inches(long))),
        over(short > mils(6_125), format!("{} high, and a letter is at most 6 1/8 in", inches(short))),
        over(thick > mils(250), format!("{} thick, and a letter is at most 1/4 in", inches(thick))),
        over(posted.weight > ounces(35), format!("{}, and a letter is at most 3.5 oz (99.2 g)", posted.weight)),
    ];
    if letter.iter().any(|over| *over) {
        let flat = [
            over(long > mils(15_000), format!("{} long, and a flat is at most 15 in", inches(long))),
            over(short > mils(12_000), format!("{} high, and a flat is at most 12 in", inches(short))),
            over(thick > mils(750), format!("{} thick, and a flat is at most 3/4 in", inches(thick))),
            over(posted.weight > ounces(130), format!("{}, and a flat is at most 13 oz", posted.weight)),
            over(posted.bend == Bend::Stiff, "stiff, and a flat must bend".to_owned()),
        ];
        let name = if flat.iter().any(|over| *over) { "parcel" } else { "flat" };
        if name == "flat" && posted.evenness == Evenness::Uneven {
            why.push("a flat must be even to within 1/4 in, or it is a parcel".to_owned());
        }
        return class("usps", name, why, AS_OF);
    }
    let (along, across) = match posted.address {
        Address::AlongLong => (long, short),
        Address::AlongShort => (short, long),
    };
    // In thousandths, rounded to the nearest; the test itself is exact.
    let aspect = (along.nanometres() * 1_000 + across.nanometres() / 2) / across.nanometres().max(1);
    let aspect = format!("length divided by height is {}.{:03}", aspect / 1_000, aspect % 1_000);
    let not = [
        over(along * 10 < across * 13, format!("{aspect}, below 1.3")),
        over(along * 10 > across * 25, format!("{aspect}, above 2.5")),
        over(posted.evenness == Evenness::Uneven, "uneven thickness".to_owned()),
        over(posted.bend == Bend::Stiff, "stiff".to_owned()),
        over(posted.address == Address::AlongShort, "address parallel to the short side".to_owned()),
        over(
            (long > mils(6_000) || short > mils(4_250)) && thick < mils(9),
            "thinner than 0.009 in at this size".to_owned(),
        ),
    ];
    let machinable = !not.iter().any(|not| *not);
    if !machinable {
        why.push("a letter their machines cannot take costs extra".to_owned());
    }
    Class { machinable: Some(machinable), ..class("usps", "letter", why, AS_OF) }
}

/// United Kingdom: sizes by the regulator's consumer help page (undated), weights by several pages
/// that agree.
fn united_kingdom(posted: &Posted) -> Class {
    const AS_OF: &str = "undated";
    let letter = Limits::metric(240, 165, 5, 100).beyond(posted, "a letter");
    if letter.is_empty() {
        return class("royal-mail", "letter", letter, AS_OF);
    }
    let large = Limits::metric(353, 250, 25, 750).beyond(posted, "a large letter");
    if large.is_empty() {
        return class("royal-mail", "large letter", letter, AS_OF);
    }
    class("royal-mail", "parcel", large, AS_OF)
}

/// Canada: the operator's size page (undated) and postal guide (text effective 11 January 2021).
fn canada(posted: &Posted) -> Class {
    const AS_OF: &str = "2021-01-11";
    let mut least = short_of(posted, mm(140), mm(90), "lettermail");
    if posted.thickness < Length::micrometres(180) {
        least.push("thinner than 0.18 mm".to_owned());
    }
    if posted.weight < Weight::grams(2) {
        least.push("lighter than 2 g".to_owned());
    }
    if !least.is_empty() {
        return class("canada-post", "below minimum", least, AS_OF);
    }
    let standard = Limits::metric(245, 156, 5, 50).beyond(posted, "standard lettermail");
    if standard.is_empty() {
        return class("canada-post", "standard", standard, AS_OF);
    }
    let other = Limits::metric(380, 270, 20, 500).beyond(posted, "other lettermail");
    if other.is_empty() {
        class("canada-post", "other", standard, AS_OF)
    } else {
        class("canada-post", "parcel", other, AS_OF)
    }
}

/// Germany: sizes of the larger two by the operator's help page (undated), the rest by the press of 2025.
fn germany(posted: &Posted) -> Class {
    const AS_OF: &str = "2025";
    let profile = "deutsche-post";
    let fits = |limits: Limits, least: (i64, i64), of: &str| {
        let mut why = limits.beyond(posted, of);
        why.extend(short_of(posted, mm(least.0), mm(least.1), of));
        why
    };
    let long = |mut why: Vec<String>| {
        if !is_long_enough(posted) {
            why.push(NOT_LONG.to_owned());
        }
        why
    };
    let standard = long(fits(Limits::metric(235, 125, 5, 20), (140, 90), "a Standardbrief"));
    if standard.is_empty() {
        return class(profile, "Standardbrief", standard, AS_OF);
    }
    let compact = long(fits(Limits::metric(235, 125, 10, 50), (100, 70), "a Kompaktbrief"));
    if compact.is_empty() {
        return class(profile, "Kompaktbrief", standard, AS_OF);
    }
    let large = fits(Limits::metric(353, 250, 20, 500), (100, 70), "a Großbrief");
    if large.is_empty() {
        return class(profile, "Großbrief", compact, AS_OF);
    }
    let maxi = fits(Limits::metric(353, 250, 50, 1_000), (100, 70), "a Maxibrief");
    if maxi.is_empty() {
        return class(profile, "Maxibrief", large, AS_OF);
    }
    let too_small = !short_of(posted, mm(100), mm(70), "a letter").is_empty();
    class(profile, if too_small { "below minimum" } else { "parcel" }, maxi, AS_OF)
}

/// Abroad: the letter-post rules of the Universal Postal Union as repeated by three national operators
/// (undated), with their tolerance of 2 mm. They disagree on 120 or 125 mm for the standardised width.
fn postal_union(posted: &Posted) -> Class {
    const AS_OF: &str = "undated";
    let profile = "upu";
    let least = short_of(posted, mm(138), mm(88), "letter-post (90 x 140 mm, less 2)");
    if !least.is_empty() {
        return class(profile, "below minimum", least, AS_OF);
    }
    let mut standard =
        Limits::metric(237, 122, 5, 20).beyond(posted, "a standardised letter (120 x 235 mm, and 2 more)");
    if !is_long_enough(posted) {
        standard.push(NOT_LONG.to_owned());
    }
    if standard.is_empty() {
        return class(profile, "standardised", standard, AS_OF);
    }
    if posted.size.short() > mm(122) && posted.size.short() <= mm(127) {
        standard.push("sources disagree whether 120 or 125 mm is the widest: ask".to_owned());
    }
    let sum = posted.size.long() + posted.size.short() + posted.thickness;
    if sum <= mm(902) && posted.size.long() <= mm(602) && posted.weight <= Weight::grams(2_000) {
        return class(profile, "letter-post", standard, AS_OF);
    }
    class(
        profile,
        "parcel",
        vec!["larger or heavier than letter-post: 900 mm in sum, 600 mm long, 2 kg".to_owned()],
        AS_OF,
    )
}

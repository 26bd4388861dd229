//! What a scorer says of itself: its name, its terms and their ranges, its knobs.

use crate::Worth;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The version of this contract. A scorer written for another one is refused by name.
pub const API_VERSION: u32 = 1;

/// How a scorer's terms on one card become one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gather {
    /// Every term counts alike. A term without an opinion counts as the manifest's `neutral`.
    Mean,
    /// The card is as good as its weakest term. Terms without an opinion are passed over; where
    /// none is left the value is the manifest's `neutral`.
    Weakest,
}

/// The highest worth each kind of term can have; `None` where the scorer never gives that term.
///
/// The search uses these as bounds, so an answer above its range is a defect of the scorer: the
/// host cuts it down to the range and says so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ranges {
    /// One piece in its place.
    pub piece: Option<Worth>,
    /// A paper in a role, whatever its size and wherever it is cut from; always gathered by the weakest.
    pub in_role: Option<Worth>,
    /// A mat and the panel that lies on it.
    pub mat_behind: Option<Worth>,
    /// Two papers that meet on the card, with no mat between them.
    pub touching: Option<Worth>,
    /// Two patterned papers anywhere on one card.
    pub same_card: Option<Worth>,
    /// The card as a whole.
    pub card: Option<Worth>,
}

/// A number of a scorer that the maker may turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Knob {
    /// Its key in the settings, in kebab-case.
    pub name: Cow<'static, str>,
    /// What turning it up does, in a maker's words.
    pub meaning: Cow<'static, str>,
    /// The least it may be.
    pub low: f64,
    /// The most it may be.
    pub high: f64,
    /// What it is until she turns it.
    pub default: f64,
}

impl Knob {
    /// A knob of a native scorer: its key, what turning it up does, its range from low to high, its default.
    #[must_use]
    pub const fn new(name: &'static str, meaning: &'static str, range: (f64, f64), default: f64) -> Self {
        Self { name: Cow::Borrowed(name), meaning: Cow::Borrowed(meaning), low: range.0, high: range.1, default }
    }
}

/// The knobs as the maker has set them; those she left alone are absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Knobs(pub BTreeMap<String, f64>);

impl Knobs {
    /// The value of `knob`: hers if she set one, kept within the knob's range, else the default.
    #[must_use]
    pub fn value(&self, knob: &Knob) -> f64 {
        self.0
            .get(knob.name.as_ref())
            .copied()
            .filter(|set| set.is_finite())
            .unwrap_or(knob.default)
            .clamp(knob.low, knob.high)
    }
}

/// What a scorer says of itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Manifest {
    /// Its key in settings and JSON, in kebab-case: `colour-harmony`.
    pub name: String,
    /// What it judges, in a few of a maker's words: "colours that sit well together".
    pub title: String,
    /// Its own version, changed whenever an answer may change: answers are kept by it.
    pub version: u32,
    /// The version of the contract it was written for; see [`API_VERSION`].
    pub api_version: u32,
    /// How its terms become one value.
    pub gather: Gather,
    /// What it is worth where it has nothing to say.
    pub neutral: Worth,
    /// Which terms it gives and how high they go.
    pub ranges: Ranges,
    /// How much it counts beside the others until she says otherwise; 0 is off.
    pub weight: f64,
    /// What she may turn.
    pub knobs: Vec<Knob>,
}

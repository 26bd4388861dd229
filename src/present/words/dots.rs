//! Finishing dots in words: the step that sets them, and what to mind.

use super::steps::{GLUE, SMALL, Telling};
use crate::assemble::DotsSet;
use crate::score::{Suggestion, Table};
use crate::stash::Dots;

/// What to mind where a card's occasion is one of a young child's.
const YOUNG: &str = "this card may be for a young child: leave the dots off, for they can be swallowed, and draw dots with a pen instead";

/// Words in an occasion that tell of a young child. Common practice, no source.
const CHILDS: [&str; 9] =
    ["baby", "babies", "child", "children", "toddler", "nursery", "christening", "baptism", "first birthday"];

/// The dots of a card as they are in the stash.
#[must_use]
pub fn dots_of<'a>(table: Table<'a>, set: Option<&'a DotsSet>) -> Option<(&'a DotsSet, &'a Dots)> {
    set.and_then(|set| Some((set, table.dots.get(set.of)?)))
}

/// "one", "three", "five": as many as are in a group.
#[must_use]
pub fn how_many(count: u32) -> String {
    match count {
        1 => "one".to_owned(),
        3 => "three".to_owned(),
        5 => "five".to_owned(),
        other => other.to_string(),
    }
}

/// Why these dots: "they take up a colour of Small leaves".
#[must_use]
pub fn why_dots(table: Table<'_>, set: &DotsSet) -> String {
    match set.takes_up {
        Some(face) => format!("they take up a colour of {}", table.index.face(face).view.name),
        None => "a neutral pearl goes with any card".to_owned(),
    }
}

/// Whether a card is for an occasion of a young child.
#[must_use]
pub fn is_for_a_young_child(table: Table<'_>, card: &Suggestion) -> bool {
    let occasions = table.layouts.get(card.layout).map_or(&[][..], |layout| &layout.occasions);
    let tells = |occasion: &String| {
        let occasion = occasion.to_lowercase();
        let words: Vec<&str> = occasion.split(|letter: char| !letter.is_alphanumeric()).collect();
        CHILDS.iter().any(|word| if word.contains(' ') { occasion.contains(word) } else { words.contains(word) })
    };
    occasions.iter().any(tells)
}

impl Telling<'_> {
    /// Setting the dots, and what to mind.
    pub(super) fn dots(&self, layer: usize) -> (&'static str, String, Vec<&'static str>) {
        let Some((set, dots)) = dots_of(self.table, self.built.dots.as_ref()) else {
            return ("dots", String::new(), vec![]);
        };
        let at: Vec<String> = set
            .spots
            .iter()
            .map(|spot| {
                // Middles lie on marks of the ruler, so nothing is rounded.
                let (across, down) = (spot.left + spot.width().half(), spot.top + spot.height().half());
                format!("{} from the left and {} from the top", self.length(across), self.length(down))
            })
            .collect();
        let (middles, their) = if set.count() == 1 { ("middle", "its") } else { ("middles", "their") };
        let text = format!(
            "When all is dry, set {} of {} ({}), {} across, on {}, {their} {middles} {} of the card. A drop of liquid glue for each, or {their} own backing; press, and leave to dry flat. No more than an ornament: leave them off if you like.",
            how_many(set.count()),
            dots.name,
            dots.id,
            dots.diameter.exact(api::units::Unit::Millimetre),
            self.the(layer),
            at.join("; "),
        );
        let mut cautions = vec![SMALL, GLUE];
        if is_for_a_young_child(self.table, self.card) {
            cautions.push(YOUNG);
        }
        ("dots", text, cautions)
    }
}

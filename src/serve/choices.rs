//! What a page asks for, read from its address and written into one: the address *is* the choice, so
//! that going back goes back, and a page that was kept can be opened again.

use crate::room::Choices;
use crate::stash::Settings;
use api::units::{Purpose, Size};
use form_urlencoded::Serializer;

/// How many cards a page shows at first.
const LIST: usize = 12;
/// The most it shows.
const MOST_LIST: usize = 60;
/// The most copies of a card that are asked for.
const MOST_EACH: u32 = 1000;
/// The most ids that are read of one kind.
const MOST_IDS: usize = 40;

/// Choices, as asked and as text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Asking {
    /// What is asked of the room.
    pub(super) choices: Choices,
    /// The card sizes as they were written, in the order of `choices.cards`.
    sizes: Vec<String>,
}

/// Something in an address that cannot be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Unclear {
    /// What is wrong.
    pub(super) what: String,
    /// What to write instead.
    pub(super) remedy: String,
}

impl Asking {
    /// Cards of anything on hand.
    pub(super) fn for_everything(scraps_first: bool) -> Self {
        Self { choices: Choices { scraps_first, ..Choices::default() }, ..Self::default() }
    }

    /// Reads the pairs of a query: `use`, `without`, `card`, `layout`, `each`, `list`, `scraps`.
    pub(super) fn read(query: &[(String, String)], settings: &Settings) -> Result<Self, Unclear> {
        let mut asking = Self { choices: Choices { list: Some(LIST), ..Choices::default() }, sizes: Vec::new() };
        let choices = &mut asking.choices;
        for (key, value) in query {
            let value = value.trim();
            if value.is_empty() {
                continue;
            }
            let note = |list: &mut Vec<String>| {
                if !list.iter().any(|known| known == value) && list.len() < MOST_IDS {
                    list.push(value.to_owned());
                }
            };
            match key.as_str() {
                "use" => note(&mut choices.must_use),
                "without" => note(&mut choices.leave_out),
                "layout" => note(&mut choices.layouts),
                "card" => {
                    let size = Size::read(value, settings.unit, settings.region, Purpose::Card).map_err(|why| {
                        Unclear { what: format!("“{value}” is no card size: {why}"), remedy: why.remedy() }
                    })?;
                    if !choices.cards.contains(&size) && choices.cards.len() < MOST_IDS {
                        choices.cards.push(size);
                        asking.sizes.push(value.to_owned());
                    }
                }
                "each" => choices.copies = Some(number(key, value, MOST_EACH)?).filter(|each| *each > 1),
                "list" => {
                    let list = number(key, value, u32::try_from(MOST_LIST).unwrap_or(u32::MAX))?;
                    choices.list = Some(list as usize);
                }
                "scraps" => choices.scraps_first = true,
                _ => {}
            }
        }
        // What must be used cannot be left out: the later word counts, and that is the last one asked.
        let Choices { must_use, leave_out, .. } = choices;
        leave_out.retain(|id| !must_use.contains(id));
        Ok(asking)
    }

    /// Only this layout.
    pub(super) fn of_layout(id: &str) -> Self {
        Self { choices: Choices { layouts: vec![id.to_owned()], ..Choices::default() }, sizes: Vec::new() }
    }

    /// The same as a query, always in the same order.
    pub(super) fn query(&self) -> String {
        let mut out = Serializer::new(String::new());
        let choices = &self.choices;
        for id in &choices.must_use {
            out.append_pair("use", id);
        }
        for id in &choices.leave_out {
            out.append_pair("without", id);
        }
        for id in &choices.layouts {
            out.append_pair("layout", id);
        }
        for size in &self.sizes {
            out.append_pair("card", size);
        }
        if let Some(each) = choices.copies {
            out.append_pair("each", &each.to_string());
        }
        if let Some(list) = choices.list.filter(|list| *list != LIST) {
            out.append_pair("list", &list.to_string());
        }
        if choices.scraps_first {
            out.append_pair("scraps", "1");
        }
        out.finish()
    }

    /// The address of a page with these choices.
    pub(super) fn at(&self, page: &str) -> String {
        let query = self.query();
        if query.is_empty() { page.to_owned() } else { format!("{page}?{query}") }
    }

    /// With this to be used, and so not left out.
    pub(super) fn using(&self, id: &str) -> Self {
        let mut other = self.without_word_of(id);
        other.choices.must_use.push(id.to_owned());
        other
    }

    /// With this left out, and so not to be used.
    pub(super) fn leaving_out(&self, id: &str) -> Self {
        let mut other = self.without_word_of(id);
        other.choices.leave_out.push(id.to_owned());
        other
    }

    /// With nothing said of this.
    pub(super) fn without_word_of(&self, id: &str) -> Self {
        let mut other = self.clone();
        other.choices.must_use.retain(|known| known != id);
        other.choices.leave_out.retain(|known| known != id);
        other.choices.layouts.retain(|known| known != id);
        other
    }

    /// With so many cards listed.
    pub(super) fn listing(&self, list: usize) -> Self {
        let mut other = self.clone();
        other.choices.list = Some(list.min(MOST_LIST));
        other
    }

    /// Twice as many cards, if so many are ever listed.
    pub(super) fn more(&self) -> Option<Self> {
        let list = self.choices.list.unwrap_or(LIST);
        (list < MOST_LIST).then(|| self.listing(list * 2))
    }

    /// Whether a card size is among those asked for.
    pub(super) fn asks_for(&self, size: Size) -> bool {
        self.choices.cards.iter().any(|asked| *asked == size || *asked == size.turned())
    }
}

fn number(key: &str, value: &str, most: u32) -> Result<u32, Unclear> {
    value.parse::<u32>().ok().filter(|number| (1..=most).contains(number)).ok_or_else(|| Unclear {
        what: format!("“{value}” is no number for `{key}`"),
        remedy: format!("a whole number from 1 to {most}"),
    })
}

/// Pairs as a query.
pub(super) fn query_of(pairs: &[(String, String)]) -> String {
    let mut out = Serializer::new(String::new());
    out.extend_pairs(pairs.iter().take(2 * MOST_IDS));
    out.finish()
}

/// A part of a path, written so that it is one part again when it is read.
pub(super) fn part(text: &str) -> String {
    // As in a query, but a space must not be written as a plus sign.
    form_urlencoded::byte_serialize(text.as_bytes()).collect::<String>().replace('+', "%20")
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Region;

    fn read(text: &str) -> Result<Asking, Unclear> {
        let pairs: Vec<(String, String)> = form_urlencoded::parse(text.as_bytes()).into_owned().collect();
        Asking::read(&pairs, &Settings::of(Region::Us))
    }

    #[test]
    fn what_is_asked_reads_back_the_same() {
        let asked = read("use=a%2Fb&without=c+d&card=A2&card=5+x+7+in&each=3&list=24&scraps=1&layout=pier").unwrap();
        assert_eq!(read(&asked.query()).unwrap(), asked);
        assert_eq!(asked.choices.cards.len(), 2);
        assert_eq!(read("").unwrap().query(), "");
    }

    #[test]
    fn a_thing_is_used_or_left_out_and_never_both() {
        let asked = read("use=a&without=a").unwrap();
        assert_eq!(asked.query(), "use=a");
        assert_eq!(asked.leaving_out("a").query(), "without=a");
        assert_eq!(asked.leaving_out("a").using("a").query(), "use=a");
        assert_eq!(asked.without_word_of("a").query(), "");
    }

    #[test]
    fn what_cannot_be_is_told() {
        for bad in ["card=huge", "each=0", "each=many", "list=1000000"] {
            assert!(read(bad).is_err(), "{bad}");
        }
        assert!(read("unheard-of=1&use=").is_ok());
    }
}

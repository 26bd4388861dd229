//! `envelope`: the size, thickness and weight of a card in; which envelopes it fits and how it is
//! posted out. It needs no stash.

use super::args::{Common, Envelope as Asked, UnitWord};
use super::console::Console;
use super::suggest::size;
use super::trouble::Trouble;
use crate::construct::envelope::{envelopes, made_to_measure, sits};
use crate::construct::post::{Address, Bend, Evenness, Posted, classes};
use crate::construct::{Fit, Weight};
use crate::present::{json, text};
use crate::problem::quoted;
use crate::stash::Settings;
use api::units::{Length, Named, Purpose, Region, Unit};

/// The thickest card that is asked about: 30 cm.
const THICKEST: Length = Length::micrometres(300_000);

/// `envelope SIZE`.
pub(super) fn envelope(console: &Console, common: &Common, asked: &Asked) -> Result<(), Trouble> {
    let settings = settings(common);
    let card = size("the card", &asked.card, &settings, Purpose::Card)?;
    let thickness = thickness(&asked.thickness, &settings)?;
    let weight = Weight::parse(&asked.weight).map_err(|why| {
        Trouble::input(format!("--weight {}: {why}", quoted(&asked.weight)), "write grams or ounces: `18g`, `0.6 oz`")
    })?;
    let outer = match &asked.outer {
        Some(outer) => Some(size("--outer", outer, &settings, Purpose::Envelope)?),
        None => None,
    };
    let fitting = match outer {
        Some(outer) => vec![sits(name_of(outer, &settings), outer, card, thickness)],
        None => envelopes(card, thickness, settings.region),
    };
    let classed = match (outer, fitting.first()) {
        (Some(outer), _) => (name_of(outer, &settings), outer.upright()),
        (None, Some(first)) => (first.name.clone(), first.size),
        (None, None) => ("one made to measure".to_owned(), made_to_measure(card, thickness)),
    };
    let posted = Posted {
        size: classed.1,
        thickness,
        weight,
        evenness: if asked.uneven { Evenness::Uneven } else { Evenness::Even },
        address: if asked.upright { Address::AlongShort } else { Address::AlongLong },
        bend: if asked.stiff { Bend::Stiff } else { Bend::Bends },
    };
    let classes = classes(&posted);
    if let Some(envelope) = fitting.iter().find(|envelope| envelope.fit == Fit::NoFit) {
        console.tell(&format!("note: the card does not go into {}", envelope.name));
    }
    if common.json {
        return console.print_data(json::envelope(&fitting, &classes).as_bytes());
    }
    let words = format!("{} and {} thick", card.exact(settings.unit), thickness.exact(settings.unit));
    let classed = (classed.0.as_str(), classed.1);
    console.print(&text::envelope(&words, &fitting, classed, &classes, settings.unit, console.look()))
}

/// Our settings, in the unit asked for.
fn settings(common: &Common) -> Settings {
    let unit = common.unit.map_or(Unit::Inch, UnitWord::unit);
    Settings::of(if unit == Unit::Millimetre { Region::Iso } else { Region::Us })
}

fn thickness(text: &str, settings: &Settings) -> Result<Length, Trouble> {
    let wrong = |why: String, remedy: String| Trouble::input(format!("--thickness {}: {why}", quoted(text)), remedy);
    let thickness = Length::parse(text, settings.unit).map_err(|why| wrong(why.to_string(), why.remedy()))?;
    if !thickness.is_positive() {
        return Err(wrong("a card is thicker than nothing".to_owned(), "measure a finished card: `1.5mm`".to_owned()));
    }
    if thickness > THICKEST {
        return Err(wrong("no card is thicker than 30 cm".to_owned(), "write its unit: `3mm`, `1/8 in`".to_owned()));
    }
    Ok(thickness)
}

/// The name of an envelope, or its size.
fn name_of(outer: api::units::Size, settings: &Settings) -> String {
    Named::of(outer, settings.region, Purpose::Envelope)
        .filter(|named| named.purpose() == Purpose::Envelope)
        .map_or_else(|| outer.exact(settings.unit), Named::full_name)
}

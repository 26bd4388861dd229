//! `colour`: two colours in, what they are and how they sit together out. Needs no stash.

use super::args::Common;
use super::colour_args::{Colours, Written};
use super::console::Console;
use super::trouble::Trouble;
use crate::present::{json, text};
use crate::problem::quoted;
use crate::score::pair_facts;
use crate::stash::file::{lab_of, read_colour};
use api::Colour;

/// `colour A B`.
pub(super) fn colour(console: &Console, common: &Common, asked: &Colours) -> Result<(), Trouble> {
    let read = |written: &Written| match written {
        Written::Words(text) => from_words(text),
        Written::Lab(text) => from_lab(text),
    };
    let colours: Vec<Colour> = asked.given.iter().map(read).collect::<Result<_, _>>()?;
    let &[one, other] = colours.as_slice() else {
        let given = match colours.len() {
            0 => "no colour is given".to_owned(),
            1 => "one colour is given".to_owned(),
            more => format!("{more} colours are given"),
        };
        return Err(Trouble::input(
            format!("{given}, and `colour` tells about two"),
            "write two, as `colour aa3322 ffeedd`, or `colour --lab 42,50,35 --lab 95,2,10`",
        ));
    };
    let facts = pair_facts(one, other);
    if common.json {
        console.print_data(json::colour(&facts).as_bytes())
    } else {
        console.print(&text::colour(&facts, console.look()))
    }
}

/// `#aa3322`, `aa3322` or `lab(42, 50, 35)`.
pub(super) fn from_words(text: &str) -> Result<Colour, Trouble> {
    let text = text.trim();
    read_colour(text).or_else(|| read_colour(&format!("#{text}"))).ok_or_else(|| {
        Trouble::input(
            format!("{} is not a colour", quoted(text)),
            "write six digits from 0 to f, as `\"#aa3322\"` or `aa3322`, or use `--lab L,a,b`",
        )
    })
}

/// `42,50,35`.
pub(super) fn from_lab(text: &str) -> Result<Colour, Trouble> {
    let parts: Option<Vec<f64>> = text.split(',').map(|part| part.trim().parse().ok()).collect();
    parts.as_deref().and_then(lab_of).ok_or_else(|| {
        Trouble::input(
            format!("{} is not a colour in CIELAB", quoted(text)),
            "write lightness from 0 to 100, then a and b from -150 to 150, as `--lab 42,50,35`",
        )
    })
}

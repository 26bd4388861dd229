//! The contact sheet: every suggestion as a picture of the card with its reasons, in one file that
//! opens without a network.
//!
//! A room and its answer in; a page out that carries its pictures in itself, shows each paper's once,
//! and has no script. It says in its own head that nothing may be fetched.

mod almost;
mod card;
mod why;

use super::xml::{Defs, escape, mm};
use super::{Pictures, Scene, capital};
use crate::room::Room;
use crate::score::Answer;
use crate::stash::Copies;
use api::Material;
use api::units::{Length, Size};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// What the browser is told: nothing from anywhere, pictures and style only from the page itself.
const POLICY: &str =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// The whole page; `heading` is what the maker calls this stash.
#[must_use]
pub fn contact_sheet(room: &Room, answer: &Answer, pictures: &Pictures, heading: &str) -> String {
    let scene = Scene { stash: &room.stash, table: room.table(), pictures };
    let mut shared = Defs::new("s-");
    let mut cards = String::new();
    for (place, found) in answer.suggestions.iter().enumerate() {
        cards.push_str(&card::article(&scene, found, place + 1, &mut shared));
    }
    let almost = almost::section(&scene, answer);
    let defs = shared.text();
    let mut page = String::with_capacity(defs.len() + cards.len() + almost.len() + 20_000);
    let _ = write!(
        page,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <meta name=\"color-scheme\" content=\"light dark\"/>\n<title>{title}: cards to make</title>\n\
         <style>\n{style}{sizes}</style>\n</head>\n<body>\n\
         <a class=\"skip\" href=\"#cards\">Skip to the cards</a>\n\
         <svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\" focusable=\"false\"><defs>{defs}</defs></svg>\n\
         <div class=\"wrap\">\n{top}<main id=\"cards\">\n<div class=\"grid\">\n{cards}</div>\n{almost}</main>\n{foot}</div>\n\
         </body>\n</html>\n",
        title = escape(heading),
        style = include_str!("sheet.css"),
        sizes = sizes(answer),
        top = top(room, answer, heading),
        foot = foot(room),
    );
    page
}

/// The class of a card's size, so that all cards are shown to one scale and print at true size.
fn size_class(size: Size) -> String {
    format!("w{}h{}", size.width.nanometres(), size.height.nanometres())
}

/// All cards to one scale: the widest fills the frame, and every frame is as high as the highest needs.
fn sizes(answer: &Answer) -> String {
    let sizes: BTreeSet<(Length, Length)> =
        answer.suggestions.iter().map(|found| (found.network.card.width, found.network.card.height)).collect();
    let widest = sizes.iter().map(|(width, _)| *width).max().unwrap_or(Length::INCH).max(Length::MILLIMETRE);
    let highest = sizes.iter().map(|(_, height)| *height).max().unwrap_or(Length::INCH);
    let mut style = format!(".frame {{ aspect-ratio: {} / {}; }}\n", mm(widest), mm(highest));
    let mut print = String::from("@media print {\n.frame { aspect-ratio: auto; }\n");
    for (width, height) in sizes {
        let class = size_class(Size::new(width, height));
        // Per cent to two places, from whole numbers.
        let share = i128::from(width.nanometres()) * 10_000 / i128::from(widest.nanometres());
        let _ = writeln!(style, ".{class} svg {{ width: {}.{:02}%; }}", share / 100, share % 100);
        let _ =
            writeln!(print, ".{class} svg {{ width: {}mm; height: {}mm; max-width: none; }}", mm(width), mm(height));
    }
    style + &print + "}\n"
}

fn top(room: &Room, answer: &Answer, heading: &str) -> String {
    let cards = count(answer.suggestions.len(), "card");
    let (proof, cards) = match (answer.suggestions.is_empty(), answer.exact) {
        (true, true) => {
            ("No card can be made with these layouts: below is what each of them lacks.", "No cards".to_owned())
        }
        (true, false) => {
            ("No card was found in the work allowed; that none can be made is not proven.", "No cards".to_owned())
        }
        (false, true) => {
            ("The best there are, best first: it is proven that no other card would come before these.", cards)
        }
        (false, false) => {
            ("The best found in the work allowed, best first; that there are none better is not proven.", cards)
        }
    };
    let stash = &room.stash;
    let patterned = stash.papers.iter().filter(|paper| paper.material == Material::Patterned).count();
    let plain = stash.papers.len() - patterned;
    let images = stash.images.iter().filter(|image| image.copies != Copies::Exactly(0)).count();
    let mut facts = vec![
        count(stash.lines.len(), "line of stock"),
        count(patterned, "patterned paper"),
        format!("{plain} plain papers and cardstocks"),
        count(images, "image"),
        if room.built_in_layouts {
            count(room.layouts.len(), "built-in layout")
        } else {
            count(room.layouts.len(), "layout")
        },
    ];
    if !room.problems.is_empty() {
        facts.push(format!("{} in the files: run `swatchfold check`", count(room.problems.len(), "problem")));
    }
    let facts: String = facts.iter().map(|fact| format!("<li>{}</li>", escape(fact))).collect();
    format!(
        "<header class=\"top\">\n<h1><bdi>{}</bdi></h1>\n<p class=\"proof\">{cards} to make from what is on hand on {}. {proof}</p>\n\
         <p>Every card is drawn from your own papers, all to one scale; printed at 100 %, they come out at true size.</p>\n\
         <ul class=\"facts\">{facts}</ul>\n</header>\n",
        escape(heading),
        room.today,
    )
}

/// "1 card", "3 cards", "2 lines of stock".
fn count(number: usize, what: &str) -> String {
    if number == 1 {
        return format!("1 {what}");
    }
    match what.split_once(" of ") {
        Some((first, rest)) => format!("{number} {first}s of {rest}"),
        None => format!("{number} {what}s"),
    }
}

fn foot(room: &Room) -> String {
    let scorer = room.jury.members.last().map_or("use-up", |member| member.name());
    let weights: String = room
        .jury
        .members
        .iter()
        .map(|member| {
            let share = (member.share + 5_000) / 10_000;
            format!(
                "<li>{}: {share} % of the score (<code>{}</code>)</li>",
                escape(&capital(&member.scorer.manifest().title)),
                escape(member.name())
            )
        })
        .collect();
    format!(
        "<footer class=\"foot\">\n<section><h2>What counts, and how to change it</h2>\n<ul>{weights}</ul>\n\
         <p>In a settings file of the stash, a larger number counts more and 0 leaves a scorer out:</p>\n\
         <pre><code>kind = \"settings\"\n\n[scorers.{}]\nweight = 2</code></pre></section>\n\
         <section><h2>Before you cut</h2>\n<ul>\
         <li>Measure the sheet itself: what is listed may have been cut into since.</li>\n\
         <li>Blades: close or cover the trimmer when it is not in use, keep fingers behind the guard and off the rail, \
         cut away from yourself, and keep children and pets from the table.</li>\n\
         <li>Dies and presses: keep fingers clear of the rollers. Foam squares, gems and other small parts are not for small children.</li>\n\
         </ul></section>\n\
         <section class=\"check\"><h2>Check the print</h2>\n<p>Print at 100 %, without fitting to the page. \
         These bars are 1 in and 2 cm long.</p>\n{}</section>\n</footer>\n",
        escape(scorer),
        check_bars(),
    )
}

/// Two bars to lay a ruler against.
fn check_bars() -> String {
    let bar = |length: Length, y: &str, name: &str| {
        let long = mm(length);
        format!(
            "<path d=\"M1 {y}h{long}m0 -1.2v2.4M1 {y}m0 -1.2v2.4\"/><text x=\"{}\" y=\"{y}\" dy=\"1\" fill=\"#000\" stroke=\"none\">{name}</text>",
            mm(length + Length::MILLIMETRE * 3)
        )
    };
    format!(
        "<svg width=\"60mm\" height=\"12mm\" viewBox=\"0 0 60 12\" fill=\"none\" stroke=\"#000\" stroke-width=\".3\" \
         font-size=\"3\" role=\"img\" aria-label=\"bars of 1 in and 2 cm\">{}{}</svg>",
        bar(Length::INCH, "3", "1 in"),
        bar(Length::MILLIMETRE * 20, "9", "2 cm")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_are_counted_as_people_count_them() {
        assert_eq!(count(1, "line of stock"), "1 line of stock");
        assert_eq!(count(2, "line of stock"), "2 lines of stock");
        assert_eq!(count(0, "card"), "0 cards");
    }
}

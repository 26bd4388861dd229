//! The contact sheet: every suggestion as a picture of the card with its reasons, in one file that
//! opens without a network.
//!
//! A room and its answer in; a page out that carries its pictures in itself, shows each paper's once,
//! and has no script. It says in its own head that nothing may be fetched.

mod almost;
mod building;
mod card;
mod why;

pub use card::{Sections, sections};

use super::xml::{Defs, escape, mm};
use super::{Pictures, Scene, capital};
use crate::assemble::Bench;
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
    let frame = frame(answer);
    let bench = Bench::new(scene.table).for_copies(answer.copies);
    for (place, found) in answer.suggestions.iter().enumerate() {
        cards.push_str(&card::article(&scene, &bench, found, (place + 1, frame), &mut shared));
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

/// The class of a card's size, so that cards are shown to one scale and print at true size.
fn size_class(size: Size) -> String {
    format!("w{}h{}", size.width.nanometres(), size.height.nanometres())
}

/// The largest card shown to the scale of the others, 6 x 7 in: a slimline card would make all
/// others small.
const LARGEST: Size = Size::new(Length::micrometres(152_400), Length::micrometres(177_800));
/// The widest card that prints at true size on an upright sheet, with room for its margins.
const WIDEST_UPRIGHT: Length = Length::micrometres(185_000);

/// The widest card that has room for text beside it on an upright sheet.
const TEXT_BESIDE: Length = Length::micrometres(130_000);

/// The frame every card is shown in: as large as the largest, no larger than [`LARGEST`].
fn frame(answer: &Answer) -> Size {
    let sizes = || answer.suggestions.iter().map(|found| found.network.card);
    let widest = sizes().map(|size| size.width).max().unwrap_or(LARGEST.width);
    let highest = sizes().map(|size| size.height).max().unwrap_or(LARGEST.height);
    Size::new(widest.clamp(Length::MILLIMETRE, LARGEST.width), highest.clamp(Length::MILLIMETRE, LARGEST.height))
}

/// How wide a card is in its frame, in hundredths of a per cent: to the frame's scale, or smaller
/// where it would not fit.
fn share_of_frame(card: Size, frame: Size) -> i128 {
    let whole = |length: Length| i128::from(length.nanometres().max(1));
    let to_scale = whole(card.width) * 10_000 / whole(frame.width);
    let by_height = whole(card.width) * whole(frame.height) * 10_000 / (whole(card.height) * whole(frame.width));
    to_scale.min(by_height).min(10_000)
}

/// Whether a card is larger than its frame, and so shown to a smaller scale.
fn is_reduced(card: Size, frame: Size) -> bool {
    card.width > frame.width || card.height > frame.height
}

/// The sizes of all cards, on screen and in print.
fn sizes(answer: &Answer) -> String {
    let frame = frame(answer);
    let sizes: BTreeSet<(Length, Length)> =
        answer.suggestions.iter().map(|found| (found.network.card.width, found.network.card.height)).collect();
    let mut style = format!(".frame {{ aspect-ratio: {} / {}; }}\n", mm(frame.width), mm(frame.height));
    let mut print = String::from("@media print {\n.frame { aspect-ratio: auto; }\n");
    for (width, height) in sizes {
        let size = Size::new(width, height);
        let class = size_class(size);
        let share = share_of_frame(size, frame);
        let _ = writeln!(style, ".{class} svg {{ width: {}.{:02}%; }}", share / 100, share % 100);
        print.push_str(&printed(&class, size));
    }
    format!("{style}{print}}}\n")
}

/// How a card of a size is printed: at true size, with the text beside it where there is room, below
/// it where there is not; turned a quarter where it is wider than an upright sheet.
fn printed(class: &str, size: Size) -> String {
    let (width, height) = (mm(size.width), mm(size.height));
    if size.width > WIDEST_UPRIGHT && size.height <= WIDEST_UPRIGHT {
        return format!(
            ".{class} {{ width: {height}mm; height: {width}mm; position: relative; overflow: hidden; }}\n\
             .{class} svg {{ width: {width}mm; max-width: none; position: absolute; left: 0; top: 0; transform-origin: 0 0; \
             transform: translate({height}mm, 0) rotate(90deg); }}\n"
        );
    }
    let below = format!(
        ".card:has(.{class}) .desk {{ float: none; margin-right: 0; }}\n\
         .card:has(.{class}) .told {{ columns: 2; column-gap: 6mm; }}\n"
    );
    format!(".{class} svg {{ width: {width}mm; }}\n{}", if size.width > TEXT_BESIDE { below.as_str() } else { "" })
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
    let frame = frame(answer);
    let scale = if answer.suggestions.iter().any(|found| is_reduced(found.network.card, frame)) {
        "all to one scale but the longest, which say so"
    } else {
        "all to one scale"
    };
    let facts: String = facts.iter().map(|fact| format!("<li>{}</li>", escape(fact))).collect();
    format!(
        "<header class=\"top\">\n<h1><bdi>{}</bdi></h1>\n<p class=\"proof\">{cards} to make from what is on hand on {}. {proof}</p>\n\
         <p>Every card is drawn from your own papers, {scale}; printed at 100 %, they come out at true size.</p>\n\
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
    fn a_long_card_is_shown_whole_in_the_frame_of_the_others() {
        let frame = Size::new(Length::MILLIMETRE * 120, Length::MILLIMETRE * 160);
        let card = |width, height| Size::new(Length::MILLIMETRE * width, Length::MILLIMETRE * height);
        assert_eq!(share_of_frame(card(120, 160), frame), 10_000);
        assert_eq!(share_of_frame(card(60, 160), frame), 5_000);
        // Half as large as the others: 40 of the frame's 120 mm.
        assert_eq!(share_of_frame(card(80, 320), frame), 3_333);
        assert_eq!(share_of_frame(card(240, 80), frame), 10_000);
        assert!(is_reduced(card(80, 320), frame) && !is_reduced(card(120, 160), frame));
    }

    /// The colours of one scheme, by their names in the style sheet.
    fn scheme(text: &str) -> std::collections::BTreeMap<&str, api::Colour> {
        let mut colours = std::collections::BTreeMap::new();
        for part in text.split("--").skip(1) {
            if let Some((name, value)) = part.split_once(':')
                && let Some(colour) = value.split(';').next().and_then(|value| api::from_hex(value.trim()))
            {
                colours.entry(name).or_insert(colour);
            }
        }
        colours
    }

    #[test]
    fn every_text_can_be_read_in_light_and_dark() {
        // WCAG 2 (W3C), success criteria 1.4.3 (text, 4.5) and 1.4.11 (bars, 3).
        let style = include_str!("sheet.css");
        let (light, rest) = style.split_once("prefers-color-scheme: dark").expect("two schemes");
        for colours in [scheme(light), scheme(rest)] {
            for (ink, paper, least) in [
                ("ink", "sheet", 4.5),
                ("ink", "ground", 4.5),
                ("quiet", "sheet", 4.5),
                ("quiet", "ground", 4.5),
                ("accent", "sheet", 4.5),
                ("accent", "ground", 4.5),
                ("bar", "track", 3.0),
            ] {
                let contrast = api::contrast_ratio(colours[ink], colours[paper]);
                assert!(contrast >= least, "{ink} on {paper}: {contrast:.2}");
            }
        }
    }

    #[test]
    fn things_are_counted_as_people_count_them() {
        assert_eq!(count(1, "line of stock"), "1 line of stock");
        assert_eq!(count(2, "line of stock"), "2 lines of stock");
        assert_eq!(count(0, "card"), "0 cards");
    }
}

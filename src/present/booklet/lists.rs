//! The parts of a booklet that are read from top to bottom: cover, cut list, guide settings, each card
//! with its steps, supplies, leftovers, cautions.

use super::batch::{Batch, Card, Layer, Mm};
use super::face::{APART, front, side, told as seen_in_words};
use super::flow::{Flow, SIDE};
use super::mark::{BLACK, Mark, Tag, Words};
use api::units::{Length, Unit};
use std::collections::{BTreeMap, BTreeSet};

/// What is said whatever the cards need.
const ALWAYS: [&str; 4] = [
    "Mind the blade: keep fingers behind the guard, cut away from yourself, and latch or cover the blade when it is idle",
    "Keep small parts, foam, beads and blades away from small children and animals",
    "Fresh air with glues, inks and sprays, and no flame; read their labels",
    "Tools and materials: follow their makers' instructions and local rules",
];

/// The title of a batch.
pub(crate) fn title(batch: &Batch) -> String {
    let cards = if batch.made == 1 { "1 card".to_owned() } else { format!("{} cards", batch.made) };
    format!("Batch of {cards}")
}

/// Every card drawn, with its number and how many.
pub(crate) fn cover(flow: &mut Flow<'_>, batch: &Batch) {
    let ground = flow.ground;
    flow.heading(1, &title(batch));
    let designs = batch.cards.len();
    let designs = if designs == 1 { "1 design".to_owned() } else { format!("{designs} designs") };
    flow.text(&format!("{designs}, planned {} from the stash {}.", batch.today, batch.stash.name));
    flow.space(3.0);
    let columns = 3.0;
    let gap = 6.0;
    let cell = (flow.wide() - gap * (columns - 1.0)) / columns;
    for row in batch.cards.chunks(3) {
        let scale = |card: &Card| (cell / card.card.width.mm()).min(62.0 / card.card.height.mm()).min(1.0);
        let high =
            row.iter().map(|cards| cards.suggestion.card.height.mm() * scale(&cards.suggestion)).fold(0.0, f64::max);
        flow.need(high + 14.0);
        let mut x = SIDE;
        for cards in row {
            let card = &cards.suggestion;
            let scale = scale(card);
            let number = batch.cards.iter().position(|other| std::ptr::eq(other, cards)).map_or(0, |place| place + 1);
            flow.push(Mark::Begin(Tag::Figure(seen_in_words(ground, card))));
            let mut marks = Vec::new();
            let down = high - card.card.height.mm() * scale;
            front(ground, batch, card, (x, flow.y + down), scale, &mut marks);
            marks.into_iter().for_each(|mark| flow.push(mark));
            flow.push(Mark::End);
            flow.push(Mark::Begin(Tag::Paragraph));
            let lines = [
                (format!("{number}: {} of {}", cards.count, card.layout_name), true),
                (ground.size(card.card.width, card.card.height), false),
            ];
            for ((text, bold), below) in lines.into_iter().zip([5.4, 9.4]) {
                let text = ground.faces.within(&crate::problem::printable(&text), 3.3, bold, cell);
                let at = (x, flow.y + high + below);
                flow.push(Mark::Words(Words { text, at, size: 3.3, bold, ink: BLACK }));
            }
            flow.push(Mark::End);
            x += cell + gap;
        }
        flow.y += high + 15.0;
    }
}

/// What a paper is called, with its id where that is something else.
pub(crate) fn paper_name(flow: &Flow<'_>, batch: &Batch, paper: &str) -> String {
    let layers = || batch.cards.iter().flat_map(|cards| &cards.suggestion.layers);
    let of_stash = flow.ground.prints.names.get(paper).map(String::as_str);
    let name = of_stash.or_else(|| layers().find(|layer| layer.paper == paper).map(|layer| layer.name.as_str()));
    match name {
        Some(name) if name != paper => format!("{name} ({paper})"),
        _ => paper.to_owned(),
    }
}

/// A piece to cut: its card's place, its panel, width and height upright, and the line it is cut from.
type Wanted<'b> = (usize, &'b str, Mm, Mm, &'b str);

/// Every piece to cut, by the paper it comes from.
pub(crate) fn cut_list(flow: &mut Flow<'_>, batch: &Batch) {
    let ground = flow.ground;
    flow.turn();
    flow.heading(1, "To cut");
    flow.text("By paper; the maps that follow show where on each sheet. Sizes are width first, the pattern upright.");
    let mut papers: BTreeMap<&str, BTreeMap<Wanted<'_>, u32>> = BTreeMap::new();
    for sheet in &batch.sheets {
        for piece in &sheet.placements {
            let design = batch.cards.iter().position(|cards| cards.suggestion.id == piece.card).unwrap_or(usize::MAX);
            let (wide, high) = if piece.turned { (piece.height, piece.width) } else { (piece.width, piece.height) };
            let count = papers
                .entry(&sheet.paper)
                .or_default()
                .entry((design, &piece.layer, wide, high, &sheet.stock))
                .or_default();
            *count = count.saturating_add(sheet.copies);
        }
    }
    for (paper, pieces) in papers {
        let name = paper_name(flow, batch, paper);
        flow.heading(3, &name);
        for ((design, layer, wide, high, stock), count) in pieces {
            let of = match batch.cards.get(design) {
                Some(cards) => format!("{layer} of card {}, {}", design + 1, cards.suggestion.layout_name),
                None => layer.to_owned(),
            };
            let from = if stock == paper { String::new() } else { format!(", from {stock}") };
            flow.tick(&format!("{count} of {}: {of}{from}", ground.size(wide, high)));
        }
    }
}

/// The settings of the trimmer's guide, in the order of use.
pub(crate) fn guide(flow: &mut Flow<'_>, batch: &Batch) {
    if batch.guide_settings.is_empty() {
        return;
    }
    let ground = flow.ground;
    flow.heading(2, "Guide settings");
    flow.text("Set the trimmer's guide once for each and cut all that needs it before you move it:");
    for setting in &batch.guide_settings {
        flow.tick(&ground.length(*setting));
    }
}

/// One card: how it looks, its layers, its steps, what goes beneath, its envelope and its post.
pub(crate) fn card(flow: &mut Flow<'_>, batch: &Batch, number: usize) {
    let Some(cards) = batch.cards.get(number) else { return };
    let (ground, card) = (flow.ground, &cards.suggestion);
    flow.turn();
    flow.heading(1, &format!("Card {}: {} of {}", number + 1, cards.count, card.layout_name));
    let name = if card.card.size.is_empty() { String::new() } else { format!(" ({})", card.card.size) };
    flow.text(&format!("{}{name}", ground.size(card.card.width, card.card.height)));
    pictures(flow, batch, card);
    flow.heading(3, "Layers, from the bottom up");
    for layer in &card.layers {
        flow.item(&layer_in_words(flow, layer));
    }
    if !card.changes.is_empty() {
        flow.heading(3, "Changed from the layout as drawn");
        for change in &card.changes {
            flow.item(&change.text);
        }
    }
    flow.heading(3, "Steps");
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for (place, step) in card.steps.iter().enumerate() {
        // Before the step it is for, the first time.
        for caution in step.cautions.iter().filter(|caution| told.insert(caution.as_str())) {
            flow.note(&format!("Mind: {caution}."));
        }
        flow.tick(&format!("{}. {}", place + 1, step.text));
    }
    beneath(flow, card);
    for note in &card.notes {
        flow.note(&format!("Note: {note}."));
    }
    post(flow, card);
}

/// The card beside its layers drawn apart.
fn pictures(flow: &mut Flow<'_>, batch: &Batch, card: &Card) {
    let ground = flow.ground;
    let wide = flow.wide();
    let scale = (wide * 0.42 / card.card.width.mm()).min(80.0 / card.card.height.mm()).min(1.0);
    let (shown, drawn) = (card.card.width.mm() * scale, card.card.height.mm() * scale);
    let layers = u32::try_from(card.layers.len()).map_or(0.0, f64::from);
    let apart = layers * APART;
    let is_beside = apart <= flow.high();
    flow.need(drawn.max(if is_beside { apart } else { 0.0 }) + 8.0);
    flow.push(Mark::Begin(Tag::Figure(seen_in_words(ground, card))));
    let mut marks = Vec::new();
    front(ground, batch, card, (SIDE, flow.y + 2.0), scale, &mut marks);
    marks.into_iter().for_each(|mark| flow.push(mark));
    flow.push(Mark::End);
    let mut high = drawn;
    // A stack that is higher than a page is told, not drawn.
    if is_beside {
        let seen = "The layers from the side, drawn apart, the top one at the top; small blocks are foam, \
                    a dashed slip is levelling.";
        flow.push(Mark::Begin(Tag::Figure(seen.to_owned())));
        let mut marks = Vec::new();
        side(ground, card, (SIDE + shown + 8.0, flow.y + 2.0), wide - shown - 8.0, &mut marks);
        marks.into_iter().for_each(|mark| flow.push(mark));
        flow.push(Mark::End);
        high = high.max(apart);
    }
    flow.y += high + 5.0;
}

fn layer_in_words(flow: &Flow<'_>, layer: &Layer) -> String {
    let ground = flow.ground;
    let shape = match layer.shape.as_str() {
        "rectangle" => "",
        "ellipse" if layer.width == layer.height => " circle",
        "ellipse" => " oval",
        _ => " cut to shape",
    };
    let mut words = format!(
        "{}: {}{shape} of {} ({}), {} from the left, {} from the top",
        layer.panel,
        ground.size(layer.width, layer.height),
        layer.name,
        layer.paper,
        ground.length(layer.x),
        ground.length(layer.y)
    );
    if layer.trimmed_flush {
        words.push_str(", trimmed flush");
    }
    if let Some(die) = &layer.die {
        words.push_str(&format!(", with the die {die}"));
    }
    let cut: BTreeSet<(Mm, Mm, &str)> =
        layer.pieces.iter().map(|piece| (piece.cut_width, piece.cut_height, piece.made.as_str())).collect();
    for (wide, high, made) in cut {
        let made = match made {
            "fold" => "folded from",
            "ready" => continue,
            _ => "cut",
        };
        if (wide, high) != (layer.width, layer.height) {
            words.push_str(&format!("; {made} {}", ground.size(wide, high)));
        }
    }
    words
}

/// Levelling and foam.
fn beneath(flow: &mut Flow<'_>, card: &Card) {
    let ground = flow.ground;
    flow.heading(3, "Levelling and foam");
    let mut is_flat = true;
    for layer in &card.layers {
        for level in &layer.levelling {
            is_flat = false;
            let plies = if level.plies == 1 { String::new() } else { format!("{} plies of ", level.plies) };
            let size = ground.size(level.width, level.height);
            flow.tick(&format!(
                "Beneath {}: {size}, {plies}{} from {}",
                layer.panel,
                level.of.replace('-', " "),
                level.from
            ));
        }
        if let Some(foam) = &layer.foam {
            is_flat = false;
            let step = match ground.unit {
                Unit::Inch => Length::INCH.half(),
                _ => Length::MILLIMETRE * 10,
            };
            let tape = ground.length(Mm(foam.tape.0.round_to(step).max(step)));
            flow.tick(&format!("Beneath {}: {} foam squares, or about {tape} of foam tape", layer.panel, foam.squares));
        }
    }
    if is_flat {
        flow.text("None: every layer is glued flat.");
    }
}

/// The tenths of a number.
fn tenths(number: f64) -> String {
    format!("{number:.1}")
}

fn post(flow: &mut Flow<'_>, card: &Card) {
    flow.heading(3, "Envelope and post");
    let about = |estimated: bool| if estimated { "about " } else { "" };
    flow.text(&format!(
        "The finished card is {}{} mm thick and weighs {}{} g.",
        about(card.thickness_estimated),
        tenths(card.thickness.mm()),
        about(card.weight_estimated),
        tenths(card.weight)
    ));
    flow.text(&envelopes(card));
    for class in &card.post {
        flow.item(&format!("{}: {} ({}): {}", class.profile, class.class, class.as_of, class.why.join("; ")));
    }
    flow.text("Limits change: check with your post office.");
}

/// The envelopes that suit a card, in a sentence.
pub(crate) fn envelopes(card: &Card) -> String {
    let good: Vec<&str> = card
        .envelopes
        .iter()
        .filter(|envelope| envelope.fit == "good")
        .take(3)
        .map(|envelope| envelope.name.as_str())
        .collect();
    match (good.is_empty(), card.envelopes.first()) {
        (false, _) => format!("Envelopes: {}.", good.join(", ")),
        (true, Some(first)) => format!("Envelope: {} ({}).", first.name, first.fit),
        (true, None) => "No envelope with a name fits: make one to measure.".to_owned(),
    }
}

/// What must lie ready.
pub(crate) fn supplies(flow: &mut Flow<'_>, batch: &Batch) {
    let ground = flow.ground;
    flow.turn();
    flow.heading(1, "What you need");
    flow.heading(3, "Papers and card");
    let mut lines: BTreeMap<(&str, &str, Mm, Mm), u32> = BTreeMap::new();
    for sheet in batch.sheets.iter().filter(|sheet| sheet.middle_of.is_none()) {
        let count = lines.entry((&sheet.paper, &sheet.stock, sheet.width, sheet.height)).or_default();
        *count = count.saturating_add(sheet.copies);
    }
    for ((paper, stock, wide, high), count) in lines {
        let id = if stock == paper { String::new() } else { format!(", {stock}") };
        let name = paper_name(flow, batch, paper);
        flow.tick(&format!("{count} of {name}{id}, {}", ground.size(wide, high)));
    }
    flow.heading(3, "To hold it together");
    let mut squares: u64 = 0;
    let mut slips: u64 = 0;
    for cards in &batch.cards {
        for layer in &cards.suggestion.layers {
            let of_card = layer.foam.as_ref().map_or(0, |foam| u64::from(foam.squares));
            squares = squares.saturating_add(of_card.saturating_mul(u64::from(cards.count)));
            for level in &layer.levelling {
                slips = slips.saturating_add(level.hollow_copies.unwrap_or(cards.count).into());
            }
        }
    }
    flow.tick("Glue and tape, as the steps say");
    if squares > 0 {
        flow.tick(&format!("{squares} foam squares, or tape for them"));
    }
    if slips > 0 {
        flow.tick(&format!("{slips} slips for levelling, from the bits box or from scraps"));
    }
    let mut dots: BTreeMap<(&str, &str, Mm), u32> = BTreeMap::new();
    for cards in &batch.cards {
        if let Some(of) = &cards.suggestion.dots {
            let count = dots.entry((&of.name, &of.stock, of.diameter)).or_default();
            *count = count.saturating_add(of.count.saturating_mul(cards.count));
        }
    }
    if !dots.is_empty() {
        flow.heading(3, "Finishing dots");
        for ((name, stock, diameter), count) in dots {
            flow.tick(&format!("{count} of {name} ({stock}), {} across", diameter.0.exact(Unit::Millimetre)));
        }
    }
    let dies: BTreeSet<&str> = batch
        .cards
        .iter()
        .flat_map(|cards| &cards.suggestion.layers)
        .filter_map(|layer| layer.die.as_deref())
        .collect();
    flow.heading(3, "Tools");
    flow.tick("Trimmer or knife and ruler, cutting mat, scoring tool, bone folder, pencil");
    if batch.sheets.iter().any(|sheet| sheet.middle_of.is_some()) {
        flow.tick("Craft knife with a fresh blade and a metal ruler, to cut middles out");
    }
    for die in dies {
        flow.tick(&format!("The die {die}"));
    }
    if batch.cards.iter().any(|cards| cards.suggestion.layers.iter().any(|layer| layer.carries_words)) {
        flow.heading(3, "Words to stamp or stick on");
        for (place, cards) in batch.cards.iter().enumerate() {
            let layers = cards.suggestion.layers.iter().filter(|layer| layer.carries_words);
            let words: BTreeSet<String> = layers
                .flat_map(|layer| layer.sentiments.iter().take(3))
                .map(|id| ground.prints.words.get(id).map_or_else(|| id.clone(), |words| format!("“{words}”")))
                .collect();
            if !words.is_empty() {
                let words: Vec<String> = words.into_iter().collect();
                flow.tick(&format!("{} for card {}: such as {}", cards.count, place + 1, words.join(", ")));
            }
        }
    }
    flow.heading(3, "Envelopes");
    for (place, cards) in batch.cards.iter().enumerate() {
        flow.tick(&format!("{} for card {}. {}", cards.count, place + 1, envelopes(&cards.suggestion)));
    }
}

/// What is left when all is cut.
pub(crate) fn leftovers(flow: &mut Flow<'_>, batch: &Batch) {
    if batch.offcuts.is_empty() {
        return;
    }
    let ground = flow.ground;
    flow.heading(2, "Left over");
    for rest in &batch.offcuts {
        let keep = if rest.keep { "" } else { ", for the bits box" };
        flow.tick(&format!(
            "{}: {} of {}, {}{keep}",
            rest.id,
            rest.count,
            rest.stock,
            ground.size(rest.width, rest.height)
        ));
    }
}

/// Every caution of every step, once.
pub(crate) fn cautions(flow: &mut Flow<'_>, batch: &Batch) {
    flow.heading(2, "Mind");
    let steps = batch.cards.iter().flat_map(|cards| &cards.suggestion.steps);
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for caution in ALWAYS.into_iter().chain(steps.flat_map(|step| step.cautions.iter().map(String::as_str))) {
        if seen.insert(caution) {
            flow.item(&format!("{caution}."));
        }
    }
    flow.text("Postal limits: check with your post office.");
}

//! Candidates for a batch: the best-k search asked of what is on hand, or of what a plan would leave,
//! in; suggestions, named by the faces of the whole stash, out.

use super::{On, PlanAsk};
use crate::index::{self, FaceId, Index, StockId};
use crate::matching::{Choice, MustUse, PartChoice};
use crate::score::{Ask, MustShow, Request, Suggestion, Table, suggest};
use crate::stash::{Line, LineKind, Stash};
use api::units::Size;
use std::collections::BTreeMap;

/// So many suggestions at least and at most are asked for at once; between, four for each card wanted.
const LIST: (usize, usize) = (72, 240);
/// One in so many of them may be of one layout.
const OF_A_LAYOUT: usize = 18;

/// What is left of the stash once a plan is carried out.
pub(super) struct Remains {
    /// Sheets opened, by line.
    pub(super) opened: BTreeMap<StockId, u32>,
    /// What is left of them: the line, the size, how many.
    pub(super) leftovers: Vec<(StockId, Size, u32)>,
}

/// The best cards from everything on hand.
pub(super) fn from_all(on: On<'_>, ask: &PlanAsk, copies: u32, work: u64) -> (Vec<Suggestion>, u64) {
    let answer = suggest(on.table, &question(on.table, on.table.index, (ask, copies), work));
    (answer.suggestions, answer.work)
}

/// The best cards from what remains.
pub(super) fn from_rest(on: On<'_>, ask: &PlanAsk, remains: &Remains, work: u64) -> (Vec<Suggestion>, u64) {
    let stash = rest(on, remains);
    let index = index::build(&stash, on.today);
    let table = Table { index: &index, ..on.table };
    let answer = suggest(table, &question(table, on.table.index, (ask, *ask.each.start()), work));
    let named = answer.suggestions.into_iter().filter_map(|card| renamed(&index, on.table.index, card)).collect();
    (named, answer.work)
}

fn question(table: Table<'_>, whole: &Index, (ask, copies): (&PlanAsk, u32), work: u64) -> Ask {
    let here = table.index;
    let mut must_show = MustShow::new();
    let mut must_use = MustUse::new();
    if ask.names_papers() {
        let face = |face: &FaceId| here.find(&whole.face(*face).id);
        let mut faces: std::collections::BTreeSet<FaceId> = ask.use_faces.iter().filter_map(face).collect();
        let ids: Vec<&str> = ask.use_stock.iter().flat_map(|stock| whole.stock(*stock).ids()).collect();
        let places = here.stock.iter().zip(0..);
        let stock: std::collections::BTreeSet<StockId> = places
            .filter(|(stock, _)| stock.ids().any(|id| ids.contains(&id)))
            .map(|(_, place)| StockId(place))
            .collect();
        let shown = stock.iter().map(|stock| here.stock(*stock));
        faces.extend(shown.flat_map(|stock| [Some(stock.front), stock.back]).flatten());
        if ask.use_faces.is_empty() {
            must_use.push(stock.clone());
            must_show.push(Request { faces, stock });
        } else {
            must_show.push(Request { faces, ..Request::default() });
        }
    }
    let mut question = Ask::new(table.settings);
    question.must_show = must_show;
    question.must_use = must_use;
    question.cards.clone_from(&ask.sizes);
    question.copies = copies;
    let wanted = ask.cards.map_or(LIST.1, |cards| cards as usize * 4);
    question.list = wanted.clamp(LIST.0, LIST.1);
    question.per_layout = Some(question.list / OF_A_LAYOUT);
    question.work = work;
    question
}

/// The stash with sheets that are opened taken away and what is left of them put in.
fn rest(on: On<'_>, remains: &Remains) -> Stash {
    let mut stash = on.stash.clone();
    let mut taken: BTreeMap<&str, u32> = BTreeMap::new();
    for (stock, count) in &remains.opened {
        let stock = on.table.index.stock(*stock);
        let mut left = *count;
        for line in &stock.lines {
            let takes = left.min(line.count);
            *taken.entry(&line.id).or_default() += takes;
            left -= takes;
        }
    }
    let mut new: Vec<Line> = Vec::new();
    for (number, (stock, size, count)) in remains.leftovers.iter().enumerate() {
        let of = on.table.index.stock(*stock);
        if let Some(line) = stash.lines.iter().find(|line| line.id == of.id()) {
            let (width, height, kind) = (size.width, size.height, LineKind::Scrap);
            let id = format!("{}\u{1f}{number}", line.id);
            new.push(Line { id, kind, width, height, count: *count, ..line.clone() });
        }
    }
    for line in &mut stash.lines {
        line.count -= taken.get(line.id.as_str()).copied().unwrap_or(0).min(line.count);
    }
    for image in &mut stash.images {
        if let (crate::stash::Copies::Exactly(count), Some(takes)) = (&mut image.copies, taken.get(image.id.as_str())) {
            *count -= *takes.min(count);
        }
    }
    stash.lines.extend(new);
    stash
}

/// The same card by the faces of another index; its stock is chosen anew later.
fn renamed(from: &Index, to: &Index, mut card: Suggestion) -> Option<Suggestion> {
    let face = |face: FaceId| to.find(&from.face(face).id);
    for shown in &mut card.faces {
        *shown = face(*shown)?;
    }
    for (_, shown) in &mut card.papers {
        *shown = face(*shown)?;
    }
    let parts = card.choice.parts.iter().map(|choice| {
        let parts: Option<Vec<_>> = choice.parts.iter().map(|(shown, _)| Some((face(*shown)?, StockId(0)))).collect();
        Some(PartChoice { slot: choice.slot, parts: parts? })
    });
    let parts: Option<Vec<PartChoice>> = parts.collect();
    card.choice = Choice { parts: parts?, ..Choice::nothing() };
    Some(card)
}

//! Everything on hand line by line, as the maker wrote it: a room in, its lines of stock out, each
//! with the faces it shows. What the index merges or leaves out is here as it was listed.

use crate::index::{FaceId, Source, StockKind};
use crate::room::Room;
use crate::stash::{Copies, Date, Line, LineKind};
use api::units::Size;
use std::collections::BTreeMap;

/// One line of stock: so many equal pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StockLine<'a> {
    /// Its id.
    pub id: &'a str,
    /// What it is.
    pub kind: StockKind,
    /// The face that is up.
    pub front: FaceId,
    /// The other face, where it can be used too.
    pub back: Option<FaceId>,
    /// Its size, the pattern the right way up.
    pub size: Size,
    /// How many there are.
    pub copies: Copies,
    /// When it came into the house.
    pub added: Option<Date>,
    /// The keys nobody entered, which hold defaults.
    pub assumed: &'a [&'static str],
}

/// Every line of stock, in the order of ids: paper, images, and the card base that is assumed where
/// nobody listed any.
#[must_use]
pub fn stock_lines(room: &Room) -> Vec<StockLine<'_>> {
    let faces: BTreeMap<Source, FaceId> =
        room.index.faces.iter().zip(0..).map(|(face, place)| (face.source, FaceId(place))).collect();
    let paper = |place: u32| {
        let own = faces.get(&Source::Paper(place as usize)).copied();
        own.or_else(|| room.index.same_prints.get(&room.stash.papers.get(place as usize)?.id).copied())
    };
    let mut lines: Vec<StockLine<'_>> = room
        .stash
        .lines
        .iter()
        .filter_map(|line| Some(of_paper(line, paper(line.front.0)?, line.back.and_then(|back| paper(back.0)))))
        .collect();
    lines.extend(room.stash.images.iter().enumerate().filter_map(|(place, image)| {
        let front = *faces.get(&Source::Image(place))?;
        Some(StockLine {
            id: &image.id,
            kind: StockKind::Image,
            front,
            back: None,
            size: image.size,
            copies: image.copies,
            added: None,
            assumed: &[],
        })
    }));
    if let Some(front) = faces.get(&Source::AssumedBase) {
        lines.extend(room.index.face(*front).stock.iter().map(|stock| {
            let stock = room.index.stock(*stock);
            StockLine {
                id: stock.id(),
                kind: stock.kind,
                front: *front,
                back: None,
                size: Size::new(stock.width, stock.height),
                copies: Copies::Plenty,
                added: None,
                assumed: &["size", "count"],
            }
        }));
    }
    lines.sort_by_key(|line| line.id);
    lines
}

fn of_paper(line: &Line, front: FaceId, back: Option<FaceId>) -> StockLine<'_> {
    StockLine {
        id: &line.id,
        kind: match line.kind {
            LineKind::CardBase => StockKind::CardBase,
            kind => StockKind::Cuttable(kind),
        },
        front,
        back,
        size: line.size(),
        copies: Copies::Exactly(line.count),
        added: line.added,
        assumed: &line.assumed,
    }
}

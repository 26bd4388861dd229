//! Every piece of a card as it is cut: how large, from which stock, which way round, where it lies.
//!
//! A suggestion in; its pieces out, bottom first. Text, JSON and pictures all show these.

use crate::index::{FaceId, Index, PieceNeed, Source, Stock, StockId, StockKind};
use crate::layout::Rect;
use crate::matching::Layer;
use crate::score::Suggestion;
use crate::stash::Image;
use api::Role;
use api::units::{Length, Size};

/// Which way a piece lies on the stock it is cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turned {
    /// The way the sheet is printed.
    AsPrinted,
    /// Turned a quarter, since it fits only so.
    Quarter,
}

/// How a piece is had.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Made {
    /// Cut with the trimmer.
    Cut,
    /// Cut and folded: the card base.
    Folded,
    /// Taken as it is: a ready-made base, or a whole image.
    Ready,
    /// Cut by a die, given as a place in the stash's dies.
    Die(usize),
}

/// One piece of a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CardPiece {
    /// The layer it belongs to, as a place in the network's layers.
    pub layer: usize,
    /// Where it lies on the card as cut, before anything is trimmed flush.
    pub rect: Rect,
    /// What is cut for it: with the die's margin, or the unfolded blank.
    pub cut: Size,
    /// How it is had.
    pub made: Made,
    /// The face that shows.
    pub face: FaceId,
    /// The stock it comes from.
    pub stock: StockId,
    /// Which way it lies on that stock.
    pub turned: Turned,
    /// Where on the card its middle is cut out.
    pub hole: Option<Rect>,
    /// The middle of another piece it is cut from, as a place in [`crate::matching::Choice::from_middles`].
    pub from_middle: Option<usize>,
}

/// How a part of an image lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Laid {
    /// On top of what is beneath.
    OnTop,
    /// Let into another part, flush.
    Inlaid,
}

/// One part of an image that is built from die-cut parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartPiece<'a> {
    /// The layer of the image, as a place in the network's layers.
    pub layer: usize,
    /// The id of the part.
    pub part: &'a str,
    /// Where it lies on the card.
    pub rect: Rect,
    /// How it lies there.
    pub laid: Laid,
    /// The stock it needs, margin included.
    pub cut: Size,
    /// The face that shows.
    pub face: FaceId,
    /// The stock it comes from.
    pub stock: StockId,
}

/// Every piece of a card, bottom first. An image is one piece, whole; see [`parts`] for one that is built.
#[must_use]
pub fn pieces(index: &Index, card: &Suggestion) -> Vec<CardPiece> {
    let mut next_need = vec![0_usize; card.network.slots.len()];
    let mut pieces = Vec::new();
    for (place, layer) in card.network.layers.iter().enumerate() {
        for rect in &layer.pieces {
            let need = next_need[layer.slot];
            next_need[layer.slot] += 1;
            pieces.push(piece(index, card, (place, layer), *rect, need));
        }
    }
    pieces
}

fn piece(index: &Index, card: &Suggestion, (place, layer): (usize, &Layer), rect: Rect, need: usize) -> CardPiece {
    let wanted = card.network.slots[layer.slot].needs[need];
    let (choice, at) = (&card.choice, (layer.slot, need));
    let stock_id = choice.pieces[layer.slot][need];
    let stock = index.stock(stock_id);
    let own = Size::new(stock.width, stock.height);
    let (rect, cut, made) = match (wanted, stock.kind) {
        (PieceNeed::Whole(_), _) => (rect.centred(own), own, Made::Ready),
        (PieceNeed::Blank(front), StockKind::CardBase) => (rect, front, Made::Ready),
        (PieceNeed::Blank(_), _) => (rect, wanted.cut_size(), Made::Folded),
        (PieceNeed::Cut(size), _) => (rect, size, layer.die.map_or(Made::Cut, Made::Die)),
    };
    CardPiece {
        layer: place,
        rect,
        cut,
        made,
        face: card.faces[layer.slot],
        stock: stock_id,
        turned: if fits_upright(cut, stock) { Turned::AsPrinted } else { Turned::Quarter },
        hole: choice.hollows.iter().find(|hollow| (hollow.slot, hollow.need) == at).map(|hollow| hollow.rect),
        from_middle: choice.from_middles.iter().position(|from| (from.slot, from.need) == at),
    }
}

fn fits_upright(cut: Size, stock: &Stock) -> bool {
    cut.width <= stock.width && cut.height <= stock.height
}

/// The parts of every image on the card that is built from parts, in the order in which they are laid.
#[must_use]
pub fn parts<'a>(images: &'a [Image], index: &Index, card: &Suggestion) -> Vec<PartPiece<'a>> {
    let mut found = Vec::new();
    for chosen in &card.choice.parts {
        let Source::Image(image) = index.face(card.faces[chosen.slot]).source else { continue };
        let image = &images[image];
        let layers = card.network.layers.iter().enumerate().filter(|(_, layer)| layer.slot == chosen.slot);
        for (layer, on) in layers {
            let whole = on.pieces.first().copied().unwrap_or(on.rect).centred(image.size);
            for (part, (face, stock)) in image.parts.iter().zip(&chosen.parts) {
                let rect = within(whole, part.at);
                let laid = if part.inlaid_in.is_some() { Laid::Inlaid } else { Laid::OnTop };
                found.push(PartPiece { layer, part: &part.id, rect, laid, cut: part.size, face: *face, stock: *stock });
            }
        }
    }
    found
}

/// The rectangle at a place given as left, top, width and height in thousandths of `whole`.
fn within(whole: Rect, (left, top, width, height): (i32, i32, i32, i32)) -> Rect {
    let left = whole.left + share(whole.width(), left);
    let top = whole.top + share(whole.height(), top);
    Rect { left, top, right: left + share(whole.width(), width), bottom: top + share(whole.height(), height) }
}

/// So many thousandths of a length, rounded down to whole nanometres.
#[must_use]
pub fn share(whole: Length, thousandths: i32) -> Length {
    let nanometres = i128::from(whole.nanometres()) * i128::from(thousandths);
    i64::try_from(nanometres.div_euclid(1000)).map_or(Length::LONGEST, Length::from_nanometres)
}

/// Whether the foam lies right beneath a layer: a raised panel with mats lies flat on them, and its
/// lowest mat is on the foam.
#[must_use]
pub fn is_on_foam(layers: &[Layer], place: usize) -> bool {
    let Some(layer) = layers.get(place) else { return false };
    let on_own_mat = layer.role != Role::Mat
        && place
            .checked_sub(1)
            .and_then(|below| layers.get(below))
            .is_some_and(|below| below.role == Role::Mat && below.id.starts_with(&format!("{} mat", layer.id)));
    layer.raised && !on_own_mat
}

/// How a piece sits on its stock, where that asks for care.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// There is room.
    Roomy,
    /// It takes the stock's whole width, whole height, or both.
    Exact {
        /// Whether it takes the whole width.
        width: Whole,
        /// Whether it takes the whole height.
        height: Whole,
    },
    /// Less is left over than a scan, a ruler and a trimmer may be off by.
    Tight {
        /// The least that is left over.
        spare: Length,
    },
}

/// Whether a side of the stock is taken whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whole {
    /// To the last bit.
    Yes,
    /// Something is left.
    No,
}

/// How a piece sits on its stock, with the error budget in the settings.
#[must_use]
pub fn fit(index: &Index, piece: &CardPiece, error_budget: Length) -> Fit {
    // How a piece lies in a middle is told by the plan.
    if piece.made == Made::Ready || piece.from_middle.is_some() {
        return Fit::Roomy;
    }
    let stock = index.stock(piece.stock);
    let cut = if piece.turned == Turned::Quarter { piece.cut.turned() } else { piece.cut };
    let spare = [stock.width - cut.width, stock.height - cut.height];
    let whole = |side: Length| if side.is_positive() { Whole::No } else { Whole::Yes };
    match spare.map(whole) {
        [Whole::No, Whole::No] => {
            let spare = spare[0].min(spare[1]);
            if spare < error_budget { Fit::Tight { spare } } else { Fit::Roomy }
        }
        [width, height] => Fit::Exact { width, height },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::Outline;

    fn layer(id: &str, role: Role, raised: bool) -> Layer {
        let rect = Rect::whole(Size::square(Length::INCH));
        Layer {
            id: id.into(),
            role,
            slot: 0,
            rect,
            pieces: vec![rect],
            outline: Outline::Rectangle,
            raised,
            holds_sentiment: false,
            die: None,
            overruns: false,
        }
    }

    #[test]
    fn foam_lies_beneath_the_lowest_mat_of_a_raised_panel() {
        let layers = [
            layer("base", Role::Base, false),
            layer("feature mat 2", Role::Mat, true),
            layer("feature mat 1", Role::Mat, false),
            layer("feature", Role::Feature, true),
            layer("words", Role::Sentiment, true),
        ];
        let foam: Vec<bool> = (0..layers.len()).map(|place| is_on_foam(&layers, place)).collect();
        assert_eq!(foam, [false, true, false, false, true]);
        assert!(!is_on_foam(&layers, layers.len()));
    }

    #[test]
    fn a_part_lies_at_its_share_of_the_image() {
        let whole = Rect::whole(Size::new(Length::MILLIMETRE * 60, Length::MILLIMETRE * 40)).inset(-Length::MILLIMETRE);
        let rect = within(whole, (500, 0, 250, 1000));
        assert_eq!((rect.left, rect.top), (Length::MILLIMETRE * 30, -Length::MILLIMETRE));
        assert_eq!(rect.size(), Size::new(Length::micrometres(15_500), Length::MILLIMETRE * 42));
    }
}

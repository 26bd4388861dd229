//! Made-up layouts and made-up choices of paper: whatever luck gives, as long as it could be.

use swatchfold::index::{FaceId, Index, PieceNeed, StockId};
use swatchfold::layout::{Change, Drawn, Layout, check};
use swatchfold::matching::{Choice, Slot, eligible, network};
use swatchfold::problem::Place;
use swatchfold::score::{Suggestion, Table};
use swatchfold::stash::{Edge, LayoutSketch, PanelSketch, Settings, Shape, Takes};
use units::{Length, Size};

/// Luck from a seed: xorshift, the same on every machine.
#[derive(Clone, Debug)]
pub(super) struct Luck {
    /// Where it began.
    pub(super) seed: u64,
    state: u64,
}

impl Luck {
    pub(super) fn new(seed: u64) -> Self {
        Self { seed, state: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1 }
    }

    /// A number below `below`.
    pub(super) fn below(&mut self, below: u64) -> u64 {
        for shift in [13, 7, 17] {
            self.state ^= if shift == 7 { self.state >> 7 } else { self.state << shift };
        }
        (self.state >> 11) % below.max(1)
    }

    fn count(&mut self, below: u64) -> i64 {
        i64::try_from(self.below(below)).expect("it is small")
    }

    /// Once in so many times.
    pub(super) fn one_in(&mut self, of: u64) -> bool {
        self.below(of) == 0
    }

    /// One of a list.
    pub(super) fn one_of<T: Clone>(&mut self, list: &[T]) -> Option<T> {
        let place = usize::try_from(self.below(list.len() as u64)).expect("a list is short");
        list.get(place).cloned()
    }
}

/// A layout of two to seven panels on a ruler's marks; `None` where they do not stand.
pub(super) fn random_layout(luck: &mut Luck, settings: &Settings) -> Option<Layout> {
    let step = settings.ruler;
    let card = if luck.one_in(2) {
        Size::new(step * (17 * 4), step * (22 * 4))
    } else {
        Size::new(step * (22 * 4), step * (17 * 4))
    };
    let marks = |side: Length| side.nanometres() / step.nanometres();
    let mut panels: Vec<PanelSketch> = Vec::new();
    let mut rects: Vec<[i64; 4]> = Vec::new();
    for place in 0..2 + luck.below(6) {
        let is_band = luck.one_in(3);
        let wide = marks(card.width);
        let high = marks(card.height);
        let width =
            if is_band { wide - 4 * luck.count(3) } else { 8 + luck.count(u64::try_from(wide).unwrap_or(8) - 8) };
        let height = 8 + luck.count(u64::try_from(high).unwrap_or(8) - 8);
        let left = if is_band { (wide - width) / 2 } else { luck.count(u64::try_from(wide - width + 1).unwrap_or(1)) };
        let top = luck.count(u64::try_from(high - height + 1).unwrap_or(1));
        let rect = [left, top, left + width, top + height];
        let meets =
            |other: &[i64; 4]| rect[0] < other[2] && other[0] < rect[2] && rect[1] < other[3] && other[1] < rect[3];
        let below: Vec<usize> = (0..rects.len()).filter(|other| meets(&rects[*other])).collect();
        let on: Vec<String> = match luck.one_of(&below) {
            Some(below) if luck.one_in(3) => vec![panels[below].id.clone()],
            _ => Vec::new(),
        };
        let shape = match luck.below(8) {
            0 => Shape::Ellipse,
            1 => luck.one_of(&[Shape::BannerRight, Shape::BannerLeft, Shape::BannerUp, Shape::BannerDown])?,
            _ => Shape::Rectangle,
        };
        let takes = luck.one_of(&[
            vec![api::Material::Patterned],
            vec![api::Material::Patterned],
            vec![api::Material::Cardstock],
            vec![api::Material::Patterned, api::Material::Cardstock],
            vec![api::Material::Vellum],
        ])?;
        let mats = if luck.one_in(4) && shape == Shape::Rectangle { vec![step * 2] } else { Vec::new() };
        let edge = |at: i64| Edge { share: 0, offset: step * at };
        panels.push(PanelSketch {
            id: format!("panel {place}"),
            role: luck.one_of(&[api::Role::Band, api::Role::Feature, api::Role::Background])?,
            on,
            left: edge(rect[0]),
            top: edge(rect[1]),
            right: edge(rect[2]),
            bottom: edge(rect[3]),
            shape,
            mats,
            takes: Takes::Stock(takes),
            same_as: None,
            differs_from: Vec::new(),
            raised: luck.one_in(5),
            holds_sentiment: false,
            place: Place::whole("made-up.toml"),
        });
        rects.push(rect);
    }
    let sketch = LayoutSketch {
        id: format!("made-up-{}", luck.seed),
        name: "Made up".to_owned(),
        card,
        credit: None,
        link: None,
        occasions: Vec::new(),
        panels,
        place: Place::whole("made-up.toml"),
    };
    check(&sketch, settings).ok()
}

/// A card of this layout with these changes, in whatever papers luck chooses of those that could be;
/// `None` where it cannot be made, or nothing on hand would do.
pub(super) fn suggestion(table: Table<'_>, layout: usize, changes: &[Change], luck: &mut Luck) -> Option<Suggestion> {
    let drawn = Drawn::changed(&table.layouts[layout], changes, table.settings.ruler);
    let network = network(&drawn, table.dies).ok()?;
    let mut faces = Vec::with_capacity(network.slots.len());
    let mut main = Vec::with_capacity(network.slots.len());
    let mut pieces = Vec::with_capacity(network.slots.len());
    for slot in &network.slots {
        let (face, stock) = paper(table.index, slot, luck)?;
        main.push(stock[slot.main_need()]);
        faces.push(face);
        pieces.push(stock);
    }
    Some(Suggestion {
        id: "made-up".to_owned(),
        layout,
        changes: changes.iter().map(|change| (*change, 0)).collect(),
        drawn,
        network,
        faces,
        papers: Vec::new(),
        choice: Choice { main, pieces, ..Choice::nothing() },
        score: 0,
        reasons: Vec::new(),
    })
}

/// A face for a slot, with stock for each of its pieces. Where no stock is large enough for all of
/// them, a face that may be turned is taken with whatever stock it has: looks do not depend on it.
fn paper(index: &Index, slot: &Slot, luck: &mut Luck) -> Option<(FaceId, Vec<StockId>)> {
    let of_kind: Vec<FaceId> = (0..u32::try_from(index.faces.len()).ok()?)
        .map(FaceId)
        .filter(|face| slot.materials.contains(&index.face(*face).view.material))
        .collect();
    let of = |need: &PieceNeed, face: FaceId| eligible(index, need, face).first().copied();
    for _ in 0..20 {
        let face = luck.one_of(&of_kind)?;
        let stock: Option<Vec<StockId>> = slot.needs.iter().map(|need| of(need, face)).collect();
        if let Some(stock) = stock {
            return Some((face, stock));
        }
    }
    let face =
        of_kind.iter().copied().find(|face| index.face(*face).may_turn() && !index.face(*face).stock.is_empty())?;
    let is_image = index.face(face).view.material == api::Material::Image;
    (!is_image).then(|| (face, vec![index.face(face).stock[0]; slot.needs.len()]))
}

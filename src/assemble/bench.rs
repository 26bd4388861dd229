//! What lies on the work table for all cards of an answer: how the work is done, how thick the bits in
//! the bits box are, and the listed scraps that are good for nothing else.

use crate::construct::level::{Bits, Rules, Scrap};
use crate::construct::paper::body;
use crate::index::{Stock, StockId, StockKind};
use crate::layout::Drawn;
use crate::matching::MAT_MATERIALS;
use crate::score::Table;
use crate::stash::{LineKind, Shape, Takes};
use api::units::{Length, Size, Turn};
use api::{Material, units};

/// The most scraps that are offered for levelling.
const MOST_SCRAPS: usize = 64;

/// What is the same for all cards of an answer.
#[derive(Clone, Debug)]
pub struct Bench {
    /// How the work is done.
    pub rules: Rules,
    /// Scraps that no layout on file can use as a face, smallest first.
    pub scraps: Vec<(StockId, Scrap)>,
    /// Kinds of finishing dots, as places among hers, each with how many one card may have; none where the
    /// settings want none.
    pub dots: Vec<(usize, u32)>,
    /// Whose sizes of envelopes are hers.
    pub region: units::Region,
}

impl Bench {
    /// Looks at the stash once.
    #[must_use]
    pub fn new(table: Table<'_>) -> Self {
        let settings = table.settings;
        let of = |material| body(material, None, None).caliper;
        Self {
            rules: Rules {
                level_above: settings.level_above,
                foam_span: settings.foam_span,
                ruler: settings.ruler,
                bits: Bits {
                    paper: of(Material::Patterned),
                    card: of(Material::Cardstock),
                    thin_foam: Length::MILLIMETRE,
                    foam: Length::MILLIMETRE * 2,
                },
            },
            scraps: idle_scraps(table),
            dots: if settings.finishing_dots { dots_of(table) } else { Vec::new() },
            region: settings.region,
        }
    }

    /// The same where every card is made so many times: dots are shared among the copies.
    #[must_use]
    pub fn for_copies(mut self, copies: u32) -> Self {
        self.dots.iter_mut().for_each(|(_, may_have)| *may_have /= copies.max(1));
        self
    }
}

/// All kinds of dots there are any of.
fn dots_of(table: Table<'_>) -> Vec<(usize, u32)> {
    let counted = table.dots.iter().enumerate().map(|(place, dots)| (place, dots.count));
    counted.filter(|(_, count)| *count > 0).collect()
}

/// Scraps of which no layout on file, as drawn, could cut a panel, a mat or a part of an image.
fn idle_scraps(table: Table<'_>) -> Vec<(StockId, Scrap)> {
    let index = table.index;
    let mut needs: Vec<(Size, Vec<Material>)> = Vec::new();
    for layout in table.layouts {
        let drawn = Drawn::as_drawn(layout, layout.card, table.settings.ruler);
        for panel in &drawn.panels {
            if let Takes::Stock(materials) = &panel.takes
                && panel.shape != Shape::Die
            {
                needs.push((panel.cut().size(), materials.clone()));
            }
            needs.extend((0..panel.mats.len()).map(|mat| (panel.mat(mat).size(), MAT_MATERIALS.to_vec())));
        }
    }
    needs.extend(table.dies.iter().map(|die| (die.size, Vec::new())));
    let parts = table.images.iter().flat_map(|image| &image.parts);
    needs.extend(parts.map(|part| (part.size, part.takes.clone())));
    let useful = |stock: &Stock| {
        let has = Size::new(stock.width, stock.height);
        let faces = [Some(stock.front), stock.back];
        let materials: Vec<Material> = faces.into_iter().flatten().map(|face| index.face(face).view.material).collect();
        needs.iter().any(|(size, takes)| {
            // What a die takes is not said here.
            let of_kind = takes.is_empty() || materials.iter().any(|material| takes.contains(material));
            of_kind && size.fits_in(has, Turn::Either)
        })
    };
    let is_scrap = |stock: &StockId| index.stock(*stock).kind == StockKind::Cuttable(LineKind::Scrap);
    index
        .smallest_first
        .iter()
        .copied()
        .filter(is_scrap)
        .filter(|stock| !useful(index.stock(*stock)))
        .take(MOST_SCRAPS)
        .map(|id| {
            let stock = index.stock(id);
            let material = index.face(stock.front).view.material;
            let caliper = body(material, stock.body.thickness, stock.body.grammage).caliper;
            (id, Scrap { size: Size::new(stock.width, stock.height), caliper, count: stock.count })
        })
        .collect()
}

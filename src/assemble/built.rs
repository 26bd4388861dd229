//! One card as it is built: its stack, what shows of each layer, what goes beneath, how thick and
//! heavy it is, its envelope and its post, its base, and the steps.

use super::bench::Bench;
use super::dots::{self, DotsSet};
use super::pieces::{CardPiece, Laid, Made, PartPiece, Turned, is_on_foam, parts, pieces};
use super::steps::{Step, steps};
use crate::construct::Weight;
use crate::construct::base::{Base, Lies, base};
use crate::construct::envelope::{Envelope, envelopes, made_to_measure};
use crate::construct::level::{BACK, Beneath, build};
use crate::construct::paper::{Body, Known, body};
use crate::construct::post::{Address, Bend, Class, Evenness, Posted, classes};
use crate::construct::stack::{Held, Sheet, Sight, Stack, glue_zones, visible};
use crate::index::{FaceId, StockId, is_opaque};
use crate::layout::{Outline, Rect, Region};
use crate::matching::Layer;
use crate::score::{Suggestion, Table};
use api::units::{Length, Size};
use api::{Material, Role};

/// The thickness of one wall of an envelope, 0.12 mm, and its weight, 90 g/m² (JCP V20, 24 lb).
const WALL: Length = Length::micrometres(120);
const WALL_GRAMS: u32 = 90;
/// What stands this far above the card makes its thickness uneven, 1/8 in; common practice, no source.
const UNEVEN: Length = Length::from_nanometres(3_175_000);
/// Foam weighs about 0.1 g a square inch at 2 mm; from memory. As grams per square metre.
const FOAM_GRAMS: u32 = 155;

/// What a layer of the stack is: a layer of the network, or a part of an image that lies in one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// The layer, as a place in the network's layers.
    pub layer: usize,
    /// The part, as a place among the parts of that image; `None` is the layer itself.
    pub part: Option<usize>,
}

/// One card as it is built.
#[derive(Clone, Debug)]
pub struct Built {
    /// Every piece as it is cut, bottom first.
    pub pieces: Vec<CardPiece>,
    /// What each layer of the stack is, bottom first: a layer, then the parts built on it.
    pub parts: Vec<Part>,
    /// The stack.
    pub stack: Stack,
    /// What shows of each.
    pub visible: Vec<Region>,
    /// What goes beneath each.
    pub beneath: Vec<Beneath>,
    /// For each that one can see through, where glue does not show.
    pub glue_zones: Vec<Option<Region>>,
    /// Finishing dots, where it has any.
    pub dots: Option<DotsSet>,
    /// At its highest, both leaves of the base and any dots included.
    pub thickness: Length,
    /// Whether any thickness in it is an estimate.
    pub thickness_known: Known,
    /// In all.
    pub weight: Weight,
    /// Whether any weight in it is an estimate.
    pub weight_known: Known,
    /// Envelopes it goes in, the best first.
    pub envelopes: Vec<Envelope>,
    /// How it is posted in the first of them.
    pub post: Vec<Class>,
    /// Its base.
    pub base: Base,
    /// What to do, in the order of work.
    pub steps: Vec<Step>,
    /// Listed scraps offered for levelling, which levelling pieces name by their place.
    pub scraps: Vec<StockId>,
}

/// What a stack is made from, layer by layer.
struct Laying<'a> {
    table: Table<'a>,
    card: &'a Suggestion,
    parts: Vec<Part>,
    sheets: Vec<Sheet>,
    bodies: Vec<Body>,
    /// For each layer of the network, its place in the stack.
    place_of: Vec<usize>,
}

impl Built {
    /// Builds a card.
    #[must_use]
    pub fn new(table: Table<'_>, bench: &Bench, card: &Suggestion) -> Self {
        let cut = pieces(table.index, card);
        let built = parts(table.images, table.index, card);
        let laying = Laying::lay(table, card, &cut, &built);
        let Laying { parts, sheets, bodies, .. } = laying;
        let stack = Stack { card: card.network.card, sheets };
        let offered: Vec<_> = bench.scraps.iter().filter(|(stock, _)| !uses(card, *stock)).copied().collect();
        let scraps: Vec<_> = offered.iter().map(|(_, scrap)| *scrap).collect();
        let (beneath, highest) = build(&stack, &bench.rules, &scraps);
        let through = |place: usize| stack.sheets[place].sight == Sight::Through && parts[place].part.is_none();
        let zones = (0..stack.sheets.len()).map(|place| through(place).then(|| glue_zones(&stack, place, BACK)));
        let zones: Vec<Option<Region>> = zones.collect();
        let visible = visible(&stack);
        let dots = dots::set(table, bench, card, (&stack, &parts, &visible), &built);
        let set = dots.as_ref().and_then(|set| Some((set, table.dots.get(set.of)?)));
        let highest = set.map_or(highest, |(set, dots)| {
            highest.max(beneath[set.place].height + stack.sheets[set.place].caliper + dots.height)
        });
        let known = |is: fn(&Body) -> Known| {
            if bodies.iter().all(|body| is(body) == Known::Entered) { Known::Entered } else { Known::Estimated }
        };
        // The back leaf lies beneath the front.
        let thickness = highest + bodies.first().map_or(Length::ZERO, |body| body.caliper);
        let lies = cut.first().map_or(Lies::AsCut, |piece| match (piece.made, piece.turned) {
            (Made::Folded, Turned::Quarter) => Lies::Turned,
            _ => Lies::AsCut,
        });
        let stock = cut.first().map(|piece| table.index.stock(piece.stock));
        let base = base(card.network.card, stock.and_then(|stock| stock.body.grain), lies);
        let mut weight = weigh(&stack, &bodies, &beneath, base.blank);
        let (mut thickness_known, mut weight_known) =
            (known(|body| body.caliper_known), known(|body| body.grammage_known));
        if let Some((set, dots)) = set {
            weight += Weight::micrograms(i64::from(dots.weighs()) * i64::from(set.count()));
            if dots.assumed.contains(&"height") {
                thickness_known = Known::Estimated;
            }
            if dots.micrograms.is_none() {
                weight_known = Known::Estimated;
            }
        }
        let envelopes = envelopes(card.network.card, thickness, bench.region);
        let post = post(card.network.card, thickness, weight, &envelopes, highest);
        let mut card_built = Self {
            visible,
            dots,
            glue_zones: zones,
            beneath,
            thickness,
            thickness_known,
            weight,
            weight_known,
            envelopes,
            post,
            base,
            steps: Vec::new(),
            scraps: offered.into_iter().map(|(stock, _)| stock).collect(),
            pieces: cut,
            parts,
            stack,
        };
        card_built.steps = steps(card, &card_built);
        card_built
    }

    /// The place in the stack of a layer of the network.
    #[must_use]
    pub fn place_of(&self, layer: usize) -> usize {
        self.parts.iter().position(|part| part.layer == layer && part.part.is_none()).unwrap_or(0)
    }
}

/// Whether a card cuts any of its pieces from a stock.
fn uses(card: &Suggestion, stock: StockId) -> bool {
    let parts = card.choice.parts.iter().flat_map(|choice| choice.parts.iter().map(|(_, stock)| stock));
    card.choice.pieces.iter().flatten().chain(parts).any(|used| *used == stock)
}

fn weigh(stack: &Stack, bodies: &[Body], beneath: &[Beneath], blank: Size) -> Weight {
    let mut weight = bodies.first().map_or(Weight::ZERO, |body| Weight::of(blank.area(), body.grammage));
    for (sheet, body) in stack.sheets.iter().zip(bodies).skip(1) {
        weight += Weight::of(sheet.area(), body.grammage);
    }
    for beneath in beneath {
        for pad in beneath.foam.iter().flat_map(|pads| &pads.pads) {
            weight += Weight::of(pad.area(), FOAM_GRAMS);
        }
        for bit in &beneath.levelling {
            // Of whatever it is, it fills its step: as heavy as cardstock so thick would be.
            let grams = u32::try_from(bit.step.nanometres() / 1_250).unwrap_or(0);
            weight += Weight::of(bit.rect.area(), grams);
        }
    }
    weight
}

/// How the card travels in the envelope that fits best.
fn post(card: Size, thickness: Length, weight: Weight, envelopes: &[Envelope], highest: Length) -> Vec<Class> {
    let (name, size) = envelopes.first().map_or_else(
        || ("an envelope made to measure".to_owned(), made_to_measure(card, thickness)),
        |first| (format!("a {} envelope", first.name), first.size),
    );
    // Two walls, and about a fifth more for flaps.
    let paper = Weight::of(size.area() * 2, WALL_GRAMS);
    let paper = Weight::micrograms(paper.as_micrograms() / 5 * 6);
    let posted = Posted {
        size,
        thickness: thickness + WALL * 2,
        weight: weight + paper,
        evenness: if highest > UNEVEN { Evenness::Uneven } else { Evenness::Even },
        address: Address::AlongLong,
        bend: Bend::Bends,
    };
    let mut classes = classes(&posted);
    let inside = format!("in {name}, {} with it", posted.weight);
    classes.iter_mut().for_each(|class| class.why.insert(0, inside.clone()));
    classes
}

impl<'a> Laying<'a> {
    fn lay(table: Table<'a>, card: &'a Suggestion, cut: &[CardPiece], built: &[PartPiece<'_>]) -> Self {
        let layers = &card.network.layers;
        let mut laying = Self {
            table,
            card,
            parts: Vec::new(),
            sheets: Vec::new(),
            bodies: Vec::new(),
            place_of: Vec::with_capacity(layers.len()),
        };
        for (place, layer) in layers.iter().enumerate() {
            let own: Vec<&CardPiece> = cut.iter().filter(|piece| piece.layer == place).collect();
            let of_image: Vec<&PartPiece<'_>> = built.iter().filter(|part| part.layer == place).collect();
            laying.layer(place, layer, &own, of_image.is_empty());
            for (number, part) in of_image.iter().enumerate() {
                laying.part(place, number, part);
            }
        }
        laying
    }

    fn layer(&mut self, place: usize, layer: &Layer, own: &[&CardPiece], is_whole: bool) {
        let face = self.card.faces[layer.slot];
        let material = self.table.index.face(face).view.material;
        let is_image = material == Material::Image;
        let whole = own.iter().map(|piece| piece.rect).reduce(|one, other| one.around(&other)).unwrap_or(layer.rect);
        // An image keeps its own size; all else is trimmed flush.
        let trimmed = |piece: &&CardPiece| if is_image { piece.rect } else { piece.rect.shared(&layer.rect) };
        let pieces: Vec<Rect> = own.iter().map(trimmed).filter(|rect| !rect.is_empty()).collect();
        let stock = own.first().map(|piece| piece.stock);
        self.place_of.push(self.sheets.len());
        self.bodies.push(self.body(face, stock));
        let body = self.bodies[self.bodies.len() - 1];
        self.parts.push(Part { layer: place, part: None });
        let on = self.lies_on(place, layer);
        self.sheets.push(Sheet {
            pieces: if is_whole { pieces } else { Vec::new() },
            outline: if is_image { Outline::Rectangle } else { layer.outline.clone() },
            whole: if is_image { whole } else { outline_whole(self.card, layer, whole) },
            sight: if is_opaque(material) && is_whole { Sight::Opaque } else { Sight::Through },
            held: if is_on_foam(&self.card.network.layers, place) { Held::OnFoam } else { Held::Flat },
            caliper: if is_whole { body.caliper } else { Length::ZERO },
            grammage: body.grammage,
            on,
            hole: own.iter().find_map(|piece| piece.hole),
        });
    }

    /// A part of an image: its outline is not known, so it hides nothing for certain.
    fn part(&mut self, layer: usize, number: usize, part: &PartPiece<'_>) {
        let body = self.body(part.face, Some(part.stock));
        let inlaid = part.laid == Laid::Inlaid;
        self.parts.push(Part { layer, part: Some(number) });
        self.bodies.push(body);
        self.sheets.push(Sheet {
            pieces: vec![part.rect],
            outline: Outline::Rectangle,
            whole: part.rect,
            sight: Sight::Through,
            held: Held::Flat,
            // What is let in lies flush with what is round it.
            caliper: if inlaid { Length::ZERO } else { body.caliper },
            grammage: body.grammage,
            on: vec![self.place_of[layer]],
            hole: None,
        });
    }

    fn body(&self, face: FaceId, stock: Option<StockId>) -> Body {
        let entered = stock.map(|stock| self.table.index.stock(stock).body).unwrap_or_default();
        body(self.table.index.face(face).view.material, entered.thickness, entered.grammage)
    }

    /// What a layer is drawn as lying on: a panel on its nearest mat, the outermost mat on what the
    /// panel lies on.
    fn lies_on(&self, place: usize, layer: &Layer) -> Vec<usize> {
        let layers = &self.card.network.layers;
        let of_mat = |panel: &str| layer.id == format!("{panel} mat") || layer.id.starts_with(&format!("{panel} mat "));
        if let Some(below) = place.checked_sub(1)
            && layers[below].role == Role::Mat
            && (layer.role != Role::Mat && layers[below].id.starts_with(&format!("{} mat", layer.id))
                || layer.role == Role::Mat
                    && layers[below].slot != layer.slot
                    && same_panel(&layers[below].id, &layer.id))
        {
            return vec![self.place_of[below]];
        }
        let panels = &self.card.drawn.panels;
        let own = panels.iter().find(|panel| panel.id == layer.id || (layer.role == Role::Mat && of_mat(&panel.id)));
        let Some(panel) = own else { return Vec::new() };
        let layer_of = |below: &usize| {
            let id = &panels[*below].id;
            layers.iter().take(place).position(|layer| layer.id == *id).map(|layer| self.place_of[layer])
        };
        panel.on.iter().filter_map(layer_of).collect()
    }
}

/// Whether two mats lie behind one panel, by their ids: "window mat 2" and "window mat 1".
fn same_panel(one: &str, other: &str) -> bool {
    let panel = |id: &str| id.rsplit_once(" mat ").map(|(panel, _)| panel.to_owned());
    panel(one).is_some() && panel(one) == panel(other)
}

/// What a layer's outline fills: the panel as drawn, even where only parts of it are cut.
fn outline_whole(card: &Suggestion, layer: &Layer, around: Rect) -> Rect {
    let panel = card.drawn.panels.iter().find(|panel| panel.id == layer.id);
    panel.filter(|_| layer.die.is_none() && layer.pieces.len() > 1).map_or(around, |panel| panel.cut())
}

//! What a drawn layout needs: one slot for each paper to be chosen, and how slots stand to each other.
//!
//! A layout in its places in, a [`Network`] out, or the one thing that no choice of paper mends (a
//! die that is not owned, a panel with nothing left). It never looks at what papers are on hand.

use crate::index::PieceNeed;
use crate::layout::{Drawn, DrawnPanel, Outline, Rect, outline_cut as outline};
use crate::stash::{Die, Facing, Shape, Takes};
use api::units::{Length, Size};
use api::{Material, Relation, Role};

/// What a mat may be made of.
pub const MAT_MATERIALS: [Material; 3] = [Material::Cardstock, Material::Kraft, Material::Glitter];
/// What a card base may be made of.
const BASE_MATERIALS: [Material; 2] = [Material::Cardstock, Material::Kraft];
/// The narrowest panel worth cutting, 1/4 in; common practice, no source.
const NARROWEST_PANEL: Length = Length::from_nanometres(6_350_000);

/// One layer of the finished card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layer {
    /// Its panel's id, `base`, or the panel's id with the number of the mat.
    pub id: String,
    /// What it is for.
    pub role: Role,
    /// The slot that says what it is made of.
    pub slot: usize,
    /// Where it shows, trimmed flush.
    pub rect: Rect,
    /// The pieces it is built from, as cut; more than one for strips.
    pub pieces: Vec<Rect>,
    /// Its outline.
    pub outline: Outline,
    /// Whether it is raised on foam.
    pub raised: bool,
    /// Whether it carries words.
    pub holds_sentiment: bool,
    /// The die that cuts it, as a place in the stash's dies.
    pub die: Option<usize>,
    /// Whether it overruns what it lies on, and is trimmed flush after gluing.
    pub overruns: bool,
}

/// One paper (or image) to be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slot {
    /// The id of its first layer.
    pub id: String,
    /// What it is for.
    pub role: Role,
    /// What it may be made of.
    pub materials: Vec<Material>,
    /// Every piece of one card that comes from it.
    pub needs: Vec<PieceNeed>,
    /// The panel of the layout whose face it is; `None` for mats and the base.
    pub panel: Option<usize>,
    /// The way an image here must not look, since it would look out of the card.
    pub looks_out: Option<Facing>,
}

impl Slot {
    /// The place in `needs` of its main piece: the largest, the first of those as large. Use-up is
    /// judged by the stock this one comes from.
    #[must_use]
    pub fn main_need(&self) -> usize {
        let area = |place: &usize| self.needs[*place].cut_size().area();
        (0..self.needs.len()).rev().max_by_key(area).unwrap_or(0)
    }
}

/// How two slots stand to each other; both are places in [`Network::slots`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Link {
    /// How.
    pub relation: Relation,
    /// The one on top; for papers that only share a card, the lower place.
    pub upper: usize,
    /// The one beneath.
    pub lower: usize,
}

/// A weighted constraint network: slots, what they may be, and what joins them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Network {
    /// The card's front.
    pub card: Size,
    /// The papers to be chosen; the card base is the first.
    pub slots: Vec<Slot>,
    /// What scorers judge in pairs.
    pub links: Vec<Link>,
    /// Slots that must not be of one paper.
    pub differ: Vec<(usize, usize)>,
    /// An image's slot and a slot it lies on, which must be quiet.
    pub quiet: Vec<(usize, usize)>,
    /// The layers of the card, bottom first.
    pub layers: Vec<Layer>,
}

impl Network {
    /// The layer that a slot's piece is for, and where the piece lies.
    #[must_use]
    pub fn piece(&self, slot: usize, need: usize) -> Option<(usize, Rect)> {
        let layers = self.layers.iter().enumerate().filter(|(_, layer)| layer.slot == slot);
        let mut pieces = layers.flat_map(|(place, layer)| layer.pieces.iter().map(move |piece| (place, *piece)));
        pieces.nth(need)
    }
}

/// What is lacking whatever paper is chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unmakeable {
    /// No die she owns fits into a panel.
    NoDie {
        /// The panel.
        panel: String,
        /// The room there is.
        room: Size,
    },
    /// The changes leave too little of a panel, move it off or beyond what it lies on, or over one it was clear of.
    NothingLeft {
        /// The panel.
        panel: String,
    },
    /// Panels that must be of one paper cannot be.
    NoCommonMaterial {
        /// One of them.
        panel: String,
    },
}

/// Lays out the slots of a drawn layout.
///
/// # Errors
/// The first panel, bottom first, that cannot be made whatever paper is chosen.
pub fn network(drawn: &Drawn, dies: &[Die]) -> Result<Network, Unmakeable> {
    if let Some(panel) = drawn.out_of_place() {
        return Err(Unmakeable::NothingLeft { panel: panel.id.clone() });
    }
    let mut making = Making::new(drawn.card);
    making.mats_of_panel.resize(drawn.panels.len(), Vec::new());
    let mut slot_of_panel = vec![usize::MAX; drawn.panels.len()];
    for place in drawn.order.iter().filter(|place| !drawn.panels[**place].left_out) {
        making.panel(drawn, *place, dies, &mut slot_of_panel)?;
    }
    for (place, panel) in drawn.panels.iter().enumerate() {
        for other in panel.differs_from.iter().filter(|other| !panel.left_out && !drawn.panels[**other].left_out) {
            making.must_differ(slot_of_panel[place], slot_of_panel[*other]);
        }
    }
    Ok(making.finish())
}

struct Making {
    network: Network,
    /// For each panel laid so far, the slots of its mats, nearest first.
    mats_of_panel: Vec<Vec<usize>>,
}

impl Making {
    fn new(card: Size) -> Self {
        let base = Slot {
            id: "base".to_owned(),
            role: Role::Base,
            materials: BASE_MATERIALS.to_vec(),
            needs: vec![PieceNeed::Blank(card)],
            panel: None,
            looks_out: None,
        };
        let layer = Layer {
            id: "base".to_owned(),
            role: Role::Base,
            slot: 0,
            rect: Rect::whole(card),
            pieces: vec![Rect::whole(card)],
            outline: Outline::Rectangle,
            raised: false,
            holds_sentiment: false,
            die: None,
            overruns: false,
        };
        Self {
            network: Network {
                card,
                slots: vec![base],
                links: Vec::new(),
                differ: Vec::new(),
                quiet: Vec::new(),
                layers: vec![layer],
            },
            mats_of_panel: Vec::new(),
        }
    }

    fn panel(
        &mut self,
        drawn: &Drawn,
        place: usize,
        dies: &[Die],
        slot_of_panel: &mut [usize],
    ) -> Result<(), Unmakeable> {
        let panel = &drawn.panels[place];
        let flush = drawn.flush(panel);
        let gone = || Unmakeable::NothingLeft { panel: panel.id.clone() };
        let cut = panel.cut();
        if cut.width() < NARROWEST_PANEL || cut.height() < NARROWEST_PANEL || cut.shared(&flush).is_empty() {
            return Err(gone());
        }
        let die = if panel.shape == Shape::Die { Some(largest_die(panel, dies)?) } else { None };
        let cut = die.map_or(cut, |die| cut.centred(dies[die].size));
        let slot = self.slot_for(drawn, place, cut, die.map(|die| &dies[die]), slot_of_panel)?;
        slot_of_panel[place] = slot;
        let mats = self.mats(panel, &flush);
        self.mats_of_panel[place].clone_from(&mats);
        let pieces = if panel.strips.is_empty() { vec![cut] } else { panel.strips.clone() };
        self.network.layers.push(Layer {
            id: panel.id.clone(),
            role: panel.role,
            slot,
            rect: cut.shared(&flush),
            pieces,
            outline: outline(panel, cut.size(), die.map(|die| &dies[die])),
            raised: panel.raised,
            holds_sentiment: panel.holds_sentiment,
            die,
            overruns: !flush.holds(&cut),
        });
        self.join(drawn, panel, slot, &mats, slot_of_panel);
        Ok(())
    }

    /// The slot of a panel: a new one, or that of the panel whose paper it must be.
    fn slot_for(
        &mut self,
        drawn: &Drawn,
        place: usize,
        cut: Rect,
        die: Option<&Die>,
        slot_of_panel: &[usize],
    ) -> Result<usize, Unmakeable> {
        let panel = &drawn.panels[place];
        let (materials, need) = match &panel.takes {
            Takes::Stock(materials) => {
                let margin = die.map_or(Length::ZERO, |die| die.margin) * 2;
                let size = Size { width: cut.width() + margin, height: cut.height() + margin };
                (materials.clone(), PieceNeed::Cut(size))
            }
            Takes::Image => (vec![Material::Image], PieceNeed::Whole(cut.size())),
        };
        let needs = if panel.strips.is_empty() {
            vec![need]
        } else {
            panel.strips.iter().map(|strip| PieceNeed::Cut(strip.size())).collect()
        };
        let twin = drawn.panels.iter().enumerate().find_map(|(other, twin)| {
            let named = panel.same_as == Some(other) || twin.same_as == Some(place);
            (named && slot_of_panel[other] != usize::MAX).then(|| slot_of_panel[other])
        });
        if let Some(twin) = twin {
            let slot = &mut self.network.slots[twin];
            slot.materials.retain(|material| materials.contains(material));
            if slot.materials.is_empty() {
                return Err(Unmakeable::NoCommonMaterial { panel: panel.id.clone() });
            }
            slot.needs.extend(needs);
            return Ok(twin);
        }
        self.network.slots.push(Slot {
            id: panel.id.clone(),
            role: panel.role,
            materials,
            needs,
            panel: Some(panel.source),
            looks_out: (panel.takes == Takes::Image).then(|| looks_out(&cut, drawn.card.width)).flatten(),
        });
        Ok(self.network.slots.len() - 1)
    }

    /// Lays the mats of a panel, the outermost first; gives their slots, nearest first. Panels that
    /// match have mats that match.
    fn mats(&mut self, panel: &DrawnPanel, flush: &Rect) -> Vec<usize> {
        let twins = panel.matches.map(|twin| self.mats_of_panel[twin].clone());
        let mut slots = twins.filter(|twins| twins.len() == panel.mats.len()).unwrap_or_default();
        let are_new = slots.is_empty();
        slots.resize(panel.mats.len(), 0);
        for mat in (0..panel.mats.len()).rev() {
            let rect = panel.mat(mat);
            let id = if panel.mats.len() == 1 {
                format!("{} mat", panel.id)
            } else {
                format!("{} mat {}", panel.id, mat + 1)
            };
            if are_new {
                self.network.slots.push(Slot {
                    id: id.clone(),
                    role: Role::Mat,
                    materials: MAT_MATERIALS.to_vec(),
                    needs: Vec::new(),
                    panel: None,
                    looks_out: None,
                });
                slots[mat] = self.network.slots.len() - 1;
            }
            self.network.slots[slots[mat]].needs.push(PieceNeed::Cut(rect.size()));
            self.network.layers.push(Layer {
                id,
                role: Role::Mat,
                slot: slots[mat],
                rect: rect.shared(flush),
                pieces: vec![rect],
                outline: outline(panel, rect.size(), None),
                raised: panel.raised && mat + 1 == panel.mats.len(),
                holds_sentiment: false,
                die: None,
                overruns: !flush.holds(&rect),
            });
        }
        slots
    }

    fn join(&mut self, drawn: &Drawn, panel: &DrawnPanel, slot: usize, mats: &[usize], slot_of_panel: &[usize]) {
        let mut above = slot;
        for (place, mat) in mats.iter().enumerate() {
            let relation = if place == 0 { Relation::MatBehind } else { Relation::Touching };
            self.link(relation, above, *mat);
            above = *mat;
        }
        let on_base = panel.on.is_empty();
        let below: Vec<usize> = if on_base {
            vec![0]
        } else {
            let meets = |below: &&usize| !drawn.panels[**below].footprint.shared(&panel.footprint).is_empty();
            panel.on.iter().filter(meets).map(|below| slot_of_panel[*below]).collect()
        };
        // A ground on the bare base is matted by it: the base shows as an even edge.
        let framed = on_base && mats.is_empty() && panel.role == Role::Background;
        for lower in below {
            let relation = if framed { Relation::MatBehind } else { Relation::Touching };
            self.link(relation, above, lower);
            if panel.takes == Takes::Image {
                self.network.quiet.push((slot, lower));
            }
        }
    }

    fn link(&mut self, relation: Relation, upper: usize, lower: usize) {
        if upper != lower {
            self.network.links.push(Link { relation, upper, lower });
            self.must_differ(upper, lower);
        }
    }

    fn must_differ(&mut self, one: usize, other: usize) {
        if one != other {
            self.network.differ.push((one.min(other), one.max(other)));
        }
    }

    fn finish(mut self) -> Network {
        let patterned: Vec<usize> = (0..self.network.slots.len())
            .filter(|slot| self.network.slots[*slot].materials.contains(&Material::Patterned))
            .collect();
        for (place, upper) in patterned.iter().enumerate() {
            for lower in &patterned[place + 1..] {
                self.network.links.push(Link { relation: Relation::SameCard, upper: *upper, lower: *lower });
            }
        }
        for list in [&mut self.network.differ, &mut self.network.quiet] {
            list.sort_unstable();
            list.dedup();
        }
        self.network.links.sort_unstable();
        self.network.links.dedup();
        self.network
    }
}

/// The largest die that fits into a panel, the first by id where two are as large.
fn largest_die(panel: &DrawnPanel, dies: &[Die]) -> Result<usize, Unmakeable> {
    let room = panel.cut().size();
    let mut best: Option<usize> = None;
    for (place, die) in dies.iter().enumerate() {
        if die.size.width <= room.width && die.size.height <= room.height {
            let larger = best.is_none_or(|best: usize| {
                let (one, other) = (die.size.area(), dies[best].size.area());
                one > other || (one == other && die.id < dies[best].id)
            });
            if larger {
                best = Some(place);
            }
        }
    }
    best.ok_or_else(|| Unmakeable::NoDie { panel: panel.id.clone(), room })
}

/// The way an image in this place must not look: out of the card on its own side. Nothing is asked
/// of an image within an eighth of the card's width of the middle.
fn looks_out(place: &Rect, card: Length) -> Option<Facing> {
    let off = place.left + place.right - card;
    if off.abs() * 4 <= card {
        None
    } else if off.is_positive() {
        Some(Facing::Right)
    } else {
        Some(Facing::Left)
    }
}

//! The steps of a card in words: what to do, with what, where, and what to mind.
//!
//! A card as built in; plain sentences out. Sizes are set down to the ruler. Where blades, presses,
//! heat, glue or small parts come in, the step carries a caution (sources: OSHA memorandum on
//! hand-operated paper cutters, 1976; CPSC art and craft safety guide, publication 5015; 16 CFR 1501).

mod lay;

use super::{piece_names, with_article};
use crate::assemble::pieces::{CardPiece, Made};
use crate::assemble::{Built, Step, Task};
use crate::construct::base::Fold;
use crate::construct::level::{Filling, Levelling};
use crate::index::Source;
use crate::layout::{Axis, Outline, Rect};
use crate::matching::Layer;
use crate::score::{Suggestion, Table};
use api::Role;
use api::units::{Length, Ruler, Size};

/// What to mind with a trimmer.
const TRIMMER: &str =
    "keep fingers clear of the trimmer's blade, hold the sheet behind its guard, and latch it when idle";
/// What to mind with a knife.
const KNIFE: &str =
    "use a fresh blade on a cutting mat along a metal edge, cut away from the hand that holds, and cap it after";
/// What to mind with a press.
const PRESS: &str = "keep fingers clear of rollers and plates, and stack the plates only as the press's maker says";
/// What to mind with heat.
const HEAT: &str = "air from a heat tool can exceed 500 °C: a heatproof mat, never unattended, fresh air";
/// What to mind with glue, ink and spray.
pub(super) const GLUE: &str = "fresh air, no flame, and read the label of glues, inks and sprays";
/// What to mind with small things.
pub(super) const SMALL: &str = "small parts that may come off are not for children under 3";

/// One step in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepWords {
    /// What kind of step, in kebab-case.
    pub kind: &'static str,
    /// The ids of the layers it is about.
    pub layers: Vec<String>,
    /// What to do.
    pub text: String,
    /// What to mind.
    pub cautions: Vec<&'static str>,
}

/// The steps of a card, in the order of work.
#[must_use]
pub fn steps_in_words(table: Table<'_>, card: &Suggestion, built: &Built) -> Vec<StepWords> {
    let ruler = Ruler::with_step(table.settings.ruler).unwrap_or(Ruler::sixteenths());
    let telling = Telling { table, card, built, ruler };
    built.steps.iter().map(|step| telling.step(step)).collect()
}

pub(super) struct Telling<'a> {
    pub(super) table: Table<'a>,
    pub(super) card: &'a Suggestion,
    pub(super) built: &'a Built,
    ruler: Ruler,
}

impl Telling<'_> {
    fn step(&self, step: &Step) -> StepWords {
        let (kind, text, cautions): (&'static str, String, Vec<&'static str>) = match &step.task {
            Task::Treat(layer) => (
                "treat",
                format!(
                    "If you ink, spray or emboss the paper of {}, do it first and let it dry flat.",
                    self.the(*layer)
                ),
                vec![GLUE, HEAT],
            ),
            Task::Base => self.base(),
            Task::Cut(layers) => ("cut", self.cut(layers), vec![TRIMMER]),
            Task::Hollow(layer) => ("hollow", self.hollow(*layer), vec![super::hollow::KNIFE_OUT]),
            Task::CutMiddle(layers) => ("cut-middle", self.cut_middle(layers), vec![TRIMMER]),
            Task::Notch(layer) => ("notch", self.notch(*layer), vec![KNIFE]),
            Task::Round(layer) => ("round", self.round(*layer), vec![KNIFE]),
            Task::DieCut(layer) => ("die-cut", self.die_cut(*layer), vec![PRESS]),
            Task::BuildImage(layer) => ("build-image", self.build_image(*layer), vec![PRESS, GLUE]),
            Task::Stamp(layer) => (
                "stamp",
                format!(
                    "Stamp or stick the words on {} now, while nothing is in the way, and let the ink dry.",
                    self.the(*layer)
                ),
                vec![],
            ),
            Task::Mat(panel, mats) => ("mat", self.mat(*panel, mats), self.glue_cautions(*panel)),
            Task::Level(layer) => ("level", self.level(*layer), vec![]),
            Task::LayOnVellum(upper, vellum) => (
                "lay-on-vellum",
                format!(
                    "Glue {} to {} before that goes on the card, {}; from now on glue may go behind {} and nowhere else.",
                    self.the(*upper),
                    self.the(*vellum),
                    self.place(*upper),
                    self.the(*upper)
                ),
                self.glue_cautions(*upper),
            ),
            Task::Lay(layer) => ("lay", self.lay(*layer), self.glue_cautions(*layer)),
            Task::Tuck(part, over) => (
                "tuck",
                format!(
                    "Last, tuck {} under the open edge of {} and glue it there, {}.",
                    self.the(*part),
                    self.the(*over),
                    self.place(*part)
                ),
                vec![GLUE],
            ),
            Task::Fit(layer) => (
                "trim",
                format!(
                    "Hold {} in place without glue, mark on its back where it runs over the edge of what it lies on, and trim it there.",
                    self.the(*layer)
                ),
                vec![KNIFE],
            ),
            Task::Trim(layer) => (
                "trim",
                format!("Turn the card over and trim {} flush with its edge, where it runs over.", self.the(*layer)),
                vec![KNIFE],
            ),
            Task::Dots(layer) => self.dots(*layer),
        };
        let layers = step.layers.iter().map(|layer| self.layer(*layer).id.clone()).collect();
        StepWords { kind, layers, text, cautions }
    }

    fn layer(&self, place: usize) -> &Layer {
        &self.card.network.layers[place]
    }

    pub(super) fn the(&self, place: usize) -> String {
        if self.layer(place).role == Role::Base {
            "the card base".to_owned()
        } else {
            with_article(&self.layer(place).id)
        }
    }

    pub(super) fn size(&self, size: Size) -> String {
        size.down(self.ruler)
    }

    pub(super) fn length(&self, length: Length) -> String {
        self.ruler.nearest(length).to_string()
    }

    pub(super) fn own(&self, layer: usize) -> Vec<&CardPiece> {
        self.built.pieces.iter().filter(|piece| piece.layer == layer).collect()
    }

    /// "from the scrap box/7 of Small leaves", "from the middle of the window mat of three-bands-1a2b3c".
    fn from(&self, piece: &CardPiece) -> String {
        if let Some(middle) = piece.from_middle.and_then(|place| self.card.choice.from_middles.get(place)) {
            return format!("from the {}", middle.of.words());
        }
        let stock = self.table.index.stock(piece.stock);
        let name = &self.table.index.face(piece.face).view.name;
        format!("from {} ({})", name, stock.id())
    }

    fn base(&self) -> (&'static str, String, Vec<&'static str>) {
        let base = &self.built.base;
        let card = self.size(self.card.network.card);
        let side = if base.side_fold { "left" } else { "top" };
        let Some(piece) = self.own(0).first().copied() else {
            return ("base", format!("Take a card base, {card}."), vec![]);
        };
        if piece.made == Made::Ready {
            let text =
                format!("Take a ready-made card base, {card} folded, {}, its fold at the {side}.", self.from(piece));
            return ("base", text, vec![]);
        }
        let grain = match base.grain {
            Fold::WithGrain => " The fold runs with the grain.",
            Fold::AcrossGrain => " The fold runs across the grain, so score it well, twice if need be.",
            Fold::Unknown => "",
        };
        let text = format!(
            "Cut the card base {} {}; score it {} from the {side} and fold it there, the raised bead inside: {card}.{grain}",
            self.size(base.blank),
            self.from(piece),
            self.length(base.score_at),
        );
        ("base", text, vec![TRIMMER])
    }

    fn cut(&self, layers: &[usize]) -> String {
        let told = self.pieces_of(layers, |piece| piece.from_middle.is_none());
        format!(
            "Square up two edges of each sheet and measure from them. Cut, width first, and pencil its name on the back of each: {}.",
            told.join("; ")
        )
    }

    /// Each piece of some layers: what it is, how large, what it is cut from.
    pub(super) fn pieces_of(&self, layers: &[usize], wanted: fn(&CardPiece) -> bool) -> Vec<String> {
        let mut told: Vec<String> = Vec::new();
        for layer in layers {
            let own = self.own(*layer);
            let names = piece_names(own.len(), self.axis(&own));
            for (piece, name) in own.iter().zip(names) {
                if piece.made != Made::Cut || !wanted(piece) {
                    continue;
                }
                let what = if own.len() == 1 { String::new() } else { format!(", {name}") };
                told.push(format!("{}{what}: {} {}", self.layer(*layer).id, self.size(piece.cut), self.from(piece)));
            }
        }
        told
    }

    /// Along which side pieces follow one another.
    fn axis(&self, own: &[&CardPiece]) -> Axis {
        match own {
            [one, other, ..] if one.rect.left == other.rect.left => Axis::Height,
            _ => Axis::Width,
        }
    }

    fn notch(&self, layer: usize) -> String {
        let the = self.the(layer);
        let sheet = &self.built.stack.sheets[self.built.place_of(layer)];
        let Outline::Polygon(points) = &sheet.outline else { return format!("Cut {the} to its outline.") };
        let share = |side: Length, thousandths: i32| {
            Length::from_nanometres(side.nanometres() / 1_000 * i64::from(thousandths))
        };
        // The notch is the one corner that lies on neither side of its rectangle.
        let inner =
            points.iter().find(|(x, y)| ![0, 1_000].contains(x) && *y == 500 || ![0, 1_000].contains(y) && *x == 500);
        let (deep, end) = match inner {
            Some((x, 500)) if *x > 500 => (share(sheet.whole.width(), 1_000 - x), "right"),
            Some((x, 500)) => (share(sheet.whole.width(), *x), "left"),
            Some((_, y)) if *y > 500 => (share(sheet.whole.height(), 1_000 - y), "lower"),
            Some((_, y)) => (share(sheet.whole.height(), *y), "upper"),
            None => return format!("Cut {the} to its outline."),
        };
        format!(
            "Notch the {end} end of {the}: mark the middle of that end {} in from the edge, and cut from each corner to the mark.",
            self.length(deep)
        )
    }

    fn round(&self, layer: usize) -> String {
        let (the, whole) = (self.the(layer), self.built.stack.sheets[self.built.place_of(layer)].whole);
        let size = whole.size();
        if size.width == size.height {
            return format!(
                "Cut {the} round, {} across: with a circle cutter, or draw the circle on its back with compasses set to {} from the middle, and cut along it.",
                self.length(size.width),
                self.length(Length::from_nanometres(size.width.nanometres() / 2))
            );
        }
        format!(
            "Cut {the} to an oval {}: draw it on the back, touching the middle of each side, and cut along it.",
            self.size(size)
        )
    }

    fn die_cut(&self, layer: usize) -> String {
        let own = self.own(layer);
        let name = self
            .layer(layer)
            .die
            .and_then(|die| self.table.dies.get(die))
            .map_or("its die".to_owned(), |die| format!("the die {} ({})", die.name, self.size(die.size)));
        let from = own
            .first()
            .map_or(String::new(), |piece| format!(" from a piece {} {}", self.size(piece.cut), self.from(piece)));
        format!("Cut {} with {name}{from}.", self.the(layer))
    }

    fn build_image(&self, layer: usize) -> String {
        let face = self.card.faces[self.layer(layer).slot];
        let of = self.table.index.face(face);
        let parts = match of.source {
            Source::Image(place) => self.table.images.get(place).map_or(&[][..], |image| &image.parts),
            _ => &[],
        };
        let chosen = self.card.choice.parts.iter().find(|choice| choice.slot == self.layer(layer).slot);
        let told: Vec<String> = parts
            .iter()
            .enumerate()
            .map(|(place, part)| {
                let from = chosen.and_then(|choice| choice.parts.get(place)).map_or(String::new(), |(face, stock)| {
                    let name = &self.table.index.face(*face).view.name;
                    format!(" from {name} ({})", self.table.index.stock(*stock).id())
                });
                match &part.inlaid_in {
                    Some(other) => format!("{}{from}, let into {other} so that it lies flush", part.id),
                    None => format!("{}{from}", part.id),
                }
            })
            .collect();
        format!(
            "Die-cut the parts of {} and build it apart from the card, in this order: {}. A drop of liquid glue for each, and a weight while it dries.",
            of.view.name,
            told.join("; ")
        )
    }

    fn mat(&self, panel: usize, mats: &[usize]) -> String {
        let mut told = Vec::new();
        let mut above = panel;
        for mat in mats {
            let (inner, outer) = (self.whole(above), self.whole(*mat));
            let shows = self.length(inner.left - outer.left);
            told.push(format!("{} to {} so that {shows} shows all round", self.the(above), self.the(*mat)));
            above = *mat;
        }
        format!("Glue {}, with {}.", told.join("; then "), self.adhesive(panel))
    }

    fn whole(&self, layer: usize) -> Rect {
        self.built.stack.sheets[self.built.place_of(layer)].whole
    }

    fn level(&self, layer: usize) -> String {
        let beneath = &self.built.beneath[self.built.place_of(layer)];
        let told: Vec<String> = beneath.levelling.iter().map(|bit| self.bit(layer, bit)).collect();
        format!(
            "So that {} does not sag, put beneath it: {}. All of it stays hidden, at least 1/16 in back from the edge.",
            self.the(layer),
            told.join("; ")
        )
    }

    fn bit(&self, layer: usize, bit: &Levelling) -> String {
        let size = self.size(bit.rect.size());
        let at = self.across_hole(layer, &bit.rect).unwrap_or_else(|| {
            format!(
                "{} from the left and {} from the top of the card",
                self.length(bit.rect.left),
                self.length(bit.rect.top)
            )
        });
        let plies = |of: &str| match bit.plies {
            1 => format!("any bit of {of} {size} or a little less"),
            more => format!("{more} bits of {of} one on another, {size} or a little less"),
        };
        let what = match bit.of {
            Filling::Paper => plies("patterned paper"),
            Filling::Card => plies("cardstock"),
            Filling::ThinFoam => format!("thin foam (1 mm), {size} or a little less"),
            Filling::Foam if bit.plies == 1 => format!("foam (2 mm), {size} or a little less"),
            Filling::Foam => format!("{} layers of foam (2 mm), {size} or a little less", bit.plies),
            Filling::Scrap(place) => {
                let id = self.built.scraps.get(place).map_or("", |stock| self.table.index.stock(*stock).id());
                match bit.plies {
                    1 => format!("{size} from the scrap {id}, which is too small for anything else"),
                    more => format!("{more} pieces {size} from {id}, which is too small for anything else"),
                }
            }
        };
        format!("{what}, {at}")
    }
}

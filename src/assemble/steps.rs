//! What has to be done for a card, in the order of work rather than of layers.
//!
//! Each task knows what must come before it; the order is a topological one, ties by kind of work and
//! then by layer. Panels are glued to their own mats before either goes on the card; nothing is laid
//! over what is still to be stamped, levelled or trimmed; an image goes on vellum before the vellum
//! goes on the card; what tucks under a raised edge is glued last.

use super::built::Built;
use crate::construct::order::Work;
use crate::construct::stack::{Held, Sight};
use crate::layout::Outline;
use crate::matching::Layer;
use crate::score::Suggestion;
use api::Role;
use api::units::Area;

/// One thing to do; layers are places in the network's layers.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Task {
    /// Colour, spray or emboss the background, and let it dry.
    Treat(usize),
    /// Cut, score and fold the base, or take one.
    Base,
    /// Cut everything with straight sides.
    Cut(Vec<usize>),
    /// Cut the middle out of a piece with a knife, once all trimming is done.
    Hollow(usize),
    /// Cut pieces from the middles of others.
    CutMiddle(Vec<usize>),
    /// Cut the notch of a banner by hand.
    Notch(usize),
    /// Cut a circle or an oval by hand.
    Round(usize),
    /// Cut a shape with a die.
    DieCut(usize),
    /// Build an image from its parts, apart from the card.
    BuildImage(usize),
    /// Stamp words before anything is in the way.
    Stamp(usize),
    /// Glue a panel to its mats, nearest first.
    Mat(usize, Vec<usize>),
    /// Put in what lies beneath a layer.
    Level(usize),
    /// Glue an image to a layer one can see through, before that goes on the card.
    LayOnVellum(usize, usize),
    /// Glue a layer (with what is on it already) where it belongs.
    Lay(usize),
    /// Tuck a part under the edge of one that is raised.
    Tuck(usize, usize),
    /// Trim what overruns another panel to it, before it is glued.
    Fit(usize),
    /// Trim what overruns the card flush, once it is glued.
    Trim(usize),
    /// Set finishing dots on a layer, once all else is done.
    Dots(usize),
}

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub task: Task,
    /// The layers it is about, as places in the network's layers.
    pub layers: Vec<usize>,
}

/// A panel with its mats: what is handled as one.
struct Unit {
    /// The panel.
    panel: usize,
    /// Its mats, nearest first.
    mats: Vec<usize>,
}

impl Unit {
    /// Its lowest layer, which is what is glued down.
    fn lowest(&self) -> usize {
        self.mats.last().copied().unwrap_or(self.panel)
    }
}

/// Each panel with its mats, bottom first.
fn units(layers: &[Layer]) -> Vec<Unit> {
    let mut units = Vec::new();
    let mut mats: Vec<usize> = Vec::new();
    for (place, layer) in layers.iter().enumerate().skip(1) {
        if layer.role == Role::Mat {
            mats.insert(0, place);
            let ends = layers.get(place + 1).is_none_or(|next| !belongs(&layer.id, next));
            if ends {
                // A mat whose panel is left out is glued down like a panel.
                let panel = mats.remove(0);
                units.push(Unit { panel, mats: std::mem::take(&mut mats) });
            }
        } else {
            units.push(Unit { panel: place, mats: std::mem::take(&mut mats) });
        }
    }
    units
}

/// Whether the next layer is the panel, or a nearer mat of the panel, that a mat is behind.
fn belongs(mat: &str, next: &Layer) -> bool {
    let panel = mat.rsplit_once(" mat").map_or(mat, |(panel, _)| panel);
    next.id == panel || next.id.starts_with(&format!("{panel} mat"))
}

/// The steps of a card.
pub(super) fn steps(card: &Suggestion, built: &Built) -> Vec<Step> {
    let layers = &card.network.layers;
    let mut making = Making { built, layers, work: Work::new(), tasks: Vec::new() };
    let units = units(layers);
    let base = making.add(Task::Base, (0, 0));
    let straight: Vec<usize> = (1..layers.len())
        .filter(|layer| layers[*layer].die.is_none())
        .filter(|layer| {
            built.pieces.iter().any(|piece| piece.layer == *layer && piece.made != super::pieces::Made::Ready)
        })
        .collect();
    let cut = making.cut(straight);
    let mut lays: Vec<Laid> = Vec::with_capacity(units.len());
    for unit in &units {
        let laid = making.unit(card, unit, cut);
        lays.push(laid);
    }
    for (upper, over) in units.iter().enumerate() {
        making.work.before(base, lays[upper].lay);
        for (lower, under) in units.iter().enumerate().take(upper) {
            making.one_over_another((under, &lays[lower]), (over, &lays[upper]));
        }
    }
    if let Some(set) = &built.dots {
        let all: Vec<usize> = (0..making.tasks.len()).collect();
        making.after(Task::Dots(set.layer), (9, set.layer), &all);
    }
    let order = making.work.in_order();
    order.into_iter().map(|place| step(&making.tasks[place])).collect()
}

fn step(task: &Task) -> Step {
    let layers = match task {
        Task::Base => vec![0],
        Task::Cut(layers) | Task::CutMiddle(layers) => layers.clone(),
        Task::Mat(panel, mats) => std::iter::once(*panel).chain(mats.iter().copied()).collect(),
        Task::LayOnVellum(one, other) | Task::Tuck(one, other) => vec![*one, *other],
        Task::Treat(layer)
        | Task::Hollow(layer)
        | Task::Notch(layer)
        | Task::Round(layer)
        | Task::DieCut(layer)
        | Task::BuildImage(layer)
        | Task::Stamp(layer)
        | Task::Level(layer)
        | Task::Lay(layer)
        | Task::Fit(layer)
        | Task::Trim(layer)
        | Task::Dots(layer) => vec![*layer],
    };
    Step { task: task.clone(), layers }
}

/// The tasks of one unit that others must mind.
struct Laid {
    /// The first of what is done where it lies.
    first: usize,
    /// Glueing it down.
    lay: usize,
    /// The last of it.
    last: usize,
}

struct Making<'a> {
    built: &'a Built,
    layers: &'a [Layer],
    work: Work<(u32, usize)>,
    tasks: Vec<Task>,
}

impl Making<'_> {
    fn add(&mut self, task: Task, key: (u32, usize)) -> usize {
        self.tasks.push(task);
        self.work.add(key)
    }

    /// Adds a task that comes after others.
    fn after(&mut self, task: Task, key: (u32, usize), before: &[usize]) -> usize {
        let place = self.add(task, key);
        for other in before {
            self.work.before(*other, place);
        }
        place
    }

    /// All cutting of what has straight sides: first with the trimmer, then middles with a knife and what
    /// is cut from them. Gives the first of it, which what is treated comes before, and the last.
    fn cut(&mut self, straight: Vec<usize>) -> Option<(usize, usize)> {
        let own = |layer: usize| self.built.pieces.iter().filter(move |piece| piece.layer == layer);
        let is_of_sheet = |layer: &usize| own(*layer).any(|piece| piece.from_middle.is_none());
        let of_sheets: Vec<usize> = straight.iter().copied().filter(is_of_sheet).collect();
        let mut tasks: Vec<Task> = if of_sheets.is_empty() { Vec::new() } else { vec![Task::Cut(of_sheets)] };
        // A middle is larger than what is cut from it, and that is larger than its own middle.
        let mut by_hand: Vec<(std::cmp::Reverse<Area>, bool, usize)> = Vec::new();
        for layer in straight {
            for piece in own(layer) {
                by_hand.extend(piece.hole.map(|hole| (std::cmp::Reverse(hole.area()), false, layer)));
                by_hand.extend(piece.from_middle.map(|_| (std::cmp::Reverse(piece.cut.area()), true, layer)));
            }
        }
        by_hand.sort_unstable();
        for (_, is_from_middle, layer) in by_hand {
            match tasks.last_mut() {
                Some(Task::CutMiddle(layers)) if is_from_middle => layers.push(layer),
                _ if is_from_middle => tasks.push(Task::CutMiddle(vec![layer])),
                _ => tasks.push(Task::Hollow(layer)),
            }
        }
        let mut done: Option<(usize, usize)> = None;
        for (number, task) in tasks.into_iter().enumerate() {
            let place = self.add(task, (2, number));
            if let Some((_, last)) = done {
                self.work.before(last, place);
            }
            done = Some((done.map_or(place, |(first, _)| first), place));
        }
        done
    }

    fn unit(&mut self, card: &Suggestion, unit: &Unit, cut: Option<(usize, usize)>) -> Laid {
        let (panel, layer) = (unit.panel, &self.layers[unit.panel]);
        let mut ready: Vec<usize> = cut.into_iter().map(|(_, last)| last).collect();
        if layer.role == Role::Background {
            let treat = self.add(Task::Treat(panel), (1, panel));
            if let Some((first, _)) = cut {
                self.work.before(treat, first);
            }
        }
        let straight = ready.clone();
        for part in std::iter::once(panel).chain(unit.mats.iter().copied()) {
            let shape = match self.layers[part].outline {
                _ if self.layers[part].die.is_some() => continue,
                Outline::Rectangle => continue,
                Outline::Polygon(_) => Task::Notch(part),
                Outline::Ellipse => Task::Round(part),
            };
            let shaped = self.after(shape, (3, part), &straight);
            ready.push(shaped);
        }
        if layer.die.is_some() {
            let die = self.add(Task::DieCut(panel), (4, panel));
            ready.push(die);
        }
        if card.choice.parts.iter().any(|parts| parts.slot == layer.slot) {
            let image = self.add(Task::BuildImage(panel), (5, panel));
            ready.push(image);
        }
        if layer.holds_sentiment {
            let stamp = self.after(Task::Stamp(panel), (6, panel), &ready);
            ready.push(stamp);
        }
        if !unit.mats.is_empty() {
            // A hollow mat is bridged before what covers it is glued on.
            let covers = std::iter::once(panel).chain(unit.mats.iter().copied()).filter(|part| *part != unit.lowest());
            for part in covers {
                if !self.built.beneath[self.built.place_of(part)].levelling.is_empty() {
                    let level = self.after(Task::Level(part), (7, part), &straight);
                    ready.push(level);
                }
            }
            let mat = self.after(Task::Mat(panel, unit.mats.clone()), (7, panel), &ready);
            ready.push(mat);
        }
        let lowest = unit.lowest();
        let lay = self.after(Task::Lay(lowest), (8, lowest), &ready);
        let beneath = &self.built.beneath[self.built.place_of(lowest)];
        let mut first = lay;
        if !beneath.levelling.is_empty() {
            first = self.add(Task::Level(lowest), (8, lowest));
            self.work.before(first, lay);
        }
        let mut last = lay;
        let overrun: Vec<usize> = std::iter::once(panel)
            .chain(unit.mats.iter().copied())
            .filter(|part| self.layers[*part].overruns)
            .collect();
        if let Some(part) = overrun.first() {
            if self.built.stack.sheets[self.built.place_of(lowest)].on.is_empty() {
                // Over the card's own edge: trimmed from behind, once it is glued.
                last = self.after(Task::Trim(*part), (8, *part), &[lay]);
            } else {
                // Over another panel: what is beneath must not be cut, so it is trimmed before.
                let trim = self.after(Task::Fit(*part), (8, lowest), &ready);
                self.work.before(trim, first);
                first = trim;
            }
        }
        Laid { first, lay, last }
    }

    fn one_over_another(&mut self, (under, below): (&Unit, &Laid), (over, above): (&Unit, &Laid)) {
        let sheet = |layer: usize| &self.built.stack.sheets[self.built.place_of(layer)];
        let (lower, upper) =
            (sheet(under.panel).whole.around(&sheet(under.lowest()).whole), sheet(over.lowest()).whole);
        if lower.shared(&upper).is_empty() {
            return;
        }
        let lies_on = sheet(over.lowest()).on.contains(&self.built.place_of(under.panel));
        let through = sheet(under.panel).sight == Sight::Through && self.layers[under.panel].role != Role::Focal;
        if through && lies_on && under.mats.is_empty() && sheet(over.lowest()).sight == Sight::Opaque {
            // Its glue hides behind what lies on it, so that goes on first.
            self.tasks[above.lay] = Task::LayOnVellum(over.lowest(), under.panel);
            self.work.before(above.last, below.first);
            return;
        }
        let raised = sheet(over.lowest()).held == Held::OnFoam;
        let pokes_out = !upper.holds(&lower) && !lower.holds(&upper);
        if raised && pokes_out && !lies_on && self.is_loose(under.panel) {
            self.tasks[below.lay] = Task::Tuck(under.lowest(), over.lowest());
            self.work.before(above.last, below.first);
            return;
        }
        self.work.before(below.last, above.first);
    }

    /// Whether a panel is the kind of part that is tucked in: die-cut, or an image.
    fn is_loose(&self, panel: usize) -> bool {
        let layer = &self.layers[panel];
        layer.die.is_some() || layer.role == Role::Focal
    }
}

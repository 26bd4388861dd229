//! Small random stashes, layouts and scorers, seeded and the same everywhere: scarce stock, ties, and
//! scorers without an opinion are common.

use super::{Jury, Table};
use crate::index::Index;
use crate::layout::Layout;
use crate::problem::Place;
use crate::stash::{
    Colours, Date, Edge, LayoutSketch, Line, LineKind, PanelSketch, Paper, PaperId, PatternEntry, Settings, Shape,
    Stash, Takes,
};
use api::units::{Length, Size};
use api::{
    API_VERSION, CardView, Colour, Finish, Gather, Manifest, Material, PaperView, PieceView, Ranges, Relation, Role,
    Scorer, Share, Subject, Swatch, Worth,
};

/// A small generator of numbers (SplitMix64), seeded and the same everywhere.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `sides`.
    pub(super) fn below(&mut self, sides: u64) -> u64 {
        self.roll() % sides
    }

    pub(super) fn one_in(&mut self, sides: u64) -> bool {
        self.below(sides) == 0
    }

    pub(super) fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[usize::try_from(self.below(from.len() as u64)).unwrap()]
    }
}

/// What the search of a small stash is over: papers and layouts alone.
pub(super) fn table<'a>(stash: &'a Stash, index: &'a Index, layouts: &'a [Layout], jury: &'a Jury) -> Table<'a> {
    Table { index, layouts, settings: &stash.settings, dies: &[], images: &[], dots: &[], jury }
}

fn hash(text: &str, salt: u64) -> u64 {
    Dice(text.bytes().fold(salt, |hash, byte| hash.wrapping_mul(131).wrapping_add(u64::from(byte)))).roll()
}

/// A scorer that answers from a hash of the names, in few steps so that ties are common, and now and
/// then without an opinion.
struct Whim {
    manifest: Manifest,
    salt: u64,
    steps: u64,
}

impl Whim {
    /// One of them has nothing to say of mats behind plain panels.
    fn speaks_to(&self, upper: Material) -> bool {
        self.manifest.name != "c-mats" || upper == Material::Patterned
    }

    fn answer(&self, text: &str) -> Option<Worth> {
        let hash = hash(text, self.salt);
        if self.steps == 0 {
            return Some(Worth::HALF);
        }
        if hash.is_multiple_of(7) {
            return None;
        }
        let step = (hash >> 8) % (self.steps + 1);
        Worth::from_millionths(u32::try_from(step * 900_000 / self.steps).unwrap())
    }
}

impl Scorer for Whim {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }
    fn piece(&self, piece: &PieceView<'_>) -> Option<Worth> {
        self.answer(&format!("{} {:?} {:?}", piece.paper.name, piece.stock_width, piece.age_days))
    }
    fn in_role(&self, paper: &PaperView, role: Role) -> Option<Worth> {
        self.answer(&format!("{} as {role:?}", paper.name)).filter(|_| matches!(role, Role::Band | Role::Mat))
    }
    fn speaks_of(&self, relation: Relation, upper: Material, _: Material) -> bool {
        relation != Relation::MatBehind || self.speaks_to(upper)
    }
    fn mat_behind(&self, panel: &PaperView, mat: &PaperView) -> Option<Worth> {
        self.answer(&format!("{} on {}", panel.name, mat.name)).filter(|_| self.speaks_to(panel.material))
    }
    fn touching(&self, upper: &PaperView, lower: &PaperView) -> Option<Worth> {
        self.answer(&format!("{} over {}", upper.name, lower.name))
    }
    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        let (one, other) = (one.name.as_str().min(&other.name), one.name.as_str().max(&other.name));
        self.answer(&format!("{one} with {other}"))
    }
    fn card(&self, card: &CardView<'_>) -> Option<Worth> {
        let names: Vec<&str> = card.pieces.iter().map(|piece| piece.paper.name.as_str()).collect();
        self.answer(&names.join(","))
    }
    fn why(&self, _: &Subject<'_>) -> String {
        "a whim".to_owned()
    }
}

pub(super) fn whims(dice: &mut Dice) -> Vec<Box<dyn Scorer>> {
    let top = Worth::from_millionths(900_000);
    let piece = Ranges { piece: top, ..Ranges::default() };
    let all_pairs = Ranges { mat_behind: top, touching: top, same_card: top, ..Ranges::default() };
    let mats = Ranges { mat_behind: top, ..Ranges::default() };
    let mixed = Ranges { touching: top, same_card: top, ..Ranges::default() };
    let card = Ranges { card: top, ..Ranges::default() };
    let role = Ranges { in_role: top, ..Ranges::default() };
    let tied = dice.one_in(3);
    [
        ("a-piece", piece, Gather::Mean, 0.3),
        ("b-harmony", all_pairs, Gather::Weakest, 0.4),
        ("c-mats", mats, Gather::Weakest, 0.3),
        ("d-mix", mixed, Gather::Mean, 0.2),
        ("e-card", card, Gather::Mean, 0.1),
        ("f-role", role, Gather::Weakest, 0.3),
    ]
    .into_iter()
    .map(|(name, ranges, gather, weight)| {
        let manifest = Manifest {
            name: name.to_owned(),
            title: String::new(),
            version: 1,
            api_version: API_VERSION,
            gather,
            neutral: Worth::from_millionths(450_000).unwrap(),
            ranges,
            weight: if dice.one_in(6) { 0.0 } else { weight },
            knobs: Vec::new(),
        };
        let whim: Box<dyn Scorer> =
            Box::new(Whim { manifest, salt: dice.roll(), steps: if tied { 0 } else { 1 + dice.below(3) } });
        whim
    })
    .collect()
}

fn inches(sixteenths: u64) -> Length {
    Length::inches(0, i64::try_from(sixteenths).unwrap(), 16).unwrap()
}

fn paper(id: &str, material: Material, dice: &mut Dice) -> Paper {
    let lightness = f64::from(u32::try_from(dice.below(100)).unwrap());
    Paper {
        id: id.to_owned(),
        name: id.to_owned(),
        material,
        finish: Finish::Smooth,
        colours: Colours::Entered(vec![Swatch { colour: Colour::new(lightness, 0.0, 0.0), share: Share::ONE }]),
        pattern: PatternEntry {
            directional: Some(if dice.one_in(3) { api::Directional::OneWay } else { api::Directional::No }),
            ..PatternEntry::default()
        },
        picture: None,
        picture_of: None,
        pad: None,
    }
}

pub(super) fn small_stash(dice: &mut Dice) -> Stash {
    let mut stash = Stash { settings: small_settings(dice), ..Stash::default() };
    let patterned = 1 + dice.below(3);
    let plain = 2 + dice.below(2);
    for place in 0..patterned {
        stash.papers.push(paper(&format!("p{place}"), Material::Patterned, dice));
    }
    for place in 0..plain {
        stash.papers.push(paper(&format!("c{place}"), Material::Cardstock, dice));
    }
    let papers = patterned + plain;
    let sizes = [(68, 88), (88, 136), (64, 84), (48, 64), (32, 48), (24, 80), (96, 96), (60, 84), (80, 56)];
    for place in 0..papers + dice.below(3) {
        let front = if place < papers { place } else { dice.below(papers) };
        let front = u32::try_from(front).unwrap();
        let (width, height) = *dice.pick(&sizes);
        let two_sided = u64::from(front) < patterned && patterned > 1 && dice.one_in(4);
        stash.lines.push(Line {
            id: format!("s{place}"),
            kind: if dice.one_in(2) { LineKind::Sheet } else { LineKind::Scrap },
            front: PaperId(front),
            back: two_sided.then(|| PaperId((front + 1) % u32::try_from(patterned).unwrap())),
            width: inches(width),
            height: inches(height),
            count: 1 + u32::from(dice.one_in(3)),
            added: Some(Date(i32::try_from(dice.below(3)).unwrap())),
            grain: None,
            grams_per_square_metre: None,
            thickness: None,
            assumed: Vec::new(),
        });
    }
    // Without something to fold there is no card at all, which teaches nothing.
    stash.lines.push(Line {
        id: "base".to_owned(),
        front: PaperId(u32::try_from(patterned).unwrap()),
        back: None,
        kind: LineKind::Sheet,
        width: inches(136),
        height: inches(88),
        count: 1 + u32::try_from(dice.below(4)).unwrap(),
        added: None,
        grain: None,
        grams_per_square_metre: None,
        thickness: None,
        assumed: Vec::new(),
    });
    stash.layouts = (0..1 + dice.below(2)).map(|place| small_layout(place, dice)).collect();
    stash
}

fn small_settings(dice: &mut Dice) -> Settings {
    Settings {
        reveals: vec![inches(2)],
        borders: vec![inches(2), inches(4)],
        most_changes: u32::try_from(dice.below(3)).unwrap(),
        cards: vec![Size::new(inches(68), inches(88))],
        ..Settings::default()
    }
}

fn small_layout(place: u64, dice: &mut Dice) -> LayoutSketch {
    let edge = |share: u64, sixteenths: i64| Edge {
        share: i64::try_from(share).unwrap() * 1000,
        offset: Length::inches(0, sixteenths, 16).unwrap(),
    };
    let kinds = [
        vec![Material::Patterned],
        vec![Material::Patterned],
        vec![Material::Cardstock],
        vec![Material::Patterned, Material::Cardstock],
    ];
    let names = ["ground", "band", "focal"];
    let mut panels: Vec<PanelSketch> = Vec::new();
    for (at, name) in names.iter().enumerate().take(1 + usize::try_from(dice.below(3)).unwrap()) {
        let (left, top) = (dice.below(3) * 20, dice.below(3) * 20);
        let whole = at == 0;
        panels.push(PanelSketch {
            id: (*name).to_owned(),
            role: [Role::Background, Role::Band, Role::Focal][at],
            on: match at {
                0 => Vec::new(),
                _ if dice.one_in(4) => Vec::new(),
                // Whom it meets may depend on where the edges are.
                2 if dice.one_in(3) => vec![names[0].to_owned(), names[1].to_owned()],
                _ => vec![names[at - 1].to_owned()],
            },
            left: if whole { edge(0, 2) } else { edge(left, 2) },
            right: if whole { edge(100, -2) } else { edge(left + 40, 2) },
            top: if whole { edge(0, 2) } else { edge(top, 2) },
            bottom: if whole { edge(100, -2) } else { edge(top + 40, 2) },
            shape: Shape::Rectangle,
            mats: if dice.one_in(2) { vec![inches(2)] } else { Vec::new() },
            takes: Takes::Stock(dice.pick(&kinds).clone()),
            same_as: (at == 2 && dice.one_in(4)).then(|| "ground".to_owned()),
            differs_from: if at == 2 && dice.one_in(3) { vec!["ground".to_owned()] } else { Vec::new() },
            raised: false,
            holds_sentiment: false,
            place: Place::whole("layout.toml"),
        });
    }
    LayoutSketch {
        id: format!("l{place}"),
        name: format!("l{place}"),
        card: Size::new(inches(68), inches(88)),
        credit: None,
        link: None,
        occasions: Vec::new(),
        panels,
        place: Place::whole("layout.toml"),
    }
}

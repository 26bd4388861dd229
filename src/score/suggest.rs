//! What is asked and what comes back: the list of cards that can be made, with reasons, and what
//! is almost possible.

use super::best::{Best, Faces, Found};
use super::form::filling_order;
use super::jury::{Family, Jury, ONE, RELATIONS};
use super::kept::{Kept, Largest, MustShow, Request, Store, pieces_of};
use super::tables::Tables;
use super::walk::Walk;
use crate::index::{FaceId, Index};
use crate::layout::adapt::cost_of;
use crate::layout::{Axis, Change, Drawn, Layout, Library, OnHand, joins};
use crate::matching::near::{Lack, NearMiss, ThinCover, lacking, lacking_for, unmakeable};
use crate::matching::{Choice, Link, MustUse, Network, Supply, network};
use crate::stash::{Die, Dots, Image, Settings, Stash};
use api::units::{Length, Size};
use api::{CardView, Gather, PieceView, Relation, Subject};
use std::collections::BTreeSet;
use std::sync::Mutex;

/// Work allowed for one question unless the maker says otherwise: a second or two.
const USUAL_WORK: u64 = 25_000_000;
/// The same where there is so much stock that what is looked up no longer fits the processor's caches, and
/// each look takes longer.
const USUAL_WORK_LARGE: (usize, u64) = (10_000, 15_000_000);
/// Variants of one layout looked at before it is called impossible.
const VARIANTS_FOR_NEAR_MISS: usize = 400;

/// What the maker asks for.
#[derive(Clone, Debug)]
pub struct Ask {
    /// Faces of which one must show, for each thing that must be used.
    pub must_show: MustShow,
    /// Stock of which one must be cut, for each piece that must be used.
    pub must_use: MustUse,
    /// The only card sizes wanted; `None` is any she makes.
    pub cards: Option<Vec<Size>>,
    /// How many copies of each card must be possible together.
    pub copies: u32,
    /// How many suggestions.
    pub list: usize,
    /// At most so many of one layout.
    pub per_layout: Option<usize>,
    /// Work allowed, in pairs judged and candidates weighed; the same on every machine.
    pub work: u64,
}

impl Ask {
    /// What the settings say, one copy, nothing in particular.
    #[must_use]
    pub fn new(settings: &Settings) -> Self {
        Self {
            must_show: MustShow::new(),
            must_use: MustUse::new(),
            cards: None,
            copies: 1,
            list: settings.list as usize,
            per_layout: settings.per_layout.map(|most| most as usize),
            work: USUAL_WORK,
        }
    }
}

/// The work allowed for one question about this stock unless the maker says otherwise.
#[must_use]
pub fn usual_work(index: &Index) -> u64 {
    let (large, less) = USUAL_WORK_LARGE;
    if index.stock.len() < large { USUAL_WORK } else { less }
}

/// What everything is looked up in.
#[derive(Clone, Copy)]
pub struct Table<'a> {
    /// What is on hand.
    pub index: &'a Index,
    /// Layouts, in the order of their ids.
    pub layouts: &'a [Layout],
    /// Settings.
    pub settings: &'a Settings,
    /// Dies she owns.
    pub dies: &'a [Die],
    /// Images she owns.
    pub images: &'a [Image],
    /// Finishing dots she owns, which decorate a card that was found and never decide which is.
    pub dots: &'a [Dots],
    /// Who judges.
    pub jury: &'a Jury,
}

/// Why a card scores as it does: one term.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// The scorer.
    pub scorer: String,
    /// What it judged: slots, as places in the network.
    pub about: Vec<usize>,
    /// Its worth, in millionths.
    pub value: u64,
    /// Its share of the score, in millionths. Value times share, rounded down, is what it adds.
    pub weight: u64,
    /// Why, in a maker's words.
    pub why: String,
}

/// Why a scorer counts with its neutral worth: what it is asked about is nothing to it.
const NO_OPINION: &str = "has no opinion here";

impl Reason {
    /// Whether it says nothing: the scorer had nothing to judge, or no opinion of it.
    #[must_use]
    pub fn says_nothing(&self) -> bool {
        self.about.is_empty() || self.why == NO_OPINION
    }
}

/// One card that can be made.
#[derive(Clone, Debug)]
pub struct Suggestion {
    /// A short id that is the same for the same card.
    pub id: String,
    /// The layout, as a place in the list of layouts.
    pub layout: usize,
    /// The layout with its changes, every panel in its place.
    pub drawn: Drawn,
    /// What was changed, with what each change costs, in millionths.
    pub changes: Vec<(Change, u64)>,
    /// Its slots and layers.
    pub network: Network,
    /// The face in each slot.
    pub faces: Vec<FaceId>,
    /// The face papers, panel by panel.
    pub papers: Faces,
    /// The stock.
    pub choice: Choice,
    /// Its score, in millionths; the reasons' shares of their values less the costs of the changes.
    pub score: i64,
    /// Why.
    pub reasons: Vec<Reason>,
}

/// A layout that cannot be made, and what is lacking.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Almost {
    /// The layout, as a place in the list of layouts.
    pub layout: usize,
    /// What is lacking.
    pub miss: NearMiss,
}

/// What comes back.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Whether the list is proven to be the best.
    pub exact: bool,
    /// The suggestions, best first.
    pub suggestions: Vec<Suggestion>,
    /// How many copies of each card were asked for.
    pub copies: u32,
    /// Layouts that cannot be made.
    pub almost: Vec<Almost>,
    /// How many variants of layouts were met.
    pub variants: usize,
    /// Work done, in pairs judged and candidates weighed.
    pub work: u64,
}

/// What has been worked out so far, kept between questions about the same index by the same jury.
///
/// It changes how fast an answer comes, never what it is. Two threads may share one: the second to
/// ask at the same time begins with the pairs judged before both.
#[derive(Debug, Default)]
pub struct Warm(Mutex<Option<Store>>);

impl Warm {
    /// All that is kept; pairs judged are left for whoever asks meanwhile.
    fn taken(&self) -> Store {
        let Ok(mut kept) = self.0.lock() else { return Store::default() };
        let store = kept.take().unwrap_or_default();
        *kept = Some(Store::of_rows(store.rows.clone()));
        store
    }

    /// What holds for the same faces and jury with other stock: what the jury thinks of pairs.
    #[must_use]
    pub fn for_other_stock(&self) -> Self {
        let rows = self.0.lock().ok().and_then(|kept| kept.as_ref().map(|store| store.rows.clone()));
        Self(Mutex::new(rows.map(Store::of_rows)))
    }
}

/// Finds the best cards that can be made.
#[must_use]
pub fn suggest(table: Table<'_>, ask: &Ask) -> Answer {
    suggest_with(table, ask, &Warm::default(), &|_| ())
}

/// Finds the best cards that can be made, beginning with what is kept in `warm`, which must come
/// from questions about the same index by the same jury. Now and then it tells how much work is done, of
/// what the question allows.
#[must_use]
pub fn suggest_with(table: Table<'_>, ask: &Ask, warm: &Warm, told: &dyn Fn(u64)) -> Answer {
    let mut store = warm.taken();
    let on_hand = on_hand(table.index, table.images);
    let mut library = Library::new(table.layouts, table.settings, on_hand.clone());
    let supply = Supply::new(table.index, table.images, ask.copies, &ask.must_use);
    let tables = Tables::new(table.index, table.jury, std::mem::take(&mut store.rows));
    let quiet = table.settings.quiet.millionths();
    let mut kept = Kept::new(tables, supply, &ask.must_show, quiet, ask.work, largest(table), store);
    let mut best = Best::new(ask.list, ask.per_layout);
    let mut walk = Walk {
        library: &mut library,
        settings: table.settings,
        dies: table.dies,
        on_hand: &on_hand,
        cards: ask.cards.clone(),
        told,
    };
    walk.run(&mut kept, &mut best, 0..table.layouts.len());
    let exact = kept.undecided.is_none_or(|(bound, layout)| !best.could_enter(bound, layout, &[]));
    let mut almost = Vec::new();
    for layout in 0..table.layouts.len() {
        if best.has_layout(layout) {
            continue;
        }
        if walk.can_be_made(&mut kept, layout, VARIANTS_FOR_NEAR_MISS) == Some(false) {
            almost.push(near_miss(table, ask, layout));
        }
    }
    let work = kept.work + kept.tables.judged;
    if let Ok(mut slot) = warm.0.lock() {
        *slot = Some(kept.into_store());
    }
    let suggestions = best.into_list().into_iter().map(|found| present(table, found)).collect();
    Answer { exact, suggestions, copies: ask.copies, almost, variants: library.len(), work }
}

/// How large the pieces of any card can be, over all layouts and card sizes.
fn largest(table: Table<'_>) -> Largest {
    let nothing = Size::square(Length::ZERO);
    let mut largest = Largest { base: nothing, other: nothing };
    let grow = |size: &mut Size, by: Size| {
        *size = Size::new(size.width.max(by.short()), size.height.max(by.long()));
    };
    for layout in table.layouts {
        for card in table.settings.cards.iter().chain([&layout.card]) {
            let card = if layout.card == layout.card.upright() { card.upright() } else { card.upright().turned() };
            grow(&mut largest.base, crate::index::blank(card));
            grow(&mut largest.other, card);
            for panel in Drawn::as_drawn(layout, card, table.settings.ruler).panels {
                grow(&mut largest.other, panel.footprint.size());
            }
        }
    }
    largest
}

/// The lengths on hand that a layout may be bent to.
fn on_hand(index: &Index, images: &[Image]) -> OnHand {
    let sizes: BTreeSet<_> = images.iter().map(|image| (image.size.area(), image.size)).collect();
    OnHand { sides: index.sides.clone(), images: sizes.into_iter().rev().map(|(_, size)| size).collect() }
}

/// What a layout lacks: at its own size, or at the first size asked for; where something must be used, how
/// near that comes to having a place.
fn near_miss(table: Table<'_>, ask: &Ask, layout: usize) -> Almost {
    let of = &table.layouts[layout];
    let upright = of.card == of.card.upright();
    let lying = |card: &Size| if upright { card.upright() } else { card.upright().turned() };
    let card = ask.cards.as_ref().and_then(|cards| cards.first()).map_or(of.card, lying);
    let drawn = Drawn::as_drawn(of, card, table.settings.ruler);
    let mut miss = match network(&drawn, table.dies) {
        Ok(network) => {
            let wants = |request: &Request, face, stock| {
                request.faces.contains(&face) && (request.stock.is_empty() || request.stock.contains(&stock))
            };
            let of_request = |request| lacking_for(table.index, &network, |face, stock| wants(request, face, stock));
            let asked_for = ask.must_show.iter().find_map(of_request);
            asked_for.unwrap_or_else(|| lacking(table.index, &network, ask.copies))
        }
        Err(fault) => unmakeable(&fault, table.dies, card),
    };
    miss.thin_cover = thin_cover(&drawn, &miss, table.settings.glue_margin);
    Almost { layout, miss }
}

/// Where a piece is too short for a panel whose middle is covered, by how much the cover is too narrow to
/// hide a join.
fn thin_cover(drawn: &Drawn, miss: &NearMiss, margin: Length) -> Option<ThinCover> {
    let Lack::Size { needs, nearest: Some((nearest, _)), .. } = &miss.lack else { return None };
    let place = drawn.panels.iter().position(|panel| panel.id == miss.panel)?;
    let is_short = |axis: &Axis| match axis {
        Axis::Width => nearest.size.width < needs.width,
        Axis::Height => nearest.size.height < needs.height,
    };
    [Axis::Width, Axis::Height].into_iter().filter(is_short).find_map(|axis| {
        let (hidden, needs) = joins::too_thin(drawn, place, axis, margin)?;
        Some(ThinCover { hidden, needs, axis })
    })
}

fn present(table: Table<'_>, found: Found) -> Suggestion {
    let drawn = Drawn::changed(&table.layouts[found.layout], &found.changes, table.settings.ruler);
    let network = network(&drawn, table.dies).expect("a card that was found has a network");
    let mut faces = vec![FaceId(0); network.slots.len()];
    for (slot, face) in filling_order(&network).into_iter().zip(&found.filled) {
        faces[slot] = *face;
    }
    let reasons = reasons(table, &network, &faces, &found.choice);
    let changes = found.changes.iter().map(|change| (*change, cost_of(change.kind(), table.settings))).collect();
    Suggestion {
        id: id_of(table, &found, &faces),
        layout: found.layout,
        drawn,
        changes,
        network,
        faces,
        papers: found.faces,
        choice: found.choice,
        score: found.score,
        reasons,
    }
}

/// The layout's id and six hexadecimal digits of a hash (FNV-1a, 64 bits) of all that tells this
/// card from another.
fn id_of(table: Table<'_>, found: &Found, faces: &[FaceId]) -> String {
    let mut text = format!("{:?}", found.changes);
    for (face, stock) in faces.iter().zip(&found.choice.main) {
        text.push_str(&table.index.face(*face).id);
        text.push('\n');
        text.push_str(table.index.stock(*stock).id());
        text.push('\n');
    }
    let hash = text
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
    format!("{}-{:06x}", table.layouts[found.layout].id, hash >> 40)
}

/// Every term of the score, scorer by scorer.
#[must_use]
pub fn reasons(table: Table<'_>, network: &Network, faces: &[FaceId], choice: &Choice) -> Vec<Reason> {
    let pieces = pieces_of(table.index, network, faces, &choice.main);
    let mut reasons = Vec::new();
    for member in &table.jury.members {
        match member.family {
            Family::Piece => {
                for (slot, piece) in pieces.iter().enumerate() {
                    reasons.push(Reason {
                        scorer: member.name().to_owned(),
                        about: vec![slot],
                        value: u64::from(member.piece(piece).millionths()),
                        weight: member.share / pieces.len() as u64,
                        why: member.scorer.why(&Subject::Piece(piece)),
                    });
                }
            }
            Family::Card => {
                let relations: Vec<_> = network.links.iter().map(|l| (l.relation, l.upper, l.lower)).collect();
                let card = CardView::new(&pieces, &relations);
                reasons.push(Reason {
                    scorer: member.name().to_owned(),
                    about: (0..pieces.len()).collect(),
                    value: u64::from(member.card(&card).millionths()),
                    weight: member.share,
                    why: member.scorer.why(&Subject::Card(&card)),
                });
            }
            Family::Pair(Gather::Mean) => reasons.extend(mean_reasons(member, network, &pieces)),
            // Those are asked together, below.
            Family::Pair(_) | Family::InRole => {}
        }
    }
    reasons.extend(role_reasons(table.jury, &pieces));
    for relation in RELATIONS {
        reasons.extend(weakest_reasons(table.jury, relation, network, &pieces));
    }
    reasons
}

/// What the members that judge papers in their roles say about the paper that does its part worst: the first
/// of those by which they add least together.
fn role_reasons(jury: &Jury, pieces: &[PieceView<'_>]) -> Vec<Reason> {
    let adds = |piece: &PieceView<'_>| jury.together_in_role(piece.paper, piece.role);
    let judged = pieces.iter().enumerate().filter_map(|(slot, piece)| Some((adds(piece)?, slot)));
    let weakest = judged.min_by_key(|(adds, _)| *adds).map(|(_, slot)| slot);
    let said = |member: &super::Member| {
        let worth = weakest.and_then(|slot| member.in_role(pieces[slot].paper, pieces[slot].role));
        let why = match (weakest, worth) {
            (None, _) => "has nothing to judge on this card".to_owned(),
            (_, None) => NO_OPINION.to_owned(),
            (Some(slot), Some(_)) => {
                let subject = Subject::InRole { paper: pieces[slot].paper, role: pieces[slot].role };
                member.scorer.why(&subject)
            }
        };
        Reason {
            scorer: member.name().to_owned(),
            about: weakest.into_iter().collect(),
            value: worth.map_or(member.neutral(), |worth| u64::from(worth.millionths())),
            weight: member.share,
            why,
        }
    };
    jury.in_roles().map(said).collect()
}

/// What one member says about the pairs of which it takes the mean.
fn mean_reasons(member: &super::Member, network: &Network, pieces: &[PieceView<'_>]) -> Vec<Reason> {
    let links: Vec<&Link> = network.links.iter().filter(|link| member.pair_range(link.relation).is_some()).collect();
    if links.is_empty() {
        let why = "has nothing to judge on this card".to_owned();
        let (scorer, value) = (member.name().to_owned(), member.neutral());
        return vec![Reason { scorer, about: Vec::new(), value, weight: member.share, why }];
    }
    let weight = member.share / links.len() as u64;
    links.into_iter().map(|link| reason_about(member, link, pieces, weight)).collect()
}

/// What the members that take the weakest pair say about the weakest pair in a relation: the first of
/// those that add least together.
fn weakest_reasons(jury: &Jury, relation: Relation, network: &Network, pieces: &[PieceView<'_>]) -> Vec<Reason> {
    let adds = |link: &Link| jury.together(relation, pieces[link.upper].paper, pieces[link.lower].paper);
    let links = network.links.iter().filter(|link| link.relation == relation && is_judged(link, pieces));
    let judged = links.filter_map(|link| Some((adds(link)?, link)));
    let weakest = judged.min_by_key(|(adds, _)| *adds);
    let said = |member: &super::Member| match weakest {
        Some((_, link)) => reason_about(member, link, pieces, member.share_in(relation)),
        None => Reason {
            scorer: member.name().to_owned(),
            about: Vec::new(),
            value: member.neutral(),
            weight: member.share_in(relation),
            why: nothing_to_judge(relation).to_owned(),
        },
    };
    jury.weakest_in(relation).map(said).collect()
}

const fn nothing_to_judge(relation: Relation) -> &'static str {
    match relation {
        Relation::MatBehind => "no mat to judge on this card",
        Relation::SameCard => "no two patterned papers to judge on this card",
        _ => "no two papers that meet without a mat to judge on this card",
    }
}

/// Whether the papers of a link are judged: papers merely on the same card only where both are patterned.
fn is_judged(link: &Link, pieces: &[PieceView<'_>]) -> bool {
    let patterned = |slot: usize| pieces[slot].paper.material == api::Material::Patterned;
    link.relation != Relation::SameCard || (patterned(link.upper) && patterned(link.lower))
}

fn reason_about(member: &super::Member, link: &Link, pieces: &[PieceView<'_>], weight: u64) -> Reason {
    let (upper, lower) = (pieces[link.upper].paper, pieces[link.lower].paper);
    let worth = if is_judged(link, pieces) { member.pair(link.relation, upper, lower) } else { None };
    let subject = match link.relation {
        Relation::MatBehind => Subject::MatBehind { panel: upper, mat: lower },
        Relation::SameCard => Subject::SameCard(upper, lower),
        _ => Subject::Touching { upper, lower },
    };
    Reason {
        scorer: member.name().to_owned(),
        about: vec![link.upper, link.lower],
        value: worth.map_or(member.neutral(), |worth| u64::from(worth.millionths())),
        weight,
        why: worth.map_or_else(|| NO_OPINION.to_owned(), |_| member.scorer.why(&subject)),
    }
}

/// What the reasons and the costs of the changes add up to, in millionths: the score again.
#[must_use]
pub fn added_up(reasons: &[Reason], changes: &[(Change, u64)]) -> i64 {
    let sum: u64 = reasons.iter().map(|reason| reason.value * reason.weight / ONE).sum();
    let costs: u64 = changes.iter().map(|(_, cost)| *cost).sum();
    i64::try_from(sum).unwrap_or(i64::MAX) - i64::try_from(costs).unwrap_or(i64::MAX)
}

/// Layouts that can be searched, in the order of their ids, and what is wrong with the others.
#[must_use]
pub fn checked(stash: &Stash) -> (Vec<Layout>, Vec<crate::problem::Problem>) {
    let mut layouts = Vec::new();
    let mut problems = Vec::new();
    for sketch in &stash.layouts {
        match crate::layout::check(sketch, &stash.settings) {
            Ok(layout) => layouts.push(layout),
            Err(faults) => problems.extend(faults),
        }
    }
    let more = |sketch| crate::layout::check(sketch, &stash.settings).err();
    problems.extend(stash.flawed_layouts.iter().filter_map(more).flatten());
    layouts.sort_by(|one, other| one.id.cmp(&other.id));
    (layouts, problems)
}

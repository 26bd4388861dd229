//! What every card at least takes, for the bound: every layout on file with every adaptation it
//! allows in; lists of pieces, and the stock each could come from, out.
//!
//! It is a relaxation: a piece may come from any stock of a material its slot takes, whatever the
//! other slots show, whoever looks where, and however well it goes together. Sheets of one size whose
//! faces are of the same materials and may be turned alike are one row, with their counts added up.

use super::PlanAsk;
use super::needs::line_size;
use crate::cut::{Turn, yield_of};
use crate::index::{FaceId, Index, PLENTY, PieceNeed, StockId, StockKind, is_opaque};
use crate::layout::adapt::{OnHand, next_changes};
use crate::layout::{Change, Drawn};
use crate::matching::{Network, hollow, network};
use crate::score::Table;
use crate::stash::LineKind;
use api::Material;
use api::units::Size;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Variants of layouts that are drawn at most; a layout not looked through counts as a bare base.
const MOST_VARIANTS: usize = 400_000;
/// Rows that are kept apart; of the rest, those of one material are thrown together.
const MOST_ROWS: usize = 140;
/// Ways of counting pieces on a row, beside their area.
const MOST_MEASURES: usize = 6;

/// Sheets that are as good as each other for this.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) size: Size,
    /// The area of one: of its size, or of all that is thrown together in it.
    pub(super) area: i128,
    kind: StockKind,
    /// What each face shows, and whether its pieces may be turned.
    faces: Vec<(Material, bool)>,
    pub(super) count: u64,
    /// Whether it is of what must be used.
    pub(super) asked_for: bool,
    pub(super) stock: Vec<StockId>,
    /// Sizes of which at most so many come out of one sheet: every piece as large as one counts.
    pub(super) measures: Vec<(Size, Turn, u32)>,
    /// Whether it is the middles of pieces: there is none at first, and cards make it.
    made: bool,
}

impl Row {
    /// What it is.
    pub(super) const fn kind(&self) -> StockKind {
        self.kind
    }
}

/// A piece some card needs: what it may be made of, and its size.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct PieceType {
    pub(super) materials: Vec<Material>,
    pub(super) need: PieceNeed,
}

/// What a piece takes of a row.
#[derive(Clone, Debug)]
pub(super) struct Takes {
    pub(super) row: usize,
    /// Measures of the row under which it counts.
    pub(super) counts: Vec<usize>,
}

/// A middle some card could have cut out of one of its pieces: what that may be made of, and its size
/// at most.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct MiddleType {
    materials: Vec<Material>,
    size: Size,
}

/// What the cards of one variant take: pieces, by their type.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Variant {
    pub(super) types: Vec<usize>,
    /// The middles it makes, by their type; none where the settings let none be cut out.
    pub(super) makes: Vec<usize>,
    /// The layout.
    pub(super) layout: usize,
    /// Whether one of them must be of what is asked for.
    pub(super) bound_to_use: bool,
}

/// The relaxation.
pub(super) struct Relaxed {
    pub(super) rows: Vec<Row>,
    pub(super) types: Vec<PieceType>,
    /// For each type, the rows it could come from.
    pub(super) takes: Vec<Vec<Takes>>,
    /// For each type of middle, the rows it could be of, with its area.
    pub(super) middles: Vec<(Vec<usize>, i128)>,
    /// Every way a card could be, each once.
    pub(super) variants: Vec<Variant>,
    /// For each of them, changes by which its layout comes to it.
    pub(super) changes: Vec<Vec<Change>>,
    /// Whether every adaptation of every layout was looked at.
    pub(super) complete: bool,
}

impl Relaxed {
    /// Looks through every layout.
    pub(super) fn new(table: Table<'_>, ask: &PlanAsk) -> Self {
        let mut rows = rows(table.index, ask);
        let mut library = Looking {
            table,
            ask,
            types: HashMap::new(),
            list: Vec::new(),
            middles: Vec::new(),
            found: BTreeMap::new(),
            met: 0,
        };
        let mut complete = true;
        let mut variants: Vec<(Variant, Vec<Change>)> = Vec::new();
        let on_hand = on_hand(table);
        for layout in 0..table.layouts.len() {
            let share = MOST_VARIANTS.saturating_sub(library.met) / (table.layouts.len() - layout);
            let until = library.met + share.max(1);
            if !library.look(layout, &mut Vec::new(), &on_hand, until) {
                library.found.clear();
                library.bare(layout);
                complete = false;
            }
            variants.extend(std::mem::take(&mut library.found));
        }
        let types = library.list;
        let middles = made(&mut rows, &mut variants, &library.middles, complete, ask);
        let of_sheets = |row: &&mut Row| !row.made && row.area == row.size.area().square_nanometres();
        for row in rows.iter_mut().filter(of_sheets) {
            row.measures = measures(row, &types);
        }
        let takes: Vec<Vec<Takes>> = types.iter().map(|piece| takes(&rows, piece)).collect();
        variants.retain(|(variant, _)| is_possible(&rows, &takes, variant));
        let (variants, changes) = variants.into_iter().unzip();
        Self { rows, types, takes, middles, variants, changes, complete }
    }
}

/// Whether every piece of a card can come from somewhere.
fn is_possible(rows: &[Row], takes: &[Vec<Takes>], variant: &Variant) -> bool {
    let asked_for = |kind: &usize| takes[*kind].iter().any(|takes| rows[takes.row].asked_for);
    variant.types.iter().all(|kind| !takes[*kind].is_empty())
        && (!variant.bound_to_use || variant.types.iter().any(asked_for))
}

fn rows(index: &Index, ask: &PlanAsk) -> Vec<Row> {
    type Key = (StockKind, Size, Vec<(Material, bool)>, bool);
    let mut rows: BTreeMap<Key, Row> = BTreeMap::new();
    for (stock, place) in index.stock.iter().zip(0..) {
        let id = StockId(place);
        let shows = |face: FaceId| ask.use_faces.contains(&face);
        let asked_for = ask.use_stock.contains(&id) || [Some(stock.front), stock.back].into_iter().flatten().any(shows);
        let row = Row { asked_for, ..row_for(index, id) };
        let key = (row.kind, row.size, row.faces.clone(), asked_for);
        let (count, known) = (row.count, rows.entry(key).or_insert_with(|| Row { count: 0, stock: Vec::new(), ..row }));
        known.count = known.count.saturating_add(count);
        known.stock.push(id);
    }
    thrown_together(rows.into_values().collect())
}

/// Middles as rows of their own, one for each material: there are none of them at first, and every card
/// that is made adds its own by their area. A piece that fits in the largest of them could come from there.
/// Where not every card is known, nobody knows what middles there are: then there are plenty of each.
fn made(
    rows: &mut Vec<Row>,
    variants: &mut [(Variant, Vec<Change>)],
    middles: &[MiddleType],
    complete: bool,
    ask: &PlanAsk,
) -> Vec<(Vec<usize>, i128)> {
    let mut row_of: BTreeMap<Material, usize> = BTreeMap::new();
    for middle in middles {
        for material in &middle.materials {
            let (long, short) = (middle.size.long(), middle.size.short());
            let place = *row_of.entry(*material).or_insert_with(|| {
                rows.push(Row {
                    size: middle.size,
                    area: 0,
                    kind: StockKind::Cuttable(LineKind::Sheet),
                    faces: vec![(*material, true)],
                    count: if complete { 0 } else { u32::MAX.into() },
                    asked_for: ask.names_papers(),
                    stock: Vec::new(),
                    measures: Vec::new(),
                    made: true,
                });
                rows.len() - 1
            });
            let row = &mut rows[place];
            row.size = Size::new(row.size.long().max(long), row.size.short().max(short));
            row.area = row.size.area().square_nanometres();
        }
    }
    if !complete {
        variants.iter_mut().for_each(|(variant, _)| variant.makes.clear());
    }
    let rows_of = |middle: &MiddleType| middle.materials.iter().map(|material| row_of[material]).collect();
    middles.iter().map(|middle| (rows_of(middle), middle.size.area().square_nanometres())).collect()
}

/// A line of stock as a row of its own.
fn row_for(index: &Index, id: StockId) -> Row {
    let stock = index.stock(id);
    let view = |face: FaceId| (index.face(face).view.material, index.face(face).may_turn());
    let mut faces: Vec<_> = [Some(stock.front), stock.back].into_iter().flatten().map(view).collect();
    faces.sort_unstable();
    faces.dedup();
    // A scrap and a sheet of one size are cut alike.
    let kind = match stock.kind {
        StockKind::Cuttable(_) => StockKind::Cuttable(LineKind::Sheet),
        kind => kind,
    };
    let size = line_size(index, id);
    let count = if stock.count >= PLENTY { u64::from(u32::MAX) } else { stock.count.into() };
    let area = size.area().square_nanometres();
    Row { size, area, kind, faces, count, asked_for: false, stock: vec![id], measures: Vec::new(), made: false }
}

/// Whether a piece could come from a line of stock.
pub(super) fn suits(index: &Index, stock: StockId, piece: &PieceType) -> bool {
    could_come(&row_for(index, stock), piece)
}

/// Keeps the rows with most area apart, and throws the others together by what they show: one row of
/// all their area, as wide as the widest and as high as the highest. Whatever could come from one of
/// them could come from that.
fn thrown_together(mut rows: Vec<Row>) -> Vec<Row> {
    let is_cut = |row: &Row| matches!(row.kind, StockKind::Cuttable(_));
    if rows.iter().filter(|row| is_cut(row)).count() <= MOST_ROWS {
        return rows;
    }
    let all = |row: &Row| row.area.saturating_mul(i128::from(row.count));
    rows.sort_by_key(|row| (is_cut(row), std::cmp::Reverse(all(row))));
    let whole = rows.iter().filter(|row| !is_cut(row)).count();
    let rest = rows.split_off((whole + MOST_ROWS).min(rows.len()));
    let mut together: BTreeMap<(Vec<(Material, bool)>, bool), Row> = BTreeMap::new();
    for row in rest {
        let area = all(&row);
        match together.get_mut(&(row.faces.clone(), row.asked_for)) {
            Some(known) => {
                known.area = known.area.saturating_add(area);
                known.size.width = known.size.width.max(row.size.width);
                known.size.height = known.size.height.max(row.size.height);
                known.stock.extend(row.stock);
            }
            None => {
                together.insert((row.faces.clone(), row.asked_for), Row { area, count: 1, ..row });
            }
        }
    }
    rows.extend(together.into_values());
    rows
}

fn on_hand(table: Table<'_>) -> OnHand {
    let sizes: BTreeSet<_> = table.images.iter().map(|image| (image.size.area(), image.size)).collect();
    OnHand { sides: table.index.sides.clone(), images: sizes.into_iter().rev().map(|(_, size)| size).collect() }
}

struct Looking<'a> {
    table: Table<'a>,
    ask: &'a PlanAsk,
    types: HashMap<PieceType, usize>,
    list: Vec<PieceType>,
    middles: Vec<MiddleType>,
    found: BTreeMap<Variant, Vec<Change>>,
    met: usize,
}

impl Looking<'_> {
    /// Looks at a variant and all beyond it; whether that came to an end.
    fn look(&mut self, layout: usize, made: &mut Vec<Change>, on_hand: &OnHand, until: usize) -> bool {
        self.met += 1;
        if self.met > until {
            return false;
        }
        let (of, settings) = (&self.table.layouts[layout], self.table.settings);
        let drawn = Drawn::changed(of, made, settings.ruler);
        let is_wanted =
            |sizes: &Vec<Size>| sizes.iter().any(|size| *size == drawn.card || *size == drawn.card.turned());
        if self.ask.sizes.as_ref().is_none_or(is_wanted)
            && let Ok(network) = network(&drawn, self.table.dies)
        {
            let mut types = Vec::new();
            for slot in &network.slots {
                let mut materials = slot.materials.clone();
                materials.sort_unstable();
                for need in &slot.needs {
                    types.push(self.kind(PieceType { materials: materials.clone(), need: upright(*need) }));
                }
            }
            types.sort_unstable();
            let makes = if settings.hollow_mats { self.makes(&network) } else { Vec::new() };
            let variant = Variant { types, makes, layout, bound_to_use: self.ask.names_papers() };
            self.found.entry(variant).or_insert_with(|| made.clone());
        }
        if made.len() < settings.most_changes as usize {
            for change in next_changes(of, made, settings, on_hand) {
                made.push(change);
                let ended = self.look(layout, made, on_hand, until);
                made.pop();
                if !ended {
                    return false;
                }
            }
        }
        true
    }

    /// The middles a card could have cut out, whatever papers are chosen.
    fn makes(&mut self, network: &Network) -> Vec<usize> {
        let mut makes = Vec::new();
        for (slot, size) in hollow::largest(self.table.settings, network) {
            let mut materials = network.slots[slot].materials.clone();
            materials.retain(|material| is_opaque(*material) && *material != Material::Image);
            materials.sort_unstable();
            if materials.is_empty() {
                continue;
            }
            let middle = MiddleType { materials, size: Size::new(size.long(), size.short()) };
            let known = self.middles.iter().position(|other| *other == middle);
            makes.push(known.unwrap_or_else(|| {
                self.middles.push(middle);
                self.middles.len() - 1
            }));
        }
        makes.sort_unstable();
        makes
    }

    /// A layout that was not looked through: at least the smallest base it could be on.
    fn bare(&mut self, layout: usize) {
        let drawn = self.table.layouts[layout].card;
        let sizes = self.table.settings.cards.iter().copied().chain([drawn]);
        let materials = vec![Material::Cardstock, Material::Kraft];
        for size in sizes {
            let need = PieceNeed::Blank(size.upright());
            let mut materials = materials.clone();
            materials.sort_unstable();
            let kind = self.kind(PieceType { materials, need });
            let bare = Variant { types: vec![kind], makes: Vec::new(), layout, bound_to_use: false };
            self.found.insert(bare, Vec::new());
        }
    }

    fn kind(&mut self, kind: PieceType) -> usize {
        if let Some(known) = self.types.get(&kind) {
            return *known;
        }
        self.types.insert(kind.clone(), self.list.len());
        self.list.push(kind);
        self.list.len() - 1
    }
}

/// A blank has one size whichever way the card stands.
fn upright(need: PieceNeed) -> PieceNeed {
    match need {
        PieceNeed::Blank(card) => PieceNeed::Blank(card.upright()),
        other => other,
    }
}

/// Whether a piece could come from a row, on any of its faces.
fn could_come(row: &Row, piece: &PieceType) -> bool {
    let has = row.size;
    let lies = |size: Size, turns: bool| {
        (size.width <= has.width && size.height <= has.height)
            || (turns && size.height <= has.width && size.width <= has.height)
    };
    row.faces.iter().filter(|(material, _)| piece.materials.contains(material)).any(|(_, turns)| {
        match (piece.need, row.kind) {
            (PieceNeed::Blank(_), StockKind::CardBase) => piece.need.cut_size() == has,
            (PieceNeed::Blank(_), StockKind::Cuttable(_)) => lies(piece.need.cut_size(), true),
            (PieceNeed::Cut(size), StockKind::Cuttable(_)) => lies(size, *turns),
            (PieceNeed::Whole(size), StockKind::Image) => has.width <= size.width && has.height <= size.height,
            _ => false,
        }
    })
}

/// Sizes worth counting on a row: those of which far fewer come out of a sheet than their area says.
fn measures(row: &Row, types: &[PieceType]) -> Vec<(Size, Turn, u32)> {
    if !matches!(row.kind, StockKind::Cuttable(_)) {
        return Vec::new();
    }
    let turns =
        row.faces.iter().any(|(material, turns)| *turns || matches!(material, Material::Cardstock | Material::Kraft));
    let turn = if turns { Turn::Either } else { Turn::AsPrinted };
    let whole = row.size.area().square_nanometres();
    let mut found: BTreeMap<(i128, Size), u32> = BTreeMap::new();
    for piece in types.iter().filter(|piece| could_come(row, piece)) {
        let size = piece.need.cut_size();
        let area = size.area().square_nanometres();
        // Where many come out of a sheet the area is near enough.
        if area <= 0 || whole / area > 12 {
            continue;
        }
        let most = yield_of((row.size.width, row.size.height), (size.width, size.height), turn);
        if most > 0 {
            let lost = whole - i128::from(most) * area;
            let is_base = matches!(piece.need, PieceNeed::Blank(_));
            // Bases first: every card needs one.
            let rank = if is_base { -whole - lost } else { -lost };
            let size = if turn == Turn::Either { size.upright() } else { size };
            found.insert((rank, size), most);
        }
    }
    found.into_iter().take(MOST_MEASURES).map(|((_, size), most)| (size, turn, most)).collect()
}

/// The rows a piece could come from, and what it counts there.
fn takes(rows: &[Row], piece: &PieceType) -> Vec<Takes> {
    let size = piece.need.cut_size();
    let covers = |least: &Size, turn: Turn| {
        (size.width >= least.width && size.height >= least.height)
            || (turn == Turn::Either && size.width >= least.height && size.height >= least.width)
    };
    rows.iter()
        .enumerate()
        .filter(|(_, row)| could_come(row, piece))
        .map(|(place, row)| {
            let counts = row.measures.iter().enumerate().filter(|(_, (least, turn, _))| covers(least, *turn));
            Takes { row: place, counts: counts.map(|(measure, _)| measure).collect() }
        })
        .collect()
}

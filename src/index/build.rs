//! Builds the index: faces in the order of ids, equal lines of stock merged.

use super::{Body, CLASSES, Class, Face, FaceId, Index, Source, Stock, StockId, StockKind, StockLine, class_of};
use crate::stash::{Colours, Copies, Date, Facing, Image, Line, LineKind, Paper, PaperId, Stash};
use api::units::Length;
use api::{Colour, Directional, Material, PaperView, Pattern, PatternKind, Share};
use hashbrown::HashTable;
use smallvec::{SmallVec, smallvec};
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{BuildHasher, RandomState};
use std::path::Path;

/// So many of a thing that nobody will run out of.
pub const PLENTY: u32 = 1_000_000;
/// The id of a plain white card that nobody listed.
const ASSUMED_BASE: &str = "assumed-white-card";
/// A sheet that any card base can be cut from, for a stash that lists no plain stock: 12 x 12 in.
const ASSUMED_BASE_SIDE: Length = Length::from_nanometres(304_800_000);
/// How busy a printed paper is taken to be until it is measured or entered.
const ASSUMED_BUSYNESS: u32 = 500_000;

/// Builds the index of a stash, with ages counted up to `today`.
///
/// A paper whose colours are still to be measured is taken as white: measure first.
#[must_use]
pub fn build(stash: &Stash, today: Date) -> Index {
    let twins = same_prints(&stash.papers);
    let faces = faces(stash, &twins);
    let mut index = Index { faces, ..Index::default() };
    classify(&mut index);
    let mut faces = Faces::of(&index, stash);
    for (twin, first) in twins {
        if let Some(face) = faces.papers[first] {
            faces.papers[twin] = Some(face);
            index.same_prints.insert(stash.papers[twin].id.clone(), face);
        }
    }
    index.stock = merged(stash, today, &faces);
    if let Some(front) = faces.assumed_base {
        index.stock.push(Stock {
            lines: smallvec![StockLine { id: ASSUMED_BASE.to_owned(), count: PLENTY }],
            kind: StockKind::Cuttable(LineKind::Sheet),
            width: ASSUMED_BASE_SIDE,
            height: ASSUMED_BASE_SIDE,
            count: PLENTY,
            front,
            back: None,
            age_days: None,
            body: Body::default(),
        });
    }
    index.stock.sort_by(|one, other| one.ids().cmp(other.ids()));
    link(&mut index);
    let mut smallest_first: Vec<StockId> = index
        .stock
        .iter()
        .zip(0..)
        .filter(|(stock, _)| matches!(stock.kind, StockKind::Cuttable(_)))
        .map(|(_, place)| StockId(place))
        .collect();
    smallest_first.sort_by_cached_key(|id| {
        let stock = index.stock(*id);
        (stock.width * stock.height, std::cmp::Reverse(stock.age_days), *id)
    });
    index.smallest_first = smallest_first;
    index.sides = sides(&index, stash.settings.ruler);
    index
}

/// The face of each paper and image of a stash.
struct Faces {
    papers: Vec<Option<FaceId>>,
    images: Vec<Option<FaceId>>,
    assumed_base: Option<FaceId>,
}

impl Faces {
    fn of(index: &Index, stash: &Stash) -> Self {
        let (papers, images) = (vec![None; stash.papers.len()], vec![None; stash.images.len()]);
        let mut faces = Self { papers, images, assumed_base: None };
        for (face, place) in index.faces.iter().zip(0..) {
            let of = match face.source {
                Source::Paper(paper) => &mut faces.papers[paper],
                Source::Image(image) => &mut faces.images[image],
                Source::AssumedBase => &mut faces.assumed_base,
            };
            *of = Some(FaceId(place));
        }
        faces
    }
}

/// Every face but those of `twins`, in the order of ids.
fn faces(stash: &Stash, twins: &BTreeMap<usize, usize>) -> Vec<Face> {
    let papers = (0..stash.papers.len()).filter(|place| !twins.contains_key(place)).map(Source::Paper);
    let images = (0..stash.images.len()).map(Source::Image);
    let assumed = (!has_base(stash)).then_some(Source::AssumedBase);
    let with_id = |source: Source| match source {
        Source::Paper(place) => (stash.papers[place].id.as_str(), source),
        Source::Image(place) => (stash.images[place].id.as_str(), source),
        Source::AssumedBase => (ASSUMED_BASE, source),
    };
    let mut order: Vec<(&str, Source)> = papers.chain(images).chain(assumed).map(with_id).collect();
    order.sort_unstable();
    let pads: BTreeSet<&str> = stash.papers.iter().filter_map(|paper| paper.pad.as_deref()).collect();
    let pads: BTreeMap<&str, u32> = pads.into_iter().zip(0..).collect();
    let face = |(id, source): (&str, Source)| {
        let (view, facing) = match source {
            Source::Paper(place) => (paper_view(&stash.papers[place], &pads), Facing::Ahead),
            Source::Image(place) => (image_view(&stash.images[place]), stash.images[place].facing),
            Source::AssumedBase => (assumed_base_view(), Facing::Ahead),
        };
        let class = class_of(view.material);
        Face { id: id.to_owned(), view, source, class, place_in_class: 0, stock: Vec::new(), supply: 0, facing }
    };
    order.into_iter().map(face).collect()
}

/// Whether some line is stock that a card base can be cut from, or a base ready made.
fn has_base(stash: &Stash) -> bool {
    stash.lines.iter().any(|line| {
        let material = stash.papers[line.front.0 as usize].material;
        line.kind == LineKind::CardBase || matches!(material, Material::Cardstock | Material::Kraft)
    })
}

fn image_view(image: &Image) -> PaperView {
    let mut view = PaperView::plain(image.name.clone(), Colour::new(100.0, 0.0, 0.0));
    if !image.swatches.is_empty() {
        view.swatches.clone_from(&image.swatches);
    }
    view.material = Material::Image;
    view
}

fn assumed_base_view() -> PaperView {
    let mut view = PaperView::plain("white card (assumed)", Colour::new(97.0, 0.0, 0.0));
    view.material = Material::Cardstock;
    view
}

/// Papers that show the very picture of another paper, as the backs of a pad often do, each with the
/// one that stands for both: the first by id of those that are alike in all else.
fn same_prints(papers: &[Paper]) -> BTreeMap<usize, usize> {
    let mut of_picture: BTreeMap<&Path, Vec<usize>> = BTreeMap::new();
    for (place, paper) in papers.iter().enumerate() {
        if let Some(picture) = &paper.picture {
            of_picture.entry(picture).or_default().push(place);
        }
    }
    let mut twins = BTreeMap::new();
    for mut places in of_picture.into_values().filter(|places| places.len() > 1) {
        places.sort_by_key(|place| (&papers[*place].id, *place));
        let mut firsts: Vec<usize> = Vec::new();
        for place in places {
            match firsts.iter().find(|first| is_same_print(&papers[**first], &papers[place])) {
                Some(first) => {
                    twins.insert(place, *first);
                }
                None => firsts.push(place),
            }
        }
    }
    twins
}

/// Whether two papers with one picture are alike in all that shows.
fn is_same_print(one: &Paper, other: &Paper) -> bool {
    one.material == other.material
        && one.finish == other.finish
        && one.colours == other.colours
        && one.pattern == other.pattern
        && one.picture_of == other.picture_of
        && one.pad == other.pad
}

fn paper_view(paper: &Paper, pads: &BTreeMap<&str, u32>) -> PaperView {
    let mut view = PaperView::plain(paper.name.clone(), Colour::new(100.0, 0.0, 0.0));
    if let Colours::Entered(swatches) = &paper.colours
        && !swatches.is_empty()
    {
        view.swatches.clone_from(swatches);
    }
    view.material = paper.material;
    view.finish = paper.finish;
    view.pad = paper.pad.as_deref().and_then(|pad| pads.get(pad).copied());
    let printed = paper.material == Material::Patterned;
    let kind = paper.pattern.kind.unwrap_or(if printed { PatternKind::Scattered } else { PatternKind::Solid });
    let usual = match kind {
        PatternKind::Solid => 0,
        PatternKind::Tonal => 150_000,
        _ => ASSUMED_BUSYNESS,
    };
    let usual_turns = if kind == PatternKind::Stripe { Directional::QuarterTurn } else { Directional::No };
    view.pattern = Pattern {
        kind,
        busyness: paper.pattern.busyness.or(Share::from_millionths(usual)).unwrap_or_default(),
        repeat: paper.pattern.repeat,
        directional: paper.pattern.directional.unwrap_or(usual_turns),
    };
    view
}

fn classify(index: &mut Index) {
    let mut classes: [Vec<FaceId>; CLASSES] = Default::default();
    for (face, place) in index.faces.iter_mut().zip(0..) {
        let list = &mut classes[face.class as usize];
        face.place_in_class = list.len();
        list.push(FaceId(place));
    }
    index.classes = classes;
}

/// Stock with the same faces, size, kind and age is one: lines in the order of ids.
fn merged(stash: &Stash, today: Date, faces: &Faces) -> Vec<Stock> {
    // Only places are kept in the table, so that it stays small: what is compared is the stock itself.
    let mut places: HashTable<usize> = HashTable::with_capacity(stash.lines.len());
    let hasher = RandomState::new();
    let hash_of = |stock: &Stock| hasher.hash_one(what_it_is(stock));
    let mut groups: Vec<Stock> = Vec::with_capacity(stash.lines.len());
    for line in by_id(&stash.lines) {
        let face = |paper: PaperId| faces.papers[paper.0 as usize];
        let Some(front) = face(line.front) else { continue };
        let back = line.back.and_then(face).filter(|back| *back != front);
        let kind = match line.kind {
            LineKind::CardBase => StockKind::CardBase,
            kind => StockKind::Cuttable(kind),
        };
        let age_days = line.added.map(|day| u32::try_from(i64::from(today.0) - i64::from(day.0)).unwrap_or(0));
        let (width, height, count, body) = (line.width, line.height, 0, Body::default());
        let stock = Stock { lines: SmallVec::new(), kind, width, height, count, front, back, age_days, body };
        let hash = hash_of(&stock);
        let place = match places.find(hash, |place| what_it_is(&groups[*place]) == what_it_is(&stock)) {
            Some(place) => *place,
            None => {
                places.insert_unique(hash, groups.len(), |place| hash_of(&groups[*place]));
                groups.push(stock);
                groups.len() - 1
            }
        };
        let stock = &mut groups[place];
        let body = &mut stock.body;
        body.thickness = body.thickness.or(line.thickness);
        body.grammage = body.grammage.or(line.grams_per_square_metre);
        body.grain = body.grain.or(line.grain);
        if line.count > 0 {
            stock.lines.push(StockLine { id: line.id.clone(), count: line.count });
            stock.count = stock.count.saturating_add(line.count).min(PLENTY);
        }
    }
    for (image, front) in stash.images.iter().zip(&faces.images) {
        let Some(front) = *front else { continue };
        let count = match image.copies {
            Copies::Exactly(count) => count,
            Copies::Plenty => PLENTY,
        };
        let (width, height) = (image.size.width, image.size.height);
        let lines = smallvec![StockLine { id: image.id.clone(), count }];
        let kind = StockKind::Image;
        let (back, age_days, body) = (None, None, Body::default());
        groups.push(Stock { lines, kind, width, height, count, front, back, age_days, body });
    }
    groups.retain(|stock| stock.count > 0);
    groups
}

/// What makes two pieces of stock one line of stock: the same faces, kind, size and age.
fn what_it_is(stock: &Stock) -> (FaceId, Option<FaceId>, StockKind, Length, Length, Option<u32>) {
    (stock.front, stock.back, stock.kind, stock.width, stock.height, stock.age_days)
}

/// Lines in the order of ids. Most ids are told apart by their first eight bytes, which are sorted without
/// following them through memory.
fn by_id(lines: &[Line]) -> impl Iterator<Item = &Line> {
    let beginning = |id: &str| {
        let mut first = [0; 8];
        for (to, byte) in first.iter_mut().zip(id.bytes()) {
            *to = byte;
        }
        u64::from_be_bytes(first)
    };
    let mut order: Vec<(u64, &Line)> = lines.iter().map(|line| (beginning(&line.id), line)).collect();
    order.sort_by(|one, other| one.0.cmp(&other.0).then_with(|| one.1.id.cmp(&other.1.id)));
    order.into_iter().map(|(_, line)| line)
}

/// Joins faces to their stock, and numbers what shares stock.
fn link(index: &mut Index) {
    for (stock, place) in index.stock.iter().zip(0..) {
        for face in [Some(stock.front), stock.back].into_iter().flatten() {
            index.faces[face.place()].stock.push(StockId(place));
        }
    }
    let mut joined = petgraph::unionfind::UnionFind::<usize>::new(index.faces.len());
    for stock in &index.stock {
        if let Some(back) = stock.back {
            joined.union(stock.front.place(), back.place());
        }
    }
    for (place, face) in index.faces.iter_mut().enumerate() {
        face.supply = u32::try_from(joined.find(place)).unwrap_or(u32::MAX);
    }
}

fn sides(index: &Index, ruler: Length) -> Vec<Length> {
    let is_patterned = |face: FaceId| index.face(face).class == Class::Patterned;
    let shows_pattern = |stock: &&Stock| {
        matches!(stock.kind, StockKind::Cuttable(_))
            && (is_patterned(stock.front) || stock.back.is_some_and(is_patterned))
    };
    let both = |stock: &Stock| [stock.width.floor_to(ruler), stock.height.floor_to(ruler)];
    let mut sides: Vec<Length> = index.stock.iter().filter(shows_pattern).flat_map(both).collect();
    sides.sort_unstable_by(|one, other| other.cmp(one));
    sides.dedup();
    sides
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stash::{Line, PatternEntry};
    use api::Finish;
    use std::path::PathBuf;

    fn paper(id: &str, picture: Option<&str>) -> Paper {
        Paper {
            id: id.to_owned(),
            name: id.to_owned(),
            material: Material::Patterned,
            finish: Finish::Smooth,
            colours: Colours::FromPicture,
            pattern: PatternEntry::default(),
            picture: picture.map(PathBuf::from),
            picture_of: None,
            pad: Some("pad".to_owned()),
        }
    }

    fn line(id: &str, front: u32, back: u32) -> Line {
        let (front, back, width, height) = (PaperId(front), Some(PaperId(back)), Length::INCH * 6, Length::INCH * 6);
        let kind = LineKind::Sheet;
        let (count, added, grain, grams_per_square_metre, thickness, assumed) = (1, None, None, None, None, vec![]);
        let id = id.to_owned();
        Line { id, kind, front, back, width, height, count, added, grain, grams_per_square_metre, thickness, assumed }
    }

    #[test]
    fn backs_with_one_picture_are_one_paper_and_both_ids_find_it() {
        let mut busy = paper("d/back", Some("pin.jpg"));
        busy.pattern.busyness = Some(Share::ONE);
        let papers = vec![
            paper("a", Some("rose.jpg")),
            paper("a/back", Some("pin.jpg")),
            paper("b", Some("fern.jpg")),
            paper("b/back", Some("pin.jpg")),
            paper("c", None),
            paper("c/back", None),
            busy,
        ];
        let stash = Stash { papers, lines: vec![line("a", 0, 1), line("b", 2, 3)], ..Stash::default() };
        let index = build(&stash, Date(0));
        let ids: Vec<&str> = index.faces.iter().map(|face| face.id.as_str()).collect();
        // What has no picture, and what is entered differently, stands for itself.
        assert_eq!(ids, ["a", "a/back", "assumed-white-card", "b", "c", "c/back", "d/back"]);
        let pin = index.find("a/back").expect("it is there");
        assert_eq!(index.find("b/back"), Some(pin));
        let stock: Vec<&str> = index.face(pin).stock.iter().map(|stock| index.stock(*stock).id()).collect();
        assert_eq!(stock, ["a", "b"], "either sheet shows it");
        let group = |id: &str| index.face(index.find(id).expect("it is there")).supply;
        assert_eq!(group("a"), group("b"), "both sheets are asked for together");
    }
}

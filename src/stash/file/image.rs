//! Images: printed, stamped, or built from die-cut parts that take their colours from one another.

use super::draft::Draft;
use super::edges::edge;
use super::face::{MATERIALS, picture};
use super::colour::colours;
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys;
use super::things::copies;
use super::value::{choice, id, list, size, text, yes_or_no};
use crate::problem::{Fault, Named, Outcome, nearest};
use crate::stash::{Copies, Edge, Facing, Image, ImagePart, PartColour};
use api::Material;
use api::units::{Length, Purpose, Size};
use std::ops::Range;

/// The most parts an image may be built from.
const MOST_PARTS: usize = 40;

/// How much more stock a part needs on each side: 1/8 in, common practice, no source.
const MARGIN: Length = Length::from_nanometres(3_175_000);

/// Which way a picture may look.
const FACINGS: &[(&str, Facing)] = &[("ahead", Facing::Ahead), ("left", Facing::Left), ("right", Facing::Right)];

/// A part, and the names of other parts it uses.
struct Part {
    part: ImagePart,
    /// Where its id stands.
    span: Range<usize>,
    /// Each key that names parts, the name, and where it stands.
    names: Vec<(&'static str, String, Range<usize>)>,
}

impl Draft<'_> {
    /// Reads a file of images.
    pub(super) fn read_images(&mut self, top: &Fields<'_, '_>) {
        let entries = top.sections("image", &keys::IMAGE);
        if entries.is_empty() {
            top.no_entries("image");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            if let Entry::Good(fields) = entry {
                self.read_image(&fields, number);
            }
        }
    }

    fn read_image(&mut self, fields: &Fields<'_, '_>, number: usize) {
        let name = fields.optional("name", UNSAID, text);
        let id = self.thing_id(fields, name.as_deref(), number);
        let size = fields.required("size", "size = \"2 1/2 x 3 in\"", size(Purpose::Card));
        let facing = fields.optional("facing", "straight ahead", choice(FACINGS)).unwrap_or_default();
        let copies = fields.optional("copies", "plenty", copies).unwrap_or(Copies::Plenty);
        let occasions = fields.optional("occasions", "for anything", list(text)).unwrap_or_default();
        let key = if fields.value("colours").is_some() { "colours" } else { "colour" };
        if key == "colours" {
            fields.pointless("colour", "colours");
        }
        let has_parts = fields.value("part").is_some();
        let has_picture = fields.value("picture").is_some();
        let otherwise = |other: bool, taken_as| if other { Otherwise::Take(taken_as) } else { Otherwise::LeaveOut };
        let swatches = fields.read(key, otherwise(has_picture || has_parts, UNSAID), colours);
        let picture = fields.read("picture", otherwise(swatches.is_some() || has_parts, UNSAID), picture);
        if !has_parts && !has_picture && fields.value(key).is_none() {
            fields.report(fields.span.clone(), Fault::NothingToSee { of: fields.keys.of }, fields.left_out());
        }
        let parts = parts(fields, size);
        let is_seen = has_parts || picture.is_some() || swatches.is_some();
        if let (Some(size), Some(parts), true) = (size, parts, is_seen)
            && self.images.claim(fields, &id)
        {
            let (name, swatches) = (name.unwrap_or_else(|| id.clone()), swatches.unwrap_or_default());
            self.stash.images.push(Image { id, name, size, copies, facing, swatches, picture, parts, occasions });
        }
    }
}

/// The parts of an image, if all of them can be read.
fn parts(fields: &Fields<'_, '_>, image: Option<Size>) -> Option<Vec<ImagePart>> {
    let entries = fields.sections("part", &keys::PART);
    if entries.len() > MOST_PARTS {
        let fault = Fault::TooMany { what: "parts", found: entries.len(), limit: MOST_PARTS };
        fields.report(fields.span.clone(), fault, fields.left_out());
        return None;
    }
    let read: Vec<Option<Part>> = entries
        .into_iter()
        .enumerate()
        .map(|(number, entry)| match entry {
            Entry::Good(fields) => part(&fields, image, number),
            Entry::Broken { .. } => None,
        })
        .collect();
    // Names can only be looked up once all parts are known.
    let parts: Vec<Part> = read.into_iter().collect::<Option<_>>()?;
    let is_sound = are_ids_single(fields, &parts) & are_names_known(fields, &parts);
    if !is_sound {
        return None;
    }
    for keys in [&["lighter-than", "darker-than", "same-as"][..], &["inlaid-in"][..]] {
        if let Some(circle) = circle(&parts, keys) {
            let span = parts[circle[0]].span.clone();
            let parts = circle.into_iter().map(|part| parts[part].part.id.clone()).collect();
            fields.report(span, Fault::PartsInACircle { parts }, fields.left_out());
            return None;
        }
    }
    Some(parts.into_iter().map(|part| part.part).collect())
}

/// One part.
fn part(fields: &Fields<'_, '_>, image: Option<Size>, number: usize) -> Option<Part> {
    let written = fields.read("id", Otherwise::LeaveOut, id);
    let is_named = fields.value("id").is_none() || written.is_some();
    let start = Edge { share: 0, offset: Length::ZERO };
    let end = Edge { share: super::edges::WHOLE, offset: Length::ZERO };
    let read = |key, otherwise| match fields.value(key) {
        None => Some(otherwise),
        Some(_) => fields.read(key, Otherwise::LeaveOut, edge),
    };
    let place = [read("left", start), read("top", start), read("width", end), read("height", end)];
    let cut_from = fields.read("cut-from", Otherwise::LeaveOut, size(Purpose::Sheet));
    let is_cut_from_read = fields.value("cut-from").is_none() || cut_from.is_some();
    let takes = fields.optional("takes", "cardstock", list(choice(MATERIALS))).unwrap_or_default();

    let mut names = Vec::new();
    let mut colour = Vec::new();
    let mut are_names_read = true;
    let colours: [(&str, fn(String) -> PartColour); 3] = [
        ("lighter-than", PartColour::LighterThan),
        ("darker-than", PartColour::DarkerThan),
        ("same-as", PartColour::SameAs),
    ];
    for (key, relation) in colours {
        let read = named(fields, key);
        are_names_read &= read.is_some();
        for (name, span) in read.unwrap_or_default() {
            colour.push(relation(name.clone()));
            names.push((key, name, span));
        }
    }
    if fields.optional("same-as-mat", UNSAID, yes_or_no) == Some(true) {
        colour.push(PartColour::SameAsMat);
    }
    if colour.is_empty() {
        colour.push(PartColour::Any);
    }
    let inlaid_in = fields.read("inlaid-in", Otherwise::LeaveOut, id);
    if let Some(value) = fields.value("inlaid-in") {
        are_names_read &= inlaid_in.is_some();
        names.extend(inlaid_in.iter().map(|name| ("inlaid-in", name.clone(), value.span.clone())));
    }

    let is_read = is_named && is_cut_from_read && are_names_read;
    let ([Some(left), Some(top), Some(width), Some(height)], Some(image), true) = (place, image, is_read) else {
        return None;
    };
    let own = Size::new(width.on(image.width), height.on(image.height));
    if !own.width.is_positive() || !own.height.is_positive() {
        let key = if own.width.is_positive() { "height" } else { "width" };
        let span = fields.value(key).map_or_else(|| fields.span.clone(), |value| value.span);
        fields.report(span, Fault::LengthZero { key: key.into() }, fields.left_out());
        return None;
    }
    let at = (
        thousandths(left.on(image.width), image.width),
        thousandths(top.on(image.height), image.height),
        thousandths(own.width, image.width),
        thousandths(own.height, image.height),
    );
    Some(Part {
        part: ImagePart {
            id: written.unwrap_or_else(|| format!("part-{}", number + 1)),
            size: cut_from.unwrap_or(Size::new(own.width + MARGIN * 2, own.height + MARGIN * 2)),
            takes: if takes.is_empty() { vec![Material::Cardstock] } else { takes },
            colour,
            inlaid_in,
            at,
        },
        span: fields.value("id").map_or_else(|| fields.span.clone(), |value| value.span),
        names,
    })
}

/// A length as thousandths of a whole, to the nearest.
fn thousandths(length: Length, whole: Length) -> i32 {
    let (length, whole) = (i128::from(length.nanometres()), i128::from(whole.nanometres().max(1)));
    // Both are at most 100 m, and no size is less than a nanometre.
    i32::try_from((length * 1_000 + whole / 2).div_euclid(whole)).unwrap_or(i32::MAX)
}

/// The names behind a key, each with where it stands; `None` where they cannot be read.
pub(super) fn named(fields: &Fields<'_, '_>, key: &'static str) -> Option<Vec<(String, Range<usize>)>> {
    let Some(value) = fields.value(key) else { return Some(Vec::new()) };
    let names = fields.read(key, Otherwise::LeaveOut, list(id))?;
    let spans = value.items().into_iter().map(|item| item.span);
    Some(names.into_iter().zip(spans).collect())
}

/// Whether no two parts have one id; if two have, that is told.
fn are_ids_single(fields: &Fields<'_, '_>, parts: &[Part]) -> bool {
    let mut is_single = true;
    for (number, part) in parts.iter().enumerate() {
        if let Some(first) = parts[..number].iter().find(|first| first.part.id == part.part.id) {
            let first = fields.document.source.place(first.span.clone());
            let fault = Fault::DuplicateId { id: part.part.id.clone(), first };
            fields.report(part.span.clone(), fault, fields.left_out());
            is_single = false;
        }
    }
    is_single
}

/// Whether every name is that of another part; if not, that is told.
fn are_names_known(fields: &Fields<'_, '_>, parts: &[Part]) -> bool {
    let ids = || parts.iter().map(|part| part.part.id.as_str());
    let mut is_known = true;
    for part in parts {
        for (key, name, span) in &part.names {
            let fault = if *name == part.part.id {
                Fault::RefersToItself { key: (*key).into(), id: name.clone() }
            } else if ids().any(|id| id == name) {
                continue;
            } else {
                let nearest = nearest(name, ids()).map(str::to_owned);
                Fault::UnknownName { named: Named::Part, name: name.clone(), nearest }
            };
            is_known = false;
            fields.report(span.clone(), fault, Outcome::LeftOut(fields.keys.this.into()));
        }
    }
    is_known
}

/// Parts that name one another in a circle by these keys, in order.
fn circle(parts: &[Part], keys: &[&str]) -> Option<Vec<usize>> {
    let after = |part: usize| {
        let names = parts[part].names.iter().filter(|(key, ..)| keys.contains(key));
        names.filter_map(|(_, name, _)| parts.iter().position(|part| part.part.id == *name)).collect::<Vec<_>>()
    };
    // From each part, the ways that come back to it; with few parts, looking from each is cheap.
    (0..parts.len()).find_map(|start| {
        let mut came_from = vec![None; parts.len()];
        let mut open = vec![start];
        while let Some(part) = open.pop() {
            for next in after(part) {
                if next == start {
                    let back = std::iter::successors(Some(part), |&part| came_from[part]);
                    let mut way: Vec<usize> = back.collect();
                    way.reverse();
                    return Some(way);
                }
                if came_from[next].is_none() {
                    came_from[next] = Some(part);
                    open.push(next);
                }
            }
        }
        None
    })
}

//! Images: printed, stamped, or built from die-cut parts that take their colours from one another.

use super::colour::colours;
use super::draft::Draft;
use super::edges::edge;
use super::face::{MATERIALS, picture};
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys;
use super::names::{Member, are_sound, circle, named, named_once};
use super::things::copies;
use super::value::{choice, id, list, size, text, yes_or_no};
use crate::problem::{Fault, Named};
use crate::stash::{Copies, Edge, Facing, Image, ImagePart, PartColour};
use api::Material;
use api::units::{Length, Purpose, Size, Unit};

/// The most parts an image may be built from.
const MOST_PARTS: usize = 40;

/// How much more stock a part needs on each side: 1/8 in, common practice, no source.
const MARGIN: Length = Length::from_nanometres(3_175_000);

/// How a part's colour stands to that of a part with a name.
type Relation = fn(String) -> PartColour;

/// Which way a picture may look.
const FACINGS: &[(&str, Facing)] = &[("ahead", Facing::Ahead), ("left", Facing::Left), ("right", Facing::Right)];

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
    let read = entries.into_iter().enumerate().map(|(number, entry)| match entry {
        Entry::Good(fields) => part(&fields, image, number),
        Entry::Broken(_) => (Member { id: None, span: 0..0, names: Vec::new() }, None),
    });
    // Names can only be looked up once all parts are known.
    let (members, parts): (Vec<Member>, Vec<Option<ImagePart>>) = read.unzip();
    if !are_sound(fields, &members, Named::Part) {
        return None;
    }
    for keys in [&["lighter-than", "darker-than", "same-as"][..], &["inlaid-in"][..]] {
        if let Some(circle) = circle(&members, keys) {
            let span = members[circle[0]].span.clone();
            let parts = circle.into_iter().filter_map(|part| members[part].id.clone()).collect();
            fields.report(span, Fault::PartsInACircle { parts }, fields.left_out());
            return None;
        }
    }
    parts.into_iter().collect()
}

/// One part.
fn part(fields: &Fields<'_, '_>, image: Option<Size>, number: usize) -> (Member, Option<ImagePart>) {
    let id = match fields.value("id") {
        None => Some(format!("part-{}", number + 1)),
        Some(_) => fields.read("id", Otherwise::LeaveOut, id),
    };
    let span = fields.value("id").map_or_else(|| fields.span.clone(), |value| value.span);
    let colours: [(&'static str, Relation); 3] = [
        ("lighter-than", PartColour::LighterThan),
        ("darker-than", PartColour::DarkerThan),
        ("same-as", PartColour::SameAs),
    ];
    let colours = colours.map(|(key, relation)| (relation, named(fields, key)));
    let inlaid_in = named_once(fields, "inlaid-in");
    let names = colours.iter().filter_map(|(_, names)| names.as_ref()).flatten().chain(inlaid_in.iter().flatten());
    let names = names.cloned().collect();

    let mut is_read = inlaid_in.is_some();
    let mut colour = Vec::new();
    for (relation, names) in colours {
        is_read &= names.is_some();
        colour.extend(names.into_iter().flatten().map(|naming| relation(naming.name)));
    }
    if fields.optional("same-as-mat", UNSAID, yes_or_no) == Some(true) {
        colour.push(PartColour::SameAsMat);
    }
    if colour.is_empty() {
        colour.push(PartColour::Any);
    }
    let takes = fields.optional("takes", "cardstock", list(choice(MATERIALS))).filter(|takes| !takes.is_empty());
    let place = part_place(fields, image);
    let member = Member { id: id.clone(), span, names };
    let (Some(id), Some((at, size)), true) = (id, place, is_read) else { return (member, None) };
    let part = ImagePart {
        id,
        size,
        takes: takes.unwrap_or_else(|| vec![Material::Cardstock]),
        colour,
        inlaid_in: inlaid_in.flatten().map(|naming| naming.name),
        at,
    };
    (member, Some(part))
}

/// Where a part lies on its image and how large it is there, in thousandths, and the stock it
/// needs; `None` where that cannot be said, which has been told.
fn part_place(fields: &Fields<'_, '_>, image: Option<Size>) -> Option<((i32, i32, i32, i32), Size)> {
    let start = Edge { share: 0, offset: Length::ZERO };
    let end = Edge { share: super::edges::WHOLE, offset: Length::ZERO };
    let read = |key, otherwise| match fields.value(key) {
        None => Some(otherwise),
        Some(_) => fields.read(key, Otherwise::LeaveOut, edge),
    };
    let place = [read("left", start), read("top", start), read("width", end), read("height", end)];
    let cut_from = fields.read("cut-from", Otherwise::LeaveOut, size(Purpose::Sheet));
    let is_cut_from_read = fields.value("cut-from").is_none() || cut_from.is_some();
    let ([Some(left), Some(top), Some(width), Some(height)], Some(image), true) = (place, image, is_cut_from_read)
    else {
        return None;
    };
    let own = Size::new(width.on(image.width), height.on(image.height));
    if !own.width.is_positive() || !own.height.is_positive() {
        let key = if own.width.is_positive() { "height" } else { "width" };
        let span = fields.value(key).map_or_else(|| fields.span.clone(), |value| value.span);
        fields.report(span, Fault::LengthZero { key: key.into() }, fields.left_out());
        return None;
    }
    let sides = [("left", left.on(image.width), "width", own.width, image.width)];
    let downs = [("top", top.on(image.height), "height", own.height, image.height)];
    for (first, from, second, side, whole) in sides.into_iter().chain(downs) {
        let (before, beyond) = (-from, from + side - whole);
        let (key, by) = if before >= beyond { (first, before) } else { (second, beyond) };
        if by.is_positive() {
            let span = fields.value(key).map_or_else(|| fields.span.clone(), |value| value.span);
            fields.report(span, Fault::PartOffImage { by: by.exact(Unit::Inch) }, fields.left_out());
            return None;
        }
    }
    let at = (
        thousandths(left.on(image.width), image.width),
        thousandths(top.on(image.height), image.height),
        thousandths(own.width, image.width),
        thousandths(own.height, image.height),
    );
    let size = cut_from.unwrap_or(Size::new(own.width + MARGIN * 2, own.height + MARGIN * 2));
    Some((at, size))
}

/// A length as thousandths of a whole, to the nearest.
fn thousandths(length: Length, whole: Length) -> i32 {
    let (length, whole) = (i128::from(length.nanometres()), i128::from(whole.nanometres().max(1)));
    // Both are at most 100 m, and no size is less than a nanometre.
    i32::try_from((length * 1_000 + whole / 2).div_euclid(whole)).unwrap_or(i32::MAX)
}

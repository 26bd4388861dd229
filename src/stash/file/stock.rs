//! Stock in loose pieces: files of sheets, cardstock, scraps and card bases in, papers and lines
//! out. What a file says at its top holds for each of its pieces that does not say otherwise.

use super::draft::{Draft, Reference, Stuff};
use super::face::{FINISHES, Face, MATERIALS, Said, face, has_face, pointless_beside_paper};
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys::{self, Keys};
use super::mend::Called;
use super::register::slug;
use super::value::{choice, count, date, id, length, size};
use super::weight::weight;
use crate::problem::Outcome;
use crate::stash::{Date, Grain, Line, LineKind, Paper, PaperId};
use api::units::{Length, Purpose, Region, Size};
use api::{Finish, Material};

/// The most pieces of one line.
pub(super) const MOST: u32 = 1_000_000;

/// A line that says how large a piece is.
const SIZE_EXAMPLE: &str = "size = \"3 1/2 x 4 in\"";

/// Which way the fibres may run.
#[derive(Clone, Copy)]
pub(super) enum Fibres {
    /// As one of the sides.
    Along(Grain),
    /// As the longer side.
    Long,
    /// As the shorter side.
    Short,
}

/// Its words.
pub(super) const FIBRES: &[(&str, Fibres)] = &[
    ("long", Fibres::Long),
    ("short", Fibres::Short),
    ("along-height", Fibres::Along(Grain::AlongHeight)),
    ("along-width", Fibres::Along(Grain::AlongWidth)),
];

impl Fibres {
    /// The side of a piece they run along. A square has no longer side; its height stands for it.
    pub(super) fn of(self, size: Size) -> Grain {
        let is_upright = size.height >= size.width;
        match self {
            Self::Along(grain) => grain,
            Self::Long if is_upright => Grain::AlongHeight,
            Self::Short if !is_upright => Grain::AlongHeight,
            Self::Long | Self::Short => Grain::AlongWidth,
        }
    }
}

/// Which stock a file lists, and what holds for it where nobody says otherwise.
#[derive(Clone, Copy)]
struct Sort {
    section: &'static str,
    keys: &'static Keys,
    kind: LineKind,
    /// Its material, where the kind of file says it.
    material: Option<Material>,
}

/// What a file says of all its pieces.
struct Shared {
    size: Option<Size>,
    /// A size stands there but cannot be read: pieces without their own need no second word.
    size_is_bad: bool,
    paper: Option<Reference>,
    /// The same of the paper.
    paper_is_bad: bool,
    common: Common,
}

/// What may be said of all pieces of a file, or of each.
#[derive(Clone, Copy)]
struct Common {
    count: Option<u32>,
    added: Option<Date>,
    material: Option<Material>,
    finish: Option<Finish>,
    grams_per_square_metre: Option<u32>,
    thickness: Option<Length>,
    grain: Option<Fibres>,
}

impl Common {
    fn read(fields: &Fields<'_, '_>) -> Self {
        Self {
            count: fields.optional("count", "one", count(0..=MOST)),
            added: fields.optional("added", UNSAID, date),
            material: None,
            finish: None,
            grams_per_square_metre: fields.optional("weight", UNSAID, weight),
            thickness: fields.optional("thickness", UNSAID, length),
            grain: fields.optional("grain", UNSAID, choice(FIBRES)),
        }
    }

    /// What is said here, else what is said there.
    fn or(self, other: Self) -> Self {
        Self {
            count: self.count.or(other.count),
            added: self.added.or(other.added),
            material: self.material.or(other.material),
            finish: self.finish.or(other.finish),
            grams_per_square_metre: self.grams_per_square_metre.or(other.grams_per_square_metre),
            thickness: self.thickness.or(other.thickness),
            grain: self.grain.or(other.grain),
        }
    }
}

/// Where a piece's paper comes from.
enum Source {
    /// It shows its own.
    Own(Face),
    /// It is of a paper with a name.
    Of(Reference),
}

impl Draft<'_> {
    /// Reads a file of sheets.
    pub(super) fn read_sheets(&mut self, top: &Fields<'_, '_>) {
        self.read_stock(top, Sort { section: "sheet", keys: &keys::SHEET, kind: LineKind::Sheet, material: None });
    }

    /// Reads a file of cardstock.
    pub(super) fn read_cardstock(&mut self, top: &Fields<'_, '_>) {
        let material = Some(Material::Cardstock);
        self.read_stock(top, Sort { section: "cardstock", keys: &keys::CARDSTOCK, kind: LineKind::Sheet, material });
    }

    /// Reads a file of scraps.
    pub(super) fn read_scraps(&mut self, top: &Fields<'_, '_>) {
        self.read_stock(top, Sort { section: "scrap", keys: &keys::SCRAP, kind: LineKind::Scrap, material: None });
    }

    /// Reads a file of card bases.
    pub(super) fn read_bases(&mut self, top: &Fields<'_, '_>) {
        self.read_stock(top, Sort { section: "base", keys: &keys::BASE, kind: LineKind::CardBase, material: None });
    }

    fn read_stock(&mut self, top: &Fields<'_, '_>, sort: Sort) {
        let shared = shared(top);
        let entries = top.sections(sort.section, sort.keys);
        if entries.is_empty() {
            top.no_entries(sort.section);
        }
        for (number, entry) in entries.into_iter().enumerate() {
            match entry {
                Entry::Good(fields) => self.read_piece(&fields, &shared, sort, number),
                Entry::Broken(Called { id, name }) => {
                    let of_name = || name.filter(|_| sort.keys.keys.contains(&"name")).map(|name| slug(&name));
                    self.stock.mark_broken(id.or_else(of_name).unwrap_or_default());
                }
            }
        }
    }

    fn read_piece(&mut self, fields: &Fields<'_, '_>, shared: &Shared, sort: Sort, number: usize) {
        // Everything is read before anything is judged, so that all problems come in one run.
        let source = source(fields, shared);
        let name = fields.value("name").and_then(|name| name.value.as_str()).filter(|name| !name.trim().is_empty());
        let default_id = match name {
            Some(name) if sort.material.is_some() => slug(name),
            _ => format!("{}/{}", self.prefixes.of(fields.document), number + 1),
        };
        let id = fields.read("id", Otherwise::Take("if it had none"), id).unwrap_or(default_id);
        let mut assumed = Vec::new();
        let size = piece_size(fields, shared, sort, &mut assumed);
        let common = Common::read(fields);
        let back = fields.section("back", &keys::BACK).and_then(|back| face(&back));

        let (Some(source), Some(size)) = (source, size) else {
            self.stock.mark_broken(id);
            return;
        };
        if !self.stock.claim(fields, &id) {
            return;
        }
        let common = common.or(shared.common);
        let count = common.count.unwrap_or_else(|| {
            assumed.push("count");
            1
        });
        let line = Line {
            id: id.clone(),
            kind: sort.kind,
            front: PaperId(0),
            back: None,
            width: size.width,
            height: size.height,
            count,
            added: common.added,
            grain: common.grain.map(|fibres| fibres.of(size)),
            grams_per_square_metre: common.grams_per_square_metre,
            thickness: common.thickness,
            assumed,
        };
        match source {
            Source::Of(reference) => self.add_line_of(line, reference),
            Source::Own(front) => {
                let mut line = line;
                let said = Said { material: common.material.or(sort.material), finish: common.finish };
                let front = front.into_front(id.clone(), id, said, &mut line.assumed);
                let back = back.map(|back| back.into_back(&front));
                let stuff = Stuff {
                    back: None,
                    grams_per_square_metre: line.grams_per_square_metre,
                    thickness: line.thickness,
                };
                (line.front, line.back) = self.add_faces(front, back, stuff);
                self.add_line(line);
            }
        }
    }

    /// Takes the one or two faces of a stock in.
    pub(super) fn add_faces(&mut self, front: Paper, back: Option<Paper>, stuff: Stuff) -> (PaperId, Option<PaperId>) {
        let front = self.add_paper(front, stuff);
        let back = back.map(|back| self.add_paper(back, Stuff { back: Some(front), ..stuff }));
        self.set_stuff(front, Stuff { back, ..stuff });
        (front, back)
    }
}

/// What a file says at its top.
fn shared(top: &Fields<'_, '_>) -> Shared {
    let otherwise = |what: &str| Outcome::LeftOut(format!("each piece of this file without {what} of its own"));
    let mut read =
        Shared { size: None, size_is_bad: false, paper: None, paper_is_bad: false, common: Common::read(top) };
    read.common.material = top.optional("material", UNSAID, choice(MATERIALS));
    read.common.finish = top.optional("finish", UNSAID, choice(FINISHES));
    if let Some(value) = top.value("size") {
        match size(Purpose::Sheet)(&value) {
            Ok(size) => read.size = Some(size),
            Err(complaints) => {
                read.size_is_bad = true;
                top.complain_as(complaints, &otherwise("a size"));
            }
        }
    }
    if top.keys.keys.contains(&"paper")
        && let Some(value) = top.value("paper")
    {
        match id(&value) {
            Ok(id) => read.paper = Some(Reference { id, origin: top.origin_of(value.span), this: "each piece of it" }),
            Err(complaints) => {
                read.paper_is_bad = true;
                top.complain_as(complaints, &otherwise("a paper"));
            }
        }
    }
    read
}

/// Where a piece's paper comes from; `None` where that cannot be said, which has been told.
fn source(fields: &Fields<'_, '_>, shared: &Shared) -> Option<Source> {
    let may_refer = fields.keys.keys.contains(&"paper");
    if may_refer && let Some(value) = fields.value("paper") {
        pointless_beside_paper(fields);
        let id = fields.read("paper", Otherwise::LeaveOut, id)?;
        return Some(Source::Of(Reference { id, origin: fields.origin_of(value.span), this: fields.keys.this }));
    }
    if may_refer && !has_face(fields) {
        if shared.paper_is_bad {
            return None;
        }
        if let Some(reference) = &shared.paper {
            pointless_beside_paper(fields);
            return Some(Source::Of(reference.clone()));
        }
    }
    face(fields).map(Source::Own)
}

/// How large a piece is; `None` where that cannot be said, which has been told.
fn piece_size(fields: &Fields<'_, '_>, shared: &Shared, sort: Sort, assumed: &mut Vec<&'static str>) -> Option<Size> {
    if fields.value("size").is_some() {
        fields.pointless("width", "size");
        fields.pointless("height", "size");
        return fields.read("size", Otherwise::LeaveOut, size(Purpose::Sheet));
    }
    if fields.value("width").is_some() || fields.value("height").is_some() {
        let width = fields.required("width", "width = \"3 1/2 in\"", length);
        let height = fields.required("height", "height = \"4 in\"", length);
        return Some(Size::new(width?, height?));
    }
    if shared.size_is_bad {
        return None;
    }
    if shared.size.is_none() && sort.material == Some(Material::Cardstock) {
        assumed.push("size");
        return Some(usual_sheet(fields.document.reader.region));
    }
    if shared.size.is_none() {
        fields.missing("size", SIZE_EXAMPLE);
    }
    shared.size
}

/// The sheet cardstock is usually sold in: 8 1/2 x 11 in, or 210 x 297 mm (ISO 216 A4).
fn usual_sheet(region: Region) -> Size {
    match region {
        Region::Us => Size::new((Length::INCH * 17).half(), Length::INCH * 11),
        Region::Iso => Size::new(Length::MILLIMETRE * 210, Length::MILLIMETRE * 297),
    }
}

//! An image built from die-cut parts: each part from the smallest piece of stock that will do.
//!
//! The parts are filled in the order of the file. Each takes the smallest stock that is large
//! enough, of a colour that suits the parts before it and can still be cut beside all else; the
//! oldest, then the first id, where two are as small. Where a later part finds nothing, the one
//! before it tries its next.

use super::supply::{Choice, Cuttable, Purpose, Supply, Wanted};
use super::{Network, eligible};
use crate::index::{FaceId, PieceNeed, StockId};
use crate::stash::{Image, ImagePart, PartColour};
use api::{Colour, Relation};

/// Stock tried for the parts of one image before the answer is "unknown".
const TRIES: u32 = 20_000;
/// How much lighter or darker a shade must be to read as one: 5 in CIELAB L*. From memory: about
/// five just noticeable differences.
const SHADE: f64 = 5.0;
/// How far apart the hues of two shades of one colour may be, in degrees, and below which chroma a
/// colour has no hue to speak of. Chosen by eye; no source.
const SHADE_HUE: (f64, f64) = (45.0, 10.0);

/// The stock of each part of one image.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartChoice {
    /// The slot the image is in.
    pub slot: usize,
    /// For each part, in the order of the file, the face that shows and the stock it is cut from.
    pub parts: Vec<(FaceId, StockId)>,
}

/// More was tried than is allowed.
pub(super) struct WorkRanOut;

/// The stock for each part of `image`, lying in `slot`; `None` where no stock will do.
pub(super) fn fill(
    supply: &mut Supply<'_>,
    network: &Network,
    faces: &[FaceId],
    choice: &Choice,
    slot: usize,
    image: &Image,
) -> Result<Option<PartChoice>, WorkRanOut> {
    let under = network
        .links
        .iter()
        .find(|link| link.upper == slot && link.relation == Relation::Touching)
        .map_or(0, |link| link.lower);
    // "The mat" is the mat of what the image lies on, or that panel itself where it has none.
    let mat = network
        .links
        .iter()
        .find(|link| link.upper == under && link.relation == Relation::MatBehind)
        .map_or(under, |link| link.lower);
    if !mat_suits(supply, image, faces[mat]) {
        return Ok(None);
    }
    let mut filling = Filling { supply, network, faces, choice, image, mat: faces[mat], tries: 0, parts: Vec::new() };
    Ok(filling.next()?.then_some(PartChoice { slot, parts: filling.parts }))
}

/// Whether every part that must be of the mat's stock could be: without it nothing else need be tried.
fn mat_suits(supply: &Supply<'_>, image: &Image, mat: FaceId) -> bool {
    let index = supply.index();
    let material = index.face(mat).view.material;
    let of_mat = image.parts.iter().filter(|part| part.colour.contains(&PartColour::SameAsMat));
    of_mat.into_iter().all(|part| part.takes.contains(&material) && !eligible(index, &need(part), mat).is_empty())
}

struct Filling<'s, 'a, 'n> {
    supply: &'s mut Supply<'a>,
    network: &'n Network,
    faces: &'n [FaceId],
    choice: &'n Choice,
    image: &'n Image,
    mat: FaceId,
    tries: u32,
    parts: Vec<(FaceId, StockId)>,
}

impl Filling<'_, '_, '_> {
    /// Fills the next part and all after it; leaves `parts` as it was where that cannot be done.
    fn next(&mut self) -> Result<bool, WorkRanOut> {
        let Some(part) = self.image.parts.get(self.parts.len()) else { return Ok(true) };
        let index = self.supply.index();
        for stock in &index.smallest_first {
            let line = index.stock(*stock);
            for face in [Some(line.front), line.back].into_iter().flatten() {
                if !self.suits(part, face) || !eligible(index, &need(part), face).contains(stock) {
                    continue;
                }
                self.tries += 1;
                if self.tries > TRIES {
                    return Err(WorkRanOut);
                }
                self.parts.push((face, *stock));
                match self.can_be_cut() {
                    Cuttable::Yes(_) => {
                        if self.next()? {
                            return Ok(true);
                        }
                    }
                    Cuttable::No => {}
                    Cuttable::Unknown => return Err(WorkRanOut),
                }
                self.parts.pop();
            }
        }
        Ok(false)
    }

    /// Whether a face is of a material and a colour that the part may have.
    fn suits(&self, part: &ImagePart, face: FaceId) -> bool {
        let index = self.supply.index();
        let view = &index.face(face).view;
        if !part.takes.contains(&view.material) {
            return false;
        }
        let filled = |name: &String| {
            let place = self.image.parts.iter().position(|other| other.id == *name)?;
            self.parts.get(place).map(|(face, _)| *face)
        };
        let let_into = part.inlaid_in.as_ref().and_then(filled);
        let_into != Some(face)
            && part.colour.iter().all(|colour| match colour {
                PartColour::Any => true,
                PartColour::LighterThan(other) => {
                    filled(other).is_none_or(|other| is_shade(view.main_colour(), index.face(other).view.main_colour()))
                }
                PartColour::DarkerThan(other) => {
                    filled(other).is_none_or(|other| is_shade(index.face(other).view.main_colour(), view.main_colour()))
                }
                PartColour::SameAs(other) => filled(other).is_none_or(|other| other == face),
                PartColour::SameAsMat => face == self.mat,
            })
    }

    /// Whether the last part can be cut beside everything else that its stock must give.
    fn can_be_cut(&mut self) -> Cuttable {
        let index = self.supply.index();
        let Some((face, _)) = self.parts.last().copied() else { return Cuttable::Yes(Vec::new()) };
        let group = index.face(face).supply;
        let copies = self.supply.copies();
        let mut wanted: Vec<Wanted> = Vec::new();
        for (slot, face) in self.faces.iter().enumerate().filter(|(_, face)| index.face(**face).supply == group) {
            for (place, need) in self.network.slots[slot].needs.iter().enumerate() {
                let purpose = Purpose { slot, need: place };
                let mut further = copies;
                if place == self.network.slots[slot].main_need() {
                    wanted.push(Wanted {
                        purpose,
                        need: *need,
                        face: *face,
                        count: 1,
                        on: vec![self.choice.main[slot]],
                    });
                    further -= 1;
                }
                if further > 0 {
                    let on = eligible(index, need, *face);
                    wanted.push(Wanted { purpose, need: *need, face: *face, count: further, on });
                }
            }
        }
        for (place, (face, stock)) in self.parts.iter().enumerate() {
            if index.face(*face).supply != group {
                continue;
            }
            let purpose = Purpose { slot: usize::MAX, need: place };
            let need = need(&self.image.parts[place]);
            wanted.push(Wanted { purpose, need, face: *face, count: 1, on: vec![*stock] });
            if copies > 1 {
                let on = eligible(index, &need, *face);
                wanted.push(Wanted { purpose, need, face: *face, count: copies - 1, on });
            }
        }
        self.supply.can_cut(&wanted)
    }
}

fn need(part: &ImagePart) -> PieceNeed {
    PieceNeed::Cut(part.size)
}

/// Whether the first colour is a lighter shade of the second.
fn is_shade(lighter: Colour, darker: Colour) -> bool {
    let chroma = |colour: Colour| colour.a.hypot(colour.b);
    let hue = |colour: Colour| colour.b.atan2(colour.a).to_degrees();
    let apart = (hue(lighter) - hue(darker)).rem_euclid(360.0);
    let near = apart.min(360.0 - apart) <= SHADE_HUE.0;
    let no_hue = chroma(lighter) < SHADE_HUE.1 || chroma(darker) < SHADE_HUE.1;
    lighter.l - darker.l >= SHADE && (near || no_hue)
}

//! The stash's files and the ledger together: a stash as read in; what the ledger may know of it out,
//! and the same stash as it is now, with what was cut taken off and what was left over put in.

use super::{Colours, Copies, Date, Line, LineKind, Paper, PaperId, PatternEntry, Stash};
use crate::ledger::{Base, BaseLine, FILE, Held, Kind, NewPaper, OnHand};
use crate::problem::{Fault, Outcome, Place, Problem};
use api::{Finish, Material, Share, Swatch};
use std::collections::BTreeMap;

/// Every line and image of the files, as the ledger knows them.
#[must_use]
pub fn base(stash: &Stash) -> Base {
    let lines = stash.lines.iter().map(|line| {
        let paper = |id: PaperId| stash.paper(id).id.clone();
        let kind = match line.kind {
            LineKind::Sheet => Kind::Sheet,
            LineKind::Scrap => Kind::Scrap,
            LineKind::CardBase => Kind::CardBase,
        };
        let (width, height) = (line.width, line.height);
        let mut base = BaseLine {
            print: String::new(),
            kind,
            paper: paper(line.front),
            back: line.back.map(paper),
            width,
            height,
            count: Some(line.count),
            added: line.added.map(|day| day.to_string()),
        };
        base.print = print(&base);
        (line.id.clone(), base)
    });
    let images = stash.images.iter().map(|image| {
        let count = match image.copies {
            Copies::Exactly(count) => Some(count),
            Copies::Plenty => None,
        };
        let mut base = BaseLine {
            print: String::new(),
            kind: Kind::Image,
            paper: image.id.clone(),
            back: None,
            width: image.size.width,
            height: image.size.height,
            count,
            added: None,
        };
        base.print = print(&base);
        (image.id.clone(), base)
    });
    let dots = stash.dots.iter().map(|dots| {
        let mut base = BaseLine {
            print: String::new(),
            kind: Kind::Dots,
            paper: dots.id.clone(),
            back: None,
            width: dots.diameter,
            height: dots.diameter,
            count: Some(dots.count),
            added: None,
        };
        base.print = print(&base);
        (dots.id.clone(), base)
    });
    // Papers come first: an image that has the id of a line is not counted.
    dots.chain(images).chain(lines).collect()
}

/// Every paper by its id, with the paper on its other side, where some line has both.
#[must_use]
pub fn paper_backs(stash: &Stash) -> Vec<(String, Option<String>)> {
    let mut backs: BTreeMap<PaperId, PaperId> = BTreeMap::new();
    for line in &stash.lines {
        if let Some(back) = line.back {
            backs.entry(line.front).or_insert(back);
        }
    }
    let back = |paper: PaperId| backs.get(&paper).map(|back| stash.paper(*back).id.clone());
    stash.papers_by_id().map(|(place, paper)| (paper.id.clone(), back(place))).collect()
}

/// A fingerprint of what counts in a line: kind, papers, size, count (FNV-1a, 64 bits).
fn print(line: &BaseLine) -> String {
    let text = format!(
        "{}\n{}\n{}\n{}\n{}\n{:?}",
        line.kind.word(),
        line.paper,
        line.back.as_deref().unwrap_or_default(),
        line.width.nanometres(),
        line.height.nanometres(),
        line.count,
    );
    format!("{:016x}", fnv(text.as_bytes()))
}

fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |sum, byte| (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

/// A name for a stash that has no ledger yet, from what its files hold. A ledger keeps the one with
/// which it began.
#[must_use]
pub fn fingerprint(base: &Base) -> String {
    let mut text = String::new();
    for (id, line) in base {
        text.push_str(id);
        text.push('\n');
        text.push_str(&line.print);
        text.push('\n');
    }
    format!("{:016x}", fnv(text.as_bytes()))
}

/// Brings a stash to what is on hand, and tells what the ledger and the files do not agree on.
pub fn bring_up_to(stash: &mut Stash, now: &OnHand) -> Vec<Problem> {
    let mut problems = Vec::new();
    let note = |fault| Problem::new(Place::whole(FILE), fault);
    for (id, counted) in &now.recount {
        let count = now.lines.get(id).and_then(|line| line.count).unwrap_or(0);
        problems.push(note(Fault::RecountWanted { id: id.clone(), now: count, counted: *counted }));
    }
    let whole = stash.clone_of_lines();
    stash.lines.retain_mut(|line| match now.lines.get(&line.id) {
        Some(held) => {
            line.count = held.count.unwrap_or(line.count);
            true
        }
        None => false,
    });
    for image in &mut stash.images {
        if let (Copies::Exactly(count), Some(held)) = (&mut image.copies, now.lines.get(&image.id)) {
            *count = held.count.unwrap_or(*count);
        }
    }
    for dots in &mut stash.dots {
        if let Some(held) = now.lines.get(&dots.id).filter(|held| held.kind == Kind::Dots) {
            dots.count = held.count.unwrap_or(dots.count);
        }
    }
    for paper in &now.papers {
        if stash.paper_called(&paper.id).is_none() {
            stash.papers.push(new_paper(paper));
        }
    }
    let papers: BTreeMap<String, PaperId> =
        stash.papers_by_id().map(|(place, paper)| (paper.id.clone(), place)).collect();
    let mut new: Vec<Line> = Vec::new();
    for (id, held) in now.lines.iter().filter(|(_, held)| held.from.is_some()) {
        match papers.get(&held.paper) {
            Some(front) => new.push(new_line(id, held, *front, &papers, &whole, now)),
            None => problems.push(
                note(Fault::PaperOfPieceGone { id: id.clone(), paper: held.paper.clone() })
                    .with(Outcome::LeftOut("this piece".into())),
            ),
        }
    }
    stash.lines.extend(new);
    stash.finished = now.cards.values().filter(|cards| cards.count > 0).cloned().collect();
    problems
}

/// What a paper bought since is: plain, of one colour.
fn new_paper(paper: &NewPaper) -> Paper {
    let colour = super::file::colour_of(&paper.colour);
    let swatch = colour.map(|colour| Swatch { colour, share: Share::ONE });
    Paper {
        id: paper.id.clone(),
        name: paper.name.clone(),
        material: material(&paper.material),
        finish: Finish::Smooth,
        colours: Colours::Entered(swatch.into_iter().collect()),
        pattern: PatternEntry::default(),
        picture: None,
        picture_of: None,
        pad: None,
    }
}

/// A material by its word; cardstock where there is no such word.
#[must_use]
pub fn material(word: &str) -> Material {
    match word {
        "patterned" => Material::Patterned,
        "vellum" => Material::Vellum,
        "glitter" => Material::Glitter,
        "kraft" => Material::Kraft,
        _ => Material::Cardstock,
    }
}

/// A line of the ledger's own: fibres, weight and thickness are those of the sheet it was cut from,
/// or else of any sheet of that paper.
fn new_line(
    id: &str,
    held: &Held,
    front: PaperId,
    papers: &BTreeMap<String, PaperId>,
    lines: &BTreeMap<String, Line>,
    now: &OnHand,
) -> Line {
    let back = held.back.as_ref().and_then(|back| papers.get(back)).copied();
    // Up to the line of the files it was cut from first; a leftover is younger than its parent.
    let mut parent = held.from.as_ref().and_then(|(_, _, parent)| parent.clone());
    let mut steps = now.lines.len();
    while let Some(above) = parent.as_ref().and_then(|id| now.lines.get(id)).and_then(|line| line.from.as_ref()) {
        parent.clone_from(&above.2);
        steps = steps.saturating_sub(1);
        if steps == 0 {
            break;
        }
    }
    let like = parent
        .and_then(|id| lines.get(&id))
        .or_else(|| lines.values().find(|line| line.front == front && line.back == back));
    Line {
        id: id.to_owned(),
        kind: match held.kind {
            Kind::Sheet => LineKind::Sheet,
            Kind::CardBase => LineKind::CardBase,
            Kind::Scrap | Kind::Image | Kind::Dots => LineKind::Scrap,
        },
        front,
        back,
        width: held.width,
        height: held.height,
        count: held.count.unwrap_or(0),
        added: held.from.as_ref().and_then(|(_, day, _)| Date::parse(day)),
        grain: like.and_then(|line| line.grain),
        grams_per_square_metre: like.and_then(|line| line.grams_per_square_metre),
        thickness: like.and_then(|line| line.thickness),
        assumed: Vec::new(),
    }
}

impl Stash {
    fn clone_of_lines(&self) -> BTreeMap<String, Line> {
        self.lines.iter().map(|line| (line.id.clone(), line.clone())).collect()
    }
}

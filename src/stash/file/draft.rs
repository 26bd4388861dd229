//! The stash as far as it has been read: files in, one after the other, and at the end, when all
//! papers are known, the names that scraps and sheets use for them.

use super::reader::{Origin, Reader};
use super::register::{Prefixes, Register};
use crate::problem::{Fault, Named, Outcome, Problem};
use crate::stash::{Line, Paper, PaperId, Stash};
use std::collections::{BTreeMap, BTreeSet};

/// A stash being read.
pub(super) struct Draft<'r> {
    /// The run.
    pub(super) reader: &'r Reader<'r>,
    /// What has been read.
    pub(super) stash: Stash,
    /// Ids of pads, papers and lines.
    pub(super) stock: Register,
    /// Ids of dies.
    pub(super) dies: Register,
    /// Ids of sentiments.
    pub(super) sentiments: Register,
    /// Ids of inks.
    pub(super) inks: Register,
    /// Ids of images.
    pub(super) images: Register,
    /// Ids of layouts.
    pub(super) layouts: Register,
    /// What ids made from file names begin with.
    pub(super) prefixes: Prefixes,
    papers: BTreeMap<String, PaperId>,
    /// What is the same of every piece of a paper, by its place among the papers.
    stuff: Vec<Stuff>,
    /// Lines in the order of the files, with the name of the paper where it is not known yet.
    lines: Vec<(Line, Option<Reference>)>,
    /// Where names were used that nothing has.
    told: BTreeSet<(usize, usize)>,
}

/// What every piece of a paper has.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stuff {
    /// What is on its other side.
    pub(super) back: Option<PaperId>,
    /// Its weight.
    pub(super) grams_per_square_metre: Option<u32>,
    /// Its thickness.
    pub(super) thickness: Option<api::units::Length>,
}

/// The name of a paper, and where it was used.
#[derive(Clone, Debug)]
pub(super) struct Reference {
    /// The name.
    pub(super) id: String,
    /// Where.
    pub(super) origin: Origin,
    /// What is left out where nothing has the name.
    pub(super) this: &'static str,
}

impl<'r> Draft<'r> {
    /// Nothing read yet.
    pub(super) fn new(reader: &'r Reader<'r>) -> Self {
        Self {
            reader,
            stash: Stash::default(),
            stock: Register::default(),
            dies: Register::default(),
            sentiments: Register::default(),
            inks: Register::default(),
            images: Register::default(),
            layouts: Register::default(),
            prefixes: Prefixes::default(),
            papers: BTreeMap::new(),
            stuff: Vec::new(),
            lines: Vec::new(),
            told: BTreeSet::new(),
        }
    }

    /// Takes a paper in.
    pub(super) fn add_paper(&mut self, paper: Paper, stuff: Stuff) -> PaperId {
        // Four thousand million papers would be over every size limit.
        let id = PaperId(u32::try_from(self.stash.papers.len()).unwrap_or(u32::MAX));
        self.papers.insert(paper.id.clone(), id);
        self.stash.papers.push(paper);
        self.stuff.push(stuff);
        id
    }

    /// Says what every piece of a paper has, once that is known.
    pub(super) fn set_stuff(&mut self, id: PaperId, stuff: Stuff) {
        self.stuff[id.0 as usize] = stuff;
    }

    /// Takes a line in whose paper is known.
    pub(super) fn add_line(&mut self, line: Line) {
        self.lines.push((line, None));
    }

    /// Takes a line in whose paper goes by a name.
    pub(super) fn add_line_of(&mut self, line: Line, paper: Reference) {
        self.lines.push((line, Some(paper)));
    }

    /// The stash, with every name of a paper looked up.
    pub(super) fn finish(mut self) -> Stash {
        for (line, reference) in std::mem::take(&mut self.lines) {
            let line = match reference {
                None => Some(line),
                Some(reference) => match self.papers.get(&reference.id) {
                    Some(&front) => Some(self.of_paper(line, front)),
                    None => {
                        self.tell_unknown(reference);
                        None
                    }
                },
            };
            self.stash.lines.extend(line);
        }
        self.stash
    }

    /// A line of a paper: what it does not say itself is as with the paper.
    fn of_paper(&self, line: Line, front: PaperId) -> Line {
        let stuff = self.stuff[front.0 as usize];
        Line {
            front,
            back: stuff.back,
            grams_per_square_metre: line.grams_per_square_metre.or(stuff.grams_per_square_metre),
            thickness: line.thickness.or(stuff.thickness),
            ..line
        }
    }

    fn tell_unknown(&mut self, reference: Reference) {
        let Reference { id, origin, this } = reference;
        // What stands at the top of a file is told once for all its pieces.
        if self.stock.is_broken(&id) || !self.told.insert((origin.source, origin.span.start)) {
            return;
        }
        let nearest = self.reader.nearest(&id, self.papers.keys().map(String::as_str));
        let fault = Fault::UnknownName { named: Named::Paper, name: id, nearest };
        let problem = || Problem::new(self.reader.place(&origin), fault).with(Outcome::LeftOut(this.into()));
        self.reader.tell(origin.source, problem);
    }
}

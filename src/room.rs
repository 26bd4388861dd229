//! The steps in a row: a folder in; the stash read, looked at, indexed, its layouts checked and the
//! jury seated out. Both faces open a room, ask it, and present what it answers.
//!
//! It holds no rule about paper: each line calls the step that knows.

mod asked;
mod batching;

pub use asked::{BatchChoices, Choices, NoBatch, UnknownId};

use crate::index::{self, FaceId, Index, StockId};
use crate::layout::Layout;
use crate::ledger::{self, Base, Book};
use crate::problem::{Fault, Place, Problem};
use crate::score::{self, Answer, Ask, Jury, Mats, NotSeated, Request, Scripts, Table, Trial, Wanted, Warm};
use crate::stash::{self, Date, ScorerSetting, Settings, Stash};
use crate::swatch::{self, Cache, Progress};
use api::units::{Length, Size};
use api::{Manifest, Scorer};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

/// How much more *use-up* weighs when scraps are to go first.
const SCRAPS_FIRST: f64 = 4.0;

/// A judge that was tried on two papers.
pub struct Tried {
    /// What it says of itself.
    pub manifest: Manifest,
    /// The paper.
    pub paper: FaceId,
    /// The cardstock.
    pub cardstock: FaceId,
    /// What came of it.
    pub trial: Trial,
}

/// The ledger beside the stash's files.
#[derive(Clone, Debug, Default)]
pub struct Records {
    /// The lines of the files, before the ledger is taken into account.
    pub base: Base,
    /// The ledger; empty where there is none, or it cannot be read.
    pub book: Book,
    /// Why it cannot be read.
    pub trouble: Option<ledger::Trouble>,
}

impl Records {
    /// Which stash this is: what its ledger says, or a fingerprint of its files where it has none.
    #[must_use]
    pub fn stash_id(&self) -> String {
        if self.book.stash.is_empty() { stash::fingerprint(&self.base) } else { self.book.stash.clone() }
    }
}

/// A stash, ready to be asked.
pub struct Room {
    /// The stash, with every paper's colours known.
    pub stash: Stash,
    /// The day ages are counted to.
    pub today: Date,
    /// All that is wrong with it.
    pub problems: Vec<Problem>,
    /// Layouts that can be used, in the order of their ids.
    pub layouts: Vec<Layout>,
    /// Whether the layouts are the built-in ones, since the stash has none.
    pub built_in_layouts: bool,
    /// What is on hand.
    pub index: Arc<Index>,
    /// Who judges.
    pub jury: Arc<Jury>,
    /// The maker's own scripts.
    pub scripts: Arc<Scripts>,
    /// Scorers that are not asked, and why.
    pub not_seated: Vec<NotSeated>,
    /// What the ledger says, and the files without it.
    pub records: Records,
    /// What is kept from one question about this index by this jury to the next.
    warm: Arc<Warm>,
    /// The same for the jury that puts scraps first.
    warm_for_scraps: Arc<Warm>,
}

impl Room {
    /// Opens a folder: reads it, looks at its pictures, indexes what is on hand.
    #[must_use]
    pub fn open(folder: &Path, today: Date, cache: &Cache, progress: Progress<'_>) -> Self {
        Self::open_on(folder, today, None, cache, progress)
    }

    /// As [`Room::open`], with what was on hand at the end of a day, if one is given.
    #[must_use]
    pub fn open_on(folder: &Path, today: Date, until: Option<Date>, cache: &Cache, progress: Progress<'_>) -> Self {
        let stash::Reading { mut stash, mut problems } = stash::read(folder, Some(today));
        let records = read_records(&stash, folder, &mut problems);
        let until = until.map(|day| day.to_string());
        let now = ledger::on_hand(&records.base, &records.book, until.as_deref());
        problems.extend(stash::bring_up_to(&mut stash, &now));
        let built_in_layouts = stash.layouts.is_empty();
        if built_in_layouts {
            stash.layouts = stash::built_in_layouts();
        }
        problems.extend(swatch::measure(&mut stash, cache, progress));
        let (layouts, wrong) = score::checked(&stash);
        problems.extend(wrong);
        let index = index::build(&stash, today);
        let (scripts, wrong) = Scripts::read(&stash.folder, &stash.settings, today);
        let scorers = all_scorers(&stash, &scripts);
        problems.extend(score::settings_in_vain(&stash.settings, &scorers, wrong.is_empty()));
        problems.extend(wrong);
        crate::problem::sort(&mut problems);
        let (jury, not_seated) = Jury::seat(scorers, &stash.settings);
        let (index, jury, scripts, warm) = (Arc::new(index), Arc::new(jury), Arc::new(scripts), Arc::default());
        let warm_for_scraps = Arc::default();
        Self {
            stash,
            today,
            problems,
            layouts,
            built_in_layouts,
            index,
            jury,
            scripts,
            not_seated,
            records,
            warm,
            warm_for_scraps,
        }
    }

    /// All who could judge, asked or not, in the order of their names.
    #[must_use]
    pub fn scorers(&self) -> Vec<Box<dyn Scorer>> {
        let mut all = all_scorers(&self.stash, &self.scripts);
        all.sort_by(|one, other| one.manifest().name.cmp(&other.manifest().name));
        all
    }

    /// The same room once more, to be arranged otherwise. What has been worked out between questions is shared
    /// as long as index and jury stay as they are, and so is what stopped a script: it is left out of both.
    #[must_use]
    pub fn again(&self) -> Self {
        Self {
            scripts: Arc::clone(&self.scripts),
            stash: self.stash.clone(),
            today: self.today,
            problems: self.problems.clone(),
            layouts: self.layouts.clone(),
            built_in_layouts: self.built_in_layouts,
            index: Arc::clone(&self.index),
            jury: Arc::clone(&self.jury),
            not_seated: self.not_seated.clone(),
            records: self.records.clone(),
            warm: Arc::clone(&self.warm),
            warm_for_scraps: Arc::clone(&self.warm_for_scraps),
        }
    }

    /// The same room with what an earlier one worked out, as far as it still holds: what judges think of papers,
    /// where papers, judges, settings and the day are as they were.
    #[must_use]
    pub fn taking_over(mut self, earlier: &Self) -> Self {
        let (faces, were) = (&self.index.faces, &earlier.index.faces);
        let same_faces = faces.len() == were.len()
            && faces.iter().zip(were).all(|(face, was)| face.id == was.id && face.view == was.view);
        let holds = self.today == earlier.today
            && self.stash.settings == earlier.stash.settings
            && self.stash.inks == earlier.stash.inks
            && self.scripts.read_as(&earlier.scripts)
            && same_faces;
        if holds {
            (self.scripts, self.jury) = (Arc::clone(&earlier.scripts), Arc::clone(&earlier.jury));
            self.keep_rows(&earlier.warm, &earlier.warm_for_scraps);
        }
        self
    }

    /// Begins with what judges think of pairs, found for the same papers and judges with other stock.
    fn keep_rows(&mut self, warm: &Warm, for_scraps: &Warm) {
        self.warm = Arc::new(warm.for_other_stock());
        self.warm_for_scraps = Arc::new(for_scraps.for_other_stock());
    }

    /// What everything is looked up in.
    #[must_use]
    pub fn table(&self) -> Table<'_> {
        Table {
            index: &self.index,
            layouts: &self.layouts,
            settings: &self.stash.settings,
            dies: &self.stash.dies,
            images: &self.stash.images,
            dots: &self.stash.dots,
            jury: &self.jury,
        }
    }

    /// The room as it is for these choices: without what is left out, with the weights they ask for.
    ///
    /// # Errors
    /// Every id that names nothing here.
    pub fn arranged(self, choices: &Choices) -> Result<(Self, Ask), Vec<UnknownId>> {
        let mut room = self;
        let unknown: Vec<UnknownId> = choices
            .must_use
            .iter()
            .filter(|id| !room.knows(id))
            // Finishing dots can be left out, and never must be used.
            .chain(choices.leave_out.iter().filter(|id| !room.knows(id) && !room.has_dots(id)))
            .map(|id| room.unknown(id))
            .chain(
                choices.layouts.iter().filter(|id| !room.layouts.iter().any(|l| l.id == **id)).map(|id| UnknownId {
                    id: id.clone(),
                    nearest: crate::problem::nearest(id, room.layouts.iter().map(|layout| layout.id.as_str()))
                        .map(str::to_owned),
                }),
            )
            .collect();
        if !unknown.is_empty() {
            return Err(unknown);
        }
        if !choices.leave_out.is_empty() {
            room.leave_out(&choices.leave_out);
        }
        if !choices.layouts.is_empty() {
            room.layouts.retain(|layout| choices.layouts.contains(&layout.id));
        }
        if choices.scraps_first {
            room.put_scraps_first();
        }
        room.make_cards_of(&choices.cards);
        let ask = room.ask(choices);
        Ok((room, ask))
    }

    /// Finds the best cards. A script that fails on the way is left out, and the question asked anew
    /// without it; [`Scripts::failures`] then says what happened.
    #[must_use]
    pub fn suggest(&self, ask: &Ask) -> Answer {
        self.suggest_telling(ask, &|_| ())
    }

    /// As [`Room::suggest`], and tells now and then how much work is done.
    #[must_use]
    pub fn suggest_telling(&self, ask: &Ask, told: &dyn Fn(u64)) -> Answer {
        self.by_sound_jury(
            || score::suggest_with(self.table(), ask, &self.warm, told),
            |jury| score::suggest(Table { jury, ..self.table() }, ask),
        )
    }

    /// An answer for which no script was asked that has failed by the end of it.
    fn by_sound_jury<T>(&self, seated: impl Fn() -> T, other: impl Fn(&Jury) -> T) -> T {
        self.scripts.prepare(&self.index);
        loop {
            let failed = self.scripts.failed();
            let answer = if self.jury.members.iter().any(|member| failed.contains(member.name())) {
                other(&Jury::seat(all_scorers(&self.stash, &self.scripts), &self.stash.settings).0)
            } else {
                seated()
            };
            // Each round leaves at least one more out, so it ends.
            if self.scripts.failed() == failed {
                return answer;
            }
        }
    }

    /// Ranks mats for a paper, which is looked up by its id: one, or two where `outer` is wanted; behind
    /// it alone, or between it and the paper `beneath`.
    ///
    /// # Errors
    /// Every id that no paper has.
    pub fn mats_for(&self, paper: &str, beneath: Option<&str>, outer: bool) -> Result<(Wanted, Mats), Vec<UnknownId>> {
        let found = |id: &str| self.one_face(id).ok_or_else(|| self.unknown_face(id));
        let (paper, beneath) = match (found(paper), beneath.map(found).transpose()) {
            (Ok(paper), Ok(beneath)) => (paper, beneath),
            (one, other) => return Err(one.err().into_iter().chain(other.err()).collect()),
        };
        let wanted = Wanted { paper, beneath, reveals: self.usual_reveals(outer) };
        let mats = |jury: &Jury| score::mats(&self.index, jury, wanted);
        Ok((wanted, self.by_sound_jury(|| mats(&self.jury), mats)))
    }

    /// The edges mats are judged at: the widest of hers up to 1/8 in, and for a second mat within it the
    /// narrowest. Common practice, no source.
    fn usual_reveals(&self, outer: bool) -> [Option<Length>; 2] {
        let hers = &self.stash.settings.reveals;
        let eighth = Length::from_nanometres(3_175_000);
        let common = hers.iter().filter(|reveal| **reveal <= eighth).max().or(hers.iter().min());
        let common = common.copied().unwrap_or(eighth);
        let narrow = hers.iter().min().copied().unwrap_or(common).min(common);
        if outer { [Some(narrow), Some(common)] } else { [Some(common), None] }
    }

    /// Asks the maker's scripts what a search can need, and adds what stopped any of them to the problems.
    pub fn ask_scripts(&mut self) {
        self.scripts.prepare(&self.index);
        self.problems.extend(self.scripts.failures());
        crate::problem::sort(&mut self.problems);
    }

    /// Tries one judge on a paper and a cardstock.
    ///
    /// # Errors
    /// Every id that names nothing here, and the name of a judge there is not, with the nearest there is.
    pub fn try_out(&self, judge: &str, paper: &str, cardstock: &str) -> Result<Tried, Vec<UnknownId>> {
        let scorers = self.scorers();
        let scorer = scorers.iter().find(|scorer| scorer.manifest().name == judge);
        let names = scorers.iter().map(|scorer| scorer.manifest().name.as_str());
        let unknown_judge =
            || UnknownId { id: judge.to_owned(), nearest: crate::problem::nearest(judge, names).map(str::to_owned) };
        let (one, other) = (self.one_face(paper), self.one_face(cardstock));
        let (Some(scorer), Some(one), Some(other)) = (scorer, one, other) else {
            let mut unknown: Vec<UnknownId> = scorer.is_none().then(unknown_judge).into_iter().collect();
            unknown.extend(one.is_none().then(|| self.unknown_face(paper)));
            unknown.extend(other.is_none().then(|| self.unknown_face(cardstock)));
            return Err(unknown);
        };
        let trial = score::try_out(scorer.as_ref(), self.scripts.get(judge), &self.index, one, other);
        Ok(Tried { manifest: scorer.manifest().clone(), paper: one, cardstock: other, trial })
    }

    /// The nearest id to one that names nothing.
    #[must_use]
    pub fn unknown(&self, id: &str) -> UnknownId {
        let pads = self.stash.papers.iter().filter_map(|paper| paper.pad.as_deref());
        let ids = self.index.faces.iter().map(|face| face.id.as_str());
        let stock = self.index.stock.iter().flat_map(|stock| stock.ids());
        let nearest = crate::problem::nearest(id, pads.chain(ids).chain(stock)).map(str::to_owned);
        UnknownId { id: id.to_owned(), nearest }
    }

    /// A face by its id, or the front of what is cut from a line of stock by that line's.
    fn one_face(&self, id: &str) -> Option<FaceId> {
        let of_line = || self.index.stock.iter().find(|stock| stock.ids().any(|one| one == id));
        self.index.find(id).or_else(|| of_line().map(|stock| stock.front))
    }

    /// That an id is no single paper; a pad's leads to the first of its papers.
    fn unknown_face(&self, id: &str) -> UnknownId {
        let of_pad = self.stash.papers.iter().find(|paper| paper.pad.as_deref() == Some(id));
        match of_pad {
            Some(paper) => UnknownId { id: id.to_owned(), nearest: Some(paper.id.clone()) },
            None => self.unknown(id),
        }
    }

    fn knows(&self, id: &str) -> bool {
        !self.faces_named(id).is_empty() || !self.stock_named(id).is_empty()
    }

    fn has_dots(&self, id: &str) -> bool {
        self.stash.dots.iter().any(|dots| dots.id == id)
    }

    /// A face by its id, or every face of a pad by the pad's.
    fn faces_named(&self, id: &str) -> BTreeSet<FaceId> {
        if let Some(face) = self.index.find(id) {
            return BTreeSet::from([face]);
        }
        let of_pad = self.stash.papers.iter().filter(|paper| paper.pad.as_deref() == Some(id));
        of_pad.filter_map(|paper| self.index.find(&paper.id)).collect()
    }

    fn stock_named(&self, id: &str) -> BTreeSet<StockId> {
        let places = self.index.stock.iter().zip(0..);
        places.filter(|(stock, _)| stock.ids().any(|one| one == id)).map(|(_, place)| StockId(place)).collect()
    }

    fn ask(&self, choices: &Choices) -> Ask {
        let mut ask = Ask::new(&self.stash.settings);
        for id in &choices.must_use {
            let faces = self.faces_named(id);
            if !faces.is_empty() {
                ask.must_show.push(Request { faces, ..Request::default() });
                continue;
            }
            // What is cut shows one of its faces: said too, since a search can look ahead for faces.
            let stock = self.stock_named(id);
            let shown = stock.iter().map(|stock| self.index.stock(*stock));
            let faces = shown.flat_map(|stock| [Some(stock.front), stock.back]).flatten().collect();
            ask.must_show.push(Request { faces, stock: stock.clone() });
            ask.must_use.push(stock);
        }
        ask.cards = (!choices.cards.is_empty()).then(|| choices.cards.clone());
        ask.copies = choices.copies.unwrap_or(1);
        ask.list = choices.list.unwrap_or(ask.list);
        ask.per_layout = choices.per_layout.or(ask.per_layout);
        ask.work = choices.work.unwrap_or_else(|| score::usual_work(&self.index));
        ask
    }

    fn leave_out(&mut self, ids: &[String]) {
        let out: BTreeSet<&str> = ids.iter().map(String::as_str).collect();
        let papers: Vec<bool> = self
            .stash
            .papers
            .iter()
            .map(|paper| out.contains(paper.id.as_str()) || paper.pad.as_deref().is_some_and(|pad| out.contains(pad)))
            .collect();
        let shows = |paper: stash::PaperId| !papers[paper.0 as usize];
        self.stash.lines.retain(|line| !out.contains(line.id.as_str()));
        for line in &mut self.stash.lines {
            line.back = line.back.filter(|back| shows(*back));
            if let (false, Some(back)) = (shows(line.front), line.back) {
                (line.front, line.back) = (back, None);
            }
        }
        self.stash.lines.retain(|line| shows(line.front));
        self.stash.images.retain(|image| !out.contains(image.id.as_str()));
        self.stash.dots.retain(|dots| !out.contains(dots.id.as_str()));
        let index = index::build(&self.stash, self.today);
        // Papers stay, though nothing of them may be left; images do not.
        let same_faces = index.faces.iter().map(|face| &face.id).eq(self.index.faces.iter().map(|face| &face.id));
        self.index = Arc::new(index);
        if same_faces {
            let (warm, for_scraps) = (Arc::clone(&self.warm), Arc::clone(&self.warm_for_scraps));
            self.keep_rows(&warm, &for_scraps);
        } else {
            (self.warm, self.warm_for_scraps) = (Arc::default(), Arc::default());
        }
    }

    /// Sizes asked for are sizes to which layouts may be carried.
    fn make_cards_of(&mut self, sizes: &[Size]) {
        let cards = &mut self.stash.settings.cards;
        for size in sizes {
            if !cards.contains(size) && !cards.contains(&size.turned()) {
                cards.push(*size);
            }
        }
    }

    fn put_scraps_first(&mut self) {
        let settings: &mut Settings = &mut self.stash.settings;
        let usual: BTreeMap<String, f64> = score::scorers(settings, &[])
            .iter()
            .map(|scorer| (scorer.manifest().name.clone(), scorer.manifest().weight))
            .collect();
        let setting: &mut ScorerSetting = settings.scorers.entry("use-up".to_owned()).or_default();
        let weight = setting.weight.or(usual.get("use-up").copied()).unwrap_or(1.0).max(0.1);
        setting.weight = Some(weight * SCRAPS_FIRST);
        let scorers = all_scorers(&self.stash, &self.scripts);
        let (jury, not_seated) = Jury::seat(scorers, &self.stash.settings);
        (self.jury, self.not_seated) = (Arc::new(jury), not_seated);
        self.warm = Arc::clone(&self.warm_for_scraps);
    }
}

/// Everyone who judges: those that come with the program, and the maker's scripts that have not failed.
fn all_scorers(stash: &Stash, scripts: &Scripts) -> Vec<Box<dyn Scorer>> {
    let mut all = score::scorers(&stash.settings, &stash.inks);
    all.extend(scripts.scorers());
    all
}

/// Reads the ledger of a folder, and tells what is wrong with it.
fn read_records(stash: &Stash, folder: &Path, problems: &mut Vec<Problem>) -> Records {
    let mut records = Records { base: stash::base(stash), ..Records::default() };
    match ledger::read_folder(folder) {
        Ok(book) => records.book = book,
        Err(trouble) => {
            let fault = Fault::LedgerUnreadable { what: trouble.message(), remedy: trouble.remedy() };
            let mut place = Place::whole(ledger::FILE);
            if let Some(line) = trouble.line() {
                place.line = u32::try_from(line).unwrap_or(place.line);
            }
            problems.push(Problem::new(place, fault));
            records.trouble = Some(trouble);
        }
    }
    if records.book.is_torn() {
        problems.push(Problem::new(Place::whole(ledger::FILE), Fault::LedgerTorn));
    }
    records
}

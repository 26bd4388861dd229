//! The maker's own scorers: the `plugins` folder of a stash in, scripts ready to be asked out, and
//! everything that is wrong with the others.
//!
//! A script is asked beforehand about the papers a search can need, so that one that fails is known in
//! time and left out from the start; what is too much to ask beforehand is asked when it comes up, and a
//! script that fails then is left out and the question asked anew. Either way it counts wholly or not
//! at all.

use super::builtin::BUILTIN;
use crate::index::{Class, FaceId, Index};
use crate::problem::{Fault, Outcome, Place, Problem, Source};
use crate::stash::{Date, Settings};
use api::{Knobs, Scorer, Subject};
use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};
use swatchfold_scripted::{Month, ScriptLimits, ScriptManifest, ScriptProblem, Scripted, Term, Text, Tried};

/// The folder, in a stash.
const FOLDER: &str = "plugins";
/// So many files of it are looked at.
const MOST_FILES: usize = 1_000;
/// So many scripts are taken.
const MOST_SCRIPTS: usize = 50;
/// So many questions are asked of one script beforehand: about a second of them.
const MOST_ASKED: usize = 200_000;

/// A script with its texts, for whoever tells what is wrong with it.
pub struct Script {
    scripted: Arc<Scripted>,
    manifest: Source,
    text: Source,
    prepared: OnceLock<()>,
}

/// The scripts of a stash, in the order of their names.
#[derive(Default)]
pub struct Scripts {
    scripts: Vec<Script>,
}

/// A script as a member of the jury.
struct Shared(Arc<Scripted>);

impl Scripts {
    /// Reads the folder.
    #[must_use]
    pub fn read(stash: &Path, settings: &Settings, today: Date) -> (Self, Vec<Problem>) {
        let (mut scripts, mut problems) = (Self::default(), Vec::new());
        let mut names: BTreeSet<String> = BUILTIN.iter().map(|(name, _)| (*name).to_owned()).collect();
        for file in manifests(stash, &mut problems) {
            match script(stash, &file, settings, today, &mut names) {
                Ok(Some(script)) if scripts.scripts.len() < MOST_SCRIPTS => scripts.scripts.push(script),
                Ok(Some(_)) => {
                    let what = format!("there are more than {MOST_SCRIPTS} scripts");
                    let fault = Fault::Script { what, remedy: "move those you do not need elsewhere".to_owned() };
                    problems.push(left_out(Place::whole(file), fault));
                }
                Ok(None) => {}
                Err(found) => problems.extend(found),
            }
        }
        scripts.scripts.sort_by(|one, other| one.name().cmp(other.name()));
        (scripts, problems)
    }

    /// Every script that has not failed, as a scorer.
    #[must_use]
    pub fn scorers(&self) -> Vec<Box<dyn Scorer>> {
        let sound = self.scripts.iter().filter(|script| script.scripted.failure().is_none());
        sound.map(|script| Box::new(Shared(Arc::clone(&script.scripted))) as Box<dyn Scorer>).collect()
    }

    /// The names of all scripts that have failed.
    #[must_use]
    pub fn failed(&self) -> BTreeSet<&str> {
        self.scripts.iter().filter(|script| script.scripted.failure().is_some()).map(Script::name).collect()
    }

    /// What stopped those that have failed, each where it happened.
    #[must_use]
    pub fn failures(&self) -> Vec<Problem> {
        let failures = self.scripts.iter().filter_map(|script| Some(script.problem(script.scripted.failure()?)));
        failures.collect()
    }

    /// Whether these are the same scripts, word for word.
    #[must_use]
    pub fn read_as(&self, other: &Self) -> bool {
        let texts = |script: &'_ Script| [script.manifest.text.clone(), script.text.text.clone()];
        self.scripts.iter().map(texts).eq(other.scripts.iter().map(texts))
    }

    /// A script by its name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Script> {
        self.scripts.iter().find(|script| script.name() == name)
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Script> {
        self.scripts.iter()
    }

    /// Asks each script, once, about the papers that a search can need.
    pub fn prepare(&self, index: &Index) {
        for script in &self.scripts {
            script.prepared.get_or_init(|| {
                // What stopped it stays with it.
                let _ = script.scripted.prepare(subjects(&script.scripted, index).take(MOST_ASKED));
            });
        }
    }
}

impl Script {
    /// Its name in the settings.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.scripted.manifest().name
    }

    /// Its manifest's file, from the stash folder.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.manifest.file
    }

    /// Asks it one thing anew.
    ///
    /// # Errors
    /// What stopped it, at its place in the script.
    pub fn try_out(&self, subject: &Subject<'_>) -> Result<Tried, Box<Problem>> {
        self.scripted.try_out(subject).map_err(|problem| Box::new(self.problem(&problem)))
    }

    fn problem(&self, problem: &ScriptProblem) -> Problem {
        told(problem, &self.manifest, &self.text)
    }
}

/// What is wrong, at its place in one of two texts.
fn told(problem: &ScriptProblem, manifest: &Source, text: &Source) -> Problem {
    let source = match problem.text {
        Text::Manifest => manifest,
        Text::Script => text,
    };
    let fault = Fault::Script { what: problem.what.clone(), remedy: problem.remedy.clone() };
    left_out(place(source, problem.line, problem.column), fault)
}

fn left_out(place: Place, fault: Fault) -> Problem {
    Problem::new(place, fault).with(Outcome::LeftOut("this script".to_owned()))
}

/// A place by its line and column, both from 1.
fn place(source: &Source, line: usize, column: usize) -> Place {
    if line == 0 {
        return Place::whole(source.file.clone());
    }
    let starts = source.text.split_inclusive('\n').take(line - 1).map(str::len).sum::<usize>();
    let on_line = source.text[starts..].lines().next().unwrap_or_default();
    let at = on_line.char_indices().nth(column.saturating_sub(1)).map_or(on_line.len(), |(at, _)| at);
    let word = |letter: char| letter.is_alphanumeric() || letter == '_';
    let length = on_line[at..].find(|letter| !word(letter)).unwrap_or(on_line.len() - at).max(1);
    source.place(starts + at..(starts + at + length).min(starts + on_line.len()))
}

/// The TOML files of the folder, from the stash folder, in order. Links are not followed.
fn manifests(stash: &Path, problems: &mut Vec<Problem>) -> Vec<PathBuf> {
    let folder = stash.join(FOLDER);
    let is_real = folder.symlink_metadata().is_ok_and(|about| about.is_dir());
    let entries = if is_real { fs::read_dir(&folder) } else { return Vec::new() };
    let entries = match entries {
        Ok(entries) => entries,
        Err(error) => {
            let why = crate::stash::file::in_words(&error);
            problems.push(Problem::new(Place::whole(FOLDER), Fault::FolderUnreadable { why }));
            return Vec::new();
        }
    };
    let mut files: Vec<PathBuf> = entries
        .take(MOST_FILES)
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()))
        .map(|entry| Path::new(FOLDER).join(entry.file_name()))
        .filter(|file| file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml")))
        .collect();
    files.sort();
    files
}

/// A text no longer than a script may be, and one byte more that shows it is.
fn read(stash: &Path, file: &Path) -> Result<Source, Box<Problem>> {
    let failed = |why: String| Box::new(left_out(Place::whole(file), Fault::FileUnreadable { why }));
    let path = stash.join(file);
    if !path.symlink_metadata().is_ok_and(|about| about.is_file()) {
        return Err(failed("there is no such file, or it is a link, which is not followed".to_owned()));
    }
    let opened = fs::File::open(path).map_err(|error| failed(crate::stash::file::in_words(&error)))?;
    let most = u64::try_from(ScriptLimits::USUAL.script_bytes).unwrap_or(u64::MAX);
    let mut bytes = Vec::new();
    opened.take(most + 1).read_to_end(&mut bytes).map_err(|error| failed(crate::stash::file::in_words(&error)))?;
    let text = String::from_utf8_lossy(&bytes);
    if let std::borrow::Cow::Owned(_) = text
        && bytes.len() as u64 <= most
    {
        return Err(Box::new(left_out(Place::whole(file), Fault::NotText)));
    }
    Ok(Source::new(file, text))
}

/// A script by its manifest; `None` where the file says it is something else.
fn script(
    stash: &Path,
    file: &Path,
    settings: &Settings,
    today: Date,
    names: &mut BTreeSet<String>,
) -> Result<Option<Script>, Vec<Problem>> {
    let limits = ScriptLimits::USUAL;
    let source = read(stash, file).map_err(|problem| vec![*problem])?;
    let nothing = Source::new(file, "");
    let all = |problems: Vec<ScriptProblem>, text: &Source| -> Vec<Problem> {
        problems.iter().map(|problem| told(problem, &source, text)).collect()
    };
    let manifest = ScriptManifest::read(&source.text, &limits).map_err(|problems| all(problems, &nothing))?;
    let name = manifest.manifest.name.clone();
    if !names.insert(name.clone()) {
        let what = format!("there is a judge called `{name}` already");
        let at = source.text.find("name").unwrap_or(0);
        let fault = Fault::Script { what, remedy: "give this one another name".to_owned() };
        return Err(vec![left_out(source.place(at..at + 4), fault)]);
    }
    let text = read(stash, &file.with_file_name(&manifest.script)).map_err(|problem| vec![*problem])?;
    let knobs = settings.scorers.get(&name).map_or_else(Knobs::default, |setting| setting.knobs.clone());
    let month = u8::try_from(today.ymd().1).ok().and_then(Month::new).expect("every day has a month from 1 to 12");
    let scripted =
        Scripted::new(manifest, &text.text, &limits, &knobs, month).map_err(|problems| all(problems, &text))?;
    Ok(Some(Script { scripted: Arc::new(scripted), manifest: source, text, prepared: OnceLock::new() }))
}

/// All that a search can ask about pairs and roles. Pieces and cards depend on sizes and on one another:
/// they are asked about when they come up.
fn subjects<'a>(scripted: &'a Scripted, index: &'a Index) -> impl Iterator<Item = Subject<'a>> {
    let view = |face: FaceId| &index.face(face).view;
    let faces = || (0..).map(FaceId).take(index.faces.len());
    let of = |class: Class| index.class(class).iter().copied();
    let has = |term: Term| scripted.terms().contains(&term);
    let mats = faces().flat_map(move |panel| {
        of(Class::Plain).map(move |mat| Subject::MatBehind { panel: view(panel), mat: view(mat) })
    });
    let touching = faces()
        .flat_map(move |upper| faces().map(move |lower| Subject::Touching { upper: view(upper), lower: view(lower) }));
    let together = of(Class::Patterned).flat_map(move |one| {
        let others = of(Class::Patterned).filter(move |other| *other > one);
        others.map(move |other| Subject::SameCard(view(one), view(other)))
    });
    let roles = faces().flat_map(move |face| {
        super::tables::ROLES.into_iter().map(move |role| Subject::InRole { paper: view(face), role })
    });
    let mats = has(Term::MatBehind).then_some(mats).into_iter().flatten();
    let touching = has(Term::Touching).then_some(touching).into_iter().flatten();
    let together = has(Term::SameCard).then_some(together).into_iter().flatten();
    mats.chain(touching).chain(together).chain(has(Term::InRole).then_some(roles).into_iter().flatten())
}

impl Scorer for Shared {
    fn manifest(&self) -> &api::Manifest {
        self.0.manifest()
    }
    fn piece(&self, piece: &api::PieceView<'_>) -> Option<api::Worth> {
        self.0.piece(piece)
    }
    fn in_role(&self, paper: &api::PaperView, role: api::Role) -> Option<api::Worth> {
        self.0.in_role(paper, role)
    }
    fn mat_behind(&self, panel: &api::PaperView, mat: &api::PaperView) -> Option<api::Worth> {
        self.0.mat_behind(panel, mat)
    }
    fn touching(&self, upper: &api::PaperView, lower: &api::PaperView) -> Option<api::Worth> {
        self.0.touching(upper, lower)
    }
    fn same_card(&self, one: &api::PaperView, other: &api::PaperView) -> Option<api::Worth> {
        self.0.same_card(one, other)
    }
    fn card(&self, card: &api::CardView<'_>) -> Option<api::Worth> {
        self.0.card(card)
    }
    fn card_took(&self) -> u64 {
        self.0.card_took()
    }
    fn has_failed(&self) -> bool {
        self.0.has_failed()
    }
    fn why(&self, subject: &Subject<'_>) -> String {
        self.0.why(subject)
    }
}

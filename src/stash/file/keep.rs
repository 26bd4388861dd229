//! Writes what a picture shows into the file that names the picture, and nothing else of it: a stash
//! folder, a picture and what was seen in; the file with its remarks and order kept, and what changed, out.
//!
//! Colours are written over whatever colours stand there, since that is what was asked. Of the pattern
//! only what nobody wrote is filled in; what was filled in so is marked `# measured` and may be filled
//! in anew. Colours that are only an estimate, for want of white in the picture, are marked
//! `# estimate`. A file that cannot be read as it stands is left alone.

use super::pictures::inside;
use super::walk::{in_words, walk};
use super::{Limits, keys::Kind};
use crate::problem::{Fault, Place, Problem};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use toml_edit::{Array, DocumentMut, Item, Table, TableLike, Value};

/// What was seen in a picture, as it is to be written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// Colours, each as text such as `lab(42, 50, 35) 60%`.
    pub colours: Vec<String>,
    /// Whether they are only an estimate, as where no white was found to hold them against, and are marked as one.
    pub is_estimate: bool,
    /// The pattern's other keys with their values as TOML: `pattern`, `busyness`, `repeat`, `directional`.
    pub pattern: Vec<(&'static str, String)>,
}

/// One section that was written to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// The file, from the stash folder.
    pub file: PathBuf,
    /// What the section calls its thing: its id, or else its name, or else its picture.
    pub of: String,
    /// Keys of the pattern that stayed as she wrote them.
    pub hers: Vec<&'static str>,
}

/// The mark behind a value that was measured.
const MEASURED: &str = "measured";
/// The mark behind colours that are only an estimate.
const ESTIMATE: &str = "estimate";

impl Seen {
    const fn mark(&self) -> &'static str {
        if self.is_estimate { ESTIMATE } else { MEASURED }
    }
}

/// Whether what stands behind a value is a mark that was set here.
fn is_ours(remark: &str) -> bool {
    [MEASURED, ESTIMATE].contains(&remark.trim_start_matches([' ', '\t', '#']).trim_end())
}

/// Writes what was seen in `picture` into every section that names it.
///
/// # Errors
/// Where the picture lies outside the stash, no section names it, or a file cannot be written.
pub fn keep(folder: &Path, picture: &Path, seen: &Seen) -> Result<Vec<Kept>, Box<Problem>> {
    let outside = || Box::new(Problem::new(Place::whole(picture), Fault::PictureElsewhere));
    let root = folder.canonicalize().map_err(|_| Box::new(Problem::new(Place::whole(folder), Fault::NoFolder)))?;
    let real = picture.canonicalize().ok().filter(|real| real.starts_with(&root)).ok_or_else(outside)?;
    let mut edits = Vec::new();
    let mut left = Limits::USUAL.stash_bytes;
    for file in walk(folder, Limits::USUAL.entries).files {
        let path = folder.join(&file);
        let size = path.metadata().map_or(u64::MAX, |about| about.len());
        if size > Limits::USUAL.file_bytes.min(left) {
            continue;
        }
        left -= size;
        // What cannot be read is told by `check`; here it only cannot name the picture.
        let Ok(text) = fs::read_to_string(&path) else { continue };
        let names = |written: &str| {
            let found = inside(file.parent().unwrap_or(Path::new("")), written).ok();
            found.is_some_and(|found| root.join(found).canonicalize().is_ok_and(|found| found == real))
        };
        if let Some((text, kept)) = edited(&file, &text, &names, seen) {
            edits.push((path, text, kept));
        }
    }
    if edits.is_empty() {
        let inner = real.strip_prefix(&root).unwrap_or(&real).to_path_buf();
        let colours = seen.colours.iter().map(|colour| format!("{colour:?}")).collect::<Vec<_>>().join(", ");
        return Err(Box::new(Problem::new(Place::whole(inner), Fault::PictureUnused { colours })));
    }
    let mut all = Vec::new();
    for (path, text, kept) in edits {
        let file = kept.first().map_or_else(|| path.clone(), |kept| kept.file.clone());
        replace(&path, &text).map_err(|error| {
            Box::new(Problem::new(Place::whole(file), Fault::CannotWrite { why: in_words(&error) }))
        })?;
        all.extend(kept);
    }
    Ok(all)
}

/// The text of a file with what was seen in it; `None` where it names the picture nowhere.
fn edited(file: &Path, text: &str, names: &dyn Fn(&str) -> bool, seen: &Seen) -> Option<(String, Vec<Kept>)> {
    let (mark, bare) = text.strip_prefix('\u{feff}').map_or(("", text), |bare| ("\u{feff}", bare));
    let has_returns = bare.contains("\r\n");
    let mut document: DocumentMut = bare.parse().ok()?;
    let kind = document.get("kind").and_then(Item::as_str).unwrap_or_default().to_owned();
    let mut visit = Visit { file, names, seen, only_colours: kind == Kind::Images.word(), kept: Vec::new() };
    visit.table(document.as_table_mut());
    if visit.kept.is_empty() {
        return None;
    }
    let kept = visit.kept;
    let text = document.to_string();
    let text = if has_returns { text.replace("\r\n", "\n").replace('\n', "\r\n") } else { text };
    Some((format!("{mark}{text}"), kept))
}

/// One walk through a file.
struct Visit<'a> {
    file: &'a Path,
    names: &'a dyn Fn(&str) -> bool,
    seen: &'a Seen,
    /// Images have colours and no pattern.
    only_colours: bool,
    kept: Vec<Kept>,
}

impl Visit<'_> {
    fn table(&mut self, table: &mut Table) {
        self.section(table, false);
        for (_, item) in table.iter_mut() {
            self.item(item);
        }
    }

    fn item(&mut self, item: &mut Item) {
        match item {
            Item::Table(table) => self.table(table),
            Item::ArrayOfTables(tables) => tables.iter_mut().for_each(|table| self.table(table)),
            Item::Value(value) => self.value(value),
            Item::None => {}
        }
    }

    fn value(&mut self, value: &mut Value) {
        match value {
            Value::InlineTable(table) => {
                self.section(table, true);
                for (_, value) in table.iter_mut() {
                    self.value(value);
                }
            }
            Value::Array(list) => list.iter_mut().for_each(|value| self.value(value)),
            _ => {}
        }
    }

    /// Writes into a section if it names the picture.
    fn section(&mut self, table: &mut dyn TableLike, is_inline: bool) {
        let word = |key: &str| table.get(key).and_then(Item::as_str).map(str::to_owned);
        let Some(picture) = word("picture").filter(|written| (self.names)(written)) else { return };
        let of = word("id").or_else(|| word("name")).unwrap_or(picture);
        let before_the_brace = if is_inline { end_with(table, "") } else { String::new() };
        let mut colours = Array::from_iter(self.seen.colours.iter().map(String::as_str));
        if !is_inline && colours.len() > 2 {
            colours.iter_mut().for_each(|colour| colour.decor_mut().set_prefix("\n    "));
            colours.set_trailing("\n");
            colours.set_trailing_comma(true);
        }
        // One colour may have stood there as `colour`: its remark goes on behind `colours`.
        let key = if table.get("colours").is_none() && table.get("colour").is_some() { "colour" } else { "colours" };
        let remark = table.get(key).and_then(Item::as_value).map(|value| value.decor().clone());
        let remark = remark.filter(|decor| !is_ours(decor.suffix().and_then(|text| text.as_str()).unwrap_or_default()));
        let mut value = Value::Array(colours);
        match remark {
            Some(remark) => *value.decor_mut() = remark,
            None if !is_inline => value.decor_mut().set_suffix(format!("   # {}", self.seen.mark())),
            None => {}
        }
        table.remove("colour");
        put(table, "colours", value);
        let mut hers = Vec::new();
        for (key, written) in self.seen.pattern.iter().filter(|_| !self.only_colours) {
            let stands = table.get(key).and_then(Item::as_value);
            let remark = stands.and_then(|value| value.decor().suffix()?.as_str()).unwrap_or_default();
            if stands.is_some() && !is_ours(remark) {
                hers.push(*key);
                continue;
            }
            let Ok(mut value) = written.parse::<Value>() else { continue };
            value.decor_mut().set_prefix(" ");
            if !is_inline {
                value.decor_mut().set_suffix(if remark.is_empty() {
                    format!("   # {MEASURED}")
                } else {
                    remark.to_owned()
                });
            }
            put(table, key, value);
        }
        if is_inline {
            end_with(table, &before_the_brace);
        }
        self.kept.push(Kept { file: self.file.to_path_buf(), of, hers });
    }
}

/// Sets what stands behind the last value of a section in one line; gives what stood there.
fn end_with(table: &mut dyn TableLike, text: &str) -> String {
    let Some((_, Item::Value(last))) = table.iter_mut().last() else { return String::new() };
    let stood = last.decor().suffix().and_then(|suffix| suffix.as_str()).unwrap_or_default().to_owned();
    last.decor_mut().set_suffix(text);
    stood
}

/// Sets a value where its key stands, or at the end of the section's own lines.
fn put(table: &mut dyn TableLike, key: &str, value: Value) {
    match table.get_mut(key) {
        Some(item) => *item = Item::Value(value),
        None => {
            table.insert(key, Item::Value(value));
        }
    }
}

/// Writes a file beside its place, with the same permissions, and then moves it there.
fn replace(path: &Path, text: &str) -> io::Result<()> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = path.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let written = fs::File::create_new(&beside)
        .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()))
        .and_then(|()| fs::set_permissions(&beside, path.metadata()?.permissions()))
        .and_then(|()| fs::rename(&beside, path));
    written.inspect_err(|_| {
        let _ = fs::remove_file(&beside);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen() -> Seen {
        Seen {
            colours: vec!["lab(42, 50, 35) 60%".to_owned(), "#ffffff 30%".to_owned(), "#000000 10%".to_owned()],
            is_estimate: false,
            pattern: vec![("pattern", "\"stripe\"".to_owned()), ("busyness", "0.25".to_owned())],
        }
    }

    const PAD: &str = "# Mine.\nkind = \"pad\"\nsheet = \"6 x 6 in\"   # measured twice\n\n[[design]]   # the first\n\
        name = \"Waves\"\npicture = \"waves.png\"   # a scan\ncolour = \"#aa3322\"   # by eye\npattern = \"dot\"   # I say\n\
        \n# the second\n[[design]]\npicture = \"leaves.png\"\nback = { picture = \"waves.png\" }\n";

    #[test]
    fn remarks_order_and_everything_else_stay() {
        let (text, kept) = edited(Path::new("pad.toml"), PAD, &|name| name == "waves.png", &seen()).unwrap();
        let wanted = PAD
            .replace(
                "colour = \"#aa3322\"   # by eye\npattern = \"dot\"   # I say\n",
                "pattern = \"dot\"   # I say\n\
                colours = [\n    \"lab(42, 50, 35) 60%\",\n    \"#ffffff 30%\",\n    \"#000000 10%\",\n]   # by eye\n\
                busyness = 0.25   # measured\n",
            )
            .replace(
                "{ picture = \"waves.png\" }",
                "{ picture = \"waves.png\", colours = [\"lab(42, 50, 35) 60%\", \"#ffffff 30%\", \"#000000 10%\"], \
                 pattern = \"stripe\", busyness = 0.25 }",
            );
        assert_eq!(text, wanted);
        assert_eq!((kept.len(), kept[0].of.as_str(), kept[0].hers.as_slice()), (2, "Waves", &["pattern"][..]));
    }

    #[test]
    fn what_was_measured_is_measured_anew_and_twice_is_as_once() {
        let once = edited(Path::new("p"), PAD, &|name| name == "leaves.png", &seen()).unwrap().0;
        let twice = edited(Path::new("p"), &once, &|name| name == "leaves.png", &seen()).unwrap();
        assert_eq!((&twice.0, twice.1[0].hers.len()), (&once, 0));
        let other = Seen { pattern: vec![("pattern", "\"check\"".to_owned())], ..seen() };
        let changed = edited(Path::new("p"), &once, &|name| name == "leaves.png", &other).unwrap().0;
        assert!(changed.contains("pattern = \"check\"   # measured\n"), "{changed}");
    }

    #[test]
    fn colours_without_white_are_marked_as_an_estimate_until_they_are_measured() {
        let guess = Seen { is_estimate: true, ..seen() };
        let once = edited(Path::new("p"), PAD, &|name| name == "leaves.png", &guess).unwrap().0;
        assert!(once.contains("]   # estimate\n"), "{once}");
        assert!(once.contains("busyness = 0.25   # measured\n"), "the pattern needs no white: {once}");
        let measured = edited(Path::new("p"), &once, &|name| name == "leaves.png", &seen()).unwrap().0;
        assert!(measured.contains("]   # measured\n") && !measured.contains("# estimate"), "{measured}");
        let hers = edited(Path::new("p"), PAD, &|name| name == "waves.png", &guess).unwrap().0;
        assert!(hers.contains("]   # by eye\n"), "{hers}");
    }

    #[test]
    fn line_ends_and_a_mark_at_the_top_stay() {
        let windows = format!("\u{feff}{}", PAD.replace('\n', "\r\n"));
        let (text, _) = edited(Path::new("p"), &windows, &|name| name == "leaves.png", &seen()).unwrap();
        assert!(text.starts_with("\u{feff}# Mine.\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
    }

    #[test]
    fn a_file_without_the_picture_is_left_alone() {
        assert_eq!(edited(Path::new("p"), PAD, &|name| name == "moss.png", &seen()), None);
        assert_eq!(edited(Path::new("p"), "kind = \"pad", &|_| true, &seen()), None);
    }
}

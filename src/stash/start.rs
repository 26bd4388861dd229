//! Begins a stash: a few answers in, the first files out. What nobody was asked is left for the
//! defaults, and a remark beside it says so and how to put it right.
//!
//! [`files`] is a pure function from answers to texts; [`write`] puts them where nothing is yet. It
//! never writes over a file, and takes back what it wrote where it cannot finish.

use super::file::slug;
use crate::problem::{Fault, Place, Problem};
use api::units::{Region, Size, Unit};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The endings of pictures that can be read.
const PICTURES: [&str; 4] = ["jpg", "jpeg", "png", "webp"];

/// The most pictures taken from a folder: more are no pad.
const MOST_PICTURES: usize = 500;

/// Where pictures from elsewhere are put, inside the stash.
const PICTURE_FOLDER: &str = "pictures";

/// Cardstocks most makers have, with colours that are only a guess.
const USUAL_CARDSTOCKS: [(&str, &str); 6] = [
    ("White", "#ffffff"),
    ("Cream", "#f7f0e0"),
    ("Kraft", "#b08d57"),
    ("Grey", "#9a9a9a"),
    ("Navy", "#1f2a44"),
    ("Black", "#1a1a1a"),
];

/// What was asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answers {
    /// What she calls the pad.
    pub pad: String,
    /// Whose names a bare `A2` means, and so the unit.
    pub region: Region,
    /// The size of the cards she makes.
    pub card: Size,
    /// The size of the pad's sheets.
    pub sheet: Size,
    /// How many designs the pad has.
    pub designs: u32,
    /// How many sheets of each.
    pub copies: u32,
    /// Pictures of the designs, in order: those there are.
    pub pictures: Vec<Picture>,
}

/// A picture of a design.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Where it is now.
    pub from: PathBuf,
    /// Where it is to be, from the stash folder.
    pub to: PathBuf,
}

/// The pictures of a folder in order of their names, each with its place in the stash: where it is,
/// if that is inside, else in the folder `pictures`.
///
/// # Errors
/// Where the folder cannot be read, or there is no picture in it.
pub fn pictures_in(folder: &Path, stash: &Path) -> Result<Vec<Picture>, Box<Problem>> {
    let fault = |fault| Box::new(Problem::new(Place::whole(folder), fault));
    let unreadable = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => fault(Fault::NoPictureFolder),
        io::ErrorKind::NotADirectory => fault(Fault::PictureForFolder),
        _ => fault(Fault::FolderUnreadable { why: super::file::in_words(&error) }),
    };
    let mut paths = Vec::new();
    for entry in folder.read_dir().map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        let ending = path.extension().map(|ending| ending.to_ascii_lowercase());
        let is_picture = ending.is_some_and(|ending| PICTURES.iter().any(|known| ending == *known));
        let is_hidden = path.file_name().is_some_and(|name| name.as_encoded_bytes().starts_with(b"."));
        if is_picture && !is_hidden && path.is_file() {
            paths.push(path);
        }
    }
    paths.sort();
    paths.truncate(MOST_PICTURES);
    if paths.is_empty() {
        return Err(fault(Fault::NoPictures));
    }
    let root = stash.canonicalize().ok();
    let place = |from: PathBuf| {
        let inside = from.canonicalize().ok().zip(root.as_ref());
        let inside = inside.and_then(|(real, root)| real.strip_prefix(root).ok().map(Path::to_path_buf));
        let name = from.file_name().map(PathBuf::from).unwrap_or_default();
        Picture { to: inside.unwrap_or_else(|| Path::new(PICTURE_FOLDER).join(name)), from }
    };
    Ok(paths.into_iter().map(place).collect())
}

/// The first files of a stash: their paths in it, and their texts.
#[must_use]
pub fn files(answers: &Answers) -> Vec<(PathBuf, String)> {
    let pad = format!("{}.toml", slug(&answers.pad));
    // The other two have their names, whatever the pad is called.
    let pad = if ["settings.toml", "cardstock.toml"].contains(&pad.as_str()) { format!("pad-{pad}") } else { pad };
    vec![
        (PathBuf::from("settings.toml"), settings(answers)),
        (PathBuf::from(pad), pad_file(answers)),
        (PathBuf::from("cardstock.toml"), cardstock(answers.region)),
    ]
}

fn settings(answers: &Answers) -> String {
    let (unit, region, ruler, borders, reveals) = match answers.region {
        Region::Us => ("in", "US", "1/16 in", r#""1/8 in", "1/4 in""#, r#""1/16 in", "1/8 in", "1/4 in""#),
        Region::Iso => ("mm", "ISO", "1 mm", r#""3 mm", "6 mm""#, r#""1.5 mm", "3 mm", "6 mm""#),
    };
    format!(
        "# Settings for this stash. Everything behind a `#` is a remark: Swatchfold passes it over.\n\
         \n\
         kind = \"settings\"\n\
         format = 1\n\
         \n\
         unit = \"{unit}\"   # of a number without one\n\
         region = \"{region}\"   # whose A2 a bare \"A2\" is\n\
         cards = [{}]   # card sizes you make\n\
         \n\
         per-layout = 2   # at most so many cards of one layout in a list\n\
         \n\
         # Assumed: the usual ruler, borders and edges of mats. To put one right, take its `#` away.\n\
         # ruler = \"{ruler}\"\n\
         # borders = [{borders}]\n\
         # reveals = [{reveals}]\n\
         \n\
         # How much each judge counts; `swatchfold plugins` lists them. 0 switches one off.\n\
         # [scorers]\n\
         # use-up = 2\n",
        text(&answers.card.exact(unit_of(answers))),
    )
}

const fn unit_of(answers: &Answers) -> Unit {
    match answers.region {
        Region::Us => Unit::Inch,
        Region::Iso => Unit::Millimetre,
    }
}

fn pad_file(answers: &Answers) -> String {
    let mut file = format!(
        "# A pad of patterned paper: a section `[[design]]` for each design.\n\
         # Everything behind a `#` is a remark: Swatchfold passes it over.\n\
         \n\
         kind = \"pad\"\n\
         format = 1\n\
         \n\
         name = {}\n\
         sheet = {}   # width by height, with the pattern the right way up\n\
         copies = {}   # sheets of each design; a design may say otherwise with a line `copies = 1`\n\
         \n\
         # Assumed, since nobody said: one-sided, smooth paper, each picture showing a whole sheet.\n\
         # To put that right, take the `#` away and write what is true; or write it for one design.\n\
         # finish = \"textured\"\n\
         # picture-shows = {}\n\
         # weight = \"80 lb text\"\n\
         # added = 2026-03-01\n",
        text(&answers.pad),
        text(&answers.sheet.exact(unit_of(answers))),
        answers.copies,
        text(&answers.sheet.exact(unit_of(answers))),
    );
    let seen = answers.pictures.len().min(answers.designs as usize);
    for picture in &answers.pictures[..seen] {
        file.push_str(&design(picture));
    }
    let unseen = answers.designs as usize - seen;
    if unseen > 0 {
        file.push_str(&format!(
            "\n# {unseen} more of the {} designs have no picture yet. A picture or a colour is enough for each:\n\
             #\n\
             # [[design]]\n\
             # name = \"Small leaves\"\n\
             # picture = \"{PICTURE_FOLDER}/small-leaves.jpg\"\n\
             # colours = [\"#aa3322 60%\", \"#ffffff 40%\"]   # instead of the picture, or beside it\n\
             # back = {{ colour = \"#ffffff\" }}   # where its other side can be used, too\n",
            answers.designs
        ));
    }
    if answers.pictures.len() > seen {
        file.push_str(&format!(
            "\n# There are {} pictures, and you spoke of {} designs. To use those left out, take the `#` away.\n",
            answers.pictures.len(),
            answers.designs
        ));
        for picture in &answers.pictures[seen..] {
            file.push_str(&design(picture).replace('\n', "\n# ").replace("# \n", "#\n"));
        }
        file.truncate(file.trim_end_matches(['#', ' ', '\n']).len());
        file.push('\n');
    }
    file
}

/// The section of a design with a picture, called after it.
fn design(picture: &Picture) -> String {
    let stem = picture.to.file_stem().unwrap_or_default().to_string_lossy();
    let words = stem.replace(['-', '_'], " ");
    let mut letters = words.trim().chars();
    let name: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    let path = picture.to.to_string_lossy().replace(std::path::MAIN_SEPARATOR, "/");
    let name = if name.is_empty() { String::new() } else { format!("name = {}\n", text(&name)) };
    format!("\n[[design]]\n{name}picture = {}\n", text(&path))
}

fn cardstock(region: Region) -> String {
    let (size, weight) = match region {
        Region::Us => ("8 1/2 x 11 in", "80 lb cover"),
        Region::Iso => ("A4", "220 gsm"),
    };
    let mut file = format!(
        "# Plain cardstock, of which the mats are cut.\n\
         # Everything here is assumed, since nobody asked: colours most makers have, and one sheet of each in\n\
         # the usual size. Take away what you have not got, and put the rest right.\n\
         \n\
         kind = \"cardstock\"\n\
         format = 1\n\
         \n\
         # size = \"{size}\"\n\
         # count = 10\n\
         # weight = \"{weight}\"\n\
         # grain = \"long\"\n",
    );
    for (name, colour) in USUAL_CARDSTOCKS {
        let material = if name == "Kraft" { "material = \"kraft\"\n" } else { "" };
        file.push_str(&format!("\n[[cardstock]]\nname = \"{name}\"\ncolour = \"{colour}\"   # assumed\n{material}"));
    }
    file
}

/// A text as TOML writes it, whatever is in it.
fn text(text: &str) -> String {
    toml::Value::from(text).to_string()
}

/// Whether a stash was begun in a folder: then nothing need be asked, since nothing would be written.
///
/// # Errors
/// Where it was.
pub fn not_begun(stash: &Path) -> Result<(), Box<Problem>> {
    let taken = Path::new("settings.toml");
    match stash.join(taken).symlink_metadata() {
        Ok(_) => Err(Box::new(Problem::new(Place::whole(taken), Fault::AlreadyThere))),
        Err(_) => Ok(()),
    }
}

/// Writes the files and copies the pictures into the stash folder, which is made if need be. Gives
/// the paths written, from the stash folder.
///
/// # Errors
/// Where one of them is there already: then nothing is written. Where one cannot be written: then
/// those written before it are taken back.
pub fn write(stash: &Path, answers: &Answers) -> Result<Vec<PathBuf>, Box<Problem>> {
    let files = files(answers);
    let copies = answers.pictures.iter().filter(|picture| !is_same(&picture.from, &stash.join(&picture.to)));
    let copies: Vec<&Picture> = copies.collect();
    let all = || files.iter().map(|(path, _)| path).chain(copies.iter().map(|picture| &picture.to));
    if let Some(taken) = all().find(|path| stash.join(path).symlink_metadata().is_ok()) {
        return Err(Box::new(Problem::new(Place::whole(taken), Fault::AlreadyThere)));
    }
    let mut written = Vec::new();
    let texts = files.iter().map(|(path, text)| (path, Content::Text(text)));
    for (path, content) in copies.iter().map(|picture| (&picture.to, Content::Of(&picture.from))).chain(texts) {
        if let Err(error) = put(&stash.join(path), &content) {
            for done in &written {
                // What cannot be taken back stays; the problem told is the one that matters.
                let _ = fs::remove_file(stash.join(done));
            }
            let fault = match error.kind() {
                io::ErrorKind::AlreadyExists => Fault::AlreadyThere,
                _ => Fault::CannotWrite { why: super::file::in_words(&error) },
            };
            return Err(Box::new(Problem::new(Place::whole(path), fault)));
        }
        written.push(path.clone());
    }
    Ok(written)
}

/// What goes into a new file.
enum Content<'a> {
    /// A text.
    Text(&'a str),
    /// What is in another file.
    Of(&'a Path),
}

/// Writes a file that is not there yet; one that cannot be finished is taken back.
fn put(path: &Path, content: &Content<'_>) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    let filled = match content {
        Content::Text(text) => file.write_all(text.as_bytes()),
        Content::Of(other) => File::open(other).and_then(|mut other| io::copy(&mut other, &mut file)).map(|_| ()),
    };
    filled.and_then(|()| file.sync_all()).inspect_err(|_| {
        let _ = fs::remove_file(path);
    })
}

/// Whether two paths lead to one file.
fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

//! Adds a paper to the stash: what was typed in, and a photograph, to a file of TOML and a picture
//! beside it. The names of both come from us, never from the request.

use super::page::SMALLEST;
use super::view::View;
use api::units::{Length, Purpose, Size};
use std::io::Write as _;
use std::path::Path;
use swatchfold_picture::{Format, Limits, small_copy};

/// The folder within the stash for what is added here.
const FOLDER: &str = "added";
/// The longest side of a photograph that is kept, in pixels: enough for a sheet of 12 in at 200 to the inch.
const SIDE: u32 = 2_400;
/// Its JPEG quality.
const QUALITY: u8 = 88;
/// The longest side of a piece of paper, 2 m: more is a slip.
const LONGEST: Length = Length::micrometres(2_000_000);
/// What a paper may be.
const MATERIALS: [&str; 5] = ["patterned", "cardstock", "kraft", "vellum", "glitter"];

/// Adds what the form says; gives the id of the paper, or what is wrong in words.
pub(super) fn add(view: &View<'_>) -> Result<String, String> {
    let field = |name: &str| view.asked.field(name).unwrap_or_default().trim();
    let settings = &view.room().stash.settings;
    let name: String = field("name").chars().filter(|sign| !sign.is_control()).take(80).collect();
    if name.is_empty() {
        return Err("Give it a name.".to_owned());
    }
    let size = Size::read(field("size"), settings.unit, settings.region, Purpose::Sheet)
        .map_err(|why| format!("“{}” is no size: {why}. {}.", field("size"), why.remedy()))?;
    if size.short() < SMALLEST || size.long() > LONGEST {
        return Err(format!("{} is no size for a paper.", size.exact(settings.unit)));
    }
    let count = field("count").parse::<u32>().ok().filter(|count| (1..=10_000).contains(count));
    let count = count.ok_or("Say how many there are: a whole number from 1 to 10000.")?;
    let material = MATERIALS.iter().find(|known| **known == field("material")).copied().unwrap_or("patterned");
    let id = free_id(view, &name);
    let folder = view.pages.desk.folder.join(FOLDER);
    let picture = match view.asked.file("picture") {
        None => None,
        Some(file) => {
            let copy = small_copy(&file.bytes, Limits::COMMON, SIDE, QUALITY)
                .map_err(|why| format!("The photograph cannot be used: {why}. {}.", why.remedy()))?;
            let ending = match copy.format {
                Format::Jpeg => "jpg",
                Format::Png => "png",
                Format::WebP => "webp",
            };
            let file = format!("{id}.{ending}");
            save(&folder, &file, &copy.bytes)?;
            Some(file)
        }
    };
    let colours = match &picture {
        Some(file) => format!("picture = {}\n", quoted(file)),
        None => {
            let colour = api::from_hex(field("colour")).ok_or("Choose a colour, or take a photograph.")?;
            format!("colour = {}\n", quoted(&api::hex(colour)))
        }
    };
    let text = format!(
        "# Added on the pages of Swatchfold. Change what you like: it is yours.\nkind = \"sheets\"\nformat = 1\n\n\
         [[sheet]]\nid = {}\nname = {}\nmaterial = \"{material}\"\nsize = {}\ncount = {count}\nadded = {}\n{colours}",
        quoted(&id),
        quoted(&name),
        quoted(&size.exact(settings.unit)),
        view.room().today,
    );
    save(&folder, &format!("{id}.toml"), text.as_bytes())?;
    Ok(id)
}

/// An id nobody has: the name in small letters, with a number where it is taken.
fn free_id(view: &View<'_>, name: &str) -> String {
    let mut slug: String =
        name.to_lowercase().chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { '-' }).collect();
    while slug.contains("--") {
        slug = slug.replace("--", "-");
    }
    let slug = slug.trim_matches('-');
    let slug: String = if slug.is_empty() { "paper".to_owned() } else { slug.chars().take(40).collect() };
    let room = view.room();
    let folder = view.pages.desk.folder.join(FOLDER);
    let is_free = |id: &String| {
        room.index.find(id).is_none()
            && room.stash.line_called(id).is_none()
            && room.stash.papers.iter().all(|paper| paper.pad.as_deref() != Some(id.as_str()))
            && !folder.join(format!("{id}.toml")).exists()
    };
    std::iter::once(slug.clone()).chain((2..).map(|number| format!("{slug}-{number}"))).find(is_free).unwrap_or(slug)
}

/// A text as TOML writes it (TOML 1.0, basic strings).
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for sign in text.chars() {
        match sign {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            sign if sign.is_control() => out.push(' '),
            sign => out.push(sign),
        }
    }
    out.push('"');
    out
}

/// Writes a file whole or not at all, within the stash: a folder that leads out of it is refused.
pub(super) fn save(folder: &Path, name: &str, bytes: &[u8]) -> Result<(), String> {
    let failed = |why: std::io::Error| format!("It cannot be written: {why}. Check the disk and the stash folder.");
    std::fs::create_dir_all(folder).map_err(failed)?;
    let stash = folder.parent().unwrap_or(folder).canonicalize().map_err(failed)?;
    let real = folder.canonicalize().map_err(failed)?;
    if !real.starts_with(&stash) {
        return Err("The folder for it leads out of the stash: it is a link. Put a real folder there.".to_owned());
    }
    let beside = real.join(format!(".{name}.{}.part", std::process::id()));
    let write = || -> std::io::Result<()> {
        let mut file = std::fs::File::create(&beside)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        std::fs::rename(&beside, real.join(name))
    };
    write().map_err(|why| {
        // What was half written is of no use to anyone.
        let _ = std::fs::remove_file(&beside);
        failed(why)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_a_text_in_toml_whatever_it_holds() {
        for text in ["plain", "a \"b\" \\ c", "x\ny\u{0}", "ключ = 1 # '", "\"\"\""] {
            let file: toml::Table = format!("name = {}", quoted(text)).parse().unwrap();
            let read = file["name"].as_str().unwrap().to_owned();
            assert_eq!(read, text.replace(char::is_control, " "));
        }
    }

    #[cfg(unix)]
    #[test]
    fn nothing_is_written_through_a_link_that_leads_out() {
        let outside = tempfile::tempdir().unwrap();
        let stash = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(outside.path(), stash.path().join("added")).unwrap();
        assert!(save(&stash.path().join("added"), "x.toml", b"x").is_err());
        assert_eq!(std::fs::read_dir(outside.path()).unwrap().count(), 0);
        assert!(save(&stash.path().join("real"), "x.toml", b"x").is_ok());
    }
}

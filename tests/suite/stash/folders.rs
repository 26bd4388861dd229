//! What cannot be kept as a folder of files: links, locked folders, files larger than a disk, odd
//! names. Each is made where it is needed and thrown away.

use super::read;
use std::fs;
use std::path::Path;
use swatchfold::problem::Problem;
use swatchfold::stash::Reading;
use swatchfold::stash::file::{Limits, read_within};
use tempfile::TempDir;

const SCRAP: &str = "kind = \"scraps\"\n\n[[scrap]]\nsize = \"1 x 2 in\"\ncolour = \"#fff\"\n";

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder for the test can be made")
}

fn write(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().expect("it has a folder")).expect("its folder can be made");
    fs::write(path, text).expect("it can be written");
}

/// The messages alone, with their places.
fn said(reading: &Reading) -> Vec<String> {
    reading.problems.iter().map(|problem| format!("{}: {}", problem.place.short(), problem.message())).collect()
}

/// A stash with a file of so many bytes that nothing is written in.
fn with_huge_file(bytes: u64) -> TempDir {
    let stash = folder();
    write(stash.path(), "box.toml", SCRAP);
    let huge = fs::File::create(stash.path().join("huge.toml")).expect("it can be made");
    huge.set_len(bytes).expect("a file may be mostly nothing");
    stash
}

#[test]
fn a_file_of_a_gigabyte_is_refused_by_name_and_the_rest_is_read() {
    let stash = with_huge_file(1_000_000_000);
    let reading = read(stash.path());
    assert_eq!(said(&reading), ["huge.toml:1:1: this file has 1000 MB and the limit is 16 MB, so it is not read"]);
    assert_eq!(reading.stash.lines.len(), 1);
}

/// A stash of three files read with limits that leave the last one out.
fn with_little_room(limits: &Limits) -> Reading {
    let stash = folder();
    for name in ["a.toml", "b.toml", "c.toml"] {
        write(stash.path(), name, SCRAP);
    }
    read_within(stash.path(), None, limits)
}

fn room_for_two_files() -> Limits {
    Limits { stash_bytes: 2 * SCRAP.len() as u64 + 1, ..Limits::USUAL }
}

#[test]
fn all_files_together_have_a_limit_too() {
    let reading = with_little_room(&room_for_two_files());
    assert_eq!(said(&reading), ["c.toml:1:1: the files before this one already have 1 MB together, so it is not read"]);
    assert_eq!(reading.stash.lines.len(), 2);
}

#[test]
fn a_whole_disk_is_not_walked() {
    let reading = with_little_room(&Limits { entries: 2, ..Limits::USUAL });
    assert_eq!(said(&reading), [".:1:1: there are over 2 files and folders in here, so the rest is not looked at"]);
    assert_eq!(reading.stash.lines.len(), 2);
}

/// A stash of so many scraps with a colour that is none.
fn with_bad_scraps(count: usize) -> TempDir {
    let stash = folder();
    let scrap = "\n[[scrap]]\nsize = \"1 x 2 in\"\ncolour = \"reddish\"\n";
    write(stash.path(), "bad.toml", &format!("kind = \"scraps\"\n{}", scrap.repeat(count)));
    write(stash.path(), "good.toml", SCRAP);
    stash
}

#[test]
fn of_thousands_of_problems_in_a_file_the_first_are_told_and_the_rest_counted() {
    let reading = read(with_bad_scraps(1_203).path());
    let said = said(&reading);
    assert_eq!(said.len(), 1_001);
    assert_eq!(said[999], "bad.toml:4001:10: `reddish` is not a colour");
    assert_eq!(said[1_000], "bad.toml:4814:1: this file has 203 more problems");
    assert_eq!(reading.stash.lines.len(), 1, "the other file is read all the same");
}

#[test]
fn a_folder_that_is_not_there_or_is_a_file_is_said_so() {
    let stash = folder();
    let nowhere = stash.path().join("nowhere");
    let reading = read(&nowhere);
    assert_eq!(reading.problems.len(), 1);
    assert_eq!(reading.problems[0].message(), "there is no such folder");
    assert_eq!(reading.problems[0].place.file, nowhere);
    assert_eq!(
        said(&read(&not_a_folder(&stash)))[0].rsplit(": ").next(),
        Some("this is a file, and a stash is a folder")
    );
}

fn not_a_folder(stash: &TempDir) -> std::path::PathBuf {
    write(stash.path(), "box.toml", SCRAP);
    stash.path().join("box.toml")
}

#[test]
fn names_with_quotes_spaces_and_line_breaks_are_read_and_shown_on_one_line() {
    let stash = folder();
    let name = if cfg!(windows) { "it's a name.toml" } else { "it's \"a\"\nname\u{202e}.toml" };
    write(stash.path(), name, "kind = \"scraps\"\n\n[[scrap]]\nsize = \"1 x 2 in\"\ncolour = \"#1\"\n");
    write(stash.path(), "שלום 🌸/box.toml", SCRAP);
    let reading = read(stash.path());
    let shown: Vec<String> = reading.problems.iter().map(Problem::to_string).collect();
    assert_eq!(shown.len(), 1);
    assert!(shown[0].lines().next().is_some_and(|line| line.ends_with(":5:10: `#1` is not a colour")), "{}", shown[0]);
    assert!(!shown[0].contains('\u{202e}'));
    let ids: Vec<&str> = reading.stash.lines.iter().map(|line| line.id.as_str()).collect();
    assert_eq!(ids, ["box/1"]);
}

/// Links of all sorts in one stash: round in a circle, out of it, to nothing, to what is inside.
#[cfg(unix)]
fn with_links() -> (TempDir, TempDir) {
    use std::os::unix::fs::symlink;
    let (stash, outside) = (folder(), folder());
    write(stash.path(), "in/box.toml", SCRAP);
    write(stash.path(), "in/fox.png", "");
    write(outside.path(), "secret.toml", SCRAP);
    write(outside.path(), "secret.png", "");
    let link = |target: &Path, name: &str| symlink(target, stash.path().join(name)).expect("a link can be made");
    link(stash.path(), "in/circle");
    link(Path::new("itself.toml"), "itself.toml");
    link(Path::new("nothing"), "dead");
    link(&stash.path().join("in/box.toml"), "same.toml");
    link(outside.path(), "out");
    link(&outside.path().join("secret.toml"), "out.toml");
    link(&outside.path().join("secret.png"), "out.png");
    link(Path::new("in/fox.png"), "fox.png");
    link(Path::new("nothing.png"), "dead.png");
    let sheet = |picture: &str| format!("\n[[sheet]]\nsize = \"1 x 1\"\npicture = \"{picture}\"\n");
    let pictures = ["fox.png", "in/circle/in/fox.png", "out.png", "out/secret.png", "dead.png"].map(sheet);
    write(stash.path(), "pictures.toml", &format!("kind = \"sheets\"\n{}", pictures.join("")));
    (stash, outside)
}

#[cfg(unix)]
#[test]
fn no_link_leads_out_of_the_stash_or_round_and_round() {
    let (stash, _outside) = with_links();
    let reading = read(stash.path());
    assert_eq!(
        said(&reading),
        [
            "itself.toml:1:1: this is a link that leads nowhere",
            "out:1:1: this is a link to somewhere outside the stash folder, so it is not read",
            "out.toml:1:1: this is a link to somewhere outside the stash folder, so it is not read",
            "pictures.toml:13:11: `out.png` leads out of the stash folder",
            "pictures.toml:17:11: `out/secret.png` leads out of the stash folder",
            "pictures.toml:21:11: there is no picture `dead.png`",
        ]
    );
    let ids: Vec<&str> = reading.stash.lines.iter().map(|line| line.id.as_str()).collect();
    assert_eq!(ids, ["box/1", "pictures/1", "pictures/2"], "what is inside is read once, where it stands");
}

#[cfg(unix)]
#[test]
fn a_stash_reached_by_a_link_is_a_stash() {
    let (stash, elsewhere) = (folder(), folder());
    write(stash.path(), "box.toml", SCRAP);
    let link = elsewhere.path().join("my stash");
    std::os::unix::fs::symlink(stash.path(), &link).expect("a link can be made");
    let reading = read(&link);
    assert_eq!((said(&reading), reading.stash.lines.len()), (Vec::new(), 1));
}

/// A stash with a folder and a file that may not be opened, and whether that holds for us: nothing
/// is locked for the system's administrator.
#[cfg(unix)]
fn with_locks() -> (TempDir, bool) {
    use std::os::unix::fs::PermissionsExt;
    let stash = folder();
    write(stash.path(), "box.toml", SCRAP);
    write(stash.path(), "locked/box.toml", SCRAP);
    write(stash.path(), "locked.toml", SCRAP);
    let lock = |name: &str| {
        fs::set_permissions(stash.path().join(name), fs::Permissions::from_mode(0o000)).expect("it is ours to lock");
    };
    lock("locked.toml");
    lock("locked");
    let is_locked = fs::read_dir(stash.path().join("locked")).is_err();
    (stash, is_locked)
}

#[cfg(unix)]
fn unlock(stash: &TempDir) {
    use std::os::unix::fs::PermissionsExt;
    let open = fs::set_permissions(stash.path().join("locked"), fs::Permissions::from_mode(0o700));
    open.expect("it is ours to open");
}

#[cfg(unix)]
#[test]
fn what_may_not_be_opened_is_named_and_the_rest_is_read() {
    let (stash, is_locked) = with_locks();
    let reading = read(stash.path());
    unlock(&stash);
    if is_locked {
        assert_eq!(
            said(&reading),
            [
                "locked:1:1: this folder cannot be opened: it may not be opened by you",
                "locked.toml:1:1: this file cannot be read: it may not be opened by you",
            ]
        );
        assert_eq!(reading.stash.lines.len(), 1);
    } else {
        // The administrator opens everything, so the three files must have been read.
        eprintln!("note: run by the system's administrator, for whom nothing is locked");
        assert_eq!(reading.stash.lines.len(), 3);
    }
}

/// Readings of everything in here, for whoever counts which faults have a case.
pub(super) fn readings() -> Vec<Reading> {
    let stash = folder();
    #[allow(unused_mut, reason = "what follows is for some systems only")]
    let mut readings = vec![
        read(with_huge_file(20_000_000).path()),
        read(with_bad_scraps(1_001).path()),
        with_little_room(&room_for_two_files()),
        with_little_room(&Limits { entries: 2, ..Limits::USUAL }),
        read(&stash.path().join("nowhere")),
        read(&not_a_folder(&stash)),
    ];
    #[cfg(unix)]
    {
        readings.push(read(with_links().0.path()));
        let (stash, is_locked) = with_locks();
        let reading = read(stash.path());
        unlock(&stash);
        readings.push(if is_locked { reading } else { as_if_locked() });
    }
    readings
}

/// The words for locked things, for the administrator, for whom there are none.
#[cfg(unix)]
fn as_if_locked() -> Reading {
    use swatchfold::problem::{Fault, Place};
    let why = String::from("it may not be opened by you");
    let faults = [Fault::FolderUnreadable { why: why.clone() }, Fault::FileUnreadable { why }];
    let problems = faults.map(|fault| Problem::new(Place::whole("locked"), fault)).to_vec();
    Reading { problems, ..Reading::default() }
}

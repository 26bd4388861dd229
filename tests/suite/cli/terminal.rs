//! How the program behaves as one among others: pipes, colour, completions, the manual.

use super::{TODAY, copy_of, ended, program, run, small};
use std::process::Stdio;

#[test]
fn a_reader_that_goes_away_ends_it_quietly() {
    for command in [&["suggest", "--json", "--list", "40"][..], &["suggest"], &["--help"], &["completions", "zsh"]] {
        let folder = copy_of("small");
        let mut program = program(folder.path());
        let mut child = program.args(command).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{command:?}");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{command:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_a_failure_that_is_told() {
    let folder = copy_of("small");
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = program(folder.path()).arg("stock").stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).starts_with("error: what was found cannot be printed"));
}

#[test]
fn colour_comes_only_where_it_is_wanted() {
    let folder = copy_of("small");
    let escape = '\u{1b}';
    for command in [&["suggest"][..], &["stock"], &["mats", "moss"], &["layouts"], &["plugins"]] {
        let asked = [command, &TODAY].concat();
        let plain = run(folder.path(), &asked).good();
        assert!(!plain.contains(escape), "{command:?}");
        let forced = ended(program(folder.path()).args(&asked).env("CLICOLOR_FORCE", "1")).good();
        assert!(forced.contains(escape), "{command:?}");
        let refused = ended(program(folder.path()).args(&asked).env("NO_COLOR", "1").env("CLICOLOR_FORCE", "0")).good();
        assert_eq!(refused, plain, "{command:?}");
    }
    let forced = ended(program(folder.path()).args(["mats", "moss"]).env("CLICOLOR_FORCE", "1")).good();
    // Moss is #50703c.
    assert!(forced.contains("\u{1b}[48;2;80;112;60m  \u{1b}[0m"), "{forced:?}");
    let json = ended(program(folder.path()).args(["stock", "--json"]).env("CLICOLOR_FORCE", "1")).good();
    assert!(!json.contains(escape));
}

#[test]
fn every_shell_gets_its_completions() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = small_without_day(&["completions", shell]);
        assert!(script.contains("swatchfold") && script.contains("suggest"), "{shell}");
    }
}

#[test]
fn the_manual_names_every_command_and_every_option() {
    let whole = small_without_day(&["man"]);
    for command in ["demo", "start", "check", "stock", "suggest", "mats", "layouts", "plugins"] {
        assert!(whole.contains(&format!("swatchfold\\-{command}")), "{command}");
        assert!(small_without_day(&["man", command]).starts_with(".ie"), "{command}");
    }
    let page = small_without_day(&["man", "suggest"]);
    for option in [
        "use",
        "without",
        "card",
        "layout",
        "scraps\\-first",
        "each",
        "list",
        "per\\-layout",
        "out",
        "work",
        "stash",
        "json",
    ] {
        assert!(page.contains(&format!("\\-\\-{option}")), "{option}");
    }
}

fn small_without_day(command: &[&str]) -> String {
    run(copy_of("small").path(), command).good()
}

/// Only the folder for what may be deleted is added to a stash.
#[test]
fn a_stash_is_only_read() {
    let folder = copy_of("small");
    let listing = || {
        let mut files: Vec<_> = walkdir::WalkDir::new(folder.path())
            .into_iter()
            .map(|entry| entry.unwrap().into_path())
            .filter(|path| path.is_file() && !path.components().any(|part| part.as_os_str() == ".swatchfold"))
            .map(|path| (std::fs::read(&path).unwrap(), path))
            .collect();
        files.sort();
        files
    };
    let before = listing();
    for command in [&["suggest"][..], &["stock"], &["mats", "moss"], &["layouts"], &["plugins"], &["check"]] {
        run(folder.path(), command).good();
    }
    assert_eq!(before, listing());
    assert!(small(&["stock"]).err.is_empty());
}

//! `report`, `export` and `import`: what the stash comes to, and its way in and out as plain tables.

use super::args::{Common, Export, Import, Report};
use super::console::Console;
use super::open;
use super::record::Opened;
use super::save::save;
use super::trouble::Trouble;
use crate::ledger;
use crate::present;
use crate::problem::quoted;
use crate::record::exchange::{self, BadTable};
use crate::record::{self, report::report as reported};
use std::path::{Path, PathBuf};

/// The tables and the palette.
const STOCK: &str = "stock.csv";
const LEDGER: &str = "ledger.csv";
const PALETTE: &str = "swatches.gpl";
/// The largest table that is read.
const LARGEST: u64 = 256_000_000;

/// `report`.
pub(super) fn report(console: &Console, common: &Common, asked: &Report) -> Result<(), Trouble> {
    let room = open::readable(console, common)?;
    let found = reported(&room.stash, &room.records.base, &room.records.book, room.today);
    if let Some(path) = &asked.chart {
        save(path, present::report::chart(&found).as_bytes())?;
        console.tell(&format!("written: {}", quoted(&path.display().to_string())));
    }
    if common.json {
        console.print_data(present::report::json(&found).as_bytes())
    } else {
        console.print(&present::report::text(&found))
    }
}

/// `export`.
pub(super) fn export(console: &Console, common: &Common, asked: &Export) -> Result<(), Trouble> {
    let room = open::readable(console, common)?;
    // The files as they are, without the ledger: that goes out beside them.
    let written = crate::stash::read(&room.stash.folder, Some(room.today)).stash;
    let name = room.stash.folder.file_name().map_or_else(|| "stash".to_owned(), |n| n.to_string_lossy().into_owned());
    let files = [
        (STOCK, exchange::stock_table(&written)),
        (LEDGER, exchange::ledger_table(&room.records.book.entries)),
        (PALETTE, exchange::palette(&room.index, &name)),
    ];
    let mut told = Vec::new();
    for (file, text) in files {
        let path = asked.out.join(file);
        save(&path, text.as_bytes())?;
        told.push(path.display().to_string());
    }
    say(console, common, &told)
}

/// `import`.
pub(super) fn import(console: &Console, common: &Common, asked: &Import) -> Result<(), Trouble> {
    let folder = common.stash.clone().unwrap_or_else(|| PathBuf::from("."));
    let (stock, entries) = tables(&asked.from)?;
    let mut told = Vec::new();
    if let Some(text) = stock {
        let rows = exchange::read_stock(&text).map_err(|bad| wrong(STOCK, &bad))?;
        for (file, text) in exchange::stock_files(&rows) {
            let path = folder.join(file);
            if path.symlink_metadata().is_ok() {
                let what = format!("{} is there already", quoted(&path.display().to_string()));
                return Err(Trouble::input(what, "move it away, or bring the table into an empty folder"));
            }
            save(&path, text.as_bytes())?;
            told.push(path.display().to_string());
        }
        let images = rows.iter().filter(|row| row.kind == ledger::Kind::Image).count();
        if images > 0 {
            console.tell(&format!("{images} images are left out: a table has no pictures"));
        }
    }
    if let Some(text) = entries {
        let entries = exchange::read_ledger(&text).map_err(|bad| wrong(LEDGER, &bad))?;
        if !entries.is_empty() {
            let opened = Opened::new(console, common)?;
            let count = record::bring(&opened.desk("swatchfold import"), entries)?;
            told.push(format!("{} ({count} entries)", folder.join(ledger::FILE).display()));
        }
    }
    say(console, common, &told)
}

fn say(console: &Console, common: &Common, files: &[String]) -> Result<(), Trouble> {
    if common.json {
        return console.print_data(present::json::files(files).as_bytes());
    }
    let lines: Vec<String> =
        files.iter().map(|file| format!("written: {}\n", crate::problem::printable(file))).collect();
    console.print(&lines.concat())
}

/// The table of stock and that of entries, as far as there are.
fn tables(from: &Path) -> Result<(Option<String>, Option<String>), Trouble> {
    if from.is_dir() {
        let both = (read(&from.join(STOCK)), read(&from.join(LEDGER)));
        if let (Err(trouble), Err(_)) = both {
            return Err(trouble);
        }
        return Ok((both.0.ok(), both.1.ok()));
    }
    let text = read(from)?;
    // Only a ledger has entries.
    let is_ledger = text.trim_start_matches('\u{feff}').lines().next().is_some_and(|heads| heads.contains("entry"));
    Ok(if is_ledger { (None, Some(text)) } else { (Some(text), None) })
}

fn read(path: &Path) -> Result<String, Trouble> {
    let shown = quoted(&path.display().to_string());
    let cannot = |why: String| {
        Trouble::input(
            format!("{shown} cannot be read: {why}"),
            "name a table, or a folder with tables, that `export` wrote",
        )
    };
    let about = path.metadata().map_err(|error| cannot(error.to_string()))?;
    if !about.is_file() || about.len() > LARGEST {
        return Err(cannot("it is no table".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|error| cannot(error.to_string()))?;
    String::from_utf8(bytes).map_err(|_| cannot("it is not text in UTF-8".to_owned()))
}

fn wrong(file: &str, bad: &[BadTable]) -> Trouble {
    let told: Vec<String> = bad.iter().take(20).map(BadTable::message).collect();
    let more = if bad.len() > 20 { format!("\n  and {} more", bad.len() - 20) } else { String::new() };
    Trouble::input(
        format!("the table cannot be read as `{file}`:\n  {}{more}", told.join("\n  ")),
        "mend these rows; nothing was brought in",
    )
}

//! Draws every paper of the demo stash again: `cargo run -p papermaker [FOLDER] [DESIGN…]`.
//!
//! Writes `FOLDER/<pad>/<design>.jpg` (default: `demo-data/papers` of this checkout) and the list
//! of their true colours, `palettes.csv` and `images.csv`, beside this crate's manifest; with names given, only
//! designs whose path contains one of them, and then the lists are left alone.

use papermaker::shelf;
use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments
        .next()
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/papers"), PathBuf::from);
    let only: Vec<String> = arguments.collect();
    match draw(&folder, &only) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("could not draw the papers: {why}");
            ExitCode::FAILURE
        }
    }
}

fn draw(folder: &std::path::Path, only: &[String]) -> Result<(), Box<dyn std::error::Error>> {
    let mut list = String::from(shelf::HEAD);
    list.push('\n');
    let mut total = 0;
    for picture in shelf::pictures() {
        let path = picture.path();
        if !only.is_empty() && !only.iter().any(|name| path.contains(name)) {
            continue;
        }
        let (bytes, line) = picture.drawn()?;
        let file = folder.join(&path);
        if let Some(parent) = file.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(&file, &bytes)?;
        eprintln!("{path}: {} bytes", bytes.len());
        total += bytes.len();
        if let Some(line) = line {
            list.push_str(&line);
            list.push('\n');
        }
    }
    if only.is_empty() {
        let here = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
        std::fs::write(here.join("palettes.csv"), list)?;
        let mut images = String::from(shelf::IMAGES_HEAD);
        images.push('\n');
        for one in &papermaker::pads::cut_outs::CUT_OUTS {
            images.push_str(&shelf::cut_out_line(one));
            images.push('\n');
        }
        std::fs::write(here.join("images.csv"), images)?;
    }
    eprintln!("{total} bytes in all");
    Ok(())
}

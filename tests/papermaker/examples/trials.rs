//! Writes the practice trials as pictures, to look at: `cargo run -p papermaker --example trials FOLDER`.

use papermaker::trial::photo::{Camera, Surround, photograph};
use papermaker::trial::{Style, seeds};
use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder to write to")?;
    std::fs::create_dir_all(&folder)?;
    for style in [Style::Plain, Style::Ditsy] {
        for trial in seeds::practice(style) {
            let paper = trial.paper(seeds::PIXELS_PER_INCH);
            let camera = Camera::new(trial.seed);
            let surround = Surround::Margin(seeds::MARGIN);
            let photo = photograph(&paper, seeds::PIXELS_PER_INCH, seeds::SIZE, surround, &camera)?;
            let name = format!("{style:?}-{}.jpg", trial.seed).to_lowercase();
            std::fs::write(Path::new(&folder).join(&name), &photo.jpeg)?;
            let truth = &paper.truth;
            println!(
                "{name}: {} {} across {:?} down {:?} steps {:.2}",
                truth.kind, truth.directional, truth.across, truth.down, truth.steps_per_mm
            );
            for colour in &truth.colours {
                let [l, a, b] = colour.lab;
                println!("    {l:6.2} {a:7.2} {b:7.2}  {:6.2} %", 100.0 * colour.share);
            }
        }
    }
    Ok(())
}

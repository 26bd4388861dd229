//! How long a ledger of 100,000 entries takes to open and to reckon up: `cargo bench --bench ledger`.

use std::time::{Duration, Instant};
use swatchfold::ledger::{
    Base, BaseLine, Change, Entry, Folder, Kind, Piece, What, active, in_the_way, on_hand, read_folder,
};
use units::Length;

const ENTRIES: u32 = 100_000;

fn least(what: &str, mut run: impl FnMut() -> usize) {
    let mut best = Duration::MAX;
    for _ in 0..7 {
        let begun = Instant::now();
        assert!(run() > 0);
        best = best.min(begun.elapsed());
    }
    println!("{what:<40} {:>7.1} ms", best.as_secs_f64() * 1e3);
}

fn main() {
    let line = |n: u32| BaseLine {
        print: format!("{n:016x}"),
        kind: Kind::Sheet,
        paper: format!("p{n}"),
        back: None,
        width: Length::INCH * 6,
        height: Length::INCH * 6,
        count: Some(ENTRIES),
        added: None,
    };
    let base: Base = (0..300).map(|n| (format!("pad/{n:03}"), line(n))).collect();
    let entries: Vec<Entry> = (0..ENTRIES)
        .map(|n| {
            let of = n % 300;
            let id = format!("pad/{of:03}");
            let change = Change { id: id.clone(), by: -1, seen: format!("{of:016x}") };
            let size = (Length::INCH * 2, Length::INCH * 3);
            let piece = Piece::new(format!("L{}", n + 1), Kind::Scrap, format!("p{of}"), size, 1);
            let pieces = if n % 2 == 0 { vec![Piece { parent: Some(id), ..piece }] } else { Vec::new() };
            let undoes = if n % 50 == 49 { Some(u64::from(n)) } else { None };
            match undoes {
                Some(_) => Entry { undoes, day: "2026-03-01".into(), ..Entry::of(What::Undo) },
                None => Entry { changes: vec![change], pieces, day: "2026-03-01".into(), ..Entry::of(What::Used) },
            }
        })
        .collect();
    let folder = std::env::temp_dir().join(format!("ledger-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    Folder::open(&folder, "bench").expect("it opens").record_all("s", entries).expect("it is written");
    let bytes = std::fs::metadata(folder.join(swatchfold::ledger::FILE)).expect("it is there").len();
    println!("{ENTRIES} entries, {bytes} bytes; the least of seven runs");
    least("open: read, check every line", || read_folder(&folder).expect("it is whole").entries.len());
    let book = read_folder(&folder).expect("it is whole");
    least("reckon up what is on hand", || on_hand(&base, &book, None).lines.len());
    least("open and reckon up", || {
        let book = read_folder(&folder).expect("it is whole");
        on_hand(&base, &book, None).lines.len()
    });
    least("what stands in the way of undoing 1", || active(&book.entries).len() + in_the_way(&base, &book, 1).len());
    std::fs::remove_dir_all(&folder).expect("it can be taken away");
}

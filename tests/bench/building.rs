//! `cargo bench --bench building`: what shows of a card of twenty layers, the building of a thousand
//! suggestions, and what hidden joins and levelling make of the demo's scraps. Figures to quote stand
//! in `docs/building.md`; `-- --quick` leaves out the search.

#[path = "../suite/finished/made_up.rs"]
#[allow(dead_code, reason = "the tests make up layouts with it, too")]
mod made_up;

use made_up::{Luck, suggestion};
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Instant;
use swatchfold::assemble::{Bench, Built};
use swatchfold::construct::stack::{Held, Sheet, Sight, Stack, visible};
use swatchfold::index::{StockId, StockKind};
use swatchfold::layout::adapt::next_changes;
use swatchfold::layout::{Change, Drawn, OnHand, Outline, Rect, Region};
use swatchfold::matching::{eligible, network};
use swatchfold::room::{Choices, Room};
use swatchfold::score::{Suggestion, Table};
use swatchfold::stash::{ChangeKind, Date, LineKind};
use swatchfold::swatch::Cache;
use units::{Length, Size};

fn main() {
    twenty_layers();
    let room = demo();
    thousand_cards(&room);
    choices(room.table());
    if !std::env::args().any(|argument| argument == "--quick") {
        scraps();
    }
}

fn demo() -> Room {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let today = Date::from_ymd(2026, 3, 1).expect("it is a day");
    Room::open(&folder, today, &Cache::none(), &|_, _| ())
}

/// Twenty layers: a base, rectangles as luck has it, and every fifth an oval.
fn twenty_layers() {
    let inch = Length::INCH;
    let card = Size::new(Length::from_nanometres(107_950_000), Length::from_nanometres(139_700_000));
    let mut luck = Luck::new(20);
    let sixteenth = Length::from_nanometres(1_587_500);
    let mut sheets = Vec::new();
    for place in 0..20 {
        let whole = if place == 0 {
            Rect::whole(card)
        } else {
            let part = |luck: &mut Luck, below: u64| sixteenth * i64::try_from(luck.below(below)).expect("small");
            let (left, top) = (part(&mut luck, 40), part(&mut luck, 56));
            Rect { left, top, right: left + inch + part(&mut luck, 12), bottom: top + inch + part(&mut luck, 16) }
        };
        sheets.push(Sheet {
            pieces: vec![whole],
            outline: if place % 5 == 4 { Outline::Ellipse } else { Outline::Rectangle },
            whole,
            sight: Sight::Opaque,
            held: Held::Flat,
            caliper: Length::micrometres(270),
            grammage: 216,
            on: Vec::new(),
            hole: None,
        });
    }
    let straight = Stack {
        card,
        sheets: sheets.iter().map(|sheet| Sheet { outline: Outline::Rectangle, ..sheet.clone() }).collect(),
    };
    let mixed = Stack { card, sheets };
    for (words, stack) in [("20 rectangles", straight), ("20 layers, 4 of them oval", mixed)] {
        let rounds = 5_000;
        let begun = Instant::now();
        let mut rects = 0;
        for _ in 0..rounds {
            rects += visible(&stack).iter().map(|region: &Region| region.rects().len()).sum::<usize>();
        }
        let each = begun.elapsed() / rounds;
        println!("visible regions of {words}: {each:?} ({} rectangles)", rects / rounds as usize);
    }
}

/// A thousand cards of the demo's layouts, as drawn and changed once, in papers as luck has it.
fn thousand_cards(room: &Room) {
    let table = room.table();
    let mut luck = Luck::new(1_000);
    let images = table.images.iter().map(|image| image.size).collect();
    let on_hand = OnHand { sides: table.index.sides.clone(), images };
    let mut cards: Vec<Suggestion> = Vec::new();
    let mut round = 0;
    while cards.len() < 1_000 {
        let layout = round % table.layouts.len();
        let changes = next_changes(&table.layouts[layout], &[], table.settings, &on_hand);
        let change: Vec<Change> = luck.one_of(&changes).into_iter().collect();
        cards.extend(suggestion(table, layout, &change, &mut luck));
        round += 1;
    }
    let bench = Bench::new(table);
    let without = Bench { dots: Vec::new(), ..bench.clone() };
    let begun = Instant::now();
    let plain = cards.iter().map(|card| Built::new(table, &without, card)).filter(|built| built.dots.is_none()).count();
    println!(
        "building 1,000 suggestions on one core, without finishing dots: {:?} ({plain} have none)",
        begun.elapsed()
    );
    let begun = Instant::now();
    let built: Vec<Built> = cards.iter().map(|card| Built::new(table, &bench, card)).collect();
    let steps: usize = built.iter().map(|built| built.steps.len()).sum();
    let dotted = built.iter().filter(|built| built.dots.is_some()).count();
    println!(
        "building 1,000 suggestions on one core: {:?} ({steps} steps, {dotted} with finishing dots)",
        begun.elapsed()
    );
    let half = cards.len() / 2;
    for (words, bench) in [("the same on two, without finishing dots", &without), ("the same on two", &bench)] {
        let begun = Instant::now();
        std::thread::scope(|scope| {
            for part in [&cards[..half], &cards[half..]] {
                scope.spawn(move || part.iter().map(|card| Built::new(table, bench, card)).collect::<Vec<_>>().len());
            }
        });
        println!("{words}: {:?}", begun.elapsed());
    }
}

/// How many layout × paper choices the stock allows by size, as drawn and with hidden joins.
fn choices(table: Table<'_>) {
    let images = table.images.iter().map(|image| image.size).collect();
    let on_hand = OnHand { sides: table.index.sides.clone(), images };
    let (mut drawn, mut joined, mut layouts) = (0_u128, 0_u128, 0);
    for layout in table.layouts {
        let as_drawn = faces(table, layout, &[]);
        let mut best = as_drawn.clone();
        for change in next_changes(layout, &[], table.settings, &on_hand) {
            let kind = change.kind();
            if ![ChangeKind::EndsOnly, ChangeKind::Join].contains(&kind) {
                continue;
            }
            for (all, more) in best.iter_mut().zip(faces(table, layout, &[change])) {
                all.extend(more);
            }
        }
        let count = |slots: &[BTreeSet<u32>]| slots.iter().map(|faces| faces.len() as u128).product::<u128>();
        let (before, after) = (count(&as_drawn), count(&best));
        drawn += before;
        joined += after;
        if after > before {
            layouts += 1;
            println!("  {}: {before} choices as drawn, {after} with hidden joins", layout.id);
        }
    }
    println!(
        "layout × face paper choices by size: {drawn} as drawn, {joined} with hidden joins ({layouts} layouts gain)"
    );
}

/// For each slot of face paper, the faces of which some stock is large enough for every piece.
fn faces(table: Table<'_>, layout: &swatchfold::layout::Layout, changes: &[Change]) -> Vec<BTreeSet<u32>> {
    let drawn = Drawn::changed(layout, changes, table.settings.ruler);
    let Ok(network) = network(&drawn, table.dies) else { return Vec::new() };
    let patterned = network.slots.iter().filter(|slot| slot.materials.contains(&api::Material::Patterned));
    patterned
        .map(|slot| {
            let fits = |face: &u32| {
                let face = swatchfold::index::FaceId(*face);
                slot.materials.contains(&table.index.face(face).view.material)
                    && slot.needs.iter().all(|need| !eligible(table.index, need, face).is_empty())
            };
            (0..u32::try_from(table.index.faces.len()).expect("few")).filter(fits).collect()
        })
        .collect()
}

/// How much of the scrap box the eighteen best cards of different layouts use, with and without.
fn scraps() {
    for (words, never) in [("with hidden joins", false), ("without", true)] {
        let mut room = demo();
        if never {
            room.stash.settings.never.extend([ChangeKind::EndsOnly, ChangeKind::Join, ChangeKind::LeaveOut]);
        }
        let choices = Choices { list: Some(18), per_layout: Some(1), scraps_first: true, ..Choices::default() };
        let (room, ask) = room.arranged(&choices).unwrap_or_else(|unknown| panic!("{unknown:?}"));
        let begun = Instant::now();
        let answer = room.suggest(&ask);
        let table = room.table();
        let is_scrap = |stock: &StockId| table.index.stock(*stock).kind == StockKind::Cuttable(LineKind::Scrap);
        let (mut used, mut area, mut level, mut bits, mut joins) = (BTreeSet::new(), 0.0, 0.0, 0, 0);
        let bench = Bench::new(table);
        for card in &answer.suggestions {
            let built = Built::new(table, &bench, card);
            for piece in built.pieces.iter().filter(|piece| is_scrap(&piece.stock)) {
                used.insert(piece.stock);
                area += square_inches(piece.cut);
            }
            joins += card
                .changes
                .iter()
                .filter(|(change, _)| {
                    matches!(change, Change::EndsOnly { .. } | Change::Join { .. } | Change::LeaveOut { .. })
                })
                .count();
            for bit in built.beneath.iter().flat_map(|beneath| &beneath.levelling) {
                bits += bit.plies;
                level += square_inches(bit.rect.size()) * f64::from(bit.plies);
            }
        }
        println!(
            "18 cards {words}: {} scraps used for {area:.1} sq in of faces, {joins} joins; levelling {bits} bits, {level:.1} sq in; {:?}, exact {}",
            used.len(),
            begun.elapsed(),
            answer.exact
        );
    }
}

fn square_inches(size: Size) -> f64 {
    size.width.millimetres_for_drawing() * size.height.millimetres_for_drawing() / 645.16
}

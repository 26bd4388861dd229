//! Every kind of change to a layout: a small stash each, in `tests/cases/adaptations/<kind>/`, of
//! which a suggestion is lost where that one kind is never made. `expected.txt` holds what is
//! suggested with it and without it; to see new words: run with `WRITE_EXPECTED=1` and read the difference.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use swatchfold::index::FaceId;
use swatchfold::present::words::{changes_in_words, named_by};
use swatchfold::room::Room;
use swatchfold::score::{Answer, Ask, Suggestion};
use swatchfold::stash::{ChangeKind, Date};
use swatchfold::swatch::Cache;

/// More than any of these stashes can give.
const ALL: usize = 1_000;

fn case(kind: ChangeKind) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/adaptations").join(kind.key())
}

/// The room of a case, with every kind of change but one.
fn room(folder: &Path, never: Option<ChangeKind>) -> Room {
    let today = Date::from_ymd(2026, 6, 1).expect("it is a day");
    let mut room = Room::open(folder, today, &Cache::none(), &|_, _| ());
    assert!(room.problems.is_empty(), "{}: {:#?}", folder.display(), room.problems);
    room.stash.settings.never.extend(never);
    room
}

fn answer(room: &Room) -> Answer {
    let ask = Ask { list: ALL, per_layout: None, ..Ask::new(&room.stash.settings) };
    let answer = room.suggest(&ask);
    assert!(answer.exact && answer.suggestions.len() < ALL);
    answer
}

/// A layout and the face papers on it.
fn group(card: &Suggestion) -> (usize, Vec<(usize, FaceId)>) {
    (card.layout, card.papers.clone())
}

fn makes(card: &Suggestion, kind: ChangeKind) -> bool {
    card.changes.iter().any(|(change, _)| change.kind() == kind)
}

/// A line for each card: its papers, its size, what was changed and why.
fn told(room: &Room, answer: &Answer) -> String {
    let line = |card: &Suggestion| {
        let papers: Vec<&str> =
            named_by(room.table(), card).iter().map(|face| room.index.face(*face).view.name.as_str()).collect();
        let changes: Vec<String> = changes_in_words(room.table(), card)
            .into_iter()
            .map(|change| format!("\n    {}", change.sentence))
            .collect();
        format!(
            "  {} of {} on {}{}\n",
            room.layouts[card.layout].name,
            papers.join(", "),
            card.network.card.exact(room.stash.settings.unit),
            changes.concat()
        )
    };
    if answer.suggestions.is_empty() { "  nothing\n".to_owned() } else { answer.suggestions.iter().map(line).collect() }
}

#[test]
fn without_its_kind_of_change_each_case_loses_a_suggestion() {
    let failed: Vec<String> = ChangeKind::ALL.iter().filter_map(|kind| check(*kind).err()).collect();
    assert!(failed.is_empty(), "{}", failed.join("\n\n"));
}

fn check(kind: ChangeKind) -> Result<(), String> {
    let folder = case(kind);
    let (with, without) = (room(&folder, None), room(&folder, Some(kind)));
    let (all, fewer) = (answer(&with), answer(&without));
    if fewer.suggestions.iter().any(|card| makes(card, kind)) {
        return Err(format!("{}: made, though it is never to be", kind.key()));
    }
    let left: BTreeSet<_> = fewer.suggestions.iter().map(group).collect();
    if !all.suggestions.iter().any(|card| makes(card, kind) && !left.contains(&group(card))) {
        return Err(format!("{}: nothing is lost without it:\n{}", kind.key(), told(&with, &all)));
    }
    let got = format!("with it\n{}\nwithout it\n{}", told(&with, &all), told(&without, &fewer));
    let expected = folder.join("expected.txt");
    if std::env::var_os("WRITE_EXPECTED").is_some() {
        std::fs::write(&expected, &got).map_err(|error| format!("{}: {error}", expected.display()))?;
    }
    let wanted = std::fs::read_to_string(&expected).map_err(|error| format!("{}: {error}", expected.display()))?;
    if got == wanted.replace("\r\n", "\n") { Ok(()) } else { Err(format!("{}:\n{got}", expected.display())) }
}

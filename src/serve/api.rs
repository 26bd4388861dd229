//! The JSON interface beneath the pages: the same documents that the command line prints with
//! `--json`, and what a script needs to change something. `openapi.json` says what there is; a test
//! holds the two together.

use super::assets::OPENAPI;
use super::page::words;
use super::view::{GLANCE, LOOKS, View};
use crate::present::json;
use crate::room::UnknownId;
use serde_json::{Value, json};
use swatchfold_door::{Body, Kind, Method, Refusal, Told};

/// The format of every document.
const FORMAT: u32 = 1;

/// Answers a request below `/api`.
pub(super) fn answer(view: &View<'_>, parts: &[&str]) -> Told {
    match (view.asked.method, parts) {
        (Method::Look, ["openapi.json"]) => document(OPENAPI.to_owned()),
        (Method::Look, ["session"]) => session(view),
        (Method::Look, ["stock"]) => document(json::stock(view.room())),
        (Method::Look, ["layouts"]) => document(json::layouts(view.room())),
        (Method::Look, ["plugins"]) => document(json::plugins(view.room())),
        (Method::Look, ["check"]) => document(json::check(view.room())),
        (Method::Look, ["suggestions"]) => suggestions(view),
        (Method::Look, ["mats"]) => mats(view, view.asked.query("paper").unwrap_or_default()),
        (Method::Look, ["ticks"]) => ticks(view, view.asked.query("list").unwrap_or_default()),
        (Method::Change, ["ticks"]) => set_tick(view),
        (
            _,
            [
                "openapi.json" | "session" | "stock" | "layouts" | "plugins" | "check" | "suggestions" | "mats"
                | "ticks",
            ],
        ) => refused(&Refusal::NoSuchMethod),
        _ => refused(&Refusal::NoSuchPage),
    }
}

fn document(text: String) -> Told {
    Told::new(200, Kind::Json, text)
}

fn of(status: u16, value: &Value) -> Told {
    Told::new(status, Kind::Json, format!("{value:#}\n"))
}

/// What went wrong, as data.
fn wrong(status: u16, what: &str, remedy: &str) -> Told {
    of(status, &json!({ "format": FORMAT, "error": what, "remedy": remedy }))
}

/// What is not let through, as data.
pub(super) fn refused(refusal: &Refusal) -> Told {
    let (what, remedy) = words(refusal);
    wrong(refusal.status(), &what, &remedy)
}

fn unknown(ids: &[UnknownId]) -> Told {
    let ids: Vec<Value> = ids.iter().map(|id| json!({ "id": id.id, "nearest": id.nearest })).collect();
    let remedy = "`/api/stock` and `/api/layouts` list the ids there are";
    of(404, &json!({ "format": FORMAT, "error": "nothing here has such an id", "remedy": remedy, "unknown": ids }))
}

/// The conflict: what was seen is not what is.
pub(super) fn stale(view: &View<'_>, seen: &str) -> Told {
    let difference = view.pages.desk.since(seen).map(|lines| {
        lines.iter().map(|line| json!({ "id": line.id, "was": line.was, "is": line.is })).collect::<Vec<Value>>()
    });
    of(
        409,
        &json!({
            "format": FORMAT,
            "error": "something has changed since the revision you saw",
            "remedy": "look at the difference, and send the change again with the revision given here",
            "revision": view.pages.desk.look().revision,
            "difference": difference,
        }),
    )
}

fn session(view: &View<'_>) -> Told {
    of(
        200,
        &json!({
            "format": FORMAT,
            "token": view.asked.guest.token,
            "revision": view.now.revision,
            "today": view.room().today.to_string(),
        }),
    )
}

fn suggestions(view: &View<'_>) -> Told {
    let asking = match view.asking() {
        Ok(asking) => asking,
        Err(unclear) => return wrong(400, &unclear.what, &unclear.remedy),
    };
    let most = LOOKS[LOOKS.len() - 1];
    let work = match view.asked.query("work").map(str::parse::<u64>) {
        None => GLANCE,
        Some(Ok(work)) => work.min(most),
        Some(Err(_)) => return wrong(400, "`work` is not a number", &format!("a whole number up to {most}")),
    };
    match view.question(&asking) {
        Ok(question) => document(json::suggestions(&question.room, &question.answer(work))),
        Err(ids) => unknown(&ids),
    }
}

fn mats(view: &View<'_>, paper: &str) -> Told {
    let room = view.room();
    match room.mats_for(paper, None, false) {
        Ok((wanted, mats)) => document(json::mats(room, wanted, &mats)),
        Err(ids) => unknown(&ids),
    }
}

fn ticks(view: &View<'_>, list: &str) -> Told {
    let done = view.pages.ticks.of(list);
    of(200, &json!({ "format": FORMAT, "list": list, "done": done }))
}

fn set_tick(view: &View<'_>) -> Told {
    let expected = "send `{\"list\": …, \"tick\": …, \"done\": true}` as `application/json`";
    let Body::Json(bytes) = &view.asked.body else { return wrong(400, "there is no JSON in it", expected) };
    let Ok(value) = serde_json::from_slice::<Value>(bytes) else { return wrong(400, "it is not JSON", expected) };
    let text = |name: &str| value.get(name).and_then(Value::as_str);
    let (Some(list), Some(tick), Some(done)) = (text("list"), text("tick"), value.get("done").and_then(Value::as_bool))
    else {
        return wrong(400, "`list`, `tick` or `done` is missing, or of another kind", expected);
    };
    match view.pages.set_tick(list, tick, done) {
        Ok(true) => ticks(view, list),
        Ok(false) => {
            wrong(400, "there is nothing of that name to tick", "names hold letters, digits and `-`, `_`, `.`, `/`")
        }
        Err(why) => wrong(503, &format!("the tick could not be kept: {why}"), "check the disk and the stash folder"),
    }
}

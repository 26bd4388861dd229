//! Layouts as drawn: panels, what they lie on, where their edges are. Names of panels are looked
//! up here, while their places are at hand; whether the drawing holds together is for `layout`.

use super::draft::Draft;
use super::edges::edges;
use super::face::MATERIALS;
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::keys;
use super::names::{Member, Naming, are_sound, named, named_once};
use super::value::{Complaint, Read, Value, choice, id, length, list, size, text, yes_or_no};
use crate::problem::{Fault, Named, Outcome, nearest};
use crate::stash::{LayoutSketch, PanelSketch, Shape, Takes};
use api::units::{Purpose, Size};
use api::{Material, Role};
use std::collections::BTreeMap;

/// The most panels a layout may have.
const MOST_PANELS: usize = 40;

/// The most mats behind one panel.
const MOST_MATS: usize = 8;

/// What a panel may be for.
const ROLES: &[(&str, Role)] = &[
    ("background", Role::Background),
    ("band", Role::Band),
    ("feature", Role::Feature),
    ("focal", Role::Focal),
    ("sentiment", Role::Sentiment),
];

/// What outline it may have.
const SHAPES: &[(&str, Shape)] = &[
    ("rectangle", Shape::Rectangle),
    ("circle", Shape::Ellipse),
    ("oval", Shape::Ellipse),
    ("banner-left", Shape::BannerLeft),
    ("banner-right", Shape::BannerRight),
    ("banner-up", Shape::BannerUp),
    ("banner-down", Shape::BannerDown),
    ("die", Shape::Die),
];

impl Draft<'_> {
    /// Reads a file that is one layout.
    pub(super) fn read_layout(&mut self, top: &Fields<'_, '_>) {
        let prefix = self.prefixes.of(top.document);
        self.read_one_layout(top, prefix);
    }

    /// Reads a file of several layouts.
    pub(super) fn read_layouts(&mut self, top: &Fields<'_, '_>) {
        let entries = top.sections("layout", &keys::ONE_LAYOUT);
        if entries.is_empty() {
            top.no_entries("layout");
        }
        for (number, entry) in entries.into_iter().enumerate() {
            if let Entry::Good(fields) = entry {
                let name =
                    fields.value("name").and_then(|name| name.value.as_str()).filter(|name| !name.trim().is_empty());
                let position = || format!("{}/{}", self.prefixes.of(fields.document), number + 1);
                let default_id = name.map_or_else(position, super::register::slug);
                self.read_one_layout(&fields, default_id);
            }
        }
    }

    fn read_one_layout(&mut self, fields: &Fields<'_, '_>, default_id: String) {
        let id = fields.read("id", Otherwise::Take("if it had none"), id).unwrap_or(default_id);
        let name = fields.optional("name", UNSAID, text).unwrap_or_else(|| id.clone());
        let card = fields.required("card", "card = \"A2\"", size(Purpose::Card));
        let credit = fields.optional("credit", UNSAID, text);
        let link = fields.optional("link", UNSAID, text);
        let occasions = fields.optional("occasions", "for anything", list(text)).unwrap_or_default();
        let panels = panels(fields, card);
        let (Some(card), Some(Panels { seen, is_whole })) = (card, panels) else { return };
        let is_whole = self.layouts.claim(fields, &id) && is_whole;
        let place = fields.place();
        let sketch = LayoutSketch { id, name, card, credit, link, occasions, panels: seen, place };
        if is_whole {
            self.stash.layouts.push(sketch);
        } else {
            self.stash.flawed_layouts.push(sketch);
        }
    }
}

/// The panels of a layout, as far as they can be read.
struct Panels {
    seen: Vec<PanelSketch>,
    /// Whether that is all of them and all of each: a layout without one is another layout.
    is_whole: bool,
}

/// Reads the panels of a layout; `None` where it is not even known how many they are.
fn panels(fields: &Fields<'_, '_>, card: Option<Size>) -> Option<Panels> {
    let entries = fields.sections("panel", &keys::PANEL);
    // Each section of such a file is a panel of this layout, and one of them is lost.
    let is_torn = fields.is_top() && fields.document.has_broken_sections;
    if entries.is_empty() {
        if is_torn {
            return None;
        }
        fields.no_entries("panel");
        return None;
    }
    if entries.len() > MOST_PANELS {
        let fault = Fault::TooMany { what: "panels", found: entries.len(), limit: MOST_PANELS };
        fields.report(fields.span.clone(), fault, fields.left_out());
        return None;
    }
    let mut of_role = BTreeMap::new();
    let read = entries.into_iter().map(|entry| match entry {
        Entry::Good(fields) => panel(&fields, card, &mut of_role),
        Entry::Broken(_) => (Member { id: None, span: 0..0, names: Vec::new() }, (None, false)),
    });
    // Names can only be looked up once all panels are known.
    let lost = is_torn.then(|| (Member { id: None, span: 0..0, names: Vec::new() }, (None, false)));
    let read = read.chain(lost);
    let (members, panels): (Vec<Member>, Vec<(Option<PanelSketch>, bool)>) = read.unzip();
    let is_sound = are_sound(fields, &members, Named::Panel);
    let is_whole = is_sound && panels.iter().all(|(panel, is_whole)| panel.is_some() && *is_whole);
    Some(Panels { seen: panels.into_iter().filter_map(|(panel, _)| panel).collect(), is_whole })
}

/// One panel.
fn panel(
    fields: &Fields<'_, '_>,
    card: Option<Size>,
    of_role: &mut BTreeMap<Role, u32>,
) -> (Member, (Option<PanelSketch>, bool)) {
    let role = fields.required("role", "role = \"background\"", choice(ROLES));
    let id = match fields.value("id") {
        None => role.map(|role| default_id(role, of_role)),
        Some(_) => fields.read("id", Otherwise::LeaveOut, id),
    };
    let span = fields.value("id").map_or_else(|| fields.span.clone(), |value| value.span);
    let (on, differs_from) = (named(fields, "on"), named(fields, "differs-from"));
    let same_as = named_once(fields, "same-as");
    let lists = on.iter().chain(&differs_from).flatten();
    let names = lists.chain(same_as.iter().flatten()).cloned().collect();
    let sketch = sketch(fields, card, id.clone(), role, [on, differs_from], same_as);
    (Member { id, span, names }, sketch)
}

/// A panel as drawn, whose names have been read, and whether nothing in it was wrong; `None` where its
/// place is not known. What is wrong has been told: the rest is looked over with what would be there if
/// that were not said.
fn sketch(
    fields: &Fields<'_, '_>,
    card: Option<Size>,
    id: Option<String>,
    role: Option<Role>,
    [on, differs_from]: [Option<Vec<Naming>>; 2],
    same_as: Option<Option<Naming>>,
) -> (Option<PanelSketch>, bool) {
    let edges = edges(fields, card);
    let shape = fields.optional("shape", "a rectangle", choice(SHAPES)).unwrap_or_default();
    let mats = match fields.value("mats") {
        None => Some(Vec::new()),
        Some(_) => fields.read("mats", Otherwise::LeaveOut, mats),
    };
    let takes = match fields.value("takes") {
        None => role.map(usual),
        Some(_) => fields.read("takes", Otherwise::LeaveOut, takes),
    };
    let raised = fields.optional("raised", "flat", yes_or_no).unwrap_or(false);
    let sentiment = fields.optional("sentiment", UNSAID, yes_or_no);
    let is_vellum =
        matches!(&takes, Some(Takes::Stock(materials)) if materials.iter().all(|of| *of == Material::Vellum));
    if raised
        && is_vellum
        && mats.as_ref().is_none_or(Vec::is_empty)
        && let Some(value) = fields.value("raised")
    {
        fields.report(value.key_span, Fault::FoamShows, Outcome::Said);
    }

    let is_whole = id.is_some()
        && role.is_some()
        && on.is_some()
        && differs_from.is_some()
        && same_as.is_some()
        && mats.is_some()
        && takes.is_some();
    let role = role.unwrap_or(Role::Feature);
    let only_names = |names: Option<Vec<Naming>>| names.into_iter().flatten().map(|naming| naming.name).collect();
    let panel = edges.map(|edges| PanelSketch {
        id: id.unwrap_or_default(),
        role,
        on: only_names(on),
        left: edges.across.0,
        right: edges.across.1,
        top: edges.down.0,
        bottom: edges.down.1,
        shape,
        mats: mats.unwrap_or_default(),
        takes: takes.unwrap_or_else(|| usual(role)),
        same_as: same_as.flatten().map(|naming| naming.name),
        differs_from: only_names(differs_from),
        raised,
        holds_sentiment: sentiment.unwrap_or(role == Role::Sentiment),
        place: fields.place(),
    });
    (panel, is_whole)
}

/// `band` for the first panel of a role without an id, `band-2` for the second.
fn default_id(role: Role, of_role: &mut BTreeMap<Role, u32>) -> String {
    let word = ROLES.iter().find(|(_, known)| *known == role).map_or("panel", |(word, _)| word);
    let number = of_role.entry(role).or_default();
    *number += 1;
    if *number == 1 { word.to_owned() } else { format!("{word}-{number}") }
}

/// The edges that show of the mats behind a panel.
fn mats(value: &Value<'_, '_>) -> Read<Vec<api::units::Length>> {
    let mats = list(length)(value)?;
    if mats.len() > MOST_MATS {
        return value.fault(Fault::TooMany { what: "mats", found: mats.len(), limit: MOST_MATS });
    }
    Ok(mats)
}

/// What a panel may be made of: materials, or an image.
fn takes(value: &Value<'_, '_>) -> Read<Takes> {
    if value.value.as_str() == Some("image") {
        return Ok(Takes::Image);
    }
    let is_list = value.value.is_array();
    if is_list && value.items().iter().any(|item| item.value.as_str() == Some("image")) {
        return Err(value.wrong("either a list of materials, or `\"image\"` alone"));
    }
    let materials = list(choice(MATERIALS))(value).map_err(|complaints| {
        let with_image = |complaint: Complaint| match complaint.fault {
            Fault::UnknownChoice { key, word, mut choices, nearest: near } if !is_list => {
                choices.push("image");
                let near = near.or_else(|| nearest(&word, ["image"]).map(str::to_owned));
                Complaint { fault: Fault::UnknownChoice { key, word, choices, nearest: near }, ..complaint }
            }
            fault => Complaint { fault, ..complaint },
        };
        complaints.into_iter().map(with_image).collect::<Vec<_>>()
    })?;
    if materials.is_empty() {
        return Err(value.wrong("a material, a list of some, or `image`"));
    }
    Ok(Takes::Stock(materials))
}

/// What a panel is made of where nobody says: common practice, no source.
fn usual(role: Role) -> Takes {
    match role {
        Role::Focal => Takes::Image,
        Role::Sentiment => Takes::Stock(vec![Material::Cardstock, Material::Vellum, Material::Kraft]),
        _ => Takes::Stock(vec![Material::Patterned, Material::Cardstock, Material::Kraft]),
    }
}

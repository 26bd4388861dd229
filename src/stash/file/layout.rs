//! Layouts as drawn: panels, what they lie on, where their edges are. Names of panels are looked
//! up here, while their places are at hand; whether the drawing holds together is for `layout`.

use super::draft::Draft;
use super::edges::edges;
use super::face::MATERIALS;
use super::fields::{Entry, Fields, Otherwise, UNSAID};
use super::image::named;
use super::keys;
use super::value::{Complaint, Read, Value, choice, id, length, list, size, text, yes_or_no};
use crate::problem::{Fault, Named, nearest};
use crate::stash::{LayoutSketch, PanelSketch, Shape, Takes};
use api::units::{Purpose, Size};
use api::{Material, Role};
use std::collections::BTreeMap;
use std::ops::Range;

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
    ("banner-right", Shape::BannerRight),
    ("banner-down", Shape::BannerDown),
    ("die", Shape::Die),
];

/// A panel, and the names of other panels it uses.
struct Panel {
    sketch: PanelSketch,
    /// Where its id stands.
    span: Range<usize>,
    /// Each key that names panels, the name, and where it stands.
    names: Vec<(&'static str, String, Range<usize>)>,
}

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
                let name = fields.value("name").and_then(|name| name.value.as_str()).filter(|name| !name.trim().is_empty());
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
        if let (Some(card), Some(panels)) = (card, panels)
            && self.layouts.claim(fields, &id)
        {
            let place = fields.place();
            self.stash.layouts.push(LayoutSketch { id, name, card, credit, link, occasions, panels, place });
        }
    }
}

/// The panels of a layout, if all of them can be read: a layout without one is another layout.
fn panels(fields: &Fields<'_, '_>, card: Option<Size>) -> Option<Vec<PanelSketch>> {
    let entries = fields.sections("panel", &keys::PANEL);
    if entries.is_empty() {
        fields.no_entries("panel");
        return None;
    }
    if entries.len() > MOST_PANELS {
        let fault = Fault::TooMany { what: "panels", found: entries.len(), limit: MOST_PANELS };
        fields.report(fields.span.clone(), fault, fields.left_out());
        return None;
    }
    let mut of_role = BTreeMap::new();
    let read: Vec<Option<Panel>> = entries
        .into_iter()
        .map(|entry| match entry {
            Entry::Good(fields) => panel(&fields, card, &mut of_role),
            Entry::Broken { .. } => None,
        })
        .collect();
    // Names can only be looked up once all panels are known.
    let panels: Vec<Panel> = read.into_iter().collect::<Option<_>>()?;
    let is_sound = are_ids_single(fields, &panels) & are_names_known(fields, &panels);
    is_sound.then(|| panels.into_iter().map(|panel| panel.sketch).collect())
}

/// One panel.
fn panel(fields: &Fields<'_, '_>, card: Option<Size>, of_role: &mut BTreeMap<Role, u32>) -> Option<Panel> {
    let role = fields.required("role", "role = \"background\"", choice(ROLES));
    let written = fields.read("id", Otherwise::LeaveOut, id);
    let is_named = fields.value("id").is_none() || written.is_some();
    let edges = edges(fields, card);
    let shape = fields.optional("shape", "a rectangle", choice(SHAPES)).unwrap_or_default();
    let mats = fields.read("mats", Otherwise::LeaveOut, mats);
    let is_matted = fields.value("mats").is_none() || mats.is_some();
    let takes = fields.read("takes", Otherwise::LeaveOut, takes);
    let is_taking = fields.value("takes").is_none() || takes.is_some();
    let raised = fields.optional("raised", "flat", yes_or_no).unwrap_or(false);
    let sentiment = fields.optional("sentiment", UNSAID, yes_or_no);
    let on = named(fields, "on");
    let same_as = fields.read("same-as", Otherwise::LeaveOut, id);
    let is_same_read = fields.value("same-as").is_none() || same_as.is_some();
    let differs_from = named(fields, "differs-from");

    let is_read = is_named && is_matted && is_taking && is_same_read;
    let (Some(role), Some(edges), Some(on), Some(differs_from), true) = (role, edges, on, differs_from, is_read) else {
        return None;
    };
    let with_spans = |key, names: &[(String, Range<usize>)]| {
        names.iter().map(|(name, span)| (key, name.clone(), span.clone())).collect::<Vec<_>>()
    };
    let mut names = with_spans("on", &on);
    names.extend(with_spans("differs-from", &differs_from));
    let same_at = fields.value("same-as").map(|value| value.span);
    names.extend(same_as.iter().zip(same_at).map(|(name, span)| ("same-as", name.clone(), span)));
    let only_names = |names: Vec<(String, Range<usize>)>| names.into_iter().map(|(name, _)| name).collect();
    let sketch = PanelSketch {
        id: written.unwrap_or_else(|| default_id(role, of_role)),
        role,
        on: only_names(on),
        left: edges.across.0,
        right: edges.across.1,
        top: edges.down.0,
        bottom: edges.down.1,
        shape,
        mats: mats.unwrap_or_default(),
        takes: takes.unwrap_or_else(|| usual(role)),
        same_as,
        differs_from: only_names(differs_from),
        raised,
        holds_sentiment: sentiment.unwrap_or(role == Role::Sentiment),
        place: fields.place(),
    };
    let span = fields.value("id").map_or_else(|| fields.span.clone(), |value| value.span);
    Some(Panel { sketch, span, names })
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
    let materials = list(choice(MATERIALS))(value).map_err(|complaints| {
        let with_image = |complaint: Complaint| match complaint.fault {
            Fault::UnknownChoice { key, word, mut choices, nearest: near } => {
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

/// Whether no two panels have one id; if two have, that is told.
fn are_ids_single(fields: &Fields<'_, '_>, panels: &[Panel]) -> bool {
    let mut first_of = BTreeMap::new();
    let mut is_single = true;
    for panel in panels {
        if let Some(first) = first_of.insert(panel.sketch.id.as_str(), &panel.span) {
            let first = fields.document.source.place(first.clone());
            let fault = Fault::DuplicateId { id: panel.sketch.id.clone(), first };
            fields.report(panel.span.clone(), fault, fields.left_out());
            is_single = false;
        }
    }
    is_single
}

/// Whether every name is that of another panel; if not, that is told.
fn are_names_known(fields: &Fields<'_, '_>, panels: &[Panel]) -> bool {
    let ids = || panels.iter().map(|panel| panel.sketch.id.as_str());
    let mut is_known = true;
    for panel in panels {
        for (key, name, span) in &panel.names {
            let fault = if *name == panel.sketch.id {
                Fault::RefersToItself { key: (*key).into(), id: name.clone() }
            } else if ids().any(|id| id == name) {
                continue;
            } else {
                let nearest = nearest(name, ids()).map(str::to_owned);
                Fault::UnknownName { named: Named::Panel, name: name.clone(), nearest }
            };
            is_known = false;
            fields.report(span.clone(), fault, fields.left_out());
        }
    }
    is_known
}

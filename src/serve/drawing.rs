//! A layout as it is drawn on a page: rows of fields in, the TOML of a layout out. Whether it holds
//! together is for the reader of the stash to say: the text is read back before it is saved.

use super::adding::{quoted, save as save_file};
use super::view::View;
use crate::layout::{Drawn, Layout};
use crate::problem::Source;
use crate::room::Room;
use crate::stash::{built_in_layout_files, read_sources};
use api::Role;
use api::units::{Length, Size, Unit};
use std::fmt::Write as _;
use std::path::PathBuf;
use swatchfold_door::Body;

/// What a panel may be for.
pub(super) const ROLES: [&str; 5] = ["background", "band", "feature", "focal", "sentiment"];
/// The most panels that are drawn.
const MOST: usize = 40;
/// The folder for them, as `layouts --copy` has it.
const FOLDER: &str = "layouts";

/// One panel, as its fields say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct PanelRow {
    pub(super) id: String,
    pub(super) role: String,
    pub(super) left: String,
    pub(super) top: String,
    pub(super) width: String,
    pub(super) height: String,
    pub(super) on: String,
    pub(super) mat: String,
}

impl PanelRow {
    /// A panel of which nothing is said.
    pub(super) fn blank(number: usize) -> Self {
        Self { id: format!("panel-{}", number + 1), role: "feature".to_owned(), ..Self::default() }
    }
}

/// A layout, as its fields say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Sketch {
    pub(super) name: String,
    pub(super) card: String,
    pub(super) panels: Vec<PanelRow>,
    /// The unit of bare numbers, for the script: `in` or `mm`.
    pub(super) scale: &'static str,
}

fn scale(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "in",
        Unit::Millimetre => "mm",
    }
}

const fn role_key(role: Role) -> &'static str {
    match role {
        Role::Background => "background",
        Role::Band => "band",
        Role::Focal => "focal",
        Role::Sentiment => "sentiment",
        _ => "feature",
    }
}

impl Sketch {
    /// What stands on the page at first: a panel in the middle, or a layout that is there.
    pub(super) fn beginning(room: &Room, like: Option<&Layout>) -> Self {
        let settings = &room.stash.settings;
        let unit = settings.unit;
        let exact = |length: Length| length.exact(unit);
        if let Some(layout) = like {
            let drawn = Drawn::as_drawn(layout, layout.card, settings.ruler);
            let panels = drawn.order.iter().map(|place| {
                let panel = &drawn.panels[*place];
                let own = &layout.panels[*place];
                let rect = panel.footprint;
                PanelRow {
                    id: panel.id.clone(),
                    role: role_key(own.role).to_owned(),
                    left: exact(rect.left),
                    top: exact(rect.top),
                    width: exact(rect.width()),
                    height: exact(rect.height()),
                    on: own
                        .on
                        .first()
                        .and_then(|on| layout.panels.get(*on))
                        .map_or_else(String::new, |on| on.id.clone()),
                    mat: own.mats.first().map_or_else(String::new, |mat| exact(*mat)),
                }
            });
            let name = format!("{}, mine", layout.name);
            return Self { name, card: layout.card.exact(unit), panels: panels.collect(), scale: scale(unit) };
        }
        let card = settings
            .cards
            .first()
            .copied()
            .unwrap_or(Size::new(Length::micrometres(107_950), Length::micrometres(139_700)));
        let step = if settings.ruler.is_positive() { settings.ruler } else { Length::MILLIMETRE };
        let edge = Length::micrometres(6_350).round_to(step);
        let panel = PanelRow {
            id: "background".to_owned(),
            role: "background".to_owned(),
            left: exact(edge),
            top: exact(edge),
            width: exact(card.width - edge * 2),
            height: exact(card.height - edge * 2),
            ..PanelRow::default()
        };
        Self { name: String::new(), card: card.exact(unit), panels: vec![panel], scale: scale(unit) }
    }

    /// What the form says. Fields of one name belong together by their order.
    pub(super) fn from_form(view: &View<'_>) -> Self {
        let Body::Form(fields, _) = &view.asked.body else { return Self::default() };
        let all = |name: &str| -> Vec<String> {
            let own = fields.iter().filter(|(key, _)| key == name).map(|(_, value)| plain(value));
            own.take(MOST + 1).collect()
        };
        let columns = ["id", "role", "left", "top", "width", "height", "on", "mat"].map(all);
        let at = |column: usize, row: usize| columns[column].get(row).cloned().unwrap_or_default();
        let panels = (0..columns[0].len()).map(|row| PanelRow {
            id: at(0, row),
            role: at(1, row),
            left: at(2, row),
            top: at(3, row),
            width: at(4, row),
            height: at(5, row),
            on: at(6, row),
            mat: at(7, row),
        });
        let field = |name: &str| plain(view.asked.field(name).unwrap_or_default());
        Self { name: field("name"), card: field("card"), panels: panels.collect(), scale: scale(view.unit) }
    }

    /// The layout as TOML.
    fn toml(&self, unit: Unit) -> String {
        // A bare number means what it meant on the page, whatever the stash's unit.
        let length = |text: &str| match Length::parse(text, unit) {
            Ok(length) => quoted(&length.exact(unit)),
            Err(_) => quoted(text),
        };
        let card = Size::parse(&self.card, unit).map_or_else(|_| quoted(&self.card), |size| quoted(&size.exact(unit)));
        let mut text = format!(
            "# Drawn on the pages of Swatchfold.\nkind = \"layout\"\nformat = 1\nname = {}\ncard = {card}\n",
            quoted(&self.name)
        );
        for panel in &self.panels {
            let _ = write!(text, "\n[[panel]]\nid = {}\nrole = {}\n", quoted(&panel.id), quoted(&panel.role));
            if !panel.on.is_empty() {
                let _ = writeln!(text, "on = {}", quoted(&panel.on));
            }
            for (key, value) in
                [("left", &panel.left), ("top", &panel.top), ("width", &panel.width), ("height", &panel.height)]
            {
                let _ = writeln!(text, "{key} = {}", length(value));
            }
            if !panel.mat.is_empty() {
                let _ = writeln!(text, "mats = [{}]", length(&panel.mat));
            }
        }
        text
    }
}

fn plain(text: &str) -> String {
    text.chars().filter(|sign| !sign.is_control()).take(100).collect::<String>().trim().to_owned()
}

/// Saves a layout in the stash; gives its id, or all that is wrong in words.
pub(super) fn save(view: &View<'_>, sketch: &Sketch) -> Result<String, Vec<String>> {
    if sketch.name.is_empty() {
        return Err(vec!["Give it a name.".to_owned()]);
    }
    if sketch.panels.is_empty() || sketch.panels.len() > MOST {
        return Err(vec![format!("A layout has from 1 to {MOST} panels.")]);
    }
    let text = sketch.toml(view.unit);
    let id = free_id(view.room(), &sketch.name);
    let file = PathBuf::from(format!("{id}.toml"));
    let reading = read_sources(vec![Source::new(&file, text.as_str())]);
    let settings = &view.room().stash.settings;
    let mut wrong: Vec<String> =
        reading.problems.iter().map(|problem| format!("{}. {}.", problem.message(), problem.remedy())).collect();
    for layout in &reading.stash.layouts {
        if let Err(problems) = crate::layout::check(layout, settings) {
            wrong.extend(problems.iter().map(|problem| format!("{}. {}.", problem.message(), problem.remedy())));
        }
    }
    if wrong.is_empty() && reading.stash.layouts.is_empty() {
        wrong.push("There is no panel in it.".to_owned());
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let folder = view.pages.desk.folder.join(FOLDER);
    if view.room().built_in_layouts {
        // A stash with a layout of its own no longer has the built-in ones: they are copied beside it.
        for (name, text) in built_in_layout_files() {
            if !folder.join(name).exists() {
                save_file(&folder, name, text.as_bytes()).map_err(|why| vec![why])?;
            }
        }
    }
    save_file(&folder, &format!("{id}.toml"), text.as_bytes()).map_err(|why| vec![why])?;
    Ok(id)
}

fn free_id(room: &Room, name: &str) -> String {
    let slug: String =
        name.to_lowercase().chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { '-' }).collect();
    let slug = slug.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    let slug: String = if slug.is_empty() { "layout".to_owned() } else { slug.chars().take(40).collect() };
    let is_free = |id: &String| {
        room.layouts.iter().all(|layout| layout.id != *id)
            && !room.stash.folder.join(FOLDER).join(format!("{id}.toml")).exists()
    };
    std::iter::once(slug.clone()).chain((2..).map(|number| format!("{slug}-{number}"))).find(is_free).unwrap_or(slug)
}

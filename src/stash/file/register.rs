//! Who has which id: each is given once in a stash, and whoever comes second is told where the
//! first one stands.

use super::document::Document;
use super::fields::Fields;
use super::reader::{Origin, Reader};
use crate::problem::{Fault, Outcome, Place, Problem};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The ids of one sort of thing.
#[derive(Default)]
pub(super) struct Register {
    taken: BTreeMap<String, Origin>,
    /// Ids of things that could not be read: whoever refers to one need not be told again.
    broken: BTreeSet<String>,
}

impl Register {
    /// Takes an id, or says who has it.
    pub(super) fn claim(&mut self, fields: &Fields<'_, '_>, id: &str) -> bool {
        // The key itself where there is one, else the header.
        let span = fields.value("id").map_or_else(|| fields.span.clone(), |value| value.span);
        if let Some(first) = self.taken.get(id) {
            let place = || fields.document.reader.place(first);
            let fault = || Fault::DuplicateId { id: id.to_owned(), first: Box::new(place()) };
            fields.document.report_with(span, fields.left_out(), fault);
            return false;
        }
        self.taken.insert(id.to_owned(), fields.origin_of(span));
        true
    }

    /// Remembers an id whose thing could not be read.
    pub(super) fn mark_broken(&mut self, id: String) {
        self.broken.insert(id);
    }

    /// Whether an id, or what it is a part of, is that of a thing that could not be read.
    pub(super) fn is_broken(&self, id: &str) -> bool {
        std::iter::successors(Some(id), |id| id.rsplit_once('/').map(|(whole, _)| whole))
            .any(|id| self.broken.contains(id))
    }
}

/// What the ids made from file names begin with.
#[derive(Default)]
pub(super) struct Prefixes {
    taken: BTreeMap<String, usize>,
}

impl Prefixes {
    /// What the ids of a file's entries begin with: its name, or its whole path where another
    /// file has that name, which is told once.
    pub(super) fn of(&mut self, document: &Document<'_>) -> String {
        if let Some(known) = document.prefix.get() {
            return known.clone();
        }
        let file = &document.source.file;
        let name = slug(&file.with_extension("").file_name().unwrap_or_default().to_string_lossy());
        let prefix = match self.taken.get(&name) {
            Some(&first) if first != document.number => {
                tell_twins(document.reader, document.number, first, &name);
                path_slug(file)
            }
            _ => name,
        };
        self.taken.entry(prefix.clone()).or_insert(document.number);
        document.prefix.get_or_init(|| prefix).clone()
    }
}

/// Says that two files would give the same ids.
fn tell_twins(reader: &Reader<'_>, second: usize, first: usize, id: &str) {
    let number = second;
    let [first, second] = [first, second].map(|number| Place::whole(&reader.sources[number].file));
    let fault = Fault::DuplicateFileName { id: id.to_owned(), first: Box::new(first) };
    let outcome =
        Outcome::TakenAs(format!("if its ids began with {}", crate::problem::quoted(&path_slug(&second.file))));
    reader.tell(number, || Problem::new(second, fault).with(outcome));
}

/// The parts of a path as one id.
fn path_slug(file: &Path) -> String {
    let parts: Vec<String> =
        file.with_extension("").components().map(|part| slug(&part.as_os_str().to_string_lossy())).collect();
    parts.join("/")
}

/// A name as an id: small letters and digits of any script, with hyphens between.
pub(crate) fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars().flat_map(char::to_lowercase) {
        if letter.is_alphanumeric() {
            slug.push(letter);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug: String = slug.trim_end_matches('-').chars().take(60).collect();
    if slug.is_empty() { "unnamed".into() } else { slug }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_becomes_an_id_in_any_script() {
        for (name, id) in [
            ("Deep  Navy", "deep-navy"),
            ("  1/8\" dots! ", "1-8-dots"),
            ("Крафт", "крафт"),
            ("שלום עולם", "שלום-עולם"),
            ("🌸", "unnamed"),
        ] {
            assert_eq!(slug(name), id);
        }
        assert_eq!(path_slug(Path::new("Old box/Blue.toml")), "old-box/blue");
    }
}

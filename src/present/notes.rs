//! What to look out for when a card is made: edges that must be clean, trims, see-through layers.
//!
//! A suggestion in; plain sentences without a full stop out, in the order of its layers.

use super::pieces::{Fit, Whole, fit, is_on_foam, parts, pieces};
use super::words::with_article;
use crate::index::Source;
use crate::score::{Suggestion, Table};
use api::{Material, Role};

/// The notes for a card.
#[must_use]
pub fn notes(table: Table<'_>, card: &Suggestion) -> Vec<String> {
    let (index, unit) = (table.index, table.settings.unit);
    let mut notes: Vec<String> = Vec::new();
    let mut note = |text: String| {
        if !notes.contains(&text) {
            notes.push(text);
        }
    };
    for piece in pieces(index, card) {
        let layer = &card.network.layers[piece.layer];
        let stock = index.stock(piece.stock);
        let the = if layer.role == Role::Base { "the card base".to_owned() } else { with_article(&layer.id) };
        let id = stock.id();
        match fit(index, &piece, table.settings.error_budget) {
            Fit::Roomy => {}
            Fit::Exact { width, height } => {
                let (side, edges) = match (width, height) {
                    (Whole::Yes, Whole::Yes) => ("all", "its edges are"),
                    (Whole::Yes, Whole::No) => ("the full width", "its side edges are"),
                    _ => ("the full height", "its top and bottom edges are"),
                };
                note(format!("{the}: {side} of {id} is used; check that {edges} clean and square"));
            }
            Fit::Tight { spare } => {
                let spare = spare.exact(unit);
                note(format!("{the}: only {spare} of {id} is to spare; measure it before you cut"));
            }
        }
        if layer.overruns {
            note(format!("trim {the} flush with what lies beneath, after gluing"));
        }
        match index.face(piece.face).view.material {
            Material::Vellum => {
                if is_on_foam(&card.network.layers, piece.layer) {
                    note(format!(
                        "foam shows through vellum: {the} is raised, so put foam only where what lies on it hides the foam, or lay it flat"
                    ));
                }
                note(format!("vellum hides nothing: glue {the} only where another layer covers the glue"));
            }
            _ if index.face(piece.face).source == Source::AssumedBase => {
                note("no plain stock is listed, so a white card base is taken for granted".to_owned());
            }
            _ => {}
        }
    }
    for part in parts(table.images, index, card) {
        if index.face(part.face).view.material == Material::Vellum {
            note(format!("the part `{}` is vellum and hides nothing", part.part));
        }
    }
    notes
}

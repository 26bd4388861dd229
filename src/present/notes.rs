//! What to look out for when a card is made: edges that must be clean, trims, see-through layers.
//!
//! A suggestion in; plain sentences without a full stop out, in the order of its layers.

use super::pieces::{Fit, Made, Whole, fit, parts, pieces};
use super::words::with_article;
use crate::index::{Source, StockKind};
use crate::score::{Suggestion, Table};
use api::Material;

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
        let (the, id) = (with_article(&layer.id), stock.id());
        match fit(index, &piece, table.settings.error_budget) {
            Fit::Roomy => {}
            Fit::Exact { width, height } => {
                let (side, edges) = match (width, height) {
                    (Whole::Yes, Whole::Yes) => ("whole of", "its edges are"),
                    (Whole::Yes, Whole::No) => ("full width of", "its side edges are"),
                    _ => ("full height of", "its top and bottom edges are"),
                };
                note(format!("{the} takes the {side} {id}: check that {edges} clean and square"));
            }
            Fit::Tight { spare } => {
                note(format!("{the} leaves only {} of {id}: measure the sheet before you cut", spare.exact(unit)));
            }
        }
        if layer.overruns {
            note(format!("{the} reaches past what it lies on: trim it flush after gluing"));
        }
        match index.face(piece.face).view.material {
            Material::Vellum => {
                note(format!("{the} is vellum and hides nothing: glue it only where another layer covers the glue"));
            }
            _ if index.face(piece.face).source == Source::AssumedBase => {
                note("no plain stock is listed, so a white card base is taken for granted".to_owned());
            }
            _ => {}
        }
        if let Made::Die(die) = piece.made
            && table.dies.get(die).is_some_and(|die| die.margin.is_positive())
        {
            note(format!("{the} is cut larger than its die, so that the paper reaches past the blade all round"));
        }
        if layer.raised && stock.kind != StockKind::CardBase {
            note(format!("{the} is raised on foam"));
        }
    }
    for part in parts(table.images, index, card) {
        if index.face(part.face).view.material == Material::Vellum {
            note(format!("the part `{}` is vellum and hides nothing", part.part));
        }
    }
    notes
}

//! The pictures a booklet shows: a plan and the stash it is of in; small copies of the papers' pictures
//! by paper, the words of sentiments, and what is missing out.

use super::batch::Batch;
use super::pdf::Bytes;
use crate::index::Source;
use crate::present::pictures::small_copy_of;
use crate::room::Room;
use crate::swatch::Cache;
use std::collections::BTreeMap;

/// A paper's picture.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Print {
    /// Its place in the list.
    pub(crate) picture: usize,
    /// How much of the paper it shows, in millimetres; an image is shown whole.
    pub(crate) of: Option<(f64, f64)>,
}

/// All there is to show.
#[derive(Default)]
pub(crate) struct Prints {
    pub(crate) by_paper: BTreeMap<String, Print>,
    pub(crate) pictures: Vec<Bytes>,
    /// Names of papers with a picture that is missing or cannot be read, or that the stash does not have.
    pub(crate) missing: Vec<String>,
    /// What each paper is called.
    pub(crate) names: BTreeMap<String, String>,
    /// The words of each sentiment.
    pub(crate) words: BTreeMap<String, String>,
}

impl Prints {
    /// Reads the pictures of a plan's papers.
    pub(crate) fn of(room: &Room, batch: &Batch) -> Self {
        let cache = Cache::of(&room.stash.folder).beside("pictures");
        let mut prints = Self::default();
        let layers = batch.cards.iter().flat_map(|cards| &cards.suggestion.layers);
        let mut papers: BTreeMap<&str, &str> =
            layers.map(|layer| (layer.paper.as_str(), layer.name.as_str())).collect();
        // A card may show only the back of a sheet; its map shows the front.
        for sheet in &batch.sheets {
            papers.entry(&sheet.paper).or_insert(&sheet.paper);
        }
        for (id, name) in papers {
            let Some(face) = room.index.find(id) else {
                prints.missing.push(name.to_owned());
                continue;
            };
            let (picture, of) = match room.index.face(face).source {
                Source::Paper(place) => {
                    let Some(paper) = room.stash.papers.get(place) else { continue };
                    let entered = paper.picture_of;
                    let lines = room.index.face(face).stock.iter().map(|stock| room.index.stock(*stock));
                    let of = entered.or_else(|| {
                        lines.map(|stock| (stock.width, stock.height)).max_by_key(|(width, height)| *width * *height)
                    });
                    (paper.picture.as_deref(), of)
                }
                Source::Image(place) => (room.stash.images.get(place).and_then(|image| image.picture.as_deref()), None),
                Source::AssumedBase => (None, None),
            };
            let Some(path) = picture else { continue };
            match small_copy_of(&room.stash.folder.join(path), &cache) {
                None => prints.missing.push(name.to_owned()),
                Some(copy) => {
                    let of = of.map(|(width, height)| {
                        (width.millimetres_for_drawing().max(1.0), height.millimetres_for_drawing().max(1.0))
                    });
                    prints.by_paper.insert(id.to_owned(), Print { picture: prints.pictures.len(), of });
                    prints.pictures.push(Bytes { bytes: copy.bytes, format: copy.format });
                }
            }
        }
        for paper in batch.sheets.iter().map(|sheet| &sheet.paper) {
            if let Some(face) = room.index.find(paper) {
                prints.names.insert(paper.clone(), room.index.face(face).view.name.clone());
            }
        }
        let words = room.stash.sentiments.iter().map(|sentiment| (sentiment.id.clone(), sentiment.words.clone()));
        prints.words = words.collect();
        prints
    }
}

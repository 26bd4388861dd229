//! Which cardstock sets a paper off: every plain face on hand, ranked as a mat behind one paper.

use super::jury::{Family, Jury, ONE};
use super::suggest::Reason;
use crate::index::{Class, FaceId, Index};
use crate::matching::MAT_MATERIALS;
use api::{Relation, Subject};

/// One cardstock as a mat.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mat {
    /// The cardstock.
    pub face: FaceId,
    /// How well it does, in millionths: the reasons' weights of their values, each rounded down.
    pub score: u64,
    /// Why; the weights add up to at most one.
    pub reasons: Vec<Reason>,
}

/// Ranks all plain stock on hand as a mat behind `paper`, best first, ties in the order of ids.
///
/// Only scorers that judge a mat and the panel on it are asked, each by its share among them.
#[must_use]
pub fn mats(index: &Index, jury: &Jury, paper: FaceId) -> Vec<Mat> {
    let asked: Vec<_> = jury
        .members
        .iter()
        .filter(|member| matches!(member.family, Family::Pair(_)) && member.pair_range(Relation::MatBehind).is_some())
        .collect();
    let shares: u64 = asked.iter().map(|member| member.share).sum();
    let panel = &index.face(paper).view;
    let could_be_mat = |face: &&FaceId| {
        let face = index.face(**face);
        MAT_MATERIALS.contains(&face.view.material) && !face.stock.is_empty()
    };
    let mut mats: Vec<Mat> = index
        .class(Class::Plain)
        .iter()
        .filter(could_be_mat)
        .map(|face| {
            let mat = &index.face(*face).view;
            let reasons: Vec<Reason> = asked
                .iter()
                .map(|member| {
                    let worth = member.pair(Relation::MatBehind, panel, mat);
                    Reason {
                        scorer: member.name().to_owned(),
                        about: Vec::new(),
                        value: worth.map_or(member.neutral(), |worth| u64::from(worth.millionths())),
                        weight: member.share * ONE / shares.max(1),
                        why: worth.map_or_else(
                            || "has no opinion here".to_owned(),
                            |_| member.scorer.why(&Subject::MatBehind { panel, mat }),
                        ),
                    }
                })
                .collect();
            let score = reasons.iter().map(|reason| reason.value * reason.weight / ONE).sum();
            Mat { face: *face, score, reasons }
        })
        .collect();
    mats.sort_by_key(|mat| (std::cmp::Reverse(mat.score), mat.face));
    mats
}

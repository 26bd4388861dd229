//! One judge tried on two papers: what it was shown and what it answered, for whoever writes one.

use super::host::Script;
use crate::index::{FaceId, Index};
use crate::problem::Problem;
use api::units::Length;
use api::{CardView, PieceView, Relation, Role, Scorer, Subject, Worth};

/// One question and what came of it.
#[derive(Debug)]
pub struct Answered {
    /// What was asked, in the words of `plugins`: "mat behind".
    pub term: &'static str,
    /// Of whom: "as the sentiment"; empty where the term says it all.
    pub of: &'static str,
    /// What it answered; `None` for no opinion.
    pub worth: Option<Worth>,
    /// The reason a suggestion would show; empty without an opinion.
    pub why: String,
    /// What a script printed, line by line.
    pub printed: Vec<String>,
    /// The most steps any call of a script took; `None` for a judge that is no script.
    pub steps: Option<u64>,
}

/// A judge, tried.
#[derive(Debug)]
pub struct Trial {
    /// What was asked, and answered.
    pub answers: Vec<Answered>,
    /// What stopped it, if anything did; then nothing more was asked.
    pub failure: Option<Box<Problem>>,
}

/// Asks a judge all it answers about `paper` and `cardstock`: as mat and panel, as papers that touch and
/// that share a card, in their roles, as pieces, and as the smallest of cards.
#[must_use]
pub fn try_out(scorer: &dyn Scorer, script: Option<&Script>, index: &Index, paper: FaceId, cardstock: FaceId) -> Trial {
    let (panel, mat) = (&index.face(paper).view, &index.face(cardstock).view);
    let piece = |face: FaceId, role| {
        let of = index.face(face);
        let inch = (Length::INCH, Length::INCH);
        let (width, height) = of.stock.first().map_or(inch, |stock| {
            let line = index.stock(*stock);
            (line.width, line.height)
        });
        PieceView::whole_sheet(&of.view, role, width, height)
    };
    let pieces = [piece(cardstock, Role::Base), piece(paper, Role::Background)];
    let card = CardView::new(&pieces, &[(Relation::Touching, 1, 0)]);
    let asked = [
        ("piece", "the paper as background", Subject::Piece(&pieces[1])),
        ("piece", "the cardstock as card base", Subject::Piece(&pieces[0])),
        ("in role", "the paper as background", Subject::InRole { paper: panel, role: Role::Background }),
        ("in role", "the cardstock as mat", Subject::InRole { paper: mat, role: Role::Mat }),
        ("in role", "the cardstock as sentiment", Subject::InRole { paper: mat, role: Role::Sentiment }),
        ("mat behind", "", Subject::MatBehind { panel, mat }),
        ("touching", "the paper on the cardstock", Subject::Touching { upper: panel, lower: mat }),
        ("same card", "", Subject::SameCard(panel, mat)),
        ("card", "the paper as background on the cardstock", Subject::Card(&card)),
    ];
    let mut trial = Trial { answers: Vec::new(), failure: None };
    for (term, of, subject) in asked {
        if !answers(scorer, &subject) {
            continue;
        }
        let answered = match script {
            None => {
                let worth = answer(scorer, &subject);
                let why = worth.map_or_else(String::new, |_| scorer.why(&subject));
                Answered { term, of, worth, why, printed: Vec::new(), steps: None }
            }
            Some(script) => match script.try_out(&subject) {
                Ok(tried) => {
                    let why = if tried.worth.is_some() { tried.why } else { String::new() };
                    Answered { term, of, worth: tried.worth, why, printed: tried.printed, steps: Some(tried.steps) }
                }
                Err(problem) => {
                    trial.failure = Some(problem);
                    return trial;
                }
            },
        };
        trial.answers.push(answered);
    }
    trial
}

/// Whether a judge answers questions of this kind.
fn answers(scorer: &dyn Scorer, subject: &Subject<'_>) -> bool {
    let ranges = &scorer.manifest().ranges;
    match subject {
        Subject::Piece(_) => ranges.piece.is_some(),
        Subject::InRole { .. } => ranges.in_role.is_some(),
        Subject::MatBehind { .. } => ranges.mat_behind.is_some(),
        Subject::Touching { .. } => ranges.touching.is_some(),
        Subject::SameCard(..) => ranges.same_card.is_some(),
        Subject::Card(_) => ranges.card.is_some(),
        _ => false,
    }
}

fn answer(scorer: &dyn Scorer, subject: &Subject<'_>) -> Option<Worth> {
    match *subject {
        Subject::Piece(piece) => scorer.piece(piece),
        Subject::InRole { paper, role } => scorer.in_role(paper, role),
        Subject::MatBehind { panel, mat } => scorer.mat_behind(panel, mat),
        Subject::Touching { upper, lower } => scorer.touching(upper, lower),
        Subject::SameCard(one, other) => scorer.same_card(one, other),
        Subject::Card(card) => scorer.card(card),
        _ => None,
    }
}

//! The one trait a scorer implements.

use crate::{CardView, Manifest, Material, PaperView, PieceView, Relation, Role, Worth};

/// What a scorer is asked to explain: the same things it is asked to judge.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Subject<'a> {
    /// One piece in its place.
    Piece(&'a PieceView<'a>),
    /// A paper in a role.
    InRole {
        /// The paper.
        paper: &'a PaperView,
        /// What it is for.
        role: Role,
    },
    /// A mat and the panel that lies on it.
    MatBehind {
        /// What lies on the mat.
        panel: &'a PaperView,
        /// What shows round the panel.
        mat: &'a PaperView,
    },
    /// Two papers that meet on the card.
    Touching {
        /// The one on top.
        upper: &'a PaperView,
        /// The one beneath.
        lower: &'a PaperView,
    },
    /// Two patterned papers anywhere on one card; the order means nothing.
    SameCard(&'a PaperView, &'a PaperView),
    /// The card as a whole.
    Card(&'a CardView<'a>),
}

/// A judge of one thing about a card.
///
/// Answers must depend on nothing but what is shown: no clock, no randomness, no counting of calls.
/// `None` means "no opinion"; see [`crate::Gather`] for what that counts as.
pub trait Scorer: Send + Sync {
    /// Name, ranges, knobs.
    fn manifest(&self) -> &Manifest;

    /// Asked once for each piece and each paper that could be it.
    fn piece(&self, _piece: &PieceView<'_>) -> Option<Worth> {
        None
    }

    /// The most that this piece could be worth if it were of this size or smaller. `None` where only
    /// the range is known. It makes the search shorter, and must never be less than an answer of
    /// [`Scorer::piece`] for a smaller piece cut from the same stock.
    fn piece_at_most(&self, _largest: &PieceView<'_>) -> Option<Worth> {
        None
    }

    /// Asked once for each paper and each role it could have, whatever its size and wherever it is cut from.
    fn in_role(&self, _paper: &PaperView, _role: Role) -> Option<Worth> {
        None
    }
    /// Whether it may have an opinion on two papers of these materials in a relation. It makes the search
    /// shorter; where it says no, the answer about such papers must be `None`.
    fn speaks_of(&self, _relation: Relation, _upper: Material, _lower: Material) -> bool {
        true
    }
    /// Asked once for each panel and each mat that could lie behind it.
    fn mat_behind(&self, _panel: &PaperView, _mat: &PaperView) -> Option<Worth> {
        None
    }

    /// Asked once for each two papers that could meet with no mat between them.
    fn touching(&self, _upper: &PaperView, _lower: &PaperView) -> Option<Worth> {
        None
    }

    /// Asked once for each two patterned papers that could share a card. Must not depend on their order.
    fn same_card(&self, _one: &PaperView, _other: &PaperView) -> Option<Worth> {
        None
    }

    /// Asked for a finished card.
    fn card(&self, _card: &CardView<'_>) -> Option<Worth> {
        None
    }

    /// What the last answer of [`Scorer::card`] given on this thread took, in candidates weighed (some
    /// 50 ns each), the same on every machine: so that the work a question allows bounds its time however
    /// slow a scorer is. Nothing to speak of, as a rule.
    fn card_took(&self) -> u64 {
        0
    }

    /// Whether it has given up, as a script does that reached one of its limits. Nothing that was judged
    /// with it counts: the search ends as soon as it is noticed, and is begun anew without it.
    fn has_failed(&self) -> bool {
        false
    }

    /// Why it judged as it did, in one short clause of a maker's words, without a full stop:
    /// "takes up the rust in the small leaves".
    fn why(&self, subject: &Subject<'_>) -> String;
}

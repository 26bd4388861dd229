//! Settings: what the maker may turn, and our defaults where she has not.

use crate::problem::Place;
use api::units::{Length, Region, Size, Unit};
use api::{Knobs, Share, Worth};
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of change a layout may undergo, for their costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChangeKind {
    /// Made for a card of another size.
    CardSize,
    /// The whole layout turned a quarter.
    Turn,
    /// The whole layout mirrored left to right.
    Mirror,
    /// More (or less) of the card base showing round the front.
    Border,
    /// Plain cardstock for the ground.
    PlainGround,
    /// A mat's edge shows wider or narrower.
    Reveal,
    /// Another mat slipped in.
    SlipMat,
    /// A band or panel cut to what the paper gives.
    ResizeToPaper,
    /// A panel made larger, to the image on it.
    ResizeToImage,
    /// A quiet plain shape slipped beneath an image on a busy ground.
    QuietShape,
    /// A wide panel built from equal strips with even gaps.
    Strips,
    /// A panel of which nothing shows left out.
    LeaveOut,
    /// Only those parts of a panel cut that show.
    EndsOnly,
    /// A panel pieced together with its seam hidden.
    Join,
}

impl ChangeKind {
    /// All of them, in the order of their declaration.
    pub const ALL: [Self; 14] = [
        Self::CardSize,
        Self::Turn,
        Self::Mirror,
        Self::Border,
        Self::PlainGround,
        Self::Reveal,
        Self::SlipMat,
        Self::ResizeToPaper,
        Self::ResizeToImage,
        Self::QuietShape,
        Self::Strips,
        Self::LeaveOut,
        Self::EndsOnly,
        Self::Join,
    ];

    /// Its key in the settings and in JSON, in kebab-case.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::CardSize => "card-size",
            Self::Turn => "turn",
            Self::Mirror => "mirror",
            Self::Border => "border",
            Self::PlainGround => "plain-background",
            Self::Reveal => "reveal",
            Self::SlipMat => "slip-mat",
            Self::ResizeToPaper => "resize-to-paper",
            Self::ResizeToImage => "resize-to-image",
            Self::QuietShape => "quiet-shape",
            Self::Strips => "strips",
            Self::LeaveOut => "leave-out",
            Self::EndsOnly => "ends-only",
            Self::Join => "hidden-join",
        }
    }

    /// What it costs until she says otherwise: the more it shows, the more. Common practice, no source.
    #[must_use]
    pub const fn usual_cost(self) -> Worth {
        let thousandths = match self {
            Self::Mirror => 10,
            Self::Reveal | Self::LeaveOut => 20,
            Self::Turn | Self::Border | Self::ResizeToImage => 30,
            // They show nothing: the handling is what they cost.
            Self::CardSize | Self::SlipMat | Self::EndsOnly => 40,
            Self::Join => 45,
            Self::ResizeToPaper | Self::QuietShape => 50,
            Self::Strips => 60,
            Self::PlainGround => 80,
        };
        match Worth::from_millionths(thousandths * 1_000) {
            Some(cost) => cost,
            None => Worth::ONE,
        }
    }
}

/// One scorer's settings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScorerSetting {
    /// Its weight; `None` is the scorer's own.
    pub weight: Option<f64>,
    /// Its knobs.
    pub knobs: Knobs,
    /// Where its section stands, for whoever knows whether there is such a scorer.
    pub place: Option<Place>,
    /// Where each knob stands, for whoever knows whether there is such a knob and what range it has.
    pub knob_places: BTreeMap<String, Place>,
}

/// Everything the maker may turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// The unit of a bare number, and the one things are shown in.
    pub unit: Unit,
    /// Whose names a bare `A2` means.
    pub region: Region,
    /// The finest step she sets on a ruler.
    pub ruler: Length,
    /// How far off a scan, a ruler and a hand trimmer may be, together; common practice, no source.
    pub error_budget: Length,
    /// Card sizes she makes, to which a layout may be carried.
    pub cards: Vec<Size>,
    /// Borders she would use; common practice, no source.
    pub borders: Vec<Length>,
    /// Edges she would let show; common practice, no source.
    pub reveals: Vec<Length>,
    /// What each kind of change costs.
    pub costs: BTreeMap<ChangeKind, Worth>,
    /// The kinds of change she never makes.
    pub never: BTreeSet<ChangeKind>,
    /// Scorers by name.
    pub scorers: BTreeMap<String, ScorerSetting>,
    /// How many suggestions to list.
    pub list: u32,
    /// At most so many of one layout in a list; `None` is no limit.
    pub per_layout: Option<u32>,
    /// What makes a plan for a batch better, in order.
    pub goals: Vec<super::Goal>,
    /// The most changes a card may have.
    pub most_changes: u32,
    /// The busiest paper an image may lie on without a quiet shape between; common practice, no source.
    pub quiet: Share,
    /// How far pieces run beneath what covers their ends or seams; common practice, no source.
    pub glue_margin: Length,
    /// Whether the hidden middle of a mat may be cut out with a knife and used for another piece of a batch.
    pub hollow_mats: bool,
    /// Steps beneath a layer higher than this are levelled; common practice, no source.
    pub level_above: Length,
    /// The widest span that foam leaves without support; common practice, no source.
    pub foam_span: Length,
    /// Whether finishing dots are set on cards, where there are any and they go.
    pub finishing_dots: bool,
}

/// Sixty-fourths of an inch.
const fn sixty_fourths(count: i64) -> Length {
    Length::from_nanometres(count * 396_875)
}

impl Settings {
    /// What holds for makers of a region until they say otherwise: its unit, its ruler, its usual
    /// card sizes, and the borders and edges one sets by it.
    #[must_use]
    pub fn of(region: Region) -> Self {
        let millimetres = |half: i64| Length::micrometres(half * 500);
        let (unit, ruler, cards, edges) = match region {
            // 4 1/4 x 5 1/2 in and 5 x 7 in; 1/16 to 3/8 in.
            Region::Us => (
                Unit::Inch,
                sixty_fourths(4),
                [(17 * 16, 22 * 16), (5 * 64, 7 * 64)]
                    .map(|(width, height)| (sixty_fourths(width), sixty_fourths(height))),
                [4, 8, 12, 16, 24].map(sixty_fourths),
            ),
            // 105 x 148 mm and 148 x 210 mm; 1.5 to 10 mm.
            Region::Iso => (
                Unit::Millimetre,
                millimetres(2),
                [(210, 296), (296, 420)].map(|(width, height)| (millimetres(width), millimetres(height))),
                [3, 6, 10, 12, 20].map(millimetres),
            ),
        };
        Self {
            unit,
            region,
            ruler,
            // A hand trimmer's 1/32 in; it swallows a scan's half millimetre.
            error_budget: sixty_fourths(2),
            cards: cards.into_iter().map(|(width, height)| Size::new(width, height)).collect(),
            borders: edges[1..].to_vec(),
            reveals: edges.to_vec(),
            costs: ChangeKind::ALL.into_iter().map(|kind| (kind, kind.usual_cost())).collect(),
            never: BTreeSet::new(),
            scorers: BTreeMap::new(),
            list: 24,
            per_layout: None,
            goals: super::Goal::ALL.to_vec(),
            most_changes: 3,
            quiet: Share::HALF,
            // 1/4 in or 6 mm.
            glue_margin: if region == Region::Us { sixty_fourths(16) } else { millimetres(12) },
            hollow_mats: false,
            level_above: Length::micrometres(100),
            foam_span: Length::INCH,
            finishing_dots: true,
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::of(Region::Us)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::units::Ruler;

    #[test]
    fn every_kind_of_change_is_listed_once_and_has_a_cost() {
        let mut keys: Vec<&str> = ChangeKind::ALL.iter().map(|kind| kind.key()).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), ChangeKind::ALL.len());
        assert!(ChangeKind::ALL.iter().all(|kind| kind.usual_cost() > Worth::ZERO && kind.usual_cost() < Worth::HALF));
    }

    #[test]
    fn the_usual_lengths_can_be_set_on_the_usual_ruler() {
        for region in [Region::Us, Region::Iso] {
            let settings = Settings::of(region);
            assert!(Ruler::with_step(settings.ruler).is_some(), "{region:?}");
            assert!(settings.borders.is_sorted() && settings.reveals.is_sorted());
            assert_eq!(settings.cards.len(), 2);
        }
        let usual: Vec<String> = Settings::default().cards.iter().map(|card| card.exact(Unit::Inch)).collect();
        assert_eq!(usual, ["4 1/4 x 5 1/2 in", "5 x 7 in"]);
    }
}

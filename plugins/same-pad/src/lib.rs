//! Scorer: do the patterned papers of this card come from one pad? Two papers in, a worth out.
//!
//! The papers of a pad were drawn to go together, so two of one pad are worth 1. Of all others it has
//! no opinion: papers of two pads may go together as well. Common practice, no source.

use api::{API_VERSION, Gather, Knobs, Manifest, PaperView, Ranges, Scorer, Subject, Worth};

struct SamePad {
    manifest: Manifest,
}

/// The scorer for papers of one pad. It has no knobs; its weight is the bonus.
#[must_use]
pub fn scorer(_: &Knobs) -> Box<dyn Scorer> {
    Box::new(SamePad {
        manifest: Manifest {
            name: "same-pad".into(),
            title: "papers of one pad together".into(),
            version: 1,
            api_version: API_VERSION,
            gather: Gather::Weakest,
            neutral: Worth::HALF,
            ranges: Ranges { same_card: Some(Worth::ONE), ..Ranges::default() },
            weight: 0.2,
            knobs: Vec::new(),
        },
    })
}

impl Scorer for SamePad {
    fn manifest(&self) -> &Manifest {
        &self.manifest
    }

    fn same_card(&self, one: &PaperView, other: &PaperView) -> Option<Worth> {
        (one.pad.is_some() && one.pad == other.pad).then_some(Worth::ONE)
    }

    fn why(&self, subject: &Subject<'_>) -> String {
        match subject {
            Subject::SameCard(one, other) if self.same_card(one, other).is_some() => {
                String::from("from one pad, drawn to go together")
            }
            _ => String::from("papers of different pads"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use api::Colour;

    fn paper(name: &str, pad: Option<u32>) -> PaperView {
        let mut paper = PaperView::plain(name, Colour::new(60.0, 10.0, 10.0));
        paper.pad = pad;
        paper
    }

    #[test]
    fn papers_of_one_pad_gain_and_no_others_lose() {
        let scorer = scorer(&Knobs::default());
        let (one, other) = (paper("Reeds", Some(1)), paper("Dots", Some(1)));
        let (elsewhere, loose) = (paper("Plums", Some(2)), paper("Leaf", None));
        assert_eq!(scorer.same_card(&one, &other), Some(Worth::ONE));
        assert_eq!(scorer.same_card(&one, &elsewhere), None);
        assert_eq!(scorer.same_card(&one, &loose), None);
        assert_eq!(scorer.same_card(&loose, &loose), None);
        assert_eq!(scorer.why(&Subject::SameCard(&one, &other)), "from one pad, drawn to go together");
        assert_eq!(scorer.why(&Subject::SameCard(&one, &loose)), "papers of different pads");
    }
}

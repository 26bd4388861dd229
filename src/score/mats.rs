//! Which cardstock sets a paper off: every plain face on hand, ranked as a mat behind one paper, or
//! between two; one mat or two. And where none does well, which colour would.

use super::jury::{Family, Jury, Member, ONE};
use super::suggest::Reason;
use crate::index::{Class, FaceId, Index, StockKind};
use crate::matching::MAT_MATERIALS;
use api::units::Length;
use api::{Colour, Gather, PaperView, Relation, Subject, colour_name, delta_e_2000};

/// What mats are wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The paper on top.
    pub paper: FaceId,
    /// The paper the mat lies on, which it has to set off as well; `None` is any.
    pub beneath: Option<FaceId>,
    /// How much of each mat shows, the nearest to the paper first: one or two.
    pub reveals: [Option<Length>; 2],
}

/// One cardstock as a mat, or two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mat {
    /// The cardstock next to the paper.
    pub face: FaceId,
    /// The cardstock round that, where two mats are wanted.
    pub outer: Option<FaceId>,
    /// How well it does, in millionths: the reasons' weights of their values, each rounded down.
    pub score: u64,
    /// Why; the weights add up to at most one.
    pub reasons: Vec<Reason>,
}

/// A colour to look for, where nothing on hand does well.
#[derive(Clone, Debug, PartialEq)]
pub struct LookFor {
    /// The colour.
    pub colour: Colour,
    /// Its nearest everyday name.
    pub name: &'static str,
    /// How well a cardstock of it would do, in millionths.
    pub score: u64,
    /// Why.
    pub reasons: Vec<Reason>,
    /// The nearest cardstock on hand, with its CIEDE2000 from that colour.
    pub nearest: Option<(FaceId, f64)>,
}

/// Mats, best first, and what to look for.
#[derive(Clone, Debug, PartialEq)]
pub struct Mats {
    /// All there are, best first, ties in the order of ids.
    pub mats: Vec<Mat>,
    /// What to look for, where the best of them does not do well.
    pub look_for: Option<LookFor>,
}

/// Below this, in millionths, a mat does not do well. Our own choice: what takes nothing up, or hardly
/// edges the paper, stays below it.
const GOOD: u64 = 550_000;
/// For two mats every pair is tried of so many that do best alone.
const MOST_PAIRED: usize = 60;

/// One meeting of two papers: how, upper, lower, and their places in the stack (paper 0, mats, beneath).
type Meeting<'a> = (Relation, &'a PaperView, &'a PaperView, [usize; 2]);

/// The members that judge mats, each with its share among them.
struct Bench<'a> {
    asked: Vec<&'a Member>,
    shares: u64,
}

/// Ranks all plain stock on hand as mats, best first, ties in the order of ids.
///
/// Only scorers that judge two papers that meet here are asked, each by its share among them; each is as
/// content as with the weakest meeting.
#[must_use]
pub fn mats(index: &Index, jury: &Jury, wanted: Wanted) -> Mats {
    let is_between = wanted.beneath.is_some() || wanted.reveals[1].is_some();
    let is_asked = |member: &&Member| {
        let judges = |relation| member.pair_range(relation).is_some();
        matches!(member.family, Family::Pair(_))
            && (judges(Relation::MatBehind) || (is_between && judges(Relation::Touching)))
    };
    let asked: Vec<&Member> = jury.members.iter().filter(is_asked).collect();
    let bench = Bench { shares: asked.iter().map(|member| member.share).sum(), asked };
    let could_be_mat = |face: &FaceId| {
        let of = index.face(*face);
        let can_be_cut = of.stock.iter().any(|stock| index.stock(*stock).kind != StockKind::CardBase);
        let is_itself = *face == wanted.paper || Some(*face) == wanted.beneath;
        MAT_MATERIALS.contains(&of.view.material) && can_be_cut && !is_itself
    };
    let view = |face: FaceId| &index.face(face).view;
    let beneath = wanted.beneath.map(view);
    let on_hand = || index.class(Class::Plain).iter().copied().filter(could_be_mat);
    let judged = |face: FaceId, outer: Option<FaceId>| {
        let stack: Vec<&PaperView> =
            [Some(view(wanted.paper)), Some(view(face)), outer.map(view), beneath].into_iter().flatten().collect();
        let (score, reasons) = bench.judge(&meetings(&stack));
        Mat { face, outer, score, reasons }
    };
    let best_first = |mats: &mut Vec<Mat>| mats.sort_by_key(|mat| (std::cmp::Reverse(mat.score), mat.face, mat.outer));
    let mut mats: Vec<Mat> = on_hand().map(|face| judged(face, None)).collect();
    best_first(&mut mats);
    let best_alone = mats.first().map_or(0, |mat| mat.score);
    if wanted.reveals[1].is_some() {
        let near: Vec<FaceId> = mats.iter().take(MOST_PAIRED).map(|mat| mat.face).collect();
        let mut pairs = Vec::new();
        for inner in &near {
            pairs.extend(near.iter().filter(|outer| *outer != inner).map(|outer| judged(*inner, Some(*outer))));
        }
        best_first(&mut pairs);
        mats = pairs;
    }
    let look_for = (best_alone < GOOD).then(|| {
        let (paper, on_hand) = (view(wanted.paper), on_hand().map(|face| (face, view(face).main_colour())));
        bench.look_for(paper, beneath, &on_hand.collect::<Vec<_>>())
    });
    Mats { mats, look_for: look_for.flatten().filter(|found| found.score > best_alone) }
}

/// Who meets whom in a stack, from the top: the paper is matted by what is next, all else touches.
fn meetings<'a>(stack: &[&'a PaperView]) -> Vec<Meeting<'a>> {
    let pairs = stack.windows(2).enumerate();
    let relation = |place| if place == 0 { Relation::MatBehind } else { Relation::Touching };
    pairs.map(|(place, pair)| (relation(place), pair[0], pair[1], [place, place + 1])).collect()
}

impl Bench<'_> {
    /// The score of some meetings and its reasons, scorer by scorer.
    fn judge(&self, meetings: &[Meeting<'_>]) -> (u64, Vec<Reason>) {
        let reasons: Vec<Reason> = self.asked.iter().map(|member| self.reason(member, meetings)).collect();
        (reasons.iter().map(|reason| reason.value * reason.weight / ONE).sum(), reasons)
    }

    fn reason(&self, member: &Member, meetings: &[Meeting<'_>]) -> Reason {
        let spoken = meetings.iter().filter_map(|meeting| {
            let worth = member.pair(meeting.0, meeting.1, meeting.2)?;
            Some((u64::from(worth.millionths()), meeting))
        });
        let spoken: Vec<_> = spoken.collect();
        let mean = || spoken.iter().map(|(worth, _)| worth).sum::<u64>() / spoken.len().max(1) as u64;
        let weakest = spoken.iter().min_by_key(|(worth, _)| *worth);
        let (value, about, why) = match weakest {
            None => (member.neutral(), Vec::new(), "has no opinion here".to_owned()),
            Some((worth, (relation, upper, lower, places))) => {
                let subject = match relation {
                    Relation::MatBehind => Subject::MatBehind { panel: upper, mat: lower },
                    _ => Subject::Touching { upper, lower },
                };
                let value = if member.family == Family::Pair(Gather::Mean) { mean() } else { *worth };
                (value, places.to_vec(), member.scorer.why(&subject))
            }
        };
        let weight = member.share * ONE / self.shares.max(1);
        Reason { scorer: member.name().to_owned(), about, value, weight, why }
    }

    /// The best of the colours a maker would think of: those of the paper, lighter and darker ones of
    /// the same hue, and neutrals.
    fn look_for(
        &self,
        paper: &PaperView,
        beneath: Option<&PaperView>,
        on_hand: &[(FaceId, Colour)],
    ) -> Option<LookFor> {
        let own = paper.swatches.iter().map(|swatch| swatch.colour);
        let steps = [0.0, -15.0, 15.0, -30.0, 30.0];
        let shades = own.flat_map(|colour| {
            steps.into_iter().map(move |step| Colour::new((colour.l + step).clamp(12.0, 97.0), colour.a, colour.b))
        });
        let neutrals = [(97.0, 0.0, 2.0), (94.0, 0.0, 9.0), (62.0, 0.0, 0.0), (24.0, 0.0, -1.0)];
        let neutrals = neutrals.into_iter().map(|(l, a, b)| Colour::new(l, a, b));
        let sound = |colour: &Colour| (colour.l + colour.a + colour.b).is_finite();
        let mut best: Option<LookFor> = None;
        for colour in shades.chain(neutrals).filter(sound) {
            let plain = PaperView::plain("", colour);
            let stack: Vec<&PaperView> = [Some(paper), Some(&plain), beneath].into_iter().flatten().collect();
            let (score, reasons) = self.judge(&meetings(&stack));
            if best.as_ref().is_none_or(|best| score > best.score) {
                let apart = on_hand.iter().map(|(face, other)| (*face, delta_e_2000(colour, *other)));
                let nearest = apart.filter(|(_, apart)| apart.is_finite());
                let nearest = nearest.min_by(|one, other| one.1.total_cmp(&other.1).then(one.0.cmp(&other.0)));
                best = Some(LookFor { colour, name: colour_name(colour), score, reasons, nearest });
            }
        }
        best
    }
}

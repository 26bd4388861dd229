//! The words for a near miss: what is lacking, by how much, what comes nearest, what would help.

use super::{any_of, with_article};
use crate::layout::Axis;
use crate::matching::near::{Lack, NearMiss, ThinCover};
use crate::stash::Settings;
use api::units::{Length, Size, Unit};

/// What is lacking, by how much, and what comes nearest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LackWords {
    /// "the background needs a piece of patterned paper 4 x 5 1/4 in".
    pub needs: String,
    /// "the nearest on hand is Net loft, 3 1/2 x 6 1/2 in: 1/2 in too small"; `None` where there is none.
    pub nearest: Option<String>,
    /// What would help.
    pub remedy: String,
}

/// A near miss in words.
#[must_use]
pub fn lack_words(miss: &NearMiss, settings: &Settings) -> LackWords {
    let words = lacking(miss, settings);
    let Some(ThinCover { hidden, needs, axis }) = miss.thin_cover else { return words };
    let unit = settings.unit;
    let side = if axis == Axis::Width { "width" } else { "height" };
    let thin = format!(
        "no seam across its {side} can be hidden, since what covers its middle hides {}, too thin by {}: a hidden join takes two glue margins, {}",
        hidden.exact(unit),
        (needs - hidden).exact(unit),
        needs.exact(unit)
    );
    let nearest = words.nearest.map_or_else(|| thin.clone(), |nearest| format!("{nearest}; {thin}"));
    let remedy = format!("{}; or draw what covers it {} wider", words.remedy, (needs - hidden).exact(unit));
    LackWords { nearest: Some(nearest), remedy, ..words }
}

fn lacking(miss: &NearMiss, settings: &Settings) -> LackWords {
    let unit = settings.unit;
    let the = with_article(&miss.panel);
    match &miss.lack {
        Lack::Size { materials, needs, nearest } => LackWords {
            needs: format!("{the} needs {} of {}", piece_of(*needs, unit), any_of(materials)),
            nearest: nearest.as_ref().map(|(thing, short_by)| {
                let (name, size, stock) = (&thing.name, thing.size.exact(unit), &thing.stock);
                if !short_by.is_positive() {
                    return format!("the nearest on hand is {name}, {size} ({stock}), which would have to be turned");
                }
                let short = too_small(*needs, thing.size, unit);
                if miss.is_for_request {
                    return format!("{name}, {size} ({stock}), which must be used, is {short} for it");
                }
                format!("the nearest on hand is {name}, {size} ({stock}): {short}")
            }),
            remedy: match nearest {
                _ if miss.is_for_request => {
                    format!("draw {the} smaller in the file of the layout, or do not ask for that piece")
                }
                Some((_, short_by)) if !short_by.is_positive() => {
                    format!("get {} with its pattern the other way", piece_of(*needs, unit))
                }
                Some(_) if miss.panel == "base" => "get a larger piece, or ask for a smaller card".to_owned(),
                Some(_) => format!("get a larger piece, or draw {the} smaller in the file of the layout"),
                None => format!("add {} to the stash", any_of(materials)),
            },
        },
        Lack::Image { room, nearest } => LackWords {
            needs: format!("{the} has room for an image of {} that does not look out of the card", room.exact(unit)),
            nearest: nearest.as_ref().map(|(thing, over)| {
                let (name, size) = (&thing.name, thing.size.exact(unit));
                if over.is_positive() {
                    format!("the nearest on hand is {name}, {size}: {} too large", over.exact(unit))
                } else {
                    format!("the nearest on hand is {name}, {size}, but it looks out of the card or has run out")
                }
            }),
            remedy: "add a smaller image, or one that looks the other way".to_owned(),
        },
        Lack::Die { room, nearest } => LackWords {
            needs: format!("{the} is die-cut and has room for {}", room.exact(unit)),
            nearest: nearest.as_ref().map(|(die, over)| {
                let (name, size) = (&die.name, die.size.exact(unit));
                format!("the nearest die on hand is {name}, {size}: {} too large", over.exact(unit))
            }),
            remedy: "add a die of at most that size, or make the panel a rectangle".to_owned(),
        },
        Lack::Copies { cards } if *cards > 1 => LackWords {
            needs: format!("each piece is there, but not all of them for {cards} cards together"),
            nearest: None,
            remedy: "make fewer copies, or add to the stash".to_owned(),
        },
        Lack::Copies { .. } => LackWords {
            needs: "each piece is there, but they cannot all be cut together".to_owned(),
            nearest: None,
            remedy: "add another sheet or scrap of what is used twice".to_owned(),
        },
        Lack::Partner => LackWords {
            needs: format!("each piece is there, but nothing that {the} may lie on or beside"),
            nearest: None,
            remedy: "add a paper or cardstock of another colour".to_owned(),
        },
        Lack::Card { card } => LackWords {
            needs: format!("a card of {} is too small: nothing would be left of some of its panels", card.exact(unit)),
            nearest: None,
            remedy: "ask for a larger card".to_owned(),
        },
    }
}

/// "1/2 in too narrow and 1/4 in too short": by how much a piece falls short, held the way in which that is least.
fn too_small(needs: Size, has: Size, unit: Unit) -> String {
    let short_of = |has: Size| [needs.width - has.width, needs.height - has.height].map(|by| by.max(Length::ZERO));
    let [upright, turned] = [short_of(has), short_of(has.turned())];
    let [across, down] = if upright[0] + upright[1] <= turned[0] + turned[1] { upright } else { turned };
    let words = [(across, "narrow"), (down, "short")];
    let said = words.iter().filter(|(by, _)| by.is_positive());
    said.map(|(by, word)| format!("{} too {word}", by.exact(unit))).collect::<Vec<_>>().join(" and ")
}

fn piece_of(size: Size, unit: Unit) -> String {
    format!("a piece {}", size.exact(unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matching::near::Nearest;
    use api::Material;
    use api::units::Region;

    fn size(text: &str) -> Size {
        Size::parse(text, Unit::Inch).unwrap()
    }

    #[test]
    fn what_is_lacking_is_told_with_how_much_and_what_would_help() {
        let nearest = Nearest { stock: "quay/3".into(), name: "Net loft".into(), size: size("3 1/2 x 6 1/2 in") };
        let lack = Lack::Size {
            materials: vec![Material::Patterned, Material::Kraft],
            needs: size("4 x 5 1/4 in"),
            nearest: Some((nearest, Length::micrometres(12_700))),
        };
        let mut miss = NearMiss { panel: "background".into(), lack, is_for_request: false, thin_cover: None };
        let words = lack_words(&miss, &Settings::of(Region::Us));
        assert_eq!(words.needs, "the background needs a piece 4 x 5 1/4 in of patterned paper or kraft");
        assert_eq!(
            words.nearest.as_deref(),
            Some("the nearest on hand is Net loft, 3 1/2 x 6 1/2 in (quay/3): 1/2 in too narrow")
        );
        assert_eq!(words.remedy, "get a larger piece, or draw the background smaller in the file of the layout");
        miss.is_for_request = true;
        let words = lack_words(&miss, &Settings::of(Region::Us));
        assert_eq!(
            words.nearest.as_deref(),
            Some("Net loft, 3 1/2 x 6 1/2 in (quay/3), which must be used, is 1/2 in too narrow for it")
        );
    }

    #[test]
    fn a_piece_is_held_the_way_in_which_it_falls_short_least() {
        let short = |needs, has| too_small(size(needs), size(has), Unit::Inch);
        assert_eq!(short("8 1/4 x 3 1/4 in", "1 3/4 x 6 in"), "2 1/4 in too narrow and 1 1/2 in too short");
        assert_eq!(short("4 x 5 in", "5 x 3 1/2 in"), "1/2 in too narrow");
    }
}

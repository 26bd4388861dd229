//! Which words fit where a layout has room for some: layers and sentiments in, places in the list
//! of sentiments out.

use super::Layer;
use crate::stash::{Copies, Sentiment};
use api::units::{Length, Size, Turn};

/// How much of the paper stays clear all round the words: 1/16 in, common practice, no source.
const CLEAR: Length = Length::from_nanometres(1_587_500);

/// The sentiments that fit into a layer that carries words, in their order: a little smaller than
/// what shows of it, not run out, and for an occasion of the layout, where both name any.
#[must_use]
pub fn sentiments_for(layer: &Layer, occasions: &[String], sentiments: &[Sentiment]) -> Vec<usize> {
    if !layer.holds_sentiment {
        return Vec::new();
    }
    let with_clear = |size: Size| Size::new(size.width + CLEAR * 2, size.height + CLEAR * 2);
    let suits = |sentiment: &Sentiment| {
        let any = sentiment.occasions.is_empty() || occasions.is_empty();
        sentiment.copies != Copies::Exactly(0)
            && with_clear(sentiment.size).fits_in(layer.rect.size(), Turn::AsPrinted)
            && (any || sentiment.occasions.iter().any(|occasion| occasions.contains(occasion)))
    };
    sentiments.iter().enumerate().filter(|(_, sentiment)| suits(sentiment)).map(|(place, _)| place).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::Rect;
    use crate::matching::Outline;
    use api::Role;
    use api::units::Unit;

    fn size(text: &str) -> Size {
        Size::parse(text, Unit::Inch).expect(text)
    }

    fn sentiment(id: &str, text: &str, copies: Copies, occasions: &[&str]) -> Sentiment {
        let occasions = occasions.iter().map(|one| (*one).to_owned()).collect();
        Sentiment { id: id.into(), words: id.into(), size: size(text), copies, occasions }
    }

    #[test]
    fn words_fit_where_there_is_room_and_occasion() {
        let rect = Rect::whole(size("2 x 1/2 in"));
        let mut layer = Layer {
            id: "words".into(),
            role: Role::Sentiment,
            slot: 1,
            rect,
            pieces: vec![rect],
            outline: Outline::Rectangle,
            raised: false,
            holds_sentiment: true,
            die: None,
            overruns: false,
        };
        let sentiments = [
            sentiment("just fits", "1 7/8 x 3/8 in", Copies::Plenty, &[]),
            sentiment("too long", "1 15/16 x 3/8 in", Copies::Plenty, &[]),
            sentiment("would have to be turned", "3/8 x 1 7/8 in", Copies::Plenty, &[]),
            sentiment("run out", "1 x 3/8 in", Copies::Exactly(0), &[]),
            sentiment("for a birthday", "1 x 3/8 in", Copies::Exactly(1), &["birthday"]),
        ];
        let thanks = ["thanks".to_owned()];
        assert_eq!(sentiments_for(&layer, &[], &sentiments), [0, 4]);
        assert_eq!(sentiments_for(&layer, &thanks, &sentiments), [0]);
        layer.holds_sentiment = false;
        assert_eq!(sentiments_for(&layer, &[], &sentiments), [0; 0]);
    }
}

//! The size of a rectangle: two lengths, read as people write them and turned as paper is.

use crate::error::{SizeError, SizeErrorKind};
use crate::parse::Written;
use crate::unit::Scale;
use crate::{Area, Length, Named, Purpose, Region, Ruler, Unit};
use std::ops::Range;

/// Whether a piece may be turned a quarter to fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Turn {
    /// Only the way it is printed: stripes, lettering, anything with an up.
    AsPrinted,
    /// Either way round.
    Either,
}

/// The size of a rectangle as it lies: how wide, how high.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Size {
    /// From left to right.
    pub width: Length,
    /// From top to bottom.
    pub height: Length,
}

impl Size {
    /// So wide and so high.
    #[must_use]
    pub const fn new(width: Length, height: Length) -> Self {
        Self { width, height }
    }

    /// A square of this side.
    #[must_use]
    pub const fn square(side: Length) -> Self {
        Self { width: side, height: side }
    }

    /// Reads two sides, width first; a side without a unit takes the other's, and where neither has one, `bare`.
    ///
    /// The sides stand apart by `x`, `×`, `*` or `by`; `5 in square` has both alike.
    ///
    /// # Errors
    /// Where there are not two sides, one is no length, or one is not more than 0.
    ///
    /// ```
    /// use units::{Size, Unit};
    /// let card = Size::parse("4 1/4 x 5 1/2 in", Unit::Millimetre)?;
    /// for same in ["4¼ × 5½\"", "4.25 in x 5.5", "107.95mm x 5 1/2in", "10,795 by 13,97 cm"] {
    ///     assert_eq!(Size::parse(same, Unit::Inch)?, card);
    /// }
    /// assert_eq!(Size::parse("105x148", Unit::Millimetre)?.exact(Unit::Millimetre), "105 x 148 mm");
    /// # Ok::<(), units::SizeError>(())
    /// ```
    pub fn parse(text: &str, bare: Unit) -> Result<Self, SizeError> {
        let marks = between_sides(text);
        match marks.as_slice() {
            [] => {
                let Some(side) = without_square(text) else {
                    let written = Written::read(text, 0)?;
                    written.length(bare.into())?;
                    return Err(SizeError { at: written.at, kind: SizeErrorKind::OneSide });
                };
                let written = Written::read(side, 0)?;
                side_of(&written, bare.into()).map(Self::square)
            }
            [mark] => {
                let first = Written::read(&text[..mark.start], 0)?;
                let second = Written::read(&text[mark.end..], mark.end)?;
                let bare = Scale::from(bare);
                Ok(Self {
                    width: side_of(&first, second.scale.unwrap_or(bare))?,
                    height: side_of(&second, first.scale.unwrap_or(bare))?,
                })
            }
            [_, second, ..] => Err(SizeError { at: second.clone(), kind: SizeErrorKind::ThirdSide }),
        }
    }

    /// Reads either two sides, as [`Size::parse`], or a name, as [`Named::lookup`].
    ///
    /// # Errors
    /// Where the text is neither; what begins with a digit is taken to mean sides.
    ///
    /// ```
    /// use units::{Purpose, Region, Size, Unit};
    /// let read = |text| Size::read(text, Unit::Inch, Region::Us, Purpose::Card);
    /// assert_eq!(read("A2")?, read("4 1/4 x 5 1/2")?);
    /// assert_eq!(read("ISO A6")?, read("105 x 148 mm")?);
    /// # Ok::<(), units::SizeError>(())
    /// ```
    pub fn read(text: &str, bare: Unit, region: Region, purpose: Purpose) -> Result<Self, SizeError> {
        let not_sides = match Self::parse(text, bare) {
            Ok(size) => return Ok(size),
            Err(why) => why,
        };
        match Named::lookup(text, region, purpose) {
            Ok(named) => Ok(named.size()),
            Err(_) if looks_like_sides(text) => Err(not_sides),
            Err(why) => {
                let start = text.len() - text.trim_start().len();
                Err(SizeError { at: start..start + text.trim().len(), kind: SizeErrorKind::Name(why) })
            }
        }
    }

    /// Turned a quarter.
    #[must_use]
    pub const fn turned(self) -> Self {
        Self { width: self.height, height: self.width }
    }

    /// The surface of one face.
    #[must_use]
    pub fn area(self) -> Area {
        self.width * self.height
    }

    /// The shorter side.
    #[must_use]
    pub fn short(self) -> Length {
        self.width.min(self.height)
    }

    /// The longer side.
    #[must_use]
    pub fn long(self) -> Length {
        self.width.max(self.height)
    }

    /// With the shorter side as its width.
    #[must_use]
    pub fn upright(self) -> Self {
        Self { width: self.short(), height: self.long() }
    }

    /// Whether it can be cut from `other` with its sides along the other's; just as large is enough.
    ///
    /// ```
    /// use units::{Size, Turn, Unit};
    /// let panel = Size::parse("5 1/4 x 4 in", Unit::Inch)?;
    /// let sheet = Size::parse("4 x 6 in", Unit::Inch)?;
    /// assert!(panel.fits_in(sheet, Turn::Either));
    /// assert!(!panel.fits_in(sheet, Turn::AsPrinted));
    /// # Ok::<(), units::SizeError>(())
    /// ```
    #[must_use]
    pub fn fits_in(self, other: Self, turn: Turn) -> bool {
        let fits = |size: Self| size.width <= other.width && size.height <= other.height;
        fits(self) || (turn == Turn::Either && fits(self.turned()))
    }

    /// What is left inside an even edge all round; `None` where the edge leaves nothing.
    ///
    /// ```
    /// use units::{Length, Size, Unit};
    /// let card = Size::parse("4 1/4 x 5 1/2 in", Unit::Inch)?;
    /// let reveal = Length::parse("1/8 in", Unit::Inch)?;
    /// assert_eq!(card.inset(reveal).map(|mat| mat.exact(Unit::Inch)).as_deref(), Some("4 x 5 1/4 in"));
    /// assert_eq!(card.inset(Length::INCH * 3), None);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn inset(self, edge: Length) -> Option<Self> {
        let inside = Self { width: self.width - edge * 2, height: self.height - edge * 2 };
        (inside.short().is_positive()).then_some(inside)
    }

    /// The size with nothing rounded, such as `4 1/4 x 5 1/2 in`; sides as [`Length::exact`].
    #[must_use]
    pub fn exact(self, unit: Unit) -> String {
        sides(&self.width.exact(unit), &self.height.exact(unit))
    }

    /// The size on a ruler, rounded down: for a piece that must fit inside another.
    ///
    /// Each side that rounding changed has its own mark, as in `~4 3/16 x 5 1/2 in`.
    #[must_use]
    pub fn down(self, ruler: Ruler) -> String {
        sides(&ruler.down(self.width).to_string(), &ruler.down(self.height).to_string())
    }

    /// The size on a ruler, each side at its nearest mark: for a piece that fits nothing.
    #[must_use]
    pub fn nearest(self, ruler: Ruler) -> String {
        sides(&ruler.nearest(self.width).to_string(), &ruler.nearest(self.height).to_string())
    }
}

/// Two printed sides, the unit only once where they share it.
fn sides(width: &str, height: &str) -> String {
    match (width.rsplit_once(' '), height.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number} x {height}"),
        _ => format!("{width} x {height}"),
    }
}

/// A side as a length that is more than 0.
fn side_of(written: &Written, bare: Scale) -> Result<Length, SizeError> {
    let length = written.length(bare)?;
    if !length.is_positive() {
        return Err(SizeError { at: written.at.clone(), kind: SizeErrorKind::NoSide });
    }
    Ok(length)
}

/// Where the signs between two sides stand; no more than the first two are looked for.
fn between_sides(text: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    for c in text.chars() {
        if found.len() == 2 {
            break;
        }
        let by = text[at..].get(..2).is_some_and(|two| two.eq_ignore_ascii_case("by"));
        if by {
            found.push(at..at + 2);
        } else if matches!(c, 'x' | 'X' | '×' | '✕' | '*') {
            found.push(at..at + c.len_utf8());
        }
        at += c.len_utf8();
    }
    found
}

/// What stands before a closing `square` or `sq`.
fn without_square(text: &str) -> Option<&str> {
    let text = text.trim_end();
    ["square", "sq.", "sq"].iter().find_map(|word| {
        let start = text.len().checked_sub(word.len())?;
        let tail = text.get(start..)?;
        tail.eq_ignore_ascii_case(word).then(|| &text[..start])
    })
}

/// Whether a text that is neither sides nor a name was more likely meant as sides.
fn looks_like_sides(text: &str) -> bool {
    text.trim_start().chars().next().is_none_or(|first| !first.is_alphabetic() && first != '#')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> Result<String, (Range<usize>, String, String)> {
        Size::parse(text, Unit::Inch).map(|size| size.exact(Unit::Inch)).map_err(|why| {
            assert!(text.get(why.at.clone()).is_some(), "{text:?}: {:?} is off the text", why.at);
            (why.at.clone(), why.to_string(), why.remedy())
        })
    }

    #[test]
    fn reads_two_sides_and_shares_the_unit() {
        for (text, size) in [
            ("4 1/4 x 5 1/2 in", "4 1/4 x 5 1/2 in"),
            ("105 x 148 mm", "105 x 148 mm"),
            ("105mm x 148", "105 x 148 mm"),
            ("4¼ × 5½\"", "4 1/4 x 5 1/2 in"),
            ("108mm x 5 1/2in", "108 mm x 5 1/2 in"),
            ("4.25x5.5", "4 1/4 x 5 1/2 in"),
            ("4-1/4\"X5-1/2\"", "4 1/4 x 5 1/2 in"),
            ("6 by 8", "6 x 8 in"),
            ("6 BY 8 in", "6 x 8 in"),
            ("10,5 * 14,8 cm", "105 x 148 mm"),
            ("5 1/4 in square", "5 1/4 x 5 1/4 in"),
            ("150 mm Sq.", "150 x 150 mm"),
            ("6\" sq", "6 x 6 in"),
        ] {
            assert_eq!(parse(text).as_deref(), Ok(size), "{text:?}");
        }
    }

    #[test]
    fn each_refusal_points_at_the_side() {
        for (text, at, what, remedy) in [
            ("", 0..0, "a length is missing", "write a length such as `4 1/4 in` or `108 mm`"),
            ("4 x", 3..3, "a length is missing", "write a length such as `4 1/4 in` or `108 mm`"),
            ("4 1/4 in", 0..5, "a size has two sides", "write both, such as `4 1/4 x 5 1/2 in`"),
            (
                "4 x 5 x 6",
                6..7,
                "a size has only two sides",
                "write width and height, and the thickness in its own place",
            ),
            ("0 x 5", 0..1, "a side must be longer than 0", "write a side that is longer than 0"),
            ("4 x -5", 4..6, "a side must be longer than 0", "write a side that is longer than 0"),
            (
                "4 x 5 1/5 in",
                6..9,
                "`1/5` is not a fraction on a ruler",
                "write halves, quarters, eighths and so on down to 64ths: the nearest are `5 3/16` and `5 13/64`",
            ),
            (
                "4 x 5 ell",
                6..9,
                "`ell` is not a unit of length known here",
                "write `in`, `mm` or `cm`, or only the number",
            ),
            ("square", 0..0, "a length is missing", "write a length such as `4 1/4 in` or `108 mm`"),
        ] {
            assert_eq!(parse(text), Err((at, what.to_owned(), remedy.to_owned())), "{text:?}");
        }
    }

    #[test]
    fn a_name_or_sides_and_the_error_of_whichever_was_meant() {
        let read = |text| {
            Size::read(text, Unit::Inch, Region::Us, Purpose::Card).map_err(|why| (why.at.clone(), why.to_string()))
        };
        assert_eq!(read(" us-a2 "), Ok(Size::new(Length::micrometres(107_950), Length::micrometres(139_700))));
        assert_eq!(read(" leter "), Err((1..6, "no card size is called `leter`".into())));
        assert_eq!(read("4 x 1/3"), Err((4..7, "`1/3` is not a fraction on a ruler".into())));
        assert_eq!(read("3x5 index card"), read("3 x 5 in"));
        assert_eq!(read("   "), Err((3..3, "a length is missing".into())));
    }

    #[test]
    fn turning_twice_changes_nothing_and_fits_allow_just_as_large() {
        let size = Size::new(Length::INCH * 4, Length::INCH * 6);
        assert_eq!(size.turned().turned(), size);
        assert_eq!((size.turned().short(), size.turned().long()), (size.width, size.height));
        assert_eq!(size.turned().upright(), size);
        assert_eq!(size.area(), size.turned().area());
        assert!(size.fits_in(size, Turn::AsPrinted));
        assert!(size.turned().fits_in(size, Turn::Either));
        assert!(!size.turned().fits_in(size, Turn::AsPrinted));
        let wider = Size::new(size.width + Length::from_nanometres(1), size.height);
        assert!(!wider.fits_in(size, Turn::Either));
    }

    #[test]
    fn each_rounded_side_has_its_mark() {
        let size = Size::new(Length::micrometres(108_000), Length::INCH * 6);
        assert_eq!(size.down(Ruler::sixteenths()), "~4 1/4 x 6 in");
        assert_eq!(size.nearest(Ruler::millimetres()), "108 x ~152 mm");
    }
}

//! Sets text and drawings one below another on pages of one size, with a check bar of 1 in and one of
//! 2 cm at the foot of each.

use super::batch::Mm;
use super::font::Faces;
use super::mark::{BLACK, Frame, GREY, Ink, Look, Mark, Page, Shape, Tag, Words};
use super::prints::Prints;
use crate::problem::printable;
use api::units::{Size, Unit};

/// Room at the left and the right, in millimetres: more than any usual printer leaves white.
pub(crate) const SIDE: f64 = 14.0;
const TOP: f64 = 13.0;
/// Room at the foot, with the bars.
const FOOT: f64 = 25.0;
/// Sizes of type, in millimetres.
const BODY: f64 = 3.7;
const LINE: f64 = 5.0;
/// The most lines of one paragraph that are set.
const MOST_LINES: usize = 200;
/// The most signs of one.
const MOST_SIGNS: usize = 20_000;

/// What everything is drawn with.
pub(crate) struct Ground<'a> {
    pub(crate) prints: &'a Prints,
    pub(crate) faces: Faces,
    pub(crate) unit: Unit,
}

impl Ground<'_> {
    /// A length as it is read off a ruler.
    pub(crate) fn length(&self, length: Mm) -> String {
        length.0.exact(self.unit)
    }

    /// A size, width first.
    pub(crate) fn size(&self, width: Mm, height: Mm) -> String {
        Size::new(width.0, height.0).exact(self.unit)
    }
}

/// Pages as they fill.
pub(crate) struct Flow<'a> {
    pub(crate) ground: &'a Ground<'a>,
    /// Width and height of a page.
    pub(crate) page: (f64, f64),
    pub(crate) pages: Vec<Page>,
    /// How far down the last page is full.
    pub(crate) y: f64,
    /// How much of the page's width, from the left, text leaves to a drawing beside it.
    beside: f64,
}

impl<'a> Flow<'a> {
    /// The first page, empty.
    pub(crate) fn new(ground: &'a Ground<'a>, page: (f64, f64)) -> Self {
        Self { ground, page, pages: vec![Page::default()], y: TOP, beside: 0.0 }
    }

    /// How wide text may be.
    pub(crate) fn wide(&self) -> f64 {
        self.page.0 - 2.0 * SIDE
    }

    /// How high a drawing may be on a page of its own.
    pub(crate) fn high(&self) -> f64 {
        self.page.1 - TOP - FOOT
    }

    /// What is left of the page.
    pub(crate) fn left(&self) -> f64 {
        self.page.1 - FOOT - self.y
    }

    /// A new page, unless this one is empty.
    pub(crate) fn turn(&mut self) {
        if self.y > TOP {
            self.pages.push(Page::default());
            self.y = TOP;
            self.beside = 0.0;
        }
    }

    /// Sets what `set` sets to the right of a drawing of that width and height, which begins here.
    pub(crate) fn set_beside(&mut self, (wide, high): (f64, f64), set: impl FnOnce(&mut Self)) {
        let (page, lower) = (self.pages.len(), self.y + high);
        self.beside = wide;
        set(self);
        self.beside = 0.0;
        if self.pages.len() == page {
            self.y = self.y.max(lower);
        }
    }

    /// Turns the page where less than so much is left.
    pub(crate) fn need(&mut self, high: f64) {
        if self.left() < high {
            self.turn();
        }
    }

    pub(crate) fn space(&mut self, high: f64) {
        if self.y > TOP {
            self.y += high;
        }
    }

    pub(crate) fn push(&mut self, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.marks.push(mark);
        }
    }

    /// A heading: 1 is the largest.
    pub(crate) fn heading(&mut self, level: u16, text: &str) {
        let size = match level {
            1 => 7.6,
            2 => 5.4,
            _ => 4.3,
        };
        self.need(size * 4.0);
        self.space(size * 0.5);
        self.set(
            text,
            Setting { tag: Tag::Heading(level), size, bold: true, ink: BLACK, indent: 0.0, head: Head::None },
        );
        self.y += size * 0.25;
    }

    /// A paragraph.
    pub(crate) fn text(&mut self, text: &str) {
        self.set(text, Setting::body());
    }

    /// A paragraph in grey.
    pub(crate) fn note(&mut self, text: &str) {
        self.set(text, Setting { ink: GREY, ..Setting::body() });
    }

    /// A line of a list, with a box to tick.
    pub(crate) fn tick(&mut self, text: &str) {
        self.set(text, Setting { indent: 6.0, head: Head::Tick, ..Setting::body() });
    }

    /// A line of a list.
    pub(crate) fn item(&mut self, text: &str) {
        self.set(text, Setting { indent: 6.0, head: Head::Dot, ..Setting::body() });
    }

    fn set(&mut self, text: &str, how: Setting) {
        let text: String = printable(text).chars().take(MOST_SIGNS).collect();
        let line = LINE / BODY * how.size;
        let mut is_first = true;
        let mut is_open = false;
        let mut lines = self.lines(&text, how.size, how.bold, self.wide() - self.beside - how.indent);
        // Nobody turns a page in the middle of a short sentence.
        if let Ok(few @ 2..=6) = u32::try_from(lines.len()) {
            let beside = self.beside;
            self.need(f64::from(few) * line);
            if self.beside < beside {
                lines = self.lines(&text, how.size, how.bold, self.wide() - how.indent);
            }
        }
        for set in lines {
            if self.left() < line {
                if is_open {
                    self.push(Mark::End);
                    is_open = false;
                }
                self.turn();
            }
            if !is_open {
                self.push(Mark::Begin(how.tag.clone()));
                is_open = true;
            }
            if is_first {
                self.head(how.head, line);
                is_first = false;
            }
            let at = (SIDE + self.beside + how.indent, self.y + line * 0.76);
            self.push(Mark::Words(Words { text: set, at, size: how.size, bold: how.bold, ink: how.ink }));
            self.y += line;
        }
        if is_open {
            self.push(Mark::End);
        }
        self.y += how.size * 0.2;
    }

    fn head(&mut self, head: Head, line: f64) {
        let y = self.y + line * 0.76;
        match head {
            Head::None => {}
            Head::Tick => {
                let side = Frame::new(SIDE + self.beside + 0.6, y - 3.0, 3.2, 3.2);
                self.push(Mark::Shape(Shape::Rect(side), Look::lined(BLACK, 0.25)));
            }
            Head::Dot => {
                let dot = Frame::new(SIDE + self.beside + 2.6, y - 1.8, 1.1, 1.1);
                self.push(Mark::Shape(Shape::Ellipse(dot), Look::filled(BLACK)));
            }
        }
    }

    /// A text in lines that are no wider than that; "4 1/4 x 5 1/2 in" is never broken.
    fn lines(&self, text: &str, size: f64, bold: bool, wide: f64) -> Vec<String> {
        let faces = &self.ground.faces;
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in whole_words(text) {
            let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
            if faces.wide(&longer, size, bold) <= wide {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            if faces.wide(&word, size, bold) <= wide {
                line = word;
                continue;
            }
            // A word wider than the page is broken where it must be.
            for sign in word.chars() {
                line.push(sign);
                if faces.wide(&line, size, bold) > wide {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, sign.to_string()));
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        if lines.len() > MOST_LINES {
            lines.truncate(MOST_LINES);
            lines.push("…".to_owned());
        }
        lines
    }

    /// The pages, each with its foot.
    pub(crate) fn finish(self) -> Vec<Page> {
        let count = self.pages.len();
        let ground = self.ground;
        let mut pages = self.pages;
        for (place, page) in pages.iter_mut().enumerate() {
            page.marks.push(Mark::Begin(Tag::Footer));
            foot(ground, self.page, &format!("page {} of {count}", place + 1), &mut page.marks);
            page.marks.push(Mark::End);
        }
        pages
    }
}

/// Where the bars begin: left edges of that of 1 in and that of 2 cm, in millimetres from the left edge
/// of the page.
pub const BARS_FROM_LEFT: [f64; 2] = [SIDE, SIDE + 32.0];
/// How far above the lower edge of the page their middle lies, in millimetres.
pub const BARS_FROM_BOTTOM: f64 = 14.0;

fn foot(ground: &Ground<'_>, (wide, high): (f64, f64), number: &str, out: &mut Vec<Mark>) {
    let middle = high - BARS_FROM_BOTTOM;
    for (left, long, name) in [(BARS_FROM_LEFT[0], 25.4, "1 in"), (BARS_FROM_LEFT[1], 20.0, "2 cm")] {
        out.push(Mark::Shape(Shape::Rect(Frame::new(left, middle - 0.8, long, 1.6)), Look::filled(BLACK)));
        let at = (left, middle - 1.8);
        out.push(Mark::Words(Words { text: name.to_owned(), at, size: 3.0, bold: true, ink: BLACK }));
    }
    let right = BARS_FROM_LEFT[1] + 20.0 + 6.0;
    for (text, up) in
        [("Print at 100 %, no fitting to the page.", 1.4), ("Measure both bars before you trust a map.", -2.4)]
    {
        let at = (right, middle - up);
        out.push(Mark::Words(Words { text: text.to_owned(), at, size: 3.0, bold: false, ink: BLACK }));
    }
    let at = (wide - SIDE - ground.faces.wide(number, 3.0, false), middle + 2.4);
    out.push(Mark::Words(Words { text: number.to_owned(), at, size: 3.0, bold: false, ink: BLACK }));
}

#[derive(Clone, Copy)]
enum Head {
    None,
    Tick,
    Dot,
}

struct Setting {
    tag: Tag,
    size: f64,
    bold: bool,
    ink: Ink,
    indent: f64,
    head: Head,
}

impl Setting {
    fn body() -> Self {
        Self { tag: Tag::Paragraph, size: BODY, bold: false, ink: BLACK, indent: 0.0, head: Head::None }
    }
}

/// The words of a text; a measurement is one.
fn whole_words(text: &str) -> Vec<String> {
    let begins = |word: &str| word.starts_with(|first: char| first.is_ascii_digit());
    let is_number = |word: &str| word.ends_with(|last: char| last.is_ascii_digit());
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let bare = word.trim_end_matches(|sign: char| sign.is_ascii_punctuation());
        let joins = words.last().is_some_and(|last: &String| {
            let after_number =
                is_number(last) && (bare == "in" || bare == "mm" || bare == "x" || begins(word) && word.contains('/'));
            after_number || last.ends_with(" x") && begins(word)
        });
        match words.last_mut() {
            Some(last) if joins && last.len() < 60 => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measurement_is_never_broken() {
        assert_eq!(
            whole_words("cut 4 1/4 x 5 1/2 in from 12 x 12 in, then 99 mm. In 2 parts"),
            ["cut", "4 1/4 x 5 1/2 in", "from", "12 x 12 in,", "then", "99 mm.", "In", "2", "parts"]
        );
    }
}

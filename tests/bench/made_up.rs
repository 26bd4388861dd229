//! Made-up stashes of any size, as the texts of TOML files.

use std::fmt::Write as _;
use swatchfold::problem::Source;

struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % sides
    }

    fn colour(&mut self) -> String {
        format!("#{:06x}", self.below(1 << 24))
    }
}

/// A stash of `lines` lines of stock, of which `cardstocks` are plain, and `layouts` layouts.
pub(crate) fn texts(lines: usize, layouts: usize, cardstocks: usize) -> Vec<Source> {
    let mut dice = Dice(7);
    let mut files = vec![Source::new("cardstock.toml", cardstock(cardstocks, &mut dice))];
    let papers = (lines / 10).max(1);
    for pad in 0..papers.div_ceil(12) {
        let text = one_pad(pad, (papers - pad * 12).min(12), &mut dice);
        files.push(Source::new(format!("pads/pad{pad}.toml"), text));
    }
    let scraps = lines.saturating_sub(papers + cardstocks);
    for (file, from) in (0..scraps).step_by(500).enumerate() {
        let text = some_scraps(from, (scraps - from).min(500), papers, &mut dice);
        files.push(Source::new(format!("scraps/{file}.toml"), text));
    }
    for layout in 0..layouts {
        files.push(Source::new(format!("layouts/l{layout:03}.toml"), one_layout(layout, &mut dice)));
    }
    files
}

fn cardstock(count: usize, dice: &mut Dice) -> String {
    let mut text = "kind = \"cardstock\"\nsize = \"US letter\"\n".to_owned();
    for place in 0..count {
        let _ = write!(
            text,
            "\n[[cardstock]]\nid = \"c{place:03}\"\nname = \"Cardstock {place}\"\ncolour = \"{}\"\ncount = {}\n",
            dice.colour(),
            1 + dice.below(8)
        );
    }
    text
}

fn one_pad(pad: usize, designs: usize, dice: &mut Dice) -> String {
    let sheet = ["3 1/2 x 6 1/2 in", "6 x 6 in", "6 x 8 in", "148 x 210 mm"][pad % 4];
    let mut text =
        format!("kind = \"pad\"\nid = \"pad{pad}\"\nname = \"Pad {pad}\"\nsheet = \"{sheet}\"\ncopies = 2\n");
    for place in 0..designs {
        let kind = ["dot", "stripe", "scattered", "tonal", "check", "big-motif"][place % 6];
        let (one, two, three) = (dice.colour(), dice.colour(), dice.colour());
        let _ = write!(
            text,
            "\n[[design]]\nid = \"{place:02}\"\nname = \"Design {pad}-{place}\"\npattern = \"{kind}\"\n\
             busyness = \"{} %\"\nrepeat = \"{} mm\"\ncolours = [\"{one} 60%\", \"{two} 30%\", \"{three} 10%\"]\n",
            10 + dice.below(80),
            3 + dice.below(60)
        );
    }
    text
}

fn some_scraps(from: usize, count: usize, papers: usize, dice: &mut Dice) -> String {
    let mut text = "kind = \"scraps\"\n".to_owned();
    for place in from..from + count {
        let paper = dice.below(papers as u64);
        let _ = write!(
            text,
            "\n[[scrap]]\nid = \"s{place}\"\npaper = \"pad{}/{:02}\"\nwidth = \"{}/8 in\"\nheight = \"{}/8 in\"\n\
             added = {}-{:02}-{:02}\n",
            paper / 12,
            paper % 12,
            8 + dice.below(40),
            8 + dice.below(40),
            2022 + dice.below(4),
            1 + dice.below(12),
            1 + dice.below(28)
        );
    }
    text
}

fn one_layout(place: usize, dice: &mut Dice) -> String {
    let card = ["US A2", "5 x 7 in", "5 1/4 x 5 1/4 in"][place % 3];
    let share = |dice: &mut Dice, from: u64, spread: u64| from + dice.below(spread);
    let (top, left) = (share(dice, 20, 30), share(dice, 10, 30));
    let mut text = format!(
        "kind = \"layout\"\nid = \"l{place:03}\"\nname = \"Layout {place}\"\ncard = \"{card}\"\n\n\
         [[panel]]\nid = \"background\"\nrole = \"background\"\ninset = \"1/8 in\"\ntakes = \"patterned\"\n"
    );
    if place.is_multiple_of(2) {
        let _ = write!(
            text,
            "\n[[panel]]\nid = \"band\"\nrole = \"band\"\non = \"background\"\nleft = \"1/8 in\"\n\
             right = \"100% - 1/8 in\"\ntop = \"{top}%\"\nbottom = \"{}%\"\nmats = [\"1/8 in\"]\ntakes = \"patterned\"\n",
            top + 25
        );
    }
    let _ = write!(
        text,
        "\n[[panel]]\nid = \"label\"\nrole = \"sentiment\"\non = \"{}\"\nleft = \"{left}%\"\nright = \"{}%\"\n\
         top = \"{}%\"\nbottom = \"{}%\"\nmats = [\"1/8 in\"]\ntakes = \"cardstock\"\n",
        if place.is_multiple_of(2) { "band" } else { "background" },
        left + 50,
        top + 5,
        top + 20
    );
    text
}

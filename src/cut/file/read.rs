//! A problem file in TOML in; a [`Problem`] or everything that is wrong with the file out.

use super::fields::Fields;
use crate::cut::{Goal, On, Piece, PieceIndex, Problem, Rules, Stages, Stock, StockIndex, Trims, Turn, Worth};
use crate::problem::{Source, nearest, printable};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::Range;
use toml::de::DeTable;
use units::{Length, Unit};

/// Worths beyond this are a slip of the pen.
const MOST_WORTH: u64 = 1_000_000_000_000;
/// Copies beyond this are a slip of the pen.
const MOST_COPIES: u64 = 10_000_000;
/// A file longer than this is no cutting problem.
const MOST_BYTES: usize = 16_000_000;
/// More lines or pieces than this are not planned.
const MOST_ENTRIES: usize = 20_000;

/// Something wrong with a problem file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// Where, in bytes of the file.
    pub at: Range<usize>,
    /// What.
    pub said: String,
    /// What to do about it.
    pub remedy: String,
}

impl Trouble {
    /// `file:line:column: what`, the line with a caret below, and the remedy.
    #[must_use]
    pub fn shown(&self, source: &Source) -> String {
        let place = source.place(self.at.clone());
        let mut shown = format!("{}: {}", place.short(), printable(&self.said));
        if let Some(caret) = place.caret() {
            let _ = write!(shown, "\n{caret}");
        }
        let _ = write!(shown, "\nhelp: {}", printable(&self.remedy));
        shown
    }
}

/// A problem as asked in a file.
#[derive(Clone, Debug)]
pub struct Asked {
    /// What is to be planned.
    pub problem: Problem,
    /// The unit that lengths are shown in.
    pub unit: Unit,
    /// Sizes the maker would like offcuts to yield.
    pub keep: Vec<(Length, Length)>,
    /// How many sheets may be cut as one stack.
    pub stack: u32,
    /// For each stock line the path of its paper's picture, as written: whoever draws the maps looks it up.
    pub pictures: Vec<Option<String>>,
}

/// Reads a problem file.
///
/// # Errors
/// Everything that is wrong, in the order of the file.
pub fn read(text: &str) -> Result<Asked, Vec<Trouble>> {
    if text.len() > MOST_BYTES {
        let said = format!("the file has {} bytes, more than {MOST_BYTES}", text.len());
        return Err(vec![Trouble { at: 0..0, said, remedy: "plan fewer pieces at a time".to_owned() }]);
    }
    let table = match DeTable::parse(text) {
        Ok(table) => table,
        Err(error) => {
            let remedy = "mend the line; the rest is read when it is whole".to_owned();
            let said = error.message().to_owned();
            return Err(vec![Trouble { at: error.span().unwrap_or(0..0), said, remedy }]);
        }
    };
    let at = table.span();
    let mut reader = Reader { unit: Unit::Millimetre, faults: Vec::new() };
    let asked = reader.file(table.get_ref(), at.start..at.start);
    if reader.faults.is_empty() {
        return Ok(asked);
    }
    reader.faults.sort_by_key(|fault| (fault.at.start, fault.said.clone()));
    Err(reader.faults)
}

/// The ids that stand in sections, each with its place.
fn named(tables: &[(&DeTable<'_>, Range<usize>)]) -> Vec<(String, Range<usize>)> {
    let id = |(table, _): &(&DeTable<'_>, Range<usize>)| {
        let value = table.get("id")?;
        Some((value.get_ref().as_str()?.to_owned(), value.span()))
    };
    tables.iter().filter_map(id).collect()
}

/// Ids that stand twice: a plan would not say which of the two it means.
fn twice(ids: &[(String, Range<usize>)], what: &str) -> Vec<Trouble> {
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    let mut found = Vec::new();
    for (place, (id, at)) in ids.iter().enumerate() {
        let earlier = *first.entry(id).or_insert(place);
        if earlier != place {
            let said = format!("two entries of `{what}` are called `{id}`, this and number {}", earlier + 1);
            found.push(Trouble { at: at.clone(), said, remedy: "give one of them another id".to_owned() });
        }
    }
    found
}

/// The id of the piece that makes a line, and where it is named.
type Maker = (String, Range<usize>);

struct Reader {
    unit: Unit,
    faults: Vec<Trouble>,
}

impl Reader {
    fn file(&mut self, table: &DeTable<'_>, at: Range<usize>) -> Asked {
        let mut fields = Fields::new(table, "the file".to_owned(), at, self.unit);
        match fields.text("unit") {
            None => {}
            Some((unit, at)) => match unit.as_str() {
                "mm" => self.unit = Unit::Millimetre,
                "in" => self.unit = Unit::Inch,
                _ => fields.fault(
                    at,
                    format!("`{unit}` is no unit"),
                    "write `unit = \"mm\"` or `unit = \"in\"`".to_owned(),
                ),
            },
        }
        if let Some(format) = fields.number("format", u64::from(u32::MAX))
            && format != 1
        {
            let said = format!("the file has format {format}, this program reads format 1");
            fields.fault(0..0, said, "use a newer version of the program".to_owned());
        }
        let goal = match fields.text("goal") {
            None => {
                fields.missing("goal", "\"fewest-sheets\"");
                Goal::FewestSheets
            }
            Some((goal, at)) => goal_of(&goal).unwrap_or_else(|| {
                let remedy = match nearest(&goal, GOALS.iter().map(|(word, _)| *word)) {
                    Some(word) => format!("did you mean `{word}`?"),
                    None => "write most-value, fewest-sheets or least-cost".to_owned(),
                };
                fields.fault(at, format!("`{goal}` is no goal"), remedy);
                Goal::FewestSheets
            }),
        };
        let stack = fields.number("stack", 1000).map_or(1, |n| u32::try_from(n.max(1)).unwrap_or(1));
        let stock_tables = fields.tables("stock");
        let piece_tables = fields.tables("piece");
        let keep_tables = fields.tables("keep");
        let rules_table = fields.table("rules");
        for (tables, key) in [(&stock_tables, "stock"), (&piece_tables, "piece")] {
            if tables.is_empty() {
                let remedy = format!("add a section `[[{key}]]` with `id`, `width`, `height` and `count` for each");
                fields.fault(0..0, format!("the file names no `{key}`"), remedy);
            }
        }
        for (tables, what) in [(&stock_tables, "stock"), (&piece_tables, "piece")] {
            if tables.len() > MOST_ENTRIES {
                let said = format!("there are {} entries of `{what}`, more than {MOST_ENTRIES}", tables.len());
                fields.fault(0..0, said, "plan fewer at a time".to_owned());
            }
        }
        self.faults.extend(fields.end());
        let (stock_ids, piece_ids) = (named(&stock_tables), named(&piece_tables));
        let rules = rules_table.map(|(table, at)| self.rules(table, at)).unwrap_or_default();
        let mut stock = Vec::new();
        let mut makers = Vec::new();
        let mut pictures = Vec::new();
        let mut papers: BTreeMap<String, u32> = BTreeMap::new();
        for (index, (table, at)) in stock_tables.into_iter().take(MOST_ENTRIES).enumerate() {
            let (line, maker, picture) = self.stock(table, at, index, &mut papers);
            stock.push(line);
            makers.push(maker);
            pictures.push(picture);
        }
        let mut pieces = Vec::new();
        let mut groups: BTreeMap<String, u32> = BTreeMap::new();
        for (index, (table, at)) in piece_tables.into_iter().take(MOST_ENTRIES).enumerate() {
            pieces.push(self.piece(table, at, index, &stock, &mut groups));
        }
        self.makers(&mut stock, makers, &pieces);
        for (places, what) in [(stock_ids, "stock"), (piece_ids, "piece")] {
            self.faults.extend(twice(&places, what));
        }
        self.worths(goal, &pieces, &stock);
        let keep =
            keep_tables.into_iter().enumerate().map(|(index, (table, at))| self.keep(table, at, index)).collect();
        Asked { problem: Problem { goal, stock, pieces, rules }, unit: self.unit, keep, stack, pictures }
    }

    fn rules(&mut self, table: &DeTable<'_>, at: Range<usize>) -> Rules {
        let mut fields = Fields::new(table, "`rules`".to_owned(), at, self.unit);
        let all = fields.length("trim").unwrap_or_default();
        let mut trim = |key: &'static str| fields.length(key).unwrap_or(all);
        let trims = Trims {
            left: trim("trim_left"),
            right: trim("trim_right"),
            top: trim("trim_top"),
            bottom: trim("trim_bottom"),
        };
        let rules = Rules {
            trims,
            cut_width: fields.length("cut_width").unwrap_or_default(),
            longest_cut: fields.length("longest_cut"),
            safe_strip: fields.length("safe_strip").unwrap_or_default(),
            stages: fields
                .number("stages", 100)
                .and_then(|stages| u8::try_from(stages).ok())
                .map_or(Stages::Free, Stages::AtMost),
        };
        self.faults.extend(fields.end());
        rules
    }

    fn size(fields: &mut Fields<'_>) -> (Length, Length) {
        let mut side = |key: &'static str| match fields.length(key) {
            Some(length) => length,
            None => {
                // A fault of its value is already named.
                if fields.faults.is_empty() {
                    fields.missing(key, "100");
                }
                Length::MILLIMETRE
            }
        };
        (side("width"), side("height"))
    }

    fn stock(
        &mut self,
        table: &DeTable<'_>,
        at: Range<usize>,
        index: usize,
        papers: &mut BTreeMap<String, u32>,
    ) -> (Stock, Option<Maker>, Option<String>) {
        let mut fields = Fields::new(table, format!("stock {}", index + 1), at.clone(), self.unit);
        let id = fields.text("id").map_or_else(|| format!("stock {}", index + 1), |(id, _)| id);
        let (width, height) = Self::size(&mut fields);
        if !width.is_positive() || !height.is_positive() {
            fields.fault(at, format!("stock `{id}` has no size"), "give it a width and a height above 0".to_owned());
        }
        let count = fields
            .number("count", MOST_COPIES)
            .map_or(Stock::PLENTY, |count| u32::try_from(count).unwrap_or(Stock::PLENTY));
        let cost = fields.number("cost", MOST_WORTH).map(Worth::Exactly);
        let paper = fields.text("paper").map_or_else(|| format!("\u{0}{id}"), |(paper, _)| paper);
        let next = u32::try_from(papers.len()).unwrap_or(u32::MAX);
        let paper = *papers.entry(paper).or_insert(next);
        let maker = fields.text("made_by");
        let picture = fields.text("picture").map(|(path, _)| path);
        // Stock that a piece makes is paid for with the piece.
        let cost = cost.unwrap_or(if maker.is_some() { Worth::Exactly(0) } else { Worth::Area });
        self.faults.extend(fields.end());
        (Stock { id, width, height, count, cost, paper, made_by: None }, maker, picture)
    }

    fn piece(
        &mut self,
        table: &DeTable<'_>,
        at: Range<usize>,
        index: usize,
        stock: &[Stock],
        groups: &mut BTreeMap<String, u32>,
    ) -> Piece {
        let mut fields = Fields::new(table, format!("piece {}", index + 1), at.clone(), self.unit);
        let id = fields.text("id").map_or_else(|| format!("piece {}", index + 1), |(id, _)| id);
        let (width, height) = Self::size(&mut fields);
        if !width.is_positive() || !height.is_positive() {
            fields.fault(at, format!("piece `{id}` has no size"), "give it a width and a height above 0".to_owned());
        }
        let count = fields.number("count", MOST_COPIES).map_or(1, |count| u32::try_from(count).unwrap_or(1));
        let value = fields.number("value", MOST_WORTH).map_or(Worth::Area, Worth::Exactly);
        let turn = if fields.yes_or_no("turn") == Some(false) { Turn::AsPrinted } else { Turn::Either };
        let group = fields.text("same_paper").map(|(group, _)| {
            let next = u32::try_from(groups.len()).unwrap_or(u32::MAX);
            *groups.entry(group).or_insert(next)
        });
        let on = match fields.list("from") {
            None => On::Any,
            Some(names) => {
                let mut lines = Vec::new();
                for (name, at) in names {
                    let before = lines.len();
                    lines.extend((0..stock.len()).filter(|line| stock[*line].id == name).map(StockIndex));
                    if lines.len() == before {
                        let remedy = match nearest(&name, stock.iter().map(|line| line.id.as_str())) {
                            Some(word) => format!("did you mean `{word}`?"),
                            None => "name stock by its `id`".to_owned(),
                        };
                        fields.fault(
                            at,
                            format!("piece `{id}` is to come from `{name}`, which is not in stock"),
                            remedy,
                        );
                    }
                }
                On::Only(lines)
            }
        };
        self.faults.extend(fields.end());
        Piece { id, width, height, count, value, turn, on, group }
    }

    fn keep(&mut self, table: &DeTable<'_>, at: Range<usize>, index: usize) -> (Length, Length) {
        let mut fields = Fields::new(table, format!("`keep` {}", index + 1), at, self.unit);
        let size = Self::size(&mut fields);
        self.faults.extend(fields.end());
        size
    }

    /// Stock made by a piece's cutting lies inside that piece.
    fn makers(&mut self, stock: &mut [Stock], makers: Vec<Option<Maker>>, pieces: &[Piece]) {
        for (line, maker) in stock.iter_mut().zip(makers) {
            let Some((name, at)) = maker else { continue };
            let mut fault = |said: String, remedy: &str| {
                self.faults.push(Trouble { at: at.clone(), said, remedy: remedy.to_owned() });
            };
            match pieces.iter().position(|piece| piece.id == name) {
                None => fault(
                    format!("stock `{}` is made by `{name}`, which is no piece", line.id),
                    "name a piece by its `id`",
                ),
                Some(index) if pieces[index].width <= line.width || pieces[index].height <= line.height => fault(
                    format!("stock `{}` does not lie inside piece `{name}`", line.id),
                    "the middle cut out of a piece is smaller than it both ways",
                ),
                Some(index) => line.made_by = Some(PieceIndex(index)),
            }
        }
    }

    /// Areas and numbers cannot be added up.
    fn worths(&mut self, goal: Goal, pieces: &[Piece], stock: &[Stock]) {
        let mixed =
            |worths: Vec<Worth>| worths.contains(&Worth::Area) && worths.iter().any(|worth| *worth != Worth::Area);
        let mut fault = |said: &str, remedy: &str| {
            self.faults.push(Trouble { at: 0..0, said: said.to_owned(), remedy: remedy.to_owned() });
        };
        if goal == Goal::MostValue && mixed(pieces.iter().map(|piece| piece.value).collect()) {
            fault(
                "some pieces have a `value` and some have none",
                "give every piece a value, or none (then area counts)",
            );
        }
        let bought = stock.iter().filter(|line| line.made_by.is_none()).map(|line| line.cost).collect();
        if goal == Goal::LeastCost && mixed(bought) {
            fault("some stock has a `cost` and some has none", "give every line a cost, or none (then area counts)");
        }
    }
}

const GOALS: [(&str, Goal); 3] =
    [("most-value", Goal::MostValue), ("fewest-sheets", Goal::FewestSheets), ("least-cost", Goal::LeastCost)];

fn goal_of(word: &str) -> Option<Goal> {
    GOALS.iter().find(|(name, _)| *name == word).map(|(_, goal)| *goal)
}

/// The word for a goal.
pub(super) fn goal_word(goal: Goal) -> &'static str {
    match goal {
        Goal::MostValue => "most-value",
        Goal::FewestSheets => "fewest-sheets",
        Goal::LeastCost => "least-cost",
    }
}

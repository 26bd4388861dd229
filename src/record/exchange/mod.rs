//! Nobody's inventory is locked in: the stash and its ledger as tables (CSV, RFC 4180) both ways, and
//! the swatches as a palette in plain text.
//!
//! Text in, text out: whoever calls reads and writes the files. A table is read as anybody might have
//! written it; all that is wrong with it is told by its row.

mod ledger;
mod palette;
mod stock;

pub use ledger::{ledger_table, read_ledger};
pub use palette::palette;
pub use stock::{StockRow, read_stock, stock_files, stock_table};

/// What is wrong with a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadTable {
    /// The row, from 1 for the headings; 0 where it is the whole.
    pub row: u64,
    /// What is wrong.
    pub why: String,
}

impl BadTable {
    fn new(row: u64, why: impl Into<String>) -> Self {
        Self { row, why: why.into() }
    }

    /// What is wrong and where.
    #[must_use]
    pub fn message(&self) -> String {
        if self.row == 0 { self.why.clone() } else { format!("row {}: {}", self.row, self.why) }
    }
}

/// A table as text, rows ended as RFC 4180 says.
fn table(headings: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory does not fail, and every row is as long as the headings.
    let _ = out.write_record(headings);
    for row in rows {
        let _ = out.write_record(&row);
    }
    out.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// The rows of a table under their headings, each with its number.
struct Rows {
    headings: Vec<String>,
    rows: Vec<(u64, Vec<String>)>,
}

impl Rows {
    fn read(text: &str, needed: &[&str]) -> Result<Self, Vec<BadTable>> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(text.as_bytes());
        let headings = reader.headers().map_err(|why| vec![BadTable::new(1, why.to_string())])?;
        let headings: Vec<String> = headings.iter().map(|heading| heading.trim().to_lowercase()).collect();
        let missing: Vec<&&str> = needed.iter().filter(|needed| !headings.iter().any(|h| h == **needed)).collect();
        if !missing.is_empty() {
            let missing: Vec<String> = missing.iter().map(|heading| format!("`{heading}`")).collect();
            return Err(vec![BadTable::new(1, format!("there is no column {}", missing.join(", ")))]);
        }
        let (mut rows, mut bad) = (Vec::new(), Vec::new());
        for (record, number) in reader.records().zip(2..) {
            match record {
                Ok(record) => rows.push((number, record.iter().map(str::to_owned).collect())),
                Err(why) => bad.push(BadTable::new(number, why.to_string())),
            }
        }
        if bad.is_empty() { Ok(Self { headings, rows }) } else { Err(bad) }
    }

    fn each(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(number, fields)| Row { headings: &self.headings, fields, number: *number })
    }
}

/// One row.
struct Row<'a> {
    headings: &'a [String],
    fields: &'a [String],
    number: u64,
}

impl Row<'_> {
    /// The field under a heading; empty where there is no such column.
    fn get(&self, heading: &str) -> &str {
        let place = self.headings.iter().position(|other| other == heading);
        place.and_then(|place| self.fields.get(place)).map_or("", |field| field.trim())
    }

    fn some(&self, heading: &str) -> Option<String> {
        Some(self.get(heading)).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    fn number<T: std::str::FromStr>(&self, heading: &str) -> Result<T, BadTable> {
        let text = self.get(heading);
        text.parse().map_err(|_| BadTable::new(self.number, format!("`{text}` under `{heading}` is no whole number")))
    }

    fn millimetres(&self, heading: &str) -> Result<api::units::Length, BadTable> {
        let text = self.get(heading);
        api::units::Length::parse(text, api::units::Unit::Millimetre)
            .map_err(|why| BadTable::new(self.number, format!("`{text}` under `{heading}`: {why}")))
    }
}

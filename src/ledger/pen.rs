//! Writes entries: a disk that is locked in; each entry durable, or nothing of it, out.
//!
//! The order is always the same: set a torn tail aside, write in one go, flush, and only then say
//! that it is done. What fails is cut off again; where even that fails, the rest is a torn tail, and
//! the next to open it sets it aside.

use super::{Book, Disk, Entry, Trouble};

/// Writes a ledger. Whoever makes one has locked its disk.
#[derive(Debug)]
pub struct Pen<D> {
    disk: D,
    book: Book,
}

/// An entry that is written for good.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Its number.
    pub entry: u64,
    /// The day it was recorded for.
    pub day: String,
    /// Whether that is a later day than was asked for, since the clock is behind the last entry.
    pub clock_is_behind: bool,
}

impl<D: Disk> Pen<D> {
    /// Reads the ledger and puts its end in order.
    ///
    /// # Errors
    /// Where it cannot be read, is damaged, or what is torn cannot be saved.
    pub fn new(mut disk: D) -> Result<Self, Trouble> {
        let bytes = disk.read().map_err(|error| Trouble::Unreadable { why: error.to_string() })?;
        let mut book = Book::read(bytes.as_deref().unwrap_or_default())?;
        if book.is_torn() {
            // Saved for good before anything is cut off.
            let name = disk.set_aside(&book.torn).map_err(|error| Trouble::writing(&error))?;
            disk.cut(book.whole).and_then(|()| disk.flush()).map_err(|error| Trouble::writing(&error))?;
            book.torn.clear();
            book.set_aside = Some(name);
        } else if !book.entries.is_empty() {
            // A whole last entry that was never confirmed is kept: from now on it is for good.
            disk.flush().map_err(|error| Trouble::writing(&error))?;
        }
        Ok(Self { disk, book })
    }

    /// The ledger as it is.
    pub const fn book(&self) -> &Book {
        &self.book
    }

    /// Writes an entry for good, for `day` or the day of the last entry, whichever is later.
    ///
    /// # Errors
    /// Where it could not be made durable; then nothing is recorded.
    pub fn record(&mut self, stash: &str, day: &str, entry: Entry) -> Result<Recorded, Trouble> {
        let last = self.book.last_day().unwrap_or_default();
        let clock_is_behind = last > day;
        let day = if clock_is_behind { last } else { day }.to_owned();
        let number = self.book.entries.len() as u64 + 1;
        self.write(stash, vec![Entry { number, day: day.clone(), ..entry }])?;
        Ok(Recorded { entry: number, day, clock_is_behind })
    }

    /// Writes entries that come from elsewhere into an empty ledger, with the days they have, all of
    /// them or none.
    ///
    /// # Errors
    /// Where they could not be made durable; then nothing is recorded.
    pub fn record_all(&mut self, stash: &str, entries: Vec<Entry>) -> Result<(), Trouble> {
        let next = self.book.entries.len() as u64 + 1;
        let entries = entries.into_iter().zip(next..).map(|(entry, number)| Entry { number, ..entry }).collect();
        self.write(stash, entries)
    }

    fn write(&mut self, stash: &str, entries: Vec<Entry>) -> Result<(), Trouble> {
        let (text, sums) = self.book.text_of(stash, &entries);
        if let Err(error) = self.disk.append(text.as_bytes()).and_then(|()| self.disk.flush()) {
            // Where this fails too, what is left is a torn tail or a whole entry never confirmed.
            let _ = self.disk.cut(self.book.whole).and_then(|()| self.disk.flush());
            return Err(Trouble::writing(&error));
        }
        if self.book.whole == 0 {
            stash.clone_into(&mut self.book.stash);
        }
        self.book.whole += text.len() as u64;
        self.book.unended = false;
        self.book.last = sums.last().copied().unwrap_or(self.book.last);
        self.book.sums.extend(sums);
        self.book.entries.extend(entries);
        Ok(())
    }

    /// The disk again.
    pub fn into_disk(self) -> D {
        self.disk
    }
}

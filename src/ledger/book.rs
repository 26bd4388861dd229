//! The ledger's text: bytes in; every whole entry, and what is torn at the end, out, or what is
//! wrong with it. It touches no disk.
//!
//! One line an entry: JSON, a tab, and a checksum of the line before and this one (FNV-1a, 64 bits:
//! Fowler, Noll, Vo 1991), so that a line changed, taken out or put in breaks the chain there. The
//! first line says what the file is, its format and which stash it belongs to.

use super::{Entry, Trouble};
use serde::{Deserialize, Serialize};

/// The format of the ledger. It grows when an older program could no longer read it.
pub const FORMAT: u32 = 1;

/// The largest ledger that is read, in bytes: some millions of entries.
pub(super) const LARGEST: u64 = 512_000_000;

/// The first line.
#[derive(Debug, Serialize, Deserialize)]
struct Head {
    #[serde(rename = "swatchfold-ledger")]
    format: u32,
    stash: String,
}

/// A ledger as read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Book {
    /// Which stash it belongs to; empty where there is no ledger yet.
    pub stash: String,
    /// Every entry, in order.
    pub entries: Vec<Entry>,
    /// How many bytes are whole.
    pub(super) whole: u64,
    /// The checksum of the last whole line.
    pub(super) last: u64,
    /// Whether the last whole line lacks its line break.
    pub(super) unended: bool,
    /// Bytes at the end that are no whole entry: what a crash tore.
    pub(super) torn: Vec<u8>,
    /// The checksum after each entry, in order.
    pub(super) sums: Vec<u64>,
    /// The file a torn tail was saved to, where that has been done.
    pub set_aside: Option<String>,
}

impl Book {
    /// Reads a ledger.
    ///
    /// # Errors
    /// Where it was written by a newer program, is no ledger, or was changed by hand.
    pub fn read(bytes: &[u8]) -> Result<Self, Trouble> {
        let mut book = Self::default();
        let mut rest = bytes;
        let mut line = 0_u64;
        while !rest.is_empty() {
            line += 1;
            let (text, ended, after) = match rest.iter().position(|byte| *byte == b'\n') {
                Some(end) => (&rest[..end], true, &rest[end + 1..]),
                None => (rest, false, &rest[rest.len()..]),
            };
            match book.line(line, text) {
                Ok(()) => {
                    book.whole += text.len() as u64 + u64::from(ended);
                    book.unended = !ended;
                }
                // Only what was written last can be torn, and a whole line that a hand changed is not.
                Err(_) if after.is_empty() && (!ended || text.contains(&0)) => {
                    book.torn = rest.to_vec();
                    break;
                }
                Err(trouble) => return Err(trouble),
            }
            rest = after;
        }
        Ok(book)
    }

    fn line(&mut self, line: u64, text: &[u8]) -> Result<(), Trouble> {
        let text = text.strip_suffix(b"\r").unwrap_or(text);
        let tab = text.iter().rposition(|byte| *byte == b'\t');
        let (json, sum) = tab.map_or((text, &b""[..]), |tab| (&text[..tab], &text[tab + 1..]));
        let sum = std::str::from_utf8(sum).ok().filter(|sum| sum.len() == 16);
        let sum = sum.and_then(|sum| u64::from_str_radix(sum, 16).ok());
        let true_sum = checksum(self.last, json);
        if line == 1 {
            let head: Head = serde_json::from_slice(json).map_err(|_| Trouble::NoLedger)?;
            if head.format > FORMAT {
                return Err(Trouble::Newer { found: head.format, known: FORMAT });
            }
            if sum != Some(true_sum) {
                return Err(Trouble::Edited { line });
            }
            self.stash = head.stash;
        } else {
            let entry: Result<Entry, _> = serde_json::from_slice(json);
            let due = self.entries.len() as u64 + 1;
            match entry {
                Ok(entry) if entry.number > due && sum.is_some() => {
                    return Err(Trouble::Missing { line, from: due, to: entry.number - 1 });
                }
                Ok(entry) if sum == Some(true_sum) && entry.number == due => {
                    self.entries.push(entry);
                    self.sums.push(true_sum);
                }
                _ => return Err(Trouble::Edited { line }),
            }
        }
        self.last = true_sum;
        Ok(())
    }

    /// The text that adds entries, with the checksum after each; for the first ones, with the line that
    /// opens a ledger of `stash`.
    pub(super) fn text_of(&self, stash: &str, entries: &[Entry]) -> (String, Vec<u64>) {
        let (mut text, mut last) = (String::new(), self.last);
        let mut put = |json: &str| {
            last = checksum(last, json.as_bytes());
            text.push_str(&format!("{json}\t{last:016x}\n"));
            last
        };
        if self.whole == 0 {
            put(&written(&Head { format: FORMAT, stash: stash.to_owned() }));
        }
        let sums = entries.iter().map(|entry| put(&written(entry))).collect();
        if self.unended {
            text.insert(0, '\n');
        }
        (text, sums)
    }

    /// The day of the last entry; days never run backwards.
    #[must_use]
    pub fn last_day(&self) -> Option<&str> {
        self.entries.last().map(|entry| entry.day.as_str())
    }

    /// Its state, as a plan names it: the number of the last entry and the checksum of its line.
    #[must_use]
    pub fn revision(&self) -> String {
        format!("{}-{:016x}", self.entries.len(), self.last)
    }

    /// Whether a state named by [`Book::revision`] is this one or one before it.
    #[must_use]
    pub fn has_been(&self, revision: &str) -> bool {
        let Some((number, sum)) = revision.split_once('-') else { return false };
        match (number.parse::<usize>(), u64::from_str_radix(sum, 16)) {
            (Ok(0), Ok(_)) => true,
            (Ok(number), Ok(sum)) => self.sums.get(number - 1) == Some(&sum),
            _ => false,
        }
    }

    /// Whether something at the end was torn by a crash.
    #[must_use]
    pub fn is_torn(&self) -> bool {
        !self.torn.is_empty()
    }
}

/// Values of texts and numbers as JSON on one line.
fn written(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("a value of texts, lists and numbers")
}

/// FNV-1a over the checksum before and this line.
pub(super) fn checksum(before: u64, json: &[u8]) -> u64 {
    let take = |sum: u64, byte: &u8| (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    let sum = before.to_be_bytes().iter().fold(0xcbf2_9ce4_8422_2325, take);
    json.iter().fold(sum, take)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fowler, Noll, Vo: the test vectors of their reference page and of the IETF draft
    /// `draft-eastlake-fnv`, for 64 bits: of nothing, of "a" and of "foobar".
    #[test]
    fn the_checksum_is_fnv_1a() {
        let plain = |text: &[u8]| {
            text.iter().fold(0xcbf2_9ce4_8422_2325_u64, |sum, byte| {
                (sum ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
            })
        };
        assert_eq!(plain(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(plain(b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(plain(b"foobar"), 0x8594_4171_f739_67e8);
        // Ours is that of eight bytes of the line before, then this line.
        assert_eq!(checksum(0x61_62_63_64_65_66_67_68, b"foobar"), plain(b"abcdefghfoobar"));
    }
}

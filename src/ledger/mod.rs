//! The ledger: what was cut, made, found and given, written down once and never changed.
//!
//! An append-only file beside the TOML. What is on hand is the TOML and the ledger together; a
//! recording never edits the TOML. [`Book`] is the ledger as read, [`Pen`] writes one entry more,
//! durably or not at all, and [`on_hand`] works out what is left. It knows ids, counts and sizes,
//! never plans or cards' insides, and is the only module that writes to this file.

mod book;
mod disk;
mod entry;
mod folder;
mod pen;
mod state;
mod trouble;

pub use book::{Book, FORMAT};
pub use disk::Disk;
pub use entry::{CardsMade, Change, Cut, CutPiece, Entry, Kind, NewPaper, Piece, What};
pub use folder::{FILE, Folder, LOCK, read_folder};
pub use pen::{Pen, Recorded};
pub use state::{Base, BaseLine, Cards, Held, InTheWay, OnHand, active, in_the_way, last_to_undo, on_hand};
pub use trouble::Trouble;

#[cfg(test)]
mod crash;
#[cfg(test)]
mod tests;

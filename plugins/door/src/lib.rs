//! Who may come in, and how much of it: the HTTP side of the pages.
//!
//! A [`House`] answers requests with plain values; this crate listens, and lets through only what
//! may pass: from this computer, or from a device that was paired; with the right host name, from
//! our own pages, within limits of size and time. It knows nothing of cards and reads no file.

mod asked;
mod body;
mod code;
mod gate;
mod guests;
mod listen;
mod out;
mod ports;
mod told;

pub use asked::{Asked, Body, File, Guest, Method};
pub use code::squares;
pub use gate::Refusal;
pub use listen::{Bell, Doors, Notice, Trouble, serve};
pub use told::{Keep, Kind, Teller, Told};

use std::sync::Arc;

/// The header in which a script sends the token of its session.
pub const TOKEN_HEADER: &str = "x-swatchfold-token";
/// The form field in which a page sends the token of its session.
pub const TOKEN_FIELD: &str = "token";
/// The header in which a script says which revision it saw.
pub const REVISION_HEADER: &str = "x-swatchfold-revision";

/// What a device that is not paired is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pairing {
    /// The code it brought with it, to be filled in; never checked to show the page.
    pub code: String,
    /// Whether the code it just tried was wrong.
    pub was_wrong: bool,
}

/// Whoever answers what is let through.
pub trait House: Send + Sync + 'static {
    /// Answers a request. It has a thread of its own; what takes long is told as events from another.
    fn answer(self: Arc<Self>, asked: Asked) -> Told;

    /// The most bytes a body sent to this path may have.
    fn most_bytes(&self, path: &[String]) -> u64;

    /// The page on which a code is typed in.
    fn pairing(&self, pairing: &Pairing) -> Told;

    /// The page for what is not let through.
    fn refused(&self, refusal: &Refusal, as_data: bool) -> Told;

    /// Whether this may be had without a session: style and pictures of the pairing page.
    fn is_open(&self, path: &[String]) -> bool;
}

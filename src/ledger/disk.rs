//! What the ledger asks of a disk, so that a test can be a bad one.

use std::io;

/// A place to keep the ledger's bytes. Nothing is durable before [`Disk::flush`] returns.
pub trait Disk {
    /// All bytes, or none where there is no file.
    ///
    /// # Errors
    /// What the system says.
    fn read(&mut self) -> io::Result<Option<Vec<u8>>>;

    /// Adds bytes at the end, in one write; makes the file where there is none.
    ///
    /// # Errors
    /// What the system says; some of the bytes may have been written.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;

    /// Waits until all that was written is on the disk for good.
    ///
    /// # Errors
    /// What the system says; nothing is known of what was written since the last flush.
    fn flush(&mut self) -> io::Result<()>;

    /// Cuts the file to a length.
    ///
    /// # Errors
    /// What the system says.
    fn cut(&mut self, length: u64) -> io::Result<()>;

    /// Saves bytes for good in a file of their own, and says its name.
    ///
    /// # Errors
    /// What the system says.
    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String>;
}

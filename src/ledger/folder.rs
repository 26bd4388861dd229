//! The ledger in a stash folder: a real file, a lock against a second writer, and names for what is
//! set aside. Links are not followed, and nothing but plain files is opened.

use super::book::LARGEST;
use super::{Book, Disk, Pen, Trouble};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The ledger's name in the stash folder.
pub const FILE: &str = "ledger.swatchfold";
/// The file whose lock says that someone is writing; it may be deleted while nobody is.
pub const LOCK: &str = ".ledger.lock";
/// How long to wait for another writer.
const PATIENCE: Duration = Duration::from_secs(3);
/// How often to look whether it has ended.
const TICK: Duration = Duration::from_millis(20);
/// At most so much of what the other writer says of itself is shown.
const WHO: u64 = 200;
/// At most so many torn tails are kept beside one ledger.
const MOST_TORN: u32 = 10_000;

/// A ledger's folder, locked.
#[derive(Debug)]
pub struct Folder {
    folder: PathBuf,
    file: Option<File>,
    /// Held for as long as this lives.
    _lock: File,
}

/// Reads the ledger of a folder without writing anything; an empty book where there is none.
///
/// # Errors
/// Where it cannot be read or is damaged.
pub fn read_folder(folder: &Path) -> Result<Book, Trouble> {
    let path = folder.join(FILE);
    let unreadable = |error: &io::Error| Trouble::Unreadable { why: error.to_string() };
    match is_plain(&path)? {
        false => Ok(Book::default()),
        true => {
            let mut file = File::open(&path).map_err(|error| unreadable(&error))?;
            Book::read(&read_all(&mut file).map_err(|error| unreadable(&error))?)
        }
    }
}

/// Whether there is a plain file of a bearable size.
fn is_plain(path: &Path) -> Result<bool, Trouble> {
    match path.symlink_metadata() {
        Ok(about) if about.is_symlink() => Err(Trouble::Unfit { what: "a link" }),
        Ok(about) if !about.is_file() => Err(Trouble::Unfit { what: "no plain file" }),
        Ok(about) if about.len() > LARGEST => Err(Trouble::Unfit { what: "larger than any ledger" }),
        Ok(_) => Ok(true),
        Err(error) if matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(false),
        Err(error) => Err(Trouble::Unreadable { why: error.to_string() }),
    }
}

fn read_all(file: &mut File) -> io::Result<Vec<u8>> {
    let length = file.metadata()?.len();
    let mut bytes = Vec::with_capacity(usize::try_from(length.min(LARGEST)).unwrap_or(0));
    file.seek(SeekFrom::Start(0))?;
    file.take(LARGEST + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

impl Folder {
    /// Locks a folder for writing and opens its ledger. `who` is told to whoever waits meanwhile.
    ///
    /// # Errors
    /// Where another program keeps on writing, the ledger is damaged, or it may not be written.
    pub fn open(folder: &Path, who: &str) -> Result<Pen<Self>, Trouble> {
        let lock = lock(folder, who)?;
        let path = folder.join(FILE);
        let file = if is_plain(&path)? {
            // For adding as well: a ledger that may not be written is refused before anything is done.
            let opened = OpenOptions::new().read(true).append(true).open(&path);
            Some(opened.map_err(|error| Trouble::writing(&error))?)
        } else {
            None
        };
        Pen::new(Self { folder: folder.to_path_buf(), file, _lock: lock })
    }
}

fn lock(folder: &Path, who: &str) -> Result<File, Trouble> {
    let path = folder.join(LOCK);
    match is_plain(&path) {
        Ok(_) => {}
        Err(_) => return Err(Trouble::NotWritten { why: format!("`{LOCK}` is no plain file") }),
    }
    let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
    let mut file = open.map_err(|error| Trouble::writing(&error))?;
    let begun = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => break,
            Err(TryLockError::WouldBlock) if begun.elapsed() < PATIENCE => std::thread::sleep(TICK),
            Err(TryLockError::WouldBlock) => {
                let mut who = String::new();
                // Whoever it is may be writing its name just now.
                let _ = file.take(WHO).read_to_string(&mut who);
                let who = if who.trim().is_empty() { "another program".to_owned() } else { who.trim().to_owned() };
                return Err(Trouble::Busy { who });
            }
            Err(TryLockError::Error(error)) => return Err(Trouble::writing(&error)),
        }
    }
    // Only a courtesy to those who wait.
    let _ = file.set_len(0).and_then(|()| file.write_all(format!("{who}, process {}", std::process::id()).as_bytes()));
    Ok(file)
}

/// Makes a new name durable.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

impl Disk for Folder {
    fn read(&mut self) -> io::Result<Option<Vec<u8>>> {
        self.file.as_mut().map(read_all).transpose()
    }

    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        if self.file.is_none() {
            let path = self.folder.join(FILE);
            self.file = Some(OpenOptions::new().read(true).append(true).create_new(true).open(path)?);
        }
        match &mut self.file {
            Some(file) => file.write_all(bytes),
            None => Ok(()),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        let Some(file) = &self.file else { return Ok(()) };
        file.sync_data()?;
        sync_folder(&self.folder)
    }

    fn cut(&mut self, length: u64) -> io::Result<()> {
        self.file.as_ref().map_or(Ok(()), |file| file.set_len(length))
    }

    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String> {
        for number in 1..=MOST_TORN {
            let name = format!("{FILE}.torn-{number}");
            match OpenOptions::new().write(true).create_new(true).open(self.folder.join(&name)) {
                Ok(mut file) => {
                    file.write_all(bytes)?;
                    file.sync_all()?;
                    sync_folder(&self.folder)?;
                    return Ok(name);
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error),
            }
        }
        Err(io::Error::new(io::ErrorKind::AlreadyExists, "too many torn ends are kept beside it already"))
    }
}

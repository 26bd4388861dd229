//! A disk that fails in every way a disk can, and what must hold after each: every entry that was
//! said to be recorded is there and whole, no other is half there, and the next one can be written.

use super::tests::used;
use super::{Book, Disk, Entry, Pen, Trouble};
use std::cell::RefCell;
use std::io;
use std::rc::Rc;

/// What is on the disk for good, what was written since, and when it fails.
#[derive(Debug, Default)]
struct Platter {
    sure: Vec<u8>,
    now: Option<Vec<u8>>,
    aside: Vec<Vec<u8>>,
    /// Bytes there is room for.
    room: Option<usize>,
    /// Calls until power is lost; how many of the unflushed bytes survive then.
    calls_left: Option<usize>,
    survive: usize,
    flush_fails: bool,
    /// Whether what was not flushed is lost at the end, too.
    dead: bool,
}

#[derive(Clone, Debug, Default)]
struct Faulty(Rc<RefCell<Platter>>);

impl Platter {
    fn call(&mut self) -> io::Result<()> {
        if self.dead {
            return Err(io::Error::other("no power"));
        }
        if let Some(left) = &mut self.calls_left {
            if *left == 0 {
                self.dead = true;
                return Err(io::Error::other("no power"));
            }
            *left -= 1;
        }
        Ok(())
    }

    /// What a reader finds after power was lost: all that was flushed, and some of the rest.
    fn after_the_crash(&self) -> Vec<u8> {
        let now = self.now.clone().unwrap_or_default();
        if now.len() >= self.sure.len() && now.starts_with(&self.sure) {
            let kept = (self.sure.len() + self.survive).min(now.len());
            now[..kept].to_vec()
        } else {
            // A cut that was not flushed: as before, or as after.
            if self.survive == 0 { self.sure.clone() } else { now }
        }
    }
}

impl Disk for Faulty {
    fn read(&mut self) -> io::Result<Option<Vec<u8>>> {
        Ok(self.0.borrow().now.clone())
    }

    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut platter = self.0.borrow_mut();
        let room = platter.room.unwrap_or(usize::MAX);
        let fits = bytes.len().min(room.saturating_sub(platter.now.as_ref().map_or(0, Vec::len)));
        // The bytes may reach the disk even where the call never comes back.
        platter.now.get_or_insert_default().extend_from_slice(&bytes[..fits]);
        platter.call()?;
        if fits < bytes.len() { Err(io::ErrorKind::StorageFull.into()) } else { Ok(()) }
    }

    fn flush(&mut self) -> io::Result<()> {
        let mut platter = self.0.borrow_mut();
        platter.call()?;
        if platter.flush_fails {
            return Err(io::Error::other("the disk did not answer"));
        }
        platter.sure = platter.now.clone().unwrap_or_default();
        Ok(())
    }

    fn cut(&mut self, length: u64) -> io::Result<()> {
        let mut platter = self.0.borrow_mut();
        platter.call()?;
        platter.now.get_or_insert_default().truncate(usize::try_from(length).unwrap());
        Ok(())
    }

    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String> {
        let mut platter = self.0.borrow_mut();
        platter.call()?;
        platter.aside.push(bytes.to_vec());
        Ok("aside".to_owned())
    }
}

fn disk_with(bytes: &[u8]) -> Faulty {
    let (sure, now) = (bytes.to_vec(), Some(bytes.to_vec()));
    Faulty(Rc::new(RefCell::new(Platter { sure, now, ..Platter::default() })))
}

/// Writes until the disk fails; how many entries were said to be recorded.
fn write_all(disk: &Faulty, entries: u32) -> u64 {
    let Ok(mut pen) = Pen::new(disk.clone()) else { return 0 };
    let mut said = pen.book().entries.len() as u64;
    for n in 0..entries {
        match pen.record("s", "2026-03-01", used("navy", n + 1)) {
            Ok(recorded) => said = recorded.entry,
            Err(_) => break,
        }
    }
    said
}

/// All that was said to be recorded is there; the next entry can be written.
fn holds(left: &[u8], said: u64, story: &str) {
    let disk = disk_with(left);
    let mut pen = Pen::new(disk.clone()).unwrap_or_else(|why| panic!("{story}: {why:?}"));
    let there = pen.book().entries.len() as u64;
    assert!(there >= said, "{story}: {said} were recorded, {there} are there");
    assert!(there <= said + 1, "{story}: more than was ever written");
    for (entry, n) in pen.book().entries.iter().zip(1_i64..) {
        assert_eq!(entry.changes[0].by, -n, "{story}: every entry is whole");
    }
    let recorded = pen.record("s", "2026-03-02", used("navy", 99)).unwrap_or_else(|why| panic!("{story}: {why:?}"));
    assert_eq!(recorded.entry, there + 1);
    let bytes = disk.0.borrow().sure.clone();
    assert_eq!(Book::read(&bytes).expect("it is whole").entries.len() as u64, there + 1, "{story}");
    let torn = left.len() - usize::try_from(Book::read(left).unwrap().whole).unwrap();
    assert_eq!(disk.0.borrow().aside.iter().map(Vec::len).sum::<usize>(), torn, "{story}: nothing torn is thrown away");
}

#[test]
fn power_may_fail_at_every_call_and_any_tail_of_what_was_not_flushed_be_lost() {
    let longest = 400;
    for calls in 0..12 {
        for survive in 0..=longest {
            let disk = disk_with(b"");
            disk.0.borrow_mut().calls_left = Some(calls);
            disk.0.borrow_mut().survive = survive;
            let said = write_all(&disk, 4);
            let left = disk.0.borrow().after_the_crash();
            holds(&left, said, &format!("call {calls}, {survive} bytes survive"));
        }
    }
}

#[test]
fn power_may_fail_again_while_a_torn_end_is_set_aside() {
    let disk = disk_with(b"");
    assert_eq!(write_all(&disk, 2), 2);
    let mut torn = disk.0.borrow().sure.clone();
    torn.extend_from_slice(b"{\"entry\":3,\"day\":\"2026-");
    for calls in 0..6 {
        for survive in [0, 1, 10, 400] {
            let disk = disk_with(&torn);
            disk.0.borrow_mut().calls_left = Some(calls);
            disk.0.borrow_mut().survive = survive;
            let said = write_all(&disk, 0).max(2);
            let platter = disk.0.borrow();
            let left = platter.after_the_crash();
            // What is cut off is saved already.
            assert!(left == torn || !platter.aside.is_empty(), "call {calls}");
            holds(&left, said, &format!("mending, call {calls}, {survive} survive"));
        }
    }
}

#[test]
fn a_full_disk_records_nothing_and_says_so() {
    let disk = disk_with(b"");
    assert_eq!(write_all(&disk, 2), 2);
    let whole = disk.0.borrow().sure.clone();
    for spare in 0..40 {
        let disk = disk_with(&whole);
        disk.0.borrow_mut().room = Some(whole.len() + spare);
        let mut pen = Pen::new(disk.clone()).unwrap();
        assert_eq!(pen.record("s", "2026-03-01", used("navy", 3)), Err(Trouble::Full));
        assert_eq!(disk.0.borrow().now.as_deref(), Some(&whole[..]), "what did not fit is cut off");
        // Room is made, and the same pen goes on.
        disk.0.borrow_mut().room = None;
        assert_eq!(pen.record("s", "2026-03-01", used("navy", 3)).unwrap().entry, 3);
        holds(&disk.0.borrow().sure.clone(), 3, "room again");
    }
}

#[test]
fn a_flush_that_fails_is_never_called_recorded() {
    let disk = disk_with(b"");
    assert_eq!(write_all(&disk, 2), 2);
    disk.0.borrow_mut().flush_fails = true;
    for survive in 0..400 {
        disk.0.borrow_mut().survive = survive;
        let broken = Faulty(Rc::new(RefCell::new(Platter {
            sure: disk.0.borrow().sure.clone(),
            now: disk.0.borrow().now.clone(),
            survive,
            ..Platter::default()
        })));
        let mut pen = Pen::new(broken.clone()).unwrap();
        broken.0.borrow_mut().flush_fails = true;
        assert!(matches!(pen.record("s", "2026-03-01", used("navy", 3)), Err(Trouble::NotWritten { .. })));
        let left = broken.0.borrow().after_the_crash();
        holds(&left, 2, &format!("no flush, {survive} survive"));
    }
}

/// Without its flush the pen would lose what it said it had recorded: this disk can show it.
#[test]
fn the_disk_of_these_tests_shows_a_missing_flush() {
    let disk = disk_with(b"");
    assert_eq!(write_all(&disk, 1), 1);
    let entry = Pen::new(disk.clone()).unwrap().book().text_of("s", &[Entry { number: 2, ..used("navy", 2) }]).0;
    let mut raw = disk.clone();
    raw.append(entry.as_bytes()).unwrap();
    disk.0.borrow_mut().survive = 0;
    let left = disk.0.borrow().after_the_crash();
    assert_eq!(Book::read(&left).unwrap().entries.len(), 1, "what was only appended is gone");
}

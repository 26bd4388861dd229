//! Sessions: who was let in, with which secret; and the pairing of new devices, a few tries a minute.

use crate::asked::Guest;
use crate::code::{as_typed, pairing_code, same, secret};
use std::time::{Duration, Instant};

/// The most sessions at a time; the one not seen for longest goes first, paired ones last.
const MOST: usize = 200;
/// Wrong codes allowed within [`WINDOW`], by all devices together.
const TRIES: usize = 5;
/// The time in which tries are counted.
const WINDOW: Duration = Duration::from_secs(60);
/// Wrong codes after which the code is another.
const CODE_LIVES: usize = 20;
/// How long a code may be used.
const CODE_LASTS: Duration = Duration::from_secs(15 * 60);

/// How a device came in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum By {
    /// It is this computer.
    Loopback,
    /// It brought the code.
    Code,
}

struct Session {
    cookie: String,
    guest: Guest,
    by: By,
    seen: Instant,
}

/// What became of a code that was tried.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Tried {
    /// It was right: the cookie to set.
    Right(String),
    /// It was wrong, or too old.
    Wrong,
    /// Too many were wrong: seconds to wait.
    Wait(u64),
}

/// Everyone who was let in.
pub(crate) struct Guests {
    sessions: Vec<Session>,
    next: u64,
    code: String,
    code_since: Instant,
    wrong: Vec<Instant>,
    wrong_with_this: usize,
}

impl Guests {
    pub(crate) fn new(now: Instant) -> Self {
        Self {
            sessions: Vec::new(),
            next: 1,
            code: pairing_code(),
            code_since: now,
            wrong: Vec::new(),
            wrong_with_this: 0,
        }
    }

    /// The code that lets the next device in.
    pub(crate) fn code(&self) -> &str {
        &self.code
    }

    /// Whose cookie it is, if a session from there may have it.
    pub(crate) fn known(&mut self, cookie: &str, from_loopback: bool, now: Instant) -> Option<Guest> {
        let session = self.sessions.iter_mut().find(|session| same(&session.cookie, cookie))?;
        if session.by == By::Loopback && !from_loopback {
            return None;
        }
        session.seen = now;
        Some(session.guest.clone())
    }

    /// Lets someone in: the session, and the cookie to set.
    pub(crate) fn let_in(&mut self, by: By, now: Instant) -> (Guest, String) {
        if self.sessions.len() >= MOST {
            let oldest = (0..self.sessions.len()).min_by_key(|place| {
                let session = &self.sessions[*place];
                (session.by, session.seen)
            });
            if let Some(oldest) = oldest {
                self.sessions.swap_remove(oldest);
            }
        }
        let guest = Guest { number: self.next, token: secret() };
        let cookie = secret();
        self.next += 1;
        self.sessions.push(Session { cookie: cookie.clone(), guest: guest.clone(), by, seen: now });
        (guest, cookie)
    }

    /// Tries a code.
    pub(crate) fn try_code(&mut self, typed: &str, now: Instant) -> Tried {
        self.wrong.retain(|when| now.duration_since(*when) < WINDOW);
        if let (true, Some(first)) = (self.wrong.len() >= TRIES, self.wrong.first()) {
            return Tried::Wait((WINDOW - now.duration_since(*first)).as_secs() + 1);
        }
        let is_fresh = now.duration_since(self.code_since) < CODE_LASTS;
        if same(&as_typed(typed), &self.code) && is_fresh {
            self.renew(now);
            return Tried::Right(self.let_in(By::Code, now).1);
        }
        self.wrong.push(now);
        self.wrong_with_this += 1;
        if self.wrong_with_this >= CODE_LIVES || !is_fresh {
            self.renew(now);
        }
        Tried::Wrong
    }

    fn renew(&mut self, now: Instant) {
        self.code = pairing_code();
        self.code_since = now;
        self.wrong_with_this = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_lets_one_device_in_and_is_then_another() {
        let now = Instant::now();
        let mut guests = Guests::new(now);
        let code = guests.code().to_owned();
        let Tried::Right(cookie) = guests.try_code(&code.to_lowercase(), now) else { panic!("the code is right") };
        assert!(guests.known(&cookie, false, now).is_some());
        assert_eq!(guests.try_code(&code, now), Tried::Wrong);
        assert!(guests.known("", false, now).is_none());
    }

    #[test]
    fn a_session_of_this_computer_is_of_no_use_elsewhere() {
        let now = Instant::now();
        let mut guests = Guests::new(now);
        let (_, cookie) = guests.let_in(By::Loopback, now);
        assert!(guests.known(&cookie, true, now).is_some());
        assert!(guests.known(&cookie, false, now).is_none());
    }

    #[test]
    fn guessing_is_slow_and_the_right_code_waits_too() {
        let now = Instant::now();
        let mut guests = Guests::new(now);
        for _ in 0..TRIES {
            assert_eq!(guests.try_code("nonsense", now), Tried::Wrong);
        }
        let code = guests.code().to_owned();
        assert!(matches!(guests.try_code(&code, now + Duration::from_secs(1)), Tried::Wait(1..=60)));
        assert!(matches!(guests.try_code(&code, now + WINDOW), Tried::Right(_)));
        // An old code is none.
        let mut guests = Guests::new(now);
        let code = guests.code().to_owned();
        assert_eq!(guests.try_code(&code, now + CODE_LASTS), Tried::Wrong);
        assert_ne!(guests.code(), code);
    }

    #[test]
    fn sessions_are_bounded_and_paired_ones_stay() {
        let now = Instant::now();
        let mut guests = Guests::new(now);
        let (_, paired) = guests.let_in(By::Code, now);
        for place in 0..3 * MOST {
            guests.let_in(By::Loopback, now + Duration::from_millis(u64::try_from(place).unwrap()));
        }
        assert_eq!(guests.sessions.len(), MOST);
        assert!(guests.known(&paired, false, now).is_some());
    }
}

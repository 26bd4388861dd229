//! `serve`: opens the pages, says where they are, and stays until it is interrupted.

use super::args::Common;
use super::console::Console;
use super::open;
use super::trouble::Trouble;
use crate::serve::{Bell, Doors, Notice, Pages, Trouble as Shut, serve as open_pages, squares};
use clap::Args;
use std::io::Write as _;

/// `serve`.
#[derive(Debug, Args)]
pub(super) struct Serve {
    /// The port; if you do not say, 7272 or the next that is free.
    #[arg(long, value_name = "N")]
    pub(super) port: Option<u16>,
    /// Let devices in the same network in, each with a code.
    #[arg(long)]
    pub(super) lan: bool,
}

/// `serve`.
pub(super) fn serve(console: &Console, common: &Common, asked: &Serve) -> Result<(), Trouble> {
    let room = open::readable(console, common)?;
    let today = if common.today.is_some() { Some(room.today) } else { None };
    let doors = Doors { port: asked.port, lan: asked.lan, heeds_interrupt: true };
    open_pages(Pages::new(room, today), doors, &Bell::new(), tell).map_err(|shut| match shut {
        Shut::Port(..) => Trouble::Failure {
            what: shut.to_string(),
            remedy: "name another port after `--port`, or close the program that has this one".to_owned(),
        },
        Shut::NoNetwork => Trouble::Failure {
            what: shut.to_string(),
            remedy: "join a network first, or leave `--lan` out to use the pages on this computer".to_owned(),
        },
        Shut::System(_) => Trouble::Failure { what: shut.to_string(), remedy: "try again".to_owned() },
    })
}

/// Says what happens at the door. Whether anyone reads it makes no difference.
fn tell(notice: Notice) {
    let mut out = std::io::stdout().lock();
    let _ = match notice {
        Notice::Open { here, lan: None } => {
            writeln!(out, "The pages are open at {here}\nThey are for this computer alone. Ctrl-C closes them.")
        }
        Notice::Open { here, lan: Some(lan) } => {
            writeln!(out, "The pages are open at {here}\nand, for devices you let in, at {lan}\nCtrl-C closes them.")
        }
        Notice::Code { code, link } => {
            let picture = squares(&link).unwrap_or_default();
            writeln!(
                out,
                "\nTo let a tablet or telephone in, point its camera here, or open {link}\n\n{picture}\n\
                 The code is {}. It works once, and for a quarter of an hour.",
                spaced(&code)
            )
        }
        Notice::LetIn => writeln!(out, "\nA device was let in. The next one needs a new code:"),
    };
    let _ = out.flush();
}

/// A code in two halves.
fn spaced(code: &str) -> String {
    match code.split_at_checked(code.len() / 2) {
        Some((first, second)) => format!("{first} {second}"),
        None => code.to_owned(),
    }
}

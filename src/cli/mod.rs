//! The command line: arguments in, text or JSON and an exit code out.
//!
//! It parses, asks the room one thing, and prints what `present` makes of the answer. What is found
//! goes to stdout; what goes wrong, and how far things are, to stderr. Exit codes: 0 done, 1
//! something failed, 2 something in the question or the stash is wrong.

mod args;
mod build;
mod colour;
mod colour_args;
mod console;
mod cut;
mod demo;
mod envelope;
mod exchange;
mod guard;
mod help;
mod lists;
mod open;
mod pictures;
mod plan;
mod plugins;
mod print;
mod progress;
mod record;
mod record_args;
mod save;
mod scan;
mod serve;
mod start;
mod suggest;
mod trouble;

use args::{Command, Line};
use clap::Parser;
use console::Console;
use record::Plain;
use std::ffi::OsString;
use std::process::ExitCode;
use trouble::Trouble;

/// Runs the program with the arguments it was started with.
#[must_use]
pub fn main() -> ExitCode {
    guard::guarded(|| run(std::env::args_os()))
}

fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    let line = match Line::try_parse_from(arguments) {
        Ok(line) => line,
        Err(words) => {
            // Help and version are asked for; anything else is a slip.
            let code = if words.use_stderr() { 2 } else { 0 };
            let _ = words.print();
            return ExitCode::from(code);
        }
    };
    let console = Console::new();
    match obey(&console, line) {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            console.tell(&trouble.to_string());
            ExitCode::from(trouble.code())
        }
    }
}

fn obey(console: &Console, line: Line) -> Result<(), Trouble> {
    let common = line.common;
    match line.command {
        Command::Demo(demo) => demo::demo(console, common, &demo),
        Command::Start(start) => start::start(console, common, &start),
        Command::Check => lists::check(console, &common),
        Command::Stock(stock) => lists::stock(console, &common, &stock),
        Command::Plan(asked) => plan::plan(console, &common, &asked),
        Command::Made(made) => plan::made(console, &common, &made),
        Command::Print(asked) => print::print(console, &common, &asked),
        Command::Writeup(asked) => print::writeup(console, &common, &asked),
        Command::Report(report) => exchange::report(console, &common, &report),
        Command::Export(export) => exchange::export(console, &common, &export),
        Command::Import(import) => exchange::import(console, &common, &import),
        Command::Add(add) => record::add(console, &common, &add),
        Command::Used(used) => record::used(console, &common, &used),
        Command::Lost(count) => record::plain(console, &common, Plain::Lost, &count),
        Command::Found(count) => record::plain(console, &common, Plain::Found, &count),
        Command::Recount(count) => record::plain(console, &common, Plain::Recount, &count),
        Command::Given(given) => record::given(console, &common, &given),
        Command::Undo(undo) => record::undo(console, &common, &undo),
        Command::History => record::history(console, &common),
        Command::Suggest(suggest) => suggest::suggest(console, &common, &suggest),
        Command::Scan(pictures) => scan::scan(console, &common, &pictures),
        Command::Colour(colours) => colour::colour(console, &common, &colours),
        Command::Mats(mats) => lists::mats(console, &common, &mats),
        Command::Layouts(layouts) => lists::layouts(console, &common, &layouts),
        Command::Cut(cut) => cut::cut(console, &common, &cut),
        Command::Plugins(asked) => plugins::plugins(console, &common, &asked),
        Command::Build(asked) => build::build(console, &common, &asked),
        Command::Envelope(asked) => envelope::envelope(console, &common, &asked),
        Command::Serve(asked) => serve::serve(console, &common, &asked),
        Command::Completions { shell } => help::completions(console, shell),
        Command::Man { command } => help::man(console, command.as_deref()),
    }
}

//! Completion scripts and manual pages, made from the command line's own description.

use super::args::Line;
use super::console::Console;
use super::trouble::Trouble;
use crate::problem::{nearest, quoted};
use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::Man;

/// `completions SHELL`.
pub(super) fn completions(console: &Console, shell: Shell) -> Result<(), Trouble> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Line::command(), "swatchfold", &mut script);
    console.print_data(&script)
}

/// `man [COMMAND]`.
pub(super) fn man(console: &Console, command: Option<&str>) -> Result<(), Trouble> {
    let mut whole = Line::command();
    whole.build();
    let asked = match command {
        None => whole,
        Some(name) => {
            let found = whole.find_subcommand(name).cloned();
            found.ok_or_else(|| {
                let names = whole.get_subcommands().map(clap::Command::get_name);
                let remedy = match nearest(name, names) {
                    Some(near) => format!("did you mean {}?", quoted(near)),
                    None => "`swatchfold help` lists the commands".to_owned(),
                };
                Trouble::input(format!("there is no command {}", quoted(name)), remedy)
            })?
        }
    };
    let mut page = Vec::new();
    Man::new(asked).render(&mut page)?;
    console.print_data(&page)
}

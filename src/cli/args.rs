//! What may be written on the command line, and the words that explain it.

use super::print::{Print, Writeup};
use api::units::Unit;
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;
use std::path::PathBuf;
use std::time::Duration;

/// Finds cards you can make from the papers, cardstock and scraps you have.
///
/// A stash is a folder of small text files that say what is in your paper drawer, with pictures
/// beside them. Swatchfold reads it and never changes it.
#[derive(Debug, Parser)]
#[command(name = "swatchfold", version, max_term_width = 100, propagate_version = true, args_override_self = true)]
#[command(after_help = "New here? `swatchfold demo` shows what it does; `swatchfold start` begins your own stash.")]
pub(super) struct Line {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
    /// What every command takes.
    #[command(flatten)]
    pub(super) common: Common,
}

/// What every command takes.
#[derive(Clone, Debug, Args)]
pub(super) struct Common {
    /// The folder of your stash; the current folder if you do not say.
    #[arg(long, global = true, value_name = "DIR", value_hint = ValueHint::DirPath)]
    #[arg(help_heading = "For every command")]
    pub(super) stash: Option<PathBuf>,
    /// Print JSON instead of text.
    #[arg(long, global = true, help_heading = "For every command")]
    pub(super) json: bool,
    /// The day to count ages to, such as 2026-03-01; today if you do not say (by UTC).
    #[arg(long, global = true, value_name = "DAY", help_heading = "For every command")]
    pub(super) today: Option<String>,
    /// Show lengths in inches or millimetres; your settings decide if you do not say.
    #[arg(long, global = true, value_name = "UNIT", help_heading = "For every command")]
    pub(super) unit: Option<UnitWord>,
}

/// A unit to show lengths in.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum UnitWord {
    /// Inches, as fractions.
    In,
    /// Millimetres.
    Mm,
}

impl UnitWord {
    /// The unit meant.
    pub(super) const fn unit(self) -> Unit {
        match self {
            Self::In => Unit::Inch,
            Self::Mm => Unit::Millimetre,
        }
    }
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Unpack a stash of invented papers and show the cards that can be made from it.
    ///
    /// The stash goes to a folder `swatchfold-demo` here (or to the one after `--stash`), with a
    /// contact sheet of cards. Change anything in it and run this again: what you changed is kept.
    Demo(Demo),
    /// Begin your own stash: a few questions, and the first suggestions.
    ///
    /// Every question can be answered with an option instead.
    Start(Start),
    /// Say what is wrong with the stash: each problem with its file, line and what to do.
    ///
    /// Ends with exit code 2 where anything is wrong.
    Check,
    /// List everything on hand: papers, images, finished cards.
    Stock(Stock),
    /// Plan a batch: which cards, how many of each, and every cut.
    ///
    /// Nothing is cut or recorded: `--json` gives the plan that `made` records once it is done.
    Plan(Plan),
    /// Record that a plan was carried out: what was cut, the cards, what was kept.
    ///
    /// It asks only which leftovers you kept.
    Made(Made),
    /// Print a plan as a booklet (PDF): every card drawn, what to cut and where, every step.
    ///
    /// Cut maps are at true size where they fit the page. Print at 100 % and measure the check bars.
    Print(Print),
    /// Write a plan down for your own notes, as Markdown or plain text, with room for a photo.
    Writeup(Writeup),
    /// Record stock that came into the house: more of a line, or a new piece or paper.
    ///
    /// `add navy 3` is three more sheets of a line. `add garden/leaves --size "3 x 4 in"` is a piece
    /// of a known paper. `add teal --colour "#3f7f80" --size "US letter" 5` is a new plain paper.
    Add(Add),
    /// Record pieces used up without a plan, and what was kept of them.
    Used(Used),
    /// Record pieces that are gone.
    Lost(Count),
    /// Record pieces that turned up again.
    Found(Count),
    /// Record how many there are, whatever was thought before.
    Recount(Count),
    /// Record finished cards that were given.
    Given(Given),
    /// Take back the latest entry, or the one you name.
    Undo(Undo),
    /// List everything that was recorded.
    History,
    /// Say how the stash is being used up: scraps by age, what pads gave, what lies untouched.
    Report(Report),
    /// Write the stash and the ledger as tables (CSV), and the swatches as a palette, into a folder.
    Export(Export),
    /// Bring in tables that `export` wrote: a stash that is empty, a ledger with nothing in it.
    Import(Import),
    /// Suggest cards that can be made from the stash, the best first, and say why.
    Suggest(Suggest),
    /// Say how to build one of the suggested cards, step by step, and how it is posted.
    ///
    /// Give the options that you gave to `suggest`, so that the same cards are found.
    Build(Build),
    /// Rank your plain stock as a mat behind a paper.
    Mats(Mats),
    /// List the layouts.
    Layouts(Layouts),
    /// Plan the cuts of any stock and pieces, named in a file; no stash is needed.
    ///
    /// `docs/cutting.md` says what the file may say. Without a limit the plan is the same on every
    /// machine, and so it is with `--work`.
    Cut(Cut),
    /// Say which envelopes a card fits and how it is posted, by published limits. Needs no stash.
    ///
    /// Thickness and weight are of what you post: measure and weigh it sealed if you can.
    Envelope(Envelope),
    /// List what judges the cards, with weights and knobs.
    Plugins,
    /// Print a completion script for your shell.
    #[command(hide = true)]
    Completions {
        /// The shell.
        shell: Shell,
    },
    /// Print the manual page, of one command if you name it.
    #[command(hide = true)]
    Man {
        /// The command.
        command: Option<String>,
    },
}

/// `demo`.
#[derive(Debug, Args)]
pub(super) struct Demo {
    /// What to suggest.
    #[command(flatten)]
    pub(super) choose: Choose,
    /// The folder for the pictures; `cards` within the stash if you do not say.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) out: Option<PathBuf>,
}

/// `start`.
#[derive(Debug, Args)]
pub(super) struct Start {
    /// The size of the cards you make, such as `A2` or `5 x 7 in`.
    #[arg(long, value_name = "SIZE")]
    pub(super) card: Option<String>,
    /// The size of the sheets of your pad, such as `6 x 6 in`.
    #[arg(long, value_name = "SIZE")]
    pub(super) pad: Option<String>,
    /// How many different designs the pad has.
    #[arg(long, value_name = "N")]
    pub(super) designs: Option<String>,
    /// How many sheets of each design there are.
    #[arg(long, value_name = "N")]
    pub(super) copies: Option<String>,
    /// What you call the pad.
    #[arg(long, value_name = "NAME", default_value = "First pad")]
    pub(super) name: String,
    /// How many cards to list.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) list: Option<u32>,
    /// How much work the search may do; see `suggest`.
    #[arg(long, value_name = "N")]
    pub(super) work: Option<u64>,
    /// A folder with a picture of each design.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) pictures: Option<String>,
    /// The folder for the pictures of cards; `cards` within the stash if you do not say.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) out: Option<PathBuf>,
}

/// What to suggest.
#[derive(Clone, Debug, Default, Args)]
pub(super) struct Choose {
    /// Only cards that use this: a paper, a pad, a scrap or an image, by its id. May be given again.
    #[arg(long = "use", value_name = "ID")]
    pub(super) must_use: Vec<String>,
    /// Leave this out: a paper, a pad, a scrap or an image, by its id. May be given again.
    #[arg(long, value_name = "ID")]
    pub(super) without: Vec<String>,
    /// Only cards of this size, such as `A2` or `5 x 7 in`. May be given again.
    #[arg(long, value_name = "SIZE")]
    pub(super) card: Vec<String>,
    /// Only this layout, by its id. May be given again.
    #[arg(long, value_name = "ID")]
    pub(super) layout: Vec<String>,
    /// Old and small pieces before all else.
    #[arg(long)]
    pub(super) scraps_first: bool,
    /// How many copies of each card there must be paper for.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) each: Option<u32>,
    /// How many cards to list; your settings decide if you do not say.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) list: Option<u32>,
    /// At most so many cards of one layout.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) per_layout: Option<u32>,
    /// How much work the search may do before it settles for the best found; the same on every machine.
    #[arg(long, value_name = "N")]
    pub(super) work: Option<u64>,
}

/// `suggest`.
#[derive(Debug, Args)]
pub(super) struct Suggest {
    /// What to suggest.
    #[command(flatten)]
    pub(super) choose: Choose,
    /// Draw the cards as well: a picture of each and a contact sheet, into this folder.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) out: Option<PathBuf>,
}

/// `build`.
#[derive(Debug, Args)]
pub(super) struct Build {
    /// The id of the card, as `suggest` prints it.
    pub(super) id: String,
    /// What was suggested.
    #[command(flatten)]
    pub(super) choose: Choose,
}

/// `mats`.
#[derive(Debug, Args)]
pub(super) struct Mats {
    /// The id of the paper, as `stock` lists it.
    pub(super) paper: String,
    /// How many to list; all if you do not say.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) list: Option<u32>,
}

/// `cut`.
#[derive(Debug, Args)]
pub(super) struct Cut {
    /// The file that says what stock there is and which pieces are wanted.
    #[arg(value_name = "PROBLEM.toml", value_hint = ValueHint::FilePath)]
    pub(super) problem: PathBuf,
    /// Draw a cut map of each sheet as well, as SVG at true size, into this folder.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) svg: Option<PathBuf>,
    /// How much work the search may do before it settles for the best found; the same on every machine.
    #[arg(long, value_name = "N")]
    pub(super) work: Option<u64>,
    /// Stop after so many seconds; 0 takes the first plan at hand. The answer says if this cut it short.
    #[arg(long, value_name = "N", value_parser = super::cut::seconds)]
    pub(super) seconds: Option<Duration>,
}

/// `envelope`.
#[derive(Debug, Args)]
pub(super) struct Envelope {
    /// The size of the folded card, such as `4.25x5.5` or `A2`.
    pub(super) card: String,
    /// How thick it is at its thickest, such as `3mm` or `1/8 in`.
    #[arg(long, value_name = "LENGTH", default_value = "1.5mm", allow_hyphen_values = true)]
    pub(super) thickness: String,
    /// What it weighs, such as `18g` or `0.6 oz`.
    #[arg(long, value_name = "WEIGHT", default_value = "15g", allow_hyphen_values = true)]
    pub(super) weight: String,
    /// The envelope it goes in, such as `A7` or `6 x 6 in`, measured outside; chosen if you do not say.
    #[arg(long, value_name = "SIZE")]
    pub(super) outer: Option<String>,
    /// Its thickness is uneven: gems, buttons, a shaker.
    #[arg(long)]
    pub(super) uneven: bool,
    /// The address runs along the short side.
    #[arg(long)]
    pub(super) upright: bool,
    /// It does not bend.
    #[arg(long)]
    pub(super) stiff: bool,
}

/// `layouts`.
#[derive(Debug, Args)]
pub(super) struct Layouts {
    /// Copy the built-in layouts into the stash's folder `layouts`, so that you can change them.
    #[arg(long)]
    pub(super) copy: bool,
}

/// `report`.
#[derive(Debug, Args)]
pub(super) struct Report {
    /// Draw the scrap box month by month into this SVG file, too.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub(super) chart: Option<PathBuf>,
}

/// `export`.
#[derive(Debug, Args)]
pub(super) struct Export {
    /// The folder for `stock.csv`, `ledger.csv` and `swatches.gpl`.
    #[arg(value_hint = ValueHint::DirPath)]
    pub(super) out: PathBuf,
}

/// `import`.
#[derive(Debug, Args)]
pub(super) struct Import {
    /// A table of stock or of entries, or a folder with both.
    pub(super) from: PathBuf,
}

/// `plan`.
#[derive(Debug, Args)]
pub(super) struct Plan {
    /// How many cards; 12 if you do not say.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=10_000))]
    pub(super) cards: Option<u32>,
    /// How many of each design, such as `2..4` or `3`; 2 to 4 if you do not say.
    #[arg(long, value_name = "FROM..TO")]
    pub(super) each: Option<String>,
    /// At most so many designs.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) designs: Option<u32>,
    /// Papers, pads, scraps or images of which every card shows at least one, by their ids.
    #[arg(long = "use", value_name = "PAPER", num_args = 1..)]
    pub(super) must_use: Vec<String>,
    /// Papers, pads, scraps or images to leave alone, by their ids.
    #[arg(long, value_name = "PAPER", num_args = 1..)]
    pub(super) spare: Vec<String>,
    /// Only layouts for this occasion, and those for any.
    #[arg(long = "for", value_name = "OCCASION")]
    pub(super) occasion: Option<String>,
    /// As many cards as can be made.
    #[arg(long, conflicts_with = "cards")]
    pub(super) all: bool,
    /// End after so many seconds with the best plan found; without it only `--work` counts.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=86_400))]
    pub(super) seconds: Option<u64>,
    /// How much work the search may do; the same on every machine.
    #[arg(long, value_name = "N")]
    pub(super) work: Option<u64>,
}

/// `made`.
#[derive(Debug, Args)]
pub(super) struct Made {
    /// The plan, as `plan --json` printed it; `-` reads it from stdin.
    #[arg(value_hint = ValueHint::FilePath)]
    pub(super) plan: PathBuf,
    /// Which leftovers you kept: their numbers in the plan, `all` or `none`.
    #[arg(long, value_name = "WHICH")]
    pub(super) kept: Option<String>,
}

/// `stock`.
#[derive(Debug, Args)]
pub(super) struct Stock {
    /// As it was at the end of this day, such as 2026-03-01.
    #[arg(long, value_name = "DAY")]
    pub(super) on: Option<String>,
}

/// `add`.
#[derive(Debug, Args)]
pub(super) struct Add {
    /// The id of the line, or of the paper where you give a size.
    pub(super) id: String,
    /// How many; one if you do not say.
    #[arg(value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(super) count: Option<u32>,
    /// A piece of this size, the pattern upright.
    #[arg(long, value_name = "SIZE")]
    pub(super) size: Option<String>,
    /// What it is: a scrap if you do not say, a sheet for a new paper.
    #[arg(long, value_name = "KIND", value_parser = ["sheet", "scrap", "card-base"])]
    pub(super) kind: Option<String>,
    /// The id it is to have; the next free one if you do not say.
    #[arg(long = "as", value_name = "ID")]
    pub(super) as_id: Option<String>,
    /// The colour of a new plain paper, such as `#3f7f80`.
    #[arg(long, value_name = "COLOUR")]
    pub(super) colour: Option<String>,
    /// What you call the new paper.
    #[arg(long, value_name = "NAME", requires = "colour")]
    pub(super) name: Option<String>,
    /// What the new paper is: cardstock if you do not say.
    #[arg(long, value_name = "MATERIAL", requires = "colour")]
    #[arg(value_parser = ["cardstock", "kraft", "vellum", "glitter", "patterned"])]
    pub(super) material: Option<String>,
}

/// `used`.
#[derive(Debug, Args)]
pub(super) struct Used {
    /// The id of the line.
    pub(super) id: String,
    /// How many; one if you do not say.
    #[arg(value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(super) count: Option<u32>,
    /// A piece of this size was kept, the pattern upright. May be given again.
    #[arg(long, value_name = "SIZE")]
    pub(super) left: Vec<String>,
}

/// `lost`, `found`, `recount`.
#[derive(Debug, Args)]
pub(super) struct Count {
    /// The id of the line.
    pub(super) id: String,
    /// How many; one if you do not say.
    #[arg(value_parser = clap::value_parser!(u32).range(0..=1_000_000))]
    pub(super) count: Option<u32>,
}

/// `given`.
#[derive(Debug, Args)]
pub(super) struct Given {
    /// The id of the cards, as `stock` lists them.
    pub(super) id: String,
    /// How many; one if you do not say.
    #[arg(value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(super) count: Option<u32>,
}

/// `undo`.
#[derive(Debug, Args)]
pub(super) struct Undo {
    /// The number of the entry, as `history` lists it; the latest if you do not say.
    pub(super) entry: Option<u64>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_contradicts_itself_nowhere() {
        Line::command().debug_assert();
    }
}

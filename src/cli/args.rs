//! What may be written on the command line, and the words that explain it.

use super::colour_args::Colours;
use super::print::{Print, Writeup};
pub(super) use super::record_args::{Add, Count, Export, Given, Import, Made, Plan, Report, Stock, Undo, Used};
use super::serve::Serve;
use api::units::Unit;
use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;
use std::path::PathBuf;
use std::time::Duration;

/// Finds cards you can make from the papers, cardstock and scraps you have.
///
/// A stash is a folder of small text files that say what is in your paper drawer, with pictures
/// beside them. Swatchfold reads it and changes it only where you ask for that.
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
    /// Rank your plain stock as a mat behind a paper, or between two; say what to look for if none does well.
    Mats(Mats),
    /// Measure pictures: colours, how much of each, and the pattern.
    ///
    /// Photograph a sheet on white paper that shows on all four sides, or scan it with a strip of white
    /// round it. Ends with exit code 2 where a picture cannot be read; the others are told all the same.
    Scan(ScanPictures),
    /// Tell what two colours are and how they sit together.
    Colour(Colours),
    /// List the layouts.
    Layouts(Layouts),
    /// Plan the cuts of any stock and pieces, named in a file; no stash is needed.
    ///
    /// `docs/cutting.md` says what the file may say. Without a limit the plan is the same on every
    /// machine, and so it is with `--work`.
    Cut(Cut),
    /// List what judges the cards, with weights and knobs; or try one judge on two papers.
    Plugins(Plugins),
    /// Say which envelopes a card fits and how it is posted, by published limits. Needs no stash.
    ///
    /// Thickness and weight are of what you post: measure and weigh it sealed if you can.
    Envelope(Envelope),
    /// Open the stash as pages in a browser: find cards, match mats, cut and build.
    ///
    /// The pages are for this computer alone, unless `--lan` opens them to tablets and telephones
    /// in the same network; each is let in with a code that works once.
    Serve(Serve),
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
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub(super) designs: Option<String>,
    /// How many sheets of each design there are.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
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
    /// How much work the search may do before it settles for the best found: 25000000 if you do not say, 15000000
    /// with 10,000 lines of stock or more, which is a second or two. The same on every machine.
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
    /// The id of the paper the mat will lie on, which it has to set off as well.
    pub(super) beneath: Option<String>,
    /// Two mats, one round the other.
    #[arg(long)]
    pub(super) double: bool,
    /// Draw them as well: a page with the paper on each mat, into this folder.
    #[arg(long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub(super) out: Option<PathBuf>,
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

/// `scan`.
#[derive(Debug, Args)]
pub(super) struct ScanPictures {
    /// Pictures: JPEG, PNG or WebP.
    #[arg(required = true, value_name = "IMAGE", value_hint = ValueHint::FilePath)]
    pub(super) images: Vec<PathBuf>,
    /// Pixels to the inch; what the file says if you do not, and unknown if it does not.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(10..=20_000))]
    pub(super) dpi: Option<u32>,
    /// Where the white paper is: `auto` looks for it along the edges, `x,y,w,h` names a rectangle in
    /// pixels, `none` takes the colours as they stand, as for artwork or a corrected scan.
    #[arg(long, value_name = "WHERE", default_value = "auto", allow_hyphen_values = true)]
    pub(super) white: String,
    /// The colour the white paper truly is, as L,a,b of CIELAB or `#rrggbb`; office paper, 96,0,0, if you do not say.
    #[arg(long, value_name = "COLOUR", allow_hyphen_values = true)]
    pub(super) paper_white: Option<String>,
    /// Write what was measured into the file of your stash that names the picture; its remarks stay.
    #[arg(long)]
    pub(super) save: bool,
}

/// `plugins`.
#[derive(Debug, Args)]
pub(super) struct Plugins {
    /// What to do; to list them, nothing.
    #[command(subcommand)]
    pub(super) action: Option<PluginAction>,
}

/// What `plugins` can do beside listing.
#[derive(Debug, Subcommand)]
pub(super) enum PluginAction {
    /// Try one judge, a script of yours or any other, on a paper and a cardstock; show what it saw and said.
    Try {
        /// Its name, as `plugins` lists it.
        name: String,
        /// The id of the paper.
        paper: String,
        /// The id of the cardstock, or of another paper.
        cardstock: String,
    },
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

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_contradicts_itself_nowhere() {
        Line::command().debug_assert();
    }
}

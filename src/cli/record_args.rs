//! What may be written on the command line of the commands that plan batches, keep the ledger and bring
//! the stash in and out.

use clap::{Args, ValueHint};
use std::path::PathBuf;

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
    /// Papers, pads, scraps or images of which every card shows at least one, by their ids; a scrap
    /// stands for its paper.
    #[arg(long = "use", value_name = "PAPER", num_args = 1..)]
    pub(super) must_use: Vec<String>,
    /// Papers, pads, scraps or images to leave alone, by their ids.
    #[arg(long, value_name = "PAPER", num_args = 1..)]
    pub(super) spare: Vec<String>,
    /// Only layouts for this occasion, and those for any.
    #[arg(long = "for", value_name = "OCCASION")]
    pub(super) occasion: Option<String>,
    /// Cards of the plan you get without this that are settled, by their ids with commas between: they
    /// stay, and others come in place of the rest. Given again, it counts for the plan that comes of it.
    #[arg(long, value_name = "CARD,CARD")]
    pub(super) settled: Vec<String>,
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
    /// Which leftovers you kept: their numbers in the plan, `all` or `none`; those large enough to list
    /// if you do not say and nobody can be asked.
    #[arg(long, value_name = "WHICH")]
    pub(super) kept: Option<String>,
    /// You set no finishing dots: take none off.
    #[arg(long)]
    pub(super) no_dots: bool,
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

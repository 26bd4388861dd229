//! Why something is not recorded, as a person is told it: what, and what to do about it.

use crate::ledger::{InTheWay, Trouble};

/// Why something is not recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// The ledger itself.
    Ledger(Trouble),
    /// There is no such line of stock.
    UnknownStock {
        /// What was asked for.
        id: String,
        /// The nearest there is.
        nearest: Option<String>,
    },
    /// There is no such paper.
    UnknownPaper {
        /// What was asked for.
        id: String,
        /// The nearest there is.
        nearest: Option<String>,
    },
    /// There are no such finished cards.
    UnknownCards {
        /// What was asked for.
        id: String,
        /// All there are.
        all: Vec<String>,
    },
    /// There are not so many.
    TooFew {
        /// Of what.
        id: String,
        /// How many there are.
        has: u32,
        /// How many were asked for.
        wanted: u32,
    },
    /// It never runs out, so it is not counted.
    Plenty {
        /// What.
        id: String,
    },
    /// None or too many of it.
    BadCount {
        /// How many were asked for.
        count: u32,
    },
    /// Something said to be left of what leaves nothing.
    NothingLeft {
        /// What.
        id: String,
    },
    /// A piece larger than what it is left of.
    TooLarge {
        /// The line it is left of.
        of: String,
        /// The piece.
        piece: String,
        /// What it was cut from.
        whole: String,
    },
    /// An id that is taken, or cannot be one.
    BadId {
        /// The id.
        id: String,
        /// Why not.
        why: &'static str,
    },
    /// Nothing is left to take back.
    NothingToUndo,
    /// There is no such entry.
    UnknownEntry {
        /// Its number.
        entry: u64,
        /// How many there are.
        last: u64,
    },
    /// It is taken back already.
    AlreadyUndone {
        /// Its number.
        entry: u64,
    },
    /// Later entries stand on it.
    InTheWay {
        /// The entry.
        entry: u64,
        /// What stands in the way.
        ways: Vec<InTheWay>,
    },
    /// A plan that cannot be read.
    BadPlan {
        /// Why not.
        why: String,
    },
    /// A plan of another stash.
    OtherStash {
        /// Why it is taken for one.
        why: String,
    },
    /// A plan that no longer fits what is on hand.
    Changed {
        /// What changed, line by line.
        what: Vec<String>,
    },
    /// A ledger into which others cannot be brought, for it has its own.
    NotEmpty {
        /// How many.
        entries: usize,
    },
    /// A plan that is recorded already.
    AlreadyMade {
        /// The entry.
        entry: u64,
    },
    /// Leftovers that the plan does not leave.
    UnknownLeftover {
        /// What was asked for.
        id: String,
        /// All there are.
        all: Vec<String>,
    },
}

impl From<Trouble> for Refused {
    fn from(trouble: Trouble) -> Self {
        Self::Ledger(trouble)
    }
}

impl Refused {
    /// What is wrong.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Ledger(trouble) => trouble.message(),
            Self::UnknownStock { id, .. } => format!("no line of stock has the id `{id}`"),
            Self::UnknownPaper { id, .. } => format!("no paper has the id `{id}`"),
            Self::UnknownCards { id, .. } => format!("no finished cards have the id `{id}`"),
            Self::TooFew { id, has: 0, .. } => format!("there is none of `{id}` left"),
            Self::TooFew { id, has, wanted } => {
                format!("there are {has} of `{id}`, {} fewer than {wanted}", wanted - has)
            }
            Self::Plenty { id } => format!("`{id}` never runs out, so it is not counted"),
            Self::BadCount { count: 0 } => "none is nothing to record".into(),
            Self::BadCount { count } => format!("{count} is more than anyone has"),
            Self::TooLarge { of, piece, whole } => {
                format!("a piece of {piece} cannot be left of `{of}`, which is {whole}")
            }
            Self::NothingLeft { id } => format!("`{id}` are finishing dots, of which no piece is left"),
            Self::BadId { id, why } => format!("`{id}` cannot be the id: {why}"),
            Self::NothingToUndo => "there is nothing to take back".into(),
            Self::UnknownEntry { entry, last: 0 } => format!("there is no entry {entry}: nothing is recorded yet"),
            Self::UnknownEntry { entry, last } => format!("there is no entry {entry}: the last one is {last}"),
            Self::AlreadyUndone { entry } => format!("entry {entry} is taken back already"),
            Self::InTheWay { entry, ways } => {
                let mut of: std::collections::BTreeMap<u64, Vec<&str>> = std::collections::BTreeMap::new();
                for way in ways {
                    of.entry(way.entry).or_default().push(&way.id);
                }
                let told: Vec<String> =
                    of.iter().map(|(entry, ids)| format!("entry {entry} (`{}`)", ids.join("`, `"))).collect();
                format!("entry {entry} cannot be taken back: what it brought was used since, by {}", told.join(", "))
            }
            Self::BadPlan { why } => format!("this is no plan that can be recorded: {why}"),
            Self::OtherStash { why } => format!("this plan was made from another stash: {why}"),
            Self::Changed { what } => {
                format!("this plan no longer fits what is on hand:\n  {}", what.join("\n  "))
            }
            Self::NotEmpty { entries } => format!("the ledger has {entries} entries of its own"),
            Self::AlreadyMade { entry } => format!("this plan is recorded already, as entry {entry}"),
            Self::UnknownLeftover { id, .. } => format!("the plan has no leftover `{id}`"),
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        let did_you_mean = |nearest: &Option<String>, list: &str| match nearest {
            Some(nearest) => format!("did you mean `{nearest}`?"),
            None => format!("`swatchfold {list}` lists the ids there are"),
        };
        match self {
            Self::Ledger(trouble) => trouble.remedy(),
            Self::UnknownStock { nearest, .. } | Self::UnknownPaper { nearest, .. } => did_you_mean(nearest, "stock"),
            Self::UnknownCards { all, .. } if all.is_empty() => "no cards are waiting to be given".into(),
            Self::UnknownCards { all, .. } => format!("waiting to be given are `{}`", all.join("`, `")),
            Self::TooFew { .. } => "count again; if the ledger is wrong, `swatchfold recount ID NUMBER` says so".into(),
            Self::Plenty { .. } => "give it `copies` in its file if it is to be counted".into(),
            Self::BadCount { .. } => "write a number from 1 to 1000000".into(),
            Self::TooLarge { .. } => "measure it again, the pattern upright: width first".into(),
            Self::NothingLeft { .. } => "leave `--left` out".into(),
            Self::BadId { .. } => "choose another, of 1 to 80 characters, or leave it out".into(),
            Self::NothingToUndo => "`swatchfold history` lists what was recorded".into(),
            Self::UnknownEntry { .. } => "`swatchfold history` lists the entries".into(),
            Self::AlreadyUndone { .. } => {
                "`swatchfold history` says by which entry; take that one back to have it again".into()
            }
            Self::InTheWay { ways, .. } => {
                let first: std::collections::BTreeSet<u64> = ways.iter().map(|way| way.entry).collect();
                let list: Vec<String> = first.iter().rev().map(u64::to_string).collect();
                format!("take back {} first, the latest first", list.join(", "))
            }
            Self::BadPlan { .. } => "make it anew: `swatchfold plan --json > plan.json`".into(),
            Self::OtherStash { .. } => "name the folder of its stash after `--stash`, or plan anew".into(),
            Self::Changed { .. } => "plan anew: `swatchfold plan`".into(),
            Self::NotEmpty { .. } => "bring it into a stash in which nothing is recorded".into(),
            Self::AlreadyMade { .. } => "to make the cards again, plan anew: `swatchfold plan`".into(),
            Self::UnknownLeftover { all, .. } if all.is_empty() => "it leaves none: leave `--kept` out".into(),
            Self::UnknownLeftover { all, .. } => format!("it leaves {}; or write `all` or `none`", all.join(", ")),
        }
    }
}

//! The arguments of `colour`: colours in digits and after `--lab`, in the order in which they stand, which a
//! derived parser would not keep.

use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches};

/// `colour`: the colours as written, in the order in which they stand.
#[derive(Debug)]
pub(super) struct Colours {
    /// Two of them.
    pub(super) given: Vec<Written>,
}

/// One colour as written.
#[derive(Clone, Debug)]
pub(super) enum Written {
    /// In digits, such as `#aa3322`.
    Words(String),
    /// After `--lab`.
    Lab(String),
}

impl Args for Colours {
    fn augment_args(command: Command) -> Command {
        let digits = Arg::new("colours")
            .value_name("COLOUR")
            .num_args(0..)
            .help("Two colours, such as `#aa3322`; the `#` may be left out, since shells want quotes round it");
        let lab = Arg::new("lab")
            .long("lab")
            .value_name("L,a,b")
            .allow_hyphen_values(true)
            .action(ArgAction::Append)
            .help("A colour as lightness, a and b of CIELAB with the D65 white, such as `42,50,35`");
        command.arg(digits).arg(lab)
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Colours {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut given: Vec<(usize, Written)> = Vec::new();
        for (name, written) in [("colours", Written::Words as fn(String) -> Written), ("lab", Written::Lab)] {
            let texts = matches.get_many::<String>(name).into_iter().flatten();
            given.extend(matches.indices_of(name).into_iter().flatten().zip(texts.cloned().map(written)));
        }
        given.sort_by_key(|(place, _)| *place);
        Ok(Self { given: given.into_iter().map(|(_, written)| written).collect() })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

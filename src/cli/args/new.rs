//! The arguments of `new`.

use crate::job::Side;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(in crate::cli) struct NewArgs {
    /// Where to write it; on standard output when left out
    pub(in crate::cli) file: Option<PathBuf>,
    /// The stack: width, height and depth, or a standard size and the depth
    #[arg(long, value_name = "210x297x12|A4x12")]
    pub(in crate::cli) size: Option<String>,
    /// How the box is built
    #[arg(long, value_name = "WORD", requires = "size", value_parser = clap::builder::PossibleValuesParser::new(crate::job::Construction::words()))]
    pub(in crate::cli) construction: Option<String>,
    /// The board's thickness
    #[arg(long, value_name = "LENGTH", requires = "size")]
    pub(in crate::cli) board: Option<String>,
    /// The sides that have lids, in the order in which they close
    #[arg(long, value_name = "SIDE,...", value_delimiter = ',', requires = "size", value_enum)]
    pub(in crate::cli) lids: Vec<SideChoice>,
    /// What the box is called
    #[arg(long, requires = "size", default_value = "My box")]
    pub(in crate::cli) title: String,
    /// What bare numbers are in
    #[arg(long, value_enum, requires = "size", default_value_t = UnitChoice::Mm)]
    pub(in crate::cli) units: UnitChoice,
    /// Every setting, explained, with an example's figures: what is written where no --size is given
    #[arg(long, conflicts_with = "size")]
    pub(in crate::cli) all: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum SideChoice {
    /// The side away from you
    Head,
    /// The side towards you
    Tail,
    /// The left side
    Left,
    /// The right side
    Right,
}

impl From<SideChoice> for Side {
    fn from(choice: SideChoice) -> Self {
        match choice {
            SideChoice::Head => Self::Head,
            SideChoice::Tail => Self::Tail,
            SideChoice::Left => Self::Left,
            SideChoice::Right => Self::Right,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum UnitChoice {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

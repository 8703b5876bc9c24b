//! The arguments of `shop`, as typed.

use super::choices::{ReportArgs, StockChoice};
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct ShopArgs {
    /// The file that keeps the stock; made with its first stock or machine
    #[arg(value_name = "FILE")]
    pub(super) file: PathBuf,
    #[command(subcommand)]
    pub(super) what: Option<ShopCommand>,
    #[command(flatten)]
    pub(super) report: ReportArgs,
}

#[derive(Debug, Subcommand)]
pub(super) enum ShopCommand {
    /// All that is in it; the same as without a word
    List,
    /// Add a stock, or correct what is said of it
    Stock {
        /// Its name, as a job says it: stock = "grey board 2.5"
        name: String,
        /// What it is; needed when it is new
        #[arg(long, value_enum)]
        kind: Option<StockChoice>,
        /// Its thickness as it is sold, until one is measured, e.g. "2.5 mm"
        #[arg(long, value_name = "LENGTH")]
        thickness: Option<String>,
        /// Which way the grain of its sheets runs
        #[arg(long, value_enum)]
        grain: Option<GrainChoice>,
        /// Grams a square metre
        #[arg(long, value_name = "G", allow_negative_numbers = true)]
        grammage: Option<f64>,
        /// What its safety data sheet says of a coating (cloth)
        #[arg(long, value_enum)]
        coating: Option<CoatingChoice>,
        /// Give it another name
        #[arg(long, value_name = "NEW-NAME")]
        rename: Option<String>,
    },
    /// Say how many whole sheets of a size there are, and what one costs
    Sheets {
        /// The stock
        name: String,
        /// Their size as they lie on the bed, e.g. "700 x 1000 mm"
        size: String,
        /// How many there are, counted
        #[arg(long, value_name = "N", conflicts_with = "bought")]
        on_hand: Option<u32>,
        /// How many more there are
        #[arg(long, value_name = "N")]
        bought: Option<u32>,
        /// What one costs, in your currency
        #[arg(long, value_name = "PRICE", allow_negative_numbers = true)]
        price: Option<f64>,
    },
    /// Keep a thickness that was measured; the last one counts
    Measured {
        /// The stock
        name: String,
        /// By the caliper, e.g. "2.46 mm"
        thickness: String,
    },
    /// Add a leftover
    Leftover {
        /// The stock
        name: String,
        /// Its size, the grain as in a whole sheet, e.g. "310 x 420 mm"
        size: String,
        /// Where it comes from
        #[arg(long, value_name = "TEXT", default_value = "by hand")]
        from: String,
        /// How many of that size
        #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
        count: u32,
    },
    /// Take leftovers out that are no longer there, by their numbers
    Drop {
        /// As the list numbers them
        #[arg(required = true, value_name = "NUMBER")]
        leftovers: Vec<i64>,
    },
    /// Keep a machine's profile, to be named by --machine beside --shop
    Machine {
        /// By what name
        name: String,
        /// The profile: a file, or the name of a shipped one
        profile: String,
    },
    /// What was cut, and when
    History,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum GrainChoice {
    /// Along the width
    Width,
    /// Along the height
    Height,
    /// It has none
    None,
}

impl GrainChoice {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Width => "width",
            Self::Height => "height",
            Self::None => "none",
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum CoatingChoice {
    /// Not known
    Unknown,
    /// It has none
    None,
    /// It is coated
    Coated,
}

impl CoatingChoice {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::None => "none",
            Self::Coated => "coated",
        }
    }
}

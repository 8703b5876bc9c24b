//! Arguments that several commands share.

use crate::job::StockKind;
use clap::{Args, ValueEnum};
#[cfg(feature = "shop")]
use std::path::PathBuf;

/// The shop that a job draws from.
#[derive(Debug, Default, Args)]
pub(super) struct FromShop {
    /// The shop that fills what the job leaves out of the stocks that it names (stock = "grey board 2.5" under [board]): thickness, sheets, price, leftovers; and that knows machines by name
    #[cfg(feature = "shop")]
    #[arg(long, value_name = "FILE")]
    pub(super) shop: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum StockChoice {
    /// Board
    Board,
    /// Cloth
    Cloth,
    /// The paper of a covering by part
    Paper,
    /// Liner
    Liner,
}

impl From<StockChoice> for StockKind {
    fn from(choice: StockChoice) -> Self {
        match choice {
            StockChoice::Board => Self::Board,
            StockChoice::Cloth => Self::Cloth,
            StockChoice::Paper => Self::Paper,
            StockChoice::Liner => Self::Liner,
        }
    }
}

#[derive(Clone, Copy, Debug, Args)]
pub(super) struct ReportArgs {
    /// How the report is written
    #[arg(long, value_enum, default_value_t = ReportFormat::Text, global = true)]
    pub(super) format: ReportFormat,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum ReportFormat {
    /// For people
    Text,
    /// For programs
    Json,
}

/// A kind of files that the lots of a list keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub(super) enum KeptKind {
    /// Each sheet as DXF
    Dxf,
    /// Each sheet as SVG for cutters, as --svg writes it
    Svg,
    /// The picture of each sheet to look at
    Pictures,
    /// Each row's own file, item-ID.json
    Items,
    /// The nominal pieces, pieces.json.gz, which `verify` holds drawings and programs against
    Pieces,
    /// None of these, but what is always kept
    Lists,
}

//! What `batch` is told.

use super::{DrawnArgs, FromShop, ReportArgs};
use crate::cli::choices::KeptKind;
use crate::cli::shard::Shard;
use crate::pipeline::LeftOut;
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(in crate::cli) struct BatchArgs {
    /// The list, a CSV file whose first line names its columns: id, title, width, height, depth, copies, and any key of the job such as board.thickness
    pub(in crate::cli) list: PathBuf,
    /// The job that each row is put into; an empty cell leaves what it says
    #[arg(long, value_name = "JOB")]
    pub(in crate::cli) job: PathBuf,
    /// The folder to write, a folder for each lot in it; a run that was stopped is taken up again
    #[arg(long, value_name = "DIR")]
    pub(in crate::cli) out: PathBuf,
    /// A machine to write programs for: the name of a shipped profile or the path of your own; board=PROFILE, cloth=PROFILE, paper=PROFILE or liner=PROFILE for one stock alone. May be given again
    #[arg(long, value_name = "NAME-OR-FILE")]
    pub(in crate::cli) machine: Vec<String>,
    /// What no program does, because a hand or another machine does it, divided by commas: an operation (mark, crease-score, half-depth-pocket, through-cut), a stock (board, cloth, paper, liner), or one on the other alone, board/through-cut
    #[arg(long, value_delimiter = ',', value_name = "WHAT")]
    pub(in crate::cli) leave: Vec<LeftOut>,
    #[command(flatten)]
    pub(in crate::cli) drawn: DrawnArgs,
    /// How many rows share their sheets: more take less stock. 200 folders of two lids in lots of 20, 40, 80 and 200 rows took
    /// 143, 128, 126 and 121 sheets, and 2.6, 3.6, 4.5 and 4.1 seconds
    #[arg(long, value_name = "ROWS", default_value_t = 40, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(in crate::cli) lot: u32,
    /// How many layouts are tried for each sheet
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(in crate::cli) effort: u32,
    /// Rows that changed since they were cut stay as they were cut; without it they are made again, in new lots
    #[arg(long)]
    pub(in crate::cli) as_cut: bool,
    /// Stop at the first lot with a row that is wrong
    #[arg(long)]
    pub(in crate::cli) strict: bool,
    /// Write each made item's guide and templates too, item-ID.guide.pdf and item-ID.templates.pdf in its lot's folder
    #[arg(long)]
    pub(in crate::cli) guides: bool,
    /// Work only this share of the lots, 3/8 the third of eight: several runs at once, on one machine or on many, make a long list together; --gather counts them together
    #[arg(long, value_name = "K/N", conflicts_with_all = ["gather", "force"])]
    pub(in crate::cli) shard: Option<Shard>,
    /// Make no lot, but count those together that runs with --shard made: batch.csv, cost.csv, labels and the others
    #[arg(long)]
    pub(in crate::cli) gather: bool,
    /// Which kinds of files the lots keep, divided by commas; all of them when left out. What is not kept is not made, and `verify`
    /// says that it could not prove it. Programs, cut lists, profiles, guides and the records of lots are always kept
    #[arg(long, value_enum, value_delimiter = ',', value_name = "KINDS")]
    pub(in crate::cli) keep: Vec<KeptKind>,
    /// Compress the drawings and pictures of sheets (gzip, NAME.dxf.gz), for a list too long for the disk; unpack those of the lot
    /// that is to be cut
    #[arg(long)]
    pub(in crate::cli) pack: bool,
    /// Put the files of each stock into a folder of its own within its lot, board/, cloth/, paper/ and liner/; in a lot of more than 20 different sheets they always lie so
    #[arg(long)]
    pub(in crate::cli) by_stock: bool,
    /// Write over files of the run before that were changed by hand, and take finished lots away that the list no longer has
    #[arg(long)]
    pub(in crate::cli) force: bool,
    /// How many threads work; one for each core when left out. The files do not hang on it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1024))]
    pub(in crate::cli) threads: Option<u32>,
    #[command(flatten)]
    pub(in crate::cli) shop: FromShop,
    #[command(flatten)]
    pub(in crate::cli) report: ReportArgs,
}

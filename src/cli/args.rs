//! The arguments as typed.

mod batch;
mod new;

pub(super) use super::choices::{FromShop, ReportArgs, ReportFormat, StockChoice};
#[cfg(feature = "shop")]
use super::shop_args::ShopArgs;
pub(super) use batch::BatchArgs;
pub(super) use new::{NewArgs, UnitChoice};

use super::{Failure, completions};
use crate::comp::Kerfs;
use crate::diag::Level;
use crate::pipeline::{Drawn, LeftOut};
use crate::write::dxf::DxfVersion;
use crate::write::pdf::Paper;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::path::PathBuf;

/// Turns the measurements of a stack of flat works into a cloth-covered board box that fits, and
/// into files that cut every piece of it.
#[derive(Debug, Parser)]
#[command(name = "flapwright", version, about, arg_required_else_help = true, after_help = CAUTION)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
    /// Tell every note, and each case of what is told as one
    #[arg(short, long, global = true, conflicts_with = "quiet")]
    pub(super) verbose: bool,
    /// Tell nothing but errors
    #[arg(short, long, global = true)]
    pub(super) quiet: bool,
}

impl Arguments {
    /// How much is to be told.
    pub(super) const fn level(&self) -> Level {
        match (self.verbose, self.quiet) {
            (true, _) => Level::All,
            (_, true) => Level::Errors,
            _ => Level::Usual,
        }
    }
}

const CAUTION: &str = "Blades, beams and moving tables hurt people. The machine's manual, the shop's rules and \
local codes come first; make the first run above the work with the tool out.";

const CUT_HELP: &str = "flapwright cut survey lot-1 lot-2: two lots of a list. flapwright cut survey lot-3/board-1: one sheet of a \
lot. flapwright cut my-box board-1 --count 5: five of the sheets that board-1 stands for, in all so far. Without a \
name it lists what is cut and what is not.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Write a new job: of what you name and nothing else, or one in which every setting is explained
    New(NewArgs),
    /// Say whether the box fits and what it takes, and write nothing
    Check {
        /// The job file; - reads it from standard input
        job: PathBuf,
        #[command(flatten)]
        layout: LayoutArgs,
        #[command(flatten)]
        shop: FromShop,
        #[command(flatten)]
        report: ReportArgs,
    },
    /// Write the folder from which the box is cut
    Export(ExportArgs),
    /// Make the boxes of a whole list of measured items, on shared sheets
    Batch(BatchArgs),
    /// Mark lots of a list, or sheets of a folder, as cut: later runs leave them as they are
    #[command(after_help = CUT_HELP)]
    Cut(CutArgs),
    #[cfg(feature = "verify")]
    /// Read a folder (or one program) back and prove that it cuts what was asked
    Verify(VerifyArgs),
    /// Write a small sheet that measures a machine, or read its measurements into a profile
    Coupon(CouponArgs),
    /// Show the box in a browser: measure, fold, lay out and cut it there
    #[cfg(feature = "page")]
    Page(PageArgs),
    /// Keep the shop's stock in a file: sheets, leftovers, measured thicknesses, prices, machines, what was cut when
    #[cfg(feature = "shop")]
    Shop(ShopArgs),
    /// List, show, copy or check machine profiles
    Profiles {
        #[command(subcommand)]
        what: Option<ProfilesCommand>,
        #[command(flatten)]
        report: ReportArgs,
    },
    /// Print the JSON Schema of a file that you write, or of a JSON that this program writes
    Schema {
        /// Which: the job and the profile, by which an editor completes and checks; a file; or a report of --format json
        #[arg(value_enum, value_name = "NAME")]
        of: SchemaOf,
    },
    /// Print what lets your shell complete commands, options and names
    #[command(after_help = completions::HELP)]
    Completions {
        /// Your shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the manual, a page for each command, for the reader man
    Manual {
        /// The folder to write the pages into, such as ~/.local/share/man/man1; made if it is not there
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Print the terms of the program and of all that is in it
    Licences,
}

impl Command {
    /// The form in which it is asked to report.
    pub(super) const fn format(&self) -> ReportFormat {
        match self {
            Self::Check { report, .. } | Self::Profiles { report, .. } => report.format,
            Self::Export(args) => args.report.format,
            Self::Batch(args) => args.report.format,
            Self::Cut(args) => args.report.format,
            #[cfg(feature = "shop")]
            Self::Shop(args) => args.report.format,
            #[cfg(feature = "verify")]
            Self::Verify(args) => args.report.format,
            Self::Coupon(args) => args.report.format,
            _ => ReportFormat::Text,
        }
    }
}

/// Whether arguments that cannot be understood ask for JSON.
pub(super) fn asks_for_json(arguments: &[OsString]) -> bool {
    let is_next = |pair: &[OsString]| pair[0] == "--format" && pair[1] == "json";
    arguments.iter().any(|a| a == "--format=json") || arguments.windows(2).any(is_next)
}

/// How sheets are drawn for whoever cuts them.
#[derive(Debug, Args)]
pub(super) struct DrawnArgs {
    /// Move the lines of DXF and SVG for a cutter that takes this much in all, e.g. "0.15 mm", or as "cloth=0.1 mm" of one
    /// stock (repeat it for others); without it they are nominal
    #[arg(long, value_name = "[STOCK=]LENGTH", allow_hyphen_values = true)]
    pub(super) kerf: Vec<String>,
    /// Which DXF version to write
    #[arg(long, value_enum, default_value_t = DxfChoice::R2000)]
    pub(super) dxf: DxfChoice,
    /// Write each sheet as SVG for cutters too, NAME.cut.svg: true millimetres, a group for each operation
    #[arg(long)]
    pub(super) svg: bool,
    /// Leave the sheet's own rectangle out of DXF and SVG, for a cutter that would cut it
    #[arg(long)]
    pub(super) no_stock: bool,
}

impl DrawnArgs {
    pub(super) fn kerf(&self) -> Result<Kerfs, Failure> {
        super::kerf::kerfs(&self.kerf)
    }

    pub(super) const fn drawn(&self, kerf: Kerfs) -> Drawn<'static> {
        let (forms, has_svg, no_stock) = (self.dxf.forms(), self.svg, self.no_stock);
        Drawn { forms, has_svg, no_dxf: false, no_picture: false, no_stock, kerf }
    }
}

#[derive(Debug, Args)]
pub(super) struct ExportArgs {
    /// The job file; - reads it from standard input
    pub(super) job: PathBuf,
    /// The folder to write; made whole or not at all
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
    /// The paper of the guide and the templates; A4, or Letter for a job in inches, when left out. On large, every template is whole
    #[arg(long, value_enum, value_name = "PAPER")]
    pub(super) paper: Option<PaperChoice>,
    /// Tile cloth, paper and liner in the templates, however many pages they take; without it the guide's measures stand for what no two pages hold
    #[arg(long)]
    pub(super) tile_cloth: bool,
    /// A machine to write programs for: the name of a shipped profile or the path of your own; board=PROFILE, cloth=PROFILE, paper=PROFILE or liner=PROFILE for one stock alone. May be given again
    #[arg(long, value_name = "NAME-OR-FILE")]
    pub(super) machine: Vec<String>,
    /// What no program does, because a hand or another machine does it, divided by commas: an operation (mark, crease-score, half-depth-pocket, through-cut), a stock (board, cloth, paper, liner), or one on the other alone, board/through-cut
    #[arg(long, value_delimiter = ',', value_name = "WHAT")]
    pub(super) leave: Vec<LeftOut>,
    #[command(flatten)]
    pub(super) drawn: DrawnArgs,
    /// Write each program a second time, lifted: the whole way with the tool above the work and off, for the first run
    #[arg(long)]
    pub(super) lifted: bool,
    /// Write the artwork sheet of the covering cloth too, artwork.svg and artwork.pdf: full size, seen from outside, with register marks, to draw on and print from
    #[arg(long)]
    pub(super) artwork: bool,
    /// How far its ink runs past the cloth, e.g. "3 mm"; that when left out
    #[arg(long, value_name = "LENGTH", requires = "artwork", allow_hyphen_values = true)]
    pub(super) bleed: Option<String>,
    /// Where a sheet really lies, by two to four marks measured on the bed: a file such as register.toml of an artwork sheet. Its programs are moved there. May be given again, a file for each sheet
    #[arg(long, value_name = "FILE", requires = "machine")]
    pub(super) register: Vec<PathBuf>,
    /// Lay the first box alone on sheets of its own, first-board-1 and so on, to be cut and tried before the rest
    #[arg(long)]
    pub(super) first_article: bool,
    /// Only the boxes after the first, numbered from 2, on the sheets that --first-article gives them
    #[arg(long)]
    pub(super) rest: bool,
    /// How many threads work; one for each core when left out. The files do not hang on it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1024))]
    pub(super) threads: Option<u32>,
    /// Every picture of a sheet as PNG too
    #[arg(long)]
    pub(super) png: bool,
    /// Put the files of each stock into a folder of its own, board/, cloth/, paper/ and liner/; more than 20 different sheets always lie so
    #[arg(long)]
    pub(super) by_stock: bool,
    #[command(flatten)]
    pub(super) layout: LayoutArgs,
    #[command(flatten)]
    pub(super) shop: FromShop,
    #[command(flatten)]
    pub(super) report: ReportArgs,
}

#[derive(Debug, Args)]
pub(super) struct CutArgs {
    /// The folder that `batch` or `export` wrote, or a lot of it
    #[arg(value_name = "DIR")]
    pub(super) folder: PathBuf,
    /// What is cut: lot-1, lot-1/board-2, or a sheet of an exported folder, board-1; nothing to list what is cut so far
    #[arg(value_name = "WHAT", conflicts_with = "all", group = "picked")]
    pub(super) what: Vec<String>,
    /// Every sheet of the folder
    #[arg(long, group = "picked")]
    pub(super) all: bool,
    /// How many of the sheets that are cut alike are cut so far, in all; all of them when left out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..), requires = "what", conflicts_with = "undo")]
    pub(super) count: Option<u32>,
    /// Take the marks back
    #[arg(long)]
    pub(super) undo: bool,
    /// Take what is cut off the stock of this shop, and give it what is left; with --undo the other way round
    #[cfg(feature = "shop")]
    #[arg(long, value_name = "FILE", requires = "picked")]
    pub(super) shop: Option<PathBuf>,
    /// What the shop calls a stock that the job does not name, board="grey board 2.5". May be given again
    #[cfg(feature = "shop")]
    #[arg(long, value_name = "KIND=NAME", requires = "shop")]
    pub(super) stock: Vec<String>,
    #[command(flatten)]
    pub(super) report: ReportArgs,
}

#[derive(Debug, Args)]
pub(super) struct CouponArgs {
    /// The machine: the name of a shipped profile or the path of your own
    #[arg(long, value_name = "NAME-OR-FILE")]
    pub(super) machine: String,
    /// The folder to write the coupon into; made whole or not at all
    #[arg(long, value_name = "DIR", required_unless_present = "read", conflicts_with = "read")]
    pub(super) out: Option<PathBuf>,
    /// What it is cut from
    #[arg(long, value_enum, default_value_t = StockChoice::Board, conflicts_with = "read")]
    pub(super) stock: StockChoice,
    /// Its thickness, e.g. "2.5 mm"; usual for the stock when left out: 2 mm, 0.35 mm, 0.25 mm
    #[arg(long, value_name = "LENGTH", conflicts_with = "read")]
    pub(super) thickness: Option<String>,
    /// The pictures as PNG too
    #[arg(long, conflicts_with = "read")]
    pub(super) png: bool,
    /// The paper of its instructions, A4 when left out
    #[arg(long, value_enum, conflicts_with = "read")]
    pub(super) paper: Option<PaperChoice>,
    /// The form with what was measured; shows what would change in the profile
    #[arg(long, value_name = "FILE")]
    pub(super) read: Option<PathBuf>,
    /// Write the changes into the profile
    #[arg(long, requires = "read")]
    pub(super) write: bool,
    #[command(flatten)]
    pub(super) report: ReportArgs,
}

#[cfg(feature = "page")]
#[derive(Debug, Args)]
pub(super) struct PageArgs {
    /// The job file to open; without one the draft that was left last time, or the starter
    pub(super) job: Option<PathBuf>,
    /// The port to listen at, on this computer alone; a free one when left out
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub(super) port: Option<u16>,
    /// Only print the address
    #[arg(long)]
    pub(super) no_browser: bool,
}

#[cfg(feature = "verify")]
#[derive(Debug, Args)]
pub(super) struct VerifyArgs {
    /// The folder that `export` wrote
    #[arg(value_name = "DIR", conflicts_with = "program")]
    pub(super) folder: Option<PathBuf>,
    /// One program instead, whoever wrote it
    #[arg(long, value_name = "FILE", requires = "machine")]
    pub(super) program: Option<PathBuf>,
    /// The machine that is to run it: the name of a shipped profile or the path of your own
    #[arg(long, value_name = "NAME-OR-FILE", requires = "program")]
    pub(super) machine: Option<String>,
    /// A drawing of what it is to cut; without it only the machine's side is checked
    #[arg(long, value_name = "DXF", requires = "program")]
    pub(super) sheet: Option<PathBuf>,
    /// The stock's thickness, e.g. "2.5 mm"
    #[arg(long, value_name = "LENGTH", requires = "program")]
    pub(super) thickness: Option<String>,
    /// What is cut; it chooses the machine's rules
    #[arg(long, value_enum, requires = "program")]
    pub(super) stock: Option<StockChoice>,
    /// The tool that the program begins with; the profile's first when left out
    #[arg(long, value_name = "ID", requires = "program")]
    pub(super) tool: Option<String>,
    /// Write a picture (SVG) of the deviations, fifty times enlarged; over no file but such a picture
    #[arg(long, value_name = "FILE")]
    pub(super) picture: Option<PathBuf>,
    /// Write the picture over whatever file is there
    #[arg(long, requires = "picture")]
    pub(super) force: bool,
    /// How many threads work; one for each core when left out. What is found does not hang on it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1024), conflicts_with = "program")]
    pub(super) threads: Option<u32>,
    #[command(flatten)]
    pub(super) report: ReportArgs,
}

#[derive(Clone, Copy, Debug, Args)]
pub(super) struct LayoutArgs {
    /// How many layouts are tried for each sheet, in place of the job's layout_effort; `check` tries one unless it is given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(super) effort: Option<u32>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum DxfChoice {
    /// For current programs and upload pages
    R2000,
    /// For older cutter controllers
    R12,
    /// Each sheet in both
    Both,
}

impl DxfChoice {
    /// The forms in which a sheet is drawn.
    pub(super) const fn forms(self) -> &'static [DxfVersion] {
        match self {
            Self::R2000 => &[DxfVersion::R2000],
            Self::R12 => &[DxfVersion::R12],
            Self::Both => &[DxfVersion::R2000, DxfVersion::R12],
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum SchemaOf {
    /// The job file
    Job,
    /// The machine profile, also as `profiles show` prints it
    Profile,
    /// manifest.json of a folder
    Manifest,
    /// pieces.json.gz of a lot of a list, unpacked
    Pieces,
    /// cut-list.json of a folder
    CutList,
    /// What `check` reports
    Check,
    /// What `export` reports
    Export,
    /// What `verify` reports
    Verify,
    /// What `coupon --out` reports
    Coupon,
    /// What `coupon --read` reports
    CouponRead,
    /// What `profiles` reports
    Profiles,
    /// What `profiles check` reports
    ProfileCheck,
    /// What `cut` reports
    Cut,
    /// cut.json of a folder: what of it is cut
    CutMarks,
    /// What `shop` reports
    #[cfg(feature = "shop")]
    Shop,
    /// What any command reports that fails before it has begun
    Failure,
    /// batch.json of a list
    Batch,
    /// What `batch` reports
    BatchReport,
    /// lot.json of a lot of a list
    Lot,
    /// item-ID.json of a row of a list
    Item,
}

#[derive(Debug, Subcommand)]
pub(super) enum ProfilesCommand {
    /// The shipped profiles, a line each
    List,
    /// What one profile says, every default filled in
    Show {
        /// The name of a shipped profile or the path of your own
        profile: String,
    },
    /// Write a profile into a file of your own, to be edited
    Copy {
        /// The name of a shipped profile or the path of your own
        profile: String,
        /// The file to write, which must not exist yet
        file: PathBuf,
    },
    /// Say what a profile of your own can and cannot do, and what is wrong with it
    Check {
        /// The profile's path (or the name of a shipped one)
        profile: String,
    },
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum PaperChoice {
    A4,
    Letter,
    Large,
}

impl From<PaperChoice> for Paper {
    fn from(choice: PaperChoice) -> Self {
        match choice {
            PaperChoice::A4 => Self::A4,
            PaperChoice::Letter => Self::Letter,
            PaperChoice::Large => Self::Large,
        }
    }
}

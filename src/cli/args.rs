//! The arguments as typed.

use crate::profile::OperationKind;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Turns the measurements of a stack of flat works into a cloth-covered board box that fits, and
/// into files that cut every piece of it.
#[derive(Debug, Parser)]
#[command(name = "flapwright", version, about, arg_required_else_help = true, after_help = CAUTION)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

const CAUTION: &str = "Blades, beams and moving tables hurt people. The machine's manual, the shop's rules and \
local codes come first; make the first run above the work with the tool out.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Write a starter job in which every setting is explained
    New {
        /// Where to write it; on standard output when left out
        file: Option<PathBuf>,
    },
    /// Say whether the box fits and what it takes, and write nothing
    Check {
        /// The job file
        job: PathBuf,
        #[command(flatten)]
        report: ReportArgs,
    },
    /// Write the folder from which the box is cut
    Export(ExportArgs),
    /// List, show or check machine profiles
    Profiles {
        #[command(subcommand)]
        what: Option<ProfilesCommand>,
        #[command(flatten)]
        report: ReportArgs,
    },
    /// Print the JSON Schema that lets an editor complete and check a file
    Schema {
        /// Which file format
        #[arg(value_enum)]
        of: SchemaOf,
    },
}

#[derive(Debug, Args)]
pub(super) struct ExportArgs {
    /// The job file
    pub(super) job: PathBuf,
    /// The folder to write; made whole or not at all
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
    /// A machine to write programs for: the name of a shipped profile or the path of your own. May be given again
    #[arg(long, value_name = "NAME-OR-FILE")]
    pub(super) machine: Vec<String>,
    /// Operations that no program does, because a hand or another machine does them; divided by commas
    #[arg(long, value_enum, value_delimiter = ',', value_name = "OPERATION")]
    pub(super) leave: Vec<OperationChoice>,
    /// Move the lines of the DXF for a cutter that takes this much in all, e.g. "0.15 mm"; without it they are nominal
    #[arg(long, value_name = "LENGTH")]
    pub(super) kerf: Option<String>,
    /// Which DXF version to write
    #[arg(long, value_enum, default_value_t = DxfChoice::R2000)]
    pub(super) dxf: DxfChoice,
    #[command(flatten)]
    pub(super) report: ReportArgs,
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

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum DxfChoice {
    /// For current programs and upload pages
    R2000,
    /// For older cutter controllers
    R12,
    /// Each sheet in both
    Both,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum OperationChoice {
    /// Lines drawn
    Mark,
    /// Lines pressed to fold at
    CreaseScore,
    /// Recesses half the board deep
    HalfDepthPocket,
    /// Cuts through
    ThroughCut,
}

impl From<OperationChoice> for OperationKind {
    fn from(choice: OperationChoice) -> Self {
        match choice {
            OperationChoice::Mark => Self::Mark,
            OperationChoice::CreaseScore => Self::CreaseScore,
            OperationChoice::HalfDepthPocket => Self::HalfDepthPocket,
            OperationChoice::ThroughCut => Self::ThroughCut,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum SchemaOf {
    /// The job file
    Job,
    /// The machine profile
    Profile,
}

#[derive(Debug, Subcommand)]
pub(super) enum ProfilesCommand {
    /// The shipped profiles, a line each
    List,
    /// One profile, every default filled in
    Show {
        /// The name of a shipped profile or the path of your own
        profile: String,
    },
    /// Say what a profile of your own can and cannot do, and what is wrong with it
    Check {
        /// The profile's path (or the name of a shipped one)
        profile: String,
    },
}

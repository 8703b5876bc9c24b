//! The command line: arguments as typed, then as resolved, then the stages, then the report. The
//! only part of the program that touches the disk or the terminal.

mod args;
mod batch;
mod check;
mod choices;
mod columns;
mod completions;
mod coupon;
mod cut;
mod export;
mod failure;
mod file;
mod filled;
pub mod folder;
mod folder_error;
mod from_shop;
mod input;
mod keep;
mod kerf;
mod laying;
mod licences;
mod load;
mod manual;
mod marks;
mod new;
#[cfg(feature = "page")]
mod page;
mod profiles;
mod programs;
mod register;
mod report;
mod said;
mod schema;
mod shard;
#[cfg(feature = "shop")]
mod shop;
#[cfg(feature = "shop")]
mod shop_args;
mod threads;
#[cfg(feature = "verify")]
mod verify;

pub(crate) use failure::Failure;

use crate::diag::Level;
use args::{Arguments, Command};
use clap::{CommandFactory, Parser};
use std::ffi::OsString;
use std::io::Write;

/// How a run ended, as its exit status.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// All went well: 0.
    Good,
    /// The job or a profile has errors: 1.
    Errors,
    /// Wrong usage, or a file that cannot be read or written: 2.
    Usage,
}

impl Exit {
    /// The exit status.
    pub const fn code(self) -> u8 {
        match self {
            Self::Good => 0,
            Self::Errors => 1,
            Self::Usage => 2,
        }
    }
}

/// Where a run writes its report and its problems.
pub(crate) struct Terminal<'a> {
    pub(crate) out: &'a mut dyn Write,
    pub(crate) err: &'a mut dyn Write,
    /// Whether `err` is a terminal that shows colours.
    pub(crate) color: bool,
    /// How much is told.
    pub(crate) level: Level,
    /// Ctrl-C.
    pub(crate) interrupt: laying::Interrupt,
}

impl Terminal<'_> {
    /// Whether nothing but errors is to be told.
    pub(crate) fn is_quiet(&self) -> bool {
        self.level == Level::Errors
    }
}

/// Runs the program with its arguments, its own name first. A reader that hangs up early is no
/// error: whoever wanted the first lines has them.
pub fn run(
    arguments: impl IntoIterator<Item = OsString>,
    out: &mut dyn Write,
    err: &mut dyn Write,
    color: bool,
) -> Exit {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let parsed = match Arguments::try_parse_from(&arguments) {
        Ok(parsed) => parsed,
        Err(e) if e.use_stderr() => {
            let text = e.render().to_string();
            // What was asked for may be wrong and the form of the answer still be plain.
            let _ = if args::asks_for_json(&arguments) {
                writeln!(out, "{:#}", failure::of_usage(&text))
            } else {
                write!(err, "{text}")
            };
            return Exit::Usage;
        }
        Err(e) => {
            let _ = write!(out, "{}", e.render());
            return Exit::Good;
        }
    };
    let format = parsed.command.format();
    let mut terminal = Terminal { out, err, color, level: parsed.level(), interrupt: laying::Interrupt::default() };
    let ended = match parsed.command {
        Command::New(args) => new::run(&args, &mut terminal),
        Command::Check { job, layout, shop, report } => check::run(&job, layout, &shop, report.format, &mut terminal),
        Command::Batch(args) => batch::run(&args, &mut terminal),
        Command::Coupon(args) => coupon::run(&args, &mut terminal),
        Command::Export(export) => export::run(&export, &mut terminal),
        Command::Cut(args) => cut::run(&args, &mut terminal),
        #[cfg(feature = "verify")]
        Command::Verify(args) => verify::run(&args, &mut terminal),
        Command::Profiles { what, report } => profiles::run(what, report.format, &mut terminal),
        #[cfg(feature = "page")]
        Command::Page(args) => page::run(&args, &mut terminal),
        #[cfg(feature = "shop")]
        Command::Shop(args) => shop::run(&args, &mut terminal),
        Command::Licences => licences::run(&mut terminal),
        Command::Schema { of } => schema::run(of, &mut terminal),
        Command::Completions { shell } => completions::run(shell, Arguments::command(), &mut terminal),
        Command::Manual { folder } => manual::run(&folder, Arguments::command(), &mut terminal),
    };
    // Written out here, where it can still be said that it cannot be.
    let ended = ended.and_then(|exit| terminal.out.flush().map(|()| exit).map_err(Failure::Output));
    ended.unwrap_or_else(|failure| failure.tell(format, &mut terminal))
}

//! The command line: arguments as typed, then as resolved, then the stages, then the report. The
//! only part of the program that touches the disk or the terminal.

mod args;
mod batch;
mod check;
mod columns;
mod coupon;
mod export;
pub mod folder;
mod input;
mod kerf;
mod laying;
mod licences;
mod load;
mod new;
#[cfg(feature = "page")]
mod page;
mod profiles;
mod programs;
mod report;
mod threads;
mod verify;

use args::{Arguments, Command, SchemaOf};
use clap::Parser;
use std::ffi::OsString;
use std::io::{self, Write};

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

/// What stops a run outside the job and the profiles.
#[derive(Debug)]
pub(crate) enum Failure {
    /// A wrong argument or a file that cannot be read or written, with what to do.
    Usage { message: String, hint: String },
    /// The report could not be written.
    Output(io::Error),
}

impl Failure {
    fn usage(message: String, hint: String) -> Self {
        Self::Usage { message, hint }
    }
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Self {
        Self::Output(e)
    }
}

/// Where a run writes its report and its problems.
pub(crate) struct Terminal<'a> {
    pub(crate) out: &'a mut dyn Write,
    pub(crate) err: &'a mut dyn Write,
    /// Whether `err` is a terminal that shows colours.
    pub(crate) color: bool,
    /// Ctrl-C.
    pub(crate) interrupt: laying::Interrupt,
}

/// Runs the program with its arguments, its own name first. A reader that hangs up early is no
/// error: whoever wanted the first lines has them.
pub fn run(
    arguments: impl IntoIterator<Item = OsString>,
    out: &mut dyn Write,
    err: &mut dyn Write,
    color: bool,
) -> Exit {
    let parsed = match Arguments::try_parse_from(arguments) {
        Ok(parsed) => parsed,
        Err(e) => {
            let is_help = !e.use_stderr();
            let text = e.render().to_string();
            let _ = if is_help { write!(out, "{text}") } else { write!(err, "{text}") };
            return if is_help { Exit::Good } else { Exit::Usage };
        }
    };
    let mut terminal = Terminal { out, err, color, interrupt: laying::Interrupt::default() };
    let ended = match parsed.command {
        Command::New { file } => new::run(file.as_deref(), &mut terminal),
        Command::Check { job, layout, report } => check::run(&job, layout, report.format, &mut terminal),
        Command::Batch(args) => batch::run(&args, &mut terminal),
        Command::Coupon(args) => coupon::run(&args, &mut terminal),
        Command::Export(export) => export::run(&export, &mut terminal),
        Command::Verify(args) => verify::run(&args, &mut terminal),
        Command::Profiles { what, report } => profiles::run(what, report.format, &mut terminal),
        #[cfg(feature = "page")]
        Command::Page(args) => page::run(&args, &mut terminal),
        Command::Licences => licences::run(&mut terminal),
        Command::Schema { of } => schema(of, &mut terminal),
    };
    match ended {
        Ok(exit) => exit,
        Err(Failure::Output(e)) if e.kind() == io::ErrorKind::BrokenPipe => Exit::Good,
        Err(Failure::Output(e)) => {
            let _ = writeln!(terminal.err, "error: cannot write the report: {}", load::plain(&e));
            Exit::Usage
        }
        Err(Failure::Usage { message, hint }) => {
            let _ = writeln!(terminal.err, "error: {message}\n  help: {hint}");
            Exit::Usage
        }
    }
}

fn schema(of: SchemaOf, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    let schema = match of {
        SchemaOf::Job => crate::doc::schema("Flapwright job", &crate::job::JOB),
        SchemaOf::Profile => crate::doc::schema("Flapwright machine profile", &crate::profile::TABLE),
    };
    writeln!(terminal.out, "{schema:#}")?;
    Ok(Exit::Good)
}

//! What stops a run outside the job and the profiles, told to people and to programs.

use super::args::ReportFormat;
use super::said::Said;
use super::{Exit, Terminal, load};
use serde_json::{Value, json};
use std::io;

/// What stops a run.
#[derive(Debug)]
pub(crate) enum Failure {
    /// A wrong argument or a file that cannot be read or written, with what to do.
    Usage { message: String, hint: String },
    /// A profile that has errors, where nothing is written in any case.
    Faulty(Box<Said>),
    /// The report could not be written.
    Output(io::Error),
}

impl Failure {
    pub(super) fn usage(message: String, hint: String) -> Self {
        Self::Usage { message, hint }
    }

    /// Tells it in the form that was asked for, and how the run ends.
    pub(super) fn tell(self, format: ReportFormat, terminal: &mut Terminal<'_>) -> Exit {
        let (message, hint) = match self {
            Self::Output(e) if e.kind() == io::ErrorKind::BrokenPipe => return Exit::Good,
            Self::Output(e) => {
                // In its place nothing else can be written.
                let _ = writeln!(terminal.err, "error: cannot write the report: {}", load::plain(&e));
                return Exit::Usage;
            }
            Self::Usage { message, hint } => (message, hint),
            Self::Faulty(said) => {
                let _ = match format {
                    ReportFormat::Json => writeln!(terminal.out, "{:#}", of(said.as_json())),
                    ReportFormat::Text => said.show(terminal).or(Ok(())),
                };
                return Exit::Errors;
            }
        };
        // A terminal that is gone is told nothing.
        let _ = match format {
            ReportFormat::Json => writeln!(terminal.out, "{:#}", of(json!([one("usage", &message, Some(&hint))]))),
            ReportFormat::Text => writeln!(terminal.err, "error: {message}\n  help: {hint}"),
        };
        Exit::Usage
    }
}

impl From<io::Error> for Failure {
    fn from(e: io::Error) -> Self {
        Self::Output(e)
    }
}

/// The report of a run that failed, for programs: what was said has the form that it has in every report.
fn of(diagnostics: Value) -> Value {
    json!({"format": 1, "failed": true, "diagnostics": diagnostics})
}

fn one(code: &str, message: &str, hint: Option<&str>) -> Value {
    json!({
        "severity": "error", "code": code, "message": message, "hint": hint,
        "file": null, "line": null, "column": null,
    })
}

/// The same of a command that was typed wrongly; `text` is what a person is told.
pub(super) fn of_usage(text: &str) -> Value {
    let text = text.trim();
    let (message, rest) = text.split_once("\n\n").unwrap_or((text, ""));
    let message = message.trim_start_matches("error: ").split_whitespace().collect::<Vec<_>>().join(" ");
    let hint = rest.split_whitespace().collect::<Vec<_>>().join(" ");
    of(json!([one("usage", &message, (!hint.is_empty()).then_some(hint.as_str()))]))
}

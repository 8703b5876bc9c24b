//! What was said of the files of a run, each against its own: the job, the profiles, a form.

use super::args::ReportFormat;
use super::{Exit, Failure, Terminal};
use crate::diag::{Diagnostic, Of, Places, Source, any_error, tell, to_json};
use crate::units::Unit;
use serde_json::json;

/// What was said, told in one unit.
#[derive(Debug)]
pub(crate) struct Said {
    format: ReportFormat,
    /// The job's; millimetres where there is no job.
    unit: Unit,
    files: Vec<(Source, Places, Vec<Diagnostic>)>,
}

impl Said {
    pub(super) fn new(format: ReportFormat, unit: Unit) -> Self {
        Self { format, unit, files: Vec::new() }
    }

    /// What is said of a job or a form: it has its own unit.
    pub(super) fn add(&mut self, source: &Source, places: &Places, said: Vec<Diagnostic>) {
        self.files.push((source.clone(), places.clone(), said));
    }

    /// What is said of a machine, whose profile is in millimetres.
    pub(super) fn add_machine(&mut self, source: &Source, places: &Places, said: Vec<Diagnostic>) {
        self.add(source, places, said.into_iter().map(|d| d.in_unit(self.unit)).collect());
    }

    pub(super) fn has_errors(&self) -> bool {
        self.files.iter().any(|(_, _, d)| any_error(d))
    }

    pub(super) fn is_empty(&self) -> bool {
        self.files.iter().all(|(_, _, d)| d.is_empty())
    }

    /// All of it as text, the gravest last.
    pub(super) fn text(&self, terminal: &Terminal<'_>) -> String {
        let of = |(source, places, said)| Of { source, places, said };
        let all: Vec<Of<'_>> = self.files.iter().map(|(s, p, d)| of((s, p, d))).collect();
        tell(&all, terminal.level, terminal.color)
    }

    /// Tells it after what the run has to report, which is on the screen by then.
    pub(super) fn show(&self, terminal: &mut Terminal<'_>) -> Result<(), Failure> {
        terminal.out.flush()?;
        let text = self.text(terminal);
        terminal.err.write_all(text.as_bytes())?;
        Ok(())
    }

    pub(super) fn as_json(&self) -> serde_json::Value {
        self.files
            .iter()
            .flat_map(|(source, places, d)| match to_json(d, source, places) {
                serde_json::Value::Array(all) => all,
                other => vec![other],
            })
            .collect()
    }

    /// Says what is wrong, and that nothing was written.
    pub(super) fn refuse(&self, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
        if self.format == ReportFormat::Json {
            writeln!(terminal.out, "{:#}", json!({"format": 1, "folder": null, "diagnostics": self.as_json()}))?;
        } else {
            self.show(terminal)?;
            writeln!(terminal.err, "Nothing was written.")?;
        }
        Ok(Exit::Errors)
    }
}

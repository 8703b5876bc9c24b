//! All that a page shows of one text of a job.

use super::asks::{asks, open_sides};
use super::edit::JOB;
use super::figures::{self, Cut, Figure, Laid};
use super::findings::{About, Finding, Mend, Put, findings};
use super::scene::{Scene, scene};
use super::values::{Shown, values};
use crate::design;
use crate::diag::{Diagnostic, Source, any_error};
use crate::doc;
use crate::job::{self, Drawing, Job};
use crate::limits;
use crate::pipeline::{Layout, Watch, Worked, work};
use crate::units::Unit;
use crate::write::pdf::Paper;
use serde::Serialize;
use std::collections::BTreeMap;

/// How many layouts are tried for each sheet while one edits, as `check` does: an answer is wanted at once.
const QUICK: u32 = 1;

/// What follows from the text alone.
#[derive(Clone, Debug, Serialize)]
pub struct Looked {
    /// What the box is called.
    pub title: String,
    /// `mm` or `in`.
    pub unit: &'static str,
    /// The paper of guide and templates.
    pub paper: &'static str,
    /// What stands under each key.
    pub values: BTreeMap<String, Shown>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// How surely it closes.
    pub closing: Option<Closes>,
    /// The figures.
    pub figures: Vec<Figure>,
    /// The pieces.
    pub pieces: Vec<Cut>,
    /// The sheets, laid out quickly.
    pub sheets: Vec<Laid>,
    /// What it takes.
    pub cost: Vec<Figure>,
    /// The box in space.
    pub scene: Option<Scene>,
}

/// How surely a box closes.
#[derive(Clone, Debug, Serialize)]
pub struct Closes {
    /// In a sentence.
    pub sentence: String,
    /// The share of boxes that close, 0 to 1.
    pub share: f64,
    /// What makes it surer.
    pub mend: Option<Mend>,
}

/// A job read from its text, with all that is said of it.
pub(super) struct Read {
    /// The job, if nothing in it is wrong.
    pub job: Option<Job>,
    /// What was said.
    pub said: Vec<Diagnostic>,
}

/// Reads a job as the command line does.
pub(super) fn read(source: &Source, drawing: Drawing<'_>) -> Read {
    let (draft, mut said, _) = job::draft(source, drawing, &[]);
    let is_wrong = any_error(&said);
    if let Some(draft) = draft.as_ref().filter(|_| is_wrong) {
        said.extend(design::limits(draft).into_iter().map(|d| d.placed(&draft.places)));
    }
    job::without_what_follows(&mut said);
    Read { job: draft.filter(|_| !is_wrong), said }
}

/// Looks at a text. `watch` can end the layout early; then what comes out is not to be shown.
pub fn look(source: &Source, drawing: Drawing<'_>, watch: &Watch<'_>) -> Looked {
    let Read { mut job, mut said } = read(source, drawing);
    let worked = job.as_mut().map(|job| {
        job.layout_effort = job.layout_effort.min(QUICK);
        let (worked, more) = work(job, &Layout::default(), watch);
        said.extend(more);
        job::without_what_follows(&mut said);
        worked
    });
    seen(source, job.as_ref().zip(worked.as_ref()), said)
}

/// All that is shown of a text, the job that was read from it and what was said.
pub(super) fn seen(source: &Source, made: Option<(&Job, &Worked)>, mut said: Vec<Diagnostic>) -> Looked {
    let (document, _) = doc::read(&source.text, &job::JOB, Some("units"));
    let unit = document.unit;
    crate::diag::shorten(&mut said);
    let about = About { text: &source.text, places: &document.places, format: JOB };
    // What may be another unit comes first: all the rest may follow from it.
    let raised = said.iter().any(|d| d.code == job::ANOTHER_UNIT && d.is_error());
    said.retain(|d| d.code != job::ANOTHER_UNIT);
    let mut found = asks(&source.text, &document, raised);
    found.extend(findings(&said, &about));
    found.extend(made.iter().flat_map(|(job, _)| open_sides(job)));
    // Of a box that cannot be laid out flat there are no figures.
    let made = made.filter(|(_, w)| !w.design.pieces.is_empty());
    Looked {
        title: document.text("title").map(limits::quoted).unwrap_or_default(),
        unit: if unit == Unit::Inch { "in" } else { "mm" },
        paper: Paper::usual(unit).name(),
        closing: made.map(|(job, worked)| closes(job, worked)),
        figures: made.map(|(job, worked)| figures::figures(job, worked)).unwrap_or_default(),
        pieces: made.map(|(job, worked)| figures::pieces(job, &worked.design)).unwrap_or_default(),
        sheets: made.map(|(job, worked)| figures::sheets(job, worked)).unwrap_or_default(),
        cost: made.map(|(job, worked)| figures::cost(job, worked)).unwrap_or_default(),
        scene: made.and_then(|(job, worked)| scene(job, &worked.design, &found)),
        findings: found,
        values: values(&source.text, &job::JOB, unit),
    }
}

fn closes(job: &Job, worked: &Worked) -> Closes {
    let c = &worked.fit.closing;
    let mend = c.first.as_ref().and_then(|risk| risk.mend.as_ref()).map(|m| {
        let value = job.units.show(m.value);
        let word = m.key.rsplit('.').next().unwrap_or_default().replace('_', " ");
        let edits = vec![Put { key: m.key.clone(), value: Some(value.clone()) }];
        Mend { label: format!("Set the {word} to {value}"), edits }
    });
    Closes { sentence: c.tell(job.units), share: c.share, mend }
}

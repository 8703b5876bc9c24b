//! What limits a box: whether what a job asks of its lids, its covering and its strap can be made. The job
//! knows syntax, units and ranges; everything that needs the box's own sizes is asked here, once.

mod covering;
mod lids;
mod strap;

use super::measures::measure;
use crate::diag::Diagnostic;
use crate::job::{Job, Side};
use crate::units::Length;

/// A job under check and what was found so far.
struct Limits<'j> {
    job: &'j Job,
    out: Vec<Diagnostic>,
}

/// Everything that a job asks for and that cannot be made, and what its maker should look at twice.
pub fn limits(job: &Job) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    check.lids();
    if job.build.construction.terms().is_hinged {
        check.turn_in();
        check.covered();
    }
    check.strap(&measure(job));
    check.out
}

impl Limits<'_> {
    fn push(&mut self, d: Diagnostic) {
        self.out.push(d);
    }

    /// A length in the maker's unit.
    fn say(&self, length: Length) -> String {
        self.job.units.show(length)
    }

    /// A key, or where it is left out to its default, the other that brought it into play.
    fn key_or(&self, key: &str, other: String) -> String {
        if self.job.places.has(key) { key.to_owned() } else { other }
    }
}

/// The dotted key of a flap's table, or of a key in it.
fn flap_key(side: Side, key: &str) -> String {
    let table = format!("flap.{}", side.word());
    if key.is_empty() { table } else { format!("{table}.{key}") }
}

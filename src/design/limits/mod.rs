//! What limits a box: whether what a job asks of its lids, its covering and its strap can be made. The job
//! knows syntax, units and ranges; everything that needs the box's own sizes is asked here, once.

mod closings;
mod colophon;
mod covering;
mod lids;
mod sides;
mod slipcase;
mod strap;
mod title_label;
mod window;

pub(super) use closings::cut;
pub(super) use colophon::{leaf, leaf_on_floor};
pub use strap::elastic_proud;
pub(super) use window::windows;

use super::build::Build;
use super::{Measures, measure};
use crate::diag::Diagnostic;
use crate::job::{Job, Side};
use crate::units::{Length, mm};

/// A job under check and what was found so far.
struct Limits<'j> {
    job: &'j Job,
    out: Vec<Diagnostic>,
}

/// Everything that a job asks for of such a construction and that cannot be made, and what its maker should look at twice.
pub(super) fn limits(job: &Job, build: &dyn Build) -> Vec<Diagnostic> {
    let mut check = Limits { job, out: Vec::new() };
    check.lids();
    let terms = job.build.construction.terms();
    if terms.is_hinged {
        check.turn_in();
    }
    if terms.has_mouth {
        check.slipcase();
    } else if terms.is_hinged {
        check.covered();
    }
    let measures = measure(job);
    check.strap(&measures);
    check.title_label(&measures, build);
    check.closings();
    check.windowed();
    check.sides(&measures, build);
    check.ease(&measures);
    check.out
}

impl Limits<'_> {
    /// An ease that changes nothing, since the cloth at the corners asks for a wider joint anyway.
    fn ease(&mut self, measures: &Measures) {
        let (Some(ease), None) = (self.job.build.ease, self.job.build.joint) else { return };
        let asked = measures.joint_thickness + ease;
        if self.job.build.construction.terms().is_hinged && measures.joint > asked + mm(1e-9) {
            let message = format!(
                "with box.ease = {} a joint would be {}, but where two walls meet at a corner four layers of cloth lie beside the board: joints are {}",
                self.say(ease),
                self.say(asked),
                self.say(measures.joint)
            );
            let help = format!(
                "nothing needs to be done; an ease above {} widens the joints",
                self.say(measures.joint - measures.joint_thickness)
            );
            self.push(Diagnostic::hint("ease-at-corners", message).at("box.ease").help(help));
        }
    }

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

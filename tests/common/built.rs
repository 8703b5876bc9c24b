//! A job as far as its fit, for tests that look at its pieces and figures.

use flapwright::design::{Design, Piece, design};
use flapwright::diag::{Diagnostic, Source};
use flapwright::fit::{Fit, fit};
use flapwright::job::{self, Job};

/// A box with all that was said of it.
pub(crate) struct Built {
    pub(crate) job: Job,
    pub(crate) design: Design,
    pub(crate) fit: Fit,
    pub(crate) said: Vec<Diagnostic>,
}

/// A job's text as it is read.
pub(crate) fn read(text: &str) -> (Option<Job>, Vec<Diagnostic>) {
    job::read(&Source { name: "job.toml".into(), text: text.into() })
}

/// The same, which must be read.
pub(crate) fn job_of(text: &str) -> Job {
    let (job, told) = read(text);
    job.unwrap_or_else(|| panic!("{told:#?}\n{text}"))
}

/// A job's text worked as far as its fit, whatever is said of it.
pub(crate) fn built(text: &str) -> Built {
    let job = job_of(text);
    let (design, mut said) = design(&job);
    let (fit, more) = fit(&job, &design);
    said.extend(more);
    Built { job, design, fit, said }
}

/// Measures that are the same but for rounding, mm.
pub(crate) fn near<const N: usize>(a: [f64; N], b: [f64; N]) {
    assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-6), "{a:?}, not {b:?}");
}

impl Built {
    pub(crate) fn piece(&self, id: &str) -> &Piece {
        self.design.pieces.iter().find(|p| p.id == id).unwrap_or_else(|| panic!("no {id}"))
    }

    /// Width and height of a piece as it lies in the open box, mm.
    pub(crate) fn size(&self, id: &str) -> [f64; 2] {
        let b = self.piece(id).outline.bounds();
        [b.width(), b.height()]
    }
}

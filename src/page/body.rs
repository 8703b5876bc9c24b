//! One surface of the box in space, and the words and numbers that all of them share.

use crate::assembly::{Assembly, Mesh, Panel, Part, Tray, TrayPart};
use crate::job::Job;
use crate::units::{Length, tidy};
use serde::Serialize;

/// Positions of the slider, flat and closed among them.
pub(super) const FRAMES: usize = 61;

/// One part that moves as a whole.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Body {
    pub(super) part: String,
    pub(super) kind: &'static str,
    pub(super) piece: Option<String>,
    pub(super) words: String,
    pub(super) points: Vec<f64>,
    pub(super) triangles: Vec<usize>,
    pub(super) edges: Vec<Vec<f64>>,
    pub(super) place: usize,
    /// The first frame in which it is there.
    pub(super) from: usize,
}

/// A surface as flat lists of numbers.
pub(super) fn body(part: String, kind: &'static str, words: String, mesh: &Mesh, place: usize) -> Body {
    Body {
        part,
        kind,
        piece: None,
        words,
        points: mesh.points.iter().flat_map(|p| [short(p.x), short(p.y), short(p.z)]).collect(),
        triangles: mesh.triangles.iter().flatten().copied().collect(),
        edges: Vec::new(),
        place,
        from: 0,
    }
}

/// The number of the panel that the contents lie on.
pub(super) fn base(assembly: &Assembly) -> Option<(usize, &Panel)> {
    let is_floor = |part| matches!(part, Part::Tray(Tray::Small | Tray::Open, TrayPart::Base));
    let panels = || assembly.panels.iter().enumerate();
    panels().find(|(_, p)| is_floor(p.part)).or_else(|| panels().find(|(_, p)| p.part == Part::Base))
}

/// A length to a micrometre: what no screen shows is not sent.
pub(super) fn short(v: f64) -> f64 {
    tidy(v, 3)
}

/// A length that is shown.
pub(super) fn show(job: &Job, lengths: &[Length]) -> String {
    job.units.show_size(lengths).replace(" x ", " × ")
}

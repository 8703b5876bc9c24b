//! The sheet that the benches of programs and of their proof work on.

use flapwright::geom::{Contour, Point, Stroke, Vertex, pt};
use flapwright::job::StockKind;
use flapwright::nest::Sheet;
use flapwright::ops::{Keep, Operation, SheetOps};
use flapwright::profile::{OperationKind, Profile, read, shipped};
use flapwright::units::mm;
use std::f64::consts::TAU;

/// The liner's thickness, mm.
pub(crate) const THICKNESS: f64 = 0.5;

/// Fifty wavy discs of `each` edges, every second of them an arc of that bulge.
pub(crate) fn sheet(each: usize, bulge: f64) -> SheetOps {
    let disc = |i: usize| {
        let middle = pt(60.0 + 110.0 * (i % 6) as f64, 60.0 + 110.0 * (i / 6) as f64);
        let vertex = |k: usize| {
            let angle = k as f64 / each as f64 * TAU;
            let p = middle + Point::unit(angle) * (45.0 + 4.0 * (angle * 9.0).sin());
            Vertex::new(p, if k.is_multiple_of(2) { bulge } else { 0.0 })
        };
        Operation {
            kind: OperationKind::ThroughCut,
            piece: format!("disc-{i}"),
            copy: 1,
            index: 0,
            keep: Keep::Inside,
            stroke: Stroke::Closed(Contour::new((0..each).map(vertex))),
            depth: mm(THICKNESS),
            grain_deg: None,
        }
    };
    SheetOps {
        sheet: Sheet::bare("liner-1", StockKind::Liner, [mm(700.0), mm(1100.0), mm(THICKNESS)]).into(),
        operations: (0..50).map(disc).collect(),
        shared: Vec::new(),
        moved: None,
        first: None,
        is_first_side: false,
        later: Vec::new(),
    }
}

/// The shipped table with a drag knife.
pub(crate) fn machine() -> Profile {
    let (id, text) = shipped().iter().find(|p| p.0 == "drag-knife-table").unwrap();
    read(&flapwright::diag::Source { name: (*id).into(), text: (*text).into() }, id).0.unwrap()
}

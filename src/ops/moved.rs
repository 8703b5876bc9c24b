//! A sheet in register: its lines where it really lies.

use super::{Operation, Shared, SheetOps};
use crate::geom::Stroke;
use crate::register::Affine;
use crate::units::Length;

impl SheetOps {
    /// The same operations on a sheet that a map brings elsewhere, still nominal: a tool's width is taken off
    /// afterwards, and stays what it is. A map that keeps angles keeps arcs; of another, arcs stray from the true
    /// line by `tolerance` at the most. The grain turns with the sheet.
    #[must_use]
    pub fn moved(&self, map: &Affine, tolerance: Length) -> Self {
        let stroke = |s: &Stroke| map.stroke(s, tolerance.to_mm());
        let turn = map.turn_deg();
        let is_over = map.determinant() < 0.0;
        // A mirror reverses the grain's angle, the turn beyond it is added.
        let grain = |deg: f64| if is_over { turn - deg } else { turn + deg }.rem_euclid(180.0);
        let operation =
            |o: &Operation| Operation { stroke: stroke(&o.stroke), grain_deg: o.grain_deg.map(grain), ..o.clone() };
        let shared = |s: &Shared| match stroke(&Stroke::Closed(s.outline.clone())) {
            Stroke::Closed(outline) => Shared { outline, ..s.clone() },
            Stroke::Open(_) => s.clone(),
        };
        Self {
            sheet: self.sheet.clone(),
            operations: self.operations.iter().map(operation).collect(),
            shared: self.shared.iter().map(shared).collect(),
            moved: Some(*map),
            first: self.first.clone(),
            is_first_side: self.is_first_side,
            later: self.later.clone(),
        }
    }
}

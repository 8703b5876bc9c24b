//! Which edges of a board are free.

use super::flat::Flat;
use crate::assembly::{Panel, Part};
use crate::geom::Segment;

/// The edges of a panel over which cloth is turned in: all but those at a joint.
pub(super) fn free_edges(panel: &Panel, flat: &Flat) -> Vec<Segment> {
    let joints: Vec<Segment> = match panel.part {
        Part::Base | Part::OuterBase => flat.arms.values().map(|arm| arm.base_edge()).collect(),
        // A wall's feet and top: its first and third side.
        Part::Wall(_) => panel.outline.segments().step_by(2).collect(),
        Part::Lid(_) => panel.outline.segments().take(1).collect(),
        // Trays, cases and slipcases are dressed by themselves.
        Part::UpperFace | Part::Tray(..) | Part::Case(_) => return Vec::new(),
    };
    let is_joint = |s: &Segment| {
        let middle = s.point_at(0.5);
        s.is_line() && joints.iter().any(|j| j.distance_to(middle) < 1e-6)
    };
    panel.outline.segments().filter(|s| !is_joint(s)).collect()
}

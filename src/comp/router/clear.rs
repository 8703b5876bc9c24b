//! Clearing a pocket.

use super::Descent;
use crate::comp::track::Track;
use crate::comp::{Step, Task, fill};
use crate::geom::{Contour, Segment};

/// The part of the bit that each row takes at most, whatever the rule says: beyond it rows would
/// leave ridges (common practice, no source).
const MOST: f64 = 0.9;

/// Clears the inside of `line`, the path of the bit along the pocket's edge, in rows along the
/// grain, depth by depth. The edge itself is milled afterwards.
///
/// No ridge is left: a point of the pocket is either within the radius of the edge's path, which
/// is milled, or farther inside; then the next row, at most half a step away across it, passes
/// within the radius, for a step is below the diameter.
pub(super) fn clear(task: &Task<'_>, line: &Contour, depths: &[f64], steps: &mut Vec<Step>) {
    let bit = task.tool.kerf.to_mm();
    let spacing = bit * task.rule.step_over.clamp(0.05, MOST);
    let angle = task.op.grain_deg.unwrap_or(0.0).to_radians();
    let rows = fill::rows(line, angle, spacing);
    let mut chains: Vec<Vec<Segment>> = Vec::new();
    for s in rows.into_iter().flatten() {
        match chains.last_mut() {
            Some(chain) if chain.last().is_some_and(|l| is_inside(line, &Segment::line(l.end, s.start), spacing)) => {
                let from = chain.last().map_or(s.start, |l| l.end);
                chain.extend([Segment::line(from, s.start), s]);
            }
            _ => chains.push(vec![s]),
        }
    }
    for chain in chains {
        let track = Track::new(chain, false);
        Descent::new(task, &track, &[]).down(depths, steps);
    }
}

/// Whether the bit may go straight from one row to the next: a short way that stays inside the
/// path along the edge.
fn is_inside(line: &Contour, link: &Segment, spacing: f64) -> bool {
    let n = 16;
    let at = |i: i32| link.point_at(f64::from(i) / f64::from(n));
    link.length() <= 3.0 * spacing && (0..=n).map(at).all(|p| line.distance_to(p) < 1e-6 || line.contains(p))
}

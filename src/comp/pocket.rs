//! A half-depth pocket cut by a knife: its outline, then lines that part its floor into strips to
//! be peeled out.

use super::Task;
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Point, Segment, Stroke, intersections, offset, pt};
use crate::ops::{Keep, Operation};

/// What a hatch line keeps from the outline at least, mm, so that no tip runs through it (our choice).
const LEAST_INSET: f64 = 0.1;

/// The lines that a knife cuts for a pocket: the outline first, then the hatch, each with the
/// operation to cut it as.
///
/// The hatch runs along the grain (along x where there is none), all lines the same way so that no
/// blade turns between them. The strips are alike, no wider than the rule's hatch unless that would
/// make them narrower than its least strip. The lines stay `depth tan(edge angle)` inside the
/// outline, for there the slanted edge of the blade reaches it.
///
/// Fails where a hatch was asked for that leaves no line inside a pocket that is wider than it.
pub(super) fn lines(task: &Task<'_>) -> Result<Vec<(Operation, Stroke)>, Diagnostic> {
    let mut lines = vec![(task.op.clone(), task.line.clone())];
    let Stroke::Closed(outline) = task.line else { return Ok(lines) };
    let inset = (task.depth() * task.tool.edge_angle.to_rad().tan()).max(LEAST_INSET);
    let angle = task.op.grain_deg.unwrap_or(0.0).to_radians();
    let turned = Contour::new(outline.vertices().iter().map(|v| {
        let p = v.point().rotated(-angle);
        crate::geom::Vertex { x: p.x, y: p.y, ..*v }
    }));
    let bounds = turned.bounds();
    let spacing = strip(bounds.height(), task.rule.hatch.to_mm(), task.rule.least_strip.to_mm());
    let Some(spacing) = spacing else { return Ok(lines) };
    let Ok(floor) = offset(&turned.ccw(), -inset, Join::Mitre) else {
        let message = format!(
            "the pocket in {} is too narrow for a hatch that stays {inset:.1} mm inside its outline",
            task.name()
        );
        return Err(Diagnostic::error("pocket-too-narrow", message)
            .help("make the pocket wider or shallower, or use a blade with a steeper edge"));
    };
    let n = (bounds.height() / spacing).round() as usize;
    for i in 1..n {
        let y = bounds.min.y + spacing * i as f64;
        for (a, b) in across(&floor, y) {
            let line = Stroke::Open(crate::geom::Path::line(pt(a, y).rotated(angle), pt(b, y).rotated(angle)));
            lines.push((Operation { keep: Keep::Line, stroke: line.clone(), ..task.op.clone() }, line));
        }
    }
    Ok(lines)
}

/// The width of each of the like strips that `width` is parted into; `None` for a single one.
fn strip(width: f64, hatch: f64, least: f64) -> Option<f64> {
    if hatch <= 0.0 {
        return None;
    }
    let wanted = (width / hatch - 1e-9).ceil().max(1.0);
    let most = if least > 0.0 { (width / least + 1e-9).floor().max(1.0) } else { wanted };
    let n = wanted.min(most).min(100_000.0);
    (n > 1.0).then(|| width / n)
}

/// The stretches of the level line at `y` that lie inside `floor`, left to right.
pub(super) fn across(floor: &Contour, y: f64) -> Vec<(f64, f64)> {
    let bounds = floor.bounds().grown(1.0);
    let level = Segment::line(pt(bounds.min.x, y), pt(bounds.max.x, y));
    let mut xs: Vec<f64> = floor.segments().flat_map(|s| intersections(&level, &s)).map(|p: Point| p.x).collect();
    xs.sort_by(f64::total_cmp);
    xs.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    // Along the floor's own edge counts as inside.
    let inside = |w: &&[f64]| {
        let middle = pt((w[0] + w[1]) / 2.0, y);
        floor.contains(middle) || floor.distance_to(middle) < 1e-9
    };
    let mut stretches: Vec<(f64, f64)> = Vec::new();
    for w in xs.windows(2).filter(inside) {
        match stretches.last_mut() {
            Some(last) if (last.1 - w[0]).abs() < 1e-9 => last.1 = w[1],
            _ => stretches.push((w[0], w[1])),
        }
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strips_are_alike_and_never_below_the_least() {
        assert_eq!(strip(24.0, 5.0, 2.0), Some(4.8), "five of them");
        assert_eq!(strip(8.0, 3.0, 3.5), Some(4.0));
        assert_eq!(strip(8.0, 9.0, 2.0), None);
        assert_eq!(strip(5.0, 2.0, 3.0), None);
        assert_eq!(strip(8.0, 0.0, 2.0), None);
    }

    #[test]
    fn a_notched_floor_is_crossed_in_two_stretches() {
        let u = Contour::polygon(
            [(0, 0), (30, 0), (30, 20), (20, 20), (20, 8), (10, 8), (10, 20), (0, 20)]
                .map(|(x, y)| pt(f64::from(x), f64::from(y))),
        );
        assert_eq!(across(&u, 12.0), vec![(0.0, 10.0), (20.0, 30.0)]);
        assert_eq!(across(&u, 4.0), vec![(0.0, 30.0)]);
        assert_eq!(across(&u, 8.0).len(), 1, "along the notch's own floor");
    }
}

//! Inner corners: a round bit leaves them round, or opens them with a relief.

use crate::comp::Task;
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Point, Segment, Stroke, offset};
use crate::ops::Keep;

/// A corner whose tip stays farther than this from the swept edge is told of, mm (our choice, as the next).
const TOLD: f64 = 0.02;
/// The same of a beam's, whose corners are sharp but in narrow notches, mm.
const NARROW: f64 = 0.5;

/// The path of the bit along `line`, and what its roundness leaves or takes.
///
/// Without relief the corners keep a radius; the note gives how many, the area left in all and the
/// farthest tip. At an angle phi between two straight edges a bit of radius r stays
/// `r (1 / sin(phi/2) - 1)` from the tip and leaves `r^2 (1 / tan(phi/2) - (pi - phi) / 2)`.
/// With relief the bit goes on along the bisector until it touches the tip, and back; the note says
/// how far that cuts into the edges beside it, `r (1 - sin(phi/2))`.
pub(super) fn opened(task: &Task<'_>, line: &Contour) -> (Vec<Segment>, Option<Diagnostic>) {
    let segments: Vec<Segment> = line.segments().collect();
    let Stroke::Closed(nominal) = &task.op.stroke else { return (segments, None) };
    let radius = task.tool.kerf.to_mm() / 2.0;
    let tips = tips(nominal, line, radius, TOLD);
    let farthest = tips.iter().map(|t| t.1).fold(0.0, f64::max);
    if tips.is_empty() {
        return (segments, None);
    }
    let (count, name) = (tips.len(), task.name());
    let corners = if count == 1 { "1 inner corner".to_owned() } else { format!("{count} inner corners") };
    if !task.rule.corner_relief {
        let area = left(task, nominal, line, radius).map_or(String::new(), |a| format!(", {a:.2} mm2 in all"));
        let message = format!(
            "{corners} of the {} of {name} stay round: up to {farthest:.2} mm of material is left{area}",
            task.op.kind.word()
        );
        let note = Diagnostic::hint("round-corners", message)
            .help("finish them with a knife, use a thinner bit, or set `corner_relief = true` in the machine's rule")
            .weighing(farthest);
        return (segments, Some(note));
    }
    let mut path = Vec::with_capacity(segments.len() + 2 * count);
    let mut deepest: f64 = 0.0;
    for s in &segments {
        path.push(*s);
        for (tip, left) in &tips {
            let away = s.end.distance(*tip);
            if away < radius + left + 1e-6 {
                let relief = s.end.lerp(*tip, left / away);
                path.extend([Segment::line(s.end, relief), Segment::line(relief, s.end)]);
                // sin(phi / 2) = r / (r + left): the path's corner is r from both edges.
                deepest = deepest.max(radius * (1.0 - radius / away));
            }
        }
    }
    let message = format!(
        "{corners} of the {} of {name} are opened: the relief cuts up to {deepest:.2} mm into the edges beside them",
        task.op.kind.word()
    );
    (path, Some(Diagnostic::hint("corner-relief", message).weighing(deepest)))
}

/// The corners of `nominal` that a tool of this radius leaves by more than `least` mm when its middle
/// runs along `line`, and by how much.
fn tips(nominal: &Contour, line: &Contour, radius: f64, least: f64) -> Vec<(Point, f64)> {
    let left = |p: Point| (p, line.distance_to(p) - radius);
    nominal.vertices().iter().map(|v| left(v.point())).filter(|(_, left)| *left > least).collect()
}

/// What is said of corners too narrow for a beam to reach their tips: with a beam only these matter.
pub(in crate::comp) fn too_narrow(task: &Task<'_>, line: &Contour) -> Option<Diagnostic> {
    let Stroke::Closed(nominal) = &task.op.stroke else { return None };
    let tips = tips(nominal, line, task.tool.kerf.to_mm() / 2.0, NARROW);
    let farthest = tips.iter().map(|t| t.1).reduce(f64::max)?;
    let corners = if tips.len() == 1 { "1 notch".to_owned() } else { format!("{} notches", tips.len()) };
    let message =
        format!("{corners} of {} narrower than the beam: the last {farthest:.1} mm, at most, stay uncut", task.name());
    Some(Diagnostic::warning("notch-too-narrow", message).help("cut them to the tip with a knife").weighing(farthest))
}

/// The area, mm2, between the nominal edge and the edge that the bit leaves.
fn left(task: &Task<'_>, nominal: &Contour, line: &Contour, radius: f64) -> Option<f64> {
    let towards_part = if task.op.keep == Keep::Inside { -radius } else { radius };
    let swept = offset(line, towards_part, Join::Round).ok()?;
    Some((swept.area().abs() - nominal.area().abs()).abs())
}

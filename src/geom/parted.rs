//! Contours cut along a straight line, and segments put together again, arcs kept.

use super::{Contour, SAME_POINT, Segment, Transform, Vertex, intersections, pt};

/// The part of a contour on the side of y < `y` in a frame, arcs kept. The line crosses it twice;
/// `None` where it does not.
pub fn beneath(c: &Contour, frame: &Transform, y: f64) -> Option<Contour> {
    let origin = frame.apply(pt(0.0, 0.0));
    let up = frame.apply(pt(0.0, 1.0)) - origin;
    let is_kept = |s: &Segment| (s.point_at(0.5) - origin).dot(up) < y;
    let reach = c.length();
    let line = Segment::line(frame.apply(pt(-reach, y)), frame.apply(pt(reach, y)));
    let mut parts: Vec<Segment> = Vec::new();
    for s in c.segments() {
        let mut at: Vec<f64> = intersections(&line, &s).into_iter().map(|p| s.nearest_share(p)).collect();
        at.extend([0.0, 1.0]);
        at.sort_by(f64::total_cmp);
        let spans = at.windows(2).filter(|w| w[1] - w[0] > 1e-12).map(|w| s.between(w[0], w[1]));
        parts.extend(spans.filter(|s| s.length() > SAME_POINT));
    }
    let n = parts.len();
    let starts: Vec<usize> = (0..n).filter(|i| is_kept(&parts[*i]) && !is_kept(&parts[(i + n - 1) % n])).collect();
    let [start] = starts[..] else { return None };
    let run: Vec<&Segment> = (0..n).map(|k| &parts[(start + k) % n]).take_while(|s| is_kept(s)).collect();
    let end = run.last()?.end;
    let vertices = run.iter().map(|s| Vertex::new(s.start, s.bulge)).chain([Vertex::new(end, 0.0)]);
    Some(Contour::new(vertices).without_straight_vertices())
}

/// Segments as runs of those of which each begins where the one before it ends.
pub fn runs(segments: impl IntoIterator<Item = Segment>) -> Vec<Vec<Segment>> {
    let mut all: Vec<Vec<Segment>> = Vec::new();
    for s in segments {
        match all.last_mut() {
            Some(run) if run.last().is_some_and(|last| last.end.is_near(s.start)) => run.push(s),
            _ => all.push(vec![s]),
        }
    }
    all
}

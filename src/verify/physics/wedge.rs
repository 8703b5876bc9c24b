//! A blade whose edge is inclined by beta from the vertical: with its tip D deep it reaches
//! `(D - z) tan(beta)` ahead of the tip at the depth z. Along a straight way that only comes early;
//! it shows where the blade stops, and on an arc, where the edge stands straight ahead while the
//! line curves away.

use super::Trace;
use crate::geom::{Point, Segment};

/// The edge ahead of the tip where a blade stops: a stretch that falls from the tip's depth to none.
pub(super) fn ahead(tip: &Trace, at: Point, depth: f64, heading_deg: f64, edge_angle: f64) -> Option<Trace> {
    let reach = depth * edge_angle.tan();
    let end = at + Point::unit(heading_deg.to_radians()) * reach;
    (reach > 1e-6).then(|| Trace { way: Segment::line(at, end), depth: (depth, 0.0), is_edge: true, ..*tip })
}

/// How far the edge strays outside an arc of this radius in the top face, mm.
pub fn stray_on_arc(radius: f64, depth: f64, edge_angle: f64) -> f64 {
    if radius.is_finite() { radius.hypot(depth * edge_angle.tan()) - radius } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    #[test]
    fn a_wedge_stopped_short_finishes_the_bottom_and_overcuts_the_top() {
        // Derived: t = 2, beta = 30 degrees, e = 0.2: stopped e tan(beta) short the bottom is cut
        // to the corner and the top 1.15 mm past it.
        let (t, e, beta) = (2.0, 0.2, 30f64.to_radians());
        let tip = Trace {
            way: Segment::line(pt(0.0, 0.0), pt(10.0, 0.0)),
            depth: (t + e, t + e),
            by_words: false,
            radius: 0.0,
            rules: 1,
            tool: 0,
            line: 1,
            run: 0,
            is_edge: false,
        };
        let corner = 10.0 + e * beta.tan();
        let edge = ahead(&tip, pt(10.0, 0.0), t + e, 0.0, beta).expect("it reaches on");
        let bottom = edge.reaching(t).expect("through");
        assert!((bottom.end.x - corner).abs() < 1e-9);
        assert!((edge.way.end.x - corner - 1.1547).abs() < 1e-4);
        assert!((stray_on_arc(10.0, 2.7, beta) - (10f64.hypot(2.7 * beta.tan()) - 10.0)).abs() < 1e-12);
    }
}

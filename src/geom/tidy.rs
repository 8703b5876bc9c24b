//! What of an outline says nothing, or could not be cut, left out.

use super::contour::between;
use super::{Contour, Point, SAME_POINT, Segment, Vertex, turn_between};

/// A corner that turns by more than this, radians (150 degrees), is pointed (our choice).
const POINTED: f64 = 150.0 / 180.0 * std::f64::consts::PI;

impl Contour {
    /// Without the vertices at which the contour goes straight on between two lines.
    #[must_use]
    pub fn without_straight_vertices(&self) -> Self {
        let vertices = self.vertices();
        let n = vertices.len();
        let is_bend = |i: &usize| {
            let (a, v, b) = (&vertices[(i + n - 1) % n], &vertices[*i], &vertices[(i + 1) % n]);
            let (into, out) = (v.point() - a.point(), b.point() - v.point());
            let straight = between(a, v).is_line() && between(v, b).is_line();
            !straight || into.cross(out).abs() > SAME_POINT * into.length().max(out.length()) || into.dot(out) < 0.0
        };
        Self::new((0..n).filter(is_bend).map(|i| vertices[i]))
    }

    /// Without needles: where a counter-clockwise outline runs out to a point and back within
    /// `narrowest` of itself, the point is cut off as far as the shorter of its two sides reaches; what
    /// followed on that side then follows on the longer. Nothing as wide as that is lost.
    #[must_use]
    pub fn without_needles(&self, narrowest: f64) -> Self {
        let mut vertices = self.vertices().to_vec();
        let mut i = 0;
        while i < vertices.len() && vertices.len() > 3 {
            let n = vertices.len();
            let (last, next) = ((i + n - 1) % n, (i + 1) % n);
            let (before, after) = (between(&vertices[last], &vertices[i]), between(&vertices[i], &vertices[next]));
            let is_point = turn_between(before.end_heading(), after.start_heading()) > POINTED;
            let is_before = before.length() <= after.length();
            let (short, long) = if is_before { (before.reversed(), after) } else { (after, before.reversed()) };
            let share = long.nearest_share(short.end);
            let met = long.point_at(share);
            if !is_point || met.distance(short.end) >= narrowest {
                i += 1;
                continue;
            }
            // Both ends of what was cut off become the one point on the longer side: cloth is only taken away.
            let rest = long.between(share, 1.0);
            if is_before {
                vertices[i] = Vertex::new(met, rest.bulge);
                vertices.remove(last);
            } else {
                vertices[last].bulge = -rest.bulge;
                vertices[next] = Vertex::new(met, vertices[next].bulge);
                vertices.remove(i);
            }
            // What is left may be pointed again.
            i = 0;
        }
        if vertices.len() > 3 { Self::new(vertices) } else { self.clone() }
    }

    /// Without jogs: where straight edges shorter than `shortest` follow one another and together get
    /// no farther than that, their neighbours meet in one point instead. An arc beside them stays as
    /// it is and its straight neighbour comes to its end; between two arcs nothing changes. No point
    /// of the outline moves by more than `shortest`.
    #[must_use]
    pub fn without_jogs(&self, shortest: f64) -> Self {
        let vertices = self.vertices();
        let n = vertices.len();
        let is_short = |i: usize| {
            let s = between(&vertices[i % n], &vertices[(i + 1) % n]);
            s.is_line() && s.length() < shortest
        };
        let Some(first) = (0..n).rev().find(|&i| !is_short(i)) else { return self.clone() };
        // From the end of a long edge: no chain of short ones is met in its middle.
        let mut kept = Vec::with_capacity(n);
        let mut i = first + 1;
        while i <= first + n {
            let length = (0..n).take_while(|k| is_short(i + k)).count();
            let (start, end) = (vertices[i % n], vertices[(i + length) % n]);
            let (into, out) = (vertices[(i + n - 1) % n], vertices[(i + length + 1) % n]);
            let (before, after) = (between(&into, &start), between(&end, &out));
            let is_jog = length > 0 && start.point().distance(end.point()) < shortest;
            if !is_jog || !(before.is_line() || after.is_line()) {
                kept.extend((i..=i + length).map(|k| vertices[k % n]));
            } else if before.is_line() && after.is_line() {
                let met = meeting(&before, &after)
                    .filter(|p| p.distance(start.point()) < shortest && p.distance(end.point()) < shortest);
                kept.push(Vertex::new(met.unwrap_or_else(|| start.point().lerp(end.point(), 0.5)), 0.0));
            } else if after.is_line() {
                kept.push(Vertex::new(start.point(), 0.0));
            } else {
                kept.push(end);
            }
            i += length + 1;
        }
        Self::new(kept)
    }
}

/// Where the straight lines of two segments cross, `None` where they are parallel.
fn meeting(a: &Segment, b: &Segment) -> Option<Point> {
    let (along, other) = (a.end - a.start, b.end - b.start);
    let cross = along.cross(other);
    let t = (b.start - a.start).cross(other) / cross;
    t.is_finite().then(|| a.start + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    #[test]
    fn straight_vertices_go_and_corners_stay() {
        let c = Contour::polygon([pt(0.0, 0.0), pt(5.0, 0.0), pt(10.0, 0.0), pt(10.0, 10.0), pt(0.0, 10.0)]);
        assert_eq!(c.without_straight_vertices().vertices().len(), 4);
        let slab = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), 1.0),
            Vertex::new(pt(20.0, 10.0), 0.0),
            Vertex::new(pt(0.0, 10.0), 0.0),
        ]);
        assert_eq!(slab.without_straight_vertices(), slab);
    }

    #[test]
    fn a_needle_goes_as_far_as_it_is_narrow() {
        // A tongue of 9 mm, 0.05 mm wide, beside a long edge, with an arc at its point.
        let c = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(80.0, 0.0), 0.0),
            Vertex::new(pt(52.0, 30.0), 0.0),
            Vertex::new(pt(61.4, 30.005), 0.0174),
            Vertex::new(pt(60.0, 30.05), 0.0),
            Vertex::new(pt(0.0, 30.05), 0.0),
        ]);
        for i in 0..c.vertices().len() {
            let clean = c.started_at(i).without_needles(0.4);
            assert!((clean.bounds().max.x - 80.0).abs() < 1e-9 && clean.vertices().len() == 4, "{clean:?}");
            assert!((0.0..2.5).contains(&(c.area() - clean.area())));
        }
        // A sharp tongue that is wide at its root stays.
        let tongue = Contour::polygon([pt(0.0, 0.0), pt(40.0, 1.0), pt(0.0, 2.0)]);
        assert_eq!(tongue.without_needles(0.4), tongue);
    }

    #[test]
    fn a_jog_goes_and_its_neighbours_meet() {
        // A hook of three short edges between two long ones, as two wedges leave it.
        let hook = [pt(10.0, 5.0), pt(10.1, 5.0), pt(10.1, 5.2), pt(10.0, 5.2)];
        let c = Contour::polygon([pt(0.0, 0.0), pt(10.0, 0.0)].into_iter().chain(hook).chain([pt(0.0, 10.0)]));
        for i in 0..c.vertices().len() {
            let clean = c.started_at(i).without_jogs(0.4);
            assert_eq!(clean.vertices().len(), 4, "{clean:?}");
            assert!(c.vertices().iter().all(|v| clean.distance_to(v.point()) < 0.4));
            assert!(clean.vertices().iter().all(|v| c.distance_to(v.point()) < 0.4));
        }
        assert_eq!(c.without_jogs(0.05), c);
        // An arc keeps its end; the straight edge comes to it.
        let round = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(20.0, 0.0), 0.5),
            Vertex::new(pt(20.0, 10.0), 0.0),
            Vertex::new(pt(20.0, 10.2), 0.0),
            Vertex::new(pt(0.0, 10.2), 0.0),
        ]);
        let clean = round.without_jogs(0.4);
        assert!(clean.vertices().contains(&Vertex::new(pt(20.0, 10.0), 0.0)) && clean.vertices().len() == 4);
        // What is tiny as a whole stays what it is.
        let speck = Contour::rectangle(pt(0.0, 0.0), pt(0.1, 0.1));
        assert_eq!(speck.without_jogs(0.4), speck);
    }
}

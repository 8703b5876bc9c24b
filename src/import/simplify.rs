//! A finely drawn outline as few lines and true arcs.
//!
//! A scan or a vector drawing follows a curve by thousands of short chords. Cut like that it is slow, a blade
//! swivels at each, and whatever is reckoned from it takes its time. Runs of chords that a line or an arc from
//! their first point to their last follows within [`STRAY`] become that line or arc. Corners stay: what goes round
//! one strays.

use crate::geom::{Contour, Point, Segment, Vertex};

/// How far the outline may come to lie from the drawn one, mm: half of what a hand knife wanders (our choice), and
/// as much as the chords of a curve may.
pub(super) const STRAY: f64 = 0.02;
/// An outline of so few lines and arcs was drawn as it is meant to be (our choice).
const FEW: usize = 200;
/// An arc flatter than this is a line, a rounder one is two, mm of radius and share of a half circle.
const FLATTEST: f64 = 5000.0;
/// The largest bulge of one arc: a third of a circle.
const ROUNDEST: f64 = 0.577;

/// The outline with fewer lines, from its vertex 0 to its vertex 1 as it is (the hinge), or `None` where it has few
/// or would lose less than a third of them. Within [`STRAY`] of the drawn one everywhere: every drawn corner, and
/// the middle of every chord, is asked.
pub(super) fn simplified(contour: &Contour) -> Option<Contour> {
    let vertices = contour.vertices();
    let n = vertices.len();
    if n <= FEW {
        return None;
    }
    // From the end of the hinge round to its start.
    let all: Vec<Vertex> = (1..=n).map(|i| vertices[i % n]).collect();
    let mut kept = vec![vertices[0]];
    let mut at = 0;
    while at + 1 < all.len() {
        let (to, bulge) = longest(&all, at);
        kept.push(Vertex::new(all[at].point(), bulge));
        at = to;
    }
    (kept.len() * 3 < n * 2).then(|| Contour::new(kept))
}

/// A curve's chords as few lines and arcs within [`STRAY`], its ends as they are; the last vertex's bulge is unused.
#[cfg(feature = "svg")]
pub(super) fn followed(points: &[Point]) -> Vec<Vertex> {
    let all: Vec<Vertex> = points.iter().map(|p| Vertex::new(*p, 0.0)).collect();
    let mut kept = Vec::new();
    let mut at = 0;
    while at + 1 < all.len() {
        let (to, bulge) = longest(&all, at);
        kept.push(Vertex::new(all[at].point(), bulge));
        at = to;
    }
    kept.extend(all.last());
    kept
}

/// The farthest vertex that one line or arc from `at` reaches, with its bulge. The run is doubled while it holds,
/// then halved in, so that a run costs its own length a few times over.
fn longest(all: &[Vertex], at: usize) -> (usize, f64) {
    let next = (at + 1, all[at].bulge);
    // A true arc was drawn on purpose.
    if all[at].bulge != 0.0 {
        return next;
    }
    let end = (at..all.len() - 1).take_while(|i| all[*i].bulge == 0.0).last().map_or(at, |i| i + 1);
    let (mut best, mut reach) = (next, 2);
    while at + reach <= end {
        match one(&all[at..=at + reach]) {
            Some(bulge) => best = (at + reach, bulge),
            None => break,
        }
        reach *= 2;
    }
    let (mut holds, mut fails) = (best.0, (at + reach).min(end + 1));
    while fails - holds > 1 {
        let middle = holds + (fails - holds) / 2;
        match one(&all[at..=middle]) {
            Some(bulge) => (holds, best) = (middle, (middle, bulge)),
            None => fails = middle,
        }
    }
    best
}

/// The bulge of the line or arc that follows a run of chords; `None` where none does.
fn one(run: &[Vertex]) -> Option<f64> {
    let (first, last) = (run.first()?.point(), run.last()?.point());
    let chord = last - first;
    let length = chord.length();
    if length < STRAY {
        return None;
    }
    let u = chord / length;
    // Along the chord and to its left. A run that turns back on itself is none.
    let seen = |p: Point| ((p - first).dot(u), u.cross(p - first));
    let mut before = -STRAY;
    let mut high = (0.0f64, 0.0f64);
    for v in run {
        let (along, left) = seen(v.point());
        if along < before - STRAY {
            return None;
        }
        before = before.max(along);
        if left.abs() > high.1.abs() {
            high = (along, left);
        }
    }
    if high.1.abs() <= STRAY && follows(run, 0.0, first, last) {
        return Some(0.0);
    }
    // Through the highest point P. It sees the chord under the angle a, and the bulge, the tangent of a quarter of
    // the arc's angle, is tan((pi - a) / 2) (inscribed angle, Euclid III.20). An arc on the left runs clockwise.
    let (x, y) = high;
    let sees = (y.abs() * length).atan2(y * y - x * (length - x));
    let bulge = ((std::f64::consts::PI - sees) / 2.0).tan() * -y.signum();
    let radius = length * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
    (bulge.abs() <= ROUNDEST && radius <= FLATTEST && follows(run, bulge, first, last)).then_some(bulge)
}

/// Whether every vertex of the run and the middle of every chord lies near the line or arc.
fn follows(run: &[Vertex], bulge: f64, start: Point, end: Point) -> bool {
    let way = Segment { start, end, bulge };
    let middles = run.windows(2).map(|w| w[0].point() + (w[1].point() - w[0].point()) * 0.5);
    run.iter().map(|v| v.point()).chain(middles).all(|p| way.distance_to(p) <= STRAY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    /// A lid 200 wide whose far edge is a wave of `n` chords.
    fn wave(n: usize) -> Contour {
        let far = (0..=n).map(|i| {
            let x = 100.0 - 200.0 * i as f64 / n as f64;
            pt(x, 80.0 + 6.0 * (x / 11.0).sin())
        });
        Contour::polygon([pt(-100.0, 0.0), pt(100.0, 0.0)].into_iter().chain(far))
    }

    fn farthest(a: &Contour, b: &Contour) -> f64 {
        let b: Vec<Segment> = b.segments().collect();
        let near = |p: Point| b.iter().map(|s| s.distance_to(p)).fold(f64::INFINITY, f64::min);
        a.segments().flat_map(|s| [s.start, s.point_at(0.5)]).map(near).fold(0.0, f64::max)
    }

    #[test]
    fn a_wave_of_chords_becomes_a_few_arcs_that_lie_on_it() {
        for n in [300, 1000, 3000] {
            let drawn = wave(n);
            let made = simplified(&drawn).expect("fewer");
            assert!(made.vertices().len() < 90, "{n}: {}", made.vertices().len());
            assert!(farthest(&drawn, &made) <= STRAY + 1e-9 && farthest(&made, &drawn) <= 1.5 * STRAY, "{n}");
            assert!((made.area() - drawn.area()).abs() < 400.0 * STRAY);
            assert_eq!(
                made.vertices()[..2].iter().map(|v| v.point()).collect::<Vec<_>>(),
                [pt(-100.0, 0.0), pt(100.0, 0.0)]
            );
        }
    }

    #[test]
    fn corners_and_what_is_drawn_in_few_lines_stay() {
        assert!(simplified(&wave(100)).is_none());
        // A saw of 150 teeth has nothing to lose.
        let teeth = (0..=300).map(|i| pt(100.0 - f64::from(i) / 1.5, if i % 2 == 0 { 80.0 } else { 81.0 }));
        let saw = Contour::polygon([pt(-100.0, 0.0), pt(100.0, 0.0)].into_iter().chain(teeth));
        assert!(simplified(&saw).is_none());
        // Of a circle's chords on a square's corners the corners stay exact.
        let round = (0..=900).map(|i| pt(0.0, 60.0) + Point::unit(f64::from(i) * std::f64::consts::PI / 900.0) * 40.0);
        let all = [pt(-100.0, 0.0), pt(100.0, 0.0), pt(100.0, 60.0)].into_iter().chain(round).chain([pt(-100.0, 60.0)]);
        let made = simplified(&Contour::polygon(all)).expect("fewer");
        assert!(made.vertices().len() <= 12, "{:?}", made.vertices());
        for corner in [pt(100.0, 60.0), pt(40.0, 60.0), pt(-40.0, 60.0), pt(-100.0, 60.0)] {
            assert!(made.vertices().iter().any(|v| v.point().distance(corner) < 2.0 * STRAY), "{corner:?}");
        }
    }
}

//! The distances from an origin at which a piece has anything: corners, ends, the outermost points of arcs.

use super::figures::Figures;
use crate::geom::{Bounds, Contour, Path, Point, Segment};
use crate::units::{Unit, mm, tidy};
use std::f64::consts::FRAC_PI_2;

/// An outline with more blunt corners than this is a curve followed by chords; nobody marks them one by one.
const MOST_BLUNT: usize = 16;
/// What turns by less than this is blunt, radians (20 degrees; our choice).
const BLUNT: f64 = 20.0 / 180.0 * std::f64::consts::PI;
/// Distances that differ by less are one, mm: no cut shows it.
const SAME: f64 = 0.03;
/// What a slot or a pocket may come out narrower than it is, mm: less than a knife's cut.
const TIGHT: f64 = 0.1;

/// Along which axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Axis {
    X,
    Y,
}

impl Axis {
    pub(super) fn of(self, p: Point) -> f64 {
        if self == Self::X { p.x } else { p.y }
    }

    pub(super) fn across(self, p: Point) -> f64 {
        if self == Self::X { p.y } else { p.x }
    }
}

/// One distance from the origin along an axis.
#[derive(Clone, Debug)]
pub(super) struct Ordinate {
    /// mm.
    pub(super) at: f64,
    pub(super) figures: Figures,
    /// The least and the greatest distance along the other axis of what stands there.
    pub(super) least: f64,
    pub(super) most: f64,
}

/// The points of a contour that are given by their distances, and whether these are all that it has.
pub(super) fn points(contour: &Contour) -> (Vec<Point>, bool) {
    if let Some(center) = circle(contour) {
        return (vec![center], true);
    }
    let segments: Vec<Segment> = contour.segments().collect();
    let n = segments.len();
    let is_sharp = |i: &usize| {
        let turn = segments[*i].start_heading() - segments[(*i + n - 1) % n].end_heading();
        turn.sin().atan2(turn.cos()).abs() > BLUNT
    };
    let sharp: Vec<usize> = (0..n).filter(is_sharp).collect();
    let arcs = segments.iter().filter(|s| !s.is_line()).count();
    // An arc meets its neighbours bluntly, at two places.
    if n > sharp.len() + 2 * arcs + MOST_BLUNT {
        let mut found: Vec<Point> = sharp.into_iter().map(|i| segments[i].start).collect();
        found.extend(outermost_of(contour));
        return (found, false);
    }
    let mut found: Vec<Point> = segments.iter().map(|s| s.start).collect();
    found.extend(segments.iter().flat_map(outermost));
    (found, true)
}

/// The corners of a contour that lie on the rectangle round it.
pub(super) fn outermost_of(contour: &Contour) -> Vec<Point> {
    let b = contour.bounds();
    let is_outermost = |p: &Point| {
        [(p.x, b.min.x), (p.x, b.max.x), (p.y, b.min.y), (p.y, b.max.y)].iter().any(|(a, b)| (a - b).abs() < 1e-6)
    };
    let all = contour.segments().flat_map(|s| std::iter::once(s.start).chain(outermost(&s)));
    all.filter(is_outermost).collect()
}

/// The points by which an open line is given.
pub(super) fn ends(path: &Path) -> Vec<Point> {
    let mut found: Vec<Point> = path.vertices().iter().map(|v| v.point()).collect();
    found.extend(path.segments().flat_map(|s| outermost(&s)));
    found
}

/// The centre of a contour that is a circle.
pub(super) fn circle(contour: &Contour) -> Option<Point> {
    let segments: Vec<Segment> = contour.segments().collect();
    let [a, b] = segments.as_slice() else { return None };
    let (p, q) = (a.center()?, b.center()?);
    (p.distance(q) < 1e-6 && (a.sweep() + b.sweep()).abs() > std::f64::consts::TAU - 0.003).then_some(p)
}

/// The points of an arc farthest out along an axis, its ends aside.
fn outermost(s: &Segment) -> Vec<Point> {
    let Some(c) = s.center() else { return Vec::new() };
    (0..4)
        .map(|k| c + Point::unit(f64::from(k) * FRAC_PI_2) * s.radius())
        .filter(|p| s.distance_to(*p) < 1e-6 && !p.is_near(s.start) && !p.is_near(s.end))
        .collect()
}

/// The distances of `points` along an axis, ascending; those that are written alike are one. The far side of
/// a slot or a pocket, `sizes`, is marked by its near one and its size, rounded up, so that nothing that must go in
/// comes out too narrow by being rounded twice.
pub(super) fn ordinates(points: &[Point], sizes: &[Bounds], axis: Axis, unit: Unit) -> Vec<Ordinate> {
    let mut all: Vec<(f64, f64)> = points.iter().map(|p| (axis.of(*p), axis.across(*p))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut found: Vec<Ordinate> = Vec::new();
    let mut hands: Vec<f64> = Vec::new();
    for (at, across) in all {
        let same = |o: &&mut Ordinate| unit.show_bare(mm(o.at)) == unit.show_bare(mm(at)) || at - o.at < SAME;
        if let Some(last) = found.last_mut().filter(same) {
            last.least = last.least.min(across);
            last.most = last.most.max(across);
            continue;
        }
        let mut hand = unit.at_bench(mm(at)).to_mm();
        for size in sizes.iter().filter(|b| (axis.of(b.max) - at).abs() < 1e-3) {
            let near = axis.of(size.min);
            let before = found.iter().zip(&hands).filter(|(o, _)| near > o.at - 1e-3).map(|(_, h)| *h).next_back();
            let step = unit.bench_step().to_mm();
            let wide = ((at - near - TIGHT) / step).ceil().max(1.0) * step;
            hand = hand.max(tidy(before.unwrap_or(near) + wide, 9));
        }
        let figures = Figures::marked(mm(hand), mm(at), unit);
        hands.push(hand);
        found.push(Ordinate { at, figures, least: across, most: across });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    fn written(found: &[Ordinate]) -> Vec<String> {
        found.iter().map(|o| o.figures.in_words()).collect()
    }

    #[test]
    fn a_slot_is_as_wide_by_its_marks_as_it_must_be() {
        // By themselves 10.74 and 12.24 would be marked at 10.5 and 12; 30.2 and 31.9 at 30 and 32.
        let slots = [(10.74, 12.24), (30.2, 31.9)];
        let sizes = slots.map(|(a, b)| Bounds { min: pt(a, 0.0), max: pt(b, 5.0) });
        let points: Vec<Point> = slots.iter().flat_map(|(a, b)| [pt(*a, 0.0), pt(*b, 5.0)]).collect();
        let found = ordinates(&points, &sizes, Axis::X, Unit::Mm);
        assert_eq!(written(&found), ["10.5 (10.7)", "12 (12.2)", "30 (30.2)", "32 (31.9)"]);
        let narrow = [Bounds { min: pt(20.24, 0.0), max: pt(21.24, 5.0) }];
        let found = ordinates(&[pt(20.24, 0.0), pt(21.24, 5.0)], &narrow, Axis::X, Unit::Mm);
        assert_eq!(written(&found), ["20 (20.2)", "21 (21.2)"]);
        let found = ordinates(
            &[pt(20.0, 0.0), pt(21.7, 5.0)],
            &[Bounds { min: pt(20.0, 0.0), max: pt(21.2, 5.0) }],
            Axis::X,
            Unit::Mm,
        );
        assert_eq!(written(&found), ["20", "21.5 (21.7)"]);
    }

    #[test]
    fn an_arc_is_given_by_its_ends_and_its_outermost_point() {
        use crate::geom::Vertex;
        // A free edge of 100 mm, bowed by 10 mm: bulge = 2 rise / chord.
        let lid = Contour::new([
            Vertex::new(pt(0.0, 0.0), 0.0),
            Vertex::new(pt(100.0, 0.0), 0.0),
            Vertex::new(pt(100.0, 40.0), 0.2),
            Vertex::new(pt(0.0, 40.0), 0.0),
        ]);
        let (found, is_all) = points(&lid);
        assert!(is_all && found.len() == 5);
        assert_eq!(written(&ordinates(&found, &[], Axis::Y, Unit::Mm)), ["0", "40", "50"]);
        assert_eq!(written(&ordinates(&found, &[], Axis::X, Unit::Mm)), ["0", "50", "100"]);
        let hole = Contour::circle(pt(30.0, 20.0), 5.0).reversed();
        assert_eq!(points(&hole), (vec![pt(30.0, 20.0)], true));
    }

    #[test]
    fn of_a_curve_in_chords_only_its_corners_are_given() {
        let mut wave: Vec<Point> = (0..=100).map(|k| pt(f64::from(k), 30.0 + (f64::from(k) / 9.0).sin())).collect();
        wave.reverse();
        let mut ring = vec![pt(0.0, 0.0), pt(100.0, 0.0)];
        ring.extend(wave);
        let (found, is_all) = points(&Contour::polygon(ring));
        assert!(!is_all && found.len() < 12, "{found:?}");
        for corner in [pt(0.0, 0.0), pt(100.0, 0.0), pt(0.0, 30.0)] {
            assert!(found.iter().any(|p| p.distance(corner) < 1e-9), "{corner:?}");
        }
    }
}

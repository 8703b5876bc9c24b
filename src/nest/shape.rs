//! True outlines for the layout: a piece as it lies, taken apart into convex parts, and the places
//! in which one may not stand beside another.
//!
//! The places of B that come nearer to A than the gap are the sum of A, of B turned inside out, and
//! of a disc of the gap (Minkowski). Of convex parts that sum is a merge of their edges; the sum of
//! the whole is the union of the sums of all pairs of parts. The disc is an octagon around it and
//! arcs are chords with what they lose added to the gap, so that every answer errs towards more
//! room.

use super::rim;
use crate::geom::{Bounds, Contour, Point, pt, signed_area};
use geo::{Area, Coord, LineString, Polygon, TriangulateEarcut};

/// Chords here stray from their arcs by at most this, mm; the gap grows by as much.
const CHORD: f64 = 0.05;
/// Of an outline with more corners than this, by its arcs, the chords stray twice as far, and again, up
/// to [`COARSEST`]: the work grows with the fourth power of their number.
const MANY: usize = 24;
/// See [`MANY`], mm.
const COARSEST: f64 = 0.4;
/// A dent of no more than this, mm2, or than half a percent of the piece, is taken for a part of it: nothing
/// goes into it, and every re-entrant corner makes one more convex part.
const FILLED: f64 = 120.0;
/// The same where every piece of the stock is too wide to go into it, mm2.
const FILLED_AMONG_WIDE: f64 = 300.0;
/// Rounding in the union of parts, mm: its library works on a grid. The gap of outlines that are no
/// rectangles grows by it.
const GRID: f64 = 1e-4;
/// How deep in a forbidden place still counts as on its rim, mm; half of [`GRID`] at most.
const RIM: f64 = 5e-5;
/// How deep between two rectangles, which meet no grid, mm.
const FLUSH: f64 = 1e-9;

/// An outline as it lies, its lower left corner at the origin.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    /// Its extent, mm.
    pub(super) width: f64,
    /// Its extent, mm.
    pub(super) height: f64,
    /// mm2.
    pub(super) area: f64,
    /// Whether it is an upright rectangle.
    pub(super) is_box: bool,
    parts: Vec<Vec<Point>>,
    slack: f64,
    /// The largest upright rectangles in its parts: what is taken for sure, at a glance.
    pub(super) cores: Vec<Bounds>,
}

impl Shape {
    /// An outline among others of which none is narrower than `least`, mm.
    pub(super) fn of(outline: &Contour, least: f64) -> Self {
        let bounds = outline.bounds();
        let (width, height, area) = (bounds.width(), bounds.height(), outline.area().abs());
        let is_box = width * height - area < 1e-7 * width * height;
        let whole = rectangle(Bounds { min: pt(0.0, 0.0), max: pt(width, height) });
        if is_box {
            let cores = cores(std::slice::from_ref(&whole));
            return Self { width, height, area, is_box, parts: vec![whole], slack: 0.0, cores };
        }
        let outline = outline.clone().ccw();
        let has_arcs = outline.segments().any(|s| !s.is_line());
        let mut chord = CHORD;
        let mut points = outline.flatten(chord);
        while has_arcs && points.len() > MANY && chord < COARSEST {
            chord *= 2.0;
            points = outline.flatten(chord);
        }
        let points: Vec<Point> = points.iter().map(|p| *p - bounds.min).collect();
        // What is so wide does not go into a dent with sides of 45 degrees and a mouth as wide.
        let most = if least * least / 4.0 > FILLED_AMONG_WIDE { FILLED_AMONG_WIDE } else { FILLED };
        let points = filled(points, most.min(area / 200.0));
        let parts = convex_parts(&points).unwrap_or_else(|| vec![whole]);
        let cores = cores(&parts);
        Self { width, height, area, is_box, parts, slack: if has_arcs { chord } else { 0.0 }, cores }
    }

    /// Whether it looks the same after a half turn, to `within` mm of its corners.
    pub(super) fn is_like(&self, other: &Self, within: f64) -> bool {
        let near = |p: &Point, q: &Point| (p.x - q.x).abs() < within && (p.y - q.y).abs() < within;
        let has = |all: &[Vec<Point>], p: &Point| all.iter().flatten().any(|q| near(p, q));
        self.parts.iter().flatten().all(|p| has(&other.parts, p))
            && other.parts.iter().flatten().all(|p| has(&self.parts, p))
    }
}

/// Where one shape may not stand, seen from another that stands at the origin.
#[derive(Debug)]
pub(super) struct NoFit {
    bounds: Bounds,
    parts: Vec<(Bounds, Vec<Point>)>,
    rim: f64,
    /// The outline of the forbidden places, its edges.
    pub(super) edges: Vec<(Point, Point)>,
}

impl NoFit {
    /// Where `b` may not stand when `a` stands at the origin and `gap` mm must stay between them.
    pub(super) fn between(a: &Shape, b: &Shape, gap: f64) -> Self {
        if a.is_box && b.is_box {
            let bounds = Bounds { min: pt(-b.width - gap, -b.height - gap), max: pt(a.width + gap, a.height + gap) };
            let corners = rectangle(bounds);
            return Self { bounds, rim: FLUSH, edges: rim::edges(&corners).collect(), parts: vec![(bounds, corners)] };
        }
        let reach = gap + a.slack + b.slack + GRID;
        let t = reach * std::f64::consts::FRAC_PI_8.tan();
        let disc =
            [(t, -reach), (reach, -t), (reach, t), (t, reach), (-t, reach), (-reach, t), (-reach, -t), (-t, -reach)];
        let disc: Vec<Point> = disc.iter().map(|&(x, y)| pt(x, y)).collect();
        let mut parts = Vec::with_capacity(a.parts.len() * b.parts.len());
        for q in &b.parts {
            let turned: Vec<Point> = q.iter().map(|p| pt(-p.x, -p.y)).collect();
            let grown = sum(&turned, &disc);
            for p in &a.parts {
                let corners = sum(p, &grown);
                parts.push((Bounds::of(corners.iter().copied()), corners));
            }
        }
        let bounds = parts.iter().fold(Bounds::EMPTY, |b, p| b.union(p.0));
        let edges = rim::of(&parts);
        Self { bounds, parts, rim: RIM, edges }
    }

    /// The same seen from the other shape.
    pub(super) fn reversed(&self) -> Self {
        let turn = |p: Point| pt(-p.x, -p.y);
        let around = |b: Bounds| Bounds { min: turn(b.max), max: turn(b.min) };
        Self {
            bounds: around(self.bounds),
            parts: self.parts.iter().map(|(b, c)| (around(*b), c.iter().map(|p| turn(*p)).collect())).collect(),
            rim: self.rim,
            edges: self.edges.iter().map(|(p, q)| (turn(*p), turn(*q))).collect(),
        }
    }

    pub(super) fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// The convex parts of the forbidden places, counter-clockwise.
    pub(super) fn parts(&self) -> &[(Bounds, Vec<Point>)] {
        &self.parts
    }

    /// How deep in them still counts as on their rim, mm.
    pub(super) fn rim(&self) -> f64 {
        self.rim
    }

    /// Whether the place lies within the forbidden ones, their rim aside.
    pub(super) fn forbids(&self, place: Point) -> bool {
        let deep = |b: &Bounds| {
            place.x > b.min.x + self.rim
                && place.x < b.max.x - self.rim
                && place.y > b.min.y + self.rim
                && place.y < b.max.y - self.rim
        };
        deep(&self.bounds) && self.parts.iter().any(|(b, corners)| deep(b) && is_deep(corners, place, self.rim))
    }
}

fn is_deep(corners: &[Point], p: Point, rim: f64) -> bool {
    let n = corners.len();
    (0..n).all(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % n]);
        let along = b - a;
        along.cross(p - a) > rim * along.length()
    })
}

/// How many rectangles stand for a shape at a glance: a cross is one bar and two arms.
const CORES: usize = 3;

/// The largest of the upright rectangles that lie in convex parts, one of each.
fn cores(parts: &[Vec<Point>]) -> Vec<Bounds> {
    let mut cores: Vec<Bounds> = parts.iter().filter_map(|p| core(p)).collect();
    let area = |b: &Bounds| b.width() * b.height();
    cores.sort_by(|a, b| area(b).total_cmp(&area(a)));
    cores.truncate(CORES);
    cores
}

/// The largest upright rectangle of a convex part whose lower and upper side pass through corners of it. As
/// wide as the part is at both of these heights, it lies in it.
fn core(part: &[Point]) -> Option<Bounds> {
    let across = |y: f64| {
        let mut reach = Bounds::EMPTY;
        for (a, b) in rim::edges(part) {
            if a.y.min(b.y) <= y && y <= a.y.max(b.y) {
                let level = (b.y - a.y).abs() < 1e-12;
                let ends = if level { [a, b] } else { [a.lerp(b, (y - a.y) / (b.y - a.y)); 2] };
                reach = reach.union(Bounds::of(ends));
            }
        }
        (reach.min.x, reach.max.x)
    };
    let mut heights: Vec<(f64, (f64, f64))> = part.iter().map(|p| (p.y, across(p.y))).collect();
    heights.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<Bounds> = None;
    for (i, (low, below)) in heights.iter().enumerate() {
        for (high, above) in &heights[i + 1..] {
            let (left, right) = (below.0.max(above.0), below.1.min(above.1));
            let area = (right - left) * (high - low);
            if left < right && best.is_none_or(|b| area > b.width() * b.height()) {
                best = Some(Bounds { min: pt(left, *low), max: pt(right, *high) });
            }
        }
    }
    best
}

/// Where `b` may not stand for sure when `a` stands at the origin: all of it lies deep in [`NoFit::between`].
pub(super) fn surely_forbidden(a: &Shape, b: &Shape, gap: f64) -> impl Iterator<Item = Bounds> {
    // The square in the disc of the gap, less what counts as a rim.
    let reach = gap * std::f64::consts::FRAC_1_SQRT_2 - 2.0 * RIM;
    let around = move |p: &Bounds, q: &Bounds| Bounds {
        min: pt(p.min.x - q.max.x - reach, p.min.y - q.max.y - reach),
        max: pt(p.max.x - q.min.x + reach, p.max.y - q.min.y + reach),
    };
    a.cores.iter().flat_map(move |p| b.cores.iter().map(move |q| around(p, q)))
}

fn rectangle(b: Bounds) -> Vec<Point> {
    b.corners().to_vec()
}

fn polygon(corners: &[Point]) -> Polygon {
    Polygon::new(LineString::new(corners.iter().map(|p| Coord { x: p.x, y: p.y }).collect()), Vec::new())
}

/// The sum of two convex polygons, counter-clockwise: their edges in the order of their directions.
fn sum(a: &[Point], b: &[Point]) -> Vec<Point> {
    let lowest = |c: &[Point]| {
        (0..c.len()).min_by(|&i, &j| c[i].y.total_cmp(&c[j].y).then(c[i].x.total_cmp(&c[j].x))).unwrap_or_default()
    };
    let (n, m) = (a.len(), b.len());
    let (i0, j0) = (lowest(a), lowest(b));
    let edge = |c: &[Point], i: usize| c[(i + 1) % c.len()] - c[i % c.len()];
    let mut corners = Vec::with_capacity(n + m);
    let (mut i, mut j) = (0, 0);
    let mut at = a[i0] + b[j0];
    while i < n || j < m {
        corners.push(at);
        let (e, f) = (edge(a, i0 + i), edge(b, j0 + j));
        let turn = if i == n {
            -1.0
        } else if j == m {
            1.0
        } else {
            e.cross(f)
        };
        // Parallel edges make one.
        let (take_a, take_b) = (turn >= 0.0 && i < n, turn <= 0.0 && j < m);
        if take_a {
            at = at + e;
            i += 1;
        }
        if take_b {
            at = at + f;
            j += 1;
        }
    }
    corners
}

/// The polygon, counter-clockwise, with its dents filled up: re-entrant corners are left out, the one
/// that adds least first, as long as no edge that takes their place has more than `most` mm2 of dent
/// behind it. The result holds the polygon.
fn filled(mut points: Vec<Point>, most: f64) -> Vec<Point> {
    // How much was filled behind the edge from each corner to the next.
    let mut behind = vec![0.0; points.len()];
    // Corners that cannot go, for another part of the polygon stands in their dent.
    let mut stays = vec![false; points.len()];
    loop {
        let n = points.len();
        let dent = |i: usize| {
            let (before, next) = ((i + n - 1) % n, (i + 1) % n);
            let area = -(points[i] - points[before]).cross(points[next] - points[i]) / 2.0;
            (area > 0.0 && !stays[i]).then(|| (area + behind[before] + behind[i], i))
        };
        let least = (0..n).filter_map(dent).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let Some((area, i)) = least.filter(|(area, _)| *area <= most && n > 3) else { return points };
        let (before, next) = ((i + n - 1) % n, (i + 1) % n);
        let triangle = [points[before], points[next], points[i]];
        let holds = |p: &Point| (0..3).all(|k| (triangle[(k + 1) % 3] - triangle[k]).cross(*p - triangle[k]) <= 0.0);
        let is_free = (0..n).filter(|k| ![before, i, next].contains(k)).all(|k| !holds(&points[k]));
        if is_free {
            behind[before] = area;
            points.remove(i);
            behind.remove(i);
            stays.remove(i);
        } else {
            stays[i] = true;
        }
    }
}

/// Convex parts that make up the polygon, counter-clockwise; `None` where it cannot be taken apart.
fn convex_parts(points: &[Point]) -> Option<Vec<Vec<Point>>> {
    let whole = polygon(points);
    let mut parts: Vec<Vec<Point>> = whole
        .earcut_triangles()
        .iter()
        .map(|t| vec![pt(t.v1().x, t.v1().y), pt(t.v2().x, t.v2().y), pt(t.v3().x, t.v3().y)])
        .map(|t| if signed_area(&t) < 0.0 { t.into_iter().rev().collect() } else { t })
        .filter(|t| 2.0 * signed_area(t) > 1e-9)
        .collect();
    let covered: f64 = parts.iter().map(|t| signed_area(t)).sum();
    if (covered - whole.unsigned_area()).abs() > 1e-6 * covered.max(1.0) {
        return None;
    }
    // Two parts that share an edge and stay convex without it are one (Hertel and Mehlhorn, 1983).
    while let Some((i, j, joined)) = joinable(&parts) {
        parts[i] = joined;
        parts.swap_remove(j);
    }
    Some(parts)
}

fn joinable(parts: &[Vec<Point>]) -> Option<(usize, usize, Vec<Point>)> {
    for (i, a) in parts.iter().enumerate() {
        for (j, b) in parts.iter().enumerate().skip(i + 1) {
            if let Some(c) = joined(a, b).filter(|c| is_convex(c)) {
                return Some((i, j, c));
            }
        }
    }
    None
}

/// Two polygons without the edge that they share.
fn joined(a: &[Point], b: &[Point]) -> Option<Vec<Point>> {
    let (n, m) = (a.len(), b.len());
    for i in 0..n {
        for j in 0..m {
            if a[i].is_near(b[(j + 1) % m]) && a[(i + 1) % n].is_near(b[j]) {
                let of_a = (0..n).map(|k| a[(i + 1 + k) % n]);
                let of_b = (2..m).map(|k| b[(j + k) % m]);
                return Some(of_a.chain(of_b).collect());
            }
        }
    }
    None
}

fn is_convex(c: &[Point]) -> bool {
    let n = c.len();
    (0..n).all(|i| (c[(i + 1) % n] - c[i]).cross(c[(i + 2) % n] - c[(i + 1) % n]) >= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tee() -> Contour {
        let points =
            [(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (7.0, 4.0), (7.0, 12.0), (3.0, 12.0), (3.0, 4.0), (0.0, 4.0)];
        Contour::polygon(points.iter().map(|&(x, y)| pt(x, y)))
    }

    #[test]
    fn the_sum_of_two_squares_is_a_square() {
        let a = [pt(0.0, 0.0), pt(2.0, 0.0), pt(2.0, 2.0), pt(0.0, 2.0)];
        let c = sum(&a, &a);
        assert_eq!(c.len(), 4);
        assert!((signed_area(&c) - 16.0).abs() < 1e-12);
    }

    #[test]
    fn a_tee_is_made_of_few_parts_that_cover_it() {
        let shape = Shape::of(&tee(), 0.0);
        assert!(shape.parts.len() <= 3, "{:?}", shape.parts);
        let area: f64 = shape.parts.iter().map(|p| signed_area(p)).sum();
        assert!((area - 72.0).abs() < 1e-9 && (shape.area - 72.0).abs() < 1e-9);
        assert!(!shape.is_box && shape.is_like(&shape.clone(), 1e-6));
    }

    #[test]
    fn small_dents_are_filled_and_large_ones_stay() {
        // A notch of 50 mm2 goes; the corner of a tee, 24 mm2 of 72, would be too much of so small a piece.
        let notched =
            [(0.0, 0.0), (200.0, 0.0), (200.0, 90.0), (105.0, 90.0), (100.0, 80.0), (95.0, 90.0), (0.0, 90.0)];
        let shape = Shape::of(&Contour::polygon(notched.iter().map(|&(x, y)| pt(x, y))), 0.0);
        assert_eq!(shape.parts.len(), 1);
        assert!((shape.area - (200.0 * 90.0 - 50.0)).abs() < 1e-9, "the area is the piece's own");
        assert!(Shape::of(&tee(), 0.0).parts.len() > 1);
        // A lid hollowed by an arc keeps most of its hollow, in a few straight steps.
        let hollow = Contour::new([
            crate::geom::Vertex::new(pt(0.0, 0.0), 0.0),
            crate::geom::Vertex::new(pt(250.0, 0.0), 0.0),
            crate::geom::Vertex::new(pt(250.0, 120.0), -0.3),
            crate::geom::Vertex::new(pt(0.0, 120.0), 0.0),
        ]);
        let shape = Shape::of(&hollow, 0.0);
        let covered: f64 = shape.parts.iter().map(|p| signed_area(p)).sum();
        assert!(covered >= shape.area && covered < 1.03 * shape.area, "{covered} {}", shape.area);
        assert!(shape.parts.len() < 9, "{}", shape.parts.len());
    }

    #[test]
    fn what_stands_in_a_dent_keeps_it_open() {
        // A hook: its tip stands in the dent, so that the dent cannot be closed over it.
        let hook = [
            (0.0, 0.0),
            (100.0, 0.0),
            (100.0, 3.0),
            (4.0, 3.0),
            (4.0, 6.0),
            (60.0, 6.0),
            (60.0, 4.0),
            (62.0, 4.0),
            (62.0, 8.0),
            (0.0, 8.0),
        ];
        let points: Vec<Point> = hook.iter().map(|&(x, y)| pt(x, y)).collect();
        let closed = filled(points.clone(), 1e9);
        let inside = |p: &Point| {
            let ring = polygon(&closed);
            geo::Intersects::intersects(&ring, &Coord { x: p.x, y: p.y })
        };
        assert!(points.iter().all(inside), "{closed:?}");
        assert!(signed_area(&closed) >= signed_area(&points) && convex_parts(&closed).is_some());
    }

    /// What is forbidden at a glance is forbidden by the outlines, wherever the rectangles lie in them.
    #[test]
    fn what_is_surely_forbidden_is_forbidden() {
        let cross = [
            (30.0, 0.0),
            (70.0, 1.0),
            (71.0, 40.0),
            (110.0, 38.0),
            (108.0, 80.0),
            (70.0, 81.0),
            (69.0, 130.0),
            (31.0, 128.0),
            (30.0, 80.0),
            (0.0, 79.0),
            (2.0, 41.0),
            (29.0, 40.0),
        ];
        let cross = Contour::polygon(cross.iter().map(|&(x, y)| pt(x, y)));
        let turned =
            cross.transformed(&crate::geom::Transform { rotation_deg: 90.0, ..crate::geom::Transform::IDENTITY });
        let shapes = [Shape::of(&cross, 0.0), Shape::of(&turned, 0.0), Shape::of(&tee(), 0.0)];
        for (a, b) in shapes.iter().flat_map(|a| shapes.iter().map(move |b| (a, b))) {
            for gap in [0.0, 5.0] {
                let (no, mut all) = (NoFit::between(a, b, gap), 0);
                for sure in surely_forbidden(a, b, gap) {
                    all += 1;
                    for (s, t) in
                        (0..=20).flat_map(|i| (0..=20).map(move |k| (f64::from(i) / 20.0, f64::from(k) / 20.0)))
                    {
                        let p = pt(sure.min.x + sure.width() * s, sure.min.y + sure.height() * t);
                        assert!(no.forbids(p), "{p:?} in {sure:?}");
                    }
                }
                assert!(all > 0);
            }
        }
    }

    #[test]
    fn a_forbidden_place_is_nearer_than_the_gap() {
        // Beside the stem of a tee there is room for a block that its bounds would refuse.
        let (tee, block) = (Shape::of(&tee(), 0.0), Shape::of(&Contour::rectangle(pt(0.0, 0.0), pt(2.0, 5.0)), 0.0));
        let no = NoFit::between(&tee, &block, 0.5);
        assert!(!no.forbids(pt(0.4, 4.6)) && no.forbids(pt(0.6, 4.6)) && no.forbids(pt(0.4, 4.4)));
        assert!(no.forbids(pt(4.0, 4.0)) && !no.forbids(pt(10.6, 0.0)));
        let back = no.reversed();
        assert!(back.forbids(pt(-0.6, -4.6)) && !back.forbids(pt(-0.4, -4.6)));
        // The rim itself is allowed and leads round every place that is not.
        for (p, q) in &no.edges {
            let middle = p.lerp(*q, 0.5);
            let inwards = (*q - *p).left() / (*q - *p).length();
            assert!(!no.forbids(*p) && !no.forbids(middle) && no.forbids(middle + inwards * 0.01), "{p:?}");
        }
    }
}

//! Boards in space drawn in parallel projection, hidden lines and faces left out exactly.
//!
//! Every face is flat, so of two faces that cover each other on the paper one lies nearer wherever
//! they do (solids do not run through each other). A face shows what is left of it when the nearer
//! ones are taken away; an edge shows where no face lies nearer.

use crate::geom::{Bounds, Contour, Point, pt, rings_without, shared_point};
use crate::write::style::Rgb;

/// Nearer by less than this is as near, mm.
const SAME_DEPTH: f64 = 1e-4;
/// How far a chord strays from a board's rounded edge, mm.
const CHORD: f64 = 0.2;

/// A point in space, mm: x to the right, y to the head, z up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Space {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) z: f64,
}

pub(super) const fn at(x: f64, y: f64, z: f64) -> Space {
    Space { x, y, z }
}

/// Where the viewer is: far away at `azimuth`, counter-clockwise from +x, and `height` above the
/// table, radians.
#[derive(Clone, Copy)]
pub(super) struct View {
    azimuth: f64,
    height: f64,
}

/// From the tail, a little to the right, from above.
pub(super) const FROM_TAIL_RIGHT: View = View { azimuth: -1.10, height: 0.62 };

impl View {
    /// Where a point is on the paper, in mm at full size.
    pub(super) fn paper(self, p: Space) -> Point {
        let (sa, ca) = self.azimuth.sin_cos();
        let (sh, ch) = self.height.sin_cos();
        pt(-sa * p.x + ca * p.y, -sh * ca * p.x - sh * sa * p.y + ch * p.z)
    }

    /// How near a point is; more is nearer.
    pub(super) fn depth(self, p: Space) -> f64 {
        let (sa, ca) = self.azimuth.sin_cos();
        let (sh, ch) = self.height.sin_cos();
        ch * ca * p.x + ch * sa * p.y + sh * p.z
    }
}

/// A board in space: an upright prism, moved.
pub(super) struct Board {
    faces: Vec<Vec<Space>>,
    /// Edges that are sharp, and those that are only where the surface turns away from the viewer,
    /// each with its two faces.
    edges: Vec<(Space, Space, [usize; 2], bool)>,
    pub(super) tone: Rgb,
}

impl Board {
    /// The prism over `footprint` from `bottom` to `top`, its points moved by `put`, which must keep
    /// distances and handedness.
    pub(super) fn new(footprint: &Contour, bottom: f64, top: f64, tone: Rgb, put: &dyn Fn(Space) -> Space) -> Self {
        Self::pierced(footprint, &[], [bottom, top], tone, put)
    }

    /// The same with holes in it.
    pub(super) fn pierced(
        footprint: &Contour,
        holes: &[Contour],
        [bottom, top]: [f64; 2],
        tone: Rgb,
        put: &dyn Fn(Space) -> Space,
    ) -> Self {
        let outer = Ring::of(footprint.clone().ccw());
        let level = |ring: &[Point], z: f64| -> Vec<Space> { ring.iter().map(|p| put(at(p.x, p.y, z))).collect() };
        let holes: Vec<Ring> = holes.iter().map(|h| Ring::of(h.clone().cw())).collect();
        let face = holes.iter().fold(outer.points.clone(), |face, hole| joined(&face, &hole.points));
        let (low, high) = (level(&face, bottom), level(&face, top));
        let mut faces = vec![high, low.into_iter().rev().collect()];
        let mut edges = Vec::new();
        for Ring { points, is_sharp } in std::iter::once(&outer).chain(&holes) {
            let (low, high, n, first) = (level(points, bottom), level(points, top), points.len(), faces.len());
            for i in 0..n {
                let j = (i + 1) % n;
                faces.push(vec![low[i], low[j], high[j], high[i]]);
                edges.push((high[i], high[j], [0, first + i], true));
                edges.push((low[i], low[j], [1, first + i], true));
                edges.push((low[i], high[i], [first + (i + n - 1) % n, first + i], is_sharp[i]));
            }
        }
        Self { faces, edges, tone }
    }
}

/// An outline as points, each with whether the outline turns there.
struct Ring {
    points: Vec<Point>,
    is_sharp: Vec<bool>,
}

impl Ring {
    fn of(outline: Contour) -> Self {
        let mut ring = Self { points: Vec::new(), is_sharp: Vec::new() };
        let segments: Vec<_> = outline.segments().collect();
        for (i, s) in segments.iter().enumerate() {
            let before = &segments[(i + segments.len() - 1) % segments.len()];
            let turn = Point::unit(before.end_heading()).cross(Point::unit(s.start_heading()));
            let mut points = s.flatten(CHORD);
            points.pop();
            ring.points.push(s.start);
            ring.is_sharp.push(turn.abs() > 0.05);
            ring.is_sharp.extend(points.iter().map(|_| false));
            ring.points.extend(points);
        }
        ring
    }
}

/// A face and a hole in it as one ring, joined by a line there and back where they are nearest.
fn joined(face: &[Point], hole: &[Point]) -> Vec<Point> {
    let pairs = (0..face.len()).flat_map(|i| (0..hole.len()).map(move |k| (i, k)));
    let far = |(i, k): &(usize, usize)| face[*i].distance(hole[*k]);
    let Some((i, k)) = pairs.min_by(|a, b| far(a).total_cmp(&far(b))) else { return face.to_vec() };
    let round = (0..=hole.len()).map(|n| hole[(k + n) % hole.len()]);
    face[..=i].iter().copied().chain(round).chain(face[i..].iter().copied()).collect()
}

/// What is seen, on the paper at full size.
pub(super) struct Picture {
    /// Faces: the rings that bound what shows of each, and their colour.
    pub(super) faces: Vec<(Vec<Vec<Point>>, Rgb)>,
    /// Edges.
    pub(super) lines: Vec<(Point, Point)>,
}

impl Picture {
    pub(super) fn bounds(&self) -> Bounds {
        Bounds::of(self.lines.iter().flat_map(|l| [l.0, l.1]))
    }
}

struct Face {
    ring: Vec<Point>,
    bounds: Bounds,
    /// The depth at paper point p is `at + slope . p`.
    at: f64,
    slope: Point,
    color: Rgb,
}

impl Face {
    fn depth(&self, p: Point) -> f64 {
        self.at + self.slope.dot(p)
    }

    /// Whether p lies inside, and not on the rim.
    fn holds(&self, p: Point) -> bool {
        let n = self.ring.len();
        let mut inside = false;
        for i in 0..n {
            let (a, b) = (self.ring[i], self.ring[(i + 1) % n]);
            let along = (p - a).dot(b - a) / (b - a).dot(b - a).max(1e-18);
            if p.distance(a.lerp(b, along.clamp(0.0, 1.0))) < 1e-5 {
                return false;
            }
            if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
                inside = !inside;
            }
        }
        inside
    }
}

/// The boards as the viewer sees them.
pub(super) fn picture(boards: &[Board], view: View) -> Picture {
    let mut seen: Vec<Face> = Vec::new();
    let mut edges: Vec<(Space, Space)> = Vec::new();
    for board in boards {
        let facing: Vec<Option<Face>> = board.faces.iter().map(|f| facing(f, board.tone, view)).collect();
        for (a, b, sides, is_sharp) in &board.edges {
            let fronts = sides.iter().filter(|s| facing[**s].is_some()).count();
            if fronts == 1 || (fronts == 2 && *is_sharp) {
                edges.push((*a, *b));
            }
        }
        seen.extend(facing.into_iter().flatten());
    }
    let lines = edges.iter().flat_map(|(a, b)| shown(*a, *b, &seen, view)).collect();
    let faces = (0..seen.len()).map(|i| (left_of(i, &seen), seen[i].color)).filter(|(r, _)| !r.is_empty()).collect();
    Picture { faces, lines }
}

/// A face that looks towards the viewer.
fn facing(face: &[Space], tone: Rgb, view: View) -> Option<Face> {
    let ring: Vec<Point> = face.iter().map(|p| view.paper(*p)).collect();
    let area: f64 = (0..ring.len()).map(|i| ring[i].cross(ring[(i + 1) % ring.len()])).sum::<f64>() / 2.0;
    if area < 1e-6 {
        return None;
    }
    // The plane through the corner and the two farthest apart in turn.
    let o = ring[0];
    let (d0, depth) = (view.depth(face[0]), |i: usize| view.depth(face[i]));
    let (mut best, mut slope) = (0.0, pt(0.0, 0.0));
    for i in 1..ring.len() {
        for j in [i + 1, ring.len() / 2] {
            let Some(q) = ring.get(j) else { continue };
            let (p, q) = (ring[i] - o, *q - o);
            let cross: f64 = p.cross(q);
            if cross.abs() > best {
                best = cross.abs();
                let (dp, dq) = (depth(i) - d0, depth(j) - d0);
                slope = pt((dp * q.y - dq * p.y) / cross, (p.x * dq - q.x * dp) / cross);
            }
        }
    }
    // Lightest where the face looks up, and darker to the right than towards the viewer.
    let normal = normal(face);
    let light = (0.80 + 0.20 * normal.z - 0.12 * normal.x.abs()).clamp(0.55, 1.0);
    let color = tone.map(|c| (f64::from(c) * light).round() as u8);
    Some(Face { bounds: Bounds::of(ring.iter().copied()), at: d0 - slope.dot(o), slope, color, ring })
}

/// The direction in which a flat face looks, of length 1.
fn normal(face: &[Space]) -> Space {
    let (mut x, mut y, mut z) = (0.0, 0.0, 0.0);
    for (i, a) in face.iter().enumerate() {
        let b = face[(i + 1) % face.len()];
        x += (a.y - b.y) * (a.z + b.z);
        y += (a.z - b.z) * (a.x + b.x);
        z += (a.x - b.x) * (a.y + b.y);
    }
    let length = (x * x + y * y + z * z).sqrt().max(1e-12);
    at(x / length, y / length, z / length)
}

/// What shows of a face when all that lies nearer is taken away.
fn left_of(i: usize, all: &[Face]) -> Vec<Vec<Point>> {
    let face = &all[i];
    let nearer: Vec<&[Point]> = all
        .iter()
        .enumerate()
        .filter(|(j, other)| *j != i && other.bounds.overlaps(face.bounds, 1e-6))
        .filter(|(_, other)| {
            shared_point(&face.ring, &other.ring).is_some_and(|p| other.depth(p) > face.depth(p) + SAME_DEPTH)
        })
        .map(|(_, other)| other.ring.as_slice())
        .collect();
    rings_without(&face.ring, &nearer)
}

/// The stretches of an edge that no face hides.
fn shown(a: Space, b: Space, faces: &[Face], view: View) -> Vec<(Point, Point)> {
    let (pa, pb) = (view.paper(a), view.paper(b));
    let (da, db) = (view.depth(a), view.depth(b));
    let length = pa.distance(pb);
    if length < 1e-6 {
        return Vec::new();
    }
    let bounds = Bounds::of([pa, pb]).grown(1e-6);
    let near: Vec<&Face> = faces.iter().filter(|f| f.bounds.overlaps(bounds, 0.0)).collect();
    let mut cuts = vec![0.0, 1.0];
    for face in &near {
        let n = face.ring.len();
        for i in 0..n {
            cuts.extend(crossing(pa, pb, face.ring[i], face.ring[(i + 1) % n]));
        }
        // Where the edge runs through the face's plane.
        let (fa, fb) = (da - face.depth(pa), db - face.depth(pb));
        if (fa < 0.0) != (fb < 0.0) {
            cuts.push(fa / (fa - fb));
        }
    }
    cuts.sort_by(f64::total_cmp);
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2).filter(|w| (w[1] - w[0]) * length > 1e-6) {
        let t = (pair[0] + pair[1]) / 2.0;
        let (p, d) = (pa.lerp(pb, t), da + (db - da) * t);
        if near.iter().any(|f| f.depth(p) > d + SAME_DEPTH && f.holds(p)) {
            continue;
        }
        match runs.last_mut() {
            Some(run) if (pair[0] - run.1) * length < 1e-6 => run.1 = pair[1],
            _ => runs.push((pair[0], pair[1])),
        }
    }
    runs.into_iter().map(|(from, to)| (pa.lerp(pb, from), pa.lerp(pb, to))).collect()
}

/// The share of a-b at which it crosses c-d.
fn crossing(a: Point, b: Point, c: Point, d: Point) -> Option<f64> {
    let (ab, cd) = (b - a, d - c);
    let cross = ab.cross(cd);
    if cross.abs() < 1e-12 {
        return None;
    }
    let (t, u) = ((c - a).cross(cd) / cross, (c - a).cross(ab) / cross);
    (t > 0.0 && t < 1.0 && (-1e-9..=1.0 + 1e-9).contains(&u)).then_some(t)
}

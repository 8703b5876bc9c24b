//! Areas compared: what two contours share, what of one the others leave bare. Arcs are flattened
//! here, so these answers are for judging, not for cutting.

use super::{Bounds, Contour, Point, pt};
use geo::{
    Area, BooleanOps, Buffer, Coord, InteriorPoint, LineString, MinimumRotatedRect, MultiPolygon, Polygon,
    TriangulateEarcut, unary_union,
};

/// Chords here stray from their arcs by at most this, mm: well below what a knife keeps.
const CHORD: f64 = 0.002;

/// The same where only parts that are wide count, mm: a tenth of what is narrow there.
const WIDE_CHORD: f64 = 0.1;

/// A disc made of chords has at least this share of its area.
const ROUND: f64 = 0.95;

/// What two contours share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overlap {
    /// mm2.
    pub area: f64,
    /// The narrower side of the tightest rectangle around the widest shared part, mm: how far one
    /// would have to move to clear the other.
    pub width: f64,
}

/// What two contours share; `None` when they do not overlap, touching aside.
pub fn overlap(a: &Contour, b: &Contour) -> Option<Overlap> {
    if !a.bounds().overlaps(b.bounds(), 1e-6) {
        return None;
    }
    let shared = polygon(a, CHORD).intersection(&polygon(b, CHORD));
    let width = shared.iter().filter_map(narrow_side).fold(0.0, f64::max);
    let area = shared.unsigned_area();
    (area > 1e-4 && width > 1e-4).then_some(Overlap { area, width })
}

/// The area of `whole` that none of `by` covers, mm2.
pub fn uncovered(whole: &Contour, by: &[Contour]) -> f64 {
    left_of(whole, by, CHORD).iter().map(Area::unsigned_area).sum()
}

/// The same, but of a part of up to `small` mm2 only what is as wide as `narrow` mm: the part shrunk by half of that and
/// grown again.
pub fn uncovered_widely(whole: &Contour, by: &[Contour], narrow: f64, small: f64) -> f64 {
    // What is so wide anywhere holds a disc: a part of less area is as good as nothing, and what is left of it when it is
    // shrunk may be a point, of which a disc would be made.
    let disc = std::f64::consts::PI * (narrow / 2.0).powi(2);
    let wide = |part: &Polygon| match part.unsigned_area() {
        area if area > small => area,
        area if area < ROUND * disc => 0.0,
        _ => part.buffer(-narrow / 2.0).buffer(narrow / 2.0).unsigned_area(),
    };
    // What is cut apart by the cells is one again, to be asked how wide it is.
    match &left_of(whole, by, WIDE_CHORD)[..] {
        [] => 0.0,
        [one] => wide(one),
        many => unary_union(many).iter().map(wide).sum(),
    }
}

/// What is left of a contour, in parts that may share edges.
fn left_of(whole: &Contour, by: &[Contour], chord: f64) -> Vec<Polygon> {
    let mut covers: Vec<Vec<Point>> = by.iter().map(|c| c.flatten(chord)).collect();
    // The largest first: beneath them little is left to be asked about.
    covers.sort_by(|a, b| signed_area(b).abs().total_cmp(&signed_area(a).abs()));
    let whole = whole.flatten(chord);
    let cell = Bounds::of(whole.iter().copied());
    let corners = cell.corners();
    if let Some(frame) = Convex::of(&corners) {
        covers.iter_mut().for_each(|c| *c = frame.shared(c));
    }
    let mut left = Vec::new();
    left_in(cell, whole, covers, &mut left);
    left
}

/// What is left of a ring within a cell, all rings cut off at the cell's sides. What two areas share takes time with the
/// square of their lines, and a cover has few of its lines in any one place: cells are halved until few lines are in each.
fn left_in(cell: Bounds, whole: Vec<Point>, mut covers: Vec<Vec<Point>>, left: &mut Vec<Polygon>) {
    let area = cell.width() * cell.height();
    covers.retain(|c| c.len() > 2 && Bounds::of(c.iter().copied()).overlaps(cell, 0.0));
    if whole.len() < 3 || covers.iter().any(|c| signed_area(c).abs() > area - TOUCH) {
        return;
    }
    let lines = whole.len() + covers.iter().map(Vec::len).sum::<usize>();
    if lines > FEW && cell.width().max(cell.height()) > 1.0 {
        let middle = cell.center();
        let (mut low, mut high) = (cell, cell);
        let kept = if cell.width() > cell.height() {
            (low.max.x, high.min.x) = (middle.x, middle.x);
            pt(1.0, 0.0)
        } else {
            (low.max.y, high.min.y) = (middle.y, middle.y);
            pt(0.0, 1.0)
        };
        let halves = |kept| (half_of(&whole, middle, kept), covers.iter().map(|c| half_of(c, middle, kept)).collect());
        let [(low_whole, low_covers), (high_whole, high_covers)] = [halves(kept * -1.0), halves(kept)];
        left_in(low, low_whole, low_covers, left);
        left_in(high, high_whole, high_covers, left);
        return;
    }
    let mut parts = vec![ring(&whole)];
    for c in &covers {
        let (bounds, cover, convex) = (Bounds::of(c.iter().copied()), ring(c), Convex::of(c));
        let without = |p: Polygon| match &convex {
            _ if !bounds_of(&p).overlaps(bounds, 0.0) => vec![p],
            Some(cover) if p.interiors().is_empty() => {
                let open: Vec<Point> = p.exterior().coords().skip(1).map(|c| pt(c.x, c.y)).collect();
                cover.leaves(open).iter().map(|r| ring(r)).collect()
            }
            _ => p.difference(&cover).0,
        };
        parts = parts.into_iter().flat_map(without).collect();
    }
    left.extend(parts);
}

/// How many lines may be in a cell: fewer gain nothing, for every cell is another overlay.
const FEW: usize = 200;

/// A convex ring: what it shares with another is cut out edge by edge, which takes a tenth of the time of an overlay. Parts
/// that are apart may come in one ring, joined along an edge's line.
struct Convex<'a> {
    ring: &'a [Point],
    /// 1 where it runs counter-clockwise, -1 where clockwise.
    sign: f64,
}

/// Less than this is rounding where an edge's line touches a ring, mm2.
const TOUCH: f64 = 1e-9;

impl<'a> Convex<'a> {
    /// `None` where it is not convex.
    fn of(ring: &'a [Point]) -> Option<Self> {
        let n = ring.len();
        let edge = |i: usize| ring[(i + 1) % n] - ring[i % n];
        let turns = || (0..n).map(|i| edge(i).cross(edge(i + 1)));
        // Once round: of parts that are joined along a line each turns the same way, and all together oftener.
        let changes = |of: fn(Point) -> f64| {
            let signs: Vec<bool> = (0..n).map(edge).map(of).filter(|v| *v != 0.0).map(|v| v > 0.0).collect();
            (0..signs.len()).filter(|i| signs[*i] != signs[(i + 1) % signs.len()]).count()
        };
        let sign = signed_area(ring).signum();
        let is_convex =
            n > 2 && turns().all(|turn| turn * sign > -TOUCH) && changes(|e| e.x) <= 2 && changes(|e| e.y) <= 2;
        is_convex.then_some(Self { ring, sign })
    }

    /// Each edge: a point of it, and the direction in which the ring lies.
    fn edges(&self) -> impl Iterator<Item = (Point, Point)> {
        let n = self.ring.len();
        (0..n).map(move |i| (self.ring[i], (self.ring[(i + 1) % n] - self.ring[i]).left() * self.sign))
    }

    fn shared(&self, with: &[Point]) -> Vec<Point> {
        let mut left = with.to_vec();
        for (on, inwards) in self.edges() {
            left = half_of(&left, on, inwards);
        }
        left
    }

    /// What it leaves of a ring, in rings that share edges.
    fn leaves(&self, of: Vec<Point>) -> Vec<Vec<Point>> {
        let (mut within, mut left) = (of, Vec::new());
        for (on, inwards) in self.edges() {
            let outside = half_of(&within, on, inwards * -1.0);
            if signed_area(&outside).abs() > TOUCH {
                left.push(outside);
            }
            within = half_of(&within, on, inwards);
        }
        left
    }
}

/// The area of a ring, mm2, positive where it runs counter-clockwise; of one with fewer than three points it is zero.
pub fn signed_area(ring: &[Point]) -> f64 {
    let n = ring.len();
    // From its first point, so that places far from the origin lose nothing.
    (1..n.saturating_sub(1)).map(|i| (ring[i] - ring[0]).cross(ring[i + 1] - ring[0])).sum::<f64>() / 2.0
}

fn bounds_of(p: &Polygon) -> Bounds {
    Bounds::of(p.exterior().coords().map(|c| pt(c.x, c.y)))
}

/// A point well inside what two polygons share; `None` where that is less than a hundredth of a
/// square millimetre.
pub fn shared_point(a: &[Point], b: &[Point]) -> Option<Point> {
    let shared = ring(a).intersection(&ring(b));
    let widest = shared.iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))?;
    let inside = widest.interior_point().filter(|_| widest.unsigned_area() > 0.01)?;
    Some(pt(inside.x(), inside.y()))
}

/// The rings, holes among them, that bound what is left of a polygon when others are taken from it.
pub fn rings_without(whole: &[Point], others: &[&[Point]]) -> Vec<Vec<Point>> {
    rings(&others.iter().fold(MultiPolygon::new(vec![ring(whole)]), |left, o| left.difference(&ring(o))))
}

/// What is left of a polygon when others, which may share area and all run counter-clockwise, are taken from it:
/// each part by its rings, the outer one first.
pub fn parts_without(whole: &[Point], others: &[Vec<Point>]) -> Vec<Vec<Vec<Point>>> {
    let others: Vec<Polygon> = others.iter().map(|o| ring(o)).collect();
    let left = MultiPolygon::new(vec![ring(whole)]).difference(&unary_union(&others));
    left.into_iter().map(|part| rings(&MultiPolygon::new(vec![part]))).collect()
}

/// The area of what some polygons cover together, mm2; each counter-clockwise.
pub fn covered(all: &[Vec<Point>]) -> f64 {
    let all: Vec<Polygon> = all.iter().map(|o| ring(o)).collect();
    unary_union(&all).unsigned_area()
}

/// What of a polygon lies on the side `kept` of the line through `on`. A polygon that the line cuts more than once
/// comes in one ring, its parts joined along the line.
pub fn half_of(shape: &[Point], on: Point, kept: Point) -> Vec<Point> {
    let height = |p: Point| (p - on).dot(kept);
    let mut left = Vec::with_capacity(shape.len() + 1);
    for (i, &p) in shape.iter().enumerate() {
        let q = shape[(i + 1) % shape.len()];
        let (a, b) = (height(p), height(q));
        if a >= 0.0 {
            left.push(p);
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            left.push(p.lerp(q, a / (a - b)));
        }
    }
    left
}

/// From where to where the straight way between two points runs within a ring, mm from the first, in order.
pub fn stretches(ring: &[Point], from: Point, to: Point) -> Vec<(f64, f64)> {
    let Some(along) = (to - from).normalized() else { return Vec::new() };
    let length = from.distance(to);
    let aside = |p: Point| (p - from).cross(along);
    let mut at: Vec<f64> = Vec::new();
    for (i, &p) in ring.iter().enumerate() {
        let q = ring[(i + 1) % ring.len()];
        let (a, b) = (aside(p), aside(q));
        if (a >= 0.0) != (b >= 0.0) {
            at.push((p.lerp(q, a / (a - b)) - from).dot(along));
        }
    }
    at.sort_by(f64::total_cmp);
    let within = |v: f64| v.clamp(0.0, length);
    at.chunks_exact(2).map(|c| (within(c[0]), within(c[1]))).filter(|(a, b)| b > a).collect()
}

/// The rings that bound what two polygons share.
pub fn rings_shared(a: &[Point], b: &[Point]) -> Vec<Vec<Point>> {
    rings(&ring(a).intersection(&ring(b)))
}

/// What two polygons share, to be measured: as [`rings_shared`], but quicker where one of them is convex; parts that are
/// apart may then come in one ring, joined along a line.
pub fn areas_shared(a: &[Point], b: &[Point]) -> Vec<Vec<Point>> {
    let shared = match (Convex::of(b), Convex::of(a)) {
        (Some(by), _) => by.shared(a),
        (None, Some(by)) => by.shared(b),
        (None, None) => return rings_shared(a, b),
    };
    if signed_area(&shared).abs() > TOUCH { vec![shared] } else { Vec::new() }
}

/// A polygon with holes as triangles, counter-clockwise: its points, the outer ring's first, and the numbers
/// of three of them for each. Rings are not closed: the last point is not the first again.
pub fn triangles(outer: &[Point], holes: &[Vec<Point>]) -> (Vec<Point>, Vec<[usize; 3]>) {
    let open = |points: &[Point]| LineString::new(points.iter().map(|p| Coord { x: p.x, y: p.y }).collect());
    let cut = Polygon::new(open(outer), holes.iter().map(|h| open(h)).collect()).earcut_triangles_raw();
    // The library closes every ring by its first point again: those stand for the same places.
    let points: Vec<Point> = cut.vertices.iter().map(|xy| pt(xy[0], xy[1])).collect();
    let faces = cut
        .triangle_indices
        .chunks_exact(3)
        .map(|i| [i[0], i[1], i[2]])
        .map(|[a, b, c]| {
            let is_ccw = (points[b] - points[a]).cross(points[c] - points[a]) > 0.0;
            if is_ccw { [a, b, c] } else { [a, c, b] }
        })
        .collect();
    (points, faces)
}

fn rings(all: &MultiPolygon) -> Vec<Vec<Point>> {
    let points = |line: &LineString| {
        let mut all: Vec<Point> = line.coords().map(|c| pt(c.x, c.y)).collect();
        all.pop();
        all
    };
    all.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())).map(points).collect()
}

fn ring(points: &[Point]) -> Polygon {
    Polygon::new(points.iter().map(|p| Coord { x: p.x, y: p.y }).collect(), Vec::new())
}

fn polygon(c: &Contour, chord: f64) -> Polygon {
    let ring: Vec<Coord> = c.flatten(chord).into_iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    Polygon::new(LineString::new(ring), Vec::new())
}

fn narrow_side(p: &Polygon) -> Option<f64> {
    let corners: Vec<Coord> = p.minimum_rotated_rect()?.exterior().0.clone();
    let side = |i: usize| -> Option<f64> {
        let (a, b) = (corners.get(i)?, corners.get(i + 1)?);
        Some((b.x - a.x).hypot(b.y - a.y))
    };
    Some(side(0)?.min(side(1)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn overlaps_are_measured_and_touching_is_none() {
        let a = Contour::rectangle(pt(0.0, 0.0), pt(10.0, 10.0));
        let b = Contour::rectangle(pt(8.0, -5.0), pt(20.0, 20.0));
        let o = overlap(&a, &b).expect("they overlap");
        assert!((o.area - 20.0).abs() < 1e-9 && (o.width - 2.0).abs() < 1e-9);
        assert_eq!(overlap(&a, &Contour::rectangle(pt(10.0, 0.0), pt(20.0, 10.0))), None);
        assert!((uncovered(&a, &[b]) - 80.0).abs() < 1e-9);
        assert!((uncovered(&a, &[]) - 100.0).abs() < 1e-9);
        // A cover larger than the whole beside which it lies covers nothing of it.
        assert!((uncovered(&a, &[Contour::rectangle(pt(10.0, -50.0), pt(200.0, 50.0))]) - 100.0).abs() < 1e-9);
        // A slit of 0.8 mm is nothing where it is short, and a gap of 2 mm loses its corners' tips at the most.
        let left = Contour::rectangle(pt(-1.0, -1.0), pt(4.0, 11.0));
        let gap = |wide: f64, small| {
            let right = Contour::rectangle(pt(4.0 + wide, -1.0), pt(11.0, 11.0));
            uncovered_widely(&a, &[left.clone(), right], 1.0, small)
        };
        assert!(gap(0.8, 15.0) < 1e-9 && (gap(0.8, 5.0) - 8.0).abs() < 1e-6);
        assert!((gap(2.0, 25.0) - 20.0).abs() < 0.25, "{}", gap(2.0, 25.0));
    }

    #[test]
    fn what_is_shared_is_the_same_edge_by_edge_as_by_an_overlay() {
        // An L, and triangles and squares laid over it anywhere, either way round.
        let shape: Vec<Point> =
            [(0, 0), (30, 0), (30, 8), (9, 8), (9, 25), (0, 25)].map(|(x, y)| pt(f64::from(x), f64::from(y))).to_vec();
        let mut crossed = 0;
        for k in 0..200 {
            let (x, y, turn) = (f64::from(k * 7 % 40) - 5.0, f64::from(k * 11 % 37) - 6.0, f64::from(k) * 0.37);
            let corner = |i: u32, n: u32| {
                let (sin, cos) = (turn + std::f64::consts::TAU * f64::from(i) / f64::from(n)).sin_cos();
                pt(x + 6.0 * cos, y + 9.0 * sin)
            };
            let mut by: Vec<Point> = (0..3 + k as u32 % 3).map(|i| corner(i, 3 + k as u32 % 3)).collect();
            if k % 2 == 1 {
                by.reverse();
            }
            let area = |rings: &[Vec<Point>]| rings.iter().map(|r| signed_area(r).abs()).sum::<f64>();
            let shared = area(&rings_shared(&shape, &by));
            crossed += usize::from(shared > 1.0);
            assert!((area(&areas_shared(&shape, &by)) - shared).abs() < 1e-4, "{k}: {shared}");
            assert!((area(&areas_shared(&by, &shape)) - shared).abs() < 1e-4, "{k}: {shared}");
        }
        assert!(crossed > 60 && Convex::of(&shape).is_none(), "{crossed}");
    }

    #[test]
    fn a_line_runs_within_a_ring_from_crossing_to_crossing() {
        // A block of 10 x 10 with a notch of 4 x 5 in its upper side.
        let ring: Vec<Point> = [(0, 0), (10, 0), (10, 10), (7, 10), (7, 5), (3, 5), (3, 10), (0, 10)]
            .map(|(x, y)| pt(f64::from(x), f64::from(y)))
            .to_vec();
        assert_eq!(stretches(&ring, pt(-5.0, 7.0), pt(20.0, 7.0)), [(5.0, 8.0), (12.0, 15.0)]);
        assert_eq!(stretches(&ring, pt(1.0, 7.0), pt(8.0, 7.0)), [(0.0, 2.0), (6.0, 7.0)]);
        assert_eq!(stretches(&ring, pt(-5.0, 11.0), pt(20.0, 11.0)), []);
        // Its upper half in one ring of two arms; what two parts leave of it.
        let upper = half_of(&ring, pt(0.0, 6.0), pt(0.0, 1.0));
        assert_eq!(stretches(&upper, pt(-5.0, 7.0), pt(20.0, 7.0)), [(5.0, 8.0), (12.0, 15.0)]);
        let saw = Contour::rectangle(pt(-1.0, 2.0), pt(11.0, 3.0)).flatten(1.0);
        let nick = Contour::rectangle(pt(-1.0, 2.5), pt(11.0, 4.0)).flatten(1.0);
        let mut areas: Vec<f64> = parts_without(&ring, &[saw, nick])
            .iter()
            .map(|part| Contour::polygon(part[0].iter().copied()).area())
            .collect();
        areas.sort_by(f64::total_cmp);
        assert!((areas[0] - 20.0).abs() < 1e-3 && (areas[1] - 40.0).abs() < 1e-3, "{areas:?}");
    }
}

//! Areas compared: what two contours share, what of one the others leave bare. Arcs are flattened
//! here, so these answers are for judging, not for cutting.

use super::{Contour, Point, pt};
use geo::{
    Area, BooleanOps, Coord, InteriorPoint, LineString, MinimumRotatedRect, MultiPolygon, Polygon, TriangulateEarcut,
};

/// Chords here stray from their arcs by at most this, mm: well below what a knife keeps.
const CHORD: f64 = 0.002;

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
    let shared = polygon(a).intersection(&polygon(b));
    let width = shared.iter().filter_map(narrow_side).fold(0.0, f64::max);
    let area = shared.unsigned_area();
    (area > 1e-4 && width > 1e-4).then_some(Overlap { area, width })
}

/// The area of `whole` that none of `by` covers, mm2.
pub fn uncovered(whole: &Contour, by: &[Contour]) -> f64 {
    let bare = by.iter().fold(MultiPolygon::new(vec![polygon(whole)]), |bare, c| bare.difference(&polygon(c)));
    bare.unsigned_area()
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

/// The rings that bound what two polygons share.
pub fn rings_shared(a: &[Point], b: &[Point]) -> Vec<Vec<Point>> {
    rings(&ring(a).intersection(&ring(b)))
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

fn polygon(c: &Contour) -> Polygon {
    let ring: Vec<Coord> = c.flatten(CHORD).into_iter().map(|p| Coord { x: p.x, y: p.y }).collect();
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
    }
}

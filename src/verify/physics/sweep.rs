//! What a beam or a bit leaves of a piece: everything near its edge less the discs swept along the
//! way. A second opinion on the kerf, by area, from libraries that had no part in making it.

use crate::geom::{Contour, Point, Segment};
use geo::{Area, BooleanOps, Buffer, LineString, MapCoordsInPlace, MultiPolygon, Polygon};
use geo_offset::Offset;

/// How far chords stray from arcs, mm.
const CHORD: f64 = 1e-3;
/// Segments of a disc. The sides of a swath run between corners of its round ends, which may stand
/// by one of these off square: 128 keep a millimetre within 0.0012 mm.
const ROUND: u32 = 128;
/// The offset library keeps three decimals: it is given micrometres, of the way's own start.
const FINE: f64 = 1000.0;
/// Beyond so many stretches round one piece the offset library takes seconds, and the geometry
/// library's own buffer, which is less apart from the makers, stands in.
const MOST: usize = 1500;

/// Who swept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Swept {
    /// The offset library.
    Offsets,
    /// The geometry library's buffer, because there is too much.
    Buffers,
}

/// A piece by area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaLeft {
    /// Of the nominal piece, less what the tool's width takes along its slits, mm2.
    pub nominal: f64,
    /// Of what is left, mm2.
    pub left: f64,
    /// How far its edge lies out of the nominal one by that, all round, mm.
    pub out: f64,
    /// Who swept.
    pub by: Swept,
}

/// A piece as it is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Counter-clockwise.
    pub outline: &'a Contour,
    /// Its openings.
    pub holes: &'a [Contour],
    /// Its slits and notches: lines, of which the tool takes its width.
    pub slits: &'a [Segment],
}

/// What is left of a piece within the line that the middle of the tool should take, after discs of
/// `radius` were swept along the ways, and `bridges` mm2 of what holds it, cut by hand later, were
/// taken off. `None` where a library fails or a contour is none.
pub fn left(asked: &Asked<'_>, ways: &[Segment], radius: f64, bridges: f64) -> Option<AreaLeft> {
    if radius <= 0.0 || ways.is_empty() {
        return None;
    }
    let body = Polygon::new(ring(asked.outline), asked.holes.iter().map(ring).collect());
    let by = if ways.len() <= MOST { Swept::Offsets } else { Swept::Buffers };
    let slits = swaths(asked.slits, radius, by)?;
    // Slivers that slits part off are none of it, in what is asked as in what is left.
    let nominal = of_size(&body.difference(&slits), body.unsigned_area());
    let around: f64 = asked.outline.length() + asked.holes.iter().map(Contour::length).sum::<f64>();
    // Up to the middle of the cut: what is beyond is waste or a neighbour.
    let kept = body.buffer(radius).difference(&swaths(ways, radius, by)?);
    let left = of_size(&kept, nominal) - bridges;
    (nominal > 0.0 && around > 0.0).then_some(AreaLeft { nominal, left, out: (left - nominal) / around, by })
}

/// The area of parts; slivers that round ends leave are none of a piece of `whole` mm2.
fn of_size(parts: &MultiPolygon, whole: f64) -> f64 {
    parts.0.iter().map(|p| p.unsigned_area()).filter(|a| *a > whole * 0.01).sum()
}

/// What a disc takes along these ways.
fn swaths(ways: &[Segment], radius: f64, by: Swept) -> Option<MultiPolygon> {
    let mut swaths: Vec<MultiPolygon> = Vec::with_capacity(ways.len());
    for way in ways {
        if way.length() < 1e-6 {
            continue;
        }
        let points = || std::iter::once(way.start).chain(way.flatten(CHORD));
        swaths.push(match by {
            Swept::Offsets => {
                let fine = |p: Point| ((p.x - way.start.x) * FINE, (p.y - way.start.y) * FINE);
                let line = LineString::from(points().map(fine).collect::<Vec<_>>());
                let mut swath = line.offset_with_arc_segments(radius * FINE, ROUND).ok()?;
                swath.map_coords_in_place(|c| (c.x / FINE + way.start.x, c.y / FINE + way.start.y).into());
                swath
            }
            Swept::Buffers => LineString::from(points().map(|p| (p.x, p.y)).collect::<Vec<_>>()).buffer(radius),
        });
    }
    Some(geo::unary_union(swaths.iter()))
}

fn ring(contour: &Contour) -> LineString {
    LineString::from(contour.flatten(CHORD).into_iter().map(|p| (p.x, p.y)).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    fn swept(way: &Contour, radius: f64, most: bool) -> AreaLeft {
        let piece = Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0));
        let mut ways: Vec<Segment> = way.segments().collect();
        if most {
            ways = ways
                .iter()
                .flat_map(|s| (0..500).map(|i| s.between(f64::from(i) / 500.0, f64::from(i + 1) / 500.0)))
                .collect();
        }
        left(&Asked { outline: &piece, holes: &[], slits: &[] }, &ways, radius, 0.0).expect("an area")
    }

    #[test]
    fn a_kerf_that_is_kept_leaves_the_piece_and_one_that_is_not_leaves_it_small() {
        let r = 0.5;
        let kept = Contour::rectangle(pt(-r, -r), pt(60.0 + r, 40.0 + r));
        for most in [false, true] {
            let l = swept(&kept, r, most);
            assert!((l.nominal - 2400.0).abs() < 1e-9);
            assert!(l.out.abs() < 2e-3, "{l:?}");
            assert_eq!(l.by, if most { Swept::Buffers } else { Swept::Offsets });
        }
        // Forgotten: half a millimetre is lost all round, but for the corners.
        let l = swept(&Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0)), r, false);
        assert!((l.left - 59.0 * 39.0).abs() < 1.0 && (l.out + 0.5).abs() < 0.01, "{l:?}");
    }

    #[test]
    fn a_slit_takes_its_width_and_the_piece_is_as_large_as_was_asked() {
        let (r, long) = (0.25, 30.0);
        let piece = Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0));
        // From the edge inwards: a swath of its width with one round end in the piece (derived).
        let slit = Segment::line(pt(20.0, 0.0), pt(20.0, long));
        let taken = 2.0 * r * long + std::f64::consts::FRAC_PI_2 * r * r;
        let mut ways: Vec<Segment> = Contour::rectangle(pt(-r, -r), pt(60.0 + r, 40.0 + r)).segments().collect();
        ways.push(slit);
        let l = left(&Asked { outline: &piece, holes: &[], slits: &[slit] }, &ways, r, 0.0).expect("an area");
        assert!((l.nominal - (2400.0 - taken)).abs() < 0.02, "{l:?}");
        assert!(l.out.abs() < 2e-3, "{l:?}");
        // One that was not asked for shows.
        let l = left(&Asked { outline: &piece, holes: &[], slits: &[] }, &ways, r, 0.0).expect("an area");
        assert!((l.left - l.nominal + taken).abs() < 0.1, "{l:?}");
    }
}

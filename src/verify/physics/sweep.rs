//! What a beam or a bit leaves of a piece: everything near its edge less the discs swept along the
//! way. A second opinion on the kerf, by area, from libraries that had no part in making it: one lays
//! the width of the tool round each stretch, the other adds them up and takes them off.

use crate::geom::{Contour, Point, Segment};
use geo::{Area, BooleanOps, Buffer, Line, LineString, MultiPolygon, Polygon};
use geo_offset::Offset;

/// How far chords stray from arcs, and a line from those that it stands for, mm.
const CHORD: f64 = 1e-3;
/// How far the chords of a disc stray inwards, mm: they are asked for at each end of each stretch.
const ROUND: f64 = 2.5e-4;
/// Up to this a way goes on in its direction, radians.
const LITTLE: f64 = 0.3;
/// The most lines that one stands for: each is looked at again with every line more.
const MOST_JOINED: usize = 64;

/// A piece by area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaLeft {
    /// Of the nominal piece, less what the tool's width takes along its slits, mm2.
    pub nominal: f64,
    /// Of what is left, mm2.
    pub left: f64,
    /// How far its edge lies out of the nominal one by that, all round, mm.
    pub out: f64,
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
    // Slivers that slits part off are none of it, in what is asked as in what is left.
    let nominal = match asked.slits {
        [] => body.unsigned_area(),
        slits => of_size(&body.difference(&swaths(slits, radius)?), body.unsigned_area()),
    };
    let around: f64 = asked.outline.length() + asked.holes.iter().map(Contour::length).sum::<f64>();
    // Up to the middle of the cut: what is beyond is waste or a neighbour.
    let kept = body.buffer(radius).difference(&swaths(ways, radius)?);
    let left = of_size(&kept, nominal) - bridges;
    (nominal > 0.0 && around > 0.0).then_some(AreaLeft { nominal, left, out: (left - nominal) / around })
}

/// The area of parts; slivers that round ends leave are none of a piece of `whole` mm2.
fn of_size(parts: &MultiPolygon, whole: f64) -> f64 {
    parts.0.iter().map(|p| p.unsigned_area()).filter(|a| *a > whole * 0.01).sum()
}

/// Lines that go on nearly straight as one: a curve in many short lines, of which each would be swept with
/// both its round ends though its neighbours cover them, is as few as an arc of the same size. No end of a
/// line lies further than `CHORD` from the one that stands for it, and each further along it than the last.
pub fn straightened(ways: &[Segment]) -> Vec<Segment> {
    let mut all: Vec<Segment> = Vec::new();
    // Where the lines end for which the last one stands, its own end left out.
    let mut within: Vec<Point> = Vec::new();
    for way in ways {
        if let Some(last) = all.last_mut()
            && last.is_line()
            && way.is_line()
            && last.end.is_near(way.start)
            && within.len() < MOST_JOINED
        {
            within.push(last.end);
            let longer = Segment::line(last.start, way.end);
            if goes_by(&longer, &within) {
                *last = longer;
                continue;
            }
        }
        within.clear();
        all.push(*way);
    }
    all
}

/// Whether a line passes these points one after the other, none further off than [`CHORD`].
fn goes_by(line: &Segment, points: &[Point]) -> bool {
    let Some(along) = (line.end - line.start).normalized() else { return false };
    let mut at = 0.0;
    let is_passed = |p: &Point| {
        let (off, before) = (*p - line.start, at);
        at = along.dot(off);
        at >= before && along.cross(off).abs() <= CHORD
    };
    points.iter().all(is_passed) && at <= line.length()
}

/// What a disc takes along these ways.
fn swaths(ways: &[Segment], radius: f64) -> Option<MultiPolygon> {
    let mut lines: Vec<Segment> = Vec::with_capacity(ways.len());
    for way in ways.iter().filter(|w| w.length() >= 1e-6) {
        let mut from = way.start;
        for to in way.flatten(CHORD) {
            lines.push(Segment::line(from, to));
            from = to;
        }
    }
    // By how much the way turns before each line; a whole turn where another begins.
    let turn = |i: usize| match (i.checked_sub(1).and_then(|i| lines.get(i)), lines.get(i)) {
        (Some(a), Some(b)) if a.end.is_near(b.start) => {
            let (a, b) = (a.end - a.start, b.end - b.start);
            a.cross(b).atan2(a.dot(b)).abs()
        }
        _ => std::f64::consts::PI,
    };
    // Line by line: of several the library adds each to all before it, which takes the square of their number.
    let swath = |(i, way): (usize, &Segment)| {
        let round = chords_of_a_half(radius, turn(i).max(turn(i + 1)), way.length());
        let line = Line::new((way.start.x, way.start.y), (way.end.x, way.end.y));
        line.offset_with_arc_segments(radius, round).ok()
    };
    let swaths: Option<Vec<MultiPolygon>> = lines.iter().enumerate().map(swath).collect();
    Some(geo::unary_union(&swaths?))
}

/// How many chords the round ends of a swath want, where the way goes on by no more than a turn (radians) from a
/// line so long.
///
/// A chord over an angle of a lies r (1 - cos(a / 2)) inside the disc at most, which is what a free end may lose. Of
/// an end at which the way turns by a little, d, only the wedge outside of the turn shows; there a chord takes
/// r^2 d^2 tan(a / 2) / 2 off it, and an eighth of what chords may take of the line is let go. The library takes one
/// chord less than an even number.
fn chords_of_a_half(radius: f64, turn: f64, length: f64) -> u32 {
    let free = (1.0 - (ROUND / radius).min(1.0)).acos();
    let half = match turn {
        d if d > LITTLE => free,
        d => (length * CHORD / 4.0).atan2((radius * d).powi(2)).max(free),
    };
    (std::f64::consts::FRAC_PI_2 / half).ceil().clamp(5.0, 512.0) as u32 | 1
}

fn ring(contour: &Contour) -> LineString {
    LineString::from(contour.flatten(CHORD).into_iter().map(|p| (p.x, p.y)).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    /// Of a piece of 60 by 40 mm, along a way whose every line is in so many pieces.
    fn swept(way: &Contour, radius: f64, parts: u32) -> AreaLeft {
        let piece = Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0));
        let part = |s: Segment| (0..parts).map(move |i| s.between(share(i, parts), share(i + 1, parts)));
        let ways: Vec<Segment> = way.segments().flat_map(part).collect();
        left(&Asked { outline: &piece, holes: &[], slits: &[] }, &ways, radius, 0.0).expect("an area")
    }

    fn share(i: u32, of: u32) -> f64 {
        f64::from(i) / f64::from(of)
    }

    #[test]
    fn a_kerf_that_is_kept_leaves_the_piece_and_one_that_is_not_leaves_it_small() {
        let r = 0.5;
        let kept = Contour::rectangle(pt(-r, -r), pt(60.0 + r, 40.0 + r));
        for parts in [1, 500] {
            let l = swept(&kept, r, parts);
            assert!((l.nominal - 2400.0).abs() < 1e-9);
            assert!(l.out.abs() < 1e-4, "{l:?}");
            // Forgotten: half a millimetre is lost all round, but for the corners.
            let l = swept(&Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0)), r, parts);
            assert!((l.left - 59.0 * 39.0).abs() < 1.0 && (l.out + 0.5).abs() < 0.01, "{l:?}");
        }
    }

    /// Closed form: a slot whose ends are half discs, whichever way it lies, less what the chords of its ends lose.
    #[test]
    fn a_swath_is_as_wide_as_the_tool() {
        for (radius, degrees) in
            [0.05, 0.09, 0.5, 1.5, 6.0].iter().flat_map(|r| [0.0, 37.0, 90.0, 203.0].map(|d| (*r, d)))
        {
            let far = pt(300.0, 400.0) + Point::unit(f64::to_radians(degrees)) * 20.0;
            let slot = swaths(&[Segment::line(pt(300.0, 400.0), far)], radius).expect("a swath").unsigned_area();
            let true_area = 2.0 * radius * 20.0 + std::f64::consts::PI * radius * radius;
            let lost = std::f64::consts::TAU * radius * ROUND.max(radius * (1.0 - (std::f64::consts::PI / 10.0).cos()));
            assert!(
                slot <= true_area + 1e-4 && slot >= true_area - lost - 1e-4,
                "{radius} {degrees}: {slot} {true_area}"
            );
        }
    }

    /// Closed form: a ring of which the arcs are swept chord by chord, less what the chords of both may lose.
    #[test]
    fn a_swath_along_an_arc_is_as_wide_as_the_tool() {
        for (around, radius) in [(3.0, 0.09), (20.0, 0.09), (400.0, 0.09), (4.5, 1.5), (30.0, 3.0)] {
            let circle = Contour::circle(pt(300.0, 400.0), around);
            let ways: Vec<Segment> = circle.segments().collect();
            let swept = swaths(&ways, radius).expect("a swath").unsigned_area();
            let length = std::f64::consts::TAU * around;
            let (least, most) = (2.0 * radius * length - length * CHORD * 1.5, 2.0 * radius * length + length * CHORD);
            assert!(swept >= least && swept <= most, "{around} {radius}: {swept}, {least} to {most}");
        }
    }

    #[test]
    fn lines_that_go_on_straight_are_one_and_others_stay() {
        let chain = |points: &[(f64, f64)]| -> Vec<Segment> {
            points.windows(2).map(|w| Segment::line(pt(w[0].0, w[0].1), pt(w[1].0, w[1].1))).collect()
        };
        let one = |points: &[(f64, f64)]| straightened(&chain(points)).len();
        assert_eq!(one(&[(0.0, 0.0), (1.0, 0.0005), (2.0, 0.0)]), 1);
        assert_eq!(one(&[(0.0, 0.0), (1.0, 0.0011), (2.0, 0.0)]), 2, "a corner");
        assert_eq!(one(&[(0.0, 0.0), (2.0, 0.0), (1.0, 0.0)]), 2, "there and back");
        assert_eq!(one(&[(0.0, 0.0), (2.0, 0.0), (1.0, 0.0), (3.0, 0.0)]), 3);
        let apart = [chain(&[(0.0, 0.0), (1.0, 0.0)]), chain(&[(1.1, 0.0), (2.0, 0.0)])].concat();
        assert_eq!(straightened(&apart), apart, "the tool was off between them");
        // A wave in lines of 0.02 mm: no point of it lies further off than the tolerance, and both ends stay.
        let wave: Vec<(f64, f64)> =
            (0..=5000).map(|i| (f64::from(i) * 0.02, (f64::from(i) * 0.004).sin() * 5.0)).collect();
        let few = straightened(&chain(&wave));
        assert!(few.len() < 700, "{}", few.len());
        assert!(few.windows(2).all(|w| w[0].end == w[1].start));
        let off = |p: &(f64, f64)| few.iter().map(|s| s.distance_to(pt(p.0, p.1))).fold(f64::INFINITY, f64::min);
        assert!(wave.iter().map(off).fold(0.0, f64::max) <= CHORD + 1e-9);
        // Arcs are none of it.
        let arcs = [Segment { start: pt(0.0, 0.0), end: pt(1.0, 0.0), bulge: 1e-4 }; 2];
        assert_eq!(straightened(&arcs).len(), 2);
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

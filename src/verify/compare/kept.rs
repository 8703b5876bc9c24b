//! What is kept of the sheet, as an area: how deep a tool stands in it, and whether it stays out of
//! it all along a stretch.
//!
//! A tool of radius r whose middle lies s outside what is kept takes r - s of it, inside it r + s:
//! the distance to the edge counts with its side. Along a straight stretch that is not tried point
//! by point. Out of what is kept the stretch's own distance from each chord of the edge tells; and
//! since the distance from a chord is convex along a stretch, one whose two ends lie near one chord
//! lies near it all along.

use crate::geom::{Bounds, Point, Segment, Stroke};
use crate::verify::boxes::Boxes;
use crate::verify::grid::Grid;
use crate::verify::nominal::{Class, Nominal};

/// How far chords stray from the edges' arcs, mm.
const CHORD: f64 = 5e-4;
/// Edges as near to a point as its nearest but for this, mm, are as near.
const ALIKE: f64 = 1e-9;

/// The edges of all that is kept.
pub(super) struct Kept {
    chords: Vec<Chord>,
    grid: Grid,
    pieces: Boxes,
}

/// A chord of an edge; what is kept lies on its left.
#[derive(Clone, Copy)]
struct Chord {
    way: Segment,
    /// The nominal line's place.
    line: u32,
    /// The chords before and after it on its contour.
    before: u32,
    after: u32,
}

/// The nearest edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nearest {
    /// How far, mm.
    pub(super) off: f64,
    /// Its nearest point.
    pub(super) place: Point,
    /// The nominal line's place.
    pub(super) line: usize,
    /// Whether the point asked lies in what is kept.
    pub(super) is_inside: bool,
}

/// A stretch seen from the edges near it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// The least distance from any edge, mm; infinite where none is within reach.
    pub(super) least: f64,
    /// Whether all of it lies within `near` of one chord.
    pub(super) runs_along: bool,
    /// Whether all of it lies within `served` of one chord of a line that the tool may work.
    pub(super) is_served: bool,
    /// Whether it starts in what is kept; `None` where no edge is within reach.
    pub(super) starts_inside: Option<bool>,
}

impl Kept {
    pub(super) fn new(nominal: &Nominal) -> Self {
        let mut chords: Vec<Chord> = Vec::new();
        for (line, wanted) in (0u32..).zip(&nominal.lines) {
            let (Class::Hole | Class::Outline, Stroke::Closed(contour)) = (wanted.class, &wanted.stroke) else {
                continue;
            };
            let first = chords.len() as u32;
            for s in contour.segments() {
                let mut from = s.start;
                for to in s.flatten(CHORD) {
                    let at = chords.len() as u32;
                    if from.distance(to) > ALIKE {
                        let before = at.saturating_sub(1);
                        chords.push(Chord { way: Segment::line(from, to), line, before, after: at + 1 });
                        from = to;
                    }
                }
            }
            let last = chords.len() as u32;
            if last > first {
                chords[first as usize].before = last - 1;
                chords[last as usize - 1].after = first;
            }
        }
        let ways: Vec<Segment> = chords.iter().map(|c| c.way).collect();
        let grid = Grid::new(&ways, super::CELL);
        let pieces = Boxes::new(nominal.pieces.iter().map(|p| p.bounds).collect());
        Self { chords, grid, pieces }
    }

    /// The piece that a point lies in.
    pub(super) fn piece_at(&self, nominal: &Nominal, p: Point) -> Option<usize> {
        self.pieces.at(p).into_iter().find(|i| nominal.pieces[*i].contains(p))
    }

    /// The nearest edge within `reach` mm of a point.
    pub(super) fn nearest(&self, p: Point, reach: f64) -> Option<Nearest> {
        let mut best: Option<Nearest> = None;
        self.grid.near(p, reach, |i| {
            let c = &self.chords[i as usize];
            let share = c.way.nearest_share(p);
            let place = c.way.point_at(share);
            let off = place.distance(p);
            if off > reach || best.is_some_and(|b| off > b.off + ALIKE) {
                return;
            }
            let is_inside = self.is_inside(c, share, p);
            match &mut best {
                // Two pieces that share an edge: beside it a point lies in one of them.
                Some(b) if off >= b.off - ALIKE => {
                    if is_inside && !b.is_inside {
                        *b = Nearest { off, place, line: c.line as usize, is_inside };
                    }
                }
                _ => best = Some(Nearest { off, place, line: c.line as usize, is_inside }),
            }
        });
        best
    }

    /// On which side of its nearest chord, there at `share` of it, a point lies. Where the nearest
    /// point is a corner the corner tells: what lies off a convex one lies outside.
    fn is_inside(&self, c: &Chord, share: f64, p: Point) -> bool {
        let along = c.way.end - c.way.start;
        let by_side = || along.cross(p - c.way.start) > 0.0;
        let (before, after) = if share >= 1.0 {
            (along, self.along(c.after))
        } else if share <= 0.0 {
            (self.along(c.before), along)
        } else {
            return by_side();
        };
        let turn = before.cross(after) / (before.length() * after.length());
        if turn.abs() > 1e-6 { turn < 0.0 } else { by_side() }
    }

    fn along(&self, chord: u32) -> Point {
        let way = self.chords[chord as usize].way;
        way.end - way.start
    }

    /// A straight stretch seen from the edges within `reach` mm of it, for a tool that may work the
    /// lines that `may` names.
    pub(super) fn see(&self, way: &Segment, near: f64, served: f64, may: impl Fn(usize) -> bool) -> Seen {
        let reach = near.max(served);
        let mut seen = Seen { least: f64::INFINITY, runs_along: false, is_served: false, starts_inside: None };
        let mut nearest = f64::INFINITY;
        self.grid.within(Bounds::of([way.start, way.end]).grown(reach), |i| {
            let c = &self.chords[i as usize];
            let share = c.way.nearest_share(way.start);
            let (from, to) = (c.way.point_at(share).distance(way.start), c.way.distance_to(way.end));
            let farthest = from.max(to);
            seen.runs_along |= farthest <= near;
            if seen.runs_along && seen.is_served {
                return;
            }
            seen.is_served |= farthest <= served && may(c.line as usize);
            seen.least = seen.least.min(apart(way, &c.way, from.min(to)));
            if from < nearest + ALIKE {
                let is_inside = self.is_inside(c, share, way.start);
                let is_alike = from > nearest - ALIKE;
                seen.starts_inside = Some(is_inside || is_alike && seen.starts_inside == Some(true));
                nearest = nearest.min(from);
            }
        });
        seen
    }
}

/// The distance between two straight segments, that of the first one's ends from the second known.
pub(super) fn apart(a: &Segment, b: &Segment, ends: f64) -> f64 {
    let (u, v, w) = (a.end - a.start, b.end - b.start, b.start - a.start);
    let cross = u.cross(v);
    if cross != 0.0 {
        let (s, t) = (w.cross(v) / cross, w.cross(u) / cross);
        if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
            return 0.0;
        }
    }
    ends.min(a.distance_to(b.start)).min(a.distance_to(b.end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Contour, pt};
    use crate::job::StockKind;
    use crate::verify::nominal::{NominalPiece, Wanted};
    use proptest::prelude::*;

    fn kept(contour: &Contour) -> (Kept, Nominal) {
        let outline = contour.clone().ccw();
        let piece = NominalPiece {
            name: "piece".into(),
            bounds: outline.bounds(),
            outline: outline.clone(),
            holes: Vec::new(),
        };
        let stroke = Stroke::Closed(outline);
        let line = Wanted { class: Class::Outline, piece: 0, name: "outline".into(), stroke, depth: 1.0 };
        let nominal = Nominal {
            stock: StockKind::Board,
            thickness: 1.0,
            sheet: Bounds::EMPTY,
            edge: None,
            pieces: vec![piece],
            lines: vec![line],
        };
        (Kept::new(&nominal), nominal)
    }

    proptest! {
        #[test]
        fn the_side_is_what_the_contour_says(
            radii in prop::collection::vec(5.0..40.0f64, 3..12), x in -50.0..50.0f64, y in -50.0..50.0f64,
        ) {
            let n = radii.len() as f64;
            let at = |(i, r): (usize, &f64)| Point::unit(i as f64 / n * std::f64::consts::TAU) * *r;
            let contour = Contour::polygon(radii.iter().enumerate().map(at));
            let (kept, _) = kept(&contour);
            let p = pt(x, y);
            let found = kept.nearest(p, 100.0).unwrap();
            prop_assert!((found.off - contour.distance_to(p)).abs() < 1e-9);
            prop_assert_eq!(found.is_inside, contour.contains(p));
        }

        #[test]
        fn a_stretch_comes_as_near_as_its_points_do(
            a in prop::array::uniform4(-9.0..9.0f64), b in prop::array::uniform4(-9.0..9.0f64),
        ) {
            let of = |v: [f64; 4]| Segment::line(pt(v[0], v[1]), pt(v[2], v[3]));
            let (a, b) = (of(a), of(b));
            let ends = b.distance_to(a.start).min(b.distance_to(a.end));
            let tried = (0..=2000).map(|i| b.distance_to(a.point_at(f64::from(i) / 2000.0))).fold(f64::MAX, f64::min);
            let told = apart(&a, &b, ends);
            prop_assert!(told <= tried + 1e-9 && told > tried - a.length() / 2000.0);
        }
    }

    #[test]
    fn a_stretch_beside_an_edge_is_told_from_one_across_a_corner() {
        let (kept, nominal) = kept(&Contour::rectangle(pt(0.0, 0.0), pt(60.0, 40.0)));
        let see = |a: Point, b: Point| kept.see(&Segment::line(a, b), 0.1, 1.0, |_| true);
        let beside = see(pt(10.0, -0.5), pt(17.0, -0.5));
        assert!(beside.is_served && !beside.runs_along && beside.starts_inside == Some(false));
        assert!((beside.least - 0.5).abs() < 1e-12);
        // Its ends lie out of the piece, its middle 0.2 mm in it.
        let across = see(pt(-0.5, 0.5 + 0.283), pt(0.5 + 0.283, -0.5));
        assert!(across.least == 0.0 && !across.runs_along);
        assert!(see(pt(10.0, 0.05), pt(17.0, -0.05)).runs_along);
        assert_eq!(kept.piece_at(&nominal, pt(30.0, 20.0)), Some(0));
        assert!(kept.nearest(pt(30.0, 20.0), 5.0).is_none());
    }
}

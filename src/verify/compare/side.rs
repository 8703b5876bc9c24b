//! On which side of its line a cut lies, and how far off by that.

use super::edge::One;
use super::samples::Sample;
use crate::geom::{Point, Stroke};
use crate::verify::nominal::Class;

/// Nearer than this, mm, to its line a cut of no width lies on no side of it.
const SIGNLESS: f64 = 0.01;

impl One<'_> {
    /// On which side of the line a point lies, 1 towards the waste; `None` beside a corner, where
    /// the normal of one edge does not tell.
    pub(super) fn side(&self, sample: &Sample, p: Point) -> Option<f64> {
        let off = p - sample.place;
        let (across, size) = (off.dot(sample.normal), off.length());
        // Of a line without a width only the sign hangs on it, and that of nothing on nothing.
        let least = if self.offset > 0.0 { 1e-6 } else { SIGNLESS };
        let unsure = self.is_edge() && size > least && across < 0.2 * size && across > -0.97 * size;
        (!unsure).then_some(if across < 0.0 { -1.0 } else { 1.0 })
    }

    pub(super) fn by_side(&self, side: f64, size: f64) -> f64 {
        if self.is_edge() { side * size - self.offset } else { side * (size - self.offset) }
    }

    /// Whether the nearer end of a point's segment is a corner at which the piece is more than half.
    fn is_beside_inner_corner(&self, sample: &Sample) -> bool {
        let segments = &self.segments;
        let (n, at) = (segments.len(), sample.segment);
        let (before, after) = if sample.share < 0.5 { (at + n - 1, at) } else { (at, at + 1) };
        let (Some(before), Some(after)) = (segments.get(before % n.max(1)), segments.get(after % n.max(1))) else {
            return false;
        };
        // What is kept lies on the left.
        before.is_line() && after.is_line() && (after.start_heading() - before.end_heading()).sin() < -1e-6
    }

    pub(super) fn deviation(&self, sample: &Sample, p: Point) -> f64 {
        let size = p.distance(sample.place);
        if let Some(side) = self.side(sample, p) {
            return self.by_side(side, size);
        }
        match &self.line.stroke {
            Stroke::Closed(c) if c.contains(p) == (self.line.class == Class::Outline) => {
                // Where the cut turns away before this point's end of an inner corner, the tool stands in the
                // piece as deep as its middle lies off the nearest edge, which need not be this point's, and
                // this point may stay uncut. Elsewhere what lies beyond the cut is gone with it.
                if !self.is_beside_inner_corner(sample) {
                    return -size - self.offset;
                }
                let (into, uncut) = (c.distance_to(p) + self.offset, size - self.offset);
                // In a sharp corner a round tool leaves more than is let pass, as it must: as long as it stands
                // in the piece by no more than that, what it leaves counts as left.
                if into <= self.bench.tolerance() && uncut > into { uncut } else { -into.max(uncut) }
            }
            _ => self.by_side(1.0, size),
        }
    }
}

//! What lies between two compared points of a line: where the cuts that serve them do not make sure
//! of it, points are put in between.

use super::edge::{Compared, One};
use super::samples::Sample;
use crate::geom::Segment;

/// Nearer than this two points need none between them, mm.
const FINEST: f64 = 0.02;
/// How far a curve may stray unseen between two points, mm.
const SAGITTA: f64 = 5e-3;

impl One<'_> {
    /// The compared points, more of them where two neighbours do not tell what is between.
    pub(super) fn with_more(&self, compared: Vec<Compared>, needed: f64) -> Vec<Compared> {
        let mut all: Vec<Compared> = Vec::with_capacity(compared.len());
        for next in compared {
            if let Some(last) = all.pop() {
                self.fill(last, &next, needed, &mut all);
            }
            all.push(next);
        }
        all
    }

    /// Pushes a point and those that are wanted before the next.
    fn fill(&self, a: Compared, b: &Compared, needed: f64, all: &mut Vec<Compared>) {
        let segment = a.sample.segment;
        let share = (a.sample.share + b.sample.share) / 2.0;
        let Some(s) = self.segments.get(segment).filter(|_| segment == b.sample.segment) else {
            all.push(a);
            return;
        };
        let apart = s.length() * (b.sample.share - a.sample.share);
        if apart < FINEST || self.is_sure(s, &a, b, apart, needed) {
            all.push(a);
            return;
        }
        // The new point takes its share of the length from the one before it.
        let weight = (apart / 4.0).min(a.sample.weight / 2.0);
        let middle = self.compared(Sample::on(s, segment, share, weight), needed);
        let a = Compared { sample: Sample { weight: a.sample.weight - weight, ..a.sample }, ..a };
        self.fill(a, &middle, needed, all);
        self.fill(middle, b, needed, all);
    }

    /// Whether nothing between two points of a segment, `apart` mm from each other, is farther from
    /// a cut than is let pass, as far as that has not been found wrong already.
    fn is_sure(&self, s: &Segment, a: &Compared, b: &Compared, apart: f64, needed: f64) -> bool {
        let tolerance = self.bench.tolerance();
        let limit = self.offset + tolerance;
        let is_off = |c: &Compared| c.sample.deviation.is_none_or(|d| d.abs() > tolerance);
        let (Some(first), Some(second)) = (a.trace, b.trace) else { return true };
        if is_off(a) || is_off(b) {
            return true;
        }
        let way = |trace: u32| self.bench.traces.get(trace as usize).and_then(|t| t.reaching(needed));
        let (Some(first), Some(second)) = (way(first), way(second)) else { return true };
        // The distance from a straight way is convex along a straight line; curves stray from that.
        let curved = |s: &Segment| if s.is_line() { 0.0 } else { apart * apart / (8.0 * s.radius()) };
        let limit = limit + SAGITTA;
        if curved(s) + curved(&first).max(curved(&second)) > SAGITTA {
            return false;
        }
        let (p, q) = (a.sample.place, b.sample.place);
        if first.distance_to(q) <= limit || second.distance_to(p) <= limit {
            return true;
        }
        // Up to where the one ends and from there on.
        let joint = if first.end.distance(q) < first.start.distance(q) { first.end } else { first.start };
        let place = s.point_at(s.nearest_share(joint).clamp(a.sample.share, b.sample.share));
        first.distance_to(place) <= limit && second.distance_to(place) <= limit
    }
}

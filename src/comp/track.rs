//! A line measured along its length, to be cut at any distance: arcs stay arcs.

use crate::geom::{Point, SAME_POINT, Segment};

/// Segments end to end with the distances at which they end.
pub(super) struct Track {
    segments: Vec<Segment>,
    ends: Vec<f64>,
    closed: bool,
}

impl Track {
    pub(super) fn new(segments: Vec<Segment>, closed: bool) -> Self {
        let mut at = 0.0;
        let ends = segments.iter().map(|s| {
            at += s.length();
            at
        });
        Self { ends: ends.collect(), segments, closed }
    }

    /// mm.
    pub(super) fn length(&self) -> f64 {
        self.ends.last().copied().unwrap_or(0.0)
    }

    pub(super) fn segments(&self) -> &[Segment] {
        &self.segments
    }

    pub(super) fn is_closed(&self) -> bool {
        self.closed
    }

    /// The point at a distance from the start, mm; round again on a closed line, at an end beyond it.
    pub(super) fn at(&self, distance: f64) -> Option<Point> {
        let d = if self.closed { distance.rem_euclid(self.length().max(f64::MIN_POSITIVE)) } else { distance };
        let i = self.ends.partition_point(|e| *e < d).min(self.segments.len().checked_sub(1)?);
        let s = &self.segments[i];
        let length = s.length();
        let share = if length > 0.0 { 1.0 - (self.ends[i] - d) / length } else { 0.0 };
        Some(s.point_at(share.clamp(0.0, 1.0)))
    }

    /// The stretch between two distances, `from` below `to`. A closed line goes round as often as
    /// `to` asks; an open one ends at its ends.
    pub(super) fn stretch(&self, from: f64, to: f64) -> Vec<Segment> {
        let total = self.length();
        let mut parts = Vec::new();
        if total <= 0.0 {
            return parts;
        }
        let rounds = if self.closed { (from / total).floor() as i64..=(to / total).floor() as i64 } else { 0..=0 };
        for round in rounds {
            let shift = round as f64 * total;
            let mut start = shift;
            for (s, end) in self.segments.iter().zip(&self.ends) {
                let end = end + shift;
                let (a, b) = (from.max(start), to.min(end));
                let length = end - start;
                if b - a > SAME_POINT {
                    // The share of the whole segment is exactly 0 and 1 where it is not cut.
                    parts.push(s.between((a - start) / length, 1.0 - (end - b) / length));
                }
                start = end;
            }
        }
        parts
    }

    /// The corners as distances at which they begin and end: where the line turns by more than `angle`
    /// radians, at once or on an arc of less than `radius` mm, as a tool of some width goes about one.
    pub(super) fn corners(&self, angle: f64, radius: f64) -> Vec<(f64, f64)> {
        let n = self.segments.len();
        let turn = |i: usize| {
            let next = &self.segments[(i + 1) % n];
            Point::unit(next.start_heading() - self.segments[i].end_heading()).heading().abs()
        };
        let last = if self.closed { n } else { n.saturating_sub(1) };
        let sharp = (0..last).filter(|i| turn(*i) > angle).map(|i| (self.ends[i], self.ends[i]));
        let is_round = |s: &Segment| !s.is_line() && s.sweep().abs() > angle && s.radius() < radius;
        let round =
            self.segments.iter().zip(&self.ends).filter(|(s, _)| is_round(s)).map(|(s, e)| (e - s.length(), *e));
        sharp.chain(round).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Contour, fillet, pt};

    #[test]
    fn a_stretch_keeps_arcs_and_length_and_goes_round() {
        let c = Contour::circle(pt(0.0, 0.0), 10.0);
        let t = Track::new(c.segments().collect(), true);
        let parts = t.stretch(5.0, 5.0 + 1.5 * t.length());
        let length: f64 = parts.iter().map(Segment::length).sum();
        assert!((length - 1.5 * t.length()).abs() < 1e-9);
        assert!(parts.iter().all(|s| (s.radius() - 10.0).abs() < 1e-9));
        assert!(parts.windows(2).all(|w| w[0].end.distance(w[1].start) < 1e-9));
        assert!(t.at(5.0).expect("a point").distance(parts[0].start) < 1e-9);
    }

    #[test]
    fn corners_are_where_the_line_turns() {
        let c = Contour::rectangle(pt(0.0, 0.0), pt(30.0, 20.0));
        let begun = |c: &Contour, radius| -> Vec<f64> {
            Track::new(c.segments().collect(), true).corners(0.2, radius).into_iter().map(|c| c.0).collect()
        };
        assert_eq!(begun(&c, 5.0), [30.0, 50.0, 80.0, 100.0]);
        assert!(begun(&Contour::circle(pt(0.0, 0.0), 10.0), 5.0).is_empty());
        let round = fillet(&c, 2, 4.0).expect("room");
        let corners = Track::new(round.segments().collect(), true).corners(0.2, 5.0);
        let (from, to) = corners.into_iter().find(|c| c.1 > c.0).expect("the round one");
        assert!((from - 46.0).abs() < 1e-9 && (to - from - 2.0 * std::f64::consts::PI).abs() < 1e-9);
        assert_eq!(begun(&round, 3.0).len(), 3);
    }
}

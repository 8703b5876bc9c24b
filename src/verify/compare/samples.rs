//! Points along the nominal lines.

use crate::geom::{Point, Segment, Stroke};

/// One compared point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// On the nominal line.
    pub place: Point,
    /// To the waste side, or to the right of a line that has none.
    pub normal: Point,
    /// The length that it stands for, mm.
    pub weight: f64,
    /// How far the cut lies off, mm, positive towards the waste; `None` where there is none.
    pub deviation: Option<f64>,
    /// Which of the line's segments it lies on, and at what share of it.
    pub segment: usize,
    /// See `segment`.
    pub share: f64,
}

impl Sample {
    /// The one at a share of a segment of a line.
    pub(super) fn on(s: &Segment, segment: usize, share: f64, weight: f64) -> Self {
        let normal = -Point::unit(s.heading_at(share)).left();
        Self { place: s.point_at(share), normal, weight, deviation: None, segment, share }
    }
}

/// How near to a segment's ends its outermost points lie, mm: on either side of a corner, never on
/// it, where there would be no one normal.
const FROM_END: f64 = 1e-4;

/// Points along a line, no further apart than `step` mm, in its order.
pub(super) fn along(stroke: &Stroke, step: f64) -> Vec<Sample> {
    let mut all = Vec::new();
    for (segment, s) in stroke.segments().into_iter().enumerate() {
        let length = s.length();
        if length < 3.0 * FROM_END {
            continue;
        }
        // Of a curve in many small steps one point a step is enough.
        if length < step / 2.0 {
            all.push(Sample::on(&s, segment, 0.5, length));
            continue;
        }
        let n = (length / step).ceil().max(1.0) as usize;
        let edge = FROM_END / length;
        let at = |share: f64, weight: f64| Sample::on(&s, segment, share, weight);
        let each = length / (n + 1) as f64;
        all.push(at(edge, each / 2.0));
        all.extend((0..n).map(|i| at((i as f64 + 0.5) / n as f64, each)));
        all.push(at(1.0 - edge, each / 2.0));
    }
    all
}

/// Points along a way, its ends among them, no further apart than `step` mm: shares of its length.
pub(super) fn shares(way: &Segment, step: f64) -> impl Iterator<Item = f64> + use<> {
    let n = (way.length() / step).ceil().clamp(1.0, 100_000.0) as usize;
    (0..=n).map(move |i| i as f64 / n as f64)
}

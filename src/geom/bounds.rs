//! An upright rectangle around things.

use super::{Point, pt};
use serde::Serialize;

/// The smallest upright rectangle around something. Empty when nothing was added.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// Around nothing: any point added replaces it.
    pub const EMPTY: Self =
        Self { min: pt(f64::INFINITY, f64::INFINITY), max: pt(f64::NEG_INFINITY, f64::NEG_INFINITY) };

    /// Around the points.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Self {
        points.into_iter().fold(Self::EMPTY, Self::with)
    }

    /// Grown to take in a point.
    #[must_use]
    pub fn with(self, p: Point) -> Self {
        Self { min: pt(self.min.x.min(p.x), self.min.y.min(p.y)), max: pt(self.max.x.max(p.x), self.max.y.max(p.y)) }
    }

    /// Grown to take in another.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        if other.is_empty() { self } else { self.with(other.min).with(other.max) }
    }

    /// Moved outwards by `by` on every side (inwards when negative).
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { min: self.min - pt(by, by), max: self.max + pt(by, by) }
    }

    /// Whether a point lies in it or on its edge.
    pub fn holds(self, p: Point) -> bool {
        p.x >= self.min.x && p.y >= self.min.y && p.x <= self.max.x && p.y <= self.max.y
    }

    /// Whether nothing was added.
    pub fn is_empty(self) -> bool {
        self.min.x > self.max.x
    }

    /// Extent in x, mm; 0 when empty.
    pub fn width(self) -> f64 {
        (self.max.x - self.min.x).max(0.0)
    }

    /// Extent in y, mm; 0 when empty.
    pub fn height(self) -> f64 {
        (self.max.y - self.min.y).max(0.0)
    }

    /// The middle.
    pub fn center(self) -> Point {
        (self.min + self.max) / 2.0
    }

    /// Its corners, counter-clockwise from the lower left.
    pub fn corners(self) -> [Point; 4] {
        [self.min, pt(self.max.x, self.min.y), self.max, pt(self.min.x, self.max.y)]
    }

    /// Whether the two share any area or edge, `slack` mm of overlap allowed.
    pub fn overlaps(self, other: Self, slack: f64) -> bool {
        self.min.x + slack < other.max.x
            && other.min.x + slack < self.max.x
            && self.min.y + slack < other.max.y
            && other.min.y + slack < self.max.y
    }

    /// What it shares with another; `None` where that is no area.
    pub fn shared(self, other: Self) -> Option<Self> {
        let both = Self {
            min: pt(self.min.x.max(other.min.x), self.min.y.max(other.min.y)),
            max: pt(self.max.x.min(other.max.x), self.max.y.min(other.max.y)),
        };
        (both.max.x > both.min.x && both.max.y > both.min.y).then_some(both)
    }

    /// The part of it with the largest lesser extent that lies on one side of another; all of it where they share nothing.
    #[must_use]
    pub fn beside(self, other: Self) -> Self {
        let Some(taken) = self.shared(other) else { return self };
        let parts = [
            Self { max: pt(taken.min.x, self.max.y), ..self },
            Self { min: pt(taken.max.x, self.min.y), ..self },
            Self { max: pt(self.max.x, taken.min.y), ..self },
            Self { min: pt(self.min.x, taken.max.y), ..self },
        ];
        let least = |b: &Self| b.width().min(b.height());
        parts.into_iter().max_by(|a, b| least(a).total_cmp(&least(b))).unwrap_or(self)
    }

    /// Whether a straight line runs through its inside (Liang and Barsky, 1984).
    pub fn is_crossed(self, from: Point, to: Point) -> bool {
        let d = to - from;
        let (low, high) = (from - self.min, self.max - from);
        let (mut enter, mut leave) = (0.0f64, 1.0f64);
        for (p, q) in [(-d.x, low.x), (d.x, high.x), (-d.y, low.y), (d.y, high.y)] {
            if p.abs() < 1e-12 {
                if q <= 0.0 {
                    return false;
                }
            } else if p < 0.0 {
                enter = enter.max(q / p);
            } else {
                leave = leave.min(q / p);
            }
        }
        enter < leave
    }

    /// Whether `other` lies inside, `slack` mm of protrusion allowed.
    pub fn contains(self, other: Self, slack: f64) -> bool {
        other.min.x >= self.min.x - slack
            && other.min.y >= self.min.y - slack
            && other.max.x <= self.max.x + slack
            && other.max.y <= self.max.y + slack
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_run_through_it_or_past_it() {
        let b = Bounds { min: pt(1.0, 1.0), max: pt(3.0, 2.0) };
        for (from, to) in
            [((0.0, 1.5), (4.0, 1.5)), ((2.0, 1.2), (2.1, 1.3)), ((0.0, 0.0), (4.0, 2.5)), ((2.0, 0.0), (2.0, 1.1))]
        {
            assert!(b.is_crossed(pt(from.0, from.1), pt(to.0, to.1)), "{from:?} {to:?}");
        }
        for (from, to) in
            [((0.0, 2.5), (4.0, 2.5)), ((0.0, 1.5), (0.9, 1.5)), ((0.0, 1.9), (1.5, 2.9)), ((0.0, 1.0), (4.0, 1.0))]
        {
            assert!(!b.is_crossed(pt(from.0, from.1), pt(to.0, to.1)), "{from:?} {to:?}");
        }
    }
}

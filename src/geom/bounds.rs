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

    /// Whether the two share any area or edge, `slack` mm of overlap allowed.
    pub fn overlaps(self, other: Self, slack: f64) -> bool {
        self.min.x + slack < other.max.x
            && other.min.x + slack < self.max.x
            && self.min.y + slack < other.max.y
            && other.min.y + slack < self.max.y
    }

    /// Whether `other` lies inside, `slack` mm of protrusion allowed.
    pub fn contains(self, other: Self, slack: f64) -> bool {
        other.min.x >= self.min.x - slack
            && other.min.y >= self.min.y - slack
            && other.max.x <= self.max.x + slack
            && other.max.y <= self.max.y + slack
    }
}

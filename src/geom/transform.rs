//! Placing a piece: mirror, turn, move.

use super::{Point, Segment, pt};
use serde::Serialize;

/// A placement. A point is mirrored in x first (x becomes -x), then turned counter-clockwise
/// about the origin, then moved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Transform {
    /// Whether x is mirrored first.
    pub mirrored: bool,
    /// The turn, degrees counter-clockwise. Quarter turns are exact.
    pub rotation_deg: f64,
    /// The move, mm.
    pub shift: Point,
}

impl Transform {
    /// Nothing moves.
    pub const IDENTITY: Self = Self { mirrored: false, rotation_deg: 0.0, shift: pt(0.0, 0.0) };

    /// A move alone.
    pub const fn shift(by: Point) -> Self {
        Self { shift: by, ..Self::IDENTITY }
    }

    /// The same frame, seen from the other side: turned by half a turn more about where it is moved to.
    #[must_use]
    pub fn half_turned(&self) -> Self {
        Self { rotation_deg: self.rotation_deg + 180.0, ..*self }
    }

    /// Where a point goes.
    pub fn apply(&self, p: Point) -> Point {
        let p = if self.mirrored { pt(-p.x, p.y) } else { p };
        let (sin, cos) = self.sin_cos();
        pt(p.x * cos - p.y * sin, p.x * sin + p.y * cos) + self.shift
    }

    /// Where a segment goes; a mirrored arc turns the other way.
    pub fn segment(&self, s: &Segment) -> Segment {
        Segment {
            start: self.apply(s.start),
            end: self.apply(s.end),
            bulge: if self.mirrored { -s.bulge } else { s.bulge },
        }
    }

    fn sin_cos(&self) -> (f64, f64) {
        let quarters = self.rotation_deg / 90.0;
        if (quarters - quarters.round()).abs() < 1e-12 {
            match (quarters.round() as i64).rem_euclid(4) {
                0 => (0.0, 1.0),
                1 => (1.0, 0.0),
                2 => (0.0, -1.0),
                _ => (-1.0, 0.0),
            }
        } else {
            self.rotation_deg.to_radians().sin_cos()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mirror_comes_before_turn_and_turn_before_move() {
        let t = Transform { mirrored: true, rotation_deg: 90.0, shift: pt(100.0, 0.0) };
        assert_eq!(t.apply(pt(1.0, 2.0)), pt(98.0, -1.0));
    }
}

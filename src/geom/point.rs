//! A point or a displacement in the plane.

use serde::Serialize;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A point, or the displacement between two, in mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// The point (x, y) in mm.
pub const fn pt(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    /// The unit vector at `angle` radians counter-clockwise from +x.
    pub fn unit(angle: f64) -> Self {
        pt(angle.cos(), angle.sin())
    }

    /// The dot product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The z part of the cross product: positive when `other` lies counter-clockwise of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The length of the displacement.
    pub fn length(self) -> f64 {
        // Not `hypot`: its care for sizes that no table has takes a third of a check's time.
        (self.x * self.x + self.y * self.y).sqrt()
    }

    /// The distance to `other`.
    pub fn distance(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// The displacement turned a quarter turn counter-clockwise: the left-hand normal.
    pub fn left(self) -> Self {
        pt(-self.y, self.x)
    }

    /// The displacement at length 1, or `None` where it has no direction.
    pub fn normalized(self) -> Option<Self> {
        let length = self.length();
        (length > 1e-12).then(|| self / length)
    }

    /// The direction in radians counter-clockwise from +x, in (-pi, pi].
    pub fn heading(self) -> f64 {
        self.y.atan2(self.x)
    }

    /// The point a share `t` of the way to `other`.
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }

    /// Turned counter-clockwise by `angle` radians about the origin.
    pub fn rotated(self, angle: f64) -> Self {
        let (sin, cos) = angle.sin_cos();
        pt(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }

    /// Whether the two are one point for every purpose here, see [`super::SAME_POINT`].
    pub fn is_near(self, other: Self) -> bool {
        self.distance(other) <= super::SAME_POINT
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        pt(self.x + o.x, self.y + o.y)
    }
}

impl Sub for Point {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        pt(self.x - o.x, self.y - o.y)
    }
}

impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        pt(-self.x, -self.y)
    }
}

impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, f: f64) -> Self {
        pt(self.x * f, self.y * f)
    }
}

impl Div<f64> for Point {
    type Output = Self;
    fn div(self, f: f64) -> Self {
        pt(self.x / f, self.y / f)
    }
}

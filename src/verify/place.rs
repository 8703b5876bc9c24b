//! A place as whoever looks for it has it before him: of a program in the coordinates and the unit of its own
//! words, which are those that the controller shows; of a drawing in mm from the sheet's lower left corner.

use crate::geom::{Point, pt};
use crate::units::{decimal, mm, tidy};
use serde::Serialize;
use std::fmt;

/// In what a file tells places. By default mm on the bed, or on the sheet, from its lower left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coordinates {
    /// Where X0 Y0 lies on the bed, mm.
    zero: Point,
    /// One mm of X and of Y, on the bed.
    axes: [Point; 2],
    count: Count,
}

/// What the numbers of a program count.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Count {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
    /// Steps of a plotter, each so many mm.
    Steps(f64),
}

/// A place in coordinates.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shown {
    /// Along X.
    pub x: f64,
    /// Along Y.
    pub y: f64,
    /// What both count: `mm`, `in` or `steps`.
    pub unit: &'static str,
}

impl Default for Coordinates {
    fn default() -> Self {
        Self { zero: pt(0.0, 0.0), axes: [pt(1.0, 0.0), pt(0.0, 1.0)], count: Count::Mm }
    }
}

impl Coordinates {
    /// Those of a machine, told by where a place of its own lies on the bed, both mm.
    pub(super) fn new(on_bed: impl Fn(Point) -> Point, count: Count) -> Self {
        let zero = on_bed(pt(0.0, 0.0));
        Self { zero, axes: [on_bed(pt(1.0, 0.0)) - zero, on_bed(pt(0.0, 1.0)) - zero], count }
    }

    /// A place on the bed, mm from its lower left corner; `None` where it is not known.
    pub fn shown(&self, on_bed: Point) -> Option<Shown> {
        let [x, y] = self.axes.map(|axis| (on_bed - self.zero).dot(axis));
        let (x, y, unit) = match self.count {
            Count::Mm => (tidy(x, 4), tidy(y, 4), "mm"),
            Count::Inch => (tidy(mm(x).to_inch(), 5), tidy(mm(y).to_inch(), 5), "in"),
            Count::Steps(step) => (tidy(x / step, 1), tidy(y / step, 1), "steps"),
        };
        (x.is_finite() && y.is_finite()).then_some(Shown { x, y, unit })
    }
}

/// `X12.7 Y-5 mm`: to a tenth of a mm, a hundredth of an inch or a whole step, near enough to find it by.
impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = match self.unit {
            "mm" => 1,
            "in" => 2,
            _ => 0,
        };
        write!(f, "X{} Y{} {}", decimal(self.x, places), decimal(self.y, places), self.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_told_as_the_controller_counts() {
        // Derived by hand on a bed of 600 x 400: a place 100 from the left and 50 up.
        let place = pt(100.0, 50.0);
        let said = |on_bed: fn(Point) -> Point, count| {
            Coordinates::new(on_bed, count).shown(place).map(|s| s.to_string()).unwrap_or_default()
        };
        let plain: fn(Point) -> Point = |p| p;
        assert_eq!(Coordinates::default().shown(place).map(|s| s.to_string()).unwrap_or_default(), "X100 Y50 mm");
        assert_eq!(said(plain, Count::Inch), "X3.94 Y1.97 in");
        assert_eq!(said(plain, Count::Steps(0.025)), "X4000 Y2000 steps");
        assert_eq!(said(|p| pt(p.x, 400.0 - p.y), Count::Mm), "X100 Y350 mm");
        assert_eq!(said(|p| pt(600.0 + p.x, 400.0 + p.y), Count::Mm), "X-500 Y-350 mm");
        assert_eq!(said(|p| pt(600.0 - p.y, p.x), Count::Mm), "X50 Y500 mm");
        assert!(Coordinates::default().shown(pt(f64::NAN, 0.0)).is_none());
    }
}

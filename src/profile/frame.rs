//! The machine's own coordinates on the bed. Everything in this program lies on the bed as one
//! stands before it, x to the right and y away from one, counted from its lower left corner; a
//! controller may count from another place, and each axis any of the four ways.

use super::{BedPlace, Machine, Way};
use crate::geom::{Point, pt};
use crate::units::{Angle, deg};

impl Way {
    /// One mm that way.
    fn unit(self) -> Point {
        match self {
            Self::Right => pt(1.0, 0.0),
            Self::Left => pt(-1.0, 0.0),
            Self::Up => pt(0.0, 1.0),
            Self::Down => pt(0.0, -1.0),
        }
    }
}

impl Machine {
    /// Where X0 Y0 lies on the bed, mm.
    fn zero_on_bed(&self) -> Point {
        let (w, h) = (self.width.to_mm(), self.height.to_mm());
        match self.zero {
            BedPlace::LowerLeft => pt(0.0, 0.0),
            BedPlace::LowerRight => pt(w, 0.0),
            BedPlace::UpperLeft => pt(0.0, h),
            BedPlace::UpperRight => pt(w, h),
            BedPlace::Centre => pt(w / 2.0, h / 2.0),
        }
    }

    /// A place on the bed in the machine's own coordinates, both mm.
    pub fn to_controller(&self, on_bed: Point) -> Point {
        let away = on_bed - self.zero_on_bed();
        pt(away.dot(self.x_points.unit()), away.dot(self.y_points.unit()))
    }

    /// A place in the machine's own coordinates on the bed, both mm.
    pub fn to_bed(&self, place: Point) -> Point {
        self.zero_on_bed() + self.x_points.unit() * place.x + self.y_points.unit() * place.y
    }

    /// Whether Y lies clockwise of X, seen from above: then what goes round to the left is
    /// clockwise in the machine's coordinates.
    pub fn is_mirrored(&self) -> bool {
        self.x_points.unit().cross(self.y_points.unit()) < 0.0
    }

    /// Where it rests, on the bed.
    pub fn park_on_bed(&self) -> Point {
        let [x, y] = self.park;
        self.to_bed(pt(x.to_mm(), y.to_mm()))
    }

    /// Where +x points on the bed, counter-clockwise from the right.
    pub fn x_heading(&self) -> Angle {
        match self.x_points {
            Way::Right => deg(0.0),
            Way::Up => deg(90.0),
            Way::Left => deg(180.0),
            Way::Down => deg(270.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::comp::testbed::profile;
    use crate::geom::pt;
    use crate::profile::{BedPlace, ToolKind, Way};
    use crate::units::mm;

    #[test]
    fn a_place_counts_from_any_corner_either_way() {
        // Derived by hand on a bed of 600 x 400: a place 100 from the left and 50 up.
        let mut m = profile(ToolKind::Pen).machine;
        (m.width, m.height) = (mm(600.0), mm(400.0));
        for (zero, x, y, place, is_mirrored) in [
            (BedPlace::LowerLeft, Way::Right, Way::Up, pt(100.0, 50.0), false),
            (BedPlace::UpperLeft, Way::Right, Way::Down, pt(100.0, 350.0), true),
            (BedPlace::UpperRight, Way::Left, Way::Down, pt(500.0, 350.0), false),
            (BedPlace::UpperRight, Way::Right, Way::Up, pt(-500.0, -350.0), false),
            (BedPlace::LowerRight, Way::Up, Way::Left, pt(50.0, 500.0), false),
            (BedPlace::LowerLeft, Way::Up, Way::Right, pt(50.0, 100.0), true),
            (BedPlace::Centre, Way::Right, Way::Up, pt(-200.0, -150.0), false),
        ] {
            (m.zero, m.x_points, m.y_points) = (zero, x, y);
            let there = m.to_controller(pt(100.0, 50.0));
            assert!(there.distance(place) < 1e-12, "{zero:?} {x:?} {y:?}: {there:?}");
            assert!(m.to_bed(there).distance(pt(100.0, 50.0)) < 1e-12);
            assert_eq!(m.is_mirrored(), is_mirrored);
        }
    }
}

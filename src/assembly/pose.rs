//! The folded box: where each panel is when every hinge is so far closed.

use super::{Assembly, Hinge, HingeKind};
use crate::geom::{Point, pt};
use serde::Serialize;

/// A point in space, mm: x to the right, y to the head, z up.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Space {
    /// To the right.
    pub x: f64,
    /// To the head.
    pub y: f64,
    /// Up.
    pub z: f64,
}

/// The point of these coordinates, mm.
pub const fn space(x: f64, y: f64, z: f64) -> Space {
    Space { x, y, z }
}

impl Space {
    fn plus(self, other: Self) -> Self {
        space(self.x + other.x, self.y + other.y, self.z + other.z)
    }

    fn times(self, by: f64) -> Self {
        space(self.x * by, self.y * by, self.z * by)
    }
}

/// Where a panel is: a turn and a shift that keep distances and handedness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// What the directions x, y and z of the flat layout have become.
    axes: [Space; 3],
    origin: Space,
}

impl Stance {
    /// As it lies in the flat layout.
    pub const FLAT: Self =
        Self { axes: [space(1.0, 0.0, 0.0), space(0.0, 1.0, 0.0), space(0.0, 0.0, 1.0)], origin: space(0.0, 0.0, 0.0) };

    /// Where a point of the flat layout, at a height above the outside face, is.
    pub fn at(&self, p: Point, z: f64) -> Space {
        self.direction(space(p.x, p.y, z)).plus(self.origin)
    }

    /// What a direction of the flat layout has become.
    pub fn direction(&self, d: Space) -> Space {
        self.axes[0].times(d.x).plus(self.axes[1].times(d.y)).plus(self.axes[2].times(d.z))
    }

    /// As three rows of four numbers, one row after another: x' = m0 x + m1 y + m2 z + m3, and so on.
    pub fn rows(&self) -> [f64; 12] {
        let ([x, y, z], o) = (self.axes, self.origin);
        [x.x, y.x, z.x, o.x, x.y, y.y, z.y, o.y, x.z, y.z, z.z, o.z]
    }

    /// First `other`, then this.
    fn after(&self, other: &Self) -> Self {
        Self { axes: other.axes.map(|d| self.direction(d)), origin: self.direction(other.origin).plus(self.origin) }
    }
}

/// How far each hinge is closed: 0 flat, 1 closed, by the hinges' numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose(pub Vec<f64>);

impl Pose {
    /// All hinges of an assembly at one share.
    pub fn all(assembly: &Assembly, share: f64) -> Self {
        Self(vec![share; assembly.hinges.len()])
    }

    /// `share` of the way from flat to closed in the order of closing: the walls first, then one lid
    /// order after another.
    pub fn on_the_way(assembly: &Assembly, share: f64) -> Self {
        let last = assembly.hinges.iter().map(|h| h.order).max().unwrap_or_default();
        let now = share.clamp(0.0, 1.0) * f64::from(last + 1);
        Self(assembly.hinges.iter().map(|h| (now - f64::from(h.order)).clamp(0.0, 1.0)).collect())
    }
}

impl Assembly {
    /// Where every panel is in a pose; a hinge that the pose leaves out stays flat.
    pub fn posed(&self, pose: &Pose) -> Vec<Stance> {
        let mut places = vec![Stance::FLAT; self.panels.len()];
        for (i, hinge) in self.hinges.iter().enumerate() {
            let share = if hinge.kind == HingeKind::Glued { 1.0 } else { pose.0.get(i).copied().unwrap_or(0.0) };
            let moved = hinge.moved(share);
            if let (Some(parent), true) = (places.get(hinge.parent).copied(), hinge.child < places.len()) {
                places[hinge.child] = parent.after(&moved);
            }
        }
        places
    }

    /// Where every panel is when the box is closed.
    pub fn closed(&self) -> Vec<Stance> {
        self.posed(&Pose::all(self, 1.0))
    }
}

impl Hinge {
    /// What closing it by a share does to the child, in the parent's flat coordinates. Half-way the
    /// child's hinge corner swings as the cloth would carry it: its distance from the parent's corner
    /// and the direction of the cloth between them change evenly (a crease's corner stays).
    fn moved(&self, share: f64) -> Stance {
        let along = (self.axis.end - self.axis.start).normalized().unwrap_or(pt(1.0, 0.0));
        // The child lies to the right of the axis.
        let out = -along.left();
        let (far, up) = (self.closed[0], self.closed[1]);
        let reach = self.width + (far.hypot(up) - self.width) * share;
        let slope = up.atan2(far) * share;
        let (v, z) =
            if self.width == 0.0 { (far * share, up * share) } else { (reach * slope.cos(), reach * slope.sin()) };
        let (sin, cos) = (self.angle * share).sin_cos();
        // A turn about the hinge line: outwards becomes outwards and up, up becomes up and inwards.
        let turned = |d: Point, dz: f64| {
            let (u, w) = (d.dot(along), d.dot(out));
            let (w, h) = (w * cos - dz * sin, w * sin + dz * cos);
            let flat = along * u + out * w;
            space(flat.x, flat.y, h)
        };
        let axes = [turned(pt(1.0, 0.0), 0.0), turned(pt(0.0, 1.0), 0.0), turned(pt(0.0, 0.0), 1.0)];
        // The child's corner, flat, and where it goes.
        let corner = self.axis.start + out * self.width;
        let goes = self.axis.start + out * v;
        let own = Stance { axes, origin: space(0.0, 0.0, 0.0) }.at(corner, self.height);
        Stance { axes, origin: space(goes.x - own.x, goes.y - own.y, self.height + z - own.z) }
    }
}

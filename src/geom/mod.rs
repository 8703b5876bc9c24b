//! Plane geometry in millimetres: points, lines and true arcs, closed contours and open paths.
//!
//! y is up. Outer contours run counter-clockwise, holes clockwise. An arc is kept as a *bulge* on
//! the vertex where it starts, as in DXF: `tan(sweep / 4)`, positive counter-clockwise, 0 a line,
//! 1 a half circle. A single segment never sweeps more than a half circle.
//!
//! Coordinates are bare `f64` millimetres here and only here; quantities of the job and of the
//! machine carry their unit in the type (see [`crate::units`]).

mod bounds;
mod contour;
mod corner;
mod cut;
mod intersect;
mod offset;
mod parted;
mod point;
mod region;
mod segment;
mod tidy;
mod transform;

pub use bounds::Bounds;
pub use contour::{Contour, Path, Stroke, Vertex};
pub use corner::{FilletError, fillet, turn_between};
pub use cut::without;
pub use intersect::{first_self_crossing, intersections};
pub use offset::{Join, OffsetError, offset};
pub use parted::{beneath, runs};
pub use point::{Point, pt};
pub use region::{
    Overlap, areas_shared, covered, half_of, overlap, parts_without, rings_shared, rings_without, shared_point,
    signed_area, stretches, triangles, uncovered, uncovered_widely,
};
pub use segment::Segment;
pub use transform::Transform;

/// Two points closer than this are one point: 1 nanometre, far below any tool and well above the
/// rounding of coordinates of a few metres.
pub const SAME_POINT: f64 = 1e-6;

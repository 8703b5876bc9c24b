//! What the box is for.

use super::Side;
use crate::units::Length;

/// The stack as measured and the room given to it.
#[derive(Clone, Debug)]
pub struct Contents {
    /// The largest width measured.
    pub width: Length,
    /// The largest height measured.
    pub height: Length,
    /// The largest depth measured.
    pub depth: Length,
    /// Every reading of the depth, in the order given.
    pub depth_readings: Vec<Length>,
    /// The standard size named in the job, `A4`.
    pub size: Option<String>,
    /// The total room added to each dimension.
    pub clearance: Clearance,
}

/// Room added to the stack, in all, not on each side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// Across.
    pub width: Length,
    /// Up.
    pub height: Length,
    /// Through.
    pub depth: Length,
}

impl Contents {
    /// A block of this width, height and depth, with room in its depth alone.
    pub fn block([width, height, depth]: [Length; 3], room: Length) -> Self {
        let clearance = Clearance { width: Length::ZERO, height: Length::ZERO, depth: room };
        Self { width, height, depth, depth_readings: vec![depth], size: None, clearance }
    }

    /// The interior across: width plus clearance.
    pub fn interior_width(&self) -> Length {
        self.width + self.clearance.width
    }

    /// The interior up: height plus clearance.
    pub fn interior_height(&self) -> Length {
        self.height + self.clearance.height
    }

    /// The interior from the wall of a side to the one across.
    pub fn along(&self, side: Side) -> Length {
        match side {
            Side::Left | Side::Right => self.interior_width(),
            Side::Head | Side::Tail => self.interior_height(),
        }
    }

    /// The interior along the wall of a side.
    pub fn across(&self, side: Side) -> Length {
        match side {
            Side::Left | Side::Right => self.interior_height(),
            Side::Head | Side::Tail => self.interior_width(),
        }
    }

    /// The interior through: depth plus clearance.
    pub fn interior_depth(&self) -> Length {
        self.depth + self.clearance.depth
    }
}

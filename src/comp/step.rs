//! What a machine can be told to do, one step at a time.

use crate::geom::Point;
use crate::units::Feed;

/// One step. Positions are sheet coordinates in mm, of the point that the machine moves (for a
/// drag knife its pivot); depths are mm below the stock's top, positive down; headings are degrees
/// counter-clockwise from +x, accumulated over the program so that 370 is not 10.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// A traverse at safe height, tool off where the tool is switched with its lift.
    Travel {
        /// Where to.
        to: Point,
    },
    /// The rotary axis alone.
    Turn {
        /// The heading afterwards.
        heading: f64,
        /// Degrees a minute.
        feed: f64,
    },
    /// Z alone, downwards or between depths.
    Plunge {
        /// The depth afterwards.
        depth: f64,
        /// Its speed.
        feed: Feed,
    },
    /// A line or arc from the current position with the tool at work.
    Cut {
        /// Where to.
        to: Point,
        /// `tan(sweep / 4)`; 0 for a line.
        bulge: f64,
        /// The depth at its end; it changes evenly along the way.
        depth: f64,
        /// The rotary heading at its end, where the tool has one; it changes evenly along the way.
        heading: Option<f64>,
        /// Its speed along the path.
        feed: Feed,
    },
    /// Z to safe height.
    Lift,
    /// The tool's `on` lines.
    On,
    /// The tool's `off` lines.
    Off,
    /// A wait in seconds.
    Dwell(f64),
}

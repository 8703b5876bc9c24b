//! What a manifest says of a sheet that is turned over.

use serde::Deserialize;

/// How a sheet is turned over between two runs, left to right.
#[derive(Clone, Debug, Deserialize)]
pub struct Turned {
    /// `corner` or `pins`.
    pub by: String,
    /// Holes through it, as it is laid out.
    pub pins: Vec<PinHole>,
    /// The files that show its first run.
    pub drawings: Vec<String>,
}

/// A hole for a pin.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct PinHole {
    /// Its middle.
    pub x: f64,
    /// Its middle.
    pub y: f64,
    /// How wide it is.
    pub diameter: f64,
}

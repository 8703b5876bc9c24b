//! How a sheet is turned over that is worked from both faces, as the manifest lists it.

use crate::job::TurnedBy;
use crate::nest::Turn;
use crate::units::{Length, tidy};
use serde::Serialize;

/// A sheet's first run is made with its other face up: x is counted from its other edge there.
#[derive(Serialize)]
pub(super) struct TurnEntry<'a> {
    by: TurnedBy,
    /// Holes through it that go over pins, as it is laid out; none where it is laid by its corner.
    pins: Vec<PinEntry>,
    /// The files that show it to whoever makes the first run.
    drawings: Vec<&'a str>,
}

#[derive(Serialize)]
struct PinEntry {
    x: f64,
    y: f64,
    diameter: Length,
}

impl<'a> TurnEntry<'a> {
    pub(super) fn of(turn: &Turn, drawings: Vec<&'a str>) -> Self {
        let pins = turn.pins.iter().flat_map(|pins| {
            pins.places.map(|at| PinEntry { x: tidy(at.x, 10), y: tidy(at.y, 10), diameter: pins.diameter })
        });
        Self { by: turn.by, pins: pins.collect(), drawings }
    }
}

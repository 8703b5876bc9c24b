//! A sheet in register, as the manifest and reports tell it.

use crate::geom::Point;
use crate::register::Register;
use crate::units::tidy;
use serde::Serialize;

/// A sheet in register. The map goes from the sheet as it is laid out to where it lies, both counted from the place of
/// its lower left corner as the machine has it: `matrix` by rows, then `shift`.
#[derive(Serialize)]
pub struct RegisterEntry<'a> {
    sheet: &'a str,
    machine: &'a str,
    turned_over: bool,
    stretch: &'a str,
    matrix: [[f64; 2]; 2],
    shift: [f64; 2],
    turn: f64,
    scales: [f64; 2],
    shear: f64,
    marks: Vec<RegisterMark<'a>>,
}

#[derive(Serialize)]
struct RegisterMark<'a> {
    name: &'a str,
    at: [f64; 2],
    measured: [f64; 2],
    residual: f64,
}

impl<'a> RegisterEntry<'a> {
    /// What is told of one.
    pub fn of(r: &'a Register) -> Self {
        let place = |p: Point| [p.x, p.y];
        let mark = |((name, at, measured), residual): (&'a (String, Point, Point), &f64)| RegisterMark {
            name,
            at: place(*at),
            measured: place(*measured),
            residual: tidy(*residual, 6),
        };
        Self {
            sheet: &r.sheet,
            machine: &r.machine,
            turned_over: r.is_turned_over,
            stretch: r.stretch.word(),
            matrix: r.map.matrix,
            shift: place(r.map.shift),
            turn: tidy(r.fit.map.turn_deg(), 6),
            scales: r.fit.scales.map(|s| tidy(s, 8)),
            shear: tidy(r.fit.map.shear_deg(), 6),
            marks: r.marks.iter().zip(&r.fit.residuals).map(mark).collect(),
        }
    }
}

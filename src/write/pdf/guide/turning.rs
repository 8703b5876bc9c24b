//! A sheet that a machine works from both faces: how it lies in either run, and what it is laid down again by.

use super::Told;
use super::plan::{BOARD, HERE, Plan, THIN};
use super::step::{Step, show};
use crate::geom::{Bounds, Contour, Point, Stroke, Transform, pt};
use crate::nest::Pins;
use crate::ops::{Operation, PINS, SheetOps};
use crate::profile::OperationKind;

/// What tells of the first of the sheets that a program works from its other face; nothing where none does.
pub(super) fn turning<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let is_run = |o: &&SheetOps| told.programs.iter().any(|p| p.first_side && p.sheet == o.sheet.id);
    let turned: Vec<&SheetOps> = told.operations.iter().filter(|o| o.first.is_some()).filter(is_run).collect();
    let ops = *turned.first()?;
    let first = ops.first.as_deref()?;
    let (sheet, turn) = (&ops.sheet, ops.sheet.turn?);
    let ids: Vec<&str> = turned.iter().map(|o| o.sheet.id.as_str()).collect();
    let which = match ids.as_slice() {
        [one] => format!("{one} is"),
        [one, .., last] => format!("{one} to {last}, {} of them, are", ids.len()),
        [] => return None,
    };
    let size = pt(sheet.width.to_mm(), sheet.height.to_mm());
    let mut words = vec![format!(
        "{which} worked from both faces. 1: lay the sheet with the face down that is to lie up later, and run the programs whose names have first-side in them; they cut the recesses that lie in the outside of boards. 2: turn it over left to right, like a page, and run the others."
    )];
    words.push(match turn.pins {
        Some(pins) => format!(
            "The first run cuts two holes through it, {} wide, {} from its left and right edges. Put a pin through each into the bed before you lift the sheet off. Turned over it goes over the same two pins; they stand off its middle, so that it does not go on end for end.",
            show(told, pins.diameter),
            show(told, crate::units::mm(pins.places[0].x))
        ),
        None => format!(
            "Its lower left corner lies at the same place both times: what was its left edge is then its right one. Measure it before: it must be {} wide, with straight left and right edges, square to the lower one. By what it is narrower or wider the recesses lie to one side; where it differs, write what you measure as the width of the sheet in the job and export again.",
            told.job.units.show(sheet.width)
        ),
    });
    let apart = size.x * 0.12;
    let second = pt(size.x + apart, 0.0);
    Some(Step {
        title: "Turn a sheet over".into(),
        words,
        window: Bounds { min: pt(0.0, 0.0), max: pt(2.0 * size.x + apart, size.y) }.grown(size.x * 0.02),
        draw: Box::new(move |plan: &mut Plan<'_>| {
            lies(plan, first, pt(0.0, 0.0), 1);
            lies(plan, ops, second, 2);
        }),
    })
}

/// A sheet as it lies in a run, its corner at a place: its pieces, and what the run cuts into them.
fn lies(plan: &mut Plan<'_>, ops: &SheetOps, at: Point, number: usize) {
    let to = Transform::shift(at);
    let size = pt(ops.sheet.width.to_mm(), ops.sheet.height.to_mm());
    plan.solid(&[Contour::rectangle(at, at + size)], [0xff; 3], THIN);
    let closed = |o: &Operation| match &o.stroke {
        Stroke::Closed(c) => Some(c.transformed(&to)),
        Stroke::Open(_) => None,
    };
    let of = |is_wanted: &dyn Fn(&Operation) -> bool| -> Vec<Contour> {
        ops.operations.iter().filter(|o| is_wanted(o)).filter_map(closed).collect()
    };
    let is_hole = |o: &Operation| o.keep == crate::ops::Keep::Outside;
    let later: Vec<Contour> = ops.later.iter().map(|s| s.outline.transformed(&to)).collect();
    plan.solid(&later, BOARD, THIN);
    plan.solid(&of(&|o| o.kind == OperationKind::ThroughCut && !is_hole(o)), BOARD, THIN);
    plan.solid(&of(&|o| o.kind == OperationKind::HalfDepthPocket), HERE, THIN);
    plan.solid(&of(&|o| o.kind == OperationKind::ThroughCut && is_hole(o) && o.piece != PINS), [0xff; 3], THIN);
    let pins = ops.sheet.turn.and_then(|turn| turn.pins);
    // Drawn larger than they are where nobody would see them.
    let least = plan.millimetres(0.6);
    let hole = |p: &Pins| p.places.map(|place| Contour::circle(place, least.max(p.diameter.to_mm() / 2.0)));
    let holes: Vec<Contour> = pins.iter().flat_map(hole).map(|hole| hole.transformed(&to)).collect();
    plan.solid(&holes, HERE, THIN);
    // In the corner that lies at the machine's.
    let off = plan.millimetres(3.0);
    plan.number(at + pt(off, off), number);
}

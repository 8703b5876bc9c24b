//! Lids that interlock: drawn by the maker, across from each other and closed together, the edge of the one within the
//! bays of the other.

use super::Told;
use super::step::show;
use crate::assembly::{Assembly, Part};
use crate::design::thicknesses;
use crate::geom::{Contour, Point, pt};
use crate::job::{FlapShape, Side};
use crate::units::mm;

/// Chords of their edges stray by so much, mm.
const CHORD: f64 = 0.05;

/// The outline of a closed lid, seen from above.
fn closed(assembly: &Assembly, side: Side) -> Option<Contour> {
    let i = assembly.panels.iter().position(|p| p.part == Part::Lid(side))?;
    let (panel, places) = (&assembly.panels[i], assembly.closed());
    let place = places.get(i)?;
    let on = |p: Point| {
        let q = place.at(p, panel.level);
        pt(q.x, q.y)
    };
    Some(Contour::polygon(panel.outline.flatten(CHORD).into_iter().map(on)).ccw())
}

/// What is said of them where the box is closed.
pub(super) fn words(told: &Told<'_>) -> Vec<String> {
    let job = told.job;
    let cloth = thicknesses(job).1 * 2.0;
    let of = |first: Side| {
        let second = first.opposite();
        let (a, b) = (job.flaps.get(&first)?, job.flaps.get(&second)?);
        let is_drawn = |shape: &FlapShape| matches!(shape, FlapShape::Outline(_));
        if a.tier != b.tier || !is_drawn(&a.shape) || !is_drawn(&b.shape) {
            return None;
        }
        let (one, other) = (closed(&told.design.assembly, first)?, closed(&told.design.assembly, second)?);
        one.bounds().shared(other.bounds())?;
        let apart = |of: &Contour, from: &Contour| {
            of.vertices().iter().map(|v| from.distance_to(v.point())).fold(f64::INFINITY, f64::min)
        };
        let left = mm(apart(&one, &other).min(apart(&other, &one))) - cloth;
        Some(format!(
            "The {} and the {} lid interlock, {} apart where they are nearest: lower them together, and open them together.",
            first.word(),
            second.word(),
            show(told, left.max(mm(0.0)))
        ))
    };
    [Side::Left, Side::Head].into_iter().filter_map(of).collect()
}

//! The straps' slots through the base and the pockets that its glued ends lie in.

use super::Pocket;
use super::measures::Measures;
use crate::geom::{Contour, Point, pt};
use crate::job::{Elastic, Strap, StrapAlong};

/// The straps' centre lines, mm from the middle of the base: x of those along the height, y of
/// those along the width. The second lies as far from the opposite edge as the first.
pub fn strap_lines(strap: &Strap, m: &Measures) -> Vec<f64> {
    let first = match strap.along {
        StrapAlong::Height => (m.base_width / 2.0 - strap.from_edge).to_mm(),
        StrapAlong::Width => (strap.from_edge - m.base_height / 2.0).to_mm(),
    };
    if strap.count == 2 { vec![first, -first] } else { vec![first] }
}

/// The slots (counter-clockwise) and pockets of one strap or two, in the flat layout, of each the
/// one at head or left first. A slot is a little longer and wider than the elastic's cross-section; its pocket
/// opens from the slot's inner edge and runs towards the middle of the base.
pub(super) fn slots_and_pockets(strap: &Strap, elastic: &Elastic, m: &Measures) -> Vec<(Contour, Pocket)> {
    let half_across = (elastic.width + strap.slot_ease).to_mm() / 2.0;
    let half_along = (elastic.thickness + strap.slot_ease).to_mm() / 2.0;
    let (inset, tail) = (strap.inset.to_mm(), strap.tail.to_mm());
    // Along the strap u runs outwards from the middle; v is the strap's own line across.
    let half_run = match strap.along {
        StrapAlong::Height => m.base_height.to_mm() / 2.0,
        StrapAlong::Width => m.base_width.to_mm() / 2.0,
    };
    let place = |u: f64, v: f64, sign: f64| -> Point {
        match strap.along {
            StrapAlong::Height => pt(v, sign * u),
            StrapAlong::Width => pt(-sign * u, v),
        }
    };
    let rectangle = |u0: f64, u1: f64, line: f64, sign: f64| {
        let (a, b) = (place(u0, line - half_across, sign), place(u1, line + half_across, sign));
        Contour::rectangle(pt(a.x.min(b.x), a.y.min(b.y)), pt(a.x.max(b.x), a.y.max(b.y)))
    };
    let at = half_run - inset;
    strap_lines(strap, m)
        .into_iter()
        .flat_map(|line| [(line, 1.0), (line, -1.0)])
        .map(|(line, sign)| {
            let slot = rectangle(at - half_along, at + half_along, line, sign);
            let outline = rectangle(at - half_along - tail, at - half_along, line, sign);
            (slot, Pocket { outline, depth: strap.pocket_depth })
        })
        .collect()
}

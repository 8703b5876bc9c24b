//! What is left of a contour when another is cut off it, arcs kept.

use super::{Contour, Vertex};
use cavalier_contours::polyline::{BooleanOp, PlineBooleanOptions, PlineSource, PlineSourceMut, PlineVertex, Polyline};

/// The library's equality tolerance, as for offsets.
const EQUAL: f64 = 1e-7;

/// The largest part of `contour` that lies outside `cutter`, counter-clockwise; `contour` itself
/// where the two share nothing. Both must be free of crossings. What falls off beside the largest
/// part is waste.
#[must_use]
pub fn without(contour: &Contour, cutter: &Contour) -> Contour {
    if !contour.bounds().overlaps(cutter.bounds(), 0.0) {
        return contour.clone().ccw();
    }
    let options = PlineBooleanOptions { pos_equal_eps: EQUAL, ..PlineBooleanOptions::default() };
    let result = pline(contour).boolean_opt(&pline(cutter), BooleanOp::Not, &options);
    result
        .pos_plines
        .iter()
        .map(|p| Contour::new(p.pline.iter_vertexes().map(|v| Vertex { x: v.x, y: v.y, bulge: v.bulge })).ccw())
        .max_by(|a, b| a.area().total_cmp(&b.area()))
        .map_or_else(|| contour.clone().ccw(), |c| c.without_straight_vertices())
}

fn pline(contour: &Contour) -> Polyline {
    let mut pline = Polyline::new_closed();
    for v in contour.clone().ccw().vertices() {
        pline.add_vertex(PlineVertex::new(v.x, v.y, v.bulge));
    }
    pline
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    #[test]
    fn a_corner_goes_and_an_arc_stays_an_arc() {
        let block = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 30.0));
        let wedge = Contour::polygon([pt(35.0, 40.0), pt(30.0, 30.0), pt(40.0, 20.0), pt(50.0, 25.0)]);
        for i in 0..4 {
            let cut = without(&block.started_at(i), &wedge);
            assert!((cut.area() - (1200.0 - 50.0)).abs() < 1e-9, "{cut:?}");
        }
        let bite = without(&block, &Contour::circle(pt(40.0, 15.0), 5.0));
        assert!((bite.area() - (1200.0 - std::f64::consts::PI * 12.5)).abs() < 1e-9);
        assert!(bite.segments().any(|s| (s.radius() - 5.0).abs() < 1e-9));
        assert_eq!(without(&block, &Contour::circle(pt(90.0, 15.0), 5.0)), block);
    }

    #[test]
    fn what_falls_off_is_waste() {
        let block = Contour::rectangle(pt(0.0, 0.0), pt(40.0, 10.0));
        let saw = Contour::rectangle(pt(30.0, -5.0), pt(31.0, 15.0));
        assert!((without(&block, &saw).area() - 300.0).abs() < 1e-9);
    }
}

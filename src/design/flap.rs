//! The outline of a lid.

use crate::geom::{Contour, FilletError, Segment, Vertex, fillet, intersections, pt};
use crate::job::{Flap, FlapShape, Notch};
use crate::units::Length;

/// Why a lid has no outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlapError {
    /// Its sides meet before the free edge.
    Closed,
    /// The arc of its free edge would be more than a half circle, or longer than the lid.
    Bow,
    /// Its corners cannot be rounded so far.
    Round,
    /// Its notch does not fit on its free edge.
    Notch,
}

/// Half the narrowest free edge, mm: less is a point, not an edge to turn cloth over (our choice).
const NARROWEST: f64 = 0.5;

/// The outline of a lid, counter-clockwise, its hinge edge from (-width/2, 0) to (width/2, 0) and
/// its free edge up: vertex 0 and 1 are the hinge's ends. `reach` is measured to the farthest
/// point of the free edge.
///
/// A bow of rise b over the chord w is the arc of bulge `2 b / w`; negative it dips inwards, and
/// then the corners are the farthest points.
pub fn outline(width: Length, reach: Length, flap: &Flap) -> Result<Contour, FlapError> {
    let (half, reach) = (width.to_mm() / 2.0, reach.to_mm());
    let (free_half, corner_at, bulge) = match &flap.shape {
        FlapShape::Outline(drawn) => return Ok(lengthened(&drawn.contour, reach - drawn.contour.bounds().max.y)),
        FlapShape::Square => (half, reach, 0.0),
        FlapShape::Taper(degrees) => (half - reach * degrees.to_radians().tan(), reach, 0.0),
        FlapShape::Bow(rise) => (half, reach - rise.to_mm().max(0.0), rise.to_mm() / half),
    };
    if free_half < NARROWEST {
        return Err(FlapError::Closed);
    }
    if bulge.abs() > 1.0 || corner_at <= 0.0 || reach + bulge.min(0.0) * half <= 0.0 {
        return Err(FlapError::Bow);
    }
    let sharp = Contour::new([
        Vertex::new(pt(-half, 0.0), 0.0),
        Vertex::new(pt(half, 0.0), 0.0),
        Vertex::new(pt(free_half, corner_at), bulge),
        Vertex::new(pt(-free_half, corner_at), 0.0),
    ]);
    let radius = flap.corner_radius.to_mm();
    let rounded = if radius <= 0.0 {
        sharp
    } else {
        // The later corner first, so that the earlier keeps its number.
        [3, 2].into_iter().try_fold(sharp, |c, corner| match fillet(&c, corner, radius) {
            Ok(rounded) => Ok(rounded),
            // A free edge that is a half circle runs into the sides smoothly: nothing to round.
            Err(FilletError::NoCorner) => Ok(c),
            Err(FilletError::TooLarge) => Err(FlapError::Round),
        })?
    };
    flap.notch.map_or(Ok(rounded.clone()), |notch| notched(&rounded, &notch).ok_or(FlapError::Notch))
}

/// A drawn outline with everything above its hinge edge `by` farther off, by straight sides.
fn lengthened(drawn: &Contour, by: f64) -> Contour {
    if by <= 0.0 {
        return drawn.clone();
    }
    let v = drawn.vertices();
    let up = |v: &Vertex| Vertex { y: v.y + by, ..*v };
    let hinge = v.iter().take(2).map(|v| Vertex { bulge: 0.0, ..*v });
    Contour::new(hinge.chain(v.iter().skip(1).map(up)).chain(v.first().map(|v| Vertex { bulge: 0.0, ..up(v) })))
}

/// The outline with a notch in the middle of its free edge: the arc through the free edge at half
/// the notch's width on both sides and its bottom, bulge `2 sagitta / width`.
fn notched(outline: &Contour, notch: &Notch) -> Option<Contour> {
    let (half, top) = (notch.width.to_mm() / 2.0, outline.bounds().max.y);
    // The free edge as a walk round the lid meets it: from +x to -x.
    let hit = |x: f64| {
        let up = Segment::line(pt(x, 0.0), pt(x, top + 1.0));
        let hits = outline
            .segments()
            .enumerate()
            .skip(1)
            .flat_map(|(i, s)| intersections(&up, &s).into_iter().map(move |p| (i, p)).collect::<Vec<_>>());
        hits.max_by(|a, b| a.1.y.total_cmp(&b.1.y))
    };
    let ((edge, right), (same, left), (_, middle)) = (hit(half)?, hit(-half)?, hit(0.0)?);
    let free = outline.segments().nth(edge)?;
    let sagitta = right.y - (middle.y - notch.depth.to_mm());
    if edge != same || sagitta <= 0.0 || sagitta > half * (1.0 + 1e-9) {
        return None;
    }
    let (before, after) = (free.between(0.0, free.nearest_share(right)), free.between(free.nearest_share(left), 1.0));
    let mut vertices = outline.vertices().to_vec();
    vertices[edge].bulge = before.bulge;
    vertices.splice(edge + 1..edge + 1, [Vertex::new(right, -sagitta / half), Vertex::new(left, after.bulge)]);
    let sharp = Contour::new(vertices);
    let radius = notch.radius.to_mm();
    if radius <= 0.0 {
        return Some(sharp);
    }
    [edge + 2, edge + 1].into_iter().try_fold(sharp, |c, corner| fillet(&c, corner, radius).ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::first_self_crossing;
    use crate::units::mm;

    fn flap(shape: FlapShape, radius: f64) -> Flap {
        Flap { tier: 1, reach: mm(50.0), shape, corner_radius: mm(radius), notch: None }
    }

    #[test]
    fn every_shape_reaches_as_far_as_asked_and_no_farther() {
        for shape in [FlapShape::Square, FlapShape::Taper(8.0), FlapShape::Bow(mm(12.0)), FlapShape::Bow(mm(-12.0))] {
            for radius in [0.0, 5.0] {
                let o = outline(mm(120.0), mm(50.0), &flap(shape.clone(), radius)).expect("fits");
                let b = o.bounds();
                // A dipped edge has its farthest points at the corners, which a round shortens.
                let slack = if matches!(shape, FlapShape::Bow(r) if r < Length::ZERO) { radius } else { 1e-9 };
                assert!(b.max.y <= 50.0 + 1e-9 && b.max.y >= 50.0 - slack, "{shape:?} {radius}: {b:?}");
                assert!((b.width() - 120.0).abs() < 1e-9 && b.min.y.abs() < 1e-12);
                assert!(o.is_ccw() && first_self_crossing(&o).is_none());
            }
        }
    }

    #[test]
    fn impossible_lids_are_told_apart() {
        let try_it = |shape, radius, width| outline(mm(width), mm(50.0), &flap(shape, radius));
        assert_eq!(try_it(FlapShape::Taper(45.0), 0.0, 100.0), Err(FlapError::Closed));
        assert_eq!(try_it(FlapShape::Bow(mm(60.0)), 0.0, 100.0), Err(FlapError::Bow));
        assert_eq!(try_it(FlapShape::Square, 51.0, 200.0), Err(FlapError::Round));
        assert_eq!(try_it(FlapShape::Square, 26.0, 50.0), Err(FlapError::Round));
        assert!(try_it(FlapShape::Bow(mm(40.0)), 3.0, 80.0).is_ok());
    }
}

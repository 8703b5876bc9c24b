//! Layouts that a straight edge can cut: every cut runs from edge to edge of the part that it divides
//! (guillotine cuts: P. Gilmore and R. Gomory, 1965; free rectangles that do not overlap: J. Jylänki, "A
//! Thousand Ways to Pack the Bin", 2010).

use super::kind::SLACK;
use crate::geom::{Bounds, pt};

/// What is trimmed off is more than this, mm: less is rounding.
const TRIM: f64 = 0.01;

/// One cut of a sheet, from edge to edge of the part that is then in hand, sheet coordinates.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct StraightCut {
    /// The part that is cut.
    pub part: Bounds,
    /// Whether it runs up the sheet, at one x; else across it, at one y.
    pub is_upright: bool,
    /// Where: x or y.
    pub at: f64,
}

/// What is free of a whole when rectangles on it are cut out, in parts that overlap nowhere; `None` where no
/// straight cuts take them apart.
pub(super) fn free_parts(whole: Bounds, taken: &[Bounds]) -> Option<Vec<Bounds>> {
    let mut free = Vec::new();
    divide(whole, taken.to_vec(), &mut |part, of| match of {
        None => free.push(part),
        Some(piece) => free.extend(beside(part, piece)),
    })
    .then_some(free)
}

/// What is left of a part in which one thing lies: the strips beside it, first those that give the larger
/// rectangle.
pub(super) fn beside(part: Bounds, thing: Bounds) -> Vec<Bounds> {
    let (min, max) = (thing.min, thing.max);
    let right = Bounds { min: pt(max.x, part.min.y), max: part.max };
    let above = Bounds { min: pt(part.min.x, max.y), max: part.max };
    let is_right = area(right) >= area(above);
    let all = if is_right {
        [right, Bounds { min: pt(part.min.x, max.y), max: pt(max.x, part.max.y) }]
    } else {
        [above, Bounds { min: pt(max.x, part.min.y), max: pt(part.max.x, max.y) }]
    };
    // Mostly nothing: things lie in their part's lower left corner.
    let low =
        [Bounds { min: part.min, max: pt(min.x, max.y) }, Bounds { min: pt(min.x, part.min.y), max: pt(max.x, min.y) }];
    all.into_iter().chain(low).filter(|b| b.width() > SLACK && b.height() > SLACK).collect()
}

fn area(b: Bounds) -> f64 {
    b.width().max(0.0) * b.height().max(0.0)
}

/// Takes a part with things on it apart by straight cuts, and tells each last part with its thing; whether that
/// can be done.
fn divide(part: Bounds, things: Vec<Bounds>, tell: &mut impl FnMut(Bounds, Option<Bounds>)) -> bool {
    if things.len() < 2 {
        tell(part, things.first().copied());
        return true;
    }
    let Some((is_upright, at)) = first_split(&things) else { return false };
    let ([low, high], [before, after]) = split(part, things, is_upright, at);
    divide(low, before, tell) && divide(high, after, tell)
}

type Halves = ([Bounds; 2], [Vec<Bounds>; 2]);

fn split(part: Bounds, things: Vec<Bounds>, is_upright: bool, at: f64) -> Halves {
    let (mut low, mut high) = (part, part);
    if is_upright {
        (low.max.x, high.min.x) = (at, at);
    } else {
        (low.max.y, high.min.y) = (at, at);
    }
    let end = |b: &Bounds| if is_upright { b.max.x } else { b.max.y };
    let (before, after) = things.into_iter().partition(|b| end(b) <= at + SLACK);
    ([low, high], [before, after])
}

/// Where a cut first passes between things: the end of those before it. The direction that parts more of them
/// goes first.
fn first_split(things: &[Bounds]) -> Option<(bool, f64)> {
    let of = |is_upright: bool| -> Vec<f64> {
        let mut spans: Vec<(f64, f64)> =
            things.iter().map(|b| if is_upright { (b.min.x, b.max.x) } else { (b.min.y, b.max.y) }).collect();
        spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut ends = Vec::new();
        let mut end = f64::NEG_INFINITY;
        for (from, to) in spans {
            if end.is_finite() && from >= end - SLACK {
                ends.push(end);
            }
            end = end.max(to);
        }
        ends
    };
    let (upright, across) = (of(true), of(false));
    match (upright.first(), across.first()) {
        (Some(x), Some(_)) if upright.len() > across.len() => Some((true, *x)),
        (_, Some(y)) => Some((false, *y)),
        (Some(x), None) => Some((true, *x)),
        (None, None) => None,
    }
}

/// The cuts that take the pieces of a sheet apart, in their order: first what is left over is cut off, then the
/// parts are divided, each trimmed to its pieces. `None` where straight cuts cannot.
pub fn straight_cuts(sheet: Bounds, pieces: &[Bounds]) -> Option<Vec<StraightCut>> {
    let mut cuts = Vec::new();
    taken_apart(sheet, pieces.to_vec(), &mut cuts).then_some(cuts)
}

fn taken_apart(mut part: Bounds, pieces: Vec<Bounds>, cuts: &mut Vec<StraightCut>) -> bool {
    let all = pieces.iter().fold(Bounds::EMPTY, |b, p| b.union(*p));
    if pieces.is_empty() {
        return true;
    }
    // The wider strip first: it is what can be kept.
    let mut trims = [
        (all.min.x - part.min.x, true, false),
        (part.max.x - all.max.x, true, true),
        (all.min.y - part.min.y, false, false),
        (part.max.y - all.max.y, false, true),
    ];
    trims.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (strip, is_upright, is_far) in trims {
        if strip <= TRIM {
            continue;
        }
        let side = if is_far { all.max } else { all.min };
        let at = if is_upright { side.x } else { side.y };
        cuts.push(StraightCut { part, is_upright, at });
        let kept = if is_far { &mut part.max } else { &mut part.min };
        if is_upright {
            kept.x = at;
        } else {
            kept.y = at;
        }
    }
    if pieces.len() == 1 {
        return true;
    }
    let Some((is_upright, at)) = first_split(&pieces) else { return false };
    cuts.push(StraightCut { part, is_upright, at });
    let ([low, high], [before, after]) = split(part, pieces, is_upright, at);
    taken_apart(low, before, cuts) && taken_apart(high, after, cuts)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rect(x: f64, y: f64, w: f64, h: f64) -> Bounds {
        Bounds { min: pt(x, y), max: pt(x + w, y + h) }
    }

    #[test]
    fn rectangles_are_taken_apart_in_order() {
        // Two side by side under a third: first the strip that is left over, then across, then up between the two.
        let pieces = [rect(0.0, 0.0, 40.0, 30.0), rect(40.0, 0.0, 60.0, 30.0), rect(0.0, 30.0, 100.0, 20.0)];
        let cuts = straight_cuts(rect(0.0, 0.0, 100.0, 80.0), &pieces).unwrap();
        let told: Vec<(bool, f64)> = cuts.iter().map(|c| (c.is_upright, c.at)).collect();
        assert_eq!(told, [(false, 50.0), (false, 30.0), (true, 40.0)]);
        assert_eq!(cuts[2].part, rect(0.0, 0.0, 100.0, 30.0));
        let free = free_parts(rect(0.0, 0.0, 100.0, 80.0), &pieces).unwrap();
        assert!((free.iter().map(|b| area(*b)).sum::<f64>() - 3000.0).abs() < 1e-9);
    }

    #[test]
    fn a_pinwheel_cannot_be_cut_straight() {
        let wheel = [
            rect(0.0, 0.0, 20.0, 10.0),
            rect(20.0, 0.0, 10.0, 20.0),
            rect(10.0, 20.0, 20.0, 10.0),
            rect(0.0, 10.0, 10.0, 20.0),
        ];
        assert_eq!(straight_cuts(rect(0.0, 0.0, 30.0, 30.0), &wheel), None);
        assert_eq!(free_parts(rect(0.0, 0.0, 30.0, 30.0), &wheel), None);
    }

    #[test]
    fn what_is_left_beside_a_thing_is_all_of_it() {
        for thing in [rect(0.0, 0.0, 30.0, 20.0), rect(10.0, 5.0, 30.0, 20.0), rect(60.0, 60.0, 40.0, 20.0)] {
            let part = rect(0.0, 0.0, 100.0, 80.0);
            let strips = beside(part, thing);
            let sum: f64 = strips.iter().map(|b| area(*b)).sum();
            assert!((sum - (8000.0 - area(thing))).abs() < 1e-9, "{thing:?}: {strips:?}");
            assert!(strips.iter().all(|s| !s.overlaps(thing, 1e-9)));
        }
    }
}

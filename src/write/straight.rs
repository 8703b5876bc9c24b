//! The cuts from edge to edge that take a sheet apart, each with its number and where that stands.

use crate::geom::{Bounds, Point, pt};
use crate::nest::StraightCut;

/// A number is tried at so many places along its cut, from its beginning on: the first that is free.
const PLACES: u32 = 40;

/// A cut as it is drawn, in the sheet's coordinates.
pub(super) struct NumberedCut {
    /// Where it begins and ends.
    pub(super) ends: [Point; 2],
    /// Its number in the order of cuts, from 1.
    pub(super) number: String,
    /// The middle of the number.
    pub(super) at: Point,
}

/// The cuts in their order. `half` is half the width and height of a number; none stands on another, nor on
/// what is `taken`, where there is room along its cut.
pub(super) fn numbered(cuts: &[StraightCut], mut taken: Vec<Bounds>, half: impl Fn(&str) -> Point) -> Vec<NumberedCut> {
    let mut all = Vec::new();
    for (n, cut) in (1..).zip(cuts) {
        let ends = ends(cut);
        let [from, to] = ends;
        let number = format!("{n}");
        let half = half(&number);
        let around = |p: Point| Bounds { min: p - half, max: p + half };
        let places = (1..PLACES).map(|k| from.lerp(to, f64::from(k) / f64::from(PLACES)));
        let covers = |p: Point| taken.iter().filter(|t| t.overlaps(around(p), 0.0)).count();
        let least = |best: (usize, Point), p: Point| if covers(p) < best.0 { (covers(p), p) } else { best };
        let middle = from.lerp(to, 0.5);
        // Where nothing is free, on as few others as can be.
        let at = places.clone().find(|p| covers(*p) == 0).unwrap_or_else(|| places.fold((usize::MAX, middle), least).1);
        taken.push(around(at));
        all.push(NumberedCut { ends, number, at });
    }
    all
}

/// From where to where a cut runs.
fn ends(cut: &StraightCut) -> [Point; 2] {
    let Bounds { min, max } = cut.part;
    if cut.is_upright { [pt(cut.at, min.y), pt(cut.at, max.y)] } else { [pt(min.x, cut.at), pt(max.x, cut.at)] }
}

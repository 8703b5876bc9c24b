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
    /// The edge of that part which it is measured from: what lies between is kept, so that it comes out as large
    /// as it must be.
    pub from: PartEdge,
}

/// An edge of a part of a sheet, as the sheet lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PartEdge {
    /// At the least x.
    Left,
    /// At the greatest x.
    Right,
    /// At the least y.
    Lower,
    /// At the greatest y.
    Upper,
}

impl PartEdge {
    /// What it is called.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Lower => "lower",
            Self::Upper => "upper",
        }
    }
}

impl StraightCut {
    fn new(part: Bounds, is_upright: bool, at: f64, is_from_far: bool) -> Self {
        let from = match (is_upright, is_from_far) {
            (true, false) => PartEdge::Left,
            (true, true) => PartEdge::Right,
            (false, false) => PartEdge::Lower,
            (false, true) => PartEdge::Upper,
        };
        Self { part, is_upright, at, from }
    }

    /// How far from the edge that it is measured from, mm.
    pub fn distance(&self) -> f64 {
        match self.from {
            PartEdge::Left => self.at - self.part.min.x,
            PartEdge::Right => self.part.max.x - self.at,
            PartEdge::Lower => self.at - self.part.min.y,
            PartEdge::Upper => self.part.max.y - self.at,
        }
    }

    /// What it leaves: left of it or below it, and beyond.
    pub fn halves(&self) -> [Bounds; 2] {
        let (mut low, mut high) = (self.part, self.part);
        if self.is_upright {
            (low.max.x, high.min.x) = (self.at, self.at);
        } else {
            (low.max.y, high.min.y) = (self.at, self.at);
        }
        [low, high]
    }
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

/// The cuts that take the pieces of a sheet apart, in their order: first what is left over is cut off, `offcut`, a
/// strip of the sheet, whole before all else; then the parts are divided, each trimmed to its pieces. `None` where
/// straight cuts cannot.
pub fn straight_cuts(sheet: Bounds, pieces: &[Bounds], offcut: Option<Bounds>) -> Option<Vec<StraightCut>> {
    let mut cuts = Vec::new();
    taken_apart(sheet, pieces.to_vec(), offcut, &mut cuts).then_some(cuts)
}

fn taken_apart(mut part: Bounds, pieces: Vec<Bounds>, offcut: Option<Bounds>, cuts: &mut Vec<StraightCut>) -> bool {
    let all = pieces.iter().fold(Bounds::EMPTY, |b, p| b.union(*p));
    if pieces.is_empty() {
        return true;
    }
    while let Some((strip, cut)) = next_trim(part, all, offcut) {
        part = if strip == 0 { cut.halves()[1] } else { cut.halves()[0] };
        cuts.push(cut);
    }
    if pieces.len() == 1 {
        return true;
    }
    let Some((is_upright, at)) = first_split(&pieces) else { return false };
    cuts.push(StraightCut::new(part, is_upright, at, false));
    let ([low, high], [before, after]) = split(part, pieces, is_upright, at);
    taken_apart(low, before, None, cuts) && taken_apart(high, after, None, cuts)
}

/// The next strip to be trimmed off a part with `all` that is wanted of it, as which half of its cut: the one with
/// `offcut` on it before all others, then the largest, for it is what can be kept.
fn next_trim(part: Bounds, all: Bounds, offcut: Option<Bounds>) -> Option<(usize, StraightCut)> {
    let sides = [(false, all.max.y, 1), (true, all.max.x, 1), (true, all.min.x, 0), (false, all.min.y, 0)];
    let trims = sides.into_iter().filter_map(|(is_upright, at, strip)| {
        let cut = StraightCut::new(part, is_upright, at, strip == 0);
        let off = cut.halves()[strip];
        let wide = if is_upright { off.width() } else { off.height() };
        let is_kept = offcut.is_some_and(|o| off.contains(o, TRIM));
        (wide > TRIM).then_some((is_kept, area(off), strip, cut))
    });
    // Of equal ones the first.
    let better = |best: &(bool, f64, usize, StraightCut), other: &(bool, f64, usize, StraightCut)| {
        (other.0, other.1) > (best.0, best.1)
    };
    let best = trims.reduce(|best, other| if better(&best, &other) { other } else { best });
    best.map(|(_, _, strip, cut)| (strip, cut))
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
        let cuts = straight_cuts(rect(0.0, 0.0, 100.0, 80.0), &pieces, None).unwrap();
        let told: Vec<(bool, f64)> = cuts.iter().map(|c| (c.is_upright, c.at)).collect();
        assert_eq!(told, [(false, 50.0), (false, 30.0), (true, 40.0)]);
        assert!((cuts[2].distance() - 40.0).abs() < 1e-9);
        assert_eq!(cuts[2].part, rect(0.0, 0.0, 100.0, 30.0));
        let free = free_parts(rect(0.0, 0.0, 100.0, 80.0), &pieces).unwrap();
        assert!((free.iter().map(|b| area(*b)).sum::<f64>() - 3000.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_kept_is_cut_off_whole_and_before_all_else() {
        let (sheet, piece) = (rect(0.0, 0.0, 100.0, 400.0), [rect(5.0, 5.0, 20.0, 310.0)]);
        // Above the piece 100 x 85, beside it 75 x 400: the strip beside it is narrower, and larger.
        let cuts = straight_cuts(sheet, &piece, None).unwrap();
        let told: Vec<_> = cuts.iter().map(|c| (c.from.word(), c.distance())).collect();
        assert_eq!(told, [("left", 25.0), ("lower", 315.0), ("right", 20.0), ("upper", 310.0)]);
        // What lies above is wanted whole, though it is less.
        let above = straight_cuts(sheet, &piece, Some(rect(0.0, 320.0, 100.0, 80.0))).unwrap();
        assert_eq!((above[0].from, above[0].at), (PartEdge::Lower, 315.0));
        assert_eq!(above[0].halves()[1], rect(0.0, 315.0, 100.0, 85.0));
    }

    #[test]
    fn a_pinwheel_cannot_be_cut_straight() {
        let wheel = [
            rect(0.0, 0.0, 20.0, 10.0),
            rect(20.0, 0.0, 10.0, 20.0),
            rect(10.0, 20.0, 20.0, 10.0),
            rect(0.0, 10.0, 10.0, 20.0),
        ];
        assert_eq!(straight_cuts(rect(0.0, 0.0, 30.0, 30.0), &wheel, None), None);
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

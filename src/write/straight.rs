//! The cuts from edge to edge that take a sheet apart, each with its number and where that stands.

use crate::geom::{Bounds, Point, pt};
use crate::nest::{Sheet, StraightCut};
use crate::units::{Unit, mm};

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

/// What comes off by a cut, and is not cut again, has this much more than a piece at the most, mm: less is rounding.
const NEAR: f64 = 0.011;

/// What is said of a cut beside its number.
pub(super) struct ToldCut {
    /// Its number.
    pub(super) number: String,
    /// The edge of the part in hand, as the sheet lies, from which it is measured.
    pub(super) edge: &'static str,
    /// How far from there.
    pub(super) at: String,
    /// What it cuts free: the pieces by their place in [`Sheet::placed`].
    #[cfg_attr(not(feature = "pdf"), allow(dead_code, reason = "the guide alone names them"))]
    pub(super) pieces: Vec<usize>,
    /// Whether what can be kept comes off.
    pub(super) frees_offcut: bool,
}

impl ToldCut {
    /// In a line of its own.
    pub(super) fn in_words(&self) -> String {
        let Self { number, edge, at, .. } = self;
        let frees = if self.frees_offcut { ": offcut" } else { "" };
        format!("{number}: {at} from the {edge} edge{frees}")
    }
}

/// The cuts of a sheet in words, in their order.
pub(super) fn told(sheet: &Sheet, unit: Unit) -> Vec<ToldCut> {
    let offcut = sheet.offcut.map(|o| o.bounds());
    let is_free = |part: &Bounds, piece: &Bounds| part.contains(*piece, NEAR) && piece.contains(*part, NEAR);
    let of = |(n, cut): (usize, &StraightCut)| {
        let halves = cut.halves();
        let free = |p: &Bounds| halves.iter().any(|half| is_free(half, p));
        let holds = |half: &Bounds| offcut.is_some_and(|o| half.contains(o, NEAR));
        let is_bare = |half: &Bounds| sheet.placed.iter().all(|p| !half.overlaps(p.bounds, NEAR));
        ToldCut {
            number: n.to_string(),
            edge: cut.from.word(),
            at: unit.show_by_hand(mm(cut.distance())),
            pieces: (0..sheet.placed.len()).filter(|i| free(&sheet.placed[*i].bounds)).collect(),
            frees_offcut: halves.iter().any(|half| holds(half) && is_bare(half)),
        }
    };
    (1..).zip(&sheet.cuts).map(of).collect()
}

/// From where to where a cut runs.
fn ends(cut: &StraightCut) -> [Point; 2] {
    let Bounds { min, max } = cut.part;
    if cut.is_upright { [pt(cut.at, min.y), pt(cut.at, max.y)] } else { [pt(min.x, cut.at), pt(max.x, cut.at)] }
}

//! The cloth beyond boards and joints as the tabs that its cuts leave, and where each lies once it is turned in.
//!
//! A tab is one piece of cloth from the rim, the edge of boards and joints together, out to the cloth's own edge,
//! between two cuts: slits, and wedges, each carried on to the rim, for the short stretch that holds the cloth
//! together there tears or folds either way. What lies straight out from a board's edge is folded about it and loses
//! the board's thickness and its own on the way round (derived: as if mirrored over a line half of that outside). At
//! a joint's ends there is no board to go round, and each half of the cloth there folds with the board beside it. A
//! tab that leans beyond the last that it goes round is still one piece: its tip goes along with that fold.

use super::Piece;
use super::flat::{Beside, Flat};
use super::measures::{paper, thicknesses};
use crate::assembly::Part;
use crate::geom::{Bounds, Contour, Point, Segment, half_of, parts_without, rings_shared, turn_between};
use crate::job::{Job, StockKind};
use rayon::prelude::*;

/// Cloth as it lies turned in.
#[derive(Clone, Debug)]
pub(super) struct Turned {
    /// Its outline in the flat layout, counter-clockwise.
    pub(super) ring: Vec<Point>,
    /// The rectangle about that.
    pub(super) bounds: Bounds,
    /// The one board on which it lies, where it is drawn along by a curve; otherwise it lies wherever it reaches.
    pub(super) only: Option<Part>,
    /// Whether it lies in a joint alone.
    pub(super) is_in_joint: bool,
    /// Whether it is the paper of a side.
    pub(super) is_paper: bool,
}

/// Chords stray from arcs by so much, mm, and turn by no more than this, radians.
const CHORD: f64 = 0.03;
const TURN: f64 = 0.3;
/// Half the width of a cut, mm: enough that what lies on both sides of it is two pieces.
const CUT: f64 = 1e-3;
/// What goes round less of the rim than this, mm, touches it in a point.
const POINT: f64 = 0.05;
/// Points nearer to a line than this, mm, lie on it.
const HAIR: f64 = 1e-9;
/// Two stretches of the rim farther apart than this, mm, are not neighbours.
const GAP: f64 = 0.1;
/// Cloth at a joint's end folds with the board beside it unless it would turn by more than this, radians.
const ALONG: f64 = 1.2;
/// A rim that turns by less than this between two chords, radians, goes on in a curve, which draws cloth along with
/// it, this far, mm (our choice).
const CURVE: f64 = 0.6;
const DRAWN: f64 = 30.0;
/// The cloth's edge turns inwards by more than this at the end of a wedge, radians.
const APEX: f64 = 0.3;
/// A wedge ends nearer to the rim than this, as a share of the turn-in.
const NEAR: f64 = 0.75;
/// How far out from the rim cloth is turned in, mm beyond the turn-in.
const BEYOND: f64 = 6.0;

/// A straight stretch of the rim, its outside to the right, and how the cloth there folds.
struct Stretch {
    ends: [Point; 2],
    beside: Beside,
    fold: Fold,
    /// Whether it goes on in a curve before it and after it.
    curves: [bool; 2],
}

/// About which line cloth folds: a point of it and the way out; and what of the cloth is lost round an edge, mm.
#[derive(Clone, Copy)]
struct Fold {
    on: Point,
    out: Point,
    lost: f64,
}

impl Fold {
    fn along(&self) -> Point {
        self.out.left()
    }

    /// Where cloth comes to lie.
    fn turned(&self, ring: &[Point]) -> Vec<Point> {
        let over = |p: Point| p - self.out * (2.0 * (p - self.on).dot(self.out) - self.lost);
        // Mirrored it runs the other way.
        ring.iter().rev().map(|p| over(*p)).collect()
    }

    /// What of some cloth lies farther out than it loses, and no farther than `far`.
    fn beyond(&self, from: Point, ring: &[Point], far: f64) -> Vec<Point> {
        let ring = half_of(ring, from + self.out * self.lost, self.out);
        half_of(&ring, from + self.out * far, -self.out)
    }
}

/// Where a piece of the covering lies once it is turned in, seen from inside.
pub(super) fn turned_in(job: &Job, flat: &Flat, cloth: &Piece) -> Vec<Turned> {
    let (t, c, _) = thicknesses(job);
    let is_paper = cloth.stock == StockKind::Paper;
    let own = if is_paper { paper(job) } else { c };
    let rim = rim(flat, (t + own).to_mm());
    let turn_in = job.covering.turn_in.to_mm();
    let far = turn_in + BEYOND;
    let of_tab = |tab: &Vec<Vec<Point>>| -> Vec<Turned> {
        let round: Vec<usize> = (0..rim.len()).filter(|i| contact(tab, &rim[*i]) > POINT).collect();
        let Some(cloth) = tab.first() else { return Vec::new() };
        let mut found = Vec::new();
        for stretch in round.iter().map(|i| &rim[*i]) {
            found.extend(folded(stretch, cloth, far));
        }
        if let Some([first, last]) = ends(&rim, &round) {
            found.extend(tip(&rim[first], 0, cloth, far));
            found.extend(tip(&rim[last], 1, cloth, far));
        }
        found.iter_mut().for_each(|f: &mut Turned| f.is_paper = is_paper);
        found
    };
    let tabs = tabs(&rim, cloth, job.covering.slit_stop.to_mm(), turn_in);
    tabs.par_iter().flat_map_iter(of_tab).collect()
}

/// The rim in straight stretches, the ends of joints in two halves.
fn rim(flat: &Flat, lost: f64) -> Vec<Stretch> {
    // Each with how many stretches the next of its joint's end are from it, back and on: a joint's end comes in halves.
    let mut lines: Vec<(Point, Point, Beside, [usize; 2])> = Vec::new();
    for (s, beside) in flat.rim() {
        match beside {
            Beside::Joint(_) => {
                let middle = s.point_at(0.5);
                lines.extend([(s.start, middle, beside, [1, 2]), (middle, s.end, beside, [2, 1])]);
            }
            Beside::Board(_) => {
                let n = if s.is_line() { 1 } else { chords(&s) };
                let at = |k: usize| if k == n { s.end } else { s.point_at(k as f64 / n as f64) };
                lines.extend((0..n).map(|k| (at(k), at(k + 1), beside, [1, 1])));
            }
        }
    }
    lines.retain(|(a, b, ..)| !a.is_near(*b));
    let n = lines.len();
    let out = |i: usize| -> Point { -(lines[i].1 - lines[i].0).normalized().unwrap_or_default().left() };
    let turn = |i: usize, j: usize| turn_between(out(i).heading(), out(j).heading());
    let is_board = |i: usize| matches!(lines[i].2, Beside::Board(_));
    let is_curve = |i: usize, j: usize| match (lines[i].2, lines[j].2) {
        (Beside::Board(a), Beside::Board(b)) => a == b && (1e-6..CURVE).contains(&turn(i, j).abs()),
        _ => false,
    };
    let fold = |i: usize| -> Fold {
        let (on, _, _, [back, ahead]) = lines[i];
        let own = Fold { on, out: out(i), lost: 0.0 };
        if is_board(i) {
            return Fold { lost, ..own };
        }
        let with = |k: usize| {
            (is_board(k) && turn(i, k).abs() < ALONG).then(|| Fold { on: lines[k].0, out: out(k), lost: 0.0 })
        };
        let (before, after) = (with((i + n - back) % n), with((i + ahead) % n));
        // Each half with what is nearer to it.
        if back < ahead { before.or(after) } else { after.or(before) }.unwrap_or(own)
    };
    (0..n)
        .map(|i| Stretch {
            ends: [lines[i].0, lines[i].1],
            beside: lines[i].2,
            fold: fold(i),
            curves: [is_curve((i + n - 1) % n, i), is_curve(i, (i + 1) % n)],
        })
        .collect()
}

/// In how many chords an arc is folded.
fn chords(s: &Segment) -> usize {
    let flat = if s.radius() > CHORD { 2.0 * (1.0 - CHORD / s.radius()).acos() } else { TURN };
    (s.sweep().abs() / flat.min(TURN)).ceil().max(1.0) as usize
}

/// The cloth outside the rim in pieces, each by its rings.
fn tabs(rim: &[Stretch], cloth: &Piece, stop: f64, turn_in: f64) -> Vec<Vec<Vec<Point>>> {
    let outline = cloth.outline.clone().ccw().flatten(CHORD);
    let mut taken = vec![rim.iter().map(|s| s.ends[0]).collect::<Vec<Point>>()];
    for s in cloth.slits.iter().flat_map(|s| s.segments()) {
        taken.extend(cut(s.start, s.end, stop));
    }
    let n = outline.len();
    for i in 0..n {
        let (before, p, after) = (outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]);
        if turn_between((p - before).heading(), (after - p).heading()) < -APEX {
            let near = rim.iter().map(|s| Segment::line(s.ends[0], s.ends[1])).map(|s| s.point_at(s.nearest_share(p)));
            if let Some(q) = near.min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)))
                && q.distance(p) < NEAR * turn_in
            {
                taken.extend(cut(p, q, 0.0));
            }
        }
    }
    parts_without(&outline, &taken)
}

/// A cut as a thin quadrangle, run on past its ends, past the second by `more`.
fn cut(a: Point, b: Point, more: f64) -> Option<Vec<Point>> {
    let along = (b - a).normalized()?;
    let (a, b, aside) = (a - along * (CUT * 10.0), b + along * (more + CUT * 10.0), along.left() * CUT);
    Some(vec![a - aside, b - aside, b + aside, a + aside])
}

/// How much of a stretch of the rim a tab goes round, mm.
fn contact(tab: &[Vec<Point>], stretch: &Stretch) -> f64 {
    let [a, b] = stretch.ends;
    let Some(along) = (b - a).normalized() else { return 0.0 };
    let length = a.distance(b);
    let is_on = |p: Point| (p - a).cross(along).abs() < CUT / 10.0;
    let at = |p: Point| (p - a).dot(along).clamp(0.0, length);
    let sides = |ring: &Vec<Point>| -> f64 {
        (0..ring.len())
            .map(|i| (ring[i], ring[(i + 1) % ring.len()]))
            .filter(|(p, q)| is_on(*p) && is_on(*q))
            .map(|(p, q)| (at(p) - at(q)).abs())
            .sum()
    };
    tab.iter().map(sides).sum()
}

/// The first and the last of the stretches that a tab goes round; none where it goes all round, or round two places.
fn ends(rim: &[Stretch], round: &[usize]) -> Option<[usize; 2]> {
    let n = round.len();
    let follows = |k: usize| {
        let before = round[(k + n - 1) % n];
        rim[before].ends[1].distance(rim[round[k]].ends[0]) <= GAP
    };
    let mut starts = (0..n).filter(|k| !follows(*k));
    match (starts.next(), starts.next()) {
        (Some(first), None) => Some([round[first], round[(first + n - 1) % n]]),
        _ => None,
    }
}

/// What of a tab lies straight out from a stretch of the rim, turned in; and what beside that a curve draws along, which
/// stays on the board that it runs by.
fn folded(stretch: &Stretch, cloth: &[Point], far: f64) -> Vec<Turned> {
    let (fold, [a, b]) = (stretch.fold, stretch.ends);
    let Some(along) = (b - a).normalized() else { return Vec::new() };
    match stretch.beside {
        Beside::Board(part) => {
            let turned = |before: f64, after: f64, only: Option<Part>| -> Vec<Turned> {
                let (p, q, out) = (a - along * before, b + along * after, fold.out * far);
                let own = hanging(stretch, cloth, [p, p + out, q + out, q]);
                own.iter().filter_map(|ring| lies(fold.turned(&fold.beyond(a, ring, far)), only, false)).collect()
            };
            let drawn = |is: bool| if is { DRAWN } else { 0.0 };
            let [before, after] = stretch.curves.map(drawn);
            let mut all = turned(0.0, 0.0, None);
            if before + after > 0.0 {
                all.extend(turned(before, after, Some(part)));
            }
            all
        }
        Beside::Joint(corners) => in_joint(stretch, along, corners, cloth, far),
    }
}

/// The same at a joint's end, where cloth stays within the joint: out from the half the way its fold says; what lies on
/// its inner side, or runs along it, is not its own.
fn in_joint(stretch: &Stretch, along: Point, corners: [Point; 4], cloth: &[Point], far: f64) -> Vec<Turned> {
    let (fold, [a, b]) = (stretch.fold, stretch.ends);
    let straight = fold.out.dot(-along.left());
    if straight < 1e-6 {
        return Vec::new();
    }
    let out = fold.out * (far / straight);
    let within = |ring: Vec<Point>, i: usize| half_of(&ring, corners[i], (corners[(i + 1) % 4] - corners[i]).left());
    let own = hanging(stretch, cloth, [a, a + out, b + out, b]);
    own.iter().filter_map(|ring| lies((0..4).fold(fold.turned(ring), within), None, true)).collect()
}

/// What of a tab lies within a convex cell, counter-clockwise, whose last side runs along a stretch of the rim, and hangs
/// together with that stretch: a tab that goes round most of a box comes by once more, and is another stretch's there.
fn hanging(stretch: &Stretch, cloth: &[Point], cell: [Point; 4]) -> Vec<Vec<Point>> {
    let side = |i: usize| (cell[i], cell[(i + 1) % 4] - cell[i]);
    let ring = (0..4).fold(cloth.to_vec(), |ring, i| half_of(&ring, side(i).0, side(i).1.left()));
    // Parts that are apart come in one ring, joined along a side of the cell, there and back.
    let runs = |i: usize| {
        let ((on, way), n) = (side(i), ring.len());
        let Some(way) = way.normalized() else { return 0 };
        let is_on = |p: Point| (p - on).cross(way).abs() < HAIR;
        let edges = (0..n).map(|k| (ring[k], ring[(k + 1) % n]));
        edges.filter(|(p, q)| is_on(*p) && is_on(*q) && p.distance(*q) > HAIR).count()
    };
    if (0..4).all(|i| runs(i) < 2) {
        return vec![ring];
    }
    let mut parts = rings_shared(cloth, &cell);
    parts.retain(|part| contact(std::slice::from_ref(part), stretch) > POINT);
    parts
}

/// What of a tab leans beyond an end of the last stretch that it goes round, turned in along with it.
fn tip(stretch: &Stretch, end: usize, cloth: &[Point], far: f64) -> Option<Turned> {
    let (fold, p) = (stretch.fold, stretch.ends[end]);
    let way = if end == 0 { -fold.along() } else { fold.along() };
    let ring = half_of(&half_of(cloth, p, way), p + way * far, -way);
    lies(fold.turned(&fold.beyond(p, &ring, far)), None, false)
}

/// Less than this is nothing, mm2.
const NOTHING: f64 = 1e-3;

fn lies(ring: Vec<Point>, only: Option<Part>, is_in_joint: bool) -> Option<Turned> {
    let is_some = ring.len() > 2 && Contour::polygon(ring.iter().copied()).area().abs() > NOTHING;
    is_some.then(|| Turned { bounds: Bounds::of(ring.iter().copied()), ring, only, is_in_joint, is_paper: false })
}

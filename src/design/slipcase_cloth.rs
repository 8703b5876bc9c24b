//! The cloth of a slipcase: one piece from the mouth round the lower face, the back and the upper face to the mouth again,
//! with flaps over both ends.
//!
//! On an end lie, from the board outwards: the tab of the back and the flap of the lower face, as wide as the turn-in and
//! mitred where they meet, and over both the flap of the upper face, which covers the whole end but for a narrow border
//! along the lower face and the back: there is the cloth's joint (common practice, no source: the last layer is set in, so
//! that nothing picks at its edge). No more than two layers lie anywhere.
//!
//! At the mouth the cloth is turned in over the lining. The faces go first: their cloth keeps its whole length on the
//! boards' edges, and inside it ends at the lining of the ends. The flap that covers an end comes after: on the edges it is
//! cut at 45 degrees and lies over the faces' cloth, inside it ends at that. In a thumb notch the cloth is slit towards the
//! middle of the arc, as about the notch of a lid; a strip, as wide as the board is thick and a margin, lines the edge
//! beneath, and the margin, which is slit, lies outside under the cloth.
//!
//! Cloth bends about its inner face: every bend of a right angle takes `pi / 4 c` (derived).

use super::measures::thicknesses;
use super::slipcase_boards::SlipcaseMeasures;
use super::turn_in::{self, Relief};
use crate::geom::{Contour, Path, Point, Stroke, Transform, pt};
use crate::job::Job;
use std::f64::consts::FRAC_PI_4;

/// How far the last flap stays in from the edges at which it ends, mm (our choice: no edge to be picked at); of a thin
/// case no more than this share of it.
const SET_IN: f64 = 1.5;
const SET_IN_OF: f64 = 1.0 / 8.0;
/// The tab of the back is no wider than this share of it, so that it has an edge and not a tip (our choice).
const TAB: f64 = 0.4;
/// A step that is as long as a blade can just cut counts as none: what is measured in hundredths is often just so long,
/// and sums differ by less than this, mm.
const HAIR: f64 = 1e-6;
/// The margin of a notch's strip beside the board's edge, mm (our choice, what a patch has to spare).
pub(super) const MARGIN: f64 = 4.0;
/// How far apart the slits of the margin are, and how far from the board's edge they end, mm (our choice).
const APART: f64 = 4.0;
const STOP: f64 = 1.0;

/// What the cloth goes round, mm.
pub(super) struct Wrapped {
    /// How far it is turned in at the mouth, and how wide the flaps beneath the last one are.
    pub(super) turn_in: f64,
    /// The board's thickness.
    pub(super) board: f64,
    /// The cloth's.
    pub(super) cloth: f64,
    /// The lining's.
    pub(super) lining: f64,
}

/// The cloth as it is cut, seen from its wrong side, the lower face where its board lies in the layout; open to the right.
pub(super) struct Cloth {
    /// Counter-clockwise.
    pub(super) outline: Contour,
    /// Towards the edges of the notches.
    pub(super) slits: Vec<Path>,
    /// Where the faces and the back lie on it.
    pub(super) marks: Vec<Stroke>,
}

impl Wrapped {
    /// What a bend takes.
    pub(super) fn bend(&self) -> f64 {
        FRAC_PI_4 * self.cloth
    }

    /// From the mouth to where the inside begins.
    pub(super) fn edge(&self) -> f64 {
        self.board + 2.0 * self.bend()
    }
}

/// Where the lower face, the upper face and the back lie on the cloth, open to the right.
pub fn on_cloth(job: &Job, m: &SlipcaseMeasures) -> [Contour; 3] {
    let bend = FRAC_PI_4 * thicknesses(job).1.to_mm();
    let lower = m.plan();
    let b = lower.bounds();
    let [long, _, thick] = m.boards;
    let back = b.min.x - bend - thick;
    let upper = back - bend - long;
    let mirrored = Transform { mirrored: true, rotation_deg: 0.0, shift: pt(b.max.x + upper, 0.0) };
    let upper = lower.transformed(&mirrored).ccw();
    let back = Contour::rectangle(pt(back, b.min.y), pt(back + thick, b.max.y));
    [lower, upper, back]
}

/// The cloth of a case.
pub(super) fn cloth(job: &Job, m: &SlipcaseMeasures, w: &Wrapped) -> Cloth {
    let [lower, upper, back] = on_cloth(job, m);
    let (b, other) = (lower.bounds(), upper.bounds());
    let head = head(w, [b.max.x, b.min.x], [other.max.x, other.min.x], b.max.y, m.boards[2]);
    let tail = head.iter().rev().map(|p| pt(p.x, b.min.y + b.max.y - p.y));
    let outline = Contour::polygon(head.iter().copied().chain(tail)).ccw();
    let allowance = job.covering.corner.to_mm();
    // What no blade can cut goes.
    let mut outline = turn_in::relieved(outline, &[], w.turn_in, allowance, w.board);
    let mut slits = Vec::new();
    if m.notch.is_some() {
        for face in [&lower, &upper] {
            let arcs: Vec<_> = face.segments().filter(|s| !s.is_line()).collect();
            let is_at_notch = |p: Point| arcs.iter().any(|s| s.distance_to(p) < 1e-6);
            let reliefs: Vec<Relief> = turn_in::reliefs(face, w.turn_in, allowance)
                .into_iter()
                .filter(|r| match r {
                    Relief::Wedge { edge, .. } | Relief::Slit { edge, .. } => is_at_notch(*edge),
                })
                .collect();
            outline = turn_in::relieved(outline, &reliefs, w.turn_in, allowance, w.board);
            slits.extend(turn_in::slits(&outline, &reliefs, job.covering.slit_stop.to_mm(), w.turn_in));
        }
    }
    Cloth { outline, slits, marks: [lower, upper, back].map(Stroke::Closed).into() }
}

/// The edge of the cloth at the head, from the mouth of the lower face to that of the upper one.
fn head(w: &Wrapped, lower: [f64; 2], upper: [f64; 2], y: f64, thick: f64) -> Vec<Point> {
    let (t, bend, edge) = (w.board, w.bend(), w.edge());
    // Beneath the last flap: as wide as the turn-in, or the whole end.
    let under = w.turn_in.min(thick);
    let set_in = SET_IN.min(SET_IN_OF * thick);
    let tab = w.turn_in.min(TAB * thick);
    let fold = y + bend;
    // Inside the cloth of a face ends at the lining of an end, that of an end at the cloth of a face.
    let (at_end, at_face) = (t + w.lining, t + w.lining + w.cloth);
    let last = thick - set_in;
    // Where the step from the board's edge to the faces' cloth is nothing that a blade could cut, the cut aslant goes as
    // far as that.
    let is_nothing = |step: f64| step < turn_in::SLIVER + HAIR;
    let aslant = if is_nothing(at_face - t) { at_face } else { t };
    let inside = last.min(thick - at_face);
    let on_edge = last.min(thick - aslant);
    let on_edge = if is_nothing(on_edge - inside) { inside } else { on_edge };
    let [mouth, back] = lower;
    let [other_back, other_mouth] = upper;
    let far = |at: f64| other_mouth - at;
    vec![
        // The lower face at the mouth, and its flap, mitred at the back.
        pt(mouth + w.turn_in, y - at_end),
        pt(mouth + edge, y - at_end),
        pt(mouth + edge, y),
        pt(mouth, y),
        pt(mouth, fold + under),
        pt(back + under, fold + under),
        pt(back - bend / 2.0, y),
        // The back's tab, mitred.
        pt(back - bend - tab, fold + tab),
        pt(other_back + bend + tab, fold + tab),
        pt(other_back + bend / 2.0, y),
        // The flap of the upper face, to the mouth and round it.
        pt(other_back - set_in, fold + set_in),
        pt(other_back - set_in, fold + last),
        pt(far(set_in.min(edge)), fold + last),
        pt(far(edge), fold + on_edge),
        pt(far(edge), fold + inside),
        pt(far(w.turn_in), fold + inside),
        pt(far(w.turn_in), fold + at_face),
        pt(far(edge), fold + at_face),
        pt(far(edge), fold + aslant),
        pt(far(0.0), y),
        // The upper face at the mouth.
        pt(far(edge), y),
        pt(far(edge), y - at_end),
        pt(far(w.turn_in), y - at_end),
    ]
}

/// The strip that lines the edge of a notch, its margin up, and the slits of that.
pub(super) fn strip(m: &SlipcaseMeasures, w: &Wrapped) -> Option<(Contour, Vec<Path>)> {
    let long = m.plan().segments().filter(|s| !s.is_line()).map(|s| s.length()).next()?;
    let fold = w.board + w.bend();
    let high = fold + MARGIN;
    let parts = (long / APART).ceil().max(1.0) as u32;
    let slit = |k: u32| {
        let x = long * f64::from(k) / f64::from(parts);
        Path::line(pt(x, high), pt(x, fold + STOP))
    };
    Some((Contour::rectangle(pt(0.0, 0.0), pt(long, high)), (1..parts).map(slit).collect()))
}

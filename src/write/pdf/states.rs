//! The box in its states as boards in space: closed, half closed, open and flat.

use super::scene::{Board, Space, at};
use crate::design::{Design, Flat, thicknesses};
use crate::fit::{Fit, Solid, solids};
use crate::geom::{Bounds, Contour, Transform, pt};
use crate::job::{Construction, Job, Side, StrapAlong};
use crate::write::style::Rgb;

const BOARD: Rgb = [0xf2, 0xec, 0xdd];
const LID: Rgb = [0xe4, 0xed, 0xf4];
const STACK: Rgb = [0xfb, 0xfb, 0xfb];
const STRAP: Rgb = [0x8a, 0x8a, 0x8a];
/// How far a lid stands open, radians from closed.
const OPEN: f64 = 1.95;

/// The closed box: the prisms of the fit, and the strap round them.
pub(super) fn closed(job: &Job, design: &Design, fit: &Fit, flat: &Flat) -> Vec<Board> {
    let all = solids(job, &design.measures, flat, fit.rise);
    let mut boards: Vec<Board> = all.iter().map(standing).collect();
    boards.extend(straps(job, design, &all));
    boards
}

/// The box with the lids of the lowest tier closed and the others open.
pub(super) fn half_closed(job: &Job, design: &Design, fit: &Fit, flat: &Flat) -> Vec<Board> {
    let all = solids(job, &design.measures, flat, fit.rise);
    let lowest = job.flaps.values().map(|f| f.tier).min().unwrap_or_default();
    let is_open = |side: Side| job.flaps.get(&side).is_some_and(|f| f.tier > lowest);
    all.iter()
        .map(|s| match s.lid.filter(|side| is_open(*side)) {
            Some(side) => {
                let frame = Transform { rotation_deg: side.outward_deg() - 90.0, ..Transform::IDENTITY };
                let hinge = flat.arms.get(&side).map_or(pt(0.0, 0.0), |arm| arm.frame.shift);
                lifted(s, &frame, hinge)
            }
            None => standing(s),
        })
        .collect()
}

/// Whether any lid closes after another.
pub(super) fn has_tiers(job: &Job) -> bool {
    let mut tiers = job.flaps.values().map(|f| f.tier);
    let first = tiers.next();
    tiers.any(|t| Some(t) != first)
}

/// The open box, flat on the table, with the stack on its base.
pub(super) fn open(job: &Job, flat: &Flat) -> Vec<Board> {
    let (t, _, l) = thicknesses(job);
    let (t, floor) = (t.to_mm(), (t + l).to_mm());
    let still = |p: Space| p;
    let board = |c: &Contour, tone| Board::new(c, 0.0, t, tone, &still);
    let mut boards = Vec::new();
    if job.build.construction == Construction::HingedBoards {
        boards.push(board(&flat.base, BOARD));
        for arm in flat.arms.values() {
            boards.push(board(&arm.wall(), BOARD));
            boards.push(board(&arm.flap(), LID));
        }
    } else {
        boards.push(board(&flat.region(), BOARD));
    }
    let half = pt(job.contents.width.to_mm() / 2.0, job.contents.height.to_mm() / 2.0);
    let stack = Contour::rectangle(-half, half);
    boards.push(Board::new(&stack, floor, floor + job.contents.depth.to_mm(), STACK, &still));
    boards
}

fn standing(s: &Solid) -> Board {
    Board::new(&s.footprint, s.bottom, s.top, tone(s), &|p| p)
}

fn tone(s: &Solid) -> Rgb {
    match s.lid {
        Some(_) => LID,
        None if s.name == "stack" => STACK,
        None => BOARD,
    }
}

/// A lid turned up and out about its hinge's upper edge.
fn lifted(s: &Solid, frame: &Transform, hinge: crate::geom::Point) -> Board {
    let back = Transform { rotation_deg: -frame.rotation_deg, ..Transform::IDENTITY };
    let top = s.top;
    let (sin, cos) = OPEN.sin_cos();
    Board::new(&s.footprint, s.bottom, s.top, tone(s), &|p| {
        // In the arm's frame y points out of the box; the lid lies towards -y.
        let q = back.apply(pt(p.x, p.y) - hinge);
        let z = p.z - top;
        let turned = pt(q.x, q.y * cos + z * sin);
        let flat = frame.apply(turned) + hinge;
        at(flat.x, flat.y, top - q.y * sin + z * cos)
    })
}

/// The straps as bands over the lids and down the two walls that they cross.
fn straps(job: &Job, design: &Design, all: &[Solid]) -> Vec<Board> {
    let Some(strap) = &job.strap else { return Vec::new() };
    let (e, half) = (job.elastic.thickness.to_mm(), job.elastic.width.to_mm() / 2.0);
    let plan = all.iter().fold(Bounds::EMPTY, |b, s| b.union(s.footprint.bounds()));
    let top = all.iter().map(|s| s.top).fold(0.0, f64::max);
    let m = &design.measures;
    let line = match strap.along {
        StrapAlong::Height => m.base_width.to_mm() / 2.0 - strap.from_edge.to_mm(),
        StrapAlong::Width => strap.from_edge.to_mm() - m.base_height.to_mm() / 2.0,
    };
    let lines = if strap.count == 2 { vec![line, -line] } else { vec![line] };
    let mut bands = Vec::new();
    for v in lines {
        let band = |u0: f64, u1: f64| match strap.along {
            StrapAlong::Height => Contour::rectangle(pt(v - half, u0), pt(v + half, u1)),
            StrapAlong::Width => Contour::rectangle(pt(u0, v - half), pt(u1, v + half)),
        };
        let (low, high) = match strap.along {
            StrapAlong::Height => (plan.min.y, plan.max.y),
            StrapAlong::Width => (plan.min.x, plan.max.x),
        };
        let mut add = |u0: f64, u1: f64, from: f64, to: f64| {
            bands.push(Board::new(&band(u0, u1), from, to, STRAP, &|p| p));
        };
        add(low - e, high + e, top, top + e);
        add(low - e, low, 0.0, top);
        add(high, high + e, 0.0, top);
    }
    bands
}

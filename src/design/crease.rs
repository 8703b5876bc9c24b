//! Creases in folding board, for every construction that folds it.

use super::flat::Arm;
use super::{Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Path, pt};
use crate::job::{DOUBLE_CREASED, Grain, Job, Side, StockKind, THICKEST_CREASED};
use crate::units::Length;

/// How far apart the two creases of a double one lie, in boards.
const PAIR: f64 = 1.5;

/// How far from the line of the fold its creases lie, mm: one on it, or two astride of it.
pub(super) fn offsets(job: &Job) -> Vec<f64> {
    let t = job.board.thickness;
    if t < DOUBLE_CREASED { vec![0.0] } else { vec![t.to_mm() * -PAIR / 2.0, t.to_mm() * PAIR / 2.0] }
}

/// By how much a wall stays back from a corner of the base where it meets another: half a board, so
/// that the two, folded up, do not overlap, and the ease; at least half a double crease.
pub(super) fn relief(job: &Job) -> Length {
    let t = job.board.thickness;
    let half = if t < DOUBLE_CREASED { t * 0.5 } else { t * (PAIR / 2.0) };
    half + job.build.ease
}

/// Why a board cannot be creased.
pub(super) fn too_thick(job: &Job) -> Option<Diagnostic> {
    let t = job.board.thickness;
    (t > THICKEST_CREASED).then(|| {
        let show = |l| job.units.show(l);
        Diagnostic::error(
            "too-thick-to-crease",
            format!("board of {} does not crease: over {} it cracks at the fold", show(t), show(THICKEST_CREASED)),
        )
        .at("board.thickness")
        .help("hinge it: construction = \"hinged-boards\" with a [cloth], or take a thinner folding board")
    })
}

/// The creases of one arm in the layout: those at the base, then those at the lid.
pub(super) fn of_arm(job: &Job, arm: &Arm) -> Vec<Path> {
    let mut lines = Vec::new();
    let (from, to) = arm.wall_ends();
    let height = arm.wall_height();
    for off in offsets(job) {
        lines.push(Path::line(pt(from, off), pt(to, off)));
    }
    for off in offsets(job) {
        // Beyond the fold the lid may lean in.
        let (a, b) = arm.lid_width_at(off.max(0.0));
        lines.push(Path::line(pt(a, height + off), pt(b, height + off)));
    }
    lines.iter().map(|l| l.transformed(&arm.frame)).collect()
}

/// The sides whose creases run across the grain of a piece, named; nothing where there is no grain.
pub(super) fn across_grain(job: &Job, piece: &Piece, sides: &[Side]) -> Option<Diagnostic> {
    if job.board.grain == Grain::None {
        return None;
    }
    let across: Vec<&str> = sides
        .iter()
        .filter(|s| match s {
            Side::Head | Side::Tail => piece.grain == Grain::Height,
            Side::Left | Side::Right => piece.grain == Grain::Width,
        })
        .map(|s| s.word())
        .collect();
    (!across.is_empty()).then(|| {
        Diagnostic::hint("crease-across-grain", format!("the creases at {} run across the grain", across.join(" and ")))
            .at("board.grain")
            .help("fold these slowly, the bead inside, and damp them first; across the grain board cracks sooner")
    })
}

/// A piece of folding board.
pub(super) fn piece(id: &str, role: Role, outline: Contour, creases: Vec<Path>, grain: Grain) -> Piece {
    Piece { creases, grain, ..Piece::plain(id.into(), StockKind::Board, role, outline) }
}

//! Creases in folding board, for every construction that folds it.

use super::flat::Arm;
use super::measures::{Auto, Measures, thicknesses};
use super::{Piece, Role};
use crate::assembly::{Assembly, Hinge, HingeKind, Panel, Part, Room};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Path, pt};
use crate::job::{DOUBLE_CREASED, Grain, Job, Side, StockKind, THICKEST_CREASED};
use crate::units::{Length, mm};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, SQRT_2};

/// How far apart the two creases of a double one lie, in boards (our choice; twin scores lie at most two
/// apart, NARA document-box specification).
const PAIR: f64 = 1.5;
/// What walls of folding board keep from each other at a corner where the job leaves the ease to the
/// program (our choice).
pub(super) const EASE: Length = mm(0.3);

/// By how much a fold of two creases cuts into the corner that a single one would leave to the contents,
/// on each side, mm: the two creases, `p = 1.5 t` apart, leave a slope of 45 degrees between base and
/// wall. Its inner face, a liner on it, lies `p / sqrt 2 + sqrt 2 (t / 2 + l)` along from the corner of
/// the middle surfaces, which itself comes `p / sqrt 2 - p / 2` farther out; the contents, on the base,
/// want `t + 2 l` there (derived).
pub(super) fn corner_loss(job: &Job) -> Length {
    let (t, _, l) = thicknesses(job);
    if t < DOUBLE_CREASED {
        return Length::ZERO;
    }
    let pair = t * PAIR;
    let slope = pair / SQRT_2 + (t * 0.5 + l) * SQRT_2;
    let corner = pair / SQRT_2 - pair * 0.5;
    (slope - corner - t - l * 2.0).max(Length::ZERO)
}

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
    half + job.build.ease.unwrap_or(EASE)
}

/// What folding board of a job adds: its measures without a joint.
pub(super) fn folded(job: &Job, step: Length, beneath: impl Fn(Side) -> Length) -> Auto {
    let (t, _, l) = thicknesses(job);
    let creased = t + l * 2.0;
    let loss = corner_loss(job);
    let both = |first: Side| {
        let walls = [first, first.opposite()].iter().filter(|s| job.flaps.contains_key(s)).count();
        creased + loss * walls as f64
    };
    Auto {
        joint_thickness: Length::ZERO,
        joint: Length::ZERO,
        ease: job.build.ease.unwrap_or(EASE),
        step,
        extra: job.flaps.keys().map(|side| (*side, creased + beneath(*side))).collect(),
        beyond: (both(Side::Left), both(Side::Head)),
        feet: BTreeMap::new(),
        tops: BTreeMap::new(),
        lids: BTreeMap::new(),
        is_at_lid: false,
    }
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

/// A panel of folding board at its height in the flat layout.
pub(super) fn panel(job: &Job, part: Part, piece: &str, outline: Contour, level: f64) -> Panel {
    Panel {
        part,
        called: None,
        piece: piece.into(),
        outline,
        holes: Vec::new(),
        recesses: Vec::new(),
        outside_recesses: Vec::new(),
        thickness: job.board.thickness.to_mm(),
        level,
        layers: Vec::new(),
        turned: Vec::new(),
        turned_paper: Vec::new(),
    }
}

/// Hangs the wall and the lid of a side on the panel with the number `base`, at its height. Both fold about
/// the board's middle; a lid that its crease holds higher than what lies beneath sinks onto that.
pub(super) fn hang(all: &mut Assembly, job: &Job, m: &Measures, side: Side, arm: &Arm, base: usize, piece: &str) {
    let level = all.panels.get(base).map_or(0.0, |p| p.level);
    let of = |map: &BTreeMap<Side, Length>| map.get(&side).copied().unwrap_or_default().to_mm();
    let sinks = (of(&m.walls) - of(&m.needed)).max(0.0);
    let wall = all.panels.len();
    all.panels.push(panel(job, Part::Wall(side), piece, arm.wall(), level));
    all.panels.push(panel(job, Part::Lid(side), piece, arm.flap(), level));
    let height = level + job.board.thickness.to_mm() / 2.0;
    let hinge = |parent, child, axis, closed, order| Hinge {
        parent,
        child,
        kind: HingeKind::Crease,
        axis,
        width: 0.0,
        height,
        closed,
        angle: FRAC_PI_2,
        order,
        room: Room::default(),
    };
    let order = m.lower_tiers.get(&side).copied().unwrap_or_default() + 1;
    all.hinges.push(hinge(base, wall, arm.base_edge(), [0.0, 0.0], 0));
    all.hinges.push(hinge(wall, wall + 1, arm.wall_top(), [-sinks, 0.0], order));
}

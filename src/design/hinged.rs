//! Hinged boards: separate boards held together by the covering cloth.

use super::flap::FlapError;
use super::flat::Flat;
use super::measures::Measures;
use super::{PatchPlace, Piece, Role, cover, liner, patch, strap};
use crate::diag::Diagnostic;
use crate::geom::Contour;
use crate::job::{Flap, FlapShape, Grain, Job, Side, StockKind};
use crate::units::Length;

/// The boards, the cloth and the liner of a job, and everything that keeps them from being made.
pub(super) fn pieces(job: &Job, m: &Measures, flat: &Flat) -> (Vec<Piece>, Vec<PatchPlace>, Vec<Diagnostic>) {
    let mut diagnostics = Vec::new();
    let strap_cuts = job.strap.as_ref().map(|s| strap::slots_and_pockets(s, &job.elastic, m)).unwrap_or_default();
    let slots: Vec<Contour> = strap_cuts.iter().map(|(slot, _)| slot.clone()).collect();

    let mut base = board("board-base".into(), Role::Base, None, flat.base.clone());
    base.holes = slots.iter().map(|s| s.clone().cw()).collect();
    base.pockets = strap_cuts.into_iter().map(|(_, pocket)| pocket).collect();
    let mut pieces = vec![base];
    let mut places = Vec::new();
    for (side, arm) in &flat.arms {
        pieces.push(board(format!("board-wall-{}", side.word()), Role::Wall, Some(*side), arm.wall()));
    }
    for (side, arm) in &flat.arms {
        pieces.push(board(format!("board-flap-{}", side.word()), Role::Flap, Some(*side), arm.flap()));
    }
    diagnostics.extend(job.flaps.iter().filter_map(|(side, lid)| crowded(*side, lid, job.covering.turn_in)));
    match cover::cover(flat, &job.covering, job.board.thickness, &pieces, &slots, job.marks.placement) {
        Ok(cloth) => {
            let (patches, at) = patch::patches(job, flat, &cloth);
            places = at;
            pieces.push(cloth);
            pieces.extend(patches);
        }
        Err(d) => diagnostics.push(d),
    }
    match liner::liner(job, m) {
        Ok(liner) => pieces.extend(liner),
        Err(d) => diagnostics.push(d),
    }
    (pieces, places, diagnostics)
}

/// A dipped free edge leaves its corners sharp. Rounded by much of the turn-in's width as well, or
/// with a notch in the dip, the turn-ins there lie on each other by a little more than the corner
/// allowance, or leave a little bare: more than a pattern can settle.
fn crowded(side: Side, lid: &Flap, turn_in: Length) -> Option<Diagnostic> {
    let is_dipped = matches!(lid.shape, FlapShape::Bow(rise) if rise < Length::ZERO);
    let is_round = lid.corner_radius > turn_in * CROWDED;
    (is_dipped && (is_round || lid.notch.is_some())).then(|| {
        let message = format!("the turn-ins crowd each other about the dipped edge of the {} lid", side.word());
        Diagnostic::warning("turn-in-crowded", message).at(format!("flap.{}.bow", side.word())).help(
            "fold it in paper first and trim there by hand as you turn in; a smaller corner_radius, a shallower dip or \
             no notch makes room",
        )
    })
}

/// From this share of the turn-in's width a rounded corner beside a dipped edge is crowded.
const CROWDED: f64 = 0.6;

fn board(id: String, role: Role, side: Option<Side>, outline: Contour) -> Piece {
    // Every board's grain runs head to tail, so that board, cloth and liner pull alike.
    Piece { side, grain: Grain::Height, ..Piece::plain(id, StockKind::Board, role, outline) }
}

pub(super) fn no_lid(side: Side, why: FlapError) -> Diagnostic {
    let (code, what, key, hint) = match why {
        FlapError::Closed => (
            "lid-closes",
            "the sides of the lid meet before its free edge",
            "shape",
            "lower the taper, or shorten the reach",
        ),
        FlapError::Bow => (
            "bow-too-round",
            "the bow is more than a half circle, or higher than the lid is long",
            "bow",
            "lower the bow",
        ),
        FlapError::Round => (
            "corner-too-round",
            "the corners cannot be rounded so far: the arcs would run into the hinge or each other",
            "corner_radius",
            "lower the corner radius",
        ),
        FlapError::Notch => {
            ("notch-too-large", "the notch does not fit on the lid's free edge", "notch", "make it smaller or flatter")
        }
    };
    Diagnostic::error(code, format!("at the {}: {what}", side.word()))
        .at(format!("flap.{}.{key}", side.word()))
        .help(hint)
}

//! The covering cloth: the boards and joints, moved out by the turn-in, corners cut so that the
//! turn-ins meet, slits where they must open.

use super::flat::Flat;
use super::{Piece, Role, turn_in};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, OffsetError, Stroke, offset};
use crate::job::{Covering, Grain, StockKind};
use crate::units::Length;

/// The cloth with its slits and strap slots, and, when asked, the outline of every board as a mark
/// and every joint's fold as a crease.
///
/// Fails when the turn-in closes a bay of the layout or crosses itself.
pub(super) fn cover(
    flat: &Flat,
    covering: &Covering,
    thickness: Length,
    boards: &[Piece],
    slots: &[Contour],
    placement: bool,
) -> Result<Piece, Diagnostic> {
    let region = flat.region();
    let width = covering.turn_in.to_mm();
    let outline = offset(&region, width, Join::Mitre).map_err(|e| no_outline(&e, covering.turn_in))?;
    let allowance = covering.corner.to_mm();
    let reliefs = turn_in::reliefs(&region, width, allowance);
    let outline = turn_in::relieved(outline, &reliefs, width, allowance, thickness.to_mm());
    let slits = turn_in::slits(&outline, &reliefs, covering.slit_stop.to_mm(), width);
    let (marks, creases) = if placement {
        let marks = boards.iter().map(|b| Stroke::Closed(b.outline.clone())).collect();
        (marks, flat.arms.values().flat_map(|arm| arm.hinges()).collect())
    } else {
        (Vec::new(), Vec::new())
    };
    Ok(Piece {
        holes: slots.iter().map(|s| s.clone().cw()).collect(),
        slits,
        creases,
        marks,
        grain: Grain::Height,
        ..Piece::plain("cloth-cover".into(), StockKind::Cloth, Role::Cover, outline)
    })
}

fn no_outline(e: &OffsetError, turn_in: Length) -> Diagnostic {
    let why = match e {
        OffsetError::Split(_) => "it closes a bay between two lids",
        _ => "the cloth's outline crosses itself",
    };
    Diagnostic::error("turn-in-collides", format!("a turn-in of {turn_in} cannot be cut: {why}"))
        .at("covering.turn_in")
        .help("make the turn-in smaller")
}

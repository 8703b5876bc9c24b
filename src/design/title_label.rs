//! The recess of a title label: a pocket in the outside of a lid or of its wall, into which the cloth is pressed. A board
//! that has no other pocket is cut with its outside up, so that its sheet is never turned over; one with pockets in its
//! inside keeps these up, and has the recess cut from its other face before.

use super::measures::{paper, thicknesses};
use super::{Lay, Piece, Pocket, board_id};
use crate::assembly::Part;
use crate::geom::{Bounds, Contour, pt};
use crate::job::{Job, LabelOn, Side, TitleLabel};

/// The board that a job's title label is on; `None` where there is no label or no lid.
pub fn labelled(job: &Job) -> Option<(TitleLabel, Part)> {
    let label = job.title_label?;
    let (side, _) = job.flaps.iter().max_by_key(|(side, f)| (f.tier, **side))?;
    Some((label, if label.on == LabelOn::Lid { Part::Lid(*side) } else { Part::Wall(*side) }))
}

/// The recess on a board of this outline in the open box: as large as the label with the cloth down its sides and the ease.
pub(super) fn recess(job: &Job, label: &TitleLabel, part: Part, board: Bounds) -> Bounds {
    let c = thicknesses(job).1.max(paper(job));
    let more = (c * 2.0 + label.ease).to_mm();
    let size = pt(label.width.to_mm() + more, label.height.to_mm() + more);
    let from_head = label.from_head.map_or((board.height() - size.y) / 3.0, |l| l.to_mm());
    let side = part.lid().or(part.wall());
    let middle = board.center().x;
    // A lid at head or tail lies turned over when it is closed: what is at the tail of the layout is then at the head. Its
    // wall stands, its edge at the base down.
    let bottom = match (part, side) {
        (Part::Lid(_), Some(Side::Head | Side::Tail)) => board.min.y + from_head,
        _ => board.max.y - from_head - size.y,
    };
    Bounds { min: pt(middle - size.x / 2.0, bottom), max: pt(middle + size.x / 2.0, bottom + size.y) }
}

/// Sinks the recess into its board.
pub(super) fn add(pieces: &mut [Piece], job: &Job) {
    let Some((label, part)) = labelled(job) else { return };
    let Some(id) = board_id(part) else { return };
    if let Some(piece) = pieces.iter_mut().find(|p| p.id == id) {
        let b = recess(job, &label, part, piece.outline.bounds());
        let pocket = Pocket { outline: Contour::rectangle(b.min, b.max), depth: label.depth };
        if piece.pockets.is_empty() {
            piece.pockets.push(pocket);
            piece.lay = Lay::OutsideUp;
        } else {
            piece.back_pockets.push(pocket);
        }
    }
}

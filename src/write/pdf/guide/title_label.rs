//! The steps of a title label.

use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, show};
use super::{Told, work};
use crate::design::{Lay, Piece, Pocket, covered_by_part};
use crate::geom::Contour;
use crate::units::mm;
use crate::write::pdf::parts::piece_name;

/// The board with the recess.
fn board<'a>(told: &Told<'a>) -> Option<&'a Piece> {
    told.design.pieces.iter().find(|p| !p.outside_pockets().is_empty())
}

/// Whether the paper of a side lies over a recess.
fn is_on_paper(told: &Told<'_>, recess: &Pocket) -> bool {
    let middle = recess.outline.bounds().center();
    covered_by_part(told.job, told.design).iter().any(|one| one.is_paper_at(middle))
}

pub(super) fn recess<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let piece = board(told)?;
    let pocket = piece.outside_pockets().first()?;
    let (b, r) = (piece.outline.bounds(), pocket.outline.bounds());
    let name = piece_name(piece);
    let (onto, pressed) = match is_on_paper(told, pocket) {
        true => ("When the paper goes onto the board", "paper"),
        false => ("When the board is glued to the cloth", "cloth"),
    };
    let lies = if piece.lay == Lay::OutsideUp {
        format!("The {name} lies outside up, and its recess is in the outside")
    } else {
        format!("Turn the {name} over: its pockets are in its inside, and its recess is in the outside")
    };
    Some(Step {
        title: "Recess for the title label".into(),
        words: vec![
            format!(
                "{lies}: mark that face. Cut round it {} deep, no deeper, and peel the board away in layers until the floor is even. It is {} wide and {} high, {} from the edge above it in the drawing.",
                show(told, pocket.depth),
                show(told, mm(r.width())),
                show(told, mm(r.height())),
                show(told, mm(b.max.y - r.max.y))
            ),
            format!(
                "{onto}, press the {pressed} down into the recess with a folder and into its corners before the glue holds, then rub down the rest."
            ),
        ],
        window: work::around([b], 4.0),
        draw: Box::new(move |plan: &mut Plan<'_>| {
            plan.turn_over();
            plan.solid(std::slice::from_ref(&piece.outline), BOARD, THIN);
            plan.solid(std::slice::from_ref(&pocket.outline), HERE, THIN);
        }),
    })
}

pub(super) fn glue<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let (piece, label) = (board(told)?, told.job.title_label?);
    let pocket = piece.outside_pockets().first()?;
    let r = pocket.outline.bounds();
    let around = if is_on_paper(told, pocket) { "paper" } else { "cloth" };
    let half = crate::geom::pt(label.width.to_mm() / 2.0, label.height.to_mm() / 2.0);
    let at = Contour::rectangle(r.center() - half, r.center() + half);
    Some(Step {
        title: "Glue the label in".into(),
        words: vec![format!(
            "Paste the label, {}, and lay it into the middle of its recess; rub it down through paper and leave a weight on it until it is dry. It lies below the {around} around it, so that nothing rubs on it. labels.pdf has the titles to be cut out.",
            told.job.units.show_size(&[label.width, label.height])
        )],
        window: work::around([piece.outline.bounds()], 4.0),
        draw: Box::new(move |plan: &mut Plan<'_>| {
            plan.turn_over();
            plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
            plan.solid(std::slice::from_ref(&pocket.outline), CLOTH, THIN);
            plan.solid(std::slice::from_ref(&at), LINER, THIN);
        }),
    })
}

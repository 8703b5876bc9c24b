//! The steps of a portfolio that other boxes have not. What the words say of gluing and drying is common practice, no
//! source; their measures are the job's.

use super::plan::{BOARD, CLOTH, HERE, LINER, THIN};
use super::step::{Step, show};
use super::{Told, work};
use crate::design::Piece;
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, pt};
use crate::job::StockKind;
use crate::units::Length;
use crate::write::pdf::states;
use crate::write::style::INK;

/// The board of this id where it lies in the layout.
fn board(told: &Told<'_>, id: &str) -> Bounds {
    told.design.pieces.iter().find(|p| p.id == id).map_or(Bounds::EMPTY, |p| p.outline.bounds())
}

/// The boards of the case.
fn boards<'a>(told: &Told<'a>) -> impl Iterator<Item = &'a Piece> {
    let ids = ["board-back-cover", "board-spine", "board-front-cover"];
    told.design.pieces.iter().filter(move |p| ids.contains(&p.id.as_str()))
}

/// As large as a piece, in the middle of a board.
fn on(board: Bounds, piece: Bounds) -> Contour {
    let half = pt(piece.width() / 2.0, piece.height() / 2.0);
    Contour::rectangle(board.center() - half, board.center() + half)
}

pub(super) fn line_spine<'a>(told: &'a Told<'a>) -> Step<'a> {
    let spine = board(told, "board-spine");
    let strip = board(told, "cloth-spine-lining");
    Step {
        title: "Line the spine".into(),
        words: vec![
            format!(
                "Glue the strip of cloth over the inside of the spine, from one cover down into the joint, over the spine, into the other joint and onto the other cover, {} from the edges at head and tail. Rub it into both joints with the folder.",
                show(told, told.job.covering.reveal)
            ),
            "Fold the case once while the glue is damp, so that the strip finds its length, and lay it open again."
                .into(),
        ],
        window: work::around([spine], 60.0),
        draw: Box::new(move |plan| {
            for piece in boards(told) {
                plan.solid(std::slice::from_ref(&piece.outline), BOARD, THIN);
            }
            plan.solid(&[on(spine, strip)], HERE, Pen::solid(INK, 0.25));
            plan.name(&Contour::rectangle(spine.min, spine.max), "spine");
        }),
    }
}

pub(super) fn line_covers<'a>(told: &'a Told<'a>) -> Step<'a> {
    let is_loose = told.job.is_for_loose_sheets();
    let reveal = show(told, told.job.covering.reveal);
    let mut words = if is_loose {
        vec![format!(
            "Glue a lining to the inside of each cover, {reveal} from all four edges: it covers the edges of the cloth that was turned in, and those of the strip at the spine."
        )]
    } else {
        vec![
            format!(
                "Glue the lining to the inside of the front cover, {reveal} from all four edges: it covers the edges of the cloth that was turned in, and that of the strip at the spine."
            ),
            "The back cover has none: the wrapper covers it.".into(),
        ]
    };
    words.extend(super::colophon::of_liner(told).filter(|_| is_loose));
    Step {
        title: if is_loose { "Line the covers" } else { "Line the front cover" }.into(),
        words,
        window: work::around(boards(told).map(|p| p.outline.bounds()), 4.0),
        draw: Box::new(move |plan| {
            for piece in boards(told) {
                plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
            }
            for cover in ["back-cover", "front-cover"] {
                let lining = board(told, &format!("{}-{cover}", StockKind::Liner.word()));
                if !lining.is_empty() {
                    plan.solid(&[on(board(told, &format!("board-{cover}")), lining)], LINER, THIN);
                }
            }
        }),
    }
}

pub(super) fn mount<'a>(told: &'a Told<'a>) -> Step<'a> {
    let square = told.job.portfolio.as_ref().map_or(Length::ZERO, |p| p.square);
    Step {
        title: "Glue the wrapper to the case".into(),
        words: vec![
            format!(
                "Close the wrapper round the stack, or round boards as thick. Glue the underside of its base and set it on the back cover, its left side flush with the cover's edge at the spine, {} from the other three edges.",
                show(told, square)
            ),
            "Close the case over it and see that the spine stands square and the covers lie level before the glue holds; then weight on it, overnight.".into(),
        ],
        window: work::press_window(),
        draw: Box::new(move |plan| {
            work::in_space(plan, work::press_window(), &states::in_case(told.job, told.design));
        }),
    }
}

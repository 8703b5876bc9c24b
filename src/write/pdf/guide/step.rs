//! One step of the work: its words beside its drawing.

use super::{Told, plan, work};
use crate::design::Role;
use crate::geom::Bounds;
use crate::job::StockKind;
use crate::units::Length;

/// Draws into a rectangle of the page.
pub(super) type Drawing<'a> = Box<dyn Fn(&mut plan::Plan<'_>) + 'a>;

/// One step.
pub(super) struct Step<'a> {
    pub(super) title: String,
    pub(super) words: Vec<String>,
    /// What the drawing shows of the flat layout, and what it draws.
    pub(super) window: Bounds,
    pub(super) draw: Drawing<'a>,
}

/// A length as a hand reads it off a rule.
pub(super) fn show(told: &Told<'_>, length: Length) -> String {
    told.job.units.show_on_rule(length)
}

/// The square metres of a stock that one box is glued with.
pub(super) fn glued(told: &Told<'_>, stock: StockKind) -> String {
    let area = told.bill.materials.iter().find(|b| b.stock == stock).map_or(0.0, |b| b.area_m2);
    told.job.units.show_area(area)
}

/// The covering cloth, or what the box is cut from, with a little round it.
pub(super) fn cloth(told: &Told<'_>) -> Bounds {
    let cover = told.design.pieces.iter().find(|p| p.role == Role::Cover);
    match cover {
        Some(cover) => {
            // Where paper covers a part of a board, that lies beside the cloth.
            let sides = told.design.pieces.iter().filter(|p| p.role == Role::Side).map(|p| p.outline.bounds());
            work::around(sides.chain([cover.outline.bounds()]), 4.0)
        }
        None => {
            let own = told.design.pieces.iter().filter(|p| p.role != Role::Inside);
            work::around(own.map(|p| p.outline.bounds()), 4.0)
        }
    }
}

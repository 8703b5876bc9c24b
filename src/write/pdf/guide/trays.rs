//! The steps of a box of trays.

use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, show};
use super::{Told, work};
use crate::assembly::Tray;
use crate::design::{Piece, Role, TrayPair, thicknesses, trays};
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, Stroke, pt};
use crate::job::{Seat, StockKind};
use crate::units::{Length, mm};
use crate::write::pdf::states;
use crate::write::style::{INK, QUIET};

/// The tray that a drawing shows.
fn shown(told: &Told<'_>) -> Tray {
    if told.job.build.construction.terms().has_case { Tray::Small } else { Tray::Open }
}

/// The pieces of a tray that are cut from a stock.
fn pieces_of<'a>(told: &Told<'a>, tray: Tray, stock: StockKind) -> Vec<&'a Piece> {
    let before = format!("{}-{}-", stock.word(), tray.word());
    told.design.pieces.iter().filter(|p| p.id.starts_with(&before)).collect()
}

fn pair(told: &Told<'_>) -> Option<TrayPair> {
    trays(told.job)
}

pub(super) fn build<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let pair = pair(told)?;
    let c = thicknesses(told.job).1;
    let stand = match told.job.build.seat {
        Seat::Beside => "against the edges of the base, their lower edges flush with its underside",
        Seat::OnBase => "on the base, their outer faces flush with its edges",
    };
    Some(Step {
        title: "Glue the trays together".into(),
        words: vec![
            format!(
                "Glue the walls {stand}: {}. Hold each wall square with a block until the glue holds; wipe off what runs out.",
                if pair.small.is_closed {
                    "first those at left and right, then head and tail, which cover their ends"
                } else {
                    "first the one at the fore-edge, then head and tail, which cover its ends. The side at the spine stays open"
                }
            ),
            if pair.small.is_closed {
                format!(
                    "Try the tray in its lid before you cover them. Bare, it has {} of room each way; covered, {} is left. Sand what stands out.",
                    show(told, mm(pair.slide) + c * 4.0),
                    show(told, mm(pair.slide))
                )
            } else {
                format!(
                    "Try the small tray in the large one before you cover them. Bare, it has {} of room between head and tail and {} at the fore-edge; covered, {} is left. Sand what stands out.",
                    show(told, mm(pair.slide) + c * 4.0),
                    show(told, mm(pair.slide) + c * 2.0),
                    show(told, mm(pair.slide))
                )
            },
        ],
        window: work::press_window(),
        draw: Box::new(move |plan| work::in_space(plan, work::press_window(), &states::trays(told.design))),
    })
}

pub(super) fn cover<'a>(told: &'a Told<'a>) -> Step<'a> {
    let strip = pieces_of(told, shown(told), StockKind::Cloth).first().copied();
    // About the corner of the first two walls: all of the strip would be a thin line.
    let corner = strip.and_then(|p| p.marks.iter().filter_map(closed).next()).map(|c| c.bounds().max);
    let window = match (strip.map(|p| p.outline.bounds()), corner) {
        (Some(all), Some(corner)) => {
            let half = all.height() * 0.75;
            let from = Bounds { min: pt(corner.x - half, all.min.y), max: pt(corner.x + half, all.max.y) };
            from.grown(3.0)
        }
        _ => work::around(None, 4.0),
    };
    Step {
        title: "Cover the trays".into(),
        words: vec![
            format!(
                "The drawing shows the strip at the first corner. Lay it wrong side up. Glue the outer face of one wall after the other and roll the tray along, each wall on its rectangle: {}.",
                if told.job.build.construction.terms().has_case { "tail, fore-edge, head" } else { "tail, right, head, left" }
            ),
            if told.job.build.construction.terms().has_case {
                format!("Turn the tabs round the ends of the walls at the spine and onto their insides, then the lower edge {} under the base.", show(told, told.job.covering.turn_in))
            } else {
                format!("The strip's first end goes round the corner and under its last. Then turn the lower edge {} under the base.", show(told, told.job.covering.turn_in))
            },
            "Last fold the cloth over the top, rub it down the inside and onto the floor. In each inner corner the tab goes first, round the corner; the cloth of the other wall covers it.".into(),
        ],
        window,
        draw: Box::new(move |plan| {
            for piece in pieces_of(told, shown(told), StockKind::Cloth) {
                plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
                let faces: Vec<Contour> = piece.marks.iter().filter_map(closed).filter(|c| c.bounds().height() > 5.0).collect();
                plan.solid(&faces, BOARD, Pen::solid(QUIET, 0.15));
            }
        }),
    }
}

fn closed(stroke: &Stroke) -> Option<Contour> {
    match stroke {
        Stroke::Closed(c) => Some(c.clone()),
        Stroke::Open(_) => None,
    }
}

pub(super) fn cover_undersides<'a>(told: &'a Told<'a>) -> Step<'a> {
    let of = move || pieces_of(told, shown(told), StockKind::Cloth).into_iter().filter(|p| p.id.ends_with("underside"));
    Step {
        title: "Cover the undersides".into(),
        words: vec![
            "Glue the rectangle of cloth under the tray, and the other on the top of the lid: each covers the edges that were turned there and stays in from the edges by the same all round.".into(),
        ],
        window: work::around(of().map(|p| p.outline.bounds()), 6.0),
        draw: Box::new(move |plan| {
            for piece in of() {
                plan.solid(&[Contour::rectangle(piece.outline.bounds().grown(1.5).min, piece.outline.bounds().grown(1.5).max)], BOARD, THIN);
                plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
            }
        }),
    }
}

pub(super) fn mount<'a>(told: &'a Told<'a>) -> Step<'a> {
    let square = told.job.trays.as_ref().map_or(Length::ZERO, |t| t.square);
    Step {
        title: "Glue the trays to the case".into(),
        words: vec![
            format!("Glue the small tray to the back cover, its open side flush with the cover's edge at the spine, {} from the other three edges. Leave it under weight until it holds.", show(told, square)),
            "Set the large tray over the small one. Glue its base, fold the case up and lay the front cover down on it: so it comes to sit where it closes. Weight on the closed box, overnight.".into(),
        ],
        window: work::press_window(),
        draw: Box::new(move |plan| work::in_space(plan, work::press_window(), &states::open(told.job, told.design))),
    }
}

pub(super) fn line_spine<'a>(told: &'a Told<'a>) -> Step<'a> {
    let spine = told.design.pieces.iter().find(|p| p.role == Role::Wall).map(|p| p.outline.bounds());
    let lining = told.design.pieces.iter().find(|p| p.id == "cloth-spine-lining").map(|p| p.outline.bounds());
    let window = work::around(spine, 60.0);
    Step {
        title: "Line the spine".into(),
        words: vec![
            "Open the box flat. Glue the strip of cloth over the inside of the spine: from the floor of the small tray down into the joint, over the spine, into the other joint and up onto the floor of the large tray. Rub it into both joints with the folder.".into(),
            "Close the box once while the glue is damp, so that the strip finds its length, and open it again to dry.".into(),
        ],
        window,
        draw: Box::new(move |plan| {
            for piece in told.design.pieces.iter().filter(|p| p.stock == StockKind::Board && p.role != Role::Tray) {
                plan.solid(std::slice::from_ref(&piece.outline), BOARD, THIN);
            }
            if let (Some(spine), Some(lining)) = (spine, lining) {
                let half = pt(lining.width() / 2.0, lining.height() / 2.0);
                let at = Bounds { min: spine.center() - half, max: spine.center() + half };
                plan.solid(&[Contour::rectangle(at.min, at.max)], HERE, Pen::solid(INK, 0.25));
                plan.name(&Contour::rectangle(spine.min, spine.max), "spine");
            }
        }),
    }
}

pub(super) fn line_floors<'a>(told: &'a Told<'a>) -> Step<'a> {
    let boards = || pieces_of(told, shown(told), StockKind::Board);
    Step {
        title: "Line the floors".into(),
        words: [
            Some("Glue the lining of each tray to its floor: it covers the edges of the cloth that was turned onto it, and what else ends there, and stays 1 mm clear of the walls.".into()),
            super::colophon::of_floor(told),
            Some("Leave the box closed and under weight overnight, waxed paper between the trays.".into()),
        ]
        .into_iter()
        .flatten()
        .collect(),
        window: work::around(boards().first().map(|p| p.outline.bounds()), 8.0),
        draw: Box::new(move |plan: &mut Plan<'_>| {
            if let Some(piece) = boards().first() {
                plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
            }
            for piece in pieces_of(told, shown(told), StockKind::Liner) {
                plan.solid(std::slice::from_ref(&piece.outline), LINER, THIN);
            }
        }),
    }
}

//! The step of a covering by part: cloth at edges and corners, then the paper over it. What the words say of pasting and
//! of grain is common practice, no source; the order, cloth first and paper lapping over it, is that of Vaughn,
//! "Printing and Bookbinding for Schools", 1914; the measures are the job's.

use super::plan::{BOARD, CLOTH, LINER, THIN};
use super::step::{Step, glued, show};
use super::{Told, work};
use crate::design::{Parted, Piece, Role, covered_by_part};
use crate::drawing::Pen;
use crate::geom::{Path, Stroke, pt};
use crate::job::StockKind;
use crate::units::{Length, mm};
use crate::write::style::INK;

/// What is said of them where the boards are laid on the cloth.
pub(super) fn on_cloth(told: &Told<'_>) -> Option<String> {
    let all = covered_by_part(told.job, told.design);
    let named: Vec<String> =
        all.iter().map(|one| format!("of the {} {}", one.on.board(), show(told, mm(one.cloth)))).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Boards that are covered by part lie on it beside their joints alone: {}; the rest is for the paper.",
            named.join(", ")
        )
    })
}

/// The sides covered.
pub(super) fn cover<'a>(told: &'a Told<'a>) -> Step<'a> {
    let all = covered_by_part(told.job, told.design);
    let mut words = Vec::new();
    let strips: Vec<String> = all
        .iter()
        .filter(|one| one.cut.edge > Length::ZERO)
        .map(|one| {
            format!("along the {}'s edge across from its joint, {} onto it", one.on.board(), show(told, one.cut.edge))
        })
        .collect();
    if !strips.is_empty() {
        words.push(format!(
            "First the strips of cloth (1): {}. Glue each down and turn it in as the rest.",
            strips.join("; ")
        ));
    }
    let corners: Vec<String> = all
        .iter()
        .filter(|one| one.cut.corner > Length::ZERO)
        .map(|one| format!("of the {} {} along either edge", one.on.board(), show(told, one.cut.corner)))
        .collect();
    if !corners.is_empty() {
        words.push(format!(
            "First the corners of cloth (1): {}. Glue each down and turn it in as the rest.",
            corners.join("; ")
        ));
    }
    let has_own_cloth = !strips.is_empty() || !corners.is_empty();
    let lines: Vec<String> = all
        .iter()
        .map(|one| {
            format!(
                "on the {} {} from the board's edge at its joint",
                one.on.board(),
                show(told, mm(one.cloth) - one.cut.lap)
            )
        })
        .collect();
    let lap = all.first().map_or(Length::ZERO, |one| one.cut.lap);
    words.push(format!(
        "When the cloth is dry draw the line for the paper on it, along the joint: {}. The paper laps {} over the cloth there{}.",
        lines.join("; "),
        show(told, lap),
        if !has_own_cloth { "" } else { ", and as much over the cloth at edges and corners" }
    ));
    words.push(format!(
        "Brush the paper{}, about {} in all, from its middle outwards{}: damp paper stretches. Lay its straight edge to the line, rub it down from there to the far edge through clean paper, and let no paste out onto the cloth. Its grain runs with that of the boards, head to tail.",
        if has_own_cloth { " (2)" } else { "" },
        glued(told, StockKind::Paper),
        if all.len() > 1 { ", and wait as long with each" } else { " and lay it at once" }
    ));
    let corner = show(told, told.job.covering.corner);
    // Paper up to the far edge has corners, and is turned in there.
    let has_far_edge = all.iter().any(|one| one.cut.edge <= Length::ZERO);
    let has_corners = all.iter().any(|one| one.cut.edge.max(one.cut.corner) <= Length::ZERO);
    let corners = if has_corners {
        format!("At a free corner it is cut as cloth is, {corner} from the board. ")
    } else {
        String::new()
    };
    let across = if has_far_edge { ", then over the edge across from it" } else { "" };
    words.push(format!(
        "{corners}Turn it in over the two edges beside the joint{across}. {}Leave it under weight until it is dry; a board that is covered and not yet lined curls.",
        if super::window::is_in_a_side(told) { "Go on at its window, as told below, while the paste is wet. " } else { "" }
    ));
    let has_notch = |one: &Parted| one.part.lid().and_then(|side| told.job.flaps.get(&side)?.notch).is_some();
    let is_slit = |p: &Piece| p.stock == StockKind::Paper && !p.slits.is_empty();
    if all.iter().any(has_notch) && told.design.pieces.iter().any(is_slit) {
        words
            .push("At the thumb notch it is slit into tabs: turn in one after the other, the middle one first.".into());
    }
    let boards: Vec<&Piece> = on_boards(told).collect();
    let sides = |stock| told.design.pieces.iter().filter(move |p: &&Piece| p.role == Role::Side && p.stock == stock);
    let cloth = || told.design.pieces.iter().filter(|p| p.role == Role::Cover && p.stock == StockKind::Cloth);
    let window = work::around(cloth().chain(sides(StockKind::Paper)).map(|p| p.outline.bounds()), 4.0);
    Step {
        title: "Cover the sides".into(),
        words,
        window,
        draw: Box::new(move |plan| {
            plan.turn_over();
            for board in &boards {
                plan.solid(std::slice::from_ref(&board.outline), BOARD, THIN);
            }
            for piece in cloth().chain(sides(StockKind::Cloth)) {
                plan.solid(std::slice::from_ref(&piece.outline), CLOTH, THIN);
            }
            for piece in sides(StockKind::Paper) {
                plan.solid(std::slice::from_ref(&piece.outline), LINER, THIN);
            }
            let dashed = Pen { dashes: &[1.6, 1.0], unit: 0.4, ..Pen::solid(INK, 0.25) };
            let edges: Vec<Stroke> = boards.iter().map(|b| Stroke::Closed(b.outline.clone())).collect();
            plan.line(&edges, dashed);
            for one in &all {
                // The line that the paper is laid to.
                let half = one.size[1] / 2.0;
                let y = one.cloth - one.cut.lap.to_mm();
                let line = Path::line(one.frame.apply(pt(-half, y)), one.frame.apply(pt(half, y)));
                plan.line(&[Stroke::Open(line)], Pen::solid(INK, 0.5));
            }
            for window in super::openings::all(told) {
                plan.solid(&[window.outline()], [255, 255, 255], THIN);
            }
            for piece in sides(StockKind::Cloth) {
                plan.number(piece.outline.bounds().center(), 1);
            }
            for piece in sides(StockKind::Paper).filter(|_| has_own_cloth) {
                plan.number(piece.outline.bounds().center(), 2);
            }
        }),
    }
}

fn on_boards<'a>(told: &Told<'a>) -> impl Iterator<Item = &'a Piece> {
    let is_on = |p: &&Piece| p.stock == StockKind::Board && !matches!(p.role, Role::Tray | Role::Inside | Role::Gauge);
    told.design.pieces.iter().filter(is_on)
}

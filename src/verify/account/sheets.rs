//! Pieces, copies and sheets counted again.

use super::wrong;
use crate::geom::{Bounds, Contour, Segment};
use crate::units::decimal;
use crate::verify::Many;
use crate::verify::read::manifest::{ListedPiece, ListedSheet, Manifest, vertex};
use std::collections::{BTreeMap, BTreeSet};

/// How far a figure may be from what it is of, for its rounding: six decimals.
const ROUNDING: f64 = 2e-6;
/// An offcut narrower than this is waste, mm (common practice, no source).
const NARROWEST: f64 = 60.0;

pub(super) fn check(manifest: &Manifest, out: &mut Many) {
    let mut ids = BTreeSet::new();
    for piece in &manifest.pieces {
        if !ids.insert(piece.id.as_str()) {
            out.push(wrong(format!("the piece {} stands there twice", piece.id)));
        }
    }
    let mut ids = BTreeSet::new();
    for sheet in &manifest.sheets {
        if !ids.insert(sheet.id.as_str()) {
            out.push(wrong(format!("the sheet {} stands there twice", sheet.id)));
        }
        one(manifest, sheet, out);
    }
    copies(manifest, out);
    walls(manifest, out);
    dressed(manifest, out);
    strips(manifest, out);
    linings(manifest, out);
}

/// What is said of one sheet.
fn one(manifest: &Manifest, sheet: &ListedSheet, out: &mut Many) {
    let (mut area, mut taken) = (0.0, Bounds::EMPTY);
    for placed in &sheet.placed {
        if placed.copies.len() != sheet.count as usize || placed.copies.first() != Some(&placed.copy) {
            let message = format!(
                "{} is cut {} times, and the copies of {} on it are {:?}",
                sheet.id, sheet.count, placed.piece, placed.copies
            );
            out.push(wrong(message));
        }
        let Some(piece) = manifest.pieces.iter().find(|p| p.id == placed.piece) else { continue };
        if piece.stock != sheet.stock {
            out.push(wrong(format!("{} is of {} and lies on {}, of {}", piece.id, piece.stock, sheet.id, sheet.stock)));
        }
        let outline = outline(piece);
        area += outline.area().abs();
        taken = taken.union(outline.transformed(&placed.laid()).bounds());
    }
    // The stock stands in the name of every sheet: `board-1`, `first-board-1`.
    if !sheet.id.split('-').any(|part| part == sheet.stock) {
        out.push(wrong(format!("the sheet {} is said to be of {}", sheet.id, sheet.stock)));
    }
    let used = area / (sheet.width * sheet.height);
    if (used - sheet.used).abs() > ROUNDING {
        let (said, is) = (decimal(sheet.used * 100.0, 2), decimal(used * 100.0, 2));
        out.push(wrong(format!("the pieces take {is} % of {}, and {said} % are said", sheet.id)));
    }
    if let Some(o) = sheet.offcut {
        // A whole strip above all pieces or beside them.
        let is_above = o.x.abs() < ROUNDING
            && (o.width - sheet.width).abs() < ROUNDING
            && (o.y + o.height - sheet.height).abs() < ROUNDING
            && o.y >= taken.max.y - ROUNDING;
        let is_beside = o.y.abs() < ROUNDING
            && (o.height - sheet.height).abs() < ROUNDING
            && (o.x + o.width - sheet.width).abs() < ROUNDING
            && o.x >= taken.max.x - ROUNDING;
        if !(is_above || is_beside) || o.width.min(o.height) < NARROWEST - ROUNDING {
            out.push(wrong(format!("the offcut of {} is no strip that its pieces leave", sheet.id)));
        }
    }
}

/// A piece's outline where it was drawn.
pub(super) fn outline(piece: &ListedPiece) -> Contour {
    Contour::new(piece.outline.iter().map(vertex))
}

/// How often each piece is cut in all, by its id.
pub(super) fn totals(manifest: &Manifest) -> BTreeMap<&str, usize> {
    let mut totals = BTreeMap::new();
    for sheet in &manifest.sheets {
        for placed in &sheet.placed {
            *totals.entry(placed.piece.as_str()).or_default() += sheet.count as usize;
        }
    }
    totals
}

/// Every copy of every piece is cut once, and as many of each as its boxes need.
fn copies(manifest: &Manifest, out: &mut Many) {
    let mut cut: BTreeMap<&str, Vec<u32>> = BTreeMap::new();
    for placed in manifest.sheets.iter().flat_map(|s| &s.placed) {
        cut.entry(placed.piece.as_str()).or_default().extend(&placed.copies);
    }
    let mut boxes: Option<(usize, &str)> = None;
    for piece in &manifest.pieces {
        let mut all = cut.remove(piece.id.as_str()).unwrap_or_default();
        all.sort_unstable();
        // A gauge is cut once, if there is room for it.
        if piece.role == "gauge" && all.is_empty() {
            continue;
        }
        let of_a_box = piece.count as usize;
        // Boxes that were made before have the first numbers; a gauge is cut for no box.
        let before = if piece.role == "gauge" { 0 } else { manifest.first_copy.saturating_sub(1) };
        let first = before.saturating_mul(piece.count).saturating_add(1);
        let is_counted = all.iter().zip(first..).all(|(a, b)| *a == b);
        if !is_counted || of_a_box == 0 || !all.len().is_multiple_of(of_a_box) || all.is_empty() {
            out.push(wrong(format!(
                "of {} a box needs {of_a_box}, and {} are cut, of which each should be another copy",
                piece.id,
                all.len()
            )));
            continue;
        }
        // The sheets of several boxes have as many of each box as its row asks for.
        if manifest.fit.is_none() || piece.role == "gauge" {
            continue;
        }
        let n = all.len() / of_a_box;
        match boxes {
            None => boxes = Some((n, &piece.id)),
            Some((m, other)) if m != n => {
                out.push(wrong(format!("{} is cut for {n} boxes, and {other} for {m}", piece.id)));
            }
            Some(_) => {}
        }
    }
}

/// What the box is folded from is what is cut.
fn dressed(manifest: &Manifest, out: &mut Many) {
    let Some((fit, dressed)) = manifest.fit.as_ref().and_then(|f| f.dressed.as_ref().map(|d| (f, d))) else { return };
    for hinge in dressed.hinges.iter().filter(|h| h.kind == "joint") {
        // A case beside the box has joints of its own.
        let hangs = dressed.panels.get(hinge.child).map_or("", |p| p.piece.as_str());
        let is_of_case = ["board-spine", "board-front-cover"].contains(&hangs);
        let said = fit.case.as_ref().filter(|_| is_of_case).map_or(fit.joint, |case| case.joint);
        if (hinge.width - said).abs() > 1e-5 {
            let (said, is) = (decimal(said, 2), decimal(hinge.width, 2));
            out.push(wrong(format!("a joint of {said} mm is said, and one of {is} mm is folded")));
        }
    }
    for panel in &dressed.panels {
        // A blank is creased, and each of its panels is a part of it.
        let whole = manifest.pieces.iter().find(|p| p.id == panel.piece && p.creases.is_empty());
        let area = |outline: &[[f64; 3]]| Contour::new(outline.iter().map(vertex)).area().abs();
        match whole.map(|p| (area(&panel.outline), area(&p.outline))) {
            Some((folded, cut)) if (folded - cut).abs() > 1e-3 * cut.sqrt() => {
                let (folded, cut) = (decimal(folded, 0), decimal(cut, 0));
                out.push(wrong(format!("{} is folded with {folded} mm2, and cut with {cut}", panel.piece)));
            }
            None if manifest.pieces.iter().all(|p| p.id != panel.piece) => {
                out.push(wrong(format!("the box is folded from {}, which is no piece", panel.piece)));
            }
            _ => {}
        }
    }
    if let Some(sheet) = manifest.sheets.iter().find(|s| s.stock == "board")
        && (sheet.thickness - dressed.board).abs() > 1e-5
    {
        let (is, said) = (decimal(sheet.thickness, 2), decimal(dressed.board, 2));
        out.push(wrong(format!("the box is folded from board of {said} mm, and cut from {is} mm")));
    }
    // Without sides of paper nothing is said of it; of no thickness it counts as nothing.
    let paper = manifest.sheets.iter().find(|s| s.stock == "paper").map_or(0.0, |s| s.thickness);
    let said = dressed.paper.unwrap_or_default();
    if (paper - said).abs() > 1e-5 {
        let (is, said) = (decimal(paper, 2), decimal(said, 2));
        out.push(wrong(format!("the sides are covered with paper of {said} mm, and that is cut from {is} mm")));
    }
}

/// Hinge strips are as long as they lie, wider by what their joints swallow, and line every joint of the box once.
fn strips(manifest: &Manifest, out: &mut Many) {
    let Some(dressed) = manifest.fit.as_ref().and_then(|f| f.dressed.as_ref()) else { return };
    let cut: Vec<&ListedPiece> = manifest.pieces.iter().filter(|p| p.role == "hinge").collect();
    if cut.len() != dressed.strips.len() {
        let message = format!("{} hinge strips are cut, and {} lie in the box", cut.len(), dressed.strips.len());
        out.push(wrong(message));
    }
    if dressed.strips.is_empty() {
        return;
    }
    for strip in &dressed.strips {
        let Some(piece) = cut.iter().find(|p| p.id == strip.piece) else {
            out.push(wrong(format!("a joint is lined with {}, which is no hinge strip", strip.piece)));
            continue;
        };
        let lies = Contour::new(strip.outline.iter().map(vertex)).bounds();
        let is = outline(piece).bounds();
        let mut more = [is.width() - lies.width(), is.height() - lies.height()];
        more.sort_by(f64::total_cmp);
        let swallowed = dressed.take_up * f64::from(strip.joints);
        if more[0].abs() > 1e-4 || (more[1] - swallowed).abs() > 1e-4 {
            let size = [lies.width(), lies.height()].map(|l| decimal(l, 2)).join(" x ");
            let message = format!(
                "{} lies {size} mm wide, its joints swallow {} mm of it, and it is not cut so",
                piece.id,
                decimal(swallowed, 2)
            );
            out.push(wrong(message));
        }
    }
    let is_of_case = |piece: &str| ["board-spine", "board-front-cover"].contains(&piece);
    let own = dressed.hinges.iter().filter(|h| h.kind == "joint");
    let own = own.filter(|h| !dressed.panels.get(h.child).is_some_and(|p| is_of_case(&p.piece))).count();
    let lined: u32 = dressed.strips.iter().map(|s| s.joints).sum();
    if usize::try_from(lined) != Ok(own) {
        out.push(wrong(format!("{own} joints are folded, and hinge strips line {lined}")));
    }
}

/// A lining whose edges are folded under is cut larger by that on all sides, and no other is.
fn linings(manifest: &Manifest, out: &mut Many) {
    let Some(dressed) = manifest.fit.as_ref().and_then(|f| f.dressed.as_ref()) else { return };
    if dressed.linings.is_empty() {
        return;
    }
    for piece in manifest.pieces.iter().filter(|p| p.role == "liner") {
        let Some(lining) = dressed.linings.iter().find(|l| l.piece == piece.id) else {
            out.push(wrong(format!("{} is folded under nowhere, as the other linings are", piece.id)));
            continue;
        };
        let net = Contour::new(lining.outline.iter().map(vertex));
        let cut = outline(piece);
        // At corners and round arcs less is cut, and nowhere more than to a mitre's tip; along each straight edge that is
        // long enough for what its corners lose it is cut so far out.
        let holds = net.vertices().iter().all(|v| cut.contains(v.point()));
        let is_near = cut.vertices().iter().all(|v| net.distance_to(v.point()) < lining.folded * FARTHEST);
        let mut straight = net.segments().filter(|s| s.is_line() && s.length() > 4.0 * lining.folded);
        let is_even = |s: Segment| (cut.distance_to(s.point_at(0.5)) - lining.folded).abs() < 1e-4;
        if !holds || !is_near || !straight.all(is_even) {
            let message =
                format!("{} is folded under by {} mm, and is not cut so", piece.id, decimal(lining.folded, 2));
            out.push(wrong(message));
        }
    }
    if let Some(stray) = dressed.linings.iter().find(|l| manifest.pieces.iter().all(|p| p.id != l.piece)) {
        out.push(wrong(format!("a lining is folded under that is no piece: {}", stray.piece)));
    }
}

/// How far beyond its net edge a lining may be cut, as a share of what is folded under: to the tip of a mitre that is not
/// cut off, at a corner of a square.
const FARTHEST: f64 = 1.5;

/// The boards of the walls are as high as it is said.
fn walls(manifest: &Manifest, out: &mut Many) {
    let Some(fit) = &manifest.fit else { return };
    if let Some(case) = &fit.case {
        let [wide, high] = case.covers;
        for (id, said) in [
            ("board-back-cover", [wide, high]),
            ("board-front-cover", [wide, high]),
            ("board-spine", [case.spine, high]),
        ] {
            let b = manifest.pieces.iter().find(|p| p.id == id).map_or(Bounds::EMPTY, |p| outline(p).bounds());
            if (b.width() - said[0]).abs() > 1e-5 || (b.height() - said[1]).abs() > 1e-5 {
                let size = said.map(|l| decimal(l, 2)).join(" x ");
                out.push(wrong(format!("a case is said whose {id} measures {size} mm, and it does not")));
            }
        }
    }
    let is_of_case = |id: &str| fit.case.is_some() && id == "board-spine";
    for piece in manifest.pieces.iter().filter(|p| p.role == "wall" && !is_of_case(&p.id)) {
        let Some(said) = piece.side.as_ref().and_then(|s| fit.walls.get(s)) else { continue };
        let b = outline(piece).bounds();
        if (b.width() - said).abs() > 1e-5 && (b.height() - said).abs() > 1e-5 {
            let message =
                format!("a wall of {} mm is said, and {} is none of that height", decimal(*said, 2), piece.id);
            out.push(wrong(message));
        }
    }
}

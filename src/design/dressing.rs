//! What is glued on the boards: the covering cloth outside, its turn-ins and patches, hinge strips and liner inside.

use super::build::Made;
use super::edges::free_edges;
use super::flat::Flat;
use super::liner;
use super::measures::{Measures, paper, thicknesses};
use super::patch::PatchPlace;
use super::sides;
use super::tabs::Turned;
use super::window;
use crate::assembly::{Assembly, Cover, Face, Layer, LayerKind, Panel, Part};
use crate::geom::{Contour, Point, SAME_POINT, Segment, Transform, Vertex, pt, rings_shared};
use crate::job::Job;

/// Chords of curved turn-ins stray from the board's edge by so much, mm: far less than their pleats do.
const CHORD: f64 = 0.1;

/// Dresses the panels of hinged boards.
pub(super) fn dress(all: &mut Assembly, job: &Job, m: &Measures, flat: &Flat, made: &Made) {
    let (t, c, _) = thicknesses(job);
    let c = c.to_mm();
    // Folded up over the board's thickness and its own, so much is left to lie on the inside face.
    let deep = job.covering.turn_in.to_mm() - t.to_mm() - c;
    let parted = sides::parted(job, m, flat);
    let p = paper(job).to_mm();
    let deep_paper = job.covering.turn_in.to_mm() - t.to_mm() - p;
    for panel in &mut all.panels {
        panel.turned = turned_on(panel, &made.turned, false);
        panel.turned_paper = turned_on(panel, &made.turned, true);
        let layer = |kind, face, cover| Layer { kind, face, cover, thickness: c };
        let of_paper = |kind, face, cover| Layer { kind, face, cover, thickness: p };
        let by_part = parted.iter().find(|one| one.part == panel.part);
        let window = window::opening(job, panel.part, &panel.outline);
        let is_window_of_paper = window.is_some_and(|w| w.is_of_paper(&parted));
        // About its window an area comes in parts.
        let whole = |area: Contour| match &window {
            Some(window) if area.contains(window.board.center()) => window::beside(&area, window.board),
            _ => vec![area],
        };
        let outside = by_part.map_or_else(|| vec![panel.outline.clone()], |one| one.under_cloth(&panel.outline));
        let outside = outside.into_iter().flat_map(whole);
        panel.layers.extend(outside.map(|a| layer(LayerKind::Cloth, Face::Outside, Cover::Area(a))));
        if let Some(one) = by_part {
            let papers = one.under_paper(&panel.outline).into_iter().flat_map(whole);
            panel.layers.extend(papers.map(|c| of_paper(LayerKind::Paper, Face::Outside, Cover::Area(c))));
        }
        let own: Vec<&PatchPlace> = made.patches.iter().filter(|p| p.part == panel.part).collect();
        for patch in &own {
            let (kind, thickness) = if patch.is_paper { (LayerKind::PaperPatch, p) } else { (LayerKind::Patch, c) };
            let cover = Cover::Area(patch.inside.clone());
            panel.layers.push(Layer { kind, face: Face::Inside, cover, thickness });
            if let Some(edge) = patch.edge {
                panel.layers.push(Layer { kind, face: Face::Edge, cover: Cover::Along(edge), thickness });
            }
        }
        let free = free_edges(panel, flat).into_iter().map(|edge| (edge, [deep, deep_paper]));
        let of_window = window.iter().flat_map(|window| {
            let deep = window::turned_deep(job, window, is_window_of_paper).to_mm();
            window::edges(window).into_iter().map(move |edge| (edge, [deep; 2]))
        });
        for (edge, [deep, deep_paper]) in free.chain(of_window) {
            for stretch in covered(&edge, &own) {
                let (cloths, papers) = by_part.map_or_else(|| (vec![stretch], Vec::new()), |one| one.parted(&stretch));
                let cloths = cloths.into_iter().map(|stretch| (LayerKind::TurnIn, stretch, deep, c));
                let papers = papers.into_iter().map(|stretch| (LayerKind::PaperTurnIn, stretch, deep_paper, p));
                for (kind, stretch, deep, thickness) in cloths.chain(papers) {
                    let cover = Cover::Along(stretch);
                    panel.layers.push(Layer { kind, face: Face::Edge, cover, thickness });
                    let inside = band(&stretch, deep).map(Cover::Area);
                    panel.layers.extend(inside.map(|cover| Layer { kind, face: Face::Inside, cover, thickness }));
                }
            }
        }
    }
    line(all, job, m, flat, made);
}

/// What of the cloth, or of the paper, that is turned in may lie on a panel.
fn turned_on(panel: &Panel, turned: &[Turned], is_paper: bool) -> Vec<Contour> {
    let bounds = panel.outline.bounds();
    let is_on = |t: &&Turned| {
        t.is_paper == is_paper
            && !t.is_in_joint
            && t.only.is_none_or(|part| part == panel.part)
            && t.bounds.overlaps(bounds, SAME_POINT)
    };
    turned.iter().filter(is_on).map(|t| Contour::polygon(t.ring.iter().copied())).collect()
}

/// Lines the panels: the liner's pieces, drawn longer by what the joints swallow, moved back onto their
/// boards.
pub(super) fn line(all: &mut Assembly, job: &Job, m: &Measures, flat: &Flat, made: &Made) {
    let Some(stock) = &job.liner else { return };
    let take_up = liner::drawn_longer(job, m).to_mm();
    let thickness = stock.thickness.to_mm();
    let layers = |kind: LayerKind| {
        made.linings.iter().flat_map(move |lining| match kind {
            LayerKind::LinerFold => lining.folds.iter().collect::<Vec<&Contour>>(),
            _ => vec![&lining.outline],
        })
    };
    let of_kind = |kind: LayerKind| layers(kind).map(move |outline| (kind, outline));
    let liners: Vec<(LayerKind, &Contour)> = of_kind(LayerKind::LinerFold).chain(of_kind(LayerKind::Liner)).collect();
    for panel in &mut all.panels {
        let swallowed = match panel.part {
            Part::Wall(_) => 1.0,
            Part::Lid(_) => 2.0,
            Part::Base | Part::OuterBase | Part::UpperFace | Part::Tray(..) | Part::Case(_) => 0.0,
        };
        let side = panel.part.wall().or(panel.part.lid());
        let out = side
            .and_then(|s| flat.arms.get(&s))
            .map_or(pt(0.0, 0.0), |arm| Point::unit((arm.frame.rotation_deg + 90.0).to_radians()));
        let back = Transform::shift(-out * (take_up * swallowed));
        let board = panel.outline.flatten(CHORD);
        for strip in &made.strips {
            for ring in rings_shared(&board, &strip.outline.flatten(CHORD)) {
                let cover = Cover::Area(Contour::polygon(ring));
                let thickness = job.strip().to_mm();
                panel.layers.push(Layer { kind: LayerKind::HingeStrip, face: Face::Inside, cover, thickness });
            }
        }
        for (kind, outline) in &liners {
            let moved = outline.transformed(&back);
            if !moved.bounds().overlaps(panel.outline.bounds(), 0.0) {
                continue;
            }
            for area in rings_shared(&board, &moved.flatten(CHORD)).into_iter().map(Contour::polygon) {
                let parts = match window::opening(job, panel.part, &panel.outline) {
                    Some(window) => window::beside(&area, window::lined(job, &window)),
                    None => vec![area],
                };
                for cover in parts.into_iter().map(Cover::Area) {
                    panel.layers.push(Layer { kind: *kind, face: Face::Inside, cover, thickness });
                }
            }
        }
    }
}

/// The stretches of an edge that the slits leave covered.
fn covered(edge: &Segment, patches: &[&PatchPlace]) -> Vec<Segment> {
    let mut bare: Vec<(f64, f64)> = patches
        .iter()
        .filter_map(|p| p.bare)
        .filter(|b| edge.is_line() && edge.distance_to(b.point_at(0.5)) < 1e-6)
        .map(|b| (edge.nearest_share(b.start), edge.nearest_share(b.end)))
        .map(|(a, b)| (a.min(b), a.max(b)))
        .collect();
    bare.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut from, mut left) = (0.0, Vec::new());
    for (a, b) in bare.into_iter().chain([(1.0, 1.0)]) {
        if a - from > 1e-9 {
            left.push(edge.between(from, a));
        }
        from = b.max(from);
    }
    left
}

/// The area of a board beside an edge, `deep` mm in from it; nothing where it has no width.
fn band(edge: &Segment, deep: f64) -> Option<Contour> {
    if deep <= 0.0 {
        return None;
    }
    if edge.is_line() {
        let inwards = (edge.end - edge.start).normalized()?.left() * deep;
        return Some(Contour::polygon([edge.start, edge.end, edge.end + inwards, edge.start + inwards]));
    }
    // About a convex arc the band closes in its middle; the tabs lie side by side there.
    let deep = if edge.bulge > 0.0 { deep.min(edge.radius() * 0.999) } else { deep };
    let center = edge.center()?;
    let towards = |p: Point| {
        let out = (p - center).normalized().unwrap_or_default();
        p + if edge.bulge > 0.0 { -out } else { out } * deep
    };
    let inner = [Vertex::new(towards(edge.end), -edge.bulge), Vertex::new(towards(edge.start), 0.0)];
    Some(Contour::new([Vertex::new(edge.start, edge.bulge), Vertex::new(edge.end, 0.0)].into_iter().chain(inner)))
}

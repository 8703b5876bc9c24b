//! What the closed box spans.

use super::measures::thicknesses;
use crate::assembly::{Assembly, Cover, Face, HingeKind, LayerIn, LayerKind, Panel, Space, space};
use crate::geom::{Contour, Point, Segment};
use crate::job::Job;

/// From where to where all panels of the closed box reach, x, y and z, mm, with what is glued on them, and outside the
/// base the cloth of a joint with the liner that is pressed into it; `None` where there are no panels.
pub fn span(job: &Job, assembly: &Assembly) -> Option<[[f64; 3]; 2]> {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    let mut reach = |p: Space| {
        for (i, v) in [p.x, p.y, p.z].into_iter().enumerate() {
            low[i] = low[i].min(v);
            high[i] = high[i].max(v);
        }
    };
    let places = assembly.closed();
    // A free edge is rounded by the cloth about it: corners of a box are out by its thickness each way.
    for (panel, place) in assembly.panels.iter().zip(&places) {
        let turned = panel.turned_in();
        let b = panel.outline.bounds();
        let is_free = |p: Point| {
            panel
                .layers
                .iter()
                .any(|l| matches!(&l.cover, Cover::Along(s) if l.face == Face::Edge && s.distance_to(p) < 1e-6))
        };
        let low_z = panel.level - panel.dressed(Face::Outside);
        let high_z = panel.level + panel.thickness;
        for s in panel.outline.segments() {
            let middle = s.point_at(0.5);
            let out = if is_free(middle) { turned_over(panel, &s, turned) } else { 0.0 };
            for p in s.flatten(0.01).into_iter().chain([s.start, middle]) {
                let beyond = (p - b.center())
                    .normalized()
                    .map_or(p, |_| p - Point::unit(s.heading_at(s.nearest_share(p))).left() * out);
                reach(place.at(beyond, low_z));
                reach(place.at(beyond, high_z));
            }
        }
    }
    for (panel, place) in assembly.panels.iter().zip(&places) {
        for layer in panel.layers.iter().filter(|l| l.kind == LayerKind::Patch && l.face == Face::Outside) {
            let Cover::Area(area) = &layer.cover else { continue };
            let low = panel.level - panel.dressed(Face::Outside) - layer.thickness;
            area.vertices().iter().for_each(|p| reach(place.at(p.point(), low)));
        }
    }
    // Where a patch goes round an edge, it and the turn-in lie double.
    for (panel, place) in assembly.panels.iter().zip(&places) {
        for strip in patched_edges(panel) {
            for p in strip.vertices() {
                reach(place.at(p.point(), 0.0));
                reach(place.at(p.point(), panel.thickness));
            }
        }
    }
    for hinge in &assembly.hinges {
        // The outside of a crease lies half a board beyond the line about which it turns.
        if let (HingeKind::Crease, Some(parent), Some(place)) =
            (hinge.kind, assembly.panels.get(hinge.parent), places.get(hinge.parent))
        {
            let out = -(hinge.axis.end - hinge.axis.start).normalized().unwrap_or_default().left();
            for p in [hinge.axis.start, hinge.axis.end] {
                reach(place.at(p + out * (parent.thickness / 2.0), parent.level));
            }
        }
        let doubled: f64 = hinge
            .room
            .parts
            .iter()
            .filter(|p| matches!(p.0, LayerIn::DoubledLiner | LayerIn::DoubledStrip))
            .map(|p| p.1)
            .sum();
        let cloth = thicknesses(job).1.to_mm();
        if hinge.parent == 0 && doubled > 0.0 {
            let out = -(hinge.axis.end - hinge.axis.start).normalized().unwrap_or_default().left();
            for p in [hinge.axis.start, hinge.axis.end] {
                let q = p + out * (doubled + cloth);
                reach(space(q.x, q.y, 0.0));
            }
        }
    }
    (low[0] <= high[0]).then_some([low, high])
}

/// How thick what is turned in over an edge is, where it is most: paper over cloth on a lap.
fn turned_over(panel: &Panel, edge: &Segment, [once, lapped]: [f64; 2]) -> f64 {
    if lapped - once < 1e-12 {
        return once;
    }
    let own: Vec<(LayerKind, &Segment, f64)> = panel
        .layers
        .iter()
        .filter_map(|l| match &l.cover {
            Cover::Along(s) if edge.distance_to(s.point_at(0.5)) < 1e-6 => Some((l.kind, s, l.thickness)),
            _ => None,
        })
        .collect();
    let at = |p: Point| -> f64 {
        let of =
            |kind| own.iter().filter(|o| o.0 == kind && o.1.distance_to(p) < 1e-6).map(|o| o.2).fold(0.0, f64::max);
        of(LayerKind::TurnIn) + of(LayerKind::PaperTurnIn)
    };
    own.iter().map(|o| at(o.1.point_at(0.0)).max(at(o.1.point_at(0.5))).max(at(o.1.point_at(1.0)))).fold(0.0, f64::max)
}

/// The strips beside the edges of a panel that patches go round: patch and turn-in lie double there.
pub fn patched_edges(panel: &Panel) -> Vec<Contour> {
    let strip = |layer: &crate::assembly::Layer| match &layer.cover {
        Cover::Along(s) if layer.kind == LayerKind::Patch => {
            let out = -(s.end - s.start).normalized()?.left() * (2.0 * layer.thickness);
            Some(Contour::polygon([s.start, s.start + out, s.end + out, s.end]))
        }
        _ => None,
    };
    panel.layers.iter().filter_map(strip).collect()
}

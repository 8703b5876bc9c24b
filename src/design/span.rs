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
        let b = panel.outline.bounds();
        let low_z = panel.level - panel.dressed(Face::Outside);
        let high_z = panel.level + panel.thickness;
        for (s, out) in panel.outline.segments().flat_map(|s| turned_over(panel, &s)) {
            for p in s.flatten(0.01).into_iter().chain([s.start, s.point_at(0.5)]) {
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

/// An edge in stretches, each with how thick what is turned in over it is: of a side that is covered by part cloth, paper
/// over cloth on the lap, and paper, each where the edge may be farther out or less.
fn turned_over(panel: &Panel, edge: &Segment) -> Vec<(Segment, f64)> {
    let own: Vec<(LayerKind, &Segment, f64)> = panel
        .layers
        .iter()
        .filter_map(|l| match &l.cover {
            Cover::Along(s) if l.face == Face::Edge && edge.distance_to(s.point_at(0.5)) < 1e-6 => {
                Some((l.kind, s, l.thickness))
            }
            _ => None,
        })
        .collect();
    let at = |p: Point| -> f64 {
        let of =
            |kind| own.iter().filter(|o| o.0 == kind && o.1.distance_to(p) < 1e-6).map(|o| o.2).fold(0.0, f64::max);
        of(LayerKind::TurnIn) + of(LayerKind::PaperTurnIn)
    };
    let mut shares: Vec<f64> =
        own.iter().flat_map(|o| [o.1.start, o.1.end]).map(|p| edge.nearest_share(p)).chain([0.0, 1.0]).collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup_by(|b, a| *b - *a < 1e-9);
    let between = |w: &[f64]| (edge.between(w[0], w[1]), at(edge.point_at((w[0] + w[1]) / 2.0)));
    shares.windows(2).map(between).collect()
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

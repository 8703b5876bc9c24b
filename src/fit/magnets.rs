//! Magnets: what lies between a magnet and its fellow in the closed box.

use crate::assembly::{Assembly, Face, LayerKind, Panel};
use crate::design::{Design, MagnetPair, Recess, magnets};
use crate::geom::{Point, pt};
use crate::job::{Job, Side};
use crate::units::{Length, mm};
use serde::Serialize;

/// Less air than this between two lids is rounding, mm.
const AIR: f64 = 0.005;

/// The magnets of one lid.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MagnetFigures {
    /// The lid.
    pub side: Side,
    /// How many magnets lie in it.
    pub count: u32,
    /// How many magnets one box takes for it, those beneath counted.
    pub magnets: u32,
    /// How many plates of steel.
    pub plates: u32,
    /// From face to face of a pair in the closed box; of several the largest.
    pub gap: Length,
    /// What it is made of, from the lid downwards, each with its thickness.
    pub layers: Vec<GapLayer>,
}

/// What lies between a magnet and its fellow.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GapLayer {
    /// What it is: `liner`, `cloth`, `board`.
    pub what: &'static str,
    /// How thick it is.
    pub thickness: Length,
}

/// The figures of a job's magnets, lid by lid.
pub(super) fn figures(job: &Job, design: &Design) -> Vec<MagnetFigures> {
    let Some(flat) = &design.flat else { return Vec::new() };
    let all = magnets(job, flat, &design.assembly);
    let of = |(side, asked): (&Side, &crate::job::Magnets)| {
        let layers = all
            .iter()
            .filter(|pair| pair.side == *side)
            .filter_map(|pair| between(job, &design.assembly, pair))
            .max_by(|a, b| sum(a).to_mm().total_cmp(&sum(b).to_mm()))
            .unwrap_or_default();
        let is_steel = asked.plate.is_some();
        MagnetFigures {
            side: *side,
            count: asked.count,
            magnets: asked.count * if is_steel { 1 } else { 2 },
            plates: if is_steel { asked.count } else { 0 },
            gap: sum(&layers),
            layers,
        }
    };
    job.magnets.iter().map(of).collect()
}

fn sum(layers: &[GapLayer]) -> Length {
    layers.iter().fold(Length::ZERO, |all, l| all + l.thickness)
}

/// The layers from the face of a lid's magnet down to that of what lies beneath it. A magnet lies on its glue at
/// the bottom of its recess.
fn between(job: &Job, assembly: &Assembly, pair: &MagnetPair) -> Option<Vec<GapLayer>> {
    let asked = job.magnets.get(&pair.side)?;
    let beneath = pair.beneath.as_ref()?;
    let places = assembly.closed();
    let find = |r: &Recess| assembly.panels.iter().position(|p| p.part == r.part);
    let (upper, lower) = (find(&pair.own)?, find(beneath)?);
    let (up, low) = (&assembly.panels[upper], &assembly.panels[lower]);
    let (cloths, liner) = on_inside(up, &pair.own);
    let outside = low.dressed(Face::Outside);
    let apart =
        places.get(upper)?.at(pair.own.at, up.level + up.thickness).z - places.get(lower)?.at(beneath.at, low.level).z;
    let air = apart - cloths - liner - outside;
    let glue_up = asked.depth - asked.thickness;
    // The film of glue lies behind the lid's magnet, and whatever its recess is deeper is before it.
    let slack = (glue_up - GLUE).max(Length::ZERO);
    let (thick, deep) = asked.plate.map_or((asked.thickness, asked.depth), |p| (p.thickness, p.depth));
    let glue = (deep - thick).min(GLUE);
    let all = [
        ("left of its recess", slack),
        ("turn-in", mm(cloths)),
        ("liner", mm(liner)),
        ("air", if air > AIR { mm(air) } else { Length::ZERO }),
        ("cloth", mm(outside)),
        ("board", mm(low.thickness) - deep),
        ("glue", glue),
    ];
    let layers = all.into_iter().map(|(what, thickness)| GapLayer { what, thickness });
    Some(layers.filter(|l| l.thickness.to_mm() > 1e-9).collect())
}

/// The film of glue under a magnet (from memory).
const GLUE: Length = mm(0.1);

/// How much cloth and how much liner lies over a recess on the inside of its board, at the place where there is
/// most: board is stiff, and lies on that.
fn on_inside(panel: &Panel, recess: &Recess) -> (f64, f64) {
    let (cloth, paper) = (panel.thickest(LayerKind::TurnIn), panel.thickest(LayerKind::PaperTurnIn));
    let at = |p: Point| {
        // Once: turn-ins meet at corners, and what a curve draws along is told twice.
        let turned = u8::from(panel.turned.iter().any(|t| t.contains(p)));
        let here = |kind: LayerKind| panel.areas_inside(kind).filter(|(a, _)| a.contains(p)).map(|(_, t)| t);
        let thickest = |kind: LayerKind| here(kind).fold(0.0, f64::max);
        let patches: f64 = here(LayerKind::Patch).chain(here(LayerKind::PaperPatch)).sum();
        let strips = thickest(LayerKind::HingeStrip);
        let (liner, folded) = (thickest(LayerKind::Liner), thickest(LayerKind::LinerFold));
        let papers = u8::from(panel.turned_paper.iter().any(|t| t.contains(p)));
        (f64::from(turned) * cloth + f64::from(papers) * paper + patches + strips, liner + folded)
    };
    let radius = recess.pocket.outline.bounds().width() / 2.0;
    let rim = (0..16).map(|k| {
        let angle = f64::from(k) * std::f64::consts::TAU / 16.0;
        at(recess.at + Point::unit(angle) * radius)
    });
    rim.chain([at(recess.at), at(recess.at + pt(radius / 2.0, 0.0))])
        .max_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)))
        .unwrap_or_default()
}

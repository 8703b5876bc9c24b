//! The box in space, for a picture that folds: every part as a closed surface in the flat layout, and
//! where each panel is from flat to closed.

use super::body::{Body, FRAMES, body, short};
use super::findings::Finding;
use super::thin::{blocks, strap, ties};
use crate::assembly::{Assembly, Cover, Face, HingeKind, Layer, LayerKind, Panel, Part, Pose, Stance};
use crate::design::{Design, Piece, opening};
use crate::geom::{Contour, Point, Segment};
use crate::job::Job;
use crate::units::{mm, tidy};
use serde::Serialize;

/// How far chords may stray from an arc, mm.
const CHORD: f64 = 0.1;

/// The box in space. Lengths are mm.
#[derive(Clone, Debug, Serialize)]
pub struct Scene {
    size: [f64; 3],
    frames: usize,
    moments: Vec<Moment>,
    bodies: Vec<Body>,
    places: Vec<Vec<f64>>,
    ribbons: Vec<Ribbon>,
    faults: Vec<Fault>,
}

/// A frame that has a name.
#[derive(Clone, Debug, Serialize)]
struct Moment {
    at: usize,
    words: String,
}

/// A strip of cloth between the edges of two panels.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Ribbon {
    kind: &'static str,
    words: String,
    a: [f64; 6],
    place_a: usize,
    b: [f64; 6],
    place_b: usize,
}

/// Where in the box a finding is.
#[derive(Clone, Debug, Serialize)]
struct Fault {
    part: String,
    code: &'static str,
    words: String,
    at: [f64; 3],
    place: usize,
}

/// The scene of a box; none where it has no panels.
pub(super) fn scene(job: &Job, design: &Design, found: &[Finding]) -> Option<Scene> {
    let assembly = &design.assembly;
    if assembly.panels.is_empty() {
        return None;
    }
    let mut bodies = Vec::new();
    for (i, panel) in assembly.panels.iter().enumerate() {
        bodies.push(board(job, panel, i));
        layers(job, design, panel, i, &mut bodies);
    }
    bodies.extend(blocks(job, assembly));
    bodies.extend(strap(job, design));
    bodies.extend(ties(job, design));
    let last = assembly.hinges.iter().map(|h| h.order).max().unwrap_or_default();
    let places = (0..FRAMES).map(|i| frame(assembly, i as f64 / (FRAMES - 1) as f64)).collect();
    Some(Scene {
        size: size(&bodies),
        frames: FRAMES,
        moments: moments(assembly, last),
        places,
        ribbons: ribbons(job, assembly),
        faults: faults(assembly, found),
        bodies,
    })
}

fn frame(assembly: &Assembly, share: f64) -> Vec<f64> {
    let places = assembly.posed(&Pose::on_the_way(assembly, share));
    places.iter().flat_map(Stance::rows).map(|v| tidy(v, 5)).collect()
}

/// What lies flat, in all three directions.
fn size(bodies: &[Body]) -> [f64; 3] {
    let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for body in bodies.iter().filter(|b| b.from == 0) {
        for (i, v) in body.points.iter().enumerate() {
            low[i % 3] = low[i % 3].min(*v);
            high[i % 3] = high[i % 3].max(*v);
        }
    }
    [0, 1, 2].map(|i| short((high[i] - low[i]).max(0.0)))
}

fn moments(assembly: &Assembly, last: u32) -> Vec<Moment> {
    let mut all = vec![Moment { at: 0, words: "flat".into() }];
    let steps = last + 1;
    for order in 0..last {
        let at = (f64::from(order + 1) / f64::from(steps) * (FRAMES - 1) as f64).round() as usize;
        let of = |h: &&crate::assembly::Hinge| h.order == order;
        let parts: Vec<Part> =
            assembly.hinges.iter().filter(of).filter_map(|h| Some(assembly.panels.get(h.child)?.part)).collect();
        let lids: Vec<&str> = parts.iter().filter_map(|p| p.lid()).map(crate::job::Side::word).collect();
        let words = match &lids[..] {
            _ if parts.iter().any(|p| p.wall().is_some()) => "walls up".to_owned(),
            [] => continue,
            [one] => format!("{one} lid closed"),
            [all @ .., one] => format!("{} and {one} lids closed", all.join(", ")),
        };
        all.push(Moment { at, words });
    }
    all.push(Moment { at: FRAMES - 1, words: "closed".into() });
    all
}

/// The rings of a slab at both of its faces, and its upright edges at corners.
fn edges(rings: &[&Contour], low: f64, high: f64) -> Vec<Vec<f64>> {
    let mut all = Vec::new();
    for ring in rings {
        let points = ring.flatten(CHORD);
        for z in [high, low] {
            let closed = points.iter().chain(points.first());
            all.push(closed.flat_map(|p| [short(p.x), short(p.y), short(z)]).collect());
        }
        for p in corners(ring) {
            all.push(vec![short(p.x), short(p.y), short(low), short(p.x), short(p.y), short(high)]);
        }
    }
    all
}

/// The vertices at which an outline turns by more than a rounded corner's chords do.
fn corners(ring: &Contour) -> Vec<Point> {
    let segments: Vec<Segment> = ring.segments().collect();
    let turns = |a: &Segment, b: &Segment| {
        let turn = (b.start_heading() - a.end_heading()).rem_euclid(std::f64::consts::TAU);
        turn.min(std::f64::consts::TAU - turn) > 0.2
    };
    (0..segments.len())
        .filter(|i| turns(&segments[(*i + segments.len() - 1) % segments.len()], &segments[*i]))
        .map(|i| segments[i].start)
        .collect()
}

fn board(job: &Job, panel: &Panel, place: usize) -> Body {
    let b = panel.outline.bounds();
    let size = job.units.show_size(&[mm(b.width()), mm(b.height()), mm(panel.thickness)]);
    let name = panel.name();
    let words = format!("{name}: board, {}", size.replace(" x ", " × "));
    let mut body = body(name, "board", words, &panel.mesh(&Stance::FLAT, CHORD), place);
    body.piece = Some(panel.piece.clone());
    let rings: Vec<&Contour> = std::iter::once(&panel.outline).chain(&panel.holes).collect();
    body.edges = edges(&rings, panel.level, panel.level + panel.thickness);
    for (pocket, depth) in &panel.recesses {
        let floor = panel.level + panel.thickness - depth;
        let ring = pocket.flatten(CHORD);
        let top = panel.level + panel.thickness;
        for z in [top, floor] {
            let closed = ring.iter().chain(ring.first());
            body.edges.push(closed.flat_map(|p| [short(p.x), short(p.y), short(z)]).collect());
        }
    }
    for (pocket, depth) in &panel.outside_recesses {
        let ring = pocket.flatten(CHORD);
        for z in [panel.level, panel.level + depth] {
            let closed = ring.iter().chain(ring.first());
            body.edges.push(closed.flat_map(|p| [short(p.x), short(p.y), short(z)]).collect());
        }
    }
    body
}

fn kind(layer: &Layer) -> &'static str {
    match layer.kind {
        LayerKind::Cloth => "cloth",
        LayerKind::Paper | LayerKind::PaperTurnIn => "paper",
        LayerKind::TurnIn => "turn-in",
        LayerKind::Patch | LayerKind::PaperPatch => "patch",
        LayerKind::HingeStrip => "hinge-strip",
        LayerKind::LinerFold => "liner",
        LayerKind::Liner => "liner",
    }
}

/// What is glued on a panel, each kind over those that lie beneath it.
fn layers(job: &Job, design: &Design, panel: &Panel, place: usize, bodies: &mut Vec<Body>) {
    let under = |layer: &Layer| -> f64 {
        let order = |k: LayerKind| match k {
            // Under a tray its own cloth lies over what is turned there.
            LayerKind::Cloth if layer.face == Face::Outside => 3,
            LayerKind::Cloth => 0,
            LayerKind::Patch | LayerKind::PaperPatch => 1,
            LayerKind::TurnIn => 2,
            // Paper laps over cloth.
            LayerKind::PaperTurnIn => 3,
            LayerKind::HingeStrip => 4,
            LayerKind::LinerFold => 5,
            LayerKind::Paper | LayerKind::Liner => 6,
        };
        let beneath = panel.layers.iter().filter(|l| l.face == layer.face && order(l.kind) < order(layer.kind));
        let mut thickest = [0.0f64; 7];
        for l in beneath {
            let at = order(l.kind);
            thickest[at] = thickest[at].max(l.thickness);
        }
        thickest.iter().sum()
    };
    let top = panel.level + panel.thickness;
    let name = panel.name();
    let has_window = opening(job, panel.part, &panel.outline).is_some();
    for layer in &panel.layers {
        let (outline, low, thickness) = match (&layer.cover, layer.face) {
            (Cover::Area(area), Face::Inside) => (area.clone(), top + under(layer), layer.thickness),
            (Cover::Area(area), _) => (area.clone(), panel.level - under(layer) - layer.thickness, layer.thickness),
            (Cover::Along(edge), _) => (round(edge, layer.thickness), panel.level, panel.thickness),
        };
        let slab = Panel {
            part: panel.part,
            called: None,
            piece: String::new(),
            outline: outline.ccw(),
            holes: Vec::new(),
            recesses: Vec::new(),
            outside_recesses: Vec::new(),
            thickness,
            level: low,
            layers: Vec::new(),
            turned: Vec::new(),
            turned_paper: Vec::new(),
        };
        let shown = job.units.show(mm(layer.thickness));
        let what = match layer.kind {
            LayerKind::Cloth if layer.face == Face::Inside => "lining of the spine",
            LayerKind::Cloth => "covering cloth",
            LayerKind::TurnIn => "cloth turned in",
            LayerKind::Paper => "paper",
            LayerKind::PaperTurnIn => "paper turned in",
            LayerKind::Patch => "patch of cloth",
            LayerKind::PaperPatch => "patch of paper",
            LayerKind::HingeStrip => "hinge strip",
            LayerKind::LinerFold => "liner folded under",
            LayerKind::Liner => "liner",
        };
        let words = format!("{what} on the {name}, {shown} thick");
        let mut one = body(name.clone(), kind(layer), words, &slab.mesh(&Stance::FLAT, CHORD), place);
        // About a window a layer comes in parts, whose seams are no edges.
        let is_parted = has_window && matches!(layer.kind, LayerKind::Cloth | LayerKind::Paper | LayerKind::Liner);
        if matches!(layer.cover, Cover::Area(_)) && !is_parted {
            one.edges = edges(&[&slab.outline], low, low + thickness).into_iter().take(2).collect();
        }
        one.piece = piece_of(design, layer, panel);
        bodies.push(one);
    }
}

/// The piece that a layer is, or is a part of.
fn piece_of(design: &Design, layer: &Layer, panel: &Panel) -> Option<String> {
    use crate::design::Role;
    let of = |role: Role| design.pieces.iter().filter(move |p| p.role == role);
    let alone = |mut found: Box<dyn Iterator<Item = &Piece> + '_>| found.next().map(|p| p.id.clone());
    let is_of_case = panel.part.is_of_case() || panel.called.is_some();
    match layer.kind {
        LayerKind::Paper | LayerKind::PaperTurnIn => Some(panel.piece.replacen("board", "paper", 1)),
        LayerKind::Cloth if is_of_case && layer.face == Face::Inside => Some("cloth-spine-lining".into()),
        LayerKind::Cloth | LayerKind::TurnIn if is_of_case => {
            Some(strip_there(design, layer, panel).unwrap_or_else(|| "cloth-case".into()))
        }
        LayerKind::Liner if is_of_case => Some(panel.piece.replacen("board", "liner", 1)),
        LayerKind::Cloth | LayerKind::TurnIn => {
            strip_there(design, layer, panel).or_else(|| alone(Box::new(of(Role::Cover))))
        }
        LayerKind::Patch | LayerKind::PaperPatch => {
            let middle = match &layer.cover {
                Cover::Area(area) => area.bounds().center(),
                Cover::Along(edge) => edge.point_at(0.5),
            };
            let here = design.patches.iter().filter(|p| p.part == panel.part);
            here.min_by(|a, b| {
                let far = |p: &crate::design::PatchPlace| p.outline.bounds().center().distance(middle);
                far(a).total_cmp(&far(b))
            })
            .map(|p| p.id.clone())
        }
        LayerKind::HingeStrip => {
            let Cover::Area(area) = &layer.cover else { return None };
            let middle = area.bounds().center();
            design.strips.iter().find(|s| s.outline.contains(middle)).map(|s| s.id.clone())
        }
        LayerKind::LinerFold | LayerKind::Liner => {
            let Cover::Area(area) = &layer.cover else { return None };
            let middle = area.bounds().center();
            let here = of(Role::Liner).find(|p| p.outline.contains(middle)).map(|p| p.id.clone());
            here.or_else(|| alone(Box::new(of(Role::Liner))))
        }
    }
}

/// The strip or corner of cloth that a layer on a board covered by part is, if it is one.
fn strip_there(design: &Design, layer: &Layer, panel: &Panel) -> Option<String> {
    use crate::design::Role;
    if panel.turned_paper.is_empty() {
        return None;
    }
    let middle = match &layer.cover {
        Cover::Area(area) => area.bounds().center(),
        Cover::Along(edge) => edge.point_at(0.5),
    };
    let board = design.pieces.iter().find(|p| p.id == panel.piece)?;
    // In a case beside its box both lie elsewhere than in the layout.
    let moved = middle + (board.outline.bounds().center() - panel.outline.bounds().center());
    let is_strip = |p: &&Piece| p.role == Role::Side && p.stock == crate::job::StockKind::Cloth;
    design.pieces.iter().filter(is_strip).find(|p| p.outline.contains(moved)).map(|p| p.id.clone())
}

/// The cloth round a board's edge, the board to the left of its stretch.
fn round(edge: &Segment, thickness: f64) -> Contour {
    let inner: Vec<Point> = std::iter::once(edge.start).chain(edge.flatten(CHORD)).collect();
    let n = inner.len();
    let outer = |i: usize| {
        let share = if n > 1 { i as f64 / (n - 1) as f64 } else { 0.0 };
        inner[i] - Point::unit(edge.heading_at(share)).left() * thickness
    };
    let back: Vec<Point> = (0..n).map(outer).collect();
    Contour::polygon(back.into_iter().chain(inner.iter().rev().copied()))
}

/// The cloth of every joint, and the outer face of every crease.
fn ribbons(job: &Job, assembly: &Assembly) -> Vec<Ribbon> {
    let mut all = Vec::new();
    for hinge in &assembly.hinges {
        let (Some(parent), Some(child)) = (assembly.panels.get(hinge.parent), assembly.panels.get(hinge.child)) else {
            continue;
        };
        let along = (hinge.axis.end - hinge.axis.start).normalized().unwrap_or_default();
        let out = -along.left() * hinge.width;
        let name = child.name();
        let (kind, words) = match hinge.kind {
            HingeKind::Glued | HingeKind::Loose => continue,
            HingeKind::Joint => ("cloth", format!("joint of the {name}, {}", job.units.show(mm(hinge.width)))),
            HingeKind::Crease => ("board", format!("crease of the {name}")),
        };
        let ends = |by: Point, z: f64| {
            let (p, q) = (hinge.axis.start + by, hinge.axis.end + by);
            [p.x, p.y, z, q.x, q.y, z].map(short)
        };
        all.push(Ribbon {
            kind,
            words,
            a: ends(Point::default(), parent.level),
            place_a: hinge.parent,
            b: ends(out, child.level),
            place_b: hinge.child,
        });
    }
    all
}

/// Where the findings are that name a part: at its hinge, or in the middle of it.
fn faults(assembly: &Assembly, found: &[Finding]) -> Vec<Fault> {
    let mut all = Vec::new();
    for finding in found {
        let is_of_joints = finding.part.is_none() && finding.key.as_deref() == Some("box.joint");
        let Some(place) = assembly.panels.iter().position(|p| match &finding.part {
            Some(part) => p.part.name() == *part,
            // Of all joints the first shows it.
            None => is_of_joints && p.part.wall().is_some(),
        }) else {
            continue;
        };
        let panel = &assembly.panels[place];
        let hinge = assembly.hinges.iter().find(|h| h.child == place);
        let is_of_joint = finding.code.contains("joint") || finding.message.contains("joint");
        let at = match hinge {
            Some(h) if is_of_joint => {
                let along = (h.axis.end - h.axis.start).normalized().unwrap_or_default();
                h.axis.start.lerp(h.axis.end, 0.5) - along.left() * h.width
            }
            _ => panel.outline.bounds().center(),
        };
        let top = panel.level + panel.thickness;
        let at = [at.x, at.y, top].map(short);
        all.push(Fault { part: panel.part.name(), code: finding.code, words: finding.message.clone(), at, place });
    }
    all
}

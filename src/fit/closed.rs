//! The closed box as upright solids: every board with what is glued on it, and the stack. Heights
//! count from the underside of the base board.

use crate::assembly::{Assembly, Cover, Face, LayerKind, Panel, Part, Stance, space};
use crate::design::{Design, Filled, filling_on, held, patched_edges, under_stack};
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Contour, Join, Point, Segment, Transform, offset, overlap, pt, rings_shared, uncovered};
use crate::job::{Job, Side, ThingKind};
use crate::units::{Length, mm};

/// A board, or the stack, in the closed box.
#[derive(Clone, Debug)]
pub struct Solid {
    /// What it is, `left wall`.
    pub name: String,
    /// Its footprint, counter-clockwise, in the base's coordinates.
    pub footprint: Contour,
    /// The height of its underside, mm.
    pub bottom: f64,
    /// The height of its upper side, mm.
    pub top: f64,
    /// Which part of the box; `None` for what lies in it.
    pub part: Option<Part>,
    /// Whether it is a stack of works.
    pub is_stack: bool,
}

impl Solid {
    /// The side of a lid.
    pub fn lid(&self) -> Option<Side> {
        self.part.and_then(Part::lid)
    }
}

/// The bare boards, closed, in the order of the assembly, lids by their order of closing; after the base
/// the stack.
pub fn solids(job: &Job, assembly: &Assembly) -> Vec<Solid> {
    in_order(assembly, stack(job, assembly), |panel, place| bare(panel, place, [0.0; 3]))
}

/// The same boards with all that is glued on them: each as thick as where most of it lies.
pub(super) fn dressed(job: &Job, assembly: &Assembly) -> Vec<Solid> {
    in_order(assembly, stack(job, assembly), |panel, place| {
        // Round an edge the laps of paper over cloth are solids of their own.
        bare(panel, place, [panel.dressed(Face::Inside), panel.dressed(Face::Outside), turned_in(panel)])
    })
}

fn in_order(assembly: &Assembly, stack: Vec<Solid>, solid: impl Fn(&Panel, &Stance) -> Solid) -> Vec<Solid> {
    let places = assembly.closed();
    let lids = assembly.lids();
    let rank = |part: Part| match part {
        Part::Base | Part::OuterBase => 0,
        Part::Wall(_) => 2,
        Part::UpperFace => 3,
        Part::Tray(..) | Part::Case(_) => usize::MAX,
        Part::Lid(side) => 4 + lids.iter().position(|s| *s == side).unwrap_or_default(),
    };
    // Trays are judged by themselves: to their case they are what it holds. So is the case round a wrapper.
    let panels = assembly.panels.iter().zip(&places).filter(|(panel, _)| !panel.part.is_of_another());
    let mut all: Vec<(usize, Solid)> = panels.map(|(panel, place)| (rank(panel.part), solid(panel, place))).collect();
    all.extend(stack.into_iter().map(|s| (1, s)));
    all.sort_by_key(|(rank, _)| *rank);
    all.into_iter().map(|(_, solid)| solid).collect()
}

/// Those strips of the closed box as solids, as thick as all that lies there.
pub(super) fn patched(assembly: &Assembly) -> Vec<Solid> {
    let places = assembly.closed();
    let of = |(panel, place): (&Panel, &Stance)| -> Vec<Solid> {
        let cloth = panel.thickest(LayerKind::Patch);
        let solid = |outline, inside: f64| bare(&Panel { outline, ..panel.clone() }, place, [inside, 0.0, 0.0]);
        let edges = patched_edges(panel).into_iter().map(|outline| solid(outline, 2.0 * cloth));
        // Where the turn-in lies over a patch a wall is thicker than elsewhere, and more so under the liner.
        let areas = |kind: LayerKind| panel.areas_inside(kind).map(|(area, _)| area.flatten(0.05));
        let board = panel.outline.flatten(0.05);
        // Patches run on into the joints, where they are no wall.
        let patches = areas(LayerKind::Patch).filter(|_| panel.part.wall().is_some());
        let doubled = patches.flat_map(|p| rings_shared(&board, &p)).flat_map(|patch| {
            panel.turned.iter().flat_map(move |t| rings_shared(&patch, &t.flatten(0.05))).collect::<Vec<_>>()
        });
        let mut thick: Vec<(Vec<Point>, f64)> = doubled.map(|ring| (ring, 2.0 * cloth)).collect();
        for kind in [LayerKind::HingeStrip, LayerKind::LinerFold, LayerKind::Liner] {
            let by = panel.thickest_on(Face::Inside, kind);
            let over = |(ring, under): &(Vec<Point>, f64)| {
                let under = *under;
                areas(kind).flat_map(|a| rings_shared(ring, &a)).map(move |ring| (ring, under + by)).collect::<Vec<_>>()
            };
            let more: Vec<_> = thick.iter().flat_map(over).collect();
            thick.extend(more);
        }
        let lapped = panel.turned_in()[1];
        let laps = laps(panel).into_iter().map(|strip| solid(strip, lapped)).collect::<Vec<Solid>>();
        let thick = thick.into_iter().map(|(ring, inside)| solid(Contour::polygon(ring), inside));
        edges.chain(thick).chain(laps).collect::<Vec<Solid>>()
    };
    assembly.panels.iter().zip(&places).flat_map(of).collect()
}

/// How thick the cloth round a panel's free edges is.
fn turned_in(panel: &Panel) -> f64 {
    panel.turned_in()[0]
}

/// The strips beside a panel's edges where paper laps over cloth, each as wide as both are thick.
fn laps(panel: &Panel) -> Vec<Contour> {
    let edges = |kind: LayerKind| {
        panel.layers.iter().filter(move |l| l.kind == kind).filter_map(|l| match &l.cover {
            Cover::Along(edge) => Some(*edge),
            Cover::Area(_) => None,
        })
    };
    let thick = panel.turned_in()[1];
    let lap = |paper: &Segment, cloth: &Segment| -> Option<Contour> {
        let (a, b) = (paper.nearest_share(cloth.start), paper.nearest_share(cloth.end));
        let both = paper.between(a.min(b), a.max(b));
        let is_one = cloth.distance_to(both.point_at(0.5)) < 1e-6 && both.length() > 1e-3;
        let along = (both.end - both.start).normalized().filter(|_| is_one)?;
        let out = -along.left() * thick;
        Some(Contour::polygon([both.start, both.start + out, both.end + out, both.end]))
    };
    let papers: Vec<Segment> = edges(LayerKind::PaperTurnIn).collect();
    edges(LayerKind::TurnIn)
        .flat_map(|cloth| papers.iter().filter_map(move |p| lap(p, &cloth)).collect::<Vec<_>>())
        .collect()
}

/// The stack, on what lies on the base, and whatever else lies inside.
fn stack(job: &Job, assembly: &Assembly) -> Vec<Solid> {
    let Some(base) = assembly.panel(Part::Base) else { return Vec::new() };
    let floor = base.level + base.thickness + lining(base) + under_stack(job).to_mm();
    if let Some((footprint, [bottom, top])) = held(job) {
        return vec![Solid { name: "stack".into(), footprint, bottom, top, part: None, is_stack: true }];
    }
    if job.within().is_some() {
        // To the case of a box of trays they are what it holds.
        let half = pt(job.contents.width.to_mm() / 2.0, job.contents.height.to_mm() / 2.0);
        let top = floor + job.contents.depth.to_mm();
        let footprint = Contour::rectangle(-half, half);
        return vec![Solid { name: "stack".into(), footprint, bottom: floor, top, part: None, is_stack: true }];
    }
    // In a slipcase they lie against its back, elsewhere in the middle.
    let middle = job.slipcase.map_or(pt(0.0, 0.0), |_| crate::design::stack(job).0.bounds().center());
    lying(filling_on(job, middle, floor))
}

/// What lies in a box as solids.
pub(super) fn lying(all: Vec<Filled>) -> Vec<Solid> {
    let solid = |f: Filled| Solid {
        name: f.name,
        footprint: f.outline,
        bottom: f.bottom,
        top: f.top,
        part: None,
        is_stack: f.kind == ThingKind::Stack,
    };
    all.into_iter().map(solid).collect()
}

fn lining(panel: &Panel) -> f64 {
    panel.layers.iter().filter(|l| l.kind == LayerKind::Liner).map(|l| l.thickness).fold(0.0, f64::max)
}

/// A closed panel, thicker by so much inside, outside and round its edge.
pub(super) fn bare(panel: &Panel, place: &Stance, [inside, outside, edge]: [f64; 3]) -> Solid {
    let (low, high) = (panel.level - outside, panel.level + panel.thickness + inside);
    let up = place.direction(space(0.0, 0.0, 1.0));
    let solid = |footprint, bottom: f64, top: f64| Solid {
        name: panel.name(),
        footprint,
        bottom: bottom.min(top),
        top: bottom.max(top),
        part: Some(panel.part),
        is_stack: false,
    };
    if up.z.abs() > 0.5 {
        let grown = if edge > 0.0 { offset(&panel.outline, edge, Join::Mitre) } else { Ok(panel.outline.clone()) };
        let outline = grown.unwrap_or_else(|_| panel.outline.clone());
        let middle = panel.outline.bounds().center();
        let at = |z| place.at(middle, z).z;
        return solid(outline.transformed(&onto(place, up.z < 0.0)), at(low), at(high));
    }
    let outline = panel.outline.flatten(0.05);
    let points: Vec<_> = outline.iter().flat_map(|p| [place.at(*p, low), place.at(*p, high)]).collect();
    let mut plan = Bounds::of(points.iter().map(|p| pt(p.x, p.y)));
    // Round its ends too: they lie along the wall, across its own thickness.
    let ends = if up.x.abs() > up.y.abs() { pt(0.0, edge) } else { pt(edge, 0.0) };
    plan = Bounds { min: plan.min - ends, max: plan.max + ends };
    let heights = points.iter().map(|p| p.z);
    let (bottom, top) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), z| (a.min(z), b.max(z)));
    solid(Contour::rectangle(plan.min, plan.max), bottom, top)
}

/// What a level place does to the plan.
fn onto(place: &Stance, is_turned_over: bool) -> Transform {
    let y = place.direction(space(0.0, 1.0, 0.0));
    let origin = place.at(pt(0.0, 0.0), 0.0);
    let degrees = (-y.x).atan2(y.y).to_degrees();
    // Quarter turns are exact.
    let quarter = (degrees / 90.0).round() * 90.0;
    let rotation_deg = if (degrees - quarter).abs() < 1e-6 { quarter } else { degrees };
    Transform { mirrored: is_turned_over, rotation_deg, shift: pt(origin.x, origin.y) }
}

/// Every two solids that share space, of the dressed `boards`, as errors with the overlap and the number to change.
pub(super) fn collisions(job: &Job, design: &Design, boards: &[Solid]) -> Vec<Diagnostic> {
    let assembly = &design.assembly;
    let patched = patched(assembly);
    let all: Vec<&Solid> = boards.iter().chain(&patched).collect();
    let hangs = |a: Part, b: Part| {
        let is = |i: usize, part: Part| assembly.panels.get(i).is_some_and(|p| p.part == part);
        assembly.hinges.iter().any(|h| (is(h.parent, a) && is(h.child, b)) || (is(h.parent, b) && is(h.child, a)))
    };
    // Of two that meet at several places, the place where most is wanting.
    let mut found: Vec<([&str; 2], Length, Diagnostic)> = Vec::new();
    for (i, a) in all.iter().enumerate() {
        for (k, b) in all[i + 1..].iter().enumerate() {
            // A lid stands second: it is told what to change of it.
            let [a, b] = if a.lid().is_some() && b.lid().is_none() { [b, a] } else { [a, b] };
            // What hangs together is judged by its joint; two bases are glued together, and all of a slipcase.
            let is_joined = match (a.part, b.part) {
                (Some(p), Some(q)) => {
                    job.slipcase.is_some()
                        || hangs(p, q)
                        || matches!((p, q), (Part::Base | Part::OuterBase, Part::Base | Part::OuterBase))
                }
                _ => a.part.or(b.part) == Some(Part::Base) || a.part.or(b.part) == Some(Part::OuterBase),
            };
            let deep = a.top.min(b.top) - a.bottom.max(b.bottom);
            // A hundredth of a millimetre is rounding and paint.
            if is_joined || deep <= 0.01 {
                continue;
            }
            let is_corner = matches!((a.part, b.part), (Some(Part::Wall(_)), Some(Part::Wall(_))));
            // Where patches go round edges counts between a lid and a wall; walls are told apart by their ends.
            let is_lid_at_wall = a.lid().is_some() != b.lid().is_some() && a.part.is_some() && b.part.is_some();
            if i + 1 + k >= boards.len() && !is_lid_at_wall {
                continue;
            }
            let names = [a.name.as_str(), b.name.as_str()];
            let (a, b) =
                if is_corner { (at_ends(a, assembly), at_ends(b, assembly)) } else { ((*a).clone(), (*b).clone()) };
            if let Some(plan) = overlap(&a.footprint, &b.footprint)
                && plan.width > 0.01
            {
                let by = mm(deep.min(plan.width));
                let said = collision(job, design, &a, &b, mm(deep), mm(plan.width));
                match found.iter_mut().find(|f| f.0 == names) {
                    Some(before) if before.1 < by => *before = (names, by, said),
                    Some(_) => {}
                    None => found.push((names, by, said)),
                }
            }
        }
    }
    found.into_iter().map(|(_, _, said)| said).collect()
}

/// A wall as it is near its ends: turned in and patched there, and within the reveal without the liner.
fn at_ends(wall: &Solid, assembly: &Assembly) -> Solid {
    let Some(panel) = wall.part.and_then(|p| assembly.panel(p)) else { return wall.clone() };
    let Some(i) = assembly.panels.iter().position(|p| Some(p.part) == wall.part) else { return wall.clone() };
    let places = assembly.closed();
    let turned = turned_in(panel);
    let is_patched = panel.layers.iter().any(|l| l.kind == LayerKind::Patch);
    let cloth = if is_patched { turned * 2.0 } else { turned };
    places.get(i).map_or_else(|| wall.clone(), |place| bare(panel, place, [cloth, panel.dressed(Face::Outside), cloth]))
}

fn collision(job: &Job, design: &Design, a: &Solid, b: &Solid, deep: Length, wide: Length) -> Diagnostic {
    let show = |l| job.units.show(l);
    let by = deep.min(wide);
    let d = Diagnostic::error(
        "boards-collide",
        format!("closed, the {} and the {} overlap by {}, cloth and lining counted", a.name, b.name, show(by)),
    );
    match (a.lid(), b.lid()) {
        (Some(_), Some(second)) if job.strips.is_some() => d.at(job.wall_key(second)).help(format!(
            "raise {} by {}, or leave it \"auto\"",
            job.wall_key(second),
            show(deep)
        )),
        (Some(first), Some(second)) if tier(job, first) == tier(job, second) => {
            d.at(format!("flap.{}.tier", second.word())).help(format!(
                "close the {} lid in a later tier than the {}, or shorten one of them by {}",
                second.word(),
                first.word(),
                show(wide)
            ))
        }
        (None, Some(side)) if a.part.is_none() => d.at("contents.depth").help(format!(
            "raise {} by {} (it holds the {} lid down)",
            job.wall_key(side),
            show(deep),
            side.word()
        )),
        // A wall beside it, which a shorter lid meets as well.
        (None, Some(side)) if by < deep && a.part.and_then(Part::wall).is_some_and(|w| w != side.opposite()) => {
            let inset = design.measures.flap_inset + wide;
            d.at("box.flap_inset").help(format!("raise box.flap_inset to {}, or leave it \"auto\"", show(inset)))
        }
        (None, Some(side)) if by < deep => d.at(job.reach_key(side)).help(format!(
            "shorten the {} lid by {}, or raise box.flap_inset by as much",
            side.word(),
            show(wide)
        )),
        (_, Some(side)) => {
            let key = job.wall_key(side);
            let hint = format!("raise {key} by {} (for the {} lid)", show(deep), side.word());
            d.at(key).help(hint)
        }
        _ if job.strips.is_some() => d
            .at("strips")
            .help(format!("leave base_extra \"auto\", or give the base {} more between its walls", show(by * 2.0))),
        _ if a.part.is_none() => {
            d.at("contents.clearance").help(format!("give the contents {} more room", show(by * 2.0)))
        }
        _ => d
            .at("box.joint")
            .help(format!("widen the joint to {}, or leave it \"auto\"", show(design.measures.joint + by))),
    }
}

/// How far two solids overlap in plan, across; 0 where they do not.
pub(super) fn overlap_of(a: &Solid, b: &Solid) -> f64 {
    overlap(&a.footprint, &b.footprint).map_or(0.0, |o| o.width)
}

fn tier(job: &Job, side: Side) -> Option<u32> {
    job.flaps.get(&side).map(|f| f.tier)
}

/// Lids that, on their way down, scrape a wall that stands higher across from them: the lower edge of the
/// free edge swings out to `sqrt(R^2 + h^2)` from the hinge, R its reach from there and h how far it lies
/// below (derived). Walls stand upright then, as they do round a stack.
pub(super) fn scrapes(job: &Job, design: &Design, boards: &[Solid]) -> Vec<Diagnostic> {
    design
        .assembly
        .lids()
        .into_iter()
        .filter_map(|side| {
            let room = swing_room(boards, side)?;
            (room < -0.01).then(|| {
                let by = job.units.show(mm(-room));
                let (lid, wall) = (side.word(), side.opposite().word());
                let message =
                    format!("on its way down the {lid} lid scrapes the {wall} wall by {by}, cloth and lining counted");
                Diagnostic::error("lid-scrapes", message)
                    .at(job.reach_key(side))
                    .help(format!("shorten the {lid} lid by {by} or more"))
            })
        })
        .collect()
}

/// What is left between a lid's free edge, as it swings down, and the wall across, mm; `None` where no
/// wall stands higher there.
pub(super) fn swing_room(all: &[Solid], side: Side) -> Option<f64> {
    let find = |part: Part| all.iter().find(|s| s.part == Some(part));
    let (lid, own, across) = (find(Part::Lid(side))?, find(Part::Wall(side))?, find(Part::Wall(side.opposite()))?);
    if across.top <= lid.bottom + 0.01 {
        return None;
    }
    // Counted inwards from its own side.
    let from = side.opposite();
    let axis = towards(from, own.footprint.bounds()).0;
    let reach = towards(from, lid.footprint.bounds()).1 - axis;
    let swung = reach.hypot(lid.top - lid.bottom);
    Some(towards(from, across.footprint.bounds()).0 - axis - swung)
}

/// From where to where something lies on the way out to a side, counted from the middle of the layout.
fn towards(side: Side, b: Bounds) -> (f64, f64) {
    match side {
        Side::Left => (-b.max.x, -b.min.x),
        Side::Right => (b.min.x, b.max.x),
        Side::Tail => (-b.max.y, -b.min.y),
        Side::Head => (b.min.y, b.max.y),
    }
}

/// What is left between a lid's side and the wall `beside` it where the cloth of one or both lies double round a patch,
/// mm; `None` where neither is patched, or nothing of the two is at the same height.
pub(super) fn patched_room(all: &[Solid], patched: &[Solid], side: Side, beside: Side) -> Option<f64> {
    let along = |b: Bounds| match beside {
        Side::Left | Side::Right => (b.min.y, b.max.y),
        Side::Tail | Side::Head => (b.min.x, b.max.x),
    };
    let of = |part: Part| {
        let is_of = move |s: &&Solid| s.part == Some(part);
        all.iter().filter(is_of).map(|s| (s, false)).chain(patched.iter().filter(is_of).map(|s| (s, true)))
    };
    let pairs = of(Part::Lid(side)).flat_map(|a| of(Part::Wall(beside)).map(move |b| (a, b)));
    let rooms = pairs.filter_map(|((lid, lid_is_double), (wall, wall_is_double))| {
        let (a, b) = (lid.footprint.bounds(), wall.footprint.bounds());
        let (near, far) = (along(a), along(b));
        let meets =
            lid.top.min(wall.top) - lid.bottom.max(wall.bottom) > 0.01 && near.1.min(far.1) - near.0.max(far.0) > 0.01;
        (meets && (lid_is_double || wall_is_double)).then(|| towards(beside, b).0 - towards(beside, a).1)
    });
    rooms.fold(None, |least: Option<f64>, room| Some(least.map_or(room, |l| l.min(room))))
}

/// What a maker should know of the lids: contents left uncovered, a top lid shorter than half.
pub(super) fn remarks(job: &Job, all: &[Solid]) -> Vec<Diagnostic> {
    let mut said = Vec::new();
    let lids: Vec<&Solid> = all.iter().filter(|s| s.lid().is_some()).collect();
    let footprints: Vec<Contour> = lids.iter().map(|s| s.footprint.clone()).collect();
    let stacks = || all.iter().filter(|s| s.is_stack).map(|s| &s.footprint);
    let whole: f64 = stacks().map(Contour::area).sum();
    if whole <= 0.0 {
        return said;
    }
    let bare = stacks().map(|s| uncovered(s, &footprints)).sum::<f64>() / whole;
    if bare > 0.005 {
        said.push(
            Diagnostic::warning(
                "contents-uncovered",
                format!("closed, the lids leave {:.0} % of the stack uncovered", bare * 100.0),
            )
            .at(if job.strips.is_some() { "strips" } else { "flap" })
            .help("lengthen a lid's reach, unless a window is what you want")
            .weighing(bare),
        );
    }
    if let Some(top) = lids.last()
        && let Some(side) = top.lid()
        && let Some(flap) = job.flaps.get(&side)
    {
        let along = job.contents.along(side);
        if flap.reach < along * 0.5 {
            said.push(
                Diagnostic::hint(
                    "short-top-lid",
                    format!(
                        "the top lid ({}) reaches {:.0} % of the way across",
                        side.word(),
                        flap.reach / along * 100.0
                    ),
                )
                .at(job.reach_key(side))
                .help("a top lid of half or more lies flat and hides the lids beneath")
                .weighing(-(flap.reach / along)),
            );
        }
    }
    said
}

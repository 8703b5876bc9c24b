//! The closed box of folding board as upright prisms. Panels meet at creases on the board's middle
//! surface: a wall stands half a board to either side of its crease, from the underside of its
//! base to the underside of its lid, and the lid starts from its own crease over the wall's middle.
//! A lid that its crease holds higher than what lies beneath sinks onto that.

use super::closed::Solid;
use crate::design::{Flat, Measures, thicknesses};
use crate::geom::{Contour, Transform, pt};
use crate::job::{Construction, Job, Side, StrapAlong};

/// Every panel and the stack, closed: bases, stack, walls, then lids from the lowest tier up.
pub(super) fn solids(job: &Job, m: &Measures, flat: &Flat) -> Vec<Solid> {
    let (t, _, l) = thicknesses(job);
    let (t, l) = (t.to_mm(), l.to_mm());
    let half_stack = pt(job.contents.width.to_mm() / 2.0, job.contents.height.to_mm() / 2.0);
    let mut all = bases(job, m, flat, t);
    all.push(solid("stack", Contour::rectangle(-half_stack, half_stack), t + l, t + l + job.contents.depth.to_mm()));
    let mut lids = Vec::new();
    for (side, arm) in &flat.arms {
        let of = |map: &std::collections::BTreeMap<Side, crate::units::Length>| {
            map.get(side).copied().unwrap_or_default().to_mm()
        };
        let foot = if job.strips.is_some_and(|s| s.is_outer(*side)) { -t } else { 0.0 };
        // What truly lies beneath, whatever step the job reckons with.
        let beneath = f64::from(m.lower_tiers.get(side).copied().unwrap_or_default());
        let needed = of(&m.needed) + beneath * (t + l - m.step.to_mm());
        let height = of(&m.walls);
        let (from, to) = arm.wall_ends();
        let wall = Contour::rectangle(pt(from, -t / 2.0), pt(to, t / 2.0)).transformed(&arm.frame);
        all.push(solid(&format!("{} wall", side.word()), wall, foot, foot + height.min(needed)));
        let bottom = foot + height.min(needed);
        let over = Transform { mirrored: true, rotation_deg: arm.frame.rotation_deg + 180.0, shift: arm.frame.shift };
        let footprint = arm.lid().transformed(&over);
        let lid = Solid { lid: Some(*side), ..solid(&format!("{} lid", side.word()), footprint, bottom, bottom + t) };
        lids.push((m.lower_tiers.get(side).copied().unwrap_or_default(), lid));
    }
    lids.sort_by_key(|(tier, _)| *tier);
    all.extend(lids.into_iter().map(|(_, lid)| lid));
    all
}

/// The base, up to the walls' inner faces; of crossed strips both, the outer beneath.
fn bases(job: &Job, m: &Measures, flat: &Flat, t: f64) -> Vec<Solid> {
    let half = pt(m.base_width.to_mm() / 2.0, m.base_height.to_mm() / 2.0);
    let up_to = |side: Side, half: f64| if flat.arms.contains_key(&side) { half - t / 2.0 } else { half };
    let across = |half: f64| (-up_to(Side::Left, half), up_to(Side::Right, half));
    let up = |half: f64| (-up_to(Side::Tail, half), up_to(Side::Head, half));
    let rectangle = |x: (f64, f64), y: (f64, f64)| Contour::rectangle(pt(x.0, y.0), pt(x.1, y.1));
    if job.build.construction != Construction::CrossedStrips {
        return vec![solid("base", rectangle(across(half.x), up(half.y)), 0.0, t)];
    }
    let inset = m.flap_inset.to_mm();
    let (w, h) =
        (job.contents.interior_width().to_mm() / 2.0 - inset, job.contents.interior_height().to_mm() / 2.0 - inset);
    let along_height = rectangle((-w, w), up(half.y));
    let along_width = rectangle(across(half.x), (-h, h));
    let (outer, inner) = match job.strips.map(|s| s.outer) {
        Some(StrapAlong::Width) => (along_width, along_height),
        _ => (along_height, along_width),
    };
    vec![solid("outer base", outer, -t, 0.0), solid("inner base", inner, 0.0, t)]
}

fn solid(name: &str, footprint: Contour, bottom: f64, top: f64) -> Solid {
    Solid { name: name.into(), footprint, bottom, top, lid: None }
}

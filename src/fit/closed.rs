//! The closed box as upright prisms: every board, and the stack, with its footprint and its height
//! range. Heights count from the underside of the base board.
//!
//! Lids lie in layers: each is its liner, its turn-in, its board and its cloth thick, and the
//! first lies on the stack. A wall that is short for its lid's layer rises as its joint allows, and
//! so does the lid at its hinge; where that is not enough the lid is placed as high as it goes, and
//! its overlap with what lies beneath shows.

use super::folded;
use crate::design::{Flat, Measures, thicknesses};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Transform, overlap, pt, uncovered};
use crate::job::{Construction, Job, Seat, Side};
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
    /// The side of a lid; `None` for everything else.
    pub lid: Option<Side>,
}

/// Every board and the stack, closed: base, stack, walls, then lids from the lowest tier up.
///
/// Beside the base a wall's outer face stands off by what the cloth across its joint leaves after
/// the rise; on the base its outer face is flush with the base's edge and it stands on the two liner
/// faces in its joint.
pub fn solids(job: &Job, m: &Measures, flat: &Flat, rise: Length) -> Vec<Solid> {
    if job.build.construction != Construction::HingedBoards {
        return folded::solids(job, m, flat);
    }
    let (t, c, l) = thicknesses(job);
    let (t, c, l) = (t.to_mm(), c.to_mm(), l.to_mm());
    let solid = |name: &str, footprint: Contour, bottom: f64, top: f64| Solid {
        name: name.into(),
        footprint,
        bottom,
        top,
        lid: None,
    };
    let half_stack = pt(job.contents.width.to_mm() / 2.0, job.contents.height.to_mm() / 2.0);
    let floor = t + l;
    let mut all = vec![
        solid("base", flat.base.clone(), 0.0, t),
        solid("stack", Contour::rectangle(-half_stack, half_stack), floor, floor + job.contents.depth.to_mm()),
    ];
    let layer = t + 2.0 * c + l;
    let mut lids = Vec::new();
    for (side, arm) in &flat.arms {
        let height = m.walls.get(side).copied().unwrap_or_default().to_mm();
        // Where the wall's foot is: flush with the base's underside, or on its inner face.
        let foot = match job.build.seat {
            Seat::Beside => 0.0,
            Seat::OnBase => t + 2.0 * l,
        };
        let tiers = f64::from(m.lower_tiers.get(side).copied().unwrap_or_default());
        let stack = job.contents.interior_depth().to_mm() + tiers * layer;
        // What the wall lacks is made up by rising, half at its foot and half at the lid's hinge.
        let short = (stack + m.auto_wall_extra.to_mm() - height).max(0.0);
        let lift = (short / 2.0).min(rise.to_mm());
        let outer = match job.build.seat {
            Seat::Beside => (m.joint.to_mm().powi(2) - lift * lift).max(0.0).sqrt().max(2.0 * l + t),
            Seat::OnBase => 0.0,
        };
        let (from, to) = arm.wall_ends();
        let wall = Contour::rectangle(pt(from, outer - t), pt(to, outer)).transformed(&arm.frame);
        all.push(solid(&format!("{} wall", side.word()), wall, foot + lift, foot + lift + height));
        let bottom = floor + stack + l + c - (short - 2.0 * lift);
        // The lid turned over its hinge: what points outwards in the flat layout points inwards.
        let over = Transform { mirrored: true, rotation_deg: arm.frame.rotation_deg + 180.0, shift: arm.frame.shift };
        let lid = Solid {
            lid: Some(*side),
            ..solid(&format!("{} lid", side.word()), arm.lid().transformed(&over), bottom, bottom + t)
        };
        lids.push((tiers, lid));
    }
    lids.sort_by(|a, b| a.0.total_cmp(&b.0));
    all.extend(lids.into_iter().map(|(_, lid)| lid));
    all
}

/// Every two solids that overlap, as errors with the overlap and the number to change.
pub(super) fn collisions(job: &Job, all: &[Solid]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (i, a) in all.iter().enumerate() {
        for b in &all[i + 1..] {
            let deep = a.top.min(b.top) - a.bottom.max(b.bottom);
            // A hundredth of a millimetre is rounding and paint.
            if deep <= 0.01 {
                continue;
            }
            if let Some(plan) = overlap(&a.footprint, &b.footprint)
                && plan.width > 0.01
            {
                found.push(collision(job, a, b, mm(deep), mm(plan.width)));
            }
        }
    }
    found
}

fn collision(job: &Job, a: &Solid, b: &Solid, deep: Length, wide: Length) -> Diagnostic {
    let show = |l| job.units.show(l);
    let by = deep.min(wide);
    let d = Diagnostic::error(
        "boards-collide",
        format!("closed, the {} and the {} overlap by {}", a.name, b.name, show(by)),
    );
    match (a.lid, b.lid) {
        (Some(_), Some(second)) if job.strips.is_some() => d.at(job.wall_key(second)).help(format!(
            "raise {} by {}, or leave it \"auto\"",
            job.wall_key(second),
            show(deep)
        )),
        (Some(first), Some(second)) => d.at(format!("flap.{}.tier", second.word())).help(format!(
            "close the {} lid in a later tier than the {}, or shorten one of them by {}",
            second.word(),
            first.word(),
            show(wide)
        )),
        (None, Some(side)) if a.name == "stack" => d.at("contents.depth").help(format!(
            "raise {} by {} (it holds the {} lid down)",
            job.wall_key(side),
            show(deep),
            side.word()
        )),
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
        _ => d.at("box").help("leave joint, step and wall_extra \"auto\", or raise the joint"),
    }
}

/// What a maker should know of the lids: contents left uncovered, a top lid shorter than half.
pub(super) fn remarks(job: &Job, all: &[Solid]) -> Vec<Diagnostic> {
    let mut said = Vec::new();
    let lids: Vec<&Solid> = all.iter().filter(|s| s.lid.is_some()).collect();
    let Some(stack) = all.iter().find(|s| s.name == "stack") else { return said };
    let footprints: Vec<Contour> = lids.iter().map(|s| s.footprint.clone()).collect();
    let bare = uncovered(&stack.footprint, &footprints) / stack.footprint.area();
    if bare > 0.005 {
        said.push(
            Diagnostic::warning(
                "contents-uncovered",
                format!("closed, the lids leave {:.0} % of the stack uncovered", bare * 100.0),
            )
            .at(if job.strips.is_some() { "strips" } else { "flap" })
            .help("lengthen a lid's reach, unless a window is what you want"),
        );
    }
    if let Some(top) = lids.last()
        && let Some(side) = top.lid
        && let Some(flap) = job.flaps.get(&side)
    {
        let along = match side {
            Side::Left | Side::Right => job.contents.interior_width(),
            Side::Head | Side::Tail => job.contents.interior_height(),
        };
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
                .help("a top lid of half or more lies flat and hides the lids beneath"),
            );
        }
    }
    said
}

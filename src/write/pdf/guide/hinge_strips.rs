//! The joints lined with strips of cloth: all of them where they go, and one across its joint. That the strips go in
//! before the linings, and the boards are folded while they are damp, is common practice, no source.

use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, cloth, show};
use super::{Told, work};
use crate::design::{Lines, StripPlace, thicknesses};
use crate::geom::{Bounds, Contour, pt};
use crate::units::mm;

/// Thicknesses are drawn so many times as thick as lengths, so that the layers show.
const THICKER: f64 = 3.0;

/// All strips on one drawing, then one across its joint.
pub(super) fn steps<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    let job = told.job;
    let all = &told.design.strips;
    let Some(lap) = job.strip_lap() else { return Vec::new() };
    let named: Vec<String> = all.iter().enumerate().map(|(n, strip)| format!("{} {}", n + 1, strip.place())).collect();
    let mut words = vec![
        format!(
            "Strips of the covering cloth line the joints, right side up: {}. Each laps {} onto the boards beside its joint and ends {} from free edges; where two walls meet it runs to the corner of the base.",
            named.join("; "),
            show(told, lap),
            show(told, job.covering.reveal)
        ),
        "Brush one strip, lay one of its laps down, press it to the bottom of the groove with the folder, and rub the other lap down. Fold the joint once while the glue is damp, so that the strip finds its length, and lay the box open again.".to_owned(),
    ];
    if all.iter().any(|strip| strip.lines == Lines::Both) {
        words.push("A strip that goes over a whole wall is laid from the base outwards: groove, wall, groove, lid. That wall gets no lining of its own.".into());
    }
    if told.design.flat.as_ref().is_some_and(|flat| !flat.inner_corners().is_empty()) {
        words.push(
            "On the base two strips meet in a mitre at each corner; the second one laps a hair over the first.".into(),
        );
    }
    let steps = vec![Step {
        title: "Line the joints".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| {
            work::boards(plan, told, false);
            for strip in all {
                plan.solid(std::slice::from_ref(&strip.outline), HERE, THIN);
            }
            for (n, strip) in all.iter().enumerate() {
                plan.number(middle(told, strip), n + 1);
            }
        }),
    }];
    steps.into_iter().chain(across(told)).collect()
}

/// Where a strip's number stands: in the middle of its joint.
fn middle(told: &Told<'_>, strip: &StripPlace) -> crate::geom::Point {
    let arm = told.design.flat.as_ref().and_then(|flat| flat.arms.get(&strip.side));
    let Some(arm) = arm else { return strip.outline.bounds().center() };
    let y = match strip.lines {
        Lines::Foot => arm.foot() / 2.0,
        Lines::Top => arm.foot() * 1.5 + arm.wall_height(),
        Lines::Both => arm.foot() + arm.wall_height() / 2.0,
    };
    // Two joints lie close together: their numbers stand beside one another.
    let x = match strip.lines {
        Lines::Foot => -0.35,
        Lines::Top => 0.35,
        Lines::Both => 0.0,
    };
    arm.frame.apply(pt(x * arm.base_half(), y))
}

/// The joint at the foot of the first wall, across.
fn across<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let strip = told.design.strips.first()?;
    let arm = told.design.flat.as_ref()?.arms.get(&strip.side)?;
    let (lap, reveal) = (job.strip_lap()?, job.covering.reveal);
    let (joint, wall) = (told.design.measures.joint, mm(arm.wall_height()));
    let is_over_wall = strip.lines == Lines::Both;
    let words = if is_over_wall {
        format!(
            "The strip lies on the base for {}, on the bottom of the groove, over the wall, on the bottom of the next groove and on the lid. The linings of base and lid end {} from their edges, on the strip.",
            show(told, lap),
            show(told, reveal)
        )
    } else {
        format!(
            "The strip lies on each board for {} and on the bottom of the groove between them. The linings end {} from the boards' edges, on the strip: {} of it lie under each.",
            show(told, lap),
            show(told, reveal),
            show(told, lap - reveal)
        )
    };
    let beyond = if is_over_wall { wall.to_mm() + joint.to_mm() } else { 0.0 };
    let far = joint.to_mm() + beyond + lap.to_mm() + 14.0;
    let near = lap.to_mm() + 14.0;
    let high = thicknesses(job).0.to_mm() * THICKER + 8.0;
    Some(Step {
        title: format!("The joint between {}, across", strip.place()),
        words: vec![words],
        window: Bounds { min: pt(-near, -10.0), max: pt(far + 4.0, high + 4.0) },
        draw: Box::new(move |plan| section(plan, told, strip, [near, far])),
    })
}

/// A section across a joint: boards, the cloth under them, the strip in the groove, and the linings on it.
fn section(plan: &mut Plan<'_>, told: &Told<'_>, strip: &StripPlace, [near, far]: [f64; 2]) {
    let job = told.job;
    let Some(arm) = told.design.flat.as_ref().and_then(|flat| flat.arms.get(&strip.side)) else { return };
    let (g, h) = (arm.foot(), arm.wall_height());
    let (lap, reveal) = (job.strip_lap().unwrap_or_default().to_mm(), job.covering.reveal.to_mm());
    let t = job.board.thickness.to_mm() * THICKER;
    // Cloth and paper of any thickness, so that they show.
    let (c, l) = (1.0, 0.8);
    let slab = |x0: f64, x1: f64, y0: f64, y1: f64| Contour::rectangle(pt(x0, y0), pt(x1, y1));
    let is_over_wall = strip.lines == Lines::Both;
    let wall_end = if is_over_wall { g + h } else { far };
    let last = if is_over_wall { wall_end + g } else { g };
    plan.solid(&[slab(-near, 0.0, 0.0, t), slab(g, wall_end, 0.0, t)], BOARD, THIN);
    if is_over_wall {
        plan.solid(&[slab(last, far, 0.0, t)], BOARD, THIN);
    }
    plan.solid(&[slab(-near, far, -c, 0.0)], CLOTH, THIN);
    let pressed = t * (1.0 - job.covering.groove_press);
    // Along its upper side, and back along its lower.
    let mut ring = vec![pt(-lap, t), pt(-lap, t + c), pt(c, t + c), pt(c, pressed + c), pt(g - c, pressed + c)];
    ring.push(pt(g - c, t + c));
    if is_over_wall {
        ring.extend([
            pt(wall_end + c, t + c),
            pt(wall_end + c, pressed + c),
            pt(last - c, pressed + c),
            pt(last - c, t + c),
        ]);
    }
    ring.extend([pt(last + lap, t + c), pt(last + lap, t), pt(last, t), pt(last, pressed)]);
    if is_over_wall {
        ring.extend([pt(wall_end, pressed), pt(wall_end, t), pt(g, t), pt(g, pressed)]);
    }
    ring.extend([pt(0.0, pressed), pt(0.0, t)]);
    plan.solid(&[Contour::polygon(ring)], HERE, THIN);
    let lining = |from: f64, to: f64, lap_end: f64, is_left: bool| {
        // It goes down from the strip onto the board where the strip ends.
        let (a, b) = (t + c, t);
        let points = if is_left {
            vec![
                pt(from, b),
                pt(lap_end, b),
                pt(lap_end, a),
                pt(to, a),
                pt(to, a + l),
                pt(lap_end - l, a + l),
                pt(lap_end - l, b + l),
                pt(from, b + l),
            ]
        } else {
            vec![
                pt(from, a),
                pt(lap_end, a),
                pt(lap_end, b),
                pt(to, b),
                pt(to, b + l),
                pt(lap_end + l, b + l),
                pt(lap_end + l, a + l),
                pt(from, a + l),
            ]
        };
        Contour::polygon(points)
    };
    plan.solid(&[lining(-near, -reveal, -lap, true), lining(last + reveal, far, last + lap, false)], LINER, THIN);
    plan.name(&slab(-near, -2.0, 0.0, t), "base");
    plan.name(&slab(g, wall_end, 0.0, t), "wall");
    if is_over_wall {
        plan.name(&slab(last, far, 0.0, t), "lid");
    }
    plan.name(&slab(-near, far, -8.0, -2.0), "outside, cloth");
    plan.name(&slab(-near, -lap / 2.0, t + 3.0, t + 7.0), "lining");
    plan.name(&slab(-lap / 2.0, g + lap / 2.0, t + 3.0, t + 7.0), "hinge strip");
}

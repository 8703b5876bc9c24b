//! The box in its states, from the real geometry.

use super::Told;
use crate::drawing::Faces;
use crate::drawing::{Anchor, Drawing as Page, Pen, Type};
use crate::geom::{Bounds, Point, pt};
use crate::geom::{Contour, Path, Stroke};
use crate::units::Length;
use crate::write::pdf::flow::Flow;
use crate::write::pdf::scene::{Board, FROM_TAIL_RIGHT, Picture, Space, at, picture};
use crate::write::pdf::states;
use crate::write::style::{INK, QUIET};

const NOTE: Type = Type::new(3.0);

/// The title, the closed box with its measures, the open one, and the order of closing.
pub(super) fn front(flow: &mut Flow<'_>, told: &Told<'_>) {
    let job = told.job;
    flow.title(&job.title);
    let show = |l: &[Length; 3]| job.units.show_size(&l.map(|l| job.units.on_rule(l)));
    let copies = if job.copies > 1 { format!("{} boxes. ", job.copies) } else { String::new() };
    flow.text(&format!(
        "{copies}Room inside for {}; outside, closed, about {} (width x height x depth).",
        show(&told.fit.interior),
        show(&told.fit.exterior)
    ));
    if told.design.flat.is_none() {
        return;
    }
    let closed = picture(&states::closed(job, told.design), FROM_TAIL_RIGHT);
    let faces = flow.faces;
    flow.row(68.0, |page, corner, room| {
        let inner = Bounds { min: corner + pt(22.0, 9.0), max: corner + pt(room - 22.0, 65.0) };
        let put = place(&closed, inner);
        draw(page, &closed, &put);
        measures(page, faces, told, &put);
    });
    flow.row(74.0, |page, corner, room| {
        let half = room / 2.0;
        let left = Bounds { min: corner + pt(0.0, 8.0), max: corner + pt(half - 3.0, 72.0) };
        let open = picture(&states::open(job, told.design), FROM_TAIL_RIGHT);
        draw(page, &open, &place(&open, left));
        let in_tray = job.build.construction.terms().has_trays;
        let open = if in_tray {
            "open, the stack in its tray"
        } else if job.slipcase.is_some() {
            "the stack on its way in"
        } else if told.design.case.is_some() {
            "open and flat, the wrapper on the back cover"
        } else if job.is_for_loose_sheets() {
            "open and flat, the sheets on the back cover"
        } else {
            "open and flat, the stack on the base"
        };
        page.text(faces, corner + pt(half / 2.0, 2.0), Anchor::Middle, NOTE, open);
        let right = Bounds { min: corner + pt(half + 3.0, 8.0), max: corner + pt(room, 72.0) };
        let (boards, words): (Vec<Board>, &str) = if told.design.case.is_some() {
            (states::in_case(job, told.design), "the wrapper closed, its case open")
        } else if job.is_for_loose_sheets() {
            (states::closing(job, told.design), "the front cover on its way down")
        } else if states::has_tiers(job) {
            (states::half_closed(job, told.design), "the lids that close first are down")
        } else if job.build.construction.terms().has_case {
            (states::closing(job, told.design), "the large tray on its way over the small one")
        } else if job.slipcase.is_some() {
            (states::without_upper_face(told.design), "glued together, before the upper face goes on")
        } else {
            (states::closed(job, told.design), "closed")
        };
        let half_way = picture(&boards, FROM_TAIL_RIGHT);
        draw(page, &half_way, &place(&half_way, right));
        page.text(faces, corner + pt(half * 1.5, 2.0), Anchor::Middle, NOTE, words);
    });
    flow.text(&order(told));
}

/// In which order the lids close.
fn order(told: &Told<'_>) -> String {
    let mut tiers: Vec<u32> = told.job.flaps.values().map(|f| f.tier).collect();
    tiers.sort_unstable();
    tiers.dedup();
    let named = |tier: &u32| -> String {
        let sides: Vec<&str> =
            told.job.flaps.iter().filter(|(_, f)| f.tier == *tier).map(|(side, _)| side.word()).collect();
        sides.join(" and ")
    };
    let mut words: Vec<String> = tiers.iter().map(named).collect();
    if told.design.case.is_some() {
        words.push("the front cover".into());
    }
    match words.as_slice() {
        [] if told.job.build.construction.terms().has_trays && !told.job.build.construction.terms().has_case => {
            "The lid lifts off. Head is away from you, tail towards you, as you look into the open box.".into()
        }
        [] if told.job.build.construction.terms().has_trays => {
            "The spine is at the left of the closed box; opened, it falls flat. Head is away from you, tail towards you, \
             as you look into the open box."
                .into()
        }
        [] if told.job.slipcase.is_some() => format!(
            "The case lies on its lower face; it is open at the {}. Head is away from you, tail towards you.",
            told.job.slipcase.map_or("right", |s| s.open.word())
        ),
        [] if told.job.is_for_loose_sheets() => {
            "The spine is at the left of the closed portfolio. Head is away from you, tail towards you, as you look into it."
                .into()
        }
        [] => "The box has no lids.".into(),
        [only] => format!(
            "It closes by the {only} lid. Head is away from you, tail towards you, as you look into the open box."
        ),
        _ => format!(
            "Lids close in this order: {}. Head is away from you, tail towards you, as you look into the open box.",
            words.join(", then ")
        ),
    }
}

/// Where a point of a picture is put: into the middle of `room`, as large as fits.
pub(super) fn place(picture: &Picture, room: Bounds) -> impl Fn(Point) -> Point + use<> {
    let b = picture.bounds();
    let scale = (room.width() / b.width().max(1.0)).min(room.height() / b.height().max(1.0));
    let (from, to) = (b.center(), room.center());
    move |p: Point| to + (p - from) * scale
}

pub(super) fn draw(page: &mut Page, picture: &Picture, put: &dyn Fn(Point) -> Point) {
    for (rings, color) in &picture.faces {
        let rings = rings.iter().map(|r| Contour::polygon(r.iter().map(|p| put(*p)))).collect();
        page.shape(rings, Some(*color), None);
    }
    let lines = picture.lines.iter().map(|(a, b)| Stroke::Open(Path::line(put(*a), put(*b)))).collect();
    page.lines(lines, Pen::solid(INK, 0.22));
}

/// Width, height and depth along the edges of the box that are in front.
fn measures(page: &mut Page, faces: &Faces, told: &Told<'_>, put: &dyn Fn(Point) -> Point) {
    let job = told.job;
    let all = crate::fit::solids(job, &told.design.assembly);
    let plan = all.iter().fold(Bounds::EMPTY, |b, s| b.union(s.footprint.bounds()));
    let top = all.iter().map(|s| s.top).fold(0.0, f64::max);
    let bottom = all.iter().map(|s| s.bottom).fold(0.0, f64::min);
    // The case round a wrapper is what one sees.
    let (plan, bottom, top) = match (&told.design.case, crate::design::span(job, &told.design.assembly)) {
        (Some(_), Some([low, high])) => {
            (Bounds { min: pt(low[0], low[1]), max: pt(high[0], high[1]) }, low[2], high[2])
        }
        _ => (plan, bottom, top),
    };
    let on = |p: Space| put(FROM_TAIL_RIGHT.paper(p));
    let (near_left, near_right) = (on(at(plan.min.x, plan.min.y, bottom)), on(at(plan.max.x, plan.min.y, bottom)));
    let far_right = on(at(plan.max.x, plan.max.y, bottom));
    let upper_left = on(at(plan.min.x, plan.min.y, top));
    let units = told.job.units;
    let [w, h, d] = told.fit.exterior.map(|l| units.show(units.on_rule(l)));
    along(page, faces, near_left, near_right, 4.0, &w);
    along(page, faces, near_right, far_right, 4.0, &h);
    along(page, faces, upper_left, near_left, 4.0, &d);
}

/// A dimension beside a-b, `off` mm to the right of the way from a to b.
pub(super) fn along(page: &mut Page, faces: &Faces, a: Point, b: Point, off: f64, text: &str) {
    let Some(u) = (b - a).normalized() else { return };
    let out = -u.left();
    let (from, to) = (a + out * off, b + out * off);
    let pen = Pen::solid(QUIET, 0.15);
    page.line(from, to, pen);
    for p in [from, to] {
        page.line(p - out * 1.2, p + out * 1.2, pen);
    }
    let middle = from.lerp(to, 0.5) + out * 1.4;
    // The text stands clear of the line on its outer side.
    let (anchor, at) = if out.x < -0.5 {
        (Anchor::Right, middle - pt(0.0, 1.0))
    } else if out.x > 0.3 {
        (Anchor::Left, middle - pt(0.0, 2.0))
    } else if out.y > 0.0 {
        (Anchor::Middle, middle + pt(0.0, 0.4))
    } else {
        (Anchor::Middle, middle - pt(0.0, 2.6))
    };
    page.text(faces, at, anchor, NOTE, text);
}

//! The steps of a slipcase.

use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, cloth, glued, show};
use super::{Told, work};
use crate::design::{Piece, Role};
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, Point, Stroke, pt};
use crate::job::StockKind;
use crate::units::{Length, mm};
use crate::write::pdf::states;
use crate::write::style::{INK, QUIET};

/// Round the corner that is drawn near, as a share of the turn-in.
const NEAR: f64 = 2.6;

fn pieces_of<'a>(told: &Told<'a>, stock: StockKind) -> impl Iterator<Item = &'a Piece> {
    told.design.pieces.iter().filter(move |p| p.stock == stock)
}

fn cover_of<'a>(told: &Told<'a>) -> Option<&'a Piece> {
    pieces_of(told, StockKind::Cloth).find(|p| p.role == Role::Cover)
}

fn board(told: &Told<'_>, id: &str) -> Bounds {
    pieces_of(told, StockKind::Board).find(|p| p.id == id).map_or(Bounds::EMPTY, |p| p.outline.bounds())
}

pub(super) fn line<'a>(told: &'a Told<'a>) -> Step<'a> {
    let boards = move || pieces_of(told, StockKind::Board);
    Step {
        title: "Line the boards".into(),
        words: vec![
            format!(
                "Glue the lining on the inside of every board while it lies flat ({} in all), flush with its edge at the mouth and with the edge of a notch. The drawing shows a face, the back and an end; there are two faces and two ends.",
                glued(told, StockKind::Liner)
            ),
            "Along the other edges the board stays bare: there the next board is glued on, board to board.".into(),
            "Under weight overnight between blotting paper: a board that is lined on one side pulls hollow, and the cloth outside pulls it straight again.".into(),
        ],
        window: work::around(boards().map(|p| p.outline.bounds()), 4.0),
        draw: Box::new(move |plan| {
            work::boards(plan, told, false);
            for liner in pieces_of(told, StockKind::Liner) {
                plan.solid(std::slice::from_ref(&liner.outline), LINER, THIN);
            }
        }),
    }
}

pub(super) fn build<'a>(told: &'a Told<'a>) -> Step<'a> {
    let case = told.job.slipcase;
    let stand = match case.is_none_or(|c| c.faces_outside) {
        true => "on the lower face, their outer faces flush with its edges",
        false => "against the edges of the lower face, flush with its underside",
    };
    let back = match case.is_none_or(|c| c.back_outside) {
        true => "It covers the ends of the two others",
        false => "It goes between the two others",
    };
    Step {
        title: "Glue the case together".into(),
        words: vec![
            format!("Lined sides in, glue the back and both ends {stand}: the back first, then an end at either side of it. {back}. At the mouth all edges are flush."),
            "Hold them square with a block until the glue holds, and wipe off inside what runs out: nobody reaches in later.".into(),
            "Lay the works in and try them. Then glue the upper face on, under weight. Sand the outer edges flush when it is dry, and keep them square.".into(),
        ],
        window: work::press_window(),
        draw: Box::new(move |plan| work::in_space(plan, work::press_window(), &states::without_upper_face(told.design))),
    }
}

pub(super) fn notches<'a>(told: &'a Told<'a>) -> Step<'a> {
    let strip = pieces_of(told, StockKind::Cloth).find(|p| p.role == Role::Patch);
    let face = pieces_of(told, StockKind::Board).find(|p| p.role == Role::Base);
    let arc = face.and_then(|f| f.outline.segments().find(|s| !s.is_line()));
    let near = arc.map(|a| a.bounds().grown(8.0));
    let t = told.job.board.thickness;
    Step {
        title: "Line the edges of the notches".into(),
        words: vec![
            format!(
                "Cloth that is turned in round a notch opens between its tabs; beneath it the edge has a strip of its own. Glue its plain side round the edge, {} wide, flush with the lining inside, from the mouth to the mouth.",
                show(told, t)
            ),
            "Its slit side goes down on the outside of the face, tab by tab. The covering cloth goes over it.".into(),
        ],
        window: work::around(near.into_iter().chain(strip.map(|p| p.outline.bounds())), 4.0),
        draw: Box::new(move |plan| {
            if let Some(face) = face {
                plan.solid(std::slice::from_ref(&face.outline), BOARD, THIN);
            }
            if let Some(arc) = arc {
                let line = crate::geom::Path::new([
                    crate::geom::Vertex::new(arc.start, arc.bulge),
                    crate::geom::Vertex::new(arc.end, 0.0),
                ]);
                plan.line(&[Stroke::Open(line)], Pen::solid(HERE, 1.2));
            }
            if let Some(strip) = strip {
                plan.solid(std::slice::from_ref(&strip.outline), HERE, THIN);
                let slits: Vec<Stroke> = strip.slits.iter().cloned().map(Stroke::Open).collect();
                plan.line(&slits, Pen::solid(INK, 0.3));
            }
        }),
    }
}

/// The cloth, with what lies on it and its slits.
fn laid_out(plan: &mut Plan<'_>, told: &Told<'_>) {
    let Some(cover) = cover_of(told) else { return };
    plan.solid(std::slice::from_ref(&cover.outline), CLOTH, THIN);
    let boards: Vec<Contour> = on_cloth(told);
    plan.solid(&boards, BOARD, Pen::solid(QUIET, 0.15));
    let slits: Vec<Stroke> = cover.slits.iter().cloned().map(Stroke::Open).collect();
    plan.line(&slits, Pen::solid(INK, 0.35));
}

/// Where lower face, upper face and back lie on the cloth.
fn on_cloth(told: &Told<'_>) -> Vec<Contour> {
    let turn = told.job.slipcase.map_or(0.0, |s| s.open.outward_deg());
    let Some(m) = crate::design::slipcase(told.job) else { return Vec::new() };
    let t = crate::geom::Transform { mirrored: false, rotation_deg: turn, shift: pt(0.0, 0.0) };
    crate::design::slipcase_on_cloth(told.job, &m).map(|c| c.transformed(&t)).into()
}

pub(super) fn cover<'a>(told: &'a Told<'a>) -> Step<'a> {
    Step {
        title: "Cover the case".into(),
        words: vec![
            format!(
                "Lay the cloth wrong side up. Glue the lower face and set it down on its place (1), the mouth over the long turn-in; rub it down from outside. Roll the case onto its back (2), then onto the upper face (3). About {} to glue.",
                glued(told, StockKind::Cloth)
            ),
            "At each end: first the tab of the back (4), then the flap of the lower face (5); they meet aslant. Last the flap of the upper face (6), which covers the whole end and stops a little short of its edges.".into(),
        ],
        window: cloth(told),
        draw: Box::new(move |plan| {
            laid_out(plan, told);
            let at: Vec<Point> = on_cloth(told).iter().map(|c| c.bounds().center()).collect();
            let [lower, upper, back] = at[..] else { return };
            for (n, p) in [(1, lower), (2, back), (3, upper)] {
                plan.number(p, n);
            }
            let Some(cover) = cover_of(told).map(|p| p.outline.bounds()) else { return };
            // Beside each, at the head end: half of what stands out there.
            let across = told.job.slipcase.map_or(0.0, |s| s.open.outward_deg() + 90.0).to_radians();
            let out = Point::unit(across);
            let high = (cover.max - cover.min).dot(pt(out.x.abs(), out.y.abs())) / 2.0;
            let face = crate::design::slipcase(told.job).map_or(0.0, |m| m.boards[1] / 2.0);
            let beyond = (told.job.covering.turn_in.to_mm() / 2.0).min((high - face) / 2.0);
            let middle = cover.center();
            let at_end = |p: Point| p + out * ((middle - p).dot(out) + face + beyond);
            for (n, p) in [(4, back), (5, lower), (6, upper)] {
                plan.number(at_end(p), n);
            }
        }),
    }
}

pub(super) fn turn_in<'a>(told: &'a Told<'a>) -> Step<'a> {
    let job = told.job;
    let turn = job.slipcase.map_or(0.0, |s| s.open.outward_deg()).to_radians();
    // The corner of the upper face at the mouth: the last corner of all.
    let corner = crate::design::slipcase(job).map(|m| {
        let [_, upper, _] = crate::design::slipcase_on_cloth(job, &m);
        let b = upper.bounds();
        pt(b.min.x, b.max.y).rotated(turn)
    });
    let reach = (job.covering.turn_in * NEAR).to_mm();
    let mut words = vec![
        format!(
            "The drawing shows a corner of the mouth. First the cloth of both faces: glue the {} that stand out, draw them over the boards' edges and down inside; rub them on with a folder that reaches in. On the edge this cloth runs to the very corners.",
            show(told, job.covering.turn_in)
        ),
        "Then the cloth at the ends: on the edge it is cut aslant and lies over that of the faces, inside it fills what these leave.".into(),
    ];
    if job.slipcase.is_some_and(|s| s.notch.is_some()) {
        words.push("In a notch turn in tab by tab, the middle one first, each straight over the edge.".into());
    }
    words.push("Put a board wrapped in waxed paper, as thick as the works, into the case, and leave it under weight overnight.".into());
    Step {
        title: "Turn in at the mouth".into(),
        words,
        window: work::around(corner.map(|c| Bounds::of([c]).grown(reach)), 0.0),
        draw: Box::new(move |plan| laid_out(plan, told)),
    }
}

pub(super) fn slide_in<'a>(told: &'a Told<'a>) -> Step<'a> {
    let depth = told.fit.depths.flat;
    let mut words = vec![
        format!("Slide the works in: a stack up to {} thick goes past the cloth at the mouth.", show(told, depth)),
        "They should go in under their own weight as fast as the air goes out, and stay when the mouth points down a little. Loose sheets want a folder round them: nothing closes the mouth.".into(),
    ];
    let out = told.job.slipcase.map_or(Length::ZERO, |s| s.stands_out);
    words.push(if out > mm(0.0) {
        format!("Pushed in to the back they stand out {}.", show(told, out))
    } else {
        "Pushed in to the back they end flush with the mouth.".into()
    });
    let plan = told.design.flat.as_ref().map(|f| f.base.bounds()).unwrap_or(board(told, "board-face"));
    let window = work::around([plan], 30.0);
    Step {
        title: "Slide the works in and look it over".into(),
        words,
        window,
        draw: Box::new(move |drawn| work::in_space(drawn, window, &states::open(told.job, told.design))),
    }
}

//! The windows in lids: what is cut, slit, covered and turned in there, corner by corner.

use super::openings::{WHITE, all};
use super::plan::{CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, show};
use super::{Told, work};
use crate::design::{Opening, covered_by_part, piece_words, turned_deep};
use crate::diag::capital;
use crate::geom::{Bounds, Contour};
use crate::job::Side;
use crate::units::mm;

/// The corner of a window that is drawn, with so much about it.
fn corner(told: &Told<'_>, opening: &Opening) -> Bounds {
    Bounds::of([opening.board.max]).grown(told.job.covering.turn_in.to_mm() * 1.7)
}

/// The windows in cloth, or in what covers a side beside it, which is turned in when that side is covered; each with
/// whether it is in paper.
fn covered(told: &Told<'_>, is_in_side: bool) -> Vec<(Opening, bool)> {
    if told.job.cloth.is_none() {
        return Vec::new();
    }
    let by_part = covered_by_part(told.job, told.design);
    let of = |w: &Opening| w.is_in_cover(&by_part) != is_in_side;
    all(told).into_iter().filter(of).map(|w| (w, w.is_of_paper(&by_part))).collect()
}

/// The boards as they lie when it is turned in.
fn laid_out(plan: &mut Plan<'_>, told: &Told<'_>, is_in_side: bool) {
    if is_in_side { work::laid_out_covered(plan, told) } else { work::laid_out(plan, told, false) }
}

/// Whether a side that is covered by part has one in what covers it beside the joint's cloth.
pub(super) fn is_in_a_side(told: &Told<'_>) -> bool {
    !covered(told, true).is_empty()
}

/// The word for what is cut and turned in.
const fn stuff(is_paper: bool) -> &'static str {
    if is_paper { "paper" } else { "cloth" }
}

/// The openings in the boards.
pub(super) fn cut<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    let step = |opening: Opening| {
        let side = opening.side;
        let lid = told.design.flat.as_ref()?.arms.get(&side)?.flap().bounds();
        let b = opening.board;
        // As the board lies open, inside up: from its hinge edge, and from an end of it.
        let (from_hinge, from_end, end) = match side {
            Side::Left => (lid.max.x - b.max.x, lid.max.y - b.max.y, "head"),
            Side::Right => (b.min.x - lid.min.x, lid.max.y - b.max.y, "head"),
            Side::Head => (b.min.y - lid.min.y, b.min.x - lid.min.x, "left"),
            Side::Tail => (lid.max.y - b.max.y, b.min.x - lid.min.x, "left"),
        };
        // Seen from outside right and left are exchanged.
        let end = if end == "left" && work::boards_lie_outside_up(told) { "left (on your right)" } else { end };
        let words = vec![
            format!(
                "Cut the window right through the {} lid: {} wide and {} high, {} from its hinge edge and {} from its end at the {end}.",
                side.word(),
                show(told, mm(b.width())),
                show(told, mm(b.height())),
                show(told, mm(from_hinge)),
                show(told, mm(from_end))
            ),
            "Cut from the corners towards the middle of each side, so that no cut runs on past a corner. What falls out is waste, or board for a small piece.".into(),
        ];
        Some(Step {
            title: format!("Window in the {} lid", side.word()),
            words,
            window: work::around([lid], 4.0),
            draw: Box::new(move |plan: &mut Plan<'_>| {
                if work::boards_lie_outside_up(told) {
                    plan.turn_over();
                }
                work::boards(plan, told, false);
            }),
        })
    };
    all(told).into_iter().filter_map(step).collect()
}

/// The hole in the cloth and the slits at its corners.
pub(super) fn slits<'a>(told: &'a Told<'a>, is_in_side: bool) -> Vec<Step<'a>> {
    let step = |(opening, is_paper): (Opening, bool)| {
        let (hole, of) = (opening.in_cloth(), stuff(is_paper));
        Step {
            title: format!("The {of} in the window of the {} lid", opening.side.word()),
            words: vec![
                format!(
                    "Cut the {of} out {} within the edges of the opening: a hole {} wide and {} high. Slit it from each corner of the hole straight towards the corner of the board; stop {} short of it.",
                    show(told, opening.turn_in),
                    show(told, mm(hole.width())),
                    show(told, mm(hole.height())),
                    show(told, told.job.covering.slit_stop)
                ),
                if is_in_side {
                    format!(
                        "A {of} cut by machine has its hole and slits already: they lie evenly in the opening when its edges do."
                    )
                } else {
                    "A cloth cut by machine has its hole and slits already: lay the opening of the board evenly about them.".into()
                },
            ],
            window: corner(told, &opening),
            draw: Box::new(move |plan| laid_out(plan, told, is_in_side)),
        }
    };
    covered(told, is_in_side).into_iter().map(step).collect()
}

/// The patches at the corners.
pub(super) fn patches<'a>(told: &'a Told<'a>, is_in_side: bool) -> Vec<Step<'a>> {
    let step = |(opening, is_paper): (Opening, bool)| {
        let side = opening.side;
        let own: Vec<_> = told.design.patches.iter().filter(|p| p.is_of_window && p.part.lid() == Some(side)).collect();
        let first = own.first()?;
        let mut ids: Vec<&str> = own.iter().map(|p| p.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        // Each with the edges and ends where it goes.
        let of = |id: &&str| {
            let places = own.iter().filter(|p| p.id == **id).filter_map(|p| p.place.split(", ").nth(2));
            let name = piece_words(id).replacen(&format!("{} ", stuff(is_paper)), "", 1);
            format!("{name}: {}", places.collect::<Vec<&str>>().join(", "))
        };
        let named: Vec<String> = ids.iter().map(of).collect();
        let longest = own.iter().map(|p| p.along_across.0).fold(0.0, f64::max);
        let at = opening.board.max;
        let here: Vec<Contour> = own
            .iter()
            .filter(|p| p.edge.is_some_and(|e| e.start.is_near(at) || e.end.is_near(at)))
            .map(|p| p.outline.clone())
            .collect();
        let across = first.along_across.1;
        Some(Step {
            title: format!("Patches at the window of the {} lid", side.word()),
            words: vec![
                format!(
                    "At each corner the slit leaves the thickness of the board bare, and the inside beside it. Glue two patches of {} there now, one for either edge: {} in all. {}.",
                    stuff(is_paper),
                    own.len(),
                    capital(&named.join("; "))
                ),
                format!(
                    "Each goes round its edge from the corner on, up to {} along it and {} across: down over the inside, over the thickness, and a little way out onto the tab. Its step lies in the corner: past it the patch runs on over the inside alone, so that the two lie over each other there. Those of either hand fit the ends told, as the drawing has them.",
                    show(told, mm(longest)),
                    show(told, mm(across))
                ),
            ],
            window: corner(told, &opening),
            draw: Box::new(move |plan| {
                laid_out(plan, told, is_in_side);
                for outline in &here {
                    plan.solid(std::slice::from_ref(outline), HERE, THIN);
                }
            }),
        })
    };
    covered(told, is_in_side).into_iter().filter_map(step).collect()
}

/// The tabs drawn through the opening.
pub(super) fn turn_in<'a>(told: &'a Told<'a>, is_in_side: bool) -> Vec<Step<'a>> {
    let step = |(opening, is_paper): (Opening, bool)| {
        let deep = turned_deep(told.job, &opening, is_paper);
        let tabs: Vec<Contour> = tabs(told, &opening, is_paper);
        let outline = opening.outline();
        Step {
            title: format!("Turn in at the window of the {} lid", opening.side.word()),
            words: vec![
                format!(
                    "Glue one tab after the other, those across from each other first. Draw each up through the opening tight against the board's edge with the folder, then down on the inside, where it reaches {} from the edge.",
                    show(told, deep)
                ),
                "What of a patch lies on a tab goes up with it. Press the corners sharp with the folder's point."
                    .into(),
            ],
            window: corner(told, &opening),
            draw: Box::new(move |plan| {
                work::boards(plan, told, false);
                let own = told.design.patches.iter().filter(|p| p.is_of_window);
                let patches: Vec<Contour> = own.map(|p| p.inside.clone()).collect();
                for one in &patches {
                    plan.solid(std::slice::from_ref(one), HERE, THIN);
                }
                for tab in &tabs {
                    plan.solid(std::slice::from_ref(tab), if is_paper { LINER } else { CLOTH }, THIN);
                }
                plan.solid(std::slice::from_ref(&outline), WHITE, THIN);
            }),
        }
    };
    covered(told, is_in_side).into_iter().map(step).collect()
}

/// Where the cloth, or the paper, that is turned in through an opening lies on the inside.
fn tabs(told: &Told<'_>, opening: &Opening, is_paper: bool) -> Vec<Contour> {
    let panel = told.design.assembly.panels.iter().find(|p| p.part.lid() == Some(opening.side));
    let near = opening.board.grown(turned_deep(told.job, opening, is_paper).to_mm() + 0.01);
    let is_own = |c: &&Contour| near.contains(c.bounds(), 0.0);
    let turned = panel.iter().flat_map(|p| if is_paper { &p.turned_paper } else { &p.turned });
    turned.filter(is_own).cloned().collect()
}

/// What is told of the liner.
pub(super) fn of_liner(told: &Told<'_>) -> Option<String> {
    let reveal = told.job.covering.reveal;
    (!all(told).is_empty()).then(|| {
        format!(
            "Its opening is {} larger all round than the window: lay it evenly about it before you rub it down.",
            show(told, reveal)
        )
    })
}

//! The work in order: each step's words beside its drawing. The order, and with it the numbers, is the
//! design's own list. What the words say of cutting, gluing, drying and pressing is common practice, no source;
//! their measures are the job's.

use super::bodies::{Apart, is_case};
use super::step::{Drawing, Step, cloth, glued, show};
use super::work;
use super::{Told, plan};
use crate::design::{Piece, Role, Step as Work, covered_by_part, steps as in_order, thicknesses};
use crate::drawing::{Anchor, Drawing as Page};
use crate::geom::{Bounds, pt};
use crate::job::{Grain, StockKind, StrapAlong};
use crate::units::Unit;
use crate::write::pdf::flow::{BODY, Flow, MARGIN};
use crate::write::pdf::parts::wrapped;
use std::iter::once;

/// The drawing's width, mm.
const WIDE: f64 = 66.0;

pub(super) fn steps<'a>(flow: &mut Flow<'_>, told: &'a Told<'a>) {
    flow.title("The work, step by step");
    let mut n = 0;
    let apart = Apart::of(told);
    let bodies = apart.bodies(told);
    for work in in_order(told.job, told.design) {
        for (told, of) in bodies.told(work) {
            for step in step(told, work) {
                n += 1;
                put(flow, n, &Step { title: format!("{}{of}", step.title), ..step });
            }
        }
    }
}

/// A step of the work, told and drawn; several where each of its places wants a drawing of its own.
fn step<'a>(told: &'a Told<'a>, work: Work) -> Vec<Step<'a>> {
    let one = match work {
        Work::Cut => {
            // What a machine cuts first is told first.
            let turned = super::turning::turning(told).into_iter();
            return turned.chain(once(cut(told))).chain(super::window::cut(told)).collect();
        }
        Work::SlotsAndPockets => super::closings::cuts(told, where_slots(told)),
        Work::Magnets => return super::closings::magnets(told),
        Work::Ties => return super::closings::ties(told),
        Work::Crease => crease(told),
        Work::LayOut => lay_out(told),
        Work::GlueDown => glue_down(told),
        Work::CornerCuts => return corner_cuts(told).into_iter().collect(),
        Work::Slits => return slits(told).into_iter().chain(super::window::slits(told, false)).collect(),
        Work::Patches => {
            let all = super::patches::patches(told);
            return all.into_iter().chain(super::window::patches(told, false)).collect();
        }
        Work::TurnIn => {
            return once(super::turn_in::turn_in(told)).chain(super::window::turn_in(told, false)).collect();
        }
        Work::DryCovered => dry(told),
        Work::Sides => {
            let windows = [super::window::slits, super::window::patches, super::window::turn_in];
            return once(super::sides::cover(told)).chain(windows.into_iter().flat_map(|w| w(told, true))).collect();
        }
        Work::LabelRecess => return super::title_label::recess(told).into_iter().collect(),
        Work::GlueLabel => return super::title_label::glue(told).into_iter().collect(),
        Work::BuildTrays => return super::trays::build(told).into_iter().collect(),
        Work::CoverTrays => super::trays::cover(told),
        Work::CoverUndersides => super::trays::cover_undersides(told),
        Work::MountTrays => super::trays::mount(told),
        Work::LineSpine if told.job.portfolio.is_some() => super::portfolio::line_spine(told),
        Work::LineSpine => super::trays::line_spine(told),
        Work::LineFloors => super::trays::line_floors(told),
        Work::LineBoards => super::slipcase::line(told),
        Work::BuildCase => super::slipcase::build(told),
        Work::NotchStrips => super::slipcase::notches(told),
        Work::CoverCase => super::slipcase::cover(told),
        Work::TurnMouth => super::slipcase::turn_in(told),
        Work::Cross => cross(told),
        Work::Strap => return strap(told).into_iter().collect(),
        Work::HingeStrips => return super::hinge_strips::steps(told),
        Work::FoldLinings => return super::lining::fold(told).into_iter().collect(),
        Work::Liner => return super::lining::lining(told).into_iter().collect(),
        Work::Press => press(told),
        Work::Fold => fold(told),
        Work::Inside => return super::inside::steps(told),
        Work::LineCovers => super::portfolio::line_covers(told),
        Work::MountWrapper => super::portfolio::mount(told),
        Work::Close if told.job.slipcase.is_some() => super::slipcase::slide_in(told),
        Work::Close => super::close::close(told),
    };
    vec![one]
}

fn put(flow: &mut Flow<'_>, n: usize, step: &Step<'_>) {
    let faces = flow.faces;
    // Five steps to a page, as far as their words allow.
    let high = (flow.half() / 2.5 - 14.5).min(WIDE * step.window.height() / step.window.width().max(1.0));
    let beside = flow.room() - WIDE - 6.0;
    let lead = BODY.size * 1.4;
    let paragraphs: Vec<Vec<String>> = step.words.iter().map(|w| wrapped(faces, w, BODY, beside)).collect();
    let text: f64 = paragraphs.iter().map(|p| p.len() as f64 * lead + 1.5).sum();
    let height = text.max(high) + 2.0;
    flow.heading(&format!("{n}. {}", step.title));
    flow.row(height, |page: &mut Page, corner, _| {
        let top = corner.y + height;
        let room = Bounds { min: pt(corner.x, top - high), max: pt(corner.x + WIDE, top - 1.0) };
        let mut plan = plan::Plan::new(page, faces, step.window, room);
        (step.draw)(&mut plan);
        let mut y = top - lead * 0.75;
        for paragraph in &paragraphs {
            for line in paragraph {
                page.text(faces, pt(MARGIN + WIDE + 6.0, y), Anchor::Left, BODY, line);
                y -= lead;
            }
            y -= 1.5;
        }
    });
}

/// How long all programs run, stock by stock.
fn machine_time(told: &Told<'_>) -> Option<String> {
    let seconds = |stock: StockKind| -> f64 {
        let is_of = |id: &str| told.sheets.iter().any(|s| s.stock == stock && s.id == id);
        told.programs.iter().filter(|p| is_of(&p.sheet)).map(|p| p.seconds * f64::from(p.count)).sum()
    };
    let all = StockKind::ALL.map(|stock| (stock, seconds(stock)));
    let told: Vec<String> = all
        .iter()
        .filter(|(_, seconds)| *seconds > 0.0)
        .map(|(stock, seconds)| format!("{} for the {}", about(*seconds), stock.word()))
        .collect();
    (!told.is_empty())
        .then(|| format!("The programs run about {}, changes of tools and sheets aside.", told.join(", ")))
}

/// A time in whole minutes, rounded up, and hours.
fn about(seconds: f64) -> String {
    let minutes = (seconds / 60.0).ceil() as u64;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

fn cut<'a>(told: &'a Told<'a>) -> Step<'a> {
    let copies = told.job.copies;
    let mut words = match told.lot {
        Some(lot) => super::lot::cut(told, lot),
        None => vec!["Cut each piece to its outline, by its measures, by the templates or by machine. Several light strokes along a steel edge go straighter than a heavy one; change the blade when it drags.".into()],
    };
    let lies = if told.job.build.construction.terms().is_hinged {
        let has_paper = told.design.pieces.iter().any(|p| p.stock == StockKind::Paper);
        let covering = if has_paper { "cloth, paper" } else { "cloth" };
        format!(
            "Boards lie inside up, {covering} and liner wrong side up, unless a drawing or template says otherwise."
        )
    } else {
        "Folding board lies outside up: its creases are pressed from there. A liner lies wrong side up.".to_owned()
    };
    words.push(format!("{lies}{}", if told.design.has_grain() { " Grain as drawn." } else { "" }));
    if told.lot.is_some() {
        // What there is to say of several is said with the lot.
    } else if copies > 1 && told.first_copy > 1 {
        words.push(
            "Cut all pieces of a kind together and keep them in stacks, the piece and how many of it on each.".into(),
        );
    } else if copies > 1 {
        let others = if copies == 2 { "the other".to_owned() } else { format!("the other {}", copies - 1) };
        words.push(format!(
            "Make one box whole before you cut {others}. Then cut all pieces of a kind together and keep them in stacks, the piece and how many of it on each."
        ));
    }
    words.extend(machine_time(told));
    let of = |stock| told.design.pieces.iter().filter(move |p: &&Piece| p.stock == stock);
    let boards: Vec<&Piece> = of(StockKind::Board).filter(|p| p.role != Role::Inside).collect();
    let window = work::around(boards.iter().map(|p| p.outline.bounds()), 4.0);
    Step {
        title: "Cut".into(),
        words,
        window,
        draw: Box::new(move |plan| {
            if work::boards_lie_outside_up(told) {
                plan.turn_over();
            }
            work::boards(plan, told, true);
        }),
    }
}

/// Where the slots are, from both edges, and their size.
fn where_slots(told: &Told<'_>) -> Vec<String> {
    let job = told.job;
    let Some(strap) = &job.strap else { return Vec::new() };
    // Seen from outside right and left are exchanged.
    let right = if work::boards_lie_outside_up(told) { "right edge (on your left)" } else { "right edge" };
    let (ends, edge) = match strap.along {
        StrapAlong::Height => ("head and tail", if strap.count == 2 { "right and left edges" } else { right }),
        StrapAlong::Width => ("left and right", if strap.count == 2 { "tail and head edges" } else { "tail edge" }),
    };
    let size = job.units.show_size(&[job.elastic.width + strap.slot_ease, job.elastic.thickness + strap.slot_ease]);
    let from = if job.build.construction.terms().is_hinged { "edges" } else { "creases" };
    vec![format!(
        "Cut the slots right through, each {size}: their middle {} from the {ends} {from} of the base, and {} from its {edge}.",
        show(told, strap.inset),
        show(told, strap.from_edge)
    )]
}

fn crease<'a>(told: &'a Told<'a>) -> Step<'a> {
    let grain = match told.job.board.grain {
        Grain::None => "",
        _ => " Creases that run with the grain are easy; press the others twice.",
    };
    let mut words = vec![
        "Press every crease from the outside with a folder or a creasing wheel along a steel edge: the bead rises on the inside, and board folds towards its bead. Do not cut the board.".into(),
        format!("Where two creases run side by side, both are needed: thick board turns in two steps.{grain}"),
    ];
    if told.job.strap.is_some() {
        words.extend(where_slots(told));
    }
    Step {
        title: "Crease".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| {
            plan.turn_over();
            work::creased(plan, told);
        }),
    }
}

fn lay_out<'a>(told: &'a Told<'a>) -> Step<'a> {
    // On a face that shows nothing is drawn.
    let are_there = if told.job.draws_on(StockKind::Cloth) {
        "With a machine or the template the outlines are there already; o"
    } else {
        "O"
    };
    let job = told.job;
    let m = &told.design.measures;
    let closing = &told.fit.closing;
    let how_many = if job.copies > 1 {
        "Cut two spacers of board or metal for the whole edition"
    } else {
        "Cut two spacers of card or board"
    };
    // No line of an inch rule is so near as a joint asks.
    let by_caliper = match job.units {
        Unit::Mm => String::new(),
        Unit::Inch => format!(" ({}, set with a caliper)", Unit::Mm.show(m.joint)),
    };
    let sure = match &closing.first {
        Some(risk) => format!(
            "Work as exactly as the job supposes and {} as it is: first {}.",
            crate::fit::told_failing(1.0 - closing.share),
            risk.what.tell(risk.side)
        ),
        None => "Work as exactly as the job supposes and less than one box in 1,000 binds.".into(),
    };
    Step {
        title: "Lay out with spacers".into(),
        words: vec![
            format!(
                "{how_many}, exactly {} wide{by_caliper}: that is every joint. Check it: a joint too narrow will not fold, one too wide lets the box rattle. The drawing shades the joints.",
                show(told, m.joint)
            ),
            sure,
            if is_case(told) {
                let whole = if covered_by_part(told.job, told.design).is_empty() { "back cover" } else { "spine" };
                format!("On the wrong side of the cloth draw the back cover first, square to the weave, then a spacer, the spine, a spacer, the front cover. {are_there}n a cloth cut by its measures the {whole} lies as the drawing shows.")
            } else {
                format!("On the wrong side of the cloth draw the base first, square to the weave, then a spacer, a wall, a spacer, a lid, on each side that has one. {are_there}n a cloth cut by its measures the base lies as its drawing shows.")
            },
            format!("The cloth stands out {} all round for the turn-in.", show(told, job.covering.turn_in)),
        ]
        .into_iter()
        .chain(super::sides::on_cloth(told))
        .collect(),
        window: cloth(told),
        draw: Box::new(move |plan| work::laid_out(plan, told, false)),
    }
}

fn glue_down<'a>(told: &'a Told<'a>) -> Step<'a> {
    let mut words = vec![
        format!(
            "In the order of the numbers: {}. Brush the board thinly from its middle outwards{}, lay it along its line and the spacer, turn the whole over and rub down through paper.",
            if is_case(told) { "back cover, spine, front cover" } else { "base, walls, lids" },
            if covered_by_part(told.job, told.design).is_empty() { "" } else { ", one that is covered by part as far as the cloth runs onto it" }
        ),
        format!("Glue one board at a time; PVA gives you five minutes or so. In all about {} for the cloth of one box, turn-ins included.", glued(told, StockKind::Cloth)),
        "Rub the cloth into the joints with a folder while it is damp; do not stretch it, and do not fold the joints yet.".into(),
    ];
    if told.job.copies > 1 {
        words.push("Of several boxes glue the same board of each in turn: brush, lay, rub, next. The spacers stay set as a jig.".into());
    }
    Step {
        title: "Glue the boards down".into(),
        words,
        window: cloth(told),
        draw: Box::new(move |plan| work::laid_out(plan, told, true)),
    }
}

fn corner_cuts<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let corner = work::free_corner(told)?;
    let reach = job.covering.turn_in * 2.2;
    Some(Step {
        title: "Corner cuts".into(),
        words: vec![
            format!("At every free corner cut the cloth off square to the corner's middle line, {} from the board: at 45 degrees on a square corner. That is what bends round the thickness of the board, {}.", show(told, job.covering.corner), show(told, thicknesses(job).0)),
            "Nearer, and the corner shows board; farther, and it turns in as a lump. A cloth cut by its measures, by machine or template has these cuts already.".into(),
        ],
        window: Bounds::of([corner]).grown(reach.to_mm()),
        draw: Box::new(move |plan| work::laid_out(plan, told, false)),
    })
}

fn slits<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let corner = told.design.flat.as_ref().and_then(|f| f.inner_corners().first().map(|c| c.corner));
    let has_notch = super::turn_in::has_notch_in_cloth(told);
    if corner.is_none() && !has_notch {
        return None;
    }
    let of_cloth = told.design.pieces.iter().filter(|p| p.stock == StockKind::Cloth).flat_map(|p| &p.slits);
    let first_slit = of_cloth.flat_map(|s| s.vertices()).map(|v| v.point()).next();
    let stop = show(told, job.covering.slit_stop);
    let mut words = Vec::new();
    if corner.is_some() {
        words.push(format!("Where two walls meet, the cloth is cut from its inner corner towards the corner of the base. Stop {stop} short of the board."));
    }
    if has_notch {
        words.push(format!("At a thumb notch the cloth is cut into tabs, from its edge in towards the board at each line that is drawn. Stop {stop} short of the board there too."));
    }
    if corner.is_some() {
        words.push("Cut from the inner end outwards, so that a slip runs into the waste.".into());
    }
    words.push("A cloth cut by machine has its slits already.".into());
    Some(Step {
        title: if corner.is_some() { "Slits at the corners of the base" } else { "Slits at the notch" }.into(),
        words,
        window: Bounds::of([corner.or(first_slit)?]).grown((job.covering.turn_in * 2.6).to_mm()),
        draw: Box::new(move |plan| work::laid_out(plan, told, false)),
    })
}

fn dry<'a>(told: &'a Told<'a>) -> Step<'a> {
    Step {
        title: "Let it dry, flat and under weight".into(),
        words: vec![
            "Lay the covered box open between blotting paper and boards, under weight, at least overnight. Damp cloth and board pull as they dry; what is lined too early warps.".into(),
            "Do not fold it yet: the glue at the bends must be dry first.".into(),
        ],
        window: work::press_window(),
        draw: Box::new(move |plan| work::pressed(plan, told)),
    }
}

fn strap<'a>(told: &'a Told<'a>) -> Option<Step<'a>> {
    let job = told.job;
    let (figures, strap) = (told.fit.strap.as_ref()?, job.strap.as_ref()?);
    let (from, to) = figures.snug;
    let what = if figures.count == 2 { "two pieces of elastic" } else { "the elastic" };
    let terms = job.build.construction.terms();
    let fold = if terms.is_hinged {
        "Fold the box up dry, round the stack, and draw the elastic round it from slot to slot to try the length; then lay it open again."
    } else {
        "Fold the blank up once, round the stack, and draw the elastic round it from slot to slot to try the length; then lay it open again."
    };
    let has_pockets = work::base(told).is_some_and(|b| !b.pockets.is_empty());
    let mut words = vec![
        format!(
            "Cut {what} {} long{}. Between {} and {} it holds snug without bending a lid.",
            show(told, figures.length),
            if job.copies > 1 { format!(", {} in all", figures.count * job.copies) } else { String::new() },
            show(told, from),
            show(told, to)
        ),
        fold.into(),
    ];
    words.push(if has_pockets {
        format!("Open the cloth at each slot with the point of the knife where it is not cut yet. Bring each end through from outside and glue {} of it into its pocket. Lay a weight on it for an hour.", show(told, strap.tail))
    } else if terms.has_strips {
        format!("Bring each end through its slot from outside and glue {} of it flat on the outer base: the other strip's base goes over it. Lay a weight on it for an hour.", show(told, strap.tail))
    } else {
        format!("Bring each end through its slot from outside and glue {} of it flat on the inside of the base, towards its middle. Lay a weight on it for an hour.", show(told, strap.tail))
    });
    words.push(match (job.liner.is_some(), has_pockets) {
        (true, true) => {
            "See that it is not twisted and lies below the face of the board: the liner goes over it.".into()
        }
        (true, false) => "See that it is not twisted: the liner goes over slots and ends.".into(),
        (false, _) if terms.has_strips => "See that it is not twisted.".into(),
        (false, _) => {
            "See that it is not twisted. Paste a strip of paper over each end, so that nothing catches on it.".into()
        }
    });
    let (window, draw): (Bounds, Drawing<'a>) = if has_pockets {
        let held = work::Held {
            thickness: job.elastic.thickness.to_mm(),
            slot_ease: strap.slot_ease.to_mm(),
            tail: strap.tail.to_mm(),
            pocket: strap.pocket_depth.to_mm(),
            words: ["elastic", "base"],
        };
        (work::section_window(told, held.tail), Box::new(move |plan| work::section(plan, told, held)))
    } else {
        let base = told.design.flat.as_ref().map(|f| f.base.bounds());
        (work::around(base, 4.0), Box::new(move |plan| work::strap_ends(plan, told)))
    };
    Some(Step { title: "Strap".into(), words, window, draw })
}

fn press<'a>(told: &'a Told<'a>) -> Step<'a> {
    let mut words = vec![
        "Lay the open box flat between clean blotting paper and boards, under weight, at least overnight. Change the paper once after an hour if it is damp.".into(),
        "Fold nothing before it is pressed and dry; then work each fold slowly to and fro the first time.".into(),
    ];
    if told.job.copies > 1 {
        words.push("Several boxes go in one stack, a board between each two, all turned the same way.".into());
    }
    Step {
        title: "Press".into(),
        words,
        window: work::press_window(),
        draw: Box::new(move |plan| work::pressed(plan, told)),
    }
}

fn cross<'a>(told: &'a Told<'a>) -> Step<'a> {
    let which = match told.job.strips.map(|s| s.outer) {
        Some(StrapAlong::Width) => "the strip from left to right",
        _ => "the strip from tail to head",
    };
    Step {
        title: "Cross the strips".into(),
        words: vec![
            format!(
                "Lay {which} down, inside up, and glue the base of the other onto its base, edge to edge and square ({}).",
                told.job.units.show_area(told.bill.glue_m2)
            ),
            "Leave it under weight for an hour; the flaps stay free.".into(),
        ],
        window: cloth(told),
        draw: Box::new(move |plan| work::crossed(plan, told)),
    }
}

fn fold<'a>(told: &'a Told<'a>) -> Step<'a> {
    Step {
        title: "Fold".into(),
        words: vec!["Fold each crease slowly over a steel edge, towards its bead, walls first and then lids, to a little more than a right angle, and let it spring back.".into()],
        window: work::around(told.design.flat.as_ref().map(|f| f.base.bounds()), 30.0),
        draw: Box::new(move |plan| work::half_closed(plan, told)),
    }
}

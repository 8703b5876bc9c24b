//! The work in order: each step's words beside its drawing.

use super::work;
use super::{Told, plan};
use crate::design::{Piece, Role, thicknesses};
use crate::geom::{Bounds, pt};
use crate::job::{Construction, LinerPieces, StockKind, StrapAlong};
use crate::units::{Length, mm};
use crate::write::pdf::flow::{BODY, Flow, MARGIN};
use crate::write::pdf::page::{Anchor, Page};
use crate::write::pdf::parts::wrapped;

/// The drawing's width, mm.
const WIDE: f64 = 76.0;

/// Draws into a rectangle of the page.
type Drawing<'a> = Box<dyn Fn(&mut plan::Plan<'_>) + 'a>;

/// One step.
pub(super) struct Step<'a> {
    pub(super) title: String,
    pub(super) words: Vec<String>,
    /// What the drawing shows of the flat layout, and what it draws.
    pub(super) window: Bounds,
    pub(super) draw: Drawing<'a>,
}

pub(super) fn steps<'a>(flow: &mut Flow<'_>, told: &'a Told<'a>) {
    flow.title("The work, step by step");
    let all = match told.job.build.construction {
        Construction::HingedBoards => hinged(told),
        Construction::CreasedBoard | Construction::CrossedStrips => folded(told),
    };
    for (n, step) in all.iter().enumerate() {
        put(flow, n + 1, step);
    }
}

fn put(flow: &mut Flow<'_>, n: usize, step: &Step<'_>) {
    let faces = flow.faces;
    // Four steps to a page, as far as their words allow.
    let high = flow.half() / 2.0 - 18.5;
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

fn show(told: &Told<'_>, length: Length) -> String {
    told.job.units.show_on_rule(length)
}

/// How long all programs run, stock by stock.
fn machine_time(told: &Told<'_>) -> Option<String> {
    let seconds = |stock: StockKind| -> f64 {
        let is_of = |id: &str| told.sheets.iter().any(|s| s.stock == stock && s.id == id);
        told.programs.iter().filter(|p| is_of(&p.sheet)).map(|p| p.seconds * f64::from(p.count)).sum()
    };
    let all = [StockKind::Board, StockKind::Cloth, StockKind::Liner].map(|stock| (stock, seconds(stock)));
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
    let mut words = vec![
        "Cut each piece to its outline, by the templates or by machine. Several light strokes along a steel edge go straighter than a heavy one; change the blade when it drags.".into(),
        "Boards lie inside up, cloth and liner wrong side up, unless a template says otherwise. Grain as drawn.".into(),
    ];
    words.extend(machine_time(told));
    let of = |stock| told.design.pieces.iter().filter(move |p: &&Piece| p.stock == stock);
    let boards: Vec<&Piece> = of(StockKind::Board).collect();
    let window = work::around(boards.iter().map(|p| p.outline.bounds()), 4.0);
    Step { title: "Cut".into(), words, window, draw: Box::new(move |plan| work::boards(plan, told, true)) }
}

fn hinged<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    let job = told.job;
    let m = &told.design.measures;
    let (t, _, _) = thicknesses(job);
    let cover = told.design.pieces.iter().find(|p| p.role == Role::Cover);
    let cloth = work::around(cover.map(|p| p.outline.bounds()), 4.0);
    let glue = |stock| told.bill.materials.iter().find(|b| b.stock == stock).map_or(0.0, |b| b.area_m2);
    let mut steps = vec![cut(told)];
    if let Some(strap) = &job.strap {
        let ends = if strap.along == StrapAlong::Height { "head and tail" } else { "left and right" };
        steps.push(Step {
            title: "Slots and pockets in the base".into(),
            words: vec![
                format!("Cut the slots right through, {} in from the {ends} edges.", show(told, strap.inset)),
                format!("For each pocket cut round its outline {} deep, no deeper, and peel the board away in layers. The pocket opens into its slot; the end of the elastic must lie in it flush.", show(told, strap.pocket_depth)),
                "Pockets are on the inside of the base. Mark the inside before you start.".into(),
            ],
            window: work::around(work::base(told).map(|p| p.outline.bounds()), 4.0),
            draw: Box::new(move |plan| work::base_with_slots(plan, told)),
        });
    }
    steps.push(Step {
        title: "Lay out with spacers".into(),
        words: vec![
            format!("Cut two spacers of card or board exactly {} wide: that is every joint. Check it: a joint too narrow will not fold, one too wide lets the box rattle. The drawing shades the joints.", show(told, m.joint)),
            "On the wrong side of the cloth draw the base first, square to the weave, then a spacer, a wall, a spacer, a lid, on each side. With a machine or the template the outlines are there already.".into(),
            format!("The cloth stands out {} all round for the turn-in.", show(told, job.covering.turn_in)),
        ],
        window: cloth,
        draw: Box::new(move |plan| work::laid_out(plan, told, false)),
    });
    steps.push(Step {
        title: "Glue the boards down".into(),
        words: vec![
            "In the order of the numbers: base, walls, lids. Brush the board thinly from its middle outwards, lay it along its line and the spacer, turn the whole over and rub down through paper.".into(),
            format!("Glue one board at a time; PVA gives you five minutes or so. In all about {} for the cloth of one box, turn-ins included.", told.job.units.show_area(glue(StockKind::Cloth))),
            "Rub the cloth into the joints with a folder while it is damp; do not stretch it.".into(),
        ],
        window: cloth,
        draw: Box::new(move |plan| work::laid_out(plan, told, true)),
    });
    if let Some(corner) = work::free_corner(told) {
        let reach = job.covering.turn_in * 2.2;
        steps.push(Step {
            title: "Corner cuts".into(),
            words: vec![
                format!("At every free corner cut the cloth off square to the corner's middle line, {} from the board: at 45 degrees on a square corner. That is what bends round the thickness of the board, {}.", show(told, job.covering.corner), show(told, t)),
                "Nearer, and the corner shows board; farther, and it turns in as a lump. A cloth cut by machine or template has these cuts already.".into(),
            ],
            window: Bounds::of([corner]).grown(reach.to_mm()),
            draw: Box::new(move |plan| work::laid_out(plan, told, false)),
        });
    }
    if let Some(corner) = told.design.flat.as_ref().and_then(|f| f.inner_corners().first().map(|c| c.corner)) {
        steps.push(Step {
            title: "Slits at the corners of the base".into(),
            words: vec![
                format!("Where two walls meet, the cloth is cut from its inner corner towards the corner of the base. Stop {} short of the board.", show(told, job.covering.slit_stop)),
                "Cut from the inner end outwards, so that a slip runs into the waste.".into(),
            ],
            window: Bounds::of([corner]).grown((job.covering.turn_in * 2.6).to_mm()),
            draw: Box::new(move |plan| work::laid_out(plan, told, false)),
        });
    }
    steps.push(Step {
        title: "Turn in".into(),
        words: vec![
            "First the head and tail edges (1), then the fore-edges (2).".into(),
            "Glue a turn-in, pull it up against the board's edge with the folder, then down. Before the second pair nip the little ears at the corners in with the folder's point.".into(),
            "At the joints push the turn-in down into the groove so that it can fold.".into(),
        ],
        window: cloth,
        draw: Box::new(move |plan| work::turned_in(plan, told)),
    });
    if !told.design.patches.is_empty() {
        let count: usize = told.design.patches.len();
        let places: Vec<&str> = told.design.patches.iter().map(|p| p.place.as_str()).collect();
        steps.push(Step {
            title: "Patches".into(),
            words: vec![
                format!("The slits leave board bare in {count} {}. Glue a patch over each: {}.", if count == 1 { "place" } else { "places" }, places.join("; ")),
                "Set it with its longer side along the edge, turn it round the edge, and let its end lie under the neighbour's turn-in.".into(),
            ],
            window: cloth,
            draw: Box::new(move |plan| work::patched(plan, told)),
        });
    }
    if let Some(strap) = &told.fit.strap {
        let (from, to) = strap.snug;
        let what = if strap.count == 2 { "two pieces of elastic" } else { "the elastic" };
        let tail = job.strap.map_or(Length::ZERO, |s| s.tail);
        steps.push(Step {
            title: "Strap".into(),
            words: vec![
                format!("Cut {what} {} long. Between {} and {} it holds snug without bending a lid; try it round the folded box first.", show(told, strap.length), show(told, from), show(told, to)),
                format!("Open the cloth behind each slot with the point of the knife. Bring each end through from outside and glue {} of it into its pocket. Lay a weight on it for an hour.", show(told, tail)),
                "See that it is not twisted and lies below the face of the board: the liner goes over it.".into(),
            ],
            window: work::section_window(told),
            draw: Box::new(move |plan| work::strap_section(plan, told)),
        });
    }
    if let Some(liner) = &job.liner {
        let is_panels = liner.pieces == LinerPieces::Panels;
        let mut words = if is_panels {
            vec![format!(
                "Glue each panel onto its own board, {} in from the board's free edges.",
                show(told, job.covering.reveal)
            )]
        } else {
            vec![
                format!("First the part on the base (1), {} in from its free edges. Brush that part only, set it down, rub it out from the middle.", show(told, job.covering.reveal)),
                "Then each arm outwards (2): brush it, press it to the bottom of the groove with the folder, up over the wall, into the next groove, and out onto the lid.".into(),
            ]
        };
        if job.covering.liner_trim > Length::ZERO {
            words.push(format!(
                "The liner is {} longer than it needs to be: trim it to {} from the edge once the first part is down.",
                show(told, job.covering.liner_trim),
                show(told, job.covering.reveal)
            ));
        }
        words.push(format!(
            "About {} to glue. A thin paper stretches when damp: work quickly and smooth it without pulling.",
            told.job.units.show_area(glue(StockKind::Liner))
        ));
        steps.push(Step {
            title: "Liner".into(),
            words,
            window: cloth,
            draw: Box::new(move |plan| work::lined(plan, told)),
        });
    }
    steps.push(press(told));
    steps.push(close(told));
    steps
}

fn press<'a>(told: &'a Told<'a>) -> Step<'a> {
    Step {
        title: "Press".into(),
        words: vec![
            "Lay the open box flat between clean blotting paper and boards, under weight, at least overnight. Change the paper once after an hour if it is damp.".into(),
            "Fold the joints only when everything is dry; work each one slowly to and fro the first time.".into(),
        ],
        window: Bounds { min: pt(-100.0, -5.0), max: pt(100.0, 75.0) },
        draw: Box::new(move |plan| work::pressed(plan, told)),
    }
}

fn close<'a>(told: &'a Told<'a>) -> Step<'a> {
    let mut tiers: Vec<(u32, &str)> = told.job.flaps.iter().map(|(s, f)| (f.tier, s.word())).collect();
    tiers.sort();
    let order: Vec<&str> = tiers.iter().map(|t| t.1).collect();
    let play = told.fit.play.values().copied().fold(None, |a: Option<Length>, p| Some(a.map_or(p, |a| a.max(p))));
    let mut words = vec![format!("Put the stack in and close the lids: {}.", order.join(", "))];
    if let Some(play) = play {
        words.push(if play < mm(0.05) {
            "Each lid should lie flat, without play.".into()
        } else {
            format!("Each lid should lie flat; the loosest has {} of play.", show(told, play))
        });
    }
    let plan = told.design.flat.as_ref().map(|f| f.base.bounds());
    Step {
        title: "Close it".into(),
        words,
        window: work::around(plan, 30.0),
        draw: Box::new(move |plan| work::closed(plan, told)),
    }
}

/// Folding board: cut, crease, fold; strips are glued where they cross.
fn folded<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    let job = told.job;
    let is_strips = job.build.construction == Construction::CrossedStrips;
    let whole = work::around(told.design.pieces.iter().map(|p| p.outline.bounds()), 4.0);
    let mut steps = vec![cut(told)];
    steps.push(Step {
        title: "Crease".into(),
        words: vec![
            "Press every crease from the inside with a folder or a creasing wheel along a steel edge. Do not cut the board.".into(),
            "Where two creases run side by side, both are needed: thick board turns in two steps. Creases that run with the grain are easy; press the others twice.".into(),
        ],
        window: whole,
        draw: Box::new(move |plan| work::creased(plan, told)),
    });
    if is_strips {
        let which = match job.strips.map(|s| s.outer) {
            Some(StrapAlong::Width) => "the strip from left to right",
            _ => "the strip from tail to head",
        };
        let glue = told.bill.glue_m2;
        steps.push(Step {
            title: "Cross the strips".into(),
            words: vec![
                format!("Lay {which} down, inside up, and glue the base of the other onto its base, edge to edge and square ({}).", told.job.units.show_area(glue)),
                "Leave it under weight for an hour; the flaps stay free.".into(),
            ],
            window: whole,
            draw: Box::new(move |plan| work::crossed(plan, told)),
        });
    }
    if job.liner.is_some() && !is_strips {
        steps.push(Step {
            title: "Liner".into(),
            words: vec![
                format!(
                    "Glue the base part first (1), {} in from free edges, then outwards over the creases (2).",
                    show(told, job.covering.reveal)
                ),
                "Leave it under weight at least overnight before you fold it.".into(),
            ],
            window: whole,
            draw: Box::new(move |plan| work::lined(plan, told)),
        });
        steps.push(press(told));
    }
    steps.push(Step {
        title: "Fold".into(),
        words: vec!["Fold each crease slowly over a steel edge, walls first and then lids, to a little more than a right angle, and let it spring back.".into()],
        window: work::around(told.design.flat.as_ref().map(|f| f.base.bounds()), 30.0),
        draw: Box::new(move |plan| work::half_closed(plan, told)),
    });
    steps.push(close(told));
    steps
}

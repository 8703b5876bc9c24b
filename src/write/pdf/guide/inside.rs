//! What lies inside besides the stack: dividers, lift ribbon, spacers, padding. What the words say of gluing is common
//! practice, no source; the measures are the job's.

use super::Told;
use super::plan::{BOARD, CLOTH, HERE, LINER, Plan, THIN};
use super::step::{Step, show};
use super::work;
use crate::design::{Piece, inside_name, inside_piece, inside_stack};
use crate::diag::capital;
use crate::drawing::Pen;
use crate::geom::{Bounds, Contour, Path, Stroke, pt};
use crate::job::{Inside, LiftRibbon, Side, Spacer, StockKind, StrapAlong, Thing, ThingKind, told_boards};
use crate::units::{Length, mm};
use crate::write::pdf::ribbons::RIBBON;
use crate::write::pdf::states::{PADDING, STACK};
use crate::write::style::{INK, QUIET, Rgb};

/// A section is drawn at least so high for its width, so that its layers show.
const HIGH: f64 = 0.3;

/// The steps, in the order in which things go in.
pub(super) fn steps<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    let Some(inside) = &told.job.inside else { return Vec::new() };
    let mut all = Vec::new();
    all.extend(dividers(told, inside));
    all.extend(inside.ribbon.map(|r| ribbon(told, inside, r)));
    all.extend(inside.spacer.and_then(|s| spacers(told, inside, s)));
    all.extend(padding(told, inside));
    all.extend(super::colophon::put_in(told));
    all
}

fn of(inside: &Inside, kinds: &[ThingKind]) -> Vec<Thing> {
    inside.laid.things.iter().filter(|t| kinds.contains(&t.kind)).cloned().collect()
}

fn piece<'a>(told: &Told<'a>, id: &str) -> Option<&'a Piece> {
    told.design.pieces.iter().find(|p| p.id == id)
}

/// A plan size in words.
fn size(told: &Told<'_>, piece: &Piece) -> String {
    let b = piece.outline.bounds();
    told.job.units.show_size(&[mm(b.width()), mm(b.height())])
}

fn dividers<'a>(told: &'a Told<'a>, inside: &'a Inside) -> Option<Step<'a>> {
    let divider = inside.divider?;
    let all = of(inside, &[ThingKind::Divider]);
    let board = piece(told, &inside_piece(inside, all.first()?)?)?;
    let stock = divider.cover.stock?;
    let cover = piece(told, &board.id.replacen("board", stock.word(), 1))?;
    let (x, word) = (divider.cover.thickness, stock.word());
    let row = if divider.along == StrapAlong::Width { "left" } else { "head" };
    let places: Vec<String> = all
        .iter()
        .map(|t| match divider.along {
            StrapAlong::Width => show(told, inside.laid.interior[0] / 2.0 + t.low[0]),
            StrapAlong::Height => show(told, inside.laid.interior[1] / 2.0 - t.high[1]),
        })
        .collect();
    let (one, them) = if all.len() == 1 { ("the divider", "it") } else { ("each divider", "each") };
    let words = vec![
        format!(
            "Cover {one}, board {}: glue its one face onto the strip of {word}, its lower edge {} from the strip's, so that the foot stands out below. Roll it over its top and down the other face; the tabs go round its ends and meet in the middle. Crease both feet outwards.",
            size(told, board),
            show(told, divider.foot),
        ),
        format!(
            "Glue {them} to the floor by both feet, {} from the {row} side of the interior to its face there; {} from wall to wall. Stand the works beside it while the glue holds, waxed paper between, so that it stands upright.",
            places.join(" and "),
            show(told, inside.laid.interior[usize::from(divider.along == StrapAlong::Width)]),
        ),
        format!(
            "Covered it is {} thick and {} high, level with what lies beside it; its feet, {} thick, lie under that.",
            told.job.units.show(inside.divider_thickness()),
            show(told, all.first()?.high[2]),
            told.job.units.show(x)
        ),
    ];
    let (own, strip) = (board.outline.bounds(), cover.outline.bounds());
    Some(Step {
        title: if all.len() == 1 { "Cover and glue the divider".into() } else { "Cover and glue the dividers".into() },
        words,
        window: work::around([strip], 4.0),
        draw: Box::new(move |plan| {
            let color = if stock == StockKind::Liner { LINER } else { CLOTH };
            plan.solid(std::slice::from_ref(&cover.outline), color, THIN);
            let foot = divider.foot.to_mm();
            // The face that is glued first.
            let at = pt(strip.center().x - own.width() / 2.0, strip.min.y + foot);
            let lies = Contour::rectangle(at, at + pt(own.width(), own.height()));
            plan.solid(std::slice::from_ref(&lies), BOARD, THIN);
            plan.name(&lies, "divider");
            let folds = [foot, foot + own.height(), strip.height() - foot - own.height(), strip.height() - foot];
            let lines: Vec<Stroke> = folds
                .iter()
                .map(|y| strip.min.y + y)
                .map(|y| Stroke::Open(Path::line(pt(at.x, y), pt(at.x + own.width(), y))))
                .collect();
            plan.line(&lines, Pen { dashes: &[1.6, 1.0], unit: 0.4, ..Pen::solid(INK, 0.3) });
        }),
    })
}

fn ribbon<'a>(told: &'a Told<'a>, inside: &'a Inside, ribbon: LiftRibbon) -> Step<'a> {
    let copies = told.job.copies;
    let all = if copies > 1 { format!(", {copies} in all") } else { String::new() };
    let length = inside.ribbon_length();
    let depth = inside.stacks.get(ribbon.stack).map_or(Length::ZERO, |s| s[2]);
    let run = inside.ribbon_run(&ribbon);
    let rise = length - ribbon.glued - run - depth - ribbon.pull;
    let stack = inside_stack(inside, ribbon.stack);
    let beneath: Vec<String> = of(inside, &[ThingKind::Spacer, ThingKind::Under])
        .iter()
        .filter(|t| t.stack == ribbon.stack)
        .map(|t| format!("the {}", inside_name(inside, t)))
        .collect();
    let over = if beneath.is_empty() { "itself".to_owned() } else { beneath.join(" and ") };
    let up = if rise > mm(0.005) { format!(", {} up round {over}", show(told, rise)) } else { String::new() };
    let (from, to) = (ribbon.glued_at.word(), ribbon.glued_at.opposite().word());
    let words = vec![
        format!(
            "Cut the ribbon {} long{all}: {} to be glued{up}, {} under {stack}, {} up its other side, and {} to pull at. Seal its free end or cut it aslant, so that it does not fray.",
            show(told, length),
            show(told, ribbon.glued),
            show(told, run),
            show(told, depth),
            show(told, ribbon.pull)
        ),
        format!(
            "Glue the first {} of it to the floor at the {from} side, in the middle of that side of {stack}, its end towards the {to}, and let it dry under a weight. Nothing else of it is glued.",
            show(told, ribbon.glued)
        ),
        if beneath.is_empty() {
            format!(
                "Fold it back over that end and lay it across to the {to}: the works lie on it, and its free end goes up there and over them."
            )
        } else {
            format!(
                "Put {over} in over that end, fold the ribbon up round that at the {from} and lay it across to the {to}: the works lie on it, and its free end goes up there and over them."
            )
        },
        format!(
            "The glued end, the ribbon and its free end take {} of the depth in all; that is counted.",
            told.job.units.show(ribbon.thickness * 3.0)
        ),
    ];
    let axis = usize::from(matches!(ribbon.glued_at, Side::Head | Side::Tail));
    Step {
        title: "Lift ribbon".into(),
        words,
        window: section_window(inside, axis),
        draw: Box::new(move |plan| section(plan, told, inside, axis, ribbon.stack)),
    }
}

fn spacers<'a>(told: &'a Told<'a>, inside: &'a Inside, spacer: Spacer) -> Option<Step<'a>> {
    let all = of(inside, &[ThingKind::Spacer, ThingKind::SpacerBeside]);
    let first = all.first()?;
    let mut words = Vec::new();
    for t in &all {
        let Some(board) = inside_piece(inside, t).and_then(|id| piece(told, &id)) else { continue };
        let stack = inside_stack(inside, t.stack);
        let where_ = if t.kind == ThingKind::Spacer { "under" } else { "beside" };
        let glue = if board.count > 1 {
            format!("{} of {} glued one on the other, edges flush", told_boards(board.count), size(told, board))
        } else {
            format!("1 board of {}", size(told, board))
        };
        let left = inside.laid.columns.get(t.stack).map_or(Length::ZERO, |c| c.remainder);
        let left = if t.kind == ThingKind::Spacer && left > mm(0.05) {
            format!("; {} of the height are left over", told.job.units.show(left))
        } else {
            String::new()
        };
        words.push(format!(
            "{} {stack}: {glue}. Covered it is {} high{left}.",
            capital(where_),
            told.job.units.show(t.high[2] - t.low[2])
        ));
    }
    words.push("Press the layers under weight, as flat as the table, before they are covered.".into());
    words.push(match spacer.cover.stock {
        Some(StockKind::Cloth) => "Cover each in its cloth: the block on the middle of it, marked there; turn in head and tail, then the two sides, over its edges and under it. Rub down.".into(),
        Some(_) => "Glue the liner on the upper side of each, edges flush.".into(),
        None => "They stay bare; put the better side up.".to_owned(),
    });
    words.push(format!(
        "Try the works in dry. Then glue each to the floor, {} clear of what stands beside it, and leave a weight on it.",
        show(told, spacer.clearance / 2.0)
    ));
    let title = if all.len() == 1 {
        format!("Spacer {}", inside_name(inside, first).trim_start_matches("spacer "))
    } else {
        "Spacers".into()
    };
    let has_under = all.iter().find(|t| t.kind == ThingKind::Spacer).map(|t| t.stack);
    let is_row = inside.divider.is_some_and(|d| d.along == StrapAlong::Height);
    let axis = usize::from(is_row);
    Some(match has_under {
        Some(stack) if inside.stacks.len() == 1 => Step {
            title,
            words,
            window: section_window(inside, axis),
            draw: Box::new(move |plan| section(plan, told, inside, axis, stack)),
        },
        _ => Step { title, words, window: plan_window(inside), draw: Box::new(move |plan| from_above(plan, inside)) },
    })
}

fn padding<'a>(told: &'a Told<'a>, inside: &'a Inside) -> Option<Step<'a>> {
    let all = of(inside, &[ThingKind::Under, ThingKind::Over]);
    let first = all.first()?;
    let mut words = Vec::new();
    for t in &all {
        let [w, h, d] = t.size();
        let padding = if t.kind == ThingKind::Under { &inside.under } else { &inside.over };
        let from = match padding.as_ref().and_then(|p| p.stock) {
            Some(stock) => format!("laid out with the {}", stock.word()),
            None => "bought apart, cut with scissors or a knife".into(),
        };
        let mut name = inside_name(inside, t);
        if let Some(first) = name.get(..1).map(str::to_uppercase) {
            name.replace_range(..1, &first);
        }
        words.push(format!("{name}: {}, {} thick, {from}.", told.job.units.show_size(&[w, h]), told.job.units.show(d)));
    }
    if all.iter().any(|t| t.kind == ThingKind::Under) {
        words.push("What lies under works goes in now, loose, or held by a strip of double-sided tape made for works on paper.".into());
    }
    if all.iter().any(|t| t.kind == ThingKind::Over) {
        words.push("What lies over works is laid on them last: the lids lie on it.".into());
    }
    let axis = usize::from(inside.divider.is_some_and(|d| d.along == StrapAlong::Height));
    let stack = first.stack;
    Some(Step {
        title: "Padding".into(),
        words,
        window: section_window(inside, axis),
        draw: Box::new(move |plan| section(plan, told, inside, axis, stack)),
    })
}

/// By how much a section is drawn higher than it is.
fn lifted(inside: &Inside, axis: usize) -> f64 {
    let (wide, high) = (inside.laid.interior[axis].to_mm(), inside.laid.highest.to_mm());
    (wide * HIGH / high.max(0.1)).max(1.0)
}

fn section_window(inside: &Inside, axis: usize) -> Bounds {
    let half = inside.laid.interior[axis].to_mm() / 2.0 + 4.0;
    let k = lifted(inside, axis);
    let floor = inside.board.to_mm() * k;
    let top = inside.laid.highest.to_mm() * k;
    Bounds { min: pt(-half, -floor - 4.0), max: pt(half, top + top * 0.1 + 4.0) }
}

fn color(inside: &Inside, kind: ThingKind) -> Rgb {
    let is_liner = inside.divider.is_some_and(|d| d.cover.stock == Some(StockKind::Liner));
    match kind {
        ThingKind::Stack => STACK,
        ThingKind::Spacer | ThingKind::SpacerBeside => BOARD,
        ThingKind::Under | ThingKind::Over => PADDING,
        ThingKind::Ribbon => RIBBON,
        ThingKind::Divider | ThingKind::Foot if is_liner => LINER,
        ThingKind::Divider | ThingKind::Foot => CLOTH,
    }
}

/// A section through the floor and what lies on it, through the middle of a stack, drawn higher than it is.
fn section(plan: &mut Plan<'_>, told: &Told<'_>, inside: &Inside, axis: usize, stack: usize) {
    let k = lifted(inside, axis);
    let t = told.job.board.thickness.to_mm();
    let half = inside.laid.interior[axis].to_mm() / 2.0;
    let floor = Contour::rectangle(pt(-half, -t * k), pt(half, 0.0));
    plan.solid(std::slice::from_ref(&floor), BOARD, THIN);
    plan.name(&floor, "floor");
    let middle = |t: &Thing| (t.low[1 - axis] + t.high[1 - axis]) / 2.0;
    let is_stack = |t: &&Thing| t.kind == ThingKind::Stack && t.stack == stack;
    let Some(at) = inside.laid.things.iter().find(is_stack).map(middle) else { return };
    let cut = inside.laid.things.iter().filter(|t| t.low[1 - axis] <= at && t.high[1 - axis] >= at);
    for t in cut {
        let block = Contour::rectangle(
            pt(t.low[axis].to_mm(), t.low[2].to_mm() * k),
            pt(t.high[axis].to_mm(), t.high[2].to_mm() * k),
        );
        plan.solid(std::slice::from_ref(&block), color(inside, t.kind), THIN);
        let layers = inside.layers(t);
        let (low, high) = (t.low[2].to_mm() * k, t.high[2].to_mm() * k);
        // Short of the middle, where the name stands.
        let (from, to) = (t.low[axis].to_mm(), t.high[axis].to_mm());
        let short = (to - from) * 0.15;
        let lines: Vec<Stroke> = (1..layers)
            .map(|i| low + (high - low) * f64::from(i) / f64::from(layers))
            .flat_map(|z| [[from, from + short], [to - short, to]].map(|[a, b]| (a, b, z)))
            .map(|(a, b, z)| Stroke::Open(Path::line(pt(a, z), pt(b, z))))
            .collect();
        plan.line(&lines, Pen::solid(QUIET, 0.15));
        if !matches!(t.kind, ThingKind::Ribbon | ThingKind::Foot | ThingKind::Divider) {
            plan.name(&block, &inside_name(inside, t));
        }
    }
}

fn plan_window(inside: &Inside) -> Bounds {
    let half = pt(inside.laid.interior[0].to_mm() / 2.0, inside.laid.interior[1].to_mm() / 2.0);
    Bounds { min: -half, max: half }.grown(4.0)
}

/// The interior from above: stacks, dividers, and spacers shaded.
fn from_above(plan: &mut Plan<'_>, inside: &Inside) {
    let half = pt(inside.laid.interior[0].to_mm() / 2.0, inside.laid.interior[1].to_mm() / 2.0);
    plan.solid(&[Contour::rectangle(-half, half)], BOARD, THIN);
    let outline = |t: &Thing| {
        Contour::rectangle(pt(t.low[0].to_mm(), t.low[1].to_mm()), pt(t.high[0].to_mm(), t.high[1].to_mm()))
    };
    for kind in [ThingKind::Foot, ThingKind::Spacer, ThingKind::SpacerBeside, ThingKind::Divider] {
        for t in inside.laid.things.iter().filter(|t| t.kind == kind) {
            let color =
                if kind == ThingKind::Spacer || kind == ThingKind::SpacerBeside { HERE } else { color(inside, kind) };
            let block = outline(t);
            plan.solid(std::slice::from_ref(&block), color, THIN);
            if kind == ThingKind::SpacerBeside {
                plan.name(&block, "spacer");
            }
        }
    }
    for t in inside.laid.things.iter().filter(|t| t.kind == ThingKind::Stack) {
        let block = outline(t);
        plan.line(&[Stroke::Closed(block.clone())], Pen { dashes: &[2.0, 2.0], unit: 0.4, ..Pen::solid(QUIET, 0.2) });
        plan.name(&block, &inside_name(inside, t));
    }
}

/// Rows of what is to be bought for them: stock, pieces, size, thickness, grain, price.
pub(super) fn to_buy(told: &Told<'_>) -> Vec<Vec<String>> {
    let (job, copies) = (told.job, told.job.copies);
    let Some(figures) = &told.fit.inside else { return Vec::new() };
    let mut rows: Vec<Vec<String>> = figures
        .padding
        .iter()
        .map(|p| {
            vec![
                p.what.clone(),
                copies.to_string(),
                job.units.show_size(&[p.width, p.height]),
                job.units.show(p.thickness),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    if let Some(r) = &figures.ribbon {
        let price = job.inside.as_ref().and_then(|i| i.ribbon).and_then(|r| r.price);
        rows.push(super::closings::from_reel(told, "lift ribbon", copies, [r.length, r.width, r.thickness], price));
    }
    rows
}

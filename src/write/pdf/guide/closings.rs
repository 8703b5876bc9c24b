//! Slots, pockets and recesses, ribbon ties and magnets: what to cut, what to glue in, what to buy. What the
//! words say of gluing and of caution is common practice, no source; the measures are the job's.

use super::Told;
use super::plan::{BOARD, CLOTH, LINER, Plan, THIN};
use super::step::{Step, show};
use super::work;
use crate::design::covered_by_part;
use crate::fit::{MagnetFigures, PegFigures, TieFigures, tied_lid};
use crate::geom::{Bounds, Contour, pt};
use crate::job::{Magnets, Peg, Side, Ties};
use crate::units::{Length, mm};

/// The ties of the job with their figures.
fn tied<'a>(told: &Told<'a>) -> Vec<(Side, &'a Ties, &'a TieFigures)> {
    told.fit.ties.iter().filter_map(|f| Some((f.side, told.job.ties.get(&f.side)?, f))).collect()
}

/// The magnets of the job with their figures.
fn held<'a>(told: &Told<'a>) -> Vec<(Side, &'a Magnets, &'a MagnetFigures)> {
    told.fit.magnets.iter().filter_map(|f| Some((f.side, told.job.magnets.get(&f.side)?, f))).collect()
}

/// The length of the pockets in what a lid is tied to.
fn tail_across(told: &Told<'_>, side: Side) -> Option<Length> {
    let flat = told.design.flat.as_ref()?;
    let all = crate::design::ties(told.job, &told.design.measures, flat);
    all.into_iter().find(|tie| tie.side == side).map(|tie| tie.ends[1].tail)
}

/// Slots and pockets cut into the boards; `strap` says where those of the strap are.
pub(super) fn cuts<'a>(told: &'a Told<'a>, strap: Vec<String>) -> Step<'a> {
    let job = told.job;
    let mut words = strap;
    if let Some(strap) = &job.strap {
        words.push(format!("For each pocket cut round its outline {} deep, no deeper, and peel the board away in layers. It is {} long from its slot towards the middle of the base, and opens into the slot; the end of the elastic must lie in it flush.", show(told, strap.pocket_depth), show(told, strap.tail)));
    }
    for (side, ties, figures) in tied(told) {
        let size = job.units.show_size(&[ties.width + ties.slot_ease, ties.in_slot() + ties.slot_ease]);
        let (slots, middle) = if ties.count == 1 && ties.peg.is_none() {
            ("a slot".to_owned(), "in the middle of its free edge, the middle of the slot")
        } else if ties.count == 1 {
            ("a slot".to_owned(), "beside the middle of its free edge, the middle of the slot")
        } else {
            (format!("{} slots", ties.count), "spread along its free edge, the middle of each")
        };
        let tail = tail_across(told, side).unwrap_or(ties.tail);
        let long = if tail < ties.tail - mm(0.05) {
            format!("{} long in the lid and {} in the wall", show(told, ties.tail), show(told, tail))
        } else {
            format!("{} long", show(told, ties.tail))
        };
        words.push(format!(
            "Ties of the {}: {slots} of {size} right through, {middle} {} from it; as many in the {}. Beside each, away from the edge, a pocket {} deep and {long}, peeled away in layers. Where each lies stands on the measured drawings.",
            tied_lid(told.job, side),
            show(told, ties.inset),
            figures.fellow_board(told.job),
            show(told, ties.pocket_depth),
        ));
    }
    for (side, magnets, _) in held(told) {
        let beneath = match &magnets.plate {
            Some(plate) => format!(
                "in the lid beneath, under each, {} across and {} deep for a plate of steel",
                show(told, plate.diameter + magnets.clearance),
                show(told, plate.depth)
            ),
            None => "the same in the lid beneath, under each".into(),
        };
        words.push(format!(
            "Magnets of the {} lid: round recesses {} across and {} deep, their middles {} from its free edge; {beneath}. Cut round with a hollow punch or a compass cutter, or drill with a flat bit against a stop; a magnet lies in it level with the board.",
            side.word(),
            show(told, magnets.diameter + magnets.clearance),
            show(told, magnets.depth),
            show(told, magnets.inset),
        ));
    }
    words.extend(super::colophon::recess(told));
    let is_base_alone = work::cut_into(told).all(|p| p.role == crate::design::Role::Base);
    let (where_, title) = if is_base_alone {
        ("of the base", "Slots and pockets in the base")
    } else {
        ("of the boards", "Slots, pockets and recesses in the boards")
    };
    words.push(format!("Pockets are on the inside {where_}. Mark the inside before you start."));
    Step {
        title: title.into(),
        words,
        window: work::around(work::cut_into(told).map(|p| p.outline.bounds()), 4.0),
        draw: Box::new(move |plan| work::boards_with_cuts(plan, told)),
    }
}

/// The ribbons, a step for each lid that is tied.
pub(super) fn ties<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    tied(told).into_iter().map(|(side, ties, figures)| tie(told, side, ties, figures)).collect()
}

fn tie<'a>(told: &'a Told<'a>, side: Side, ties: &Ties, figures: &'a TieFigures) -> Step<'a> {
    let words = match ties.peg {
        Some(peg) => pegged(told, side, ties, peg, figures),
        None => bowed(told, side, ties, figures),
    };
    let held = work::Held {
        thickness: ties.in_slot().to_mm(),
        slot_ease: ties.slot_ease.to_mm(),
        tail: ties.tail.to_mm(),
        pocket: ties.pocket_depth.to_mm(),
        words: [
            if ties.peg.is_some() { "ribbon, double" } else { "ribbon" },
            if told.job.portfolio.is_some() { "cover" } else { "lid" },
        ],
    };
    Step {
        title: format!("Ribbons of the {}", tied_lid(told.job, side)),
        words,
        window: work::section_window(told, held.tail),
        draw: Box::new(move |plan| work::section(plan, told, held)),
    }
}

/// What goes over slots and pockets once the ribbons are in them.
fn covers(told: &Told<'_>) -> &'static str {
    let job = told.job;
    if job.portfolio.is_some() && !job.is_for_loose_sheets() {
        "lining and wrapper go over slots and pockets."
    } else if job.liner.is_some() {
        "the liner goes over slots and pockets."
    } else {
        "paste a strip of paper over each, so that nothing catches on it."
    }
}

/// Ribbons laid double, a peg in the lid's and a loop beside it.
fn pegged(told: &Told<'_>, side: Side, ties: &Ties, peg: Peg, figures: &TieFigures) -> Vec<String> {
    let job = told.job;
    let each = ties.count * job.copies;
    let of_pegs = |of: fn(&PegFigures) -> Length| figures.pegs.as_ref().map_or(Length::ZERO, of);
    let (loop_length, loop_way) = (of_pegs(|p| p.loop_length), of_pegs(|p| p.loop_way));
    let lies = if loop_way > Length::ZERO {
        format!("it lies on the side of the box, {} from the loop's slot under the base", show(told, loop_way))
    } else {
        format!("it lies at the loop's slot, {} from that of the lid", show(told, figures.way))
    };
    let count = |one: &str, many: &str| if each == 1 { format!("a {one}") } else { format!("{each} {many}") };
    let lid = tied_lid(told.job, side);
    vec![
        format!(
            "Cut {} {} long for the {}, and {} {} long for the {}. A peg is {} thick and {} long, of bone, horn or hard wood, its ends rounded and smooth.",
            count("ribbon", "ribbons"),
            show(told, figures.length),
            if each == 1 { "peg" } else { "pegs" },
            count("ribbon", "ribbons"),
            show(told, loop_length),
            if each == 1 { "loop" } else { "loops" },
            show(told, peg.diameter),
            show(told, peg.length),
        ),
        format!(
            "Open {} at each slot with the point of the knife where it is not cut yet. Lay the peg's ribbon double round the peg, near one end of it, and stitch both layers close to it. Draw its ends in from outside through the slot of the {lid} and glue them, one on the other, into the pocket.",
            covering(told)
        ),
        format!(
            "Draw both ends of the loop's ribbon in through the slot of the {}. Put the peg into this loop before you glue: it slides with a light push and does not fall out.",
            figures.fellow_board(told.job)
        ),
        format!(
            "Fold the box up dry round the stack and push the peg into its loop before the glue has set: {lies}, the ribbon tight and the lid flat. Then a weight on both pockets for an hour; where the ends lie proud glue a peeled layer back over them; {}",
            covers(told)
        ),
    ]
}

/// What is cut open at a slot.
fn covering(told: &Told<'_>) -> &'static str {
    if covered_by_part(told.job, told.design).is_empty() { "the cloth" } else { "the cloth, or the paper," }
}

/// Two ribbons, tied in a bow.
fn bowed(told: &Told<'_>, side: Side, ties: &Ties, figures: &TieFigures) -> Vec<String> {
    let job = told.job;
    let all = if job.copies > 1 { format!(", {} in all", figures.ribbons * job.copies) } else { String::new() };
    vec![
        format!(
            "Cut {} ribbons {} long{all}: the glued tail, half of the {} from slot to slot round the closed box, and {} for the bow. Cut their free ends aslant or seal them, so that they do not fray.",
            figures.ribbons,
            show(told, figures.length),
            show(told, figures.way),
            show(told, ties.bow)
        ),
        format!(
            "Open {} at each slot with the point of the knife where it is not cut yet. Draw a ribbon in from outside through each slot of the {} and of the {}, its right side out, and glue its tail into the pocket, the whole length of it.",
            covering(told),
            tied_lid(told.job, side),
            figures.fellow_board(told.job)
        ),
        format!(
            "Where a ribbon lies deeper than the board's face glue one of the peeled layers back over it, level with the board. A weight on it for an hour; {}",
            covers(told)
        ),
        "Fold the box up dry round the stack and tie it once before you line it.".into(),
    ]
}

/// The magnets, a step for each lid that has some.
pub(super) fn magnets<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    held(told).into_iter().map(|(side, magnets, figures)| magnet(told, side, magnets, figures)).collect()
}

fn magnet<'a>(told: &'a Told<'a>, side: Side, magnets: &'a Magnets, figures: &'a MagnetFigures) -> Step<'a> {
    let job = told.job;
    let layers: Vec<String> =
        figures.layers.iter().map(|l| format!("{} {}", l.what, job.units.show(l.thickness))).collect();
    let mut words = Vec::new();
    if magnets.plate.is_some() {
        words.push(format!(
            "Glue the magnets into the {} lid and the plates of steel into the lid beneath. A plate has no poles: each magnet may lie either way up.",
            side.word()
        ));
    } else {
        words.push(format!(
            "Polarity: lay the two magnets of a pair together as they attract, and mark both faces that touch before you glue. In the {} lid the marked face looks out of the recess, up towards you; in the lid beneath it looks down into the recess, for closed that lid turns its outside to the magnet.",
            side.word()
        ));
    }
    words.push(format!(
        "Closed they are {} apart: {}. Try a pair with as much card between them before you glue; does it hold too little, take thicker magnets or larger ones.",
        job.units.show(figures.gap),
        layers.join(", ")
    ));
    words.push("Roughen them and glue them with epoxy or a contact glue, level with the board, now, before the turn-ins and the liner go over them. Let it set with the boards lying apart: magnets pull each other out of wet glue.".into());
    words.push("Small magnets are dangerous when swallowed: keep them from children. Keep them away from pacemakers and other implants, and from cards with stripes. They chip and snap together: mind eyes and fingers. The supplier's sheet comes before this page.".into());
    let t = job.board.thickness.to_mm();
    Step {
        title: format!("Magnets of the {} lid", side.word()),
        words,
        window: Bounds { min: pt(-26.0, -3.0 * t * THICK), max: pt(26.0, 3.4 * t * THICK) },
        draw: Box::new(move |plan| pair(plan, told, magnets, figures)),
    }
}

/// The drawing of a pair is so many times as thick as it is wide.
const THICK: f64 = 2.5;

/// A section through a closed pair: the lid with its magnet above, the lid beneath with its fellow.
fn pair(plan: &mut Plan<'_>, told: &Told<'_>, magnets: &Magnets, figures: &MagnetFigures) {
    let thick = |l: Length| l.to_mm() * THICK;
    let t = thick(told.job.board.thickness);
    let of = |what: &str| figures.layers.iter().find(|l| l.what == what).map_or(Length::ZERO, |l| l.thickness);
    let slab = |half: f64, low: f64, high: f64| Contour::rectangle(pt(-half, low), pt(half, high));
    let (upper_is, lower_is) = ((magnets.diameter, magnets.thickness), {
        let plate = magnets.plate.map(|p| (p.diameter, p.thickness));
        plate.unwrap_or((magnets.diameter, magnets.thickness))
    });
    let lower_depth = magnets.plate.map_or(magnets.depth, |p| p.depth);
    // From below: the lid beneath, its outside up.
    let wide = 24.0;
    plan.solid(&[slab(wide, 0.0, t)], BOARD, THIN);
    let round = |d: Length| (d + magnets.clearance).to_mm() / 2.0;
    plan.solid(&[slab(round(lower_is.0), 0.0, thick(lower_depth))], [255, 255, 255], THIN);
    let bottom = thick(lower_depth) - thick(mm(0.1)).min(thick(lower_depth - lower_is.1));
    plan.solid(&[slab(lower_is.0.to_mm() / 2.0, bottom - thick(lower_is.1), bottom)], METAL, THIN);
    let cloth = thick(of("cloth"));
    plan.solid(&[slab(wide, t, t + cloth)], CLOTH, THIN);
    let mut at = t + cloth + thick(of("air"));
    for (what, color) in [("liner", LINER), ("turn-in", CLOTH)] {
        let high = thick(of(what));
        if high > 0.0 {
            plan.solid(&[slab(wide, at, at + high)], color, THIN);
            at += high;
        }
    }
    plan.solid(&[slab(wide, at, at + t)], BOARD, THIN);
    plan.solid(&[slab(round(upper_is.0), at, at + thick(magnets.depth))], [255, 255, 255], THIN);
    let face = at + thick(of("left of its recess"));
    plan.solid(&[slab(upper_is.0.to_mm() / 2.0, face, face + thick(upper_is.1))], METAL, THIN);
    let outer = thick(told.job.cloth.as_ref().map_or(Length::ZERO, |c| c.thickness));
    plan.solid(&[slab(wide, at + t, at + t + outer)], CLOTH, THIN);
    let name = |low: f64, high: f64| Contour::rectangle(pt(8.0, low), pt(wide, high));
    plan.name(&name(at, at + t), "lid");
    plan.name(&name(0.0, t), "lid beneath");
    let middle = |low: f64, high: f64| Contour::rectangle(pt(-wide, low), pt(wide, high));
    plan.name(&middle(at + t + outer + 0.5, at + t + outer + 5.0), "outside");
    plan.name(&middle(-5.0, -0.5), "inside, towards the stack");
}

/// What a magnet or a plate is drawn in.
const METAL: crate::write::style::Rgb = [0x9a, 0x9a, 0x9a];

/// What is said of them once the box is closed.
pub(super) fn shut(told: &Told<'_>) -> Vec<String> {
    let ties = tied(told).into_iter().map(|(side, ties, _)| {
        let of = tied_lid(told.job, side);
        let lid = if told.job.portfolio.is_some() { "cover" } else { "lid" };
        match ties.peg {
            Some(_) => format!("Draw the peg of the {of} down and push it through its loop."),
            None => format!("Tie the {of} down: a bow, drawn no tighter than the {lid} lies flat."),
        }
    });
    let magnets = held(told).into_iter().map(|(side, ..)| {
        format!(
            "The {} lid goes down by its magnets; where it springs up instead a pair was glued in wrong way round.",
            side.word()
        )
    });
    ties.chain(magnets).collect()
}

/// A row of what is cut from a reel: stock, pieces, size, thickness, grain, price.
pub(super) fn from_reel(
    told: &Told<'_>,
    what: &str,
    count: u32,
    [length, width, thickness]: [Length; 3],
    price: Option<f64>,
) -> Vec<String> {
    let units = told.job.units;
    let all = length * f64::from(count);
    vec![
        what.into(),
        count.to_string(),
        format!("{} long; {} in all", units.show_on_rule(length), units.show_on_rule(all)),
        format!("{} wide, {} thick", units.show(width), units.show(thickness)),
        String::new(),
        price.map_or(String::new(), |p| format!("{:.2}", p * all.to_mm() / 1000.0)),
    ]
}

/// Rows of what is to be bought for them: stock, pieces, size, thickness, grain, price.
pub(super) fn to_buy(told: &Told<'_>) -> Vec<Vec<String>> {
    let job = told.job;
    let row = |what: &str, count: u32, [size, thickness]: [String; 2], price: Option<f64>| {
        let price = price.map_or(String::new(), |p| format!("{:.2}", p * f64::from(count)));
        vec![what.into(), count.to_string(), size, thickness, String::new(), price]
    };
    let mut rows = Vec::new();
    for (_, ties, figures) in tied(told) {
        let reel = |count: u32, length: Length| {
            from_reel(told, "ribbon", count * job.copies, [length, ties.width, ties.thickness], ties.price)
        };
        rows.push(reel(figures.ribbons, figures.length));
        if let Some(pegs) = &figures.pegs {
            rows.push(reel(pegs.count, pegs.loop_length));
            let (size, thick) = (job.units.show(pegs.length), job.units.show(pegs.diameter));
            let price = ties.peg.and_then(|peg| peg.price);
            rows.push(row("peg", pegs.count * job.copies, [format!("{size} long"), thick], price));
        }
    }
    for (_, magnets, figures) in held(told) {
        let across = |d: Length| format!("{} across", job.units.show(d));
        let size = [across(magnets.diameter), job.units.show(magnets.thickness)];
        rows.push(row("magnet", figures.magnets * job.copies, size, magnets.price));
        if let Some(plate) = magnets.plate {
            let size = [across(plate.diameter), job.units.show(plate.thickness)];
            rows.push(row("steel plate", figures.plates * job.copies, size, plate.price));
        }
    }
    rows
}

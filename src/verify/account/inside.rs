//! What the manifest says of what lies inside: every block counted again from the pieces, the stacks and the interior, in
//! code of its own.

use super::sheets::outline;
use super::wrong;
use crate::units::decimal;
use crate::verify::Many;
use crate::verify::read::manifest::{Fit, Inside, Leaf, LiftRibbon, ListedPiece, Manifest, Thing};

/// What rounding leaves of a sum of figures, mm.
const ROUNDED: f64 = 0.002;

pub(super) fn check(manifest: &Manifest, out: &mut Many) {
    let Some(fit) = &manifest.fit else { return };
    let Some(inside) = &fit.inside else {
        if let Some(piece) = manifest.pieces.iter().find(|p| p.role == "inside") {
            out.push(wrong(format!("{} is of what lies inside, and nothing is said of that", piece.id)));
        }
        return;
    };
    let (mut told, numbers) = (Vec::new(), Numbers::of(manifest, fit, inside));
    told.extend(stacks(fit, inside));
    told.extend(apart(fit, inside));
    for thing in &inside.things {
        told.extend(made_of(manifest, &numbers, thing));
    }
    told.extend(columns(fit, inside));
    told.extend(feet(manifest, &numbers, inside));
    told.extend(of_stacks(inside));
    told.extend(padding(inside));
    told.extend(inside.colophon.as_ref().and_then(|leaf| held(manifest, &numbers, leaf)));
    if let Some(ribbon) = &inside.ribbon {
        told.extend(lifted(inside, ribbon));
    } else if inside.things.iter().any(|t| t.kind == "ribbon") {
        told.push("a stretch of ribbon lies inside, and no ribbon is told of".to_owned());
    }
    for piece in manifest.pieces.iter().filter(|p| p.role == "inside" && p.stock == "board") {
        let all: u32 = inside.things.iter().filter(|t| t.piece.as_deref() == Some(&piece.id)).map(|t| t.layers).sum();
        if all != piece.count {
            told.push(format!("of {} {} are cut, and {all} lie in the box", piece.id, piece.count));
        }
    }
    told.into_iter().for_each(|message| out.push(wrong(message)));
}

/// The thicknesses that blocks are made of.
struct Numbers {
    board: f64,
    cloth: f64,
    liner: f64,
}

impl Numbers {
    /// From the sheets; of what is not laid out there are none.
    fn of(manifest: &Manifest, fit: &Fit, inside: &Inside) -> Self {
        let of = |stock: &str| {
            let sheet = manifest.sheets.iter().find(|s| s.stock == stock);
            sheet.map_or(0.0, |s| s.thickness)
        };
        // A divider is board and cover: of a box that is not laid out at all the dressed one says it.
        let board = if inside.things.is_empty() { 0.0 } else { of("board") };
        let board = if board > 0.0 { board } else { fit.dressed.as_ref().map_or(0.0, |d| d.board) };
        Self { board, cloth: of("cloth"), liner: of("liner") }
    }

    fn cover(&self, stock: &str) -> f64 {
        if stock == "cloth" { self.cloth } else { self.liner }
    }
}

fn size(t: &Thing) -> [f64; 3] {
    [0, 1, 2].map(|i| t.high[i] - t.low[i])
}

fn is_near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDED
}

fn name(t: &Thing) -> String {
    format!("the {} of stack {}", t.kind, t.stack)
}

/// Every stack is there once, as large as it was measured, and the interior is what they want with their room.
fn stacks(fit: &Fit, inside: &Inside) -> Vec<String> {
    let mut told = Vec::new();
    for (k, measured) in inside.stacks.iter().enumerate() {
        let own: Vec<&Thing> = inside.things.iter().filter(|t| t.kind == "stack" && t.stack == k + 1).collect();
        let is_so = matches!(&own[..], [t] if (0..3).all(|i| is_near(size(t)[i], measured[i])));
        if !is_so {
            told.push(format!("stack {} does not lie in the box as it was measured", k + 1));
        }
    }
    if inside.stacks.len() > 1 && inside.along.is_none() || inside.stacks.len() == 1 && inside.along.is_some() {
        told.push("stacks lie in a row, and it is not said which way; or one lies in a row alone".into());
    }
    let axis = usize::from(inside.along.as_deref() == Some("height"));
    let dividers: Vec<&Thing> = inside.things.iter().filter(|t| t.kind == "divider").collect();
    if dividers.len() + 1 != inside.stacks.len() {
        told.push(format!("between {} stacks there are {} dividers", inside.stacks.len(), dividers.len()));
    }
    let with_room = |s: &[f64; 3], i: usize| s[i] + inside.clearance[i];
    let row: f64 = inside.stacks.iter().map(|s| with_room(s, axis)).sum::<f64>()
        + dividers.iter().map(|d| size(d)[axis]).sum::<f64>();
    let across = inside.stacks.iter().map(|s| with_room(s, 1 - axis)).fold(0.0, f64::max);
    for (i, wanted) in [(axis, row), (1 - axis, across)] {
        if !is_near(fit.interior[i], wanted) {
            let (said, wanted) = (decimal(fit.interior[i], 3), decimal(wanted, 3));
            told.push(format!("the interior is {said} mm one way, and what lies in it wants {wanted} mm"));
        }
    }
    told
}

/// Nothing shares space, and nothing stands out of the interior.
fn apart(fit: &Fit, inside: &Inside) -> Vec<String> {
    let mut told = Vec::new();
    for (i, a) in inside.things.iter().enumerate() {
        let half = |k: usize| fit.interior[k] / 2.0 + ROUNDED;
        let is_in = (0..2).all(|k| a.low[k] >= -half(k) && a.high[k] <= half(k))
            && a.low[2] >= -ROUNDED
            && a.high[2] <= inside.highest + ROUNDED;
        if !is_in {
            told.push(format!("{} stands out of the interior", name(a)));
        }
        for b in &inside.things[i + 1..] {
            let shares = (0..3).all(|k| a.high[k].min(b.high[k]) - a.low[k].max(b.low[k]) > ROUNDED);
            if shares {
                told.push(format!("{} and {} share space", name(a), name(b)));
            }
        }
        // What lies on nothing was moved: its underside is the floor or another's upper side; but the ribbon hangs.
        let is_on = |b: &&Thing| {
            is_near(b.high[2], a.low[2]) && (0..2).all(|k| a.high[k].min(b.high[k]) > a.low[k].max(b.low[k]))
        };
        if a.kind != "ribbon" && a.low[2] > ROUNDED && !inside.things.iter().any(|b| is_on(&b)) {
            told.push(format!("{} lies on nothing", name(a)));
        }
        if a.stack == 0 || a.stack > inside.stacks.len() {
            told.push(format!("{} is of no stack that there is", name(a)));
        }
    }
    let highest = inside.things.iter().map(|t| t.high[2]).fold(0.0, f64::max) + rise(inside);
    if !is_near(highest, inside.highest) {
        let (said, is) = (decimal(inside.highest, 3), decimal(highest, 3));
        told.push(format!("the highest is said to stand {said} mm high, and stands {is} mm"));
    }
    told
}

/// A block is as large as its piece, its layers and its cover make it.
fn made_of(manifest: &Manifest, numbers: &Numbers, thing: &Thing) -> Vec<String> {
    let piece = |id: &str| manifest.pieces.iter().find(|p| p.id == id && p.role == "inside");
    let Some(id) = thing.piece.as_deref() else {
        let is_free = ["stack", "ribbon", "foot", "under", "over"].contains(&thing.kind.as_str()) && thing.layers == 0;
        return if is_free { Vec::new() } else { vec![format!("{} is made of no piece", name(thing))] };
    };
    let Some(board) = piece(id) else { return vec![format!("{} is made of {id}, which is no piece", name(thing))] };
    let cover = id.strip_prefix("board").and_then(|rest| {
        ["cloth", "liner"].iter().find_map(|stock| piece(&format!("{stock}{rest}")).map(|p| (*stock, p)))
    });
    let x = cover.map_or(0.0, |(stock, _)| numbers.cover(stock));
    let b = outline(board).bounds();
    let (w, h, t) = (b.width(), b.height(), numbers.board);
    let boards = f64::from(thing.layers) * t;
    let (wanted, is_kind) = match thing.kind.as_str() {
        "spacer" | "spacer-beside" => {
            let is_cloth = cover.is_some_and(|(stock, _)| stock == "cloth");
            let round = if is_cloth { 2.0 * x } else { 0.0 };
            ([w + round, h + round, boards + x + if is_cloth { x } else { 0.0 }], board.stock == "board")
        }
        "divider" => {
            let (thick, long) = (boards + 2.0 * x, w + 2.0 * x);
            let lies = size(thing);
            // It stands across the row: its length is up or across.
            let plan = if lies[0] < lies[1] { [thick, long] } else { [long, thick] };
            ([plan[0], plan[1], h + x], board.stock == "board" && thing.layers == 1)
        }
        "under" | "over" => {
            let thickness = match board.stock.as_str() {
                "board" => numbers.board,
                stock => numbers.cover(stock),
            };
            ([w, h, thickness], thing.layers == 1)
        }
        _ => return vec![format!("{} is made of {id}", name(thing))],
    };
    let mut told = Vec::new();
    let is = size(thing);
    if !is_kind || (0..3).any(|i| !is_near(is[i], wanted[i])) {
        let show = |s: [f64; 3]| s.map(|v| decimal(v, 3)).join(" x ");
        told.push(format!("{} is said to be {}, and {id} makes {}", name(thing), show(is), show(wanted)));
    }
    if let (Some((_, cover)), "divider") = (cover, thing.kind.as_str()) {
        told.extend(strip(cover, [w, h], t + x));
    }
    told
}

/// A divider's cover goes over its faces, its top, its ends, and has two feet.
fn strip(cover: &ListedPiece, [long, high]: [f64; 2], round: f64) -> Option<String> {
    let b = outline(cover).bounds();
    let foot = (b.height() - 2.0 * high - round) / 2.0;
    (foot <= 0.0 || !is_near(b.width(), long + round))
        .then(|| format!("{} does not go round a divider {} long", cover.id, decimal(long, 2)))
}

/// The feet of dividers are what their covers leave, two to a divider, one on either side of it.
fn feet(manifest: &Manifest, numbers: &Numbers, inside: &Inside) -> Vec<String> {
    let mut told = Vec::new();
    let piece = |id: &str| manifest.pieces.iter().find(|p| p.id == id);
    let Some(divider) = inside.things.iter().find(|t| t.kind == "divider") else { return told };
    let cover = ["cloth", "liner"].iter().find_map(|s| piece(&format!("{s}-divider")).map(|p| (*s, p)));
    let (Some((stock, cover)), Some(board)) = (cover, divider.piece.as_deref().and_then(piece)) else {
        return vec!["the dividers have no cover".into()];
    };
    let (x, strip, board) = (numbers.cover(stock), outline(cover).bounds(), outline(board).bounds());
    let foot = (strip.height() - 2.0 * board.height() - numbers.board - x) / 2.0;
    let axis = usize::from(inside.along.as_deref() == Some("height"));
    let all: Vec<&Thing> = inside.things.iter().filter(|t| t.kind == "foot").collect();
    for t in &all {
        let s = size(t);
        if !is_near(s[axis], foot) || !is_near(s[1 - axis], board.width()) || !is_near(s[2], x) {
            told.push(format!("{} is not what {} makes it", name(t), cover.id));
        }
    }
    for k in 1..=inside.stacks.len() {
        let wanted = if k == 1 || k == inside.stacks.len() { 1 } else { 2 };
        let dividers = inside.things.iter().filter(|t| t.kind == "divider" && t.stack == k).count();
        if all.iter().filter(|t| t.stack == k).count() != wanted || dividers != usize::from(k < inside.stacks.len()) {
            told.push(format!("dividers and their feet are not those beside stack {k}"));
        }
    }
    told
}

/// What is told of a stack is of that stack: each has its own padding, and a piece is called by its number.
fn of_stacks(inside: &Inside) -> Vec<String> {
    let mut told = Vec::new();
    for kind in ["under", "over"] {
        let count = |k: usize| inside.things.iter().filter(|t| t.kind == kind && t.stack == k).count();
        if (2..=inside.stacks.len()).any(|k| count(k) != count(1)) || count(1) > 1 {
            told.push(format!("not every stack has its padding {kind} it"));
        }
    }
    for t in &inside.things {
        let number = t.piece.as_deref().and_then(|id| id.rsplit('-').next()?.parse::<usize>().ok());
        if number.is_some_and(|n| n != t.stack) {
            told.push(format!("{} is made of a piece of another stack", name(t)));
        }
    }
    told
}

/// Each column, what is left over it and its clearance come to the depth of the interior.
fn columns(fit: &Fit, inside: &Inside) -> Vec<String> {
    let mut told = Vec::new();
    if inside.remainders.len() != inside.stacks.len() {
        told.push("what is left over is not told of every stack".into());
    }
    for (k, left) in inside.remainders.iter().enumerate() {
        let own = inside.things.iter().filter(|t| t.stack == k + 1 && t.kind != "divider" && t.kind != "foot");
        let top = own.map(|t| t.high[2]).fold(0.0, f64::max) + rise(inside);
        if !is_near(top + left + inside.clearance[2], fit.interior[2]) {
            told.push(format!(
                "what lies in column {} is {} mm high, {} mm are left over: with {} mm of clearance the interior is {} mm deep",
                k + 1,
                decimal(top, 3),
                decimal(*left, 3),
                decimal(inside.clearance[2], 3),
                decimal(fit.interior[2], 3)
            ));
        }
    }
    told
}

/// What a leaf on the lid's lining takes of the depth.
fn rise(inside: &Inside) -> f64 {
    inside.colophon.as_ref().filter(|leaf| leaf.held == "corners").map_or(0.0, |leaf| leaf.thickness)
}

/// How much deeper than the leaf its recess is, mm: a film of glue.
const GLUE: f64 = 0.1;

/// The slits of a leaf cut off its corners, its recess holds it with the lining round it.
fn held(manifest: &Manifest, numbers: &Numbers, leaf: &Leaf) -> Option<String> {
    let none = format!("the colophon's leaf is not held by {} as it is said to be", leaf.piece);
    let Some(piece) = manifest.pieces.iter().find(|p| p.id == leaf.piece) else { return Some(none) };
    let is_held = match (leaf.held.as_str(), leaf.corner) {
        ("corners", Some(corner)) => {
            let ends = piece.slits.iter().filter_map(|s| Some([s.first()?, s.last()?]));
            let of = ends.map(|[a, b]| {
                ([f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])], (a[0] - b[0]).hypot(a[1] - b[1]))
            });
            let all: Vec<([f64; 2], f64)> = of.collect();
            let across = |k: usize| {
                let ats = || all.iter().map(|(middle, _)| middle[k]);
                ats().fold(f64::NEG_INFINITY, f64::max) - ats().fold(f64::INFINITY, f64::min)
            };
            let long = corner * std::f64::consts::SQRT_2 + 2.0 * leaf.ease;
            piece.stock == "liner"
                && all.len() == 4
                && all.iter().all(|(_, is)| is_near(*is, long))
                && is_near(across(0) + corner, leaf.width)
                && is_near(across(1) + corner, leaf.height)
        }
        ("inset", None) => piece.pockets.iter().any(|k| {
            let b = crate::geom::Bounds::of(k.outline.iter().map(|v| crate::geom::pt(v[0], v[1])));
            let more = 2.0 * numbers.liner + leaf.ease;
            piece.stock == "board"
                && is_near(b.width(), leaf.width + more)
                && is_near(b.height(), leaf.height + more)
                && is_near(k.depth, leaf.thickness + GLUE)
        }),
        _ => false,
    };
    (!is_held).then_some(none)
}

/// The sheets that are cut from no stock are those that lie there.
fn padding(inside: &Inside) -> Vec<String> {
    let own: Vec<&Thing> =
        inside.things.iter().filter(|t| (t.kind == "under" || t.kind == "over") && t.piece.is_none()).collect();
    let is_same = own.len() == inside.padding.len()
        && own.iter().zip(&inside.padding).all(|(t, p)| {
            let s = size(t);
            is_near(s[0], p.width) && is_near(s[1], p.height) && is_near(s[2], p.thickness)
        });
    if is_same { Vec::new() } else { vec!["the padding that is to be bought is not what lies in the box".into()] }
}

/// The ribbon is as long as the way that it goes.
fn lifted(inside: &Inside, ribbon: &LiftRibbon) -> Vec<String> {
    let mut told = Vec::new();
    let axis = usize::from(matches!(ribbon.glued_at.as_str(), "head" | "tail"));
    let own: Vec<&Thing> = inside.things.iter().filter(|t| t.kind == "ribbon").collect();
    for t in &own {
        let s = size(t);
        let is_flat = is_near(s[2], ribbon.thickness) || is_near(s[axis], ribbon.thickness);
        if t.stack != ribbon.stack || !is_near(s[1 - axis], ribbon.width) || !is_flat {
            told.push("a stretch of the ribbon is none of it".into());
        }
    }
    let ends = |k: usize| {
        own.iter().filter(move |t| is_near(size(t)[2], ribbon.thickness)).map(move |t| [t.low, t.high][k][2])
    };
    for t in own.iter().filter(|t| !is_near(size(t)[2], ribbon.thickness)) {
        if !ends(0).any(|z| is_near(z, t.low[2])) || !ends(1).any(|z| is_near(z, t.high[2])) {
            told.push("the ribbon goes up, and not from one of its stretches to another".into());
        }
    }
    // Along the floor, under the stack, up and over: its flat stretches by their length, the upright ones by their height.
    let is_flat = |t: &&&Thing| is_near(size(t)[2], ribbon.thickness);
    let flat: f64 = own.iter().filter(is_flat).map(|t| size(t)[axis]).sum();
    let find = |kind: &'static str| inside.things.iter().filter(move |t| t.kind == kind && t.stack == ribbon.stack);
    let beneath: f64 = find("spacer").chain(find("under")).map(|t| size(t)[2]).sum();
    let depth: f64 = find("stack").map(|t| size(t)[2]).sum();
    let tails = own.iter().filter(is_flat).map(|t| size(t)[axis]);
    let has = |length: f64| tails.clone().any(|l| is_near(l, length));
    if !has(ribbon.glued) || !has(ribbon.pull) {
        told.push("a tail of the ribbon is not where it is said to be".into());
    }
    let sign = if matches!(ribbon.glued_at.as_str(), "left" | "tail") { 1.0 } else { -1.0 };
    let middle = |t: &Thing| (t.low[axis] + t.high[axis]) * sign;
    let (first, last) = (own.first().map_or(0.0, |t| middle(t)), own.last().map_or(0.0, |t| middle(t)));
    if first > last {
        told.push(format!("the ribbon is not glued at the {}", ribbon.glued_at));
    }
    let way = flat + beneath + depth;
    if !is_near(way, ribbon.length) {
        let (said, way) = (decimal(ribbon.length, 3), decimal(way, 3));
        told.push(format!("the ribbon is said to be cut to {said} mm, and its way is {way} mm"));
    }
    told
}

//! What lies inside a box, in figures: every block with its place, what spacers come to, what is cut from no stock.

use crate::design::{Design, Piece, Role, inside_name, inside_piece, inside_stack, piece_words};
use crate::job::{Colophon, Held, Inside, Job, Padding, Side, StockKind, StrapAlong, Thing, ThingKind, told_boards};
use crate::units::Length;
use serde::Serialize;

/// All that lies inside. Places are counted from the middle of the interior and from its floor, each low corner and high
/// corner across, up and through; what is covered has its cover counted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InsideFigures {
    /// Width, height and depth of each stack as measured.
    pub stacks: Vec<[Length; 3]>,
    /// The room given to each.
    pub clearance: [Length; 3],
    /// Which way they lie in a row; nothing for one alone.
    pub along: Option<&'static str>,
    /// How high the highest stands: lids come down to that and its clearance.
    pub highest: Length,
    /// Every block.
    pub things: Vec<ThingFigures>,
    /// What is left, stack by stack, of the height that spacers bring it to.
    pub remainders: Vec<Length>,
    /// Padding that is cut from no stock.
    pub padding: Vec<PaddingFigures>,
    /// The ribbon.
    pub ribbon: Option<RibbonFigures>,
    /// The leaf with the colophon.
    pub colophon: Option<LeafFigures>,
}

/// The leaf with the colophon inside the lid.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeafFigures {
    /// The piece that is cut for it: a lining, or a board.
    pub piece: String,
    /// What holds it: `corners` or `inset`.
    pub held: &'static str,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
    /// How far a corner is tucked in; nothing in a recess.
    pub corner: Option<Length>,
    /// The room that it has.
    pub ease: Length,
}

/// A block.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThingFigures {
    /// What it is.
    pub kind: ThingKind,
    /// Of which stack, from 1; of a divider the stack before it.
    pub stack: usize,
    /// The piece that it is made of, under its cover.
    pub piece: Option<String>,
    /// How many of that piece lie one on the other; 0 without one.
    pub layers: u32,
    /// Its low corner.
    pub low: [Length; 3],
    /// Its high corner.
    pub high: [Length; 3],
}

/// A sheet of padding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PaddingFigures {
    /// What it is, and where it lies: `felt under the stack`.
    pub what: String,
    /// Its width.
    pub width: Length,
    /// Its height.
    pub height: Length,
    /// Its thickness.
    pub thickness: Length,
}

/// The ribbon under a stack.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RibbonFigures {
    /// Under which stack, from 1.
    pub stack: usize,
    /// At which side of it its end is glued.
    pub glued_at: Side,
    /// Its width.
    pub width: Length,
    /// Its thickness.
    pub thickness: Length,
    /// The tail that is glued.
    pub glued: Length,
    /// The tail to pull at.
    pub pull: Length,
    /// What it is cut to.
    pub length: Length,
}

/// The figures of what lies in a job's box besides one stack.
pub(super) fn figures(job: &Job, design: &Design) -> Option<InsideFigures> {
    let inside = job.inside.as_ref()?;
    let room = inside.room;
    Some(InsideFigures {
        stacks: inside.stacks.clone(),
        clearance: [room.width, room.height, room.depth],
        along: inside.divider.map(|d| if d.along == StrapAlong::Width { "width" } else { "height" }),
        highest: inside.laid.highest,
        things: inside.laid.things.iter().map(|t| thing(inside, t)).collect(),
        remainders: inside.laid.columns.iter().map(|c| c.remainder).collect(),
        padding: padding(inside),
        ribbon: inside.ribbon.map(|r| RibbonFigures {
            stack: r.stack + 1,
            glued_at: r.glued_at,
            width: r.width,
            thickness: r.thickness,
            glued: r.glued,
            pull: r.pull,
            length: inside.ribbon_length(),
        }),
        colophon: inside.colophon.and_then(|leaf| leaf_figures(&leaf, design)),
    })
}

fn leaf_figures(leaf: &Colophon, design: &Design) -> Option<LeafFigures> {
    let is_cut = |p: &&Piece| match leaf.held {
        Held::Corners => p.stock == StockKind::Liner && !p.slits.is_empty(),
        Held::Inset => p.role == Role::Flap && !p.inside_pockets().is_empty(),
    };
    Some(LeafFigures {
        piece: design.pieces.iter().find(is_cut)?.id.clone(),
        held: leaf.held.word(),
        width: leaf.width,
        height: leaf.height,
        thickness: leaf.thickness,
        corner: (leaf.held == Held::Corners).then_some(leaf.corner),
        ease: leaf.ease,
    })
}

fn thing(inside: &Inside, thing: &Thing) -> ThingFigures {
    let piece = inside_piece(inside, thing);
    let layers = match thing.kind {
        ThingKind::Spacer | ThingKind::SpacerBeside => inside.layers(thing),
        _ => u32::from(piece.is_some()),
    };
    ThingFigures { kind: thing.kind, stack: thing.stack + 1, piece, layers, low: thing.low, high: thing.high }
}

/// What is said of all of it at the bench, each with its name.
pub fn told(job: &Job, figures: &InsideFigures) -> Vec<(&'static str, String)> {
    let Some(inside) = &job.inside else { return Vec::new() };
    let show = |l: Length| job.units.show(l);
    let mut all = Vec::new();
    for t in figures.things.iter().filter(|t| matches!(t.kind, ThingKind::Spacer | ThingKind::SpacerBeside)) {
        let size = [0, 1].map(|i| t.high[i] - t.low[i]);
        let boards = told_boards(t.layers);
        let where_ = if t.kind == ThingKind::Spacer { "under" } else { "beside" };
        let left = figures.remainders.get(t.stack.saturating_sub(1)).copied().unwrap_or_default();
        let left = if t.kind == ThingKind::Spacer && left > Length::ZERO && show(left) != show(Length::ZERO) {
            format!("; {} left over", show(left))
        } else {
            String::new()
        };
        let high = show(t.high[2] - t.low[2]);
        let stack = inside_stack(inside, t.stack.saturating_sub(1));
        all.push(("spacer", format!("{boards} {where_} {stack}: {}, {high} high{left}", job.units.show_size(&size))));
    }
    let dividers: Vec<&ThingFigures> = figures.things.iter().filter(|t| t.kind == ThingKind::Divider).collect();
    if let Some(first) = dividers.first() {
        let size = [0, 1].map(|i| first.high[i] - first.low[i]);
        let n = if dividers.len() == 1 { "1 of board".to_owned() } else { format!("{} of board", dividers.len()) };
        let [thick, long] = if size[0] < size[1] { size } else { [size[1], size[0]] };
        let value = format!("{n}, covered {} thick, {} long, {} high", show(thick), show(long), show(first.high[2]));
        all.push(("dividers", value));
    }
    for (t, padding) in inside.padding() {
        let from = padding.stock.map_or(String::new(), |s| format!(", cut from the {}", s.word()));
        all.push(("padding", format!("{}: {}{from}", inside_name(inside, t), job.units.show_size(&t.size()))));
    }
    if let Some(leaf) = &figures.colophon {
        let size = job.units.show_size(&[leaf.width, leaf.height]);
        let how = match leaf.corner {
            Some(corner) => format!("its corners tucked {} into slits of the", show(corner)),
            None => "in a recess of the".to_owned(),
        };
        all.push(("colophon", format!("a leaf of {size}, {how} {}", piece_words(&leaf.piece))));
    }
    if let Some(r) = &figures.ribbon {
        let length = job.units.show_on_rule(r.length);
        let stack = inside_stack(inside, r.stack.saturating_sub(1));
        let sides = (r.glued_at.word(), r.glued_at.opposite().word());
        let value = format!(
            "cut to {length}, {} wide: glued at the {} of {stack}, up at the {}",
            show(r.width),
            sides.0,
            sides.1
        );
        all.push(("lift ribbon", value));
    }
    all
}

/// The sheets of padding that are bought apart.
fn padding(inside: &Inside) -> Vec<PaddingFigures> {
    let one = |(thing, _): (&Thing, &Padding)| {
        let [width, height, thickness] = thing.size();
        PaddingFigures { what: inside_name(inside, thing), width, height, thickness }
    };
    inside.padding().filter(|(_, padding)| padding.stock.is_none()).map(one).collect()
}

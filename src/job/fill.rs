//! What fills a box, laid out: stacks in a row with dividers between them, and what lies under, over and beside each.
//!
//! With t the board, x the cover of a divider, f = x the foot that its cover has on the floor, r the ribbon, D the depth
//! of a stack (derived; every layer counted):
//!
//! - across a divider lie `t + 2 x`; the interior along the row is the stacks, the clearance of each, and the dividers;
//! - a column is `f + D` high, the padding under and over it, and with a ribbon `3 r`: its glued tail, the ribbon that turns
//!   back over it, and the tail to pull at, each taken as if it lay all over the stack;
//! - a spacer of n boards is `n t + s` high, s what covers it: a liner once, a cloth twice, which is turned under it. It has
//!   as many boards as find room below the highest column, or below the depth of interior that is wanted; what is left is
//!   the remainder;
//! - beside a stack narrower than the others lies a spacer too, as wide as the room it leaves and as high as boards make
//!   it, no higher than the stack;
//! - a divider is level with the highest of all.
//!
//! Places are counted from the middle of the interior and from its floor.

use super::{Clearance, Contents, Side, StockKind, StrapAlong};
use crate::units::{Length, mm};
use serde::Serialize;

/// A sheet of padding.
#[derive(Clone, Debug, PartialEq)]
pub struct Padding {
    /// What it is.
    pub what: String,
    /// How thick it is under the stack.
    pub thickness: Length,
    /// By how much it is smaller than the room for the stack, in all.
    pub smaller: Length,
    /// What it is cut from; `None` where it is bought apart.
    pub stock: Option<StockKind>,
}

/// What a spacer or a divider is covered in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cover {
    /// The stock; `None` for bare board.
    pub stock: Option<StockKind>,
    /// Its thickness, zero without.
    pub thickness: Length,
}

impl Cover {
    /// What it adds to the height of a spacer: a cloth is turned under it.
    pub fn on_spacer(&self) -> Length {
        self.thickness + self.round_spacer()
    }

    /// What it adds to a spacer on each side.
    pub fn round_spacer(&self) -> Length {
        if self.stock == Some(StockKind::Cloth) { self.thickness } else { Length::ZERO }
    }
}

/// Spacers as they are asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacer {
    /// How high it is to be.
    pub height: Option<Length>,
    /// How deep the interior is to be.
    pub interior_depth: Option<Length>,
    /// Room round it, in all.
    pub clearance: Length,
    /// What it is covered in.
    pub cover: Cover,
}

/// A ribbon under a stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiftRibbon {
    /// Where its end is glued.
    pub glued_at: Side,
    /// Its width.
    pub width: Length,
    /// Its thickness.
    pub thickness: Length,
    /// The tail that is glued.
    pub glued: Length,
    /// The tail to pull at.
    pub pull: Length,
    /// The stack, from 0.
    pub stack: usize,
    /// What a metre costs.
    pub price: Option<f64>,
}

/// Dividers as they are asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Divider {
    /// Which way the stacks lie in a row.
    pub along: StrapAlong,
    /// What they are covered in.
    pub cover: Cover,
    /// How high they are, covered; `None` for level with the highest.
    pub height: Option<Length>,
    /// How far the cover lies on the floor on either side.
    pub foot: Length,
    /// By how much they are shorter than the interior.
    pub ease: Length,
}

/// What lies inside a box, as asked for and as laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Inside {
    /// The padding under each stack.
    pub under: Option<Padding>,
    /// The padding over each stack.
    pub over: Option<Padding>,
    /// Spacers: asked for, or wanted to bring several stacks level.
    pub spacer: Option<Spacer>,
    /// The ribbon.
    pub ribbon: Option<LiftRibbon>,
    /// The dividers, where there are several stacks.
    pub divider: Option<Divider>,
    /// The leaf on the lid.
    pub colophon: Option<super::Colophon>,
    /// Width, height and depth of each stack as measured, in their order along the row.
    pub stacks: Vec<[Length; 3]>,
    /// The room given to each.
    pub room: Clearance,
    /// The board's thickness.
    pub board: Length,
    /// Where all of it lies.
    pub laid: Laid,
}

/// Everything at its place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// The interior, across, up and through.
    pub interior: [Length; 3],
    /// How high the highest stands.
    pub highest: Length,
    /// All of it.
    pub things: Vec<Thing>,
    /// Each stack with what lies under and beside it.
    pub columns: Vec<Column>,
}

/// A stack with what lies under and beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Column {
    /// How high it stands without a spacer.
    pub bare: Length,
    /// How many boards its spacer has; 0 without one.
    pub layers: u32,
    /// How high its spacer is, covered.
    pub spacer: Length,
    /// What is left of the height that it was to have; below zero it stands too high.
    pub remainder: Length,
    /// The room beside a stack narrower than the others.
    pub gap: Length,
    /// How many boards the spacer there has; 0 without one.
    pub beside: u32,
    /// The room for the stack, from its low corner to its high one, across and up.
    pub cell: [[Length; 2]; 2],
}

/// One thing, an upright block. What is covered has its cover counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What it is.
    pub kind: ThingKind,
    /// Of which stack, from 0; of a divider the stack before it.
    pub stack: usize,
    /// Its low corner: across, up, through.
    pub low: [Length; 3],
    /// Its high corner.
    pub high: [Length; 3],
}

impl Thing {
    /// Its size: across, up, through.
    pub fn size(&self) -> [Length; 3] {
        [0, 1, 2].map(|i| self.high[i] - self.low[i])
    }
}

/// What a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ThingKind {
    /// A stack of works.
    Stack,
    /// Boards under it.
    Spacer,
    /// Boards beside it.
    SpacerBeside,
    /// Padding under it.
    Under,
    /// Padding over it.
    Over,
    /// A stretch of the ribbon.
    Ribbon,
    /// A divider.
    Divider,
    /// The foot of a divider's cover.
    Foot,
}

/// A spacer beside a stack is at least so wide (our choice: a narrower strip of board tips over).
pub(super) const LEAST_BESIDE: Length = mm(5.0);

/// Rounding must not take a board away.
const ROUNDING: Length = mm(1e-6);

/// Along the row, across it, and up: where a thing begins and ends.
type Block = [[Length; 2]; 3];

/// How many boards go into a height, with their cover; none where the first does not.
fn boards(height: Length, cover: &Cover, t: Length) -> u32 {
    let room = height - cover.on_spacer() + ROUNDING;
    if t > Length::ZERO && room >= t { (room / t).floor().min(1000.0) as u32 } else { 0 }
}

impl Inside {
    /// How high a spacer of so many boards is, covered.
    pub fn spacer_height(&self, layers: u32) -> Length {
        let cover = self.spacer.map_or(Length::ZERO, |s| s.cover.on_spacer());
        if layers == 0 { Length::ZERO } else { self.board * f64::from(layers) + cover }
    }

    /// Every sheet of padding at its place, with what is asked of it.
    pub fn padding(&self) -> impl Iterator<Item = (&Thing, &Padding)> {
        self.laid.things.iter().filter_map(|thing| match thing.kind {
            ThingKind::Under => Some((thing, self.under.as_ref()?)),
            ThingKind::Over => Some((thing, self.over.as_ref()?)),
            _ => None,
        })
    }

    /// Of how many boards a spacer is, the one beside a stack likewise; 0 for anything else.
    pub fn layers(&self, thing: &Thing) -> u32 {
        self.laid.columns.get(thing.stack).map_or(0, |column| match thing.kind {
            ThingKind::Spacer => column.layers,
            ThingKind::SpacerBeside => column.beside,
            _ => 0,
        })
    }

    /// How thick a divider is, covered; zero without.
    pub fn divider_thickness(&self) -> Length {
        self.divider.map_or(Length::ZERO, |d| self.board + d.cover.thickness * 2.0)
    }

    /// How long the ribbon is cut: the tail that is glued, round what it turns back over, under the stack, up its depth,
    /// and the tail to pull at.
    pub fn ribbon_length(&self) -> Length {
        let Some(ribbon) = &self.ribbon else { return Length::ZERO };
        let (run, rise) = (self.ribbon_run(ribbon), self.ribbon_rise(ribbon));
        let depth = self.stacks.get(ribbon.stack).map_or(Length::ZERO, |s| s[2]);
        ribbon.glued + rise + run + depth + ribbon.pull
    }

    /// What lies under the stack of a ribbon: it turns back over that.
    fn ribbon_rise(&self, ribbon: &LiftRibbon) -> Length {
        let spacer = self.laid.columns.get(ribbon.stack).map_or(Length::ZERO, |c| c.spacer);
        spacer + self.under.as_ref().map_or(Length::ZERO, |p| p.thickness)
    }

    /// How long the ribbon is under the stack: from where it turns back to where it comes up.
    pub fn ribbon_run(&self, ribbon: &LiftRibbon) -> Length {
        let is_of = |t: &&Thing| t.stack == ribbon.stack;
        let of = |kind: ThingKind| self.laid.things.iter().filter(is_of).find(move |t| t.kind == kind);
        let Some(stack) = of(ThingKind::Stack) else { return Length::ZERO };
        let axis = usize::from(matches!(ribbon.glued_at, Side::Head | Side::Tail));
        let beneath = [ThingKind::Spacer, ThingKind::Under].into_iter().filter_map(of);
        match ribbon.glued_at {
            Side::Left | Side::Tail => {
                stack.high[axis] - beneath.map(|t| t.low[axis]).fold(stack.low[axis], Length::min)
            }
            Side::Right | Side::Head => {
                beneath.map(|t| t.high[axis]).fold(stack.high[axis], Length::max) - stack.low[axis]
            }
        }
    }

    /// By how much what fills the box is higher than its highest stack.
    pub fn besides(&self) -> Length {
        let of_highest = self.stacks.iter().zip(&self.laid.columns).map(|(s, c)| (c.bare + c.spacer, s[2]));
        let highest = of_highest.reduce(|a, b| if b.0 > a.0 { b } else { a });
        self.laid.highest - highest.map_or(Length::ZERO, |h| h.1)
    }

    /// What the box is built round: all of it as one block.
    pub(super) fn as_contents(&self, first: &Contents) -> Contents {
        let laid = &self.laid;
        let reach = |axis: usize| {
            let ends = laid.things.iter().flat_map(|t| [t.low[axis].abs(), t.high[axis].abs()]);
            (ends.fold(Length::ZERO, Length::max) * 2.0).min(laid.interior[axis])
        };
        let (width, height) = (reach(0), reach(1));
        Contents {
            width,
            height,
            depth: laid.highest,
            clearance: Clearance {
                width: laid.interior[0] - width,
                height: laid.interior[1] - height,
                depth: laid.interior[2] - laid.highest,
            },
            ..first.clone()
        }
    }

    /// Lays everything out.
    pub(super) fn lay(&mut self) {
        self.laid = Laid::default();
        let along = self.divider.map_or(StrapAlong::Width, |d| d.along);
        let turned = |s: [Length; 2]| if along == StrapAlong::Width { s } else { [s[1], s[0]] };
        let rooms = turned([self.room.width, self.room.height]);
        let sizes: Vec<[Length; 2]> = self.stacks.iter().map(|s| turned([s[0], s[1]])).collect();
        let cells: Vec<[Length; 2]> = sizes.iter().map(|s| [s[0] + rooms[0], s[1] + rooms[1]]).collect();
        let thick = self.divider_thickness();
        let long = cells.iter().map(|c| c[0]).fold(Length::ZERO, |a, b| a + b)
            + thick * (cells.len().saturating_sub(1)) as f64;
        let wide = cells.iter().map(|c| c[1]).fold(Length::ZERO, Length::max);
        let foot = self.divider.map_or(Length::ZERO, |d| d.cover.thickness);
        let depth = self.columns(foot);
        let spacer_room = self.spacer.map_or(Length::ZERO, |s| s.clearance);
        let mut at = Length::ZERO;
        let mut all: Vec<(ThingKind, usize, Block)> = Vec::new();
        for (k, (size, cell)) in sizes.iter().zip(&cells).enumerate() {
            let gap = wide - cell[1];
            let beside = self.beside(k, gap, foot);
            let across = if beside > 0 { cell[1] } else { wide };
            let own = [[at, at + cell[0]], [Length::ZERO, across]];
            if let Some(column) = self.laid.columns.get_mut(k) {
                (column.gap, column.beside, column.cell) = (gap, beside, own);
            }
            self.column(k, *size, own, foot, &mut all);
            if beside > 0 {
                let v = [across + spacer_room / 2.0, wide - spacer_room / 2.0];
                let u = inset(own[0], spacer_room);
                all.push((ThingKind::SpacerBeside, k, [u, v, [foot, foot + self.spacer_height(beside)]]));
            }
            at += cell[0] + thick;
        }
        let highest = all.iter().map(|(.., b)| b[2][1]).fold(Length::ZERO, Length::max);
        if let Some(d) = self.divider {
            let x = d.cover.thickness;
            for k in 0..self.stacks.len().saturating_sub(1) {
                let from = cells.iter().take(k + 1).map(|c| c[0]).fold(thick * k as f64, |a, b| a + b);
                let (u, v) = ([from, from + thick], inset([Length::ZERO, wide], d.ease));
                let feet = inset(v, x * 2.0);
                all.push((ThingKind::Divider, k, [u, v, [Length::ZERO, d.height.unwrap_or(highest)]]));
                all.push((ThingKind::Foot, k, [[u[0] - d.foot, u[0]], feet, [Length::ZERO, x]]));
                all.push((ThingKind::Foot, k + 1, [[u[1], u[1] + d.foot], feet, [Length::ZERO, x]]));
            }
        }
        // From along and across to across and up, counted from the middle.
        let placed = |u: [Length; 2], v: [Length; 2]| match along {
            StrapAlong::Width => [u.map(|u| u - long / 2.0), v.map(|v| v - wide / 2.0)],
            // The first lies at the head.
            StrapAlong::Height => [v.map(|v| v - wide / 2.0), [long / 2.0 - u[1], long / 2.0 - u[0]]],
        };
        for column in &mut self.laid.columns {
            column.cell = placed(column.cell[0], column.cell[1]);
        }
        let interior = turned([long, wide]);
        self.laid.interior = [interior[0], interior[1], depth];
        self.laid.things = all
            .into_iter()
            .map(|(kind, stack, [u, v, z])| {
                let [x, y] = placed(u, v);
                Thing { kind, stack, low: [x[0], y[0], z[0]], high: [x[1], y[1], z[1]] }
            })
            .collect();
        self.ribbon_things(foot);
        self.laid.highest =
            self.laid.things.iter().map(|t| t.high[2]).fold(Length::ZERO, Length::max) + self.leaf_rise();
    }

    /// The columns, and how deep the interior is.
    fn columns(&mut self, foot: Length) -> Length {
        let (t, over) = (self.board, self.room.depth);
        let padding = |p: &Option<Padding>| p.as_ref().map_or(Length::ZERO, |p| p.thickness);
        let padded = foot + padding(&self.under) + padding(&self.over) + self.leaf_rise();
        let ribbon = |k: usize| self.ribbon.filter(|r| r.stack == k).map_or(Length::ZERO, |r| r.thickness * 3.0);
        let bare: Vec<Length> = self.stacks.iter().enumerate().map(|(k, s)| padded + ribbon(k) + s[2]).collect();
        let highest = bare.iter().copied().fold(Length::ZERO, Length::max);
        let cover = self.spacer.map(|s| s.cover).unwrap_or(Cover { stock: None, thickness: Length::ZERO });
        let wanted = match self.spacer {
            Some(Spacer { interior_depth: Some(depth), .. }) => Some(depth - over),
            Some(Spacer { height: Some(height), .. }) => {
                let layers = ((height - cover.on_spacer()) / t).round().clamp(1.0, 1000.0);
                Some(highest + t * layers + cover.on_spacer())
            }
            _ if self.stacks.len() > 1 => Some(highest),
            _ => None,
        };
        self.laid.columns = bare
            .into_iter()
            .map(|bare| {
                let layers = wanted.map_or(0, |w| boards(w - bare, &cover, t));
                let spacer = self.spacer_height(layers);
                let remainder = wanted.map_or(Length::ZERO, |w| w - bare - spacer);
                let remainder = if remainder.abs() < ROUNDING { Length::ZERO } else { remainder };
                Column { bare, layers, spacer, remainder, ..Column::default() }
            })
            .collect();
        wanted.unwrap_or(highest) + over
    }

    /// How many boards the spacer beside a stack has, where the room beside it is wide enough for one.
    fn beside(&self, k: usize, gap: Length, foot: Length) -> u32 {
        let (Some(spacer), Some(column)) = (self.spacer, self.laid.columns.get(k)) else { return 0 };
        if gap - spacer.clearance - spacer.cover.round_spacer() * 2.0 < LEAST_BESIDE {
            return 0;
        }
        let over = self.over.as_ref().map_or(Length::ZERO, |p| p.thickness) + self.leaf_rise();
        boards(column.bare + column.spacer - over - foot, &spacer.cover, self.board)
    }

    /// What lies in a column from below, but for the ribbon.
    fn column(
        &self,
        k: usize,
        size: [Length; 2],
        cell: [[Length; 2]; 2],
        foot: Length,
        all: &mut Vec<(ThingKind, usize, Block)>,
    ) {
        let (Some(column), Some(stack)) = (self.laid.columns.get(k), self.stacks.get(k)) else { return };
        let ribbon = self.ribbon.filter(|r| r.stack == k).map_or(Length::ZERO, |r| r.thickness);
        let mut z = foot + ribbon;
        let mut put = |kind: ThingKind, room: [Length; 2], high: Length| {
            if high > Length::ZERO {
                all.push((kind, k, [inset(cell[0], room[0]), inset(cell[1], room[1]), [z, z + high]]));
                z += high;
            }
            z
        };
        let padding =
            |p: &Option<Padding>| p.as_ref().map_or((Length::ZERO, Length::ZERO), |p| (p.thickness, p.smaller));
        let clearance = self.spacer.map_or(Length::ZERO, |s| s.clearance);
        put(ThingKind::Spacer, [clearance; 2], column.spacer);
        let (under, smaller) = padding(&self.under);
        let below = put(ThingKind::Under, [smaller; 2], under);
        let spare = |i: usize| cell[i][1] - cell[i][0] - size[i];
        let (from, to) = (below + ribbon, below + ribbon + stack[2]);
        all.push((ThingKind::Stack, k, [inset(cell[0], spare(0)), inset(cell[1], spare(1)), [from, to]]));
        let (over, smaller) = padding(&self.over);
        if over > Length::ZERO {
            let from = to + ribbon;
            let block = [inset(cell[0], smaller), inset(cell[1], smaller), [from, from + over]];
            all.push((ThingKind::Over, k, block));
        }
    }

    /// The ribbon's stretches: its glued tail, round what lies under the stack, beneath the stack, up at the other side,
    /// and over it.
    fn ribbon_things(&mut self, foot: Length) {
        let Some(r) = self.ribbon else { return };
        let Some(stack) = self.laid.things.iter().find(|t| t.kind == ThingKind::Stack && t.stack == r.stack).cloned()
        else {
            return;
        };
        let (run, rise) = (self.ribbon_run(&r), self.ribbon_rise(&r));
        let axis = usize::from(matches!(r.glued_at, Side::Head | Side::Tail));
        // Away from the glued side it runs towards larger numbers, or towards smaller.
        let is_up = matches!(r.glued_at, Side::Left | Side::Tail);
        let far = if is_up { stack.high[axis] } else { stack.low[axis] };
        let fold = if is_up { far - run } else { far + run };
        let on = |by: Length| if is_up { by } else { -by };
        let middle = (stack.low[1 - axis] + stack.high[1 - axis]) / 2.0;
        let half = r.width / 2.0;
        let mut all = Vec::new();
        let mut put = |a: Length, b: Length, z: [Length; 2]| {
            let mut low = [middle - half, middle - half, z[0]];
            let mut high = [middle + half, middle + half, z[1]];
            (low[axis], high[axis]) = (a.min(b), a.max(b));
            all.push(Thing { kind: ThingKind::Ribbon, stack: r.stack, low, high });
        };
        let t = r.thickness;
        put(fold, fold + on(r.glued), [foot, foot + t]);
        let under = stack.low[2] - t;
        if rise > Length::ZERO {
            put(fold, fold - on(t), [foot, under + t]);
        }
        put(fold, far, [under, under + t]);
        put(far, far + on(t), [under, stack.high[2] + t]);
        put(far, far - on(r.pull), [stack.high[2], stack.high[2] + t]);
        self.laid.things.extend(all);
    }
}

/// A stretch shorter by so much in all.
fn inset([a, b]: [Length; 2], by: Length) -> [Length; 2] {
    [a + by / 2.0, b - by / 2.0]
}

//! Trays: boards glued to each other at right angles, a base and walls on three sides of it, or on four under a lid that
//! is such a tray itself.
//!
//! With t, c, l the thicknesses of board, cloth and floor lining, W, H, D the interior, and r the room that one
//! tray has in the other, the small tray (derived; every layer between two boards counted):
//!
//! - base, walls beside it: `W + c` by `H + 2 c`: the inner faces of its walls are covered; on the base it is `t`
//!   wider, and `2 t` higher;
//! - walls: `D + l + 2 c` high above the floor's board, and the base's thickness more beside it: under the stack lie,
//!   in the corners at the spine, the cloth turned onto the floor, the lining of the spine and that of the floor,
//!   over it the same; the top of a wall and what the large tray lays on it take one cloth and one lining away;
//! - the wall at the fore-edge stands between those at head and tail.
//!
//! With four walls the base is a wall's share wider at the spine too, nothing lines a spine, and the walls are `D + l` high.
//!
//! The large tray closes over it. Its interior is what the small one is outside, `2 c` and `r` more, and its walls are
//! higher by `t + 2 c + l`: its own base, the cloth and the lining on its floor, and the cloth on the small
//! tray's top; a lid's by one cloth more, which covers the tray's underside. Both trays of a case are glued to their covers by the cloth that is turned under them.
//!
//! A recipe's own figures, given outright, come out unchanged; what they leave or take is told.
//!
//! The room follows from the errors of a hand or a machine: across and up four cut edges and the thickness of one or of
//! two walls use it up, and up it lies half on each side. `auto` is the least tenth of a millimetre at which 995 of
//! 1,000 boxes close.

use super::case;
use super::colophon;
use super::measures::{thicknesses, turned_onto};
use super::slipcase_boards;
use super::tolerance::{Deviations, mean_over, phi};
use super::wrap::{self, Walls};
use super::{Lay, Piece, Role};
use crate::assembly::{Cover, Face, Layer, LayerKind, Panel, Part, Tray, TrayPart};
use crate::geom::{Bounds, Contour, Point, Segment, Transform, pt};
use crate::job::{Grain, Job, Seat, Side, SideOn, StockKind};
use crate::units::{Length, mm};

/// How far the floor's lining stays in from the walls, mm (our choice: it lies down without a fold).
const REVEAL: f64 = 1.0;
/// How far the cloth of an underside stays in from the edges of its tray, mm (our choice: no edge to be picked at).
const SET_IN: f64 = 1.5;
/// Of so many boxes one may bind at trays whose room is left to the program (our choice).
const ONE_IN: f64 = 200.0;

/// One tray. Lengths are mm; x runs from the spine to the fore-edge, y from tail to head, z up from under the
/// base's board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrayMeasures {
    /// The base's board, from spine to fore-edge and from tail to head.
    pub base: [f64; 2],
    /// How high its walls' boards are.
    pub wall: f64,
    /// The interior between what is glued on the walls, and above the floor's lining.
    pub interior: [f64; 3],
    /// Everything, dressed.
    pub exterior: [f64; 3],
    /// Whether the walls stand on the base, and not beside it.
    pub is_on_base: bool,
    /// Whether it has walls on all sides, and not on three.
    pub is_closed: bool,
}

/// Both trays of a box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrayPair {
    /// The one that holds the stack.
    pub small: TrayMeasures,
    /// The one that closes over it.
    pub large: TrayMeasures,
    /// The room that the small one has in the large one, in all.
    pub slide: f64,
    /// How thick both are when closed, from the face glued to one cover to that glued to the other.
    pub closed: f64,
    /// By how much the small tray's walls are higher than its interior wants; below zero lower.
    pub spare: f64,
    /// By how much the large tray's walls end above the back cover; below zero they hold it up by so much.
    pub short: f64,
}

impl TrayPair {
    /// What the two are called.
    pub const fn names(&self) -> [&'static str; 2] {
        if self.small.is_closed { ["tray", "lid"] } else { ["small tray", "large tray"] }
    }
}

impl TrayMeasures {
    /// The tray of this interior, its walls of such a height.
    fn new(job: &Job, interior: [f64; 3], wall: f64) -> Self {
        let is_closed = is_closed(job);
        let (t, c, _) = thicknesses(job);
        let (t, c) = (t.to_mm(), c.to_mm());
        let is_on_base = seat(job) == Seat::OnBase;
        let stands = if is_on_base { t } else { 0.0 };
        let beyond = t - stands;
        let high = interior[1] + 2.0 * (c + stands);
        if is_closed {
            let base = [interior[0] + 2.0 * (c + stands), high];
            let across = base.map(|b| b + 2.0 * (beyond + c));
            // Under the base the cloth that is turned there, and over that its own.
            let exterior = [across[0], across[1], 2.0 * c + stands + wall + c];
            return Self { base, wall, interior, exterior, is_on_base, is_closed };
        }
        let base = [interior[0] + c + stands, high];
        // At the spine the cloth goes round the ends of the walls.
        let exterior = [c + base[0] + beyond + c, base[1] + 2.0 * (beyond + c), c + stands + wall + c];
        Self { base, wall, interior, exterior, is_on_base, is_closed }
    }

    /// The outer lengths of the walls from tail round to head, or to the left.
    fn lengths(&self, t: f64) -> Vec<f64> {
        let beyond = if self.is_on_base { 0.0 } else { t };
        let high = self.base[1] + 2.0 * beyond;
        if self.is_closed {
            let long = self.base[0] + 2.0 * beyond;
            return vec![long, high, long, high];
        }
        let long = self.base[0] + beyond;
        vec![long, high, long]
    }
}

/// The trays for the stack of a box.
pub fn trays(job: &Job) -> Option<TrayPair> {
    let asked = job.trays.as_ref()?;
    let contents = asked.within.as_ref().map_or(&job.contents, |w| &w.contents);
    let lining = lining(job);
    let (t, c, _) = thicknesses(job);
    let (t, c, l) = (t.to_mm(), c.to_mm(), lining.to_mm());
    let interior =
        [contents.interior_width(), contents.interior_height(), contents.interior_depth()].map(Length::to_mm);
    let base = if seat(job) == Seat::OnBase { 0.0 } else { t };
    // In the corners at the spine its lining lies under and over the stack.
    let wanted = l + 2.0 * spine_lining(job).to_mm() + base;
    let extra = asked.wall_extra.map_or(wanted, Length::to_mm);
    let small = TrayMeasures::new(job, interior, interior[2] + extra);
    let slide = asked.slide.unwrap_or_else(|| auto_slide(job)).to_mm();
    let is_closed = is_closed(job);
    // From the ends of its walls, which lie above those of the small one, to its wall at the fore-edge; of a lid from
    // wall to wall.
    let ends = if is_closed { 0.0 } else { c };
    let inner = [small.exterior[0] - ends + slide, small.exterior[1] + slide, small.exterior[2]];
    // A lid comes down past what covers the tray's underside.
    let reaching = t + 2.0 * c + l + if is_closed { c } else { 0.0 };
    let step = asked.wall_step.map_or(reaching, Length::to_mm);
    let large = TrayMeasures::new(job, inner, small.wall + step);
    let short = reaching - step;
    let closed = large.exterior[2] + short.max(0.0);
    Some(TrayPair { small, large, slide, closed, spare: extra - wanted, short })
}

/// Whether a job's trays have walls on all sides.
fn is_closed(job: &Job) -> bool {
    !job.build.construction.terms().has_case
}

/// How thick the lining of the spine is; zero where there is no spine.
fn spine_lining(job: &Job) -> Length {
    if is_closed(job) { Length::ZERO } else { thicknesses(job).1 }
}

/// How the walls of a job's trays stand.
fn seat(job: &Job) -> Seat {
    job.within().map_or(job.build.seat, |w| w.seat)
}

/// How thick the lining of the trays' floors is; zero where they have none.
fn lining(job: &Job) -> Length {
    job.within().map_or_else(|| job.liner.as_ref().map_or(Length::ZERO, |l| l.thickness), |w| w.lining)
}

/// The least tenth of a millimetre of room at which 995 of 1,000 small trays go into their large ones.
fn auto_slide(job: &Job) -> Length {
    let slides = |room: f64| share(job, room);
    let tenths = (0..100).find(|n| slides(f64::from(*n) / 10.0) >= 1.0 - 1.0 / ONE_IN).unwrap_or(100);
    mm(f64::from(tenths) / 10.0)
}

/// The share of boxes whose trays go into each other with so much room, mm.
pub fn share(job: &Job, room: f64) -> f64 {
    let d = Deviations::of(job);
    mean_over(d.board, |thicker| share_at(job, room, &d, thicker))
}

/// The same, with these errors, of those whose board is so much thicker than measured, mm.
pub fn share_at(job: &Job, room: f64, d: &Deviations, thicker: f64) -> f64 {
    // Two edges of either base.
    let cuts = 2.0 * d.cut;
    let goes = |left: f64| if cuts > 0.0 { phi(left / cuts) } else { f64::from(u8::from(left >= -1e-9)) };
    // The small tray's walls stand in the room: one at the fore-edge, two across; under a lid two either way.
    let along = if is_closed(job) { 2.0 } else { 1.0 };
    goes(room - along * thicker) * goes(room - 2.0 * thicker)
}

/// How many boards lie between both covers beside the trays' walls, whose height is cut and does not grow with the board: the
/// large tray's base on the small one's walls, and the small one's own base where its walls stand on that.
pub fn bases_between(job: &Job) -> u32 {
    match (&job.trays, seat(job)) {
        (None, _) => 0,
        (Some(_), Seat::Beside) => 1,
        (Some(_), Seat::OnBase) => 2,
    }
}

/// Where the stack of a box lies in the flat layout: its outline as measured, and how high its underside lies.
pub fn stack(job: &Job) -> (Contour, f64) {
    if let Some(works) = slipcase_boards::works(job) {
        return works;
    }
    if let Some((works, height)) = case::held(job) {
        return (works, height[0]);
    }
    let (t, c, l) = thicknesses(job);
    let Some((within, pair)) = job.within().zip(trays(job)) else {
        let half = pt(job.contents.width.to_mm() / 2.0, job.contents.height.to_mm() / 2.0);
        return (Contour::rectangle(-half, half), (t + l).to_mm());
    };
    let (w, h) = (within.contents.width.to_mm(), within.contents.height.to_mm());
    let half = pt(w / 2.0, h / 2.0);
    if pair.small.is_closed {
        let floor = (t + c).to_mm() + lining(job).to_mm();
        return (Contour::rectangle(-half, half), floor);
    }
    let middle = pt(spine_edge(job) + pair.small.interior[0] / 2.0, 0.0);
    // On the small tray's floor: cloth turned onto it, the lining of the spine, its own.
    (Contour::rectangle(middle - half, middle + half), level(job) + (t + c * 2.0).to_mm() + lining(job).to_mm())
}

/// Where the spine edge of the small tray's base lies in the layout of the case.
pub(super) fn spine_edge(job: &Job) -> f64 {
    thicknesses(job).1.to_mm() - job.contents.width.to_mm() / 2.0
}

/// How high the trays lie on their covers: over the turn-in of the case and the cloth turned under themselves.
pub(super) fn level(job: &Job) -> f64 {
    let (t, c) = (thicknesses(job).0, turned_onto(job, SideOn::Back));
    (t + c * 2.0).to_mm()
}

/// Where a tray is in the layout: its spine edge at x of `spine`, towards larger x or smaller.
#[derive(Clone, Copy)]
pub(super) struct Place {
    /// The tray.
    pub(super) tray: Tray,
    /// Where the base's spine edge is.
    pub(super) spine: Point,
    /// Whether its fore-edge lies to the left of it.
    pub(super) is_mirrored: bool,
    /// How high the underside of its base lies.
    pub(super) level: f64,
}

impl Place {
    fn put(&self, c: &Contour) -> Contour {
        let moved = c.transformed(&Transform { mirrored: self.is_mirrored, rotation_deg: 0.0, shift: self.spine });
        if self.is_mirrored { moved.ccw() } else { moved }
    }

    /// The side of the box at which a wall of the tray stands in the layout.
    const fn fore_edge(&self) -> Side {
        if self.is_mirrored { Side::Left } else { Side::Right }
    }
}

/// A wall in the ids of pieces.
fn wall_name(m: &TrayMeasures, side: Side) -> String {
    format!("{}-wall", if side == Side::Right && !m.is_closed { "fore-edge" } else { side.word() })
}

/// The walls of a tray laid flat beside its base, in its own coordinates, with the side that each stands at, in the order
/// of their cloth. An open tray's base begins at its spine edge, a closed one's is about the origin.
fn flat_walls(m: &TrayMeasures, t: f64) -> Vec<(Side, Contour)> {
    let ([_, h], wall) = (m.base, m.wall);
    let beyond = if m.is_on_base { 0.0 } else { t };
    let short = if m.is_on_base { t } else { 0.0 };
    let half = h / 2.0;
    let b = base_of(m).bounds();
    let from = b.min.x - if m.is_closed { beyond } else { 0.0 };
    let mut all = vec![
        (Side::Tail, Contour::rectangle(pt(from, -half - wall), pt(b.max.x + beyond, -half))),
        (Side::Right, Contour::rectangle(pt(b.max.x, short - half), pt(b.max.x + wall, half - short))),
        (Side::Head, Contour::rectangle(pt(from, half), pt(b.max.x + beyond, half + wall))),
    ];
    if m.is_closed {
        all.push((Side::Left, Contour::rectangle(pt(b.min.x - wall, short - half), pt(b.min.x, half - short))));
    }
    all
}

fn base_of(m: &TrayMeasures) -> Contour {
    let from = if m.is_closed { -m.base[0] / 2.0 } else { 0.0 };
    Contour::rectangle(pt(from, -m.base[1] / 2.0), pt(from + m.base[0], m.base[1] / 2.0))
}

fn piece(tray: Tray, what: &str, stock: StockKind, outline: Contour, grain: Grain) -> Piece {
    let id = format!("{}-{}-{what}", stock.word(), tray.word());
    Piece { grain, ..Piece::plain(id, stock, Role::Tray, outline) }
}

/// The pieces of a tray, its boards laid round its base, the strip of cloth below them, the lining of its floor
/// on it.
pub(super) fn pieces(job: &Job, tray: Tray, m: &TrayMeasures, spine: Point) -> Vec<Piece> {
    let (t, c, _) = thicknesses(job);
    let (t, c) = (t.to_mm(), c.to_mm());
    let at = Transform::shift(spine);
    let mut all = vec![piece(tray, "base", StockKind::Board, base_of(m).transformed(&at), Grain::Height)];
    for (side, outline) in flat_walls(m, t) {
        // Laid flat a wall at head or tail has its length across.
        let name = wall_name(m, side);
        let mut wall = piece(tray, &name, StockKind::Board, outline.transformed(&at), Grain::Height);
        wall.side = Some(side);
        all.push(wall);
    }
    let turn_in = job.covering.turn_in.to_mm();
    let walls = Walls {
        lengths: m.lengths(t),
        is_ring: m.is_closed,
        outside: m.wall + if m.is_on_base { t } else { 0.0 },
        inside: m.wall - if m.is_on_base { 0.0 } else { t },
        board: t,
        cloth: c,
        turn_in,
    };
    let strip = wrap::strip(&walls);
    let high = strip.outline.bounds().height();
    let below = Transform::shift(spine + pt(0.0, -m.base[1] / 2.0 - m.wall - high - 20.0));
    let mut cloth = piece(tray, "walls", StockKind::Cloth, strip.outline.transformed(&below), Grain::None);
    if job.draws_on(StockKind::Cloth) {
        cloth.marks = strip.marks.iter().map(|s| s.transformed(&below)).collect();
    }
    all.push(cloth);
    if m.is_closed {
        // Over the cloth turned under the base, set in by as much as hides its edge (our choice).
        let b = Bounds { min: pt(0.0, 0.0), max: pt(m.exterior[0], m.exterior[1]) }.grown(-SET_IN);
        let to = spine - b.center() + pt(0.0, -m.base[1] / 2.0 - m.wall - high - 40.0 - m.exterior[1] / 2.0);
        let outline = Contour::rectangle(b.min + to, b.max + to);
        all.push(piece(tray, "underside", StockKind::Cloth, outline, Grain::Height));
    }
    if let Some(lining) = floor(job, m) {
        let liner = piece(tray, "floor", StockKind::Liner, lining.transformed(&at), Grain::Height);
        let mut liner = Piece { lay: Lay::Mirrored, ..liner };
        if matches!(tray, Tray::Large | Tray::Lid) {
            colophon::cut_floor(job, &mut liner);
        }
        all.push(liner);
    }
    all
}

/// The lining of a tray's floor in its own coordinates; nothing where the box is not lined.
fn floor(job: &Job, m: &TrayMeasures) -> Option<Contour> {
    if lining(job) <= Length::ZERO {
        return None;
    }
    let half = m.interior[1] / 2.0 - REVEAL;
    let from = if m.is_closed { -m.interior[0] / 2.0 } else { 0.0 } + REVEAL;
    let to = from + m.interior[0] - 2.0 * REVEAL;
    (half > REVEAL && to > from).then(|| Contour::rectangle(pt(from, -half), pt(to, half)))
}

/// Width and height of the lining on the floor of the tray that closes over the other.
pub(super) fn floor_room(job: &Job) -> Option<[Length; 2]> {
    let lining = floor(job, &trays(job)?.large)?.bounds();
    Some([mm(lining.width()), mm(lining.height())])
}

/// The panels of a tray, dressed, at their place in the layout; each wall with the edge of the base that it is glued
/// to, where the wall's lower edge comes to be.
pub(super) fn panels(job: &Job, m: &TrayMeasures, place: &Place) -> Vec<(Panel, Option<Segment>)> {
    let (t, c, _) = thicknesses(job);
    let (t, c) = (t.to_mm(), c.to_mm());
    let turn_in = job.covering.turn_in.to_mm();
    let layer = |kind, face, cover, thickness| Layer { kind, face, cover, thickness };
    let word = place.tray.word();
    let panel = |part: TrayPart, id: String, outline: Contour| Panel {
        part: Part::Tray(place.tray, part),
        called: None,
        piece: id,
        outline,
        holes: Vec::new(),
        recesses: Vec::new(),
        outside_recesses: Vec::new(),
        thickness: t,
        level: place.level,
        layers: Vec::new(),
        turned: Vec::new(),
        turned_paper: Vec::new(),
    };
    let own = base_of(m);
    let mut base = panel(TrayPart::Base, format!("board-{word}-base"), place.put(&own));
    // Turned under it and onto it, as wide as the turn-in, on the sides with walls; what walls stand on is hidden.
    let (o, stood_on) = (own.bounds(), if m.is_on_base { t } else { 0.0 });
    for (face, more) in [(Face::Inside, stood_on), (Face::Outside, 0.0)] {
        let deep = (turn_in + more).min(o.width()).min(o.height());
        let mut bands = vec![
            Contour::rectangle(o.min, pt(o.max.x, o.min.y + deep)),
            Contour::rectangle(pt(o.max.x - deep, o.min.y), o.max),
            Contour::rectangle(pt(o.min.x, o.max.y - deep), o.max),
        ];
        if m.is_closed {
            bands.push(Contour::rectangle(o.min, pt(o.min.x + deep, o.max.y)));
        }
        for band in bands {
            let band = place.put(&band);
            if face == Face::Inside {
                base.turned.push(band.clone());
            }
            base.layers.push(layer(LayerKind::TurnIn, face, Cover::Area(band), c));
        }
    }
    if m.is_closed {
        base.layers.push(layer(LayerKind::Cloth, Face::Outside, Cover::Area(base.outline.clone()), c));
    }
    if let Some(area) = floor(job, m) {
        base.layers.push(layer(LayerKind::Liner, Face::Inside, Cover::Area(place.put(&area)), lining(job).to_mm()));
    }
    let mut all = vec![(base, None)];
    for (side, outline) in flat_walls(m, t) {
        let name = wall_name(m, side);
        let shown = if side == Side::Right && !m.is_closed { place.fore_edge() } else { side };
        let mut wall = panel(TrayPart::Wall(shown), format!("board-{word}-{name}"), place.put(&outline));
        for face in [Face::Outside, Face::Inside] {
            let kind = if face == Face::Outside { LayerKind::Cloth } else { LayerKind::TurnIn };
            wall.layers.push(layer(kind, face, Cover::Area(wall.outline.clone()), c));
        }
        wall.turned.push(wall.outline.clone());
        let foot = foot(&wall.outline, shown);
        // Every edge but the one that is glued to the base.
        for edge in wall.outline.segments().filter(|s| s.distance_to(foot.point_at(0.5)) > 1e-6) {
            wall.layers.push(layer(LayerKind::TurnIn, Face::Edge, Cover::Along(edge), c));
        }
        all.push((wall, Some(foot)));
    }
    all
}

/// The edge of a wall laid flat that lies at the base, the wall to its right as it runs.
fn foot(wall: &Contour, side: Side) -> Segment {
    let b = wall.bounds();
    let line = Segment::line;
    match side {
        Side::Head => line(pt(b.max.x, b.min.y), b.min),
        Side::Tail => line(pt(b.min.x, b.max.y), b.max),
        Side::Right => line(b.min, pt(b.min.x, b.max.y)),
        Side::Left => line(b.max, pt(b.max.x, b.min.y)),
    }
}

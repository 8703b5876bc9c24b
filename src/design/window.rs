//! A window in a lid: an opening through the board, and in a covered lid how cloth and liner go about it.
//!
//! The cloth is cut smaller than the opening by the window's turn-in on each side, and slit from the corners of that
//! hole towards the corners of the board's: four tabs, drawn through the opening and glued down inside. Round the
//! board's edge a tab loses the board's thickness and its own (derived, as for every turn-in), and as the slits run
//! aslant it is narrower the farther in it lies: at either end of an edge the thickness, and the inner face as far as it
//! shows, stay bare. Patches cover both before the tabs go over them, two at each corner. Round the thickness a patch ends
//! at the corner, for there the opening begins; on the inner face it runs on past it, so that the two lie over each
//! other where no tab does. The liner keeps its reveal all round.

use super::flat::{Arm, Flat};
use super::measures::{Measures, paper, thicknesses};
use super::patch::{self, PatchPlace};
use super::sides::{Lies, Parted};
use super::tabs::Turned;
use super::{Lay, Piece, Role, liner};
use crate::assembly::Part;
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, pt, rings_shared};
use crate::job::{Job, Side, StockKind, Window};
use crate::units::{Length, mm};

/// What of the opening the tabs leave free between them, at the least (our choice: room for a knife, and tabs that do not
/// touch while they are drawn through).
pub(super) const LEAST_HOLE: Length = mm(5.0);
/// So far from the line between cloth and paper, and from their lap, a window keeps, mm: the paper is trimmed by eye along
/// that line (our choice).
pub(super) const ON_ONE: f64 = 3.0;
/// Patches of one hand that differ by less than this are cut alike, mm: what looking for the bare stretch misses.
const ALIKE: f64 = 0.3;
/// Chords of a lid's outline stray by so much where it is divided, mm.
const CHORD: f64 = 0.1;

/// A window as it lies in the open box.
#[derive(Clone, Copy, Debug)]
pub struct Opening {
    /// The lid that it is in.
    pub side: Side,
    /// The opening in the board, in the flat layout.
    pub board: Bounds,
    /// How far the cloth is turned in round it; zero where nothing covers the board.
    pub turn_in: Length,
}

impl Opening {
    /// The opening in the board as an outline, counter-clockwise.
    pub fn outline(&self) -> Contour {
        Contour::rectangle(self.board.min, self.board.max)
    }

    /// The hole in the cloth, in the flat layout.
    pub fn in_cloth(&self) -> Bounds {
        self.board.grown(-self.turn_in.to_mm())
    }

    /// Where it lies on its board, where that is covered by part.
    pub(super) fn lies(&self, all: &[Parted]) -> Option<Lies> {
        let one = all.iter().find(|one| one.part == Part::Lid(self.side))?;
        Some(one.lies(&self.board.grown(ON_ONE - 1e-6).corners()))
    }

    /// Whether it is cut into the cloth that goes over the joints, and not into a paper, a strip or a corner of a side.
    pub fn is_in_cover(&self, all: &[Parted]) -> bool {
        matches!(self.lies(all), None | Some(Lies::Cloth(0)))
    }

    /// Whether paper is turned in through it, and not cloth.
    pub fn is_of_paper(&self, all: &[Parted]) -> bool {
        self.lies(all) == Some(Lies::Paper)
    }
}

/// The windows of a job that is laid flat.
pub fn openings(job: &Job, flat: &Flat) -> Vec<Opening> {
    let of = |(side, arm): (&Side, &Arm)| opening(job, Part::Lid(*side), &arm.flap());
    flat.arms.iter().filter_map(of).collect()
}

/// The window in a board of this outline in the flat layout; `None` where it has none.
pub fn opening(job: &Job, part: Part, outline: &Contour) -> Option<Opening> {
    let side = part.lid()?;
    let window = job.windows.get(&side)?;
    Some(Opening { side, board: place(window, side, outline.bounds()), turn_in: turn_in(job, window) })
}

/// Where a window lies in a lid that spans so much of the flat layout. A closed lid lies turned over: one at left or right
/// about a line from tail to head, so that its left is to the right here, the others about a line across.
fn place(window: &Window, side: Side, lid: Bounds) -> Bounds {
    let (w, h) = (window.width.to_mm(), window.height.to_mm());
    let from_left = window.from_left.map_or((lid.width() - w) / 2.0, Length::to_mm);
    let from_head = window.from_head.map_or((lid.height() - h) / 2.0, Length::to_mm);
    let min = match side {
        Side::Left | Side::Right => pt(lid.max.x - from_left - w, lid.max.y - from_head - h),
        Side::Head | Side::Tail => pt(lid.min.x + from_left, lid.min.y + from_head),
    };
    Bounds { min, max: min + pt(w, h) }
}

/// How thick what is turned in through a window is: paper or cloth.
pub(super) fn turned_thickness(job: &Job, is_paper: bool) -> Length {
    if is_paper { paper(job) } else { thicknesses(job).1 }
}

/// How wide what is turned in, so thick, must be to go round the board, hold, and lie under the liner's edge.
pub(super) fn least_turn_in(job: &Job, own: Length) -> Length {
    let t = thicknesses(job).0;
    (t + own + mm(liner::under_liner(job))).min(job.covering.turn_in)
}

/// As far as everywhere, or less where the window is small: its tabs do not meet.
fn turn_in(job: &Job, window: &Window) -> Length {
    if job.cloth.is_none() {
        return Length::ZERO;
    }
    let most = (window.width.min(window.height) - LEAST_HOLE) / 2.0;
    job.covering.turn_in.min(most).max(Length::ZERO)
}

/// How far in from the edge of a window its cloth, or its paper, reaches on the inner face; below zero it does not come
/// round the edge.
pub fn turned_deep(job: &Job, opening: &Opening, is_paper: bool) -> Length {
    opening.turn_in - thicknesses(job).0 - turned_thickness(job, is_paper)
}

/// How far in from the edge of a window patches reach on the inner face.
pub(super) fn patched_deep(job: &Job) -> Length {
    if job.cloth.is_some() { patch::inside(job) } else { Length::ZERO }
}

/// A rectangle as a hole.
fn hole(b: Bounds) -> Contour {
    Contour::rectangle(b.min, b.max).cw()
}

/// Adds a window to the holes of a piece.
fn pierce(piece: &mut Piece, b: Bounds) {
    piece.holes.push(hole(b));
    piece.windows += 1;
}

/// Cuts the windows into the boards that hold them.
pub(super) fn cut_boards(job: &Job, flat: &Flat, boards: &mut [Piece]) {
    for opening in openings(job, flat) {
        let own = boards.iter().position(|p| p.role == Role::Flap && p.side == Some(opening.side));
        // A board in one piece holds all lids.
        let whole = || boards.iter().position(|p| p.role == Role::Blank);
        if let Some(board) = own.or_else(whole).and_then(|i| boards.get_mut(i)) {
            pierce(board, opening.board);
        }
    }
}

/// Cuts them into the liner, which is longer in both joints before a lid where it runs through them.
pub(super) fn cut_liner(job: &Job, m: &Measures, flat: &Flat, liner: &mut [Piece]) {
    let longer = liner::drawn_longer(job, m).to_mm() * 2.0;
    for opening in openings(job, flat) {
        let Some(arm) = flat.arms.get(&opening.side) else { continue };
        let out = Point::unit((arm.frame.rotation_deg + 90.0).to_radians()) * longer;
        let b = lined(job, &opening);
        let b = Bounds { min: b.min + out, max: b.max + out };
        if let Some(piece) = liner.iter_mut().find(|p| p.role == Role::Liner && p.outline.contains(b.center())) {
            pierce(piece, b);
        }
    }
}

/// What the liner leaves free round a window, as it lies on the board.
pub(super) fn lined(job: &Job, opening: &Opening) -> Bounds {
    opening.board.grown(job.covering.reveal.to_mm())
}

/// What the windows take of the cloth and bring to it.
pub(super) struct InCloth {
    /// The patches at their corners.
    pub(super) patches: Vec<Piece>,
    /// Where each goes.
    pub(super) at: Vec<PatchPlace>,
    /// Where the tabs lie once they are turned in.
    pub(super) turned: Vec<Turned>,
}

/// Cuts them into the pieces of the covering, each into the one that it lies on.
pub(super) fn cut_cloth(job: &Job, flat: &Flat, covers: &mut [Piece]) -> InCloth {
    let mut all = InCloth { patches: Vec::new(), at: Vec::new(), turned: Vec::new() };
    for opening in openings(job, flat) {
        let inner = opening.in_cloth();
        let corners = opening.board.corners();
        let is_whole = |p: &Piece| corners.iter().all(|c| p.outline.contains(*c));
        // Where it lies on a lap, on two pieces, `limits` has said so.
        let whole = covers.iter().position(is_whole);
        let at = whole.or_else(|| covers.iter().position(|p| p.outline.contains(opening.board.center())));
        let Some(cloth) = at.and_then(|i| covers.get_mut(i)) else { continue };
        let (is_paper, is_of_side) = (cloth.stock == StockKind::Paper, cloth.role == Role::Side);
        let slits: Vec<Path> = slits(&opening, job.covering.slit_stop.to_mm());
        let (patches, at) = patches(job, &opening, &slits, is_paper);
        all.patches.extend(patches);
        all.at.extend(at.into_iter().map(|place| PatchPlace { is_of_side, ..place }));
        all.turned.extend(edges(&opening).iter().filter_map(|edge| tab(job, &opening, edge, is_paper)));
        pierce(cloth, inner);
        cloth.slits.extend(slits);
        if job.draws_on(cloth.stock) {
            cloth.marks.push(Stroke::Closed(opening.outline()));
        }
    }
    all
}

/// The edges of the board round a window, the board to the left.
pub(super) fn edges(opening: &Opening) -> Vec<Segment> {
    hole(opening.board).segments().collect()
}

/// From the corners of the hole in the cloth towards those of the board's, as far as they may go.
fn slits(opening: &Opening, stop: f64) -> Vec<Path> {
    let (outer, inner) = (opening.board.corners(), opening.in_cloth().corners());
    let pairs = outer.into_iter().zip(inner);
    pairs
        .filter_map(|(to, from)| {
            let way = to - from;
            let left = way.length() - stop;
            (left > 0.0).then(|| Path::line(from, from + way * (left / way.length())))
        })
        .collect()
}

/// Where the tab at an edge lies once it is turned in: as wide as the edge less, at either end, what the slit has taken at
/// that place of the cloth.
fn tab(job: &Job, opening: &Opening, edge: &Segment, is_paper: bool) -> Option<Turned> {
    let lost = (thicknesses(job).0 + turned_thickness(job, is_paper)).to_mm();
    let width = opening.turn_in.to_mm();
    let along = (edge.end - edge.start).normalized()?;
    let at = |u: f64, deep: f64| edge.start + along * u + along.left() * deep;
    let (length, deep) = (edge.length(), width - lost);
    if deep <= 0.0 {
        return None;
    }
    let ring = vec![at(lost, 0.0), at(length - lost, 0.0), at(length - width, deep), at(width, deep)];
    let bounds = Bounds::of(ring.iter().copied());
    Some(Turned { ring, bounds, only: Some(Part::Lid(opening.side)), is_in_joint: false, is_paper })
}

/// The patches of a window and where each goes: two at each corner, one for either edge, alike but for their hand.
fn patches(job: &Job, opening: &Opening, slits: &[Path], is_paper: bool) -> (Vec<Piece>, Vec<PatchPlace>) {
    let (t, out) = (job.board.thickness.to_mm(), patch::out(job).to_mm());
    let inside = patch::inside(job).to_mm();
    let enough = least_turn_in(job, turned_thickness(job, is_paper)).min(opening.turn_in).to_mm();
    let stop = job.covering.slit_stop.to_mm();
    let slits: Vec<Segment> = slits.iter().flat_map(Path::segments).map(|s| patch::to_the_board(&s, stop)).collect();
    let cloth = hole(opening.in_cloth());
    // What is bare at either end of every edge, and how long its patch must be.
    let mut ends: Vec<(Segment, bool, f64, f64)> = Vec::new();
    for edge in edges(opening) {
        let middle = edge.point_at(0.5);
        for is_second in [false, true] {
            // One end at a time, so that the bare stretches at both are told apart.
            let half = if is_second { Segment::line(middle, edge.end) } else { Segment::line(edge.start, middle) };
            let Some((low, high)) = patch::bare(&half, &cloth, &slits, enough) else { continue };
            let bare = if is_second { half.length() - low } else { high };
            ends.push((edge, is_second, bare, (bare + patch::SPARE.to_mm()).min(half.length())));
        }
    }
    let mut pieces: Vec<(bool, f64, Piece)> = Vec::new();
    let mut places = Vec::new();
    for (edge, is_second, bare, own) in ends.iter().copied() {
        let (middle, from) = (edge.point_at(0.5), if is_second { edge.end } else { edge.start });
        let Some(along) = (middle - from).normalized() else { continue };
        let inwards = (edge.end - edge.start).normalized().unwrap_or_default().left();
        // Those that hardly differ are cut alike, in the larger size.
        let alike = ends.iter().filter(|(_, hand, _, long)| *hand == is_second && (long - own).abs() < ALIKE);
        let long = alike.map(|(.., long)| *long).fold(own, f64::max).min(edge.length() / 2.0);
        let shape = |lift: f64| {
            // From the corner: out along the tab's own edge, back over the face, past the corner there.
            let ring = [
                (0.0, 0.0),
                (out, -out),
                (long, -out),
                (long, lift + inside),
                (-inside, lift + inside),
                (-inside, lift),
                (0.0, lift),
            ];
            Contour::polygon(ring.map(|(u, v)| from + along * u + inwards * v)).without_straight_vertices().ccw()
        };
        let stretch = |to: f64| {
            let far = from + along * to;
            if is_second { Segment::line(far, from) } else { Segment::line(from, far) }
        };
        let face = [(0.0, 0.0), (long, 0.0), (long, inside), (-inside, inside), (-inside, 0.0)];
        let is_same = |(hand, size, _): &&mut (bool, f64, Piece)| *hand == is_second && (*size - long).abs() < 1e-6;
        let n = pieces.len() + 1;
        let id = match pieces.iter_mut().find(is_same) {
            Some((_, _, piece)) => {
                piece.count += 1;
                piece.id.clone()
            }
            None => {
                let more = if n == 1 { String::new() } else { format!("-{n}") };
                let (stock, word) = if is_paper { (StockKind::Paper, "paper") } else { (StockKind::Cloth, "cloth") };
                let id = format!("{word}-patch-window-{}{more}", opening.side.word());
                let plain = Piece::plain(id.clone(), stock, Role::Patch, shape(t));
                // It is seen as it lies here: its right side is up.
                let piece = Piece { side: Some(opening.side), lay: Lay::Mirrored, ..plain };
                pieces.push((is_second, long, piece));
                id
            }
        };
        let toward = |way: Point| match (way.x.abs() > way.y.abs(), way.x > 0.0, way.y > 0.0) {
            (true, true, _) => Side::Right,
            (true, false, _) => Side::Left,
            (false, _, true) => Side::Head,
            (false, _, false) => Side::Tail,
        };
        let place = format!(
            "{} lid, window, {} edge at its {} end",
            opening.side.word(),
            toward(inwards).word(),
            toward(-along).word()
        );
        places.push(PatchPlace {
            id,
            place,
            part: Part::Lid(opening.side),
            outline: shape(0.0),
            inside: Contour::polygon(face.map(|(u, v)| from + along * u + inwards * v)).ccw(),
            edge: Some(stretch(long)),
            bare: Some(stretch(bare)),
            along_across: (long, out + t + inside),
            is_of_window: true,
            is_paper,
            is_of_side: false,
        });
    }
    (pieces.into_iter().map(|(_, _, piece)| piece).collect(), places)
}

/// An area without a window in it, in parts beside it, each without a hole: those at its left and right whole, then above
/// and below it.
pub(super) fn beside(area: &Contour, window: Bounds) -> Vec<Contour> {
    let all = area.bounds().grown(1.0);
    let (low, high) = (window.min, window.max);
    let parts = [
        [all.min, pt(low.x, all.max.y)],
        [pt(high.x, all.min.y), all.max],
        [pt(low.x, high.y), pt(high.x, all.max.y)],
        [pt(low.x, all.min.y), pt(high.x, low.y)],
    ];
    let ring = area.flatten(CHORD);
    let of = |[a, b]: [Point; 2]| rings_shared(&ring, &Contour::rectangle(a, b).flatten(CHORD));
    parts.into_iter().filter(|[a, b]| b.x > a.x && b.y > a.y).flat_map(of).map(Contour::polygon).collect()
}

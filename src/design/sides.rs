//! A covering by part: cloth along a board's joint and, where asked, along its far edge or over its corners; paper, or
//! another cloth, over the rest.
//!
//! The covering of the whole box is laid out first, with its turn-ins, corner cuts and slits, and then parted along
//! straight lines across each board that is covered by part. With a the cloth's reach from the joint's edge and v the lap,
//! cloth lies up to a, and paper from a - v on: on the lap both do, and everywhere else one of them (derived). Every piece
//! keeps the turn-ins and corner cuts that lie beside it.

use super::flat::Flat;
use super::measures::{Measures, are_sides};
use super::{Piece, Role, board_id};
use crate::assembly::Part;
use crate::diag::Diagnostic;
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Transform, beneath, intersections, pt, runs};
use crate::job::{Grain, Job, Side, SideCut, SideOn, StockKind};
use crate::units::mm;

/// A board that is covered by part.
#[derive(Clone, Debug)]
pub struct Parted {
    /// Which board the job says.
    pub on: SideOn,
    /// The board.
    pub part: Part,
    /// The board's frame: x along its joint, y from the joint's edge over the board.
    pub frame: Transform,
    /// How wide the board is across its joint, and how long along it, mm.
    pub size: [f64; 2],
    /// How far the cloth runs onto it, mm.
    pub cloth: f64,
    /// What the job asks for.
    pub cut: SideCut,
}

/// A line across a board: cloth lies where y is below zero in its frame.
#[derive(Clone, Debug)]
pub(super) struct Line {
    /// What of the cloth it ends, by the end of its piece's id: nothing for the cloth of the box itself.
    pub(super) of: &'static str,
    pub(super) frame: Transform,
}

impl Line {
    /// How far beyond it a point lies, mm: below zero on the cloth.
    pub(super) fn beyond(&self, p: Point) -> f64 {
        (p - self.frame.shift).dot(self.frame.apply(pt(0.0, 1.0)) - self.frame.shift)
    }
}

/// The boards of a body that are covered by part.
pub(super) fn parted(job: &Job, m: &Measures, flat: &Flat) -> Vec<Parted> {
    if !are_sides(job) {
        return Vec::new();
    }
    let is_case = job.within().is_some();
    let one = |(on, cut): (&SideOn, &SideCut)| -> Option<Parted> {
        let (side, part) = match on {
            SideOn::Lid(side) if !is_case => (*side, Part::Lid(*side)),
            // A case has one lid, its front cover.
            SideOn::Front if is_case => job.flaps.keys().next().map(|side| (*side, Part::Lid(*side)))?,
            SideOn::Back if is_case => job.flaps.keys().next().map(|side| (*side, Part::Base))?,
            _ => return None,
        };
        let arm = flat.arms.get(&side)?;
        let base = flat.base.bounds();
        let (frame, size) = if part == Part::Base {
            (arm.frame.half_turned(), [2.0 * arm.out(), along(side, &base)])
        } else {
            let far = 2.0 * arm.foot() + arm.wall_height();
            let frame = Transform { shift: arm.frame.apply(pt(0.0, far)), ..arm.frame };
            let lid = arm.lid().bounds();
            (frame, [m.reach.get(&side).map_or(lid.max.y, |r| r.to_mm()), lid.width()])
        };
        Some(Parted { on: *on, part, frame, size, cloth: cut.cloth.on(mm(size[0])).to_mm(), cut: *cut })
    };
    job.sides.iter().filter_map(one).collect()
}

fn along(side: Side, base: &Bounds) -> f64 {
    match side {
        Side::Left | Side::Right => base.height(),
        Side::Head | Side::Tail => base.width(),
    }
}

impl Parted {
    /// The lines at which its cloth ends, the one at its joint first.
    pub(super) fn lines(&self) -> Vec<Line> {
        let [wide, long] = self.size;
        let at = |p: Point, deg: f64| Transform {
            mirrored: false,
            rotation_deg: self.frame.rotation_deg + deg,
            shift: self.frame.apply(p),
        };
        let mut all = vec![Line { of: "", frame: at(pt(0.0, self.cloth), 0.0) }];
        let (edge, corner) = (self.cut.edge.to_mm(), self.cut.corner.to_mm());
        if edge > 0.0 {
            all.push(Line { of: "edge", frame: at(pt(0.0, wide - edge), 180.0) });
        }
        if corner > 0.0 {
            // Across each corner: out of the middle of a line from edge to edge.
            let middle = pt(long / 2.0 - corner / 2.0, wide - corner / 2.0);
            all.push(Line { of: "corner-1", frame: at(middle, 135.0) });
            all.push(Line { of: "corner-2", frame: at(pt(-middle.x, middle.y), -135.0) });
        }
        all
    }

    /// How far the paper laps over the cloth, mm.
    pub(super) fn lap(&self) -> f64 {
        self.cut.lap.to_mm()
    }

    /// The lines at which its cloth ends, each as long as the board.
    pub fn ends_of_cloth(&self) -> Vec<Segment> {
        self.across(0.0)
    }

    /// Those at which the paper begins over the cloth.
    pub fn begins_of_paper(&self) -> Vec<Segment> {
        self.across(-self.lap())
    }

    /// Along its lines, so far beyond them.
    fn across(&self, beyond: f64) -> Vec<Segment> {
        let long = self.size[1];
        let corner = self.cut.corner.to_mm() / std::f64::consts::SQRT_2;
        let of = |line: Line| {
            // A line across a corner is as long as what it cuts off.
            let half = if line.of.starts_with("corner") { corner + beyond } else { long / 2.0 };
            line.frame.segment(&Segment::line(pt(-half, beyond), pt(half, beyond)))
        };
        self.lines().into_iter().map(of).collect()
    }

    /// What of a contour on its board, or beside that, lies under the paper; `None` where a line crosses it otherwise
    /// than twice.
    pub fn under_paper(&self, c: &Contour) -> Option<Contour> {
        self.lines().iter().try_fold(c.clone(), |c, line| beneath(&c, &line.frame.half_turned(), self.lap()))
    }

    /// What of a contour on its board lies under cloth.
    pub(super) fn under_cloth(&self, c: &Contour) -> Vec<Contour> {
        self.lines().iter().filter_map(|line| beneath(c, &line.frame, 0.0)).collect()
    }

    /// The stretches of an edge over which cloth is turned in, and those of paper: both over the lap.
    pub(super) fn parted(&self, edge: &Segment) -> (Vec<Segment>, Vec<Segment>) {
        let (lines, lap) = (self.lines(), self.lap());
        let crossed = |line: &Line, y: f64| -> Vec<f64> {
            let far = line.frame.shift.distance(edge.start) + edge.length() + y.abs() + 1.0;
            let across = line.frame.segment(&Segment::line(pt(-far, y), pt(far, y)));
            intersections(&across, edge).into_iter().map(|p| edge.nearest_share(p)).collect()
        };
        let split = |y: f64| -> Vec<Segment> {
            let mut at: Vec<f64> = lines.iter().flat_map(|line| crossed(line, y)).chain([0.0, 1.0]).collect();
            at.sort_by(f64::total_cmp);
            at.windows(2).filter(|w| (w[1] - w[0]) * edge.length() > SHORT).map(|w| edge.between(w[0], w[1])).collect()
        };
        let middle = |s: &Segment| s.point_at(0.5);
        let cloths = split(0.0).into_iter().filter(|s| lines.iter().any(|l| l.beyond(middle(s)) < 0.0));
        let papers = split(-lap).into_iter().filter(|s| lines.iter().all(|l| l.beyond(middle(s)) > -lap));
        (cloths.collect(), papers.collect())
    }

    /// Where something on its board lies.
    pub(super) fn lies(&self, points: &[Point]) -> Lies {
        let lap = self.lap();
        let lines = self.lines();
        let ys = |line: &Line| -> [f64; 2] {
            points
                .iter()
                .map(|p| line.beyond(*p))
                .fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], y| [a.min(y), b.max(y)])
        };
        if let Some(i) = lines.iter().position(|line| ys(line)[1] <= -lap) {
            return Lies::Cloth(i);
        }
        if lines.iter().all(|line| ys(line)[0] >= 0.0) { Lies::Paper } else { Lies::Across }
    }

    /// Whether paper alone lies at a place of the layout, on its board.
    pub fn is_paper_at(&self, p: Point) -> bool {
        let (from, [wide, long]) = (self.frame.shift, self.size);
        let along = |axis: Point| (p - from).dot(self.frame.apply(axis) - from);
        let is_on = (0.0..=wide).contains(&along(pt(0.0, 1.0))) && along(pt(1.0, 0.0)).abs() <= long / 2.0;
        is_on && self.lies(&[p]) == Lies::Paper
    }

    /// The id of a piece that covers part of it: `paper-flap-left`, `cloth-flap-left-edge`.
    fn id(&self, of: &str) -> String {
        let board = match self.part {
            Part::Lid(side) => format!("flap-{}", side.word()),
            _ => "base".to_owned(),
        };
        if of.is_empty() { format!("paper-{board}") } else { format!("cloth-{board}-{of}") }
    }

    fn side(&self) -> Option<Side> {
        self.part.lid()
    }
}

/// Where something on a board that is covered by part lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lies {
    /// On the cloth that this line ends, clear of the lap.
    Cloth(usize),
    /// Under paper alone.
    Paper,
    /// Across a line, or on the lap.
    Across,
}

/// Whether the cloth of a body has a corner to be cut: with both covers of a case, or every lid and no corner of the
/// base, covered by part, its corners are all of other pieces.
pub(super) fn has_free_corner(job: &Job, design: &super::Design) -> bool {
    let Some(flat) = &design.flat else { return true };
    let all = parted(job, &design.measures, flat);
    let is_parted = |part: Part| all.iter().any(|one| one.part == part);
    let is_of_base = !is_parted(Part::Base) && !free_corners(flat).is_empty();
    all.is_empty() || is_of_base || flat.arms.keys().any(|side| !is_parted(Part::Lid(*side)))
}

/// The corners of the base beside which no wall stands.
pub fn free_corners(flat: &Flat) -> Vec<Point> {
    let b = flat.base.bounds();
    let is_free = |side| !flat.arms.contains_key(&side);
    let corners = [
        ([Side::Right, Side::Head], b.max),
        ([Side::Left, Side::Head], pt(b.min.x, b.max.y)),
        ([Side::Left, Side::Tail], b.min),
        ([Side::Right, Side::Tail], pt(b.max.x, b.min.y)),
    ];
    corners.into_iter().filter(|(sides, _)| sides.iter().all(|s| is_free(*s))).map(|c| c.1).collect()
}

/// The covering cloth parted: what is left of it, then the papers and the strips and corners of cloth.
///
/// Fails where a line meets a cut of the turn-in, or leaves a piece in two.
pub(super) fn part(job: &Job, boards: &[Piece], all: &[Parted], mut cloth: Piece) -> Result<Vec<Piece>, Diagnostic> {
    let whole = cloth.clone();
    let mut pieces = Vec::new();
    for one in all {
        let lines = one.lines();
        let cut = |c: &Contour, line: &Line| beneath(c, &line.frame, 0.0);
        // What lies beyond the joint's line, of which the other pieces are cut.
        let Some((first, others)) = lines.split_first() else { continue };
        let rest = beneath(&whole.outline, &first.frame.half_turned(), one.lap()).ok_or_else(|| no_part(job, one))?;
        let (mut papers, mut own_cloths) = (rest.clone(), Vec::new());
        for line in others {
            let own = cut(&rest, line).ok_or_else(|| no_part(job, one))?;
            papers = beneath(&papers, &line.frame.half_turned(), one.lap()).ok_or_else(|| no_part(job, one))?;
            own_cloths.push(piece(&whole, one.id(line.of), StockKind::Cloth, one, own));
        }
        pieces.push(piece(&whole, one.id(""), StockKind::Paper, one, papers));
        pieces.extend(own_cloths);
        cloth.outline = cut(&cloth.outline, first).ok_or_else(|| no_part(job, one))?;
        label_is_clear(boards, one)?;
    }
    cloth.slits.retain(|s| is_within(&cloth.outline, &along_path(s)));
    cloth.holes.retain(|h| is_within(&cloth.outline, &[h.bounds().center()]));
    let mut found = vec![cloth];
    found.extend(pieces);
    if let Some(one) = all.first() {
        cuts_are_whole(job, &whole, &found, one)?;
    }
    for piece in found.iter_mut().filter(|piece| job.draws_on(piece.stock)) {
        let outline = &piece.outline;
        piece.marks = boards.iter().flat_map(|b| drawn_within(&b.outline, outline)).collect();
    }
    Ok(found)
}

/// A piece of the whole covering, with what of its slits and holes lies on it.
fn piece(whole: &Piece, id: String, stock: StockKind, of: &Parted, outline: Contour) -> Piece {
    let slits = whole.slits.iter().filter(|s| is_within(&outline, &along_path(s)));
    let holes = whole.holes.iter().filter(|h| is_within(&outline, &[h.bounds().center()]));
    Piece {
        side: of.side(),
        slits: slits.cloned().collect(),
        holes: holes.cloned().collect(),
        grain: Grain::Height,
        ..Piece::plain(id, stock, Role::Side, outline.clone())
    }
}

/// Places along a slit, its very ends left out: these lie on outlines.
fn along_path(slit: &Path) -> Vec<Point> {
    slit.segments().flat_map(|s| [0.02, 0.5, 0.98].map(|share| s.point_at(share))).collect()
}

/// Whether every slit lies on a piece, and every slot on one alone.
fn cuts_are_whole(job: &Job, whole: &Piece, pieces: &[Piece], of: &Parted) -> Result<(), Diagnostic> {
    let on = |points: &[Point]| pieces.iter().filter(|p| is_within(&p.outline, points)).count();
    if whole.slits.iter().any(|s| on(&along_path(s)) == 0) {
        return Err(no_part(job, of));
    }
    let meets = |hole: &Contour| {
        let points: Vec<Point> = hole.vertices().iter().map(|v| v.point()).collect();
        let touched = pieces.iter().filter(|p| points.iter().any(|q| p.outline.contains(*q))).count();
        on(&points) != 1 || touched != 1
    };
    if whole.holes.iter().any(meets) {
        let message = "a slot lies across the line where cloth and paper meet, or on their lap";
        let d = Diagnostic::error("side-across-slot", message).at(of.on.key("cloth"));
        return Err(d.help("move the line, or the slot by the `inset` of its ties or strap"));
    }
    Ok(())
}

/// A label's recess wants one covering: pressed into it, the lap's edge would show.
fn label_is_clear(boards: &[Piece], of: &Parted) -> Result<(), Diagnostic> {
    let recessed =
        boards.iter().filter(|b| board_id(of.part).as_ref() == Some(&b.id)).flat_map(|b| b.outside_pockets());
    let points = |c: &Contour| c.vertices().iter().map(|v| v.point()).collect::<Vec<_>>();
    if recessed.into_iter().any(|pocket| of.lies(&points(&pocket.outline)) == Lies::Across) {
        let message =
            format!("the label's recess lies across the line where cloth and paper of the {} meet", of.on.board());
        let d = Diagnostic::error("side-across-label", message).at(of.on.key("cloth"));
        return Err(d.help("move the line, or make the label narrower"));
    }
    Ok(())
}

fn is_within(outline: &Contour, points: &[Point]) -> bool {
    points.iter().all(|p| outline.contains(*p))
}

fn no_part(job: &Job, of: &Parted) -> Diagnostic {
    let message = format!(
        "the cloth of the {} cannot be parted {} from its joint: the line meets a cut of the turn-in or a curve of the edge",
        of.on.board(),
        job.units.show(mm(of.cloth))
    );
    Diagnostic::error("side-not-parted", message)
        .at(of.on.key("cloth"))
        .help("move it by some millimetres, or take the table out")
}

/// The stretches of an outline, counter-clockwise, that run on a piece; whole where all of it does.
pub fn drawn_within(board: &Contour, on: &Contour) -> Vec<Stroke> {
    if !board.bounds().overlaps(on.bounds(), 0.0) {
        return Vec::new();
    }
    let parts = board.segments().flat_map(|s| {
        let mut at: Vec<f64> =
            on.segments().flat_map(|o| intersections(&o, &s)).map(|p| s.nearest_share(p)).chain([0.0, 1.0]).collect();
        at.sort_by(f64::total_cmp);
        at.windows(2).filter(|w| (w[1] - w[0]) * s.length() > SHORT).map(|w| s.between(w[0], w[1])).collect::<Vec<_>>()
    });
    let (within, outside): (Vec<Segment>, Vec<Segment>) = parts.partition(|part| on.contains(part.point_at(0.5)));
    if outside.is_empty() {
        return vec![Stroke::Closed(board.clone())];
    }
    let mut runs = runs(within);
    // The walk may begin in the middle of a run.
    if runs.len() > 1 && joins(&runs) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(first);
        }
    }
    runs.iter().map(|run| Stroke::Open(Path::along(run))).collect()
}

/// Whether the last of some runs ends where the first begins.
fn joins(runs: &[Vec<Segment>]) -> bool {
    let start = runs.first().and_then(|r| r.first()).map(|s| s.start);
    let end = runs.last().and_then(|r| r.last()).map(|s| s.end);
    matches!((start, end), (Some(a), Some(b)) if a.is_near(b))
}

/// A line shorter than this is not drawn, mm.
const SHORT: f64 = 1e-3;

//! The open box laid flat: the base in the middle, and on each side that has one a wall and a
//! flap, apart by the joint. Boards, cloth and liner are all read off this one layout.

use super::flap::{self, FlapError};
use super::measures::Measures;
use crate::assembly::Part;
use crate::geom::{Contour, Path, Point, Segment, Transform, Vertex, intersections, pt};
use crate::job::{Job, Side};
use crate::units::Length;
use std::collections::BTreeMap;

/// The layout. Coordinates are mm, seen from inside, the origin in the middle of the base.
#[derive(Clone, Debug)]
pub struct Flat {
    /// The base.
    pub base: Contour,
    /// What stands at each side.
    pub arms: BTreeMap<Side, Arm>,
    half: Point,
    /// Whether a corner between two walls is cut off (folding board) or square (cloth joints).
    is_relieved: bool,
}

/// A corner of the base between two walls, where the cloth's outline is re-entrant.
#[derive(Clone, Debug)]
pub struct InnerCorner {
    /// Where it is.
    pub corner: Point,
    /// The sides that meet there, in the order of that walk.
    pub sides: [Side; 2],
    /// The free end edges of the two walls that meet there, as a counter-clockwise walk round the
    /// region runs along them: outside is to their right.
    pub wall_ends: [Segment; 2],
}

/// A wall and its flap, in the arm's own frame: x along the base edge, y outwards, the origin in
/// the middle of the base edge.
#[derive(Clone, Debug)]
pub struct Arm {
    /// The frame's place in the layout.
    pub frame: Transform,
    /// Half the base edge.
    base_half: f64,
    /// Where the wall begins and ends along the base edge.
    wall: (f64, f64),
    /// The joint's width.
    joint: f64,
    /// The wall's height.
    wall_height: f64,
    /// The flap's outline with its hinge edge on y = 0.
    flap: Contour,
}

/// What lies beside a stretch of the rim, to its left.
#[derive(Clone, Copy, Debug)]
pub(super) enum Beside {
    /// A board.
    Board(Part),
    /// A joint, by its corners, counter-clockwise.
    Joint([Point; 4]),
}

/// The sides as a counter-clockwise walk meets them.
const ROUND: [Side; 4] = [Side::Right, Side::Head, Side::Left, Side::Tail];

/// What a construction has its walls do where two meet.
pub trait Corners {
    /// How much a wall is shorter than the base edge at its two ends, mm, where its lid is `lid` shorter at
    /// each.
    fn short_ends(&self, job: &Job, side: Side, lid: f64) -> (f64, f64);
    /// Whether the corners of the base between two walls are cut off from wall to wall.
    fn is_relieved(&self) -> bool {
        false
    }
}

impl Flat {
    /// Lays a job flat with joints of `joint` and lids that reach `longer` farther than the job
    /// says (a liner that stays to be trimmed; otherwise zero).
    ///
    /// Fails with the sides whose lids have no outline.
    pub fn new(
        job: &Job,
        m: &Measures,
        build: &dyn Corners,
        joint: Length,
        longer: Length,
    ) -> Result<Self, Vec<(Side, FlapError)>> {
        let half = pt(m.base_width.to_mm() / 2.0, m.base_height.to_mm() / 2.0);
        let mut failed = Vec::new();
        let mut arms = BTreeMap::new();
        for (side, lid) in &job.flaps {
            let (base_half, out, interior) = match side {
                Side::Left | Side::Right => (half.y, half.x, job.contents.interior_height()),
                Side::Head | Side::Tail => (half.x, half.y, job.contents.interior_width()),
            };
            let width = interior - m.flap_inset * 2.0;
            let shape = if width > Length::ZERO {
                flap::outline(width, m.reach.get(side).copied().unwrap_or_default() + longer, lid)
            } else {
                Err(FlapError::Closed)
            };
            match shape {
                Err(why) => failed.push((*side, why)),
                Ok(flap) => {
                    let outward = Point::unit(side.outward_deg().to_radians()) * out;
                    let frame = Transform {
                        mirrored: false,
                        rotation_deg: side.outward_deg() - 90.0,
                        // Exact zeros where cos and sin leave 1e-15.
                        shift: pt(tidy_zero(outward.x), tidy_zero(outward.y)),
                    };
                    let (from, to) = build.short_ends(job, *side, base_half - width.to_mm() / 2.0);
                    arms.insert(
                        *side,
                        Arm {
                            frame,
                            base_half,
                            wall: (from - base_half, base_half - to),
                            joint: joint.to_mm(),
                            wall_height: m.walls.get(side).copied().unwrap_or_default().to_mm(),
                            flap,
                        },
                    );
                }
            }
        }
        if !failed.is_empty() {
            return Err(failed);
        }
        Ok(Self { base: Contour::rectangle(-half, half), arms, half, is_relieved: build.is_relieved() })
    }

    /// The boards and the joints between them, as one region, counter-clockwise. Of folding board
    /// the corners of the base between two walls are cut off from wall to wall, so that the creases
    /// end in the open.
    pub fn region(&self) -> Contour {
        let mut outline = Vec::new();
        for (i, side) in ROUND.into_iter().enumerate() {
            let is_between = self.arms.contains_key(&side) && self.arms.contains_key(&ROUND[(i + 3) % 4]);
            if !(self.is_relieved && is_between) {
                outline.push(Vertex::new(self.corner_before(side), 0.0));
            }
            if let Some(arm) = self.arms.get(&side) {
                outline.extend(arm.edge());
            }
        }
        Contour::new(outline).without_straight_vertices()
    }

    /// The rim of the boards and joints, walked counter-clockwise: what cloth is turned in over.
    pub(super) fn rim(&self) -> Vec<(Segment, Beside)> {
        let mut all = Vec::new();
        for (i, side) in ROUND.into_iter().enumerate() {
            match self.arms.get(&side) {
                Some(arm) => arm.rim(side, &mut all),
                None => {
                    let along = Segment::line(self.corner_before(side), self.corner_before(ROUND[(i + 1) % 4]));
                    all.push((along, Beside::Board(Part::Base)));
                }
            }
        }
        all
    }

    /// The width of its joints, mm.
    pub fn joint(&self) -> f64 {
        self.arms.values().next().map_or(0.0, |arm| arm.joint)
    }

    /// The corners of the base at which both sides have a wall.
    pub fn inner_corners(&self) -> Vec<InnerCorner> {
        let mut corners = Vec::new();
        for (i, side) in ROUND.iter().enumerate() {
            let last = ROUND[(i + 3) % 4];
            if let (Some(before), Some(after)) = (self.arms.get(&last), self.arms.get(side)) {
                corners.push(InnerCorner {
                    corner: self.corner_before(*side),
                    sides: [last, *side],
                    wall_ends: [before.wall_end(before.wall.0, true), after.wall_end(after.wall.1, false)],
                });
            }
        }
        corners
    }

    /// The base's corner at which a counter-clockwise walk comes to a side.
    fn corner_before(&self, side: Side) -> Point {
        let h = self.half;
        match side {
            Side::Right => pt(h.x, -h.y),
            Side::Head => pt(h.x, h.y),
            Side::Left => pt(-h.x, h.y),
            Side::Tail => pt(-h.x, -h.y),
        }
    }
}

impl Arm {
    /// The wall's outline in the layout.
    pub fn wall(&self) -> Contour {
        let (from, to) = self.wall;
        Contour::rectangle(pt(from, self.joint), pt(to, self.joint + self.wall_height)).transformed(&self.frame)
    }

    /// The base's edge at this wall, the wall to its right.
    pub fn base_edge(&self) -> Segment {
        self.frame.segment(&Segment::line(pt(self.base_half, 0.0), pt(-self.base_half, 0.0)))
    }

    /// The wall's upper edge, the lid to its right.
    pub fn wall_top(&self) -> Segment {
        let (from, to) = self.wall;
        let y = self.joint + self.wall_height;
        self.frame.segment(&Segment::line(pt(to, y), pt(from, y)))
    }

    /// Where the wall begins and ends along the base edge, in the arm's frame.
    pub fn wall_ends(&self) -> (f64, f64) {
        self.wall
    }

    /// Half the base edge, mm.
    pub fn base_half(&self) -> f64 {
        self.base_half
    }

    /// How far out the base's edge lies from the middle of the base, mm.
    pub fn out(&self) -> f64 {
        self.frame.shift.length()
    }

    /// How far out the wall's foot lies from the base's edge, mm.
    pub fn foot(&self) -> f64 {
        self.joint
    }

    /// The wall's height, mm.
    pub fn wall_height(&self) -> f64 {
        self.wall_height
    }

    /// Where the lid begins and ends along its hinge, in the arm's frame, `beyond` mm past it.
    pub fn lid_width_at(&self, beyond: f64) -> (f64, f64) {
        let ray = Segment::line(pt(-self.base_half - 1.0, beyond), pt(self.base_half + 1.0, beyond));
        let half = self.hinge_half();
        if beyond <= 0.0 {
            return (-half, half);
        }
        let xs: Vec<f64> = self.flap.segments().flat_map(|s| intersections(&ray, &s)).map(|p| p.x).collect();
        let (low, high) = (xs.iter().copied().fold(half, f64::min), xs.iter().copied().fold(-half, f64::max));
        if low < high { (low, high) } else { (-half, half) }
    }

    /// The lid's outline in the arm's frame, its hinge edge moved onto the base edge.
    pub fn lid(&self) -> &Contour {
        &self.flap
    }

    /// The flap's outline in the layout.
    pub fn flap(&self) -> Contour {
        self.flap_in_arm().transformed(&self.frame)
    }

    /// The middle lines of its two joints in the layout, the one at the base first: where the
    /// cloth folds.
    pub fn hinges(&self) -> [Path; 2] {
        let (from, to) = self.wall;
        let half_flap = self.flap.bounds().width().min(2.0 * self.hinge_half()) / 2.0;
        let base_y = self.joint / 2.0;
        let flap_y = self.joint * 1.5 + self.wall_height;
        let line = |a: f64, b: f64, y: f64| Path::line(pt(a, y), pt(b, y)).transformed(&self.frame);
        [
            line((from - self.base_half) / 2.0, (to + self.base_half) / 2.0, base_y),
            line((from - half_flap) / 2.0, (to + half_flap) / 2.0, flap_y),
        ]
    }

    /// The wall's free edge at `x` of the arm's frame, in the layout, running to the base or away.
    fn wall_end(&self, x: f64, to_base: bool) -> Segment {
        let away = Segment::line(pt(x, self.joint), pt(x, self.joint + self.wall_height));
        self.frame.segment(&if to_base { away.reversed() } else { away })
    }

    /// The arm's outer edge from one end of the base edge to the other, its own ends left out.
    fn edge(&self) -> Vec<Vertex> {
        let (from, to) = self.wall;
        let (low, high) = (self.joint, self.joint + self.wall_height);
        let flap = self.flap_in_arm();
        // The flap from the end of its hinge edge round to the beginning.
        let mut round: Vec<Vertex> = flap.started_at(1).vertices().to_vec();
        if let Some(last) = round.last_mut() {
            last.bulge = 0.0;
        }
        let straight = |x, y| Vertex::new(pt(x, y), 0.0);
        [straight(to, low), straight(to, high)]
            .into_iter()
            .chain(round)
            .chain([straight(from, high), straight(from, low)])
            .map(|v| Vertex::new(self.frame.apply(v.point()), v.bulge))
            .collect()
    }

    /// Its part of the rim, from one end of the base's edge to the other.
    fn rim(&self, side: Side, all: &mut Vec<(Segment, Beside)>) {
        let ((from, to), base, half) = (self.wall, self.base_half, self.hinge_half());
        let (low, high, far) = (self.joint, self.joint + self.wall_height, self.joint * 2.0 + self.wall_height);
        let joint = |corners: [Point; 4]| Beside::Joint(corners.map(|p| self.frame.apply(p)));
        let foot = joint([pt(-base, 0.0), pt(base, 0.0), pt(to, low), pt(from, low)]);
        let top = joint([pt(from, high), pt(to, high), pt(half, far), pt(-half, far)]);
        let mut push = |a: Point, b: Point, beside| all.push((self.frame.segment(&Segment::line(a, b)), beside));
        push(pt(base, 0.0), pt(to, low), foot);
        push(pt(to, low), pt(to, high), Beside::Board(Part::Wall(side)));
        push(pt(to, high), pt(half, far), top);
        all.extend(self.flap().segments().skip(1).map(|s| (s, Beside::Board(Part::Lid(side)))));
        let mut push = |a: Point, b: Point, beside| all.push((self.frame.segment(&Segment::line(a, b)), beside));
        push(pt(-half, far), pt(from, high), top);
        push(pt(from, high), pt(from, low), Beside::Board(Part::Wall(side)));
        push(pt(from, low), pt(-base, 0.0), foot);
    }

    fn flap_in_arm(&self) -> Contour {
        self.flap.transformed(&Transform::shift(pt(0.0, 2.0 * self.joint + self.wall_height)))
    }

    fn hinge_half(&self) -> f64 {
        self.flap.vertices().get(1).map_or(0.0, |v| v.x)
    }
}

fn tidy_zero(v: f64) -> f64 {
    if v.abs() < 1e-9 { 0.0 } else { v }
}

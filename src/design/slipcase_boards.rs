//! The boards of a slipcase, and where lining and turned-in cloth lie on them.
//!
//! It is worked out as if it were open to the right and turned to where it is. With t, c, l the thicknesses of board,
//! cloth and liner, W the room along the way in, H across it and D the depth, clearance included (derived; every layer
//! between two boards counted):
//!
//! - at the mouth cloth lies over the liner on all four inner sides: from face to face `D + 2 (l + c)`, from end to end
//!   `H + 2 (l + c)`; behind the cloth there is `2 c` more;
//! - from the back's board to the boards' edges at the mouth it is `W + l - c`, less what stands out: the works lie
//!   against the lining of the back, and end flush with the cloth on the edges;
//! - what lies outside is a board larger on each side that it lies on.
//!
//! With cloth and liner of no thickness, faces and back outside, these are the boards of the University of Brighton's
//! worksheet.

use super::measures::thicknesses;
use crate::assembly::{Panel, Part};
use crate::geom::{Contour, Point, Transform, Vertex, pt, without};
use crate::job::{Job, Side};
use crate::units::Length;

/// How far the lining stays away from the line of a glued edge, mm (our choice: no paper comes between board and board).
pub(super) const OFF_GLUE: f64 = 0.5;
/// A slipcase that is open to the right, mm: x towards the mouth, y across it, z from face to face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlipcaseMeasures {
    /// A face's board.
    pub face: [f64; 2],
    /// The back's board: how long, and how high from face to face.
    pub back: [f64; 2],
    /// An end's board, likewise.
    pub end: [f64; 2],
    /// The boards glued together, outside.
    pub boards: [f64; 3],
    /// The room at the mouth, between the cloth turned in there.
    pub mouth: [f64; 2],
    /// How far in the cloth at the mouth reaches.
    pub turned: f64,
    /// The thumb notches: width and depth.
    pub notch: Option<[f64; 2]>,
    /// Whether the faces lie on the edges of the others.
    pub faces_outside: bool,
    /// Whether the back lies on the edges of the ends.
    pub back_outside: bool,
    /// The side at which it is open.
    pub open: Side,
}

/// The measures of a job's slipcase; `None` for another box.
pub fn measures(job: &Job) -> Option<SlipcaseMeasures> {
    let asked = job.slipcase?;
    let (t, c, l) = thicknesses(job);
    let (t, c, l) = (t.to_mm(), c.to_mm(), l.to_mm());
    let contents = &job.contents;
    let [w, h] = along_across(asked.open, [contents.interior_width(), contents.interior_height()]).map(Length::to_mm);
    let d = contents.interior_depth().to_mm();
    let inner = [w + l - c - asked.stands_out.to_mm(), h + 2.0 * (l + c), d + 2.0 * (l + c)];
    let boards = [inner[0] + t, inner[1] + 2.0 * t, inner[2] + 2.0 * t];
    let (face, high) =
        if asked.faces_outside { ([boards[0], boards[1]], inner[2]) } else { ([inner[0], inner[1]], boards[2]) };
    let (back, end) = if asked.back_outside { (boards[1], inner[0]) } else { (inner[1], boards[0]) };
    Some(SlipcaseMeasures {
        face,
        back: [back, high],
        end: [end, high],
        boards,
        mouth: [h, d],
        turned: job.covering.turn_in.to_mm() - t - c,
        notch: asked.notch.map(|(width, depth)| [width.to_mm(), depth.to_mm()]),
        faces_outside: asked.faces_outside,
        back_outside: asked.back_outside,
        open: asked.open,
    })
}

/// Two figures of the layout, across and up, as they are along the way in and across it; and back.
pub(super) fn along_across<T: Copy>(open: Side, [x, y]: [T; 2]) -> [T; 2] {
    if matches!(open, Side::Left | Side::Right) { [x, y] } else { [y, x] }
}

impl SlipcaseMeasures {
    /// From where it is worked out to the layout.
    pub fn turn(&self) -> Transform {
        Transform { rotation_deg: self.open.outward_deg(), ..Transform::IDENTITY }
    }

    /// Where a side is in the layout that is this one of a case that is open to the right.
    pub fn side(&self, side: Side) -> Side {
        let degrees = (side.outward_deg() + self.open.outward_deg()).rem_euclid(360.0);
        Side::ALL.into_iter().find(|s| (s.outward_deg() - degrees).abs() < 1.0).unwrap_or(side)
    }

    /// The lower face with its notch, its middle at the origin.
    pub(super) fn lower(&self) -> Contour {
        notched(pt(-self.face[0] / 2.0, -self.face[1] / 2.0), pt(self.face[0] / 2.0, self.face[1] / 2.0), self.notch)
    }

    /// What is outside of the boards when they are glued, seen from above, about the lower face: with the notch.
    pub(super) fn plan(&self) -> Contour {
        let right = self.face[0] / 2.0;
        let half = self.boards[1] / 2.0;
        notched(pt(right - self.boards[0], -half), pt(right, half), self.notch)
    }

    /// The boards laid flat about the lower face, each with its part; the upper face beyond the back that holds it.
    pub(super) fn flat(&self) -> Vec<(Part, Contour)> {
        let [x, y] = self.face.map(|f| f / 2.0);
        let high = self.back[1];
        let far = -x - high;
        let end = |from: f64, to: f64| Contour::rectangle(pt(x - self.end[0], from), pt(x, to));
        let mirrored = Transform { mirrored: true, rotation_deg: 0.0, shift: pt(far - x, 0.0) };
        vec![
            (Part::Base, self.lower()),
            (Part::Wall(Side::Left), Contour::rectangle(pt(far, -self.back[0] / 2.0), pt(-x, self.back[0] / 2.0))),
            (Part::Wall(Side::Head), end(y, y + high)),
            (Part::Wall(Side::Tail), end(-y - high, -y)),
            (Part::UpperFace, self.lower().transformed(&mirrored).ccw()),
        ]
    }

    /// What of a board is inside the case, laid flat, still open to the right: what is glued to others is not. A face
    /// and an end stay in by `clear` from those that stand across from them, every edge along the glue by `off`.
    pub(super) fn inside(&self, part: Part, outline: &Contour, t: f64, [clear, off]: [f64; 2]) -> Contour {
        let b = outline.bounds();
        let stood_on = if self.faces_outside { t } else { 0.0 };
        let at_faces = t - stood_on + off;
        match part {
            Part::Base => {
                let by = stood_on + clear;
                notched(b.min + pt(by, by), b.max - pt(0.0, by), self.notch)
            }
            Part::UpperFace => self.as_upper(&self.inside(Part::Base, &self.lower(), t, [clear, off]), outline),
            Part::Wall(Side::Left) => {
                let by = pt(at_faces, if self.back_outside { t } else { 0.0 } + off);
                Contour::rectangle(b.min + by, b.max - by)
            }
            _ => {
                let stood_on = if self.back_outside { 0.0 } else { t };
                Contour::rectangle(b.min + pt(stood_on + clear, at_faces), b.max - pt(0.0, at_faces))
            }
        }
    }

    /// What lies on the lower face as it lies on the upper one, of this outline.
    pub(super) fn as_upper(&self, on_lower: &Contour, outline: &Contour) -> Contour {
        let to = Transform { mirrored: true, rotation_deg: 0.0, shift: outline.bounds().center() };
        on_lower.transformed(&to).ccw()
    }

    /// The cloth that is turned in at the mouth where it lies on the inside of a board, still open to the right.
    pub(super) fn turned_on(&self, part: Part, outline: &Contour, [t, c, l]: [f64; 3]) -> Option<Contour> {
        let b = outline.bounds();
        let (deep, at_ends) = (self.turned, l + if self.faces_outside { t } else { 0.0 });
        let at_faces = l + c + if self.faces_outside { 0.0 } else { t };
        if deep <= 0.0 {
            return None;
        }
        let band = |low: f64, high: f64| Contour::rectangle(pt(b.max.x - deep, low), pt(b.max.x, high));
        match part {
            Part::Base => Some(self.without_notch(band(b.min.y + at_ends, b.max.y - at_ends), b.max.x)),
            Part::UpperFace => Some(self.as_upper(&self.turned_on(Part::Base, &self.lower(), [t, c, l])?, outline)),
            Part::Wall(Side::Head | Side::Tail) => Some(band(b.min.y + at_faces, b.max.y - at_faces)),
            _ => None,
        }
    }

    /// The board of the lower face beside its notch, so wide.
    pub(super) fn beside_notch(&self, wide: f64) -> Option<Contour> {
        let arc = self.lower().segments().find(|s| !s.is_line())?;
        let (center, bulge) = (arc.center()?, arc.bulge);
        let out = |p: Point| p + (p - center).normalized().unwrap_or_default() * wide;
        let outer = [Vertex::new(out(arc.end), -bulge), Vertex::new(out(arc.start), 0.0)];
        Some(Contour::new([Vertex::new(arc.start, bulge), Vertex::new(arc.end, 0.0)].into_iter().chain(outer)).ccw())
    }

    /// A band along the mouth without what the notch takes out of it; where that leaves two parts, the band as it is.
    fn without_notch(&self, band: Contour, mouth: f64) -> Contour {
        let Some([width, depth]) = self.notch.filter(|n| n[1] < self.turned) else { return band };
        let half = width / 2.0;
        let arc = [
            Vertex::new(pt(mouth, half), 0.0),
            Vertex::new(pt(mouth + 1.0, half), 0.0),
            Vertex::new(pt(mouth + 1.0, -half), 0.0),
            Vertex::new(pt(mouth, -half), -depth / half),
        ];
        without(&band, &Contour::new(arc).ccw())
    }
}

/// What a board shows inside the case, in the layout: what is glued to others is not seen, nor where their lining
/// stands; `None` for a box that is no slipcase.
pub fn seen(job: &Job, panel: &Panel) -> Option<Contour> {
    let m = measures(job)?;
    let (t, _, l) = thicknesses(job);
    let own = m.flat().into_iter().find(|(part, _)| placed(&m, *part) == panel.part)?;
    Some(m.inside(own.0, &own.1, t.to_mm(), [l.to_mm(), 0.0]).transformed(&m.turn()))
}

/// A part of a case that is open to the right as it is called in the layout.
pub(super) fn placed(m: &SlipcaseMeasures, part: Part) -> Part {
    match part {
        Part::Wall(side) => Part::Wall(m.side(side)),
        other => other,
    }
}

/// A rectangle with a notch in the middle of its right edge.
fn notched(min: Point, max: Point, notch: Option<[f64; 2]>) -> Contour {
    let Some([width, depth]) = notch else { return Contour::rectangle(min, max) };
    let (half, middle) = (width / 2.0, (min.y + max.y) / 2.0);
    Contour::new([
        Vertex::new(min, 0.0),
        Vertex::new(pt(max.x, min.y), 0.0),
        // Bulge: twice the depth over the width.
        Vertex::new(pt(max.x, middle - half), -depth / half),
        Vertex::new(pt(max.x, middle + half), 0.0),
        Vertex::new(max, 0.0),
        Vertex::new(pt(min.x, max.y), 0.0),
    ])
}

/// Where the works lie in the case: their outline in the layout, as measured, and how high their underside lies.
pub(super) fn works(job: &Job) -> Option<(Contour, f64)> {
    let m = measures(job)?;
    let (t, c, l) = thicknesses(job);
    let [w, h] = along_across(m.open, [job.contents.width, job.contents.height]).map(Length::to_mm);
    // Against the lining of the back.
    let from = m.face[0] / 2.0 - m.boards[0] + (t + l).to_mm();
    let outline = Contour::rectangle(pt(from, -h / 2.0), pt(from + w, h / 2.0));
    Some((outline.transformed(&m.turn()), (t + l + c).to_mm()))
}

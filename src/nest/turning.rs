//! Sheets that are worked from both faces: the first run is made with the sheet's underside up, then the sheet is turned
//! over about its upright axis, and the second run is made as on any sheet.
//!
//! In the first run a place (x, y) of the sheet as it is laid out lies at (W - x, y), W its width. By its corner the sheet
//! lies right both times where W is what the job says: by as much as it is narrower or wider, what the first run cuts lies
//! beside its place. Two holes at (a, y) and (W - a, y) come to lie where the other was, whatever the edges are like
//! (derived).

use super::{Offcut, Placed, Sheet};
use crate::design::Piece;
use crate::diag::{Diagnostic, listed};
use crate::geom::{Bounds, Contour, Point, Transform, pt};
use crate::job::{Job, TurnedBy, Turning};
use crate::units::{Length, Unit, mm};
use serde::Serialize;

/// How a sheet is laid down again after it was turned over.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Turn {
    /// By what.
    pub by: TurnedBy,
    /// How thick its pins would be.
    #[serde(skip)]
    pin_diameter: Length,
    /// The holes that go over pins, where it is laid by such and has room for them.
    pub pins: Option<Pins>,
}

/// Two holes through the waste of a sheet, each the mirror image of the other.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Pins {
    /// How wide they are.
    pub diameter: Length,
    /// Where they lie on the sheet, the left one first.
    pub places: [Point; 2],
}

impl Pins {
    /// Their edges, clockwise as those of holes.
    pub fn holes(&self) -> [Contour; 2] {
        self.places.map(|at| Contour::circle(at, self.diameter.to_mm() / 2.0).cw())
    }
}

/// What is left of the sheet beside a hole, to the next piece and to its edge, mm (our choice: a rim that does not tear).
const CLEAR: f64 = 3.0;
/// How far apart the places are that are tried, mm.
const STEP: f64 = 1.0;

impl Sheet {
    /// Whether anything is cut into its underside.
    fn is_turned(&self, pieces: &[Piece]) -> bool {
        self.placed.iter().any(|p| pieces.get(p.piece).is_some_and(|p| !p.back_pockets.is_empty()))
    }

    /// The sheet with its underside up, turned over about its upright axis, with nothing drawn on it.
    #[must_use]
    pub fn turned_over(&self) -> Self {
        let width = self.width.to_mm();
        let bounds = |b: Bounds| Bounds { min: pt(width - b.max.x, b.min.y), max: pt(width - b.min.x, b.max.y) };
        let placed = |p: &Placed| Placed {
            transform: turned_over(&p.transform, width),
            bounds: bounds(p.bounds),
            marks: Vec::new(),
            ..p.clone()
        };
        Self {
            offcut: self.offcut.map(|o| Offcut { x: self.width - o.x - o.width, ..o }),
            placed: self.placed.iter().map(placed).collect(),
            marks: Vec::new(),
            cuts: Vec::new(),
            ..self.clone()
        }
    }
}

/// A placement, and then the mirror image of it about the middle of a sheet so wide: mirroring turns the other way round.
fn turned_over(t: &Transform, width: f64) -> Transform {
    let rotation_deg = if t.rotation_deg == 0.0 { 0.0 } else { -t.rotation_deg };
    Transform { mirrored: !t.mirrored, rotation_deg, shift: pt(width - t.shift.x, t.shift.y) }
}

/// Says of each sheet that is worked from both faces how it is laid down again, with what there is to say of that.
pub(super) fn turn(sheets: &mut [Sheet], pieces: &[Piece], job: &Job) -> Vec<Diagnostic> {
    let (mut said, mut turned) = (Vec::new(), Vec::new());
    let Turning { by, pin_diameter } = job.turning;
    for sheet in sheets.iter_mut().filter(|s| s.is_turned(pieces)) {
        let found = if by == TurnedBy::Pins { pins(sheet, pin_diameter) } else { None };
        said.extend(found.filter(|(_, is_in_offcut)| *is_in_offcut).map(|_| in_offcut(sheet)));
        sheet.turn = Some(Turn { by, pin_diameter, pins: found.map(|(pins, _)| pins) });
        said.extend(no_room_for_pins(sheet, job.units));
        turned.push((sheet.id.clone(), sheet.width));
    }
    if let Some((_, width)) = turned.first() {
        let ids: Vec<&str> = turned.iter().map(|t| t.0.as_str()).collect();
        said.push(told(&ids, *width, job));
    }
    said
}

/// That a sheet is turned over, and what it must be for that.
fn told(ids: &[&str], width: Length, job: &Job) -> Diagnostic {
    let show = |l: Length| job.units.show(l);
    let which = match ids {
        [one] => format!("{one} is"),
        [one, .., last] if ids.len() > 3 => format!("{one} to {last} are"),
        more => format!("{} are", listed(more)),
    };
    let message = format!(
        "{which} turned over: the recesses in the outside of boards are cut first, from the other face, and its pockets after"
    );
    let d = Diagnostic::hint("sheet-turned", message).at("turning");
    d.help(match job.turning.by {
        TurnedBy::Corner => format!(
            "its lower left corner lies at the same place in both runs, so it must be {} wide, its left and right edges straight and square to its lower one: measure it, and where it differs write what you measure as board.sheet.width; a sheet {} narrower brings the recesses {} out of their place. With turning.by = \"pins\" nothing hangs on its edges",
            show(width),
            show(job.units.bench_step()),
            show(job.units.bench_step())
        ),
        TurnedBy::Pins => format!(
            "its two holes go over pins of {} in the bed; put these in before it is lifted off",
            show(job.turning.pin_diameter)
        ),
    })
}

fn in_offcut(sheet: &Sheet) -> Diagnostic {
    let message = format!("a pin's hole lies in the offcut of {}: there is no room for it elsewhere", sheet.id);
    Diagnostic::hint("pin-in-offcut", message).at("turning.by").help("cut it off when you keep the rest")
}

/// That a sheet is to go over pins and has no room for them: nothing is to be cut of it then.
pub fn no_room_for_pins(sheet: &Sheet, unit: Unit) -> Option<Diagnostic> {
    let diameter = sheet.turn.filter(|t| t.by == TurnedBy::Pins && t.pins.is_none())?.pin_diameter;
    let show = |l: Length| unit.show(l);
    let message = format!(
        "{} has no room in its waste for two holes of {}, the one as far from the left edge as the other from the right",
        sheet.id,
        show(diameter)
    );
    let d = Diagnostic::error("no-room-for-pins", message).at("turning.by");
    // In a rim so wide there is always room.
    let rim = show(diameter + mm(2.0 * CLEAR));
    Some(d.help(format!("write board.margin = \"{rim}\", take thinner pins, or write turning.by = \"corner\"")))
}

/// Where two holes have room, as far apart as may be, and off the middle of the sheet's height, so that a sheet that is
/// turned end for end does not go over the pins; and whether one of them lies in the offcut, which is only where there is no room
/// elsewhere.
fn pins(sheet: &Sheet, diameter: Length) -> Option<(Pins, bool)> {
    let find = |spares_offcut: bool| {
        let [w, h] = [sheet.width.to_mm(), sheet.height.to_mm()];
        let reach = diameter.to_mm() / 2.0 + CLEAR;
        // What must lie in the offcut lies where least of it is lost: beside the pieces.
        let near = sheet.offcut.filter(|_| !spares_offcut).map_or(h / 2.0, |o| o.y.to_mm());
        let mut taken: Vec<Bounds> = sheet.placed.iter().map(|p| p.bounds.grown(reach)).collect();
        if spares_offcut {
            taken.extend(sheet.offcut.map(|o| o.bounds().grown(diameter.to_mm() / 2.0)));
        }
        let mut x = reach;
        while x <= w / 4.0 {
            if let Some(y) = height([x, w - x], [near, h], (reach, diameter.to_mm()), &taken) {
                return Some(Pins { diameter, places: [pt(x, y), pt(w - x, y)] });
            }
            x += STEP;
        }
        None
    };
    find(true).map(|pins| (pins, false)).or_else(|| find(false).map(|pins| (pins, sheet.offcut.is_some())))
}

/// How high both holes lie on a sheet so high: as near to a place as what is taken leaves, and not in the middle.
fn height(xs: [f64; 2], [near, h]: [f64; 2], (reach, off): (f64, f64), taken: &[Bounds]) -> Option<f64> {
    let beside = |b: &&Bounds| xs.iter().any(|x| b.min.x < *x && *x < b.max.x);
    let mut shut: Vec<[f64; 2]> = taken.iter().filter(beside).map(|b| [b.min.y, b.max.y]).collect();
    shut.push([h / 2.0 - off, h / 2.0 + off]);
    let is_free = |y: f64| y >= reach && y <= h - reach && shut.iter().all(|[low, high]| y <= *low || y >= *high);
    let tried = shut.iter().flatten().copied().chain([reach, h - reach]).filter(|y| is_free(*y));
    tried.min_by(|a, b| (a - near).abs().total_cmp(&(b - near).abs()).then(a.total_cmp(b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::StockKind;

    /// A placement followed by the mirror, point by point.
    #[test]
    fn a_turned_sheet_has_every_point_where_its_mirror_is() {
        for mirrored in [false, true] {
            for rotation_deg in [0.0, 90.0, 180.0, 270.0, 33.0] {
                let t = Transform { mirrored, rotation_deg, shift: pt(120.0, 70.0) };
                let over = turned_over(&t, 700.0);
                for p in [pt(3.0, 5.0), pt(-20.0, 11.0), pt(0.0, -4.0)] {
                    let (q, r) = (t.apply(p), over.apply(p));
                    assert!((r.x - (700.0 - q.x)).abs() < 1e-9 && (r.y - q.y).abs() < 1e-9, "{t:?} {p:?}");
                }
            }
        }
    }

    fn sheet(pieces: &[[f64; 4]]) -> Sheet {
        let placed = |&[x, y, w, h]: &[f64; 4]| Placed {
            piece: 0,
            copy: 1,
            transform: Transform::IDENTITY,
            bounds: Bounds { min: pt(x, y), max: pt(x + w, y + h) },
            marks: Vec::new(),
        };
        let bare = Sheet::bare("board-1", StockKind::Board, [mm(400.0), mm(300.0), mm(2.0)]);
        Sheet { placed: pieces.iter().map(placed).collect(), ..bare }
    }

    #[test]
    fn pins_are_mirror_images_clear_of_everything_and_off_the_middle() {
        // A rim of 12 mm holds holes of 6 mm with 3 mm on either side, at 6 mm from the edge: as far apart as can be.
        let (found, _) = pins(&sheet(&[[12.0, 12.0, 376.0, 276.0]]), mm(6.0)).unwrap();
        assert_eq!(found.places, [pt(6.0, 144.0), pt(394.0, 144.0)]);
        // A rim of 11 mm does not.
        assert!(pins(&sheet(&[[11.0, 11.0, 378.0, 278.0]]), mm(6.0)).is_none());
        // Where the one side is free and the other is not there is no place for either.
        let (found, _) = pins(&sheet(&[[6.0, 6.0, 150.0, 100.0], [200.0, 6.0, 194.0, 230.0]]), mm(6.0)).unwrap();
        assert_eq!(found.places, [pt(6.0, 242.0), pt(394.0, 242.0)]);
    }
}

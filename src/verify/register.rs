//! Sheets in register, as the proof sees them: the nominal pieces brought to where the manifest says that a sheet
//! lies, by code of its own, and that place held against the marks.
//!
//! No fit is made here. Of the maps of its kind the best is the one whose left-over distances `r` at the marks
//! satisfy the normal equations (with `u` the marks' distances from their middle, as the map turns and stretches them):
//! `sum r = 0` for the move, `sum u x r = 0` for a turn, `sum u.r = 0` for one scale besides, and `sum r u' = 0` for
//! any matrix. A figure that was changed breaks one of them, or the distance that is told at a mark.

use super::account::wrong;
use super::nominal::{Edge, Nominal, NominalPiece, Wanted};
use super::read::manifest::{ListedRegister, Manifest};
use super::{Finding, Many};
use crate::geom::{Bounds, Contour, Path, Point, Segment, Stroke, Vertex, pt};
use crate::units::decimal;
use std::collections::BTreeSet;

/// Arcs that a map bends are followed in parts of this sweep at the most, radians: of a map of 2 % an arc of a metre's
/// radius strays there by less than a micrometre.
const PART: f64 = 0.05;
/// What a print may be off at a mark, mm, be stretched, turned (degrees) and lean: what `export` refuses beyond.
const MOST: (f64, f64, f64, f64) = (0.5, 0.02, 10.0, 1.0);

/// A map, its columns and its move.
struct Map {
    right: Point,
    up: Point,
    shift: Point,
}

impl Map {
    fn of(r: &ListedRegister) -> Self {
        let [[a, b], [c, d]] = r.matrix;
        Self { right: pt(a, c), up: pt(b, d), shift: pt(r.shift[0], r.shift[1]) }
    }

    fn of_distance(&self, v: Point) -> Point {
        self.right * v.x + self.up * v.y
    }

    fn of_place(&self, p: Point) -> Point {
        self.of_distance(p) + self.shift
    }

    fn is_mirror(&self) -> bool {
        self.right.cross(self.up) < 0.0
    }

    /// Whether right angles and proportions stay.
    fn keeps_angles(&self) -> bool {
        let lengths = self.right.dot(self.right) - self.up.dot(self.up);
        lengths.abs() < 1e-11 && self.right.dot(self.up).abs() < 1e-11
    }

    /// The direction in which a line that runs in `heading` runs afterwards.
    fn of_heading(&self, heading: f64) -> f64 {
        self.of_distance(Point::unit(heading)).heading()
    }

    /// What becomes of a segment, round `origin`.
    fn of_segment(&self, s: &Segment, origin: Point) -> Vec<Segment> {
        let at = |p: Point| self.of_place(p - origin) + origin;
        if s.is_line() {
            return vec![Segment::line(at(s.start), at(s.end))];
        }
        if self.keeps_angles() {
            let bulge = if self.is_mirror() { -s.bulge } else { s.bulge };
            return vec![Segment { start: at(s.start), end: at(s.end), bulge }];
        }
        let n = (s.sweep().abs() / PART).ceil().max(1.0);
        let part = |i: usize| {
            let (from, to) = (i as f64 / n, (i + 1) as f64 / n);
            let ends = |t: f64| (at(s.point_at(t)), self.of_heading(s.heading_at(t)));
            let ((start, out), (end, into)) = (ends(from), ends(to));
            // The arc that leaves one end and comes into the other as the line does turns by as much.
            let turn =
                (into - out + 3.0 * std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI;
            Segment { start, end, bulge: (turn / 4.0).tan() }
        };
        (0..n as usize).map(part).collect()
    }

    fn of_contour(&self, c: &Contour, origin: Point) -> Contour {
        let all = c.segments().flat_map(|s| self.of_segment(&s, origin));
        let moved = Contour::new(all.map(|s| Vertex::new(s.start, s.bulge)));
        // Outlines stay counter-clockwise and openings clockwise.
        if self.is_mirror() { moved.reversed() } else { moved }
    }

    fn of_stroke(&self, line: &Stroke, origin: Point) -> Stroke {
        match line {
            Stroke::Closed(c) => Stroke::Closed(self.of_contour(c, origin)),
            Stroke::Open(p) => {
                let all: Vec<Segment> = p.segments().flat_map(|s| self.of_segment(&s, origin)).collect();
                Stroke::Open(Path::along(&all))
            }
        }
    }
}

/// A sheet as it should come off the bed where it lies, its corner's place on this machine at `origin`.
pub(super) fn in_register(nominal: &Nominal, r: &ListedRegister, origin: Point) -> Nominal {
    let map = Map::of(r);
    let piece = |p: &NominalPiece| {
        let outline = map.of_contour(&p.outline, origin);
        NominalPiece {
            name: p.name.clone(),
            bounds: outline.bounds(),
            outline,
            holes: p.holes.iter().map(|h| map.of_contour(h, origin)).collect(),
        }
    };
    let line = |l: &Wanted| Wanted { stroke: map.of_stroke(&l.stroke, origin), ..l.clone() };
    let Bounds { min, max } = nominal.sheet;
    let edge = map.of_contour(&Contour::rectangle(min, max), origin).ccw();
    Nominal {
        stock: nominal.stock,
        thickness: nominal.thickness,
        sheet: edge.bounds(),
        edge: Some(Edge::new(edge)),
        pieces: nominal.pieces.iter().map(piece).collect(),
        lines: nominal.lines.iter().map(line).collect(),
    }
}

/// What is wrong with what the manifest says of sheets in register.
pub(super) fn check(manifest: &Manifest) -> Vec<Finding> {
    let mut out = Many::default();
    let mut seen = BTreeSet::new();
    for r in &manifest.registers {
        let of = format!("{} on {}", r.sheet, r.machine);
        if !seen.insert((r.sheet.as_str(), r.machine.as_str())) {
            out.push(wrong(format!("where {of} lies stands there twice")));
        }
        if !manifest.programs.iter().any(|p| p.sheet == r.sheet && p.machine == r.machine) {
            out.push(wrong(format!("it says where {of} lies, and there is no program for it")));
        }
        for finding in faults(r) {
            out.push(finding(&of));
        }
    }
    out.into_vec()
}

type Told = Box<dyn Fn(&str) -> Finding>;

fn told(what: String) -> Told {
    Box::new(move |of| wrong(format!("where {of} is said to lie, {what}")))
}

fn faults(r: &ListedRegister) -> Vec<Told> {
    let map = Map::of(r);
    let mut faults: Vec<Told> = Vec::new();
    let least = if r.stretch == "any" { 3 } else { 2 };
    if r.marks.len() < least || r.marks.len() > 4 {
        faults.push(told(format!("{} marks do not tell it", r.marks.len())));
        return faults;
    }
    let place = |p: [f64; 2]| pt(p[0], p[1]);
    let n = r.marks.len() as f64;
    let middle = r.marks.iter().fold(pt(0.0, 0.0), |sum, m| sum + place(m.at)) * (1.0 / n);
    let (mut sum, mut turn, mut scale, mut rows, mut reach) = (pt(0.0, 0.0), 0.0, 0.0, [pt(0.0, 0.0); 2], 1.0f64);
    for m in &r.marks {
        let off = place(m.measured) - map.of_place(place(m.at));
        if (off.length() - m.residual).abs() > ROUNDING {
            let (is, said) = (decimal(off.length(), 4), decimal(m.residual, 4));
            faults.push(told(format!("mark {} is {is} mm off, and is said to be {said}", m.name)));
        }
        if off.length() > MOST.0 + ROUNDING {
            faults.push(told(format!("mark {} is {} mm off, which is too far", m.name, decimal(off.length(), 2))));
        }
        let u = place(m.at) - middle;
        let moved = map.of_distance(u);
        reach = reach.max(u.length());
        sum = sum + off;
        turn += moved.cross(off);
        scale += moved.dot(off);
        rows = [rows[0] + u * off.x, rows[1] + u * off.y];
    }
    // What the rounding of a figure makes.
    let little = ROUNDING * n * reach;
    let is_best = match r.stretch.as_str() {
        "none" => turn.abs() < little,
        "even" => turn.abs() < little && scale.abs() < little,
        _ => rows.iter().all(|row| row.x.abs() < little && row.y.abs() < little),
    };
    if sum.length() > ROUNDING * n || !is_best {
        faults.push(told("another place fits its marks better".into()));
    }
    let lengths = [map.right.length(), map.up.length()];
    let is_stiff = lengths.iter().all(|l| (l - 1.0).abs() < 1e-9) && map.keeps_angles();
    let is_kind = match r.stretch.as_str() {
        "none" => is_stiff,
        "even" => map.keeps_angles(),
        "any" => true,
        _ => false,
    };
    if !is_kind || map.is_mirror() != r.turned_over {
        faults.push(told("it is stretched or turned over otherwise than it says".into()));
    }
    // Turned over first: then what runs to the right runs to the left on the layout.
    let right = if r.turned_over { pt(0.0, 0.0) - map.right } else { map.right };
    let (is_turned, leans) = (right.heading().to_degrees(), right.dot(map.up).atan2(right.cross(map.up)).to_degrees());
    let is_scale = |said: f64, is: f64| r.stretch == "none" || (said - is).abs() < 1e-7;
    let figures = (is_turned - r.turn).abs() < 1e-5
        && (leans - r.shear).abs() < 1e-5
        && r.scales.iter().zip(lengths).all(|(said, is)| is_scale(*said, is));
    let limits = r.turn.abs() <= MOST.2 + 1e-5
        && r.shear.abs() <= MOST.3 + 1e-5
        && r.scales.iter().all(|s| (s - 1.0).abs() <= MOST.1 + 1e-7)
        && lengths.iter().all(|s| (s - 1.0).abs() <= MOST.1 + 1e-7);
    if !figures || !limits {
        faults.push(told("its turn, scale or shear is not that of its map, or more than a sheet's".into()));
    }
    if r.stretch == "none" {
        // The scale that is told and not made use of: how far marks are from their middle, measured and nominal.
        let measured = r.marks.iter().fold(pt(0.0, 0.0), |sum, m| sum + place(m.measured)) * (1.0 / n);
        let along = |m: &super::read::manifest::RegisterMark| {
            map.of_distance(place(m.at) - middle).dot(place(m.measured) - measured)
        };
        let (top, size): (f64, f64) = (
            r.marks.iter().map(along).sum(),
            r.marks.iter().map(|m| (place(m.at) - middle).dot(place(m.at) - middle)).sum(),
        );
        if size > 0.0 && r.scales.iter().any(|s| (s - top / size).abs() > 1e-7) {
            faults.push(told("the scale between its marks is not what they say".into()));
        }
    }
    faults
}

/// How exactly a distance at a mark is told, mm: six decimals.
const ROUNDING: f64 = 2e-6;

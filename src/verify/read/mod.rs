//! Readers of their own: programs as the moves that a controller makes of them, drawings and the
//! manifest. They share no code with the writers.

mod closings;
mod dressed;
pub mod dxf;
pub mod gcode;
pub mod hpgl;
mod inside;
mod lexical;
pub mod manifest;
mod modal;
mod packed;
pub mod svg;
mod turned;
mod vocabulary;

pub use packed::{PACKED, unpacked};
pub use vocabulary::Vocabulary;

use super::Finding;
use super::place::{Coordinates, Count};
use crate::geom::{Point, Segment, pt};
use crate::profile::{BedPlace, Language, Machine, Profile, Way};

/// Where the machine is: mm on the bed from its lower left corner (while a program is being read, in
/// the machine's own coordinates); the blade's heading in degrees counter-clockwise from the right
/// (from +x), the rotary word's scale taken out. NaN where the program has not yet
/// said it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// To the right.
    pub x: f64,
    /// Up the bed.
    pub y: f64,
    /// Up.
    pub z: f64,
    /// The rotary axis.
    pub turn: f64,
}

impl Position {
    /// Its x and y.
    pub fn xy(&self) -> Point {
        pt(self.x, self.y)
    }
}

/// What a move is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// As fast as the machine goes.
    Rapid,
    /// Straight, at the feed.
    Line,
    /// An arc of this bulge, at the feed. A full circle comes as two halves.
    Arc {
        /// `tan(sweep / 4)`, positive counter-clockwise.
        bulge: f64,
        /// How far the radii at its two ends differ as written, mm.
        apart: f64,
    },
    /// A wait in seconds.
    Dwell(f64),
    /// The rotary axis alone; its feed is in degrees a minute.
    Turn,
    /// The tool starts. The rules of the profile that these words belong to, a bit each; 0 where
    /// they belong to none.
    On {
        /// One bit for each rule.
        rules: u64,
    },
    /// The tool stops.
    Off,
    /// Another tool, its place in the profile's tools, is fitted.
    Change(u16),
    /// The program's last word.
    End,
}

/// One move of the machine, or one thing that happens at a standstill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// What it is.
    pub kind: Kind,
    /// The line of the file, from 1.
    pub line: u32,
    /// Where it starts.
    pub from: Position,
    /// Where it ends.
    pub to: Position,
    /// mm a minute, degrees a minute for a turn; NaN where the program has not said one.
    pub feed: f64,
}

impl Move {
    /// Its way over the bed.
    pub fn segment(&self) -> Segment {
        let bulge = if let Kind::Arc { bulge, .. } = self.kind { bulge } else { 0.0 };
        Segment { start: self.from.xy(), end: self.to.xy(), bulge }
    }

    /// Whether it goes over the bed to a place that is known.
    pub fn goes_to_a_place(&self) -> bool {
        self.to.x.is_finite() && self.to.y.is_finite() && self.goes_sideways()
    }

    /// Whether it goes over the bed, rather than only up, down or round.
    pub fn goes_sideways(&self) -> bool {
        // Unlike what is not known: from there it may go anywhere.
        !matches!((self.from.x - self.to.x, self.from.y - self.to.y), (dx, dy) if dx == 0.0 && dy == 0.0)
    }
}

/// A program as read.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// Every move, in order.
    pub moves: Vec<Move>,
    /// Every comment with its line, from 1. Nothing is ever concluded from one.
    pub comments: Vec<(u32, String)>,
    /// What is wrong with the text itself.
    pub findings: Vec<Finding>,
    /// That it counts in another unit than the profile's programs do, where it says so first.
    pub other_unit: Option<Finding>,
    /// What its numbers count.
    pub count: Count,
    /// In what it tells places.
    pub coordinates: Coordinates,
    /// How many lines it has.
    pub lines: u32,
}

/// What is known of a program before it is read.
#[derive(Clone, Copy, Debug)]
pub struct Expectation<'a> {
    /// The machine that is to run it.
    pub profile: &'a Profile,
    /// The first tool's place in the profile's tools.
    pub first_tool: u16,
    /// The sheet's id, for the profile's placeholders.
    pub sheet: &'a str,
    /// The job's title, likewise.
    pub title: &'a str,
    /// The Z of safe height, mm.
    pub safe_z: f64,
}

/// Reads a program in the language of its machine. Its moves lie on the bed as one stands before
/// it, counted from its lower left corner, whatever the machine's own coordinates.
pub fn program(bytes: &[u8], expect: &Expectation<'_>) -> Reading {
    let mut reading = match expect.profile.output.language {
        Language::Gcode => gcode::read(bytes, expect),
        Language::Hpgl => hpgl::read(bytes, expect),
    };
    let machine = &expect.profile.machine;
    let corner = on_bed(machine, pt(0.0, 0.0));
    let (x, y) = (on_bed(machine, pt(1.0, 0.0)) - corner, on_bed(machine, pt(0.0, 1.0)) - corner);
    let (zero, is_mirrored) = (heading_of_x(machine), x.x * y.y - x.y * y.x < 0.0);
    let laid = |p: Position| {
        let on = on_bed(machine, p.xy());
        Position { x: on.x, y: on.y, turn: p.turn + zero, ..p }
    };
    for m in &mut reading.moves {
        (m.from, m.to) = (laid(m.from), laid(m.to));
        if let Kind::Arc { bulge, .. } = &mut m.kind
            && is_mirrored
        {
            *bulge = -*bulge;
        }
    }
    reading.coordinates = Coordinates::new(|p| on_bed(machine, p), reading.count);
    reading
}

/// Where a place in the machine's own coordinates lies on the bed, mm; what is not known stays so.
pub(super) fn on_bed(machine: &Machine, place: Point) -> Point {
    let (w, h) = (machine.width.to_mm(), machine.height.to_mm());
    let mut at = match machine.zero {
        BedPlace::LowerLeft => pt(0.0, 0.0),
        BedPlace::LowerRight => pt(w, 0.0),
        BedPlace::UpperLeft => pt(0.0, h),
        BedPlace::UpperRight => pt(w, h),
        BedPlace::Centre => pt(w * 0.5, h * 0.5),
    };
    for (value, way) in [(place.x, machine.x_points), (place.y, machine.y_points)] {
        match way {
            Way::Right => at.x += value,
            Way::Left => at.x -= value,
            Way::Up => at.y += value,
            Way::Down => at.y -= value,
        }
    }
    at
}

/// Which way +x points on the bed, degrees counter-clockwise from the right: headings of the
/// machine's own count from there.
pub(super) fn heading_of_x(machine: &Machine) -> f64 {
    match machine.x_points {
        Way::Right => 0.0,
        Way::Up => 90.0,
        Way::Left => 180.0,
        Way::Down => 270.0,
    }
}

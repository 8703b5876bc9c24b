//! A machine as its owner describes it: a TOML file read, checked and filled with defaults.
//!
//! The file format is declared in `keys.rs`, its meaning is checked in `check.rs` and the files
//! under it; this file is the checked machine. Lengths are mm and speeds mm/min whatever the job's
//! units. As JSON a profile has the nesting and the key names of its TOML file.

mod build;
mod capability;
mod check;
mod describe;
mod frame;
mod keys;
mod language;
mod placeholder;
mod shipped;
mod words;

pub use capability::{Ability, Capability, depth_check, operation_depth_check};
pub use check::read;
pub use describe::describe;
pub use keys::TABLE;
pub use language::{Language, Terms};
pub use placeholder::{Placeholder, fill};
pub use shipped::shipped;
pub use words::{
    ArcCentres, BedPlace, Comments, CutDirection, DwellUnit, Finish, Hold, Lift, LineEnding, OperationKind,
    ProgramUnit, ToolChange, ToolKind, Way, ZZero,
};

use crate::diag::Places;
use crate::job::StockKind;
use crate::units::{Angle, Feed, Length};
use serde::Serialize;

/// A machine, its tools and the rules for using them.
#[derive(Clone, Debug, Serialize)]
pub struct Profile {
    /// The version of the file format.
    pub format: u32,
    /// A short name for file names, from the profile's own file name: `oscillating-knife-table`.
    #[serde(skip)]
    pub id: String,
    /// The name for people.
    pub name: String,
    /// Warnings for the person at the machine, in every program's header.
    pub cautions: Vec<String>,
    /// The machine itself.
    pub machine: Machine,
    /// How its programs are written.
    pub output: Output,
    /// Its tools.
    #[serde(rename = "tool")]
    pub tools: Vec<Tool>,
    /// Which tool does what, and how.
    #[serde(rename = "rule")]
    pub rules: Vec<Rule>,
    /// Where each key stands in the file.
    #[serde(skip)]
    pub places: Places,
}

/// Travel, heights and speeds.
#[derive(Clone, Debug, Serialize)]
pub struct Machine {
    /// Travel from left to right, as one stands before the bed.
    pub width: Length,
    /// Travel away from one.
    pub height: Length,
    /// Where on the bed X0 Y0 lies.
    pub zero: BedPlace,
    /// Which way X counts up.
    pub x_points: Way,
    /// Which way Y counts up.
    pub y_points: Way,
    /// Whether the program moves a Z axis. Without one, tools go up and down by their words.
    pub z_axis: bool,
    /// Where Z0 is.
    pub z_zero: ZZero,
    /// Above the stock's top, for every traverse.
    pub safe_height: Length,
    /// Where the machine rests at the end, x and y in its own coordinates.
    pub park: [Length; 2],
    /// Where the sheet's lower left corner lies: to the right of the bed's and up from it.
    pub origin: [Length; 2],
    /// Speed of a traverse.
    pub rapid: Feed,
    /// Speed of Z when lifting and approaching.
    pub rapid_z: Feed,
    /// mm/s2, along the path.
    pub acceleration: f64,
    /// How far a corner may be rounded by a controller that does not stop there.
    pub junction_deviation: Length,
    /// Blocks read ahead.
    pub look_ahead: u32,
    /// How far the rotary axis turns either way before it must be unwound; zero is endless.
    pub rotary_limit: Angle,
    /// Speed of the rotary axis, degrees a minute.
    pub rotary_speed: f64,
    /// How far the proof may find a cut from where it should be.
    pub tolerance: Length,
    /// How the stock is held.
    pub hold: Hold,
}

impl Machine {
    /// Whether a sheet of this width and height lies within its travel, where it is laid.
    pub fn holds(&self, [width, height]: [Length; 2]) -> bool {
        let slack = crate::units::mm(1e-6);
        let fits = |size: Length, origin: Length, travel: Length| origin + size <= travel + slack;
        fits(width, self.origin[0], self.width) && fits(height, self.origin[1], self.height)
    }
}

/// How programs are written.
#[derive(Clone, Debug, Serialize)]
pub struct Output {
    /// The language.
    pub language: Language,
    /// Of the files, without the dot.
    pub extension: String,
    /// The unit of its numbers.
    pub unit: ProgramUnit,
    /// HP-GL: the length of a step.
    pub step: Length,
    /// Decimals of a coordinate.
    pub decimals: u32,
    /// Whether G2 and G3 are written; otherwise chords.
    pub arcs: bool,
    /// What I and J of an arc are.
    pub arc_centres: ArcCentres,
    /// How far chords may stray from an arc.
    pub chord: Length,
    /// The word of the rotary axis; `None` where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rotary: Option<String>,
    /// What an angle in degrees is multiplied by for that word; negative turns the other way.
    pub rotary_scale: f64,
    /// The step of N words; 0 for none.
    pub line_numbers: u32,
    /// How comments are written.
    pub comments: Comments,
    /// How lines end.
    pub line_ending: LineEnding,
    /// The most characters in a line; 0 for no limit.
    pub line_limit: u32,
    /// The unit of a dwell.
    pub dwell: DwellUnit,
    /// Whether the program stands between two % lines.
    pub percent: bool,
    /// The first lines. Placeholders: {title}, {sheet}, {safe_z}.
    pub start: Vec<String>,
    /// The last lines, with the same placeholders.
    pub end: Vec<String>,
    /// What happens between tools.
    pub tool_change: ToolChange,
    /// The lines of a tool change; see [`Placeholder`] for what may stand in them.
    pub change: Vec<String>,
}

impl Output {
    /// Whether arcs are written as arcs, and not as chords.
    pub fn writes_arcs(&self) -> bool {
        self.arcs && self.language.terms().has_arcs
    }

    /// The least by which two coordinates of a program differ: its last decimal, or a plotter's step.
    pub fn resolution(&self) -> Length {
        if self.language.terms().has_units {
            self.unit.length() * 10f64.powi(-(self.decimals.min(8) as i32))
        } else {
            self.step
        }
    }
}

/// A tool.
#[derive(Clone, Debug, Serialize)]
pub struct Tool {
    /// Its name in the rules.
    pub id: String,
    /// What it is.
    pub kind: ToolKind,
    /// Its number, for a changer or as the plotter's pen.
    pub number: u32,
    /// The total width it takes; a router's bit diameter.
    pub kerf: Length,
    /// Drag knife: how far the tip trails the pivot.
    pub pivot_offset: Length,
    /// Degrees counter-clockwise from +x at program start, seen from above.
    pub start_heading: Angle,
    /// Tangential knife: the edge's angle from the vertical.
    pub edge_angle: Angle,
    /// A blade or wheel: how long it is along its way where it stands in the stock.
    pub blade_width: Length,
    /// The deepest it may cut.
    pub max_depth: Length,
    /// Drag knife: how deep the tip stays while it swivels; `None` for the full depth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swivel_depth: Option<Length>,
    /// Whether it goes up and down by the Z axis or by its `on` and `off` words (a servo, a solenoid).
    pub lift: Lift,
    /// Seconds to wait after `on`.
    pub on_dwell: f64,
    /// Seconds to wait after `off`.
    pub off_dwell: f64,
    /// The lines that start it. Placeholders: {power}, {speed}, {tool}, {number}.
    pub on: Vec<String>,
    /// The lines that stop it. Placeholders: {tool}, {number}.
    pub off: Vec<String>,
}

/// Which tool does an operation on a stock, and how.
#[derive(Clone, Debug, Serialize)]
pub struct Rule {
    /// The operation.
    pub operation: OperationKind,
    /// The stock.
    pub stock: StockKind,
    /// Whether it is the liner's, because the profile has none of its own for the paper.
    #[serde(skip)]
    pub is_lent: bool,
    /// The tool's id.
    pub tool: String,
    /// Speed along the path.
    pub feed: Feed,
    /// Speed into the stock.
    pub plunge: Feed,
    /// The most that one pass takes.
    pub pass_depth: Length,
    /// How far the last pass goes below the stock, into the bed's mat.
    pub extra_depth: Length,
    /// How deep a wheel or pen presses; only for creases and marks.
    pub depth: Length,
    /// Passes over the same line at the same depth (beam, wheel).
    pub passes: u32,
    /// How far a closed contour is run past its start.
    pub overrun: Length,
    /// Above it the blade is lifted and turned, or swivelled.
    pub corner_limit: Angle,
    /// Speed of a turn, degrees a minute.
    pub turn_feed: f64,
    /// Tangential knife: which face a corner is finished on.
    pub finish: Finish,
    /// For the {power} placeholder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub power: Option<f64>,
    /// For the {speed} placeholder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed: Option<f64>,
    /// Beam: length of the lead-in and lead-out, in waste.
    pub lead: Length,
    /// Holding bridges per contour.
    pub bridges: u32,
    /// Their width.
    pub bridge_width: Length,
    /// Their height above the bed; zero for the full thickness.
    pub bridge_height: Length,
    /// Pocket: the distance between two strips or lines.
    pub hatch: Length,
    /// Pocket by knife: no strip narrower than this.
    pub least_strip: Length,
    /// Pocket by router: the share of the bit that each turn takes.
    pub step_over: f64,
    /// Router: the angle of a ramped entry; zero plunges.
    pub ramp: Angle,
    /// Router: which way round.
    pub direction: CutDirection,
    /// Router: whether inner corners are opened by a relief.
    pub corner_relief: bool,
    /// Crease: two lines this far apart; zero for one.
    pub double: Length,
    /// Crease or mark: pattern of lengths on and off; empty for a whole line.
    pub pattern: Vec<Length>,
}

impl Profile {
    /// Where a rule stands in the file, counted as the file counts: of one that is lent, the liner's.
    pub fn written_at(&self, rule: usize) -> usize {
        let Some(lent) = self.rules.get(rule).filter(|r| r.is_lent) else { return rule };
        let is_it = |r: &Rule| r.operation == lent.operation && r.stock == StockKind::Liner;
        self.rules.iter().position(is_it).unwrap_or(rule)
    }

    /// The rule for an operation on a stock, with its tool's place in [`Profile::tools`].
    pub fn rule(&self, operation: OperationKind, stock: StockKind) -> Option<(&Rule, usize)> {
        let rule = self.rules.iter().find(|r| r.operation == operation && r.stock == stock)?;
        let tool = self.tools.iter().position(|t| t.id == rule.tool)?;
        Some((rule, tool))
    }
}

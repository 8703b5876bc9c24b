//! A profile and operations for the tests of compensation, motion and writers.

use super::{Ground, Task};
use crate::geom::{Contour, Stroke};
use crate::job::StockKind;
use crate::nest::Sheet;
use crate::ops::{Keep, Operation, SheetOps};
use crate::profile::*;
use crate::units::{deg, mm, mm_per_min};

/// A cut through 2 mm board of a piece called base.
pub(crate) fn cut_of(contour: Contour, keep: Keep) -> Operation {
    op_of(Stroke::Closed(contour), OperationKind::ThroughCut, keep, 0)
}

/// Any operation on a piece called base.
pub(crate) fn op_of(stroke: Stroke, kind: OperationKind, keep: Keep, index: u32) -> Operation {
    let depth = match kind {
        OperationKind::ThroughCut => mm(2.0),
        OperationKind::HalfDepthPocket => mm(1.0),
        OperationKind::CreaseScore | OperationKind::Mark => mm(0.0),
    };
    Operation { kind, piece: "base".into(), copy: 1, index, keep, stroke, depth, grain_deg: None }
}

/// The operations on a sheet of 2 mm board, 700 x 1000.
pub(crate) fn sheet(operations: Vec<Operation>) -> SheetOps {
    SheetOps {
        sheet: Sheet::bare("board-1", StockKind::Board, [mm(700.0), mm(1000.0), mm(2.0)]).into(),
        operations,
        shared: Vec::new(),
        first: None,
        is_first_side: false,
        later: Vec::new(),
        moved: None,
    }
}

/// The task that `follow` gets for an operation on `sheet`, its line nominal.
pub(crate) fn task<'a>(op: &'a Operation, profile: &'a Profile, ground: &'a Ground) -> Task<'a> {
    let rule = profile.rules.iter().find(|r| r.operation == op.kind).expect("a rule for the operation");
    let tool = profile.tools.iter().find(|t| t.id == rule.tool).expect("the rule's tool");
    Task {
        op,
        line: &op.stroke,
        rule,
        tool,
        machine: &profile.machine,
        thickness: 2.0,
        ground,
        rotary: profile.output.rotary.is_some(),
    }
}

/// A machine of one tool of this kind that does all four operations on board.
pub(crate) fn profile(kind: ToolKind) -> Profile {
    let all =
        [OperationKind::Mark, OperationKind::CreaseScore, OperationKind::HalfDepthPocket, OperationKind::ThroughCut];
    Profile {
        format: 1,
        id: "test-bench".into(),
        name: "Test bench".into(),
        cautions: vec!["Keep hands out of the table while it moves.".into()],
        machine: Machine {
            width: mm(1200.0),
            height: mm(1200.0),
            zero: BedPlace::LowerLeft,
            x_points: Way::Right,
            y_points: Way::Up,
            z_axis: true,
            z_zero: ZZero::Bed,
            safe_height: mm(15.0),
            park: [mm(0.0), mm(0.0)],
            origin: [mm(0.0), mm(0.0)],
            rapid: mm_per_min(9000.0),
            rapid_z: mm_per_min(2400.0),
            acceleration: 800.0,
            junction_deviation: mm(0.02),
            look_ahead: 16,
            rotary_limit: deg(0.0),
            rotary_speed: 7200.0,
            tolerance: mm(0.1),
            hold: Hold::Vacuum,
        },
        output: Output {
            language: Language::Gcode,
            extension: "nc".into(),
            unit: ProgramUnit::Mm,
            step: mm(0.025),
            decimals: 4,
            arcs: true,
            arc_centres: ArcCentres::FromStart,
            chord: mm(0.01),
            rotary: (kind == ToolKind::TangentialKnife).then(|| "C".into()),
            rotary_scale: 1.0,
            line_numbers: 0,
            comments: Comments::Parentheses,
            line_ending: LineEnding::Lf,
            line_limit: 80,
            dwell: DwellUnit::Seconds,
            percent: false,
            start: vec!["G21 G90 G94 G17 G40".into()],
            end: vec!["M5".into(), "M2".into()],
            tool_change: ToolChange::Pause,
            change: vec!["M0 (fit {tool})".into()],
        },
        tools: vec![Tool {
            id: "tool".into(),
            kind,
            number: 1,
            kerf: mm(0.0),
            pivot_offset: mm(if kind == ToolKind::DragKnife { 0.5 } else { 0.0 }),
            start_heading: deg(0.0),
            edge_angle: deg(if kind == ToolKind::TangentialKnife { 30.0 } else { 0.0 }),
            blade_width: mm(0.5),
            max_depth: mm(6.0),
            swivel_depth: None,
            lift: Lift::Z,
            on_dwell: 0.0,
            off_dwell: 0.0,
            on: Vec::new(),
            off: Vec::new(),
        }],
        rules: all.into_iter().map(rule).collect(),
        places: crate::diag::Places::default(),
    }
}

fn rule(operation: OperationKind) -> Rule {
    Rule {
        is_lent: false,
        operation,
        stock: StockKind::Board,
        tool: "tool".into(),
        feed: mm_per_min(2400.0),
        plunge: mm_per_min(600.0),
        pass_depth: mm(1.0),
        extra_depth: mm(if operation == OperationKind::ThroughCut { 0.2 } else { 0.0 }),
        depth: mm(0.3),
        passes: 1,
        overrun: mm(1.0),
        corner_limit: deg(15.0),
        turn_feed: 7200.0,
        finish: Finish::Bottom,
        power: None,
        speed: None,
        lead: mm(0.0),
        bridges: 0,
        bridge_width: mm(0.0),
        bridge_height: mm(0.0),
        hatch: mm(3.0),
        least_strip: mm(2.0),
        step_over: 0.45,
        ramp: deg(0.0),
        direction: CutDirection::Climb,
        corner_relief: false,
        double: mm(0.0),
        pattern: Vec::new(),
    }
}

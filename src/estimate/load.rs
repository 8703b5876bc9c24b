//! How long each part of the work takes: minutes by hand of each step, minutes beside machines.

use super::{Asked, Run};
use crate::design::{Piece, Role, Step, steps};
use crate::job::{Minutes, StockKind};
use crate::nest::Placed;
use crate::profile::OperationKind;

/// One step by hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepLoad {
    /// Which.
    pub step: Step,
    /// How often it is done to one box: so many pieces, creases, corners.
    pub count: u32,
    /// Minutes of a session of it, whatever the number of boxes.
    pub session: f64,
    /// Minutes of one box.
    pub a_box: f64,
}

impl StepLoad {
    /// Minutes of a session with so many boxes.
    pub fn minutes(&self, boxes: u32) -> f64 {
        self.session + self.a_box * f64::from(boxes)
    }
}

/// What a machine does to sheets that are alike.
#[derive(Clone, Debug, PartialEq)]
pub struct RunLoad {
    /// The machine's short name.
    pub machine: String,
    /// The sheet.
    pub sheet: String,
    /// Whether its other face lies up, before it is turned over: it is laid on once more for that.
    pub first_side: bool,
    /// How many such sheets.
    pub count: u32,
    /// On how many of them a piece of the first box lies.
    pub first: u32,
    /// Minutes that the machine runs for one.
    pub run: f64,
    /// Minutes by hand for one: the sheet laid on and taken off, tools changed.
    pub by_hand: f64,
    /// Minutes by hand of a session.
    pub session: f64,
}

/// The steps of a job that are done by hand, in their order. One that a machine does, or of which a box has none, is
/// not among them.
pub(super) fn by_hand(asked: &Asked<'_>) -> Vec<StepLoad> {
    let load = |step: Step| {
        let count = count(asked, step);
        let Minutes { session, each } = asked.job.work.steps.get(step.key()).copied().unwrap_or_default();
        (count > 0).then(|| StepLoad { step, count, session, a_box: each * f64::from(count) })
    };
    steps(asked.job, asked.design).into_iter().filter_map(load).collect()
}

/// How often a step is done by hand to one box.
fn count(asked: &Asked<'_>, step: Step) -> u32 {
    let is_done = |stock: StockKind, kind: OperationKind| {
        asked.runs.iter().any(|r| r.stock == stock && r.operations.contains(&kind))
    };
    let is_cut = |stock| is_done(stock, OperationKind::ThroughCut);
    let pieces = || asked.design.pieces.iter().filter(|p| p.role != Role::Gauge);
    // What lies inside has a step of its own.
    let of = |stock: StockKind| pieces().filter(move |p| p.stock == stock && p.role != Role::Inside);
    let sum = |stock, of_piece: &dyn Fn(&Piece) -> usize| -> u32 {
        of(stock).map(|p| p.count.saturating_mul(u32::try_from(of_piece(p)).unwrap_or(u32::MAX))).sum()
    };
    let windows = |p: &Piece| u32::try_from(p.windows).unwrap_or(u32::MAX);
    let is_of_cover = |p: &Piece| p.id.ends_with("-cover");
    let (board, cloth) = (StockKind::Board, StockKind::Cloth);
    match step {
        // A window is cut as a piece is.
        Step::Cut => pieces().filter(|p| !is_cut(p.stock)).map(|p| p.count.saturating_mul(1 + windows(p))).sum(),
        Step::SlotsAndPockets => {
            let slots = if is_cut(board) { 0 } else { sum(board, &|p| p.slots().len()) };
            let is_pocketed = is_done(board, OperationKind::HalfDepthPocket);
            slots + if is_pocketed { 0 } else { sum(board, &|p| p.inside_pockets().len()) }
        }
        Step::LabelRecess => u32::from(!is_done(board, OperationKind::HalfDepthPocket)),
        Step::BuildTrays => sum(board, &|p| usize::from(p.role == Role::Tray)),
        Step::CoverTrays => sum(cloth, &|p| usize::from(p.id.ends_with("-walls"))),
        Step::CoverUndersides => sum(cloth, &|p| usize::from(p.id.ends_with("-underside"))),
        Step::LineCovers => sum(StockKind::Liner, &|p| usize::from(is_of_cover(p))),
        Step::LineFloors | Step::LineBoards => sum(StockKind::Liner, &|_| 1),
        Step::BuildCase => sum(board, &|_| 1),
        Step::NotchStrips => sum(cloth, &|p| usize::from(p.role == Role::Patch)),
        Step::CoverCase | Step::TurnMouth => 1,
        Step::Crease if is_done(board, OperationKind::CreaseScore) => 0,
        Step::Crease | Step::Fold => sum(board, &|p| p.creases.len()),
        Step::LayOut if asked.job.draws_on(StockKind::Cloth) && is_done(cloth, OperationKind::Mark) => 0,
        // A wrapper and its case have a cloth each.
        Step::LayOut => 1 + u32::from(asked.design.case.is_some()),
        // Round a window cloth is turned in as round a board.
        Step::TurnIn => sum(board, &|p| usize::from(p.role != Role::Tray) + p.windows),
        Step::GlueDown => sum(board, &|p| usize::from(p.role != Role::Tray)),
        // A cloth that is cut by its outline has them.
        Step::CornerCuts if is_cut(cloth) => 0,
        Step::CornerCuts => 1 + u32::from(asked.design.case.is_some()),
        Step::Slits if is_cut(cloth) => 0,
        Step::Slits => sum(cloth, &|p| p.slits.len()),
        Step::Sides => pieces().filter(|p| p.role == Role::Side).map(|p| p.count).sum(),
        Step::Patches => u32::try_from(asked.design.patches.len()).unwrap_or(u32::MAX),
        Step::Strap => asked.strap.map_or(0, |s| s.count),
        // Of each tie two ribbons; under each magnet its counterpart.
        Step::Ties => asked.job.ties.values().map(|t| t.count * 2).sum(),
        Step::Magnets => asked.job.magnets.values().map(|m| m.count * 2).sum(),
        Step::HingeStrips => sum(cloth, &|p| usize::from(p.role == Role::Hinge)),
        Step::FoldLinings => u32::try_from(asked.design.linings.len()).unwrap_or(u32::MAX),
        Step::Liner => sum(StockKind::Liner, &|p| usize::from(!is_of_cover(p))),
        Step::Inside => {
            let inside = asked.job.inside.as_ref();
            let own: u32 = pieces().filter(|p| p.role == Role::Inside).map(|p| p.count).sum();
            let bought = inside.map_or(0, |i| {
                let sheets = [&i.under, &i.over].into_iter().flatten().filter(|p| p.stock.is_none()).count();
                sheets * i.stacks.len() + usize::from(i.ribbon.is_some())
            });
            own.saturating_add(u32::try_from(bought).unwrap_or(u32::MAX))
        }
        Step::MountTrays | Step::MountWrapper | Step::LineSpine | Step::GlueLabel => 1,
        Step::DryCovered | Step::Cross | Step::Press | Step::Close => 1,
    }
}

/// What machines do, in the order of the sheets. A machine may have several programs for a sheet, a tool each.
pub(super) fn by_machine(asked: &Asked<'_>) -> Vec<RunLoad> {
    let work = &asked.job.work;
    let mut all: Vec<(RunLoad, u32)> = Vec::new();
    for run in asked.runs {
        let is_its = |l: &RunLoad| l.machine == run.machine && l.sheet == run.sheet && l.first_side == run.first_side;
        let found = all.iter_mut().find(|(l, _)| is_its(l));
        match found {
            Some((load, tools)) => {
                load.run += run.seconds / 60.0;
                *tools += run.tools;
            }
            None => {
                let load = RunLoad {
                    machine: run.machine.clone(),
                    sheet: run.sheet.clone(),
                    first_side: run.first_side,
                    count: run.count,
                    first: of_first_box(asked, run),
                    run: run.seconds / 60.0,
                    by_hand: work.machine.each,
                    session: work.machine.session,
                };
                all.push((load, run.tools));
            }
        }
    }
    // After the last tool of a sheet the first goes in again for the next.
    let with_changes = |(mut load, tools): (RunLoad, u32)| {
        load.by_hand += if tools > 1 { work.tool_change * f64::from(tools) } else { 0.0 };
        load
    };
    all.into_iter().map(with_changes).collect()
}

/// On how many of the sheets of a run a piece of the first box lies; on one of sheets that are not known.
fn of_first_box(asked: &Asked<'_>, run: &Run) -> u32 {
    let Some(sheet) = asked.sheets.iter().find(|s| s.id == run.sheet) else { return run.count.min(1) };
    let is_first =
        |(placed, copy): (&Placed, u32)| asked.design.pieces.get(placed.piece).is_some_and(|piece| copy <= piece.count);
    let one = sheet.placed.iter().any(|p| is_first((p, p.copy)));
    let others = sheet.repeats.iter().filter(|copies| sheet.placed.iter().zip(copies.iter().copied()).any(is_first));
    let all = usize::from(one) + others.count();
    run.count.min(u32::try_from(all).unwrap_or(u32::MAX))
}

/// Minutes by hand beside machines, each set up once.
pub(super) fn beside(runs: &[RunLoad]) -> f64 {
    let mut set_up: Vec<&str> = Vec::new();
    let mut minutes = 0.0;
    for run in runs {
        minutes += run.by_hand * f64::from(run.count);
        if !set_up.contains(&run.machine.as_str()) {
            set_up.push(&run.machine);
            minutes += run.session;
        }
    }
    minutes
}

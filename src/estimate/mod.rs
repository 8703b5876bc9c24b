//! What the work takes: minutes by hand and beside machines, days, money. All of it is an estimate: the minutes are the
//! job's own under `[work]`, or our choice.

mod load;
mod money;
mod plan;
mod stretch;
mod words;

pub use load::{RunLoad, StepLoad};
pub use money::{Line, Money, is_asked};
pub use plan::{Doing, Entry, Plan, Until};
pub use stretch::{Stretch, stretches};
pub use words::{DayLine, day_lines, in_hours};

use crate::design::Design;
use crate::fit::{StrapFigures, TieFigures};
use crate::job::{Job, StockKind};
use crate::nest::Sheet;
use crate::profile::OperationKind;
use serde::Serialize;
use std::sync::Arc;

/// What an estimate is made from.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The job, for its prices and minutes.
    pub job: &'a Job,
    /// Its pieces.
    pub design: &'a Design,
    /// The elastics of a box.
    pub strap: Option<&'a StrapFigures>,
    /// The ribbons of a box, lid by lid.
    pub ties: &'a [TieFigures],
    /// The area that is glued in a box, square metres.
    pub glue_m2: f64,
    /// How many boxes.
    pub boxes: u32,
    /// The number of the first of them, from 1.
    pub first: u32,
    /// The sheets of all of them.
    pub sheets: &'a [Arc<Sheet>],
    /// What machines do to them.
    pub runs: &'a [Run],
}

/// What one program does.
#[derive(Clone, Debug)]
pub struct Run {
    /// The machine's short name.
    pub machine: String,
    /// The sheet.
    pub sheet: String,
    /// Whether its other face lies up, before it is turned over.
    pub first_side: bool,
    /// What that is of.
    pub stock: StockKind,
    /// How many such sheets.
    pub count: u32,
    /// How long it runs for one, seconds.
    pub seconds: f64,
    /// How many tools it uses.
    pub tools: u32,
    /// What it does.
    pub operations: Vec<OperationKind>,
}

/// Time in all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Hours {
    /// Minutes by hand, changes of sheets and tools included.
    pub by_hand_minutes: f64,
    /// Minutes that machines run, somebody beside them.
    pub run_minutes: f64,
}

impl Hours {
    /// Both, in minutes.
    pub fn minutes(&self) -> f64 {
        self.by_hand_minutes + self.run_minutes
    }
}

/// What the boxes take of time and money.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// How many boxes.
    pub boxes: u32,
    /// The number of the first of them, from 1; the plan counts from 1 all the same.
    pub first: u32,
    /// What is done by hand, in the order of the work.
    pub steps: Vec<StepLoad>,
    /// What machines do.
    pub runs: Vec<RunLoad>,
    /// Time in all.
    pub hours: Hours,
    /// The work by days; `None` where it would run over more than anybody plans.
    pub plan: Option<Plan>,
    /// What it costs; `None` where the job has no price but those of its stocks.
    pub money: Option<Money>,
    /// Hours of a day that are worked.
    pub day: f64,
    /// Whether the job gives any of the minutes itself.
    pub is_own: bool,
}

impl Estimate {
    /// What a step takes in all, its sessions included.
    pub fn minutes_of(&self, load: &StepLoad) -> f64 {
        let of = |p: &Plan| p.entries.iter().filter(|e| e.doing == Doing::Step(load.step)).map(|e| e.by_hand).sum();
        self.plan.as_ref().map_or(load.minutes(self.boxes), of)
    }

    /// What the runs of a machine on sheets that are alike take by hand in all.
    pub fn by_hand_of(&self, run: usize) -> f64 {
        let of = |p: &Plan| p.entries.iter().filter(|e| e.doing == Doing::Run(run)).map(|e| e.by_hand).sum();
        let once = self.runs.get(run).map_or(0.0, |r| r.by_hand * f64::from(r.count));
        self.plan.as_ref().map_or(once, of)
    }

    /// Minutes of one box, by hand and beside machines.
    pub fn minutes_a_box(&self) -> f64 {
        self.hours.minutes() / f64::from(self.boxes.max(1))
    }

    /// Where its minutes come from.
    pub const fn origin(&self) -> &'static str {
        if self.is_own { "by your minutes under [work]" } else { "by minutes of our choice: put yours under [work]" }
    }
}

/// The estimate for all boxes.
pub fn estimate(asked: &Asked<'_>) -> Estimate {
    let work = &asked.job.work;
    let (steps, runs) = (load::by_hand(asked), load::by_machine(asked));
    let plan = plan::plan((asked.first, asked.boxes), &steps, &runs, work);
    let hours = match &plan {
        Some(plan) => Hours {
            by_hand_minutes: plan.entries.iter().map(|e| e.by_hand).sum(),
            run_minutes: plan.entries.iter().map(|e| e.run).sum(),
        },
        // Each step once for all, as nobody counts its sessions.
        None => Hours {
            by_hand_minutes: steps.iter().map(|s| s.minutes(asked.boxes)).sum::<f64>() + load::beside(&runs),
            run_minutes: runs.iter().map(|r| r.run * f64::from(r.count)).sum(),
        },
    };
    let money = is_asked(asked.job).then(|| {
        let parts = [money::sheets(asked), money::bought(asked), money::time(asked.job, &hours)];
        Money::of(parts.concat())
    });
    Estimate {
        boxes: asked.boxes,
        first: asked.first,
        steps,
        runs,
        hours,
        plan,
        money,
        day: work.hours,
        is_own: work.is_own,
    }
}

/// Minutes by hand beside machines, for runs that several boxes of a list share.
pub fn beside_machines(asked: &Asked<'_>) -> f64 {
    load::beside(&load::by_machine(asked))
}

/// What some boxes of a list take by hand, made among many others: minutes of each box, and of each session its share
/// in a batch of so many boxes that lie in the press together.
pub fn hours_among_others(asked: &Asked<'_>, others: u32) -> Hours {
    let shared = f64::from(others.min(asked.job.work.press).max(1));
    let boxes = f64::from(asked.boxes);
    let by_hand_minutes = load::by_hand(asked).iter().map(|s| (s.a_box + s.session / shared) * boxes).sum();
    Hours { by_hand_minutes, run_minutes: 0.0 }
}

/// What some boxes of a list cost besides their sheets; `None` where the job has no price but those of its stocks.
pub fn money_besides_sheets(asked: &Asked<'_>, hours: &Hours) -> Option<Money> {
    is_asked(asked.job).then(|| Money::of([money::bought(asked), money::time(asked.job, hours)].concat()))
}

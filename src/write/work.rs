//! What the boxes take of time and money, as files and reports have it.

use crate::design::Step;
use crate::estimate::{Doing, Entry, Estimate, Hours, Money, stretches};
use crate::units::tidy;
use serde::{Deserialize, Serialize, Serializer};

/// What boxes take besides sheets and programs: an estimate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WorkTakes {
    /// Minutes by hand, changes of sheets and tools included.
    #[serde(serialize_with = "to_a_tenth")]
    pub by_hand_minutes: f64,
    /// Minutes by hand and beside machines.
    #[serde(serialize_with = "to_a_tenth")]
    pub minutes: f64,
    /// What all of it costs; `None` where the job has no price but those of its stocks.
    #[serde(default, serialize_with = "rounded")]
    pub money: Option<Money>,
}

impl WorkTakes {
    /// Of an estimate.
    pub fn of(estimate: &Estimate) -> Self {
        Self::new(&estimate.hours, estimate.money.clone())
    }

    /// Of so much time and money.
    pub fn new(hours: &Hours, money: Option<Money>) -> Self {
        Self { by_hand_minutes: hours.by_hand_minutes, minutes: hours.minutes(), money }
    }

    /// Both together.
    pub fn add(&mut self, other: &Self) {
        self.by_hand_minutes += other.by_hand_minutes;
        self.minutes += other.minutes;
        self.money = match (self.money.take(), &other.money) {
            (Some(mut own), Some(other)) => {
                own.add(other);
                Some(own)
            }
            (own, other) => own.or_else(|| other.clone()),
        };
    }
}

fn to_a_tenth<S: Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(tidy(*value, 1))
}

fn rounded<S: Serializer>(money: &Option<Money>, serializer: S) -> Result<S::Ok, S::Error> {
    money.as_ref().map(in_cents).serialize(serializer)
}

/// Money to two places, amounts to three.
fn in_cents(money: &Money) -> Money {
    let mut money = money.clone();
    for line in &mut money.lines {
        line.amount = tidy(line.amount, 3);
        line.cost = line.cost.map(|c| tidy(c, 2));
    }
    money.in_all = money.in_all.map(|c| tidy(c, 2));
    money
}

/// An estimate as JSON has it: minutes to a tenth.
#[derive(Clone, Debug, Serialize)]
pub struct WorkFigures {
    boxes: u32,
    by_hand_minutes: f64,
    run_minutes: f64,
    steps: Vec<StepFigures>,
    runs: Vec<RunFigures>,
    plan: Option<PlanFigures>,
    money: Option<Money>,
}

#[derive(Clone, Debug, Serialize)]
struct StepFigures {
    step: Step,
    count: u32,
    minutes: f64,
}

#[derive(Clone, Debug, Serialize)]
struct RunFigures {
    machine: String,
    sheet: String,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    first_side: bool,
    count: u32,
    by_hand_minutes: f64,
    run_minutes: f64,
}

#[derive(Clone, Debug, Serialize)]
struct PlanFigures {
    days: u32,
    hours_a_day: f64,
    batch: u32,
    others_from_day: Option<u32>,
    stretches: Vec<StretchFigures>,
}

/// Days, so many times one after the other.
#[derive(Clone, Debug, Serialize)]
struct StretchFigures {
    times: u32,
    first_day: u32,
    last_day: u32,
    work: Vec<WorkOfDay>,
}

#[derive(Clone, Debug, Serialize)]
struct WorkOfDay {
    day: u32,
    step: Option<Step>,
    machine: Option<String>,
    sheet: Option<String>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    first_side: bool,
    from: u32,
    to: u32,
    by_hand_minutes: f64,
    run_minutes: f64,
    goes_on: bool,
    until_day: Option<u32>,
}

impl WorkFigures {
    /// The figures of an estimate.
    pub fn of(estimate: &Estimate) -> Self {
        let tenth = |m: f64| tidy(m, 1);
        let plan = estimate.plan.as_ref().map(|plan| {
            let stretch = |s: crate::estimate::Stretch<'_>| {
                let day = |days: &[&[Entry]], last: bool| {
                    let entries = if last { days.last() } else { days.first() };
                    entries.and_then(|d| d.first()).map_or(0, |e| e.day)
                };
                StretchFigures {
                    times: s.times,
                    first_day: day(&s.days, false),
                    last_day: day(&s.last, true),
                    work: s.days.iter().flat_map(|d| d.iter()).map(|e| of_entry(estimate, e)).collect(),
                }
            };
            PlanFigures {
                days: plan.days,
                hours_a_day: estimate.day,
                batch: plan.batch,
                others_from_day: plan.others_from,
                stretches: stretches(plan).into_iter().map(stretch).collect(),
            }
        });
        let step = |s: &crate::estimate::StepLoad| StepFigures {
            step: s.step,
            count: s.count,
            minutes: tenth(estimate.minutes_of(s)),
        };
        let run = |(i, r): (usize, &crate::estimate::RunLoad)| RunFigures {
            machine: r.machine.clone(),
            sheet: r.sheet.clone(),
            first_side: r.first_side,
            count: r.count,
            by_hand_minutes: tenth(estimate.by_hand_of(i)),
            run_minutes: tenth(r.run * f64::from(r.count)),
        };
        Self {
            boxes: estimate.boxes,
            by_hand_minutes: tenth(estimate.hours.by_hand_minutes),
            run_minutes: tenth(estimate.hours.run_minutes),
            steps: estimate.steps.iter().map(step).collect(),
            runs: estimate.runs.iter().enumerate().map(run).collect(),
            plan,
            money: estimate.money.as_ref().map(in_cents),
        }
    }
}

fn of_entry(estimate: &Estimate, entry: &Entry) -> WorkOfDay {
    let (step, run, shift) = match entry.doing {
        Doing::Step(step) => (Some(step), None, estimate.first.saturating_sub(1)),
        Doing::Run(i) => (None, estimate.runs.get(i), 0),
    };
    WorkOfDay {
        day: entry.day,
        step,
        machine: run.map(|r| r.machine.clone()),
        sheet: run.map(|r| r.sheet.clone()),
        first_side: run.is_some_and(|r| r.first_side),
        from: entry.of.0 + shift,
        to: entry.of.1 + shift,
        by_hand_minutes: tidy(entry.by_hand, 1),
        run_minutes: tidy(entry.run, 1),
        goes_on: entry.goes_on,
        until_day: entry.under_weight.map(|u| u.day),
    }
}

//! The work by days: what is done when, and what waits under weight.
//!
//! One pair of hands, which stay beside a machine while it runs, and one press. What is cut and prepared is so for all
//! boxes together, over as many days as it takes; from the first glue on, boxes go in batches. What is begun with glue
//! comes under weight the same day, as long as that can be. Of what can be done the farthest goes first: a batch that
//! is dry is lined before the next is covered. The number in a batch is that with which the whole is done in the
//! fewest days, the larger of two that are alike. Where a first article is asked for, one box is made whole before
//! anything of the others is begun: it is cut, covered, dried, lined and tried, and nothing else is done while it waits.
//! Days are 24 hours apart; the hours of each are worked from its start.

use super::load::{RunLoad, StepLoad};
use crate::design::Step;
use crate::job::Work;
use serde::Serialize;

/// Minutes from the start of a day to that of the next.
const DAY: f64 = 1440.0;
/// Sizes of batch that are tried, at the most.
const TRIED: u32 = 48;
/// Boxes with which they are tried: after so many the batches only repeat themselves.
const ENOUGH: u32 = 400;
/// No plan is made for more (our choice: forty years of work).
const MOST_DAYS: f64 = 10_000.0;
/// Minutes that do not count.
const NONE: f64 = 1e-6;

/// What is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doing {
    /// A step of the work, by hand; its numbers are boxes.
    Step(Step),
    /// A run of a machine, by its place among the estimate's machines; its numbers are sheets.
    Run(usize),
}

/// A stretch of work on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The day, from 1.
    pub day: u32,
    /// When it begins, minutes from the start of the day's work.
    pub start: f64,
    /// What is done.
    pub doing: Doing,
    /// The first and the last box, or sheet, from 1.
    pub of: (u32, u32),
    /// Minutes by hand.
    pub by_hand: f64,
    /// Minutes that a machine runs.
    pub run: f64,
    /// Whether it was begun on a day before and only goes on.
    pub goes_on: bool,
    /// After it: until when it stays under weight.
    pub under_weight: Option<Until>,
}

impl Entry {
    /// All of its minutes.
    pub fn minutes(&self) -> f64 {
        self.by_hand + self.run
    }
}

/// A time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Until {
    /// The day on which it can go on, from 1.
    pub day: u32,
    /// Minutes from the start of that day's work.
    pub minute: f64,
    /// Whether it is in the press meanwhile, and not under a weight of its own.
    pub in_press: bool,
}

/// All of the work.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// In the order in which it is done.
    pub entries: Vec<Entry>,
    /// How many boxes are glued together.
    pub batch: u32,
    /// The day on which the last box is done.
    pub days: u32,
    /// Where the first box is made whole before the others: the day on which these are begun.
    pub others_from: Option<u32>,
}

/// Steps on one batch without a wait between them.
struct Leg {
    steps: Vec<StepLoad>,
    /// Minutes under weight after it; in the press or not.
    wait: Option<(f64, bool)>,
}

impl Leg {
    fn minutes(&self, boxes: u32) -> f64 {
        self.steps.iter().map(|s| s.minutes(boxes)).sum()
    }

    fn is_pressed(&self) -> bool {
        self.wait.is_some_and(|w| w.1)
    }
}

/// How long boxes stay under weight after a step: minutes, and whether that is in the press.
fn wait(step: Step, work: &Work) -> Option<(f64, bool)> {
    let (hours, in_press) = match step {
        Step::DryCovered | Step::LineBoards => (work.dry_covered, true),
        Step::Press => (work.dry_lined, true),
        Step::CoverTrays | Step::MountTrays | Step::MountWrapper | Step::LineFloors | Step::TurnMouth => {
            (work.dry_covered, false)
        }
        Step::Strap | Step::Ties | Step::Cross | Step::BuildTrays | Step::BuildCase => (work.dry_glued, false),
        _ => return None,
    };
    (hours > 0.0).then_some((hours * 60.0, in_press))
}

/// The plan for so many boxes, the first of which has the number `first`; `None` where it would run over more days than
/// anybody plans.
pub(super) fn plan((first, boxes): (u32, u32), steps: &[StepLoad], runs: &[RunLoad], work: &Work) -> Option<Plan> {
    let first_glue = steps.iter().position(|s| s.step.is_glued()).unwrap_or(steps.len());
    let (before, glued) = steps.split_at(first_glue);
    let mut legs: Vec<Leg> = Vec::new();
    for step in glued {
        match legs.last_mut().filter(|l| l.wait.is_none()) {
            Some(leg) => leg.steps.push(*step),
            None => legs.push(Leg { steps: vec![*step], wait: None }),
        }
        if let Some(leg) = legs.last_mut() {
            leg.wait = wait(step.step, work);
        }
    }
    let run_minutes = |r: &RunLoad| (r.run + r.by_hand) * f64::from(r.count);
    let minutes: f64 = steps.iter().map(|s| s.minutes(boxes)).sum::<f64>() + runs.iter().map(run_minutes).sum::<f64>();
    let pressed: f64 = legs.iter().filter_map(|l| l.wait.filter(|w| w.1)).map(|w| w.0).sum();
    let least = (minutes / (work.hours * 60.0)).max(pressed / DAY * f64::from(boxes / work.press.max(1)));
    if least > MOST_DAYS {
        return None;
    }
    // Whoever goes on with an edition has made its first box.
    let alone = u32::from(work.first_article && first == 1 && boxes > 1);
    let batch = batch(boxes - alone, &legs, work);
    let mut days = Days::new(work, runs);
    if alone > 0 {
        days.boxes((0, alone), |run| (0, run.first), before, (1, &legs));
    }
    let of_first = days.entries.len();
    days.boxes((alone, boxes), |run| (if alone > 0 { run.first } else { 0 }, run.count), before, (batch, &legs));
    let others_from = days.entries.get(of_first).filter(|_| alone > 0).map(|e| e.day);
    Some(Plan { others_from, ..days.done(batch) })
}

/// How many boxes go together from the first glue on.
fn batch(boxes: u32, legs: &[Leg], work: &Work) -> u32 {
    let day = work.hours * 60.0;
    let held = if legs.iter().any(Leg::is_pressed) { work.press } else { u32::MAX };
    let fits = |n: u32| legs.iter().all(|l| l.minutes(n) <= day + NONE);
    let (mut least, mut most) = (1, held.min(boxes).max(1));
    if fits(most) {
        least = most;
    }
    // The largest that a day holds: what takes longer with fewer boxes does not exist.
    while least + 1 < most {
        let middle = least + (most - least) / 2;
        if fits(middle) { least = middle } else { most = middle }
    }
    let most = least;
    let step = most.div_ceil(TRIED).max(1);
    let sizes = (0..).map(|k| most.saturating_sub(k * step)).take_while(|n| *n > 0);
    let days = |n: u32| {
        let mut days = Days::new(work, &[]);
        days.batches((0, boxes.min(ENOUGH.max(n * 4))), n, legs);
        days.done(n).days
    };
    // The first of those alike is the largest.
    sizes.min_by_key(|n| days(*n)).unwrap_or(1)
}

/// Days being filled.
struct Days<'a> {
    work: &'a Work,
    runs: &'a [RunLoad],
    entries: Vec<Entry>,
    /// The day, from 0, and how much of it is gone, minutes.
    day: u32,
    gone: f64,
    /// Until when how many boxes lie in the press, minutes from the start of the first day.
    press: Vec<(f64, u32)>,
}

/// A batch on its way.
struct Batch {
    of: (u32, u32),
    leg: usize,
    /// From when it can go on.
    ready: f64,
}

impl<'a> Days<'a> {
    fn new(work: &'a Work, runs: &'a [RunLoad]) -> Self {
        Self { work, runs, entries: Vec::new(), day: 0, gone: 0.0, press: Vec::new() }
    }

    fn length(&self) -> f64 {
        self.work.hours * 60.0
    }

    fn now(&self) -> f64 {
        f64::from(self.day) * DAY + self.gone
    }

    /// What is left of the day.
    fn left(&self) -> f64 {
        self.length() - self.gone
    }

    fn next_day(&mut self) {
        self.day += 1;
        self.gone = 0.0;
    }

    fn put(&mut self, doing: &Doing, of: (u32, u32), by_hand: f64, run: f64, goes_on: bool) {
        let (day, start) = (self.day + 1, self.gone);
        self.entries.push(Entry { day, start, doing: doing.clone(), of, by_hand, run, goes_on, under_weight: None });
        self.gone += by_hand + run;
    }

    /// Whether a machine has run today: its session is begun.
    fn is_set_up(&self, doing: &Doing) -> bool {
        let machine = |doing: &Doing| match doing {
            Doing::Run(i) => self.runs.get(*i).map(|r| r.machine.as_str()),
            Doing::Step(_) => None,
        };
        let today = self.entries.iter().rev().take_while(|e| e.day == self.day + 1);
        machine(doing).is_some_and(|own| today.into_iter().any(|e| machine(&e.doing) == Some(own)))
    }

    /// The boxes after the first of two numbers up to the other, begun and brought to their end, and dry: their sheets, of
    /// each run those after a number up to another, what is prepared for all, and the rest in batches.
    fn boxes(
        &mut self,
        of: (u32, u32),
        sheets: impl Fn(&RunLoad) -> (u32, u32),
        before: &[StepLoad],
        (batch, legs): (u32, &[Leg]),
    ) {
        for (i, run) in self.runs.iter().enumerate() {
            self.split(&Doing::Run(i), sheets(run), run.session, run.by_hand, run.run);
        }
        for load in before {
            self.split(&Doing::Step(load.step), of, load.session, load.a_box, 0.0);
        }
        let ready = self.batches(of, batch, legs);
        while self.now() + NONE < ready {
            self.wait(ready);
        }
    }

    /// What can be laid aside at any time: so many on each day as it holds, after the first of two numbers up to the other.
    fn split(&mut self, doing: &Doing, (mut done, count): (u32, u32), session: f64, by_hand: f64, run: f64) {
        while done < count {
            let session = if self.is_set_up(doing) { 0.0 } else { session };
            let each = by_hand + run;
            let held = (self.left() - session + NONE) / each.max(NONE);
            let n = if held >= 1.0 { (held.min(f64::from(count - done))) as u32 } else { 0 };
            if n > 0 {
                let of = (done + 1, done + n);
                self.put(doing, of, session + by_hand * f64::from(n), run * f64::from(n), false);
                done += n;
            } else if self.gone > NONE {
                self.next_day();
            } else {
                // One alone is longer than a day.
                self.spread(doing, (done + 1, done + 1), session + by_hand, run);
                done += 1;
            }
        }
    }

    /// What is longer than what is left of the day, from now on over the days that it takes.
    fn spread(&mut self, doing: &Doing, of: (u32, u32), mut by_hand: f64, mut run: f64) {
        let mut goes_on = false;
        loop {
            if self.left() <= NONE && by_hand + run > NONE {
                self.next_day();
            }
            let hand_now = by_hand.min(self.left());
            let run_now = run.min(self.left() - hand_now);
            self.put(doing, of, hand_now, run_now, goes_on);
            (by_hand, run) = (by_hand - hand_now, run - run_now);
            goes_on = true;
            if by_hand + run <= NONE {
                break;
            }
        }
    }

    /// All batches of the boxes after the first of two numbers up to the other, one leg of one after the other; when the
    /// last is dry.
    fn batches(&mut self, (mut begun, boxes): (u32, u32), size: u32, legs: &[Leg]) -> f64 {
        let mut dry = 0.0_f64;
        if legs.is_empty() {
            return dry;
        }
        let mut under_way: Vec<Batch> = Vec::new();
        while begun < boxes || !under_way.is_empty() {
            let now = self.now();
            self.press.retain(|p| p.0 > now + NONE);
            under_way.sort_by_key(|b| (std::cmp::Reverse(b.leg), b.of.0));
            let next = (begun < boxes).then(|| Batch { of: (begun + 1, boxes.min(begun + size)), leg: 0, ready: 0.0 });
            let found = under_way.iter().chain(&next).position(|b| self.can(b, &legs[b.leg], now));
            let Some(found) = found else {
                let times = self.press.iter().map(|p| p.0).chain(under_way.iter().map(|b| b.ready));
                self.wait(times.filter(|t| *t > now + NONE).fold(f64::INFINITY, f64::min));
                continue;
            };
            if found == under_way.len() {
                let Some(next) = next else { continue };
                begun = next.of.1;
                under_way.push(next);
            }
            let batch = &mut under_way[found];
            batch.ready = self.leg(batch.of, &legs[batch.leg]);
            batch.leg += 1;
            dry = dry.max(batch.ready);
            under_way.retain(|b| b.leg < legs.len());
        }
        dry
    }

    /// Whether a batch can take its next leg now: it is dry, the day holds it, and so does the press.
    fn can(&self, batch: &Batch, leg: &Leg, now: f64) -> bool {
        let boxes = batch.of.1 + 1 - batch.of.0;
        let minutes = leg.minutes(boxes);
        // What no day holds begins with a day.
        let is_held = minutes <= self.left() + NONE || self.gone <= NONE;
        let in_press: u32 = self.press.iter().filter(|p| p.0 > now + minutes + NONE).map(|p| p.1).sum();
        let has_room = !leg.is_pressed() || in_press + boxes <= self.work.press || in_press == 0;
        batch.ready <= now + NONE && is_held && has_room
    }

    /// Nothing can be done before this time, nor on this day.
    fn wait(&mut self, until: f64) {
        let end = f64::from(self.day) * DAY + self.length();
        if until < end {
            self.gone = until - f64::from(self.day) * DAY;
        } else if self.gone > NONE || !until.is_finite() {
            self.next_day();
        } else {
            // Days on which nothing is done.
            self.day = (self.day + 1).max((until / DAY) as u32);
        }
    }

    /// One leg of a batch; when it can go on.
    fn leg(&mut self, of: (u32, u32), leg: &Leg) -> f64 {
        let boxes = of.1 + 1 - of.0;
        for load in &leg.steps {
            self.spread(&Doing::Step(load.step), of, load.minutes(boxes), 0.0);
        }
        let Some((minutes, in_press)) = leg.wait else { return self.now() };
        let until = self.now() + minutes;
        if in_press {
            self.press.push((until, boxes));
        }
        let day = (until / DAY).floor();
        let minute = until - day * DAY;
        // What is dry after hours goes on the day after.
        let (day, minute) = if minute > self.length() + NONE { (day + 1.0, 0.0) } else { (day, minute) };
        if let Some(last) = self.entries.last_mut() {
            last.under_weight = Some(Until { day: day as u32 + 1, minute, in_press });
        }
        until
    }

    fn done(self, batch: u32) -> Plan {
        let days = self.entries.last().map_or(0, |e| e.day);
        Plan { entries: self.entries, batch, days, others_from: None }
    }
}

//! A slipcase: how surely the works slide into it.
//!
//! Two rooms are used up by errors, at the mouth, where cloth lies on all sides (derived): from face to face, which back
//! and ends make by two cut edges, and where the faces lie between them by the thickness of both; from end to end, which
//! the face makes by two cut edges, and where the ends stand on it by the thickness of both.

use super::mend::values;
use super::{Closing, Failing, Mend, Risk};
use crate::design::{Deviations, binds, mean_over, slipcase};
use crate::job::{Job, Side, Slipcase};
use crate::units::{Length, mm, tidy};

/// What binds first is mended so that so many of 1,000 boxes take their works.
const ENOUGH: f64 = 0.995;

/// A room at the mouth.
struct Room {
    /// The key that gives it.
    key: &'static str,
    /// What the job gives.
    given: Length,
    /// How many boards' thickness it is less by.
    boards: f64,
}

impl Room {
    /// The share of boxes in which it is not used up, where boards are so much thicker and it is so much larger, mm.
    fn holds(&self, thicker: f64, more: f64, d: &Deviations) -> f64 {
        let left = self.given.to_mm() + more - self.boards * thicker;
        1.0 - binds(left, 0.0, std::f64::consts::SQRT_2 * d.cut)
    }
}

/// From face to face and from end to end.
fn rooms(job: &Job, asked: &Slipcase) -> [Room; 2] {
    let room = job.contents.clearance;
    let (key, given) = match asked.open {
        Side::Left | Side::Right => ("contents.clearance.height", room.height),
        Side::Head | Side::Tail => ("contents.clearance.width", room.width),
    };
    let (faces, ends) = if asked.faces_outside { (0.0, 2.0) } else { (2.0, 0.0) };
    [Room { key: "contents.clearance.depth", given: room.depth, boards: faces }, Room { key, given, boards: ends }]
}

/// The share of cases that take their works, made with these errors; `None` for another box.
pub(super) fn share(job: &Job, d: &Deviations) -> Option<f64> {
    let rooms = rooms(job, job.slipcase.as_ref()?);
    Some(mean_over(d.board, |thicker| rooms.iter().map(|r| r.holds(thicker, 0.0, d)).product()))
}

/// How surely the works of a job's slipcase slide in; `None` for another box.
pub(super) fn closing(job: &Job) -> Option<Closing> {
    let asked = job.slipcase.as_ref()?;
    let d = Deviations::of(job);
    let rooms = rooms(job, asked);
    let share = share(job, &d)?;
    let alone = |r: &Room| mean_over(d.board, |thicker| r.holds(thicker, 0.0, &d));
    let [faces, ends] = rooms.each_ref().map(alone);
    let (at, other, own) = if ends < faces { (1, 0, ends) } else { (0, 1, faces) };
    let (tight, other) = (&rooms[at], &rooms[other]);
    let with = |more: f64| mean_over(d.board, |thicker| tight.holds(thicker, more, &d) * other.holds(thicker, 0.0, &d));
    let mend = || {
        // What lets most of them slide in, where the other room binds as well.
        let enough = ENOUGH.min(with(5.0));
        values(job.units, tight.given, 1.0, 100)
            .map(|v| (v, with((v - tight.given).to_mm())))
            .find(|(_, s)| *s >= enough - 1e-6)
            .map(|(value, share)| Mend { key: tight.key.into(), value, share: tidy(share, 6) })
    };
    let first = (share < 0.999).then(|| Risk {
        what: Failing::Mouth,
        side: asked.open,
        share: tidy(1.0 - own, 6),
        mend: mend(),
    });
    Some(Closing { share: tidy(share, 6), first })
}

/// The figures of a job's slipcase in words, each with its name and what it means; nothing for another box.
pub fn mouth_in_words(job: &Job) -> Vec<(&'static str, String, &'static str)> {
    let Some((m, asked)) = slipcase(job).zip(job.slipcase) else { return Vec::new() };
    let show = |l: Length| job.units.show(l);
    let clear = job.units.show_size(&m.mouth.map(mm));
    let rooms = rooms(job, &asked);
    let mut all = vec![
        ("mouth", format!("at the {}, {clear} clear", asked.open.word()), "between the cloth that is turned in there"),
        (
            "play",
            format!("{} from end to end, {} from face to face", show(rooms[1].given), show(rooms[0].given)),
            "at the mouth; behind its cloth twice the cloth more",
        ),
    ];
    if asked.stands_out > Length::ZERO {
        all.push(("stands out", show(asked.stands_out), "the works, of the mouth, pushed in to the back"));
    }
    all
}

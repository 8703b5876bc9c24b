//! Days that are alike told once.

use super::plan::{Entry, Plan};

/// Days that repeat as a whole are looked for up to this number (our choice: a batch is covered, lined and closed
/// within it).
const LONGEST: usize = 6;
/// So often they must repeat to be told once (our choice).
const LEAST: usize = 3;

/// Days one after the other, or so many of them that repeat.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch<'a> {
    /// Each day's work, the first time.
    pub days: Vec<&'a [Entry]>,
    /// How often they come, at least once.
    pub times: u32,
    /// The work of the same days the last time.
    pub last: Vec<&'a [Entry]>,
}

/// The plan as stretches: of days that are alike but for the numbers of the boxes only the first and the last are told.
pub fn stretches(plan: &Plan) -> Vec<Stretch<'_>> {
    let days: Vec<&[Entry]> = plan.entries.chunk_by(|a, b| a.day == b.day).collect();
    let mut all = Vec::new();
    let mut at = 0;
    while at < days.len() {
        let mut best = (1, 1);
        for length in 1..=LONGEST.min(days.len() - at) {
            let times = repeats(&days[at..], length);
            // Of those that hold as much the shorter is the plainer.
            if times >= LEAST && times * length > best.0 * best.1 {
                best = (length, times);
            }
        }
        let (length, times) = best;
        let last = at + (times - 1) * length;
        all.push(Stretch {
            days: days[at..at + length].to_vec(),
            times: times as u32,
            last: days[last..last + length].to_vec(),
        });
        at += length * times;
    }
    all
}

/// How often the first days come one after the other, always as far apart.
fn repeats(days: &[&[Entry]], length: usize) -> usize {
    let first = &days[..length];
    let day = |at: usize| days.get(at).and_then(|d| d.first()).map_or(0, |e| e.day);
    let apart = day(length).saturating_sub(day(0));
    let is_again = |times: usize| {
        let again = &days[times * length..(times + 1) * length];
        first.iter().zip(again).all(|(a, b)| is_alike(a, b, apart * times as u32))
    };
    let mut times = 1;
    while (times + 1) * length <= days.len() && is_again(times) {
        times += 1;
    }
    times
}

/// Whether the same is done to as many on two days so far apart.
fn is_alike(a: &[Entry], b: &[Entry], apart: u32) -> bool {
    let same = |(a, b): (&Entry, &Entry)| {
        let until = |e: &Entry| e.under_weight.map(|u| (u.day - e.day, u.in_press));
        a.doing == b.doing
            && a.of.1 - a.of.0 == b.of.1 - b.of.0
            && (a.minutes() - b.minutes()).abs() < 1e-6
            && a.goes_on == b.goes_on
            && until(a) == until(b)
            && b.day == a.day + apart
    };
    a.len() == b.len() && a.iter().zip(b).all(same)
}

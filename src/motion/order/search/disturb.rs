//! Small disturbances that lead the search out of a dead end.

use super::{GAIN, Tour, far};

/// Disturbances tried for each line. Measured on sheets of 50 to 300 lines: ten times as many
/// shorten the travel by half a percent and take ten times as long.
const EACH: usize = 4;
/// The most disturbances tried.
const DISTURBANCES: usize = 40_000;
/// Disturbances tried however few the lines.
const FEWEST: usize = 100;
/// Bound on disturbances times lines, so that a very large sheet still ends in about a second.
const DISTURBANCE_WORK: usize = 40_000_000;
/// The longest stretch moved whole by a disturbance.
const STRETCH: u64 = 30;

impl Tour<'_> {
    /// Small disturbances, each mended and kept if the travel is no longer than before.
    pub(super) fn disturb(&mut self) {
        let n = self.sequence.len();
        if n == 0 {
            return;
        }
        let rounds = (FEWEST + EACH * n).min(DISTURBANCES).min(DISTURBANCE_WORK / n.max(1));
        let mut random = Random(0x9E37_79B9_7F4A_7C15);
        let mut is_waiting = Vec::new();
        for _ in 0..rounds {
            let i = random.below(n as u64) as usize;
            let end = self.stretch[self.sequence[i] as usize].1 as usize;
            if end - i < 2 {
                continue;
            }
            let room = ((end - i) as u64).min(2 * STRETCH);
            let k = i + 1 + random.below(room - 1) as usize;
            let j = i + random.below((k - i) as u64) as usize;
            if !self.may_swap(i, j, k) {
                continue;
            }
            self.changes.clear();
            let joins = [i, i + k - j, k];
            let before = far(self.exit_before(i), self.at(i).entry)
                + far(self.at(j).exit, self.at(j + 1).entry)
                + self.to_place(self.at(k).exit, k + 1);
            self.swap(i, j, k);
            let after = self.to_place(self.exit_before(joins[0]), joins[0])
                + self.to_place(self.exit_before(joins[1]), joins[1])
                + self.to_place(self.at(k).exit, k + 1);
            is_waiting.clear();
            for p in joins {
                for q in p.saturating_sub(1)..=(p + 1).min(n - 1) {
                    is_waiting.push(self.sequence[q]);
                }
            }
            let mut gained = before - after + self.improve(&is_waiting);
            if gained > -20.0 || n < 30 {
                gained += self.choose_ways(i.saturating_sub(4), (i + 4).min(n));
                gained += self.choose_ways(k.saturating_sub(4), (k + 4).min(n));
            }
            if gained < -GAIN {
                self.take_back();
            }
        }
        self.changes.clear();
    }
}

/// A fixed sequence of numbers without visible order (Marsaglia's xorshift, 64 bits).
struct Random(u64);

impl Random {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % bound.max(1)
    }
}

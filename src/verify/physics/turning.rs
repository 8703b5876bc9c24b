//! How far a blade is turned while it stands in the stock, within how little of its way.
//!
//! A blade w long along its edge fills w mm of the slot behind it. What its heading differs by at
//! two places of its way less than w apart, it was wrenched by in that slot: no more than the
//! corner limit of its rule is let pass. Counted from the program's own words, along the way of the
//! tip, since the blade last came into the stock.

use crate::geom::Point;
use std::collections::VecDeque;

/// A blade turned by more than its rule lets pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wrench {
    /// By how much, degrees.
    pub turn: f64,
    /// What is let pass, degrees.
    pub most: f64,
    /// Within so much of its way, mm.
    pub way: f64,
    /// The line of the program.
    pub line: u32,
    /// Where.
    pub place: Point,
}

/// The share of the width in which a way that turns is looked at.
const STEPS: f64 = 8.0;

/// Rounding of a way, mm.
const SAME: f64 = 1e-9;

/// The turns of the blade at work.
#[derive(Clone, Debug, Default)]
pub(super) struct Turning {
    /// Since it came into the stock: how far along its way, mm, and how far turned, degrees. Empty
    /// while it is out.
    behind: VecDeque<(f64, f64)>,
}

impl Turning {
    /// The blade is out of the stock.
    pub(super) fn out(&mut self) {
        self.behind.clear();
    }

    /// The blade stands in the stock, afresh if it was out.
    pub(super) fn stands(&mut self) {
        if self.behind.is_empty() {
            self.behind.push_back((0.0, 0.0));
        }
    }

    /// Whether it stands in the stock.
    pub(super) fn is_in(&self) -> bool {
        !self.behind.is_empty()
    }

    /// The blade goes `way` mm while it turns by `turn` degrees: the most that it then was turned
    /// within `width` mm, and on how much way.
    pub(super) fn goes(&mut self, way: f64, turn: f64, width: f64) -> (f64, f64) {
        self.stands();
        let mut worst = (0.0, 0.0);
        // Straight on, or far along an even bend, every place is like the one before.
        let looked_at = if turn.abs() > 0.0 { way.min(2.0 * width) } else { way.min(0.0) };
        let share = if way > 0.0 { looked_at / way } else { 1.0 };
        let n = if turn.abs() > 0.0 && width > 0.0 { (looked_at / width * STEPS).ceil().max(1.0) } else { 1.0 };
        for _ in 0..n as usize {
            self.to(looked_at / n, turn * share / n, width, &mut worst);
        }
        // The rest of an even bend turns it alike; its end is what the next way begins from.
        let rest = (1.0 - share) * way;
        if rest > 0.0 {
            let steps = if turn.abs() > 0.0 { STEPS } else { 1.0 };
            let last = rest.min(width);
            self.skip(rest - last, turn * (rest - last) / way);
            for _ in 0..steps as usize {
                self.to(last / steps, turn * last / way / steps, width, &mut worst);
            }
        }
        worst
    }

    /// A short way, compared with all places less than `width` behind its end.
    fn to(&mut self, way: f64, turn: f64, width: f64, worst: &mut (f64, f64)) {
        let (at, heading) = self.behind.back().copied().unwrap_or_default();
        let (at, heading) = (at + way, heading + turn);
        while self.behind.front().is_some_and(|b| at - b.0 > width + SAME) {
            self.behind.pop_front();
        }
        for b in &self.behind {
            let turned = (heading - b.1).abs();
            if turned > worst.0 {
                *worst = (turned, at - b.0);
            }
        }
        self.behind.push_back((at, heading));
    }

    fn skip(&mut self, way: f64, turn: f64) {
        if let Some((at, heading)) = self.behind.back().copied().filter(|_| way > 0.0) {
            self.behind.clear();
            self.behind.push_back((at + way, heading + turn));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bend_turns_a_blade_by_its_width_over_the_radius() {
        // Derived: w / R radians; eighths of the width miss none of an even bend.
        for (radius, width) in [(10.0, 0.5), (2.0, 0.5), (3.0, 3.0), (1.8, 0.4996), (1.7, 0.4996), (1.9, 0.3)] {
            let mut turning = Turning::default();
            let (turn, way) = turning.goes(radius * 2.0, 2f64.to_degrees(), width);
            assert!((turn - (width / radius).to_degrees()).abs() < 1e-6, "{turn}");
            assert!(way <= width + 1e-9);
        }
        // The whole of it where it is shorter than the blade: a quarter about a corner at a radius of 0.025.
        let mut turning = Turning::default();
        let (turn, way) = turning.goes(0.025 * std::f64::consts::FRAC_PI_2, 90.0, 0.5);
        assert!((turn - 90.0).abs() < 1e-9 && (way - 0.0393).abs() < 1e-4);
    }

    #[test]
    fn turns_nearer_than_the_width_add_up_and_a_lift_forgets_them() {
        for (between, lifted, turn) in
            [(0.4, false, 20.0), (0.6, false, 10.0), (30.0, false, 10.0), (0.4, true, 10.0), (0.0, false, 20.0)]
        {
            let mut turning = Turning::default();
            turning.goes(50.0, 0.0, 0.5);
            let first = turning.goes(0.0, 10.0, 0.5);
            assert!((first.0 - 10.0).abs() < 1e-9);
            turning.goes(between, 0.0, 0.5);
            if lifted {
                turning.out();
            }
            assert!((turning.goes(0.0, 10.0, 0.5).0 - turn).abs() < 1e-9, "{between}");
        }
        let mut turning = Turning::default();
        turning.goes(0.0, 10.0, 0.5);
        turning.goes(0.1, 0.0, 0.5);
        assert!((turning.goes(0.0, -10.0, 0.5).0 - 10.0).abs() < 1e-9, "there and back is no more");
    }
}

//! How surely a joint passes what lies in it, made by a hand's or a machine's errors.
//!
//! A joint binds where its width, as set, is less than the layers that it must pass, as they are. Its
//! width is off by the spacer, its board by the share that boards of one caliper differ; both are
//! taken as normal, the tolerance as two standard deviations (our choice: a maker's "at most" holds
//! nineteen times in twenty). All boards of one box come from one sheet and share their error.
//! A joint of room e then passes with the chance `Phi((e - d) / s)`, d the board's error and s the
//! spacer's deviation, and n joints with `E[Phi((e - d) / s)^n]` over d (derived).

use super::thicknesses;
use crate::job::Job;
use crate::units::{Length, mm};
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_4, PI};

/// Of so many boxes at most one may bind at a joint whose ease is left to the program (our choice).
const ONE_IN: f64 = 200.0;
/// No ease that is left to the program is more, mm (our choice).
const MOST_EASE: f64 = 5.0;

/// The distribution function of the normal law.
pub fn phi(z: f64) -> f64 {
    // Beyond eight deviations it is 0 or 1 within 1e-15: most rooms are that wide, and are asked for very often.
    if z.abs() > 8.0 {
        return if z > 0.0 { 1.0 } else { 0.0 };
    }
    libm::erfc(-z * FRAC_1_SQRT_2) / 2.0
}

/// The mean of `f` over a normal law of this standard deviation about 0: Simpson's rule on 120 steps
/// over six deviations either way, good to seven digits for the smooth functions here.
pub fn mean_over(deviation: f64, f: impl Fn(f64) -> f64) -> f64 {
    const STEPS: i32 = 120;
    if deviation <= 0.0 {
        return f(0.0);
    }
    let h = 12.0 / f64::from(STEPS);
    let at = |i: i32| {
        let z = -6.0 + f64::from(i) * h;
        let weight = if i == 0 || i == STEPS {
            1.0
        } else if i % 2 == 1 {
            4.0
        } else {
            2.0
        };
        weight * (-z * z / 2.0).exp() * f(z * deviation)
    };
    (0..=STEPS).map(at).sum::<f64>() * h / 3.0 / (2.0 * PI).sqrt()
}

/// The standard deviations of one cut edge, one joint's width and the board's thickness, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviations {
    /// Of one cut edge from its line.
    pub cut: f64,
    /// Of a joint from the spacer's width.
    pub spacer: f64,
    /// Of the board's thickness, alike in the whole box.
    pub board: f64,
}

impl Deviations {
    /// Those of a job.
    pub fn of(job: &Job) -> Self {
        let m = &job.making;
        Self {
            cut: m.cut.to_mm() / 2.0,
            spacer: m.spacer.to_mm() / 2.0,
            board: job.board.thickness.to_mm() * m.board / 2.0,
        }
    }

    /// The same where every edge is marked at the nearest multiple of `step`. What that is out by lies anywhere within
    /// half a step to either side, alike on all of it: a variance of `step^2 / 12` (derived), independent of
    /// the cut's own, so the variances add. Both edges of a piece are taken for rounded, though its measures start at one
    /// of them: that is on the safe side. Joints are set by a spacer and are not marked.
    pub fn rounded(self, step: Length) -> Self {
        Self { cut: self.cut.hypot(step.to_mm() / 12f64.sqrt()), ..self }
    }
}

/// The chance that a joint with this room beyond its layers binds where the board is `thicker` than
/// measured, mm.
pub fn binds(room: f64, thicker: f64, spacer: f64) -> f64 {
    let left = room - thicker;
    if spacer > 0.0 { phi(-left / spacer) } else { f64::from(u8::from(left < -1e-9)) }
}

/// The least tenth of a millimetre at which 995 of 1,000 boxes have no joint that binds, and never
/// less than the cloth uses at its bend, `pi / 4 c` (derived: a cloth of thickness c bends about its
/// inner face, its middle is a quarter circle of radius c / 2).
pub(super) fn auto_ease(job: &Job) -> Length {
    let c = thicknesses(job).1.to_mm();
    let joints = 2 * job.flaps.len() as i32;
    let d = Deviations::of(job);
    let least = (FRAC_PI_4 * c * 10.0 - 1e-9).ceil().max(1.0);
    let closes = |room: f64| mean_over(d.board, |thicker| (1.0 - binds(room, thicker, d.spacer)).powi(joints));
    let mut tenths = least;
    while tenths < MOST_EASE * 10.0 && closes(tenths / 10.0) < 1.0 - 1.0 / ONE_IN {
        tenths += 1.0;
    }
    mm(tenths / 10.0)
}

/// The least tenth of a millimetre by which a lid must clear a wall at each side so that the errors of two
/// cut edges use it up in one box of 200 at most.
pub(super) fn cut_clearance(job: &Job) -> Length {
    let sides = 2 * job.flaps.len() as i32;
    let deviation = Deviations::of(job).cut * std::f64::consts::SQRT_2;
    let closes = |room: f64| (1.0 - binds(room, 0.0, deviation)).powi(sides);
    let tenths = (0..50).find(|n| closes(f64::from(*n) / 10.0) >= 1.0 - 1.0 / ONE_IN).unwrap_or(50);
    mm(f64::from(tenths) / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_law_is_that_of_the_tables() {
        // Source: the standard normal table (any textbook's): Phi(1.96) = 0.9750, Phi(-1) = 0.1587,
        // Phi(3) = 0.99865.
        for (z, p) in [(1.96, 0.975_00), (-1.0, 0.158_66), (3.0, 0.998_65), (0.0, 0.5)] {
            assert!((phi(z) - p).abs() < 5e-5, "{z}");
        }
        // The mean of z^2 is the variance; of Phi(z) one half.
        assert!((mean_over(0.3, |x| x * x) - 0.09).abs() < 1e-8);
        assert!((mean_over(1.0, phi) - 0.5).abs() < 1e-9);
        // The chance that the sum of two normal errors is below a limit: E[Phi(a - x)] = Phi(a / sqrt 2).
        assert!((mean_over(1.0, |x| phi(0.7 - x)) - phi(0.7 * FRAC_1_SQRT_2)).abs() < 1e-9);
    }

    #[test]
    fn marking_at_half_millimetres_adds_its_variance() {
        let d = Deviations { cut: 0.25, spacer: 0.15, board: 0.06 }.rounded(mm(0.5));
        // 0.5^2 / 12 = 1/48, and 1/16 + 1/48 = 1/12.
        assert!((d.cut * d.cut - 1.0 / 12.0).abs() < 1e-12);
        assert!((d.spacer, d.board) == (0.15, 0.06));
    }
}

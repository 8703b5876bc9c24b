//! From what was measured to figures of the profile.
//!
//! **Kerf.** The program moves an outline out and an opening in by half of the profile's kerf k0; the
//! tool takes half of its true kerf k off either side of its way. So a piece of nominal width P comes
//! out P' = P + k0 - k wide and an opening of nominal width S comes out S' = S - k0 + k. From the plug
//! alone k = k0 + P - P', from the notch alone k = k0 + S' - S, from both the mean of the two, in which
//! an error of the caliper's zero, being the same in P' and S', cancels. Without a caliper: the plug
//! just slides into the notch with S' = P', hence k = k0 + (P - S) / 2, which is what each notch
//! stands for.
//!
//! **Pivot offset.** A knife whose tip trails the pivot by d, led as if by d0 = d + a. When the pivot
//! begins to swivel about a corner the tip is a past it, along the side it comes from. While the pivot
//! goes round the corner on its arc of radius d0, turned by phi, it moves along the blade by
//! a (d0 / d) sin(phi) dphi, for its arc is centred on the corner and not on the tip; along the first
//! side that adds the integral of a sin(phi) cos(phi) dphi over a right angle, a / 2 to the first order
//! in a / d. A hook past the corner is so h = 3/2 a: d = d0 - 2 h / 3. With a < 0 the tip is pushed back
//! instead, and the cut along the side ends where the swivel began: it is s = -a short, d = d0 + s.
//! `tests/coupon.rs` follows a tip through the whole turn and finds both again.
//!
//! **Pockets and creases** of a tool with a depth: the mean of measured less asked is how far Z zero is
//! off, which is set at the machine and is no figure of the profile; the crease that folds best is
//! its rule's depth. Of a tool without: as many passes as came nearest to half of the thickness, or
//! folded best.

use super::form::Measured;
use super::{By, letter};
use crate::diag::Diagnostic;
use crate::profile::{OperationKind, Profile};
use crate::units::{decimal, tidy};

/// One figure of a profile to be changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Which table.
    pub table: TableAt,
    /// Its key.
    pub key: &'static str,
    /// The figure in the profile, mm or a count.
    pub from: f64,
    /// The one that was found.
    pub to: f64,
    /// Whether it is a count.
    pub is_count: bool,
    /// How it was found, for the person who decides.
    pub why: String,
}

/// A table of a profile, by its place in the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableAt {
    /// `[[tool]]`.
    Tool(usize),
    /// `[[rule]]`.
    Rule(usize),
}

/// Readings of one thing that differ by more than this are not of one thing, mm.
const SPREAD: f64 = 0.3;
/// Two ways to one figure that differ by more than this deserve a word, mm.
const AGREE: f64 = 0.1;
/// A Z zero within this is as good as a caliper tells, mm.
const ZERO: f64 = 0.05;

/// What the profile should say by these measurements: only what differs, to a hundredth of a mm.
pub fn changes(measured: &Measured, profile: &Profile) -> (Vec<Change>, Vec<Diagnostic>) {
    let mut f = Find { measured, profile, changes: Vec::new(), said: Vec::new(), found: 0 };
    if measured.machine != profile.id {
        let message = format!("the coupon was cut with {}, and {} is to be changed", measured.machine, profile.id);
        let hint = "that is right for a copy of the same machine's profile, and wrong for another machine";
        f.said.push(Diagnostic::warning("other-machine", message).help(hint));
    }
    f.kerf();
    f.offset();
    f.pocket();
    f.crease();
    if f.found == 0 && f.said.iter().all(|d| !d.is_error()) {
        let message = "nothing is written into the form yet".to_owned();
        f.said
            .push(Diagnostic::error("form-is-empty", message).help("coupon.md says what to measure and where it goes"));
    }
    (f.changes, f.said)
}

struct Find<'a> {
    measured: &'a Measured,
    profile: &'a Profile,
    changes: Vec<Change>,
    said: Vec<Diagnostic>,
    /// How many figures were found, changed or not.
    found: usize,
}

impl Find<'_> {
    fn kerf(&mut self) {
        let Some(trial) = &self.measured.trials.kerf else { return };
        let snug = self.measured.fits.and_then(|i| Some((i, *trial.tried.get(i)?)));
        let plug = self.mean(&self.measured.plug, "kerf.plug").map(|p| trial.now + trial.plug - p);
        let slot = self.mean(&self.measured.slot, "kerf.slot").map(|s| trial.now + s - trial.slot);
        let by_caliper = match (plug, slot) {
            (Some(p), Some(s)) => Some(((p + s) / 2.0, "plug and notch A by caliper")),
            (Some(p), None) => Some((p, "plug by caliper")),
            (None, Some(s)) => Some((s, "notch A by caliper")),
            (None, None) => None,
        };
        if let (Some((kerf, _)), Some((i, snug))) = (by_caliper, snug)
            && (kerf - snug).abs() > AGREE
        {
            let message = format!(
                "the caliper makes the kerf {} mm, notch {} {} mm; the caliper's is taken",
                decimal(kerf, 2),
                letter(i),
                decimal(snug, 2)
            );
            self.said.push(
                Diagnostic::warning("kerf-disagrees", message)
                    .at("kerf.fits")
                    .help("measure again: burrs and a plug that is not square both mislead"),
            );
        }
        let found = by_caliper
            .map(|(k, how)| (k, how.to_owned()))
            .or(snug.map(|(i, k)| (k, format!("the plug is snug in notch {}", letter(i)))));
        let Some((kerf, why)) = found else { return };
        if kerf < -0.02 {
            let message = format!(
                "by these readings the kerf is {} mm: the pieces come out larger than they were cut; 0 is taken",
                decimal(kerf, 2)
            );
            let hint = "board swells at a dull blade: fit a fresh one, and measure away from the burr";
            self.said.push(Diagnostic::warning("kerf-below-nothing", message).at("kerf.plug").help(hint));
        }
        if let Some((_, tool)) = self.profile.rule(OperationKind::ThroughCut, self.measured.stock) {
            let from = self.profile.tools[tool].kerf.to_mm();
            self.change(TableAt::Tool(tool), "kerf", from, kerf.max(0.0), why);
        }
    }

    fn offset(&mut self) {
        let Some(trial) = &self.measured.trials.offset else { return };
        let best = self.measured.best_offset.and_then(|i| Some((i, *trial.tried.get(i)?)));
        let by_hook = self.measured.hook.map(|h| if h > 0.0 { trial.now - h * 2.0 / 3.0 } else { trial.now - h });
        let found = match (best, by_hook) {
            (Some((i, d)), _) => Some((d, format!("square {} has the sharpest corners", letter(i)))),
            (None, Some(d)) => Some((d, "from the hook at the corners".to_owned())),
            (None, None) => None,
        };
        let Some((offset, why)) = found else { return };
        if offset < 0.0 {
            let message =
                format!("a hook of {} mm cannot be of an offset of {}", self.measured.hook.unwrap_or(0.0), trial.now);
            self.said
                .push(Diagnostic::error("hook-too-long", message).at("offset.hook").help("measure it again, in mm"));
            return;
        }
        if let Some((_, tool)) = self.profile.rule(OperationKind::ThroughCut, self.measured.stock) {
            let from = self.profile.tools[tool].pivot_offset.to_mm();
            self.change(TableAt::Tool(tool), "pivot_offset", from, offset, why);
            self.overruns(tool, tidy(offset, 2));
        }
    }

    /// The rules of a tool whose closed cuts would stay open with the offset found run on by as much
    /// beyond it as they did beyond the former one.
    fn overruns(&mut self, tool: usize, offset: f64) {
        let tool = &self.profile.tools[tool];
        for (i, rule) in self.profile.rules.iter().enumerate() {
            let now = rule.overrun.to_mm();
            if rule.tool != tool.id || rule.operation != OperationKind::ThroughCut || now >= offset {
                continue;
            }
            let to = tidy(offset + (now - tool.pivot_offset.to_mm()).max(0.0), 2);
            let why = "no less than the pivot offset, or closed cuts stay open".into();
            self.changes.push(Change { table: TableAt::Rule(i), key: "overrun", from: now, to, is_count: false, why });
        }
    }

    fn pocket(&mut self) {
        let Some(trial) = &self.measured.trials.pocket else { return };
        let depths = &self.measured.depths;
        if depths.is_empty() || depths.len() != trial.tried.len() {
            return;
        }
        match trial.by {
            By::Depth => {
                self.found += 1;
                let off = depths.iter().zip(&trial.tried).map(|(m, t)| m - t).sum::<f64>() / depths.len() as f64;
                if off.abs() > ZERO {
                    let (deep, set) = if off > 0.0 { ("deep", "higher") } else { ("shallow", "lower") };
                    let by = decimal(off.abs(), 2);
                    let message = format!("pockets come out {by} mm too {deep} on the average");
                    let hint =
                        format!("set Z zero {by} mm {set} at the machine; no figure of the profile says where it is");
                    self.said.push(Diagnostic::hint("z-zero-off", message).at("pocket.depths").help(hint));
                }
            }
            By::Passes => {
                let half = self.measured.thickness / 2.0;
                let best = depths.iter().enumerate().min_by(|a, b| (a.1 - half).abs().total_cmp(&(b.1 - half).abs()));
                let Some((i, depth)) = best else { return };
                let why = format!("{} mm deep, the nearest to half of the board", decimal(*depth, 2));
                self.passes(OperationKind::HalfDepthPocket, trial.tried[i], why);
            }
        }
    }

    fn crease(&mut self) {
        let Some(trial) = &self.measured.trials.crease else { return };
        let Some((i, best)) = self.measured.best_crease.and_then(|i| Some((i, *trial.tried.get(i)?))) else { return };
        let why = format!("crease {} folds best", letter(i));
        match trial.by {
            By::Passes => self.passes(OperationKind::CreaseScore, best, why),
            By::Depth => {
                if let Some((rule, from)) = self.rule(OperationKind::CreaseScore).map(|(i, r)| (i, r.depth.to_mm())) {
                    self.change(TableAt::Rule(rule), "depth", from, best, why);
                }
            }
        }
    }

    fn rule(&self, operation: OperationKind) -> Option<(usize, &crate::profile::Rule)> {
        let is_it = |r: &crate::profile::Rule| r.operation == operation && r.stock == self.measured.stock;
        self.profile.rules.iter().enumerate().find(|(_, r)| is_it(r))
    }

    fn passes(&mut self, operation: OperationKind, to: f64, why: String) {
        let Some((rule, from)) = self.rule(operation).map(|(i, r)| (i, f64::from(r.passes))) else { return };
        self.found += 1;
        if (from - to).abs() > 0.5 {
            self.changes.push(Change { table: TableAt::Rule(rule), key: "passes", from, to, is_count: true, why });
        }
    }

    fn change(&mut self, table: TableAt, key: &'static str, from: f64, to: f64, why: String) {
        self.found += 1;
        let to = tidy(to, 2);
        if (from - to).abs() >= 0.005 {
            self.changes.push(Change { table, key, from, to, is_count: false, why });
        }
    }

    /// The mean of readings, unless they cannot be of one thing.
    fn mean(&mut self, readings: &[f64], key: &str) -> Option<f64> {
        let (low, high) = readings.iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        if readings.is_empty() {
            return None;
        }
        if high - low > SPREAD {
            let message = format!("readings from {} to {} mm are not of one width", decimal(low, 2), decimal(high, 2));
            self.said.push(
                Diagnostic::error("readings-apart", message).at(key).help("measure again, away from corners and burrs"),
            );
            return None;
        }
        Some(readings.iter().sum::<f64>() / readings.len() as f64)
    }
}

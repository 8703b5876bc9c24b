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
//! **Pivot offset.** A knife whose tip trails the pivot by d, led as if by d0. On a straight the tip comes
//! to run true whatever d is, for it is drawn along the pivot's line. About a round of radius R the
//! pivot is led at R0 with R0^2 = R^2 + d0^2, and a tip that has settled behind it runs at r with
//! r^2 = R0^2 - d^2. So every round comes out wider than it should where the offset is too large and
//! narrower where it is too small, to whichever side the knife turns: a tongue reaches e = r - R too
//! far, a notch goes e too deep, and e changes its sign with d0 - d. To the first order e is
//! (d0 - d) d / R, half of the error for R = 2 d.
//!
//! How far it has settled: the blade's lag b behind the pivot's heading changes by 1/R0 - sin(b)/d a mm
//! of the pivot's way. About its rest, sin(b) = d / R0, a small difference dies as exp(-s cos(b) / d),
//! which after a turn phi, s = R0 phi, is exp(-R phi / d). Where the round begins the tip lies on
//! the tangent and e is nothing yet; in the middle of a half turn, where it is measured, the share
//! 1 - q has grown, q = exp(-pi R / (2 d)).
//!
//! Over the tips of two tongues L' = L + 2 (1 - q) e + k0 - k, between the bottoms of two notches
//! W' = W - 2 (1 - q) e + k0 - k: in (L' - L) - (W' - W) = 4 (1 - q) e neither the kerf nor an error of the
//! caliper's zero is left. From e, r = R + e, and d^2 = R^2 + d0^2 - r^2. `tests/coupon.rs` follows a
//! trailing tip through the whole cut and finds its d again.
//!
//! Without a caliper: behind a round the tip is e beside the straight that follows and comes back to it
//! within some d, so the side swells behind its round where the offset is too large and is hollow where
//! it is too small. A straight edge held to it tells one from the other.
//!
//! **Pockets and creases** of a tool with a depth: the mean of measured less asked is how far Z zero is
//! off, which is set at the machine and is no figure of the profile; the crease that folds best is
//! its rule's depth. Of a tool without: as many passes as came nearest to half of the thickness, or
//! folded best.

use super::form::Measured;
use super::{By, Offset, letter};
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

/// Readings of one thing that differ by more than this are not of one thing, mm (our choice).
const SPREAD: f64 = 0.3;
/// Two ways to one figure that differ by more than this deserve a word, mm (our choice).
const AGREE: f64 = 0.1;
/// A Z zero within this is as good as a caliper tells, mm (our choice).
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

/// The true offset, mm, of a knife that cuts the rounds of the profile's own card wider than nominal by
/// `wide` mm in their middle; `None` where none does. The formulas stand at the head.
fn offset_of(trial: &Offset, wide: f64) -> Option<f64> {
    let (radius, led) = (trial.radius, trial.now);
    let mut d = led;
    // How far the tip has settled hangs a little on the offset sought, so each turn starts from the last
    // one's.
    for _ in 0..20 {
        let unsettled = if d > 0.0 { (-std::f64::consts::FRAC_PI_2 * radius / d).exp() } else { 0.0 };
        let square = radius * radius + led * led - (radius + wide / (1.0 - unsettled)).powi(2);
        if square < 0.0 || !square.is_finite() {
            return None;
        }
        d = square.sqrt();
    }
    Some(d)
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
        let over = self.mean(&self.measured.over, "offset.over").map(|l| l - trial.over);
        let web = self.mean(&self.measured.web, "offset.web").map(|w| w - trial.web);
        let wide = match (over, web) {
            (Some(l), Some(w)) => Some(((l - w) / 4.0, "tongues and notches by caliper")),
            (Some(l), None) => Some((l / 2.0, "tongues by caliper, if the kerf is right")),
            (None, Some(w)) => Some((-w / 2.0, "notches by caliper, if the kerf is right")),
            (None, None) => None,
        };
        let by_caliper = match wide.map(|(wide, how)| (wide, offset_of(trial, wide), how)) {
            Some((_, Some(d), how)) => Some((d, how)),
            Some((wide, None, _)) => {
                let by = decimal(wide, 2);
                let message = format!("by these readings the rounds are {by} mm too wide, which no offset explains");
                let hint = format!("measure card {} again, over the very tips and at the bottoms", trial.own_card());
                self.said.push(Diagnostic::error("rounds-too-wide", message).at("offset.over").help(hint));
                return;
            }
            None => None,
        };
        let step = trial.tried.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
        if let (Some((d, _)), Some((i, straight))) = (by_caliper, best)
            && (d - straight).abs() > step.max(AGREE)
        {
            let (d, straight) = (decimal(d, 2), decimal(straight, 2));
            let message = format!(
                "the caliper makes the offset {d} mm, card {} {straight} mm; the caliper's is taken",
                letter(i)
            );
            let hint = format!("measure again: the caliper's readings are of card {} alone", trial.own_card());
            self.said.push(Diagnostic::warning("offset-disagrees", message).at("offset.best").help(hint));
        }
        let found = by_caliper
            .map(|(d, how)| (d, how.to_owned()))
            .or(best.map(|(i, d)| (d, format!("card {} has the straightest sides", letter(i)))));
        let Some((offset, why)) = found else { return };
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
            // What is lent follows the rule that it is of.
            if rule.is_lent || rule.tool != tool.id || rule.operation != OperationKind::ThroughCut || now >= offset {
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
                    self.said.push(Diagnostic::warning("z-zero-off", message).at("pocket.depths").help(hint));
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
        let is_it = |r: &crate::profile::Rule| !r.is_lent && r.operation == operation && r.stock == self.measured.stock;
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

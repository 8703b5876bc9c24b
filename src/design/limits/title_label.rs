//! What limits a title label.

use super::Limits;
use crate::design::build::Build;
use crate::design::title_label::{labelled, recess};
use crate::design::{Flat, Measures};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, offset};
use crate::units::{Length, mm};

/// Board that is left beside and under a recess, at the least, mm and share of its thickness (our choice).
const BESIDE: f64 = 4.0;
const LEFT: f64 = 0.4;

impl Limits<'_> {
    /// Whether the recess lies on its board, clear of its edges, and leaves enough of it.
    pub(super) fn title_label(&mut self, measures: &Measures, build: &dyn Build) {
        let Some((label, part)) = labelled(self.job) else { return };
        let t = self.job.board.thickness;
        if label.depth > t * (1.0 - LEFT) {
            let message = format!(
                "the label's recess is {} deep, and of a board of {} only {} would be left",
                self.say(label.depth),
                self.say(t),
                self.say((t - label.depth).max(Length::ZERO))
            );
            let help = format!("make it {} or less, or take a thinner label", self.say(t * (1.0 - LEFT)));
            self.push(Diagnostic::error("recess-too-deep", message).at("title_label.depth").help(help));
        }
        let Ok(flat) = Flat::new(self.job, measures, build, measures.joint, Length::ZERO) else { return };
        let Some(arm) = part.lid().or(part.wall()).and_then(|s| flat.arms.get(&s)) else { return };
        let board = if part.lid().is_some() { arm.flap() } else { arm.wall() };
        let b = recess(self.job, &label, part, board.bounds());
        let wanted = Contour::rectangle(b.min, b.max);
        let inner = offset(&board, -BESIDE, Join::Mitre);
        let is_inside = inner.is_ok_and(|inner| wanted.vertices().iter().all(|v| inner.contains(v.point())));
        let name = match (self.job.build.construction.terms().has_case, part.lid().is_some()) {
            (true, true) => "front cover".to_owned(),
            (true, false) => "spine".to_owned(),
            _ => part.name(),
        };
        let other = if part.lid().is_some() { "spine" } else { "lid" };
        if !is_inside {
            let message = format!(
                "a label of {} with its room does not lie on the {}, {} clear of its edges",
                self.job.units.show_size(&[label.width, label.height]),
                name,
                self.say(mm(BESIDE))
            );
            let key = if label.from_head.is_some() { "title_label.from_head" } else { "title_label.width" };
            self.push(
                Diagnostic::error("label-off-board", message)
                    .at(key)
                    .help(format!("make it smaller, move it with from_head, or write on = \"{other}\"")),
            );
        }
    }
}

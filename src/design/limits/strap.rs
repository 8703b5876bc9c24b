//! The strap: whether its slots and pockets stay in the board, on the base and off each other.

use super::Limits;
use crate::design::Measures;
use crate::diag::Diagnostic;
use crate::job::{Job, Strap, StrapAlong};
use crate::units::{Length, Unit, decimal, mm};

/// The film of glue under an elastic in its pocket (from memory).
pub(super) const GLUE: Length = mm(0.1);
/// An elastic that stands out by no more lies flush: glue and board give so much (our choice).
pub(super) const SLACK: Length = mm(0.05);
/// The share of the board that a pocket may take at most: what is left under it must hold its edge (our choice).
pub(super) const DEEPEST: f64 = 0.75;

/// How far the glued ends of a strap stand up from the base, where the stack lies on them: by all of their
/// thickness on folding board, elsewhere by what their pockets do not take.
pub fn elastic_proud(job: &Job) -> Length {
    let Some(strap) = job.strap else { return Length::ZERO };
    let pocket = if job.build.construction.terms().is_hinged { strap.pocket_depth } else { Length::ZERO };
    let over = job.elastic.thickness + GLUE - pocket;
    if over > SLACK { over } else { Length::ZERO }
}

impl Limits<'_> {
    /// Ends of a strap that lie on folding board, under a stack without room for them.
    fn ends_under_stack(&mut self, measures: &Measures) {
        let up = elastic_proud(self.job);
        let least = measures.play().into_values().reduce(Length::min).unwrap_or_default();
        let room = self.job.contents.clearance.depth + least.max(Length::ZERO);
        if up <= room + mm(1e-9) {
            return;
        }
        let message = format!(
            "the strap's ends, glued flat on the base, lift the stack by {}, and it has {} of room in depth",
            self.say(up),
            self.say(room)
        );
        let needs = self.job.contents.clearance.depth + up - room;
        let hint = format!("write contents.clearance.depth = {}, or use a thinner elastic", self.written(needs));
        let at = self.key_or("contents.clearance.depth", "strap".into());
        let written = ["contents.clearance", "elastic.thickness"];
        let d = Diagnostic::warning("elastic-proud", message).at(at).help(hint);
        self.push(d.unless_assumed(&self.job.places, &written));
    }

    /// A length as it can be written in a job, rounded up.
    pub(super) fn written(&self, length: Length) -> String {
        match self.job.units {
            Unit::Mm => format!("\"{} mm\"", decimal((length.to_mm() * 20.0 - 1e-6).ceil() / 20.0, 2)),
            Unit::Inch => format!("\"{} in\"", decimal((length.to_inch() * 1000.0 - 1e-6).ceil() / 1000.0, 3)),
        }
    }

    /// The strap against the board and the base.
    pub(super) fn strap(&mut self, measures: &Measures) {
        let Some(strap) = self.job.strap else { return };
        let elastic = self.job.elastic;
        // Folding board has slots alone.
        if self.job.build.construction.terms().is_hinged {
            self.pocket(strap.pocket_depth, self.job.board.thickness, elastic.thickness);
        } else {
            self.ends_under_stack(measures);
        }
        let base = (measures.base_width, measures.base_height);
        if base.0.min(base.1) > Length::ZERO {
            self.slots(&strap, elastic.width, elastic.thickness, base);
        }
    }

    fn pocket(&mut self, depth: Length, t: Length, thickness: Length) {
        if depth >= t {
            let message = format!("a pocket {} deep goes through a board of {}", self.say(depth), self.say(t));
            self.push(
                Diagnostic::error("pocket-too-deep", message)
                    .at("strap.pocket_depth")
                    .help("\"half\" the board is usual (common practice, no source)"),
            );
        } else if depth > t * DEEPEST + SLACK {
            let message =
                format!("a pocket {} deep leaves {} of the board under it", self.say(depth), self.say(t - depth));
            self.push(
                Diagnostic::warning("thin-pocket", message)
                    .at("strap.pocket_depth")
                    .help("make it three quarters of the board at most: use a thinner elastic or a thicker board"),
            );
        } else if thickness + GLUE > depth + SLACK {
            let needs = thickness + GLUE;
            let over = if self.job.liner.is_some() { "under the liner" } else { "of the board" };
            let message = format!(
                "the elastic and its glue are {} thick and the pocket {} deep: {} stand proud {over}",
                self.say(needs),
                self.say(depth),
                self.say(needs - depth)
            );
            let hint = if needs <= t * DEEPEST {
                let share = decimal(needs / t * 100.0, 0);
                let enough = self.written(needs);
                format!("write strap.pocket_depth = {enough} ({share} % of the board), or use a thinner elastic")
            } else {
                "use a thinner elastic or a thicker board".to_owned()
            };
            self.push(
                Diagnostic::warning("elastic-proud", message)
                    .at(self.key_or("strap.pocket_depth", "strap".into()))
                    .help(hint)
                    .unless_assumed(&self.job.places, &["strap.pocket_depth", "elastic.thickness"]),
            );
        }
    }

    /// Whether slots and pockets stay on the base and off each other.
    fn slots(&mut self, strap: &Strap, elastic_width: Length, elastic_thickness: Length, base: (Length, Length)) {
        let ((length, length_name), (width, edge)) = match strap.along {
            StrapAlong::Height => ((base.1, "high"), (base.0, "right")),
            StrapAlong::Width => ((base.0, "wide"), (base.1, "tail")),
        };
        let slot_long = elastic_width + strap.slot_ease;
        let slot_wide = elastic_thickness + strap.slot_ease;
        if slot_long >= width {
            let message = format!(
                "a slot for a strap {} wide does not fit on a base of {}",
                self.say(elastic_width),
                self.say(width)
            );
            self.push(
                Diagnostic::error("strap-too-wide", message)
                    .at(self.key_or("elastic.width", "strap".into()))
                    .help("use a narrower elastic"),
            );
            return;
        }
        let (near, far) = (strap.from_edge - slot_long / 2.0, width - strap.from_edge - slot_long / 2.0);
        if near.min(far) <= Length::ZERO {
            let message = format!(
                "a strap {} from the {edge} edge leaves the base, which is {} across",
                self.say(strap.from_edge),
                self.say(width)
            );
            // Rounded inwards, so that what is written stays on.
            let tenths = |l: Length, up: bool| {
                let n = l.to_mm() * 10.0;
                mm(if up { (n - 1e-6).ceil() } else { (n + 1e-6).floor() } / 10.0)
            };
            let (least, most) = (tenths(slot_long / 2.0, true), tenths(width - slot_long / 2.0, false));
            let hint = format!("between {} and {} keeps it on", self.say(least), self.say(most));
            self.push(Diagnostic::error("strap-off-base", message).at("strap.from_edge").help(hint));
        } else if near.min(far) < self.job.board.thickness {
            let message = format!("only {} of board is left beside the slots", self.say(near.min(far)));
            self.push(
                Diagnostic::warning("slot-near-edge", message)
                    .at("strap.from_edge")
                    .help("keep at least a board's thickness")
                    .unless_assumed(&self.job.places, &["strap.from_edge", "elastic.width"]),
            );
        }
        // Two straps lie at the same distance from opposite edges.
        let between = (width - strap.from_edge * 2.0).abs() - slot_long;
        if strap.count == 2 && between < self.job.board.thickness {
            let message = if between > Length::ZERO {
                format!("only {} of board is left between the slots of the two straps", self.say(between))
            } else {
                "the slots of the two straps overlap".to_owned()
            };
            let hint = "lower from_edge: the second strap is placed alike from the opposite edge";
            self.push(
                Diagnostic::error("straps-meet", message).at(self.key_or("strap.from_edge", "strap".into())).help(hint),
            );
        }
        let half = length / 2.0;
        if strap.inset <= slot_wide / 2.0 {
            let message = format!("slots {} from the edge break through it", self.say(strap.inset));
            let d = Diagnostic::error("slot-off-base", message).at("strap.inset");
            self.push(d.help("25 mm, which is taken where it is left out, keeps clear of the turn-in"));
        } else if strap.inset + slot_wide / 2.0 >= half {
            let message = format!(
                "slots {} from both edges meet on a base {} {length_name}",
                self.say(strap.inset),
                self.say(length)
            );
            self.push(Diagnostic::error("slots-meet", message).at("strap.inset").help("make the inset smaller"));
        } else if strap.inset + slot_wide / 2.0 + strap.tail >= half {
            let most = mm((half - strap.inset - slot_wide / 2.0).to_mm().floor());
            let message = format!(
                "pockets {} long from both slots meet in the middle of a base {} {length_name}",
                self.say(strap.tail),
                self.say(length)
            );
            let hint = if most > Length::ZERO {
                format!("a tail of less than {} keeps them apart", self.say(most))
            } else {
                "make the inset smaller".to_owned()
            };
            self.push(Diagnostic::error("pockets-meet", message).at("strap.tail").help(hint));
        }
    }
}

//! What limits a slipcase: its mouth, its thickness, its notches.

use super::Limits;
use crate::design::measures::thicknesses;
use crate::design::slipcase_boards::measures;
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// Cloth that lies on less of the inside lifts where works slide over it, mm (our choice).
const LEAST_TURNED: f64 = 4.0;
/// Behind the cloth turned in at the mouth so much of the case is left, mm (our choice).
const BEHIND: f64 = 5.0;
/// A case thinner than this outside is too thin for flaps on its ends, mm (our choice).
const THINNEST: f64 = 4.0;
/// So much of the mouth is left beside a notch, mm (our choice: the face holds the works there).
const BESIDE: f64 = 10.0;

impl Limits<'_> {
    /// Whether the case is deep enough for its cloth and thick enough to be covered, and its notches can be turned in.
    pub(super) fn slipcase(&mut self) {
        let Some((m, asked)) = measures(self.job).zip(self.job.slipcase) else { return };
        let (t, c, _) = thicknesses(self.job);
        if m.turned < LEAST_TURNED {
            let message = format!(
                "folded over the edge at the mouth a turn-in of {} reaches {} over the inside: it lifts where the works slide over it",
                self.say(self.job.covering.turn_in),
                self.say(mm(m.turned.max(0.0)))
            );
            let least = t + c + mm(LEAST_TURNED);
            let d = Diagnostic::error("turn-in-too-short", message).at("covering.turn_in");
            self.push(d.help(format!("make it {} or more", self.say(least))));
        }
        // From the lining of the back to the mouth.
        let deep = m.boards[0] - t.to_mm();
        if deep < m.turned + BEHIND {
            let message = format!(
                "the case is {} deep, and the cloth turned in at its mouth reaches {} over the inside",
                self.say(mm(deep.max(0.0))),
                self.say(mm(m.turned))
            );
            let (key, help) = if asked.stands_out > Length::ZERO {
                ("slipcase.stands_out", "let the works stand out less, or turn in less")
            } else {
                ("covering.turn_in", "turn in less, or open the case at another side")
            };
            self.push(Diagnostic::error("case-too-shallow", message).at(key).help(help));
        }
        if m.boards[2] < THINNEST {
            let message = format!(
                "the case is {} thick, and nothing thinner than {} can be covered over its ends",
                self.say(mm(m.boards[2])),
                self.say(mm(THINNEST))
            );
            let d = Diagnostic::error("case-too-thin", message).at("contents.depth");
            self.push(d.help("take a thicker board, or give the works more clearance"));
        }
        self.mouth_notch(deep);
    }

    fn mouth_notch(&mut self, deep: f64) {
        let Some((m, (width, depth))) = measures(self.job).zip(self.job.slipcase.and_then(|s| s.notch)) else { return };
        let (t, c, _) = thicknesses(self.job);
        if depth > width / 2.0 + mm(1e-9) {
            let message =
                format!("a notch {} wide is {} deep, more than a half round", self.say(width), self.say(depth));
            let d = Diagnostic::error("notch-too-deep", message).at("slipcase.notch_depth");
            self.push(d.help(format!("make it {} or less, or leave it \"auto\"", self.say(width / 2.0))));
            return;
        }
        let most = mm(m.mouth[0] - 2.0 * BESIDE);
        if width > most {
            let message = format!(
                "a notch {} wide leaves too little of a mouth of {}",
                self.say(width),
                self.say(mm(m.mouth[0]))
            );
            let help = if most > Length::ZERO {
                format!("make it {} or less, or 0 for none", self.say(most))
            } else {
                "write 0 for none: the mouth is too short for one".into()
            };
            self.push(Diagnostic::error("notch-too-wide", message).at("slipcase.notch_width").help(help));
        }
        if depth.to_mm() > deep / 2.0 {
            let message =
                format!("a notch {} deep takes more than half of a face {} deep", self.say(depth), self.say(mm(deep)));
            let key = self.key_or("slipcase.notch_depth", "slipcase.notch_width".into());
            let d = Diagnostic::error("notch-too-deep", message).at(key);
            self.push(d.help(format!("make it {} deep or less", self.say(mm(deep / 2.0)))));
        }
        // The tabs about an arc are as long as its radius, and go round the board first.
        let (half, d) = (width.to_mm() / 2.0, depth.to_mm());
        let radius = (half * half + d * d) / (2.0 * d);
        let least = (t + c).to_mm() + LEAST_TURNED;
        if radius < least {
            let message = format!(
                "about a notch with a radius of {} cloth cannot be turned in over a board of {}",
                self.say(mm(radius)),
                self.say(t)
            );
            let d = Diagnostic::error("notch-too-small", message).at("slipcase.notch_width");
            self.push(d.help(format!("make it {} wide or more, or 0 for none", self.say(mm(least * 2.0)))));
        }
    }
}

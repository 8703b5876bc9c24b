//! What limits a covering by part.

use super::Limits;
use crate::design::build::Build;
use crate::design::measures::ON_COVER;
use crate::design::sides::{Parted, parted};
use crate::design::turn_in::GRIP;
use crate::design::{Flat, Measures};
use crate::diag::Diagnostic;
use crate::job::{Flap, FlapShape, SideOn};
use crate::units::{Length, mm};

/// So much paper shows between cloth and cloth, at the least (our choice: less is a stripe).
const LEAST_SHOWN: Length = mm(10.0);

impl Limits<'_> {
    /// Whether every board that is to be covered by part is there, and holds the lines and laps.
    pub(super) fn sides(&mut self, measures: &Measures, build: &dyn Build) {
        let job = self.job;
        for on in job.sides.keys() {
            let SideOn::Lid(side) = on else { continue };
            let last = job.flaps.values().map(|f| f.tier).max().unwrap_or_default();
            match job.flaps.get(side) {
                None => {
                    let message = format!("there is no lid at the {} to be covered by part", side.word());
                    let d = Diagnostic::error("side-without-lid", message).at(on.key(""));
                    self.push(d.help(format!("add [flap.{}], or take the table out", side.word())));
                }
                Some(flap) if flap.tier < last => {
                    let message = format!(
                        "the {} lid lies under another: the lap of paper over cloth would keep that from lying flat",
                        side.word()
                    );
                    let d = Diagnostic::error("side-under-lid", message).at(on.key(""));
                    self.push(d.help("cover a lid by part that closes last; the others have cloth all over"));
                }
                Some(_) => {}
            }
        }
        let Ok(flat) = Flat::new(job, measures, build, measures.joint, Length::ZERO) else { return };
        for one in parted(job, measures, &flat) {
            let flap = one.part.lid().and_then(|side| job.flaps.get(&side));
            self.side(&one, flap);
        }
    }

    fn side(&mut self, of: &Parted, flap: Option<&Flap>) {
        let job = self.job;
        let [wide, long] = of.size.map(mm);
        let (cloth, cut) = (mm(of.cloth), of.cut);
        let board = of.on.board();
        let at = |key: &str| of.on.key(key);
        let holds = cut.lap + mm(GRIP);
        // The paper begins beyond what stands in the joint, and beyond what lines the spine of a case.
        let of_strip = if job.portfolio.is_some() { mm(ON_COVER).min(wide / 2.0) + cut.lap } else { Length::ZERO };
        let least = (holds + job.board.thickness).max(of_strip);
        if cloth + mm(1e-9) < least {
            let why = if least > holds + job.board.thickness {
                "the lining of the spine lies there, and the lap beside it"
            } else {
                "the joint, a grip for the cloth and the lap take that"
            };
            let message = format!(
                "on the {board} the cloth runs {} from its joint, and needs {}: {why}",
                self.say(cloth),
                self.say(least)
            );
            self.push(
                Diagnostic::error("side-cloth-short", message)
                    .at(at("cloth"))
                    .help(format!("make it {} or more", self.say(least))),
            );
        }
        for (key, size, least) in [("edge", cut.edge, holds), ("corner", cut.corner, holds * std::f64::consts::SQRT_2)]
        {
            if size > Length::ZERO && size + mm(1e-9) < least {
                let message = format!(
                    "cloth of {} on the {board} is too little to hold a lap of {}",
                    self.say(size),
                    self.say(cut.lap)
                );
                self.push(
                    Diagnostic::error("side-cloth-short", message)
                        .at(at(key))
                        .help(format!("make it {} or more, or 0", self.say(least))),
                );
            }
        }
        let shown = wide - cloth - cut.edge.max(cut.corner);
        let between = long - cut.corner * 2.0;
        if shown < LEAST_SHOWN || between < LEAST_SHOWN {
            let message = format!(
                "of the {board}, {} wide from its joint, the cloth leaves {} for paper",
                self.say(wide),
                self.say(shown.min(between).max(Length::ZERO))
            );
            self.push(Diagnostic::error("side-lines-meet", message).at(at("cloth")).help(format!(
                "leave {} at the least, or take the table out for cloth all over",
                self.say(LEAST_SHOWN)
            )));
        }
        let Some(flap) = flap else { return };
        let key = if cut.edge > Length::ZERO { "edge" } else { "corner" };
        if cut.edge.max(cut.corner) <= Length::ZERO {
            return;
        }
        let is_plain = match flap.shape {
            FlapShape::Square => true,
            FlapShape::Taper(_) => cut.corner <= Length::ZERO,
            FlapShape::Bow(_) | FlapShape::Outline(_) => false,
        };
        if !is_plain {
            let message =
                format!("the free edge of the {board} is not straight: a strip or corners of cloth would not be even");
            self.push(
                Diagnostic::error("side-edge-shape", message).at(at(key)).help("take it out, for a quarter covering"),
            );
        }
        if let Some(notch) = flap.notch {
            let deep = notch.depth + holds;
            let aside = (long - notch.width) / 2.0 - notch.radius - cut.lap;
            if cut.edge > Length::ZERO && cut.edge < deep {
                let message = format!(
                    "a strip of {} along the edge of the {board} does not go round its notch",
                    self.say(cut.edge)
                );
                self.push(
                    Diagnostic::error("side-at-notch", message)
                        .at(at(key))
                        .help(format!("make it {} or more, or 0", self.say(deep))),
                );
            }
            if cut.corner > aside {
                let message = format!("corners of {} on the {board} meet its notch", self.say(cut.corner));
                let most = self.say(aside.max(Length::ZERO));
                self.push(
                    Diagnostic::error("side-at-notch", message).at(at(key)).help(format!("make them {most} or less")),
                );
            }
        }
    }
}

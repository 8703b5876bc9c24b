//! How a box is lined: in one, in panels, or between hinge strips; edges cut, or folded under.

use super::check::{Check, Sign};
use super::construction::Terms;
use super::{Construction, Job, LinerPieces, Stock, StockKind};
use crate::diag::Diagnostic;
use crate::doc::RawLength;
use crate::units::Length;

impl Check<'_> {
    /// `strip_lap` and `turn_in` of the liner; nothing of other stocks.
    pub(super) fn lining(&mut self, kind: StockKind) -> (Option<Length>, Option<Length>) {
        if kind != StockKind::Liner {
            return (Some(Length::ZERO), Some(Length::ZERO));
        }
        let lap = self.length("liner.strip_lap", Sign::Positive);
        (lap, self.length("liner.turn_in", Sign::NotNegative))
    }

    /// A lining that this construction does not take, as an error; settings that it has no use for, as warnings.
    pub(super) fn lining_here(&mut self, liner: Option<&Stock>) {
        let (Some(liner), Some(terms)) = (liner, self.construction().map(Construction::terms)) else { return };
        if !terms.takes_liner {
            return;
        }
        let has_joints = terms.hinges_lids();
        let has_strips = liner.pieces == LinerPieces::HingeStrips;
        if has_strips && !has_joints {
            let message = format!(
                "\"{}\" has no joints for hinge strips to line: {}",
                terms.word,
                if terms.is_hinged { "its lining ends on each board by itself" } else { "it folds at creases" }
            );
            let d = Diagnostic::error("no-hinge-strips-here", message).at("liner.pieces");
            let hint = if terms.is_hinged {
                "take liner.pieces out"
            } else {
                "write pieces = \"panels\", which butt at the creases, or \"one\""
            };
            self.push(d.help(hint));
        }
        if !has_strips && self.doc.is_written("liner.strip_lap") {
            let d = Diagnostic::warning("unused-key", "`liner.strip_lap` has no meaning without hinge strips");
            self.push(d.at("liner.strip_lap").help("take it out, or write pieces = \"hinge-strips\""));
        }
        self.lining_folded(liner, terms);
        if has_strips && self.is_trimmed() {
            let message = "`covering.liner_trim` has no meaning with hinge strips: no lining is pressed into a joint";
            let d = Diagnostic::warning("unused-key", message).at("covering.liner_trim");
            self.push(d.help("take it out"));
        }
    }

    /// Edges folded under, where this construction or this lining does not take them.
    fn lining_folded(&mut self, liner: &Stock, terms: &Terms) {
        if liner.turn_in <= Length::ZERO {
            return;
        }
        let here = if !terms.hinges_lids() || terms.has_case {
            let message =
                format!("the linings of \"{}\" are cut to size: their edges are not folded under", terms.word);
            Some((message, "take liner.turn_in out".to_owned()))
        } else if liner.pieces == LinerPieces::Panels {
            let message =
                "linings in panels overlap in the joints: folded under there, three layers would lie in a groove";
            Some((
                message.to_owned(),
                "write pieces = \"one\", which runs through the joints, or \"hinge-strips\"".into(),
            ))
        } else {
            None
        };
        if let Some((message, hint)) = here {
            self.push(Diagnostic::error("no-lining-turn-in-here", message).at("liner.turn_in").help(hint));
        } else if self.is_trimmed() && liner.pieces == LinerPieces::One {
            let message = "a liner whose edges are folded under cannot be trimmed in the box";
            let d = Diagnostic::error("trim-of-folded-edge", message).at("covering.liner_trim");
            self.push(d.help("take covering.liner_trim out, or liner.turn_in"));
        }
    }

    /// Whether the liner is to be trimmed in the box.
    fn is_trimmed(&self) -> bool {
        self.doc.length("covering.liner_trim").is_some_and(|l| l != RawLength::Fixed(Length::ZERO))
    }
}

impl Job {
    /// How far the edges of its lining are folded under; zero where they are cut to size.
    pub fn lining_fold(&self) -> Length {
        let terms = self.build.construction.terms();
        let takes = terms.hinges_lids() && !terms.has_case && self.within().is_none();
        self.liner.as_ref().filter(|_| takes).map_or(Length::ZERO, |liner| liner.turn_in)
    }

    /// How thick the edge of its lining is that is folded under, beyond the lining itself; zero where it is cut.
    pub fn folded(&self) -> Length {
        if self.lining_fold() > Length::ZERO { self.lining() } else { Length::ZERO }
    }

    /// How far hinge strips lap onto the boards; `None` where no strips line its joints.
    pub fn strip_lap(&self) -> Option<Length> {
        let terms = self.build.construction.terms();
        let has_joints = terms.hinges_lids() && self.within().is_none() && self.cloth.is_some();
        let liner = self.liner.as_ref().filter(|_| has_joints)?;
        (liner.pieces == LinerPieces::HingeStrips).then_some(liner.strip_lap)
    }

    /// How thick the cloth of its hinge strips is; zero without.
    pub fn strip(&self) -> Length {
        self.strip_lap().and(self.cloth.as_ref()).map_or(Length::ZERO, |cloth| cloth.thickness)
    }
}

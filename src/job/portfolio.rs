//! A portfolio as it is written: a case round a wrapper with lids, or round loose sheets.

use super::check::{Check, Sign};
use super::{Side, SideCut, SideOn, Ties, TitleLabel, Within};
use crate::diag::Diagnostic;
use crate::units::Length;
use std::collections::BTreeMap;

/// What the case of a portfolio is like.
#[derive(Clone, Debug)]
pub struct Portfolio {
    /// How far the covers stand out beyond what is within.
    pub square: Length,
    /// What the spine has beyond what is within, where the job says.
    pub spine_extra: Option<Length>,
    /// What is in the case, where the job is that of the case.
    pub within: Option<Within>,
    /// What the job says of the case, where the job is that of the wrapper in it.
    pub outside: Option<Outside>,
}

/// What is on a case and not on the wrapper in it.
#[derive(Clone, Debug, Default)]
pub struct Outside {
    /// The ribbon ties.
    pub ties: BTreeMap<Side, Ties>,
    /// The title label.
    pub title_label: Option<TitleLabel>,
    /// The covers that are covered by part.
    pub sides: BTreeMap<SideOn, SideCut>,
}

/// Settings that are those of walls and lids, and of the liner that runs over them.
const OF_LIDS: [&str; 6] =
    ["box.seat", "box.step", "box.wall_extra", "box.flap_inset", "covering.liner_trim", "liner.pieces"];

impl Check<'_> {
    /// `[portfolio]`.
    pub(super) fn portfolio(&mut self) -> Option<Portfolio> {
        if self.doc.is_written("strap") {
            let message = "a strap would lie between wrapper and case: [strap] is left aside";
            let d = Diagnostic::warning("no-strap-here", message).at("strap");
            self.push(d.help("take the table out; [ties.left] holds a portfolio shut"));
        }
        if Side::ALL.into_iter().all(|side| !self.doc.is_written(&format!("flap.{}", side.word()))) {
            let is_usual = |check: &Self, key: &str| matches!(check.doc.text(key), Some("auto" | "net"));
            for key in OF_LIDS.into_iter().filter(|k| self.doc.is_written(k)) {
                if is_usual(self, key) {
                    continue;
                }
                let message = format!(
                    "`{key}` has no meaning for loose sheets: there are neither walls nor lids, and each cover is lined by itself"
                );
                let d = Diagnostic::warning("unused-key", message).at(key);
                self.push(d.help("take it out, or add a wrapper: tables such as [flap.left]"));
            }
        }
        let square = self.length("portfolio.square", Sign::NotNegative);
        let spine_extra = self.length_or_word("portfolio.spine_extra", Sign::NotNegative);
        Some(Portfolio { square: square?, spine_extra: spine_extra?, within: None, outside: None })
    }
}

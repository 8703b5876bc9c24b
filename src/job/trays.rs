//! Trays as they are written: rigid, their walls glued to their base.

use super::check::{Check, Sign};
use super::{Contents, Seat};
use crate::diag::Diagnostic;
use crate::units::{Length, mm};

/// What the trays of a box are like.
#[derive(Clone, Debug)]
pub struct Trays {
    /// How much room the smaller tray has in the larger, in all and not on each side; `None` where it follows
    /// from how exactly the box is made.
    pub slide: Option<Length>,
    /// What the walls of the small tray have beyond the depth of the interior, where the job says.
    pub wall_extra: Option<Length>,
    /// By how much the walls of the large one are higher, likewise.
    pub wall_step: Option<Length>,
    /// How far the covers stand out beyond the trays.
    pub square: Length,
    /// What is in the trays, where the job is that of the case round them.
    pub within: Option<Within>,
}

/// What a case is made round.
#[derive(Clone, Debug)]
pub struct Within {
    /// The stack in the smaller tray, or between the covers.
    pub contents: Contents,
    /// The lining of the trays' floors, or of the covers; zero where they have none.
    pub lining: Length,
    /// How the walls of the trays stand.
    pub seat: Seat,
    /// How many boards of a wrapper lie one upon another, where it is round one; its contents are then the wrapper.
    pub wrapper: Option<u32>,
}

impl Check<'_> {
    /// `[trays]`.
    pub(super) fn trays(&mut self) -> Option<Trays> {
        if self.doc.is_written("strap") {
            let message = "a box of trays has no strap, it lies shut by itself: [strap] is left aside";
            let d = Diagnostic::warning("no-strap-here", message);
            self.push(d.at("strap").help("take the table out"));
        }
        let slide = self.length_or_word("trays.slide", Sign::NotNegative);
        let wall_extra = self.length_or_word("trays.wall_extra", Sign::NotNegative);
        let wall_step = self.length_or_word("trays.wall_step", Sign::Any);
        let square = self.length("trays.square", Sign::NotNegative);
        if let Some(Some(slide)) = slide
            && slide > MOST_SLIDE
        {
            let message = format!("the trays have {} of room in each other: the box rattles", self.say(slide));
            self.push(
                Diagnostic::warning("loose-trays", message)
                    .at("trays.slide")
                    .help("leave it \"auto\": then it follows from how exactly the box is made"),
            );
        }
        Some(Trays { slide: slide?, wall_extra: wall_extra?, wall_step: wall_step?, square: square?, within: None })
    }
}

/// Trays with more room than this rattle (our choice).
const MOST_SLIDE: Length = mm(5.0);

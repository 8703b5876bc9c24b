//! The work at the bench in its order. Guide, numbers and drawings come from this one list.

use crate::job::Side;
use serde::Serialize;

/// One step of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Every piece cut to its outline.
    Cut,
    /// Slots through the boards, the pockets beside them, and recesses.
    SlotsAndPockets,
    /// The creases pressed.
    Crease,
    /// Bases and walls of the trays glued together.
    BuildTrays,
    /// The trays covered.
    CoverTrays,
    /// Joints and boards drawn on the cloth, with the spacer.
    LayOut,
    /// The boards glued down.
    GlueDown,
    /// The cloth cut at free corners.
    CornerCuts,
    /// The cloth slit at the corners of the base.
    Slits,
    /// What the slits leave bare covered, before the turn-ins go over it.
    Patches,
    /// The magnets glued into their recesses, before turn-in and liner go over them.
    Magnets,
    /// The cloth turned in.
    TurnIn,
    /// The covered box left to dry, flat and under weight.
    DryCovered,
    /// The undersides of tray and lid covered.
    CoverUndersides,
    /// The trays glued to the case.
    MountTrays,
    /// The strip of cloth glued in that lines the spine.
    LineSpine,
    /// The floors of the trays lined.
    LineFloors,
    /// One strip glued across the other.
    Cross,
    /// The strap tried, cut and glued in.
    Strap,
    /// The ribbons cut and glued in.
    Ties,
    /// The liner glued in.
    Liner,
    /// The lined box pressed.
    Press,
    /// The creases folded.
    Fold,
    /// The stack put in and the lids closed.
    Close,
}

/// Which face of a folding board lies up when its creases are pressed. A crease pressed from the outside
/// raises its bead inside, and board folds towards its bead (from memory), so walls that fold
/// inwards are pressed from outside.
pub const PRESSED_FROM: &str = "outside";

/// The corners of the base between walls, as the two sides that meet there.
pub fn corner_name(sides: [Side; 2]) -> String {
    format!("{} and {}", sides[0].word(), sides[1].word())
}

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
    /// The recess of the title label, in the outside of its board.
    LabelRecess,
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
    /// The sides of boards that are covered by part: strips and corners of cloth, then paper.
    Sides,
    /// The undersides of tray and lid covered.
    CoverUndersides,
    /// The trays glued to the case.
    MountTrays,
    /// The strip of cloth glued in that lines the spine.
    LineSpine,
    /// The floors of the trays lined.
    LineFloors,
    /// The covers of a case lined.
    LineCovers,
    /// The wrapper glued to its case.
    MountWrapper,
    /// The boards of a slipcase lined, flat.
    LineBoards,
    /// They are glued together.
    BuildCase,
    /// The edges of its notches lined with cloth.
    NotchStrips,
    /// The case covered: faces, back and ends.
    CoverCase,
    /// The cloth turned in at its mouth.
    TurnMouth,
    /// One strip glued across the other.
    Cross,
    /// The strap tried, cut and glued in.
    Strap,
    /// The ribbons cut and glued in.
    Ties,
    /// The strips of cloth glued in that line the joints.
    HingeStrips,
    /// The edges of the linings folded under.
    FoldLinings,
    /// The liner glued in.
    Liner,
    /// The lined box pressed.
    Press,
    /// The title label glued into its recess.
    GlueLabel,
    /// The creases folded.
    Fold,
    /// What lies inside besides the stack made and put in.
    Inside,
    /// The stack put in and the lids closed.
    Close,
}

impl Step {
    /// Its key under `[work.minutes]`.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::SlotsAndPockets => "slots_and_pockets",
            Self::LabelRecess => "label_recess",
            Self::BuildTrays => "build_trays",
            Self::CoverTrays => "cover_trays",
            Self::CoverUndersides => "cover_undersides",
            Self::MountTrays => "mount_trays",
            Self::LineSpine => "line_spine",
            Self::LineFloors => "line_floors",
            Self::LineCovers => "line_covers",
            Self::MountWrapper => "mount_wrapper",
            Self::GlueLabel => "glue_label",
            Self::LineBoards => "line_boards",
            Self::BuildCase => "build_case",
            Self::NotchStrips => "notch_strips",
            Self::CoverCase => "cover_case",
            Self::TurnMouth => "turn_mouth",
            Self::Crease => "crease",
            Self::LayOut => "lay_out",
            Self::GlueDown => "glue_down",
            Self::CornerCuts => "corner_cuts",
            Self::Slits => "slits",
            Self::Patches => "patches",
            Self::Magnets => "magnets",
            Self::TurnIn => "turn_in",
            Self::DryCovered => "dry_covered",
            Self::Sides => "sides",
            Self::Cross => "cross",
            Self::Strap => "strap",
            Self::Ties => "ties",
            Self::HingeStrips => "hinge_strips",
            Self::FoldLinings => "fold_linings",
            Self::Liner => "liner",
            Self::Press => "press",
            Self::Fold => "fold",
            Self::Inside => "inside",
            Self::Close => "close",
        }
    }

    /// What is done, in a few words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::SlotsAndPockets => "cut slots and pockets",
            Self::LabelRecess => "cut the label's recess",
            Self::BuildTrays => "glue the trays together",
            Self::CoverTrays => "cover the trays",
            Self::CoverUndersides => "cover the undersides",
            Self::MountTrays => "glue the trays to the case",
            Self::LineSpine => "line the spine",
            Self::LineFloors => "line the floors",
            Self::LineCovers => "line the covers",
            Self::MountWrapper => "glue the wrapper to the case",
            Self::GlueLabel => "glue the label in",
            Self::LineBoards => "line the boards",
            Self::BuildCase => "glue the case together",
            Self::NotchStrips => "line the notches",
            Self::CoverCase => "cover the case",
            Self::TurnMouth => "turn in at the mouth",
            Self::Crease => "press creases",
            Self::LayOut => "lay out on the cloth",
            Self::GlueDown => "glue the boards down",
            Self::CornerCuts => "cut the corners",
            Self::Slits => "slit the cloth",
            Self::Patches => "glue the patches",
            Self::Magnets => "glue the magnets",
            Self::TurnIn => "turn in",
            Self::DryCovered => "put under weight",
            Self::Sides => "cover the sides",
            Self::Cross => "cross the strips",
            Self::Strap => "glue the strap",
            Self::Ties => "glue the ribbons",
            Self::HingeStrips => "line the joints",
            Self::FoldLinings => "fold the linings' edges under",
            Self::Liner => "line",
            Self::Press => "put into the press",
            Self::Fold => "fold",
            Self::Inside => "make what lies inside",
            Self::Close => "fold, close and look over",
        }
    }

    /// Whether glue is wet in it: what is begun with it is finished the same day.
    pub const fn is_glued(self) -> bool {
        matches!(
            self,
            Self::GlueDown
                | Self::Patches
                | Self::Magnets
                | Self::TurnIn
                | Self::Sides
                | Self::Cross
                | Self::Strap
                | Self::Ties
                | Self::HingeStrips
                | Self::FoldLinings
                | Self::Liner
                | Self::BuildTrays
                | Self::CoverTrays
                | Self::CoverUndersides
                | Self::MountTrays
                | Self::LineSpine
                | Self::LineFloors
                | Self::LineCovers
                | Self::MountWrapper
                | Self::GlueLabel
                | Self::LineBoards
                | Self::BuildCase
                | Self::NotchStrips
                | Self::CoverCase
                | Self::TurnMouth
                | Self::Inside
        )
    }
}

/// Which face of a folding board lies up when its creases are pressed. A crease pressed from the outside
/// raises its bead inside, and board folds towards its bead (from memory), so walls that fold
/// inwards are pressed from outside.
pub const PRESSED_FROM: &str = "outside";

/// The corners of the base between walls, as the two sides that meet there.
pub fn corner_name(sides: [Side; 2]) -> String {
    format!("{} and {}", sides[0].word(), sides[1].word())
}

//! What meets in the joints and under the lids of a laid-out box.

use crate::assembly::Room;
use crate::job::Side;
use crate::units::Length;
use std::collections::BTreeMap;

/// What lies where, counted on one layout.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Lying {
    /// In the joint between each wall and the base.
    pub(super) feet: BTreeMap<Side, Meeting>,
    /// In the joint between each lid and its wall.
    pub(super) tops: BTreeMap<Side, Meeting>,
    /// Under each lid's board.
    pub(super) lids: BTreeMap<Side, Under>,
    /// On each wall's inside at its thickest, where more lies higher up than at its foot: under hinge strips.
    pub(super) walls: BTreeMap<Side, Length>,
    /// Whether a patch goes round the side of a lid.
    pub(super) is_at_lid: bool,
}

/// What meets in a joint.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meeting {
    /// Between the two boards once they lie against each other.
    pub(super) settled: Length,
    /// What the joint must pass.
    pub(super) room: Room,
}

/// How thick what is glued under a lid's board is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Under {
    /// Over the stack; `None` where the lid does not reach over it.
    pub(super) stack: Option<Length>,
    /// Anywhere.
    pub(super) most: Length,
}

//! A build without the feature `shop` tells none.

use super::parts::{Part, Pick};
use crate::cli::Failure;
use crate::cli::args::CutArgs;
use crate::cli::marks::InShop;

/// A shop that is being told: there is none.
pub(super) enum Telling {}

impl Telling {
    #[expect(clippy::unnecessary_wraps, reason = "as with a shop")]
    pub(super) const fn begin(_: &CutArgs, _: &[Part], _: &[(Pick, u32)]) -> Result<Option<Self>, Failure> {
        Ok(None)
    }

    pub(super) const fn of(&self, _: usize) -> Option<InShop> {
        match *self {}
    }

    pub(super) const fn finish(self) -> Result<Vec<String>, Failure> {
        match self {}
    }
}

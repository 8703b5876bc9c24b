//! `--shop`: the shop that a run draws from, in a build with the feature `shop`; without it there is none.

use super::Failure;
use super::choices::FromShop;
use super::filled::{Filled, Supply};
use crate::diag::Source;

#[cfg(feature = "shop")]
impl Supply for FromShop {
    fn is_some(&self) -> bool {
        self.shop.is_some()
    }

    fn fill(&self, source: &mut Source) -> Result<Filled, Failure> {
        self.shop.as_ref().map_or_else(|| Ok(Filled::default()), |file| super::shop::fill(file, source))
    }

    fn machine(&self, name: &str) -> Result<Option<String>, Failure> {
        self.shop.as_ref().map_or(Ok(None), |file| super::shop::machine(file, name))
    }
}

#[cfg(not(feature = "shop"))]
impl Supply for FromShop {
    fn is_some(&self) -> bool {
        false
    }

    fn fill(&self, _: &mut Source) -> Result<Filled, Failure> {
        Ok(Filled::default())
    }

    fn machine(&self, _: &str) -> Result<Option<String>, Failure> {
        Ok(None)
    }
}

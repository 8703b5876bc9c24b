//! `flapwright page` as a browser, another window or somebody else's page meets it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops where its ground is missing")]

mod browser;
mod desk;
mod hostile;
mod kept;
mod made;
mod visitor;

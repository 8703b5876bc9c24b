//! Flapwright turns the measurements of a stack of flat works into a cloth-covered board box that
//! fits, and into files that cut every piece of it.
//!
//! Data flows one way; each stage is a function from the value of the one before (and the machine
//! profile, where it matters) to the next, and returns its value with its diagnostics:
//!
//! ```text
//! job file -> job -> design -> fit -> nest -> ops -> comp -> motion -> write -> bytes
//!                assembly ^                           profile ^                     |
//!                                                        verify <- reads the bytes back
//! ```
//!
//! Below all of them lie `limits` (how much is taken from a file), `units`, `geom`, `diag`, `doc` and
//! `import` (a maker's drawings). [`pipeline`] goes the whole way, from a job that was read to the files
//! of its folder; above all lies `cli`, the only module that touches the disk, the clock or the terminal.

pub mod assembly;
#[cfg(feature = "cli")]
pub mod cli;
pub mod comp;
pub mod coupon;
pub mod design;
pub mod diag;
pub mod doc;
pub mod fit;
pub mod geom;
pub mod import;
pub mod job;
pub mod limits;
pub mod motion;
pub mod nest;
pub mod ops;
pub mod pipeline;
pub mod profile;
pub mod units;
#[cfg(feature = "verify")]
pub mod verify;
pub mod write;

//! Flapwright turns the measurements of a stack of flat works into a cloth-covered board box that
//! fits, and into files that cut every piece of it.
pub mod design;
pub mod diag;
pub mod doc;
pub mod geom;
pub mod job;
pub mod nest;
pub mod ops;
pub mod profile;
pub mod units;

//! The proof: what is on disk is read back, by readers that share nothing with the writers, the
//! tool's physics is followed, and what is left on the bed is compared with what was asked for.
//!
//! ```text
//! bytes -> read (moves) -> machine (may it do that?)
//!                       -> physics (what the tool cuts) -> compare (is it what was asked?) -> report
//! manifest, drawing -> nominal (what was asked) -----------^
//! ```
//!
//! The nominal pieces are compared, never the compensated ones, and no comment of a program is
//! believed. It stands beside the flow, after `profile` and before `cli`: it may use `units`,
//! `geom` (not its offsets), `diag`, `doc`, `job` and `profile`, and nothing that makes programs.

mod account;
pub mod boxes;
pub mod compare;
mod drawing;
mod finding;
pub mod folder;
mod gather;
pub mod grid;
pub mod left;
pub mod machine;
pub mod nominal;
mod of_job;
pub mod physics;
pub mod picture;
pub mod place;
pub mod program;
pub mod read;
mod register;
pub mod report;
mod runs;

pub use account::move_seconds;
pub use finding::Finding;
pub(crate) use finding::Many;
pub use folder::{Folder, verify_folder};
pub use program::{ProgramProof, Subject, verify_program};

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
//! Below all of them lie `limits` (how much is taken from a file), `units`, `geom`, `drawing`, `diag`, `doc` and
//! `import` (a maker's drawings). [`pipeline`] goes the whole way, from a job that was read to the files
//! of its folder; `page` stands on it and holds what a page in a browser shows and does; above all lies
//! `cli`, the only module that touches the disk, the clock, the network or the terminal.
//!
//! What a program needs of it stands at its top; a job goes the whole way in a few lines:
//!
//! ```
//! use flapwright::{Folder, Layout, Source, Watch, Wish, read_job, work};
//! use std::sync::atomic::AtomicBool;
//!
//! # fn main() -> Result<(), String> {
//! let text = include_str!("../samples/rockpool-folder.toml").to_owned();
//! let (job, mistakes) = read_job(&Source { name: "rockpool-folder.toml".into(), text });
//! let job = job.ok_or_else(|| format!("{mistakes:?}"))?;
//!
//! // As far as the operations on each sheet; a value of the caller's can end a long search.
//! let watch = Watch { stop: &AtomicBool::new(false), progress: &|_, _, _| {} };
//! let (worked, said) = work(&job, &Layout::default(), &watch);
//! assert!(said.iter().all(|d| !d.is_error()) && worked.fit.closing.share > 0.99);
//!
//! // Each file is made when it is asked for.
//! let folder = Folder::new(&job, &worked, Wish::default());
//! let (drawings, _) = folder.drawings();
//! assert!(drawings.iter().any(|(name, _)| name.ends_with("_board-2mm_1.dxf")));
//! # Ok(())
//! # }
//! ```
//!
//! Its features: `cli` (the program), `page` (its page in a browser, with `cli` and `verify`), `pdf` (guide and templates), `png` (pictures as pixels), `verify` (the
//! proof, which needs a C++ compiler); all of them by default, none of them needed.

pub mod assembly;
#[cfg(feature = "cli")]
pub mod cli;
pub mod comp;
pub mod coupon;
pub mod design;
pub mod diag;
pub mod doc;
pub mod drawing;
pub mod estimate;
pub mod fit;
pub mod geom;
pub mod import;
pub mod job;
pub mod limits;
pub mod motion;
pub mod nest;
pub mod ops;
#[cfg(feature = "page")]
pub mod page;
pub mod pipeline;
pub mod profile;
pub mod register;
pub mod units;
#[cfg(feature = "verify")]
pub mod verify;
pub mod write;

pub use diag::{Diagnostic, Source};
pub use job::{Job, read as read_job};
pub use pipeline::{Folder, Layout, Machine, Watch, Wish, Worked, work};
pub use profile::{Profile, read as read_profile};
#[cfg(feature = "verify")]
pub use verify::verify_folder;

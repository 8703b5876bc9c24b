//! The one way from a job that was read to the files of its folder, for every program that makes one:
//! the command line, a list of boxes, a coupon, whoever uses the library.
//!
//! [`work`] goes through the stages from the design to the operations on each sheet, in a few
//! milliseconds. A [`Folder`] stands on that: it makes drawings, programs, lists and papers only when
//! they are asked for, keeps what programs cost, and gives the whole as bytes. Nothing here touches the
//! disk; how far a long search has come is told through a [`Watch`], which also ends it.

mod coupon;
mod drawings;
mod filing;
mod folder;
mod job_copy;
mod left;
mod programs;
mod register;
mod work;

pub use coupon::{CouponFolder, CouponWish, coupon_folder};
pub use drawings::{Drawn, drawings};
pub use filing::Filing;
pub use folder::{Folder, Machine, Wish};
pub use job_copy::{JOB_NAME, JobCopy};
pub use left::LeftOut;
pub use programs::{MadeProgram, OfSheet, Programs, apart, not_served, of_sheet, programs, serves};
pub use register::registers;
pub use work::{Boxes, Layout, Watch, Worked, work};

/// A file of a folder: its name, and what is in it.
pub type File = (String, Vec<u8>);

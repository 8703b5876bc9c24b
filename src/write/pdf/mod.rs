//! What a maker holds at the bench: the templates at full size and the guide, as PDF. Text is real
//! text in an embedded face of a free licence; the same job gives the same bytes.

mod coupon;
mod flow;
mod guide;
mod handover;
mod labels;
mod measured;
mod paper;
mod parts;
mod ribbons;
mod scene;
mod spot;
mod states;
mod templates;
mod tile;

pub use coupon::coupon;
pub use guide::{Lot, SharedSheet, Told, guide};
pub use handover::handover;
pub use labels::{Label, labels, of_job as labels_of};
pub use paper::Paper;
pub use templates::templates;

//! What the page of `flapwright page` shows and does, without the server: the job on the desk with its
//! history, edits of a text key by key, and every answer as a value that becomes JSON. The server, the disk
//! and the browser are `cli::page`; what the browser runs is in `assets/`.

mod asks;
mod assets;
mod body;
mod coupon;
mod desk;
mod edit;
mod figures;
mod files;
mod findings;
mod form;
mod keys;
mod machines;
mod playback;
mod scene;
mod single;
mod thin;
mod unit;
mod values;
mod view;

pub use assets::{ASSETS, Asset, import_map, index};
pub use coupon::{Asked, Measured, coupon, measured};
pub use desk::{Desk, Sheaf, file_name};
pub use edit::{Edit, Format};
pub use files::{Made, PAGE, make, page, zipped};
pub use findings::{Finding, Mend, Put};
pub use form::Form;
pub use machines::Machines;
pub use playback::{Playback, Played, playbacks};
pub use scene::Scene;
pub use single::page_html;
pub use view::{Looked, look};

/// The form of a job.
pub fn job_form() -> Form {
    form::job()
}

/// The form of a machine profile.
pub fn profile_form() -> Form {
    form::profile()
}

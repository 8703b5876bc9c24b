//! Sheets and programs as bytes. Nothing here opens a file.

pub mod artwork;
pub mod cell;
pub mod cost;
pub mod cut_list;
pub mod dressed;
pub mod dxf;
mod gcode;
pub mod handover;
mod hpgl;
pub mod manifest;
pub mod names;
#[cfg(feature = "pdf")]
pub mod pdf;
#[cfg(feature = "png")]
pub mod png;
pub mod program;
mod registers;
mod script;
mod straight;
mod style;
pub mod svg;
mod turn;
pub mod work;

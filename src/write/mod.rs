//! Sheets and programs as bytes. Nothing here opens a file.

pub mod cut_list;
pub mod dxf;
pub mod manifest;
pub mod svg;

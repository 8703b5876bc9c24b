//! The command line: the only part that touches the disk and the terminal.

pub mod folder;

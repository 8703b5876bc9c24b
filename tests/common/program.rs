//! The real program, run in a folder, and what it says.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

use std::path::Path;
use std::process::{Command, Output};

pub(crate) fn run(dir: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_flapwright")).current_dir(dir).args(arguments).output().unwrap()
}

pub(crate) fn out(o: &Output) -> String {
    String::from_utf8(o.stdout.clone()).unwrap()
}

pub(crate) fn err(o: &Output) -> String {
    String::from_utf8(o.stderr.clone()).unwrap()
}

//! The flapwright program.

fn main() {}

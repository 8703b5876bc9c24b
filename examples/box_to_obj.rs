//! The boards of the closed box as a mesh (Wavefront OBJ): `cargo run --example box_to_obj -- JOB.toml > box.obj`.

#![allow(clippy::print_stdout, reason = "an example tells what it found")]

use flapwright::{Source, design::design, read_job};

/// How far chords stray from arcs, mm.
const CHORD: f64 = 0.1;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = std::env::args().nth(1).ok_or("name a job file")?;
    let (job, mistakes) = read_job(&Source { text: std::fs::read_to_string(&job)?, name: job });
    let job = job.ok_or_else(|| format!("{} mistakes in it", mistakes.len()))?;
    let assembly = design(&job).0.assembly;
    let mut before = 1;
    for (panel, place) in assembly.panels.iter().zip(assembly.closed()) {
        let mesh = panel.mesh(&place, CHORD);
        println!("o {}", panel.part.name());
        mesh.points.iter().for_each(|p| println!("v {} {} {}", p.x, p.y, p.z));
        mesh.triangles.iter().for_each(|t| println!("f {} {} {}", t[0] + before, t[1] + before, t[2] + before));
        before += mesh.points.len();
    }
    Ok(())
}

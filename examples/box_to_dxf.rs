//! A box to the drawings of its boards, cloth and liner: `cargo run --example box_to_dxf -- JOB.toml FOLDER`.

use flapwright::pipeline::{Drawn, Layout, Watch, drawings, work};
use flapwright::{Source, read_job};
use std::sync::atomic::AtomicBool;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut names = std::env::args().skip(1);
    let (job, out) = (names.next().ok_or("name a job file")?, names.next().ok_or("name a folder")?);
    let (job, mistakes) = read_job(&Source { text: std::fs::read_to_string(&job)?, name: job });
    let job = job.ok_or_else(|| format!("{} mistakes in it", mistakes.len()))?;
    let watch = Watch { stop: &AtomicBool::new(false), progress: &|_, _, _| {} };
    let (worked, _) = work(&job, &Layout::default(), &watch);
    std::fs::create_dir_all(&out)?;
    for sheet in &worked.operations {
        for (name, bytes) in drawings(sheet, &Drawn::default(), &job.title, job.units).0 {
            std::fs::write(std::path::Path::new(&out).join(name), bytes)?;
        }
    }
    Ok(())
}

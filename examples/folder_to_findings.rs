//! What the proof finds in an exported folder: `cargo run --example folder_to_findings -- FOLDER`.

#![allow(clippy::print_stdout, reason = "an example tells what it found")]

use std::collections::BTreeMap;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder that was exported")?;
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        files.insert(name, std::fs::read(path)?);
    }
    let proof = flapwright::verify_folder(&files);
    for finding in proof.all() {
        println!("{}: [{}] {}", finding.file, finding.code, finding.message);
    }
    println!("{}", if proof.is_good() { "proved" } else { "not proved" });
    Ok(())
}

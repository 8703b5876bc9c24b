//! What the reference packer (`benches/layout_reference.py`) is asked, and what it answers.

use flapwright::design::Piece;
use flapwright::job::{Grain, Stock};
use serde_json::{Value, json};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// The length that it finds in whole `seconds` for the pieces of so many boxes on a strip as wide as the stock's sheet
/// within its margin, mm; `None` where it is not there.
pub(crate) fn length(pieces: &[Piece], stock: &Stock, copies: u32, seconds: u64, workers: u32) -> Option<f64> {
    let turns = |p: &Piece| match (p.grain, stock.grain) {
        (Grain::None, _) | (_, Grain::None) => vec![0.0, 90.0, 180.0, 270.0],
        (a, b) if a == b => vec![0.0, 180.0],
        _ => vec![90.0, 270.0],
    };
    let piece = |p: &Piece| {
        let points: Vec<[f64; 2]> = p.outline.flatten(0.05).iter().map(|p| [p.x, p.y]).collect();
        json!({"id": p.id, "count": p.needed(copies), "turns": turns(p), "points": points})
    };
    answered(&json!({
        "across": stock.sheet_width.to_mm() - 2.0 * stock.margin.to_mm(),
        "gap": stock.gap.to_mm(),
        "seconds": seconds,
        "workers": workers,
        "pieces": pieces.iter().map(piece).collect::<Vec<_>>(),
    }))
}

fn answered(case: &Value) -> Option<f64> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut child = Command::new(root.join("target/references/bin/python"))
        .arg(root.join("benches/layout_reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .ok()?;
    child.stdin.take()?.write_all(json!([case]).to_string().as_bytes()).ok()?;
    let output = child.wait_with_output().ok()?;
    serde_json::from_slice::<Vec<f64>>(&output.stdout).ok()?.first().copied()
}

//! The covering of the samples folded once more, by shapely, from the exported manifests alone.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::references::{python, scratch};
use flapwright::diag::Source;
use flapwright::job;
use serde_json::{Value, json};
use std::process::Command;

/// Source of the operations: shapely 2.2 (GEOS), independent of the design and of geo.
#[test]
fn shapely_folds_the_samples_flat() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut manifests = Vec::new();
    let mut told = Vec::new();
    for name in ["tideline-folio", "rockpool-folder", "dulse-atlas", "cockle-portfolio"] {
        let path = root.join("samples").join(format!("{name}.toml"));
        let text = std::fs::read_to_string(&path).unwrap();
        let job = job::read(&Source { name: name.into(), text }).0.unwrap();
        let out = scratch(&format!("folding-{name}")).join("out");
        let export =
            Command::new(env!("CARGO_BIN_EXE_flapwright")).arg("export").arg(&path).arg("--out").arg(&out).output();
        assert!(export.unwrap().status.success(), "{name}");
        manifests.push(out.join("manifest.json"));
        told.push(json!({
            "turn_in": job.covering.turn_in.to_mm(),
            "allowance": job.covering.corner.to_mm(),
            "t": job.board.thickness.to_mm(),
        }));
    }
    let Some(seen) = python("check_folding.py", &manifests, &Value::Array(told.clone())) else { return };
    for ((seen, told), name) in seen.as_array().unwrap().iter().zip(&told).zip(&manifests) {
        let (overlap, allowance) = (seen["worst_overlap"].as_f64().unwrap(), told["allowance"].as_f64().unwrap());
        assert!(seen["edges"].as_u64().unwrap() >= 8, "{}: {seen}", name.display());
        // Each of two neighbours may pass the line between them by the allowance.
        assert!(overlap <= 2.0 * allowance + 0.1, "{}: {seen}", name.display());
        assert!(seen["worst_bare"].as_f64().unwrap() < 0.5, "{}: {seen}", name.display());
    }
}

/// The check notices a cloth whose corners were left on.
#[test]
fn shapely_notices_uncut_corners() {
    let board = json!([[0.0, 0.0, 0.0], [200.0, 0.0, 0.0], [200.0, 100.0, 0.0], [0.0, 100.0, 0.0]]);
    let uncut = json!([[-16.0, -16.0, 0.0], [216.0, -16.0, 0.0], [216.0, 116.0, 0.0], [-16.0, 116.0, 0.0]]);
    let short = json!([[-16.0, -16.0, 0.0], [204.0, -16.0, 0.0], [204.0, 116.0, 0.0], [-16.0, 116.0, 0.0]]);
    let home = scratch("folding-uncut");
    let mut paths = Vec::new();
    for (name, cloth) in [("uncut.json", uncut), ("short.json", short)] {
        let manifest = json!({"pieces": [
            {"stock": "board", "role": "base", "outline": board, "slits": []},
            {"stock": "cloth", "role": "cover", "outline": cloth, "slits": []},
        ]});
        paths.push(home.join(name));
        std::fs::write(home.join(name), manifest.to_string()).unwrap();
    }
    let told = json!({"turn_in": 16.0, "allowance": 3.0, "t": 2.0});
    let Some(seen) = python("check_folding.py", &paths, &json!([told, told])) else { return };
    // A strip over each edge alone holds no corner, so what overlaps is the mirrored strips' ends.
    assert!(seen[0]["worst_overlap"].as_f64().unwrap() > 15.0, "{seen}");
    assert!(seen[1]["worst_bare"].as_f64().unwrap() > 50.0, "{seen}");
}

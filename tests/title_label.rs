//! Title labels: a recess worked by hand, what cannot be made, and that it is cut in the outside.

#![allow(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

use crate::common;

use common::program::{err, out, run};
use common::references::scratch;
use flapwright::design::{Design, Lay, design};
use flapwright::diag::{Diagnostic, Source, any_error};
use flapwright::fit::fit;
use flapwright::job::{self, Job};

fn text(lids: &str, label: &str) -> String {
    format!(
        "format = 1\ntitle = 'x'\n[contents]\nwidth = 200\nheight = 300\ndepth = 20\n[board]\nthickness = 2.5\n\
         [cloth]\nthickness = 0.35\n[liner]\nthickness = 0.25\n{lids}[title_label]\n{label}"
    )
}

fn build(text: &str) -> (Option<(Job, Design)>, Vec<Diagnostic>) {
    let (job, mut said) = job::read(&Source { name: "job.toml".into(), text: text.into() });
    let Some(job) = job else { return (None, said) };
    let (design, more) = design(&job);
    said.extend(more);
    said.extend(fit(&job, &design).1);
    (Some((job, design)), said)
}

const LEFT: &str = "[flap.right]\ntier = 1\nreach = 90\n[flap.left]\ntier = 2\nreach = '95 %'\n";

/// Worked by hand: the label and 2 x 0.35 of cloth and 0.5 of ease; 0.2 + 0.3 deep; a third of what is left above it. Derived.
#[test]
fn a_recess_worked_by_hand() {
    let (made, said) = build(&text(LEFT, "width = 80\nheight = 30\n"));
    assert!(!any_error(&said), "{said:#?}");
    let (job, design) = made.unwrap();
    let lid = design.pieces.iter().find(|p| p.id == "board-flap-left").unwrap();
    assert_eq!(lid.lay, Lay::OutsideUp);
    let (b, r) = (lid.outline.bounds(), lid.pockets[0].outline.bounds());
    assert!((r.width() - 81.2).abs() < 1e-9 && (r.height() - 31.2).abs() < 1e-9, "{r:?}");
    assert!((r.center().x - b.center().x).abs() < 1e-9);
    assert!((b.max.y - r.max.y - (b.height() - 31.2) / 3.0).abs() < 1e-9);
    assert!((lid.pockets[0].depth.to_mm() - 0.5).abs() < 1e-9);
    // It is in the outside of the lid's board, and in nothing else.
    assert!(design.pieces.iter().all(|p| p.id == lid.id || p.pockets.is_empty()));
    let panel = design.assembly.panels.iter().find(|p| p.piece == lid.id).unwrap();
    assert!(panel.recesses.is_empty() && panel.outside_recesses.len() == 1);
    assert!(job.title_label.is_some());
    // On a lid at the head, which lies turned over when closed, the head edge is its hinge.
    let head = "[flap.head]\ntier = 1\nreach = '95 %'\n";
    let (made, said) = build(&text(head, "width = 80\nheight = 30\nfrom_head = 40\n"));
    assert!(!any_error(&said), "{said:#?}");
    let design = made.unwrap().1;
    let lid = design.pieces.iter().find(|p| p.id == "board-flap-head").unwrap();
    let (b, r) = (lid.outline.bounds(), lid.pockets[0].outline.bounds());
    assert!((r.min.y - b.min.y - 40.0).abs() < 1e-9, "{b:?} {r:?}");
    // On the spine of a drop-spine box: its wall at the left.
    let spine = "[box]\nconstruction = 'drop-spine'\n";
    let (made, said) = build(&text(spine, "on = 'spine'\nwidth = 18\nheight = 60\n"));
    assert!(!any_error(&said), "{said:#?}");
    let design = made.unwrap().1;
    let spine = design.pieces.iter().find(|p| p.id == "board-spine").unwrap();
    assert_eq!((spine.pockets.len(), spine.lay), (1, Lay::OutsideUp));
}

#[test]
fn what_cannot_be_made_is_told() {
    let code = |lids: &str, label: &str, code: &str, place: &str| {
        let (_, said) = build(&text(lids, label));
        let has = said.iter().any(|d| d.is_error() && d.code == code && format!("{:?}", d.place).contains(place));
        assert!(has, "{code} at {place}: {said:#?}");
    };
    code(LEFT, "width = 190\nheight = 30\n", "label-off-board", "title_label.width");
    code(LEFT, "width = 80\nheight = 30\nfrom_head = 2\n", "label-off-board", "title_label.from_head");
    code(LEFT, "width = 80\nheight = 30\nfrom_head = 280\n", "label-off-board", "title_label.from_head");
    code(LEFT, "width = 80\nheight = 30\ndepth = 2\n", "recess-too-deep", "title_label.depth");
    code(LEFT, "on = 'spine'\nwidth = 40\nheight = 60\n", "label-off-board", "title_label.width");
    let strips = "[box]\nconstruction = 'crossed-strips'\n";
    let (_, said) = build(&text(strips, "width = 80\nheight = 30\n"));
    assert!(said.iter().any(|d| d.code == "no-label-here"), "{said:#?}");
    // A lid that a taper narrows has less room at its free edge.
    let taper = "[flap.left]\ntier = 1\nreach = '95 %'\nshape = 'taper'\ntaper = 30\n";
    let (_, said) = build(&text(taper, "width = 170\nheight = 30\nfrom_head = 10\n"));
    assert!(said.iter().any(|d| d.code == "label-off-board"), "{said:#?}");
}

#[test]
fn the_folder_is_proved_and_the_guide_says_which_face() {
    let dir = scratch("title-label");
    std::fs::write(dir.join("job.toml"), text(LEFT, "width = 80\nheight = 30\n")).unwrap();
    for machine in ["oscillating-knife-table", "small-router"] {
        let made = run(&dir, &["export", "job.toml", "--out", machine, "--machine", machine, "--leave", "cloth,liner"]);
        assert!(made.status.success(), "{}{}", out(&made), err(&made));
        let proved = run(&dir, &["verify", machine]);
        assert!(proved.status.success(), "{}", out(&proved));
        let list: serde_json::Value =
            serde_json::from_slice(&std::fs::read(dir.join(machine).join("manifest.json")).unwrap()).unwrap();
        let placed = list["sheets"].as_array().unwrap().iter().flat_map(|s| s["placed"].as_array().unwrap());
        for p in placed.filter(|p| p["piece"].as_str().unwrap().starts_with("board")) {
            // Seen from inside they are computed: only the labelled one lies turned over.
            assert_eq!(p["mirrored"], p["piece"] == "board-flap-left", "{p}");
        }
    }
}

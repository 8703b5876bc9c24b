//! The patches, each drawn where it goes, as it goes.

use super::step::{Step, cloth, show};
use super::{Told, work};
use crate::design::PatchPlace;
use crate::geom::Bounds;
use crate::units::mm;

/// Patches drawn one by one; of more, all are numbered on one drawing and one of each size is drawn near.
const NEAR: usize = 3;

/// All patches on one drawing, then one of each size from near.
pub(super) fn patches<'a>(told: &'a Told<'a>) -> Vec<Step<'a>> {
    // Those at windows are told by themselves.
    let all: Vec<&PatchPlace> = told.design.patches.iter().filter(|p| !p.is_of_window).collect();
    if all.is_empty() {
        return Vec::new();
    }
    let named: Vec<String> = all
        .iter()
        .enumerate()
        .map(|(n, p)| format!("{} {} ({})", n + 1, p.place, p.id.trim_start_matches("cloth-").replace('-', " ")))
        .collect();
    let (count, places) = (all.len(), if all.len() == 1 { "place" } else { "places" });
    let mut steps = vec![Step {
        title: "Patches".into(),
        words: vec![
            format!(
                "The slits leave board bare in {count} {places}. Glue a patch there now, before the cloth is turned in over it: {}.",
                named.join("; ")
            ),
        ]
        .into_iter()
        .chain(how(&all))
        .collect(),
        window: cloth(told),
        draw: Box::new(move |plan| work::patched(plan, told)),
    }];
    let mut drawn: Vec<&str> = Vec::new();
    for (n, patch) in all.into_iter().enumerate() {
        if drawn.len() == NEAR || drawn.contains(&patch.id.as_str()) {
            continue;
        }
        drawn.push(&patch.id);
        steps.push(near(told, n + 1, patch));
    }
    steps
}

/// How they lie: round an edge, or on the face alone.
fn how(all: &[&PatchPlace]) -> Option<String> {
    let round = all.iter().filter(|p| p.edge.is_some()).count();
    let which = match round {
        0 => return None,
        n if n == all.len() => "Each goes",
        1 => "The one at an edge goes",
        _ => "Those at edges go",
    };
    let over = "down over its inside, over its thickness, and a little way out onto the cloth";
    Some(format!("{which} round the board's edge: {over}, so that no board shows between them."))
}

/// One patch from near.
fn near<'a>(told: &'a Told<'a>, n: usize, patch: &'a PatchPlace) -> Step<'a> {
    let (along, across) = (mm(patch.along_across.0), mm(patch.along_across.1));
    let name = patch.id.trim_start_matches("cloth-").replace('-', " ");
    let words = match (&patch.edge, &patch.bare) {
        (Some(_), Some(bare)) => vec![
            format!(
                "At the {}. Its {} side runs along the edge, its {} side across it.",
                patch.place,
                show(told, along),
                show(told, across)
            ),
            format!(
                "The dashed line is the edge that it goes round; {} of it are bare. The patch starts and ends beyond that by equal parts, and reaches {} over the inside.",
                show(told, mm(bare.length())),
                show(told, across - told.job.board.thickness.min(across) - mm(2.0).min(told.job.board.thickness))
            ),
        ],
        _ => vec![format!("It goes {}: flat on the board, just short of its edge.", patch.place)],
    };
    let b = patch.outline.bounds();
    let reach = b.width().max(b.height()).max(told.job.covering.turn_in.to_mm());
    Step {
        title: format!("The {name}, as at {n}"),
        words,
        window: Bounds::of([b.center()]).grown(reach * 1.1),
        draw: Box::new(move |plan| work::one_patch(plan, told, patch)),
    }
}

//! What is seen through a window of the closed box.

use super::closed::{Solid, bare};
use crate::assembly::Part;
use crate::design::{Design, opening};
use crate::diag::{Diagnostic, listed};
use crate::geom::overlap;
use crate::job::{Job, Side};

/// What shares less of a window than this, mm2, is not seen.
const LITTLE: f64 = 1.0;
/// From this share on something lies behind all of a window.
const WHOLE: f64 = 0.98;
/// How far a lid may lie beneath the upper face of another, mm, and be beneath it: rounding.
const LEVEL: f64 = 0.05;

/// Lids, walls and padding behind a window and over it: the stack is not seen there.
pub(super) fn remarks(job: &Job, design: &Design, all: &[Solid]) -> Vec<Diagnostic> {
    let assembly = &design.assembly;
    let places = assembly.closed();
    let mut said = Vec::new();
    for (panel, place) in assembly.panels.iter().zip(&places) {
        let Some(window) = opening(job, panel.part, &panel.outline) else { continue };
        let mut of_window = panel.clone();
        of_window.outline = window.outline();
        let own = bare(&of_window, place, [0.0; 3]);
        // Of what lies inside, only what lies on the stack hides it.
        let stack = all.iter().filter(|s| s.is_stack).map(|s| s.top).fold(f64::NEG_INFINITY, f64::max);
        let is_asked = |s: &&Solid| match s.part {
            None => !s.is_stack && s.bottom > stack - LEVEL,
            Some(Part::Base | Part::OuterBase) => false,
            Some(part) => part != panel.part,
        };
        let others = all.iter().filter(is_asked);
        let shares = others.filter_map(|s| Some((s, overlap(&s.footprint, &own.footprint)?.area)));
        let seen: Vec<(&Solid, f64)> = shares.filter(|(_, area)| *area > LITTLE).collect();
        let whole = own.footprint.area().abs().max(LITTLE);
        let side = window.side;
        for is_over in [true, false] {
            let here = || seen.iter().filter(|(s, _)| (s.bottom > own.top - LEVEL) == is_over);
            let Some((_, most)) = here().copied().reduce(|a, b| if b.1 > a.1 { b } else { a }) else { continue };
            let names: Vec<&str> = here().map(|(s, _)| s.name.as_str()).collect();
            said.push(remark(side, &names, most / whole, is_over));
        }
    }
    said
}

fn remark(side: Side, names: &[&str], share: f64, is_over: bool) -> Diagnostic {
    let lid = side.word();
    let (lies, part) = (if names.len() == 1 { "lies" } else { "lie" }, format!("{:.0} %", (share * 100.0).min(100.0)));
    let names = listed(names);
    if is_over {
        let message = format!("closed, the {names} {lies} over {part} of the {lid} lid's window");
        let d = Diagnostic::warning("window-covered", message).at(format!("window.{lid}"));
        return d.help("put the window into the lid that closes last, or shorten what lies over it").weighing(share);
    }
    let message =
        format!("closed, the {names} {lies} behind {part} of the {lid} lid's window: the stack is not seen there");
    // Behind all of it something else is meant to be seen.
    let is_whole = share > WHOLE;
    let of = if is_whole { Diagnostic::hint } else { Diagnostic::warning };
    let d = of("window-behind", message).at(format!("window.{lid}"));
    d.help("shorten what lies behind it, or move the window; nothing needs to be done where its outside is to be seen")
        .weighing(share)
}

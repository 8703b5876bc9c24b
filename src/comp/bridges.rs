//! Holding bridges: short stretches of a contour left uncut, so that the part stays in its sheet.

use super::Task;
use super::track::Track;
use crate::diag::Diagnostic;
use crate::ops::Keep;
use crate::profile::OperationKind;

/// A corner turns by more than this, radians: a bridge beside a corner tears it (common practice, no source).
const CORNER: f64 = 0.2;

/// The stretches of the tool's path, as distances from its start, over which a bridge stays: as
/// many as the rule asks, evenly spread, each moved off the corners as little as that needs. The
/// tool's own width is added so that a bridge is as wide as the rule says. None on a line that is
/// not a closed through-cut. All lie within the length: the start is never in one.
///
/// Fails where the contour has no room for them.
pub(super) fn gaps(task: &Task<'_>, track: &Track) -> Result<Vec<(f64, f64)>, Diagnostic> {
    let count = task.rule.bridges;
    let is_outline = task.op.kind == OperationKind::ThroughCut && task.op.keep == Keep::Inside;
    if count == 0 || !track.is_closed() || !is_outline {
        return Ok(Vec::new());
    }
    let width = task.rule.bridge_width.to_mm() + task.tool.kerf.to_mm();
    let (total, each) = (track.length(), track.length() / f64::from(count));
    // Nothing to keep clear of within half the gap and the tool's radius; where the tool goes about a
    // corner on an arc, that is its radius.
    let (half, radius) = (width / 2.0, task.tool.kerf.to_mm() / 2.0);
    let corners = track.corners(CORNER, width).into_iter();
    let clear = |(from, to): (f64, f64)| {
        let by = if to > from { half } else { half + radius };
        (from - by, to + by)
    };
    let blocked: Vec<(f64, f64)> = [(0.0, 0.0), (total, total)].into_iter().chain(corners).map(clear).collect();
    // Between two gaps at least a gap's width is cut, or the bridges would be one.
    let room = (each - 2.0 * width) / 2.0;
    let place = |i: u32| {
        let wanted = (f64::from(i) + 0.5) * each;
        let is_free = |c: f64| blocked.iter().all(|b| c <= b.0 + 1e-9 || c >= b.1 - 1e-9);
        let beside = blocked.iter().flat_map(|b| [b.0, b.1]);
        let fits = |c: &f64| is_free(*c) && (c - wanted).abs() <= room;
        std::iter::once(wanted)
            .chain(beside)
            .filter(fits)
            .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
            .map(|c| (c - width / 2.0, c + width / 2.0))
    };
    let found: Option<Vec<_>> = (0..count).map(place).collect();
    found.filter(|_| width > 0.0).ok_or_else(|| {
        let message = format!(
            "{count} bridges of {} do not fit on the cut round {}, which is {total:.0} mm long, clear of its corners",
            task.rule.bridge_width,
            task.name()
        );
        Diagnostic::error("bridges-do-not-fit", message).help("ask for fewer or narrower bridges in the machine's rule")
    })
}

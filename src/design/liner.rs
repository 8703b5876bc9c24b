//! The lining: the boards and joints again, every joint longer by what the liner swallows when it
//! is pressed into it, in from the free edges by the reveal.

use super::flap::FlapError;
use super::flat::Flat;
use super::measures::Measures;
use super::{Lay, Piece, Role};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Path, Segment, Stroke, Vertex, offset};
use crate::job::{Grain, Job, Side, StockKind};
use crate::units::Length;

/// The liner in one cross. A joint is lengthened by `2 t` times how far the liner is pressed
/// (derived: down one board edge and up the other). With a trim length the lids are longer by it,
/// and the net edge is a mark.
///
/// Fails when the reveal leaves nothing of a wall or a lid.
pub(super) fn liner(job: &Job, m: &Measures) -> Result<Piece, Diagnostic> {
    let take_up = job.board.thickness * (2.0 * job.covering.groove_press);
    let net = inset(job, m, m.joint + take_up, Length::ZERO)?;
    let trim = job.covering.liner_trim;
    let (outline, marks) = if trim > Length::ZERO {
        let long = inset(job, m, m.joint + take_up, trim)?;
        let marks = inside_lines(&net, &long);
        (long, marks)
    } else {
        (net, Vec::new())
    };
    Ok(Piece {
        id: "liner-cross".into(),
        stock: StockKind::Liner,
        role: Role::Liner,
        side: None,
        count: 1,
        outline,
        holes: Vec::new(),
        pockets: Vec::new(),
        slits: Vec::new(),
        creases: Vec::new(),
        marks,
        grain: Grain::Height,
        lay: Lay::Mirrored,
    })
}

fn inset(job: &Job, m: &Measures, joint: Length, longer: Length) -> Result<Contour, Diagnostic> {
    let flat = Flat::new(job, m, joint, longer).map_err(|failed| lid_without_outline(&failed))?;
    offset(&flat.region(), -job.covering.reveal.to_mm(), Join::Mitre).map_err(|_| {
        let message = format!("a reveal of {} leaves nothing of a wall or a lid", job.covering.reveal);
        Diagnostic::error("reveal-too-wide", message).at("covering.reveal").help("make the reveal smaller")
    })
}

fn lid_without_outline(failed: &[(Side, FlapError)]) -> Diagnostic {
    let side = failed.first().map_or("", |f| f.0.word());
    Diagnostic::error("liner-too-long", format!("the lid at the {side}, longer by the liner's trim, has no outline"))
        .at("covering.liner_trim")
        .help("make the trim shorter")
}

/// The stretches of `net` that run inside `long`, as open lines to trim along.
fn inside_lines(net: &Contour, long: &Contour) -> Vec<Stroke> {
    let mut lines: Vec<Vec<Segment>> = Vec::new();
    for s in net.segments().filter(|s| long.distance_to(s.point_at(0.5)) > 1e-4) {
        match lines.last_mut() {
            Some(line) if line.last().is_some_and(|last| last.end.is_near(s.start)) => line.push(s),
            _ => lines.push(vec![s]),
        }
    }
    lines
        .into_iter()
        .filter_map(|line| {
            let last = line.last()?.end;
            let vertices = line.iter().map(|s| Vertex::new(s.start, s.bulge)).chain([Vertex::new(last, 0.0)]);
            Some(Stroke::Open(Path::new(vertices)))
        })
        .collect()
}

//! Linings whose edges are folded under, as a liner of book cloth wants it: cut larger all round, at convex corners cut off
//! so that the folded edges meet in a mitre, at re-entrant ones slit. They are folded before they are glued in, and lie
//! double along their edges.

use super::{Piece, turn_in};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Join, Point, Segment, Stroke, half_of, offset, rings_shared, turn_between};
use crate::job::Job;
use crate::units::{Length, mm};

/// How far outside a lining's corner its turn-in is cut, mm: a thread that stays round it, so that no cut edge shows
/// (common practice, no source).
const CORNER: f64 = 1.0;
/// Chords of curved edges stray by so much, mm.
const CHORD: f64 = 0.1;
/// A corner that turns by less is smooth, radians.
const SMOOTH: f64 = 1e-6;

/// A lining as it is glued in.
#[derive(Clone, Debug, PartialEq)]
pub struct Lining {
    /// The piece.
    pub id: String,
    /// Its edge as it lies, in the coordinates of the piece.
    pub outline: Contour,
    /// Where its edges lie folded under it, likewise; empty where they are cut to size.
    pub folds: Vec<Contour>,
}

/// A net piece as it is cut, with its fold line drawn on it, and as it is glued in.
///
/// Fails where its edges cannot be folded under so far.
pub(super) fn folded(job: &Job, piece: Piece) -> Result<(Piece, Lining), Diagnostic> {
    let (net, width) = (piece.outline.clone(), job.lining_fold());
    let lining = Lining { id: piece.id.clone(), outline: net.clone(), folds: Vec::new() };
    if width <= Length::ZERO {
        return Ok((piece, lining));
    }
    let w = width.to_mm();
    // From both sides they would lie threefold.
    let inner = offset(&net, -w, Join::Mitre).map_err(|_| folds_meet(job, &piece, &net))?;
    if inner.area() <= 0.0 {
        return Err(folds_meet(job, &piece, &net));
    }
    let wide = offset(&net, w, Join::Mitre).map_err(|_| no_room(job, &piece))?;
    let reliefs = turn_in::reliefs(&net, w, CORNER);
    let outline = turn_in::relieved(wide, &reliefs, w, CORNER, job.lining().to_mm());
    let slits = turn_in::slits(&outline, &reliefs, SLIT_STOP, w);
    let folds = folds(&net, &outline, w);
    let mut marks = piece.marks.clone();
    marks.push(Stroke::Closed(net));
    Ok((Piece { outline, slits, marks, ..piece }, Lining { folds, ..lining }))
}

/// How far a slit stops short of a lining's re-entrant corner, mm (our choice: a thread or two).
const SLIT_STOP: f64 = 0.5;

/// Where the edges of a piece come to lie under it: what lies beyond each stretch of its net edge, folded over it. At a
/// re-entrant corner the slit parts two of them.
fn folds(net: &Contour, piece: &Contour, w: f64) -> Vec<Contour> {
    let cut = piece.flatten(CHORD);
    let points = net.flatten(CHORD);
    let n = points.len();
    let edges: Vec<Segment> = (0..n).map(|i| Segment::line(points[i], points[(i + 1) % n])).collect();
    let far = w * 1.01;
    let one = |i: usize| -> Vec<Contour> {
        let edge = &edges[i];
        let Some(along) = (edge.end - edge.start).normalized() else { return Vec::new() };
        let out = -along.left();
        let mut strip = vec![edge.start, edge.start + out * far, edge.end + out * far, edge.end];
        let before = turn_between(edges[(i + n - 1) % n].end_heading(), edge.start_heading());
        let after = turn_between(edge.end_heading(), edges[(i + 1) % n].start_heading());
        // The bisector of a re-entrant corner lies within the strip of either edge.
        let bisector = |turn: f64, at: Point, kept: f64, strip: &mut Vec<Point>| {
            if turn < -SMOOTH {
                let away = along * kept;
                let normal = away.rotated(turn / 2.0 * -kept);
                *strip = half_of(strip, at, normal);
            }
        };
        bisector(before, edge.start, 1.0, &mut strip);
        bisector(after, edge.end, -1.0, &mut strip);
        if strip.len() < 3 {
            return Vec::new();
        }
        let over = |p: Point| {
            let height = (p - edge.start).dot(out);
            p - out * (2.0 * height)
        };
        let rings = rings_shared(&cut, &strip);
        rings.into_iter().map(|ring| Contour::polygon(ring.into_iter().map(over)).ccw()).collect()
    };
    (0..n).flat_map(one).collect()
}

fn folds_meet(job: &Job, piece: &Piece, net: &Contour) -> Diagnostic {
    let b = net.bounds();
    let narrow = mm(b.width().min(b.height()));
    let message = format!(
        "folded under by {} from both sides the edges of {} meet: it is {} wide",
        job.units.show(job.lining_fold()),
        super::piece_words(&piece.id),
        job.units.show(narrow)
    );
    let step = mm(0.5);
    let most = step * (narrow / 2.0 / step - 1e-6).floor();
    let hint = if most > Length::ZERO {
        format!("make liner.turn_in {} or less", job.units.show(most))
    } else {
        "make covering.reveal smaller, or take liner.turn_in out".into()
    };
    Diagnostic::error("lining-folds-meet", message).at("liner.turn_in").help(hint)
}

fn no_room(job: &Job, piece: &Piece) -> Diagnostic {
    let message = format!(
        "a turn-in of {} cannot be cut round {}: it closes a bay of its edge",
        job.units.show(job.lining_fold()),
        super::piece_words(&piece.id)
    );
    Diagnostic::error("lining-turn-in-collides", message).at("liner.turn_in").help("make it smaller")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::pt;

    /// By hand: an L of 100 x 100 with a bay of 60 x 60, its edges folded under by 10. Of each band 10 wide its ends are cut
    /// at 45 degrees: at a convex corner so that 1 mm is left outside it, the apex of the cut `1 / sqrt 2` beyond either
    /// edge; at the re-entrant corner along the slit.
    #[test]
    fn what_is_folded_under_lies_within_its_lining() {
        let l = [(0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (40.0, 40.0), (40.0, 100.0), (0.0, 100.0)];
        let net = Contour::polygon(l.map(|(x, y)| pt(x, y)));
        let wide = offset(&net, 10.0, Join::Mitre).unwrap();
        let reliefs = turn_in::reliefs(&net, 10.0, CORNER);
        let cut = turn_in::relieved(wide, &reliefs, 10.0, CORNER, 0.3);
        let all = folds(&net, &cut, 10.0);
        assert_eq!(all.len(), 6);
        for fold in &all {
            let b = fold.bounds();
            assert!((b.width().min(b.height()) - 10.0).abs() < 1e-6, "{fold:?}");
            let middle = b.center();
            assert!(net.contains(middle), "{fold:?}");
        }
        // Between two convex corners: at the edge as long as it, and shorter by the cut 10 mm in, at a distance of
        // sqrt 2 from the corner along the edge: 100 - 2 (10 - sqrt 2).
        let foot = all.iter().find(|f| f.bounds().max.y < 10.1).unwrap();
        let at = |y: f64| foot.vertices().iter().filter(|v| (v.y - y).abs() < 1e-6).map(|v| v.x).collect::<Vec<_>>();
        let span =
            |xs: Vec<f64>| xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
        assert!((span(at(0.0)) - 100.0).abs() < 1e-6);
        assert!((span(at(10.0)) - (100.0 - 2.0 * (10.0 - 2f64.sqrt()))).abs() < 1e-6, "{foot:?}");
        // Beside the bay it ends along the slit: 10 mm in, 10 mm from the corner.
        let bay = all.iter().find(|f| (f.bounds().max.x - 40.0).abs() < 1e-6 && f.bounds().min.x > 29.0).unwrap();
        assert!(bay.vertices().iter().any(|v| (v.x - 30.0).abs() < 1e-6 && (v.y - 50.0).abs() < 1e-6), "{bay:?}");
    }
}

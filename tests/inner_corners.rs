//! Cuts beside inner corners, where the piece lies round more than half of a point: which side of the line
//! a cut lies on is not told there by the normal of one edge, and a round tool leaves more of a sharp corner
//! than the proof lets pass elsewhere.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use crate::common;

use common::proof::{Files, export, put, variant};
use flapwright::geom::{Point, pt};

/// What says that a cut is not where it should be.
const WRONG_CUTS: [&str; 6] = ["cut-in-piece", "off-the-line", "uncut", "line-missing", "area", "to-one-side"];

/// The codes of what is wrong with a file after a change of its text.
fn found(files: &Files, file: &str, text: &str) -> Vec<&'static str> {
    let folder = put(files, file, text.as_bytes().to_vec());
    folder.all().filter(|f| f.is_error()).flat_map(|f| f.codes()).collect()
}

fn word(line: &str, letter: char) -> Option<f64> {
    line.split(' ').find_map(|w| w.strip_prefix(letter)?.parse().ok())
}

/// Each line of a work from `from` on that leads somewhere: which, where to, and whether straight at a feed.
fn ways(lines: &[String]) -> Vec<(usize, Point, bool)> {
    let (mut at, mut motion, mut all) = (pt(f64::NAN, f64::NAN), 0.0, Vec::new());
    for (i, line) in lines.iter().enumerate().filter(|(_, l)| !l.starts_with('(')) {
        motion = word(line, 'G').filter(|g| *g < 4.0).unwrap_or(motion);
        let to = pt(word(line, 'X').unwrap_or(at.x), word(line, 'Y').unwrap_or(at.y));
        if to != at && to.x.is_finite() && to.y.is_finite() {
            all.push((i, to, (motion - 1.0).abs() < 0.5));
            at = to;
        }
    }
    all
}

/// The lines of the work that a comment begins, without the comment.
fn work(lines: &[String], named: &str) -> std::ops::Range<usize> {
    let from = lines.iter().position(|l| l.starts_with(&format!("({named}"))).unwrap() + 1;
    let to = (from..lines.len()).find(|i| lines[*i].starts_with('(')).unwrap_or(lines.len());
    from..to
}

/// An inner corner of a work: the line that leads to it, its place, and the ways back along the edge before it
/// and into the piece.
struct Corner {
    line: usize,
    at: Point,
    /// The line that leads on, and where to.
    next: (usize, Point),
    back: Point,
    into: Point,
    /// The angle between its edges, degrees.
    angle: f64,
}

/// The corners between two straight ways of a work at which the piece is more than half; it lies within the
/// work, or round it where that is an opening.
fn inner_corners(lines: &[String], named: &str, is_opening: bool) -> Vec<Corner> {
    let range = work(lines, named);
    let ways = ways(&lines[range.clone()]);
    let area: f64 = ways.windows(2).map(|w| w[0].1.cross(w[1].1)).sum();
    // Turned to where the piece lies on the left.
    let side = area.signum() * if is_opening { -1.0 } else { 1.0 };
    let corner = |w: &[(usize, Point, bool)]| {
        let (before, after) = (w[1].1 - w[0].1, w[2].1 - w[1].1);
        let is_straight = w[1].2 && w[2].2 && before.length().min(after.length()) > 1.0;
        let turn = before.cross(after).atan2(before.dot(after));
        (is_straight && turn * side < -0.5).then(|| {
            let along = before * (1.0 / before.length());
            let angle = 180.0 - turn.abs().to_degrees();
            let next = (range.start + w[2].0, w[2].1);
            Corner { line: range.start + w[1].0, at: w[1].1, next, back: -along, into: along.left() * side, angle }
        })
    };
    ways.windows(3).filter_map(corner).collect()
}

/// A program whose way turns away `short` mm before a corner, there `deep` mm beyond where it should run.
fn turned_away(lines: &[String], c: &Corner, short: f64, deep: f64) -> String {
    let mut lines = lines.to_vec();
    // A word that stays as it was is left out where it was so before.
    for (line, p) in [(c.line, c.at + c.back * short + c.into * deep), c.next] {
        let others: Vec<&str> = lines[line].split(' ').filter(|w| !w.starts_with(['X', 'Y'])).collect();
        lines[line] = format!("{} X{:.4} Y{:.4}", others.join(" "), p.x, p.y).trim().to_owned();
    }
    lines.join("\n") + "\n"
}

/// Before a sharp notch of a cloth and the square corner of a slot in board the cut turns away, its tool
/// in the piece by no more than is let pass: what it leaves in the corner is 0.16 mm more than it must.
#[test]
fn a_cut_that_turns_away_beside_an_inner_corner_is_found() {
    let cloth = export("whelk-box", &["shared-laser-cutter"], "inner-cloth");
    let board = export("tideline-folio", &["shared-laser-cutter"], "inner-board");
    let sharp = variant("whelk-box", "shared-laser-cutter", &[("kerf = 0.1 ", "kerf = 0.16 ")], "inner-wider");
    let file = |stock: &str| format!("{stock}-1.shared-laser-cutter.nc");
    let mut angles = Vec::new();
    for (files, file, named, is_opening, kerf) in [
        (&cloth, file("cloth"), "through-cut cloth-cover copy 1 line 25)", false, 0.1),
        (&sharp, file("cloth"), "through-cut cloth-cover copy 1 line 25)", false, 0.16),
        (&board, file("board"), "through-cut board-base copy 1 line 1)", true, 0.18),
    ] {
        let text = String::from_utf8(files[&file].clone()).unwrap();
        let lines: Vec<String> = text.lines().map(Into::into).collect();
        let mut corners = inner_corners(&lines, named, is_opening);
        // Of a blunt corner so little is left that it may pass.
        corners.retain(|c| c.angle < 110.0);
        assert!(corners.len() >= 2, "{named}: {}", corners.len());
        let r = kerf / 2.0;
        for c in corners.iter().take(3) {
            // So early that the way it takes lies 0.16 mm beside the one that it should.
            let short = 0.16 / c.angle.to_radians().sin();
            angles.push(c.angle);
            // Straight on its line, and just over the edge.
            for deep in [0.0, r + 0.005] {
                let codes = found(files, &file, &turned_away(&lines, c, short, deep));
                let is_found = codes.iter().any(|c| WRONG_CUTS.contains(c));
                assert!(is_found, "{named} at {:?}, {:.0} degrees, {deep} deep: {codes:?}", c.at, c.angle);
            }
            // A twentieth of a millimetre either way is let pass.
            for (short, deep) in [(0.05, 0.0), (0.04, 0.04), (-0.04, 0.0)] {
                let codes = found(files, &file, &turned_away(&lines, c, short, deep));
                assert!(codes.is_empty(), "{named} at {:?}, {:.0} degrees: {codes:?}", c.at, c.angle);
            }
        }
    }
    let (least, most) = angles.iter().fold((180f64, 0f64), |(a, b), v| (a.min(*v), b.max(*v)));
    assert!(least < 30.0 && most > 89.0, "{least} to {most}");
}

/// A whole cloth with sharp notches that lies a little off, wherever to, is cut as well as any other line
/// that does; and one that lies too far off is told.
#[test]
fn a_cloth_with_notches_that_is_moved_a_little_passes() {
    let files = export("whelk-box", &["shared-laser-cutter"], "inner-moved");
    let file = "cloth-1.shared-laser-cutter.nc";
    let text = String::from_utf8(files[file].clone()).unwrap();
    let lines: Vec<String> = text.lines().map(Into::into).collect();
    let range = work(&lines, "through-cut cloth-cover copy 1 line 25)");
    let moved = |by: Point| {
        let line = |(i, l): (usize, &String)| {
            let put = |w: &str| match (w.chars().next(), w.get(1..).and_then(|n| n.parse::<f64>().ok())) {
                (Some('X'), Some(x)) => format!("X{:.4}", x + by.x),
                (Some('Y'), Some(y)) => format!("Y{:.4}", y + by.y),
                _ => w.to_owned(),
            };
            if range.contains(&i) {
                l.split(' ').map(put).collect::<Vec<_>>().join(" ") + "\n"
            } else {
                l.clone() + "\n"
            }
        };
        lines.iter().enumerate().map(line).collect::<String>()
    };
    for k in 0..8 {
        let way = Point::unit(f64::from(k) * std::f64::consts::FRAC_PI_4 + 0.2);
        for size in [0.06, 0.09] {
            let codes = found(&files, file, &moved(way * size));
            assert!(!codes.iter().any(|c| WRONG_CUTS.contains(c)), "{size} mm to {way:?}: {codes:?}");
        }
        let codes = found(&files, file, &moved(way * 0.15));
        assert!(codes.iter().any(|c| WRONG_CUTS.contains(c)), "{way:?}");
    }
}

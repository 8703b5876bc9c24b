//! Strands joined end to end into closed contours.

use super::strands::Strand;
use super::{JOIN, NAMED};
use crate::diag::Diagnostic;
use crate::geom::{Contour, Point, Vertex, first_self_crossing};
use std::collections::BTreeMap;

/// The closed contours that the strands form. Ends within [`JOIN`] count as one. A strand drawn
/// twice counts once, which is told; an open end, three strands at one point, and a contour that
/// crosses itself are errors with the place and the entities.
pub(super) fn closed(strands: Vec<Strand>, place: &dyn Fn(Point) -> String) -> (Vec<Contour>, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let strands = once(threaded(strands), &mut said, place);
    let ends = Ends::new(&strands);
    let mut used = vec![false; strands.len()];
    let mut loops = Vec::new();
    for first in 0..strands.len() {
        if used[first] {
            continue;
        }
        used[first] = true;
        let mut chain = vec![strands[first].clone()];
        loop {
            let (start, end) = (chain[0].start(), chain[chain.len() - 1].end());
            let next = ends.at(end, |i| !used[i] && touches(&strands[i], end));
            let is_closed = start.distance(end) <= JOIN;
            match next.as_slice() {
                [] if is_closed => {
                    loops.extend(contour(&chain, &mut said, place));
                    break;
                }
                [] => {
                    // The chain may go on from its other end.
                    let other = chain[0].start();
                    let next = ends.at(other, |i| !used[i] && touches(&strands[i], other));
                    match next.as_slice() {
                        [] => {
                            said.push(open(&chain, place));
                            break;
                        }
                        [i] => {
                            used[*i] = true;
                            chain = chain.iter().rev().map(Strand::reversed).collect();
                            chain.push(following(&strands[*i], other));
                        }
                        several => {
                            said.push(branch(&chain[0], several, &strands, other, place));
                            several.iter().for_each(|i| used[*i] = true);
                            break;
                        }
                    }
                }
                [i] if !is_closed => {
                    used[*i] = true;
                    chain.push(following(&strands[*i], end));
                }
                several => {
                    said.push(branch(&chain[chain.len() - 1], several, &strands, end, place));
                    several.iter().for_each(|i| used[*i] = true);
                    break;
                }
            }
        }
    }
    (loops, said)
}

/// Strands shorter than this are chords of something longer, mm (our choice): by themselves some are shorter than
/// the gaps that are closed for the maker.
const CHORDS: f64 = 20.0 * JOIN;

/// Chords that end in the very same point, and no third there, as one strand.
fn threaded(strands: Vec<Strand>) -> Vec<Strand> {
    let key = |p: Point| ((p.x * 1e5).round() as i64, (p.y * 1e5).round() as i64);
    let mut meet: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    let is_short: Vec<bool> = strands.iter().map(|s| s.length() < CHORDS).collect();
    for (i, s) in strands.iter().enumerate() {
        meet.entry(key(s.start())).or_default().push(i);
        meet.entry(key(s.end())).or_default().push(i);
    }
    let next = |at: Point, from: usize, used: &[bool]| match meet.get(&key(at)).map(Vec::as_slice) {
        Some(&[a, b]) if a != b => Some(if a == from { b } else { a }).filter(|i| is_short[*i] && !used[*i]),
        _ => None,
    };
    let mut used = vec![false; strands.len()];
    let mut all = Vec::new();
    for first in 0..strands.len() {
        if std::mem::replace(&mut used[first], true) {
            continue;
        }
        let mut thread = strands[first].clone();
        // From its end on, then, turned round, from its start.
        for _ in 0..if is_short[first] { 2 } else { 0 } {
            let mut from = first;
            while let Some(i) = next(thread.end(), from, &used) {
                used[i] = true;
                let more = following(&strands[i], thread.end());
                if let Some(last) = thread.vertices.last_mut() {
                    last.bulge = more.vertices[0].bulge;
                }
                thread.vertices.extend(&more.vertices[1..]);
                from = i;
            }
            thread = thread.reversed();
        }
        all.push(thread);
    }
    all
}

/// Strands by the squares of a grid that their ends lie in, so that only those near a point are asked.
struct Ends(BTreeMap<(i64, i64), Vec<usize>>);

impl Ends {
    fn new(strands: &[Strand]) -> Self {
        let mut all = Self(BTreeMap::new());
        for (i, s) in strands.iter().enumerate() {
            all.add(s, i);
        }
        all
    }

    fn add(&mut self, s: &Strand, i: usize) {
        for p in [s.start(), s.end()] {
            self.0.entry(square(p)).or_default().push(i);
        }
    }

    /// Those with an end near a point, each once and in order.
    fn at(&self, p: Point, is_wanted: impl Fn(usize) -> bool) -> Vec<usize> {
        let (x, y) = square(p);
        let around = (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y)));
        let mut found: Vec<usize> = around.filter_map(|at| self.0.get(&at)).flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        found.retain(|i| is_wanted(*i));
        found
    }
}

/// Points within [`JOIN`] of one another lie in the same square or in neighbours.
fn square(p: Point) -> (i64, i64) {
    ((p.x / JOIN).floor() as i64, (p.y / JOIN).floor() as i64)
}

fn touches(s: &Strand, p: Point) -> bool {
    s.start().distance(p) <= JOIN || s.end().distance(p) <= JOIN
}

/// The strand run so that it starts at `p`.
fn following(s: &Strand, p: Point) -> Strand {
    if s.start().distance(p) <= s.end().distance(p) { s.clone() } else { s.reversed() }
}

/// Without strands that lie on another, and without those shorter than the joining distance.
fn once(strands: Vec<Strand>, said: &mut Vec<Diagnostic>, place: &dyn Fn(Point) -> String) -> Vec<Strand> {
    let mut kept: Vec<Strand> = Vec::new();
    let mut ends = Ends(BTreeMap::new());
    let mut twice: Vec<String> = Vec::new();
    for s in strands.into_iter().filter(|s| s.length() > JOIN) {
        let reversed = s.reversed();
        let is_same = |k: &&Strand| same(k, &s) || same(k, &reversed);
        if ends.at(s.start(), |i| is_same(&&kept[i])).is_empty() {
            ends.add(&s, kept.len());
            kept.push(s);
        } else {
            twice.push(format!("{} from {}", s.name, place(s.start())));
        }
    }
    if let Some(first) = twice.first() {
        let more = if twice.len() > 1 { format!(" and {} more", twice.len() - 1) } else { String::new() };
        let message = format!("drawn twice, counted once: {first}{more}");
        said.push(Diagnostic::hint("drawing-twice", message).help("take the copy out, or a cutter follows it twice"));
    }
    kept
}

fn same(a: &Strand, b: &Strand) -> bool {
    a.vertices.len() == b.vertices.len()
        && a.vertices
            .iter()
            .zip(&b.vertices)
            .all(|(p, q)| p.point().distance(q.point()) <= JOIN / 2.0 && (p.bulge - q.bulge).abs() < 1e-3)
}

fn open(chain: &[Strand], place: &dyn Fn(Point) -> String) -> Diagnostic {
    let (first, last) = (&chain[0], &chain[chain.len() - 1]);
    let (a, b) = (first.start(), last.end());
    let message = format!(
        "the outline is open between {} ({}) and {} ({}), {} apart",
        place(a),
        first.name,
        place(b),
        last.name,
        crate::units::mm(a.distance(b))
    );
    Diagnostic::error("drawing-open", message).help(format!("join the ends; gaps up to {JOIN} mm are closed for you"))
}

fn branch(
    before: &Strand,
    several: &[usize],
    strands: &[Strand],
    at: Point,
    place: &dyn Fn(Point) -> String,
) -> Diagnostic {
    let names: Vec<&str> = [before.name.as_str()]
        .into_iter()
        .chain(several.iter().filter_map(|i| strands.get(*i)).map(|s| s.name.as_str()))
        .take(NAMED)
        .collect();
    let message = format!("more than two lines meet at {}: {}", place(at), names.join("; "));
    Diagnostic::error("drawing-branches", message).help("an outline passes every point once: take the extra line out")
}

/// A closed chain as a contour; none where it crosses itself, which is told.
fn contour(chain: &[Strand], said: &mut Vec<Diagnostic>, place: &dyn Fn(Point) -> String) -> Option<Contour> {
    let mut vertices: Vec<Vertex> = Vec::new();
    for s in chain {
        // The end of the one before stands for the start of this one.
        let start = vertices.pop().map_or(s.start(), |last| last.point());
        vertices.push(Vertex::new(start, s.vertices[0].bulge));
        vertices.extend(&s.vertices[1..]);
    }
    vertices.pop();
    let contour = Contour::new(vertices);
    let Some(p) = first_self_crossing(&contour) else { return Some(contour) };
    let mut near: Vec<(f64, &str)> = chain
        .iter()
        .map(|s| {
            let path = crate::geom::Path::new(s.vertices.iter().copied());
            (path.segments().map(|g| g.distance_to(p)).fold(f64::INFINITY, f64::min), s.name.as_str())
        })
        .filter(|(d, _)| *d <= 2.0 * JOIN)
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let names: Vec<&str> = near.iter().take(2).map(|n| n.1).collect();
    let message = format!("the outline crosses or touches itself at {}: {}", place(p), names.join("; "));
    said.push(Diagnostic::error("drawing-crosses", message).help("an outline keeps clear of itself"));
    None
}

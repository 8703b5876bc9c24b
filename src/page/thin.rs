//! What is in the picture besides boards and their layers: the works, and the strap or the ribbons round the closed box.

use super::body::{Body, FRAMES, base, body, short, show};
use crate::assembly::{Assembly, Face, Mesh, Panel, Space, Stance, space};
use crate::design::{Design, Filled, filling_on, outer, stack};
use crate::fit::{tie_ways, tied_lid};
use crate::geom::Point;
use crate::job::{Job, StockKind, StrapAlong, ThingKind};
use crate::units::mm;

/// The works as blocks on the base, and whatever else lies inside.
pub(super) fn blocks(job: &Job, assembly: &Assembly) -> Vec<Body> {
    let Some((place, panel)) = base(assembly) else { return Vec::new() };
    let outer = outer(job);
    let (outline, in_tray) = stack(&outer);
    let on_base = panel.level + panel.thickness + panel.dressed(Face::Inside);
    let floor = if outer.within().is_some() { in_tray } else { on_base };
    let one = |f: Filled| {
        let slab = Panel {
            part: panel.part,
            called: None,
            piece: String::new(),
            outline: f.outline.clone(),
            holes: Vec::new(),
            recesses: Vec::new(),
            outside_recesses: Vec::new(),
            thickness: f.top - f.bottom,
            level: f.bottom,
            layers: Vec::new(),
            turned: Vec::new(),
            turned_paper: Vec::new(),
        };
        let b = f.outline.bounds();
        let size = show(job, &[b.width(), b.height(), f.top - f.bottom].map(mm));
        let what = if f.kind == ThingKind::Stack { f.name.replacen("stack", "the works", 1) } else { f.name.clone() };
        // A fault of the stack is shown at the first.
        let part = if f.kind == ThingKind::Stack { "contents".to_owned() } else { f.name.clone() };
        let kind = kind(job, f.kind);
        let mut one = body(part, kind, format!("{what}, {size}"), &slab.mesh(&Stance::FLAT, 0.1), place);
        let corners = b.corners();
        for z in [f.bottom, f.top] {
            let ring = corners.iter().chain(corners.first());
            one.edges.push(ring.flat_map(|p| [short(p.x), short(p.y), short(z)]).collect());
        }
        one.edges.extend(corners.iter().map(|p| [p.x, p.y, f.bottom, p.x, p.y, f.top].map(short).to_vec()));
        one
    };
    filling_on(&outer, outline.bounds().center(), floor).into_iter().map(one).collect()
}

/// What a thing is shown as.
fn kind(job: &Job, of: ThingKind) -> &'static str {
    let cover = job.inside.as_ref().and_then(|i| i.divider).and_then(|d| d.cover.stock);
    match of {
        ThingKind::Stack => "contents",
        ThingKind::Spacer | ThingKind::SpacerBeside => "board",
        ThingKind::Under | ThingKind::Over => "liner",
        ThingKind::Ribbon => "strap",
        ThingKind::Divider | ThingKind::Foot if cover == Some(StockKind::Liner) => "liner",
        ThingKind::Divider | ThingKind::Foot => "cloth",
    }
}

/// The straps round the closed box: they are there in the last frame alone.
pub(super) fn strap(job: &Job, design: &Design) -> Vec<Body> {
    let (Some(strap), Some((place, _))) = (&job.strap, base(&design.assembly)) else { return Vec::new() };
    let half = job.elastic.width.to_mm() / 2.0;
    let thick = job.elastic.thickness.to_mm();
    let words = format!(
        "elastic strap, {} wide, stretched by {} %",
        job.units.show(job.elastic.width),
        crate::units::decimal(job.elastic.stretch * 100.0, 1)
    );
    let laid = |line: f64| {
        let inner = crate::fit::strap_path(job, design, line);
        let at = |p: Point, across: f64| match strap.along {
            StrapAlong::Height => space(across, p.x, p.y),
            StrapAlong::Width => space(p.x, across, p.y),
        };
        let band = rows(&inner, &at, line, [half, thick]);
        last(body("strap".into(), "strap", words.clone(), &tube(&band), place), &band)
    };
    crate::design::strap_lines(strap, &design.measures).into_iter().map(laid).collect()
}

/// The ribbons that tie the closed box, and the pegs that hold them: likewise. Of a bow the ribbons alone are shown.
pub(super) fn ties(job: &Job, design: &Design) -> Vec<Body> {
    let Some((place, _)) = base(&design.assembly) else { return Vec::new() };
    let of_case = design.case.as_ref().map(|case| &case.job.ties);
    let worked = outer(job);
    let asked = of_case.unwrap_or(&worked.ties);
    let mut all = Vec::new();
    for way in tie_ways(job, design) {
        let Some(tie) = asked.get(&way.side) else { continue };
        let half = tie.width.to_mm() / 2.0;
        let thick = tie.thickness.to_mm() * f64::from(tie.layers());
        let lid = tied_lid(job, way.side);
        let words = format!("ribbon of the {lid}, {} wide", job.units.show(tie.width));
        let put = |p: Point, across: f64| way.put(p, across);
        let (own, fellow) = way.divided();
        for (points, line) in [(&own, way.lines[0]), (&fellow, way.lines[1])] {
            // From the fellow on it runs counter-clockwise round the box.
            let points: Vec<Point> = points.iter().rev().copied().collect();
            let band = rows(&points, &put, line, [half, thick]);
            all.push(last(body(lid.clone(), "strap", words.clone(), &tube(&band), place), &band));
        }
        let [.., before, at] = own[..] else { continue };
        if let (Some(peg), Some(along)) = (tie.peg, (at - before).normalized()) {
            let words = format!("peg, {}", show(job, &[peg.diameter, peg.length]));
            let by = along * (peg.diameter.to_mm() / 2.0);
            let out = along.left() * thick;
            let size = [peg.length.to_mm() / 2.0, peg.diameter.to_mm()];
            let middle = f64::midpoint(way.lines[0], way.lines[1]);
            let band = rows(&[at + by + out, at - by + out], &put, middle, size);
            all.push(last(body(lid.clone(), "board", words, &tube(&band), place), &band));
        }
    }
    all
}

/// A band along a line of its plane, half so wide and so thick: four corners at each of its points.
fn rows(inner: &[Point], put: &dyn Fn(Point, f64) -> Space, line: f64, [half, thick]: [f64; 2]) -> Vec<[Space; 4]> {
    let outer = outside(inner, thick);
    let corners = |(i, o): (&Point, &Point)| {
        [put(*i, line - half), put(*i, line + half), put(*o, line + half), put(*o, line - half)]
    };
    inner.iter().zip(&outer).map(corners).collect()
}

/// What is there in the last frame alone, with its edges.
fn last(mut one: Body, rows: &[[Space; 4]]) -> Body {
    for k in 0..4 {
        one.edges.push(rows.iter().flat_map(|r| [short(r[k].x), short(r[k].y), short(r[k].z)]).collect());
    }
    one.from = FRAMES - 1;
    one
}

/// A line moved outwards by a thickness, its turns mitred.
fn outside(line: &[Point], by: f64) -> Vec<Point> {
    let n = line.len();
    let normal = |i: usize| {
        let (a, b) = (line.get(i)?, line.get(i + 1)?);
        // It runs counter-clockwise round the box: outside is to its right.
        Some(-(*b - *a).normalized()?.left())
    };
    (0..n)
        .map(|i| {
            let before = i.checked_sub(1).and_then(normal);
            let (a, b) = match (before, normal(i)) {
                (Some(a), Some(b)) => (a, b),
                (Some(one), None) | (None, Some(one)) => (one, one),
                (None, None) => return line[i],
            };
            let middle = (a + b).normalized().unwrap_or(a);
            line[i] + middle * (by / middle.dot(a).max(0.4))
        })
        .collect()
}

/// A closed surface through rows of four corners, turned so that it encloses a volume.
fn tube(rows: &[[Space; 4]]) -> Mesh {
    let mut mesh = Mesh { points: rows.iter().flatten().copied().collect(), triangles: Vec::new() };
    if rows.len() < 2 {
        return mesh;
    }
    for r in 0..rows.len() - 1 {
        for k in 0..4 {
            let (a, b) = (4 * r + k, 4 * r + (k + 1) % 4);
            mesh.triangles.extend([[a, b, b + 4], [a, b + 4, a + 4]]);
        }
    }
    let last = 4 * (rows.len() - 1);
    mesh.triangles.extend([[0, 2, 1], [0, 3, 2], [last, last + 1, last + 2], [last, last + 2, last + 3]]);
    if mesh.volume() < 0.0 {
        mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tube_is_closed_and_right_side_out() {
        let row = |x: f64| [space(x, 0.0, 0.0), space(x, 2.0, 0.0), space(x, 2.0, 1.0), space(x, 0.0, 1.0)];
        let mesh = tube(&[row(0.0), row(3.0), row(5.0)]);
        assert!((mesh.volume() - 10.0).abs() < 1e-9, "{}", mesh.volume());
    }
}

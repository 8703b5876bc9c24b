//! A panel as a closed surface of triangles.

use super::{Panel, Space, Stance};
use crate::geom::{Contour, Point, triangles};
use serde::Serialize;

/// A closed surface: points, and triangles by the numbers of their points, each counter-clockwise as
/// seen from outside.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Mesh {
    /// The points, mm.
    pub points: Vec<Space>,
    /// Three points each.
    pub triangles: Vec<[usize; 3]>,
}

impl Panel {
    /// The board at a place, of its true thickness, with its slots and other through-cuts. Arcs become
    /// chords that stray by `chord` mm at most: 0.1 shows smooth on any screen, and the number of
    /// triangles grows with its square root. Recesses are left out: see [`Panel::recesses`].
    pub fn mesh(&self, place: &Stance, chord: f64) -> Mesh {
        let flat = |c: &Contour| c.flatten(chord);
        let outer = flat(&self.outline.clone().ccw());
        let holes: Vec<Vec<Point>> = self.holes.iter().map(|h| flat(&h.clone().cw())).collect();
        let mut mesh = Mesh::default();
        let (points, faces) = triangles(&outer, &holes);
        let n = points.len();
        let (low, high) = (self.level, self.level + self.thickness);
        mesh.points.extend(points.iter().map(|p| place.at(*p, high)));
        mesh.points.extend(points.iter().map(|p| place.at(*p, low)));
        mesh.triangles.extend(faces.iter().copied());
        mesh.triangles.extend(faces.iter().map(|[a, b, c]| [a + n, c + n, b + n]));
        // The sides: what is left of a ring is board, so its right is outside.
        for ring in std::iter::once(&outer).chain(&holes) {
            let from = mesh.points.len();
            for p in ring {
                mesh.points.push(place.at(*p, low));
                mesh.points.push(place.at(*p, high));
            }
            for i in 0..ring.len() {
                let (a, b) = (from + 2 * i, from + 2 * ((i + 1) % ring.len()));
                mesh.triangles.push([a, b, b + 1]);
                mesh.triangles.push([a, b + 1, a + 1]);
            }
        }
        mesh
    }
}

impl Mesh {
    /// The volume that it encloses, mm3: below zero where it is turned inside out.
    pub fn volume(&self) -> f64 {
        self.triangles
            .iter()
            .filter_map(|[a, b, c]| Some((self.points.get(*a)?, self.points.get(*b)?, self.points.get(*c)?)))
            .map(|(a, b, c)| {
                (a.x * (b.y * c.z - b.z * c.y) + a.y * (b.z * c.x - b.x * c.z) + a.z * (b.x * c.y - b.y * c.x)) / 6.0
            })
            .sum()
    }
}

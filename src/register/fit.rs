//! The map that best brings marks from where they should be to where they were measured.
//!
//! Let `p` be the nominal places, `q` the measured ones, `u = p - mean p` and `v = q - mean q`. Of the maps
//! `q = M p + s` the sum of squared distances is least where `s = mean q - M mean p`, whatever `M` may be, and `M` is
//!
//! - [`Stretch::None`], a turn: the orthogonal Procrustes problem (Schönemann 1966; in the plane a closed form, both
//!   from memory). With `A = sum u.v` and `B = sum u x v` the turn has the cosine `A / h` and the sine `B / h`,
//!   `h = sqrt(A^2 + B^2)`. The scale that would fit best is `h / sum |u|^2` (Umeyama 1991, from memory): it is told
//!   and not made use of;
//! - [`Stretch::Even`], a turn and that one scale: `M = [[A, -B], [B, A]] / sum |u|^2`;
//! - [`Stretch::Any`], any matrix, by linear least squares, a row at a time. The normal equations of a row `(a, b)`
//!   are, with all sums over the marks,
//!
//!   ```text
//!   sum ux ux  a + sum ux uy  b = sum ux vx      (for the second row: vy in the place of vx)
//!   sum ux uy  a + sum uy uy  b = sum uy vx
//!   ```
//!
//! What is left over, `q - (M p + s)`, sums up to nothing in each of them; that it does is how the proof knows the
//! best fit without making one.

use super::Affine;
use crate::geom::{Point, pt};

/// A mark: where it should be and where it was measured, mm, in the same coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Where it should be.
    pub nominal: Point,
    /// Where it was measured.
    pub measured: Point,
}

/// What a sheet is thought to have done besides lying elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stretch {
    /// Nothing.
    None,
    /// It grew or shrank alike everywhere.
    Even,
    /// It grew or shrank along and across in its own measure, and leans.
    Any,
}

impl Stretch {
    /// Their words, for the file of marks.
    pub const WORDS: &'static [&'static str] = &["none", "even", "any"];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Even => "even",
            Self::Any => "any",
        }
    }

    /// What so many marks say by themselves: two cannot tell a stretch along from one across.
    pub const fn usual(marks: usize) -> Self {
        if marks < 3 { Self::None } else { Self::Any }
    }

    /// How many marks it takes.
    pub const fn least(self) -> usize {
        if matches!(self, Self::Any) { 3 } else { 2 }
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The map.
    pub map: Affine,
    /// By how much what runs to the right is stretched, and what runs up; of [`Stretch::None`] what would fit best.
    pub scales: [f64; 2],
    /// How far each mark was measured from where the map brings it, mm.
    pub residuals: Vec<f64>,
}

impl Fit {
    /// The largest of them with its mark's place in the list.
    pub fn worst(&self) -> (usize, f64) {
        let all = self.residuals.iter().copied().enumerate();
        all.fold((0, 0.0), |worst, r| if r.1 > worst.1 { r } else { worst })
    }
}

/// Marks nearer together than this fix no turn (our choice): 0.2 mm misread there are half a degree.
pub const NEAREST: f64 = 20.0;
/// Marks that lie in a band narrower than about this fix no stretch across it (our choice).
pub const NARROWEST: f64 = 20.0;

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer marks than the stretch takes.
    TooFew,
    /// They stand too near together.
    TooNear,
    /// They stand nearly in one line.
    InLine,
}

/// The best fit of these marks.
pub fn fit(marks: &[Pair], stretch: Stretch) -> Result<Fit, NoFit> {
    if marks.len() < stretch.least() {
        return Err(NoFit::TooFew);
    }
    let n = marks.len() as f64;
    let mean = |of: fn(&Pair) -> Point| marks.iter().fold(pt(0.0, 0.0), |sum, m| sum + of(m)) * (1.0 / n);
    let (p, q) = (mean(|m| m.nominal), mean(|m| m.measured));
    let pairs: Vec<(Point, Point)> = marks.iter().map(|m| (m.nominal - p, m.measured - q)).collect();
    let sum = |of: &dyn Fn(Point, Point) -> f64| pairs.iter().map(|(u, v)| of(*u, *v)).sum::<f64>();
    let spread = |of: fn(&Pair) -> Point| {
        let to = |m: &Pair| marks.iter().map(|o| of(m).distance(of(o))).fold(0.0, f64::max);
        marks.iter().map(to).fold(0.0, f64::max)
    };
    if spread(|m| m.nominal) < NEAREST || spread(|m| m.measured) < NOTHING {
        return Err(NoFit::TooNear);
    }
    let (size, a, b) = (sum(&|u, _| u.dot(u)), sum(&|u, v| u.dot(v)), sum(&|u, v| u.cross(v)));
    let h = a.hypot(b);
    let (matrix, scales) = match stretch {
        Stretch::None if h > 0.0 => ([[a / h, -b / h], [b / h, a / h]], [h / size; 2]),
        // Measured the other way round about their middle, as a line is: no turn fits better than another.
        Stretch::None => return Err(NoFit::InLine),
        Stretch::Even => ([[a / size, -b / size], [b / size, a / size]], [h / size; 2]),
        Stretch::Any => {
            let (xx, xy, yy) = (sum(&|u, _| u.x * u.x), sum(&|u, _| u.x * u.y), sum(&|u, _| u.y * u.y));
            // The least eigenvalue: the sum of squared distances from the line that runs nearest to all.
            let across = (xx + yy) / 2.0 - ((xx - yy) / 2.0).hypot(xy);
            // Three corners of a band of this width have two thirds of its square at the most.
            if across < NARROWEST * NARROWEST / 2.0 {
                return Err(NoFit::InLine);
            }
            let d = xx * yy - xy * xy;
            let row = |x: f64, y: f64| [(yy * x - xy * y) / d, (xx * y - xy * x) / d];
            let first = row(sum(&|u, v| u.x * v.x), sum(&|u, v| u.y * v.x));
            let second = row(sum(&|u, v| u.x * v.y), sum(&|u, v| u.y * v.y));
            let map = Affine { matrix: [first, second], shift: pt(0.0, 0.0) };
            (map.matrix, map.scales())
        }
    };
    let turned = Affine { matrix, shift: pt(0.0, 0.0) };
    let map = Affine { shift: q - turned.along(p), ..turned };
    let residuals = marks.iter().map(|m| map.apply(m.nominal).distance(m.measured)).collect();
    Ok(Fit { map, scales, residuals })
}

/// What is shorter than this, mm, is none.
const NOTHING: f64 = 1e-6;

//! Fits worked by hand, thrown by dice and refused.

use super::fit::fit;
use super::*;
use crate::diag::Source;

fn pairs(nominal: &[Point], to: impl Fn(Point) -> Point) -> Vec<Pair> {
    nominal.iter().map(|p| Pair { nominal: *p, measured: to(*p) }).collect()
}

/// The corners of a sheet of 300 x 400, its fourth mark lower than its neighbour.
const MARKS: [Point; 4] = [pt(0.0, 0.0), pt(300.0, 0.0), pt(300.0, 400.0), pt(0.0, 320.0)];

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn a_move_alone_comes_out() {
    for (n, stretch) in
        [(2, Stretch::None), (2, Stretch::Even), (3, Stretch::Any), (4, Stretch::Any), (4, Stretch::None)]
    {
        let f = fit(&pairs(&MARKS[..n], |p| p + pt(12.5, -3.25)), stretch).unwrap();
        assert!(f.map.shift.distance(pt(12.5, -3.25)) < 1e-9 && near(f.map.turn_deg(), 0.0), "{n} {stretch:?}");
        assert!(f.scales.iter().all(|s| near(*s, 1.0)) && f.worst().1 < 1e-9 && near(f.map.shear_deg(), 0.0));
    }
}

/// By hand: the triangle of sides 3, 4 and 5. A turn with cosine 4/5 and sine 3/5 brings (300, 0) to (240, 180) and
/// (0, 400) to (-240, 320); and a turn of 30 degrees brings (2, 0) to (sqrt 3, 1).
#[test]
fn turns_of_numbers_that_can_be_worked_by_hand() {
    let of = |places: &[(Point, Point)]| -> Vec<Pair> {
        places.iter().map(|(nominal, measured)| Pair { nominal: *nominal, measured: *measured }).collect()
    };
    let three =
        of(&[(pt(0.0, 0.0), pt(10.0, 20.0)), (pt(300.0, 0.0), pt(250.0, 200.0)), (pt(0.0, 400.0), pt(-230.0, 340.0))]);
    for (marks, stretch) in [(&three[..2], Stretch::None), (&three[..2], Stretch::Even), (&three[..], Stretch::Any)] {
        let f = fit(marks, stretch).unwrap();
        let [[xx, xy], [yx, yy]] = f.map.matrix;
        assert!(near(xx, 0.8) && near(yy, 0.8) && near(yx, 0.6) && near(xy, -0.6), "{stretch:?}: {:?}", f.map);
        assert!(f.map.shift.distance(pt(10.0, 20.0)) < 1e-9 && f.worst().1 < 1e-9);
        // The arc cosine of 4/5.
        assert!((f.map.turn_deg() - 36.869_897_645_844_02).abs() < 1e-9);
    }
    let thirty = of(&[(pt(0.0, 0.0), pt(0.0, 0.0)), (pt(200.0, 0.0), pt(100.0 * 3f64.sqrt(), 100.0))]);
    assert!((fit(&thirty, Stretch::None).unwrap().map.turn_deg() - 30.0).abs() < 1e-9);
}

/// By hand: of a sheet that grew by a hundredth, marks 300 apart measure 303. A turn alone leaves half of the 3 mm at
/// either end; one scale takes all.
#[test]
fn a_scale_is_told_and_made_up_only_where_that_is_asked() {
    let marks = pairs(&MARKS[..2], |p| p * 1.01);
    let stiff = fit(&marks, Stretch::None).unwrap();
    assert!(near(stiff.scales[0], 1.01) && near(stiff.residuals[0], 1.5) && near(stiff.residuals[1], 1.5));
    assert!(near(stiff.map.scales()[0], 1.0));
    let even = fit(&marks, Stretch::Even).unwrap();
    assert!(near(even.map.scales()[0], 1.01) && near(even.map.scales()[1], 1.01) && even.worst().1 < 1e-9);
    let any = fit(&pairs(&MARKS, |p| pt(p.x * 1.01, p.y * 0.995)), Stretch::Any).unwrap();
    assert!(near(any.scales[0], 1.01) && near(any.scales[1], 0.995) && any.worst().1 < 1e-9);
}

/// By hand: x' = x + y / 100 leans by the arc tangent of 1/100, 0.572939 degrees, and stretches what runs up by
/// sqrt(1 + 1/10000).
#[test]
fn a_lean_comes_out() {
    for n in [3, 4] {
        let f = fit(&pairs(&MARKS[..n], |p| pt(p.x + p.y / 100.0, p.y)), Stretch::Any).unwrap();
        assert!((f.map.shear_deg() - 0.572_938_697_683_48).abs() < 1e-9, "{}", f.map.shear_deg());
        assert!(near(f.scales[0], 1.0) && near(f.scales[1], 1.0001f64.sqrt()) && near(f.map.turn_deg(), 0.0));
    }
}

/// By hand: four marks at the corners of a rectangle, one of them read 1 mm too far to the right. A plane through
/// four corners misses each by a quarter of that, to and fro.
#[test]
fn a_mark_misread_at_a_rectangle_is_off_by_a_quarter_everywhere() {
    let corners = [pt(0.0, 0.0), pt(300.0, 0.0), pt(300.0, 400.0), pt(0.0, 400.0)];
    let mut marks = pairs(&corners, |p| p);
    marks[2].measured.x += 1.0;
    let f = fit(&marks, Stretch::Any).unwrap();
    assert!(f.residuals.iter().all(|r| near(*r, 0.25)), "{:?}", f.residuals);
}

/// Numbers from a seed: the linear congruential generator of Knuth's MMIX (from memory).
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1u64 << 53) as f64)
    }

    fn map(&mut self, stretch: Stretch) -> Affine {
        let turn = self.between(-3.1, 3.1);
        let (along, across) = match stretch {
            Stretch::None => (1.0, 1.0),
            Stretch::Even => (1.013, 1.013),
            Stretch::Any => (self.between(0.98, 1.02), self.between(0.98, 1.02)),
        };
        let lean = if stretch == Stretch::Any { self.between(-0.02, 0.02) } else { 0.0 };
        let (right, up) = (Point::unit(turn) * along, (Point::unit(turn).left() + Point::unit(turn) * lean) * across);
        let shift = pt(self.between(-500.0, 500.0), self.between(-500.0, 500.0));
        Affine { matrix: [[right.x, up.x], [right.y, up.y]], shift }
    }
}

#[test]
fn maps_thrown_by_dice_are_found_again() {
    let mut dice = Dice(7);
    for (stretch, counts) in [(Stretch::None, 2..=4), (Stretch::Even, 2..=4), (Stretch::Any, 3..=4)] {
        for n in counts {
            for _ in 0..300 {
                let map = dice.map(stretch);
                let f = fit(&pairs(&MARKS[..n], |p| map.apply(p)), stretch).unwrap();
                for p in [pt(-100.0, 50.0), pt(700.0, 1000.0), pt(150.0, 200.0)] {
                    assert!(f.map.apply(p).distance(map.apply(p)) < 1e-8, "{stretch:?} {n}");
                }
                assert!(f.worst().1 < 1e-9);
            }
        }
    }
}

/// With noise the residuals are those of the best: no map of the kind beside it has a smaller sum of their squares,
/// and they are no larger than the noise asks for.
#[test]
fn noise_leaves_the_least_sum_of_squares() {
    let mut dice = Dice(11);
    for stretch in [Stretch::None, Stretch::Even, Stretch::Any] {
        for _ in 0..200 {
            let map = dice.map(stretch);
            let noisy: Vec<Pair> = pairs(&MARKS, |p| map.apply(p))
                .into_iter()
                .map(|p| Pair { measured: p.measured + pt(dice.between(-0.2, 0.2), dice.between(-0.2, 0.2)), ..p })
                .collect();
            let f = fit(&noisy, stretch).unwrap();
            let sum =
                |m: &Affine| -> f64 { noisy.iter().map(|p| m.apply(p.nominal).distance(p.measured).powi(2)).sum() };
            let least = sum(&f.map);
            assert!(near(f.residuals.iter().map(|r| r * r).sum(), least) && least <= sum(&map) + 1e-12);
            // A little aside in every way that the kind has.
            let small = |k: usize, by: f64| {
                let (s, c) = by.sin_cos();
                let matrix = match k {
                    0 | 1 => [[1.0, 0.0], [0.0, 1.0]],
                    2 => [[c, -s], [s, c]],
                    3 => [[1.0 + by, 0.0], [0.0, 1.0 + by]],
                    4 => [[1.0 + by, 0.0], [0.0, 1.0]],
                    _ => [[1.0, by], [0.0, 1.0]],
                };
                let shift = [pt(by * 100.0, 0.0), pt(0.0, by * 100.0)].get(k).copied().unwrap_or(pt(0.0, 0.0));
                Affine { matrix, shift }.after(&f.map)
            };
            let ways = match stretch {
                Stretch::None => 3,
                Stretch::Even => 4,
                Stretch::Any => 6,
            };
            for (k, by) in (0..ways).flat_map(|k| [(k, 1e-5), (k, -1e-5)]) {
                assert!(sum(&small(k, by)) >= least - 1e-12, "{stretch:?}, aside by {k}");
            }
        }
    }
}

fn marks(rows: &[(char, [f64; 2], [f64; 2])], more: &str) -> Marks {
    let row = |(name, at, measured): &(char, [f64; 2], [f64; 2])| {
        format!("[[mark]]\nname = \"{name}\"\nat = {at:?}\nmeasured = {measured:?}\n")
    };
    let rows: String = rows.iter().map(row).collect();
    let text = format!("format = 1\nsheet = \"cloth-1\"\n{more}\n{rows}");
    let (file, _, said) = form::read(&Source { name: "register.toml".into(), text });
    file.unwrap_or_else(|| panic!("{said:?}"))
}

fn registered(file: &Marks) -> (Option<Register>, Vec<Diagnostic>) {
    let bed = Bed { names: ["cloth-1", "table"], width: 600.0, to_sheet: &|p| p, to_bed: &|p| p };
    register(file, &bed)
}

fn rows(to: impl Fn(usize, Point) -> Point, n: usize) -> Vec<(char, [f64; 2], [f64; 2])> {
    let row = |(i, name): (usize, char)| {
        let q = to(i, MARKS[i]);
        (name, [MARKS[i].x, MARKS[i].y], [q.x, q.y])
    };
    "ABCD".chars().enumerate().take(n).map(row).collect()
}

#[test]
fn what_no_sheet_does_is_refused_with_what_is_usually_wrong() {
    let of = |to: &dyn Fn(usize, Point) -> Point, n: usize, more: &str| {
        let (found, said) = registered(&marks(&rows(to, n), more));
        assert!(found.is_none(), "{said:?}");
        (said[0].message.clone(), said[0].hint.clone().unwrap_or_default())
    };
    let lies = |p: Point| p.rotated(0.02) + pt(40.0, 25.0);
    for n in [3, 4] {
        let swapped = |i: usize, _: Point| lies(MARKS[[1, 0, 2, 3][i]]);
        let (message, hint) = of(&swapped, n, "");
        assert!(message.contains("do not fit") && hint.contains("A and B are exchanged"), "{message}: {hint}");
        let (message, hint) = of(&|_, p| lies(pt(300.0 - p.x, p.y)), n, "");
        assert!(message.contains("turned over") && hint.contains("turned_over = true"), "{n} {message}: {hint}");
        let (_, hint) = of(&|_, p| lies(p) * (1.0 / 25.4), n, "");
        assert!(hint.contains("inches"), "{hint}");
        let (message, hint) = of(&|_, p| pt(600.0 - p.x, 900.0 - p.y), n, "");
        assert!(message.contains("turned by") && hint.contains("turned by a half"), "{message}: {hint}");
    }
    let (message, hint) = of(&|_, p| lies(pt(300.0 - p.x, 0.0)), 2, "");
    assert!(message.contains("turned by") && hint.contains("A and B are exchanged"), "{message}: {hint}");
    let (message, _) = of(&|_, p| lies(p * 1.03), 4, "");
    assert!(message.contains("103"), "{message}");
    let (message, _) = of(&|_, p| lies(pt(p.x + p.y * 0.02, p.y)), 4, "");
    assert!(message.contains("lean"), "{message}");
    let (message, _) = of(&|_, p| p.rotated(0.2), 4, "");
    assert!(message.contains("turned by 11.5 degrees"), "{message}");
    let (message, hint) = of(&|i, p| lies(p) + pt(if i == 2 { 9.0 } else { 0.0 }, 0.0), 4, "stretch = \"none\"");
    assert!(message.contains("off by") && hint.contains("without C"), "{message}: {hint}");
    let (message, _) = of(&|_, p| lies(p), 2, "stretch = \"any\"");
    assert!(message.contains("takes 3 marks"), "{message}");
    let (message, _) = of(&|_, p| p * 0.03, 2, "");
    assert!(message.contains("do not fit"), "{message}");
}

#[test]
fn what_a_sheet_does_passes_and_is_told() {
    let lies = |_: usize, p: Point| pt(p.x * 1.004, p.y * 0.998).rotated(0.03) + pt(40.0, 25.0);
    let (found, said) = registered(&marks(&rows(lies, 4), ""));
    let found = found.unwrap();
    assert!(said.is_empty() && found.map.apply(pt(100.0, 100.0)).distance(lies(0, pt(100.0, 100.0))) < 1e-9);
    // Two marks of a sheet that grew: told, and half of it stays at each.
    let (found, said) = registered(&marks(&rows(|_, p| p * 1.002, 2), ""));
    let codes: Vec<&str> = said.iter().map(|d| d.code).collect();
    assert_eq!(codes, ["two-marks", "stretch-left"]);
    assert!(found.is_some_and(|r| near(r.fit.residuals[0], 0.3)));
    let (found, said) = registered(&marks(&rows(|_, p| p * 1.002, 2), "stretch = \"even\""));
    assert!(said.len() == 1 && found.is_some_and(|r| r.fit.worst().1 < 1e-9));
    // Turned over: the left edge of a sheet 600 wide lies at the right.
    let over = |_: usize, p: Point| pt(600.0 - p.x, p.y) + pt(5.0, 6.0);
    let (found, _) = registered(&marks(&rows(over, 3), "turned_over = true"));
    let found = found.unwrap();
    assert!(found.map.determinant() < 0.0 && found.map.apply(pt(10.0, 20.0)).distance(pt(595.0, 26.0)) < 1e-9);
}

#[test]
fn a_file_of_marks_is_read_whole_and_all_that_is_wrong_is_told() {
    let read = |text: &str| form::read(&Source { name: "register.toml".into(), text: text.into() });
    let text = form::form(
        ["cloth-1", "drag-knife-table", "cloth-cover", "register.toml"],
        mm(3.0),
        &[('A', pt(12.0, 12.0)), ('B', pt(400.0, 12.0))],
    );
    let (_, _, said) = read(&text);
    assert!(said.len() == 1 && said[0].code == "marks-missing", "{said:?}");
    let filled = text.replace("# measured = [0, 0]", "measured = [1.5, \"2 in\"]");
    let (file, _, said) = read(&filled);
    let file = file.unwrap_or_else(|| panic!("{said:?}"));
    assert!(file.is_on_artwork && file.marks[1].measured.distance(pt(1.5, 50.8)) < 1e-9);
    let wrong = "format = 2\nsheet = \"x\"\n[[mark]]\nname = \"A\"\nat = [1]\n[[mark]]\nname = \"A\"\nat = [\"2 t\", 3]\nmeasured = [1, 2, 3]\n";
    let (file, _, said) = read(wrong);
    let codes: Vec<&str> = said.iter().map(|d| d.code).collect();
    assert!(file.is_none() && codes.contains(&"wrong-format"), "{codes:?}");
    assert_eq!(codes.iter().filter(|c| **c == "not-a-place").count(), 3, "{codes:?}");
    // In inches.
    let inches = filled.replace("units = \"mm\"", "units = \"in\"").replace("bleed = \"3 mm\"", "bleed = 0.125");
    let (file, ..) = read(&inches);
    assert!(file.is_some_and(|f| (f.marks[0].at.x - 304.8).abs() < 1e-9 && near(f.bleed.to_mm(), 3.175)));
}

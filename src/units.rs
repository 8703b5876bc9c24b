//! Quantities with their unit in the type. A [`Length`] is made by [`mm`] or [`inch`] and read by
//! [`Length::to_mm`]; this is the only file that holds 25.4.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Millimetres in an inch, exact by the international agreement of 1959.
const MM_PER_INCH: f64 = 25.4;
/// Points of caliper in an inch (the caliper point of printing and board, not the type point).
const POINTS_PER_INCH: f64 = 1000.0;

/// A length. Inside it is millimetres; nothing outside this file needs to know.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

/// A length of `value` millimetres.
pub const fn mm(value: f64) -> Length {
    Length(value)
}

/// A length of `value` inches.
pub const fn inch(value: f64) -> Length {
    Length(value * MM_PER_INCH)
}

/// A length of `value` points of caliper, 0.001 in each.
pub const fn points(value: f64) -> Length {
    Length(value / POINTS_PER_INCH * MM_PER_INCH)
}

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0.0);

    /// The length in millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0
    }

    /// The length in inches.
    pub const fn to_inch(self) -> f64 {
        self.0 / MM_PER_INCH
    }

    /// The larger of the two.
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The smaller of the two.
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// The length without its sign.
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// False for NaN and the infinities.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Mul<Length> for f64 {
    type Output = Length;
    fn mul(self, length: Length) -> Length {
        length * self
    }
}

impl Div<f64> for Length {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

/// A ratio of two lengths has no unit.
impl Div for Length {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::ZERO, Add::add)
    }
}

/// In JSON a length is a bare number of millimetres, to a nanometre.
impl Serialize for Length {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(tidy(self.0, 6))
    }
}

/// From a number of millimetres.
impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        f64::deserialize(deserializer).map(Self)
    }
}

/// An angle, counter-clockwise positive. Inside it is radians.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

/// An angle of `value` degrees.
pub const fn deg(value: f64) -> Angle {
    Angle(value.to_radians())
}

/// An angle of `value` radians.
pub const fn rad(value: f64) -> Angle {
    Angle(value)
}

impl Angle {
    /// The angle in radians.
    pub const fn to_rad(self) -> f64 {
        self.0
    }

    /// The angle in degrees.
    pub const fn to_deg(self) -> f64 {
        self.0.to_degrees()
    }
}

/// In JSON an angle is a bare number of degrees.
impl Serialize for Angle {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(tidy(self.to_deg(), 6))
    }
}

/// A speed along a path. Inside it is millimetres a minute, the unit of a machine's feed word.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Feed(f64);

/// A speed of `value` millimetres a minute.
pub const fn mm_per_min(value: f64) -> Feed {
    Feed(value)
}

impl Feed {
    /// The speed in millimetres a minute.
    pub const fn to_mm_per_min(self) -> f64 {
        self.0
    }

    /// The speed in millimetres a second.
    pub const fn to_mm_per_s(self) -> f64 {
        self.0 / 60.0
    }
}

/// In JSON a feed is a bare number of millimetres a minute.
impl Serialize for Feed {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(tidy(self.0, 6))
    }
}

/// The unit that bare numbers of a job file are in, and in which its reports are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches.
    Inch,
}

impl Unit {
    /// A bare number of this unit as a length.
    pub const fn length(self, value: f64) -> Length {
        match self {
            Self::Mm => mm(value),
            Self::Inch => inch(value),
        }
    }

    /// The length as it is read off a rule: millimetres to a tenth (below 10 mm
    /// to a hundredth: thicknesses and joints are measured with a caliper), or inches in whole
    /// thirty-seconds, the unit said. A length that no thirty-second meets within 0.025 mm is
    /// written in decimals, so that nothing is rounded in silence.
    pub fn show(self, length: Length) -> String {
        match self {
            Self::Mm => {
                let value = length.to_mm();
                format!("{} mm", decimal(value, if value.abs() < 10.0 { 2 } else { 1 }))
            }
            Self::Inch => inch_fraction(length),
        }
    }
}

impl Unit {
    /// The lengths as [`Unit::show`] writes them, with `x` between them and the unit once, last.
    pub fn show_size(self, lengths: &[Length]) -> String {
        let suffix = match self {
            Self::Mm => " mm",
            Self::Inch => " in",
        };
        let bare: Vec<String> =
            lengths.iter().map(|l| self.show(*l)).map(|s| s.trim_end_matches(suffix).to_owned()).collect();
        format!("{}{suffix}", bare.join(" x "))
    }
}

impl Unit {
    /// The length as [`Unit::show`] writes it, the unit not said.
    pub fn show_bare(self, length: Length) -> String {
        let shown = self.show(length);
        shown
            .strip_suffix(match self {
                Self::Mm => " mm",
                Self::Inch => " in",
            })
            .unwrap_or(&shown)
            .to_owned()
    }

    /// The steps in which a hand marks: half a millimetre, or a thirty-second of an inch.
    pub const fn bench_step(self) -> Length {
        match self {
            Self::Mm => mm(0.5),
            Self::Inch => inch(1.0 / 32.0),
        }
    }

    /// The nearest length that a hand marks.
    pub fn at_bench(self, length: Length) -> Length {
        let step = self.bench_step();
        step * (length / step + HAIR).round()
    }

    /// An area as cloth and glue are bought by, given in square metres: in these, or in square feet where
    /// the unit is the inch; to a hundredth or, below a tenth, a thousandth; the unit said.
    pub fn show_area(self, square_metres: f64) -> String {
        let foot = inch(12.0).to_mm() / 1000.0;
        let (area, unit) = match self {
            Self::Mm => (square_metres, "m²"),
            Self::Inch => (square_metres / (foot * foot), "sq ft"),
        };
        format!("{} {unit}", decimal(area, if area < 0.1 { 3 } else { 2 }))
    }
}

impl Unit {
    /// The length as it is set on a rule at the bench: as [`Unit::show`], but an inch length of half an inch or
    /// more is always the nearest 1/32, followed in brackets by what it is where that is not it within 0.025 mm.
    /// Below that a caliper is used, and no 1/32 is near enough.
    pub fn show_on_rule(self, length: Length) -> String {
        let shown = self.show(length);
        if self == Self::Mm || !shown.contains('.') || length < inch(0.5) {
            return shown;
        }
        format!("{} ({})", self.show(self.on_rule(length)), shown.trim_end_matches(" in"))
    }

    /// The length as a hand marks it, followed in brackets by what it is where that is shown otherwise.
    pub fn show_by_hand(self, length: Length) -> String {
        let (hand, exact) = (self.at_bench(length), self.show_bare(length));
        let marked = self.show(hand);
        if self.show_bare(hand) == exact { marked } else { format!("{marked} ({exact})") }
    }

    /// The nearest length that a rule has a line for: a thirty-second of an inch; in millimetres any.
    pub fn on_rule(self, length: Length) -> Length {
        match self {
            Self::Mm => length,
            Self::Inch => inch((length.to_inch() * 32.0).round() / 32.0),
        }
    }
}

/// Inches in lowest terms of 1/32, or to a thousandth where no 1/32 comes within 0.025 mm: a
/// caliper tells .060 from 1/16.
fn inch_fraction(length: Length) -> String {
    let inches = length.to_inch();
    let parts = (inches.abs() * 32.0).round();
    if (inch(parts / 32.0).to_mm() - length.to_mm().abs()).abs() > 0.025 {
        return format!("{} in", decimal(inches, 3));
    }
    let sign = if inches < 0.0 && parts > 0.0 { "-" } else { "" };
    let parts = parts as u64;
    let (whole, mut over, mut under) = (parts / 32, parts % 32, 32);
    while over > 0 && over.is_multiple_of(2) {
        over /= 2;
        under /= 2;
    }
    match (whole, over) {
        (w, 0) => format!("{sign}{w} in"),
        (0, n) => format!("{sign}{n}/{under} in"),
        (w, n) => format!("{sign}{w} {n}/{under} in"),
    }
}

/// `value` rounded to `places` decimals, never minus zero: what every writer prints from. A half goes
/// away from zero, also where the binary number stands a hair below it, so that one length told by
/// two ways of reckoning it is one figure: 3.175 is 3.18.
pub fn tidy(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    let scaled = value.abs() * scale;
    // Beyond this there is no fraction left to round.
    let rounded = if scaled < 1e15 { (scaled + HAIR).round() / scale } else { value.abs() };
    if rounded == 0.0 { 0.0 } else { rounded.copysign(value) }
}

/// What reckoning may take off a half, in units of the last decimal kept.
const HAIR: f64 = 1e-6;

/// `value` with at most `places` decimals, rounded as by [`tidy`], without trailing zeros and never
/// `-0`.
pub fn decimal(value: f64, places: usize) -> String {
    let value = i32::try_from(places).map_or(value, |p| tidy(value, p));
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.into() }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", decimal(self.0, 2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_is_25_4_mm_and_a_point_a_thousandth_of_it() {
        // Source: international yard and pound agreement, 1959; the caliper point from memory.
        assert_eq!(inch(1.0), mm(25.4));
        assert!((points(98.0).to_mm() - 2.4892).abs() < 1e-12);
    }

    #[test]
    fn on_a_rule_there_are_thirty_seconds() {
        assert_eq!(Unit::Inch.show_on_rule(inch(9.329)), "9 11/32 in (9.329)");
        assert_eq!(Unit::Inch.show_on_rule(inch(5.0)), "5 in");
        assert_eq!(Unit::Inch.show_on_rule(inch(0.119)), "0.119 in");
        assert_eq!(Unit::Mm.show_on_rule(mm(236.96)), "237 mm");
        assert_eq!(Unit::Mm.show_by_hand(mm(412.3)), "412.5 mm (412.3)");
        assert_eq!(Unit::Mm.show_by_hand(mm(236.96)), "237 mm");
        assert_eq!(Unit::Inch.show_by_hand(inch(9.329)), "9 11/32 in (9.329)");
    }

    #[test]
    fn a_hand_marks_halves_of_a_millimetre_or_thirty_seconds() {
        assert_eq!(Unit::Mm.at_bench(mm(18.85)), mm(19.0));
        assert_eq!((Unit::Mm.at_bench(mm(10.25)), Unit::Mm.at_bench(mm(0.2))), (mm(10.5), mm(0.0)));
        assert_eq!(Unit::Inch.show_bare(Unit::Inch.at_bench(inch(9.329))), "9 11/32");
        assert_eq!((Unit::Mm.show_bare(mm(18.85)), Unit::Inch.show_bare(inch(0.119))), ("18.9".into(), "0.119".into()));
    }

    #[test]
    fn areas_are_square_metres_or_square_feet() {
        // Source: the foot is 0.3048 m, so its square 0.09290304 m2 (NIST SP 811, appendix B.8).
        assert_eq!(Unit::Mm.show_area(0.2634), "0.26 m²");
        assert_eq!(Unit::Mm.show_area(0.0214), "0.021 m²");
        assert_eq!(Unit::Inch.show_area(0.092_903_04 * 2.5), "2.5 sq ft");
    }

    #[test]
    fn a_half_goes_up_however_it_was_reckoned() {
        // 1/8 in, and a wall reckoned in two orders.
        assert_eq!(decimal(3.175, 2), "3.18");
        assert_eq!((decimal(15.05 + 3.8, 1), decimal(22.65 - 3.8, 1)), ("18.9".into(), "18.9".into()));
        assert_eq!(
            (decimal(-3.175, 2), decimal(-0.001, 2), decimal(0.35 * 3.0, 1)),
            ("-3.18".into(), "0".into(), "1.1".into())
        );
        assert_eq!((decimal(1e300, 2).len(), decimal(f64::NAN, 2)), (301, "NaN".into()));
    }

    #[test]
    fn inches_are_shown_in_lowest_thirty_seconds() {
        assert_eq!(Unit::Inch.show(inch(3.0 + 3.0 / 32.0)), "3 3/32 in");
        assert_eq!(Unit::Inch.show(inch(0.25)), "1/4 in");
        assert_eq!(Unit::Inch.show(inch(5.0)), "5 in");
        assert_eq!(Unit::Inch.show(-inch(0.5)), "-1/2 in");
        assert_eq!(Unit::Inch.show(inch(0.098)), "0.098 in");
        assert_eq!(Unit::Inch.show(inch(0.11)), "0.11 in");
    }

    #[test]
    fn decimals_carry_no_noise() {
        assert_eq!(decimal(2.50000001, 3), "2.5");
        assert_eq!(decimal(-0.0001, 2), "0");
        assert_eq!(decimal(300.0, 1), "300");
        assert_eq!(tidy(-1e-9, 6).to_bits(), 0);
    }
}

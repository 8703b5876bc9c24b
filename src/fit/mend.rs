//! The values that a maker may write to mend what binds.

use crate::units::{Length, Unit, inch, mm};

/// The first of them, so many and one more, that lie beyond `from`, upwards where `sign` is 1 and downwards where it is -1:
/// in steps as they are written, of a tenth of a millimetre or of five thousandths of an inch.
pub(super) fn values(unit: Unit, from: Length, sign: f64, most: u32) -> impl Iterator<Item = Length> {
    let step = match unit {
        Unit::Mm => mm(0.1),
        Unit::Inch => inch(0.005),
    };
    let begun = (from.to_mm() / step.to_mm() * sign + 1e-6).floor() + 1.0;
    (0..=most).map(move |k| step * ((begun + f64::from(k)) * sign))
}

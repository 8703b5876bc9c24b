//! Chance that is the same on every run.

/// Numbers without pattern, the same on every run (xorshift64*: S. Vigna, 2016).
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new() -> Self {
        Self(0x9e37_79b9_7f4a_7c15)
    }

    /// From 0 up to 1.
    pub(super) fn share(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }
}

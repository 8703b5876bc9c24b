//! Pairs of group code and value, written into one buffer.

use super::DxfVersion;

/// A growing piece of a DXF file.
pub(super) struct Out {
    pub(super) version: DxfVersion,
    bytes: Vec<u8>,
    /// The next handle to give; a file's handles are all different.
    next_handle: u64,
    /// Where the next handle is to be written.
    seed_at: Option<usize>,
}

/// Hexadecimal digits of the next handle: more than any drawing needs.
const SEED_DIGITS: usize = 12;

/// The handle of the block that holds the drawing: what every entity belongs to in R2000.
pub(super) const MODEL_SPACE: u64 = 0x1F;
/// The first handle of an entity; those below belong to tables, blocks and dictionaries.
const FIRST_ENTITY: u64 = 0x100;

impl Out {
    pub(super) fn new(version: DxfVersion) -> Self {
        Self { version, bytes: Vec::with_capacity(16 * 1024), next_handle: FIRST_ENTITY, seed_at: None }
    }

    /// A text value.
    pub(super) fn text(&mut self, code: u32, value: &str) {
        self.code(code);
        self.bytes.extend_from_slice(value.as_bytes());
        self.end();
    }

    /// A whole number.
    pub(super) fn whole(&mut self, code: u32, value: i64) {
        self.code(code);
        if value < 0 {
            self.bytes.push(b'-');
        }
        self.digits(value.unsigned_abs(), 1);
        self.end();
    }

    /// A handle.
    pub(super) fn handle(&mut self, code: u32, value: u64) {
        self.code(code);
        let nibbles = (u64::BITS - value.leading_zeros()).div_ceil(4).max(1) as usize;
        self.bytes.extend((0..nibbles).rev().map(|i| nibble(value, i)));
        self.end();
    }

    /// A real number with up to `places` decimals, at least one.
    pub(super) fn real(&mut self, code: u32, value: f64, places: u32) {
        self.code(code);
        self.decimal(value, places);
        self.end();
    }

    /// x and y of the point numbered `n`, to a tenth of a nanometre.
    pub(super) fn point(&mut self, n: u32, x: f64, y: f64) {
        self.real(10 + n, x, 10);
        self.real(20 + n, y, 10);
    }

    /// A z of nothing.
    pub(super) fn z(&mut self, code: u32) {
        self.text(code, "0.0");
    }

    /// A vertex's bulge; none is written for a line. Its digits decide an arc's length, so it has
    /// more of them.
    pub(super) fn bulge(&mut self, bulge: f64) {
        if bulge != 0.0 {
            self.real(42, bulge, 15);
        }
    }

    /// The head of an entity. R12 knows neither handles that matter nor subclasses.
    pub(super) fn entity(&mut self, kind: &str, layer: &str, subclass: &str) {
        self.text(0, kind);
        if self.version == DxfVersion::R2000 {
            let handle = self.next_handle;
            self.next_handle += 1;
            self.handle(5, handle);
            self.handle(330, MODEL_SPACE);
            self.text(100, "AcDbEntity");
            self.text(8, layer);
            self.text(100, subclass);
        } else {
            self.text(8, layer);
        }
    }

    /// Room for the next handle, which is known only at the end.
    pub(super) fn seed(&mut self) {
        self.code(5);
        self.seed_at = Some(self.bytes.len());
        self.bytes.extend_from_slice(&[b'0'; SEED_DIGITS]);
        self.end();
    }

    /// The bytes, the next handle filled in.
    pub(super) fn into_bytes(mut self) -> Vec<u8> {
        if let Some(at) = self.seed_at {
            for (i, byte) in self.bytes[at..at + SEED_DIGITS].iter_mut().enumerate() {
                *byte = nibble(self.next_handle, SEED_DIGITS - 1 - i);
            }
        }
        self.bytes
    }

    fn end(&mut self) {
        self.bytes.push(b'\n');
    }

    /// The code stands right-aligned in three columns, as files of this kind have it.
    fn code(&mut self, code: u32) {
        for limit in [100, 10] {
            if code < limit {
                self.bytes.push(b' ');
            }
        }
        self.digits(u64::from(code), 1);
        self.end();
    }

    /// `value` with at least `least` digits.
    fn digits(&mut self, mut value: u64, least: usize) {
        let mut buffer = [b'0'; 20];
        let mut at = buffer.len();
        while value > 0 {
            at -= 1;
            buffer[at] = b'0' + (value % 10) as u8;
            value /= 10;
        }
        let at = at.min(buffer.len() - least);
        self.bytes.extend_from_slice(&buffer[at..]);
    }

    /// `value` rounded to `places` decimals without trailing zeros beyond the first: 12.5, 3.0.
    fn decimal(&mut self, value: f64, places: u32) {
        let scale = 10u64.pow(places);
        let scaled = (value.abs() * scale as f64).round();
        // Beyond this a whole number of the last decimal has no place in the integer; lengths of
        // that size do not pass the checks on a job, but a writer shall not write nonsense.
        if !scaled.is_finite() || scaled >= 9e18 {
            self.bytes.extend_from_slice(format!("{value:.1}").as_bytes());
            return;
        }
        let scaled = scaled as u64;
        if value < 0.0 && scaled > 0 {
            self.bytes.push(b'-');
        }
        self.digits(scaled / scale, 1);
        self.bytes.push(b'.');
        let (mut rest, mut places) = (scaled % scale, places as usize);
        while places > 1 && rest % 10 == 0 {
            rest /= 10;
            places -= 1;
        }
        self.digits(rest, places);
    }
}

/// The hexadecimal digit of `value` at place `i` from the right.
fn nibble(value: u64, i: usize) -> u8 {
    b"0123456789ABCDEF"[(value >> (4 * i)) as usize & 15]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(value: f64, places: u32) -> String {
        let mut out = Out::new(DxfVersion::R12);
        out.decimal(value, places);
        String::from_utf8(out.into_bytes()).expect("ASCII")
    }

    #[test]
    fn numbers_are_short_exact_and_never_minus_zero() {
        assert_eq!(written(12.5, 10), "12.5");
        assert_eq!(written(-3.0, 10), "-3.0");
        assert_eq!(written(-1e-12, 10), "0.0");
        assert_eq!(written(0.1 + 0.2, 10), "0.3");
        assert_eq!(written(99.999_999_999_99, 10), "100.0");
        assert_eq!(written(-0.000_000_000_1, 10), "-0.0000000001");
        assert_eq!(written(0.414_213_562_373_095, 15), "0.414213562373095");
        assert_eq!(written(1e300, 10).parse::<f64>().map(|v| v > 9e299), Ok(true));
        for value in [1_234.567_890_123_4, -0.05, 700.0, 1e-7, 9_999.999_95] {
            assert!((written(value, 10).parse::<f64>().expect("a number") - value).abs() <= 0.6e-10);
        }
    }

    #[test]
    fn codes_stand_right_and_handles_are_hexadecimal() {
        let mut out = Out::new(DxfVersion::R2000);
        out.handle(5, 0x1AB);
        out.whole(70, -1);
        out.whole(100, 0);
        assert_eq!(String::from_utf8(out.into_bytes()).expect("ASCII"), "  5\n1AB\n 70\n-1\n100\n0\n");
    }
}

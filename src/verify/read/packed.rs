//! A file that was compressed (gzip, RFC 1952).

use crate::limits::PROGRAM_BYTES;
use flate2::read::GzDecoder;
use std::io::Read;

/// What the name of such a file ends in.
pub const PACKED: &str = ".gz";

/// Its bytes; fails in words, also where they are more than any file of ours has.
pub fn unpacked(packed: &[u8]) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    GzDecoder::new(packed).take(PROGRAM_BYTES + 1).read_to_end(&mut bytes).map_err(|e| e.to_string())?;
    if bytes.len() as u64 > PROGRAM_BYTES {
        return Err(format!("it holds more than {PROGRAM_BYTES} bytes"));
    }
    Ok(bytes)
}

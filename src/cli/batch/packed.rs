//! Files compressed (gzip, RFC 1952), by nothing but their bytes: no name and no time stands in them.

use flate2::Compression;
use flate2::write::GzEncoder;
use serde::ser::Error;
use std::io::Write;

/// What the name of such a file ends in.
pub(super) const ENDING: &str = ".gz";

/// The bytes compressed.
pub(super) fn packed(bytes: &[u8]) -> Result<Vec<u8>, serde_json::Error> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::default());
    packed.write_all(bytes).and_then(|()| packed.finish()).map_err(serde_json::Error::custom)
}

/// A file compressed, with the ending after its name.
pub(super) fn packed_file((name, bytes): &(String, Vec<u8>)) -> Result<(String, Vec<u8>), serde_json::Error> {
    Ok((format!("{name}{ENDING}"), packed(bytes)?))
}

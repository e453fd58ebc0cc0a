//! The hash that names a content.

use alloc::string::String;
use alloc::vec::Vec;

/// The hash of rows of path and text, whatever their order: BLAKE3 over the sorted rows, both parts preceded by their length;
/// the first 128 bits in hexadecimal.
pub(crate) fn hash<'r>(rows: impl Iterator<Item = (&'r str, &'r str)>) -> String {
    let mut rows: Vec<(&str, &str)> = rows.collect();
    rows.sort_unstable();
    let mut hasher = blake3::Hasher::new();
    for text in rows.iter().flat_map(|(path, text)| [path, text]) {
        hasher.update(&(text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    }
    let hex = hasher.finalize().to_hex();
    hex.get(..32).unwrap_or(&hex).into()
}

//! Long texts, packed: DEFLATE, RFC 1951.

use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use std::io::{Read, Write};

/// The bytes of a text, packed. The quickest way is taken: it packs nearly as well.
///
/// # Errors
/// None that writing to memory can cause.
pub(crate) fn pack(text: &str) -> std::io::Result<Vec<u8>> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(text.as_bytes())?;
    encoder.finish()
}

/// The text; nothing if the bytes are damaged.
pub(crate) fn unpack(bytes: &[u8]) -> Option<String> {
    let mut text = String::new();
    DeflateDecoder::new(bytes).read_to_string(&mut text).ok()?;
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::{pack, unpack};

    #[test]
    fn a_text_comes_back_and_damage_is_no_text() {
        let text = "the same again; ".repeat(1_000);
        let bytes = pack(&text).unwrap();
        assert!(bytes.len() < text.len() / 20);
        assert_eq!(unpack(&bytes).as_ref(), Some(&text));
        assert_eq!(unpack(&bytes[..bytes.len() / 2]), None);
        // "abc", by zlib.compressobj(9, zlib.DEFLATED, -15) of Python 3.11.
        assert_eq!(unpack(&[0x4B, 0x4C, 0x4A, 0x06, 0x00]).as_deref(), Some("abc"));
    }
}

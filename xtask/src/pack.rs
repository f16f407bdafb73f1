//! Compression, as a server sends it: once at build time, at its strongest.

use anyhow::{Context, Result};
use std::io::Write;

/// After brotli at quality 11.
pub(crate) fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packed = Vec::new();
    let mut input = bytes;
    let params = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    brotli::BrotliCompress(&mut input, &mut packed, &params).context("brotli failed")?;
    Ok(packed)
}

/// After gzip at level 9; without a date, so that equal content gives equal files.
pub(crate) fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    packer.write_all(bytes).and_then(|()| packer.finish()).context("gzip failed")
}

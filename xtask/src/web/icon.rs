//! The icon in pixels, for those who do not take it as SVG.

use anyhow::{Context, Result};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Draws the square picture this many pixels wide.
pub(super) fn png(svg: &str, size: u32) -> Result<Vec<u8>> {
    let tree = Tree::from_str(svg, &Options::default()).context("the icon cannot be read")?;
    let mut pixels = Pixmap::new(size, size).context("an icon needs a size")?;
    // A few hundred pixels are exact in single precision.
    #[allow(clippy::cast_precision_loss)]
    let (across, down) = (size as f32 / tree.size().width(), size as f32 / tree.size().height());
    resvg::render(&tree, Transform::from_scale(across, down), &mut pixels.as_mut());
    pixels.encode_png().context("the icon cannot be written as PNG")
}

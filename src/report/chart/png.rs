//! The same picture in px: the SVG rendered with the built-in font.

use std::sync::{Arc, LazyLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::fontdb::{Database, Source};
use resvg::usvg::{Options, Tree};

use super::ChartFault;

/// The name of the built-in font in its own tables.
const FAMILY: &str = "DejaVu Sans";

/// Both of its weights, read once for all charts.
static FONTS: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut fonts = Database::new();
    for bytes in [dejavu::sans::regular(), dejavu::sans::bold()] {
        fonts.load_font_source(Source::Binary(Arc::new(bytes)));
    }
    // Without this the generic family finds no font, and every label silently vanishes.
    fonts.set_sans_serif_family(FAMILY);
    Arc::new(fonts)
});

/// Renders a chart at one px for each px of its SVG.
///
/// # Errors
/// The text is no SVG, or the picture cannot be encoded.
pub fn png(svg: &str) -> Result<Vec<u8>, ChartFault> {
    let fontdb = Arc::clone(&FONTS);
    let options = Options { font_family: FAMILY.into(), fontdb, ..Options::default() };
    let tree = Tree::from_str(svg, &options).map_err(|fault| ChartFault::Svg(fault.to_string()))?;
    let size = tree.size().to_int_size();
    let mut picture = Pixmap::new(size.width(), size.height())
        .ok_or_else(|| ChartFault::Png("it has no size".into()))?;
    resvg::render(&tree, Transform::default(), &mut picture.as_mut());
    picture.encode_png().map_err(|fault| ChartFault::Png(fault.to_string()))
}

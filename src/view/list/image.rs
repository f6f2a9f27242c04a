//! Pictures of pixels on a page: the logo of a shop.

use super::{Affine, Rect};
pub use crate::model::Bitmap;
use std::sync::Arc;

/// A picture of pixels, stretched over an upright rectangle.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// Where it stands, in page millimetres.
    pub rect: Rect,
    /// The pixels.
    pub bitmap: Arc<Bitmap>,
}

impl Image {
    /// The picture as large as fits into `room`, its sides in proportion, at the
    /// upper left of it.
    pub fn within(room: Rect, bitmap: Arc<Bitmap>) -> Image {
        let (w, h) = (f64::from(bitmap.width()), f64::from(bitmap.height()));
        let scale = (room.width() / w).min(room.height() / h).max(0.0);
        Image {
            rect: Rect::sized(room.min.x, room.min.y, w * scale, h * scale),
            bitmap,
        }
    }

    /// Whether it stands at a drawable place and has an extent.
    pub fn is_drawable(&self) -> bool {
        let corners = self.rect.min.is_drawable() && self.rect.max.is_drawable();
        corners && self.rect.width() > 0.0 && self.rect.height() > 0.0
    }

    /// The picture under a map; it stays upright and is never mirrored.
    #[must_use]
    pub fn mapped(&self, map: Affine) -> Image {
        let rect = Rect::spanning(map.point(self.rect.min), map.point(self.rect.max));
        Image {
            rect,
            bitmap: self.bitmap.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_keeps_its_proportions() {
        let bitmap = Arc::new(Bitmap::new(40, 10, vec![0; 1600]).unwrap());
        let image = Image::within(Rect::sized(1.0, 2.0, 20.0, 20.0), bitmap);
        assert_eq!((image.rect.width(), image.rect.height()), (20.0, 5.0));
        assert!(image.is_drawable());
        let moved = image.mapped(Affine::shift(3.0, 0.0));
        assert_eq!(moved.rect.min.x, 4.0);
    }
}

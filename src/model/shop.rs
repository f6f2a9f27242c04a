//! Who makes the build: name, address lines, logo and colour for what leaves the desk.

use std::sync::Arc;

/// Longest side of a logo in pixels.
pub const MAX_LOGO_PX: u32 = 4096;

/// A picture of pixels: red, green, blue and opacity, row by row from the top.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Bitmap {
    width: u32,
    height: u32,
    rgba: Vec<u8>,
}

impl Bitmap {
    /// A picture of this size; `None` where a side is 0 or beyond [`MAX_LOGO_PX`], or
    /// there are not four bytes a pixel.
    pub fn new(width: u32, height: u32, rgba: Vec<u8>) -> Option<Bitmap> {
        let sound = |side: u32| (1..=MAX_LOGO_PX).contains(&side);
        let bytes = 4 * width as usize * height as usize;
        (sound(width) && sound(height) && rgba.len() == bytes).then_some(Bitmap {
            width,
            height,
            rgba,
        })
    }

    /// Width in pixels.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height in pixels.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// The pixels.
    pub fn rgba(&self) -> &[u8] {
        &self.rgba
    }
}

/// The shop that makes the build.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Shop {
    /// Its name.
    pub name: String,
    /// Lines under the name: address, telephone, whatever it wants to be found by.
    pub lines: Vec<String>,
    /// Its logo.
    pub logo: Option<Arc<Bitmap>>,
    /// Its colour: red, green, blue.
    pub accent: Option<[u8; 3]>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bitmap_has_four_bytes_a_pixel() {
        assert!(Bitmap::new(2, 3, vec![0; 24]).is_some());
        assert_eq!(Bitmap::new(2, 3, vec![0; 23]), None);
        assert_eq!(Bitmap::new(0, 3, vec![]), None);
        assert_eq!(Bitmap::new(MAX_LOGO_PX + 1, 1, vec![0; 16_388]), None);
    }
}

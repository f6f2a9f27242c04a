//! The draw list as a PNG picture.
//!
//! Anti-aliased, opaque, with its resolution (pHYs), title and description. Bands
//! of rows are painted by two threads while the rows before them are packed, so
//! that memory stays far below that of the whole picture. The bands do not depend
//! on the machine: the same list gives the same bytes.

use super::raster::Scene;
use super::{ExportError, Meta, Page};
use crate::view::list::DrawList;
use crate::view::palette::Palette;
use std::sync::mpsc;
use tiny_skia::PixmapMut;

/// Most pixels along a side.
pub const MAX_SIDE: u64 = 16_384;
/// Most pixels in all.
pub const MAX_PIXELS: u64 = 120_000_000;
/// Rows painted at a time.
const BAND: u32 = 256;
/// Threads that paint.
const PAINTERS: u32 = 2;

/// How fine a picture is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resolution {
    /// Dots per inch on the page.
    Dpi(f64),
    /// Pixels across the page.
    Width(u32),
}

impl Resolution {
    /// Pixels a millimetre on this page.
    fn scale(self, page: Page) -> f64 {
        match self {
            Self::Dpi(dpi) => dpi / 25.4,
            Self::Width(pixels) => f64::from(pixels) / page.width(),
        }
    }
}

/// The picture as the bytes of a PNG file.
///
/// # Errors
///
/// [`ExportError::Resolution`] where the resolution is not finite or not positive,
/// [`ExportError::TooManyPixels`] beyond [`MAX_SIDE`] or [`MAX_PIXELS`].
pub fn write(
    list: &DrawList,
    page: Page,
    palette: &Palette,
    meta: &Meta,
    resolution: Resolution,
) -> Result<Vec<u8>, ExportError> {
    let scale = resolution.scale(page);
    if !(scale > 0.0 && scale.is_finite()) {
        return Err(ExportError::Resolution(scale * 25.4));
    }
    let pixels = |mm: f64| (mm * scale).round().max(1.0) as u64;
    let (width, height) = (pixels(page.width()), pixels(page.height()));
    if width > MAX_SIDE || height > MAX_SIDE || width * height > MAX_PIXELS {
        return Err(ExportError::TooManyPixels { width, height });
    }
    encode(
        &Scene::new(list, page.rect(), palette, scale),
        (width as u32, height as u32),
        scale,
        meta,
    )
}

/// A picture of pixels as a PNG of its own.
pub(super) fn of_bitmap(bitmap: &crate::view::list::Bitmap) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, bitmap.width(), bitmap.height());
    encoder.set_color(::png::ColorType::Rgba);
    encoder.set_depth(::png::BitDepth::Eight);
    encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(bitmap.rgba()))
        .expect("a bitmap has its size and is written to memory");
    bytes
}

fn encode(
    scene: &Scene,
    (width, height): (u32, u32),
    scale: f64,
    meta: &Meta,
) -> Result<Vec<u8>, ExportError> {
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(::png::ColorType::Rgb);
    encoder.set_depth(::png::BitDepth::Eight);
    // Measured on a sheet of 2067 marks at 3000 x 2000 (painting included): this pair
    // 85 ms and 2.2 MB, filter 'up' 86 ms and 3.3 MB, zlib level 1 99 ms and 1.6 MB,
    // zlib default over 700 ms and 1.0 to 1.3 MB.
    encoder.set_compression(::png::Compression::Fast);
    encoder.set_filter(::png::Filter::Paeth);
    encoder.set_source_srgb(::png::SrgbRenderingIntent::RelativeColorimetric);
    let per_metre = (scale * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(::png::PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: ::png::Unit::Meter,
    }));
    for (key, value) in [("Title", &meta.title), ("Description", &meta.description)] {
        if !value.is_empty() {
            encoder.add_itxt_chunk(key.to_owned(), value.replace('\0', "\u{fffd}"))?;
        }
    }
    let mut writer = encoder.write_header()?;
    let mut rows = writer.stream_writer_with_size(1 << 18)?;
    paint_bands(scene, width, height, |band| {
        std::io::Write::write_all(&mut rows, band).map_err(::png::EncodingError::from)
    })?;
    rows.finish()?;
    writer.finish()?;
    Ok(bytes)
}

/// Paints the picture in bands and hands each to `take` as RGB rows, from the top.
fn paint_bands(
    scene: &Scene,
    width: u32,
    height: u32,
    mut take: impl FnMut(&[u8]) -> Result<(), ::png::EncodingError>,
) -> Result<(), ::png::EncodingError> {
    let bands = height.div_ceil(BAND);
    std::thread::scope(|scope| {
        // One channel a painter, one band ahead: bands come in order without sorting.
        let painters: Vec<_> = (0..PAINTERS.min(bands))
            .map(|first| {
                let (send, receive) = mpsc::sync_channel(1);
                scope.spawn(move || {
                    let mut pixels = Vec::new();
                    for band in (first..bands).step_by(PAINTERS as usize) {
                        let top = band * BAND;
                        // A closed channel: packing failed, nobody waits for more.
                        if send
                            .send(paint_band(
                                scene,
                                width,
                                (height - top).min(BAND),
                                top,
                                &mut pixels,
                            ))
                            .is_err()
                        {
                            return;
                        }
                    }
                });
                receive
            })
            .collect();
        for band in 0..bands {
            let painter = &painters[(band % PAINTERS) as usize];
            take(&painter.recv().expect("a painter sends each of its bands"))?;
        }
        Ok(())
    })
}

fn paint_band(scene: &Scene, width: u32, rows: u32, top: u32, pixels: &mut Vec<u8>) -> Vec<u8> {
    pixels.resize(width as usize * rows as usize * 4, 0);
    let mut target =
        PixmapMut::from_bytes(pixels, width, rows).expect("the buffer has four bytes a pixel");
    scene.paint(&mut target, top);
    // The paper is opaque, so premultiplied and straight colour are the same.
    let mut rgb = Vec::with_capacity(pixels.len() / 4 * 3);
    for pixel in pixels.as_chunks::<4>().0 {
        rgb.extend_from_slice(&pixel[..3]);
    }
    rgb
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::list::{
        Line, LineType, MAX_COORDINATE, Path, Rect, Role, Text, TextSize, Width,
    };

    fn write_plain(
        list: &DrawList,
        page: Page,
        resolution: Resolution,
    ) -> Result<Vec<u8>, ExportError> {
        let meta = Meta {
            title: "Invented sheet".into(),
            description: String::new(),
        };
        write(list, page, &Palette::LIGHT, &meta, resolution)
    }

    /// Size, pixels a metre, title and RGB rows, by the decoder.
    fn read(bytes: &[u8]) -> ((u32, u32), u32, String, Vec<u8>) {
        let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes))
            .read_info()
            .unwrap();
        let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut rgb).unwrap();
        let info = reader.info();
        let dims = info.pixel_dims.unwrap();
        assert_eq!((dims.xppu, dims.unit), (dims.yppu, ::png::Unit::Meter));
        let title = info
            .utf8_text
            .iter()
            .find(|t| t.keyword == "Title")
            .unwrap()
            .get_text()
            .unwrap();
        ((info.width, info.height), dims.xppu, title, rgb)
    }

    #[test]
    fn the_file_carries_size_resolution_and_title() {
        let bytes = write_plain(&DrawList::new(), Page::A4, Resolution::Dpi(254.0)).unwrap();
        let (size, per_metre, title, _) = read(&bytes);
        // 254 dots an inch are ten a millimetre.
        assert_eq!(
            (size, per_metre, &*title),
            ((2100, 2970), 10_000, "Invented sheet")
        );
    }

    #[test]
    fn marks_that_reach_far_off_the_page_are_drawn_in_time() {
        let far = MAX_COORDINATE;
        let mut list = DrawList::new();
        for i in 0..200 {
            let level = 0.1 * f64::from(i);
            let triangle = Path::polygon([(-far, level), (far, level), (far, far)]);
            let dots = Line::new(Width::Hair, LineType::Dotted);
            list.pen()
                .stroke(triangle, Line::HIDDEN, Role::Hidden)
                .stroke(Path::circle((0.0, 0.0), far), dots, Role::Ghost);
        }
        let large = Text::new((0.0, 1030.0), "m".repeat(3000))
            .size(TextSize::Cap(900.0))
            .halo();
        let field = Path::rect(Rect::spanning((-far, -far), (far, 40.0)));
        list.pen().fill(field, Role::Ink).text(large, Role::Text);
        let started = std::time::Instant::now();
        let page = Page::new(120.0, 80.0).unwrap();
        let (.., rgb) = read(&write_plain(&list, page, Resolution::Width(960)).unwrap());
        // Generous: unclipped dashes would be some hundred million.
        assert!(started.elapsed().as_secs() < 20);
        let at = |x: usize, y: usize| &rgb[3 * (y * 960 + x)..][..3];
        let ink = Palette::LIGHT.colour(Role::Ink);
        assert_eq!(at(3, 300), [ink.r, ink.g, ink.b]);
    }

    #[test]
    fn sizes_out_of_bounds_say_what_to_do() {
        let write = |page, resolution| write_plain(&DrawList::new(), page, resolution);
        for bad in [0.0, -3.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                write(Page::A4, Resolution::Dpi(bad)),
                Err(ExportError::Resolution(_))
            ));
            assert!(matches!(
                Page::new(bad, 10.0),
                Err(ExportError::PageSize { .. })
            ));
        }
        assert!(matches!(
            write(Page::A4, Resolution::Width(0)),
            Err(ExportError::Resolution(_))
        ));
        let sides = write(Page::A4, Resolution::Width(16_385))
            .unwrap_err()
            .to_string();
        assert!(
            sides.contains("at most 16384 a side and 120 megapixels; lower the resolution"),
            "{sides}"
        );
        let square = Page::new(100.0, 100.0).unwrap();
        let area = write(square, Resolution::Width(12_000)).unwrap_err();
        assert!(matches!(
            area,
            ExportError::TooManyPixels {
                width: 12_000,
                height: 12_000
            }
        ));
        let thin = Page::new(10_000.0, 0.001).unwrap();
        assert_eq!(
            read(&write(thin, Resolution::Width(9000)).unwrap()).0,
            (9000, 1)
        );
    }
}

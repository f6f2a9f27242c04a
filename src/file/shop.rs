//! The shop's own file: name, lines, logo, colour.
//!
//! ```json
//! {"name": "Example workshop", "lines": ["invented"], "logo": "logo.png", "accent": "#24566b"}
//! ```

use crate::model::{Bitmap, MAX_LOGO_PX, Shop};
use serde::{Deserialize, Serialize};
use std::io::Read;
use std::path::Path;
use std::sync::Arc;

/// Most bytes of a shop's file and of its logo.
const MOST_BYTES: u64 = 16 << 20;

/// Most lines under the name.
const MOST_LINES: usize = 4;

/// Why a shop's file could not be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ShopError {
    /// A file cannot be read.
    #[error("{0} cannot be read: {1}")]
    Unreadable(String, std::io::Error),
    /// The file is too large.
    #[error("{0} is larger than 16 MiB")]
    TooLarge(String),
    /// The file cannot be written.
    #[error("{0}")]
    Unwritable(String),
    /// The text is no shop.
    #[error("the shop's file is not understood at {0}: {1}")]
    Field(String, String),
    /// The logo is no PNG that can be used.
    #[error("the logo is no PNG of at most {MAX_LOGO_PX} pixels a side: {0}")]
    Logo(String),
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct File {
    name: String,
    #[serde(default)]
    lines: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    logo: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    accent: Option<String>,
}

/// What a shop's file says, word for word: its logo is a path, not yet a picture.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct ShopText {
    /// The shop's name.
    pub name: String,
    /// Lines under it.
    pub lines: Vec<String>,
    /// Path of the logo, absolute or from the folder of the shop's file.
    pub logo: Option<String>,
    /// Its colour: red, green, blue.
    pub accent: Option<[u8; 3]>,
}

/// Reads a shop's file; the logo's path counts from the folder of that file.
///
/// # Errors
///
/// [`ShopError`] names the file or the field.
pub fn read_shop(path: &Path) -> Result<Shop, ShopError> {
    let bytes = read(path)?;
    let mut shop = parse(&bytes)?;
    if let Some(logo) = shop.1.take() {
        let folder = path.parent().unwrap_or(Path::new(""));
        shop.0.logo = Some(Arc::new(bitmap(&read(&folder.join(logo))?)?));
    }
    Ok(shop.0)
}

/// Reads a shop's file to change it; its logo need not be there.
///
/// # Errors
///
/// [`ShopError`] names the file or the field.
pub fn read_shop_text(path: &Path) -> Result<ShopText, ShopError> {
    let (shop, logo) = parse(&read(path)?)?;
    Ok(ShopText {
        name: shop.name,
        lines: shop.lines,
        logo,
        accent: shop.accent,
    })
}

/// Writes a shop's file, once everything in it was seen to be usable.
///
/// # Errors
///
/// [`ShopError`] names what is wrong; then nothing was written.
pub fn write_shop(path: &Path, text: &ShopText) -> Result<(), ShopError> {
    let file = File {
        name: text.name.clone(),
        lines: text.lines.clone(),
        logo: text.logo.clone(),
        accent: text
            .accent
            .map(|[r, g, b]| format!("#{r:02x}{g:02x}{b:02x}")),
    };
    let mut bytes = serde_json::to_vec_pretty(&file).expect("plain texts are always JSON");
    bytes.push(b'\n');
    parse(&bytes)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    if let Some(logo) = &text.logo {
        bitmap(&read(&folder.join(logo))?)?;
    }
    let unwritable = |e: String| ShopError::Unwritable(e);
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(folder)
            .map_err(|e| unwritable(format!("{} cannot be made: {e}", folder.display())))?;
    }
    super::write_bytes(path, &bytes).map_err(|e| unwritable(e.to_string()))
}

/// The shop without its logo, and the logo's path.
fn parse(bytes: &[u8]) -> Result<(Shop, Option<String>), ShopError> {
    let field = |at: &str, what: String| ShopError::Field(at.to_owned(), what);
    let reader = &mut serde_json::Deserializer::from_slice(bytes);
    let file: File = serde_path_to_error::deserialize(reader)
        .map_err(|e| field(&e.path().to_string(), e.inner().to_string()))?;
    if file.name.trim().is_empty() {
        return Err(field("name", "it is empty".to_owned()));
    }
    if file.lines.len() > MOST_LINES {
        return Err(field("lines", format!("more than {MOST_LINES} lines")));
    }
    let accent = match &file.accent {
        None => None,
        Some(text) => Some(
            colour(text)
                .ok_or_else(|| field("accent", format!("'{text}' is no colour like '#24566b'")))?,
        ),
    };
    let shop = Shop {
        name: file.name,
        lines: file.lines,
        logo: None,
        accent,
    };
    Ok((shop, file.logo))
}

/// `#rrggbb`.
fn colour(text: &str) -> Option<[u8; 3]> {
    let digits = text.strip_prefix('#')?;
    if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let number = u32::from_str_radix(digits, 16).ok()?;
    let [_, r, g, b] = number.to_be_bytes();
    Some([r, g, b])
}

fn read(path: &Path) -> Result<Vec<u8>, ShopError> {
    let name = || path.display().to_string();
    let file = std::fs::File::open(path).map_err(|e| ShopError::Unreadable(name(), e))?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| ShopError::Unreadable(name(), e))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(ShopError::TooLarge(name()));
    }
    Ok(bytes)
}

fn bitmap(bytes: &[u8]) -> Result<Bitmap, ShopError> {
    let mut reader = image::ImageReader::new(std::io::Cursor::new(bytes));
    reader.set_format(image::ImageFormat::Png);
    let mut limits = image::Limits::default();
    limits.max_image_width = Some(MAX_LOGO_PX);
    limits.max_image_height = Some(MAX_LOGO_PX);
    reader.limits(limits);
    let decoded = reader
        .decode()
        .map_err(|e| ShopError::Logo(e.to_string()))?
        .into_rgba8();
    let (width, height) = decoded.dimensions();
    Bitmap::new(width, height, decoded.into_raw())
        .ok_or_else(|| ShopError::Logo(format!("it has {width} by {height} pixels")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_is_read_and_faults_are_named() {
        let text = br##"{"name": "Example", "lines": ["a", "b"], "accent": "#24566B"}"##;
        let (shop, logo) = parse(text).unwrap();
        assert_eq!((shop.name.as_str(), shop.lines.len()), ("Example", 2));
        assert_eq!((shop.accent, logo), (Some([0x24, 0x56, 0x6b]), None));
        for (text, word) in [
            (r#"{"name": ""}"#, "name"),
            (r#"{"name": 3}"#, "name"),
            (r#"{"name": "x", "colour": 1}"#, "colour"),
            (r##"{"name": "x", "accent": "#24566"}"##, "accent"),
            (r##"{"name": "x", "accent": "#2456ü"}"##, "accent"),
            (r#"{"name": "x", "lines": ["", "", "", "", ""]}"#, "lines"),
            ("{", "EOF"),
        ] {
            let error = parse(text.as_bytes()).unwrap_err().to_string();
            assert!(error.contains(word), "{text}: {error}");
        }
    }

    #[test]
    fn a_shop_is_written_only_when_it_can_be_used() {
        let folder = std::env::temp_dir().join(format!("closefit-shop-{}", std::process::id()));
        let path = folder.join("deep/shop.json");
        let mut text = ShopText {
            name: "Example \"workshop\"".to_owned(),
            lines: vec!["1 Invented Street".to_owned()],
            logo: Some("none.png".to_owned()),
            accent: Some([0x24, 0x56, 0x6b]),
        };
        let error = write_shop(&path, &text).unwrap_err().to_string();
        assert!(error.contains("none.png") && !path.exists(), "{error}");
        text.logo = None;
        write_shop(&path, &text).unwrap();
        assert_eq!(read_shop_text(&path).unwrap(), text);
        assert_eq!(read_shop(&path).unwrap().accent, text.accent);
        text.name.clear();
        assert!(write_shop(&path, &text).is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_logo_is_a_png_of_bounded_size() {
        assert!(matches!(bitmap(b"no png"), Err(ShopError::Logo(_))));
        let mut bytes = Vec::new();
        let pixels = image::RgbaImage::from_pixel(3, 2, image::Rgba([1, 2, 3, 255]));
        let mut cursor = std::io::Cursor::new(&mut bytes);
        pixels
            .write_to(&mut cursor, image::ImageFormat::Png)
            .unwrap();
        let read = bitmap(&bytes).unwrap();
        assert_eq!((read.width(), read.height()), (3, 2));
        assert_eq!(&read.rgba()[..4], [1, 2, 3, 255]);
    }
}

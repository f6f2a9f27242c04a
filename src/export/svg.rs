//! The draw list as an SVG file.
//!
//! Text stays text, set in the bundled typeface where the reader has it or the
//! file carries it. One group a layer, from the ground up. Every mark names its
//! role as its class and its owner as `data-owner`, so that a style sheet or a
//! script can find it. Numbers have at most three decimals.

use super::xml::{Escaped, Hex, Number};
use super::{Meta, Page};
use crate::view::list::{
    DrawList, Fill, HAlign, Item, Layer, Line, Mark, Path, Role, Segment, Text, Weight,
};
use crate::view::palette::{Palette, Rgba};
use crate::view::text;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use std::fmt::Write;

/// Whether the file carries the typeface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Font {
    /// By name only: small files that fall back to another typeface.
    #[default]
    Named,
    /// Embedded, both weights (some 180 kB): alike in every browser.
    Embedded,
}

/// The picture as an SVG document.
///
/// Characters that XML cannot hold show as U+FFFD.
pub fn write(list: &DrawList, page: Page, palette: &Palette, meta: &Meta, font: Font) -> String {
    let mut out = String::with_capacity(4096 + 160 * list.items.len());
    head(&mut out, page, palette, meta, font);
    let order = list.in_paint_order();
    for layer in Layer::ALL {
        let mut items = order
            .iter()
            .filter(|item| item.layer == layer && item.mark.is_drawable())
            .peekable();
        if items.peek().is_none() {
            continue;
        }
        put(
            &mut out,
            format_args!("<g class=\"layer {}\">\n", layer.name()),
        );
        for item in items {
            mark(&mut out, item, palette);
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

fn put(out: &mut String, args: std::fmt::Arguments<'_>) {
    out.write_fmt(args)
        .expect("writing to a string cannot fail");
}

fn head(out: &mut String, page: Page, palette: &Palette, meta: &Meta, font: Font) {
    let (width, height) = (Number(page.width()), Number(page.height()));
    put(
        out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"title description\" \
             fill-rule=\"evenodd\" stroke-miterlimit=\"4\" font-family=\"{}, sans-serif\" \
             style=\"font-kerning:none;font-variant-ligatures:none\" xml:space=\"preserve\">\n",
            text::FAMILY
        ),
    );
    put(
        out,
        format_args!("<title id=\"title\">{}</title>\n", Escaped(&meta.title)),
    );
    put(
        out,
        format_args!(
            "<desc id=\"description\">{}</desc>\n",
            Escaped(&meta.description)
        ),
    );
    if font == Font::Embedded {
        out.push_str("<style>\n");
        for (weight, name) in [(Weight::Regular, "normal"), (Weight::Bold, "bold")] {
            put(
                out,
                format_args!(
                    "@font-face{{font-family:\"{}\";font-weight:{name};src:url(data:font/otf;base64,",
                    text::FAMILY
                ),
            );
            BASE64_STANDARD.encode_string(text::font_file(weight), out);
            out.push_str(") format(\"opentype\")}\n");
        }
        out.push_str("</style>\n");
    }
    put(
        out,
        format_args!(
            "<rect class=\"paper\" width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
            Hex(palette.colour(Role::Paper))
        ),
    );
}

fn mark(out: &mut String, item: &Item, palette: &Palette) {
    let colour = palette.colour(item.role);
    match &item.mark {
        Mark::Path { path, fill, stroke } => {
            open(out, "path", item);
            steps(out, path);
            match fill {
                Fill::None => out.push_str(" fill=\"none\""),
                Fill::Solid => paint(out, "fill", colour),
                Fill::Wash => paint(out, "fill", palette.wash(item.role)),
            }
            if let Some(line) = stroke {
                stroke_with(out, *line, colour);
            }
            out.push_str("/>\n");
        }
        Mark::Hatch(hatch) => {
            open(out, "path", item);
            steps(out, &hatch.path());
            out.push_str(" fill=\"none\"");
            stroke_with(out, hatch.line, colour);
            out.push_str("/>\n");
        }
        Mark::Image(image) => {
            let r = image.rect;
            open(out, "image", item);
            put(
                out,
                format_args!(
                    " x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" href=\"data:image/png;base64,",
                    Number(r.min.x),
                    Number(r.min.y),
                    Number(r.width()),
                    Number(r.height())
                ),
            );
            BASE64_STANDARD.encode_string(super::png::of_bitmap(&image.bitmap), out);
            out.push_str("\"/>\n");
        }
        Mark::Text(text) => {
            open(out, "text", item);
            lettering(out, text, colour, palette.colour(Role::Paper));
        }
    }
}

fn open(out: &mut String, element: &str, item: &Item) {
    put(out, format_args!("<{element} class=\"{}\"", item.role));
    if let Some(owner) = item.owner {
        put(out, format_args!(" data-owner=\"{owner}\""));
    }
}

fn paint(out: &mut String, attribute: &str, colour: Rgba) {
    put(out, format_args!(" {attribute}=\"{}\"", Hex(colour)));
    if colour.a < 255 {
        put(
            out,
            format_args!(
                " {attribute}-opacity=\"{}\"",
                Number(f64::from(colour.a) / 255.0)
            ),
        );
    }
}

fn steps(out: &mut String, path: &Path) {
    out.push_str(" d=\"");
    for segment in path.segments() {
        match *segment {
            Segment::Move(p) => put(out, format_args!("M{} {}", Number(p.x), Number(p.y))),
            Segment::Line(p) => put(out, format_args!("L{} {}", Number(p.x), Number(p.y))),
            Segment::Cubic(a, b, p) => put(
                out,
                format_args!(
                    "C{} {} {} {} {} {}",
                    Number(a.x),
                    Number(a.y),
                    Number(b.x),
                    Number(b.y),
                    Number(p.x),
                    Number(p.y)
                ),
            ),
            Segment::Close => out.push('Z'),
        }
    }
    out.push('"');
}

fn stroke_with(out: &mut String, line: Line, colour: Rgba) {
    paint(out, "stroke", colour);
    put(
        out,
        format_args!(" stroke-width=\"{}\"", Number(line.width.mm())),
    );
    if line.round_ends() {
        out.push_str(" stroke-linecap=\"round\"");
    }
    if line.round_corners() {
        out.push_str(" stroke-linejoin=\"round\"");
    }
    let dashes = line.dashes();
    if !dashes.is_empty() {
        out.push_str(" stroke-dasharray=\"");
        for (i, length) in dashes.iter().enumerate() {
            put(
                out,
                format_args!("{}{}", if i == 0 { "" } else { " " }, Number(*length)),
            );
        }
        out.push('"');
    }
}

fn lettering(out: &mut String, text: &Text, colour: Rgba, paper: Rgba) {
    // Unturned at first: the baseline under the anchor, then one turn about the anchor.
    let (x, y) = (Number(text.at.x), Number(text.at.y + text.baseline_drop()));
    put(
        out,
        format_args!(
            " x=\"{x}\" y=\"{y}\" font-size=\"{}\"",
            Number(text.size.em_mm())
        ),
    );
    if text.weight == Weight::Bold {
        out.push_str(" font-weight=\"bold\"");
    }
    match text.anchor.h {
        HAlign::Left => {}
        HAlign::Middle => out.push_str(" text-anchor=\"middle\""),
        HAlign::Right => out.push_str(" text-anchor=\"end\""),
    }
    if text.angle != 0.0 {
        let (angle, x, y) = (Number(text.angle), Number(text.at.x), Number(text.at.y));
        put(out, format_args!(" transform=\"rotate({angle} {x} {y})\""));
    }
    paint(out, "fill", colour);
    if text.halo {
        paint(out, "stroke", paper);
        let width = Number(2.0 * text.halo_mm());
        put(
            out,
            format_args!(
                " stroke-width=\"{width}\" stroke-linejoin=\"round\" paint-order=\"stroke\""
            ),
        );
    }
    put(out, format_args!(">{}</text>\n", Escaped(&text.text)));
}

//! The front panel header: which pins take which plug, with their polarity.

use super::{Block, Picture};
use crate::paper::Build;
use crate::view::list::{
    DrawList, HAlign, Layer, Line, Path, Point2, Rect, Role, Text, TextSize, VAlign,
};

/// Pins by number, with what goes there. Source: Front Panel I/O Connectivity Design
/// Guide, s. 2.2, Fig. 10, read for the pairs and the key; the signs of 1 and 3, which
/// of 5 to 8 is ground, and pin 9 are from memory.
const PINS: [(usize, &str); 10] = [
    (1, "drive light +"),
    (2, "power light +"),
    (3, "drive light –"),
    (4, "power light –"),
    (5, "reset"),
    (6, "power switch"),
    (7, "reset"),
    (8, "power switch"),
    (9, "leave free"),
    (10, "no pin (key)"),
];

/// Pin picture and words, where a part has such a header.
pub(super) fn blocks(build: &Build<'_>) -> Vec<Block> {
    let has = build
        .scene
        .parts
        .values()
        .flat_map(|p| &p.kind.ports)
        .any(|p| p.connector == "panel-header" && p.lead.is_none());
    if !has {
        return Vec::new();
    }
    vec![
        Block::Heading("Front panel header, 2x5 pins".to_owned()),
        Block::Note(
            "Seen from above, pin 1 at the upper left, odd numbers in the upper row. Lights have a polarity: + to +; switches \
             have none. Source: Front Panel I/O Connectivity Design Guide, s. 2.2, Fig. 10; the signs of pins 1 and 3 and pin 9 \
             from memory. The board's own manual goes first."
                .to_owned(),
        ),
        Block::Pictures(vec![picture()]),
    ]
}

fn picture() -> Picture {
    let mut list = DrawList::new();
    let (step, left, top) = (30.0, 15.0, 12.0);
    let mut pen = list.pen().layer(Layer::Notes);
    let frame = Rect::sized(2.0, top - 6.0, 5.0 * step - 4.0, 22.0);
    pen.stroke(Path::rect(frame), Line::THICK, Role::Ink);
    for (number, words) in PINS {
        let column = (number - 1) / 2;
        let lower = number % 2 == 0;
        let at = Point2::new(
            left + column as f64 * step,
            if lower { top + 10.0 } else { top },
        );
        let pin = Rect::spanning(at, at).grown(2.4);
        match number {
            1 => pen.stroke(Path::rect(pin), Line::THICK, Role::Ink),
            10 => pen.stroke(Path::cross(at, 2.0), Line::HIDDEN, Role::Ink),
            _ => pen.stroke(Path::circle(at, 2.4), Line::THIN, Role::Ink),
        };
        if number != 10 {
            pen.text(
                Text::new(at, number.to_string())
                    .size(TextSize::Cap(1.8))
                    .middle(),
                Role::Text,
            );
        }
        let y = if lower { top + 22.0 } else { top - 8.5 };
        pen.text(
            Text::new((at.x, y), words)
                .size(TextSize::Cap(1.9))
                .anchored(HAlign::Middle, VAlign::Baseline),
            Role::Text,
        );
    }
    Picture {
        caption: String::new(),
        list,
        size: [5.0 * step, 36.0],
    }
}

//! A small picture of a pin header: what goes on where, and which way round.

use super::list::{DrawList, Line, Path, Point2, Rect, Role, Text, TextSize};
use crate::model::pins::Header;

/// From pin to pin on paper, in millimetres.
const PITCH: f64 = 7.0;

/// Half of a pin's edge.
const PIN: f64 = 1.2;

/// The picture, and its size in millimetres. Pin 1 is at the upper left and has a
/// square about it; a missing pin is a cross. Small plugs are outlined: with their
/// signs where they have to be the right way round, plain where not.
pub fn picture(header: &Header) -> (DrawList, (f64, f64)) {
    let mut list = DrawList::new();
    let (columns, rows) = (f64::from(header.columns), f64::from(header.rows));
    let size = (PITCH * (columns + 0.6), PITCH * (rows + 0.6));
    let at = |pin: u8| middle(header, pin);
    let mut pen = list.pen();
    let border = Rect::sized(0.4, 0.4, size.0 - 0.8, size.1 - 0.8);
    pen.stroke(Path::rounded_rect(border, 1.0), Line::THIN, Role::InkSoft);
    for plug in header.plugs {
        let [a, b] = plug.pins.map(at);
        let around = Rect::spanning(a, b).grown(2.6);
        let line = if plug.polar { Line::THICK } else { Line::THIN };
        pen.stroke(Path::rounded_rect(around, 1.2), line, Role::Ink);
    }
    for pin in 1..=header.places() {
        let centre = at(pin);
        if header.missing == Some(pin) {
            pen.stroke(Path::cross(centre, PIN), Line::THIN, Role::InkSoft);
            continue;
        }
        let square = Rect::spanning(centre, centre).grown(PIN);
        if pin == 1 {
            let mark = Path::rect(square.grown(0.6));
            pen.stroke(mark, Line::HAIR, Role::Ink);
        }
        pen.fill(Path::rect(square), Role::Ink);
        let sign = header.plugs.iter().filter(|p| p.polar).find_map(|p| {
            let index = p.pins.iter().position(|q| *q == pin)?;
            Some(if index == 0 { "+" } else { "-" })
        });
        if let Some(sign) = sign {
            let text = Text::new(centre, sign)
                .size(TextSize::Cap(1.7))
                .bold()
                .middle();
            pen.text(text, Role::Paper);
        }
    }
    (list, size)
}

/// Where a pin's middle is on the picture.
fn middle(header: &Header, pin: u8) -> Point2 {
    let (c, r) = header.place(pin);
    Point2::new(PITCH * (f64::from(c) + 0.8), PITCH * (f64::from(r) + 0.8))
}

/// The pin under a point of the picture, in its millimetres.
pub fn under(header: &Header, at: (f64, f64)) -> Option<u8> {
    (1..=header.places()).find(|pin| {
        let d = middle(header, *pin) - Point2::new(at.0, at.1);
        d.x.abs().max(d.y.abs()) <= PITCH / 2.0
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::pins::{HEADERS, header};
    use crate::view::list::Mark;

    #[test]
    fn every_picture_stays_within_its_size_and_is_drawable() {
        for h in HEADERS {
            let (list, (width, height)) = picture(h);
            assert_eq!(list.undrawable(), 0);
            let bounds = list.bounds().expect("marks");
            assert!(
                bounds.min.x >= 0.0 && bounds.min.y >= 0.0,
                "{}",
                h.connector
            );
            assert!(
                bounds.max.x <= width && bounds.max.y <= height,
                "{}",
                h.connector
            );
        }
    }

    #[test]
    fn a_pin_is_found_where_it_is_drawn() {
        let h = header("panel-header").expect("known");
        // Pin 4 stands in the second column of the second row.
        assert_eq!(under(h, (1.8 * PITCH, 1.8 * PITCH)), Some(4));
        assert_eq!(under(h, (0.0, 0.0)), None);
    }

    #[test]
    fn lights_have_signs_and_switches_have_none() {
        let (list, _) = picture(header("panel-header").expect("known"));
        let signs = |s: &str| {
            let texts = list
                .items
                .iter()
                .filter(|i| matches!(&i.mark, Mark::Text(t) if t.text == s));
            texts.count()
        };
        // Two lights, each with a plus and a minus.
        assert_eq!((signs("+"), signs("-")), (2, 2));
    }
}

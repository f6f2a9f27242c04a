//! Templates as DXF, for mills, lasers and other drawing programs.
//!
//! Release 2000, millimetres, full size, the origin in the lower left corner of the
//! plate or zone. One layer a kind: EDGE, EXTENT, CUT, DRILL, SUGGESTED, VENT, GRILLE,
//! CENTRE, CHECK (a line of 100 mm below the drawing), NOTES. Round holes are circles,
//! slots and polygons closed polylines. The same template gives the same bytes.

use crate::paper::template::{CHECK_MM, Kind, Shape, Template, hole_words};
use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Text};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, LwPolylineVertex, Point};

/// Why a DXF file could not be put together.
#[derive(Debug, thiserror::Error)]
#[error("the DXF could not be written: {0}")]
pub struct DxfError(#[from] dxf::DxfError);

/// Layers with their colour by number: 7 is black or white, 1 red, 3 green, 5 blue, 8 grey.
const LAYERS: &[(&str, u8)] = &[
    ("EDGE", 7),
    ("EXTENT", 8),
    ("CUT", 1),
    ("DRILL", 5),
    ("SUGGESTED", 3),
    ("VENT", 8),
    ("GRILLE", 1),
    ("CENTRE", 8),
    ("CHECK", 7),
    ("NOTES", 8),
];

const fn layer(kind: Kind) -> &'static str {
    match kind {
        Kind::Edge => "EDGE",
        Kind::Extent => "EXTENT",
        Kind::Cut => "CUT",
        Kind::Drill => "DRILL",
        Kind::Suggested => "SUGGESTED",
        Kind::Vent => "VENT",
        Kind::Grille => "GRILLE",
    }
}

/// The template as a DXF file.
///
/// # Errors
///
/// [`DxfError`] where the writer fails; memory and any template are fine.
pub fn write(template: &Template) -> Result<Vec<u8>, DxfError> {
    let mut drawing = Drawing::new();
    let header = &mut drawing.header;
    header.version = AcadVersion::R2000;
    header.default_drawing_units = Units::Millimeters;
    header.drawing_units = DrawingUnits::Metric;
    // The writer's random numbers would make each file another one.
    header.fingerprint_guid = Default::default();
    header.version_guid = Default::default();
    for (name, colour) in LAYERS {
        drawing.add_layer(Layer {
            name: (*name).to_owned(),
            color: Color::from_index(*colour),
            ..Layer::default()
        });
    }
    for element in &template.elements {
        put(&mut drawing, layer(element.kind), shape(&element.shape));
        if !element.label.is_empty() && element.kind != Kind::Grille {
            let at = element.shape.middle();
            let high = element.shape.bounds()[1];
            let at = match element.kind {
                Kind::Drill => [high[0] + 1.0, high[1] + 1.0],
                _ => at,
            };
            words(&mut drawing, at, 2.5, &element.label);
        }
    }
    for (at, diameter) in template.centres() {
        let half = diameter / 2.0 + 2.0;
        line(
            &mut drawing,
            "CENTRE",
            [at[0] - half, at[1]],
            [at[0] + half, at[1]],
        );
        line(
            &mut drawing,
            "CENTRE",
            [at[0], at[1] - half],
            [at[0], at[1] + half],
        );
    }
    let [low, _] = template.bounds;
    let y = low[1] - 15.0;
    line(&mut drawing, "CHECK", [low[0], y], [low[0] + CHECK_MM, y]);
    words(
        &mut drawing,
        [low[0], y + 1.5],
        2.5,
        "this line is 100 mm long",
    );
    let mut y = y - 8.0;
    let mut down = |drawing: &mut Drawing, text: &str| {
        words(drawing, [low[0], y], 2.5, text);
        y -= 4.5;
    };
    down(&mut drawing, &template.title);
    for note in &template.notes {
        down(&mut drawing, note);
    }
    for drill in &template.drills {
        let [x, up] = drill.at;
        let text = format!(
            "{}: {} at ({x:.2}, {up:.2}), {}",
            drill.mark,
            hole_words(drill),
            drill.zone
        );
        down(&mut drawing, &text);
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes)?;
    Ok(without_clock(bytes))
}

fn point([x, y]: [f64; 2]) -> Point {
    Point::new(x, y, 0.0)
}

fn put(drawing: &mut Drawing, layer: &str, what: EntityType) {
    let mut entity = Entity::new(what);
    layer.clone_into(&mut entity.common.layer);
    drawing.add_entity(entity);
}

fn line(drawing: &mut Drawing, layer: &str, from: [f64; 2], to: [f64; 2]) {
    put(
        drawing,
        layer,
        EntityType::Line(Line::new(point(from), point(to))),
    );
}

/// One line of lettering. Characters that the file cannot hold are left out: it is
/// read by old machines.
fn words(drawing: &mut Drawing, at: [f64; 2], height: f64, text: &str) {
    let text: String = text
        .chars()
        .map(|c| match c {
            'Ø' => "dia ".to_owned(),
            c if c.is_ascii() && !c.is_control() => c.to_string(),
            _ => "?".to_owned(),
        })
        .collect();
    put(
        drawing,
        "NOTES",
        EntityType::Text(Text {
            location: point(at),
            text_height: height,
            value: text,
            ..Text::default()
        }),
    );
}

fn shape(shape: &Shape) -> EntityType {
    match shape {
        Shape::Circle { at, diameter } => {
            EntityType::Circle(Circle::new(point(*at), diameter / 2.0))
        }
        Shape::Polygon(points) => polyline(points.iter().map(|p| (*p, 0.0))),
        Shape::Slot { from, to, width } => {
            let (x, y) = (to[0] - from[0], to[1] - from[1]);
            let long = x.hypot(y).max(1e-9);
            // To the left of the way, half the width; a bulge of 1 is a half circle.
            let (nx, ny) = (-y / long * width / 2.0, x / long * width / 2.0);
            polyline(
                [
                    ([from[0] - nx, from[1] - ny], 0.0),
                    ([to[0] - nx, to[1] - ny], 1.0),
                    ([to[0] + nx, to[1] + ny], 0.0),
                    ([from[0] + nx, from[1] + ny], 1.0),
                ]
                .into_iter(),
            )
        }
    }
}

fn polyline(points: impl Iterator<Item = ([f64; 2], f64)>) -> EntityType {
    let mut line = LwPolyline {
        vertices: points
            .map(|([x, y], bulge)| LwPolylineVertex {
                x,
                y,
                bulge,
                ..LwPolylineVertex::default()
            })
            .collect(),
        ..LwPolyline::default()
    };
    line.set_is_closed(true);
    EntityType::LwPolyline(line)
}

/// Sets the times at which the file was made to nothing: the writer takes them from
/// the clock.
fn without_clock(bytes: Vec<u8>) -> Vec<u8> {
    let text = String::from_utf8_lossy(&bytes);
    let mut kept = String::with_capacity(text.len());
    let mut left = 0;
    for line in text.split_inclusive('\n') {
        let word = line.trim();
        if ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"].contains(&word) {
            // The group code, then the value.
            left = 3;
        }
        left = i32::max(left - 1, -1);
        if left == 0 {
            let end = &line[line.trim_end().len()..];
            kept.push_str("0.0");
            kept.push_str(end);
        } else {
            kept.push_str(line);
        }
    }
    kept.into_bytes()
}

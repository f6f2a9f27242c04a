//! Reading `peer-scene` files: parts of boxes and cylinders, in millimetres.

use std::fs;
use std::path::Path;

use closefit::geom::kernel::{Shape, Turn, Vec3};
use serde::Deserialize;

/// A scene with everything checked that could go wrong later.
pub struct Scene {
    /// Names of the parts, in the order of the file.
    pub ids: Vec<String>,
    parts: Vec<Part>,
}

#[derive(Deserialize)]
struct File {
    format: String,
    version: u32,
    units: String,
    parts: Vec<Part>,
}

#[derive(Deserialize)]
struct Part {
    id: String,
    pos: [f64; 3],
    rot: [f64; 9],
    shapes: Vec<Solid>,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
enum Solid {
    Box {
        size: [f64; 3],
        center: [f64; 3],
    },
    Cyl {
        axis: Axis,
        radius: f64,
        height: f64,
        center: [f64; 3],
    },
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Axis {
    X,
    Y,
    Z,
}

impl Scene {
    /// Reads a file; the error says what is wrong with it.
    pub fn read(file: &Path) -> Result<Self, String> {
        let bytes = fs::read(file).map_err(|e| e.to_string())?;
        let raw: File = serde_json::from_slice(&bytes).map_err(|e| e.to_string())?;
        if raw.format != "peer-scene" || raw.version != 1 || raw.units != "mm" {
            return Err("not a peer-scene of version 1 in mm".into());
        }
        let mut ids: Vec<&str> = raw.parts.iter().map(|p| p.id.as_str()).collect();
        ids.sort_unstable();
        if let Some(twice) = ids.windows(2).find(|w| w[0] == w[1]) {
            return Err(format!("two parts are called {}", twice[0]));
        }
        for part in &raw.parts {
            part.place().map_err(|e| format!("part {}: {e}", part.id))?;
        }
        Ok(Self {
            ids: raw.parts.iter().map(|p| p.id.clone()).collect(),
            parts: raw.parts,
        })
    }

    /// The shapes of every part in their places.
    pub fn shapes(&self) -> Vec<Vec<Shape>> {
        let place = |p: &Part| p.place().expect("every part was placed when it was read");
        self.parts.iter().map(place).collect()
    }
}

impl Part {
    fn place(&self) -> Result<Vec<Shape>, closefit::geom::kernel::ShapeError> {
        let [a, b, c, d, e, f, g, h, i] = self.rot;
        let turn = Turn::from_rows([[a, b, c], [d, e, f], [g, h, i]])?;
        let pos = Vec3(self.pos);
        let place = |s: &Solid| match s {
            Solid::Box { size, center } => {
                let centre = pos + turn.apply(Vec3(*center));
                Shape::cuboid(centre, Vec3(*size) * 0.5, &turn)
            }
            Solid::Cyl {
                axis,
                radius,
                height,
                center,
            } => {
                let along = match axis {
                    Axis::X => 0,
                    Axis::Y => 1,
                    Axis::Z => 2,
                };
                let centre = pos + turn.apply(Vec3(*center));
                Shape::cylinder(centre, turn.apply(Vec3::unit(along)), *radius, height * 0.5)
            }
        };
        self.shapes.iter().map(place).collect()
    }
}

//! Solids.

use super::{point, polygon, size, to_point, to_size};
use crate::file::error::{Check, Place, fault};
use crate::file::v1;
use crate::geom::{Box3, Length, Ring, Solid};

fn ring(r: Vec<[v1::Mm; 2]>) -> Ring {
    r.into_iter().map(|p| p.map(|m| m.0)).collect()
}

fn to_ring(r: &Ring) -> Vec<[v1::Mm; 2]> {
    r.iter().map(|p| p.map(v1::Mm)).collect()
}

pub(crate) fn block(b: v1::Block) -> Box3 {
    Box3::at(point(b.at), size(b.size))
}

pub(crate) fn to_block(b: &Box3) -> v1::Block {
    v1::Block {
        at: to_point(b.min()),
        size: to_size(b.size()),
    }
}

/// A solid with an inside.
pub(crate) fn read(s: v1::Solid) -> Check<Solid> {
    match s {
        v1::Solid::Box(b) => Ok(Solid::Box(block(b))),
        v1::Solid::Cylinder(c) => cylinder(c).at("cylinder"),
        v1::Solid::Extrusion(e) => extrusion(e).at("extrusion"),
    }
}

fn cylinder(c: v1::Cylinder) -> Check<Solid> {
    let diameter = c.diameter.0;
    let radius = diameter.half();
    if radius + radius != diameter {
        let more = diameter + Length::um(1);
        return fault(
            format!("half of the diameter {diameter} is no whole micrometre"),
            format!("give {} or {more}", radius + radius),
        )
        .at("diameter");
    }
    Ok(Solid::Cylinder {
        axis: c.axis.0,
        base: point(c.base),
        radius,
        height: c.height.0,
    })
}

fn extrusion(e: v1::Extrusion) -> Check<Solid> {
    let (low, high) = (e.low.0, e.high.0);
    if low >= high {
        return fault(
            format!("the extrusion ends at {high} and starts at {low}"),
            "give a larger end",
        )
        .at("high");
    }
    let outline = ring(e.outline);
    let holes: Vec<Ring> = e.holes.into_iter().map(ring).collect();
    polygon::check(&outline, &holes)?;
    Ok(Solid::Extrusion {
        axis: e.axis.0,
        low,
        high,
        outline,
        holes,
    })
}

pub(crate) fn write(s: &Solid) -> v1::Solid {
    match s {
        Solid::Box(b) => v1::Solid::Box(to_block(b)),
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => v1::Solid::Cylinder(v1::Cylinder {
            axis: v1::Word(*axis),
            base: to_point(*base),
            diameter: v1::Positive(*radius * 2),
            height: v1::Positive(*height),
        }),
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => v1::Solid::Extrusion(v1::Extrusion {
            axis: v1::Word(*axis),
            low: v1::Mm(*low),
            high: v1::Mm(*high),
            outline: to_ring(outline),
            holes: holes.iter().map(to_ring).collect(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;

    fn fault_of(json: &str) -> FileError {
        read(serde_json::from_str(json).unwrap())
            .unwrap_err()
            .into()
    }

    #[test]
    fn a_cylinder_keeps_its_diameter_or_is_refused() {
        let json = |d: &str| {
            format!(r#"{{"cylinder":{{"axis":"z","base":[0,0,0],"diameter":{d},"height":5}}}}"#)
        };
        let solid = read(serde_json::from_str(&json("3.4")).unwrap()).unwrap();
        assert_eq!(solid.bounds().size().x, Length::um(3_400));
        let err = fault_of(&json("3.175"));
        assert_eq!(err.field(), Some("cylinder.diameter"));
        assert!(err.to_string().contains("3.174 or 3.176"), "{err}");
    }

    #[test]
    fn an_extrusion_has_a_thickness() {
        let err = fault_of(
            r#"{"extrusion":{"axis":"y","low":2,"high":2,"outline":[[0,0],[1,0],[0,1]]}}"#,
        );
        assert_eq!(err.field(), Some("extrusion.high"));
    }
}

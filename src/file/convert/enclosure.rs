//! Enclosures.

use super::dimension;
use super::mount::{self, Reader};
use super::{extent, figures, id, point, size, solid, to_extent, to_figures, to_point, to_size};
use crate::file::error::{Check, Place, each, fault, unique};
use crate::file::v1;
use crate::geom::{Axis, Box3, Length, Vec3};
use crate::model::{
    Cutout, Enclosure, EnclosureId, Opening, Panel, Passage, Plate, Tie, Tuck, Vent,
};

fn cutout(c: v1::Cutout) -> Cutout {
    match c {
        v1::Cutout::Rect(b) => Cutout::Rect(solid::block(b)),
        v1::Cutout::Round(r) => Cutout::Round {
            centre: point(r.centre),
            diameter: r.diameter.0,
        },
    }
}

fn to_cutout(c: &Cutout) -> v1::Cutout {
    match c {
        Cutout::Rect(b) => v1::Cutout::Rect(solid::to_block(b)),
        Cutout::Round { centre, diameter } => v1::Cutout::Round(v1::RoundCutout {
            centre: to_point(*centre),
            diameter: v1::Positive(*diameter),
        }),
    }
}

fn panel(p: v1::Panel) -> Check<Panel> {
    let s = p.opening.size.map(|l| l.0);
    if s.iter().filter(|l| **l == Length::ZERO).count() > 1 {
        return fault("the opening has no area", "make at most one size zero")
            .at("size")
            .at("opening");
    }
    let hinge = p.hinge.map(|h| h.0);
    if hinge.is_some_and(|h| h.axis() == p.leaves.0.axis()) {
        return fault(
            "a panel does not swing the way its hinge lies",
            "name a side across \"leaves\"",
        )
        .at("hinge");
    }
    Ok(Panel {
        leaves: p.leaves.0,
        hinge,
        opening: Box3::at(point(p.opening.at), Vec3::new(s[0], s[1], s[2])),
    })
}

fn to_panel(p: &Panel) -> v1::Panel {
    let s = p.opening.size();
    v1::Panel {
        leaves: v1::Word(p.leaves),
        hinge: p.hinge.map(v1::Word),
        opening: v1::Room {
            at: to_point(p.opening.min()),
            size: Axis::ALL.map(|a| v1::NotNegative(s.along(a))),
        },
    }
}

fn plate(p: v1::Plate, outline: &Box3) -> Check<Plate> {
    let solid = solid::read(p.solid).at("solid")?;
    if !outline.contains(&solid.bounds()) {
        let b = solid.bounds();
        return fault(
            format!(
                "the plate from {:?} to {:?} sticks out of the enclosure's outer size",
                b.min(),
                b.max()
            ),
            "enlarge \"size\", or move the plate",
        )
        .at("solid");
    }
    Ok(Plate {
        id: p.id.0,
        name: p.name.0,
        solid,
        cutouts: p.cutouts.into_iter().map(cutout).collect(),
        panel: p.panel.map(panel).transpose().at("panel")?,
    })
}

fn to_plate(p: &Plate) -> v1::Plate {
    v1::Plate {
        id: v1::Id::of(&p.id),
        name: v1::Name::of(&p.name),
        solid: solid::write(&p.solid),
        cutouts: p.cutouts.iter().map(to_cutout).collect(),
        panel: p.panel.as_ref().map(to_panel),
    }
}

fn passage(p: v1::Passage) -> Check<Passage> {
    Ok(Passage {
        id: p.id.0,
        name: p.name.0,
        frame: mount::frame(p.frame)?,
        clear: extent(p.clear),
    })
}

fn to_passage(p: &Passage) -> v1::Passage {
    v1::Passage {
        id: v1::Id::of(&p.id),
        name: v1::Name::of(&p.name),
        frame: mount::to_frame(&p.frame),
        clear: to_extent(p.clear),
    }
}

fn tuck(t: v1::Tuck, outline: &Box3) -> Check<Tuck> {
    let room = solid::block(t.room);
    if !outline.contains(&room) {
        return fault(
            "the room sticks out of the enclosure's outer size",
            "move it, or make it smaller",
        )
        .at("room");
    }
    Ok(Tuck {
        id: t.id.0,
        name: t.name.0,
        room,
    })
}

fn to_tuck(t: &Tuck) -> v1::Tuck {
    v1::Tuck {
        id: v1::Id::of(&t.id),
        name: v1::Name::of(&t.name),
        room: solid::to_block(&t.room),
    }
}

fn vent(v: v1::Vent) -> Check<Vent> {
    Ok(Vent {
        id: v.id.0,
        frame: mount::frame(v.frame)?,
        size: extent(v.size),
        free: v.free.0,
        filter: v.filter,
        filter_outside: v.filter_outside,
    })
}

fn to_vent(v: &Vent) -> v1::Vent {
    v1::Vent {
        id: v1::Id::of(&v.id),
        frame: mount::to_frame(&v.frame),
        size: to_extent(v.size),
        free: v1::Share(v.free),
        filter: v.filter,
        filter_outside: v.filter_outside,
    }
}

fn opening(o: v1::Opening) -> Check<Opening> {
    Ok(Opening {
        id: o.id.0,
        name: o.name.0,
        kind: o.kind.0,
        frame: mount::frame(o.frame)?,
        size: extent(o.size),
    })
}

fn to_opening(o: &Opening) -> v1::Opening {
    v1::Opening {
        id: v1::Id::of(&o.id),
        name: v1::Name::of(&o.name),
        kind: v1::Id::of(&o.kind),
        frame: mount::to_frame(&o.frame),
        size: to_extent(o.size),
    }
}

pub(crate) fn read(r: &Reader, e: v1::Enclosure) -> Check<Enclosure> {
    unique("plates", "id", e.plates.iter().map(|p| p.id.0.as_str()))?;
    unique("zones", "id", e.zones.iter().map(|z| z.id.0.as_str()))?;
    unique("passages", "id", e.passages.iter().map(|p| p.id.0.as_str()))?;
    unique("ties", "id", e.ties.iter().map(|t| t.id.0.as_str()))?;
    unique("tucks", "id", e.tucks.iter().map(|t| t.id.0.as_str()))?;
    unique("vents", "id", e.vents.iter().map(|v| v.id.0.as_str()))?;
    unique("openings", "id", e.openings.iter().map(|o| o.id.0.as_str()))?;
    let size = size(e.size);
    let outline = Box3::at(Vec3::ZERO, size);
    let tie = |t: v1::Tie| Tie {
        id: t.id.0,
        at: point(t.at),
        clear: t.clear.map(|c| c.0),
    };
    Ok(Enclosure {
        id: id(&e.id, "id", EnclosureId::new)?,
        name: e.name.0,
        size,
        plates: each("plates", e.plates, |p| plate(p, &outline))?,
        zones: each("zones", e.zones, |z| mount::zone(r, z))?,
        passages: each("passages", e.passages, passage)?,
        ties: e.ties.into_iter().map(tie).collect(),
        tucks: each("tucks", e.tucks, |t| tuck(t, &outline))?,
        vents: each("vents", e.vents, vent)?,
        openings: each("openings", e.openings, opening)?,
        dimensions: dimension::read(e.dimensions)?,
        figures: figures(e.figures),
    })
}

pub(crate) fn write(e: &Enclosure) -> v1::Enclosure {
    let tie = |t: &Tie| v1::Tie {
        id: v1::Id::of(&t.id),
        at: to_point(t.at),
        clear: t.clear.map(v1::Positive),
    };
    v1::Enclosure {
        id: v1::Id::of(&e.id),
        name: v1::Name::of(&e.name),
        size: to_size(e.size),
        plates: e.plates.iter().map(to_plate).collect(),
        zones: e.zones.iter().map(mount::to_zone).collect(),
        passages: e.passages.iter().map(to_passage).collect(),
        ties: e.ties.iter().map(tie).collect(),
        tucks: e.tucks.iter().map(to_tuck).collect(),
        vents: e.vents.iter().map(to_vent).collect(),
        openings: e.openings.iter().map(to_opening).collect(),
        dimensions: dimension::write(&e.dimensions),
        figures: to_figures(&e.figures),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;
    use crate::file::convert::mount::HoleSets;

    fn enclosure(fields: &str) -> Result<Enclosure, FileError> {
        let json = format!(r#"{{"id":"e","name":"e","size":[100,100,100]{fields}}}"#);
        let sets = HoleSets::default();
        let read = read(&Reader::new(&sets), serde_json::from_str(&json).unwrap());
        read.map_err(FileError::from)
    }

    fn plate(depth: &str, opening: &str) -> String {
        format!(
            r#","plates":[{{"id":"p","name":"","solid":{{"box":{{"at":[0,99,0],"size":[100,{depth},100]}}}},
            "panel":{{"leaves":"+y","opening":{{"at":[0,0,0],"size":{opening}}}}}}}]"#
        )
    }

    #[test]
    fn plates_stay_inside_the_outer_size() {
        assert!(enclosure(&plate("1", "[9,9,9]")).is_ok());
        let err = enclosure(&plate("1.001", "[9,9,9]")).unwrap_err();
        assert_eq!(err.field(), Some("plates[0].solid"));
    }

    #[test]
    fn an_opening_may_be_flat_but_has_an_area() {
        assert!(enclosure(&plate("1", "[9,0,9]")).is_ok());
        let err = enclosure(&plate("1", "[9,0,0]")).unwrap_err();
        assert_eq!(err.field(), Some("plates[0].panel.opening.size"));
    }

    #[test]
    fn ids_of_one_list_differ() {
        let err = enclosure(r#","ties":[{"id":"a","at":[0,0,0]},{"id":"a","at":[1,0,0]}]"#);
        assert_eq!(err.unwrap_err().field(), Some("ties[1].id"));
    }
}

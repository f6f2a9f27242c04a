//! Part kinds.

use super::dimension;
use super::mount::{self, Reader};
use super::{extent, figures, id, point, size, solid, to_extent, to_figures, to_point, to_size};
use crate::file::error::{Check, Place, each, fault, unique};
use crate::file::v1;
use crate::geom::{Box3, Solid, Vec3};
use crate::model::kind::{Deviation, Ratings};
use crate::model::{
    CaptiveLead, Feature, KindId, Outlet, PartKind, Pattern, Piece, Port, Pull, Section, Space,
};

pub(crate) fn section(s: v1::Section) -> Check<Section> {
    match s {
        v1::Section::Round(d) => Ok(Section::Round(d.0)),
        v1::Section::Flat([w, t]) if w < t => fault(
            format!("the width {} is less than the thickness {}", w.0, t.0),
            "give the larger one first",
        )
        .at("flat"),
        v1::Section::Flat([w, t]) => Ok(Section::Flat(w.0, t.0)),
    }
    .at("section")
}

pub(crate) fn to_section(s: Section) -> v1::Section {
    match s {
        Section::Round(d) => v1::Section::Round(v1::Positive(d)),
        Section::Flat(w, t) => v1::Section::Flat([v1::Positive(w), v1::Positive(t)]),
    }
}

fn piece(p: v1::Piece, outline: &Box3) -> Check<Piece> {
    let solid = solid::read(p.solid).at("solid")?;
    if p.space.0 == Space::Solid && !outline.contains(&solid.bounds()) {
        let b = solid.bounds();
        return fault(
            format!(
                "the solid from {:?} to {:?} sticks out of the part's own size",
                b.min(),
                b.max()
            ),
            "enlarge \"size\", or make it a keep-out or reach space",
        )
        .at("solid");
    }
    Ok(Piece {
        solid,
        space: p.space.0,
        name: p.name.0,
    })
}

/// One solid box of the whole size.
fn whole(outline: &Box3) -> Vec<Piece> {
    vec![Piece {
        solid: Solid::Box(*outline),
        space: Space::Solid,
        name: String::new(),
    }]
}

fn body(pieces: Vec<v1::Piece>, outline: &Box3) -> Check<Vec<Piece>> {
    if pieces.is_empty() {
        return Ok(whole(outline));
    }
    let body = each("body", pieces, |p| piece(p, outline))?;
    if body.iter().all(|p| p.space != Space::Solid) {
        return fault("no piece of the body is solid", "make one solid").at("body");
    }
    Ok(body)
}

fn to_body(body: &[Piece], outline: &Box3) -> Vec<v1::Piece> {
    if body == whole(outline) {
        return Vec::new();
    }
    let one = |p: &Piece| v1::Piece {
        solid: solid::write(&p.solid),
        space: v1::Word(p.space),
        name: v1::Name::of(&p.name),
    };
    body.iter().map(one).collect()
}

fn pattern(r: &Reader, p: v1::Pattern) -> Check<Pattern> {
    let holes = mount::holes(r, p.uses, p.holes)?;
    let needs = p.needs as usize;
    if needs > holes.len() {
        return fault(
            format!(
                "{needs} holes are needed and the pattern has {}",
                holes.len()
            ),
            "lower it, or add holes",
        )
        .at("needs");
    }
    Ok(Pattern {
        id: p.id.0,
        frame: mount::frame(p.frame)?,
        holes,
        needs,
    })
}

fn to_pattern(p: &Pattern) -> v1::Pattern {
    v1::Pattern {
        id: v1::Id::of(&p.id),
        frame: mount::to_frame(&p.frame),
        uses: Vec::new(),
        holes: mount::to_holes(&p.holes),
        needs: u32::try_from(p.needs).unwrap_or(u32::MAX),
    }
}

fn port(p: v1::Port) -> Check<Port> {
    let lead = |l: v1::Lead| {
        Ok(CaptiveLead {
            length: l.length.0,
            section: section(l.section)?,
            bend: l.bend.0,
        })
    };
    Ok(Port {
        id: p.id.0,
        name: p.name.0,
        connector: p.connector.0,
        at: point(p.at),
        leaves: p.leaves.0,
        role: p.role.0,
        lead: p.lead.map(lead).transpose().at("lead")?,
        required: p.required,
        draws_mw: p.draws_w.map(|w| w.0),
        passes: p.passes,
        purpose: p.purpose.map(|w| w.0),
    })
}

fn to_port(p: &Port) -> v1::Port {
    v1::Port {
        id: v1::Id::of(&p.id),
        name: v1::Name::of(&p.name),
        connector: v1::Id::of(&p.connector),
        at: to_point(p.at),
        leaves: v1::Word(p.leaves),
        role: v1::Word(p.role),
        lead: p.lead.as_ref().map(|l| v1::Lead {
            length: v1::Positive(l.length),
            section: to_section(l.section),
            bend: v1::NotNegative(l.bend),
        }),
        required: p.required,
        draws_w: p.draws_mw.map(v1::Watts),
        passes: p.passes,
        purpose: p.purpose.map(v1::Word),
    }
}

fn outlet(o: v1::Outlet) -> Check<Outlet> {
    Ok(Outlet {
        id: o.id.0,
        kind: o.kind.0,
        frame: mount::frame(o.frame)?,
        size: extent(o.size),
    })
}

fn to_outlet(o: &Outlet) -> v1::Outlet {
    v1::Outlet {
        id: v1::Id::of(&o.id),
        kind: v1::Id::of(&o.kind),
        frame: mount::to_frame(&o.frame),
        size: to_extent(o.size),
    }
}

fn feature(f: v1::Feature) -> Check<Feature> {
    Ok(Feature {
        kind: f.kind.0,
        solid: solid::read(f.solid).at("solid")?,
        name: f.name.0,
    })
}

fn to_feature(f: &Feature) -> v1::Feature {
    v1::Feature {
        kind: v1::Word(f.kind),
        solid: solid::write(&f.solid),
        name: v1::Name::of(&f.name),
    }
}

fn ratings(r: v1::Ratings) -> Check<Ratings> {
    let plain = |a: Option<v1::Amount>| a.map(|a| a.0);
    Ok(Ratings {
        mass_g: plain(r.mass_g),
        draws_w: plain(r.draws_w),
        gives_w: plain(r.gives_w),
        cost: plain(r.cost),
        flow_m3h: plain(r.flow_m3h),
        sound_db: plain(r.sound_db),
        up: r.up.into_iter().map(|d| d.0).collect(),
        deviation: [r.deviation.x, r.deviation.y, r.deviation.z].map(|d| {
            d.map(|[plus, minus]| Deviation {
                plus: plus.0,
                minus: minus.0,
            })
        }),
        dimensions: dimension::read(r.dimensions)?,
    })
}

fn to_ratings(r: &Ratings) -> v1::Ratings {
    let amount = |a: Option<f64>| a.map(v1::Amount);
    let [x, y, z] = r
        .deviation
        .map(|d| d.map(|d| [v1::NotNegative(d.plus), v1::NotNegative(d.minus)]));
    v1::Ratings {
        mass_g: amount(r.mass_g),
        draws_w: amount(r.draws_w),
        gives_w: amount(r.gives_w),
        cost: amount(r.cost),
        flow_m3h: amount(r.flow_m3h),
        sound_db: amount(r.sound_db),
        up: r.up.iter().copied().map(v1::Word).collect(),
        deviation: v1::Deviations { x, y, z },
        dimensions: dimension::write(&r.dimensions),
    }
}

pub(crate) fn read(r: &Reader, k: v1::Kind) -> Check<PartKind> {
    unique("patterns", "id", k.patterns.iter().map(|p| p.id.0.as_str()))?;
    unique("zones", "id", k.zones.iter().map(|z| z.id.0.as_str()))?;
    unique("ports", "id", k.ports.iter().map(|p| p.id.0.as_str()))?;
    unique("outlets", "id", k.outlets.iter().map(|o| o.id.0.as_str()))?;
    let size = size(k.size);
    let outline = Box3::at(Vec3::ZERO, size);
    Ok(PartKind {
        id: id(&k.id, "id", KindId::new)?,
        name: k.name.0,
        group: k.group.0,
        size,
        body: body(k.body, &outline)?,
        patterns: each("patterns", k.patterns, |p| pattern(r, p))?,
        zones: each("zones", k.zones, |z| mount::zone(r, z))?,
        ports: each("ports", k.ports, port)?,
        outlets: each("outlets", k.outlets, outlet)?,
        features: each("features", k.features, feature)?,
        blows: k.blows.map(|d| d.0),
        pulls: k.pulls.map(|p| Pull {
            way: p.way.0,
            by: p.by.0,
        }),
        heights: k.heights.into_iter().map(solid::block).collect(),
        ratings: ratings(k.ratings).at("ratings")?,
        figures: figures(k.figures),
    })
}

pub(crate) fn write(k: &PartKind) -> v1::Kind {
    v1::Kind {
        id: v1::Id::of(&k.id),
        name: v1::Name::of(&k.name),
        group: v1::Word(k.group),
        size: to_size(k.size),
        body: to_body(&k.body, &k.outline()),
        patterns: k.patterns.iter().map(to_pattern).collect(),
        zones: k.zones.iter().map(mount::to_zone).collect(),
        ports: k.ports.iter().map(to_port).collect(),
        outlets: k.outlets.iter().map(to_outlet).collect(),
        features: k.features.iter().map(to_feature).collect(),
        blows: k.blows.map(v1::Word),
        pulls: k.pulls.map(|p| v1::Pull {
            way: v1::Word(p.way),
            by: v1::Positive(p.by),
        }),
        heights: k.heights.iter().map(solid::to_block).collect(),
        ratings: to_ratings(&k.ratings),
        figures: to_figures(&k.figures),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;
    use crate::file::convert::mount::HoleSets;

    fn kind(fields: &str) -> Result<PartKind, FileError> {
        let json = format!(r#"{{"id":"k","name":"k","group":"fan","size":[120,120,25]{fields}}}"#);
        let sets = HoleSets::default();
        let read = read(&Reader::new(&sets), serde_json::from_str(&json).unwrap());
        read.map_err(FileError::from)
    }

    #[track_caller]
    fn refused(fields: &str, at: &str) {
        let err = kind(fields).unwrap_err();
        assert_eq!(err.field(), Some(at), "{err}");
    }

    #[test]
    fn a_kind_without_a_body_is_one_solid_box() {
        let k = kind("").unwrap();
        assert_eq!(k.body[0].solid, Solid::Box(k.outline()));
        assert!(write(&k).body.is_empty());
    }

    #[test]
    fn solids_stay_inside_and_keep_outs_need_not() {
        let piece = |z: &str, space: &str| {
            format!(
                r#"{{"solid":{{"box":{{"at":[0,0,{z}],"size":[120,120,25]}}}},"space":"{space}"}}"#
            )
        };
        let (solid, keep) = (piece("0", "solid"), piece("25", "keep-out"));
        assert!(kind(&format!(r#","body":[{solid},{keep}]"#)).is_ok());
        let out = piece("0.001", "solid");
        refused(&format!(r#","body":[{solid},{out}]"#), "body[1].solid");
        refused(&format!(r#","body":[{keep}]"#), "body");
    }

    #[test]
    fn a_pattern_has_the_holes_it_needs_and_a_square_frame() {
        let pattern = |out: &str, needs: u32| {
            format!(
                r#","patterns":[{{"id":"p","frame":{{"at":[0,0,0],"u":"+x","v":"+y","out":"{out}"}},
                "holes":[{{"label":"A","u":1,"v":1,"d":4}}],"needs":{needs}}}]"#
            )
        };
        assert!(kind(&pattern("-z", 1)).is_ok());
        refused(&pattern("-z", 2), "patterns[0].needs");
        refused(&pattern("-x", 1), "patterns[0].frame");
    }

    #[test]
    fn ids_differ_and_flat_sections_have_their_width_first() {
        let port = |id: &str, flat: &str| {
            format!(
                r#"{{"id":"{id}","name":"","connector":"c","at":[0,0,0],"leaves":"+x","role":"sink",
                "lead":{{"length":9,"section":{{"flat":{flat}}},"bend":0}}}}"#
            )
        };
        let ports = |a: String, b: String| format!(r#","ports":[{a},{b}]"#);
        assert!(kind(&ports(port("a", "[8,2]"), port("b", "[2,2]"))).is_ok());
        refused(
            &ports(port("a", "[8,2]"), port("a", "[8,2]")),
            "ports[1].id",
        );
        refused(
            &ports(port("a", "[8,2]"), port("b", "[2,8]")),
            "ports[1].lead.section.flat",
        );
    }
}

//! Scenes.

use super::kind::{section, to_section};
use super::mount::Reader;
use super::{dimension, enclosure, id, kind, point, to_point};
use crate::file::error::{Check, Place as _, each, fault, offer, unique};
use crate::file::v1;
use crate::geom::Turn;
use crate::model::{
    Acceptance, Amount, Arrangement, Cable, CableId, CableKindId, Catalogue, Enclosure,
    EnclosureId, Extension, KindId, Off, Part, PartId, PartKind, Place, PlugEnd, PortRef, Scene,
    Via,
};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What the references of a scene lead to.
pub(crate) struct References<'a> {
    /// Sets of holes, for kinds and an enclosure that the scene carries.
    pub reader: Reader<'a>,
    /// Kinds, enclosures and cable kinds that the scene names.
    pub catalogue: &'a Catalogue,
    /// False where the catalogue says nothing about cable kinds.
    pub cable_kinds: bool,
}

/// Most kinds written down, over all arrangements: memory has an end.
const MOST_KINDS: usize = 1_000_000;

type Kinds = BTreeMap<KindId, Arc<PartKind>>;
type Parts = BTreeMap<PartId, Part>;

fn enclosure_of(r: &References, e: v1::EnclosureOrId) -> Check<(Arc<Enclosure>, bool)> {
    match e {
        v1::EnclosureOrId::Own(own) => Ok((Arc::new(enclosure::read(&r.reader, *own)?), true)),
        v1::EnclosureOrId::Known(text) => {
            let there = &r.catalogue.enclosures;
            let id = EnclosureId::new(&text.0).ok();
            match id.and_then(|id| there.get(&id)) {
                Some(found) => Ok((Arc::clone(found), false)),
                None => fault(
                    format!("no enclosure '{}' in the catalogue", text.0),
                    offer(&text.0, there.keys().map(EnclosureId::as_str)),
                ),
            }
        }
    }
}

fn part(r: &References, own: &Kinds, p: v1::Part) -> Check<(PartId, Part)> {
    let kind = kind_named(r, own, &p.kind).at("kind")?;
    let part = Part {
        name: p.name.map_or_else(|| kind.name.clone(), |n| n.0),
        kind,
    };
    Ok((id(&p.id, "id", PartId::new)?, part))
}

fn kind_named(r: &References, own: &Kinds, text: &v1::Id) -> Check<Arc<PartKind>> {
    let kind_id = id(text, "kind", KindId::new)?;
    let known = &r.catalogue.kinds;
    match own.get(&kind_id).or_else(|| known.get(&kind_id)) {
        Some(kind) => Ok(Arc::clone(kind)),
        None => {
            let there = own.keys().chain(known.keys()).map(KindId::as_str);
            let what = format!("no part kind '{kind_id}' in the scene or the catalogue");
            fault(what, offer(&text.0, there))
        }
    }
}

fn part_id(parts: &Parts, text: &v1::Id) -> Check<PartId> {
    let id = id(text, "part", PartId::new)?;
    match parts.get_key_value(&id) {
        Some((known, _)) => Ok(known.clone()),
        None => fault(
            format!("no part '{id}' in the scene"),
            offer(&text.0, parts.keys().map(PartId::as_str)),
        ),
    }
}

fn place(parts: &Parts, p: v1::Place) -> Check<(PartId, Place)> {
    let id = part_id(parts, &p.part).at("part")?;
    let turn = match p.turn {
        None => Turn::NONE,
        Some([x, y]) => match Turn::new(x.0, y.0) {
            Some(turn) => turn,
            None => {
                let what = format!("x and y of the part cannot both lie along {:?}", x.0.axis());
                return fault(what, "turn one of them").at("turn");
            }
        },
    };
    let place = Place {
        at: point(p.at),
        turn,
        locked: p.locked,
        hidden: p.hidden,
    };
    Ok((id, place))
}

fn port(parts: &Parts, p: v1::PortName) -> Check<PortRef> {
    let part = part_id(parts, &p.part)?;
    let kind = &parts[&part].kind;
    if kind.port(&p.port.0).is_none() {
        return fault(
            format!("'{part}' has no port '{}'", p.port.0),
            offer(&p.port.0, kind.ports.iter().map(|p| p.id.as_str())),
        );
    }
    let port = p.port.0;
    Ok(PortRef { part, port })
}

fn via(enclosure: &Enclosure, v: v1::Via) -> Check<Via> {
    let missing = |what: &str, id: &str, there: String| {
        fault(format!("the enclosure has no {what} '{id}'"), there)
    };
    match v {
        v1::Via::Point(p) => Ok(Via::Point(point(p))),
        v1::Via::Corner(p) => Ok(Via::Corner(point(p))),
        v1::Via::Passage(id) if enclosure.passage(&id.0).is_none() => {
            let there = enclosure.passages.iter().map(|p| p.id.as_str());
            missing("passage", &id.0, offer(&id.0, there))
        }
        v1::Via::Passage(id) => Ok(Via::Passage(id.0)),
        v1::Via::Tie(id) | v1::Via::Chosen(id) if enclosure.tie(&id.0).is_none() => {
            let there = enclosure.ties.iter().map(|t| t.id.as_str());
            missing("tie point", &id.0, offer(&id.0, there))
        }
        v1::Via::Tie(id) => Ok(Via::Tie(id.0)),
        v1::Via::Chosen(id) => Ok(Via::Chosen(id.0)),
    }
}

fn cable_kind(r: &References, text: &v1::Id) -> Check<CableKindId> {
    let id = id(text, "kind", CableKindId::new)?;
    let known = &r.catalogue.cables;
    if r.cable_kinds && !known.contains_key(&id) {
        let there = offer(&text.0, known.keys().map(CableKindId::as_str));
        return fault(format!("no cable kind '{id}' in the catalogue"), there).at("kind");
    }
    Ok(id)
}

fn cable(r: &References, e: &Enclosure, parts: &Parts, c: v1::Cable) -> Check<(CableId, Cable)> {
    let kind = c.kind.map(|k| cable_kind(r, &k)).transpose()?;
    let extension = match c.extension {
        None => None,
        Some(e) => Some(Extension {
            kind: cable_kind(r, &e.kind).at("extension")?,
            length: e.length.0,
        }),
    };
    if c.plugs.is_empty() {
        return fault("the cable goes nowhere", "give it at least one plug").at("plugs");
    }
    let plug = |p: v1::PlugEnd| {
        Ok(PlugEnd {
            to: port(parts, p.to).at("to")?,
            length: p.length.0,
            via: each("via", p.via, |v| via(e, v))?,
        })
    };
    let cable = Cable {
        name: c.name.0,
        kind,
        system: c.system.0,
        from: port(parts, c.from).at("from")?,
        plugs: each("plugs", c.plugs, plug)?,
        section: section(c.section)?,
        bend: c.bend.0,
        locked: c.locked,
        extension,
        hangs: c.hangs.map(|l| l.0),
        finds: c.finds,
    };
    Ok((id(&c.id, "id", CableId::new)?, cable))
}

fn arrangement(
    r: &References,
    e: &Enclosure,
    own: &Kinds,
    parts: &Parts,
    a: v1::Arrangement,
) -> Check<Arrangement> {
    unique("kinds", "part", a.kinds.iter().map(|k| k.part.0.as_str()))?;
    let kind = |k: v1::KindOf| {
        let part = part_id(parts, &k.part).at("part")?;
        Ok((part, kind_named(r, own, &k.kind).at("kind")?))
    };
    let kinds: BTreeMap<PartId, Arc<PartKind>> =
        each("kinds", a.kinds, kind)?.into_iter().collect();
    // Ports are looked up on the parts as they are in this arrangement.
    let changed: Parts;
    let parts = if kinds.is_empty() {
        parts
    } else {
        let mut here = parts.clone();
        for (id, kind) in &kinds {
            if let Some(part) = here.get_mut(id) {
                part.kind = Arc::clone(kind);
            }
        }
        changed = here;
        &changed
    };
    unique("places", "part", a.places.iter().map(|p| p.part.0.as_str()))?;
    unique("cables", "id", a.cables.iter().map(|c| c.id.0.as_str()))?;
    let keys = a.accepted.iter().map(|f| f.finding.0.as_str());
    unique("accepted", "finding", keys)?;
    let accepted = a.accepted.into_iter().map(|f| {
        let acceptance = Acceptance {
            reason: f.reason.0,
            severity: f.severity.map(|s| s.0),
            off: match (f.off, f.over) {
                (Some(off), _) => Some(Off::Length(off.0)),
                (None, over) => over.map(|o| Off::Amount(Amount::new(o.unit.0, o.by.0))),
            },
        };
        (f.finding.0, acceptance)
    });
    Ok(Arrangement {
        name: a.name.0,
        places: each("places", a.places, |p| place(parts, p))?
            .into_iter()
            .collect(),
        cables: each("cables", a.cables, |c| cable(r, e, parts, c))?
            .into_iter()
            .collect(),
        accepted: accepted.collect(),
        kinds,
    })
}

pub(crate) fn read(r: &References, s: v1::Scene) -> Check<Scene> {
    unique("kinds", "id", s.kinds.iter().map(|k| k.id.0.as_str()))?;
    unique("parts", "id", s.parts.iter().map(|p| p.id.0.as_str()))?;
    let (enclosure, own_enclosure) = enclosure_of(r, s.enclosure).at("enclosure")?;
    let kinds = each("kinds", s.kinds, |k| kind::read(&r.reader, k))?;
    let own_kinds: Kinds = kinds
        .into_iter()
        .map(|k| (k.id.clone(), Arc::new(k)))
        .collect();
    let parts: Parts = each("parts", s.parts, |p| part(r, &own_kinds, p))?
        .into_iter()
        .collect();
    // Each of these looks at all parts anew.
    let several = s
        .arrangements
        .iter()
        .filter(|a| !a.kinds.is_empty())
        .count();
    if several.saturating_mul(parts.len()) > MOST_KINDS {
        let what = "too many arrangements have kinds of their own".to_owned();
        let hint = format!("keep their number times that of the parts below {MOST_KINDS}");
        return fault(what, hint).at("arrangements");
    }
    let one = |a| arrangement(r, &enclosure, &own_kinds, &parts, a);
    let arrangements = each("arrangements", s.arrangements, one)?;
    let named: BTreeSet<&PartId> = arrangements.iter().flat_map(|a| a.kinds.keys()).collect();
    if named.len().saturating_mul(arrangements.len()) > MOST_KINDS {
        let what = "too many parts are of several kinds in too many arrangements".to_owned();
        return fault(what, format!("keep their product below {MOST_KINDS}")).at("arrangements");
    }
    if arrangements.is_empty() {
        return fault("the scene has no arrangement", "give it at least one").at("arrangements");
    }
    let current = s.current as usize;
    if current >= arrangements.len() {
        let what = format!("no arrangement has the index {current}");
        return fault(what, format!("give 0 to {}", arrangements.len() - 1)).at("current");
    }
    let is_part = |id: &str| parts.keys().find(|p| p.as_str() == id).cloned();
    let measured = dimension::read_measured(s.measured, is_part)?;
    let mut scene = Scene {
        measured,
        title: s.title.0,
        notes: s.notes.0,
        enclosure,
        own_enclosure,
        parts,
        own_kinds,
        arrangements,
        current,
    };
    scene.complete_kinds();
    Ok(scene)
}

fn to_port(p: &PortRef) -> v1::PortName {
    v1::PortName {
        part: v1::Id::of(&p.part),
        port: v1::Id::of(&p.port),
    }
}

fn to_via(v: &Via) -> v1::Via {
    match v {
        Via::Passage(id) => v1::Via::Passage(v1::Id::of(id)),
        Via::Tie(id) => v1::Via::Tie(v1::Id::of(id)),
        Via::Chosen(id) => v1::Via::Chosen(v1::Id::of(id)),
        Via::Point(p) => v1::Via::Point(to_point(*p)),
        Via::Corner(p) => v1::Via::Corner(to_point(*p)),
    }
}

fn to_place((part, p): (&PartId, &Place)) -> v1::Place {
    let [x, y, _] = p.turn.axes();
    v1::Place {
        part: v1::Id::of(part),
        at: to_point(p.at),
        turn: (p.turn != Turn::NONE).then_some([v1::Word(x), v1::Word(y)]),
        locked: p.locked,
        hidden: p.hidden,
    }
}

fn to_cable((id, c): (&CableId, &Cable)) -> v1::Cable {
    let plug = |p: &PlugEnd| v1::PlugEnd {
        to: to_port(&p.to),
        length: v1::Positive(p.length),
        via: p.via.iter().map(to_via).collect(),
    };
    v1::Cable {
        id: v1::Id::of(id),
        name: v1::Name::of(&c.name),
        kind: c.kind.as_ref().map(v1::Id::of),
        system: v1::Word(c.system),
        from: to_port(&c.from),
        plugs: c.plugs.iter().map(plug).collect(),
        section: to_section(c.section),
        bend: v1::NotNegative(c.bend),
        hangs: c.hangs.map(v1::Positive),
        extension: c.extension.as_ref().map(|e| v1::Extension {
            kind: v1::Id::of(&e.kind),
            length: v1::Positive(e.length),
        }),
        locked: c.locked,
        finds: c.finds,
    }
}

fn to_arrangement(a: &Arrangement) -> v1::Arrangement {
    let accepted = |(finding, a): (&String, &Acceptance)| v1::Accepted {
        finding: v1::Note::of(finding),
        reason: v1::Note::of(&a.reason),
        severity: a.severity.map(v1::Word),
        off: match a.off {
            Some(Off::Length(off)) => Some(v1::NotNegative(off)),
            _ => None,
        },
        over: match a.off {
            Some(Off::Amount(over)) => Some(v1::Over {
                by: v1::Amount(over.value().clamp(0.0, 1e9)),
                unit: v1::Word(over.unit),
            }),
            _ => None,
        },
    };
    let kind = |(part, kind): (&PartId, &Arc<PartKind>)| v1::KindOf {
        part: v1::Id::of(part),
        kind: v1::Id::of(&kind.id),
    };
    v1::Arrangement {
        name: v1::Name::of(&a.name),
        places: a.places.iter().map(to_place).collect(),
        cables: a.cables.iter().map(to_cable).collect(),
        accepted: a.accepted.iter().map(accepted).collect(),
        kinds: a.kinds.iter().map(kind).collect(),
    }
}

pub(crate) fn write(s: &Scene) -> v1::Scene {
    let part = |(id, p): (&PartId, &Part)| v1::Part {
        id: v1::Id::of(id),
        kind: v1::Id::of(&p.kind.id),
        name: (p.name != p.kind.name).then(|| v1::Name::of(&p.name)),
    };
    v1::Scene {
        format: crate::file::SCENE_FORMAT.to_owned(),
        version: v1::VERSION,
        title: v1::Name::of(&s.title),
        notes: v1::Note::of(&s.notes),
        enclosure: match s.own_enclosure {
            true => v1::EnclosureOrId::Own(Box::new(enclosure::write(&s.enclosure))),
            false => v1::EnclosureOrId::Known(v1::Id::of(&s.enclosure.id)),
        },
        kinds: s.own_kinds.values().map(|k| kind::write(k)).collect(),
        parts: s.parts.iter().map(part).collect(),
        measured: dimension::write_measured(&s.measured),
        arrangements: s.arrangements.iter().map(to_arrangement).collect(),
        current: u32::try_from(s.current).unwrap_or(u32::MAX),
    }
}

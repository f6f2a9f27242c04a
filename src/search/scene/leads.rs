//! What cables cost and where they do not reach, for places of the parts at their ends.
//!
//! Each stretch joins two ports, so what it needs by the straight way depends on two
//! places at most. The straight way is never longer than one around obstacles, so this is
//! what a choice costs at least; those that are tried have their cables led.

use super::tables::Tables;
use super::wish::{Aim, Wish};
use crate::geom::Length;
use crate::model::{Cable, CableId, Catalogue, Part, PartId, PartKind, Scene, Settings};
use crate::placement::{Placed, PlacedPart};
use crate::route::{Direct, Stretch, run_with};
use crate::rules::{Finding, Severity, Subject};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Points are counted in hundredths.
pub(super) const POINT: u64 = 100;

/// What a stretch of a cable costs by the bodies of the parts at its ends; `None` where
/// it does not reach.
pub(super) struct Lead {
    pub(super) cable: CableId,
    /// Number of the plug.
    pub(super) index: usize,
    pub(super) name: String,
    pub(super) ends: Ends,
}

/// Which parts decide.
pub(super) enum Ends {
    /// One movable part.
    One(usize, Vec<Option<u64>>),
    /// Two; row-major by the first's bodies.
    Two(usize, usize, Vec<Option<u64>>),
}

impl Lead {
    /// What it costs with the bodies of a choice.
    pub(super) fn cost(&self, t: &Tables, choice: &[usize]) -> Option<u64> {
        let body = |m: usize| t.body[m][choice[m]] as usize;
        match &self.ends {
            Ends::One(m, cost) => cost[body(*m)],
            Ends::Two(a, b, cost) => cost[body(*a) * t.bodies[*b].len() + body(*b)],
        }
    }
}

/// How stretches are valued.
#[derive(Clone)]
pub(super) struct Price {
    cable: u64,
    caution: u64,
    percent: i64,
    longer: bool,
}

impl Price {
    pub(super) fn new(wish: &Wish, settings: &Settings) -> Price {
        Price {
            cable: wish.weights.of(Aim::CableLength).into(),
            caution: u64::from(wish.weights.of(Aim::Cautions)) * POINT,
            percent: settings.service_percent,
            longer: wish.longer_cables,
        }
    }

    /// What a stretch costs; `None` where it is too short, and nobody accepted that.
    pub(super) fn of(&self, stretch: &Stretch, rest: &Rest) -> Option<u64> {
        if stretch.legs.is_empty() {
            return Some(0);
        }
        let length = stretch.needed.as_um().max(0) as u64 / 1000 * (POINT / 10) * self.cable;
        if rest.accepted {
            return Some(length);
        }
        let at_hand = match self.longer {
            true => stretch.available.max(rest.longest),
            false => stretch.available,
        };
        if stretch.needed > at_hand {
            return None;
        }
        let wanted = with_service(stretch.needed, self.percent);
        Some(length + if at_hand < wanted { self.caution } else { 0 })
    }
}

/// What a way needs with the share for service, as the rule on short cables counts it.
pub(super) fn with_service(needed: Length, percent: i64) -> Length {
    let share = needed.as_um().saturating_mul(percent.max(0));
    needed + Length::um(share.div_euclid(100) + i64::from(share.rem_euclid(100) > 0))
}

/// What is known of a stretch whatever the places.
pub(super) struct Rest {
    /// The user accepted that it is short.
    accepted: bool,
    /// The longest that its kind comes in.
    longest: Length,
}

impl Rest {
    pub(super) fn of(scene: &Scene, catalogue: &Catalogue, id: &CableId, index: usize) -> Rest {
        let Some(cable) = scene.arrangement().cables.get(id) else {
            return Rest {
                accepted: false,
                longest: Length::ZERO,
            };
        };
        let kind = cable.kind.as_ref().and_then(|k| catalogue.cables.get(k));
        let subjects = vec![
            Subject::Cable(id.clone()),
            Subject::Port(cable.plugs[index].to.clone()),
        ];
        let key = Finding::new("cable-short", Severity::Stop, subjects, String::new()).key();
        Rest {
            accepted: scene.arrangement().accepted.contains_key(&key),
            longest: kind
                .and_then(|k| k.lengths.last().copied())
                .unwrap_or(Length::ZERO),
        }
    }
}

/// All stretches that a movable part has an end of.
pub(super) struct Leads {
    pub(super) leads: Vec<Lead>,
}

/// A scene of ports only: every body of every movable part under a name of its own.
struct Ports<'a> {
    catalogue: &'a Catalogue,
    scene: Scene,
    placed: Placed,
    /// Ids of movable parts cannot be told from made-up ones, so fixed ones get new ids too.
    fixed: BTreeMap<PartId, PartId>,
}

impl Leads {
    pub(super) fn build(
        scene: &Scene,
        wish: &Wish,
        settings: &Settings,
        catalogue: &Catalogue,
        fixed: &Placed,
        ids: &[PartId],
        bodies: &[Vec<Arc<PlacedPart>>],
    ) -> Leads {
        let price = Price::new(wish, settings);
        let number: BTreeMap<&PartId, usize> = ids.iter().zip(0..).collect();
        let ports = Ports::build(scene, catalogue, fixed, bodies);
        let mut leads = Vec::new();
        for (id, cable) in &scene.arrangement().cables {
            for index in 0..cable.plugs.len() {
                let rest = Rest::of(scene, catalogue, id, index);
                let (from, to) = ends(cable, index);
                let value = |one: Option<(usize, usize)>, two: Option<(usize, usize)>| {
                    let stretch = ports.stretch(id, cable, index, one, two)?;
                    Some(price.of(&stretch, &rest))
                };
                // A kind without the port has no such cable: it costs nothing there.
                let value = |one, two| value(one, two).unwrap_or(Some(0));
                let each = |m: usize| 0..bodies[m].len();
                let (a, b) = (number.get(from).copied(), number.get(to).copied());
                let ends = match (a, b) {
                    (None, None) => continue,
                    (Some(m), None) => {
                        Ends::One(m, each(m).map(|i| value(Some((m, i)), None)).collect())
                    }
                    (None, Some(m)) => {
                        Ends::One(m, each(m).map(|i| value(None, Some((m, i)))).collect())
                    }
                    (Some(m), Some(n)) if m == n => Ends::One(
                        m,
                        each(m).map(|i| value(Some((m, i)), Some((m, i)))).collect(),
                    ),
                    (Some(m), Some(n)) => {
                        let all = each(m).flat_map(|i| each(n).map(move |j| (i, j)));
                        Ends::Two(
                            m,
                            n,
                            all.map(|(i, j)| value(Some((m, i)), Some((n, j))))
                                .collect(),
                        )
                    }
                };
                leads.push(Lead {
                    cable: id.clone(),
                    index,
                    name: cable.name.clone(),
                    ends,
                });
            }
        }
        Leads { leads }
    }
}

/// The parts at the two ends of a stretch.
fn ends(cable: &Cable, index: usize) -> (&PartId, &PartId) {
    let from = match index {
        0 => &cable.from,
        i => &cable.plugs[i - 1].to,
    };
    (&from.part, &cable.plugs[index].to.part)
}

fn body_id(mover: usize, body: usize) -> PartId {
    PartId::new(&format!("m{mover}.{body}")).expect("letters, digits and a point")
}

impl<'a> Ports<'a> {
    fn build(
        scene: &Scene,
        catalogue: &'a Catalogue,
        fixed: &Placed,
        bodies: &[Vec<Arc<PlacedPart>>],
    ) -> Ports<'a> {
        let mut bare = Scene::new("", scene.enclosure.clone());
        let mut kinds: BTreeMap<crate::model::KindId, Arc<PartKind>> = BTreeMap::new();
        let mut add = |id: PartId, part: &PlacedPart| {
            let kind = kinds
                .entry(part.kind.id.clone())
                .or_insert_with(|| Arc::new(ports_of(&part.kind)));
            let (name, kind) = (String::new(), kind.clone());
            bare.parts.insert(id.clone(), Part { name, kind });
            bare.arrangement_mut().places.insert(id, part.place);
        };
        let mut renamed = BTreeMap::new();
        for (n, part) in fixed.parts().enumerate() {
            let id = PartId::new(&format!("f{n}")).expect("a letter and digits");
            renamed.insert(part.id.clone(), id.clone());
            add(id, part);
        }
        for (m, bodies) in bodies.iter().enumerate() {
            for (i, part) in bodies.iter().enumerate() {
                add(body_id(m, i), part);
            }
        }
        let placed = Placed::build(&bare);
        Ports {
            catalogue,
            scene: bare,
            placed,
            fixed: renamed,
        }
    }

    /// One stretch of a cable, its ends on these bodies or on what does not move; `None`
    /// where an end is missing.
    fn stretch(
        &self,
        id: &CableId,
        cable: &Cable,
        index: usize,
        from: Option<(usize, usize)>,
        to: Option<(usize, usize)>,
    ) -> Option<Stretch> {
        let mut cable = cable.clone();
        let rename = |port: &mut crate::model::PortRef, end: Option<(usize, usize)>| {
            port.part = match end {
                Some((m, i)) => body_id(m, i),
                None => self.fixed.get(&port.part)?.clone(),
            };
            Some(())
        };
        match index {
            0 => rename(&mut cable.from, from)?,
            i => rename(&mut cable.plugs[i - 1].to, from)?,
        }
        rename(&mut cable.plugs[index].to, to)?;
        for port in [
            match index {
                0 => &cable.from,
                i => &cable.plugs[i - 1].to,
            },
            &cable.plugs[index].to,
        ] {
            self.placed.port(port)?;
        }
        let mut run = run_with(
            &Direct,
            &self.scene,
            &self.placed,
            self.catalogue,
            id,
            &cable,
        );
        Some(run.stretches.swap_remove(index))
    }
}

/// A kind with its ports and nothing else.
fn ports_of(kind: &PartKind) -> PartKind {
    PartKind {
        body: Vec::new(),
        patterns: Vec::new(),
        zones: Vec::new(),
        outlets: Vec::new(),
        features: Vec::new(),
        figures: Vec::new(),
        ..kind.clone()
    }
}

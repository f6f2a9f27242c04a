//! Everything about places and pairs of places that the search needs, worked out once.

use super::leads::Leads;
use super::pair::{Judge, Meeting, too_high};
use super::spot::{Finder, Mover, Via, twins};
use super::unary::Alone;
use super::wish::Wish;
use crate::geom::{Length, Turn, Vec3};
use crate::model::{Catalogue, KindId, PartId, Scene, Settings, ZoneRef};
use crate::placement::{Joint, Placed, PlacedPart};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Most pairs of places of two parts, over all pairs of parts: what keeps the memory below
/// half a gigabyte.
const MOST_PAIRS: usize = 16_000_000;

/// What two movable parts do to one another, for each pair of their bodies that is near.
pub(super) struct Near {
    pub(super) a: usize,
    pub(super) b: usize,
    /// By body of `a` and body of `b`.
    pub(super) met: BTreeMap<(u32, u32), Meeting>,
}

/// One part stands on another: places of the first, held by which places of the second.
pub(super) struct Held {
    pub(super) a: usize,
    pub(super) b: usize,
    /// For each place of `a` that is on `b` the places of `b` that hold it; `None` for a
    /// place that something else holds.
    pub(super) by: Vec<Option<BTreeSet<usize>>>,
    /// Where a stack of the two is too high: by how much at least, and in words.
    pub(super) high: Option<(Length, String)>,
}

/// All of it.
pub(super) struct Tables {
    pub(super) ids: Vec<PartId>,
    pub(super) movers: Vec<Mover>,
    /// The distinct kinds and places of each mover.
    pub(super) bodies: Vec<Vec<Arc<PlacedPart>>>,
    /// The body of each place.
    pub(super) body: Vec<Vec<u32>>,
    /// The site of each place: boxes in the same zone whose middles nearly agree, or in two
    /// (of both sides of a bay) whose middles are one.
    pub(super) site: Vec<Vec<u32>>,
    pub(super) near: Vec<Near>,
    pub(super) held: Vec<Held>,
    pub(super) leads: Leads,
    /// Parts that can stand in for one another.
    pub(super) twins: Vec<Vec<usize>>,
    /// Places that were not looked at, over all parts.
    pub(super) left_out: usize,
}

impl Tables {
    /// True where all places were looked at.
    pub(super) fn complete(&self) -> bool {
        self.left_out == 0
    }

    pub(super) fn build(
        scene: &Scene,
        wish: &Wish,
        settings: &Settings,
        catalogue: &Catalogue,
        most: usize,
        stop: &dyn Fn() -> bool,
    ) -> Tables {
        let ids: Vec<PartId> = wish.moving(scene).into_iter().cloned().collect();
        let without = without(scene, &ids);
        let fixed = Placed::build(&without);
        let wide = match wish.weights.of(super::Aim::MovableGap) {
            0 => Length::ZERO,
            _ => super::wish::WIDE_GAP,
        };
        let pairs = Judge {
            settings,
            accepted: &scene.arrangement().accepted,
            look: wide.max(wish.gap.unwrap_or(Length::ZERO)),
        };
        let mut alone = Alone::new(scene, settings, catalogue, &pairs, &fixed);
        let mut finder = Finder {
            scene,
            wish,
            fixed: &fixed,
            judge: &mut |part, zone| alone.judge(part, zone),
            stop,
            most: match ids.len() {
                0..=MANY => most,
                n => most_spots(n).min(most),
            },
            known: BTreeMap::new(),
        };
        let mut movers = finder.find(&ids);
        let limit = fitting(&movers);
        for m in &mut movers {
            m.cut(limit);
            shuffle(&mut m.spots, wish.seed);
        }
        let left_out = movers.iter().map(|m| m.left_out).sum();
        let (bodies, body): (Vec<_>, Vec<_>) = movers.iter().map(bodies_of).unzip();
        let site = movers.iter().map(sites_of).collect();
        let mut near = Vec::new();
        for b in 0..movers.len() {
            for a in 0..b {
                if stop() {
                    break;
                }
                near.push(meet(&pairs, &bodies, a, b));
            }
        }
        let held = held(&movers, &fixed);
        let leads = Leads::build(scene, wish, settings, catalogue, &fixed, &ids, &bodies);
        let twins = twins(scene, wish, &ids);
        let twins = twins.into_iter().filter(|g| alike(g, &movers)).collect();
        Tables {
            ids,
            movers,
            bodies,
            body,
            site,
            near,
            held,
            leads,
            twins,
            left_out,
        }
    }
}

/// The scene with these parts beside the enclosure; their cables stay.
pub(super) fn without(scene: &Scene, ids: &[PartId]) -> Scene {
    let mut without = scene.clone();
    for id in ids {
        without.arrangement_mut().places.remove(id);
    }
    without
}

/// With so many movers, each may have many places.
const MANY: usize = 30;

/// So many places of each mover make no more pairs than [`MOST_PAIRS`].
fn fitting(movers: &[Mover]) -> usize {
    let pairs = |limit: usize| {
        let sizes = movers.iter().map(|m| m.spots.len().min(limit));
        let (sum, squares) = sizes.fold((0, 0), |(s, q), n| (s + n, q + n * n));
        (sum * sum - squares) / 2
    };
    let longest = movers.iter().map(|m| m.spots.len()).max().unwrap_or(0);
    if pairs(longest) <= MOST_PAIRS {
        return longest;
    }
    let (mut fits, mut too_many) = (1, longest);
    while too_many - fits > 1 {
        let middle = fits.midpoint(too_many);
        match pairs(middle) <= MOST_PAIRS {
            true => fits = middle,
            false => too_many = middle,
        }
    }
    fits
}

fn most_spots(movers: usize) -> usize {
    let n = movers.max(2);
    let pairs = n * (n - 1) / 2;
    ((MOST_PAIRS / pairs) as f64).sqrt() as usize
}

/// Another order for another seed; none for 0. SplitMix64 deals the numbers.
fn shuffle<T>(items: &mut [T], seed: u64) {
    if seed == 0 {
        return;
    }
    let mut state = seed;
    for i in (1..items.len()).rev() {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        items.swap(i, ((z ^ (z >> 31)) % (i as u64 + 1)) as usize);
    }
}

type BodyKey = (KindId, Vec3, Turn);

fn bodies_of(mover: &Mover) -> (Vec<Arc<PlacedPart>>, Vec<u32>) {
    let mut known: BTreeMap<BodyKey, u32> = BTreeMap::new();
    let mut bodies = Vec::new();
    let of = mover.spots.iter().map(|s| {
        let key = (s.part.kind.id.clone(), s.place().at, s.place().turn);
        *known.entry(key).or_insert_with(|| {
            bodies.push(s.part.clone());
            (bodies.len() - 1) as u32
        })
    });
    let of = of.collect();
    (bodies, of)
}

/// How far apart the middles of one site may be.
const ONE_SITE_MM: f64 = 15.0;
/// The same, where other holes hold it.
const ONE_PLACE_MM: f64 = 1.0;

fn sites_of(mover: &Mover) -> Vec<u32> {
    let mut sites: Vec<(&KindId, Option<&ZoneRef>, Vec3)> = Vec::new();
    let of = mover.spots.iter().map(|s| {
        let (kind, zone) = (&s.part.kind.id, s.zone.as_ref());
        let middle = s.part.outline.centre();
        let known = sites
            .iter()
            .position(|t| t.0 == kind && t.1 == zone && t.2.distance_mm(middle) < ONE_SITE_MM);
        known.unwrap_or_else(|| {
            sites.push((kind, zone, middle));
            sites.len() - 1
        })
    });
    let of: Vec<usize> = of.collect();
    // Sites that share a place are one.
    let mut one: Vec<usize> = (0..sites.len()).collect();
    let middle = |s: usize| mover.spots[s].part.outline.centre();
    let kind = |s: usize| mover.spots[s].kind;
    let mut along: Vec<usize> = (0..of.len()).collect();
    along.sort_by_key(|s| middle(*s).x);
    for (k, a) in along.iter().enumerate() {
        let near = |b: &&usize| (middle(**b).x - middle(*a).x).as_mm() < ONE_PLACE_MM;
        for b in along[k + 1..].iter().take_while(near) {
            let shared = middle(*a).distance_mm(middle(*b)) < ONE_PLACE_MM;
            let (x, y) = (one[of[*a]], one[of[*b]]);
            if x != y && shared && kind(*a) == kind(*b) {
                for site in &mut one {
                    if *site == x.max(y) {
                        *site = x.min(y);
                    }
                }
            }
        }
    }
    of.into_iter().map(|s| one[s] as u32).collect()
}

fn meet(pairs: &Judge, bodies: &[Vec<Arc<PlacedPart>>], a: usize, b: usize) -> Near {
    let mut met = BTreeMap::new();
    for (i, p) in (0u32..).zip(&bodies[a]) {
        for (j, q) in (0u32..).zip(&bodies[b]) {
            let meeting = pairs.meet(p, q);
            if meeting != Meeting::FAR {
                met.insert((i, j), meeting);
            }
        }
    }
    Near { a, b, met }
}

fn held(movers: &[Mover], fixed: &Placed) -> Vec<Held> {
    let mut all = Vec::new();
    for (a, upper) in movers.iter().enumerate() {
        let on: BTreeSet<usize> = upper
            .spots
            .iter()
            .filter_map(|s| match s.via {
                Via::On(b) => Some(b),
                _ => None,
            })
            .collect();
        for b in on {
            let mut high: Option<(Length, String)> = None;
            let mut by = Vec::with_capacity(upper.spots.len());
            for s in &upper.spots {
                if s.via != Via::On(b) {
                    by.push(None);
                    continue;
                }
                let mut holders = BTreeSet::new();
                for (j, t) in movers[b].spots.iter().enumerate() {
                    let below = t.via != Via::Free && t.level + 1 == s.level;
                    if !below || !Joint::of(&s.part, &t.part).holds_first() {
                        continue;
                    }
                    let zone = t.zone.as_ref().and_then(|z| fixed.zone(z));
                    match too_high(&s.part, &t.part, zone) {
                        None => _ = holders.insert(j),
                        Some(no) if high.as_ref().is_none_or(|h| no.0 < h.0) => high = Some(no),
                        Some(_) => {}
                    }
                }
                by.push(Some(holders));
            }
            all.push(Held { a, b, by, high });
        }
    }
    all
}

/// Whether twins have the same places in the same order.
fn alike(group: &[usize], movers: &[Mover]) -> bool {
    let places = |i: usize| {
        let spots = movers[i].spots.iter();
        let key = |s: &super::spot::Spot| (s.place().at, s.place().turn, s.via, s.level);
        spots.map(key).collect::<Vec<_>>()
    };
    let first = places(group[0]);
    group[1..].iter().all(|i| places(*i) == first)
}

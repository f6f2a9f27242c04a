//! Which openings of the enclosure's plates a cable may use.

use super::field;
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, Catalogue, Passage, Scene, Section, Via};
use crate::placement::{Placed, PlacedPlate};
use crate::route::bend::{Point, dot, sub};
use crate::route::bundle;
use crate::route::run::{CableRun, Stretch};
use std::collections::{BTreeMap, BTreeSet};

/// Three and more cables may fill this share of an opening before a bundle that is
/// thicker than its narrow side counts as tight; as the rule on full passages says.
pub const FILL: f64 = 0.4;

/// The cut-outs that are open to one cable, by plate and position.
#[derive(Clone, Debug, Default)]
pub struct Gates {
    open: BTreeSet<(u32, usize)>,
}

impl Gates {
    /// What is open to a cable: passages that one of its plugs gets through and that
    /// are not full with what runs there already, all that it is led through, and
    /// other cut-outs that it gets through with a plug. A plug whose size is not known
    /// counts as none: then passages are open, other cut-outs are not.
    pub fn of(
        scene: &Scene,
        placed: &Placed,
        catalogue: &Catalogue,
        runs: &BTreeMap<CableId, CableRun>,
        id: &CableId,
        cable: &Cable,
    ) -> Gates {
        let plug = smallest_plug(placed, catalogue, cable);
        let section = [cable.section.width(), cable.section.thickness()];
        let mut open = BTreeSet::new();
        let led: BTreeSet<&str> = led_through(cable).collect();
        let passages = &placed.enclosure().passages;
        for (plate, own) in placed.plates().iter().zip(&placed.enclosure().plates) {
            for (i, cutout) in own.open() {
                let hole = field::through(cutout, own);
                let within = |p: &&Passage| lies_in(p, plate, &hole);
                let is_open = match passages.iter().find(within) {
                    Some(p) if led.contains(p.id.as_str()) => true,
                    Some(p) => {
                        plug.is_none_or(|plug| gets_through(plug, p.clear))
                            && gets_through(section, p.clear)
                            && has_room(p, users(scene, runs, p, Some(id)), cable.section)
                    }
                    None => {
                        let (a, b) = own.across().others();
                        let clear = [hole.size().along(a), hole.size().along(b)];
                        gets_through(section, clear)
                            && plug.is_some_and(|plug| gets_through(plug, clear))
                    }
                };
                if is_open {
                    open.insert((plate.index, i));
                }
            }
        }
        Gates { open }
    }

    /// True where a cable may use this cut-out of this plate.
    pub fn is_open(&self, plate: u32, cutout: usize) -> bool {
        self.open.contains(&(plate, cutout))
    }
}

fn led_through(cable: &Cable) -> impl Iterator<Item = &str> {
    let along = cable.plugs.iter().flat_map(|p| &p.via);
    along.filter_map(|v| match v {
        Via::Passage(id) => Some(id.as_str()),
        _ => None,
    })
}

/// The plug that goes through openings first: the smaller of both, of a captive lead the
/// one at its free end.
fn smallest_plug(placed: &Placed, catalogue: &Catalogue, cable: &Cable) -> Option<[Length; 2]> {
    let captive = cable.kind.is_none();
    let ends = cable.ports().skip(usize::from(captive));
    let sizes = ends.filter_map(|end| {
        let connector = catalogue
            .connectors
            .get(&placed.port_kind(end)?.connector)?;
        Some([connector.plug[0], connector.plug[1]])
    });
    sizes.min_by_key(|s| s[0].max(s[1]))
}

/// A section or a plug in an opening, both the larger extent first or not.
pub fn gets_through(size: [Length; 2], clear: [Length; 2]) -> bool {
    let sorted = |s: [Length; 2]| [s[0].max(s[1]), s[0].min(s[1])];
    let (size, clear) = (sorted(size), sorted(clear));
    size[0] <= clear[0] && size[1] <= clear[1]
}

fn lies_in(passage: &Passage, plate: &PlacedPlate, hole: &crate::geom::Box3) -> bool {
    // The middle of a passage may lie on either face of its plate.
    let axis = passage.frame.normal.axis();
    let at = passage.frame.origin;
    let near = hole.min().along(axis) - Length::mm(2) <= at.along(axis)
        && at.along(axis) <= hole.max().along(axis) + Length::mm(2);
    let level = at.with(axis, hole.centre().along(axis));
    near && plate.bounds.contains_point(level) && hole.contains_point(level)
}

/// True where one more cable fits through beside what runs there: area and width, as the
/// rule on full passages judges them, without a caution.
fn has_room(passage: &Passage, users: Vec<Section>, one: Section) -> bool {
    let all = || users.iter().copied().chain([one]);
    let area = bundle::area(all());
    let opening = passage.clear[0].as_mm() * passage.clear[1].as_mm();
    let narrow = passage.clear[0].min(passage.clear[1]);
    area <= opening && (bundle::diameter(all()) <= narrow || area <= FILL * opening)
}

/// The sections of the cables that are led through a passage, or whose laid ways go
/// through it; but for one.
pub fn users(
    scene: &Scene,
    runs: &BTreeMap<CableId, CableRun>,
    passage: &Passage,
    but: Option<&CableId>,
) -> Vec<Section> {
    let cables = scene.arrangement().cables.iter();
    let through = cables.filter(|(id, cable)| {
        but != Some(*id)
            && (led_through(cable).any(|p| p == passage.id)
                || cable.has_corners() && runs.get(*id).is_some_and(|run| uses(run, passage)))
    });
    through.map(|(_, cable)| cable.section).collect()
}

/// True where a way goes through the clear opening of a passage.
pub fn uses(run: &CableRun, passage: &Passage) -> bool {
    run.stretches.iter().any(|s| goes_through(s, passage))
}

/// True where a stretch goes through the clear opening of a passage: its corners before
/// rounding cross it.
pub fn goes_through(stretch: &Stretch, passage: &Passage) -> bool {
    let frame = &passage.frame;
    let [u, v] = [frame.u, frame.v].map(|d| unit_of(d.times(Length::mm(1))));
    let (out, at) = (
        unit_of(frame.normal.times(Length::mm(1))),
        frame.origin.as_mm(),
    );
    let clear = passage.clear.map(|l| l.as_mm() / 2.0);
    stretch.points.windows(2).any(|w| {
        let [a, b] = [0, 1].map(|i| dot(sub(w[i], at), out));
        if (a > 0.0) == (b > 0.0) {
            return false;
        }
        let t = a / (a - b);
        let p: Point = std::array::from_fn(|k| w[0][k] + (w[1][k] - w[0][k]) * t - at[k]);
        dot(p, u).abs() <= clear[0] && dot(p, v).abs() <= clear[1]
    })
}

fn unit_of(v: Vec3) -> Point {
    v.as_mm()
}

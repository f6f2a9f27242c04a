//! Measuring: from point to point as seen in a view, or the smallest gap between
//! two things in space. Nothing of it belongs to the scene.

use super::Editor;
use super::snap::{Pointer, depth_axis};
use super::tool::{Event, Target, Tool};
use crate::geom::{Axis, Box3, Dir, Length, Solid, Vec3};
use crate::model::{HoleShape, Space};
use crate::placement::{Broken, Closest, Side, Thing};
use crate::view::{Measured, ViewKind};
use std::collections::BTreeSet;

/// A point taken hold of.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Spot {
    /// Where. Along the view's depth only where it lies on something known.
    pub at: Vec3,
    /// The view it was taken in.
    pub view: ViewKind,
    /// What it is on: 'corner of ...', 'hole ...'; `None` on the bare sheet.
    pub on: Option<String>,
}

/// The state of measuring.
#[derive(Clone, Default, Debug)]
pub struct Measuring {
    pressed: Option<(Spot, Option<Thing>)>,
    dragged: bool,
    /// The first of two things.
    pub first: Option<Thing>,
    /// The point under the pointer that a press would take.
    pub ready: Option<Spot>,
    /// What was measured, for the views.
    pub result: Option<Measured>,
    /// The same in words.
    pub words: String,
}

impl Measuring {
    /// Lets go of all that was taken and found.
    pub(super) fn forget(&mut self) {
        *self = Measuring::default();
    }

    /// One sentence on what comes next, or what was found.
    pub fn hint(&self) -> String {
        match (&self.first, self.words.is_empty()) {
            (Some(_), _) => "Click the second part or wall; Escape lets the first one go.".into(),
            (None, false) => self.words.clone(),
            (None, true) => "Measure: click two parts or walls for the gap between them, or drag from point to point. Escape ends it.".into(),
        }
    }
}

impl Editor {
    /// Begins or ends measuring.
    pub fn toggle_measuring(&mut self) {
        self.cancel_gesture();
        self.measuring = match self.measuring.take() {
            Some(_) => None,
            None => Some(Measuring::default()),
        };
        self.revision += 1;
    }

    /// How far the part in hand could go on each side; `None` while none is held.
    pub fn held_sides(&self) -> Option<[Option<Side>; 6]> {
        let placed = self.checker.placed();
        match &self.tool {
            Tool::Moving(m) => {
                let moving = m.starts.iter().map(|(id, _)| id.clone()).collect();
                Some(placed.sides_together(&moving))
            }
            Tool::Placing(p) if p.landing.is_some() => Some(placed.sides(&p.id, &BTreeSet::new())),
            _ => None,
        }
    }

    /// What is being measured; `None` while it is off.
    pub fn measuring(&self) -> Option<&Measuring> {
        self.measuring.as_ref()
    }

    /// Escape: lets go of what was begun or found, then ends measuring.
    pub(super) fn measure_back(&mut self) {
        let Some(m) = self.measuring.take() else {
            return;
        };
        let clear = m.first.is_none() && m.result.is_none() && m.pressed.is_none();
        self.measuring = (!clear).then(Measuring::default);
        self.revision += 1;
    }

    pub(super) fn measure(&mut self, mut m: Measuring, event: Event) -> Measuring {
        match event {
            Event::Press {
                pointer, target, ..
            } => {
                let thing = self.thing_at(pointer, &target);
                m.pressed = Some((self.spot(pointer), thing));
                m.dragged = false;
            }
            Event::Move { pointer, .. } => {
                let spot = self.spot(pointer);
                if let Some((from, _)) = &m.pressed {
                    m.dragged = true;
                    m.first = None;
                    (m.words, m.result) = between_points(from, &spot);
                }
                m.ready = Some(spot);
            }
            Event::Release => {
                let pressed = m.pressed.take();
                if let (false, Some((_, thing))) = (m.dragged, pressed) {
                    self.pick(&mut m, thing);
                }
                m.dragged = false;
            }
            _ => {}
        }
        m
    }

    /// What tolerances make of a gap, as the rule on uncertain gaps works it out.
    fn spread_words(&self, ends: [&Thing; 2], points: [Vec3; 2], boxes: bool) -> String {
        let parts = ends.map(|thing| match thing {
            Thing::Part(id) => Some(id),
            Thing::Plate(_) => None,
        });
        let known = (&**self.settings(), &self.scene().measured);
        let placed = self.checker.placed();
        match placed.chains(known, parts, points, boxes) {
            Ok(chains) => {
                let s = chains.spread();
                let drawn = Length::from_mm(points[0].distance_mm(points[1]));
                let as_measured = match drawn.is_some_and(|d| d.text2() == s.nominal.text2()) {
                    true => String::new(),
                    false => format!(" As measured {} mm.", s.nominal.text2()),
                };
                format!(
                    "{as_measured} With tolerances {} to {}, {:.2} ±{:.2} by root sum square.",
                    s.least.text2(),
                    s.most.text2(),
                    s.centre,
                    s.rss
                )
            }
            // They touch: they are meant to.
            Err(Broken::NoGap) => String::new(),
            Err(why) => format!(" Tolerances not worked out: {why}."),
        }
    }

    fn pick(&mut self, m: &mut Measuring, thing: Option<Thing>) {
        m.result = None;
        m.words.clear();
        let Some(thing) = thing else {
            m.first = None;
            m.words =
                "Nothing solid there: click a part or a wall, or drag from point to point.".into();
            return;
        };
        let Some(first) = m.first.take() else {
            if let Thing::Part(id) = &thing {
                self.select([id.clone()]);
            }
            m.first = Some(thing);
            return;
        };
        let placed = self.checker.placed();
        let names = [&first, &thing].map(|t| placed.thing_words(t));
        match placed.closest(&first, &thing) {
            Err(why) => m.words = format!("Not measured: {why}."),
            Ok(Closest::Apart {
                distance,
                from,
                to,
                boxes,
            }) => {
                let by = (to - from).as_mm().map(f64::abs);
                m.words = match distance == Length::ZERO {
                    true => format!("{} and {} touch.", names[0], names[1]),
                    false => format!(
                        "{} to {}: {} mm apart (x {:.2}, y {:.2}, z {:.2}).",
                        names[0],
                        names[1],
                        distance.text2(),
                        by[0],
                        by[1],
                        by[2]
                    ),
                };
                m.words
                    .push_str(&self.spread_words([&first, &thing], [from, to], boxes));
                m.result = Some(Measured::gap(from, to, distance));
            }
            Ok(Closest::Overlap {
                depth,
                away,
                is_least,
                region,
            }) => {
                let by = away.as_mm();
                let what = match is_least {
                    true => "is the shortest way apart",
                    false => "takes them apart, and less may do",
                };
                m.words = format!(
                    "{} and {} overlap: {} mm {what} (x {:.2}, y {:.2}, z {:.2} for {}).",
                    names[0],
                    names[1],
                    depth.text2(),
                    by[0],
                    by[1],
                    by[2],
                    names[1]
                );
                m.result = Some(Measured::overlap(region, away, depth));
            }
        }
    }

    /// The part under the pointer, or the wall that the view shows there edge on.
    fn thing_at(&self, pointer: Pointer, target: &Target) -> Option<Thing> {
        match target {
            Target::Part(id) => return Some(Thing::Part(id.clone())),
            Target::Port(port) => return Some(Thing::Part(port.part.clone())),
            _ => {}
        }
        let depth = depth_axis(pointer.view);
        let placed = self.checker.placed();
        let near = |b: &Box3| {
            Axis::ALL.into_iter().filter(|a| *a != depth).all(|a| {
                let at = pointer.at.along(a);
                let slack = pointer.near.half();
                b.min().along(a) - slack <= at && at <= b.max().along(a) + slack
            })
        };
        let edge_on = |b: &Box3| {
            let size = b.size();
            Axis::ALL
                .into_iter()
                .all(|a| size.along(depth) >= size.along(a) || a != depth)
                && Axis::ALL
                    .into_iter()
                    .any(|a| a != depth && size.along(a) < size.along(depth))
        };
        let plates = placed.plates().iter();
        let found = plates.filter(|p| near(&p.bounds) && edge_on(&p.bounds));
        let thin = |b: &Box3| b.size().x.min(b.size().y).min(b.size().z);
        found
            .min_by_key(|p| thin(&p.bounds))
            .map(|p| Thing::Plate(p.index))
    }

    /// The corner, hole or port nearest to the pointer in its view, or else the
    /// point itself. Of several on one line of sight the one nearest to the eye.
    fn spot(&self, pointer: Pointer) -> Spot {
        let depth = depth_axis(pointer.view);
        let flat = |v: Vec3| v.with(depth, Length::ZERO);
        let mut best: Option<(i64, Length, Vec3, String)> = None;
        let mut offer = |at: Vec3, what: &dyn Fn() -> String| {
            let away = flat(at).distance_mm(flat(pointer.at));
            if away > pointer.near.as_mm() {
                return;
            }
            let key = ((away * 1000.0) as i64, -pointer.view.depth(at));
            if best.as_ref().is_none_or(|b| key < (b.0, b.1)) {
                best = Some((key.0, key.1, at, what()));
            }
        };
        let placed = self.checker.placed();
        let reach = pointer.near;
        let around = |b: &Box3| {
            Axis::ALL.into_iter().filter(|a| *a != depth).all(|a| {
                let at = pointer.at.along(a);
                b.min().along(a) - reach <= at && at <= b.max().along(a) + reach
            })
        };
        for part in placed
            .parts()
            .filter(|p| around(&p.span) && !p.place.hidden)
        {
            for piece in part.of(Space::Solid).filter(|p| around(&p.bounds)) {
                for at in marks(&piece.solid) {
                    offer(at, &|| format!("corner of {}", part.name));
                }
            }
            for pattern in &part.patterns {
                for hole in &pattern.holes {
                    if !matches!(hole.shape, HoleShape::Seat { .. }) {
                        let at = pattern.frame.point(hole.u, hole.v);
                        offer(at, &|| format!("hole {} of {}", hole.label, part.name));
                    }
                }
            }
            for port in &part.ports {
                offer(port.at, &|| {
                    format!("{} of {}", part.kind.ports[port.index].name, part.name)
                });
            }
        }
        for plate in placed.plates().iter().filter(|p| around(&p.bounds)) {
            for at in plate.solids.iter().flat_map(marks) {
                offer(at, &|| format!("corner of {}", plate.name));
            }
        }
        let view = pointer.view;
        match best {
            Some((_, _, at, on)) => Spot {
                at,
                view,
                on: Some(on),
            },
            None => Spot {
                at: pointer.at,
                view,
                on: None,
            },
        }
    }
}

/// Points of a solid that a calliper can be set to: the corners of a box or an
/// outline, and the middles and quarter points of a cylinder's ends.
fn marks(solid: &Solid) -> Vec<Vec3> {
    match solid {
        Solid::Box(b) => {
            let ends = [b.min(), b.max()];
            let corner =
                |i: usize| Vec3::new(ends[i & 1].x, ends[(i >> 1) & 1].y, ends[(i >> 2) & 1].z);
            (0..8).map(corner).collect()
        }
        Solid::Cylinder {
            axis,
            base,
            radius,
            height,
        } => {
            let (p, q) = axis.others();
            let mut points = Vec::with_capacity(10);
            for end in [*base, *base + Dir::new(*axis, true).times(*height)] {
                points.push(end);
                for side in [p, q] {
                    let out = Dir::new(side, true).times(*radius);
                    points.extend([end + out, end - out]);
                }
            }
            points
        }
        Solid::Extrusion {
            axis,
            low,
            high,
            outline,
            holes,
        } => {
            let (p, q) = axis.others();
            let rings = std::iter::once(outline).chain(holes);
            rings
                .flatten()
                .flat_map(|at| {
                    [*low, *high]
                        .map(|end| Vec3::ZERO.with(p, at[0]).with(q, at[1]).with(*axis, end))
                })
                .collect()
        }
    }
}

/// Words and marks for two points. The depth counts only where both are known.
fn between_points(from: &Spot, to: &Spot) -> (String, Option<Measured>) {
    let depth = depth_axis(from.view);
    let known = from.on.is_some() && to.on.is_some();
    let by = match known {
        true => to.at - from.at,
        false => (to.at - from.at).with(depth, Length::ZERO),
    };
    let mm = by.as_mm();
    let straight = (mm[0] * mm[0] + mm[1] * mm[1] + mm[2] * mm[2]).sqrt();
    let Some(length) = Length::from_mm(straight) else {
        return (String::new(), None);
    };
    let axes: Vec<String> = Axis::ALL
        .into_iter()
        .filter(|a| known || *a != depth)
        .map(|a| format!("{} {}", ["x", "y", "z"][a.index()], by.along(a).text2()))
        .collect();
    let name = |s: &Spot| s.on.clone().unwrap_or_else(|| "a point".to_owned());
    let seen = match known {
        true => String::new(),
        false => format!(", as seen in the {}", from.view.name()),
    };
    let words = format!(
        "{} to {}: {} mm ({}){seen}.",
        name(from),
        name(to),
        length.text2(),
        axes.join(", ")
    );
    let marks = Measured::line(from.at, to.at, length, (!known).then_some(from.view));
    (words, Some(marks))
}

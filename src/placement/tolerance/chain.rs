//! The chain of dimensions from one face to another, through the holes that hold
//! the parts.

use super::{Chain, Link, Source, derived};
use crate::geom::{Axis, Dir, Length, Vec3};
use crate::model::{Deviation, Dimensions, Frame, Hole, HoleShape, PartId, Settings, Span};
use crate::placement::hold::Hold;
use crate::placement::holes::SEAT_PLAY;
use crate::placement::part::PlacedPart;
use crate::placement::screw::twice_play;
use crate::placement::support::Support;
use crate::placement::table::Placed;
use std::collections::BTreeMap;

/// One end of a chain.
#[derive(Clone, Copy, Debug)]
pub struct Face<'a> {
    /// The part; `None` for the enclosure.
    pub part: Option<&'a PartId>,
    /// Where the face is along the chain's axis.
    pub at: Length,
}

/// Why there is no chain.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum Broken {
    /// A part on the way is held by nothing, so it may lie anywhere.
    #[error("nothing holds {0}")]
    Loose(String),
    /// The part lies beside the enclosure.
    #[error("it has no place")]
    NoPlace,
    /// The points are one.
    #[error("there is no gap")]
    NoGap,
    /// The way does not come to the enclosure.
    #[error("it hangs on itself")]
    Ring,
    /// A dimension is larger than the table of general tolerances goes.
    #[error("{size} mm of {name} lie beyond the table of general tolerances")]
    BeyondTable {
        /// The dimension.
        size: Length,
        /// Of what.
        name: String,
    },
}

/// A stretch of the axis in the frame of the part that it is a dimension of, or of the
/// enclosure.
fn span(part: Option<&PlacedPart>, axis: Axis, [from, to]: [Length; 2]) -> Option<Span> {
    let Some(p) = part else {
        return Span::new(axis, from, to);
    };
    let own = p.place.turn.inverse().dir(Dir::new(axis, true));
    let shift = p.place.shift(&p.kind).along(axis);
    let [a, b] = [from, to].map(|at| (at - shift) * own.sign());
    Span::new(own.axis(), a, b)
}

/// Most parts that one is carried through.
const MOST_STEPS: usize = 64;

/// Where one part is joined to the next.
struct Joint {
    /// Part nearer to the face; its slot.
    slot: u32,
    /// What carries it; `None` for the enclosure.
    next: Option<u32>,
    /// Where they meet, along the axis.
    at: Length,
    /// How far the first may lie farther up and farther down the axis.
    play: Deviation,
    /// The hole, or 'seat', or 'face'.
    hole: String,
}

impl Placed {
    /// The dimensions from one face to another along an axis: from the face to the
    /// hole that holds its part, the play there, through what carries it, and so on
    /// until both ways meet in one part or in the enclosure. `to` lies farther up
    /// the axis than `from`.
    ///
    /// A dimension has the figure that was measured, else the one that the kind or the
    /// enclosure gives for it, else what follows from others that were measured, else the kind's
    /// for that axis, else the general tolerance of
    /// its size. Where what was measured is not what is drawn, the gap differs as well. A screw's play lets a part
    /// lie off as far as both holes allow from where it is drawn; along the screw
    /// there is none. A seat plays 0.2 mm either way across, as where holes are
    /// matched. Along a slot a part is taken to be set where it is drawn, to what the settings say of that.
    ///
    /// # Errors
    /// See [`Broken`].
    pub fn chain(
        &self,
        (settings, measured): (&Settings, &BTreeMap<Option<PartId>, Dimensions>),
        axis: Axis,
        from: Face,
        to: Face,
    ) -> Result<Chain, Broken> {
        let set = settings.limits.slot_set.unwrap_or(Length::ZERO);
        let up = self.joints(axis, from, set)?;
        let down = self.joints(axis, to, set)?;
        let start = |face: &Face| face.part.and_then(|id| self.by_id.get(id).copied());
        let along = |first: Option<u32>, joints: &[Joint]| -> Vec<Option<u32>> {
            let mut path = vec![first];
            path.extend(joints.iter().map(|j| j.next));
            path
        };
        let ways = [along(start(&from), &up), along(start(&to), &down)];
        // Where both ways meet first: the enclosure at the latest.
        let meet = ways[0].iter().position(|p| ways[1].contains(p));
        let meet = meet.ok_or(Broken::Ring)?;
        let other = ways[1].iter().position(|p| *p == ways[0][meet]);
        let other = other.ok_or(Broken::Ring)?;

        // Where both ends are called alike, they are told apart.
        let end = |face: &Face| start(face).and_then(|s| self.at(s));
        let twins = match (end(&from), end(&to)) {
            (Some(a), Some(b)) => a.slot != b.slot && a.name == b.name,
            _ => false,
        };
        let mut links = Vec::new();
        let mut here = from.at;
        let mut last = "face".to_owned();
        let add =
            |links: &mut Vec<Link>, slot: Option<u32>, [a, b]: [Length; 2], ends: [&str; 2]| {
                if a == b {
                    return Ok(());
                }
                let known = (settings, measured, twins);
                links.push(self.dimension(known, axis, slot, [a, b], ends)?);
                Ok::<(), Broken>(())
            };
        for joint in &up[..meet] {
            add(
                &mut links,
                Some(joint.slot),
                [here, joint.at],
                [&last, &joint.hole],
            )?;
            // The face moves with its part: up means a smaller gap.
            links.extend(self.play(joint, true, twins));
            here = joint.at;
            last.clone_from(&joint.hole);
        }
        let shared = ways[0][meet];
        let turn = down[..other].last();
        let (at, end) = match turn {
            Some(joint) => (joint.at, joint.hole.as_str()),
            None => (to.at, "face"),
        };
        add(&mut links, shared, [here, at], [&last, end])?;
        for (i, joint) in down[..other].iter().enumerate().rev() {
            links.extend(self.play(joint, false, twins));
            let (at, end) = match i.checked_sub(1).map(|i| &down[i]) {
                Some(next) => (next.at, next.hole.as_str()),
                None => (to.at, "face"),
            };
            add(
                &mut links,
                Some(joint.slot),
                [joint.at, at],
                [&joint.hole, end],
            )?;
        }
        Ok(Chain { links })
    }

    fn dimension(
        &self,
        (settings, measured, twins): (&Settings, &BTreeMap<Option<PartId>, Dimensions>, bool),
        axis: Axis,
        slot: Option<u32>,
        [from, to]: [Length; 2],
        [a, b]: [&str; 2],
    ) -> Result<Link, Broken> {
        let part = slot.and_then(|s| self.at(s));
        let name = part.map_or_else(|| self.enclosure.name.clone(), |p| said(p, twins));
        let span = span(part, axis, [from, to]);
        let known = part.map_or(&self.enclosure.dimensions, |p| &p.kind.ratings.dimensions);
        let of = part.map(|p| p.id.clone());
        let found = span.and_then(|s| {
            let here = measured.get(&of).and_then(|m| m.get(&s));
            let here = here.map(|m| (*m, Source::Measured));
            here.or_else(|| known.get(&s).map(|m| (*m, Source::Given)))
        });
        let drawn = (to - from).abs();
        let own = |s: Span| part.and_then(|p| p.kind.ratings.deviation[s.axis.index()]);
        let left = span.filter(|_| found.is_none()).and_then(|s| {
            let limits = |length| derived::limits(own(s), settings, length);
            derived::from_others(s, measured.get(&of)?, limits)
        });
        let found = found.or_else(|| left.map(|m| (m, Source::Derived)));
        let (size, deviation, source) = match (found, span.and_then(own)) {
            (Some((own, source)), _) => (own.is, own.deviation, source),
            (None, Some(own)) => (drawn, own, Source::Given),
            (None, None) => {
                let even = derived::limits(None, settings, drawn);
                let even = even.ok_or_else(|| Broken::BeyondTable {
                    size: drawn,
                    name: name.clone(),
                })?;
                (drawn, even, Source::General)
            }
        };
        Ok(Link {
            what: format!("{name}, {a} to {b}"),
            nominal: if to < from { -size } else { size },
            deviation,
            source,
            dimension: span.map(|s| (of, s)),
        })
    }

    /// The play of a joint as a link. `near` is true on the side of the chain's
    /// start, where moving up takes from the gap.
    fn play(&self, joint: &Joint, near: bool, twins: bool) -> Option<Link> {
        let Deviation { plus, minus } = joint.play;
        if plus == Length::ZERO && minus == Length::ZERO {
            return None;
        }
        let name = self.at(joint.slot).map(|p| said(p, twins));
        let name = name.unwrap_or_default();
        let (plus, minus) = if near { (minus, plus) } else { (plus, minus) };
        Some(Link {
            what: match joint.hole.strip_prefix("slot ") {
                Some(slot) => format!("{name} set along slot {slot}"),
                None => format!("play of {name} at {}", joint.hole),
            },
            nominal: Length::ZERO,
            deviation: Deviation { plus, minus },
            source: Source::Play,
            dimension: None,
        })
    }

    /// The joints from a face to the enclosure.
    fn joints(&self, axis: Axis, face: Face, set: Length) -> Result<Vec<Joint>, Broken> {
        let mut joints: Vec<Joint> = Vec::new();
        let Some(id) = face.part else {
            return Ok(joints);
        };
        let mut slot = *self.by_id.get(id).ok_or(Broken::NoPlace)?;
        for _ in 0..MOST_STEPS {
            let joint = self.joint(axis, slot, &joints, set)?;
            let next = joint.next;
            joints.push(joint);
            match next {
                Some(next) => slot = next,
                None => return Ok(joints),
            }
        }
        Err(Broken::Ring)
    }

    /// How the part in a slot is held: by its best hold, or by a held part that is
    /// screwed into it.
    fn joint(&self, axis: Axis, slot: u32, before: &[Joint], set: Length) -> Result<Joint, Broken> {
        let part = self.at(slot).ok_or(Broken::NoPlace)?;
        let new = |next: u32| before.iter().all(|j| j.slot != next) && next != slot;
        let holds = &self.holds[slot as usize];
        let own = holds
            .iter()
            .find(|h| h.suffices() && h.key.owner.is_none_or(new));
        if let Some(hold) = own {
            let (at, play, hole) = self.meeting(axis, part, hold, set);
            return Ok(Joint {
                slot,
                next: hold.key.owner,
                at,
                play,
                hole,
            });
        }
        let users = self.used_by[slot as usize]
            .iter()
            .copied()
            .filter(|u| new(*u));
        let mut held: Vec<(&PlacedPart, &Hold)> = users
            .filter(|u| self.support[*u as usize] == Support::Held)
            .filter_map(|u| {
                let mut holds = self.holds[u as usize].iter();
                let hold =
                    holds.find(|h| h.suffices() && !h.seated && h.key.owner == Some(slot))?;
                Some((self.at(u)?, hold))
            })
            .collect();
        held.sort_by(|a, b| a.0.id.cmp(&b.0.id));
        let (user, hold) = held
            .first()
            .ok_or_else(|| Broken::Loose(part.name.clone()))?;
        let (at, play, hole) = self.meeting(axis, user, hold, set);
        Ok(Joint {
            slot,
            next: Some(user.slot),
            at,
            // Seen from the carrier, which moves the other way.
            play: Deviation {
                plus: play.minus,
                minus: play.plus,
            },
            hole,
        })
    }

    /// Where a part meets the zone that holds it, and how far it may lie farther up
    /// and down the axis from there.
    fn meeting(
        &self,
        axis: Axis,
        part: &PlacedPart,
        hold: &Hold,
        set: Length,
    ) -> (Length, Deviation, String) {
        let pattern = part.patterns.iter().find(|p| p.id == hold.pattern);
        let (Some(pattern), Some(zone)) = (pattern, self.zone_at(hold.key)) else {
            return (
                part.outline.min().along(axis),
                Deviation::default(),
                String::new(),
            );
        };
        if pattern.frame.normal.axis() == axis {
            let at = pattern.frame.origin.along(axis);
            return (at, Deviation::default(), "mounting face".to_owned());
        }
        // Where, the play of all, and which hole, with its own play.
        let mut found: Option<(Length, Deviation, String, Length)> = None;
        for (mine, theirs) in &hold.pairs {
            // Labels may come again in another set of the same pattern: of all that
            // are called so, the two that lie on one another.
            let named = pattern.holes.iter().filter(|h| h.label == *mine);
            let pairs = named.flat_map(|h| {
                let others = zone.holes.iter().filter(|o| o.label == *theirs);
                others.map(move |o| (h, o))
            });
            let nearest = pairs.min_by_key(|(h, o)| {
                let d = pattern.frame.point(h.u, h.v) - zone.frame.point(o.u, o.v);
                d.x.abs() + d.y.abs() + d.z.abs()
            });
            let Some((hole, other)) = nearest else {
                continue;
            };
            let at = pattern.frame.point(hole.u, hole.v).along(axis);
            let off = off((hole, &pattern.frame), (other, &zone.frame)).along(axis);
            let slotted = [(hole, &pattern.frame), (other, &zone.frame)]
                .into_iter()
                .filter_map(|(h, frame)| along_slot(h, frame, axis))
                .max_by(f64::total_cmp);
            let play = match (&hole.shape, &other.shape) {
                (HoleShape::Slot { .. }, _) | (_, HoleShape::Slot { .. }) => {
                    let half = twice_play(hole, other).map_or(Length::ZERO, Length::half);
                    // Along the slot it is as it is set, across it the screw has its play.
                    let half = slotted.map_or(half, |c| {
                        let along = half.max(set).as_mm() * c;
                        let across = half.as_mm() * (1.0 - c * c).max(0.0).sqrt();
                        Length::from_mm(along + across).unwrap_or(half)
                    });
                    (half - off, half + off)
                }
                (HoleShape::Seat { .. }, _) => (SEAT_PLAY, SEAT_PLAY),
                _ => {
                    let half = twice_play(hole, other).map_or(Length::ZERO, Length::half);
                    (half - off, half + off)
                }
            };
            let play = Deviation {
                plus: play.0.max(Length::ZERO),
                minus: play.1.max(Length::ZERO),
            };
            let what = || match hole.shape {
                HoleShape::Seat { .. } => format!("seat {mine}"),
                _ if slotted.is_some_and(|c| c > 0.5) => format!("slot {theirs}"),
                _ => format!("hole {mine}"),
            };
            let own = play.plus + play.minus;
            match &mut found {
                // The tightest of all holes decides.
                Some((there, known, name, least)) => {
                    known.plus = known.plus.min(play.plus);
                    known.minus = known.minus.min(play.minus);
                    if own < *least {
                        (*there, *name, *least) = (at, what(), own);
                    }
                }
                None => found = Some((at, play, what(), own)),
            }
        }
        match found {
            Some((at, play, what, _)) => (at, play, what),
            None => {
                let at = part.outline.min().along(axis);
                (at, Deviation::default(), "corner".to_owned())
            }
        }
    }
}

/// A part's name, with its id where the ends of a chain are called alike.
fn said(part: &PlacedPart, twins: bool) -> String {
    match twins {
        true => format!("{} ({})", part.name, part.id),
        false => part.name.clone(),
    }
}

/// From where a hole's screw is as drawn to a part's hole: nothing along a slot of either, as far as
/// that goes.
fn off((hole, frame): (&Hole, &Frame), (other, under): (&Hole, &Frame)) -> Vec3 {
    let ends = |hole: &Hole, frame: &Frame| {
        let (du, dv) = match hole.shape {
            HoleShape::Slot { du, dv } => (du, dv),
            _ => (Length::ZERO, Length::ZERO),
        };
        [
            frame.point(hole.u, hole.v),
            frame.point(hole.u + du, hole.v + dv),
        ]
    };
    let ([a, b], [c, d]) = (ends(hole, frame), ends(other, under));
    match (a == b, c == d) {
        (true, _) => a - on_line([c, d], a, true),
        (false, true) => on_line([a, b], c, true) - c,
        (false, false) => {
            let (p, q) = ((b - a).as_mm(), (d - c).as_mm());
            let cross = [(1, 2), (2, 0), (0, 1)].map(|(i, j)| p[i] * q[j] - p[j] * q[i]);
            // Of two that cross the screw is where they do; two that lie alike are as far from one
            // another as their lines.
            match cross.iter().all(|x| x.abs() < 1e-9) {
                true => on_line([a, b], c, false) - c,
                false => Vec3::ZERO,
            }
        }
    }
}

/// The point of a stretch that is nearest to another, or of its line where it does not `end`.
fn on_line([a, b]: [Vec3; 2], to: Vec3, end: bool) -> Vec3 {
    let (way, from) = ((b - a).as_mm(), (to - a).as_mm());
    let long: f64 = way.iter().map(|x| x * x).sum();
    if long <= 0.0 {
        return a;
    }
    let dot: f64 = way.iter().zip(from).map(|(x, y)| x * y).sum();
    let share = match end {
        true => (dot / long).clamp(0.0, 1.0),
        false => dot / long,
    };
    let mut at = a;
    for (axis, x) in Axis::ALL.into_iter().zip(way) {
        at.set(
            axis,
            a.along(axis) + Length::um((x * share * 1000.0).round() as i64),
        );
    }
    at
}

/// The share of an axis along a slot: 1 where the slot runs along it, 0 where across. `None` for
/// what is no slot.
fn along_slot(hole: &Hole, frame: &Frame, axis: Axis) -> Option<f64> {
    let HoleShape::Slot { du, dv } = hole.shape else {
        return None;
    };
    let way = frame.point(du, dv) - frame.point(Length::ZERO, Length::ZERO);
    let long = way.distance_mm(Vec3::ZERO);
    (long > 0.0).then(|| way.along(axis).as_mm().abs() / long)
}

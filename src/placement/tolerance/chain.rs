//! The chain of dimensions from one face to another, through the holes that hold
//! the parts.

use super::{Chain, Link, Source};
use crate::geom::{Axis, Dir, Length};
use crate::model::{Deviation, HoleShape, PartId, Settings};
use crate::placement::hold::Hold;
use crate::placement::holes::SEAT_PLAY;
use crate::placement::part::PlacedPart;
use crate::placement::screw::twice_play;
use crate::placement::support::Support;
use crate::placement::table::Placed;

/// One end of a chain.
#[derive(Clone, Copy, Debug)]
pub struct Face<'a> {
    /// The part; `None` for the enclosure.
    pub part: Option<&'a PartId>,
    /// Where the face is along the chain's axis.
    pub at: Length,
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
    /// A dimension has the part's own figure along that axis where the catalogue
    /// gives one, else the general tolerance of its size. A screw's play lets a part
    /// lie off as far as both holes allow from where it is drawn; along the screw
    /// there is none. A seat plays 0.2 mm either way across, as where holes are
    /// matched. Along a slot a part is taken to be set where it is drawn.
    ///
    /// # Errors
    /// In words: a part that nothing holds, a part that hangs on itself, a dimension
    /// beyond the table of general tolerances.
    pub fn chain(
        &self,
        settings: &Settings,
        axis: Axis,
        from: Face,
        to: Face,
    ) -> Result<Chain, String> {
        let up = self.joints(axis, from)?;
        let down = self.joints(axis, to)?;
        let start = |face: &Face| face.part.and_then(|id| self.by_id.get(id).copied());
        let along = |first: Option<u32>, joints: &[Joint]| -> Vec<Option<u32>> {
            let mut path = vec![first];
            path.extend(joints.iter().map(|j| j.next));
            path
        };
        let ways = [along(start(&from), &up), along(start(&to), &down)];
        // Where both ways meet first: the enclosure at the latest.
        let meet = ways[0].iter().position(|p| ways[1].contains(p));
        let meet = meet.ok_or("they hang on nothing that both share")?;
        let other = ways[1].iter().position(|p| *p == ways[0][meet]);
        let other = other.ok_or("they hang on nothing that both share")?;

        let mut links = Vec::new();
        let mut here = from.at;
        let mut last = "face".to_owned();
        let add =
            |links: &mut Vec<Link>, slot: Option<u32>, [a, b]: [Length; 2], ends: [&str; 2]| {
                if a == b {
                    return Ok(());
                }
                links.push(self.dimension(settings, axis, slot, b - a, ends)?);
                Ok::<(), String>(())
            };
        for joint in &up[..meet] {
            add(
                &mut links,
                Some(joint.slot),
                [here, joint.at],
                [&last, &joint.hole],
            )?;
            // The face moves with its part: up means a smaller gap.
            links.extend(self.play(joint, true));
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
            links.extend(self.play(joint, false));
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
        settings: &Settings,
        axis: Axis,
        slot: Option<u32>,
        nominal: Length,
        [a, b]: [&str; 2],
    ) -> Result<Link, String> {
        let part = slot.and_then(|s| self.at(s));
        let name = part.map_or(self.enclosure.name.as_str(), |p| &p.name);
        let own = part.and_then(|p| {
            let own = p.place.turn.inverse().dir(Dir::new(axis, true)).axis();
            p.kind.ratings.deviation[own.index()]
        });
        let size = nominal.abs();
        let (deviation, source) = match own {
            Some(deviation) => (deviation, Source::Given),
            None => {
                let by = settings.general(size).ok_or_else(|| {
                    format!("{size} mm of {name} lie beyond the table of general tolerances")
                })?;
                let even = Deviation {
                    plus: by,
                    minus: by,
                };
                (even, Source::General)
            }
        };
        Ok(Link {
            what: format!("{name}, {a} to {b}"),
            nominal,
            deviation,
            source,
        })
    }

    /// The play of a joint as a link. `near` is true on the side of the chain's
    /// start, where moving up takes from the gap.
    fn play(&self, joint: &Joint, near: bool) -> Option<Link> {
        let Deviation { plus, minus } = joint.play;
        if plus == Length::ZERO && minus == Length::ZERO {
            return None;
        }
        let name = self.at(joint.slot).map_or("", |p| p.name.as_str());
        let (plus, minus) = if near { (minus, plus) } else { (plus, minus) };
        Some(Link {
            what: format!("play of {name} at {}", joint.hole),
            nominal: Length::ZERO,
            deviation: Deviation { plus, minus },
            source: Source::Play,
        })
    }

    /// The joints from a face to the enclosure.
    fn joints(&self, axis: Axis, face: Face) -> Result<Vec<Joint>, String> {
        let mut joints: Vec<Joint> = Vec::new();
        let Some(id) = face.part else {
            return Ok(joints);
        };
        let mut slot = *self.by_id.get(id).ok_or("it has no place")?;
        for _ in 0..MOST_STEPS {
            let joint = self.joint(axis, slot, &joints)?;
            let next = joint.next;
            joints.push(joint);
            match next {
                Some(next) => slot = next,
                None => return Ok(joints),
            }
        }
        Err("it hangs on itself".to_owned())
    }

    /// How the part in a slot is held: by its best hold, or by a held part that is
    /// screwed into it.
    fn joint(&self, axis: Axis, slot: u32, before: &[Joint]) -> Result<Joint, String> {
        let part = self.at(slot).ok_or("it has no place")?;
        let new = |next: u32| before.iter().all(|j| j.slot != next) && next != slot;
        let holds = &self.holds[slot as usize];
        let own = holds
            .iter()
            .find(|h| h.suffices() && h.key.owner.is_none_or(new));
        if let Some(hold) = own {
            let (at, play, hole) = self.meeting(axis, part, hold);
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
            .ok_or_else(|| format!("nothing holds {}", part.name))?;
        let (at, play, hole) = self.meeting(axis, user, hold);
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
    fn meeting(&self, axis: Axis, part: &PlacedPart, hold: &Hold) -> (Length, Deviation, String) {
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
        let mut found: Option<(Length, Deviation, String)> = None;
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
            let off = at - zone.frame.point(other.u, other.v).along(axis);
            let play = match (&hole.shape, &other.shape) {
                (HoleShape::Slot { .. }, _) | (_, HoleShape::Slot { .. }) => {
                    let half = twice_play(hole, other).map_or(Length::ZERO, Length::half);
                    (half, half)
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
            match &mut found {
                // The tightest of all holes decides.
                Some((_, known, _)) => {
                    known.plus = known.plus.min(play.plus);
                    known.minus = known.minus.min(play.minus);
                }
                None => {
                    let what = match hole.shape {
                        HoleShape::Seat { .. } => format!("seat {mine}"),
                        _ => format!("hole {mine}"),
                    };
                    found = Some((at, play, what));
                }
            }
        }
        found.unwrap_or_else(|| {
            let at = part.outline.min().along(axis);
            (at, Deviation::default(), "corner".to_owned())
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{
        Build, block, enclosure, frame, l, pattern, pid, settings, square, v, zone,
    };
    use crate::model::{Group, PartKind};

    /// A block of 100 x 60 x 20 on four clear holes of 4.3, 80 x 80 apart about its
    /// middle at (50, 50).
    fn carried(id: &str) -> PartKind {
        let mut kind = block(id, Group::Drive, [100.0, 100.0, 20.0]);
        let foot = frame(v(50.0, 50.0, 0.0), "+x", "-y", "-z");
        kind.patterns = vec![pattern(
            "foot",
            foot,
            square(80.0, [0.0, 0.0], 4.3, None),
            4,
        )];
        kind
    }

    /// Two fields of M3 holes on the floor, 102 apart along x.
    fn two(gap: f64) -> Build {
        two_with(gap, &carried("two"))
    }

    fn two_with(gap: f64, second: &PartKind) -> Build {
        let mut case = enclosure([400.0, 200.0, 100.0]);
        for (id, x) in [("left", 0.0), ("right", 100.0 + gap)] {
            let face = frame(v(x, 0.0, 0.0), "+x", "+y", "+z");
            let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
            field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
            case.zones.push(field);
        }
        Build::new(case).with("a", &carried("one"), [0.0; 3]).with(
            "b",
            second,
            [100.0 + gap, 0.0, 0.0],
        )
    }

    fn chain(build: &Build, axis: Axis, from: f64, to: f64) -> Result<Chain, String> {
        let placed = Placed::build(&build.scene);
        let (a, b) = (pid("a"), pid("b"));
        let face = |part, at| Face {
            part: Some(part),
            at: l(at),
        };
        placed.chain(&build.settings, axis, face(&a, from), face(&b, to))
    }

    #[test]
    fn through_the_screws_of_two_parts_on_one_floor() {
        let chain = chain(&two(2.0), Axis::X, 100.0, 102.0).expect("both are held");
        let said: Vec<(&str, f64, f64)> = chain
            .links
            .iter()
            .map(|k| (k.what.as_str(), k.nominal.as_mm(), k.deviation.plus.as_mm()))
            .collect();
        // From face to hole 90 and back (hole 1 at 10), 102 between the holes; M3 in
        // 4.3 plays (4.3 - 3) / 2 = 0.65. ISO 2768-1 m: 90 and 102 are +-0.3, 10 is +-0.2.
        assert_eq!(
            said,
            [
                ("one, face to hole 1", -90.0, 0.3),
                ("play of one at hole 1", 0.0, 0.65),
                ("test box, hole 1 to hole 1", 102.0, 0.3),
                ("play of two at hole 1", 0.0, 0.65),
                ("two, hole 1 to face", -10.0, 0.2),
            ]
        );
        let spread = chain.spread();
        assert_eq!((spread.nominal, spread.least), (l(2.0), l(2.0 - 2.1)));
    }

    #[test]
    fn a_part_out_of_line_has_its_play_on_the_other_side() {
        // 0.5 to the right in its holes: 0.15 farther, 1.15 back.
        let build = two(2.0).moved("a", [0.5, 0.0, 0.0]);
        let chain = chain(&build, Axis::X, 100.5, 102.0).expect("held");
        let play = &chain.links[1];
        assert_eq!(play.shares(), (l(1.15), l(0.15)));
        assert_eq!(chain.spread().nominal, l(1.5));
    }

    #[test]
    fn along_the_screws_there_is_no_play_and_own_figures_come_first() {
        let mut kind = carried("two");
        kind.ratings.deviation[2] = Some(Deviation {
            plus: l(0.0),
            minus: l(0.5),
        });
        let chain = chain(&two_with(2.0, &kind), Axis::Z, 0.0, 20.0).expect("held");
        let links: Vec<_> = chain.links.iter().map(|k| (k.source, k.nominal)).collect();
        assert_eq!(links, [(Source::Given, l(20.0))]);
        assert_eq!(chain.spread().least, l(19.5));
    }

    #[test]
    fn what_nothing_holds_has_no_chain() {
        let loose = two(2.0).moved("b", [0.0, 0.0, 5.0]);
        let why = chain(&loose, Axis::X, 100.0, 102.0).expect_err("b is loose");
        assert_eq!(why, "nothing holds two");
    }

    #[test]
    fn parts_on_one_carrier_meet_there_and_not_in_the_enclosure() {
        let mut tray = carried("tray");
        tray.size = v(300.0, 100.0, 20.0);
        for (id, x) in [("l", 0.0), ("r", 101.0)] {
            let face = frame(v(x, 0.0, 20.0), "+x", "+y", "+z");
            let mut field = zone(id, face, [100.0, 100.0], 0.0, &[Group::Drive]);
            field.holes = square(80.0, [50.0, 50.0], 3.0, Some("M3"));
            tray.zones.push(field);
        }
        let scene = two(200.0);
        let mut build = Build::new((*scene.scene.enclosure).clone())
            .with("tray", &tray, [0.0; 3])
            .with("a", &carried("one"), [0.0, 0.0, 20.0])
            .with("b", &carried("two"), [101.0, 0.0, 20.0]);
        build.settings = settings();
        let chain = chain(&build, Axis::X, 100.0, 101.0).expect("held");
        assert_eq!(chain.links[2].what, "tray, hole 1 to hole 1");
        assert_eq!(chain.links.len(), 5);
    }
}

//! Why no way was found, in words.

use super::find::NotLaid;
use super::job::Job;
use super::meets::Met;
use super::nodes::Node;
use crate::geom::{Box3, Length, Solid, Vec3};
use crate::model::Space;
use crate::placement::Thing;
use crate::route::bend::{Point, norm, sub};
use crate::route::free::{NoBend, NoWay};

impl Job<'_> {
    pub(super) fn name(&self, met: &Met) -> String {
        match met {
            Met::Solid(Thing::Part(id)) => match self.desk.placed.part(id) {
                Some(part) => part.name.clone(),
                None => id.to_string(),
            },
            Met::Solid(Thing::Plate(i)) => match self.desk.placed.plates().get(*i as usize) {
                Some(plate) => plate.name.clone(),
                None => "a plate".to_owned(),
            },
            Met::Outside => "the inside of the enclosure".to_owned(),
        }
    }

    pub(super) fn no(&self, pair: &[Node], why: &NoBend) -> NotLaid {
        NotLaid::NoWay(self.words(&pair[0], &pair[1], why))
    }

    /// An end at which the cable cannot begin to bend, and what keeps it from that.
    fn shut(&self, end: &Node) -> String {
        let half = self.thread.half;
        let at = end.free();
        let why = match self.nearest(at) {
            Some((thing, off)) if off < half => format!(
                "{} is {off:.1} mm from its middle there, {half:.1} needed",
                self.name(&Met::Solid(thing))
            ),
            _ if self.is_inside(at) => "a room that is kept clear begins there".to_owned(),
            _ => "that is outside the enclosure".to_owned(),
        };
        match end.face {
            Some(_) => format!(
                "{} is walled up: the cable leaves it {}, and {why}; turning or moving the part may free it",
                end.name,
                end.side()
            ),
            None => format!("{} is walled up: {why}", end.name),
        }
    }

    /// The solid thing that is nearest to a place, if it is near enough to be in the way.
    fn nearest(&self, at: Point) -> Option<(Thing, f64)> {
        let [x, y, z] = at.map(Length::from_mm);
        let at_um = Vec3::new(x?, y?, z?);
        let reach = Length::from_mm(self.thread.half)? + Length::mm(1);
        let around = Box3::new(at_um, at_um).grown(reach);
        let placed = self.desk.placed;
        let off = |solid: &Solid| super::solid::distance(at, solid);
        let mut best: Option<(Thing, f64)> = None;
        let mut take = |thing: Thing, off: f64| {
            if best.as_ref().is_none_or(|b| off < b.1) {
                best = Some((thing, off));
            }
        };
        for part in placed.near(&around, Length::ZERO) {
            for piece in part.of(Space::Solid) {
                take(Thing::Part(part.id.clone()), off(&piece.solid));
            }
        }
        for plate in placed.plates_near(&around, Length::ZERO) {
            for solid in &plate.solids {
                take(Thing::Plate(plate.index), off(solid));
            }
        }
        best
    }

    fn is_inside(&self, at: Point) -> bool {
        let room = self.desk.placed.enclosure().outline();
        let (low, high) = (room.min().as_mm(), room.max().as_mm());
        let half = self.thread.half;
        (0..3).all(|k| low[k] + half <= at[k] && at[k] + half <= high[k])
    }

    fn words(&self, a: &Node, b: &Node, why: &NoBend) -> String {
        let between = format!("from {} to {}", a.name, b.name);
        match why {
            NoBend::TooThick => "it is too thick for the enclosure".to_owned(),
            NoBend::NoWay(NoWay::StartBlocked) => self.shut(a),
            NoBend::NoWay(NoWay::GoalBlocked) => self.shut(b),
            NoBend::TooTight { place, missing, .. } => {
                let near = [a, b].into_iter().find(|n| {
                    n.face.is_some() && norm(sub(n.free(), *place)) < 2.0 * self.thread.radius
                });
                let turn = near.map_or(String::new(), |n| {
                    format!(
                        "; the cable leaves {} {}, and turning the part may free it",
                        n.name,
                        n.side()
                    )
                });
                format!(
                    "no way {between} leaves room to bend: {missing:.1} mm are missing near x {:.0}, y {:.0}, z {:.0}{turn}",
                    place[0], place[1], place[2]
                )
            }
            NoBend::NoWay(NoWay::GaveUp | NoWay::Stopped) => {
                format!("no way {between} was found in the time allowed")
            }
            _ => format!("there is no way {between}"),
        }
    }
}

//! Leading a cable by hand: its corners are dragged, put in and pinned.

use super::{Event, Tool};
use crate::edit::Edit;
use crate::editor::Editor;
use crate::editor::snap::{self, Pointer};
use crate::geom::{Axis, Length, Vec3};
use crate::model::{Cable, CableId, Via};
use crate::route::Stretch;
use crate::view::ways::line_of;

/// A leg shorter than this has no grip in its middle.
const SHORT: f64 = 12.0;

/// A place on a cable's way.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Corner {
    /// The cable.
    pub cable: CableId,
    /// Which stretch, from 0.
    pub stretch: usize,
    /// Its position among the places of the stretch.
    pub index: usize,
}

/// What the pointer takes hold of.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Grip {
    /// A corner or a pinned point.
    Corner(Corner),
    /// The middle of the leg before this place: dragging it puts a corner in.
    Middle(Corner),
}

impl Grip {
    /// The place of the way that it stands for.
    pub fn corner(&self) -> &Corner {
        match self {
            Grip::Corner(c) | Grip::Middle(c) => c,
        }
    }
}

/// A corner being dragged.
#[derive(Clone, Debug)]
pub struct Leading {
    /// What was taken hold of.
    pub grip: Grip,
    /// Where the pointer took hold.
    from: Pointer,
    /// Where the corner was.
    start: Vec3,
    /// True once it was dragged.
    pub dragged: bool,
}

impl Leading {
    pub(super) fn hint(&self) -> String {
        match (&self.grip, self.dragged) {
            (Grip::Middle(_), false) => "Drag to put a corner into the way.".to_owned(),
            _ => "Drag the corner in either view; Delete takes it out, Escape puts it back."
                .to_owned(),
        }
    }
}

fn place_of(cable: &Cable, at: &Corner) -> Option<Vec3> {
    match cable.plugs.get(at.stretch)?.via.get(at.index)? {
        Via::Corner(p) | Via::Point(p) => Some(*p),
        Via::Passage(_) | Via::Tie(_) | Via::Chosen(_) => None,
    }
}

/// The place of the rounded way nearest to a corner, which the rounding cuts off: there it
/// is shown and taken hold of.
fn on_way(led: &Stretch, corner: Vec3) -> Vec3 {
    let line = line_of(led).into_iter();
    let points = line.filter_map(|p| {
        let [x, y, z] = p.map(Length::from_mm);
        Some(Vec3::new(x?, y?, z?))
    });
    let near = points.min_by(|a, b| {
        let off = |p: &Vec3| corner.distance_mm(*p);
        off(a).total_cmp(&off(b))
    });
    near.unwrap_or(corner)
}

impl Editor {
    /// What can be taken hold of on the selected cable's way: its corners and points, and
    /// the middles of its legs.
    pub fn grips(&self) -> Vec<(Grip, Vec3)> {
        let mut all = Vec::new();
        let Some(id) = self.selection.cable() else {
            return all;
        };
        let cables = &self.scene().arrangement().cables;
        let (Some(cable), Some(run)) = (cables.get(id), self.checker.runs().get(id)) else {
            return all;
        };
        if self.checker.hoses().contains_key(id) {
            return all;
        }
        let enclosure = &self.scene().enclosure;
        for (stretch, (plug, led)) in cable.plugs.iter().zip(&run.stretches).enumerate() {
            let at = |index| Corner {
                cable: id.clone(),
                stretch,
                index,
            };
            let n = led.points.len();
            if led.judged.is_err() || n < 2 {
                continue;
            }
            let whole = |p: [f64; 3]| {
                let [x, y, z] = p.map(Length::from_mm);
                Some(Vec3::new(x?, y?, z?))
            };
            // The places of the way between the straight ends.
            let mut line = vec![whole(led.points[1.min(n - 1)])];
            for (index, via) in plug.via.iter().enumerate() {
                line.push(match via {
                    Via::Passage(p) => enclosure.passage(p).map(|p| p.frame.origin),
                    Via::Tie(t) | Via::Chosen(t) => enclosure.tie(t).map(|t| t.at),
                    Via::Point(p) | Via::Corner(p) => {
                        all.push((Grip::Corner(at(index)), on_way(led, *p)));
                        Some(*p)
                    }
                });
            }
            line.push(whole(led.points[n.saturating_sub(2)]));
            for (index, pair) in line.windows(2).enumerate() {
                if let [Some(a), Some(b)] = *pair
                    && a.distance_mm(b) >= SHORT
                {
                    let middle =
                        Vec3::new((a.x + b.x).half(), (a.y + b.y).half(), (a.z + b.z).half());
                    all.push((Grip::Middle(at(index)), middle));
                }
            }
        }
        all
    }

    /// The corner that was clicked last, while it is there and its cable is selected.
    pub fn chosen_corner(&self) -> Option<&Corner> {
        let at = self.corner.as_ref()?;
        let cable = self.scene().arrangement().cables.get(&at.cable)?;
        let there = self.selection.cable() == Some(&at.cable) && place_of(cable, at).is_some();
        there.then_some(at)
    }

    /// Chooses a corner of the selected cable's way.
    pub fn choose_corner(&mut self, at: Corner) {
        self.corner = Some(at);
        self.revision += 1;
    }

    pub(super) fn take_grip(&mut self, grip: Grip, from: Pointer) -> Tool {
        let all = self.grips();
        let Some((_, start)) = all.into_iter().find(|(g, _)| *g == grip) else {
            return Tool::Idle;
        };
        self.corner = match &grip {
            Grip::Corner(at) => Some(at.clone()),
            Grip::Middle(_) => None,
        };
        // A corner is moved from where it is, not from where it is shown.
        let corner = self.corner.as_ref().and_then(|at| {
            let cable = self.scene().arrangement().cables.get(&at.cable)?;
            place_of(cable, at)
        });
        let start = corner.unwrap_or(start);
        Tool::Leading(Leading {
            grip,
            from,
            start,
            dragged: false,
        })
    }

    pub(super) fn leading(&mut self, mut l: Leading, event: Event) -> Tool {
        match event {
            Event::Move { pointer, .. } => {
                if !l.dragged {
                    let label = match l.grip {
                        Grip::Corner(_) => "move corner",
                        Grip::Middle(_) => "add corner",
                    };
                    self.history.begin(label);
                }
                self.lead_to(&mut l, pointer);
                Tool::Leading(l)
            }
            Event::Release => {
                if l.dragged {
                    self.history.commit();
                }
                Tool::Idle
            }
            _ => Tool::Leading(l),
        }
    }

    fn lead_to(&mut self, l: &mut Leading, pointer: Pointer) {
        let by = snap::in_plane(l.from.view, pointer.at - l.from.at);
        let mut to = l.start + by;
        for axis in Axis::ALL {
            if by.along(axis) != Length::ZERO {
                to.set(axis, to.along(axis).snapped(self.snapping.grid));
            }
        }
        let at = l.grip.corner().clone();
        let Some(mut cable) = self.scene().arrangement().cables.get(&at.cable).cloned() else {
            return;
        };
        let Some(plug) = cable.plugs.get_mut(at.stretch) else {
            return;
        };
        let puts_in = matches!(l.grip, Grip::Middle(_)) && !l.dragged;
        if puts_in && at.index <= plug.via.len() {
            plug.via.insert(at.index, Via::Corner(to));
        } else if let Some(Via::Corner(p) | Via::Point(p)) = plug.via.get_mut(at.index) {
            *p = to;
        } else {
            return;
        }
        l.dragged = true;
        self.corner = Some(at.clone());
        // What was led by hand is not laid anew behind one's back.
        cable.finds = false;
        let edit = Edit::SetCable(at.cable, Some(cable));
        if let Ok(touched) = self.history.apply("move corner", &edit) {
            self.after(touched);
        }
    }

    /// Takes a corner or point out of its way.
    pub fn remove_corner(&mut self, at: &Corner) -> bool {
        self.corner = None;
        self.change_corner(at, "remove corner", |via, index| _ = via.remove(index))
    }

    /// Pins a corner, so that a newly laid way passes through it; or makes a pinned point
    /// a corner again.
    pub fn pin_corner(&mut self, at: &Corner) -> bool {
        let cables = &self.scene().arrangement().cables;
        let pinned = cables
            .get(&at.cable)
            .and_then(|c| c.plugs.get(at.stretch)?.via.get(at.index))
            .is_some_and(Via::is_pinned);
        let label = if pinned { "unpin corner" } else { "pin corner" };
        self.change_corner(at, label, |via, index| {
            via[index] = match via[index].clone() {
                Via::Corner(p) => Via::Point(p),
                Via::Point(p) => Via::Corner(p),
                Via::Chosen(tie) => Via::Tie(tie),
                Via::Tie(tie) => Via::Chosen(tie),
                other => other,
            };
        })
    }

    fn change_corner(
        &mut self,
        at: &Corner,
        label: &str,
        change: impl FnOnce(&mut Vec<Via>, usize),
    ) -> bool {
        let cables = &self.scene().arrangement().cables;
        if cables
            .get(&at.cable)
            .is_none_or(|c| place_of(c, at).is_none())
        {
            return false;
        }
        self.change_cable(&at.cable, label, |c| {
            change(&mut c.plugs[at.stretch].via, at.index);
        })
    }
}

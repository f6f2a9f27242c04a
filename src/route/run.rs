//! How a cable runs: out of its port, past the places it has to visit, into the
//! next one, in legs rounded by its bend radius.

use super::bend::{Leg, Point, Rounded, add, dot, norm, rounded, sub, unit};
use super::pinned;
use crate::geom::{Dir, Length};
use crate::model::{Cable, CableId, Catalogue, PortRef, Scene, Via};
use crate::placement::Placed;

/// The way of one cable.
#[derive(Clone, PartialEq, Debug)]
pub struct CableRun {
    /// The cable.
    pub cable: CableId,
    /// From plug to plug.
    pub stretches: Vec<Stretch>,
    /// What all stretches need, without any share for service.
    pub needed: Length,
    /// What all stretches have.
    pub available: Length,
}

/// The way from one plug to the next.
#[derive(Clone, PartialEq, Debug)]
pub struct Stretch {
    /// Where it starts.
    pub from: PortRef,
    /// Where it ends.
    pub to: PortRef,
    /// Straight legs and arcs of the middle line.
    pub legs: Vec<Leg>,
    /// The corners before rounding, in millimetres.
    pub points: Vec<Point>,
    /// Length of the legs, to the nearest micrometre, and what it takes to pass right
    /// through the places it is led along, which the drawn fillets cut off.
    pub needed: Length,
    /// Length at hand.
    pub available: Length,
    /// Why its way could not be found or not be measured in full.
    pub judged: Result<(), String>,
    /// Smallest radius on the way in millimetres; `None` where it does not bend.
    pub tightest_bend: Option<f64>,
    /// Places it was led through, in order.
    pub visits: Vec<Via>,
}

impl CableRun {
    /// How much the worst stretch is short; slack of one stretch does not help
    /// another. `None` where all reach.
    pub fn short_by(&self) -> Option<Length> {
        let short = self.stretches.iter().filter_map(Stretch::short_by);
        short.max()
    }

    /// What is left over on all stretches, where none is short.
    pub fn spare(&self) -> Option<Length> {
        match self.short_by() {
            Some(_) => None,
            None => Some(self.available - self.needed),
        }
    }
}

impl Stretch {
    /// How much is missing.
    pub fn short_by(&self) -> Option<Length> {
        (self.needed > self.available).then(|| self.needed - self.available)
    }
}

/// Finds the corners between two fixed points of a cable's way. The seam for a
/// search around obstacles.
pub trait Router {
    /// The corners strictly between `from` and `to`, or why there is no way.
    fn between(&self, from: Point, to: Point, cable: &Cable) -> Result<Vec<Point>, String>;
}

/// Straight from point to point, whatever is in the way.
pub struct Direct;

impl Router for Direct {
    fn between(&self, _: Point, _: Point, _: &Cable) -> Result<Vec<Point>, String> {
        Ok(Vec::new())
    }
}

/// Runs a cable straight from place to place.
///
/// Out of each port it goes straight for the plug and the straight length behind
/// it, and only then bends; where it has to go back past its own port it turns
/// aside with its bend radius. A captive lead leaves its part without a plug. Where
/// a cable has several plugs, they are crimped across it: it passes over the back of
/// each, without a straight end or a bend (common practice of such runs, no source).
pub fn run(
    scene: &Scene,
    placed: &Placed,
    catalogue: &Catalogue,
    id: &CableId,
    cable: &Cable,
) -> CableRun {
    run_with(&Direct, scene, placed, catalogue, id, cable)
}

/// The same with another way of getting from place to place.
pub fn run_with(
    router: &dyn Router,
    scene: &Scene,
    placed: &Placed,
    catalogue: &Catalogue,
    id: &CableId,
    cable: &Cable,
) -> CableRun {
    let mut stretches: Vec<Stretch> = Vec::with_capacity(cable.plugs.len());
    let mut from = &cable.from;
    for (index, plug) in cable.plugs.iter().enumerate() {
        let mut stretch = Stretch {
            from: from.clone(),
            to: plug.to.clone(),
            legs: Vec::new(),
            points: Vec::new(),
            needed: Length::ZERO,
            available: at_hand(placed, cable, plug.length),
            judged: Ok(()),
            tightest_bend: None,
            visits: plug.via.clone(),
        };
        let way = Way {
            router,
            scene,
            placed,
            catalogue,
            cable,
            passes: [index > 0, cable.plugs.len() > 1],
        };
        stretch.judged = way.lead(&mut stretch);
        stretches.push(stretch);
        from = &plug.to;
    }
    if let (Some(more), Some(last)) = (&cable.extension, stretches.last_mut()) {
        last.available += more.length;
    }
    CableRun {
        cable: id.clone(),
        needed: stretches.iter().map(|s| s.needed).sum(),
        available: stretches.iter().map(|s| s.available).sum(),
        stretches,
    }
}

/// A captive lead with one plug is as long as it is, whatever the scene says.
fn at_hand(placed: &Placed, cable: &Cable, said: Length) -> Length {
    let lead = placed.port_kind(&cable.from).and_then(|p| p.lead.as_ref());
    match lead {
        Some(lead) if cable.kind.is_none() && cable.plugs.len() == 1 => lead.length,
        _ => said,
    }
}

struct Way<'a> {
    router: &'a dyn Router,
    scene: &'a Scene,
    placed: &'a Placed,
    catalogue: &'a Catalogue,
    cable: &'a Cable,
    /// Whether the plug at the start, and at the goal, is crimped across the run.
    passes: [bool; 2],
}

/// One end of a stretch.
struct End {
    /// The face of the port.
    face: Point,
    /// Where the cable may begin to bend.
    free: Point,
    /// The way out; `None` at a plug across the run.
    out: Option<Point>,
}

impl Way<'_> {
    fn lead(&self, stretch: &mut Stretch) -> Result<(), String> {
        let mut unknown = None;
        let start = self.end(&stretch.from, self.passes[0], &mut unknown)?;
        let goal = self.end(&stretch.to, self.passes[1], &mut unknown)?;
        let mut visits = Vec::with_capacity(stretch.visits.len());
        for via in &stretch.visits {
            visits.push(self.visit(via)?);
        }
        let bend = self.cable.bend.as_mm();
        let (ahead, mut back) = turn_offs(&start, &visits, &goal, bend);
        let mut line = vec![start.free];
        line.extend(ahead);
        let led = line.len()..line.len() + visits.len();
        line.append(&mut visits);
        back.reverse();
        line.extend(back);
        line.push(goal.free);

        let mut points = vec![start.face];
        let mut corners = vec![line[0]];
        let mut pins = Vec::with_capacity(led.len());
        for (i, pair) in line.windows(2).enumerate() {
            corners.extend(self.router.between(pair[0], pair[1], self.cable)?);
            let visit = led
                .contains(&(i + 1))
                .then(|| &stretch.visits[i + 1 - led.start]);
            if visit.is_some_and(Via::is_place) {
                pins.push(corners.len());
            }
            corners.push(pair[1]);
        }
        let extra = pinned::extra(&corners, &pins, bend);
        let mut way: Rounded = rounded(&corners, bend);
        way.lead_in(start.face, start.free);
        way.lead_out(goal.free, goal.face);
        points.append(&mut corners);
        points.push(goal.face);
        stretch.points = points;
        stretch.needed = Length::from_mm(way.length + extra)
            .ok_or_else(|| "its way is longer than 100 m".to_owned())?;
        stretch.tightest_bend = way.tightest;
        stretch.legs = way.legs;
        unknown.map_or(Ok(()), Err)
    }

    /// Where a port is and where its cable gets free. A connector that is not in
    /// the catalogue counts without plug, and is named in `unknown`.
    fn end(
        &self,
        port: &PortRef,
        passes: bool,
        unknown: &mut Option<String>,
    ) -> Result<End, String> {
        let Some(at) = self.placed.port(port) else {
            let known = self.scene.parts.contains_key(&port.part);
            let placed = self.placed.part(&port.part).is_some();
            return Err(match (known, placed) {
                (false, _) => format!("part '{}' is not in the scene", port.part),
                (true, false) => format!("'{}' lies beside the enclosure", port.part),
                (true, true) => format!("'{}' has no port '{}'", port.part, port.port),
            });
        };
        let kind = self.placed.port_kind(port);
        let captive = *port == self.cable.from && self.cable.kind.is_none();
        let connector = kind.map_or("", |k| k.connector.as_str());
        let straight = if captive && kind.is_some_and(|k| k.lead.is_some()) {
            Length::ZERO
        } else if let Some(c) = self.catalogue.connectors.get(connector) {
            c.plug[2] + if passes { Length::ZERO } else { c.straight }
        } else {
            *unknown = Some(format!(
                "connector '{connector}' is not in the catalogue, so the length of its plug is not known"
            ));
            Length::ZERO
        };
        let free = (at.at + at.leaves.times(straight)).as_mm();
        Ok(End {
            face: if passes { free } else { at.at.as_mm() },
            free,
            out: (!passes).then(|| way_of(at.leaves)),
        })
    }

    fn visit(&self, via: &Via) -> Result<Point, String> {
        let enclosure = self.placed.enclosure();
        match via {
            Via::Passage(id) => match enclosure.passage(id) {
                Some(p) => Ok(p.frame.origin.as_mm()),
                None => Err(format!("there is no passage '{id}' in this enclosure")),
            },
            Via::Tie(id) | Via::Chosen(id) => match enclosure.tie(id) {
                Some(t) => Ok(t.at.as_mm()),
                None => Err(format!("there is no tie point '{id}' in this enclosure")),
            },
            Via::Point(p) | Via::Corner(p) => Ok(p.as_mm()),
        }
    }
}

/// The corners after the start and those before the goal, the latter from the goal
/// on. Without a place to visit in between, each side aims at the other's corner,
/// and both are worked out in turn until they agree.
fn turn_offs(start: &End, visits: &[Point], goal: &End, bend: f64) -> (Vec<Point>, Vec<Point>) {
    let mut aim = visits.first().copied().unwrap_or(goal.free);
    let mut corners = (Vec::new(), Vec::new());
    for _ in 0..40 {
        corners.0 = turn_off(start, aim, bend);
        let last = visits.last().or(corners.0.last()).unwrap_or(&start.free);
        corners.1 = turn_off(goal, *last, bend);
        let next = *visits.first().or(corners.1.last()).unwrap_or(&goal.free);
        if norm(sub(next, aim)) < 1e-9 {
            break;
        }
        aim = next;
    }
    corners
}

fn way_of(dir: Dir) -> Point {
    dir.times(Length::mm(1)).as_mm()
}

/// The corners after the straight end so that the first arc starts where the
/// straight ends: one where the way goes on forwards, two where it has to turn
/// back.
fn turn_off(end: &End, to: Point, bend: f64) -> Vec<Point> {
    let Some(out) = end.out else {
        return Vec::new();
    };
    let corner = |t: f64| add(end.free, out, t);
    let mut t = 0.0;
    // The corner's distance depends on the angle and the angle on the corner; a
    // few rounds settle it to far below a micrometre.
    for _ in 0..60 {
        let way = unit(sub(to, corner(t)));
        let cos = dot(way, out).clamp(-1.0, 1.0);
        if cos < 0.0 {
            return back(end.free, out, to, bend);
        }
        let next = bend * ((1.0 - cos) / (1.0 + cos)).sqrt();
        if (next - t).abs() < 1e-9 {
            t = next;
            break;
        }
        t = next;
    }
    if t < 1e-9 {
        Vec::new()
    } else {
        vec![corner(t)]
    }
}

fn back(free: Point, out: Point, to: Point, bend: f64) -> Vec<Point> {
    let first = add(free, out, bend);
    let away = sub(to, first);
    let aside = add(away, out, -dot(away, out));
    let aside = if norm(aside) > 1e-9 {
        unit(aside)
    } else {
        // Straight behind: any side does, so always the same one.
        [out[1].abs(), out[2].abs(), out[0].abs()]
    };
    vec![first, add(first, aside, 2.0 * bend)]
}

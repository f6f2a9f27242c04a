//! Laying a cable: leg by leg between what is pinned, out of each port straight.

use super::detour::go;
use super::field::{CLEAR, Corridor, Field};
use super::gates::Gates;
use super::lazy::{Thread, clear};
use super::meets::{Met, deepest, pieces};
use super::nodes::{Node, Nodes};
use super::under::leads_under;
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, Catalogue, PartId, Scene, System, Via};
use crate::placement::{Placed, Thing};
use crate::route::bend::{Point, add, norm, sub};
use crate::route::free::{self, Block, End, NoBend, NoWay};
use crate::route::run::{CableRun, Stretch, run};
use std::collections::BTreeMap;

/// The search asks whether to stop a few times a millisecond; so often it may go on for
/// one cable. It is counted, not timed, so that the same scene gives the same ways.
const MOST_ASKED: usize = 2_000;
/// Corners of a laid stretch, at most.
const MOST_CORNERS: usize = 60;

/// What a search for ways looks at.
#[derive(Clone, Copy)]
pub struct Desk<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// Where everything stands.
    pub placed: &'a Placed,
    /// Connectors and cable kinds.
    pub catalogue: &'a Catalogue,
    /// The ways of all cables, for what runs through passages.
    pub runs: &'a BTreeMap<CableId, CableRun>,
}

/// What else is asked of a way.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Wish {
    /// Boxes in millimetres that count as solid too.
    pub more: Vec<Block>,
    /// Which ways may lead under a board.
    pub under: Under,
}

/// Whether a way may lead through the gap under a board.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Under {
    /// Only where none else is there, or none else is short enough and this one is.
    #[default]
    Need,
    /// It may.
    May,
    /// It may not.
    Not,
}

/// A cable with a way that is clear of everything.
#[derive(Clone, PartialEq, Debug)]
pub struct Laid {
    /// The cable, with the corners of its way.
    pub cable: Cable,
    /// Its run.
    pub run: CableRun,
    /// The boards that it leads under: it is threaded before they are screwed down.
    pub under: Vec<PartId>,
    /// What it had to get past.
    pub past: Vec<(Thing, Block)>,
}

impl Laid {
    /// True where each stretch is long enough.
    pub fn reaches(&self) -> bool {
        self.run.short_by().is_none()
    }
}

/// Why a cable was not laid.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum NotLaid {
    /// It is a hose, which takes a shape of its own.
    #[error("a hose takes its own shape and is not led")]
    Hose,
    /// An end or a place on its way is not there.
    #[error("{0}")]
    NoEnds(String),
    /// No way was found.
    #[error("{0}")]
    NoWay(String),
    /// The caller stopped it.
    #[error("stopped before a way was found")]
    Stopped,
}

/// Lays a cable anew: its corners go, what is pinned stays.
///
/// # Errors
/// [`NotLaid`]; that no way was found is no proof that there is none.
pub fn lay(
    desk: &Desk,
    id: &CableId,
    cable: &Cable,
    wish: &Wish,
    cancelled: &dyn Fn() -> bool,
) -> Result<Laid, NotLaid> {
    let gaps = super::under::gaps(desk.placed);
    let over = || {
        let mut more = wish.more.clone();
        more.extend(&gaps);
        lay_among(desk, id, cable, &more, cancelled)
    };
    let under = || lay_among(desk, id, cable, &wish.more, cancelled);
    match wish.under {
        Under::May => under(),
        Under::Not => over(),
        Under::Need if gaps.is_empty() => under(),
        Under::Need => match over() {
            Ok(laid) if laid.reaches() => Ok(laid),
            Err(e @ (NotLaid::Hose | NotLaid::NoEnds(_) | NotLaid::Stopped)) => Err(e),
            other => match under() {
                Ok(laid) if laid.reaches() || other.is_err() => Ok(laid),
                _ => other,
            },
        },
    }
}

fn lay_among(
    desk: &Desk,
    id: &CableId,
    cable: &Cable,
    more: &[Block],
    cancelled: &dyn Fn() -> bool,
) -> Result<Laid, NotLaid> {
    let mut straight = cable.clone();
    straight.straighten();
    straight.finds = true;
    let hose = straight.system == System::Liquid;
    if hose && straight.plugs.iter().all(|p| p.via.is_empty()) {
        return Err(NotLaid::Hose);
    }
    let plain = run(desk.scene, desk.placed, desk.catalogue, id, &straight);
    for stretch in &plain.stretches {
        if let Err(why) = &stretch.judged {
            return Err(NotLaid::NoEnds(why.clone()));
        }
    }
    let gates = Gates::of(
        desk.scene,
        desk.placed,
        desk.catalogue,
        desk.runs,
        id,
        cable,
    );
    // Rooms that are kept clear are left so where that leaves a way.
    let mut first = None;
    for keep_out in [true, false] {
        let mut job = Job {
            desk,
            id,
            straight: &straight,
            plain: &plain,
            field: Field::new(desk.placed, &gates, corridors(desk, &straight, &plain)),
            thread: Thread {
                half: straight.section.thickness().as_mm() / 2.0,
                radius: straight.bend.as_mm() * 1.0005 + 0.02,
            },
            asked: 0,
            cancelled,
            past: Vec::new(),
        };
        job.field.keep_out = keep_out;
        job.field.more = more.to_vec();
        match job.cable() {
            Ok(laid) => return Ok(laid),
            Err(NotLaid::Stopped) => return Err(NotLaid::Stopped),
            Err(e) => _ = first.get_or_insert(e),
        }
    }
    Err(first.unwrap_or(NotLaid::Stopped))
}

/// The room of the plugs and straight leads at both ends of each stretch.
fn corridors(desk: &Desk, cable: &Cable, run: &CableRun) -> Vec<Corridor> {
    let half = cable.section.thickness().half() + Length::um((CLEAR * 1000.0) as i64 + 20);
    let mut all = Vec::new();
    for stretch in &run.stretches {
        let n = stretch.points.len();
        for (port, i, j) in [(&stretch.from, 0, 1), (&stretch.to, n - 1, n - 2)] {
            let Some(at) = desk.placed.port(port) else {
                continue;
            };
            let face = stretch.points[i];
            let stub = norm(sub(stretch.points[j], face));
            let on_face = norm(sub(face, at.at.as_mm()));
            let long = Length::from_mm(on_face + stub).unwrap_or_default() + half;
            all.push(Corridor::new(&port.part, at.at, at.leaves, long, half));
        }
    }
    all
}

/// The best way so far between two places.
struct Best {
    length: f64,
    corners: Vec<Vec3>,
    came: Point,
    past: Vec<(Option<Thing>, Block)>,
}

struct Job<'a> {
    desk: &'a Desk<'a>,
    id: &'a CableId,
    straight: &'a Cable,
    plain: &'a CableRun,
    field: Field<'a>,
    thread: Thread,
    asked: usize,
    cancelled: &'a dyn Fn() -> bool,
    past: Vec<(Thing, Block)>,
}

impl Job<'_> {
    fn cable(&mut self) -> Result<Laid, NotLaid> {
        let mut cable = self.straight.clone();
        for index in 0..self.plain.stretches.len() {
            cable.plugs[index].via = self.stretch(index)?;
        }
        let run = self.run(&cable);
        Ok(Laid {
            under: leads_under(self.desk.placed, &run.stretches),
            cable,
            run,
            past: std::mem::take(&mut self.past),
        })
    }

    /// True where a way touches none of the boxes that count besides what stands there.
    fn is_open(&self, stretch: &Stretch) -> bool {
        let half = self.thread.half;
        pieces(stretch).into_iter().all(|(a, b)| {
            let leg = free::Leg::Straight { a, b };
            let mut more = self.field.more.iter();
            more.all(|block| free::too_near(&leg, block, half).is_none())
        })
    }

    fn run(&self, cable: &Cable) -> CableRun {
        let desk = self.desk;
        run(desk.scene, desk.placed, desk.catalogue, self.id, cable)
    }

    /// One stretch: as it is where that is free, else with a straight pass through what
    /// is pinned, else with corners there.
    fn stretch(&mut self, index: usize) -> Result<Vec<Via>, NotLaid> {
        let stretch = &self.plain.stretches[index];
        let as_it_is = stretch.visits.clone();
        if self.is_open(stretch) && self.proved(index, &as_it_is).is_ok() {
            return Ok(as_it_is);
        }
        let nodes = Nodes {
            placed: self.desk.placed,
            half: self.thread.half,
        }
        .of(stretch);
        let mut why = None;
        for smooth in [true, false] {
            let past = self.past.len();
            let via = self.legs(stretch, &nodes, smooth);
            match via.and_then(|via| self.proved(index, &via).map(|()| via)) {
                Ok(via) => return Ok(via),
                Err(NotLaid::Stopped) => return Err(NotLaid::Stopped),
                Err(e) => _ = why.get_or_insert(e),
            }
            self.past.truncate(past);
            if nodes.len() == 2 {
                break;
            }
        }
        Err(why.unwrap_or(NotLaid::Stopped))
    }

    /// The same look that judges drawn ways, at this way of one stretch.
    fn proved(&self, index: usize, via: &[Via]) -> Result<(), NotLaid> {
        let mut cable = self.straight.clone();
        cable.plugs[index].via = via.to_vec();
        let run = self.run(&cable);
        let stretch = &run.stretches[index];
        if let Some(met) = deepest(self.desk.placed, &cable, stretch) {
            let words = format!("no way was found past {}", self.name(&met.met));
            return Err(NotLaid::NoWay(words));
        }
        // As the rule on bends: a micrometre less is none.
        let tight = stretch.tightest_bend.and_then(Length::from_mm);
        if tight.is_some_and(|r| r + Length::um(1) < cable.bend) {
            let words = "what it is led along leaves no room to bend".to_owned();
            return Err(NotLaid::NoWay(words));
        }
        Ok(())
    }

    fn name(&self, met: &Met) -> String {
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

    /// The places of one stretch, corners between what is pinned. A smooth way goes
    /// straight on through each pinned place; another one has a corner there, and stays
    /// straight between two places where nothing is in between.
    fn legs(
        &mut self,
        stretch: &Stretch,
        nodes: &[Node],
        smooth: bool,
    ) -> Result<Vec<Via>, NotLaid> {
        let mut via: Vec<Via> = Vec::new();
        // The direction in which the leg before came.
        let mut out: Option<Point> = None;
        for (i, pair) in nodes.windows(2).enumerate() {
            let last = i + 2 == nodes.len();
            let leave = match out.filter(|_| smooth) {
                Some(way) => vec![way],
                None => pair[0].ways.clone(),
            };
            // Into a pinned place the way comes from behind, into a port against it.
            let arrive: Vec<Point> = match last {
                true => pair[1].ways.clone(),
                false => pair[1].ways.iter().map(|w| w.map(|x| -x)).collect(),
            };
            if smooth || !self.is_clear(pair[0].free(), pair[1].free()) {
                let (corners, came) = self.pair(&pair[0], &pair[1], &leave, &arrive)?;
                out = Some(came.map(|x| -x));
                via.extend(corners.into_iter().map(Via::Corner));
            }
            if !last {
                via.push(stretch.visits[i].clone());
            }
        }
        if via.len() > MOST_CORNERS {
            let words = "its way would have too many corners".to_owned();
            return Err(NotLaid::NoWay(words));
        }
        Ok(via)
    }

    /// True where nothing stands between two places.
    fn is_clear(&mut self, from: Point, to: Point) -> bool {
        clear(&mut self.field, from, to, self.thread.half)
    }

    /// The shortest way between two places, over all ways of leaving and arriving.
    fn pair(
        &mut self,
        a: &Node,
        b: &Node,
        leave: &[Point],
        arrive: &[Point],
    ) -> Result<(Vec<Vec3>, Point), NotLaid> {
        let mut best: Option<Best> = None;
        let mut why = None;
        for from in leave {
            for to in arrive {
                let (asked, cancelled) = (&mut self.asked, self.cancelled);
                let mut stop = || {
                    *asked += 1;
                    *asked > MOST_ASKED || cancelled()
                };
                let ends = [(a, *from), (b, *to)].map(|(node, direction)| End {
                    at: node.at,
                    direction,
                    stub: node.stub,
                });
                match go(&mut self.field, self.thread, ends, &mut stop) {
                    Ok(found) => {
                        let length = found.bent.length;
                        if best.as_ref().is_none_or(|b| length < b.length)
                            && let Some(corners) = corners(&found.bent)
                        {
                            best = Some(Best {
                                length,
                                corners,
                                came: *to,
                                past: found.past,
                            });
                        }
                    }
                    Err(e) => _ = why.get_or_insert(e),
                }
                if (self.cancelled)() {
                    return Err(NotLaid::Stopped);
                }
            }
            // The likeliest way of leaving that leads there is taken.
            if best.is_some() {
                break;
            }
        }
        match best {
            Some(best) => {
                let own = best.past.into_iter().filter_map(|(t, b)| Some((t?, b)));
                self.past.extend(own);
                Ok((best.corners, best.came))
            }
            None => Err(NotLaid::NoWay(self.words(a, b, why))),
        }
    }

    fn words(&self, a: &Node, b: &Node, why: Option<NoBend>) -> String {
        let between = format!("from {} to {}", a.name, b.name);
        match why {
            Some(NoBend::TooThick) => "it is too thick for the enclosure".to_owned(),
            Some(NoBend::NoWay(NoWay::StartBlocked)) => format!("{} is walled up", a.name),
            Some(NoBend::NoWay(NoWay::GoalBlocked)) => format!("{} is walled up", b.name),
            Some(NoBend::TooTight { place, missing, .. }) => format!(
                "no way {between} leaves room to bend: {missing:.1} mm are missing near x {:.0}, y {:.0}, z {:.0}",
                place[0], place[1], place[2]
            ),
            Some(NoBend::NoWay(NoWay::GaveUp | NoWay::Stopped)) => {
                format!("no way {between} was found in the time allowed")
            }
            _ => format!("there is no way {between}"),
        }
    }
}

/// The corners that were rounded, to whole micrometres.
fn corners(bent: &free::Bent) -> Option<Vec<Vec3>> {
    let mut out = Vec::new();
    for leg in &bent.legs {
        let free::Leg::Arc {
            centre,
            start,
            end,
            angle,
            ..
        } = *leg
        else {
            continue;
        };
        let half_turn = (angle / 2.0).cos().powi(2);
        let middle: Point = std::array::from_fn(|k| (start[k] + end[k]) / 2.0 - centre[k]);
        let [x, y, z] = add(centre, middle, 1.0 / half_turn).map(Length::from_mm);
        out.push(Vec3::new(x?, y?, z?));
    }
    Some(out)
}

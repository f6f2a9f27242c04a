//! The search for one cable: leg by leg between what is pinned, out of each port straight.

use super::field::Field;
use super::find::{Desk, Laid, NotLaid};
use super::lazy::{Found, Known, Thread, clear, reach};
use super::meets::{deepest, pieces};
use super::nodes::{Node, Nodes};
use super::under::{leads_through, leads_under};
use super::wind::wind;
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, Via};
use crate::placement::Thing;
use crate::route::bend::{Point, add, unit};
use crate::route::free::{self, Block, End, NoBend, NoWay};
use crate::route::run::{CableRun, Stretch, run};
use std::collections::BTreeMap;

/// The search asks whether to stop a hundred times a millisecond or so; so often it may go on
/// for one leg, and for one cable. It is counted, not timed, so that the same scene gives the
/// same ways.
const LEG_ASKED: usize = 300;
const MOST_ASKED: usize = 2_000;
/// Far winding ways are sought so often for one cable.
const MOST_FAR: usize = 2;
/// Corners of a laid stretch, at most.
const MOST_CORNERS: usize = 60;

/// The best way so far between two places.
struct Best {
    length: f64,
    corners: Vec<Vec3>,
    came: Point,
    past: Vec<(Option<Thing>, Block)>,
}

impl Best {
    fn of(found: Found, came: Point) -> Option<Best> {
        Some(Best {
            length: found.bent.length,
            corners: corners(&found.bent)?,
            came,
            past: found.past,
        })
    }
}

/// How a stretch is tried: straight on through what is pinned or with corners there, and
/// with winding ways where no other was found.
#[derive(Clone, Copy)]
struct Manner {
    smooth: bool,
    wind: bool,
}

/// Which leg of which stretch.
type LegId = (usize, usize);

pub(super) struct Job<'a> {
    pub desk: &'a Desk<'a>,
    id: &'a CableId,
    straight: &'a Cable,
    plain: &'a CableRun,
    pub field: Field<'a>,
    pub thread: Thread,
    asked: usize,
    cancelled: &'a dyn Fn() -> bool,
    /// Whether winding ways are sought where no other is found.
    pub winds: bool,
    past: Vec<(Thing, Block)>,
    far: usize,
    /// Obstacles met on each leg, and what was tried there.
    known: BTreeMap<LegId, Known>,
    tried: Vec<Tried>,
}

/// A leg that was looked for.
struct Tried {
    leg: LegId,
    ends: [End; 2],
    /// So many questions were allowed, and whether they were used up.
    most: usize,
    cut: bool,
    result: Result<Found, NoBend>,
}

impl<'a> Job<'a> {
    pub fn new(
        desk: &'a Desk<'a>,
        id: &'a CableId,
        straight: &'a Cable,
        plain: &'a CableRun,
        field: Field<'a>,
        thread: Thread,
        cancelled: &'a dyn Fn() -> bool,
    ) -> Job<'a> {
        Job {
            desk,
            id,
            straight,
            plain,
            field,
            thread,
            asked: 0,
            cancelled,
            winds: true,
            past: Vec::new(),
            far: 0,
            known: BTreeMap::new(),
            tried: Vec::new(),
        }
    }

    /// The whole cable; rooms that are kept clear, boxes besides and gaps under boards count
    /// as solid where they are given.
    pub fn cable(
        &mut self,
        keep_out: bool,
        more: &[Block],
        gaps: &[Block],
    ) -> Result<Laid, NotLaid> {
        self.field.with(keep_out, more, gaps);
        self.asked = 0;
        self.far = 0;
        self.past.clear();
        self.known.clear();
        self.tried.clear();
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

    /// True where a way touches none of the boxes that count besides what stands there, and
    /// leads under no board where it may not.
    fn is_open(&mut self, stretch: &Stretch) -> bool {
        let half = self.thread.half;
        let (gaps, besides) = (self.field.gaps(), self.field.besides());
        let open = pieces(stretch).into_iter().all(|(a, b)| {
            let leg = free::Leg::Straight { a, b };
            let mut more = besides.iter();
            more.all(|block| free::too_near(&leg, block, half).is_none())
        });
        let under = open && leads_through(gaps, stretch);
        self.field.met.gap |= under;
        open && !under
    }

    fn run(&self, cable: &Cable) -> CableRun {
        let desk = self.desk;
        run(desk.scene, desk.placed, desk.catalogue, self.id, cable)
    }

    /// One stretch: as it is where that is free, else with a straight pass through what
    /// is pinned, else with corners there, and where all that fails with winding ways.
    fn stretch(&mut self, index: usize) -> Result<Vec<Via>, NotLaid> {
        let plain = self.plain;
        let stretch = &plain.stretches[index];
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
        let winds = self.winds;
        for wind in [false, true].into_iter().filter(|w| winds || !w) {
            for smooth in [true, false] {
                let past = self.past.len();
                let via = self.legs(index, &nodes, Manner { smooth, wind });
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

    /// The places of one stretch, corners between what is pinned. A smooth way goes
    /// straight on through each pinned place; another one has a corner there, and stays
    /// straight between two places where nothing is in between.
    fn legs(&mut self, index: usize, nodes: &[Node], how: Manner) -> Result<Vec<Via>, NotLaid> {
        let plain = self.plain;
        let mut via: Vec<Via> = Vec::new();
        // The direction in which the leg before came.
        let mut out: Option<Point> = None;
        for (i, pair) in nodes.windows(2).enumerate() {
            let last = i + 2 == nodes.len();
            let leave = match out.filter(|_| how.smooth) {
                Some(way) => vec![way],
                None => pair[0].ways.clone(),
            };
            // Into a pinned place the way comes from behind, into a port against it.
            let arrive: Vec<Point> = match last {
                true => pair[1].ways.clone(),
                false => pair[1].ways.iter().map(|w| w.map(|x| -x)).collect(),
            };
            if how.smooth || !self.is_clear(pair[0].free(), pair[1].free()) {
                let ends = [(&pair[0], leave), (&pair[1], arrive)].map(|(node, ways)| {
                    let end = |direction| End {
                        at: node.at,
                        direction,
                        stub: node.stub,
                    };
                    ways.into_iter().map(end).collect::<Vec<End>>()
                });
                let least = [pair[0].least, pair[1].least];
                let found = self.pair((index, i), [&ends[0], &ends[1]], least, how.wind);
                let best =
                    found.map_err(|why| why.map_or(NotLaid::Stopped, |e| self.no(pair, &e)))?;
                out = Some(best.came.map(|x| -x));
                via.extend(best.corners.into_iter().map(Via::Corner));
                let own = best.past.into_iter().filter_map(|(t, b)| Some((t?, b)));
                self.past.extend(own);
            }
            if !last {
                via.push(plain.stretches[index].visits[i].clone());
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

    /// The shortest way between two places, over all ways of leaving and arriving; without
    /// a reason where the caller stopped it.
    fn pair(
        &mut self,
        id: LegId,
        [leave, arrive]: [&[End]; 2],
        least: [f64; 2],
        winds: bool,
    ) -> Result<Best, Option<NoBend>> {
        // Where an end cannot even begin to bend there is nothing to look for.
        let blocked = [NoWay::StartBlocked, NoWay::GoalBlocked];
        for (ends, why) in [leave, arrive].into_iter().zip(blocked) {
            let open = ends.iter().any(|e| {
                let free = add(e.at, unit(e.direction), e.stub);
                self.is_clear(free, free)
            });
            if !open {
                return Err(Some(NoBend::NoWay(why)));
            }
        }
        let (best, why) = self.straight_on(id, [leave, arrive], least, LEG_ASKED)?;
        if let Some(best) = best {
            return Ok(best);
        }
        let tight = matches!(
            why,
            Some(NoBend::TooTight { .. } | NoBend::NoWay(NoWay::GaveUp | NoWay::Stopped))
        );
        if winds && tight && self.thread.radius > 0.0 {
            let cancelled = self.cancelled;
            let mut stop = || cancelled();
            let far = self.far < MOST_FAR;
            let ends = [leave, arrive];
            let found = wind(&mut self.field, self.thread, ends, far, &mut stop);
            self.far += usize::from(found.is_none());
            if let Some((_, to, found)) = found
                && let Some(best) = Best::of(found, arrive[to].direction)
            {
                return Ok(best);
            }
            let longer = self.straight_on(id, [leave, arrive], least, MOST_ASKED)?;
            if let (Some(best), _) = longer {
                return Ok(best);
            }
        }
        Err(why)
    }

    /// The shortest without winding, over all ways of leaving and arriving; each search asks
    /// so often at most whether to stop.
    fn straight_on(
        &mut self,
        id: LegId,
        [leave, arrive]: [&[End]; 2],
        least: [f64; 2],
        most: usize,
    ) -> Result<(Option<Best>, Option<NoBend>), Option<NoBend>> {
        let mut best: Option<Best> = None;
        let mut why: Option<NoBend> = None;
        for from in leave {
            for to in arrive {
                let mut ends = [*from, *to];
                for (end, least) in ends.iter_mut().zip(least) {
                    end.stub = end.stub.max(least);
                }
                match self.reach(id, ends, most) {
                    Ok(found) => {
                        let shorter = best.as_ref().is_none_or(|b| found.bent.length < b.length);
                        if shorter && let Some(found) = Best::of(found, to.direction) {
                            best = Some(found);
                        }
                    }
                    // That there is no room to bend says most.
                    Err(e @ NoBend::TooTight { .. })
                        if !matches!(why, Some(NoBend::TooTight { .. })) =>
                    {
                        why = Some(e);
                    }
                    Err(e) => _ = why.get_or_insert(e),
                }
                if (self.cancelled)() {
                    return Err(None);
                }
            }
            // The likeliest way of leaving that leads there is taken.
            if best.is_some() {
                break;
            }
        }
        Ok((best, why))
    }

    /// One leg, from one way of leaving to one of arriving; each is looked for once, and again
    /// where that was cut off and more is allowed.
    fn reach(&mut self, id: LegId, ends: [End; 2], most: usize) -> Result<Found, NoBend> {
        let mut before = self.tried.iter();
        let same = |t: &&Tried| t.leg == id && t.ends == ends && (!t.cut || t.most >= most);
        if let Some(tried) = before.find(same) {
            return tried.result.clone();
        }
        let (asked, cancelled) = (&mut self.asked, self.cancelled);
        let last = MOST_ASKED.min(*asked + most);
        let mut stop = || {
            *asked += 1;
            *asked > last || cancelled()
        };
        let known = self.known.entry(id).or_default();
        let result = reach(&mut self.field, self.thread, ends, known, &mut stop);
        self.tried.push(Tried {
            leg: id,
            ends,
            most,
            cut: self.asked > last,
            result: result.clone(),
        });
        result
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

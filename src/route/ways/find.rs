//! Laying a cable: what is asked, what comes of it, and in which order it is tried.

use super::field::{CLEAR, Corridor, Field};
use super::gates::Gates;
use super::job::Job;
use super::lazy::Thread;
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, Catalogue, PartId, Scene, System, Via};
use crate::placement::{Placed, Thing};
use crate::route::bend::{norm, sub};
use crate::route::free::Block;
use crate::route::run::{CableRun, run};
use std::collections::BTreeMap;

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
    /// How long a piece may hang free. Where one is longer, ties of the enclosure are chosen as
    /// far as that helps; see [`Via::Chosen`](crate::model::Via::Chosen).
    pub hangs: Option<Length>,
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

/// Lays a cable anew: its corners go, what is pinned stays. Ties that were chosen before stay
/// while they do what they were chosen for; else others are chosen.
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
    let mut straight = cable.clone();
    straight.straighten();
    straight.finds = true;
    if let Some(most) = wish.hangs
        && cable.plugs.iter().flat_map(|p| &p.via).any(is_chosen)
    {
        let mut along = cable.clone();
        for plug in &mut along.plugs {
            plug.via.retain(Via::is_place);
        }
        along.finds = true;
        if let Ok(laid) = lay_along(desk, id, &along, wish, false, cancelled)
            && super::ties::still_good(desk, &laid, most)
        {
            return Ok(laid);
        }
    }
    let laid = lay_along(desk, id, &straight, wish, true, cancelled)?;
    Ok(match wish.hangs {
        Some(most) => super::ties::tied(desk, id, &straight, wish, most, laid, cancelled),
        None => laid,
    })
}

fn is_chosen(via: &Via) -> bool {
    matches!(via, Via::Chosen(_))
}

/// Lays a cable without corners along all places that it has; with winding ways where no other
/// is found and `winds` says so.
pub(super) fn lay_along(
    desk: &Desk,
    id: &CableId,
    straight: &Cable,
    wish: &Wish,
    winds: bool,
    cancelled: &dyn Fn() -> bool,
) -> Result<Laid, NotLaid> {
    let hose = straight.system == System::Liquid;
    if hose && straight.plugs.iter().all(|p| p.via.is_empty()) {
        return Err(NotLaid::Hose);
    }
    let plain = run(desk.scene, desk.placed, desk.catalogue, id, straight);
    for stretch in &plain.stretches {
        if let Err(why) = &stretch.judged {
            return Err(NotLaid::NoEnds(why.clone()));
        }
    }
    let Desk {
        scene,
        placed,
        catalogue,
        runs,
    } = *desk;
    let gates = Gates::of(scene, placed, catalogue, runs, id, straight);
    let thread = Thread {
        half: straight.section.thickness().as_mm() / 2.0,
        radius: straight.bend.as_mm() * 1.0005 + 0.02,
    };
    let gaps = match wish.under {
        Under::May => Vec::new(),
        Under::Not => super::under::gaps(placed),
        Under::Need => {
            let mut gaps = super::under::gaps(placed);
            gaps.retain(|gap| !holds(gap, &pinned(placed, &plain), thread.half));
            gaps
        }
    };
    let field = Field::new(placed, &gates, corridors(desk, straight, &plain));
    let mut job = Job::new(desk, id, straight, &plain, field, thread, cancelled);
    job.winds = winds;
    let mut order = Order {
        job,
        wish,
        met_gap: false,
    };
    let over = order.among(&gaps);
    match over {
        Ok(laid) if laid.reaches() => Ok(laid),
        Err(NotLaid::Stopped) => over,
        // Where no gap was in the way, what is found with all of them open is the same.
        _ if wish.under != Under::Need || !order.met_gap => over,
        _ => match order.among(&[]) {
            Ok(laid) if laid.reaches() || over.is_err() => Ok(laid),
            _ => over,
        },
    }
}

struct Order<'a> {
    job: Job<'a>,
    wish: &'a Wish,
    /// A gap under a board was in the way.
    met_gap: bool,
}

impl Order<'_> {
    /// Rooms that are kept clear are left so where that leaves a way.
    fn among(&mut self, gaps: &[Block]) -> Result<Laid, NotLaid> {
        let mut first = None;
        for keep_out in [true, false] {
            let result = self.job.cable(keep_out, &self.wish.more, gaps);
            let met = self.job.field.met;
            self.met_gap |= met.gap;
            match result {
                Err(e) if e != NotLaid::Stopped && met.kept => _ = first.get_or_insert(e),
                Err(e) => return Err(first.filter(|_| e != NotLaid::Stopped).unwrap_or(e)),
                laid => return laid,
            }
        }
        Err(first.unwrap_or(NotLaid::Stopped))
    }
}

/// The places that a way cannot but go through.
fn pinned(placed: &Placed, plain: &CableRun) -> Vec<Vec3> {
    let stretches = plain.stretches.iter();
    stretches
        .flat_map(|s| &s.visits)
        .filter_map(|via| super::nodes::place(placed, via))
        .collect()
}

/// True where a way through one of these places cannot keep off a box.
fn holds(b: &Block, places: &[Vec3], half: f64) -> bool {
    let within = |p: [f64; 3]| (0..3).all(|k| b[0][k] - half < p[k] && p[k] < b[1][k] + half);
    places.iter().any(|p| within(p.as_mm()))
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

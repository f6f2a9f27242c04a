//! A hose that does not lie: another length of it, its ends exchanged with another hose's,
//! the parts at its ends moved. A hose takes the shape it takes, so more way does not help and
//! moving nearer may do harm: what is tried is judged by the shape that it takes then.

use super::How;
use super::desk::{Desk, Idea, MOST_OF_A_SORT};
use crate::edit::Edit;
use crate::geom::{Dir, Length};
use crate::model::{Cable, CableId, PartId, Scene, Severity, Via};
use crate::placement::Placed;
use crate::route::hose::{self, Fit, Hose};
use crate::route::{self, CableRun};

/// So many ties are tried.
const MOST_TIES: usize = 32;

/// So many of those on which it lies are offered.
const MOST_TIED: usize = 3;

/// A part is moved by this until the hose lies; then the least distance is narrowed down.
const STRIDE: Length = Length::mm(10);

/// Room to lie in that is narrower than this is of no use at a bench (our choice).
const NARROW: Length = Length::um(500);

/// To so much.
const FINE: Length = Length::um(100);

/// True where the hoses of a cable end what the finding says: none is too short or kinks, and
/// where that was all that was wrong, none bulges out of the enclosure.
pub(super) fn lie(hoses: &[Hose], of: Severity) -> bool {
    let lies = |h: &Hose| match h.fit {
        Fit::Lies(_) => of == Severity::Stop || h.outside <= Length::ZERO,
        Fit::Kinks(_) | Fit::TooFar(_) | Fit::Unknown(_) => false,
    };
    !hoses.is_empty() && hoses.iter().all(lies)
}

/// What a hose that is too short lacks is more than this, so that it is more than any bulge or kink
/// lacks.
const TOO_FAR: f64 = 2e4;

/// How much is wrong with the hoses of a cable in a scene as it would be, in millimetres:
/// nothing where they [`lie`], else what the worst one's radius lacks or bulges, or more than
/// [`TOO_FAR`] where it is too short. `None` where a shape is not known.
pub(super) fn lack(desk: &Desk, scene: &Scene, placed: &Placed, cable: &Cable) -> Option<f64> {
    let id = &desk.short.cable;
    let mut run: CableRun = route::run(scene, placed, desk.catalogue(), id, cable);
    let hoses = hose::lay(placed, desk.catalogue(), cable, &mut run);
    if lie(&hoses, desk.short.severity) {
        return Some(0.0);
    }
    let bend = cable.bend.as_mm();
    let mut worst: f64 = 0.0;
    for hose in &hoses {
        worst = worst.max(match hose.fit {
            Fit::Lies(_) => hose.outside.as_mm(),
            Fit::Kinks(radius) => bend - radius,
            Fit::TooFar(by) => TOO_FAR + by.as_mm(),
            Fit::Unknown(_) => return None,
        });
    }
    (worst > 0.0).then_some(worst)
}

fn would_lie(desk: &Desk, cable: &Cable) -> bool {
    lack(desk, desk.scene, desk.placed(), cable) == Some(0.0)
}

/// Lengths of the catalogue at which it lies, the shortest first.
pub(super) fn lengths(desk: &Desk) -> Vec<Idea> {
    let kind = desk.cable.kind.as_ref();
    let Some(kind) = kind.and_then(|k| desk.catalogue().cables.get(k)) else {
        return Vec::new();
    };
    let mut ideas = Vec::new();
    for length in &kind.lengths {
        let plug = &desk.cable.plugs[desk.short.stretch];
        if desk.is_cancelled() || ideas.len() == MOST_OF_A_SORT {
            break;
        }
        let mut cable = desk.cable.clone();
        cable.plugs[desk.short.stretch].length = *length;
        if *length != plug.length && would_lie(desk, &cable) {
            ideas.push(Idea {
                how: How::Length,
                words: format!("Take {length} mm of it."),
                edits: desk.set(cable),
                moved: Length::ZERO,
            });
        }
    }
    ideas
}

/// Its far end exchanged with that of another hose between the same parts: flow may go either
/// way through most blocks and radiators, which their makers' sheets have to say.
pub(super) fn exchanged(desk: &Desk) -> Vec<Idea> {
    if desk.cable.plugs.len() != 1 {
        return Vec::new();
    }
    let mut ideas = Vec::new();
    for (id, other) in &desk.scene.arrangement().cables {
        let alike = other.system == desk.cable.system
            && *id != desk.short.cable
            && other.plugs.len() == 1
            && desk.checker.hoses().contains_key(id)
            && other.from.part == desk.cable.from.part
            && other.plugs[0].to.part == desk.to().part
            && !other.locked;
        if !alike || desk.is_cancelled() {
            continue;
        }
        let (mut mine, mut theirs) = (desk.cable.clone(), other.clone());
        std::mem::swap(&mut mine.plugs[0].to, &mut theirs.plugs[0].to);
        let lies = |c: &Cable| would_lie(desk, c);
        if lies(&mine) && lies(&theirs) {
            let set = |id: &CableId, c: Cable| Edit::SetCable(id.clone(), Some(c));
            ideas.push(Idea {
                how: How::Port,
                words: format!(
                    "Exchange its end with that of {}, where the maker lets the flow turn round.",
                    other.name
                ),
                edits: vec![set(&desk.short.cable, mine), set(id, theirs)],
                moved: Length::ZERO,
            });
        }
    }
    ideas
}

/// Tied at one of the enclosure's ties, where it lies like a cable: the few of them by which its
/// way is shortest.
pub(super) fn tied(desk: &Desk) -> Vec<Idea> {
    let ties = &desk.placed().enclosure().ties;
    let all = ties.iter().take(MOST_TIES).map(|tie| {
        let mut cable: Cable = desk.cable.clone();
        cable.plugs[desk.short.stretch].via = vec![Via::Tie(tie.id.clone())];
        (format!("Tie it at '{}'.", tie.id), cable)
    });
    let mut ideas = desk.ways(all);
    ideas.truncate(MOST_TIED);
    ideas
}

/// A move: how far, what it takes, and how much is wrong with the hose then.
type Tried = (Length, Vec<Edit>, f64);

/// The least distance along `dir` after which the hose lies, to [`FINE`]. It is looked for at
/// places [`STRIDE`] apart up to the enclosure's wall, and between those where it comes nearest
/// to lying. `tried` says what moving by a distance takes, and what is [lacking](lack) then.
pub(super) fn least(
    desk: &Desk,
    id: &PartId,
    dir: Dir,
    tried: impl Fn(Length) -> Option<(Vec<Edit>, f64)>,
) -> Option<(Length, Vec<Edit>)> {
    let (part, place) = desk.scene.placed(id)?;
    let room = desk.scene.enclosure.outline();
    let outline = place.outline(&part.kind);
    if !room.contains(&outline) {
        return None;
    }
    let tried = |by: Length| tried(by).map(|(edits, lack)| (by, edits, lack));
    let mut before: Option<Tried> = None;
    let mut last = tried(Length::ZERO)?;
    loop {
        let by = last.0 + STRIDE;
        if desk.is_cancelled() || !room.contains(&outline.moved(dir.times(by))) {
            return None;
        }
        let next = tried(by)?;
        let fails = last.0;
        if next.2 <= 0.0 {
            return Some(narrowed(desk, fails, next, &tried));
        }
        // Too short, and the ends part more and more: the distance is convex along the way.
        if last.2 > TOO_FAR && next.2 > last.2 {
            return None;
        }
        let from = before.as_ref().map_or(last.0, |b| b.0);
        if last.2 <= next.2 && before.as_ref().is_none_or(|b| last.2 <= b.2) {
            // It comes nearest to lying somewhere around here.
            if let Some(found) = dip(desk, from, next.0, &tried) {
                return Some(narrowed(desk, from, found, &tried));
            }
        }
        before = Some(std::mem::replace(&mut last, next));
    }
}

/// Where between two distances nothing is lacking, if it is so anywhere that a search by thirds
/// comes across.
fn dip(
    desk: &Desk,
    from: Length,
    to: Length,
    tried: &impl Fn(Length) -> Option<Tried>,
) -> Option<Tried> {
    let (mut low, mut high) = (from, to);
    while high - low > NARROW && !desk.is_cancelled() {
        let third = Length::um((high - low).as_um() / 3);
        let (a, b) = (tried(low + third)?, tried(high - third)?);
        match () {
            () if a.2 <= 0.0 => return Some(a),
            () if b.2 <= 0.0 => return Some(b),
            () if a.2 <= b.2 => high = b.0,
            () => low = a.0,
        }
    }
    None
}

/// Halved from where it fails to where it lies, to what is fine enough.
fn narrowed(
    desk: &Desk,
    mut fails: Length,
    found: Tried,
    tried: &impl Fn(Length) -> Option<Tried>,
) -> (Length, Vec<Edit>) {
    let (mut by, mut edits) = (found.0, found.1);
    while by - fails > FINE && !desk.is_cancelled() {
        // A whole multiple of what is fine enough, so that it reads well.
        let half = Length::um((fails + (by - fails).half()).as_um() / FINE.as_um() * FINE.as_um());
        if half <= fails || half >= by {
            break;
        }
        match tried(half) {
            Some((_, then, lack)) if lack <= 0.0 => (by, edits) = (half, then),
            Some(_) => fails = half,
            None => break,
        }
    }
    (by, edits)
}

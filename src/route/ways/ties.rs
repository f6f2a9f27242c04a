//! Ties that a way is led along so that no piece of it hangs free for too long.

use super::find::{Desk, Laid, Wish, lay_along};
use super::nodes::place;
use super::spans::{Span, free_spans};
use crate::geom::{Length, Vec3};
use crate::model::{Cable, CableId, Tie, Via};
use std::collections::BTreeSet;

/// So many ways are laid for one cable at most.
const MOST_LAID: usize = 16;
/// So many ties are tried for one piece: those nearest to it.
const MOST_TIES: usize = 5;

/// A way with the ties chosen for it.
struct State {
    laid: Laid,
    /// The cable without corners.
    straight: Cable,
    ties: BTreeSet<(usize, String)>,
    spans: Vec<Span>,
}

impl State {
    /// By how much all pieces together are too long.
    fn excess(&self, most: Length) -> Length {
        self.spans.iter().map(|s| s.length - most).sum()
    }
}

/// A tie that may be taken up: the way is laid once it is the most promising.
struct Next {
    straight: Cable,
    ties: BTreeSet<(usize, String)>,
    /// What the way before needs and the least way round by the tie.
    bound: Length,
    /// How far too long the pieces were before.
    excess: Length,
}

/// The way that was laid, or one along ties of the enclosure of which no piece hangs free for
/// longer than `most`: the shortest of those looked at, by taking up one tie after another where
/// the longest piece hangs, the least way round first. Where none is good enough, the one of
/// which all pieces together are too long by least. Nothing is led along a tie that is too narrow
/// for it, or that makes it too short.
pub(super) fn tied(
    desk: &Desk,
    id: &CableId,
    straight: &Cable,
    wish: &Wish,
    most: Length,
    laid: Laid,
    cancelled: &dyn Fn() -> bool,
) -> Laid {
    let spans = |laid: &Laid| free_spans(desk.placed, &laid.cable, &laid.run, most);
    let first = State {
        spans: spans(&laid),
        straight: straight.clone(),
        ties: BTreeSet::new(),
        laid,
    };
    if first.spans.is_empty() || desk.scene.enclosure.ties.is_empty() {
        return first.laid;
    }
    let reaches = first.laid.reaches();
    let mut seen: BTreeSet<BTreeSet<(usize, String)>> = BTreeSet::new();
    let mut next: Vec<Next> = Vec::new();
    follow(desk, &first, most, &mut seen, &mut next);
    let mut found = vec![first];
    for _ in 0..MOST_LAID {
        let least = (0..next.len()).min_by_key(|i| next[*i].bound);
        let good = found.iter().filter(|s| s.spans.is_empty());
        let good = good.map(|s| s.laid.run.needed).min();
        let Some(at) = least.filter(|i| good.is_none_or(|g| next[*i].bound < g)) else {
            break;
        };
        if cancelled() {
            break;
        }
        let tried = next.swap_remove(at);
        let Ok(laid) = lay_along(desk, id, &tried.straight, wish, false, cancelled) else {
            continue;
        };
        if reaches && !laid.reaches() {
            continue;
        }
        let state = State {
            spans: spans(&laid),
            laid,
            straight: tried.straight,
            ties: tried.ties,
        };
        if state.excess(most) < tried.excess {
            follow(desk, &state, most, &mut seen, &mut next);
            found.push(state);
        }
    }
    let best = found
        .into_iter()
        .min_by_key(|s| (s.excess(most), s.laid.run.needed));
    best.expect("the first one is among them").laid
}

/// The ties that may be taken up where the longest piece of a way hangs.
fn follow(
    desk: &Desk,
    state: &State,
    most: Length,
    seen: &mut BTreeSet<BTreeSet<(usize, String)>>,
    next: &mut Vec<Next>,
) {
    let Some(worst) = state.spans.iter().max_by_key(|s| s.length) else {
        return;
    };
    for tie in near(desk, &state.straight, worst) {
        let mut ties = state.ties.clone();
        ties.insert((worst.stretch, tie.id.clone()));
        if !seen.insert(ties.clone()) {
            continue;
        }
        if let Some((straight, round)) = along(desk, state, worst.stretch, tie) {
            next.push(Next {
                straight,
                ties,
                bound: state.laid.run.needed + round,
                excess: state.excess(most),
            });
        }
    }
}

/// Whether a way along ties that were chosen before still does: then it is kept.
pub(super) fn still_good(desk: &Desk, laid: &Laid, most: Length) -> bool {
    laid.reaches() && free_spans(desk.placed, &laid.cable, &laid.run, most).is_empty()
}

/// The ties nearest to a piece that the cable is not led along yet and fits into.
fn near<'a>(desk: &Desk<'a>, cable: &Cable, span: &Span) -> Vec<&'a Tie> {
    let thick = cable.section.thickness();
    let led = |tie: &Tie| {
        let mut all = cable.plugs.iter().flat_map(|p| &p.via);
        all.any(|v| v.tie() == Some(&tie.id))
    };
    let off = |tie: &Tie| {
        let along = span.along.iter();
        along
            .map(|p| p.distance_mm(tie.at))
            .fold(f64::INFINITY, f64::min)
    };
    let ties = desk.scene.enclosure.ties.iter();
    let mut ties: Vec<(f64, &Tie)> = ties
        .filter(|t| !led(t) && t.clear.is_none_or(|c| thick <= c))
        .map(|t| (off(t), t))
        // A way there and back longer than the piece is no help.
        .filter(|(off, _)| 2.0 * off <= span.length.as_mm())
        .collect();
    ties.sort_by(|a, b| a.0.total_cmp(&b.0));
    ties.into_iter().take(MOST_TIES).map(|t| t.1).collect()
}

/// The cable with a tie on a stretch, between those places where it is the least way round, and
/// that way: from place to place, so it may be longer in truth where something is in between.
fn along(desk: &Desk, state: &State, stretch: usize, tie: &Tie) -> Option<(Cable, Length)> {
    let points = &state.laid.run.stretches.get(stretch)?.points;
    let mut cable = state.straight.clone();
    let via = &mut cable.plugs.get_mut(stretch)?.via;
    let whole = |p: &[f64; 3]| {
        let [x, y, z] = p.map(Length::from_mm);
        Some(Vec3::new(x?, y?, z?))
    };
    let mut places = vec![whole(points.first()?)?];
    for v in via.iter() {
        places.push(place(desk.placed, v)?);
    }
    places.push(whole(points.last()?)?);
    let round = |i: usize| {
        let (a, b) = (places[i], places[i + 1]);
        a.distance_mm(tie.at) + tie.at.distance_mm(b) - a.distance_mm(b)
    };
    let at = (0..places.len() - 1).min_by(|a, b| round(*a).total_cmp(&round(*b)))?;
    let way = Length::from_mm(round(at))?.max(Length::ZERO);
    via.insert(at, Via::Chosen(tie.id.clone()));
    Some((cable, way))
}

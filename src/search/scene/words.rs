//! Demands and conflicts in plain words.

use super::answer::Clash;
use super::puzzle::Demand;
use super::spot::Via;
use super::tables::Tables;
use super::wish::Wish;
use crate::geom::Length;
use crate::model::Scene;

/// A demand as a person would put it.
pub(super) fn demand(scene: &Scene, wish: &Wish, d: &Demand) -> String {
    match d {
        Demand::GoesIn(id) => {
            let Some(part) = scene.parts.get(id) else {
                return id.to_string();
            };
            match wish.kinds.get(id).map(Vec::as_slice) {
                None | Some([] | [_]) => part.name.clone(),
                Some(kinds) => format!("{} in one of {} kinds", part.name, kinds.len()),
            }
        }
        Demand::Reaches(id) => {
            let cable = scene.arrangement().cables.get(id);
            let name = cable.map_or_else(|| id.to_string(), |c| c.name.clone());
            format!("{name} reaches")
        }
        Demand::Gap => format!(
            "gaps of at least {} mm",
            wish.gap.map_or_else(String::new, |g| g.text1())
        ),
    }
}

/// The conflict of these demands.
pub(super) fn clash(
    scene: &Scene,
    wish: &Wish,
    tables: &Tables,
    demands: Vec<Demand>,
    smallest: bool,
) -> Clash {
    let words = demands.iter().map(|d| demand(scene, wish, d)).collect();
    let why = why(tables, wish, &demands);
    Clash {
        demands,
        words,
        why,
        smallest,
    }
}

/// What stands in the way of one part, or between two.
fn why(t: &Tables, wish: &Wish, demands: &[Demand]) -> Option<String> {
    let number = |d: &Demand| match d {
        Demand::GoesIn(id) => t.ids.iter().position(|i| i == id),
        _ => None,
    };
    match demands {
        [one] => {
            let mover = &t.movers[number(one)?];
            let id = &mover.id;
            let narrowed = wish.zones.contains_key(id) || wish.turns.contains_key(id);
            match (mover.refusal(), mover.spots.is_empty()) {
                (Some(text), true) => Some(text.to_owned()),
                (None, true) => Some(
                    match narrowed {
                        true => "its holes match none of the zones and turns that it may take",
                        false => "its holes match no zone",
                    }
                    .to_owned(),
                ),
                _ => None,
            }
        }
        [one, other] => {
            let (x, y) = (number(one)?, number(other)?);
            let near = t.near.iter().find(|n| (n.a, n.b) == (x.min(y), x.max(y)));
            let overlap = near.and_then(|near| {
                let pairs = t.bodies[near.a].len() * t.bodies[near.b].len();
                let depths: Vec<Length> = near.met.values().filter_map(|m| m.clash).collect();
                // Only where every pair of places overlaps is the least depth what is missing.
                (depths.len() == pairs).then_some(())?;
                depths.into_iter().min()
            });
            let overlap = overlap.map(|d| {
                (
                    (true, d.as_um()),
                    format!("they overlap by {} mm at least", d.text1()),
                )
            });
            let stacked = t
                .held
                .iter()
                .filter(|h| (h.a, h.b) == (x, y) || (h.a, h.b) == (y, x));
            let stacked = stacked.filter_map(|h| h.high.clone());
            let stacked = stacked.map(|(short, text)| ((false, short.as_um()), text));
            let refused = [(x, y), (y, x)].into_iter().filter_map(|(upper, lower)| {
                let no = t.movers[upper].refusals.get(&Via::On(lower))?;
                Some((no.rank(), no.text.clone()))
            });
            stacked.chain(refused).chain(overlap).min().map(|w| w.1)
        }
        _ => None,
    }
}

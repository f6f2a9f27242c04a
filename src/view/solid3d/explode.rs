//! How far each thing is moved in a view that is taken apart: off what carries it, and with
//! it; then farther until no two things stand in one another where they end up.
//!
//! Each thing goes along one direction only: a part off the face that it is screwed to, a panel
//! the way it leaves. What nothing holds goes up, where it has to go at all. Bodies count by the
//! boxes of their pieces. What overlaps as it is built is left alone: it is a clash, and shows.

use super::vector::P3;
use crate::geom::{Box3, Dir};
use crate::model::{PartId, Space};
use crate::view::sheet::SheetInput;
use std::collections::BTreeMap;

/// A part can sit on a part on a part; longer chains end here.
const LONGEST: usize = 8;

/// So often all pairs are looked at; what is not clear by then stays as it is.
const ROUNDS: usize = 60;

/// Overlaps up to this, in millimetres, are none.
const SLACK: f64 = 0.02;

/// How far things are moved.
pub(super) struct Shifts {
    parts: BTreeMap<PartId, P3>,
    plates: Vec<P3>,
}

impl Shifts {
    /// Of a part.
    pub(super) fn part(&self, id: &PartId) -> P3 {
        self.parts.get(id).copied().unwrap_or_default()
    }

    /// Of a plate, by its index.
    pub(super) fn plate(&self, index: usize) -> P3 {
        self.plates.get(index).copied().unwrap_or_default()
    }
}

struct Item {
    boxes: Vec<[P3; 2]>,
    around: [P3; 2],
    /// The way it goes; `None` stays.
    way: Option<Dir>,
    /// How far it goes that way, on top of what carries it.
    by: f64,
    carrier: Option<usize>,
}

/// The moves for a picture in which neighbours are `explode` apart along their ways. Plates that
/// `shown` does not want are not in the way.
pub(super) fn shifts(
    input: &SheetInput<'_>,
    explode: f64,
    shown: impl Fn(usize) -> bool,
) -> Shifts {
    let mut found = Shifts {
        parts: BTreeMap::new(),
        plates: Vec::new(),
    };
    if explode <= 0.0 {
        return found;
    }
    let plates = &input.scene.enclosure.plates;
    let mut items: Vec<Item> = Vec::new();
    for (i, plate) in plates.iter().enumerate() {
        let boxes = if shown(i) {
            vec![corners(&plate.solid.bounds())]
        } else {
            Vec::new()
        };
        let way = plate.panel.as_ref().map(|p| p.leaves);
        let by = if way.is_some() { 1.5 * explode } else { 0.0 };
        items.push(Item::new(boxes, way, by));
    }
    let first = items.len();
    let parts: Vec<_> = input.placed.parts().collect();
    let slot: BTreeMap<&PartId, usize> = (parts.iter().enumerate())
        .map(|(i, p)| (&p.id, first + i))
        .collect();
    for part in &parts {
        let boxes = match part.place.hidden {
            true => Vec::new(),
            false => (part.of(Space::Solid).map(|q| corners(&q.bounds))).collect(),
        };
        let hold = input.placed.holds(&part.id).first();
        let zone = hold.and_then(|h| input.placed.zone(&h.zone));
        let mut item = match zone {
            Some(zone) => Item::new(boxes, Some(zone.frame.normal), explode),
            None => Item::new(boxes, Some(Dir::PosZ), 0.0),
        };
        let carrier = hold.and_then(|h| h.zone.part.as_ref());
        item.carrier = carrier
            .filter(|c| **c != part.id)
            .and_then(|c| slot.get(c).copied());
        items.push(item);
    }
    clear(&mut items, explode);
    let all = all_shifts(&items);
    found.plates = all[..first].to_vec();
    found.parts = (parts.iter().zip(&all[first..]))
        .map(|(p, by)| (p.id.clone(), *by))
        .collect();
    found
}

impl Item {
    fn new(boxes: Vec<[P3; 2]>, way: Option<Dir>, by: f64) -> Item {
        let mut around = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
        for [low, high] in &boxes {
            for axis in 0..3 {
                around[0][axis] = around[0][axis].min(low[axis]);
                around[1][axis] = around[1][axis].max(high[axis]);
            }
        }
        Item {
            boxes,
            around,
            way,
            by,
            carrier: None,
        }
    }
}

fn corners(b: &Box3) -> [P3; 2] {
    [b.min().as_mm(), b.max().as_mm()]
}

/// Moves things farther along their ways until they are clear of one another.
fn clear(items: &mut [Item], explode: f64) {
    let air = 0.3 * explode;
    for _ in 0..ROUNDS {
        let mut moved = false;
        let mut order: Vec<usize> = (0..items.len())
            .filter(|i| !items[*i].boxes.is_empty())
            .collect();
        let at = all_shifts(items);
        let low = |i: usize| items[i].around[0][0] + at[i][0];
        order.sort_by(|a, b| low(*a).total_cmp(&low(*b)).then(a.cmp(b)));
        let mut pairs = Vec::new();
        for (k, a) in order.iter().enumerate() {
            let high = items[*a].around[1][0] + at[*a][0];
            let later = order[k + 1..].iter().take_while(|b| low(**b) < high);
            pairs.extend(later.map(|b| (*a.min(b), *a.max(b))));
        }
        pairs.sort_unstable();
        for (a, b) in pairs {
            // What was moved in this round is looked at where it is by now.
            let (sa, sb) = (shift(items, a), shift(items, b));
            if !meet(&items[a].around, sa, &items[b].around, sb)
                || !overlap(&items[a], sa, &items[b], sb)
                || overlap(&items[a], [0.0; 3], &items[b], [0.0; 3])
            {
                continue;
            }
            let one = push(items, a, sa, b, sb).map(|s| (s, a));
            let other = push(items, b, sb, a, sa).map(|s| (s, b));
            let least = one.into_iter().chain(other);
            if let Some((s, who)) = least.min_by(|x, y| x.0.total_cmp(&y.0)) {
                items[who].by += s + air;
                moved = true;
            }
        }
        if !moved {
            return;
        }
    }
}

/// How much farther `a` has to go along its way until it is clear of `b`; `None` where it does
/// not move, or takes `b` along.
fn push(items: &[Item], a: usize, sa: P3, b: usize, sb: P3) -> Option<f64> {
    let way = items[a].way?;
    let mut carrier = items[b].carrier;
    for _ in 0..LONGEST {
        match carrier {
            Some(c) if c == a => return None,
            Some(c) => carrier = items[c].carrier,
            None => break,
        }
    }
    let axis = way.axis().index();
    let (mine, other) = (&items[a].around, &items[b].around);
    Some(if way.sign() > 0 {
        other[1][axis] + sb[axis] - mine[0][axis] - sa[axis]
    } else {
        mine[1][axis] + sa[axis] - other[0][axis] - sb[axis]
    })
}

fn overlap(a: &Item, sa: P3, b: &Item, sb: P3) -> bool {
    (a.boxes.iter()).any(|p| b.boxes.iter().any(|q| meet(p, sa, q, sb)))
}

fn meet(a: &[P3; 2], sa: P3, b: &[P3; 2], sb: P3) -> bool {
    (0..3).all(|k| {
        let (low, high) = (a[0][k] + sa[k], a[1][k] + sa[k]);
        low + SLACK < b[1][k] + sb[k] && b[0][k] + sb[k] + SLACK < high
    })
}

fn shift(items: &[Item], of: usize) -> P3 {
    let mut by = [0.0; 3];
    let mut at = Some(of);
    for _ in 0..LONGEST {
        let Some(i) = at else { break };
        if let Some(way) = items[i].way {
            by[way.axis().index()] += way.sign() as f64 * items[i].by;
        }
        at = items[i].carrier.filter(|c| *c != of);
    }
    by
}

fn all_shifts(items: &[Item]) -> Vec<P3> {
    (0..items.len()).map(|i| shift(items, i)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(low: P3, high: P3, way: Option<Dir>, by: f64) -> Item {
        Item::new(vec![[low, high]], way, by)
    }

    fn apart(items: &[Item]) -> bool {
        let at = all_shifts(items);
        (0..items.len()).all(|i| (0..i).all(|j| !overlap(&items[i], at[i], &items[j], at[j])))
    }

    #[test]
    fn what_would_stand_in_one_another_goes_farther_along_its_way() {
        // A block goes up by 40 into one that stays, and one that goes left into both.
        let mut items = vec![
            item([0.0; 3], [100.0, 100.0, 20.0], Some(Dir::PosZ), 40.0),
            item([0.0, 0.0, 30.0], [100.0, 100.0, 60.0], None, 0.0),
            item(
                [110.0, 0.0, 0.0],
                [150.0, 100.0, 90.0],
                Some(Dir::NegX),
                40.0,
            ),
        ];
        clear(&mut items, 40.0);
        assert!(apart(&items), "{:?}", all_shifts(&items));
        // Over what stays (60), and from there over the other one (90), with the share of air.
        assert_eq!(items[0].by, 90.0 + 12.0);
        assert_eq!(items[1].by, 0.0);
    }

    #[test]
    fn what_is_carried_goes_along_and_is_not_its_carriers_obstacle() {
        let mut items = vec![
            item([0.0; 3], [50.0, 50.0, 10.0], Some(Dir::PosZ), 40.0),
            item([0.0, 0.0, 10.0], [50.0, 50.0, 20.0], Some(Dir::PosZ), 40.0),
            item([0.0, 0.0, 95.0], [50.0, 50.0, 97.0], None, 0.0),
        ];
        items[1].carrier = Some(0);
        clear(&mut items, 40.0);
        assert!(apart(&items), "{:?}", all_shifts(&items));
        assert_eq!(items[0].by, 40.0);
    }

    #[test]
    fn a_clash_stays_a_clash() {
        let mut items = vec![
            item([0.0; 3], [50.0; 3], Some(Dir::PosZ), 40.0),
            item([20.0; 3], [60.0; 3], Some(Dir::PosZ), 40.0),
        ];
        clear(&mut items, 40.0);
        assert!(items.iter().all(|i| i.by == 40.0));
    }
}

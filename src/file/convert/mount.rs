//! Frames, holes and sets of holes.

use super::{extent, point, to_extent, to_point};
use crate::file::error::{Check, Place, each, fault, offer, short};
use crate::file::v1;
use crate::geom::Length;
use crate::model::{Frame, Hole, HoleShape, Zone};
use std::cell::Cell;
use std::collections::BTreeMap;

/// Most holes in all patterns and zones of one file, sets written out.
pub(crate) const MAX_HOLES: usize = 200_000;

/// Named sets of holes: the hole patterns of standards, from which patterns and
/// zones in files are made up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HoleSets(pub(crate) BTreeMap<String, Vec<Hole>>);

impl HoleSets {
    /// The ids of all sets, in order.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }
}

/// What reading parts and enclosures needs: the sets of holes, and a count of the
/// holes made so far so that a small file cannot ask for millions of them.
pub(crate) struct Reader<'a> {
    sets: &'a HoleSets,
    holes: Cell<usize>,
}

impl<'a> Reader<'a> {
    pub(crate) fn new(sets: &'a HoleSets) -> Reader<'a> {
        Reader {
            sets,
            holes: Cell::new(0),
        }
    }

    fn count(&self, more: usize) -> Check<()> {
        let count = self.holes.get() + more;
        self.holes.set(count);
        if count > MAX_HOLES {
            return fault(
                format!("the file has more than {MAX_HOLES} holes by now"),
                "split it",
            );
        }
        Ok(())
    }
}

pub(crate) fn frame(f: v1::Frame) -> Check<Frame> {
    let (u, v, out) = (f.u.0, f.v.0, f.out.0);
    match Frame::new(point(f.at), u, v, out) {
        Some(frame) => Ok(frame),
        None => fault(
            format!("u {u:?}, v {v:?} and out {out:?} do not lie along three different axes"),
            "turn one of them",
        )
        .at("frame"),
    }
}

pub(crate) fn to_frame(f: &Frame) -> v1::Frame {
    v1::Frame {
        at: to_point(f.origin),
        u: v1::Word(f.u),
        v: v1::Word(f.v),
        out: v1::Word(f.normal),
    }
}

fn hole(h: v1::Hole) -> Check<Hole> {
    let (diameter, shape) = match (h.d, h.slot, h.seat) {
        (None, None, Some(_)) if h.thread.is_some() => {
            return fault("a seat has no thread", "leave it out").at("thread");
        }
        (None, None, Some(key)) => (Length::ZERO, HoleShape::Seat { key: key.0 }),
        (Some(_), _, Some(_)) => return fault("a seat has no diameter", "leave it out").at("d"),
        (_, Some(_), Some(_)) => return fault("a seat is no slot", "leave one out").at("slot"),
        (None, _, None) => return fault("the hole has no diameter", "add it").at("d"),
        (Some(d), None, None) => (d.0, HoleShape::Round),
        (Some(d), Some([du, dv]), None) => {
            if du.0 == Length::ZERO && dv.0 == Length::ZERO {
                return fault("the slot has no length", "leave it out for a round hole").at("slot");
            }
            (d.0, HoleShape::Slot { du: du.0, dv: dv.0 })
        }
    };
    if h.thread.as_ref().is_some_and(v1::Name::is_empty) {
        return fault(
            "the thread has no name",
            "leave it out for a clearance hole",
        )
        .at("thread");
    }
    Ok(Hole {
        label: h.label.0,
        u: h.u.0,
        v: h.v.0,
        diameter,
        shape,
        thread: h.thread.map(|t| t.0),
    })
}

fn to_hole(h: &Hole) -> v1::Hole {
    let mut hole = v1::Hole {
        label: v1::Name::of(&h.label),
        u: v1::Mm(h.u),
        v: v1::Mm(h.v),
        d: Some(v1::Positive(h.diameter)),
        thread: h.thread.as_ref().map(v1::Name::of),
        slot: None,
        seat: None,
    };
    match &h.shape {
        HoleShape::Round => {}
        HoleShape::Slot { du, dv } => hole.slot = Some([v1::Mm(*du), v1::Mm(*dv)]),
        HoleShape::Seat { key } => {
            hole.d = None;
            hole.seat = Some(v1::Id::of(key));
        }
    }
    hole
}

/// One quarter turn counter-clockwise from u to v.
fn quarter(u: Length, v: Length) -> (Length, Length) {
    (-v, u)
}

fn turned(mut h: Hole, quarters: u32) -> Hole {
    for _ in 0..quarters {
        (h.u, h.v) = quarter(h.u, h.v);
        if let HoleShape::Slot { du, dv } = &mut h.shape {
            (*du, *dv) = quarter(*du, *dv);
        }
    }
    h
}

/// The holes that one use of a set stands for.
fn used(r: &Reader, u: v1::HoleUse) -> Check<Vec<Hole>> {
    let Some(set) = r.sets.0.get(&u.set.0) else {
        let there = offer(&u.set.0, r.sets.ids());
        return fault(format!("no hole set '{}'", u.set.0), there).at("set");
    };
    for (i, label) in u.only.iter().enumerate() {
        if !set.iter().any(|h| h.label == label.0) {
            let there = offer(&label.0, set.iter().map(|h| h.label.as_str()));
            let what = format!("no hole '{}' in '{}'", short(&label.0, 40), u.set.0);
            return fault(what, there).item(i).at("only");
        }
    }
    if u.turned > 3 {
        return fault("more than three quarter turns", "give 0 to 3").at("turned");
    }
    let wanted = |h: &&Hole| u.only.is_empty() || u.only.iter().any(|l| l.0 == h.label);
    let make = |h: &Hole| {
        let mut h = turned(h.clone(), u.turned);
        h.u += u.at[0].0;
        h.v += u.at[1].0;
        if !matches!(h.shape, HoleShape::Seat { .. }) {
            if let Some(d) = u.d {
                h.diameter = d.0;
            }
            if let Some(thread) = &u.thread {
                h.thread = (!thread.is_empty()).then(|| thread.0.clone());
            }
        }
        h
    };
    let holes: Vec<Hole> = set.iter().filter(wanted).map(make).collect();
    r.count(holes.len())?;
    Ok(holes)
}

/// The holes of sets first, in the order of the file, then the own ones.
pub(crate) fn holes(r: &Reader, uses: Vec<v1::HoleUse>, own: Vec<v1::Hole>) -> Check<Vec<Hole>> {
    let mut all = each("use", uses, |u| used(r, u))?.concat();
    r.count(own.len()).at("holes")?;
    all.extend(each("holes", own, hole)?);
    Ok(all)
}

pub(crate) fn to_holes(holes: &[Hole]) -> Vec<v1::Hole> {
    holes.iter().map(to_hole).collect()
}

/// Adds the sets of a file to those at hand.
pub(crate) fn add_sets(all: &mut HoleSets, file: v1::Holes) -> Check<()> {
    each("sets", file.sets, |set| {
        let id = set.id.0;
        let holes = each("holes", set.holes, hole)?;
        if all.0.contains_key(&id) {
            return fault(format!("the hole set '{id}' is there twice"), "rename one").at("id");
        }
        all.0.insert(id, holes);
        Ok(())
    })
    .map(|_: Vec<()>| ())
}

pub(crate) fn zone(r: &Reader, z: v1::Zone) -> Check<Zone> {
    if z.takes.is_empty() {
        return fault("the zone takes no parts", "name at least one group").at("takes");
    }
    Ok(Zone {
        id: z.id.0,
        name: z.name.0,
        frame: frame(z.frame)?,
        size: extent(z.size),
        depth: z.depth.0,
        takes: z.takes.into_iter().map(|g| g.0).collect(),
        holes: holes(r, z.uses, z.holes)?,
    })
}

pub(crate) fn to_zone(z: &Zone) -> v1::Zone {
    v1::Zone {
        id: v1::Id::of(&z.id),
        name: v1::Name::of(&z.name),
        frame: to_frame(&z.frame),
        size: to_extent(z.size),
        depth: v1::NotNegative(z.depth),
        takes: z.takes.iter().map(|g| v1::Word(*g)).collect(),
        uses: Vec::new(),
        holes: to_holes(&z.holes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::FileError;

    fn sets() -> HoleSets {
        let mut sets = HoleSets::default();
        let text = r#"{"format":"closefit-holes","version":1,"sets":[{"id":"s","holes":[
            {"label":"A","u":10,"v":2,"d":3.4,"slot":[5,0]},
            {"label":"B","u":0,"v":0,"seat":"dimm"},
            {"label":"C","u":-1,"v":0,"d":2.5,"thread":"M3"}]}]}"#;
        add_sets(&mut sets, serde_json::from_str(text).unwrap()).unwrap();
        sets
    }

    fn use_of(json: &str) -> Result<Vec<Hole>, FileError> {
        let sets = sets();
        let uses = vec![serde_json::from_str(json).unwrap()];
        holes(&Reader::new(&sets), uses, Vec::new()).map_err(FileError::from)
    }

    #[test]
    fn a_set_is_turned_before_it_is_moved() {
        let got = use_of(r#"{"set":"s","at":[100,50],"turned":1,"only":["A"]}"#).unwrap();
        // (10, 2) turned by a quarter is (-2, 10); the slot along u lies along v.
        assert_eq!((got[0].u, got[0].v), (Length::mm(98), Length::mm(60)));
        let (du, dv) = (Length::ZERO, Length::mm(5));
        assert_eq!(got[0].shape, HoleShape::Slot { du, dv });
        let full = use_of(r#"{"set":"s","at":[0,0],"turned":3}"#).unwrap();
        assert_eq!((full[0].u, full[0].v), (Length::mm(2), Length::mm(-10)));
        assert_eq!(full.len(), 3);
    }

    #[test]
    fn what_a_use_overrides_leaves_seats_alone() {
        let got = use_of(r#"{"set":"s","at":[0,0],"d":4.5,"thread":""}"#).unwrap();
        assert_eq!(got[0].diameter, Length::um(4_500));
        assert_eq!(got[1].diameter, Length::ZERO);
        assert_eq!(got[2].thread, None);
        let got = use_of(r##"{"set":"s","at":[0,0],"thread":"#6-32"}"##).unwrap();
        assert_eq!(got[0].thread.as_deref(), Some("#6-32"));
        assert_eq!(got[1].thread, None);
    }

    #[test]
    fn unknown_sets_and_labels_are_named_with_what_there_is() {
        let err = use_of(r#"{"set":"t","at":[0,0]}"#).unwrap_err();
        assert_eq!(err.field(), Some("use[0].set"));
        assert!(err.to_string().contains("there is s"), "{err}");
        let err = use_of(r#"{"set":"s","at":[0,0],"only":["A","Z"]}"#).unwrap_err();
        assert_eq!(err.field(), Some("use[0].only[1]"));
        assert!(use_of(r#"{"set":"s","at":[0,0],"turned":4}"#).is_err());
    }

    #[test]
    fn a_hole_is_round_a_slot_or_a_seat() {
        let field = |json: &str| {
            let err = FileError::from(hole(serde_json::from_str(json).unwrap()).unwrap_err());
            err.field().unwrap().to_owned()
        };
        assert_eq!(field(r#"{"label":"A","u":0,"v":0}"#), "d");
        assert_eq!(field(r#"{"label":"A","u":0,"v":0,"d":1,"seat":"x"}"#), "d");
        assert_eq!(
            field(r#"{"label":"A","u":0,"v":0,"d":1,"slot":[0,0]}"#),
            "slot"
        );
        assert_eq!(
            field(r#"{"label":"A","u":0,"v":0,"seat":"x","thread":"M3"}"#),
            "thread"
        );
        assert_eq!(
            field(r#"{"label":"A","u":0,"v":0,"d":1,"thread":""}"#),
            "thread"
        );
    }

    #[test]
    fn a_small_file_cannot_ask_for_millions_of_holes() {
        let sets = sets();
        let uses = || -> Vec<v1::HoleUse> {
            let one = r#"{"set":"s","at":[0,0]}"#;
            (0..20_000)
                .map(|_| serde_json::from_str(one).unwrap())
                .collect()
        };
        let reader = Reader::new(&sets);
        let counts: Vec<bool> = (0..4)
            .map(|_| holes(&reader, uses(), Vec::new()).is_ok())
            .collect();
        assert_eq!(counts, [true, true, true, false]);
    }
}

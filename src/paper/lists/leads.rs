//! Every lead and hose, once; and each of their stretches.

use super::List;
use crate::geom::Length;
use crate::model::{Cable, CableId, Section, Via};
use crate::paper::{Build, Cell, Column, Table};
use crate::route::ways::leads_under;
use crate::route::{CableRun, Stretch};

pub(super) const LIST: List = List {
    id: "leads",
    about: "leads and hoses with plugs, way, lengths",
    make,
};

pub(super) const STRETCHES: List = List {
    id: "stretches",
    about: "leads from plug to plug",
    make: stretches,
};

const COLUMNS: &[Column] = &[
    Column::new("lead", "id"),
    Column::new("name", "lead"),
    Column::file("kind"),
    Column::file("system"),
    Column::new("from", "from"),
    Column::new("from_plug", "plug there"),
    Column::new("to", "to"),
    Column::new("to_plug", "plug there"),
    Column::new("way", "way"),
    Column::new("needed_mm", "needed"),
    Column::new("at_hand_mm", "at hand"),
    Column::new("spare_mm", "spare"),
    Column::new("cut_mm", "cut at"),
    Column::file("section"),
    Column::file("bend_radius_mm"),
    Column::new("note", "note"),
];

const STRETCH_COLUMNS: &[Column] = &[
    Column::new("lead", "lead"),
    Column::new("stretch", "stretch"),
    Column::new("from", "from"),
    Column::new("to", "to"),
    Column::new("to_plug", "plug there"),
    Column::new("way", "way"),
    Column::new("needed_mm", "needed"),
    Column::new("at_hand_mm", "at hand"),
    Column::new("spare_mm", "spare"),
    Column::new("cut_mm", "cut at"),
    Column::new("note", "note"),
];

/// A cut is rounded up to this (common practice, no source).
const CUT_STEP: Length = Length::mm(5);

fn make(build: &Build<'_>) -> Table {
    let cables = build.scene.arrangement().cables.iter();
    Table {
        id: LIST.id,
        title: "Leads and hoses",
        about: about(build),
        columns: COLUMNS,
        rows: cables.map(|(id, cable)| row(build, id, cable)).collect(),
    }
}

fn about(build: &Build<'_>) -> String {
    format!(
        "Needed: the way from face to face, in millimetres. Cut at: needed and {} % for service, up to whole {} mm, \
         for a lead made to measure; a lead that belongs to its part is not cut. Spare is what is left of the \
         length at hand; less than nothing is missing.",
        build.settings.service_percent,
        CUT_STEP.text1().trim_end_matches(".0"),
    )
}

fn row(build: &Build<'_>, id: &CableId, cable: &Cable) -> Vec<Cell> {
    let run = build.runs.get(id);
    let stretches = run.map_or(&[][..], |r| r.stretches.as_slice());
    let ends: Vec<String> = cable
        .plugs
        .iter()
        .map(|p| build.port_words(&p.to))
        .collect();
    let mut plugs: Vec<String> = cable
        .plugs
        .iter()
        .map(|p| build.plug_words(&p.to))
        .collect();
    plugs.dedup();
    let ways: Vec<String> = stretches
        .iter()
        .map(|s| way(build, s))
        .filter(|w| !w.is_empty())
        .collect();
    let [needed, at_hand, spare] = figures(run);
    vec![
        Cell::text(id.as_str()),
        Cell::text(&cable.name),
        Cell::text(
            cable
                .kind
                .as_ref()
                .map_or("belongs to its part", |k| k.as_str()),
        ),
        Cell::text(cable.system.name()),
        Cell::text(build.port_words(&cable.from)),
        from_plug(build, cable),
        Cell::text(ends.join("; ")),
        Cell::text(plugs.join("; ")),
        Cell::text(ways.join("; ")),
        needed,
        at_hand,
        spare,
        sum(stretches.iter().map(|s| cut(build, cable, s))),
        Cell::text(section(cable.section)),
        Cell::Mm(cable.bend),
        Cell::text(note(build, cable, stretches)),
    ]
}

/// The plug at the giving end; a captive lead has none there.
fn from_plug(build: &Build<'_>, cable: &Cable) -> Cell {
    match cable.kind {
        Some(_) => Cell::text(build.plug_words(&cable.from)),
        None => Cell::text("fixed to the part"),
    }
}

/// Needed, at hand and spare of a whole lead. A way that was not found makes the
/// sum unknown.
fn figures(run: Option<&CableRun>) -> [Cell; 3] {
    let Some(run) = run else {
        return [Cell::Unknown, Cell::Unknown, Cell::Unknown];
    };
    let known = run.stretches.iter().all(is_known);
    let spare = match run.short_by() {
        Some(short) => Length::ZERO - short,
        None => run.available - run.needed,
    };
    [
        if known {
            Cell::Mm(run.needed)
        } else {
            Cell::Unknown
        },
        Cell::Mm(run.available),
        if known {
            Cell::Mm(spare)
        } else {
            Cell::Unknown
        },
    ]
}

fn is_known(stretch: &Stretch) -> bool {
    stretch.judged.is_ok() && !stretch.legs.is_empty()
}

/// Where it would be cut: `Ok(None)` where it is not cut.
fn cut(build: &Build<'_>, cable: &Cable, stretch: &Stretch) -> Result<Option<Length>, ()> {
    if cable.kind.is_none() {
        return Ok(None);
    }
    if !is_known(stretch) {
        return Err(());
    }
    let percent = build.settings.service_percent.max(0);
    let with_service = stretch
        .needed
        .as_um()
        .saturating_mul(100 + percent)
        .div_euclid(100);
    let step = CUT_STEP.as_um();
    Ok(Some(Length::um(
        with_service
            .div_euclid(step)
            .saturating_add(i64::from(with_service.rem_euclid(step) > 0))
            .saturating_mul(step),
    )))
}

fn sum(cuts: impl Iterator<Item = Result<Option<Length>, ()>>) -> Cell {
    let mut total = Length::ZERO;
    let mut any = false;
    for cut in cuts {
        match cut {
            Ok(Some(length)) => {
                total += length;
                any = true;
            }
            Ok(None) => {}
            Err(()) => return Cell::Unknown,
        }
    }
    if any { Cell::Mm(total) } else { Cell::Empty }
}

fn way(build: &Build<'_>, stretch: &Stretch) -> String {
    let places = stretch.visits.iter().filter(|v| v.is_place());
    let mut visits: Vec<String> = places.map(|v| visit(build, v)).collect();
    match stretch.visits.iter().filter(|v| !v.is_place()).count() {
        0 => {}
        1 => visits.push("as drawn, 1 corner".to_owned()),
        n => visits.push(format!("as drawn, {n} corners")),
    }
    visits.join(", ")
}

fn visit(build: &Build<'_>, via: &Via) -> String {
    match via {
        Via::Passage(id) => {
            let passage = build.scene.enclosure.passage(id);
            passage.map_or_else(|| format!("passage {id}"), |p| p.name.clone())
        }
        Via::Tie(id) | Via::Chosen(id) => format!("tie {id}"),
        Via::Point(p) => format!("({}, {}, {})", p.x.text1(), p.y.text1(), p.z.text1()),
        Via::Corner(p) => {
            let [x, y, z] = [p.x, p.y, p.z].map(Length::text1);
            format!("corner ({x}, {y}, {z})")
        }
    }
}

fn section(section: Section) -> String {
    match section {
        Section::Round(d) => format!("round {d}"),
        Section::Flat(w, t) => format!("flat {w} x {t}"),
    }
}

fn note(build: &Build<'_>, cable: &Cable, stretches: &[Stretch]) -> String {
    let mut notes: Vec<String> = Vec::new();
    if let Some(more) = &cable.extension {
        notes.push(format!("with {} of {} mm", more.kind, more.length));
    }
    if stretches.is_empty() {
        notes.push("its way was not worked out".to_owned());
    }
    for board in leads_under(build.placed, stretches) {
        let name = build.placed.part(&board).map_or("", |p| p.name.as_str());
        notes.push(format!("thread it before {name} is screwed down"));
    }
    for stretch in stretches {
        if let Err(why) = &stretch.judged {
            notes.push(why.clone());
        } else if let Some(short) = stretch.short_by() {
            let to = build.port_words(&stretch.to);
            notes.push(match stretches.len() {
                1 => format!("short by {} mm", short.text1()),
                _ => format!("short by {} mm to {to}", short.text1()),
            });
        }
        if let Some(tight) = stretch.tightest_bend
            && tight < cable.bend.as_mm() - 1e-3
        {
            notes.push(format!(
                "bends to {} mm, may to {}",
                Length::mm1(tight),
                cable.bend.text1()
            ));
        }
    }
    notes.join("; ")
}

fn stretches(build: &Build<'_>) -> Table {
    let mut rows = Vec::new();
    for (id, cable) in &build.scene.arrangement().cables {
        let run = build.runs.get(id);
        for (i, stretch) in run
            .map_or(&[][..], |r| r.stretches.as_slice())
            .iter()
            .enumerate()
        {
            let known = is_known(stretch);
            let figure = |l: Length| if known { Cell::Mm(l) } else { Cell::Unknown };
            rows.push(vec![
                Cell::text(id.as_str()),
                Cell::Count(i + 1),
                Cell::text(build.port_words(&stretch.from)),
                Cell::text(build.port_words(&stretch.to)),
                Cell::text(build.plug_words(&stretch.to)),
                Cell::text(way(build, stretch)),
                figure(stretch.needed),
                Cell::Mm(stretch.available),
                figure(stretch.available - stretch.needed),
                sum(std::iter::once(cut(build, cable, stretch))),
                Cell::text(note(build, cable, std::slice::from_ref(stretch))),
            ]);
        }
    }
    Table {
        id: STRETCHES.id,
        title: "Leads from plug to plug",
        about: about(build),
        columns: STRETCH_COLUMNS,
        rows,
    }
}

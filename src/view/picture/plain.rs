//! What was chosen, in sentences for who will use the build. Only what the scene
//! knows is said; what it does not know is not guessed.

use crate::geom::Dir;
use crate::model::{Group, PortRef};
use crate::placement::PlacedPart;
use crate::route::hose::HOSE_END;
use crate::view::sheet::SheetInput;

/// The sentences, the most telling first.
pub(super) fn sentences(input: &SheetInput<'_>) -> Vec<String> {
    let parts: Vec<&PlacedPart> = input.placed.parts().filter(|p| !p.place.hidden).collect();
    let of = |group: Group| parts.iter().copied().filter(move |p| p.group == group);
    let mut said = vec![size(input)];
    for board in of(Group::Board).take(1) {
        said.push(format!(
            "The heart is a {}{}.",
            short(&board.name),
            seat(input, board)
        ));
    }
    let open = open_hose_ends(input, &parts);
    said.extend(cooling(&parts, open));
    for card in of(Group::Card).take(2) {
        let size = card.outline.size().as_mm();
        let long = size.into_iter().fold(0.0, f64::max);
        said.push(format!("The {} is {long:.0} mm long.", short(&card.name)));
    }
    let drives: Vec<&str> = of(Group::Drive).map(|d| short(&d.name)).collect();
    if !drives.is_empty() {
        let count = drives.len();
        let word = if count == 1 { "drive" } else { "drives" };
        said.push(format!("{count} {word}: {}.", listed(&drives)));
    }
    said.extend(air(&parts));
    said.extend(power(&parts));
    said.extend(cables(input, open));
    said
}

fn size(input: &SheetInput<'_>) -> String {
    let e = &input.scene.enclosure;
    let litres = e.outline().volume_mm3() / 1e6;
    format!(
        "{} mm wide, {} mm deep, {} mm high: {litres:.1} litres.",
        e.size.x, e.size.y, e.size.z
    )
}

/// A name without its particulars: what stands before the first comma.
fn short(name: &str) -> &str {
    name.split(',').next().unwrap_or(name).trim()
}

/// What holds a part, in words.
fn seat(input: &SheetInput<'_>, part: &PlacedPart) -> String {
    match input.placed.holds(&part.id).first() {
        Some(hold) => format!(" on the {}", input.placed.zone_words(&hold.zone)),
        None => String::new(),
    }
}

/// Ends of hoses that nothing is on.
fn open_hose_ends(input: &SheetInput<'_>, parts: &[&PlacedPart]) -> usize {
    let ends = parts.iter().flat_map(|p| {
        let ends = p.kind.ports.iter().filter(|q| q.connector == HOSE_END);
        ends.map(|q| PortRef {
            part: p.id.clone(),
            port: q.id.clone(),
        })
    });
    ends.filter(|at| input.placed.plugged(at).is_empty())
        .count()
}

fn cooling(parts: &[&PlacedPart], open: usize) -> Option<String> {
    let count = |group: Group| parts.iter().filter(|p| p.group == group).count();
    if count(Group::Block) > 0 && count(Group::Radiator) > 0 {
        let where_to = match count(Group::Radiator) {
            1 => "a radiator".to_owned(),
            n => format!("{n} radiators"),
        };
        // An open loop carries nothing.
        if open > 0 {
            return None;
        }
        return Some(format!(
            "Liquid carries the processor's heat to {where_to}."
        ));
    }
    (count(Group::Cooler) > 0).then(|| "Air cools the processor.".to_owned())
}

/// `a, b and c`, equal ones counted.
fn listed(names: &[&str]) -> String {
    let mut counted: Vec<(&str, usize)> = Vec::new();
    for name in names {
        match counted.iter_mut().find(|(n, _)| n == name) {
            Some((_, count)) => *count += 1,
            None => counted.push((name, 1)),
        }
    }
    let words: Vec<String> = counted
        .into_iter()
        .map(|(n, c)| {
            if c > 1 {
                format!("{c} x {n}")
            } else {
                n.to_owned()
            }
        })
        .collect();
    words.join("; ")
}

/// Which way the fans blow.
fn air(parts: &[&PlacedPart]) -> Option<String> {
    let mut ways: Vec<(Dir, usize)> = Vec::new();
    for fan in parts.iter().filter(|p| p.group == Group::Fan) {
        let Some(blows) = fan.kind.blows else {
            continue;
        };
        let way = fan.place.turn.dir(blows);
        match ways.iter_mut().find(|(w, _)| *w == way) {
            Some((_, count)) => *count += 1,
            None => ways.push((way, 1)),
        }
    }
    if ways.is_empty() {
        return None;
    }
    let words = |(way, count): &(Dir, usize)| {
        let verb = if *count == 1 {
            "fan blows"
        } else {
            "fans blow"
        };
        format!("{count} {verb} {}", toward(*way))
    };
    let all: Vec<String> = ways.iter().map(words).collect();
    Some(format!("{}.", all.join(", ")))
}

fn toward(way: Dir) -> &'static str {
    match way {
        Dir::PosX => "to the right",
        Dir::NegX => "to the left",
        Dir::PosY => "to the rear",
        Dir::NegY => "to the front",
        Dir::PosZ => "upwards",
        Dir::NegZ => "downwards",
    }
}

/// What is drawn and given, as far as parts say; and how many do not say.
fn power(parts: &[&PlacedPart]) -> Option<String> {
    let gives: f64 = parts.iter().filter_map(|p| p.kind.ratings.gives_w).sum();
    let drawn: Vec<f64> = parts
        .iter()
        .filter_map(|p| p.kind.ratings.draws_w)
        .collect();
    if gives <= 0.0 || drawn.is_empty() {
        return None;
    }
    let sum: f64 = drawn.iter().sum();
    let count = drawn.len();
    Some(format!(
        "The supply gives {gives:.0} W; the {count} parts that state it draw {sum:.0} W together."
    ))
}

/// Whether the cables reach.
fn cables(input: &SheetInput<'_>, open: usize) -> Option<String> {
    if input.runs.is_empty() && open == 0 {
        return None;
    }
    if open > 0 {
        let words = if open == 1 {
            "end of a hose is"
        } else {
            "ends of hoses are"
        };
        return Some(format!("{open} {words} not joined yet."));
    }
    let stretches = || input.runs.values().flat_map(|r| &r.stretches);
    let unknown = stretches().filter(|s| s.judged.is_err()).count();
    let short = input
        .runs
        .values()
        .filter(|r| r.short_by().is_some())
        .count();
    let all = input.runs.len();
    Some(match (short, unknown) {
        (0, 0) => format!("All {all} cables and hoses reach where they have to."),
        (0, _) => format!("{all} cables and hoses; not every way could be judged."),
        (_, _) => format!("{short} of {all} cables and hoses do not reach yet."),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_names_are_counted() {
        assert_eq!(listed(&["fan", "drive", "fan"]), "2 x fan; drive");
        assert_eq!(listed(&[]), "");
        assert_eq!(short("graphics card, two slots, 267 mm"), "graphics card");
    }
}

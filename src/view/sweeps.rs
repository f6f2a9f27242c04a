//! The ways that are judged though nothing stands in them: of a tray that is pulled out, and of
//! what swings with a hinged panel.

use super::labels::Labels;
use super::list::{DrawList, Layer, Line, Owner, Path, Pen, Point2, Rect, Role, Text, TextSize};
use super::marks::MOST;
use super::projection::Projection;
use super::sheet::SheetInput;
use crate::placement::PlacedPart;
use crate::rules::{Finding, Subject, Sweep, panel_sweep, sweeps, swings_with};

/// Rules whose findings are about such ways.
const JUDGED_BY: [&str; 2] = ["pull-blocked", "swing-blocked"];

/// Draws the ways of the selected parts, of those in the finding in hand and, on paper, of those
/// in every finding that is marked.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    labels: &mut Labels,
) {
    let looked = input.findings.iter().enumerate().filter(|(i, f)| {
        let owner = Some(Owner::Finding(*i as u32));
        let in_hand = input.chosen == owner || input.hover == owner;
        JUDGED_BY.contains(&f.rule) && (in_hand || (input.options.judged_ways && *i < MOST))
    });
    let looked: Vec<&Finding> = looked.map(|(_, f)| *f).collect();
    let is_asked = |part: &&PlacedPart| {
        let named = |f: &&Finding| f.subjects.contains(&Subject::Part(part.id.clone()));
        (input.options.clearances && input.selection.contains(&part.id)) || looked.iter().any(named)
    };
    // A drive is pulled out with its tray: what carries it shows its way for it.
    let mut asked: Vec<&PlacedPart> = Vec::new();
    for part in input.placed.parts().filter(is_asked) {
        let carriers = input.placed.carriers(&part.id);
        for one in std::iter::once(part).chain(carriers) {
            if asked.iter().all(|a| a.id != one.id) {
                asked.push(one);
            }
        }
    }
    let mut ways: Vec<Sweep> = Vec::new();
    for part in asked {
        ways.extend(sweeps(input.placed, part));
    }
    let on_paper = input.options.judged_ways;
    for sweep in ways {
        let mut pen = list.pen().layer(Layer::Marks).z(5);
        one(&mut pen, projection, &sweep, Some(labels), on_paper);
    }
    let plates = &input.scene.enclosure.plates;
    let Some(plate) = input.panel.and_then(|i| plates.get(i)) else {
        return;
    };
    let swings = |p: &&PlacedPart| swings_with(input.placed, p).is_some_and(|o| o.id == plate.id);
    for part in input.placed.parts().filter(swings) {
        for sweep in sweeps(input.placed, part) {
            if matches!(sweep, Sweep::Swing { .. }) {
                let mut pen = list.pen().layer(Layer::Marks).z(5);
                one(&mut pen, projection, &sweep, None, on_paper);
            }
        }
    }
    if let Some(sweep) = panel_sweep(plate) {
        let mut pen = list.pen().layer(Layer::Marks).z(5);
        one(&mut pen, projection, &sweep, Some(labels), on_paper);
    }
}

/// On paper a way about a hinge is left to the view along the hinge: the strip that the others
/// show runs over their neighbours.
fn one(
    pen: &mut Pen<'_>,
    projection: &Projection,
    sweep: &Sweep,
    labels: Option<&mut Labels>,
    on_paper: bool,
) {
    match sweep {
        Sweep::Pull { space, way, by } => {
            let rect = projection.box_to_page(space);
            pen.stroke(Path::rect(rect), Line::HIDDEN, Role::Ghost);
            if let Some(unit) = projection.vector(*way).normalised() {
                arrow(pen, rect, unit);
            }
            let text = format!("pulls out {} mm", by.text1());
            label(pen, labels, rect, &text);
        }
        Sweep::Swing {
            axis,
            open,
            arc,
            words,
            degrees,
        } => {
            let rects = open.iter().map(|b| projection.box_to_page(b));
            let way: Vec<Point2> = arc.iter().map(|p| projection.mm_to_page(*p)).collect();
            if on_paper && projection.kind.eye().axis() != *axis {
                return;
            }
            let spot = if projection.kind.eye().axis() == *axis {
                for rect in rects {
                    pen.stroke(Path::rect(rect), Line::HIDDEN, Role::Ghost);
                }
                pen.stroke(
                    Path::polyline(way.iter().copied()),
                    Line::HIDDEN,
                    Role::Ghost,
                );
                way.get(way.len() / 2).map(|p| Rect::spanning(*p, *p))
            } else {
                // Seen along the panel the way is a strip.
                let ends = way.iter().map(|p| Rect::spanning(*p, *p));
                let all = rects.chain(ends).reduce(|a, b| a.union(b));
                if let Some(rect) = all {
                    pen.stroke(Path::rect(rect), Line::HIDDEN, Role::Ghost);
                }
                all
            };
            if let Some(spot) = spot {
                label(pen, labels, spot, &format!("{words}, {degrees:.0}°"));
            }
        }
    }
}

/// The way it goes, along the middle of where it goes.
fn arrow(pen: &mut Pen<'_>, rect: Rect, unit: Point2) {
    let half = (unit.x * rect.width() / 2.0).abs() + (unit.y * rect.height() / 2.0).abs();
    let (from, tip) = (rect.centre() - unit * half, rect.centre() + unit * half);
    let neck = tip - unit * 2.2_f64.min(half);
    let side = unit.left() * 0.7;
    pen.stroke(Path::line(from, neck), Line::HIDDEN, Role::Ghost)
        .fill(Path::polygon([tip, neck + side, neck - side]), Role::Ghost);
}

fn label(pen: &mut Pen<'_>, labels: Option<&mut Labels>, rect: Rect, text: &str) {
    let Some(labels) = labels else { return };
    let text = Text::new(rect.centre(), text).size(TextSize::Small).halo();
    if let Some((text, leader)) = labels.near(rect.centre(), 1.6, &text) {
        // Over the outline of what is selected.
        let mut pen = pen.fork().z(25);
        if let Some(to) = leader {
            pen.stroke(Path::line(rect.centre(), to), Line::HAIR, Role::Ghost);
        }
        pen.text(text, Role::TextSoft);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, pid};
    use crate::geom::{Dir, Length};
    use crate::model::{Group, Pull};
    use crate::placement::Placed;
    use crate::rules::Severity;
    use crate::view::list::Mark;
    use crate::view::{PictureOptions, ViewKind, draw as draw_view, picture_of};
    use std::collections::{BTreeMap, BTreeSet};

    fn texts(list: &DrawList) -> Vec<&str> {
        let mut found = Vec::new();
        for item in &list.items {
            if let Mark::Text(t) = &item.mark {
                found.push(t.text.as_str());
            }
        }
        found
    }

    #[test]
    fn a_way_is_drawn_for_what_is_selected_or_in_the_finding_in_hand() {
        let mut tray = block("tray", Group::Drive, [100.0, 60.0, 10.0]);
        tray.pulls = Some(Pull {
            way: Dir::NegY,
            by: Length::mm(80),
        });
        let scene = Build::open().with("tray", &tray, [10.0, 200.0, 5.0]).scene;
        let placed = Placed::build(&scene);
        let runs = BTreeMap::new();
        let selection: BTreeSet<_> = [pid("tray")].into();
        let part = Subject::Part(pid("tray"));
        let finding = Finding::new("pull-blocked", Severity::Caution, vec![part], String::new());
        let drawn = |selected: bool, shown: bool, chosen: Option<Owner>| {
            let mut input = SheetInput::of(&scene, &placed, &runs);
            let findings = [&finding];
            input.findings = &findings;
            if selected {
                input.selection = &selection;
            }
            input.options.clearances = shown;
            input.chosen = chosen;
            ViewKind::ALL.map(|view| {
                let list = draw_view(view, 1.0, &input);
                texts(&list).contains(&"pulls out 80.0 mm")
            })
        };
        assert_eq!(drawn(true, true, None), [true; 3]);
        assert_eq!(drawn(true, false, None), [false; 3]);
        assert_eq!(drawn(false, true, None), [false; 3]);
        assert_eq!(drawn(false, false, Some(Owner::Finding(0))), [true; 3]);
        assert_eq!(drawn(false, true, Some(Owner::Finding(1))), [false; 3]);
        let mut input = SheetInput::of(&scene, &placed, &runs);
        let findings = [&finding];
        input.findings = &findings;
        let options = PictureOptions {
            findings: true,
            ..PictureOptions::default()
        };
        let (page, _) = picture_of(&input, &options);
        let count = texts(&page)
            .iter()
            .filter(|t| t.starts_with("pulls out"))
            .count();
        assert!(count >= 2, "{count} views of the picture show it");
    }
}

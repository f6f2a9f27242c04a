//! What differs from another arrangement, marked on a view: where things stand there
//! as ghosts with phantom lines, and an arrow to where they stand here.

use super::labels::{Labels, shortened};
use super::list::{
    DrawList, Layer, Line, LineType, Path, Pen, Point2, Rect, Role, Text, TextSize, Width,
};
use super::projection::{Projection, ViewKind};
use crate::compare::{Change, Difference, Subject};
use crate::geom::{Box3, Vec3};
use crate::model::{CableId, PartId, Scene};
use crate::route::CableRun;
use std::collections::BTreeMap;

/// Moves shorter than this on the page run along the eye.
const POINT: f64 = 0.8;

/// Where things stand in the base.
const GHOST: Line = Line::new(Width::Thick, LineType::Phantom);

/// Marks the differences of the arrangement at hand against the one with the index
/// `base`. `runs` are the ways of that one's cables; without them ways are not drawn.
pub fn differences(
    view: ViewKind,
    scale: f64,
    scene: &Scene,
    base: usize,
    all: &[Difference],
    runs: Option<&BTreeMap<CableId, CableRun>>,
) -> DrawList {
    let projection = Projection::new(view, scale, &scene.enclosure.outline());
    let mut list = DrawList::new();
    let mut marks = Marks {
        projection,
        scene,
        base,
        labels: Labels::new(None),
    };
    for difference in all {
        let mut pen = list.pen().layer(Layer::Marks).z(20);
        match &difference.subject {
            Subject::Part(id) => marks.part(&mut pen, id, &difference.changes),
            Subject::Cable(id) => {
                let led = |c: &Change| matches!(c, Change::Rerouted | Change::Missing);
                if let Some(run) = runs.and_then(|r| r.get(id))
                    && difference.changes.iter().any(led)
                {
                    marks.way(&mut pen, run);
                }
            }
        }
    }
    list
}

struct Marks<'a> {
    projection: Projection,
    scene: &'a Scene,
    base: usize,
    labels: Labels,
}

impl Marks<'_> {
    fn part(&mut self, pen: &mut Pen<'_>, id: &PartId, changes: &[Change]) {
        let was = self.outline(self.base, id);
        let is = self.outline(self.scene.current, id);
        let mut words = Vec::new();
        let mut moved = None;
        for change in changes {
            match change {
                Change::Moved(by) => moved = Some(*by),
                Change::Turned(..) => words.push("turned".to_owned()),
                Change::Swapped(from, _) => words.push(format!("was {}", from.name)),
                Change::Missing => words.push("missing".to_owned()),
                Change::Added => words.push("new".to_owned()),
                Change::Rerouted | Change::Length(..) | Change::Other => {}
            }
        }
        let Some(at) = was.or(is) else { return };
        let ghost = self.projection.box_to_page(&at);
        match was {
            Some(_) => _ = pen.stroke(Path::rect(ghost), GHOST, Role::Ghost),
            // Not there in the base: a chain line about it.
            None => _ = pen.stroke(Path::rect(ghost.grown(0.8)), Line::CENTRE, Role::Ghost),
        }
        if is.is_none() {
            let [a, b, c, d] = ghost.corners();
            let cross = Path::line(a, c).with(&Path::line(b, d));
            pen.stroke(cross, GHOST, Role::Ghost);
        }
        if let (Some(by), Some(is)) = (moved, is) {
            let is = self.projection.box_to_page(&is);
            let figure = format!("{:.1}", by.distance_mm(Vec3::ZERO));
            self.arrow(pen, ghost, is, by, &figure);
        }
        if !words.is_empty() {
            let room = ghost.width().max(24.0);
            let text = Text::new(ghost.centre(), words.join(", "));
            let words = shortened(&text.size(TextSize::Small), room);
            self.label(pen, ghost.centre(), 2.4, &words);
        }
    }

    /// From the middle of the ghost to the middle of the part. Where the move runs along
    /// the eye: a ring with a dot (towards the eye) or a cross (away from it).
    fn arrow(&mut self, pen: &mut Pen<'_>, ghost: Rect, part: Rect, by: Vec3, figure: &str) {
        let (from, to) = (ghost.centre(), part.centre());
        let way = to - from;
        let Some(unit) = way.normalised().filter(|_| way.length() > POINT) else {
            let eye = self.projection.kind.eye();
            let towards = by.toward(eye) > crate::geom::Length::ZERO;
            let r = 1.6;
            pen.stroke(Path::circle(to, r), Line::THIN, Role::Ghost);
            match towards {
                true => _ = pen.fill(Path::circle(to, 0.5), Role::Ghost),
                false => {
                    let d = r * std::f64::consts::FRAC_1_SQRT_2;
                    let corner = |x: f64, y: f64| to + Point2::new(x * d, y * d);
                    let cross = Path::line(corner(-1.0, -1.0), corner(1.0, 1.0))
                        .with(&Path::line(corner(-1.0, 1.0), corner(1.0, -1.0)));
                    pen.stroke(cross, Line::THIN, Role::Ghost);
                }
            }
            self.label(pen, to, 2.4, figure);
            return;
        };
        let head = 2.2_f64.min(way.length() / 2.0);
        let (neck, half) = (to - unit * head, unit.left() * (head * 0.35));
        pen.stroke(Path::line(from, neck), Line::THICK, Role::Ghost)
            .fill(Path::polygon([to, neck + half, neck - half]), Role::Ghost)
            .fill(Path::circle(from, 0.7), Role::Ghost);
        self.label(pen, from.lerp(to, 0.5), 1.6, figure);
    }

    fn label(&mut self, pen: &mut Pen<'_>, at: Point2, gap: f64, words: &str) {
        let text = Text::new(at, words).size(TextSize::Small).bold().halo();
        if let Some((text, leader)) = self.labels.near(at, gap, &text) {
            let mut pen = pen.fork().layer(Layer::Notes).z(30);
            if let Some(to) = leader {
                pen.stroke(Path::line(at, to), Line::HAIR, Role::Ghost);
            }
            pen.text(text, Role::Text);
        }
    }

    fn way(&self, pen: &mut Pen<'_>, run: &CableRun) {
        for stretch in run.stretches.iter().filter(|s| s.points.len() > 1) {
            let points = stretch
                .points
                .iter()
                .map(|p| self.projection.mm_to_page(*p));
            pen.stroke(Path::polyline(points), Line::PHANTOM, Role::Ghost);
        }
    }

    fn outline(&self, arrangement: usize, id: &PartId) -> Option<Box3> {
        let place = self.scene.arrangements.get(arrangement)?.places.get(id)?;
        Some(place.outline(self.scene.kind_in(arrangement, id)?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::{Build, block, pid};
    use crate::compare;
    use crate::edit::Edit;
    use crate::model::Group;
    use crate::view::list::Mark;

    fn branch() -> Build {
        let mut b = Build::open().with("a", &block("a", Group::Drive, [40.0; 3]), [10.0; 3]);
        let copy = b.scene.arrangement().clone();
        b.edit(Edit::AddArrangement(copy));
        b
    }

    fn list(b: &Build, view: ViewKind) -> DrawList {
        let all = compare::differences(&b.scene, 0, 1);
        differences(view, 1.0, &b.scene, 0, &all, None)
    }

    fn texts(list: &DrawList) -> Vec<String> {
        let marks = list.items.iter().filter_map(|i| match &i.mark {
            Mark::Text(t) => Some(t.text.to_string()),
            _ => None,
        });
        marks.collect()
    }

    #[test]
    fn a_move_leaves_a_ghost_and_its_length_in_every_view() {
        let b = branch().moved("a", [30.0, 0.0, 40.0]);
        for view in [ViewKind::Top, ViewKind::Side, ViewKind::Front] {
            let list = list(&b, view);
            assert_eq!(texts(&list), ["50.0"], "{view:?}");
            let ghosts = list.items.iter().filter(|i| i.role == Role::Ghost);
            assert!(ghosts.count() >= 3, "{view:?}");
        }
        assert!(list(&branch(), ViewKind::Top).items.is_empty());
    }

    #[test]
    fn what_is_missing_is_crossed_out_where_it_was() {
        let mut b = branch();
        b.edit(Edit::SetPlace(pid("a"), None));
        let list = list(&b, ViewKind::Top);
        assert_eq!(texts(&list), ["missing"]);
        let bounds = list.bounds().expect("marks");
        assert!(bounds.width() >= 40.0);
    }
}

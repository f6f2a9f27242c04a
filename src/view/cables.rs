//! Cables and hoses: rounded ways at their real width, with plugs.
//!
//! Where nearer parts cover a way it is drawn thin and dashed. A way that is too
//! short is drawn at its true length; what it lacks follows as a dotted ghost with
//! the figure.

use super::covers::Covers;
use super::labels::Labels;
use super::list::{
    self, DrawList, Layer, Line, LineType, Owner, Path, Pen, Point2, Role, Text, TextSize, Width,
};
use super::projection::Projection;
use super::sheet::SheetInput;
use super::{enclosure, plugs};
use crate::model::{Cable, System};
use crate::route::{CableRun, Leg, Point, Stretch};

/// Thinnest cable on paper, in millimetres.
const LEAST: f64 = 0.35;

/// From this width on paper a cable is drawn with two edges.
const TUBE: f64 = 0.8;

/// Steps in which a way is asked for what covers it, in page millimetres.
const STEP: f64 = 2.0;

/// The tint of a cable's system.
pub(crate) fn system(system: System) -> list::System {
    match system {
        System::Structure => list::System::Structure,
        System::Boards => list::System::Boards,
        System::Drives => list::System::Drives,
        System::Air => list::System::Air,
        System::Power => list::System::Power,
        System::Data => list::System::Data,
        System::Liquid => list::System::Liquid,
    }
}

/// The middle line of a stretch in scene millimetres, arcs in steps of at most
/// 15 degrees.
pub(crate) fn line_of(stretch: &Stretch) -> Vec<Point> {
    let mut line: Vec<Point> = Vec::new();
    for leg in &stretch.legs {
        match leg {
            Leg::Straight { from, to } => {
                if line.is_empty() {
                    line.push(*from);
                }
                line.push(*to);
            }
            Leg::Arc {
                from,
                to,
                centre,
                angle,
                ..
            } => {
                let steps = (angle.to_degrees() / 15.0).ceil().clamp(1.0, 12.0) as usize;
                let part = |p: &Point, k: usize| p[k] - centre[k];
                for i in 0..=steps {
                    let t = i as f64 / steps as f64;
                    let (a, b) = if angle.sin().abs() > 1e-6 {
                        (
                            ((1.0 - t) * angle).sin() / angle.sin(),
                            (t * angle).sin() / angle.sin(),
                        )
                    } else {
                        (1.0 - t, t)
                    };
                    let at = |k: usize| centre[k] + a * part(from, k) + b * part(to, k);
                    line.push([at(0), at(1), at(2)]);
                }
            }
        }
    }
    line
}

fn distance(a: Point, b: Point) -> f64 {
    let d = |k: usize| b[k] - a[k];
    (d(0) * d(0) + d(1) * d(1) + d(2) * d(2)).sqrt()
}

/// The line cut in two at this length from its start.
fn cut_at(line: &[Point], length: f64) -> (Vec<Point>, Vec<Point>) {
    let mut left = length.max(0.0);
    let mut first: Vec<Point> = line.iter().take(1).copied().collect();
    for (i, w) in line.windows(2).enumerate() {
        let d = distance(w[0], w[1]);
        if d >= left && d > 0.0 {
            let t = left / d;
            let at = |k: usize| w[0][k] + t * (w[1][k] - w[0][k]);
            let end = [at(0), at(1), at(2)];
            first.push(end);
            let rest = std::iter::once(end).chain(line[i + 1..].iter().copied());
            return (first, rest.collect());
        }
        left -= d;
        first.push(w[1]);
    }
    (first, Vec::new())
}

/// Draws all cables.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    covers: &Covers,
    labels: &mut Labels,
) {
    let cables = &input.scene.arrangement().cables;
    for (i, (id, run)) in input.runs.iter().enumerate() {
        if let Some(cable) = cables.get(id) {
            let owner = Owner::Cable(i as u32);
            one(list, projection, input, covers, labels, cable, run, owner);
        }
    }
}

#[allow(clippy::too_many_arguments)] // One call, from the loop above.
fn one(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    covers: &Covers,
    labels: &mut Labels,
    cable: &Cable,
    run: &CableRun,
    owner: Owner,
) {
    let cut = enclosure::cut_depth(input, projection).map(|c| c.as_mm());
    let width = (cable.section.width().as_mm() * projection.scale).max(LEAST);
    let marked = input.hover == Some(owner) || input.chosen == Some(owner);
    for stretch in &run.stretches {
        let mut line = line_of(stretch);
        let short = stretch.short_by().filter(|_| input.options.findings);
        if stretch.judged.is_err() && line.len() < 2 {
            unknown(list, projection, input, stretch, owner);
            continue;
        }
        let mut rest = Vec::new();
        if short.is_some() {
            (line, rest) = cut_at(&line, stretch.available.as_mm());
        }
        let depth = |p: &Point| depth_of(projection, p);
        line.retain(|p| cut.is_none_or(|c| depth(p) < c));
        if line.len() < 2 {
            continue;
        }
        let middle = depth(&line[line.len() / 2]);
        let level = enclosure::level((middle * 1000.0) as i64);
        let pen = list.pen().owner(owner).layer(Layer::Cables).z(level);
        way(pen, projection, covers, &line, width, cable.system, marked);
        if let Some(by) = short {
            let figure = format!("-{}", by.text1());
            missing(list, labels, projection, &line, &rest, &figure, owner);
        } else if input.options.labels || marked {
            let text = format!("{} / {}", stretch.needed.text1(), stretch.available.text1());
            let text = Text::new((0.0, 0.0), text).size(TextSize::Small).halo();
            let at = projection.mm_to_page(line[line.len() / 2]);
            if let Some((text, _)) = labels.near(at, 1.0 + width / 2.0, &text) {
                let role = Role::Cable(system(cable.system));
                list.pen().owner(owner).layer(Layer::Notes).text(text, role);
            }
        }
    }
    plugs::draw(list, projection, input, covers, cable, owner);
}

fn depth_of(projection: &Projection, p: &Point) -> f64 {
    let eye = projection.kind.eye();
    p[eye.axis().index()] * eye.sign() as f64
}

/// One way: its visible stretches as wide as the cable over a rim of paper, its
/// covered ones thin and dashed.
fn way(
    mut pen: Pen<'_>,
    projection: &Projection,
    covers: &Covers,
    line: &[Point],
    width: f64,
    of: System,
    marked: bool,
) {
    let of = system(of);
    let (open, hidden) = split(projection, covers, line);
    if !hidden.segments().is_empty() {
        let dashed = Line::new(Width::Hair, LineType::Dashed);
        pen.stroke(hidden, dashed, Role::Cable(of));
    }
    if open.segments().is_empty() {
        return;
    }
    let rim = if marked { 1.4 } else { 0.7 };
    let role = if marked { Role::Hover } else { Role::Paper };
    let layer = Layer::Cables;
    pen.fork()
        .no_owner()
        .layer(layer)
        .stroke(open.clone(), Line::true_width(width + rim), role);
    if width < TUBE {
        pen.stroke(open, Line::true_width(width), Role::Cable(of));
        return;
    }
    pen.stroke(open.clone(), Line::true_width(width), Role::Cable(of));
    pen.stroke(open, Line::true_width(width - 0.36), Role::Fill(of));
}

/// The open and the covered stretches of a line.
fn split(projection: &Projection, covers: &Covers, line: &[Point]) -> (Path, Path) {
    let (right, up) = (projection.kind.right(), projection.kind.up());
    let plane = |p: &Point| {
        let um = |d: crate::geom::Dir| p[d.axis().index()] * d.sign() as f64 * 1000.0;
        [um(right), um(up)]
    };
    let (mut open, mut hidden) = (Path::new(), Path::new());
    let mut last: Option<bool> = None;
    for w in line.windows(2) {
        let (a, b) = (projection.mm_to_page(w[0]), projection.mm_to_page(w[1]));
        let steps = if covers.outlines().is_empty() {
            1
        } else {
            (((b - a).length() / STEP).ceil() as usize).clamp(1, 200)
        };
        let mix = |t: f64| {
            let at = |k: usize| w[0][k] + t * (w[1][k] - w[0][k]);
            [at(0), at(1), at(2)]
        };
        for i in 0..steps {
            let t = |i: usize| i as f64 / steps as f64;
            let middle = mix((i as f64 + 0.5) / steps as f64);
            let depth = depth_of(projection, &middle) * 1000.0;
            let covered = covers.hides(plane(&middle), depth);
            let path = if covered { &mut hidden } else { &mut open };
            if last != Some(covered) {
                path.move_to(a.lerp(b, t(i)));
            }
            // Steps on the way are left out where nothing changes.
            if i + 1 == steps {
                path.line_to(b);
            } else {
                let next = mix((i as f64 + 1.5) / steps as f64);
                let same = covers.hides(plane(&next), depth_of(projection, &next) * 1000.0);
                if same != covered {
                    path.line_to(a.lerp(b, t(i + 1)));
                }
            }
            last = Some(covered);
        }
    }
    (open, hidden)
}

/// The end of a cable that is too short, and the piece that is not there.
fn missing(
    list: &mut DrawList,
    labels: &mut Labels,
    projection: &Projection,
    line: &[Point],
    rest: &[Point],
    figure: &str,
    owner: Owner,
) {
    let page: Vec<Point2> = rest.iter().map(|p| projection.mm_to_page(*p)).collect();
    let Some(end) = line.last().map(|p| projection.mm_to_page(*p)) else {
        return;
    };
    let mut pen = list.pen().owner(owner).layer(Layer::Marks).z(5);
    let dotted = Line::new(Width::Thick, LineType::Dotted);
    pen.stroke(Path::polyline(page.iter().copied()), dotted, Role::Short);
    // A bar across the true end.
    let before = line[..line.len() - 1].iter().rev();
    let way = before
        .map(|p| end - projection.mm_to_page(*p))
        .find(|w| w.length() > 0.2)
        .and_then(Point2::normalised)
        .unwrap_or(Point2::new(1.0, 0.0));
    let bar = way.left() * 1.8;
    pen.stroke(Path::line(end - bar, end + bar), Line::THICK, Role::Short);
    let text = Text::new(end, figure).size(TextSize::Small).bold().halo();
    let at = page.get(page.len() / 2).copied().unwrap_or(end);
    if let Some((text, leader)) = labels.near(at, 1.6, &text) {
        if let Some(to) = leader {
            pen.stroke(Path::line(at, to), Line::HAIR, Role::Short);
        }
        pen.text(text, Role::Short);
    }
}

/// A way that could not be found: from port to port, dotted.
fn unknown(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    stretch: &Stretch,
    owner: Owner,
) {
    let at = |port| input.placed.port(port).map(|p| projection.to_page(p.at));
    if let (Some(a), Some(b)) = (at(&stretch.from), at(&stretch.to)) {
        let dotted = Line::new(Width::Thin, LineType::Dotted);
        let mut pen = list.pen().owner(owner).layer(Layer::Cables);
        pen.stroke(Path::line(a, b), dotted, Role::Ghost);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_its_length() {
        let line = [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 20.0, 0.0]];
        let (a, b) = cut_at(&line, 15.0);
        assert_eq!(a, vec![[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 5.0, 0.0]]);
        assert_eq!(b, vec![[10.0, 5.0, 0.0], [10.0, 20.0, 0.0]]);
        let (all, none) = cut_at(&line, 99.0);
        assert_eq!((all.len(), none.len()), (3, 0));
    }

    #[test]
    fn arcs_stay_on_their_circle() {
        let stretch = Stretch {
            legs: vec![Leg::Arc {
                from: [10.0, 0.0, 0.0],
                to: [0.0, 10.0, 0.0],
                centre: [0.0, 0.0, 0.0],
                radius: 10.0,
                angle: std::f64::consts::FRAC_PI_2,
            }],
            ..empty()
        };
        for p in line_of(&stretch) {
            assert!((p[0].hypot(p[1]) - 10.0).abs() < 1e-9);
        }
    }

    fn empty() -> Stretch {
        let port = crate::model::PortRef {
            part: crate::model::PartId::new("p").unwrap(),
            port: "x".to_owned(),
        };
        Stretch {
            from: port.clone(),
            to: port,
            legs: Vec::new(),
            points: Vec::new(),
            needed: crate::geom::Length::ZERO,
            available: crate::geom::Length::ZERO,
            judged: Ok(()),
            tightest_bend: None,
            visits: Vec::new(),
        }
    }
}

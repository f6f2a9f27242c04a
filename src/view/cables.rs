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
use super::ways::{below, cut_at, depth_of, line_of, split};
use super::{enclosure, plugs};
use crate::geom::Length;
use crate::model::{Cable, System};
use crate::route::{Point, Stretch};

/// Smallest scale (page millimetres for a scene millimetre) at which every cable
/// carries its lengths; below it, only the one in hand or under the pointer does,
/// since their figures would hide the drawing.
const ROOMY: f64 = 0.8;

/// Thinnest cable on paper, in millimetres.
const LEAST: f64 = 0.35;

/// From this width on paper a cable is drawn with two edges.
const TUBE: f64 = 0.8;

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

/// What a cable is drawn into and over.
struct View<'a> {
    projection: &'a Projection,
    input: &'a SheetInput<'a>,
    covers: &'a Covers,
}

/// Draws all cables.
pub(crate) fn draw(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    covers: &Covers,
    labels: &mut Labels,
) {
    let view = View {
        projection,
        input,
        covers,
    };
    let cables = &input.scene.arrangement().cables;
    for (i, (id, run)) in input.runs.iter().enumerate() {
        if let Some(cable) = cables.get(id) {
            let owner = Owner::Cable(i as u32);
            for stretch in &run.stretches {
                view.stretch(list, labels, cable, stretch, owner);
            }
            plugs::draw(list, projection, input, covers, cable, owner);
        }
    }
}

/// The whole way of the cable under the pointer, with its lengths.
pub(crate) fn pointed(
    list: &mut DrawList,
    projection: &Projection,
    input: &SheetInput<'_>,
    index: u32,
) {
    let Some((id, run)) = input.runs.iter().nth(index as usize) else {
        return;
    };
    let Some(cable) = input.scene.arrangement().cables.get(id) else {
        return;
    };
    let width = (cable.section.width().as_mm() * projection.scale).max(LEAST);
    for stretch in &run.stretches {
        let line = line_of(stretch);
        let page = line.iter().map(|p| projection.mm_to_page(*p));
        let path = Path::polyline(page);
        if line.len() < 2 {
            continue;
        }
        let mut pen = list.pen().layer(Layer::Cables);
        // A rim on both sides: what lies under the way stays in sight.
        pen.stroke(path, Line::true_width((width * 0.35).max(0.5)), Role::Hover);
        let marked = input.chosen == Some(Owner::Cable(index));
        if figured(input, projection, marked) && short(input, stretch).is_none() {
            continue;
        }
        let text = format!("{} / {}", stretch.needed.text1(), stretch.available.text1());
        let at = projection.mm_to_page(line[line.len() / 2]);
        let text = Text::new((at.x + 1.0, at.y - 1.0), text)
            .size(TextSize::Small)
            .halo();
        let role = Role::Cable(system(cable.system));
        list.pen().layer(Layer::Notes).text(text, role);
    }
}

/// True where a cable that reaches carries its lengths, so that pointing at it need not
/// write them a second time.
fn figured(input: &SheetInput<'_>, projection: &Projection, marked: bool) -> bool {
    marked || (input.options.labels && projection.scale >= ROOMY)
}

/// By how much a stretch is short, where findings are shown.
fn short(input: &SheetInput<'_>, stretch: &Stretch) -> Option<Length> {
    stretch.short_by().filter(|_| input.options.findings)
}

impl View<'_> {
    fn stretch(
        &self,
        list: &mut DrawList,
        labels: &mut Labels,
        cable: &Cable,
        stretch: &Stretch,
        owner: Owner,
    ) {
        let (input, projection) = (self.input, self.projection);
        let cut = enclosure::cut_depth(input, projection).map(|c| c.as_mm());
        let width = (cable.section.width().as_mm() * projection.scale).max(LEAST);
        let marked = input.hover == Some(owner) || input.chosen == Some(owner);
        let mut line = line_of(stretch);
        if stretch.judged.is_err() && line.len() < 2 {
            return unknown(list, projection, input, stretch, owner);
        }
        let short = short(input, stretch);
        let mut rest = Vec::new();
        if short.is_some() {
            (line, rest) = cut_at(&line, stretch.available.as_mm());
        }
        let runs = match cut {
            Some(cut) => below(projection, &line, cut),
            None => vec![line],
        };
        for line in runs.iter().filter(|l| l.len() > 1) {
            let middle = depth_of(projection, &line[line.len() / 2]);
            let level = enclosure::level((middle * 1000.0) as i64);
            let pen = list.pen().owner(owner).layer(Layer::Cables).z(level);
            let (open, hidden) = split(projection, self.covers, line);
            way(pen, open, hidden, width, cable.system, marked);
        }
        let longest = runs.iter().max_by_key(|l| l.len());
        let Some(line) = longest.filter(|l| l.len() > 1) else {
            return;
        };
        if let Some(by) = short {
            let figure = format!("-{}", by.text1());
            let page = |l: &[Point]| l.iter().map(|p| projection.mm_to_page(*p)).collect();
            missing(list, labels, page(line), page(&rest), &figure, owner);
        } else if figured(input, projection, marked) {
            let text = format!("{} / {}", stretch.needed.text1(), stretch.available.text1());
            let text = Text::new((0.0, 0.0), text).size(TextSize::Small).halo();
            let at = projection.mm_to_page(line[line.len() / 2]);
            if let Some((text, _)) = labels.near(at, 1.0 + width / 2.0, &text) {
                let role = Role::Cable(system(cable.system));
                list.pen().owner(owner).layer(Layer::Notes).text(text, role);
            }
        }
    }
}

/// One way: its visible stretches as wide as the cable over a rim of paper, its
/// covered ones thin and dashed.
fn way(mut pen: Pen<'_>, open: Path, hidden: Path, width: f64, of: System, marked: bool) {
    let of = system(of);
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

/// The end of a cable that is too short, and the piece that is not there.
fn missing(
    list: &mut DrawList,
    labels: &mut Labels,
    line: Vec<Point2>,
    page: Vec<Point2>,
    figure: &str,
    owner: Owner,
) {
    let Some(&end) = line.last() else {
        return;
    };
    let mut pen = list.pen().owner(owner).layer(Layer::Marks).z(5);
    let dotted = Line::new(Width::Thick, LineType::Dotted);
    pen.stroke(Path::polyline(page.iter().copied()), dotted, Role::Short);
    // A bar across the true end.
    let before = line[..line.len() - 1].iter().rev();
    let way = before
        .map(|p| end - *p)
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

//! A template over several sheets: an overview with the table of holes, then the
//! tiles, with overlap, crop marks, marks to line up by, and a check line on each.

use super::draw::{check_line, drawing, hole_words};
use super::{Template, picture};
use crate::paper::flow::{Flow, Head, Paper, broken};
use crate::view::list::{
    Affine, DrawList, HAlign, Layer, Line, Mark, Path, Point2, Rect, Role, Text, TextSize, VAlign,
    Weight,
};

/// Printers leave less than this blank on each side (common practice, no source).
const MARGIN: f64 = 12.0;
/// Over the window: title and place of the tile.
const HEAD: f64 = 8.0;
/// Under it: the check line.
const FOOT: f64 = 14.0;
/// Neighbours share so much.
pub(super) const OVERLAP: f64 = 10.0;
/// Most tiles; a larger template is refused.
const MOST: usize = 400;

/// One sheet.
#[derive(Clone, Debug)]
pub struct PrintPage {
    /// What stands on it.
    pub list: DrawList,
    /// Its size in millimetres.
    pub size: [f64; 2],
    /// Its name in a table of contents.
    pub name: String,
}

/// How a template is cut into sheets.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Tiles {
    /// The sheet.
    pub paper: Paper,
    /// Tiles across and down.
    pub count: [usize; 2],
    /// What one tile shows.
    pub window: [f64; 2],
}

impl Tiles {
    /// Upright or lying, whichever takes fewer sheets (upright where both do).
    pub fn of(template: &Template, paper: Paper) -> Tiles {
        let [low, high] = template.bounds;
        // Lettering stands out past the edges.
        let size = [high[0] - low[0] + 2.0 * RIM, high[1] - low[1] + 2.0 * RIM];
        let plan = |paper: Paper| {
            let window = [
                paper.width - 2.0 * MARGIN,
                paper.height - 2.0 * MARGIN - HEAD - FOOT,
            ];
            let count = [0, 1].map(|i| {
                let left = (size[i] - window[i]).max(0.0);
                1 + (left / (window[i] - OVERLAP)).ceil() as usize
            });
            Tiles {
                paper,
                count,
                window,
            }
        };
        let (upright, lying) = (plan(paper), plan(paper.lying()));
        if lying.sheets() < upright.sheets() {
            lying
        } else {
            upright
        }
    }

    /// How many tiles.
    pub fn sheets(&self) -> usize {
        self.count[0].saturating_mul(self.count[1])
    }

    /// The name of a tile: column letter and row.
    pub fn name(&self, column: usize, row: usize) -> String {
        format!("{}-{}", column + 1, row + 1)
    }

    /// Upper left corner of a tile in the drawing.
    fn corner(&self, column: usize, row: usize) -> Point2 {
        Point2::new(
            column as f64 * (self.window[0] - OVERLAP) - RIM,
            row as f64 * (self.window[1] - OVERLAP) - RIM,
        )
    }
}

/// Room for lettering and crosses outside the outlines.
const RIM: f64 = 8.0;

/// The sheets of a template: the overview first.
///
/// # Errors
///
/// In words, where it would take more than 400 sheets.
pub fn tiles(template: &Template, paper: Paper, foot: &str) -> Result<Vec<PrintPage>, String> {
    let plan = Tiles::of(template, paper);
    if plan.sheets() > MOST {
        return Err(format!(
            "that would be {} sheets; write it as SVG or DXF instead",
            plan.sheets()
        ));
    }
    let mut pages = overview(template, paper, &plan, foot);
    let whole = drawing(template, 1.0, true);
    for row in 0..plan.count[1] {
        for column in 0..plan.count[0] {
            let list = tile(&whole, template, &plan, column, row);
            pages.push(PrintPage {
                list,
                size: [plan.paper.width, plan.paper.height],
                name: format!("tile {}", plan.name(column, row)),
            });
        }
    }
    Ok(pages)
}

fn overview(template: &Template, paper: Paper, plan: &Tiles, foot: &str) -> Vec<PrintPage> {
    let mut flow = Flow::new(paper, foot);
    flow.title(&template.title);
    let joined = match plan.sheets() {
        1 => "The drawing is on one sheet at full size.".to_owned(),
        n => format!(
            "The drawing is on {n} sheets at full size, {} across and {} down, named column-row. Cut each along its \
             crop marks at one side, lay the crosses on one another, tape.",
            plan.count[0], plan.count[1]
        ),
    };
    flow.note(&format!(
        "{joined} Print at 100 %, without fitting to the page; each sheet has a line that must measure 100 mm."
    ));
    for note in &template.notes {
        flow.note(note);
    }
    let room = [paper.width - 2.0 * MARGIN - 4.0, 120.0];
    let (mut small, size) = picture(template, room);
    let [low, high] = template.bounds;
    let scale = size[0] / (high[0] - low[0]).max(1e-9);
    map_of_tiles(&mut small, plan, scale, size);
    flow.pictures(&[("Overview, seen as it is drawn".to_owned(), small, size)]);
    if !template.drills.is_empty() {
        flow.heading("Holes", 20.0);
        flow.note("Middles in millimetres to the right of and above the lower left corner of the outline.");
        let figure = |title| Head {
            title,
            figure: true,
            least: 0.0,
        };
        let heads = [
            Head::words("mark"),
            figure("right"),
            figure("up"),
            Head::words("hole"),
            Head::words("for"),
        ];
        let rows: Vec<Vec<String>> = template
            .drills
            .iter()
            .map(|d| {
                vec![
                    d.mark.clone(),
                    format!("{:.2}", d.at[0]),
                    format!("{:.2}", d.at[1]),
                    hole_words(d),
                    d.zone.clone(),
                ]
            })
            .collect();
        flow.table(&heads, &rows, true);
    }
    let pages = flow.finish().into_iter();
    pages
        .map(|(list, _)| PrintPage {
            list,
            size: [paper.width, paper.height],
            name: template.title.clone(),
        })
        .collect()
}

/// The seams of the tiles on the overview.
fn map_of_tiles(list: &mut DrawList, plan: &Tiles, scale: f64, size: [f64; 2]) {
    if plan.sheets() == 1 {
        return;
    }
    let mut pen = list.pen().layer(Layer::Marks);
    for column in 1..plan.count[0] {
        let x = (plan.corner(column, 0).x + OVERLAP / 2.0) * scale;
        if x < size[0] {
            pen.stroke(Path::line((x, 0.0), (x, size[1])), Line::HIDDEN, Role::Ink);
        }
    }
    for row in 1..plan.count[1] {
        let y = (plan.corner(0, row).y + OVERLAP / 2.0) * scale;
        if y < size[1] {
            pen.stroke(Path::line((0.0, y), (size[0], y)), Line::HIDDEN, Role::Ink);
        }
    }
}

fn tile(
    whole: &DrawList,
    template: &Template,
    plan: &Tiles,
    column: usize,
    row: usize,
) -> DrawList {
    let [w, h] = plan.window;
    let window = Rect::sized(MARGIN, MARGIN + HEAD, w, h);
    let corner = plan.corner(column, row);
    let shift = Affine::shift(window.min.x - corner.x, window.min.y - corner.y);
    let mut list = DrawList::new();
    for item in &whole.mapped(shift).items {
        let Some(b) = item.mark.bounds() else {
            continue;
        };
        let shown = match item.mark {
            // A cut word says nothing; its neighbour has it whole in the overlap.
            Mark::Text(_) => window.contains(b.min) && window.contains(b.max),
            _ => meets(b, window),
        };
        if shown {
            list.items.push(item.clone());
        }
    }
    let (width, height) = (plan.paper.width, plan.paper.height);
    let mut pen = list.pen().layer(Layer::Notes).z(5);
    let page = Rect::sized(0.0, 0.0, width, height);
    // Paper over what lies outside the window.
    let rim = Path::rect(page.grown(1.0)).with(&Path::rect(window));
    pen.fill(rim, Role::Paper);
    let mut pen = list.pen().layer(Layer::Notes).z(10);
    for (i, c) in window.corners().into_iter().enumerate() {
        let x = if i == 0 || i == 3 { -1.0 } else { 1.0 };
        let y = if i < 2 { -1.0 } else { 1.0 };
        let across = Path::line(c + Point2::new(x, 0.0), c + Point2::new(6.0 * x, 0.0));
        let down = Path::line(c + Point2::new(0.0, y), c + Point2::new(0.0, 6.0 * y));
        pen.stroke(across.with(&down), Line::HAIR, Role::Ink);
    }
    seams(&mut list, plan, window, column, row);
    head(&mut list, template, plan, column, row);
    check_line(&mut list, Point2::new(MARGIN + 8.0, window.max.y + 9.0));
    list
}

fn meets(a: Rect, b: Rect) -> bool {
    a.min.x <= b.max.x && b.min.x <= a.max.x && a.min.y <= b.max.y && b.min.y <= a.max.y
}

/// Where neighbours begin, and crosses in the middle of the overlap that lie on one
/// another when the sheets are joined.
fn seams(list: &mut DrawList, plan: &Tiles, window: Rect, column: usize, row: usize) {
    let mut pen = list.pen().layer(Layer::Notes).z(10);
    let mut cross = |at: Point2| {
        pen.stroke(Path::cross(at, 3.0), Line::HAIR, Role::Ink);
        pen.stroke(Path::circle(at, 1.2), Line::HAIR, Role::Ink);
    };
    let half = OVERLAP / 2.0;
    let quarters = |a: f64, b: f64| [a + (b - a) * 0.25, a + (b - a) * 0.75];
    let xs = [
        (column > 0).then_some(window.min.x + half),
        (column + 1 < plan.count[0]).then_some(window.max.x - half),
    ];
    for x in xs.into_iter().flatten() {
        for y in quarters(window.min.y, window.max.y) {
            cross(Point2::new(x, y));
        }
    }
    let ys = [
        (row > 0).then_some(window.min.y + half),
        (row + 1 < plan.count[1]).then_some(window.max.y - half),
    ];
    for y in ys.into_iter().flatten() {
        for x in quarters(window.min.x, window.max.x) {
            cross(Point2::new(x, y));
        }
    }
}

fn head(list: &mut DrawList, template: &Template, plan: &Tiles, column: usize, row: usize) {
    let size = TextSize::Cap(2.0);
    let tile = format!(
        "sheet {} of {} x {}",
        plan.name(column, row),
        plan.count[0],
        plan.count[1]
    );
    let right = Text::new((plan.paper.width - MARGIN - 8.0, MARGIN + 4.0), tile)
        .size(size)
        .anchored(HAlign::Right, VAlign::Baseline);
    let room = plan.paper.width - 2.0 * MARGIN - 20.0 - right.width();
    let title = broken(&template.title, room, size, Weight::Bold);
    let title = title.first().cloned().unwrap_or_default();
    let left = Text::new((MARGIN + 8.0, MARGIN + 4.0), title)
        .size(size)
        .bold();
    let mut pen = list.pen().layer(Layer::Notes).z(10);
    pen.text(left, Role::Title);
    pen.text(right, Role::Text);
}

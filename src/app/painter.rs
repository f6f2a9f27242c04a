//! Draw lists to shapes of the window's painter.

use crate::view::list::{DrawList, Fill, Line, Mark, Point2, Polyline, Role, Text, Weight};
use eframe::egui::{self, Color32, Pos2, Shape, Stroke, Vec2, epaint};
use lyon_tessellation as lyon;
use std::sync::Arc;

/// How finely curves are flattened, in points.
const SMOOTH: f64 = 0.2;

/// Where a draw list lands in the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screen {
    /// Where the list's origin is, in points.
    pub origin: Pos2,
    /// Points per page millimetre.
    pub ppm: f32,
}

impl Screen {
    /// The window's point of a point of the page.
    pub fn point(&self, p: Point2) -> Pos2 {
        self.origin + Vec2::new(p.x as f32, p.y as f32) * self.ppm
    }

    /// The page's point under a point of the window.
    pub fn page(&self, p: Pos2) -> Point2 {
        let d = (p - self.origin) / self.ppm;
        Point2::new(f64::from(d.x), f64::from(d.y))
    }
}

/// Colour of a role in the theme at hand.
pub type Colours<'a> = &'a dyn Fn(Role, bool) -> Color32;

/// Marks that are ready to paint. Lines and areas are kept as triangles from frame to
/// frame, so that a frame in which nothing changed costs next to nothing; lettering is
/// laid out anew each time, since the glyphs' places in the window's font picture change.
#[derive(Clone)]
pub enum Ready {
    /// Lines and areas that follow one another.
    Mesh(Arc<epaint::Mesh>),
    /// One line of lettering, its colour and that of the paper.
    Text(Text, Color32, Color32),
}

/// Paints what was made ready. `em` is the points of a page millimetre of lettering.
pub fn paint(painter: &egui::Painter, ready: &[Ready], screen: Screen, em: f32) {
    let mut shapes = Vec::with_capacity(ready.len());
    for item in ready {
        match item {
            Ready::Mesh(mesh) => shapes.push(Shape::Mesh(mesh.clone())),
            Ready::Text(text, colour, paper) => {
                write(
                    painter.ctx(),
                    text,
                    (screen, em),
                    *colour,
                    *paper,
                    &mut shapes,
                );
            }
        }
    }
    painter.extend(shapes);
}

/// What was made ready at the window's corner, moved and stretched to its place.
pub fn moved(ready: &[Ready], to: Pos2, by: f32) -> Vec<Ready> {
    let change = egui::emath::TSTransform::new(to.to_vec2(), by);
    let mut all = ready.to_vec();
    for item in &mut all {
        if let Ready::Mesh(mesh) = item {
            Arc::make_mut(mesh).transform(change);
        }
    }
    all
}

/// Makes the marks of a draw list ready. What lies wholly outside `clip` (page
/// millimetres) is left out. `pixels` are those of a point.
pub fn ready(
    list: &DrawList,
    screen: Screen,
    clip: crate::view::list::Rect,
    pixels: f32,
    colours: Colours<'_>,
) -> Vec<Ready> {
    let options = epaint::TessellationOptions {
        // What is culled is decided here; the font's picture may have moved its discs.
        coarse_tessellation_culling: false,
        prerasterized_discs: false,
        ..Default::default()
    };
    let mut tessellator = epaint::Tessellator::new(pixels, options, [1, 1], Vec::new());
    let mut mesh = epaint::Mesh::default();
    let mut ready = Vec::new();
    let mut out = Vec::new();
    for item in list.in_paint_order() {
        if !item.mark.is_drawable() {
            continue;
        }
        let outside = item.mark.bounds().is_none_or(|b| {
            b.max.x < clip.min.x
                || b.min.x > clip.max.x
                || b.max.y < clip.min.y
                || b.min.y > clip.max.y
        });
        if outside {
            continue;
        }
        let colour = colours(item.role, false);
        match &item.mark {
            Mark::Path { path, fill, stroke } => {
                let rings = path.flattened(SMOOTH / f64::from(screen.ppm));
                match fill {
                    Fill::None => {}
                    Fill::Solid => fill_rings(&rings, screen, colour, &mut out),
                    Fill::Wash => {
                        fill_rings(&rings, screen, colours(item.role, true), &mut out);
                    }
                }
                if let Some(line) = stroke {
                    for ring in &rings {
                        stroke_ring(ring, screen, *line, colour, &mut out);
                    }
                }
            }
            Mark::Hatch(hatch) => {
                let stroke = stroke_of(hatch.line, screen, colour);
                for (a, b) in hatch.segments() {
                    out.push(Shape::line_segment(
                        [screen.point(a), screen.point(b)],
                        stroke,
                    ));
                }
            }
            // Pages have pictures of pixels; the window shows views.
            Mark::Image(_) => {}
            Mark::Text(text) => {
                let paper = colours(Role::Paper, false);
                if !mesh.is_empty() {
                    ready.push(Ready::Mesh(Arc::new(std::mem::take(&mut mesh))));
                }
                ready.push(Ready::Text(text.clone(), colour, paper));
            }
        }
        for shape in out.drain(..) {
            tessellator.tessellate_shape(shape, &mut mesh);
        }
    }
    if !mesh.is_empty() {
        ready.push(Ready::Mesh(Arc::new(mesh)));
    }
    ready
}

fn stroke_of(line: Line, screen: Screen, colour: Color32) -> Stroke {
    let width = line.width.mm() as f32 * screen.ppm;
    // Thinner lines would vanish between pixels; they fade instead.
    match width < 0.8 {
        true => Stroke::new(0.8, colour.gamma_multiply((width / 0.8).max(0.35))),
        false => Stroke::new(width, colour),
    }
}

fn stroke_ring(ring: &Polyline, screen: Screen, line: Line, colour: Color32, out: &mut Vec<Shape>) {
    let stroke = stroke_of(line, screen, colour);
    let mut points: Vec<Pos2> = ring.points.iter().map(|p| screen.point(*p)).collect();
    if points.len() < 2 {
        return;
    }
    let dashes = line.dashes();
    if dashes.is_empty() {
        out.push(match ring.closed {
            true => Shape::closed_line(points, stroke),
            false => Shape::line(points, stroke),
        });
        return;
    }
    if ring.closed {
        points.push(points[0]);
    }
    let scaled = |step: usize| -> Vec<f32> {
        dashes
            .iter()
            .skip(step)
            .step_by(2)
            .map(|d| (*d as f32 * screen.ppm).max(1.0))
            .collect()
    };
    out.extend(Shape::dashed_line_with_offset(
        &points,
        stroke,
        &scaled(0),
        &scaled(1),
        0.0,
    ));
}

fn fill_rings(rings: &[Polyline], screen: Screen, colour: Color32, out: &mut Vec<Shape>) {
    if let [ring] = rings
        && is_convex(&ring.points)
    {
        let points = ring.points.iter().map(|p| screen.point(*p)).collect();
        out.push(Shape::convex_polygon(points, colour, Stroke::NONE));
        return;
    }
    if let Some(mesh) = tessellated(rings, screen, colour) {
        out.push(Shape::mesh(mesh));
    }
}

fn is_convex(points: &[Point2]) -> bool {
    let n = points.len();
    if n < 3 {
        return false;
    }
    let (mut left, mut right) = (false, false);
    let mut turning = 0.0;
    for i in 0..n {
        let (a, b, c) = (points[i], points[(i + 1) % n], points[(i + 2) % n]);
        let (u, v) = (b - a, c - b);
        let cross = u.x * v.y - u.y * v.x;
        left |= cross > 1e-9;
        right |= cross < -1e-9;
        turning += cross.atan2(u.dot(v));
    }
    // A star turns one way too, but more than once around.
    !(left && right) && turning.abs() < 7.0
}

fn tessellated(rings: &[Polyline], screen: Screen, colour: Color32) -> Option<epaint::Mesh> {
    let mut builder = lyon::path::Path::builder();
    for ring in rings {
        let mut points = ring.points.iter().map(|p| screen.point(*p));
        let first = points.next()?;
        builder.begin(lyon::math::point(first.x, first.y));
        for p in points {
            builder.line_to(lyon::math::point(p.x, p.y));
        }
        builder.end(true);
    }
    let mut buffers: lyon::VertexBuffers<Pos2, u32> = lyon::VertexBuffers::new();
    let options = lyon::FillOptions::even_odd().with_tolerance(SMOOTH as f32);
    let done = lyon::FillTessellator::new().tessellate_path(
        &builder.build(),
        &options,
        &mut lyon::BuffersBuilder::new(&mut buffers, |v: lyon::FillVertex<'_>| {
            Pos2::new(v.position().x, v.position().y)
        }),
    );
    done.ok()?;
    let mut mesh = epaint::Mesh::default();
    for p in &buffers.vertices {
        mesh.colored_vertex(*p, colour);
    }
    mesh.indices = buffers.indices;
    Some(mesh)
}

fn write(
    ctx: &egui::Context,
    text: &Text,
    (screen, em): (Screen, f32),
    colour: Color32,
    paper: Color32,
    out: &mut Vec<Shape>,
) {
    let size = text.size.em_mm() as f32 * em;
    if size < 4.0 {
        return;
    }
    let family = super::theme::family(text.weight == Weight::Bold);
    let font = egui::FontId::new(size, family);
    let galley =
        ctx.fonts_mut(|f| f.layout_no_wrap(text.text.to_string(), font, Color32::PLACEHOLDER));
    let baseline = galley
        .rows
        .first()
        .and_then(|r| Some(r.pos.y + r.glyphs.first()?.pos.y))
        .unwrap_or(size);
    let start = screen.point(text.baseline_start());
    let angle = text.angle.to_radians() as f32;
    let up = egui::emath::Rot2::from_angle(angle) * Vec2::new(0.0, baseline);
    let at = start - up;
    if text.halo {
        let r = (text.halo_mm() as f32 * em).max(1.0);
        for (x, y) in [
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, 1.0),
            (0.0, -1.0),
            (0.7, 0.7),
            (-0.7, 0.7),
            (0.7, -0.7),
            (-0.7, -0.7),
        ] {
            let shape = epaint::TextShape::new(at + Vec2::new(x, y) * r, galley.clone(), paper);
            out.push(Shape::Text(shape.with_angle(angle)));
        }
    }
    let shape = epaint::TextShape::new(at, galley, colour);
    out.push(Shape::Text(shape.with_angle(angle)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::list::Rect;

    fn ring(points: &[(f64, f64)]) -> Vec<Point2> {
        points.iter().map(|p| Point2::from(*p)).collect()
    }

    #[test]
    fn a_star_and_an_arrow_are_not_convex() {
        assert!(is_convex(&ring(&[(0., 0.), (4., 0.), (4., 4.), (0., 4.)])));
        assert!(!is_convex(&ring(&[(0., 0.), (4., 0.), (1., 1.), (0., 4.)])));
        let star: Vec<Point2> = (0..5)
            .map(|i| Point2::unit(f64::from(i) * 144.0) * 10.0)
            .collect();
        assert!(!is_convex(&star));
    }

    #[test]
    fn a_hole_is_left_open() {
        let screen = Screen {
            origin: Pos2::ZERO,
            ppm: 1.0,
        };
        let square = |r: Rect| Polyline {
            points: r.corners().to_vec(),
            closed: true,
        };
        let rings = [
            square(Rect::sized(0.0, 0.0, 10.0, 10.0)),
            square(Rect::sized(2.0, 2.0, 6.0, 6.0)),
        ];
        let mesh = tessellated(&rings, screen, Color32::TRANSPARENT).expect("it fills");
        let area: f32 = mesh
            .indices
            .chunks(3)
            .map(|t| {
                let p = |i: usize| mesh.vertices[t[i] as usize].pos;
                let (u, v) = (p(1) - p(0), p(2) - p(0));
                (u.x * v.y - u.y * v.x).abs() / 2.0
            })
            .sum();
        // 10 x 10 less 6 x 6.
        assert!((area - 64.0).abs() < 0.01, "{area}");
    }
}
